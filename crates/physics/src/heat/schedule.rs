//! From a job to the list of steps every band takes.
//!
//! Law: N equal steps fill the duration, gathered into rounds (see `round`); where the start is eased in, the
//! first is halved six times (1/64, 1/64, 1/32 … 1/2), because at the first
//! touch the surface rises with the root of time.
//! Source: graded start steps, Rannacher, Numer. Math. 43 (1984) 309, MEMORY
//! (there: a few small first-order steps before a second-order method).
//! Holds: any duration.
//! Left out: easing in at every new touch; a moving rim is spread over a cell.
//! Checked by: steps add up to the duration, below; H5 from 0.1 s on.

use std::ops::Range;

use fearless_simd::Level;

use super::accuracy::Settings;
use super::column::{Column, FaceLoss, Scheme, SurfaceLaw};
use super::depth::DepthCell;
use super::error::{Allowed, HeatError, allowed};
use super::path::{PadMoment, PadPath};
use super::plane::Plane;
use super::round::{Far, Near, cut};
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
    let mut matrices = Matrices {
        cells,
        loss: with.loss,
        list: Vec::new(),
        made: Vec::new(),
    };
    let mut list = Vec::with_capacity(steps as usize + HALVINGS as usize);
    let mut clock = Clock {
        with: &with,
        scheme: settings.scheme,
        is_automatic: settings.is_eased_in,
        end_s: 0.0,
    };
    for halving in (1..=halvings).rev() {
        if halving == halvings {
            list.push(clock.tick(&mut matrices, step_s, halving)?);
        }
        list.push(clock.tick(&mut matrices, step_s, halving)?);
    }
    let eased = list.len();
    for _ in eased.min(1)..steps as usize {
        list.push(clock.tick(&mut matrices, step_s, 0)?);
    }
    if let Some(last) = list.last_mut() {
        last.end_s = with.duration_s;
    }
    let sideways = Sideways::new(cells, &with.plane, step_s, with.duration_s);
    let mut slow = Slow::default();
    for index in 0..list.len() {
        let is_last = index + 1 == list.len();
        let step = &mut list[index];
        step.fast_sweeps = sideways.sweeps(step.length_s)?;
        step.slow_s = slow.due_s(&sideways, step.length_s, is_last);
    }
    if settings.round_steps > 1 {
        let rounds = cut(list.len(), eased, settings.round_steps);
        gather(&mut list, rounds, &with, &mut matrices);
    }
    Ok(Model {
        level: Level::new(),
        surface: SurfaceLaw::new(cells, with.loss),
        cells: cells.clone(),
        columns: matrices.list,
        sideways,
        steps: list,
        footprints: with.footprints,
        is_at_air: with.loss.start_over_air_k == 0.0,
        passes: with.pass_ends_s.len().max(1),
        thresholds_k: with.thresholds_k,
        watched: with.watched,
        plane: with.plane,
    })
}

/// Gathers steps into rounds, which only the columns near the pad take step by step.
fn gather(
    steps: &mut [Step],
    rounds: Vec<Range<usize>>,
    with: &Ingredients<'_>,
    matrices: &mut Matrices<'_>,
) {
    let mut before = Near::default();
    for round in rounds {
        let inside = &mut steps[round.clone()];
        let touched = Near::touched(inside, with.footprints, &with.plane);
        let near = touched.and(&before);
        for step in inside.iter_mut() {
            step.near = near.clone();
        }
        let length_s: f64 = inside.iter().map(|step| step.length_s).sum();
        if let Some(last) = inside.last_mut() {
            last.far = Some(Far {
                column: matrices.get(length_s, Scheme::BackwardEuler),
                steps: round,
            });
        }
        before = touched;
    }
}

/// Counts the time the slow depths have not moved on yet.
#[derive(Default)]
struct Slow {
    owed_s: f64,
}

impl Slow {
    /// Time they move on after another `length_s`, zero when not yet.
    fn due_s(&mut self, sideways: &Sideways, length_s: f64, is_last: bool) -> f64 {
        if sideways.slow.is_empty() {
            return 0.0;
        }
        self.owed_s += length_s;
        // Whether one more step of this length would be too long.
        if self.owed_s + length_s <= sideways.slow_longest_s && !is_last {
            return 0.0;
        }
        std::mem::take(&mut self.owed_s)
    }
}

/// Eliminated matrices, one for every length and scheme.
struct Matrices<'a> {
    cells: &'a [DepthCell],
    loss: FaceLoss,
    list: Vec<Column>,
    made: Vec<(f64, Scheme)>,
}

impl Matrices<'_> {
    fn get(&mut self, length_s: f64, scheme: Scheme) -> usize {
        // Sums of equal steps differ by roundings only.
        let is_it = |(made_s, made): &(f64, Scheme)| {
            *made == scheme && (made_s / length_s - 1.0).abs() < 1e-12
        };
        if let Some(found) = self.made.iter().position(is_it) {
            return found;
        }
        self.made.push((length_s, scheme));
        self.list
            .push(Column::new(self.cells, self.loss, length_s, scheme));
        self.list.len() - 1
    }
}

/// Writes the steps one after the other.
struct Clock<'a, 'b> {
    with: &'a Ingredients<'b>,
    scheme: Scheme,
    is_automatic: bool,
    end_s: f64,
}

impl Clock<'_, '_> {
    fn tick(
        &mut self,
        matrices: &mut Matrices<'_>,
        whole_s: f64,
        halving: u32,
    ) -> Result<Step, HeatError> {
        let length_s = whole_s * 0.5_f64.powi(halving as i32);
        let start_s = self.end_s;
        self.end_s += length_s;
        let column = matrices.get(length_s, self.scheme);
        let stages = &matrices.list[column].stages;
        let node_s =
            |stage: usize| start_s + stages[stage.min(stages.len() - 1)].node_frac * length_s;
        let middle_s = start_s + 0.5 * length_s;
        let moments = if self.is_automatic {
            // Both stages together see the middle: (1−γ)γ + γ = 1/2.
            [self.moment(middle_s)?; 2]
        } else {
            [self.moment(node_s(0))?, self.moment(node_s(1))?]
        };
        let pass = self
            .with
            .pass_ends_s
            .partition_point(|&end_s| end_s < middle_s);
        Ok(Step {
            end_s: self.end_s,
            length_s,
            column,
            pass: pass.min(self.with.pass_ends_s.len().saturating_sub(1)),
            moments,
            fast_sweeps: 0,
            slow_s: 0.0,
            near: Near::everywhere(&self.with.plane),
            far: None,
        })
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
