//! From a job to the list of steps every band takes.
//!
//! Law: N equal steps fill the duration; where the start is eased in, the
//! first is halved six times (1/64, 1/64, 1/32 … 1/2), because at the first
//! touch the surface rises with the root of time.
//! Source: graded start steps, Rannacher, Numer. Math. 43 (1984) 309, MEMORY
//! (there: a few small first-order steps before a second-order method).
//! Holds: any duration.
//! Left out: easing in at every new touch; a moving rim is spread over a cell.
//! Checked by: steps add up to the duration, below; H5 from 0.1 s on.

use super::accuracy::Settings;
use super::column::{Column, FaceLoss, SurfaceLaw};
use super::error::{Allowed, HeatError, allowed};
use super::path::{PadMoment, PadPath};
use super::plane::Plane;
use super::sideways::Sideways;
use super::source::FluxFootprint;
use super::tile::{Model, Step};

const STRENGTH: Allowed = allowed(
    "pad strength",
    "times the table",
    0.0,
    1e6,
    "Use 1 for the table as given.",
);
/// Halvings of the first step.
const HALVINGS: u32 = 6;

/// What a model is made of beside its settings.
pub(crate) struct Ingredients<'a> {
    pub(crate) plane: Plane,
    pub(crate) loss: FaceLoss,
    pub(crate) start_k: f64,
    pub(crate) footprints: &'a [FluxFootprint],
    pub(crate) path: &'a dyn PadPath,
    pub(crate) duration_s: f64,
    pub(crate) pass_ends_s: Vec<f64>,
    pub(crate) thresholds_k: Vec<f32>,
    pub(crate) watched: Vec<(usize, usize)>,
}

/// Builds the model.
///
/// # Errors
/// Refuses unstable steps and places that are no numbers.
pub(crate) fn model<'a>(
    settings: &Settings,
    with: Ingredients<'a>,
) -> Result<Model<'a>, HeatError> {
    let steps = (with.duration_s / settings.step_s - 1e-6).ceil().max(1.0);
    let step_s = with.duration_s / steps;
    let halvings = if settings.is_eased_in { HALVINGS } else { 0 };
    let cells = &settings.cells;
    let column = |halving: u32| {
        Column::new(
            cells,
            with.loss,
            step_s * 0.5_f64.powi(halving as i32),
            settings.scheme,
        )
    };
    let columns: Vec<Column> = (0..=halvings).map(column).collect();
    let sideways = Sideways::new(cells, &with.plane, step_s, with.duration_s);
    let mut list = Vec::with_capacity(steps as usize + HALVINGS as usize);
    let mut clock = Clock {
        with: &with,
        columns: &columns,
        sideways: &sideways,
        end_s: 0.0,
        since_slow: 0,
        owed_s: 0.0,
    };
    for halving in (1..=halvings).rev() {
        if halving == halvings {
            list.push(clock.tick(step_s, halving)?);
        }
        list.push(clock.tick(step_s, halving)?);
    }
    for _ in list.len().min(1)..steps as usize {
        list.push(clock.tick(step_s, 0)?);
    }
    if let Some(last) = list.last_mut() {
        last.slow_s += clock.owed_s;
        last.end_s = with.duration_s;
    }
    Ok(Model {
        surface: SurfaceLaw::new(cells, with.loss),
        cells: cells.clone(),
        columns,
        sideways,
        steps: list,
        footprints: with.footprints,
        start_k: with.start_k as f32,
        passes: with.pass_ends_s.len().max(1),
        thresholds_k: with.thresholds_k,
        watched: with.watched,
        plane: with.plane,
    })
}

/// Writes the steps one after the other.
struct Clock<'a, 'b> {
    with: &'a Ingredients<'b>,
    columns: &'a [Column],
    sideways: &'a Sideways,
    end_s: f64,
    since_slow: usize,
    /// Time the slow depths have not moved on yet.
    owed_s: f64,
}

impl Clock<'_, '_> {
    fn tick(&mut self, whole_s: f64, halving: u32) -> Result<Step, HeatError> {
        let length_s = whole_s * 0.5_f64.powi(halving as i32);
        let start_s = self.end_s;
        self.end_s += length_s;
        let stages = &self.columns[halving as usize].stages;
        let node_s =
            |stage: usize| start_s + stages[stage.min(stages.len() - 1)].node_frac * length_s;
        let moments = [self.moment(node_s(0))?, self.moment(node_s(1))?];
        let middle_s = start_s + 0.5 * length_s;
        let pass = self
            .with
            .pass_ends_s
            .partition_point(|&end_s| end_s < middle_s);
        Ok(Step {
            end_s: self.end_s,
            length_s,
            column: halving as usize,
            parts: self.sideways.parts(length_s)?,
            slow_s: self.slow_s(length_s),
            pass: pass.min(self.with.pass_ends_s.len().saturating_sub(1)),
            moments,
        })
    }

    fn slow_s(&mut self, length_s: f64) -> f64 {
        if self.sideways.slow.is_empty() {
            return 0.0;
        }
        self.owed_s += length_s;
        self.since_slow += 1;
        if self.since_slow < self.sideways.slow_every {
            return 0.0;
        }
        self.since_slow = 0;
        std::mem::take(&mut self.owed_s)
    }

    fn moment(&self, t_s: f64) -> Result<PadMoment, HeatError> {
        let moment = self.with.path.moment(t_s);
        if !(moment.x_m.is_finite() && moment.y_m.is_finite()) {
            return Err(HeatError::NoPlace {
                t_s,
                x_m: moment.x_m,
                y_m: moment.y_m,
            });
        }
        STRENGTH.hold(moment.strength_frac)?;
        let tables = self.with.footprints.len();
        if moment.footprint >= tables {
            return Err(HeatError::OutOfRange {
                what: "path footprint",
                came: format!("table {}", moment.footprint),
                allowed: format!("0 to {}", tables - 1),
                remedy: "Name one of the tables given, counted from 0.",
            });
        }
        Ok(moment)
    }
}
