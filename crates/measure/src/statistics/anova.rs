//! How much of the spread is the gauge, and how much is the panel?
//!
//! Law: readings nested in spots. MSW = Σ(x − x̄_spot)²/(N − k),
//! MSB = Σ n_i(x̄_spot − x̄)²/(k − 1), F = MSB/MSW; repeatability = √MSW;
//! between-spot sd = √((MSB − MSW)/n₀), n₀ = (N − Σn_i²/N)/(k − 1).
//! Source: NIST e-Handbook 3.2.3.3 and 7.4.3; n₀ after Searle, Linear Models
//! (1971) for unequal spots.
//! Holds: two spots or more, one of them read twice or more; equal spread of
//! the gauge everywhere. When MSB < MSW the between-spot sd is 0 and said so.
//! Left out: deeper nesting, operators.
//! Checked by: five spots of three readings worked by an independent program;
//! hand-worked unequal spots.

use statrs::distribution::{ContinuousCDF, FisherSnedecor};

use crate::source::Source;

use super::StatisticsError;
use super::error::{checked, finite, number};
use super::summary;

/// Where the method is written down.
pub const SOURCE: Source = Source::NistHandbook;

/// Spread within and between spots, in the readings' unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Nested {
    /// How many spots.
    pub spots: usize,
    /// How many readings in all.
    pub readings: usize,
    /// Mean of all readings.
    pub grand_mean: f64,
    /// Pooled standard deviation of readings on one spot.
    pub repeatability_sd: f64,
    /// Standard deviation of the true spots about their mean.
    pub between_spot_sd: f64,
    /// Whether the spots differ less than the gauge alone would make them.
    pub is_between_clipped: bool,
    /// Mean square between spots.
    pub mean_square_between: f64,
    /// Mean square within spots.
    pub mean_square_within: f64,
    /// Ratio of the two; `None` when repeats never differ.
    pub f_ratio: Option<f64>,
    /// Chance of a ratio this large if all spots were alike; `None` likewise.
    pub p_value: Option<f64>,
}

/// Splits the spread of readings grouped by spot. Spots may hold different
/// numbers of readings.
///
/// # Errors
/// When there are fewer than two spots, an empty spot, no spot read twice, or
/// a reading that is not a number (its place is counted through all spots).
pub fn nested<S: AsRef<[f64]>>(spots: &[S]) -> Result<Nested, StatisticsError> {
    let all: Vec<f64> = spots
        .iter()
        .flat_map(|s| s.as_ref().iter().copied())
        .collect();
    checked(&all, "readings", 3)?;
    if spots.len() < 2 {
        return Err(StatisticsError::TooFew {
            what: "spots",
            came: spots.len(),
            needed: 2,
        });
    }
    if spots.iter().any(|s| s.as_ref().is_empty()) {
        return Err(StatisticsError::TooFew {
            what: "readings on a spot",
            came: 0,
            needed: 1,
        });
    }
    let (n, k) = (number(all.len()), number(spots.len()));
    if all.len() == spots.len() {
        return Err(StatisticsError::TooFew {
            what: "readings on the best-read spot",
            came: 1,
            needed: 2,
        });
    }
    let grand_mean = summary::mean(&all)?;
    let within: f64 = spots.iter().map(|s| summary::squares(s.as_ref())).sum();
    let between: f64 = spots
        .iter()
        .map(|s| weighted_square(s.as_ref(), grand_mean))
        .sum();
    let msw = finite(within / (n - k), "mean square within spots")?;
    let msb = finite(between / (k - 1.0), "mean square between spots")?;
    let squared_counts: f64 = spots
        .iter()
        .map(|s| number(s.as_ref().len()))
        .map(|c| c * c)
        .sum();
    let typical_count = (n - squared_counts / n) / (k - 1.0);
    let (f_ratio, p_value) = f_test(msb, msw, (k - 1.0, n - k))?;
    Ok(Nested {
        spots: spots.len(),
        readings: all.len(),
        grand_mean,
        repeatability_sd: msw.sqrt(),
        between_spot_sd: ((msb - msw).max(0.0) / typical_count).sqrt(),
        is_between_clipped: msb < msw,
        mean_square_between: msb,
        mean_square_within: msw,
        f_ratio,
        p_value,
    })
}

/// Squared distance of a spot from the mean of all, times its readings.
fn weighted_square(spot: &[f64], grand_mean: f64) -> f64 {
    let distance = summary::raw_mean(spot) - grand_mean;
    number(spot.len()) * distance * distance
}

/// The ratio of the mean squares and its chance.
fn f_test(
    msb: f64,
    msw: f64,
    (freedom_between, freedom_within): (f64, f64),
) -> Result<(Option<f64>, Option<f64>), StatisticsError> {
    if msw == 0.0 {
        return Ok((None, None));
    }
    let ratio = finite(msb / msw, "ratio of mean squares")?;
    let what = "chance of the ratio";
    let distribution = FisherSnedecor::new(freedom_between, freedom_within)
        .map_err(|_| StatisticsError::Unrepresentable { what })?;
    let chance = finite(distribution.sf(ratio), what)?;
    Ok((Some(ratio), Some(chance)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(came: f64, expected: f64, tolerance: f64) {
        assert!(
            (came - expected).abs() <= tolerance + 1e-9,
            "{came} instead of {expected}"
        );
    }

    // Five spots of three film readings; figures from an independent program.
    #[test]
    fn five_spots_of_three_split_into_gauge_and_panel() {
        let spots = [
            [112.0, 113.0, 112.0],
            [118.0, 117.0, 119.0],
            [109.0, 110.0, 110.0],
            [121.0, 120.0, 122.0],
            [115.0, 116.0, 115.0],
        ];
        let n = nested(&spots).expect("five spots");
        near(n.grand_mean, 115.2667, 0.5e-4);
        near(n.repeatability_sd, 0.774_597, 0.5e-6);
        near(n.between_spot_sd, 4.458_450, 0.5e-6);
        near(n.mean_square_between, 60.2333, 0.5e-4);
        near(n.mean_square_within, 0.6, 1e-9);
        near(n.f_ratio.expect("repeats differ"), 100.389, 0.5e-3);
        let means: Vec<f64> = spots
            .iter()
            .map(|s| summary::mean(s).expect("readings"))
            .collect();
        near(summary::sd(&means).expect("five means"), 4.480_823, 0.5e-6);
    }

    // F(1, d) is the square of t(d): two groups agree with the pooled t test.
    #[test]
    fn two_spots_give_the_square_of_the_pooled_t() {
        use super::super::t_test::{Group, pooled};
        let (a, b) = ([3.1, 3.4, 2.9, 3.3], [3.8, 3.5, 4.1]);
        let t = pooled(
            Group::of(&a).expect("four"),
            Group::of(&b).expect("three"),
            0.95,
        )
        .expect("two groups");
        let n = nested(&[a.as_slice(), b.as_slice()]).expect("two spots");
        near(
            n.f_ratio.expect("repeats differ"),
            t.statistic * t.statistic,
            1e-9,
        );
        near(n.p_value.expect("repeats differ"), t.p_two_sided, 1e-9);
    }

    // By hand: spots {1, 3} and {8}: means 2 and 8, grand 4; within 2 on 1
    // degree, between 2·4 + 16 = 24 on 1; n₀ = 3 − 5/3 = 4/3; (24 − 2)/(4/3) = 16.5.
    #[test]
    fn unequal_spots_are_worked_by_hand() {
        let n = nested(&[vec![1.0, 3.0], vec![8.0]]).expect("two spots");
        near(n.repeatability_sd, 2_f64.sqrt(), 1e-12);
        near(n.mean_square_between, 24.0, 1e-12);
        near(n.between_spot_sd, 16.5_f64.sqrt(), 1e-12);
    }

    #[test]
    fn spots_alike_have_no_spread_of_their_own() {
        let n = nested(&[[1.0, 3.0], [1.1, 2.9], [0.9, 3.1]]).expect("three spots");
        assert!(n.is_between_clipped);
        assert_eq!(n.between_spot_sd, 0.0);
    }

    #[test]
    fn repeats_that_never_differ_leave_the_ratio_unknown() {
        let n = nested(&[[1.0, 1.0], [2.0, 2.0]]).expect("two spots");
        assert_eq!(
            (n.f_ratio, n.p_value, n.repeatability_sd),
            (None, None, 0.0)
        );
    }

    #[test]
    fn readings_that_cannot_answer_are_refused() {
        assert!(nested::<Vec<f64>>(&[]).is_err());
        assert!(nested(&[vec![1.0, 2.0, 3.0]]).is_err());
        assert!(nested(&[vec![1.0], vec![2.0], vec![3.0]]).is_err());
        assert!(nested(&[vec![1.0, 2.0, 3.0], vec![]]).is_err());
        let bad = nested(&[vec![1.0, 2.0], vec![f64::NAN, 3.0]]);
        assert_eq!(bad, Err(StatisticsError::NotANumber { position: 3 }));
    }
}
