//! How warm the panel gets under the pass.
//!
//! Law: flux = friction share × pressure × rubbing speed into the layers; what
//! is not given of the air follows from the laws of still air and radiation at
//! a surface [`TYPICAL_RISE_K`] over the start.
//! Source: `Source::CarslawJaeger1959`, `Source::Incropera`.
//! Holds: see `lapwing_physics::heat`.
//! Left out: evaporation; heat transfer that follows the surface temperature.
//! Checked by: H3, H4, H8 through setup files, in the tests.

use lapwing_measure::quantity::{HeatTransfer, Length, Temperature, TemperatureDifference, Time};
use lapwing_physics::convection::{self, Face};
use lapwing_physics::footprint::Footprint;
use lapwing_physics::heat::{
    AirContact, FluxFootprint, HeatProblem, HeatResult, HeatWatch, Panel, Rim, solve_heat,
};
use lapwing_physics::motion::Motion;
use lapwing_physics::stroke::Stroke;
use uom::si::heat_transfer::watt_per_square_meter_kelvin;
use uom::si::length::meter;
use uom::si::temperature_interval::kelvin as kelvins;
use uom::si::thermodynamic_temperature::{degree_celsius, kelvin};
use uom::si::time::second;

use super::result::{Heat, HeatGrid, Moment, PeakAt, SecondsAbove};
use super::setup::{Setup, Spread};
use super::travel;

/// Mean rise over the start at which still air is looked at; assumed.
const TYPICAL_RISE_K: f64 = 15.0;
/// Most points of the history that are told.
const MOST_MOMENTS: usize = 400;

/// How warm it gets, with its map.
pub(super) struct Warmed {
    pub(super) heat: Heat,
    pub(super) cells: (usize, usize),
    pub(super) peak_map_k: Vec<f32>,
}

pub(super) fn heat(
    setup: &Setup,
    footprint: &Footprint,
    stroke: &Stroke,
    watch: HeatWatch<'_>,
) -> Result<Warmed, String> {
    let panel = &setup.panel;
    let table = &footprint.rubbing;
    let flux_w_m2: Vec<f64> = table
        .values
        .iter()
        .map(|rubbing| rubbing * setup.friction_frac.value)
        .collect();
    let flux = FluxFootprint::new(table.cells, Length::new::<meter>(table.cell_m), &flux_w_m2)
        .map_err(|e| e.to_string())?;
    let path = travel::timed(stroke)?;
    let ends: Vec<Time> = stroke
        .pass_ends_s()
        .iter()
        .map(|s| Time::new::<second>(*s))
        .collect();
    let start_k = panel.start.get::<kelvin>();
    let rise = |t: &Temperature| {
        TemperatureDifference::new::<kelvins>((t.get::<kelvin>() - start_k).max(0.0))
    };
    let thresholds: Vec<TemperatureDifference> = setup.above.iter().map(rise).collect();
    let air = air(setup)?;
    let problem = HeatProblem {
        layers: &panel.layers,
        panel: Panel {
            size_x: panel.section.width,
            size_y: panel.section.height,
            rim: if panel.is_wide {
                Rim::Wide
            } else {
                Rim::Insulated
            },
        },
        air,
        footprints: &[flux],
        path: &path,
        duration: stroke.total_time(),
        pass_ends: &ends,
        thresholds: &thresholds,
        probes: &[],
        accuracy: &setup.accuracy,
    };
    let solved = solve_heat(&problem, watch).map_err(|e| e.to_string())?;
    Ok(Warmed {
        heat: told(setup, &solved, air),
        cells: (solved.grid.columns, solved.grid.rows),
        peak_map_k: solved.peak_map_k,
    })
}

/// The air as given, or from the laws.
fn air(setup: &Setup) -> Result<AirContact, String> {
    let panel = &setup.panel;
    let face = Face {
        surface: panel.start + TemperatureDifference::new::<kelvins>(TYPICAL_RISE_K),
        air: panel.air,
        width: panel.section.width,
        height: panel.section.height,
        facing: panel.facing,
    };
    let spin = match setup.motion {
        Motion::Rotary { spin } | Motion::RandomOrbital { spin, .. } => spin,
        Motion::ForcedRotation {
            orbit,
            turns_per_orbit,
            ..
        } => orbit * turns_per_orbit,
    };
    let wind = panel.has_pad_wind.then_some(spin);
    let or_law =
        |given: Option<HeatTransfer>,
         law: &dyn Fn() -> Result<HeatTransfer, lapwing_physics::PhysicsError>| {
            given.map_or_else(|| law().map_err(|e| e.to_string()), Ok)
        };
    Ok(AirContact {
        outside: or_law(panel.convection_outside, &|| {
            convection::outside(&face, wind)
        })?,
        inside: or_law(panel.convection_inside, &|| convection::inside(&face))?,
        start_over_air: TemperatureDifference::new::<kelvins>(
            panel.start.get::<kelvin>() - panel.air.get::<kelvin>(),
        ),
    })
}

fn told(setup: &Setup, solved: &HeatResult, air: AirContact) -> Heat {
    let start_c = setup.panel.start.get::<degree_celsius>();
    let Spread {
        value,
        lower,
        upper,
    } = setup.friction_frac;
    let can_scale = solved.is_proportional && value > 0.0;
    let scaled = |share: f64| can_scale.then(|| solved.peak_rise_k * share / value);
    Heat {
        peak_c: start_c + solved.peak_rise_k,
        peak_rise_k: solved.peak_rise_k,
        peak_rise_lower_k: scaled(lower),
        peak_rise_upper_k: scaled(upper),
        peak_error_k: solved.peak_error_k,
        peak_at: PeakAt {
            x_m: solved.peak_at.x_m,
            y_m: solved.peak_at.y_m,
            t_s: solved.peak_at.t_s,
        },
        pass_peak_rise_k: solved.pass_peak_rise_k.clone(),
        energy_in_j: solved.energy.in_j,
        energy_stored_j: solved.energy.stored_j,
        energy_lost_j: solved.energy.lost_j,
        energy_balance_frac: solved.energy.balance_frac,
        friction_share: setup.friction_frac,
        convection_outside_w_m2k: air.outside.get::<watt_per_square_meter_kelvin>(),
        convection_inside_w_m2k: air.inside.get::<watt_per_square_meter_kelvin>(),
        seconds_above: setup
            .above
            .iter()
            .zip(&solved.above)
            .map(|(t, above)| SecondsAbove {
                temperature_c: t.get::<degree_celsius>(),
                longest_s: above.longest_s,
            })
            .collect(),
        history: history(solved),
        grid: HeatGrid {
            columns: solved.grid.columns,
            rows: solved.grid.rows,
            depth_cells: solved.grid.depths_m.len(),
            step_s: solved.grid.step_s,
            steps: solved.grid.steps,
        },
    }
}

/// The history, thinned to the hottest moment of every stretch.
fn history(solved: &HeatResult) -> Vec<Moment> {
    let stretch = solved.history.len().div_ceil(MOST_MOMENTS).max(1);
    let hottest = |points: &[lapwing_physics::heat::HistoryPoint]| {
        points
            .iter()
            .max_by(|a, b| a.hottest_rise_k.total_cmp(&b.hottest_rise_k))
            .copied()
    };
    let moment = |point: lapwing_physics::heat::HistoryPoint| Moment {
        t_s: point.t_s,
        hottest_rise_k: point.hottest_rise_k,
        under_pad_rise_k: point.centre_rise_k,
    };
    solved
        .history
        .chunks(stretch)
        .filter_map(hottest)
        .map(moment)
        .collect()
}
