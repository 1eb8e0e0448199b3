//! Products of matrices in tiles that fit the registers.
//!
//! Law: C ± X·Yᵀ, element by element the sum over k in order, nothing fused; so
//! neither the tiles nor the machine change a bit. Matrices lie column by
//! column, padded to whole panels of rows; both factors are copied into panels
//! first, rows of a panel side by side. Where a factor is a triangle its zeros
//! are left out.
//! Source: textbook blocking; `fearless_simd` for the lanes.
//! Holds: for matrices that fit the second-level cache, a few hundred rows.
//! Left out: blocks in k for larger ones.
//! Checked by: products worked out one by one, below.

use std::ops::Range;

use fearless_simd::f64x8;
use fearless_simd::prelude::*;

use super::lanes::{LANES, PANEL};

/// Rows of the second factor in a panel.
pub(super) const NARROW: usize = 8;

/// A matrix column by column; rows and columns are whole panels.
#[derive(Clone, Debug, Default)]
pub(super) struct Grid {
    pub(super) rows: usize,
    pub(super) cells: Vec<f64>,
}

impl Grid {
    /// Nothing but zeros, sizes rounded up to whole panels.
    pub(super) fn new(rows: usize, columns: usize) -> Self {
        let rows = rows.next_multiple_of(PANEL);
        Self {
            rows,
            cells: vec![0.0; rows * columns.next_multiple_of(PANEL)],
        }
    }

    /// Takes on another size; what stands in the cells then means nothing.
    pub(super) fn reshape(&mut self, rows: usize, columns: usize) {
        self.rows = rows.next_multiple_of(PANEL);
        let cells = self.rows * columns.next_multiple_of(PANEL);
        self.cells.resize(cells, 0.0);
    }

    pub(super) fn column(&self, column: usize) -> &[f64] {
        &self.cells[column * self.rows..(column + 1) * self.rows]
    }

    pub(super) fn column_mut(&mut self, column: usize) -> &mut [f64] {
        &mut self.cells[column * self.rows..(column + 1) * self.rows]
    }
}

/// Which part of a block counts; the rest is zero, whatever stands there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Part {
    Whole,
    Lower,
    Upper,
}

/// Some rows and columns of a matrix.
#[derive(Clone, Debug)]
pub(super) struct Block {
    pub(super) rows: Range<usize>,
    pub(super) columns: Range<usize>,
    pub(super) part: Part,
}

/// A block in panels of `W` rows, column after column, without the columns
/// that are zero all the way.
pub(super) struct Panels<const W: usize> {
    cells: Vec<f64>,
    /// Where each panel starts, and the end of the last.
    starts: Vec<usize>,
    depth: usize,
    part: Part,
}

impl<const W: usize> Panels<W> {
    /// Copied into `cells`, whose room is used again.
    pub(super) fn of(grid: &Grid, block: &Block, mut cells: Vec<f64>) -> Self {
        cells.clear();
        let count = block.rows.len() / W;
        let mut panels = Self {
            cells,
            starts: Vec::with_capacity(count + 1),
            depth: block.columns.len(),
            part: block.part,
        };
        let length: usize = (0..count).map(|panel| W * panels.reach(panel).len()).sum();
        panels.cells.reserve(length);
        for panel in 0..count {
            panels.starts.push(panels.cells.len());
            let own = panel * W;
            for k in panels.reach(panel) {
                let from = (block.columns.start + k) * grid.rows + block.rows.start + own;
                let start = panels.cells.len();
                panels.cells.extend_from_slice(&grid.cells[from..from + W]);
                if block.part != Part::Whole && (own..own + W).contains(&k) {
                    let zero = match block.part {
                        Part::Lower => 0..k - own,
                        _ => k - own + 1..W,
                    };
                    panels.cells[start + zero.start..start + zero.end].fill(0.0);
                }
            }
        }
        panels.starts.push(panels.cells.len());
        panels
    }

    /// The room, for other panels.
    pub(super) fn into_cells(self) -> Vec<f64> {
        self.cells
    }

    /// Columns of a panel.
    pub(super) fn depth(&self) -> usize {
        self.depth
    }

    pub(super) fn count(&self) -> usize {
        self.starts.len() - 1
    }

    /// The columns of a panel that are not zero.
    pub(super) fn reach(&self, panel: usize) -> Range<usize> {
        match self.part {
            Part::Whole => 0..self.depth,
            Part::Lower => 0..((panel + 1) * W).min(self.depth),
            Part::Upper => (panel * W).min(self.depth)..self.depth,
        }
    }

    /// Some columns of a panel, all of them within its reach.
    pub(super) fn columns(&self, panel: usize, columns: &Range<usize>) -> &[f64] {
        let first = self.starts[panel] + W * (columns.start - self.reach(panel).start);
        &self.cells[first..first + W * columns.len()]
    }
}

/// What becomes of a product.
#[derive(Clone, Copy, Debug)]
pub(super) struct Into {
    /// Where its first element goes.
    pub(super) row: usize,
    pub(super) column: usize,
    /// Added to what stands there, or put in its place.
    pub(super) is_added: bool,
    pub(super) sign: f64,
    /// Only the tiles that reach below the diagonal are wanted.
    pub(super) is_lower: bool,
}

/// C ± X·Yᵀ; where nothing meets, C stays as it is.
pub(super) fn product<S: Simd>(
    simd: S,
    (x, y): (&Panels<PANEL>, &Panels<NARROW>),
    out: &mut Grid,
    into: Into,
) {
    simd.vectorize(
        #[inline(always)]
        || {
            for right in 0..y.count() {
                let first = if into.is_lower {
                    right * NARROW / PANEL
                } else {
                    0
                };
                for left in first..x.count() {
                    let (a, b) = (x.reach(left), y.reach(right));
                    let start = a.start.max(b.start);
                    let reach = start..a.end.min(b.end);
                    if reach.is_empty() {
                        continue;
                    }
                    let panels = (x.columns(left, &reach), y.columns(right, &reach));
                    let at = (into.column + right * NARROW) * out.rows + into.row + left * PANEL;
                    let place = (at, out.rows);
                    tile(
                        simd,
                        panels,
                        &mut Store {
                            cells: &mut out.cells,
                            place,
                            into,
                        },
                    );
                }
            }
        },
    );
}

/// Takes a part of a tile: its registers from `first` on, one list for each of
/// some rows of the second factor from `row` on.
pub(super) trait Take<S: Simd> {
    fn take<const V: usize, const N: usize>(
        &mut self,
        simd: S,
        place: (usize, usize),
        sums: &[[f64x8<S>; V]; N],
    );
}

/// Works out a tile in parts that fit the machine's registers.
#[inline(always)]
pub(super) fn tile<S: Simd>(simd: S, panels: (&[f64], &[f64]), taker: &mut impl Take<S>) {
    if <S::f64s as SimdBase<S>>::LEN == LANES {
        part::<S, 2, 8>(simd, panels, (0, 0), taker);
    } else {
        for first in 0..2 {
            part::<S, 1, 4>(simd, panels, (first, 0), taker);
            part::<S, 1, 4>(simd, panels, (first, 4), taker);
        }
    }
}

#[inline(always)]
fn part<S: Simd, const V: usize, const N: usize>(
    simd: S,
    (x, y): (&[f64], &[f64]),
    (first, row): (usize, usize),
    taker: &mut impl Take<S>,
) {
    let (x, y) = (x.as_chunks::<PANEL>().0, y.as_chunks::<NARROW>().0);
    let mut sums = [[f64x8::splat(simd, 0.0); V]; N];
    for (x, y) in x.iter().zip(y) {
        let x = x.as_chunks::<LANES>().0;
        let mut lanes = [f64x8::splat(simd, 0.0); V];
        for v in 0..V {
            lanes[v] = f64x8::load_array_ref(simd, &x[first + v]);
        }
        for n in 0..N {
            for v in 0..V {
                sums[n][v] += lanes[v] * y[row + n];
            }
        }
    }
    taker.take(simd, (first, row), &sums);
}

/// Puts a tile into a matrix.
struct Store<'a> {
    cells: &'a mut [f64],
    /// Of the tile's first element, and from column to column.
    place: (usize, usize),
    into: Into,
}

impl<S: Simd> Take<S> for Store<'_> {
    #[inline(always)]
    fn take<const V: usize, const N: usize>(
        &mut self,
        simd: S,
        (first, row): (usize, usize),
        sums: &[[f64x8<S>; V]; N],
    ) {
        let (at, stride) = self.place;
        for (n, sums) in sums.iter().enumerate() {
            for (v, sum) in sums.iter().enumerate() {
                let from = at + (row + n) * stride + (first + v) * LANES;
                let cells = &mut self.cells[from..from + LANES];
                let signed = *sum * self.into.sign;
                if self.into.is_added {
                    (f64x8::from_slice(simd, cells) + signed).store_slice(cells);
                } else {
                    signed.store_slice(cells);
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use fearless_simd::{Level, dispatch};

    fn grid(rows: usize, columns: usize, seed: f64) -> Grid {
        let mut grid = Grid::new(rows, columns);
        let mut x = seed;
        for cell in &mut grid.cells {
            x = (x * 997.0 + 0.123).fract();
            *cell = x - 0.5;
        }
        grid
    }

    fn counts(part: Part, row: usize, column: usize) -> bool {
        match part {
            Part::Whole => true,
            Part::Lower => column <= row,
            Part::Upper => column >= row,
        }
    }

    fn one_by_one(x: (&Grid, Part), y: (&Grid, Part), row: usize, column: usize) -> f64 {
        let mut sum = 0.0;
        for k in 0..48 {
            if counts(x.1, row, k) && counts(y.1, column, k) {
                sum += x.0.column(k)[row] * y.0.column(k)[column];
            }
        }
        sum
    }

    fn found<S: Simd>(simd: S, x: (&Grid, Part), y: (&Grid, Part)) -> Grid {
        let whole = |part: Part| Block {
            rows: 0..48,
            columns: 0..48,
            part,
        };
        let mut out = Grid::new(48, 48);
        let into = Into {
            row: 0,
            column: 0,
            is_added: false,
            sign: -1.0,
            is_lower: false,
        };
        let left = Panels::of(x.0, &whole(x.1), Vec::new());
        let right = Panels::of(y.0, &whole(y.1), Vec::new());
        product(simd, (&left, &right), &mut out, into);
        out
    }

    #[test]
    fn a_product_in_tiles_is_the_sum_one_by_one_to_the_last_bit_on_every_kind() {
        let (a, b) = (grid(48, 48, 0.37), grid(48, 48, 0.71));
        let level = Level::new();
        for x in [Part::Whole, Part::Lower, Part::Upper] {
            for y in [Part::Whole, Part::Lower, Part::Upper] {
                let wide = dispatch!(level, simd => found(simd, (&a, x), (&b, y)));
                for row in 0..48 {
                    for column in 0..48 {
                        let sum = one_by_one((&a, x), (&b, y), row, column);
                        assert!(
                            wide.column(column)[row] == -sum,
                            "{x:?} {y:?} {row} {column}"
                        );
                    }
                }
                #[cfg(target_arch = "x86_64")]
                if let (Some(two), Some(four)) = (level.as_sse2(), level.as_avx2()) {
                    assert_eq!(found(two, (&a, x), (&b, y)).cells, wide.cells);
                    assert_eq!(found(four, (&a, x), (&b, y)).cells, wide.cells);
                }
            }
        }
    }
}
