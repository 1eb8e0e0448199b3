//! What a pass does on paper: what it takes off, how hot it gets, and where.
//!
//! Law: pressure from the contact law, rubbing speed from the motion, removal
//! k·∫p·v dt swept along the path, heat η·μ·p·v conducted into the layers; see
//! the header of each law.
//! Source: [`SOURCES`].
//! Holds: one machine and one pad on one section; constant force and speed.
//! Outside: the setup's reader refuses.
//! Left out: evaporation, heat kept in the pad, a pad that rocks on its own.
//! Checked by: closed forms K2, K3, R3, H3, H4, H8 and the table of the leaning
//! disc, reached through setup files (`tests.rs`); all closed forms of pad, speed
//! and removal in `validation`, through setup files as well.

mod air;
pub mod beyond;
pub(crate) mod classes;
pub mod finish;
mod heat;
mod inside;
mod read;
mod removal;
pub mod repeated;
pub mod result;
pub mod setup;
mod touching;
pub(crate) mod travel;
pub mod vary;
pub mod wearing;
mod written;

use lapwing_measure::Source;
pub use lapwing_physics::heat::HeatWatch;
use uom::si::length::{meter, micrometer};
use uom::si::thermodynamic_temperature::degree_celsius;
use uom::si::velocity::meter_per_second;

pub(crate) use self::read::flat::{FlatTable, flat_setup};
pub use self::read::{Files, read_setup, setup_schema};
pub use self::repeated::{Repeated, repeated};
pub(crate) use self::repeated::{known_course, repeated_knowing};
pub use self::result::BenchResult;
pub use self::setup::Setup;

use self::beyond::Beyond;
use self::result::{BenchMaps, PadSpeed, Probed, SpeedAt};
use self::setup::Origin;
use crate::record::{Caution, InputError, Part, Said, Sentence};

/// Publications behind the laws.
pub const SOURCES: [Source; 5] = [
    Source::Preston1927,
    Source::RoarkEccentric,
    Source::CarslawJaeger1959,
    Source::Incropera,
    Source::CobbSaunders1956,
];

/// Works out a pass; `watch` hears of the progress and may stop it.
///
/// # Errors
/// A sentence when a law refuses the setup, or when it was stopped.
pub fn bench(setup: &Setup, watch: HeatWatch<'_>) -> Result<BenchResult, InputError> {
    let refuse = |sentence: String| InputError::in_file(setup.file.as_str(), sentence);
    let stroke = travel::stroke(setup, setup.reach_m()).map_err(refuse)?;
    let course = touching::course(setup, &stroke, None).map_err(refuse)?;
    let pressed = touching::pressed(setup, &course).map_err(refuse)?;
    // Heat comes first: it refuses grids and steps, and it hears of a stop.
    let warmed = heat::heat(setup, &course, &stroke, watch).map_err(refuse)?;
    let taken = removal::removal(setup, &course).map_err(refuse)?;
    let finish = setup.finish.left_by(&course, &taken.map).map_err(refuse)?;
    let wearing = setup.wearing.told(&course, setup.cut_rate_per_pa);
    let start_c = setup.panel.start.get::<degree_celsius>();
    let section = setup.panel.section;
    let probes = taken.probes.iter().zip(&warmed.probed_k);
    let probes = probes.map(|(probe, rise)| Probed {
        peak_rise_k: rise.highest_k,
        end_rise_k: rise.last_k,
        depth_end_rise_k: rise.at_depth_k,
        ..*probe
    });
    let mut result = BenchResult {
        time_s: stroke.total_time().value,
        path_m: travel::path_m(setup, &stroke),
        removal: taken.removal,
        heat: warmed.heat,
        profile: taken.profile,
        history: warmed.history,
        pressure: pressed.pressure,
        along_path: pressed.along_path,
        probes: probes.collect(),
        abrasive: wearing.map_err(refuse)?,
        finish,
        beyond: Beyond::default(),
        speed: speed(setup).map_err(refuse)?,
        cautions: setup.cautions.clone(),
        provenance: origins(setup, warmed.origins),
        units: setup.units,
        maps: BenchMaps {
            size_m: (section.width.get::<meter>(), section.height.get::<meter>()),
            removal_cells: (taken.map.grid.columns, taken.map.grid.rows),
            removal_um: taken.map.depth_um,
            heat_cells: warmed.cells,
            peak_c: warmed
                .peak_map_k
                .iter()
                .map(|k| start_c + f64::from(*k))
                .collect(),
            start_c,
        },
    };
    result.beyond = Beyond::of(setup, &result);
    let doubts = doubts(setup, &result);
    result.cautions.extend(travel::doubt(setup, &stroke));
    result.cautions.extend(pressed.doubts);
    match result.beyond.no_finish() {
        Some(why) => result.finish.withdraw(why),
        None => result.cautions.extend(result.finish.doubts()),
    }
    result.cautions.extend(result.beyond.doubts());
    result.cautions.extend(doubts);
    Ok(result)
}

/// Where the numbers come from: what the laws gave replaces what the reader
/// noted for the same key.
fn origins(setup: &Setup, from_laws: Vec<Origin>) -> Vec<Origin> {
    let is_told = |origin: &&Origin| from_laws.iter().any(|law| law.key == origin.key);
    let mut origins: Vec<Origin> = setup
        .origins
        .iter()
        .filter(|origin| !is_told(origin))
        .cloned()
        .collect();
    origins.extend(from_laws);
    origins
}

/// Places from the pad's middle to its rim whose speed is told.
const RADII: u32 = 10;

fn speed(setup: &Setup) -> Result<PadSpeed, String> {
    let mean = setup
        .motion
        .mean_speed_of_pad(setup.pad.radius, setup.pad.hole_radius)
        .map_err(|e| e.to_string())?;
    Ok(PadSpeed {
        mean_m_s: mean.get::<meter_per_second>(),
        max_m_s: setup
            .motion
            .highest_speed_on_pad(setup.pad.radius)
            .get::<meter_per_second>(),
        across_pad: (0..=RADII).map(|at| speed_at(setup, at)).collect(),
    })
}

fn speed_at(setup: &Setup, at: u32) -> SpeedAt {
    let face = setup.pad.radius - setup.pad.hole_radius;
    let radius = setup.pad.hole_radius + face * (f64::from(at) / f64::from(RADII));
    let mean = setup.motion.mean_speed_on_pad(radius);
    SpeedAt {
        radius_m: radius.get::<meter>(),
        mean_m_s: mean.get::<meter_per_second>(),
    }
}

/// Surface temperature over which the trade stops, °C (`Source::HeatLimits`).
const STOP_C: f64 = 60.0;

fn doubts(setup: &Setup, result: &BenchResult) -> Vec<Caution> {
    let mut doubts = Vec::new();
    if result.heat.peak_c > STOP_C {
        let parts = [result.heat.peak_c, STOP_C, 43.0, 71.0].map(Part::Heat);
        doubts.push(Caution::of(
            "heat",
            Said::new(Sentence::SurfaceReaches, parts),
        ));
    }
    doubts.extend(through_the_clear(setup, result));
    let is_ranged = setup.friction_frac.lower < setup.friction_frac.upper;
    if is_ranged && result.heat.peak_rise_lower_k.is_none() {
        doubts.push(Caution::new("panel", "The panel does not start at air temperature; the range of the friction share is not carried over to the peak."));
    }
    doubts
}

/// Share of the clear coat that one job may take (`film.md` rules: a quarter of
/// the clear); common practice.
const CLEAR_SHARE_FRAC: f64 = 0.25;

/// What goes at the deepest place, at the upper end of the cut rate, beside the
/// clear coat of the setup.
fn through_the_clear(setup: &Setup, result: &BenchResult) -> Option<Caution> {
    let clear = setup.panel.layers.first()?;
    let clear_um = clear.thickness.get::<micrometer>();
    let rate = result.removal.cut_rate_per_pa;
    let deepest_um = result.removal.max_um;
    let upper_um = deepest_um * rate.upper / rate.value;
    let layer = Part::Text(clear.name.clone());
    let thick = Part::Film(clear_um, 0);
    let said = if deepest_um >= clear_um {
        let parts = [Part::Film(deepest_um, 1), layer, thick];
        Said::new(Sentence::GoesThrough, parts)
    } else if upper_um >= clear_um {
        let parts = [Part::Film(upper_um, 1), layer, thick];
        Said::new(Sentence::MayGoThrough, parts)
    } else if deepest_um > CLEAR_SHARE_FRAC * clear_um {
        let parts = [Part::Film(deepest_um, 1), thick, layer];
        Said::new(Sentence::OverAQuarter, parts)
    } else {
        return None;
    };
    Some(Caution::of("removal", said))
}

#[cfg(test)]
mod tests;
