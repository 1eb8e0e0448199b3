//! The few pieces of linear algebra behind a field, on top of nalgebra.
//!
//! Law: K = L·Lᵀ; L⁻¹ by halves, [A 0; B C]⁻¹ = [A⁻¹ 0; −C⁻¹BA⁻¹ C⁻¹], so that
//! nearly all work is matrix products, which the library does fast.
//! Source: textbook linear algebra; factor and products by nalgebra.
//! Holds: for symmetric positive matrices. One that is positive but for
//! rounding gets 1e-12 to 1e-8 of its largest diagonal added; else none.
//! Left out: matrices too large for memory; the callers bound their size.
//! Checked by: products with the inverse, below.

use nalgebra::{DMatrix, DMatrixView, DMatrixViewMut};

/// Up to this size a triangle is inverted column by column.
const SMALL: usize = 32;

/// Rows of a triangle that are multiplied in one go.
const STRIP: usize = 48;

/// A covariance matrix taken apart.
#[derive(Clone, Debug)]
pub(super) struct Factor {
    /// L⁻¹, lower triangle.
    pub(super) inverse_lower: DMatrix<f64>,
    /// Logarithm of the determinant.
    pub(super) log_determinant: f64,
}

impl Factor {
    /// `None` when the matrix is no covariance.
    pub(super) fn of(matrix: &DMatrix<f64>) -> Option<Self> {
        let largest = matrix.diagonal().amax();
        let lower = [0.0, 1e-12, 1e-10, 1e-8].into_iter().find_map(|slack| {
            let mut lifted = matrix.clone();
            for i in 0..lifted.nrows() {
                lifted[(i, i)] += slack * largest;
            }
            lifted.cholesky().map(|c| c.unpack())
        })?;
        let log_determinant = 2.0 * lower.diagonal().iter().map(|x| x.ln()).sum::<f64>();
        if !log_determinant.is_finite() {
            return None;
        }
        Some(Self {
            inverse_lower: inverse_of_lower(&lower),
            log_determinant,
        })
    }

    /// K⁻¹ in full.
    pub(super) fn inverse(&self) -> DMatrix<f64> {
        let n = self.inverse_lower.nrows();
        let mut out = DMatrix::zeros(n, n);
        square(
            &self.inverse_lower.view((0, 0), (n, n)),
            &mut out.view_mut((0, 0), (n, n)),
        );
        out.fill_upper_triangle_with_lower_triangle();
        out
    }

    /// L⁻¹ times a matrix, without the zeros above the diagonal.
    pub(super) fn halve(&self, right: &DMatrix<f64>) -> DMatrix<f64> {
        let n = self.inverse_lower.nrows();
        let mut out = DMatrix::zeros(n, right.ncols());
        for from in (0..n).step_by(STRIP) {
            let to = (from + STRIP).min(n);
            out.rows_mut(from, to - from).gemm(
                1.0,
                &self.inverse_lower.view((from, 0), (to - from, to)),
                &right.rows(0, to),
                0.0,
            );
        }
        out
    }

    /// K⁻¹·b.
    pub(super) fn solve(&self, b: &[f64]) -> Vec<f64> {
        let half = lower_times(&self.inverse_lower, b);
        (0..b.len())
            .map(|i| {
                let column = self.inverse_lower.column(i);
                (i..b.len()).map(|j| column[j] * half[j]).sum()
            })
            .collect()
    }
}

/// A lower triangle times a vector.
fn lower_times(lower: &DMatrix<f64>, b: &[f64]) -> Vec<f64> {
    let mut out = vec![0.0; b.len()];
    for (j, x) in b.iter().enumerate() {
        let column = lower.column(j);
        for i in j..b.len() {
            out[i] += column[i] * x;
        }
    }
    out
}

fn inverse_of_lower(lower: &DMatrix<f64>) -> DMatrix<f64> {
    let n = lower.nrows();
    let mut out = DMatrix::zeros(n, n);
    if n <= SMALL {
        for j in 0..n {
            out[(j, j)] = 1.0 / lower[(j, j)];
            for i in j + 1..n {
                let sum: f64 = (j..i).map(|k| lower[(i, k)] * out[(k, j)]).sum();
                out[(i, j)] = -sum / lower[(i, i)];
            }
        }
        return out;
    }
    let half = n / 2;
    let rest = n - half;
    let upper_left = inverse_of_lower(&lower.view((0, 0), (half, half)).into_owned());
    let lower_right = inverse_of_lower(&lower.view((half, half), (rest, rest)).into_owned());
    let below = -(&lower_right * (lower.view((half, 0), (rest, half)) * &upper_left));
    out.view_mut((0, 0), (half, half)).copy_from(&upper_left);
    out.view_mut((half, half), (rest, rest))
        .copy_from(&lower_right);
    out.view_mut((half, 0), (rest, half)).copy_from(&below);
    out
}

/// The lower half of MᵀM for a lower triangle M = [A 0; B C], by halves:
/// [AᵀA + BᵀB ·; CᵀB CᵀC].
fn square(lower: &DMatrixView<'_, f64>, out: &mut DMatrixViewMut<'_, f64>) {
    let n = lower.nrows();
    if n <= SMALL {
        for j in 0..n {
            for i in j..n {
                out[(i, j)] = (i..n).map(|k| lower[(k, i)] * lower[(k, j)]).sum();
            }
        }
        return;
    }
    let half = n / 2;
    let rest = n - half;
    square(
        &lower.view((0, 0), (half, half)),
        &mut out.view_mut((0, 0), (half, half)),
    );
    square(
        &lower.view((half, half), (rest, rest)),
        &mut out.view_mut((half, half), (rest, rest)),
    );
    let below = lower.view((half, 0), (rest, half));
    let turned = below.transpose();
    out.view_mut((0, 0), (half, half))
        .gemm(1.0, &turned, &below, 1.0);
    let corner = lower.view((half, half), (rest, rest)).transpose();
    out.view_mut((half, 0), (rest, half))
        .gemm(1.0, &corner, &below, 0.0);
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

    #[test]
    fn a_matrix_times_its_inverse_is_one() {
        for n in [1, 2, 31, 33, 100, 131] {
            let k = matrix(n, 0.1);
            let factor = Factor::of(&k).expect("a covariance");
            let off = (&k * factor.inverse() - DMatrix::identity(n, n)).amax();
            assert!(off < 1e-11, "{n}: {off}");
            let halved = factor.halve(&k) - &factor.inverse_lower * &k;
            assert!(halved.amax() < 1e-12, "{n}");
            let b: Vec<f64> = (0..n).map(|i| 1.0 + f64::from(i % 3 == 0)).collect();
            let solved = DMatrix::from_vec(n, 1, factor.solve(&b));
            let off = (&k * solved - DMatrix::from_vec(n, 1, b)).amax();
            assert!(off < 1e-10, "{n}: {off}");
        }
    }

    #[test]
    fn two_by_two_has_the_determinant_worked_by_hand() {
        let k = DMatrix::from_row_slice(2, 2, &[4.0, 1.0, 1.0, 3.0]);
        let factor = Factor::of(&k).expect("a covariance");
        assert!((factor.log_determinant - 11.0_f64.ln()).abs() < 1e-14);
    }

    #[test]
    fn a_flat_matrix_is_factored_and_a_negative_one_is_not() {
        let ones = DMatrix::from_element(5, 5, 2.0);
        let lower = semidefinite_factor(&ones);
        assert!((&lower * lower.transpose() - &ones).amax() < 1e-12);
        let negative = DMatrix::from_row_slice(2, 2, &[1.0, 2.0, 2.0, 1.0]);
        assert!(Factor::of(&negative).is_none());
    }
}
