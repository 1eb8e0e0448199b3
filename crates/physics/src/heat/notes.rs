//! What a band of the panel writes down as it goes: books, peaks, times, series.
//!
//! Law: none. Books are kept row by row, so their sum does not depend on the
//! cut into bands; of equal peaks the earliest counts, then the lowest row.
//! Holds: for panel cells; the margin of a wide sheet only enters the books.
//! Left out: maps over time.
//! Checked by: the habits of every answer, in `checks`.

use std::ops::Range;

use fearless_simd::{Simd, SimdBase, f32x8};

use super::column::SurfaceLaw;
use super::tile::Model;

/// Highest rise so far, with step and place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Record {
    pub(crate) rise_k: f32,
    pub(crate) step: usize,
    pub(crate) row: usize,
    pub(crate) column: usize,
}

impl Record {
    pub(crate) const NONE: Self = Self {
        rise_k: 0.0,
        step: 0,
        row: 0,
        column: 0,
    };
}

/// Heat of one row over the run in J.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct RowBooks {
    pub(crate) input_j: f64,
    pub(crate) net_outer_j: f64,
    pub(crate) inner_loss_j: f64,
}

/// What a band writes down about its own rows.
pub(crate) struct Notes {
    pub(crate) books: Vec<RowBooks>,
    /// Highest rise of every panel cell of the own rows, rows of the panel's width.
    pub(crate) peak_k: Vec<f32>,
    /// Seconds over every threshold, laid out alike.
    pub(crate) above_s: Vec<Vec<f32>>,
    pub(crate) record: Record,
    pub(crate) pass_peak_k: Vec<f32>,
    pub(crate) hottest_k: Vec<f32>,
    /// Under the pad's centre, where this band owns it.
    pub(crate) centre_k: Vec<f32>,
    pub(crate) watched_k: Vec<Vec<f32>>,
    /// The surface after the last step, laid out like the peaks.
    pub(crate) last_k: Vec<f32>,
}

impl RowBooks {
    pub(crate) fn add(&mut self, other: Self) {
        self.input_j += other.input_j;
        self.net_outer_j += other.net_outer_j;
        self.inner_loss_j += other.inner_loss_j;
    }
}

/// The surface of a stretch of one row after a step or a round.
pub(crate) struct Line<'a> {
    pub(crate) row: usize,
    /// First row of the band.
    pub(crate) first: usize,
    /// Panel column of the first value.
    pub(crate) start: usize,
    pub(crate) rise: &'a [f32],
    /// The highest of them, 0 where all lie below.
    pub(crate) hottest: f32,
}

impl Notes {
    pub(crate) fn new(model: &Model<'_>, own: &Range<usize>) -> Self {
        let steps = model.steps.len();
        let cells = own.len() * model.plane.x.panel.len();
        Self {
            books: vec![RowBooks::default(); own.len()],
            peak_k: vec![0.0; cells],
            above_s: vec![vec![0.0; cells]; model.thresholds_k.len()],
            record: Record::NONE,
            pass_peak_k: vec![0.0; model.passes],
            hottest_k: vec![0.0; steps],
            centre_k: vec![f32::NEG_INFINITY; steps],
            watched_k: vec![Vec::new(); model.watched.len()],
            last_k: vec![0.0; cells],
        }
    }

    /// Where a line lies in the maps.
    pub(crate) fn place(columns: usize, (row, first, start): (usize, usize, usize)) -> usize {
        (row - first) * columns + start
    }

    /// Notes a line that stands for some steps: one, or a whole round. Its
    /// peaks are raised already.
    pub(crate) fn read(&mut self, model: &Model<'_>, steps: Range<usize>, line: &Line<'_>) {
        let last = steps.end - 1;
        let columns = model.plane.x.panel.len();
        let at = Self::place(columns, (line.row, line.first, line.start));
        let here = at..at + line.rise.len();
        let hottest = line.hottest;
        for highest in &mut self.hottest_k[steps.clone()] {
            *highest = highest.max(hottest);
        }
        let pass = &mut self.pass_peak_k[model.steps[last].pass];
        *pass = pass.max(hottest);
        let is_earlier = last < self.record.step && hottest == self.record.rise_k;
        if hottest > self.record.rise_k || (is_earlier && hottest > 0.0) {
            let place = line.rise.iter().position(|&rise| rise == hottest);
            self.record = Record {
                rise_k: hottest,
                step: last,
                row: line.row,
                column: line.start + place.unwrap_or(0),
            };
        }
        let seconds: f64 = model.steps[steps.clone()].iter().map(|s| s.length_s).sum();
        for (limit, above_s) in model.thresholds_k.iter().zip(&mut self.above_s) {
            if hottest > *limit {
                count(
                    &mut above_s[here.clone()],
                    line.rise,
                    *limit,
                    seconds as f32,
                );
            }
        }
        if steps.end == model.steps.len() {
            self.last_k[here].copy_from_slice(line.rise);
        }
        self.read_centre(model, last, line);
        self.read_places(model, steps.len(), line);
    }

    fn read_centre(&mut self, model: &Model<'_>, index: usize, line: &Line<'_>) {
        let plane = &model.plane;
        let step = &model.steps[index];
        let column = &model.columns[step.column];
        let moment = step.moments[column.stages.len() - 1];
        let is_in =
            plane.y.edges_m[line.row] <= moment.y_m && moment.y_m < plane.y.edges_m[line.row + 1];
        if is_in && moment.strength_frac > 0.0 {
            let across = moment.x_m / plane.dx_m - line.start as f64;
            if across >= 0.0 && across < line.rise.len() as f64 {
                self.centre_k[index] = line.rise[across as usize];
            }
        }
    }

    /// One value for each step; those inside a round lie on a straight line.
    fn read_places(&mut self, model: &Model<'_>, steps: usize, line: &Line<'_>) {
        for ((row, column), series) in model.watched.iter().zip(&mut self.watched_k) {
            let place = column.checked_sub(line.start);
            let Some(now) = place.and_then(|place| line.rise.get(place)) else {
                continue;
            };
            if *row == line.row {
                let before = series.last().copied().unwrap_or(0.0);
                let share = |step: usize| (step + 1) as f32 / steps as f32;
                series.extend((0..steps - 1).map(|step| before + share(step) * (now - before)));
                series.push(*now);
            }
        }
    }
}

/// Works out the rise of the true surface, raises each peak to it, and returns
/// the highest.
#[inline(always)]
pub(crate) fn surface<S: Simd>(simd: S, law: SurfaceLaw, cells: Surface<'_>) -> f32 {
    let Surface {
        t,
        flux_w_m2,
        rises,
        peaks,
    } = cells;
    let larger = |a: f32, b: f32| if a > b { a } else { b };
    let (t_parts, t_rest) = t.as_chunks::<8>();
    let (flux_parts, flux_rest) = flux_w_m2.as_chunks::<8>();
    let (rise_parts, rise_rest) = rises.as_chunks_mut::<8>();
    let (peak_parts, peak_rest) = peaks.as_chunks_mut::<8>();
    let mut highest = f32x8::splat(simd, 0.0);
    let parts = rise_parts.iter_mut().zip(peak_parts);
    for ((rise, peak), (t, flux)) in parts.zip(t_parts.iter().zip(flux_parts)) {
        let t = f32x8::load_array_ref(simd, t) * law.of_cell;
        let now = t + f32x8::load_array_ref(simd, flux) * law.of_flux - law.less_k;
        now.store_array(rise);
        now.max(f32x8::load_array_ref(simd, peak)).store_array(peak);
        highest = now.max(highest);
    }
    let mut highest = highest.to_array().into_iter().fold(0.0, larger);
    let rest = rise_rest.iter_mut().zip(peak_rest);
    for ((rise, peak), (t, flux)) in rest.zip(t_rest.iter().zip(flux_rest)) {
        *rise = law.of_cell * t + law.of_flux * flux - law.less_k;
        *peak = larger(*rise, *peak);
        highest = larger(*rise, highest);
    }
    highest
}

/// The same stretch of cells in what is read and written of the surface.
pub(crate) struct Surface<'a> {
    /// First cells under the surface.
    pub(crate) t: &'a [f32],
    pub(crate) flux_w_m2: &'a [f32],
    pub(crate) rises: &'a mut [f32],
    pub(crate) peaks: &'a mut [f32],
}

fn count(seconds: &mut [f32], rises: &[f32], limit_k: f32, step_s: f32) {
    for (second, rise) in seconds.iter_mut().zip(rises) {
        *second += if *rise > limit_k { step_s } else { 0.0 };
    }
}
