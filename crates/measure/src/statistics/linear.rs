//! Solves the few equations of a weighted fit with beliefs about its answer.
//!
//! Law: A·x = b with A symmetric and positive, by A = L·Lᵀ.
//! Source: textbook Cholesky factors.
//! Holds: for a handful of unknowns. Outside (A not positive): `None`.
//! Left out: large or sparse systems.
//! Checked by: a system solved by hand, below.

/// The lower factor of a symmetric positive matrix.
#[derive(Clone, Debug)]
pub(crate) struct Factor {
    rows: Vec<Vec<f64>>,
}

impl Factor {
    /// The factor, or `None` where the matrix is not positive.
    pub(crate) fn of(matrix: &[Vec<f64>]) -> Option<Self> {
        let n = matrix.len();
        let mut rows = vec![vec![0.0; n]; n];
        for i in 0..n {
            for j in 0..=i {
                let dot: f64 = (0..j).map(|k| rows[i][k] * rows[j][k]).sum();
                let left = matrix[i][j] - dot;
                rows[i][j] = if i == j {
                    if left <= 0.0 || !left.is_finite() {
                        return None;
                    }
                    left.sqrt()
                } else {
                    left / rows[j][j]
                };
            }
        }
        Some(Self { rows })
    }

    /// The solution for a right-hand side.
    pub(crate) fn solve(&self, right: &[f64]) -> Vec<f64> {
        let n = self.rows.len();
        let mut x = right.to_vec();
        for i in 0..n {
            let dot: f64 = (0..i).map(|k| self.rows[i][k] * x[k]).sum();
            x[i] = (x[i] - dot) / self.rows[i][i];
        }
        for i in (0..n).rev() {
            let dot: f64 = (i + 1..n).map(|k| self.rows[k][i] * x[k]).sum();
            x[i] = (x[i] - dot) / self.rows[i][i];
        }
        x
    }

    /// Logarithm of the determinant.
    pub(crate) fn log_determinant(&self) -> f64 {
        (0..self.rows.len())
            .map(|i| 2.0 * self.rows[i][i].ln())
            .sum()
    }

    /// The inverse, column by column.
    pub(crate) fn inverse(&self) -> Vec<Vec<f64>> {
        let n = self.rows.len();
        (0..n)
            .map(|i| {
                let mut unit = vec![0.0; n];
                unit[i] = 1.0;
                self.solve(&unit)
            })
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // By hand: [[4, 2], [2, 3]]·[1, 2] = [8, 8]; determinant 8; inverse [[3, −2], [−2, 4]]/8.
    #[test]
    fn two_equations_are_solved_by_hand() {
        let factor = Factor::of(&[vec![4.0, 2.0], vec![2.0, 3.0]]).expect("positive");
        let x = factor.solve(&[8.0, 8.0]);
        assert!((x[0] - 1.0).abs() < 1e-14 && (x[1] - 2.0).abs() < 1e-14);
        assert!((factor.log_determinant() - 8.0_f64.ln()).abs() < 1e-14);
        let inverse = factor.inverse();
        assert!((inverse[0][0] - 0.375).abs() < 1e-14 && (inverse[1][0] + 0.25).abs() < 1e-14);
    }

    #[test]
    fn a_matrix_that_is_not_positive_has_no_factor() {
        assert!(Factor::of(&[vec![1.0, 2.0], vec![2.0, 1.0]]).is_none());
        assert!(Factor::of(&[vec![f64::NAN]]).is_none());
    }
}
