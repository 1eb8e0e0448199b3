//! What the heat computation answers.
//!
//! Law: balance = |in − stored − lost|/in, each summed on its own way: in from
//! the flux laid on the cells, stored from the final temperatures, lost from
//! the heats that crossed the faces.
//! Holds: every number is finite; rises are over the start temperature.
//! Left out: temperatures in °C; the caller adds the start temperature.
//! Checked by: the books of every run in the checks close to 1e-5.

use super::error::HeatError;
use super::notes::{Record, RowBooks};
use super::tile::{Model, Tile};

/// Where and when the surface was hottest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HotSpot {
    /// Along the panel, from its lower left corner.
    pub x_m: f64,
    /// Across the panel.
    pub y_m: f64,
    /// Seconds from the start.
    pub t_s: f64,
}

/// Heat books of the run.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Energy {
    /// Put in by the pad.
    pub in_j: f64,
    /// Still in the panel, over the start (a wide sheet counts whole).
    pub stored_j: f64,
    /// Given to the air on both sides.
    pub lost_j: f64,
    /// |in − stored − lost| / (|in| + |lost|); zero when nothing moved.
    pub balance_frac: f64,
}

/// A point of the history.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HistoryPoint {
    /// Seconds from the start.
    pub t_s: f64,
    /// Highest rise of the surface anywhere at that time.
    pub hottest_rise_k: f64,
    /// Rise of the surface under the middle of the pad; nothing while the pad
    /// is lifted or its middle is beside the panel.
    pub centre_rise_k: Option<f64>,
}

/// How long the surface was over a rise.
#[derive(Clone, Debug, PartialEq)]
pub struct TimeAbove {
    /// The rise over the start.
    pub rise_k: f64,
    /// The longest of any place, in seconds.
    pub longest_s: f64,
    /// Seconds at every panel cell, x fastest.
    pub map_s: Vec<f32>,
}

/// The grid and step of the run.
#[derive(Clone, Debug, PartialEq)]
pub struct GridUsed {
    /// Panel cells along x.
    pub columns: usize,
    /// Panel cells along y.
    pub rows: usize,
    /// Depth of every cell layer's middle in metres.
    pub depths_m: Vec<f64>,
    /// Length of a full step in seconds.
    pub step_s: f64,
    /// Steps taken.
    pub steps: usize,
    /// All cells stepped, margin and padding left out.
    pub cells: usize,
}

/// The temperatures of a job.
#[derive(Clone, Debug, PartialEq)]
pub struct HeatResult {
    /// Highest rise of the true surface, anywhere, at any time.
    pub peak_rise_k: f64,
    /// Stated error of the peak from the same job on cells and steps twice and
    /// four times as coarse; nothing for a grid that was asked for.
    pub peak_error_k: Option<f64>,
    /// Where and when.
    pub peak_at: HotSpot,
    /// Highest rise during each pass.
    pub pass_peak_rise_k: Vec<f64>,
    /// Highest rise of the surface of every panel cell, x fastest.
    pub peak_map_k: Vec<f32>,
    /// Rise of every cell at the end: cell layer by cell layer from the outside
    /// inwards, in each x fastest.
    pub final_rise_k: Vec<f32>,
    /// Rise of the outer surface at the end, x fastest.
    pub final_surface_rise_k: Vec<f32>,
    /// Time over the rises asked for.
    pub above: Vec<TimeAbove>,
    /// The surface over time.
    pub history: Vec<HistoryPoint>,
    /// The surface at the places asked for, one series each, at the times of
    /// the history.
    pub probes_k: Vec<Vec<f32>>,
    /// Heat books.
    pub energy: Energy,
    /// Grid and step.
    pub grid: GridUsed,
    /// Whether the rises grow in step with the flux.
    pub is_proportional: bool,
}

impl HeatResult {
    /// The stated error as a share of the peak; nothing without one or without
    /// a rise.
    #[must_use]
    pub fn peak_error_frac(&self) -> Option<f64> {
        let is_warm = self.peak_rise_k > 0.0;
        self.peak_error_k
            .filter(|_| is_warm)
            .map(|error_k| error_k / self.peak_rise_k)
    }

    /// The same job with `factor` times the flux, without computing it anew.
    /// Times above are then those over `factor` times their rises.
    ///
    /// # Errors
    /// Refuses negative factors, and panels that do not start at the
    /// temperature of the air.
    pub fn scaled(&self, factor: f64) -> Result<Self, HeatError> {
        if !(self.is_proportional && factor.is_finite() && factor >= 0.0) {
            return Err(HeatError::NotProportional);
        }
        let mut scaled = self.clone();
        let single = |values: &mut Vec<f32>| {
            values
                .iter_mut()
                .for_each(|k| *k = (f64::from(*k) * factor) as f32)
        };
        scaled.peak_rise_k *= factor;
        scaled.peak_error_k = self.peak_error_k.map(|k| k * factor);
        scaled
            .pass_peak_rise_k
            .iter_mut()
            .for_each(|k| *k *= factor);
        single(&mut scaled.peak_map_k);
        single(&mut scaled.final_rise_k);
        single(&mut scaled.final_surface_rise_k);
        scaled.probes_k.iter_mut().for_each(single);
        scaled
            .above
            .iter_mut()
            .for_each(|above| above.rise_k *= factor);
        for point in &mut scaled.history {
            point.hottest_rise_k *= factor;
            point.centre_rise_k = point.centre_rise_k.map(|k| k * factor);
        }
        let Energy {
            in_j,
            stored_j,
            lost_j,
            balance_frac,
        } = self.energy;
        scaled.energy = Energy {
            in_j: in_j * factor,
            stored_j: stored_j * factor,
            lost_j: lost_j * factor,
            balance_frac,
        };
        Ok(scaled)
    }
}

/// Where a probe lies: four cells and their weights.
pub(crate) type ProbeWeights = [(usize, f64); 4];

/// Puts the bands' notes together, in the order of the rows.
pub(crate) fn gather(
    model: &Model<'_>,
    tiles: &[Tile],
    probes: &[ProbeWeights],
    step_s: f64,
) -> HeatResult {
    let columns = model.plane.x.panel.len();
    let record = hottest(tiles);
    let panel_rows = |of: &dyn Fn(&Tile) -> &[f32]| {
        let mut map = Vec::with_capacity(columns * model.plane.y.panel.len());
        for tile in tiles {
            let rows = tile
                .own
                .clone()
                .filter(|row| model.plane.y.panel.contains(row));
            rows.for_each(|row| {
                map.extend_from_slice(&of(tile)[(row - tile.own.start) * columns..][..columns])
            });
        }
        map
    };
    let above = |(index, rise): (usize, &f32)| {
        let map_s = panel_rows(&|tile| &tile.notes.above_s[index]);
        let longest_s = f64::from(map_s.iter().copied().fold(0.0, f32::max));
        TimeAbove {
            rise_k: f64::from(*rise),
            longest_s,
            map_s,
        }
    };
    let pass_peak = |pass: usize| {
        tiles
            .iter()
            .map(|t| f64::from(t.notes.pass_peak_k[pass]))
            .fold(0.0, f64::max)
    };
    HeatResult {
        peak_rise_k: f64::from(record.rise_k),
        peak_error_k: None,
        peak_at: spot(model, record),
        pass_peak_rise_k: (0..model.passes).map(pass_peak).collect(),
        peak_map_k: panel_rows(&|tile| &tile.notes.peak_k),
        final_rise_k: final_rise(model, tiles),
        final_surface_rise_k: panel_rows(&|tile| &tile.notes.last_k),
        above: model.thresholds_k.iter().enumerate().map(above).collect(),
        history: history(model, tiles),
        probes_k: probes.iter().map(|weights| probe(tiles, weights)).collect(),
        energy: energy(model, tiles),
        grid: grid(model, step_s),
        is_proportional: model.is_at_air,
    }
}

/// The hottest record; of equal ones the earliest, then the lowest row.
fn hottest(tiles: &[Tile]) -> Record {
    let better = |best: Record, next: Record| {
        let is_hotter = next.rise_k > best.rise_k;
        let is_earlier = next.rise_k == best.rise_k && next.step < best.step;
        if is_hotter || is_earlier { next } else { best }
    };
    let best = tiles
        .iter()
        .map(|tile| tile.notes.record)
        .fold(Record::NONE, better);
    // The trace of warmth the cells start with is no rise.
    if best.rise_k > 1e-9 {
        best
    } else {
        Record::NONE
    }
}

fn spot(model: &Model<'_>, record: Record) -> HotSpot {
    let middle = |edges: &[f64], index: usize| 0.5 * (edges[index] + edges[index + 1]);
    HotSpot {
        x_m: middle(
            &model.plane.x.edges_m,
            model.plane.x.panel.start + record.column,
        ),
        y_m: middle(
            &model.plane.y.edges_m,
            record.row.max(model.plane.y.panel.start),
        ),
        t_s: if record.rise_k > 0.0 {
            model.steps[record.step].end_s
        } else {
            0.0
        },
    }
}

fn history(model: &Model<'_>, tiles: &[Tile]) -> Vec<HistoryPoint> {
    let highest = |of: &dyn Fn(&Tile) -> f32| {
        tiles
            .iter()
            .map(|tile| f64::from(of(tile)))
            .fold(f64::NEG_INFINITY, f64::max)
    };
    let point = |(index, step): (usize, &super::tile::Step)| {
        let centre = highest(&|tile| tile.notes.centre_k[index]);
        HistoryPoint {
            t_s: step.end_s,
            hottest_rise_k: highest(&|tile| tile.notes.hottest_k[index]),
            centre_rise_k: centre.is_finite().then_some(centre),
        }
    };
    model.steps.iter().enumerate().map(point).collect()
}

fn final_rise(model: &Model<'_>, tiles: &[Tile]) -> Vec<f32> {
    let (x, y) = (&model.plane.x.panel, &model.plane.y.panel);
    let mut field = Vec::with_capacity(x.len() * y.len() * model.cells.len());
    for depth in 0..model.cells.len() {
        for tile in tiles {
            for row in tile.own.clone().filter(|row| y.contains(row)) {
                let cells = &tile.depth_row(model, row, depth)[x.clone()];
                field.extend_from_slice(cells);
            }
        }
    }
    field
}

fn probe(tiles: &[Tile], weights: &ProbeWeights) -> Vec<f32> {
    let series = |watched: usize| {
        tiles
            .iter()
            .map(|tile| &tile.notes.watched_k[watched])
            .find(|series| !series.is_empty())
    };
    let parts: Vec<(&Vec<f32>, f64)> = weights
        .iter()
        .filter_map(|&(watched, weight)| series(watched).map(|s| (s, weight)))
        .collect();
    let length = parts
        .iter()
        .map(|(series, _)| series.len())
        .min()
        .unwrap_or(0);
    let at = |index: usize| {
        parts
            .iter()
            .map(|(series, weight)| weight * f64::from(series[index]))
            .sum::<f64>() as f32
    };
    (0..length).map(at).collect()
}

fn energy(model: &Model<'_>, tiles: &[Tile]) -> Energy {
    let mut books = RowBooks::default();
    let mut stored_j = 0.0;
    for tile in tiles {
        for row in tile.own.clone() {
            let noted = tile.notes.books[row - tile.own.start];
            books.input_j += noted.input_j;
            books.net_outer_j += noted.net_outer_j;
            books.inner_loss_j += noted.inner_loss_j;
            stored_j += row_stored_j(model, tile, row);
        }
    }
    let lost_j = books.input_j - books.net_outer_j + books.inner_loss_j;
    let moved = books.input_j.abs() + lost_j.abs();
    let gap = (books.input_j - stored_j - lost_j).abs();
    let balance_frac = if moved > 1e-9 { gap / moved } else { 0.0 };
    Energy {
        in_j: books.input_j,
        stored_j,
        lost_j,
        balance_frac,
    }
}

fn row_stored_j(model: &Model<'_>, tile: &Tile, row: usize) -> f64 {
    let weigh = |depth: usize| {
        let cells = tile
            .depth_row(model, row, depth)
            .iter()
            .zip(&model.plane.width);
        let sum: f64 = cells.map(|(t, w)| f64::from(*t) * f64::from(*w)).sum();
        model.cells[depth].capacity_j_m2k * sum
    };
    (0..model.cells.len()).map(weigh).sum::<f64>() * model.plane.row_scale_m2(row)
}

fn grid(model: &Model<'_>, step_s: f64) -> GridUsed {
    let mut face = 0.0;
    let middle = |cell: &super::depth::DepthCell| {
        face += cell.dz_m;
        face - 0.5 * cell.dz_m
    };
    GridUsed {
        columns: model.plane.x.panel.len(),
        rows: model.plane.y.panel.len(),
        depths_m: model.cells.iter().map(middle).collect(),
        step_s,
        steps: model.steps.len(),
        cells: model.plane.x.len() * model.plane.y.len() * model.cells.len(),
    }
}
