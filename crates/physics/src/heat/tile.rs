//! A band of the panel that one thread steps on by itself for a while.
//!
//! Law: none of its own; it applies `sideways` and `column` row by row, each
//! row of columns staying in first-level cache while it is swept sideways,
//! solved through the depth and read at the surface. A band keeps a few rows
//! of its neighbours; each sweep sideways makes one of them stale on either
//! side, so bands need to talk only when they run out. What a band computes
//! twice it computes alike, so the numbers do not depend on the cut.
//! Holds: any cut into bands of at least as many rows as are kept.
//! Left out: bands along x.
//! Checked by: equal bits for one, two, three and five threads.

use std::ops::Range;

use super::column::{Column, LANES, RowOfColumns, SurfaceLaw};
use super::depth::DepthCell;
use super::notes::{Line, Notes, RowBooks};
use super::path::PadMoment;
use super::plane::Plane;
use super::sideways::{OldRows, Sideways, Sweep};
use super::source::{Deposit, FluxFootprint};

/// Everything the bands share and none changes.
pub(crate) struct Model<'a> {
    pub(crate) plane: Plane,
    pub(crate) cells: Vec<DepthCell>,
    pub(crate) columns: Vec<Column>,
    pub(crate) surface: SurfaceLaw,
    pub(crate) sideways: Sideways,
    pub(crate) footprints: &'a [FluxFootprint],
    pub(crate) steps: Vec<Step>,
    /// Start temperature over the air's.
    pub(crate) start_k: f32,
    pub(crate) passes: usize,
    pub(crate) thresholds_k: Vec<f32>,
    /// Cells (row, column) whose surface is written down at every step.
    pub(crate) watched: Vec<(usize, usize)>,
}

/// One step of the schedule.
#[derive(Clone, Debug)]
pub(crate) struct Step {
    pub(crate) end_s: f64,
    pub(crate) length_s: f64,
    /// Which eliminated matrix.
    pub(crate) column: usize,
    /// Parts of the fast sideways step.
    pub(crate) parts: usize,
    /// Time the slow depths move on, zero when it is not their turn.
    pub(crate) slow_s: f64,
    pub(crate) pass: usize,
    pub(crate) moments: [PadMoment; 2],
}

impl Step {
    /// Sweeps sideways this step takes.
    pub(crate) fn sweeps(&self) -> usize {
        self.parts.max(usize::from(self.slow_s > 0.0))
    }
}

/// A band of rows.
pub(crate) struct Tile {
    /// Rows this band answers for.
    pub(crate) own: Range<usize>,
    /// Rows it keeps.
    pub(crate) kept: Range<usize>,
    pub(crate) state: Vec<f32>,
    pub(crate) notes: Notes,
    old: OldRows,
    sweep: Sweep,
    deposits: [Deposit; 2],
    flux: [Vec<f32>; 2],
    heats: Vec<[f32; LANES]>,
    rise: Vec<f32>,
}

impl Tile {
    pub(crate) fn new(model: &Model<'_>, own: Range<usize>, halo: usize) -> Self {
        let plane = &model.plane;
        let kept = own.start.saturating_sub(halo)..(own.end + halo).min(plane.y.len());
        let depths = model.cells.len();
        // A trace of warmth, far below rounding, keeps far cells out of the
        // numbers a machine handles slowly.
        let start = if model.start_k == 0.0 {
            1e-20
        } else {
            model.start_k
        };
        Self {
            state: vec![start; kept.len() * depths * plane.stride],
            notes: Notes::new(model, &own),
            old: OldRows::new(depths, plane.stride),
            sweep: Sweep::default(),
            deposits: [Deposit::default(), Deposit::default()],
            flux: [vec![0.0; plane.stride], vec![0.0; plane.stride]],
            heats: vec![[0.0; LANES]; depths],
            rise: vec![0.0; plane.x.panel.len()],
            own,
            kept,
        }
    }

    /// Takes the steps of a block; the kept rows must be fresh.
    pub(crate) fn run(&mut self, model: &Model<'_>, steps: Range<usize>) {
        let mut stale = 0;
        for index in steps {
            let step = &model.steps[index];
            let sweeps = step.sweeps();
            let part_s = if step.parts > 0 {
                step.length_s / step.parts as f64
            } else {
                0.0
            };
            for part in 1..=sweeps {
                stale += 1;
                let is_last = part == sweeps;
                self.sweep.set(
                    &model.sideways,
                    part_s,
                    if is_last { step.slow_s } else { 0.0 },
                );
                if !is_last {
                    let fresh = self.fresh(model, stale);
                    self.begin_sweep(model, &fresh);
                    fresh.for_each(|row| self.sweep_row(model, row));
                }
            }
            self.finish_step(model, index, stale);
        }
    }

    /// Rows still right after `stale` sweeps.
    fn fresh(&self, model: &Model<'_>, stale: usize) -> Range<usize> {
        let low = if self.kept.start == 0 {
            0
        } else {
            self.kept.start + stale
        };
        let high = if self.kept.end == model.plane.y.len() {
            self.kept.end
        } else {
            self.kept.end - stale
        };
        low..high
    }

    /// The last sweep, the solves and the notes, fused row by row.
    fn finish_step(&mut self, model: &Model<'_>, index: usize, stale: usize) {
        let step = &model.steps[index];
        let column = &model.columns[step.column];
        for stage in 0..column.stages.len() {
            let moment = step.moments[stage];
            self.deposits[stage].lay(
                &model.footprints[moment.footprint],
                moment,
                &model.plane.x,
                &model.plane.y,
            );
        }
        let fresh = self.fresh(model, stale);
        let is_swept = step.sweeps() > 0;
        if is_swept {
            self.begin_sweep(model, &fresh);
        }
        for row in fresh {
            if is_swept {
                self.sweep_row(model, row);
            }
            self.solve_row(model, step, row);
            if self.own.contains(&row) && model.plane.y.panel.contains(&row) {
                self.note_row(model, index, row);
            }
            self.clear_flux();
        }
    }

    fn begin_sweep(&mut self, model: &Model<'_>, fresh: &Range<usize>) {
        let before = fresh.start.saturating_sub(1).max(self.kept.start);
        let length = model.cells.len() * model.plane.stride;
        let at = (before - self.kept.start) * length;
        self.old
            .start(&self.sweep, &self.state[at..at + length], &model.plane);
    }

    fn sweep_row(&mut self, model: &Model<'_>, row: usize) {
        let plane = &model.plane;
        let length = model.cells.len() * plane.stride;
        let (head, tail) = self
            .state
            .split_at_mut((row - self.kept.start + 1) * length);
        let here_at = head.len() - length;
        let (rest, here) = head.split_at_mut(here_at);
        // Past the last row there is no exchange; any row will do.
        let next = if tail.is_empty() { rest } else { tail };
        if next.is_empty() {
            let lone = here.to_vec();
            return self
                .old
                .sweep_row(&self.sweep, plane, (here, &lone), [0.0, 0.0]);
        }
        let exchange = [plane.y.before[row], plane.y.after[row]];
        self.old
            .sweep_row(&self.sweep, plane, (here, &next[..length]), exchange);
    }

    fn solve_row(&mut self, model: &Model<'_>, step: &Step, row: usize) {
        let plane = &model.plane;
        let column = &model.columns[step.column];
        let length = model.cells.len() * plane.stride;
        let at = (row - self.kept.start) * length;
        let mut books = RowBooks::default();
        for (stage, law) in column.stages.iter().enumerate() {
            let deposit = &mut self.deposits[stage];
            if deposit.rows.contains(&row) {
                let footprint = &model.footprints[step.moments[stage].footprint];
                let power_w =
                    deposit.fill(footprint, (&plane.x, &plane.y), row, &mut self.flux[stage]);
                books.input_j += law.weight * column.solve_s * power_w;
            }
            let rows = RowOfColumns {
                row: &mut self.state[at..at + length],
                flux_w_m2: &self.flux[stage],
                width: &plane.width,
                heats: &mut self.heats,
            };
            let [inwards, outwards] = column.solve(stage, rows);
            books.net_outer_j += inwards * plane.row_scale_m2(row);
            books.inner_loss_j += outwards * plane.row_scale_m2(row);
        }
        if self.own.contains(&row) {
            self.notes.books[row - self.own.start].add(books);
        }
    }

    fn note_row(&mut self, model: &Model<'_>, index: usize, row: usize) {
        let plane = &model.plane;
        let last = model.columns[model.steps[index].column].stages.len() - 1;
        let at = (row - self.kept.start) * model.cells.len() * plane.stride;
        let panel = plane.x.panel.clone();
        let top = &self.state[at..at + plane.stride][panel.clone()];
        let flux = &self.flux[last][panel];
        let law = model.surface;
        for ((rise, t), q) in self.rise.iter_mut().zip(top).zip(flux) {
            *rise = law.of_cell * t + law.of_flux * q - model.start_k;
        }
        self.notes.read(
            model,
            index,
            Line {
                row,
                first: self.own.start,
                rise: &self.rise,
            },
        );
    }

    fn clear_flux(&mut self) {
        for (deposit, flux) in self.deposits.iter().zip(&mut self.flux) {
            flux[deposit.columns.clone()].fill(0.0);
        }
    }

    /// One depth of a kept row.
    pub(crate) fn depth_row<'a>(
        &'a self,
        model: &Model<'_>,
        row: usize,
        depth: usize,
    ) -> &'a [f32] {
        let stride = model.plane.stride;
        let at = (row - self.kept.start) * model.cells.len() * stride + depth * stride;
        &self.state[at..at + stride]
    }
}
