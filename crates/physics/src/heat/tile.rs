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
//! Checked by: equal bits for one, two, three and eight threads.

use std::ops::Range;

use fearless_simd::{Level, Simd, dispatch};

use super::column::{Column, LANES, ROOM, RowOfColumns, SurfaceLaw};
use super::depth::DepthCell;
use super::notes::{Line, Notes, RowBooks, Surface, surface};
use super::path::PadMoment;
use super::plane::Plane;
use super::round::{Far, Near};
use super::sideways::{OldRow, Rows, Sideways, Sweep, Turn};
use super::source::{Deposit, FluxFootprint};
use crate::wide::Aligned;

/// Everything the bands share and none changes.
pub(crate) struct Model<'a> {
    /// Which registers the machine has; the numbers do not depend on it.
    pub(crate) level: Level,
    pub(crate) plane: Plane,
    pub(crate) cells: Vec<DepthCell>,
    pub(crate) columns: Vec<Column>,
    pub(crate) surface: SurfaceLaw,
    pub(crate) sideways: Sideways,
    pub(crate) footprints: &'a [FluxFootprint],
    pub(crate) steps: Vec<Step>,
    /// Whether the panel starts at the temperature of the air.
    pub(crate) is_at_air: bool,
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
    pub(crate) pass: usize,
    pub(crate) moments: [PadMoment; 2],
    /// Sweeps the fast depths take sideways.
    pub(crate) fast_sweeps: usize,
    /// Time the slow depths move on, zero when it is not their turn.
    pub(crate) slow_s: f64,
    /// Columns that take this step through the depth.
    pub(crate) near: Near,
    /// What the others do; nothing until their round ends.
    pub(crate) far: Option<Far>,
}

impl Step {
    /// Sweeps sideways this step takes.
    pub(crate) fn sweeps(&self) -> usize {
        self.fast_sweeps.max(usize::from(self.slow_s > 0.0))
    }

    /// Whether both stages see the pad at the same place.
    fn has_one_moment(&self) -> bool {
        self.moments[0] == self.moments[1]
    }
}

/// A band of rows.
pub(crate) struct Tile {
    /// Rows this band answers for.
    pub(crate) own: Range<usize>,
    /// Rows it keeps.
    pub(crate) kept: Range<usize>,
    pub(crate) state: Aligned,
    pub(crate) notes: Notes,
    old: OldRow,
    sweep: Sweep,
    /// Fast depths of every kept row before the last of several sweeps.
    earlier: Aligned,
    deposits: [Deposit; 2],
    flux: [Aligned; 2],
    /// No flux.
    still: Aligned,
    heats: Aligned,
    rise: Vec<f32>,
}

impl Tile {
    pub(crate) fn new(model: &Model<'_>, own: Range<usize>, halo: usize) -> Self {
        let plane = &model.plane;
        let kept = own.start.saturating_sub(halo)..(own.end + halo).min(plane.y.len());
        let depths = model.cells.len();
        // A trace of warmth, far below rounding, keeps far cells out of the
        // numbers a machine handles slowly.
        let start = 1e-20;
        let is_swept_often = model.steps.iter().any(|step| step.fast_sweeps > 1);
        let fast = if is_swept_often {
            model.sideways.fast.len()
        } else {
            0
        };
        Self {
            earlier: Aligned::new(kept.len() * fast * plane.stride, 0.0),
            state: Aligned::new(kept.len() * depths * plane.stride, start),
            notes: Notes::new(model, &own),
            old: OldRow::new(depths, plane.stride),
            sweep: Sweep::default(),
            deposits: [Deposit::default(), Deposit::default()],
            flux: [0, 1].map(|_| Aligned::new(plane.stride, 0.0)),
            still: Aligned::new(plane.stride, 0.0),
            heats: Aligned::new(depths * ROOM, 0.0),
            rise: vec![0.0; plane.x.panel.len()],
            own,
            kept,
        }
    }

    /// Takes the steps of a block; the kept rows must be fresh.
    pub(crate) fn run(&mut self, model: &Model<'_>, steps: Range<usize>) {
        dispatch!(model.level, simd => self.run_on(simd, model, steps));
    }

    fn run_on<S: Simd>(&mut self, simd: S, model: &Model<'_>, steps: Range<usize>) {
        let mut stale = 0;
        for index in steps {
            let step = &model.steps[index];
            let sweeps = step.sweeps();
            for number in 1..=sweeps {
                stale += 1;
                let turn = Turn {
                    number,
                    of: sweeps,
                    fast_s: step.length_s,
                    slow_s: step.slow_s,
                };
                self.sweep.set(&model.sideways, turn);
                if number < sweeps {
                    let fresh = self.fresh(model, stale);
                    self.begin_sweep(model, &fresh);
                    fresh.for_each(|row| self.sweep_row(simd, model, row));
                }
            }
            self.finish_step(simd, model, (index, stale));
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
    fn finish_step<S: Simd>(&mut self, simd: S, model: &Model<'_>, (index, stale): (usize, usize)) {
        let step = &model.steps[index];
        let moments = if step.has_one_moment() { 1 } else { 2 };
        for (deposit, moment) in self.deposits.iter_mut().zip(step.moments).take(moments) {
            let table = &model.footprints[moment.footprint];
            deposit.lay(table, moment, &model.plane.x, &model.plane.y);
        }
        let fresh = self.fresh(model, stale);
        let is_swept = step.sweeps() > 0;
        if is_swept {
            self.begin_sweep(model, &fresh);
        }
        for row in fresh {
            if is_swept {
                self.sweep_row(simd, model, row);
            }
            self.solve_row(simd, model, (index, row));
        }
    }

    fn begin_sweep(&mut self, model: &Model<'_>, fresh: &Range<usize>) {
        let before = fresh.start.saturating_sub(1).max(self.kept.start);
        let length = model.cells.len() * model.plane.stride;
        let at = (before - self.kept.start) * length;
        self.old.start(
            &self.sweep,
            &self.state[at..at + length],
            model.plane.stride,
        );
    }

    fn sweep_row<S: Simd>(&mut self, simd: S, model: &Model<'_>, row: usize) {
        let plane = &model.plane;
        let length = model.cells.len() * plane.stride;
        let (head, tail) = self
            .state
            .split_at_mut((row - self.kept.start + 1) * length);
        let here_at = head.len() - length;
        let (rest, here) = head.split_at_mut(here_at);
        // Past the last row there is no exchange; any row will do.
        let next = if tail.is_empty() { rest } else { tail };
        let lone = if next.is_empty() {
            here.to_vec()
        } else {
            Vec::new()
        };
        let slots = self.earlier.len() / self.kept.len();
        let rows = Rows {
            row: here,
            next: if next.is_empty() {
                &lone
            } else {
                &next[..length]
            },
            earlier: &mut self.earlier[(row - self.kept.start) * slots..][..slots],
        };
        let exchange = [plane.y.before[row], plane.y.after[row]];
        self.old
            .sweep_row(simd, (&self.sweep, plane), rows, exchange);
    }

    /// Columns far from the pad wait for the end of the round.
    fn solve_row<S: Simd>(&mut self, simd: S, model: &Model<'_>, (index, row): (usize, usize)) {
        let step = &model.steps[index];
        let all = 0..model.plane.stride / LANES;
        let near = step.near.of_row(row);
        if let Some(far) = &step.far {
            let beside = if near.is_empty() {
                [all, 0..0]
            } else {
                [all.start..near.start, near.end..all.end]
            };
            for strips in beside.into_iter().filter(|strips| !strips.is_empty()) {
                self.solve_far(simd, model, far, (row, strips.clone()));
                self.note(simd, model, far.steps.clone(), (row, strips));
            }
        }
        if near.is_empty() {
            return;
        }
        self.solve_near(simd, model, step, (row, near.clone()));
        self.note(simd, model, index..index + 1, (row, near));
        for (deposit, flux) in self.deposits.iter().zip(&mut self.flux) {
            if deposit.rows.contains(&row) {
                flux[deposit.columns.clone()].fill(0.0);
            }
        }
    }

    fn solve_far<S: Simd>(
        &mut self,
        simd: S,
        model: &Model<'_>,
        far: &Far,
        place: (usize, Range<usize>),
    ) {
        let (row, strips) = place;
        let column = &model.columns[far.column];
        let state = self.state_of(model, row);
        let rows = RowOfColumns {
            row: &mut self.state[state],
            flux_w_m2: &self.still,
            width: &model.plane.width,
            heats: &mut self.heats,
            strips,
        };
        let through = column.solve(simd, 0, rows);
        self.book(model, row, 0.0, through);
    }

    fn solve_near<S: Simd>(
        &mut self,
        simd: S,
        model: &Model<'_>,
        step: &Step,
        place: (usize, Range<usize>),
    ) {
        let (row, strips) = place;
        let plane = &model.plane;
        let column = &model.columns[step.column];
        let mut power_w = 0.0;
        for (stage, law) in column.stages.iter().enumerate() {
            let seen = if step.has_one_moment() { 0 } else { stage };
            let deposit = &mut self.deposits[seen];
            // A stage that sees the pad where the one before saw it has its flux laid.
            if seen == stage {
                power_w = 0.0;
            }
            if seen == stage && deposit.rows.contains(&row) {
                let table = &model.footprints[step.moments[stage].footprint];
                let axes = (&plane.x, &plane.y);
                power_w = deposit.fill(table, axes, row, &mut self.flux[seen]);
            }
            let state = self.state_of(model, row);
            let rows = RowOfColumns {
                row: &mut self.state[state],
                flux_w_m2: &self.flux[seen],
                width: &plane.width,
                heats: &mut self.heats,
                strips: strips.clone(),
            };
            let through = column.solve(simd, stage, rows);
            self.book(model, row, law.weight * column.solve_s * power_w, through);
        }
    }

    fn book(&mut self, model: &Model<'_>, row: usize, input_j: f64, through: [f64; 2]) {
        if self.own.contains(&row) {
            let area_m2 = model.plane.row_scale_m2(row);
            self.notes.books[row - self.own.start].add(RowBooks {
                input_j,
                net_outer_j: through[0] * area_m2,
                inner_loss_j: through[1] * area_m2,
            });
        }
    }

    /// Reads the surface of the panel's part of some strips.
    fn note<S: Simd>(
        &mut self,
        simd: S,
        model: &Model<'_>,
        steps: Range<usize>,
        place: (usize, Range<usize>),
    ) {
        let (row, strips) = place;
        if !(self.own.contains(&row) && model.plane.y.panel.contains(&row)) {
            return;
        }
        let panel = &model.plane.x.panel;
        let first = (strips.start * LANES).max(panel.start);
        let columns = first..(strips.end * LANES).min(panel.end).max(first);
        if columns.is_empty() {
            return;
        }
        let step = &model.steps[steps.start];
        let last = if step.has_one_moment() {
            0
        } else {
            model.columns[step.column].stages.len() - 1
        };
        let state = self.state_of(model, row);
        let start = columns.start - panel.start;
        let at = Notes::place(panel.len(), (row, self.own.start, start));
        let cells = Surface {
            t: &self.state[state][columns.clone()],
            flux_w_m2: &self.flux[last][columns.clone()],
            rises: &mut self.rise[..columns.len()],
            peaks: &mut self.notes.peak_k[at..at + columns.len()],
        };
        let hottest = simd.vectorize(
            #[inline(always)]
            || surface(simd, model.surface, cells),
        );
        let line = Line {
            row,
            first: self.own.start,
            start,
            rise: &self.rise[..columns.len()],
            hottest,
        };
        self.notes.read(model, steps, &line);
    }

    fn state_of(&self, model: &Model<'_>, row: usize) -> Range<usize> {
        let length = model.cells.len() * model.plane.stride;
        let at = (row - self.kept.start) * length;
        at..at + length
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
