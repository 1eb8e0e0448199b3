//! How warm the panel gets under the pass.
//!
//! Law: flux = friction share × pressure × rubbing speed into the layers; what
//! is not given of the air follows from the laws at the panel's own temperature
//! (see `air`).
//! Source: `Source::CarslawJaeger1959`, `Source::Incropera`.
//! Holds: see `lapwing_physics::heat`.
//! Left out: evaporation; heat transfer that differs from place to place.
//! Checked by: H3, H4, H8 through setup files, in the tests.

use lapwing_measure::quantity::{Length, Temperature, TemperatureDifference, Time};
use lapwing_physics::course::Course;
use lapwing_physics::heat::{
    Accuracy, AirContact, Cells, DepthCells, FluxFootprint, HeatError, HeatProblem, HeatResult,
    HeatWatch, HistoryPoint, PadPath, Panel, Rim, Scheme, TimedPath, solve_heat,
};
use lapwing_physics::stroke::Stroke;
use uom::si::heat_transfer::watt_per_square_meter_kelvin;
use uom::si::length::meter;
use uom::si::temperature_interval::kelvin as kelvins;
use uom::si::thermodynamic_temperature::{degree_celsius, kelvin};
use uom::si::time::second;

use super::air::{self, Air};
use super::inside::Inside;
use super::result::{Heat, HeatGrid, Moment, PeakAt, PlaceOn, SecondsAbove};
use super::setup::{Origin, Probe, Setup, Spread};
use super::travel;

/// Most points of the history that are told.
const MOST_MOMENTS: usize = 400;
/// Places a side at which the panel's own temperature is read.
const PLACES: usize = 9;

/// How warm it gets, with its map.
pub(super) struct Warmed {
    pub(super) heat: Heat,
    pub(super) history: Vec<Moment>,
    /// Where the loss to the air comes from.
    pub(super) origins: Vec<Origin>,
    pub(super) cells: (usize, usize),
    pub(super) peak_map_k: Vec<f32>,
    /// Rises at the places asked for.
    pub(super) probed_k: Vec<RiseAt>,
}

pub(super) fn heat(
    setup: &Setup,
    course: &Course,
    stroke: &Stroke,
    watch: HeatWatch<'_>,
) -> Result<Warmed, String> {
    let pass = Pass::of(setup, course, stroke)?;
    let quiet = HeatWatch {
        progress: None,
        ..watch
    };
    let air = air::air(setup, &|contact| pass.warmth_k(contact, quiet))?;
    let start_k = setup.panel.start.get::<kelvin>();
    let rise = |t: &Temperature| {
        TemperatureDifference::new::<kelvins>((t.get::<kelvin>() - start_k).max(0.0))
    };
    let thresholds: Vec<TemperatureDifference> = setup.above.iter().map(rise).collect();
    let places: Vec<(Length, Length)> = setup.probes.iter().map(|p| (p.x, p.y)).collect();
    let problem = HeatProblem {
        thresholds: &thresholds,
        probes: &places,
        ..pass.problem(air.contact, &setup.accuracy)
    };
    let solved = solve_heat(&problem, watch).map_err(|e| by_key(&e))?;
    Ok(Warmed {
        heat: told(setup, &solved, &air, pass.duration.get::<second>()),
        history: history(setup, &solved),
        origins: air::origins(&air.laws),
        cells: (solved.grid.columns, solved.grid.rows),
        probed_k: probed(setup, &solved, &air),
        peak_map_k: solved.peak_map_k,
    })
}

/// A refusal under the key of the setup that led to it.
fn by_key(error: &HeatError) -> String {
    let said = error.to_string();
    let key = match error {
        HeatError::TooManyCells { .. } | HeatError::TooMuchWork { .. } => "heat.cells",
        HeatError::TooManySteps { .. }
        | HeatError::UnstableStep { .. }
        | HeatError::PadSkips { .. } => "heat.step",
        HeatError::OutOfRange {
            what: "duration", ..
        } => "stroke, how long the pass lasts",
        _ => return said,
    };
    match said.split_once(": ") {
        Some((_, rest)) => format!("{key}: {rest}"),
        None => said,
    }
}

/// Rises at a place that was asked for.
#[derive(Clone, Copy, Debug)]
pub(super) struct RiseAt {
    /// Of the surface, at any time.
    pub(super) highest_k: f64,
    /// Of the surface, at the end.
    pub(super) last_k: f64,
    /// At the depth asked for, at the end.
    pub(super) at_depth_k: f64,
}

fn probed(setup: &Setup, solved: &HeatResult, air: &Air) -> Vec<RiseAt> {
    let inside = Inside::of(setup, solved, &air.contact);
    let rise = |(probe, rises_k): (&Probe, &Vec<f32>)| {
        let last_k = f64::from(rises_k.last().copied().unwrap_or(0.0));
        RiseAt {
            highest_k: f64::from(rises_k.iter().copied().fold(0.0, f32::max)),
            last_k,
            at_depth_k: if probe.depth.value > 0.0 {
                inside.rise_k(probe)
            } else {
                last_k
            },
        }
    };
    setup
        .probes
        .iter()
        .zip(&solved.probes_k)
        .map(rise)
        .collect()
}

/// The pass as the heat sees it.
struct Pass<'a> {
    setup: &'a Setup,
    flux: Vec<FluxFootprint>,
    path: TimedPath,
    duration: Time,
    ends: Vec<Time>,
}

impl<'a> Pass<'a> {
    fn of(setup: &'a Setup, course: &Course, stroke: &Stroke) -> Result<Self, String> {
        Ok(Self {
            setup,
            flux: travel::fluxes(course, setup.friction_frac.value)?,
            path: travel::timed_course(course)?,
            duration: stroke.total_time(),
            ends: stroke
                .pass_ends_s()
                .iter()
                .map(|s| Time::new::<second>(*s))
                .collect(),
        })
    }

    fn problem<'b>(&'b self, air: AirContact, accuracy: &'b Accuracy) -> HeatProblem<'b> {
        let panel = &self.setup.panel;
        HeatProblem {
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
            footprints: &self.flux,
            path: &self.path,
            duration: self.duration,
            pass_ends: &self.ends,
            thresholds: &[],
            probes: &[],
            accuracy,
        }
    }

    /// How warm over the air the panel is where it loses heat: the mean over
    /// places and moments, each counted by what it loses.
    fn warmth_k(&self, air: AirContact, watch: HeatWatch<'_>) -> Result<f64, String> {
        let section = self.setup.panel.section;
        let share = |place: usize| (place as f64 + 0.5) / PLACES as f64;
        let probes: Vec<(Length, Length)> = (0..PLACES * PLACES)
            .map(|p| {
                (
                    section.width * share(p % PLACES),
                    section.height * share(p / PLACES),
                )
            })
            .collect();
        let rough = self.rough();
        let problem = HeatProblem {
            probes: &probes,
            ..self.problem(air, &rough)
        };
        let quick = HeatProblem {
            accuracy: &Accuracy::Interactive,
            ..problem
        };
        let solved = solve_heat(&problem, watch)
            .or_else(|_| solve_heat(&quick, watch))
            .map_err(|e| e.to_string())?;
        let start_k = air.start_over_air.get::<kelvins>();
        let over_air = solved
            .probes_k
            .iter()
            .flatten()
            .map(|rise| f64::from(*rise) + start_k);
        let (lost, weighted) = over_air.fold((0.0, 0.0), |(lost, weighted), k| {
            (lost + k.abs(), weighted + k * k.abs())
        });
        Ok(if lost > 0.0 { weighted / lost } else { 0.0 })
    }

    /// Cells and steps just fine enough for the panel's mean temperature.
    fn rough(&self) -> Accuracy {
        let section = self.setup.panel.section;
        let reach_m = self
            .flux
            .iter()
            .map(FluxFootprint::reach_m)
            .fold(0.0, f64::max);
        let count = |side: Length| {
            (side.get::<meter>() / (0.7 * reach_m))
                .ceil()
                .clamp(8.0, 48.0)
        };
        let lasts_s = self.duration.get::<second>();
        let step_s = (0.5 * reach_m / self.path.speed_m_s())
            .min(lasts_s / 24.0)
            .min(5.0);
        Accuracy::Cells(Cells {
            nx: count(section.width) as usize,
            ny: count(section.height) as usize,
            nz: DepthCells::Total(self.setup.panel.layers.len() + 4),
            dt: Time::new::<second>(step_s),
            scheme: Scheme::TwoStage,
        })
    }
}

fn told(setup: &Setup, solved: &HeatResult, air: &Air, duration_s: f64) -> Heat {
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
        mean_power_w: solved.energy.in_j / duration_s,
        energy_balance_frac: solved.energy.balance_frac,
        friction_share: setup.friction_frac,
        convection_outside_w_m2k: air.contact.outside.get::<watt_per_square_meter_kelvin>(),
        convection_inside_w_m2k: air.contact.inside.get::<watt_per_square_meter_kelvin>(),
        convection: air.laws.clone(),
        seconds_above: seconds_above(setup, solved),
        grid: HeatGrid {
            columns: solved.grid.columns,
            rows: solved.grid.rows,
            depth_cells: solved.grid.depths_m.len(),
            step_s: solved.grid.step_s,
            steps: solved.grid.steps,
        },
    }
}

/// How long the surface was over each limit, and where longest.
fn seconds_above(setup: &Setup, solved: &HeatResult) -> Vec<SecondsAbove> {
    let (columns, rows) = (solved.grid.columns, solved.grid.rows);
    let section = setup.panel.section;
    let cell_m = (
        section.width.get::<meter>() / columns as f64,
        section.height.get::<meter>() / rows as f64,
    );
    let place = |index: usize| PlaceOn {
        x_m: ((index % columns) as f64 + 0.5) * cell_m.0,
        y_m: ((index / columns) as f64 + 0.5) * cell_m.1,
    };
    setup
        .above
        .iter()
        .zip(&solved.above)
        .map(|(limit, above)| {
            let mut longest = (0.0_f32, None);
            for (index, seconds) in above.map_s.iter().enumerate() {
                if *seconds > longest.0 {
                    longest = (*seconds, Some(place(index)));
                }
            }
            SecondsAbove {
                limit_c: limit.get::<degree_celsius>(),
                max_s: above.longest_s,
                at: longest.1,
            }
        })
        .collect()
}

/// The history, thinned to the hottest moment of every stretch.
fn history(setup: &Setup, solved: &HeatResult) -> Vec<Moment> {
    let start_c = setup.panel.start.get::<degree_celsius>();
    let stretch = solved.history.len().div_ceil(MOST_MOMENTS).max(1);
    let hottest = |points: &[HistoryPoint]| {
        points
            .iter()
            .max_by(|a, b| a.hottest_rise_k.total_cmp(&b.hottest_rise_k))
            .copied()
    };
    let moment = |point: HistoryPoint| Moment {
        t_s: point.t_s,
        under_pad_c: point.centre_rise_k.map(|rise| start_c + rise),
        hottest_c: start_c + point.hottest_rise_k,
    };
    solved
        .history
        .chunks(stretch)
        .filter_map(hottest)
        .map(moment)
        .collect()
}
