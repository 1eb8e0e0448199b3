//! Quantiles of the normal, Student's t and chi-squared distributions.
//!
//! Law: q(P) with P = probability that a value is at most q.
//! Source: the distributions of the `statrs` crate; the t quantile is searched
//! on the upper tail, since the crate's own stops short or panics far out.
//! Holds: 0 < P < 1 and 1 or more degrees of freedom. Outside: an error.
//! Left out: nothing that this room needs.
//! Checked by: NIST e-Handbook 1.3.6.7.2 (t at 0.975), 1.3.6.7.4 (chi-squared
//! at 0.05 and 0.95).

use statrs::distribution::{ChiSquared, ContinuousCDF, Normal, StudentsT};

use super::StatisticsError;
use super::error::{finite, inside, share};
use super::root;

/// Farthest t that is searched; its square is still a number.
const FARTHEST_T: f64 = 1e150;

/// The value a standard normal variable stays at or below with this probability.
///
/// # Errors
/// When the probability is not inside 0 to 1.
pub fn normal(probability_frac: f64) -> Result<f64, StatisticsError> {
    share(probability_frac, "probability")?;
    finite(
        Normal::standard().inverse_cdf(probability_frac),
        "normal quantile",
    )
}

/// Probability that a standard normal variable stays at or below `z`; 0 to 1
/// for every number, 0.5 where `z` is not a number.
#[must_use]
pub fn normal_cdf(z: f64) -> f64 {
    if z.is_nan() {
        0.5
    } else {
        Normal::standard().cdf(z)
    }
}

/// The value a t variable stays at or below with this probability.
///
/// # Errors
/// When the probability is not inside 0 to 1, or there is less than one degree
/// of freedom.
pub fn student_t(probability_frac: f64, freedom: f64) -> Result<f64, StatisticsError> {
    share(probability_frac, "probability")?;
    let t = student(freedom)?;
    // Worked in the upper tail, where nothing cancels.
    let tail = probability_frac.min(1.0 - probability_frac);
    let mut reach = 1.0;
    while t.sf(reach) > tail && reach < FARTHEST_T {
        reach *= 2.0;
    }
    let quantile = root::of_rising(|q| tail - t.sf(q), reach / 2.0, reach)
        .or_else(|| root::of_rising(|q| tail - t.sf(q), 0.0, reach))
        .ok_or(StatisticsError::Unrepresentable { what: "t quantile" })?;
    let signed = if probability_frac < 0.5 {
        -quantile
    } else {
        quantile
    };
    finite(signed, "t quantile")
}

/// The value a chi-squared variable stays at or below with this probability.
///
/// # Errors
/// When the probability is not inside 0 to 1, or there is less than one degree
/// of freedom.
pub fn chi_squared(probability_frac: f64, freedom: f64) -> Result<f64, StatisticsError> {
    share(probability_frac, "probability")?;
    inside(freedom, "degrees of freedom", FREEDOM)?;
    let chi = ChiSquared::new(freedom).map_err(|_| StatisticsError::Unrepresentable {
        what: "chi-squared quantile",
    })?;
    finite(chi.inverse_cdf(probability_frac), "chi-squared quantile")
}

/// Probability that a chi-squared variable stays at or below `x`.
///
/// # Errors
/// When `x` is below 0 or no number, or there is less than one degree of
/// freedom.
pub fn chi_squared_cdf(x: f64, freedom: f64) -> Result<f64, StatisticsError> {
    inside(x, "chi-squared value", (-f64::MIN_POSITIVE, f64::INFINITY))?;
    inside(freedom, "degrees of freedom", FREEDOM)?;
    let what = "chi-squared probability";
    let chi = ChiSquared::new(freedom).map_err(|_| StatisticsError::Unrepresentable { what })?;
    finite(chi.cdf(x), what)
}

/// Degrees of freedom that are understood: from 1 (the end itself included)
/// to a count nobody reads.
pub(crate) const FREEDOM: (f64, f64) = (0.999_999, 1e9);

/// Student's t distribution.
pub(crate) fn student(freedom: f64) -> Result<StudentsT, StatisticsError> {
    inside(freedom, "degrees of freedom", FREEDOM)?;
    StudentsT::new(0.0, 1.0, freedom).map_err(|_| StatisticsError::Unrepresentable {
        what: "t distribution",
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    // Source: NIST e-Handbook 1.3.6.7.2, column 0.975, to the digits of the
    // table; df 326 from the worked example of 1.3.5.3.
    #[test]
    fn t_quantiles_agree_with_the_printed_table() {
        let rows = [
            (1.0, 12.7062),
            (2.0, 4.3027),
            (3.0, 3.1824),
            (4.0, 2.7764),
            (5.0, 2.5706),
            (8.0, 2.3060),
            (9.0, 2.2622),
            (10.0, 2.2281),
            (14.0, 2.1448),
            (19.0, 2.0930),
            (24.0, 2.0639),
            (29.0, 2.0452),
            (60.0, 2.0003),
        ];
        for (freedom, expected) in rows {
            let t = student_t(0.975, freedom).expect("a quantile");
            assert!((t - expected).abs() <= 0.5e-4, "df {freedom}: {t}");
        }
        let t = student_t(0.975, 326.0).expect("a quantile");
        assert!((t - 1.967_268).abs() <= 0.5e-6, "{t}");
    }

    // Closed forms: with one degree of freedom t is Cauchy, q = tan(π(P − ½));
    // with two, q = (2P − 1)·√(1 / (2P(1 − P))).
    #[test]
    fn t_quantiles_agree_with_closed_forms_far_into_the_tails() {
        for p in [0.6, 0.9, 0.99, 0.9999, 1e-3, 1e-6, 1e-9] {
            let t = student_t(p, 1.0).expect("a quantile");
            let closed = -1.0 / (std::f64::consts::PI * p).tan();
            assert!(
                (t - closed).abs() <= 1e-10 * closed.abs(),
                "{p}: {t} {closed}"
            );
            let t = student_t(p, 2.0).expect("a quantile");
            let closed = (2.0 * p - 1.0) * (1.0 / (2.0 * p * (1.0 - p))).sqrt();
            assert!(
                (t - closed).abs() <= 1e-10 * closed.abs(),
                "{p}: {t} {closed}"
            );
        }
        assert!(student_t(0.5, 7.0).expect("a quantile").abs() < 1e-9);
    }

    // Source: NIST e-Handbook 1.3.6.7.4, chi-squared critical values; and the
    // closed form −2 ln(1 − P) for two degrees of freedom.
    #[test]
    fn chi_squared_quantiles_agree_with_table_and_closed_form() {
        for (p, freedom, expected) in [
            (0.95, 1.0, 3.841),
            (0.95, 10.0, 18.307),
            (0.05, 9.0, 3.325),
            (0.05, 30.0, 18.493),
        ] {
            let q = chi_squared(p, freedom).expect("a quantile");
            assert!((q - expected).abs() <= 0.5e-3, "{q}");
        }
        for p in [0.01, 0.5, 0.99] {
            let q = chi_squared(p, 2.0).expect("a quantile");
            assert!((q + 2.0 * (1.0 - p).ln()).abs() < 1e-9, "{q}");
        }
    }

    #[test]
    fn quantiles_at_the_ends_stay_numbers_or_are_refused() {
        assert!(student_t(1e-300, 1.0).is_err());
        for p in [1e-300, 1e-15, 0.5, 1.0 - 1e-15] {
            assert!(normal(p).is_ok_and(f64::is_finite), "{p}");
            for freedom in [1.0, 2.0, 7.5, 1e3, 1e6] {
                assert!(
                    chi_squared(p, freedom).is_ok_and(|q| q >= 0.0),
                    "{p} {freedom}"
                );
            }
        }
        for p in [1e-30, 1e-15, 1e-12, 0.5, 1.0 - 1e-15] {
            for freedom in [1.0, 2.0, 7.5, 1e3, 1e8] {
                // A rounding of t²/ν by one part in 2⁵³ moves the tail by half
                // the degrees of freedom as many parts.
                let bound = 1e-12 + 4.0 * freedom * f64::EPSILON;
                let chance = student_t(p, freedom).and_then(|q| Ok(student(freedom)?.cdf(q)));
                assert!(
                    chance.is_ok_and(|c| (c - p).abs() <= bound * p),
                    "{p} {freedom}: {chance:?}"
                );
            }
        }
    }

    #[test]
    fn probabilities_and_freedoms_that_mean_nothing_are_refused() {
        for bad in [0.0, 1.0, -0.1, 1.1, f64::NAN, f64::INFINITY] {
            assert!(
                normal(bad).is_err()
                    && student_t(bad, 3.0).is_err()
                    && chi_squared(bad, 3.0).is_err()
            );
        }
        for bad in [0.0, -1.0, 0.5, f64::NAN, f64::INFINITY] {
            assert!(student_t(0.9, bad).is_err() && chi_squared(0.9, bad).is_err());
        }
    }
}
