//! The film map of a panel as a picture.
//!
//! Law: none; values are placed as they come. Of a fine grid every second,
//! third … cell is drawn, so that a picture stays small.
//! Left out: panels without a map.
//! Checked by: the figure tests, and by looking.

use lapwing_job::inspect::map::{EDGE_MM, FilmMap, MapReading, OutlineOrigin, OutlineShape};
use lapwing_job::inspect::next_reading::NextReading;
use lapwing_job::record::job::Units;

use crate::figure::{Labels, PanelMap, PanelReading, Telling, Theme, panel_map};
use crate::pictures::units as figure_units;
use crate::words;

/// Most cells along a side of the picture.
const MOST_CELLS: usize = 150;

/// The map of one panel. `title` is the panel's name for people, `next` the
/// places to read, of which those on this panel are drawn.
///
/// # Errors
/// A sentence when the map has no shape, which is our fault.
pub fn film_map(
    map: &FilmMap,
    title: &str,
    next: &[NextReading],
    (units, labels, telling): (Units, Labels, Telling<'_>),
) -> Result<String, String> {
    let grid = &map.grid;
    let stride = grid.columns.max(grid.rows).div_ceil(MOST_CELLS).max(1);
    let columns: Vec<usize> = (stride / 2..grid.columns).step_by(stride).collect();
    let rows: Vec<usize> = (stride / 2..grid.rows).step_by(stride).collect();
    let taken = |values: &[f64]| -> Vec<f64> {
        let cells = rows
            .iter()
            .flat_map(|r| columns.iter().map(move |c| r * grid.columns + c));
        cells.map(|cell| values[cell]).collect()
    };
    let [left, bottom] = [map.outline.left_mm / 1000.0, map.outline.bottom_mm / 1000.0];
    let placed = |list: &[MapReading]| -> Vec<PanelReading> {
        let one = |r: &MapReading| PanelReading {
            u_m: r.u_mm / 1000.0 - left,
            v_m: r.v_mm / 1000.0 - bottom,
            film_um: r.film_um,
        };
        list.iter().map(one).collect()
    };
    let next_m: Vec<[f64; 2]> = next
        .iter()
        .filter(|n| n.panel == map.panel)
        .map(|n| [n.u_mm / 1000.0 - left, n.v_mm / 1000.0 - bottom])
        .collect();
    let (mean_um, sd_um) = (taken(&map.face_um), taken(&map.face_sd_um));
    let from_corner = |[u, v]: &[f64; 2]| [u / 1000.0 - left, v / 1000.0 - bottom];
    let outline_m: Vec<[f64; 2]> = match map.outline.shape {
        OutlineShape::Rectangle => Vec::new(),
        _ => map.outline.points_mm.iter().map(from_corner).collect(),
    };
    let inside_m: Vec<f64> = taken(&map.inside_mm).iter().map(|mm| mm / 1000.0).collect();
    let crease_m: Vec<[f64; 2]> = map.crease_mm.iter().map(from_corner).collect();
    panel_map(&PanelMap {
        title,
        caption: &caption(map, !next_m.is_empty(), units),
        mean_um: &mean_um,
        sd_um: &sd_um,
        columns: columns.len(),
        rows: rows.len(),
        size_m: map.outline.size_mm().map(|mm| mm / 1000.0),
        origin_m: [left, bottom],
        outline_m: &outline_m,
        inside_m: &inside_m,
        crease_m: &crease_m,
        edge_m: EDGE_MM / 1000.0,
        readings: &placed(&map.readings),
        odd: &placed(&map.left_out),
        next_m: &next_m,
        units: figure_units(units),
        theme: Theme::PRINT,
        width_px: 620.0,
        labels,
        telling,
    })
    .map_err(|e| e.to_string())
}

/// What stands under the picture.
fn caption(map: &FilmMap, has_next: bool, units: Units) -> String {
    let mut said = format!(
        "Thinnest plausible place of the open face {} (19 times in 20). No gauge \
         reads the strip along the edges: it counts {} thinner, {}.",
        words::film(map.lower_um, units),
        words::film(map.edge.drop_um, units),
        map.edge.provenance.word(),
    );
    match map.outline.origin {
        OutlineOrigin::Measured => {}
        OutlineOrigin::UsualArea => said.push_str(
            " Size not measured: drawn around the readings, as large as such a panel usually is.",
        ),
        OutlineOrigin::AroundReadings => {
            said.push_str(" Size not measured: drawn around the readings.")
        }
    }
    if map.outline.shape == OutlineShape::Usual {
        said.push_str(" Shape as such a panel usually has, assumed.");
    }
    if !map.crease_mm.is_empty() {
        let sign = match map.crease_mm.len() {
            1 => "The white dot with a dark ring is the one place read on the crease",
            _ => "The broken line is the crease",
        };
        said.push_str(&format!(
            " {sign}: {} thinner, {}.",
            words::film(map.crease.drop_um, units),
            map.crease.provenance.word()
        ));
    }
    if !map.left_out.is_empty() {
        said.push_str(
            " A cross: filler or another paint was read there; the film drawn around it is \
             carried on from the other places.",
        );
    }
    if has_next {
        said.push_str(" A ring with a figure: read there next.");
    }
    said
}
