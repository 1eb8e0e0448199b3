//! Which places of the page are taken: a fine grid that answers "is this box
//! free?" at once.
//!
//! Law: summed-area table; a box sum is four look-ups.
//! Source: Crow 1984, "Summed-area tables for texture mapping", SIGGRAPH
//! (from memory).
//! Holds: on the page; every place outside it counts as taken.
//! Left out: anything finer than one cell of 1.5 px.
//! Checked by: boxes inside, outside and across a square.

use crate::figure::geometry::{Point, Rect, crossings, sides};

/// Side of a cell, px.
const CELL_PX: f64 = 1.5;

/// A page cut into cells, each taken or free.
#[derive(Clone)]
pub(crate) struct Occupancy {
    columns: usize,
    rows: usize,
    taken: Vec<bool>,
    sums: Vec<u32>,
}

impl Occupancy {
    /// A page of a size, all free or all taken.
    pub(crate) fn new(width_px: f64, height_px: f64, taken: bool) -> Self {
        let (columns, rows) = (cell(width_px) + 1, cell(height_px) + 1);
        Self {
            columns,
            rows,
            taken: vec![taken; columns * rows],
            sums: vec![0; (columns + 1) * (rows + 1)],
        }
    }

    /// Marks the inside of an outline.
    pub(crate) fn mark_inside(&mut self, outline: &[Point], taken: bool) {
        let bounds = Rect::of(outline);
        for row in cell(bounds.top)..self.rows.min(cell(bounds.bottom) + 1) {
            for pair in crossings(outline, centre(row)).chunks_exact(2) {
                for column in cell(pair[0])..=cell(pair[1]).min(self.columns - 1) {
                    self.taken[row * self.columns + column] = taken;
                }
            }
        }
    }

    /// Marks every cell a side of an outline runs through.
    pub(crate) fn mark_sides(&mut self, outline: &[Point]) {
        for (a, b) in sides(outline) {
            let steps = (a.distance(b) / (CELL_PX / 2.0)).ceil().max(1.0);
            let mut k = 0.0;
            while k <= steps {
                let p = a.toward(b, k / steps);
                self.mark_cell(p);
                k += 1.0;
            }
        }
    }

    /// Marks a box.
    pub(crate) fn mark_box(&mut self, area: Rect) {
        for row in cell(area.top)..=cell(area.bottom).min(self.rows - 1) {
            for column in cell(area.left)..=cell(area.right).min(self.columns - 1) {
                self.taken[row * self.columns + column] = true;
            }
        }
    }

    /// Adds up the marks; call once after marking and before asking.
    pub(crate) fn settle(&mut self) {
        let wide = self.columns + 1;
        for row in 0..self.rows {
            let mut line = 0;
            for column in 0..self.columns {
                line += u32::from(self.taken[row * self.columns + column]);
                self.sums[(row + 1) * wide + column + 1] =
                    self.sums[row * wide + column + 1] + line;
            }
        }
    }

    /// Whether a box lies on the page and touches nothing marked.
    pub(crate) fn is_free(&self, area: Rect) -> bool {
        let right = cell(area.right) + 1;
        let bottom = cell(area.bottom) + 1;
        if area.left < 0.0 || area.top < 0.0 || right > self.columns || bottom > self.rows {
            return false;
        }
        let (left, top) = (cell(area.left), cell(area.top));
        let wide = self.columns + 1;
        let sum = |row: usize, column: usize| self.sums[row * wide + column];
        sum(bottom, right) + sum(top, left) == sum(top, right) + sum(bottom, left)
    }

    fn mark_cell(&mut self, p: Point) {
        let (column, row) = (cell(p.x), cell(p.y));
        if column < self.columns && row < self.rows && p.x >= 0.0 && p.y >= 0.0 {
            self.taken[row * self.columns + column] = true;
        }
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "the cast saturates at zero and at the largest index"
)]
fn cell(px: f64) -> usize {
    (px / CELL_PX).floor().max(0.0) as usize
}

#[expect(clippy::cast_precision_loss, reason = "a page has a few hundred rows")]
fn centre(row: usize) -> f64 {
    (row as f64 + 0.5) * CELL_PX
}

#[cfg(test)]
mod tests {
    use super::*;

    fn page() -> Occupancy {
        let square = [(20.0, 20.0), (60.0, 20.0), (60.0, 60.0), (20.0, 60.0)];
        let square = square.map(|(x, y)| Point::new(x, y));
        let mut page = Occupancy::new(100.0, 100.0, false);
        page.mark_inside(&square, true);
        page.mark_sides(&square);
        page.settle();
        page
    }

    #[test]
    fn a_box_beside_the_square_is_free_and_one_across_it_is_not() {
        let at = |x: f64, y: f64| Rect::around(Point::new(x, y), 10.0, 10.0);
        assert!(page().is_free(at(10.0, 10.0)));
        assert!(page().is_free(at(80.0, 40.0)));
        assert!(!page().is_free(at(40.0, 40.0)));
        assert!(!page().is_free(at(62.0, 40.0)));
    }

    #[test]
    fn outside_the_page_nothing_is_free() {
        assert!(!page().is_free(Rect::around(Point::new(-20.0, 10.0), 10.0, 10.0)));
        assert!(!page().is_free(Rect::around(Point::new(99.0, 10.0), 10.0, 10.0)));
    }
}
