//! Limits that hold a share of the whole panel, from a few readings of it.
//!
//! Law: x̄ ± k₂·s holds at least the share p with confidence γ, x̄ − k₁·s has at
//! least the share p above it. ν = n − 1.
//! Howe: k₂ = z((1 + p)/2)·√(ν(1 + 1/n)/χ²(1 − γ; ν)).
//! Exact k₂: √(2n/π)·∫₀^∞ P(χ²_ν ≥ ν r(x)²/k₂²)·e^(−n x²/2) dx = γ with
//! Φ(x + r) − Φ(x − r) = p, x the error of the mean in standard deviations.
//! Exact k₁: P(noncentral t ≤ k₁√n; ν, z(p)√n) = γ.
//! Handbook k₁: (z_p + √(z_p² − a b))/a, a = 1 − z_γ²/(2ν), b = z_p² − z_γ²/n.
//! Source: NIST e-Handbook 7.2.6.3; Howe, J. Am. Stat. Assoc. 64 (1969) 610.
//! Holds: normal readings, 2 or more; k₁ exact while z(p)√n ≤ 150. Outside: an
//! error.
//! Left out: limits without the normal assumption.
//! Checked by: the worked example of NIST 7.2.6.3 and tables of exact factors
//! from an independent program.

use std::f64::consts::PI;

use statrs::distribution::{ChiSquared, ContinuousCDF, Normal};

use crate::source::Source;

use super::StatisticsError;
use super::error::{finite, inside, number, share};
use super::{noncentral_t, quadrature, quantile, root};

/// Where the factors are written down.
pub const SOURCE: Source = Source::NistHandbook;

/// Where the two-sided formula comes from.
pub const TWO_SIDED_FORMULA: Source = Source::Howe1969;

/// Largest factor searched for.
const MOST_FACTOR: f64 = 1e6;

/// Panels of the integral over the error of the mean.
const PANELS: u32 = 24;

/// Where that integral ends, in standard errors of the mean.
const FARTHEST_MEAN: f64 = 9.0;

/// What limits are asked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// Readings they rest on.
    pub count: usize,
    /// Share of the panel they hold.
    pub coverage_frac: f64,
    /// How surely.
    pub confidence_frac: f64,
}

impl Limits {
    fn checked(&self) -> Result<f64, StatisticsError> {
        self.checked_for(2)
    }

    fn checked_for(&self, needed: usize) -> Result<f64, StatisticsError> {
        share(self.coverage_frac, "share of the panel")?;
        share(self.confidence_frac, "confidence")?;
        if self.count < needed {
            return Err(StatisticsError::TooFew {
                what: "readings",
                came: self.count,
                needed,
            });
        }
        Ok(number(self.count))
    }
}

/// Two-sided factor by Howe's formula, a little small for few readings.
///
/// # Errors
/// When there are fewer than two readings or a share is not inside 0 to 1.
pub fn howe_two_sided(limits: &Limits) -> Result<f64, StatisticsError> {
    let n = limits.checked()?;
    let z = quantile::normal(f64::midpoint(1.0, limits.coverage_frac))?;
    let chi = quantile::chi_squared(1.0 - limits.confidence_frac, n - 1.0)?;
    finite(
        z * ((n - 1.0) * (1.0 + 1.0 / n) / chi).sqrt(),
        "tolerance factor",
    )
}

/// Two-sided factor, exact.
///
/// # Errors
/// As [`howe_two_sided`], or when the factor is beyond a million.
pub fn exact_two_sided(limits: &Limits) -> Result<f64, StatisticsError> {
    let n = limits.checked()?;
    let freedom = n - 1.0;
    let chi = ChiSquared::new(freedom).map_err(|_| out_of_reach())?;
    // The half width r depends on the mean's error alone: worked out once.
    let weighted: Vec<(f64, f64)> = quadrature::points(0.0, FARTHEST_MEAN, PANELS)
        .into_iter()
        .filter_map(|(z, weight)| {
            let density = weight * (2.0 / PI).sqrt() * (-z * z / 2.0).exp();
            Some((half_width(z / n.sqrt(), limits.coverage_frac)?, density))
        })
        .collect();
    let confidence = |k: f64| -> f64 {
        weighted
            .iter()
            .map(|(r, density)| density * chi.sf(freedom * r * r / (k * k)))
            .sum()
    };
    let guess = howe_two_sided(limits)?;
    let excess = |k: f64| confidence(k) - limits.confidence_frac;
    root::of_rising(excess, guess * 0.5, (guess * 2.0).min(MOST_FACTOR))
        .or_else(|| root::of_rising(excess, 1e-9, MOST_FACTOR))
        .ok_or_else(out_of_reach)
}

/// One-sided factor, exact.
///
/// # Errors
/// When there are fewer than two readings, a share is not inside 0 to 1, or
/// the count is too large for the noncentral t distribution.
pub fn exact_one_sided(limits: &Limits) -> Result<f64, StatisticsError> {
    let n = limits.checked()?;
    one_sided(limits, n, n - 1.0)
}

/// One-sided factor, exact, for a deviation known from `freedom` degrees of
/// freedom, which other readings may have given; one reading will do.
///
/// # Errors
/// When there is no reading, a share is not inside 0 to 1, or the noncentral t
/// distribution refuses.
pub fn exact_one_sided_knowing(limits: &Limits, freedom: f64) -> Result<f64, StatisticsError> {
    one_sided(limits, limits.checked_for(1)?, freedom)
}

fn one_sided(limits: &Limits, n: f64, freedom: f64) -> Result<f64, StatisticsError> {
    let shift = quantile::normal(limits.coverage_frac)? * n.sqrt();
    // Asked once outside the search, so that its refusal reaches the caller.
    noncentral_t::cdf(0.0, freedom, shift)?;
    let excess = |k: f64| {
        noncentral_t::cdf(k * n.sqrt(), freedom, shift)
            .map_or(f64::NAN, |chance| chance - limits.confidence_frac)
    };
    let mut reach = 4.0;
    while reach < MOST_FACTOR && (excess(reach) < 0.0 || excess(-reach) > 0.0) {
        reach *= 4.0;
    }
    root::of_rising(excess, -reach, reach).ok_or_else(out_of_reach)
}

/// One-sided factor by the handbook's approximation.
///
/// # Errors
/// When there are fewer than two readings, a share is not inside 0 to 1, or
/// the approximation breaks down (few readings at high confidence): use
/// [`exact_one_sided`].
pub fn approximate_one_sided(limits: &Limits) -> Result<f64, StatisticsError> {
    let n = limits.checked()?;
    let z_p = quantile::normal(limits.coverage_frac)?;
    let z_g = quantile::normal(limits.confidence_frac)?;
    let a = 1.0 - z_g * z_g / (2.0 * (n - 1.0));
    inside(a, "approximation's divisor", (0.0, f64::INFINITY))?;
    let b = z_p * z_p - z_g * z_g / n;
    finite((z_p + (z_p * z_p - a * b).sqrt()) / a, "tolerance factor")
}

/// The r with Φ(x + r) − Φ(x − r) = p.
fn half_width(x: f64, coverage_frac: f64) -> Option<f64> {
    let normal = Normal::standard();
    let excess = |r: f64| normal.cdf(x + r) - normal.cdf(x - r) - coverage_frac;
    root::of_rising(excess, 0.0, x + 40.0)
}

fn out_of_reach() -> StatisticsError {
    StatisticsError::OutOfReach {
        what: "tolerance factor",
        limit: MOST_FACTOR,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn limits(count: usize, coverage_frac: f64, confidence_frac: f64) -> Limits {
        Limits {
            count,
            coverage_frac,
            confidence_frac,
        }
    }

    fn near(came: Result<f64, StatisticsError>, expected: f64, tolerance: f64) {
        let came = came.expect("a factor");
        assert!(
            (came - expected).abs() <= tolerance + 1e-9,
            "{came} instead of {expected}"
        );
    }

    // Source: NIST e-Handbook 7.2.6.3: wafers, n 43, p 0.90, γ 0.99, mean
    // 97.07, s 0.0268; the exact factors from an independent program.
    #[test]
    fn the_handbook_example_has_its_factors_and_limits() {
        let wafers = limits(43, 0.90, 0.99);
        near(howe_two_sided(&wafers), 2.217_315_9, 0.5e-7);
        near(approximate_one_sided(&wafers), 1.875_189_6, 0.5e-7);
        near(exact_two_sided(&wafers), 2.222_825_2, 0.5e-7);
        near(exact_one_sided(&wafers), 1.873_953_6, 0.5e-7);
        let (k2, k1) = (
            howe_two_sided(&wafers).expect("a factor"),
            approximate_one_sided(&wafers).expect("a factor"),
        );
        near(Ok(97.07 - k2 * 0.0268), 97.010_576, 0.5e-6);
        near(Ok(97.07 + k2 * 0.0268), 97.129_42, 0.5e-5);
        near(Ok(97.07 + k1 * 0.0268), 97.120_255, 0.5e-6);
        near(Ok(97.07 - k1 * 0.0268), 97.019_745, 0.5e-6);
    }

    // 95 % confidence; two-sided 0.90, 0.95, 0.99, then one-sided; exact, from
    // an independent program.
    const EXACT: [(usize, [f64; 6]); 11] = [
        (3, [8.3059, 9.7888, 12.6471, 6.1553, 7.6559, 10.5527]),
        (4, [5.3681, 6.3411, 8.2207, 4.1619, 5.1439, 7.0424]),
        (5, [4.2906, 5.0769, 6.5980, 3.4066, 4.2027, 5.7411]),
        (6, [3.7326, 4.4222, 5.7577, 3.0063, 3.7077, 5.0620]),
        (8, [3.1560, 3.7455, 4.8892, 2.5819, 3.1873, 4.3539]),
        (10, [2.8563, 3.3934, 4.4369, 2.3546, 2.9110, 3.9811]),
        (15, [2.4922, 2.9649, 3.8853, 2.0684, 2.5660, 3.5201]),
        (20, [2.3188, 2.7603, 3.6210, 1.9260, 2.3960, 3.2952]),
        (30, [2.1451, 2.5549, 3.3546, 1.7773, 2.2198, 3.0639]),
        (50, [1.9990, 2.3816, 3.1288, 1.6456, 2.0650, 2.8624]),
        (100, [1.8748, 2.2339, 2.9355, 1.5267, 1.9265, 2.6840]),
    ];

    #[test]
    fn exact_factors_agree_with_the_table() {
        for (n, factors) in EXACT {
            for (at, p) in [0.90, 0.95, 0.99].into_iter().enumerate() {
                near(exact_two_sided(&limits(n, p, 0.95)), factors[at], 0.5e-4);
                near(
                    exact_one_sided(&limits(n, p, 0.95)),
                    factors[at + 3],
                    0.5e-4,
                );
            }
        }
    }

    // Howe's factors from an independent program.
    #[test]
    fn howes_factors_agree_with_the_table() {
        for (n, expected) in [
            (5, 5.0935),
            (10, 3.3819),
            (20, 2.7523),
            (30, 2.5496),
            (100, 2.2328),
        ] {
            near(howe_two_sided(&limits(n, 0.95, 0.95)), expected, 0.5e-4);
        }
    }

    #[test]
    fn the_thinnest_twentieth_of_a_panel_is_worked_by_hand() {
        let k1 = exact_one_sided(&limits(10, 0.95, 0.95)).expect("a factor");
        assert!((115.0 - k1 * 4.0 - 103.356).abs() <= 0.5e-3);
    }

    #[test]
    fn endless_readings_leave_the_normal_quantile() {
        let many = limits(4_000, 0.95, 0.5);
        let z = quantile::normal(0.95).expect("a quantile");
        near(exact_one_sided(&many), z, 2e-4);
        near(
            exact_two_sided(&many),
            quantile::normal(0.975).expect("a quantile"),
            1e-3,
        );
    }

    #[test]
    fn a_small_share_on_one_side_has_a_negative_factor() {
        let k = exact_one_sided(&limits(50, 0.05, 0.95)).expect("a factor");
        let mirrored = exact_one_sided(&limits(50, 0.95, 0.05)).expect("a factor");
        assert!(k < 0.0 && (k + mirrored).abs() < 1e-9, "{k} {mirrored}");
    }

    #[test]
    fn limits_that_mean_nothing_are_refused() {
        for bad in [
            limits(1, 0.9, 0.9),
            limits(9, 0.0, 0.9),
            limits(9, 0.9, 1.0),
            limits(9, f64::NAN, 0.9),
        ] {
            assert!(howe_two_sided(&bad).is_err() && exact_two_sided(&bad).is_err());
            assert!(exact_one_sided(&bad).is_err() && approximate_one_sided(&bad).is_err());
        }
        assert!(approximate_one_sided(&limits(2, 0.95, 0.99)).is_err());
        assert!(exact_one_sided(&limits(50_000, 0.95, 0.95)).is_err());
        assert!(exact_two_sided(&limits(2, 0.99, 0.99)).is_ok_and(f64::is_finite));
    }
}
