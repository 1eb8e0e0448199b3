//! The few pieces of linear algebra behind a field.
//!
//! Law: K = L·Lᵀ by halves: L₁₁ of K₁₁, L₂₁ = K₂₁·L₁₁⁻ᵀ, L₂₂ of K₂₂ − L₂₁·L₂₁ᵀ;
//! and L⁻¹ along with it, its lower left −L₂₂⁻¹·L₂₁·L₁₁⁻¹; so that nearly all
//! work is products in tiles.
//! Source: textbook linear algebra.
//! Holds: for symmetric positive matrices. One that is positive but for
//! rounding gets 1e-12 to 1e-8 of its largest diagonal added; else none.
//! Left out: matrices too large for memory; the callers bound their size.
//! Checked by: products with the inverse, below.

use fearless_simd::{Level, Simd, dispatch};
use nalgebra::DMatrix;

use super::lanes::PANEL;
use super::tiles::{Block, Grid, Into, NARROW, Panels, Part, product};

/// A covariance matrix taken apart. Padding counts as places of their own.
#[derive(Clone, Debug)]
pub(super) struct Factor {
    size: usize,
    /// L⁻¹ on and below the diagonal, L⁻ᵀ above it.
    inverse: Grid,
    /// Logarithm of the determinant.
    pub(super) log_determinant: f64,
}

/// Room that is used again from matrix to matrix: the machine need not find and
/// clear memory for each.
#[derive(Debug, Default)]
pub(super) struct Room {
    pub(super) work: Grid,
    inverse: Grid,
    x: Vec<f64>,
    y: Vec<f64>,
}

impl Factor {
    /// Of a matrix with `size` rows, written anew on and below its diagonal
    /// should it be positive but for rounding; `None` when it is no covariance.
    pub(super) fn of(write: impl FnMut(&mut Grid), size: usize) -> Option<Self> {
        Self::within(&mut Room::default(), write, size)
    }

    /// The same in a room.
    pub(super) fn within(
        room: &mut Room,
        mut write: impl FnMut(&mut Grid),
        size: usize,
    ) -> Option<Self> {
        [0.0, 1e-12, 1e-10, 1e-8].into_iter().find_map(|slack| {
            write(&mut room.work);
            let work = &mut room.work;
            let largest = (0..size).fold(0.0, |most: f64, i| most.max(work.column(i)[i].abs()));
            for i in 0..size {
                work.column_mut(i)[i] += slack * largest;
            }
            Self::exactly(room, size)
        })
    }

    fn exactly(room: &mut Room, size: usize) -> Option<Self> {
        let rows = room.work.rows;
        for i in size..rows {
            room.work.column_mut(i)[i] = 1.0;
        }
        room.inverse.reshape(rows, rows);
        dispatch!(Level::new(), simd => room.factor(simd, (0, rows)))?;
        let roots = (0..size).map(|i| room.inverse.column(i)[i].ln());
        let log_determinant = -2.0 * roots.sum::<f64>();
        log_determinant.is_finite().then(|| Self {
            size,
            inverse: std::mem::take(&mut room.inverse),
            log_determinant,
        })
    }

    /// Leaves what it holds to the next.
    pub(super) fn leave(self, room: &mut Room) {
        room.inverse = self.inverse;
    }

    /// Column i of L⁻¹ from the diagonal down.
    pub(super) fn inverse_lower(&self, i: usize) -> &[f64] {
        &self.inverse.column(i)[i..self.size]
    }

    /// Column i of L⁻ᵀ down to the diagonal.
    fn inverse_upper(&self, i: usize) -> &[f64] {
        &self.inverse.column(i)[..=i]
    }

    fn whole(&self, part: Part) -> Block {
        Block {
            rows: 0..self.inverse.rows,
            columns: 0..self.inverse.rows,
            part,
        }
    }

    /// The rows of L⁻¹ in panels.
    pub(super) fn rows(&self) -> Panels<NARROW> {
        Panels::of(&self.inverse, &self.whole(Part::Lower), Vec::new())
    }

    /// K⁻¹ on and below the diagonal, put into the room's `work`.
    pub(super) fn inverse(&self, room: &mut Room) {
        let upper = self.whole(Part::Upper);
        let x = Panels::of(&self.inverse, &upper, std::mem::take(&mut room.x));
        let y = Panels::of(&self.inverse, &upper, std::mem::take(&mut room.y));
        let into = Into {
            is_lower: true,
            ..PLAIN
        };
        dispatch!(Level::new(), simd => product(simd, (&x, &y), &mut room.work, into));
        (room.x, room.y) = (x.into_cells(), y.into_cells());
    }

    /// X·L⁻ᵀ: a row for each row of X.
    pub(super) fn halve(&self, right: &Grid) -> Grid {
        let x = Panels::of(right, &whole_of(right), Vec::new());
        let mut out = Grid::new(right.rows, self.inverse.rows);
        dispatch!(Level::new(), simd => product(simd, (&x, &self.rows()), &mut out, PLAIN));
        out
    }

    /// K⁻¹·b.
    pub(super) fn solve(&self, b: &[f64]) -> Vec<f64> {
        dispatch!(Level::new(), simd => simd.vectorize(
            #[inline(always)]
            || self.solve_plainly(b),
        ))
    }

    #[inline(always)]
    fn solve_plainly(&self, b: &[f64]) -> Vec<f64> {
        let mut half = vec![0.0; b.len()];
        for (j, x) in b.iter().enumerate() {
            add(&mut half[j..], *x, self.inverse_lower(j));
        }
        let mut out = vec![0.0; b.len()];
        for (j, x) in half.iter().enumerate() {
            add(&mut out[..=j], *x, self.inverse_upper(j));
        }
        out
    }
}

#[inline(always)]
fn add(out: &mut [f64], times: f64, column: &[f64]) {
    for (out, x) in out.iter_mut().zip(column) {
        *out += times * x;
    }
}

/// X·Xᵀ on and below the diagonal.
pub(super) fn square(x: &Grid) -> Grid {
    let left = Panels::of(x, &whole_of(x), Vec::new());
    let right = Panels::of(x, &whole_of(x), Vec::new());
    let mut out = Grid::new(x.rows, x.rows);
    let into = Into {
        is_lower: true,
        ..PLAIN
    };
    dispatch!(Level::new(), simd => product(simd, (&left, &right), &mut out, into));
    out
}

fn whole_of(grid: &Grid) -> Block {
    Block {
        rows: 0..grid.rows,
        columns: 0..grid.cells.len() / grid.rows,
        part: Part::Whole,
    }
}

/// A product that takes the place of what stands there.
const PLAIN: Into = Into {
    row: 0,
    column: 0,
    is_added: false,
    sign: 1.0,
    is_lower: false,
};

/// Which of the two matrices of a room.
#[derive(Clone, Copy)]
enum Which {
    Work,
    Inverse,
}

impl Room {
    fn grid(&self, which: Which) -> &Grid {
        match which {
            Which::Work => &self.work,
            Which::Inverse => &self.inverse,
        }
    }

    /// Puts X·Yᵀ where `into` says.
    fn multiply<S: Simd>(
        &mut self,
        simd: S,
        (x, y): ((Which, Block), (Which, Block)),
        to: Which,
        into: Into,
    ) {
        let (cells_x, cells_y) = (std::mem::take(&mut self.x), std::mem::take(&mut self.y));
        let left = Panels::of(self.grid(x.0), &x.1, cells_x);
        let right = Panels::of(self.grid(y.0), &y.1, cells_y);
        let out = match to {
            Which::Work => &mut self.work,
            Which::Inverse => &mut self.inverse,
        };
        product(simd, (&left, &right), out, into);
        (self.x, self.y) = (left.into_cells(), right.into_cells());
    }

    /// Takes the square at `first` with `size` rows apart.
    fn factor<S: Simd>(&mut self, simd: S, (first, size): (usize, usize)) -> Option<()> {
        if size == PANEL {
            return simd.vectorize(
                #[inline(always)]
                || self.factor_small(first),
            );
        }
        let upper = (size / 2).next_multiple_of(PANEL);
        let middle = first + upper;
        self.factor(simd, (first, upper))?;
        let (low, high) = (first..middle, middle..first + size);
        let block = |rows: &std::ops::Range<usize>, columns: &std::ops::Range<usize>, part| Block {
            rows: rows.clone(),
            columns: columns.clone(),
            part,
        };
        // L₂₁ = K₂₁·L₁₁⁻ᵀ.
        let corner = Into {
            row: middle,
            column: first,
            ..PLAIN
        };
        let left = || (Which::Work, block(&high, &low, Part::Whole));
        let known = (Which::Inverse, block(&low, &low, Part::Lower));
        self.multiply(simd, (left(), known), Which::Work, corner);
        // K₂₂ − L₂₁·L₂₁ᵀ.
        let below = Into {
            row: middle,
            column: middle,
            is_added: true,
            sign: -1.0,
            is_lower: true,
        };
        self.multiply(simd, (left(), left()), Which::Work, below);
        self.factor(simd, (middle, size - upper))?;
        // (L₂₁·L₁₁⁻¹)ᵀ, kept above the diagonal, then −L₂₂⁻¹ times it.
        let above = Into {
            row: first,
            column: middle,
            ..PLAIN
        };
        let turned = (Which::Inverse, block(&low, &low, Part::Upper));
        self.multiply(simd, (turned, left()), Which::Work, above);
        let negative = Into {
            sign: -1.0,
            ..corner
        };
        let known = (Which::Inverse, block(&high, &high, Part::Lower));
        let kept = (Which::Work, block(&low, &high, Part::Whole));
        self.multiply(simd, (known, kept), Which::Inverse, negative);
        self.mirror(low, high);
        Some(())
    }

    /// Writes what stands below the diagonal above it.
    fn mirror(&mut self, low: std::ops::Range<usize>, high: std::ops::Range<usize>) {
        let rows = self.inverse.rows;
        for from in low.clone().step_by(NARROW) {
            for row in high.clone() {
                for column in from..from + NARROW {
                    self.inverse.cells[row * rows + column] =
                        self.inverse.cells[column * rows + row];
                }
            }
        }
    }

    #[inline(always)]
    fn factor_small(&mut self, first: usize) -> Option<()> {
        let mut lower = [[0.0_f64; PANEL]; PANEL];
        for (j, column) in lower.iter_mut().enumerate() {
            let from = (first + j) * self.work.rows + first;
            column.copy_from_slice(&self.work.cells[from..from + PANEL]);
        }
        let mut pivots = [0.0; PANEL];
        for j in 0..PANEL {
            let pivot = lower[j][j];
            if !(pivot > 0.0 && pivot.is_finite()) {
                return None;
            }
            pivots[j] = 1.0 / pivot.sqrt();
            let mut own = lower[j];
            own.iter_mut().for_each(|x| *x *= pivots[j]);
            lower[j] = own;
            for k in j + 1..PANEL {
                let share = own[k];
                for (x, own) in lower[k].iter_mut().zip(&own) {
                    *x -= share * own;
                }
            }
        }
        // Column j of the inverse by substitution from the diagonal down.
        for j in 0..PANEL {
            let mut column = [0.0; PANEL];
            column[j] = 1.0;
            for i in j..PANEL {
                column[i] *= pivots[i];
                let share = column[i];
                for k in i + 1..PANEL {
                    column[k] -= share * lower[i][k];
                }
            }
            let rows = self.inverse.rows;
            for (i, x) in column.iter().enumerate().skip(j) {
                self.inverse.cells[(first + j) * rows + first + i] = *x;
                self.inverse.cells[(first + i) * rows + first + j] = *x;
            }
        }
        Some(())
    }
}

/// Lower factor of a matrix that may be flat in some directions: those get a
/// column of zeros.
pub(super) fn semidefinite_factor(matrix: &DMatrix<f64>) -> DMatrix<f64> {
    let n = matrix.nrows();
    let least = 1e-10 * matrix.diagonal().amax();
    let mut lower = matrix.lower_triangle();
    for j in 0..n {
        let (head, tail) = lower.as_mut_slice().split_at_mut((j + 1) * n);
        let known = &mut head[j * n..];
        let pivot = known[j];
        let root = if pivot <= least {
            f64::INFINITY
        } else {
            pivot.sqrt()
        };
        known[j..].iter_mut().for_each(|x| *x /= root);
        for (at, other) in tail.chunks_exact_mut(n).enumerate() {
            let k = j + 1 + at;
            let share = known[k];
            let pairs = other[k..].iter_mut().zip(&known[k..]);
            pairs.for_each(|(x, own)| *x -= share * own);
        }
    }
    lower
}

#[cfg(test)]
mod tests {
    use super::*;

    fn matrix(n: usize, ridge: f64) -> DMatrix<f64> {
        DMatrix::from_fn(n, n, |i, j| {
            let apart = i.abs_diff(j);
            let d = f64::from(u32::try_from(apart).expect("small")) / 7.0;
            (-d).exp() + if apart == 0 { ridge } else { 0.0 }
        })
    }

    fn grid(matrix: &DMatrix<f64>) -> Grid {
        let mut grid = Grid::new(matrix.nrows(), matrix.ncols());
        for j in 0..matrix.ncols() {
            for i in 0..matrix.nrows() {
                grid.column_mut(j)[i] = matrix[(i, j)];
            }
        }
        grid
    }

    fn lower(grid: &Grid, n: usize) -> DMatrix<f64> {
        DMatrix::from_fn(n, n, |i, j| grid.column(i.min(j))[i.max(j)])
    }

    #[test]
    fn a_matrix_times_its_inverse_is_one() {
        for n in [1, 2, 16, 31, 33, 100, 131] {
            let k = matrix(n, 0.1);
            let mut room = Room::default();
            let write = |work: &mut Grid| *work = grid(&k);
            let factor = Factor::within(&mut room, write, n).expect("a covariance");
            factor.inverse(&mut room);
            let off = (&k * lower(&room.work, n) - DMatrix::identity(n, n)).amax();
            assert!(off < 1e-11, "{n}: {off}");
            // (K·L⁻ᵀ)·(K·L⁻ᵀ)ᵀ = K.
            let halved = square(&factor.halve(&grid(&k)));
            assert!((lower(&halved, n) - &k).amax() < 1e-11, "{n}");
            let b: Vec<f64> = (0..n).map(|i| 1.0 + f64::from(i % 3 == 0)).collect();
            let solved = DMatrix::from_vec(n, 1, factor.solve(&b));
            let off = (&k * solved - DMatrix::from_vec(n, 1, b)).amax();
            assert!(off < 1e-10, "{n}: {off}");
            let known = k.clone().cholesky().expect("a covariance").l();
            let log = 2.0 * known.diagonal().iter().map(|x| x.ln()).sum::<f64>();
            assert!((factor.log_determinant - log).abs() < 1e-10, "{n}");
        }
    }

    #[test]
    fn two_by_two_has_the_determinant_worked_by_hand() {
        let k = DMatrix::from_row_slice(2, 2, &[4.0, 1.0, 1.0, 3.0]);
        let factor = Factor::of(|work| *work = grid(&k), 2).expect("a covariance");
        assert!((factor.log_determinant - 11.0_f64.ln()).abs() < 1e-14);
    }

    #[test]
    fn a_flat_matrix_is_factored_and_a_negative_one_is_not() {
        let ones = DMatrix::from_element(5, 5, 2.0);
        let lower = semidefinite_factor(&ones);
        assert!((&lower * lower.transpose() - &ones).amax() < 1e-12);
        let negative = DMatrix::from_row_slice(2, 2, &[1.0, 2.0, 2.0, 1.0]);
        assert!(Factor::of(|work| *work = grid(&negative), 2).is_none());
    }
}
