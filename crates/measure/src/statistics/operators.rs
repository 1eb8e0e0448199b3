//! How much of a gauge's spread is the gauge, and how much the hand that holds it?
//!
//! Law: readings nested in operators nested in spots.
//! MS_e = Σ(x − x̄_so)²/Σ(n_so − 1); MS_o = Σ n_so(x̄_so − x̄_s)²/Σ(k_s − 1);
//! repeatability = √MS_e; operator sd = √((MS_o − MS_e)/n₀) with
//! n₀ = (N − Σ_s Σ_o n_so²/n_s)/Σ(k_s − 1); k_s operators on spot s.
//! Source: [`Source::NistHandbook`] 3.2.3.3 (nested variation); n₀ after Searle,
//! Linear Models (1971).
//! Holds: when a spot was read by two operators and a reading was repeated.
//! When MS_o < MS_e the operator sd is 0 and said so. Otherwise an error.
//! Left out: an operator who reads high everywhere is not told from one who
//! reads differently from spot to spot; both are in the operator sd.
//! Checked by: a case by hand below; statsmodels' nested table live.

use crate::source::Source;

use super::StatisticsError;
use super::error::{checked, finite, number};
use super::summary;

/// Where the method is written down.
pub const SOURCE: Source = Source::NistHandbook;

/// Spread within and between operators, in the readings' unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Operators {
    /// Pooled standard deviation of one operator's repeats on one spot.
    pub repeatability_sd: f64,
    /// Degrees of freedom behind it.
    pub repeatability_freedom: f64,
    /// Standard deviation of operators about their mean on a spot.
    pub operator_sd: f64,
    /// Degrees of freedom between operators.
    pub operator_freedom: f64,
    /// Whether the operators differ less than the gauge alone would make them.
    pub is_operator_clipped: bool,
    /// Mean square between operators within spots.
    pub mean_square_operators: f64,
    /// Mean square within operators.
    pub mean_square_within: f64,
}

/// Splits readings grouped by spot, then by operator.
///
/// # Errors
/// When no spot was read by two operators, no reading was repeated, or a
/// reading is not a number (counted through all).
pub fn operators(spots: &[Vec<Vec<f64>>]) -> Result<Operators, StatisticsError> {
    let all: Vec<f64> = spots.iter().flatten().flatten().copied().collect();
    checked(&all, "readings", 3)?;
    let mut sums = Sums::default();
    for spot in spots {
        sums.add(spot);
    }
    if sums.operator_freedom < 1.0 {
        return Err(too_few("operators on the best-read spot", 1));
    }
    if sums.within_freedom < 1.0 {
        return Err(too_few("readings by one operator on one spot", 1));
    }
    let within = finite(sums.within / sums.within_freedom, "mean square within")?;
    let between = finite(
        sums.between / sums.operator_freedom,
        "mean square between operators",
    )?;
    let typical_count = sums.typical / sums.operator_freedom;
    Ok(Operators {
        repeatability_sd: within.sqrt(),
        repeatability_freedom: sums.within_freedom,
        operator_sd: ((between - within).max(0.0) / typical_count).sqrt(),
        operator_freedom: sums.operator_freedom,
        is_operator_clipped: between < within,
        mean_square_operators: between,
        mean_square_within: within,
    })
}

#[derive(Default)]
struct Sums {
    within: f64,
    within_freedom: f64,
    between: f64,
    operator_freedom: f64,
    typical: f64,
}

impl Sums {
    fn add(&mut self, spot: &[Vec<f64>]) {
        let groups: Vec<&Vec<f64>> = spot.iter().filter(|g| !g.is_empty()).collect();
        if groups.is_empty() {
            return;
        }
        let counts: Vec<f64> = groups.iter().map(|g| number(g.len())).collect();
        let means: Vec<f64> = groups.iter().map(|g| summary::raw_mean(g)).collect();
        let n: f64 = counts.iter().sum();
        let mean = means.iter().zip(&counts).map(|(m, c)| m * c).sum::<f64>() / n;
        let squares = means.iter().zip(&counts);
        self.between += squares
            .map(|(m, c)| c * (m - mean) * (m - mean))
            .sum::<f64>();
        self.within += groups.iter().map(|g| summary::squares(g)).sum::<f64>();
        self.within_freedom += n - number(groups.len());
        self.operator_freedom += number(groups.len()) - 1.0;
        self.typical += n - counts.iter().map(|c| c * c).sum::<f64>() / n;
    }
}

fn too_few(what: &'static str, came: usize) -> StatisticsError {
    StatisticsError::TooFew {
        what,
        came,
        needed: 2,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // By hand: spot 1: {10, 12}, {14, 16}: means 11, 15, grand 13, between 2·4·2 = 16,
    // within 4; spot 2: {20, 22}, {20, 22}: between 0, within 4. MS_e = 8/4 = 2,
    // MS_o = 16/2 = 8, n₀ = ((4 − 2) + (4 − 2))/2 = 2, operator variance 3.
    #[test]
    fn two_hands_on_two_spots_are_split_by_hand() {
        let spots = [
            vec![vec![10.0, 12.0], vec![14.0, 16.0]],
            vec![vec![20.0, 22.0], vec![20.0, 22.0]],
        ];
        let found = operators(&spots).expect("two operators");
        assert!((found.repeatability_sd - 2.0_f64.sqrt()).abs() < 1e-12);
        assert!((found.operator_sd - 3.0_f64.sqrt()).abs() < 1e-12);
        assert_eq!(
            (found.repeatability_freedom, found.operator_freedom),
            (4.0, 2.0)
        );
    }

    #[test]
    fn hands_that_differ_less_than_the_gauge_have_no_share() {
        let alike = operators(&[vec![vec![1.0, 3.0], vec![1.1, 2.9]]]).expect("two operators");
        assert!(alike.is_operator_clipped);
        assert_eq!(alike.operator_sd, 0.0);
    }

    #[test]
    fn one_hand_or_no_repeat_cannot_answer() {
        assert!(operators(&[]).is_err());
        assert!(operators(&[vec![vec![1.0, 2.0, 3.0]]]).is_err());
        assert!(operators(&[vec![vec![1.0], vec![2.0], vec![2.5]]]).is_err());
        assert!(operators(&[vec![vec![1.0, f64::NAN], vec![2.0, 3.0]]]).is_err());
    }
}
