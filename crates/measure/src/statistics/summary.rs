//! Where readings lie and how far they spread, with and without trust in every
//! one of them.
//!
//! Law: mean x̄ = Σx/n; sd s = √(Σ(x − x̄)²/(n − 1)); MAD = median |x − median|;
//! robust sd = 1.4826·MAD; modified z = 0.6745·(x − median)/MAD.
//! Source: NIST e-Handbook 1.3.5.1, 1.3.5.6, 1.3.5.17 (modified z, 3.5 as the
//! limit).
//! Holds: one reading or more; the sd needs two. MAD 0 (more than half the
//! readings equal) leaves modified z unknown.
//! Left out: weights, trimming.
//! Checked by: NIST mass-spectrometer readings, Rosner's data, film readings
//! worked by an independent program.

use crate::source::Source;

use super::StatisticsError;
use super::error::{checked, finite, number};

/// Where the method is written down.
pub const SOURCE: Source = Source::NistHandbook;

/// Standard deviations in one median absolute deviation of normal readings.
pub const SD_PER_MAD: f64 = 1.4826;

/// Its reciprocal as the modified z score is defined.
pub const MAD_PER_SD: f64 = 0.6745;

/// Above this a modified z score marks a reading as odd.
pub const ODD_MODIFIED_Z: f64 = 3.5;

/// Centre and spread of readings, in their unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Summary {
    /// How many readings.
    pub count: usize,
    /// Their mean.
    pub mean: f64,
    /// Their standard deviation; `None` for a single reading.
    pub sd: Option<f64>,
    /// The middle reading.
    pub median: f64,
    /// The middle distance from the median.
    pub mad: f64,
    /// A standard deviation that a few odd readings cannot inflate.
    pub robust_sd: f64,
}

/// Centre and spread of readings.
///
/// # Errors
/// When there is no reading, or one is not a number.
pub fn summary(values: &[f64]) -> Result<Summary, StatisticsError> {
    let mean = mean(values)?;
    let median = median(values)?;
    let mad = mad(values)?;
    Ok(Summary {
        count: values.len(),
        mean,
        sd: if values.len() > 1 {
            Some(sd(values)?)
        } else {
            None
        },
        median,
        mad,
        robust_sd: finite(SD_PER_MAD * mad, "robust standard deviation")?,
    })
}

/// The mean.
///
/// # Errors
/// When there is no reading, or one is not a number.
pub fn mean(values: &[f64]) -> Result<f64, StatisticsError> {
    checked(values, "readings", 1)?;
    finite(raw_mean(values), "mean")
}

/// The standard deviation with n − 1.
///
/// # Errors
/// When there are fewer than two readings, or one is not a number.
pub fn sd(values: &[f64]) -> Result<f64, StatisticsError> {
    checked(values, "readings", 2)?;
    let variance = squares(values) / (number(values.len()) - 1.0);
    finite(variance.sqrt(), "standard deviation")
}

/// The middle reading, or the mean of the two middle ones.
///
/// # Errors
/// When there is no reading, or one is not a number.
pub fn median(values: &[f64]) -> Result<f64, StatisticsError> {
    checked(values, "readings", 1)?;
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let upper = sorted[sorted.len() / 2];
    let lower = sorted[(sorted.len() - 1) / 2];
    finite(lower + (upper - lower) / 2.0, "median")
}

/// The median distance from the median.
///
/// # Errors
/// When there is no reading, or one is not a number.
pub fn mad(values: &[f64]) -> Result<f64, StatisticsError> {
    let centre = median(values)?;
    let distances: Vec<f64> = values.iter().map(|v| (v - centre).abs()).collect();
    median(&distances)
}

/// How odd each reading is, in robust standard deviations, with its sign.
///
/// # Errors
/// When there are fewer than three readings, one is not a number, or more
/// than half of them are equal.
pub fn modified_z(values: &[f64]) -> Result<Vec<f64>, StatisticsError> {
    checked(values, "readings", 3)?;
    let centre = median(values)?;
    let spread = mad(values)?;
    if spread == 0.0 {
        return Err(StatisticsError::NoSpread {
            what: "middle readings",
        });
    }
    let score = |v: &f64| finite(MAD_PER_SD * (v - centre) / spread, "modified z score");
    values.iter().map(score).collect()
}

/// The mean of readings already checked, corrected for the rounding of its own sum.
pub(crate) fn raw_mean(values: &[f64]) -> f64 {
    let n = number(values.len());
    let first = values.iter().sum::<f64>() / n;
    first + values.iter().map(|v| v - first).sum::<f64>() / n
}

/// Sum of squared distances from the mean, of readings already checked.
pub(crate) fn squares(values: &[f64]) -> f64 {
    let centre = raw_mean(values);
    values.iter().map(|v| (v - centre) * (v - centre)).sum()
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

    // Source: NIST e-Handbook 1.3.5.17.1, mass spectrometer readings of
    // uranium (Tietjen, Moore); figures recomputed with an independent program.
    #[test]
    fn uranium_readings_have_the_known_centre_and_spread() {
        let values = [
            199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57,
        ];
        let s = summary(&values).expect("eight readings");
        near(s.mean, 206.43375, 1e-9);
        near(s.sd.expect("more than one"), 15.852_564, 0.5e-6);
        near(s.median, 201.37, 1e-9);
        near(s.mad, 0.995, 1e-9);
        let z = modified_z(&values).expect("a spread");
        near(z[7], 29.962_714, 0.5e-6);
    }

    // Film readings with a filled spot; figures from an independent program.
    #[test]
    fn one_filled_spot_moves_the_mean_but_not_the_median() {
        let values = [
            112.0, 115.0, 118.0, 117.0, 116.0, 114.0, 119.0, 113.0, 310.0, 116.0,
        ];
        let s = summary(&values).expect("ten readings");
        near(s.mean, 135.0, 1e-12);
        near(s.sd.expect("more than one"), 61.526_869, 0.5e-6);
        assert_eq!((s.median, s.mad), (116.0, 2.0));
        near(s.robust_sd, 2.9652, 1e-12);
        near(modified_z(&values).expect("a spread")[8], 65.4265, 0.5e-4);
    }

    // The readings of two acceptance examples after ISO 19840, means by hand.
    #[test]
    fn acceptance_examples_have_the_means_worked_by_hand() {
        let failing = [
            118.0, 124.0, 131.0, 109.0, 122.0, 127.0, 115.0, 136.0, 121.0, 128.0, 119.0, 133.0,
            125.0, 120.0, 97.0,
        ];
        near(mean(&failing).expect("readings"), 1825.0 / 15.0, 1e-12);
        let passing = [
            126.0, 131.0, 122.0, 128.0, 135.0, 124.0, 119.0, 129.0, 133.0, 127.0, 125.0, 130.0,
            121.0, 132.0, 118.0,
        ];
        near(mean(&passing).expect("readings"), 1900.0 / 15.0, 1e-12);
    }

    #[test]
    fn a_single_reading_has_a_centre_and_no_spread() {
        let s = summary(&[95.0]).expect("one reading");
        assert_eq!((s.mean, s.sd, s.median, s.mad), (95.0, None, 95.0, 0.0));
        assert!(sd(&[95.0]).is_err());
        assert_eq!(sd(&[95.0; 5]), Ok(0.0));
    }

    #[test]
    fn a_large_offset_does_not_eat_the_spread() {
        let shifted = [1e9 + 4.0, 1e9 + 7.0, 1e9 + 13.0, 1e9 + 16.0];
        near(sd(&shifted).expect("four readings"), 30_f64.sqrt(), 1e-12);
    }

    #[test]
    fn nonsense_is_refused_with_its_place() {
        assert_eq!(
            mean(&[1.0, f64::NAN]),
            Err(StatisticsError::NotANumber { position: 2 })
        );
        assert_eq!(
            mean(&[f64::INFINITY]),
            Err(StatisticsError::NotANumber { position: 1 })
        );
        assert!(summary(&[]).is_err() && median(&[]).is_err());
        assert!(matches!(
            modified_z(&[2.0, 2.0, 2.0, 9.0]),
            Err(StatisticsError::NoSpread { .. })
        ));
        assert!(matches!(
            sd(&[1e308, -1e308]),
            Err(StatisticsError::Unrepresentable { .. })
        ));
        let sentence = sd(&[1.0]).map_err(|e| e.to_string());
        assert_eq!(
            sentence,
            Err("1 readings came, 2 or more are needed; take 1 more".to_owned())
        );
    }
}
