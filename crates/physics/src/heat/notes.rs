//! What a band of the panel writes down as it goes: books, peaks, times, series.
//!
//! Law: none. Books are kept row by row, so their sum does not depend on the
//! cut into bands; of equal peaks the earliest counts, then the lowest row.
//! Holds: for panel cells; the margin of a wide sheet only enters the books.
//! Left out: maps over time.
//! Checked by: the habits of every answer, in `checks`.

use std::ops::Range;

use super::column::LANES;
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

/// The surface of one row after a step.
pub(crate) struct Line<'a> {
    pub(crate) row: usize,
    /// First row of the band.
    pub(crate) first: usize,
    pub(crate) rise: &'a [f32],
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

    pub(crate) fn read(&mut self, model: &Model<'_>, index: usize, line: Line<'_>) {
        let step = &model.steps[index];
        let columns = line.rise.len();
        let at = (line.row - line.first) * columns;
        let hottest = raise(&mut self.peak_k[at..at + columns], line.rise);
        self.hottest_k[index] = self.hottest_k[index].max(hottest);
        self.pass_peak_k[step.pass] = self.pass_peak_k[step.pass].max(hottest);
        if hottest > self.record.rise_k {
            let column = line
                .rise
                .iter()
                .position(|&rise| rise == hottest)
                .unwrap_or(0);
            self.record = Record {
                rise_k: hottest,
                step: index,
                row: line.row,
                column,
            };
        }
        for (limit, seconds) in model.thresholds_k.iter().zip(&mut self.above_s) {
            if hottest > *limit {
                count(
                    &mut seconds[at..at + columns],
                    line.rise,
                    *limit,
                    step.length_s as f32,
                );
            }
        }
        if index + 1 == model.steps.len() {
            self.last_k[at..at + columns].copy_from_slice(line.rise);
        }
        self.read_places(model, index, line);
    }

    fn read_places(&mut self, model: &Model<'_>, index: usize, line: Line<'_>) {
        let plane = &model.plane;
        let step = &model.steps[index];
        let column = &model.columns[step.column];
        let moment = step.moments[column.stages.len() - 1];
        let is_in =
            plane.y.edges_m[line.row] <= moment.y_m && moment.y_m < plane.y.edges_m[line.row + 1];
        if is_in && moment.strength_frac > 0.0 {
            let across = moment.x_m / plane.dx_m;
            if across >= 0.0 && across < line.rise.len() as f64 {
                self.centre_k[index] = line.rise[across as usize];
            }
        }
        for (place, series) in model.watched.iter().zip(&mut self.watched_k) {
            if place.0 == line.row {
                series.push(line.rise[place.1]);
            }
        }
    }
}

/// Raises each peak to the rise and returns the highest rise.
fn raise(peaks: &mut [f32], rises: &[f32]) -> f32 {
    let larger = |a: f32, b: f32| if a > b { a } else { b };
    let mut lanes = [0.0_f32; LANES];
    let (peak_parts, peak_rest) = peaks.as_chunks_mut::<LANES>();
    let (rise_parts, rise_rest) = rises.as_chunks::<LANES>();
    for (peak, rise) in peak_parts.iter_mut().zip(rise_parts) {
        for lane in 0..LANES {
            peak[lane] = larger(rise[lane], peak[lane]);
            lanes[lane] = larger(rise[lane], lanes[lane]);
        }
    }
    let mut highest = lanes.into_iter().fold(0.0, larger);
    for (peak, rise) in peak_rest.iter_mut().zip(rise_rest) {
        *peak = larger(*rise, *peak);
        highest = larger(*rise, highest);
    }
    highest
}

fn count(seconds: &mut [f32], rises: &[f32], limit_k: f32, step_s: f32) {
    for (second, rise) in seconds.iter_mut().zip(rises) {
        *second += if *rise > limit_k { step_s } else { 0.0 };
    }
}
