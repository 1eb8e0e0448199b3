//! Is one mean different from another, and by how much: paired, Welch, pooled.
//!
//! Law: paired: d = before − after, t = d̄/(s_d/√n), n − 1 degrees of freedom.
//! Welch: t = (x̄₁ − x̄₂)/√(s₁²/n₁ + s₂²/n₂), degrees of freedom after
//! Satterthwaite. Pooled: one common s, n₁ + n₂ − 2. Interval: difference ±
//! t(½ + confidence/2)·standard error.
//! Source: NIST e-Handbook 1.3.5.3, 7.3.1; Satterthwaite 1946.
//! Holds: readings (or differences) roughly normal, independent. Pairs must be
//! the same spot before and after: unpaired tests throw that knowledge away.
//! Outside: without any spread there is no test, an error.
//! Left out: rank tests.
//! Checked by: NIST 1.3.5.3 (two samples), Student's sleep data (1908), a
//! paired textbook example, film pairs worked by an independent program.

use statrs::distribution::ContinuousCDF;

use crate::source::Source;

use super::StatisticsError;
use super::error::{checked, finite, inside, number, share};
use super::quantile::{self, student};
use super::summary;

/// Where the paired and pooled tests are written down.
pub const SOURCE: Source = Source::NistHandbook;

/// Where the degrees of freedom of unequal spreads are written down.
pub const UNEQUAL_SPREADS: Source = Source::Satterthwaite1946;

/// A group of readings by count, mean and standard deviation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Group {
    /// How many readings.
    pub count: usize,
    /// Their mean.
    pub mean: f64,
    /// Their standard deviation.
    pub sd: f64,
}

impl Group {
    /// The group of these readings.
    ///
    /// # Errors
    /// When there are fewer than two, or one is not a number.
    pub fn of(values: &[f64]) -> Result<Self, StatisticsError> {
        Ok(Self {
            count: values.len(),
            sd: summary::sd(values)?,
            mean: summary::mean(values)?,
        })
    }
}

/// A difference of means and what can be said of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TTest {
    /// First mean less second mean, in the readings' unit.
    pub difference: f64,
    /// Standard error of the difference, in the readings' unit.
    pub standard_error: f64,
    /// The difference in standard errors.
    pub statistic: f64,
    /// Degrees of freedom.
    pub freedom: f64,
    /// Chance of a difference this far from zero, in either direction, if
    /// there were none.
    pub p_two_sided: f64,
    /// Chance of a difference this large or larger, with its sign, if there
    /// were none.
    pub p_greater: f64,
    /// Lower end of the interval at the confidence asked for.
    pub lower: f64,
    /// Upper end of the interval.
    pub upper: f64,
}

/// Same spots before and after; the difference is before less after.
///
/// # Errors
/// When the lists differ in length, hold fewer than two pairs or something
/// that is not a number, when all differences are equal, or the confidence is
/// not inside 0 to 1.
pub fn paired(
    before: &[f64],
    after: &[f64],
    confidence_frac: f64,
) -> Result<TTest, StatisticsError> {
    if before.len() != after.len() {
        return Err(StatisticsError::Unpaired {
            before: before.len(),
            after: after.len(),
        });
    }
    checked(before, "pairs", 2)?;
    checked(after, "pairs", 2)?;
    let changes: Vec<f64> = before.iter().zip(after).map(|(b, a)| b - a).collect();
    let group = Group::of(&changes)?;
    let n = number(group.count);
    let error = group.sd / n.sqrt();
    test(group.mean, error, n - 1.0, ("differences", confidence_frac))
}

/// Two groups that may spread differently.
///
/// # Errors
/// When a group holds fewer than two readings or a value that is not a
/// number, when neither spreads, or the confidence is not inside 0 to 1.
pub fn welch(first: Group, second: Group, confidence_frac: f64) -> Result<TTest, StatisticsError> {
    let (n1, n2) = checked_groups(first, second)?;
    let (v1, v2) = (first.sd * first.sd / n1, second.sd * second.sd / n2);
    let variance = v1 + v2;
    // Shares keep the ratio inside the range of numbers for tiny variances.
    let (a, b) = (v1 / variance, v2 / variance);
    let freedom = 1.0 / (a * a / (n1 - 1.0) + b * b / (n2 - 1.0));
    let difference = first.mean - second.mean;
    test(
        difference,
        variance.sqrt(),
        freedom,
        ("readings", confidence_frac),
    )
}

/// Two groups with one common spread.
///
/// # Errors
/// As [`welch`].
pub fn pooled(first: Group, second: Group, confidence_frac: f64) -> Result<TTest, StatisticsError> {
    let (n1, n2) = checked_groups(first, second)?;
    let error = pooled_sd(first, second)? * (1.0 / n1 + 1.0 / n2).sqrt();
    let difference = first.mean - second.mean;
    test(
        difference,
        error,
        n1 + n2 - 2.0,
        ("readings", confidence_frac),
    )
}

/// The common standard deviation of two groups.
///
/// # Errors
/// When a group holds fewer than two readings or a value that is not a number.
pub fn pooled_sd(first: Group, second: Group) -> Result<f64, StatisticsError> {
    let (n1, n2) = checked_groups(first, second)?;
    let squares = (n1 - 1.0) * first.sd * first.sd + (n2 - 1.0) * second.sd * second.sd;
    finite(
        (squares / (n1 + n2 - 2.0)).sqrt(),
        "pooled standard deviation",
    )
}

/// Refuses groups that are too small or not numbers; their counts.
fn checked_groups(first: Group, second: Group) -> Result<(f64, f64), StatisticsError> {
    for group in [first, second] {
        if group.count < 2 {
            return Err(StatisticsError::TooFew {
                what: "readings",
                came: group.count,
                needed: 2,
            });
        }
        finite(group.mean, "mean")?;
        if group.sd != 0.0 {
            inside(group.sd, "standard deviation", (0.0, f64::INFINITY))?;
        }
    }
    Ok((number(first.count), number(second.count)))
}

/// The test of a difference with its standard error.
fn test(
    difference: f64,
    standard_error: f64,
    freedom: f64,
    (what, confidence_frac): (&'static str, f64),
) -> Result<TTest, StatisticsError> {
    share(confidence_frac, "confidence")?;
    finite(standard_error, "standard error")?;
    if standard_error <= 0.0 {
        return Err(StatisticsError::NoSpread { what });
    }
    let statistic = finite(difference / standard_error, "t statistic")?;
    let distribution = student(freedom)?;
    let half_width = standard_error * quantile::student_t(0.5 + confidence_frac / 2.0, freedom)?;
    Ok(TTest {
        difference,
        standard_error,
        statistic,
        freedom,
        p_two_sided: finite(2.0 * distribution.sf(statistic.abs()), "p value")?.min(1.0),
        p_greater: finite(distribution.sf(statistic), "p value")?,
        lower: finite(difference - half_width, "interval")?,
        upper: finite(difference + half_width, "interval")?,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(came: f64, expected: f64, tolerance: f64) {
        assert!(
            (came - expected).abs() <= tolerance,
            "{came} instead of {expected}"
        );
    }

    // Source: NIST e-Handbook 1.3.5.3 (AUTO83B, miles per gallon of US and
    // Japanese cars); bounds from the printed digits.
    #[test]
    fn two_samples_agree_with_the_handbook() {
        let us = Group {
            count: 249,
            mean: 20.14458,
            sd: 6.414_699,
        };
        let japan = Group {
            count: 79,
            mean: 30.48101,
            sd: 6.107_710,
        };
        near(pooled_sd(us, japan).expect("two groups"), 6.342_600, 1e-5);
        let t = pooled(us, japan, 0.95).expect("two groups");
        near(t.statistic, -12.620_591, 1e-5);
        assert_eq!(t.freedom, 326.0);
        let w = welch(us, japan, 0.95).expect("two groups");
        near(w.statistic, -12.946_273, 1e-5);
        near(w.freedom, 136.874_977, 1e-4);
    }

    // A textbook example of fuel economy with and without an additive:
    // t = √20; figures recomputed with an independent program.
    #[test]
    fn paired_textbook_example_has_t_of_root_twenty() {
        let a = [19.0, 22.0, 24.0, 24.0, 25.0, 25.0, 26.0, 26.0, 28.0, 32.0];
        let b = [16.0, 20.0, 21.0, 22.0, 23.0, 22.0, 27.0, 25.0, 27.0, 28.0];
        let t = paired(&a, &b, 0.95).expect("ten pairs");
        near(t.statistic, 20_f64.sqrt(), 1e-12);
        assert_eq!(t.freedom, 9.0);
        near(t.p_greater, 0.000_774_943, 0.5e-9);
        near(t.p_two_sided, 0.001_549_886, 0.5e-9);
    }

    // Source: Student, The probable error of a mean, Biometrika 6 (1908),
    // hours of sleep; figures from an independent program.
    #[test]
    fn sleep_data_agree_paired_and_unpaired() {
        let a = [0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0];
        let b = [1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4];
        let t = paired(&a, &b, 0.95).expect("ten pairs");
        near(t.statistic, -4.062_128, 1e-6);
        near(t.p_two_sided, 0.002_832_89, 0.5e-8);
        near(t.lower, -2.459_886, 1e-6);
        near(t.upper, -0.700_114, 1e-6);
        let w = welch(
            Group::of(&a).expect("ten"),
            Group::of(&b).expect("ten"),
            0.95,
        )
        .expect("two groups");
        near(w.statistic, -1.860_813, 1e-6);
        near(w.freedom, 17.776_474, 1e-6);
        near(w.p_two_sided, 0.079_394_1, 0.5e-7);
    }

    // Film before and after a cut at nine marked spots; figures from an
    // independent program.
    #[test]
    fn pairs_of_film_readings_show_what_unpaired_ones_blur() {
        let before = [
            118.2, 121.5, 119.8, 124.1, 117.6, 120.3, 122.7, 119.1, 118.9,
        ];
        let after = [
            115.4, 118.0, 117.3, 120.6, 115.1, 117.2, 119.4, 116.0, 116.7,
        ];
        let t = paired(&before, &after, 0.95).expect("nine pairs");
        near(t.difference, 2.944_444, 1e-6);
        near(t.standard_error * 3.0, 0.469_338, 1e-6);
        near(t.statistic, 18.820_852, 1e-5);
        near(t.p_two_sided, 6.5642e-8, 0.5e-12);
        near(t.lower, 2.583_680, 1e-6);
        near(t.upper, 3.305_209, 1e-6);
        let groups = (
            Group::of(&before).expect("nine"),
            Group::of(&after).expect("nine"),
        );
        let w = welch(groups.0, groups.1, 0.95).expect("two groups");
        near(w.statistic, 3.141_213, 1e-6);
        near(w.freedom, 15.5581, 0.5e-4);
        near(w.p_two_sided, 0.006_486, 0.5e-6);
    }

    #[test]
    fn swapping_before_and_after_turns_every_sign() {
        let (a, b) = ([3.0, 5.0, 4.0], [2.0, 2.5, 2.2]);
        let there = paired(&a, &b, 0.9).expect("three pairs");
        let back = paired(&b, &a, 0.9).expect("three pairs");
        near(there.statistic, -back.statistic, 1e-12);
        near(there.lower, -back.upper, 1e-12);
        near(there.p_greater, 1.0 - back.p_greater, 1e-12);
    }

    #[test]
    fn equal_spreads_and_counts_make_welch_and_pooled_one() {
        let (a, b) = (
            Group {
                count: 6,
                mean: 3.0,
                sd: 0.5,
            },
            Group {
                count: 6,
                mean: 2.0,
                sd: 0.5,
            },
        );
        let (w, p) = (
            welch(a, b, 0.95).expect("groups"),
            pooled(a, b, 0.95).expect("groups"),
        );
        near(w.freedom, p.freedom, 1e-9);
        near(w.statistic, p.statistic, 1e-12);
    }

    #[test]
    fn readings_that_cannot_answer_are_refused() {
        assert!(matches!(
            paired(&[1.0, 2.0], &[1.0], 0.95),
            Err(StatisticsError::Unpaired { .. })
        ));
        assert!(matches!(
            paired(&[1.0], &[1.0], 0.95),
            Err(StatisticsError::TooFew { .. })
        ));
        assert!(matches!(
            paired(&[3.0, 4.0], &[1.0, 2.0], 0.95),
            Err(StatisticsError::NoSpread { .. })
        ));
        assert!(matches!(
            paired(&[3.0, f64::NAN], &[1.0, 2.0], 0.95),
            Err(StatisticsError::NotANumber { .. })
        ));
        assert!(paired(&[3.0, 4.5], &[1.0, 2.0], 1.0).is_err());
        assert!(paired(&[3.0, 4.5], &[1.0, 2.0], f64::NAN).is_err());
        let still = Group {
            count: 3,
            mean: 1.0,
            sd: 0.0,
        };
        assert!(matches!(
            welch(still, still, 0.95),
            Err(StatisticsError::NoSpread { .. })
        ));
        assert!(welch(Group { sd: -1.0, ..still }, still, 0.95).is_err());
        assert!(
            pooled(
                Group {
                    sd: f64::NAN,
                    ..still
                },
                still,
                0.95
            )
            .is_err()
        );
    }
}
