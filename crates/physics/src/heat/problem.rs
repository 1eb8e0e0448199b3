//! A heat job as the caller describes it.
//!
//! Law: none; it gathers what `solve_heat` needs and checks it.
//! Holds: panels from a centimetre to ten metres, up to a day.
//! Left out: nothing.
//! Checked by: refusals below.

use std::sync::atomic::{AtomicBool, Ordering};

use lapwing_measure::quantity::{HeatTransfer, Length, TemperatureDifference, Time};
use uom::si::heat_transfer::watt_per_square_meter_kelvin;
use uom::si::length::meter;
use uom::si::temperature_interval::kelvin;
use uom::si::time::second;

use super::accuracy::Accuracy;
use super::column::FaceLoss;
use super::error::{Allowed, HeatError, allowed};
use super::layers::Layer;
use super::path::PadPath;
use super::plane::{Axis, Rim};
use super::result::ProbeWeights;
use super::source::FluxFootprint;

/// The panel seen from the front.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Panel {
    /// Extent along x.
    pub size_x: Length,
    /// Extent along y.
    pub size_y: Length,
    /// What the edges do.
    pub rim: Rim,
}

/// How the panel meets the air.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AirContact {
    /// Heat transfer at the outer face.
    pub outside: HeatTransfer,
    /// Heat transfer at the inner face.
    pub inside: HeatTransfer,
    /// How much warmer than the air the panel starts; usually zero.
    pub start_over_air: TemperatureDifference,
}

/// A heat job.
#[derive(Clone, Copy)]
pub struct HeatProblem<'a> {
    /// Layers from the outside inwards.
    pub layers: &'a [Layer],
    /// The panel.
    pub panel: Panel,
    /// The air.
    pub air: AirContact,
    /// Flux tables the path may name.
    pub footprints: &'a [FluxFootprint],
    /// Where the pad is, and when.
    pub path: &'a dyn PadPath,
    /// How long the job takes.
    pub duration: Time,
    /// When each pass ends; empty: the whole job is one pass.
    pub pass_ends: &'a [Time],
    /// Rises over the start whose duration is asked for.
    pub thresholds: &'a [TemperatureDifference],
    /// Places whose surface is written down over time.
    pub probes: &'a [(Length, Length)],
    /// How fine.
    pub accuracy: &'a Accuracy,
}

/// How a running job is watched and stopped.
#[derive(Clone, Copy, Default)]
pub struct HeatWatch<'a> {
    /// Called now and then with the share done, 0 to 1.
    pub progress: Option<&'a (dyn Fn(f64) + Sync)>,
    /// Set to true to stop.
    pub cancel: Option<&'a AtomicBool>,
}

impl HeatWatch<'_> {
    pub(crate) fn report(&self, done_frac: f64) -> Result<(), HeatError> {
        if self.cancel.is_some_and(|flag| flag.load(Ordering::Relaxed)) {
            return Err(HeatError::Cancelled);
        }
        if let Some(progress) = self.progress {
            progress(done_frac);
        }
        Ok(())
    }
}

/// The numbers of a problem in SI units, checked.
#[derive(Clone, Debug)]
pub(crate) struct Numbers {
    pub(crate) size_m: (f64, f64),
    pub(crate) loss: FaceLoss,
    pub(crate) duration_s: f64,
    pub(crate) pass_ends_s: Vec<f64>,
    pub(crate) thresholds_k: Vec<f32>,
    pub(crate) reach_m: f64,
    pub(crate) speed_m_s: f64,
}

const STILL_OR_MOVING: &str = "Still air takes 5 to 10, moving air 25.";
const WIDTH: Allowed = allowed("panel width", "m", 0.01, 10.0, "Work in sections.");
const HEIGHT: Allowed = allowed("panel height", "m", 0.01, 10.0, "Work in sections.");
const OUTSIDE: Allowed = allowed("convection outside", "W/(m²·K)", 0.0, 1e4, STILL_OR_MOVING);
const INSIDE: Allowed = allowed("convection inside", "W/(m²·K)", 0.0, 1e4, STILL_OR_MOVING);
const DURATION: Allowed = allowed("duration", "s", 1e-3, 86_400.0, "Give at most a day.");
const START: Allowed = allowed(
    "start over air",
    "K",
    -200.0,
    200.0,
    "Check both temperatures.",
);
const RISE: Allowed = allowed("threshold", "K", 0.0, 1e4, "Give a rise over the start.");
const SPEED: Allowed = allowed(
    "arm speed",
    "m/s",
    0.0,
    10.0,
    "One inch a second is 0.0254 m/s.",
);

impl HeatProblem<'_> {
    /// Checks everything but the layers.
    pub(crate) fn numbers(&self) -> Result<Numbers, HeatError> {
        if self.footprints.is_empty() {
            return Err(HeatError::Footprint {
                came: "no table came in".to_owned(),
            });
        }
        let metres = |range: Allowed, length: Length| range.hold(length.get::<meter>());
        let loss =
            |range: Allowed, h: HeatTransfer| range.hold(h.get::<watt_per_square_meter_kelvin>());
        let rise =
            |limit: &TemperatureDifference| RISE.hold(limit.get::<kelvin>()).map(|k| k as f32);
        let (panel, air) = (&self.panel, &self.air);
        Ok(Numbers {
            size_m: (metres(WIDTH, panel.size_x)?, metres(HEIGHT, panel.size_y)?),
            loss: FaceLoss {
                outside_w_m2k: loss(OUTSIDE, air.outside)?,
                inside_w_m2k: loss(INSIDE, air.inside)?,
                start_over_air_k: START.hold(air.start_over_air.get::<kelvin>())?,
            },
            duration_s: DURATION.hold(self.duration.get::<second>())?,
            pass_ends_s: self.ends()?,
            thresholds_k: self.thresholds.iter().map(rise).collect::<Result<_, _>>()?,
            reach_m: self
                .footprints
                .iter()
                .map(FluxFootprint::reach_m)
                .fold(0.0, f64::max),
            speed_m_s: SPEED.hold(self.path.speed_m_s())?,
        })
    }

    fn ends(&self) -> Result<Vec<f64>, HeatError> {
        let ends: Vec<f64> = self
            .pass_ends
            .iter()
            .map(|end| end.get::<second>())
            .collect();
        let is_rising = ends.iter().all(|end| end.is_finite())
            && ends.windows(2).all(|pair| pair[0] <= pair[1]);
        if is_rising {
            return Ok(ends);
        }
        Err(HeatError::OutOfRange {
            what: "pass ends",
            came: format!("{ends:?} s"),
            allowed: "times that rise".to_owned(),
            remedy: "Sort the ends of the passes by time.",
        })
    }

    /// The four cells around every probe, and all cells to be watched.
    pub(crate) fn probes(&self, x: &Axis, y: &Axis) -> Result<Watched, HeatError> {
        let mut watched = Vec::new();
        let mut weights = Vec::new();
        for (probe_x, probe_y) in self.probes {
            let along = between("probe x", x, probe_x.get::<meter>())?;
            let across = between("probe y", y, probe_y.get::<meter>())?;
            let first = watched.len();
            let mut corners: ProbeWeights = [(0, 0.0); 4];
            for (corner, slot) in corners.iter_mut().enumerate() {
                let (column, across_w) = along[corner % 2];
                let (row, along_w) = across[corner / 2];
                watched.push((row + y.panel.start, column));
                *slot = (first + corner, across_w * along_w);
            }
            weights.push(corners);
        }
        Ok((watched, weights))
    }
}

/// Cells (row, column) to watch, and how each probe is made of them.
pub(crate) type Watched = (Vec<(usize, usize)>, Vec<ProbeWeights>);

/// The two panel cells whose middles enclose a place, with their weights.
fn between(what: &'static str, axis: &Axis, place_m: f64) -> Result<[(usize, f64); 2], HeatError> {
    let cells = axis.panel.len();
    let width_m = axis.width_m(axis.panel.start);
    let size_m = width_m * cells as f64;
    let size_m = size_m * (1.0 + 1e-12);
    allowed(what, "m", 0.0, size_m, "Choose a place on the panel.").hold(place_m)?;
    let at = (place_m / width_m - 0.5).clamp(0.0, (cells - 1) as f64);
    let low = (at as usize).min(cells.saturating_sub(2));
    let frac = at - low as f64;
    Ok([(low, 1.0 - frac), ((low + 1).min(cells - 1), frac)])
}
