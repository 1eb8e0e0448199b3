//! What the pass takes off, as numbers, profiles and a map.
//!
//! Law: see `lapwing_physics::removal`. Every cell of the map is an area mean of
//! a footprint laid on cells of a hundredth of the pad, so means do not depend
//! on the grid; least and most, also of the interior, are those of points, found
//! from the cells, so they do not depend on it either (`removal::place`). Only
//! the unevenness `cv` is over cells.
//! Source: `Source::Preston1927`.
//! Holds: where the interior is empty, the swept area takes its place; its least
//! is that of a cell, because the rim of what is swept is not one number.
//! Left out: film softened by heat.
//! Checked by: R1 to R5 and the leaned passes, through setup files.

use lapwing_measure::quantity::Length;
use lapwing_physics::course::Course;
use lapwing_physics::removal::{MapGrid, Places, RemovalMap, extremes_inside, map_course};
use uom::si::length::{meter, micrometer};

use super::result::{Probed, ProfilePoint, Removal};
use super::setup::{Probe, Setup, Spread};

/// Width a cell is wished to have, in pad diameters.
const CELL_DIAMETERS: f64 = 0.02;
/// Most cells along a side.
const MOST_CELLS: f64 = 500.0;

/// What comes off, with its map.
pub(super) struct Taken {
    pub(super) removal: Removal,
    pub(super) profile: Vec<ProfilePoint>,
    pub(super) probes: Vec<Probed>,
    pub(super) map: RemovalMap,
}

pub(super) fn removal(setup: &Setup, course: &Course) -> Result<Taken, String> {
    let section = setup.panel.section;
    let size_m = (section.width.get::<meter>(), section.height.get::<meter>());
    let coarser = if setup.is_quick { 2.0 } else { 1.0 };
    let cell_m = coarser * CELL_DIAMETERS * 2.0 * setup.pad.radius.get::<meter>();
    // An odd number of cells puts one on the middle line.
    let count = |side_m: f64| ((side_m / cell_m).ceil().clamp(20.0, MOST_CELLS) as usize) | 1;
    let grid = MapGrid {
        columns: count(size_m.0),
        rows: count(size_m.1),
    };
    let rate = setup.cut_rate_per_pa;
    let mut map = map_course(course, rate.value, grid).map_err(|e| e.to_string())?;
    let places = Places::of(course, rate.value).map_err(|e| e.to_string())?;
    if let Some((least, most)) = extremes_inside(&places, &map, 0.0) {
        (map.whole.min_um, map.whole.max_um) = (least, most);
    }
    let interior_m = 2.0 * setup.pad.radius.get::<meter>();
    if map.interior_is_swept_area {
        map.interior.max_um = map.whole.max_um;
    } else if let Some((least, most)) = extremes_inside(&places, &map, interior_m) {
        (map.interior.min_um, map.interior.max_um) = (least, most);
    }
    Ok(Taken {
        removal: numbers(&map, rate),
        profile: profile(&map, size_m),
        probes: probes(setup, &places),
        map,
    })
}

/// Depths at the places that were asked for.
fn probes(setup: &Setup, places: &Places<'_>) -> Vec<Probed> {
    let probed = |probe: &Probe| Probed {
        x_m: probe.x.get::<meter>(),
        y_m: probe.y.get::<meter>(),
        removal_um: places.depth(probe.x, probe.y).get::<micrometer>(),
        peak_rise_k: 0.0,
        end_rise_k: 0.0,
        depth_um: probe.depth.get::<micrometer>(),
        depth_end_rise_k: 0.0,
    };
    setup.probes.iter().map(probed).collect()
}

fn numbers(map: &RemovalMap, rate: Spread) -> Removal {
    let (whole, inside) = (map.whole, map.interior);
    Removal {
        mean_um: whole.mean_um,
        interior_mean_um: inside.mean_um,
        interior_lower_um: inside.mean_um * rate.lower / rate.value,
        interior_upper_um: inside.mean_um * rate.upper / rate.value,
        min_um: whole.min_um,
        max_um: whole.max_um,
        cv: whole.variation,
        interior_min_um: inside.min_um,
        interior_max_um: inside.max_um,
        interior_cv: inside.variation,
        interior_is_swept_area: map.interior_is_swept_area,
        cut_rate_per_pa: rate,
    }
}

fn profile(map: &RemovalMap, (width_m, height_m): (f64, f64)) -> Vec<ProfilePoint> {
    let middle = |side_m: f64| Length::new::<meter>(0.5 * side_m);
    let points = |axis: &'static str, side_m: f64, depths_um: Vec<f64>| {
        let cell_m = side_m / depths_um.len() as f64;
        let point = move |(at, removal_um): (usize, f64)| ProfilePoint {
            axis,
            across_m: (at as f64 + 0.5) * cell_m,
            removal_um,
        };
        depths_um.into_iter().enumerate().map(point)
    };
    points("x", width_m, map.profile_along_x_um(middle(height_m)))
        .chain(points(
            "y",
            height_m,
            map.profile_along_y_um(middle(width_m)),
        ))
        .collect()
}
