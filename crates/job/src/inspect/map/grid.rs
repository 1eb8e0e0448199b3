//! The square cells a panel is cut into.
//!
//! Law: none; the finest step of 5, 10, 20, 50, 100, 200 mm that leaves at most
//! 100 000 cells.
//! Source: ours.
//! Holds: for the rectangle around any outline up to 60 m a side.
//! Left out: cells that are not squares.
//! Checked by: the unit tests below.

use lapwing_measure::statistics::field::Lattice;
use serde::Serialize;

use super::outline::Outline;

const STEPS_MM: [f64; 6] = [5.0, 10.0, 20.0, 50.0, 100.0, 200.0];
const MOST_CELLS: f64 = 100_000.0;

/// Cells over a panel.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Grid {
    /// Lower left corner of the first cell: u, v.
    pub origin_mm: [f64; 2],
    /// Side of a cell.
    pub step_mm: f64,
    /// Cells across.
    pub columns: usize,
    /// Cells up.
    pub rows: usize,
}

impl Grid {
    /// The grid over an outline.
    pub(super) fn over(outline: &Outline) -> Self {
        let [wide, tall] = outline.size_mm();
        let cells = |step: f64| (wide / step).ceil() * (tall / step).ceil();
        let step_mm = STEPS_MM
            .into_iter()
            .find(|step| cells(*step) <= MOST_CELLS)
            .unwrap_or(STEPS_MM[5]);
        Self {
            origin_mm: [outline.left_mm, outline.bottom_mm],
            step_mm,
            columns: whole(wide / step_mm),
            rows: whole(tall / step_mm),
        }
    }

    /// The middles of the cells.
    pub(super) fn lattice(&self) -> Lattice {
        Lattice {
            first: self.middle_mm(0),
            step: self.step_mm,
            columns: self.columns,
            rows: self.rows,
        }
    }

    /// How many cells there are.
    #[must_use]
    pub fn cells(&self) -> usize {
        self.columns * self.rows
    }

    /// Middle of a cell, by its number row by row from the bottom.
    #[must_use]
    pub fn middle_mm(&self, cell: usize) -> [f64; 2] {
        [
            self.origin_mm[0] + (number(cell % self.columns) + 0.5) * self.step_mm,
            self.origin_mm[1] + (number(cell / self.columns) + 0.5) * self.step_mm,
        ]
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a count of cells between 1 and 100 000"
)]
fn whole(cells: f64) -> usize {
    cells.ceil().clamp(1.0, 100_000.0) as usize
}

fn number(count: usize) -> f64 {
    u32::try_from(count).map_or(f64::from(u32::MAX), f64::from)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::inspect::map::Size;
    use lapwing_measure::quantity::Length;
    use uom::si::length::millimeter;

    fn outline(wide: f64, tall: f64) -> Outline {
        let [wide, tall] = [wide, tall].map(Length::new::<millimeter>);
        let at = std::iter::once([1.0, 1.0]);
        Outline::of(&Size::Measured(wide, tall), "spare", at).expect("a place")
    }

    #[test]
    fn a_bonnet_is_cut_at_five_millimetres() {
        let grid = Grid::over(&outline(1420.0, 1250.0));
        assert_eq!((grid.columns, grid.rows, grid.cells()), (284, 250, 71_000));
        assert_eq!(grid.middle_mm(0), [2.5, 2.5]);
        assert_eq!(grid.middle_mm(285), [7.5, 7.5]);
    }

    #[test]
    fn a_van_side_is_cut_coarser() {
        let grid = Grid::over(&outline(5000.0, 1700.0));
        assert!((grid.step_mm - 10.0).abs() < 1e-12 && grid.cells() == 85_000);
    }

    #[test]
    fn the_last_cell_may_stand_over() {
        let grid = Grid::over(&outline(12.0, 3.0));
        assert_eq!((grid.columns, grid.rows), (3, 1));
    }
}
