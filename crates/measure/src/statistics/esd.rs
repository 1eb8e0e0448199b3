//! How many odd readings are there, when they may hide each other?
//!
//! Law: take out the farthest reading r times; R_i = its distance from the
//! mean of what is left, in standard deviations;
//! λ_i = (n − i)·t/√((n − i − 1 + t²)(n − i + 1)) with
//! t = t(1 − α/(2(n − i + 1)); n − i − 1). The number of odd readings is the
//! *last* i with R_i > λ_i, not the first without (masking).
//! Source: Rosner, Technometrics 25 (1983) 165; NIST e-Handbook 1.3.5.17.3.
//! Holds: normal readings but for at most r; α as stated from about 25
//! readings up, roughly so from 15. Outside: still computed; the caller
//! cautions.
//! Left out: removing anything; an odd film reading is a finding.
//! Checked by: Rosner's 54 values with all ten steps.

use crate::source::Source;

use super::error::{checked, finite, number, share};
use super::grubbs::farthest;
use super::{StatisticsError, quantile, summary};

/// Where the method is written down.
pub const SOURCE: Source = Source::Rosner1983;

/// One reading taken out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EsdStep {
    /// Its place in the list that came, from 0.
    pub index: usize,
    /// The reading.
    pub value: f64,
    /// Its distance from the mean of what was left, in standard deviations.
    pub statistic: f64,
    /// The distance that is still usual.
    pub critical: f64,
}

/// The readings taken out in order and how many of them are odd.
#[derive(Clone, Debug, PartialEq)]
pub struct Esd {
    /// The farthest readings, in the order they were taken out.
    pub steps: Vec<EsdStep>,
    /// How many of the first steps are odd.
    pub outlier_count: usize,
}

impl Esd {
    /// The odd readings.
    #[must_use]
    pub fn outliers(&self) -> &[EsdStep] {
        &self.steps[..self.outlier_count]
    }
}

/// The generalised extreme deviate test for up to `most_outliers` odd readings.
/// Fewer steps come back when what is left no longer spreads.
///
/// # Errors
/// When there are fewer readings than `most_outliers` + 2 (and never fewer
/// than three), one is not a number, all are equal, or `alpha_frac` is not
/// inside 0 to 1.
pub fn generalised_esd(
    values: &[f64],
    most_outliers: usize,
    alpha_frac: f64,
) -> Result<Esd, StatisticsError> {
    share(alpha_frac, "chance of a false alarm")?;
    checked(values, "readings", most_outliers.saturating_add(2).max(3))?;
    let mut left: Vec<f64> = values.to_vec();
    let mut places: Vec<usize> = (0..values.len()).collect();
    let mut steps = Vec::new();
    for _ in 0..most_outliers {
        let mean = summary::mean(&left)?;
        let sd = summary::sd(&left)?;
        if sd == 0.0 {
            break;
        }
        let (at, value) = farthest(&left, |v| (v - mean).abs());
        let statistic = finite((value - mean).abs() / sd, "distance from the mean")?;
        let critical = critical(left.len(), alpha_frac)?;
        left.remove(at);
        steps.push(EsdStep {
            index: places.remove(at),
            value,
            statistic,
            critical,
        });
    }
    if steps.is_empty() && most_outliers > 0 {
        return Err(StatisticsError::NoSpread { what: "readings" });
    }
    let outlier_count = steps
        .iter()
        .rposition(|s| s.statistic > s.critical)
        .map_or(0, |at| at + 1);
    Ok(Esd {
        steps,
        outlier_count,
    })
}

/// λ with this many readings still in: m = n − i + 1.
fn critical(count: usize, alpha_frac: f64) -> Result<f64, StatisticsError> {
    let m = number(count);
    let t = quantile::student_t(1.0 - alpha_frac / (2.0 * m), m - 2.0)?;
    finite(
        (m - 1.0) * t / ((m - 2.0 + t * t) * m).sqrt(),
        "critical value",
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    const ROSNER: [f64; 54] = [
        -0.25, 0.68, 0.94, 1.15, 1.20, 1.26, 1.26, 1.34, 1.38, 1.43, 1.49, 1.49, 1.55, 1.56, 1.58,
        1.65, 1.69, 1.70, 1.76, 1.77, 1.81, 1.91, 1.94, 1.96, 1.99, 2.06, 2.09, 2.10, 2.14, 2.15,
        2.23, 2.24, 2.26, 2.35, 2.37, 2.40, 2.47, 2.54, 2.62, 2.64, 2.90, 2.92, 2.92, 2.93, 3.21,
        3.26, 3.30, 3.59, 3.68, 4.30, 4.64, 5.34, 5.42, 6.01,
    ];

    // Source: Rosner 1983, data as reprinted in NIST e-Handbook 1.3.5.17.3;
    // four decimals from an independent program.
    #[test]
    fn rosners_data_hold_three_odd_values_though_the_first_two_steps_hide_it() {
        let steps = [
            (6.01, 3.1189, 3.1588),
            (5.42, 2.9430, 3.1514),
            (5.34, 3.1794, 3.1439),
            (4.64, 2.8102, 3.1362),
            (-0.25, 2.8156, 3.1282),
            (4.30, 2.8482, 3.1201),
            (3.68, 2.2793, 3.1118),
            (3.59, 2.3104, 3.1032),
            (0.68, 2.1016, 3.0945),
            (3.30, 2.0672, 3.0854),
        ];
        let esd = generalised_esd(&ROSNER, 10, 0.05).expect("54 values");
        assert_eq!(esd.steps.len(), 10);
        for (step, (value, r, lambda)) in esd.steps.iter().zip(steps) {
            assert_eq!((step.value, ROSNER[step.index]), (value, value));
            assert!((step.statistic - r).abs() <= 0.5e-4 + 1e-9, "{step:?}");
            assert!((step.critical - lambda).abs() <= 0.5e-4 + 1e-9, "{step:?}");
        }
        assert!(esd.steps[..2].iter().all(|s| s.statistic < s.critical));
        assert_eq!(
            esd.outliers().iter().map(|s| s.value).collect::<Vec<_>>(),
            [6.01, 5.42, 5.34]
        );
    }

    // The same three by modified z above 3.5; scores from an independent program.
    #[test]
    fn the_robust_score_names_the_same_three() {
        let z = summary::modified_z(&ROSNER).expect("54 values");
        let odd: Vec<f64> = z
            .into_iter()
            .filter(|z| z.abs() > summary::ODD_MODIFIED_Z)
            .collect();
        for (came, expected) in odd.iter().zip([4.016, 4.115, 4.845]) {
            assert!((came - expected).abs() <= 0.5e-3, "{came}");
        }
        assert_eq!(odd.len(), 3);
    }

    #[test]
    fn one_step_is_grubbs_test_of_both_ends() {
        let one = generalised_esd(&ROSNER, 1, 0.05).expect("54 values");
        let grubbs = super::super::grubbs::test(&ROSNER, 0.05, super::super::grubbs::End::Either)
            .expect("54 values");
        assert_eq!(one.steps[0].statistic, grubbs.statistic);
        assert!((one.steps[0].critical - grubbs.critical).abs() < 1e-12);
    }

    #[test]
    fn the_test_stops_when_what_is_left_is_all_equal() {
        let esd = generalised_esd(&[116.0, 116.0, 116.0, 116.0, 116.0, 310.0], 3, 0.05)
            .expect("six readings");
        assert_eq!((esd.steps.len(), esd.outlier_count), (1, 1));
        assert_eq!(esd.steps[0].index, 5);
    }

    #[test]
    fn readings_that_cannot_answer_are_refused() {
        assert!(matches!(
            generalised_esd(&[1.0, 2.0, 3.0], 2, 0.05),
            Err(StatisticsError::TooFew { needed: 4, .. })
        ));
        assert!(matches!(
            generalised_esd(&[1.0; 9], 2, 0.05),
            Err(StatisticsError::NoSpread { .. })
        ));
        assert!(matches!(
            generalised_esd(&[1.0, f64::NAN, 3.0], 1, 0.05),
            Err(StatisticsError::NotANumber { position: 2 })
        ));
        assert!(generalised_esd(&ROSNER, 3, 1.0).is_err());
        assert!(generalised_esd(&ROSNER, usize::MAX, 0.05).is_err());
        assert_eq!(
            generalised_esd(&ROSNER, 0, 0.05).map(|e| e.outlier_count),
            Ok(0)
        );
    }
}
