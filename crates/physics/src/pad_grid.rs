//! A square table of numbers laid over the pad, centred on it.
//!
//! Law: none. Cell (i, j) covers x from (i − n/2)·c to (i + 1 − n/2)·c and y
//! alike, c the cell width in metres; the value is the mean over the cell.
//! Rows run with y upward, x fastest.
//! Holds: for pressure and for pressure times speed.
//! Left out: turning the table; whoever needs another direction resamples.
//! Checked by: the unit tests below.

/// Mean values over square cells around the pad centre.
#[derive(Clone, Debug, PartialEq)]
pub struct PadGrid {
    /// Cells along one side.
    pub cells: usize,
    /// Width of a cell in metres.
    pub cell_m: f64,
    /// Cell means, x fastest, y upward.
    pub values: Vec<f64>,
}

impl PadGrid {
    /// A table of zeros that covers a circle of `reach_m` around the centre.
    #[must_use]
    pub(crate) fn covering(reach_m: f64, cell_m: f64) -> Self {
        let half = (reach_m / cell_m - 1e-9).ceil().max(1.0) as usize;
        let cells = 2 * half;
        Self {
            cells,
            cell_m,
            values: vec![0.0; cells * cells],
        }
    }

    /// Half the side of the table in metres.
    #[must_use]
    pub fn half_side_m(&self) -> f64 {
        0.5 * self.cells as f64 * self.cell_m
    }

    /// Coordinate of the centre of cell `index` along x or y, in metres.
    #[must_use]
    pub fn centre_m(&self, index: usize) -> f64 {
        (index as f64 + 0.5) * self.cell_m - self.half_side_m()
    }

    /// Value of the cell that holds the point, zero outside the table.
    #[must_use]
    pub fn at(&self, x_m: f64, y_m: f64) -> f64 {
        let index = |coordinate: f64| {
            let cell = ((coordinate + self.half_side_m()) / self.cell_m).floor();
            (cell >= 0.0 && cell < self.cells as f64).then_some(cell as usize)
        };
        match (index(x_m), index(y_m)) {
            (Some(i), Some(j)) => self.values[j * self.cells + i],
            _ => 0.0,
        }
    }

    /// Integral over the plane: the sum of the values times the cell area.
    #[must_use]
    pub fn integral(&self) -> f64 {
        self.values.iter().sum::<f64>() * self.cell_m * self.cell_m
    }

    /// Largest value.
    #[must_use]
    pub fn highest(&self) -> f64 {
        self.values.iter().copied().fold(0.0, f64::max)
    }

    /// Multiplies every value so that the integral becomes `target`; a table
    /// of zeros stays as it is.
    pub(crate) fn rescale_to(&mut self, target: f64) {
        let now = self.integral();
        if now > 0.0 {
            let factor = target / now;
            self.values.iter_mut().for_each(|value| *value *= factor);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_is_centred_and_covers_its_reach() {
        let grid = PadGrid::covering(0.0625, 0.002);
        assert_eq!(grid.cells, 64);
        assert!((grid.centre_m(0) + grid.centre_m(63)).abs() < 1e-15);
        assert!(grid.half_side_m() >= 0.0625);
    }

    #[test]
    fn a_point_outside_reads_zero_and_rescaling_hits_the_target() {
        let mut grid = PadGrid::covering(1.0, 0.5);
        grid.values.iter_mut().for_each(|v| *v = 2.0);
        grid.rescale_to(10.0);
        assert!((grid.integral() - 10.0).abs() < 1e-12);
        assert!((grid.at(0.1, -0.9) - 2.5).abs() < 1e-12);
        assert_eq!(grid.at(1.1, 0.0), 0.0);
        assert_eq!(grid.at(f64::NAN, 0.0), 0.0);
    }
}
