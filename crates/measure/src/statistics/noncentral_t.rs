//! The noncentral t distribution: what a t statistic does when there really is
//! a difference.
//!
//! Law: for t ≥ 0, P(T ≤ t) = Φ(−δ) + ½ Σⱼ [pⱼ Iₓ(j + ½, ν/2) + qⱼ Iₓ(j + 1, ν/2)]
//! with x = t²/(ν + t²), pⱼ = e^(−δ²/2)(δ²/2)ʲ/j!,
//! qⱼ = δ e^(−δ²/2)(δ²/2)ʲ/(√2 Γ(j + 3/2)), and P(t; δ) = 1 − P(−t; −δ) below
//! zero; ν degrees of freedom, δ noncentrality, I the regularised incomplete
//! beta function. Summed from the largest term outwards.
//! Source: Lenth, Algorithm AS 243, Applied Statistics 38 (1989) 185.
//! Holds: |δ| ≤ 150, ν from 1 to 100 000, to about 1e-11. Outside: an error.
//! Left out: density and quantiles; far tails keep absolute, not relative,
//! accuracy.
//! Checked by: direct integration over the chi distribution, Φ(−δ) at t = 0,
//! Student's t at δ = 0, the mirror rule, powers of the paired t test from an
//! independent program.

use statrs::distribution::{ContinuousCDF, Normal};
use statrs::function::beta::beta_reg;
use statrs::function::gamma::ln_gamma;

use crate::source::Source;

use super::StatisticsError;
use super::error::{finite, inside};
use super::quantile::student;

/// Where the method is written down.
pub const SOURCE: Source = Source::Lenth1989;

/// Most noncentrality that is computed.
pub const MOST_NONCENTRALITY: f64 = 150.0;

/// Most degrees of freedom that are computed.
const FREEDOM: (f64, f64) = (0.999_999, 100_001.0);

/// Terms smaller than this no longer change the sum.
const SMALLEST_TERM: f64 = 1e-18;

/// The chance that a noncentral t variable is at most `t`.
///
/// # Errors
/// When `t` is not a number, or `freedom` or `noncentrality` is outside what
/// is computed.
pub fn cdf(t: f64, freedom: f64, noncentrality: f64) -> Result<f64, StatisticsError> {
    finite(t, "t statistic")?;
    inside(freedom, "degrees of freedom", FREEDOM)?;
    let reach = MOST_NONCENTRALITY + 1e-9;
    inside(noncentrality, "noncentrality", (-reach, reach))?;
    let chance = if noncentrality == 0.0 {
        student(freedom)?.cdf(t)
    } else if t < 0.0 {
        1.0 - upper_half(-t, freedom, -noncentrality)
    } else {
        upper_half(t, freedom, noncentrality)
    };
    Ok(finite(chance, "noncentral t chance")?.clamp(0.0, 1.0))
}

/// The series for t at or above zero.
fn upper_half(t: f64, freedom: f64, noncentrality: f64) -> f64 {
    let base = Normal::standard().cdf(-noncentrality);
    if t == 0.0 {
        return base;
    }
    // Both shares are formed directly, so that neither loses digits near one.
    let x = 1.0 / (1.0 + freedom / (t * t));
    base + 0.5 * series(x, freedom / 2.0, noncentrality)
}

/// Σⱼ [pⱼ Iₓ(j + ½, b) + qⱼ Iₓ(j + 1, b)], from the largest weight outwards.
fn series(x: f64, b: f64, noncentrality: f64) -> f64 {
    let half_square = noncentrality * noncentrality / 2.0;
    let peak = half_square.floor();
    let log_weight = peak * half_square.ln() - half_square;
    let p_peak = (log_weight - ln_gamma(peak + 1.0)).exp();
    let scale = noncentrality / std::f64::consts::SQRT_2;
    let q_peak = scale * (log_weight - ln_gamma(peak + 1.5)).exp();
    let term = |j: f64, p: f64, q: f64| p * beta_reg(j + 0.5, b, x) + q * beta_reg(j + 1.0, b, x);

    let mut sum = term(peak, p_peak, q_peak);
    let (mut j, mut p, mut q) = (peak, p_peak, q_peak);
    while p + q.abs() > SMALLEST_TERM {
        j += 1.0;
        p *= half_square / j;
        q *= half_square / (j + 0.5);
        sum += term(j, p, q);
    }
    (j, p, q) = (peak, p_peak, q_peak);
    while j > 0.0 && p + q.abs() > SMALLEST_TERM {
        p *= j / half_square;
        q *= (j + 0.5) / half_square;
        j -= 1.0;
        sum += term(j, p, q);
    }
    sum
}

#[cfg(test)]
mod tests {
    use super::super::quadrature;
    use super::*;

    /// The same chance another way: T = (Z + δ)/S with S² = χ²/ν, so
    /// P(T ≤ t) = ∫ Φ(t s − δ) f(s) ds with the density f of S.
    fn by_integration(t: f64, freedom: f64, noncentrality: f64) -> f64 {
        let half = freedom / 2.0;
        let log_norm = std::f64::consts::LN_2 + half * half.ln() - ln_gamma(half);
        let spread = 1.0 / (2.0 * freedom).sqrt();
        let (from, to) = ((1.0 - 14.0 * spread).max(0.0), 1.0 + 14.0 * spread);
        let normal = Normal::standard();
        quadrature::points(from, to, 4_000)
            .iter()
            .map(|(s, w)| {
                let log_density = log_norm + (freedom - 1.0) * s.ln() - half * s * s;
                w * log_density.exp() * normal.cdf(t * s - noncentrality)
            })
            .sum()
    }

    #[test]
    fn the_series_agrees_with_direct_integration() {
        let rows = [
            (2.0, 1.0, 0.5),
            (12.7, 1.0, 3.0),
            (2.5, 4.0, 3.0),
            (-1.0, 3.0, 0.7),
            (1.7, 23.0, 3.46),
            (-2.0, 9.0, -4.0),
            (3.0, 9.0, -1.0),
            (5.2, 9.0, 5.2),
            (40.0, 2.0, 5.0),
            (23.0, 99.0, 23.26),
            (30.0, 999.0, 30.0),
            (75.0, 400.0, 73.6),
            (150.0, 4_000.0, 149.0),
            (100.0, 20.0, 149.5),
            (2.0, 10_000.0, 1.5),
            (3.0, 19_999.0, 3.2),
            (3.0, 99_999.0, 3.2),
        ];
        for (t, freedom, delta) in rows {
            let series = cdf(t, freedom, delta).expect("inside the range");
            let integral = by_integration(t, freedom, delta);
            assert!(
                (series - integral).abs() < 1e-10,
                "{t} {freedom} {delta}: {series} {integral}"
            );
        }
    }

    #[test]
    fn at_zero_only_the_normal_part_remains() {
        for delta in [-3.0, -0.5, 0.5, 2.0, 6.0] {
            let chance = cdf(0.0, 5.0, delta).expect("inside the range");
            assert!((chance - Normal::standard().cdf(-delta)).abs() < 1e-15);
        }
    }

    #[test]
    fn without_a_difference_it_is_students_t() {
        for t in [-3.0, -0.4, 0.0, 1.0, 5.0] {
            let central = student(6.0).expect("a distribution").cdf(t);
            let tiny = cdf(t, 6.0, 1e-12).expect("inside the range");
            assert!((tiny - central).abs() < 1e-11, "{t}");
            assert_eq!(cdf(t, 6.0, 0.0), Ok(central));
        }
    }

    #[test]
    fn the_mirror_image_has_the_rest_of_the_chance() {
        for (t, delta) in [(1.0, 2.0), (4.0, 0.3), (0.5, -6.0)] {
            let there = cdf(t, 7.0, delta).expect("inside the range");
            let mirrored = cdf(-t, 7.0, -delta).expect("inside the range");
            assert!((there + mirrored - 1.0).abs() < 1e-13);
        }
    }

    #[test]
    fn what_is_outside_is_refused_and_ends_stay_chances() {
        assert!(cdf(f64::NAN, 5.0, 1.0).is_err() && cdf(f64::INFINITY, 5.0, 1.0).is_err());
        assert!(cdf(1.0, 0.0, 1.0).is_err() && cdf(1.0, 5.0, 151.0).is_err());
        assert!(cdf(1.0, 5.0, f64::NAN).is_err() && cdf(1.0, 1e7, 1.0).is_err());
        for t in [-1e300, -1e9, 1e-300, 1e9, 1e300] {
            let chance = cdf(t, 3.0, 2.0).expect("inside the range");
            assert!((0.0..=1.0).contains(&chance), "{t}: {chance}");
        }
    }
}
