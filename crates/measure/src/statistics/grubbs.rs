//! Is the oddest reading too odd for the rest?
//!
//! Law: G = |x − x̄|/s of the reading farthest out; odd when G is above
//! (n − 1)/√n · √(t²/(n − 2 + t²)), t = t(1 − α/n; n − 2) for one end looked
//! at, t(1 − α/2n; n − 2) for both.
//! Source: Grubbs, Technometrics 11 (1969) 1; NIST e-Handbook 1.3.5.17.1.
//! Holds: normal readings but for one, three or more. Several odd readings
//! hide each other: use [`super::esd`].
//! Left out: removing anything; an odd film reading is a finding.
//! Checked by: NIST uranium readings, DIN 32645 table of critical values.

use crate::source::Source;

use super::error::{checked, finite, number, share};
use super::{Sides, StatisticsError, quantile, summary};

/// Where the method is written down.
pub const SOURCE: Source = Source::Grubbs1969;

/// Which end is looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum End {
    /// Only the highest reading.
    High,
    /// Only the lowest reading.
    Low,
    /// Whichever is farther from the mean.
    Either,
}

/// The oddest reading and the verdict on it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Grubbs {
    /// Its place in the list, from 0.
    pub index: usize,
    /// The reading.
    pub value: f64,
    /// Its distance from the mean in standard deviations.
    pub statistic: f64,
    /// The distance above which it is odd.
    pub critical: f64,
    /// Whether it is odd.
    pub is_outlier: bool,
}

/// The distance from the mean, in standard deviations, above which one reading
/// of `count` is odd.
///
/// # Errors
/// When there are fewer than three readings or `alpha_frac` is not inside 0 to 1.
pub fn critical(count: usize, alpha_frac: f64, sides: Sides) -> Result<f64, StatisticsError> {
    share(alpha_frac, "chance of a false alarm")?;
    if count < 3 {
        return Err(StatisticsError::TooFew {
            what: "readings",
            came: count,
            needed: 3,
        });
    }
    let n = number(count);
    let t = quantile::student_t(1.0 - sides.tail(alpha_frac) / n, n - 2.0)?;
    finite(
        (n - 1.0) / n.sqrt() * (t * t / (n - 2.0 + t * t)).sqrt(),
        "critical value",
    )
}

/// The test of the oddest reading.
///
/// # Errors
/// When there are fewer than three readings, one is not a number, all are
/// equal, or `alpha_frac` is not inside 0 to 1.
pub fn test(values: &[f64], alpha_frac: f64, end: End) -> Result<Grubbs, StatisticsError> {
    checked(values, "readings", 3)?;
    let sides = if end == End::Either {
        Sides::Two
    } else {
        Sides::One
    };
    let critical = critical(values.len(), alpha_frac, sides)?;
    let mean = summary::mean(values)?;
    let sd = summary::sd(values)?;
    if sd == 0.0 {
        return Err(StatisticsError::NoSpread { what: "readings" });
    }
    let distance = |v: f64| match end {
        End::High => v - mean,
        End::Low => mean - v,
        End::Either => (v - mean).abs(),
    };
    let (index, value) = farthest(values, distance);
    let statistic = finite(distance(value) / sd, "distance from the mean")?;
    Ok(Grubbs {
        index,
        value,
        statistic,
        critical,
        is_outlier: statistic > critical,
    })
}

/// The first reading with the largest distance.
pub(crate) fn farthest(values: &[f64], distance: impl Fn(f64) -> f64) -> (usize, f64) {
    let mut best = (0, values[0]);
    for (index, value) in values.iter().copied().enumerate() {
        if distance(value) > distance(best.1) {
            best = (index, value);
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;

    const URANIUM: [f64; 8] = [
        199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57,
    ];

    // Source: NIST e-Handbook 1.3.5.17.1 (Tietjen, Moore), digits recomputed.
    #[test]
    fn the_uranium_reading_of_245_57_is_odd() {
        let g = test(&URANIUM, 0.05, End::High).expect("eight readings");
        assert_eq!((g.index, g.value, g.is_outlier), (7, 245.57, true));
        assert!((g.statistic - 2.468_765).abs() <= 0.5e-6, "{g:?}");
        assert!((g.critical - 2.031_652).abs() <= 0.5e-6, "{g:?}");
        let both = test(&URANIUM, 0.05, End::Either).expect("eight readings");
        assert!((both.critical - 2.126_645).abs() <= 0.5e-6, "{both:?}");
        let low = test(&URANIUM, 0.05, End::Low).expect("eight readings");
        assert_eq!((low.index, low.is_outlier), (0, false));
    }

    // Source: DIN 32645 table (n 4 to 20, two decimals), four decimals and
    // larger n from an independent program. Columns: α 0.05 one end, 0.05 both
    // ends, 0.01 one end.
    #[test]
    fn critical_values_agree_with_the_printed_table() {
        let rows = [
            (3, 1.1531, 1.1543, 1.1546),
            (4, 1.4625, 1.4812, 1.4925),
            (5, 1.6714, 1.7150, 1.7489),
            (6, 1.8221, 1.8871, 1.9442),
            (7, 1.9381, 2.0200, 2.0973),
            (8, 2.0317, 2.1266, 2.2208),
            (9, 2.1096, 2.2150, 2.3231),
            (10, 2.1761, 2.2900, 2.4097),
            (12, 2.2850, 2.4116, 2.5494),
            (15, 2.4090, 2.5483, 2.7049),
            (20, 2.5566, 2.7082, 2.8838),
            (25, 2.6629, 2.8217, 3.0086),
            (30, 2.7451, 2.9085, 3.1029),
        ];
        for (n, one_05, two_05, one_01) in rows {
            for (alpha, sides, expected) in [
                (0.05, Sides::One, one_05),
                (0.05, Sides::Two, two_05),
                (0.01, Sides::One, one_01),
            ] {
                let came = critical(n, alpha, sides).expect("a critical value");
                assert!(
                    (came - expected).abs() <= 0.5e-4 + 1e-9,
                    "n {n}, {sides:?} {alpha}: {came} instead of {expected}"
                );
            }
        }
    }

    #[test]
    fn readings_that_cannot_answer_are_refused() {
        assert!(matches!(
            test(&[1.0, 2.0], 0.05, End::High),
            Err(StatisticsError::TooFew { .. })
        ));
        assert!(matches!(
            test(&[2.0; 5], 0.05, End::High),
            Err(StatisticsError::NoSpread { .. })
        ));
        assert!(matches!(
            test(&[1.0, 2.0, f64::NAN], 0.05, End::Low),
            Err(StatisticsError::NotANumber { position: 3 })
        ));
        assert!(
            test(&URANIUM, 0.0, End::High).is_err() && test(&URANIUM, f64::NAN, End::High).is_err()
        );
    }
}
