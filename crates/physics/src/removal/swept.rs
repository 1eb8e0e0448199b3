//! The footprint summed along a straight walk, once and for all.
//!
//! Law: a cell of the panel feels ∫f(x − m(t))dt. For a straight walk of
//! length L at steady speed V that is [C(q) − C(q − L)]/V with C the running
//! sum of the footprint along the walk and q the distance from its start. A
//! second running sum along the walk and one across it turn the mean over a
//! cell into four look-ups at its corners, exact for a footprint that is even
//! within each of its own cells.
//! Source: calculus.
//! Holds: for any cell size, larger or smaller than the footprint's cells.
//! Left out: nothing.
//! Checked by: the mean over a cell against plain summation.

use crate::pad_grid::PadGrid;

/// A place in the table: cell index and distance into the cell.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Place {
    index: usize,
    beyond_m: f64,
}

/// Running sums of a footprint in the frame of one walking direction: `q`
/// along the walk, `w` across it.
pub(crate) struct Swept {
    cells: usize,
    cell_m: f64,
    half_m: f64,
    /// Per cell: double sum, single sum and half the value along the walk at
    /// the cell's near side, then the same three summed over all rows below.
    sums: Vec<[f64; 6]>,
}

impl Swept {
    /// Walking along x.
    pub(crate) fn along_x(grid: &PadGrid) -> Self {
        Self::new(grid, |i, j| grid.values[j * grid.cells + i])
    }

    /// Walking along y; `w` is then x.
    pub(crate) fn along_y(grid: &PadGrid) -> Self {
        Self::new(grid, |i, j| grid.values[i * grid.cells + j])
    }

    /// Walking in any direction, given by its cosine and sine; `w` points to
    /// the left of the walk. The footprint is turned by sampling 4 × 4 points
    /// a cell; one without negative values keeps its total.
    pub(crate) fn along(grid: &PadGrid, reach_m: f64, (cosine, sine): (f64, f64)) -> Self {
        const POINTS: u32 = 4;
        let mut turned = PadGrid::covering(reach_m, grid.cell_m);
        for j in 0..turned.cells {
            for i in 0..turned.cells {
                let (q_m, w_m) = (turned.centre_m(i), turned.centre_m(j));
                let offset =
                    |k: u32| grid.cell_m * ((f64::from(k) + 0.5) / f64::from(POINTS) - 0.5);
                let sum: f64 = (0..POINTS * POINTS)
                    .map(|k| (q_m + offset(k % POINTS), w_m + offset(k / POINTS)))
                    .map(|(q, w)| grid.at(q * cosine - w * sine, q * sine + w * cosine))
                    .sum();
                turned.values[j * turned.cells + i] = sum / f64::from(POINTS * POINTS);
            }
        }
        if grid.values.iter().all(|value| *value >= 0.0) {
            turned.rescale_to(grid.integral());
        }
        Self::new(&turned, |i, j| turned.values[j * turned.cells + i])
    }

    fn new(grid: &PadGrid, value: impl Fn(usize, usize) -> f64) -> Self {
        let (cells, cell_m) = (grid.cells, grid.cell_m);
        let width = cells + 1;
        let mut sums = vec![[0.0; 6]; width * width];
        for j in 0..width {
            let (mut double, mut single) = (0.0, 0.0);
            for i in 0..width {
                let here = if i < cells && j < cells {
                    value(i, j)
                } else {
                    0.0
                };
                let row = [double, single, 0.5 * here];
                let below = if j == 0 {
                    [0.0; 6]
                } else {
                    sums[(j - 1) * width + i]
                };
                sums[j * width + i] = [
                    row[0],
                    row[1],
                    row[2],
                    below[3] + below[0] * cell_m,
                    below[4] + below[1] * cell_m,
                    below[5] + below[2] * cell_m,
                ];
                double += cell_m * (single + 0.5 * here * cell_m);
                single += here * cell_m;
            }
        }
        Self {
            cells,
            cell_m,
            half_m: grid.half_side_m(),
            sums,
        }
    }

    /// Half the width of the table in metres: nothing is felt farther off.
    pub(crate) fn half_m(&self) -> f64 {
        self.half_m
    }

    pub(crate) fn place(&self, coordinate_m: f64) -> Place {
        let into_m = coordinate_m + self.half_m;
        if into_m <= 0.0 {
            return Place {
                index: 0,
                beyond_m: 0.0,
            };
        }
        let index = ((into_m / self.cell_m) as usize).min(self.cells);
        Place {
            index,
            beyond_m: into_m - index as f64 * self.cell_m,
        }
    }

    /// Running sum of the running sum along the walk, summed across it.
    pub(crate) fn walked(&self, q: Place, w: Place) -> f64 {
        let [double, single, half, double_below, single_below, half_below] =
            self.sums[w.index * (self.cells + 1) + q.index];
        let (a, b) = (q.beyond_m, w.beyond_m);
        double_below + a * (single_below + a * half_below) + b * (double + a * (single + a * half))
    }

    /// Plain sum over everything before `q` and below `w`.
    pub(crate) fn stood(&self, q: Place, w: Place) -> f64 {
        let [_, single, half, _, single_below, half_below] =
            self.sums[w.index * (self.cells + 1) + q.index];
        let (a, b) = (q.beyond_m, w.beyond_m);
        single_below + 2.0 * a * half_below + b * (single + 2.0 * a * half)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn footprint() -> PadGrid {
        let mut rubbing = PadGrid::covering(2.0, 0.5);
        for (index, value) in rubbing.values.iter_mut().enumerate() {
            *value = ((index * 7) % 11) as f64;
        }
        rubbing
    }

    #[test]
    fn the_mean_over_a_cell_equals_plain_summation() {
        let footprint = footprint();
        let swept = Swept::along_x(&footprint);
        let (length, from, to, low, high) = (1.3, 0.23, 1.01, -0.77, -0.11);
        let corner = |q: f64, w: f64| {
            swept.walked(swept.place(q), swept.place(w))
                - swept.walked(swept.place(q - length), swept.place(w))
        };
        let fast = corner(to, high) - corner(from, high) - corner(to, low) + corner(from, low);
        let n = 200;
        let at = |a: f64, b: f64, k: i32| a + (b - a) * (f64::from(k) + 0.5) / f64::from(n);
        let mut plain = 0.0;
        for i in 0..n {
            for j in 0..n {
                for k in 0..n {
                    plain += footprint.at(at(from, to, i) - at(0.0, length, k), at(low, high, j));
                }
            }
        }
        plain *= (to - from) * (high - low) * length / f64::from(n).powi(3);
        assert!((fast / plain - 1.0).abs() < 2e-3, "{fast} {plain}");
    }

    #[test]
    fn far_past_everything_the_sums_hold_the_whole_footprint() {
        let footprint = footprint();
        for swept in [
            Swept::along_x(&footprint),
            Swept::along_y(&footprint),
            Swept::along(&footprint, 2.0, (0.6, 0.8)),
        ] {
            let far = swept.place(9.0);
            let whole = swept.stood(far, far);
            assert!((whole / footprint.integral() - 1.0).abs() < 1e-12);
            assert_eq!(swept.walked(swept.place(-3.0), far), 0.0);
        }
    }

    #[test]
    fn walking_along_y_swaps_the_two_coordinates() {
        let footprint = footprint();
        let (x, y) = (Swept::along_x(&footprint), Swept::along_y(&footprint));
        let (p, r) = (0.4, -0.9);
        let here = x.stood(x.place(p), x.place(r));
        let there = y.stood(y.place(r), y.place(p));
        assert!((here - there).abs() < 1e-12);
    }
}
