//! What the paired readings alone say: how much went, and whether that can be
//! told from nothing.
//!
//! Law: paired t, d = before − after at the same spot. A removal is detectable
//! when both its t interval and the interval from the gauge's repeatability,
//! d̄ ± 1.96·σ√(2/n), stay above zero: few pairs that agree by luck prove
//! nothing. Where there is one pair, or all agree, the gauge's interval stands.
//! Source: NIST e-Handbook 1.3.5.3 and 7.2.2.2 (`Source::NistHandbook`).
//! Holds: readings roughly normal. Left out: a drifting gauge.
//! Checked by: the film pairs and the table of pairs needed in `validation`.

use lapwing_measure::estimate::NORMAL_975;
use lapwing_measure::statistics::quantile::chi_squared;
use lapwing_measure::statistics::sample_size::{Plan, pairs_needed};
use lapwing_measure::statistics::t_test::paired;
use lapwing_measure::{Provenance, Source};
use serde::Serialize;

/// Most that polishing takes off between two readings, µm.
pub const MOST_OFF_UM: f64 = 30.0;

/// Upper 0.1 % point of the normal.
const NORMAL_999: f64 = 3.090_232;

/// Where the methods are written down.
pub const SOURCE: Source = Source::NistHandbook;

/// What went, from the pairs alone.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Removed {
    /// Mean of before less after.
    pub mean: f64,
    /// Standard deviation of one difference; the gauge's where it cannot be
    /// taken from the pairs.
    pub sd: f64,
    /// Lower end, 95 %.
    pub lower_95: f64,
    /// Upper end, 95 %.
    pub upper_95: f64,
    /// Standard deviation of the mean.
    pub standard_error: f64,
    /// How many pairs.
    pub pairs: usize,
    /// Standard deviation of one difference by the gauge alone.
    pub gauge_sd: f64,
    /// Its mark.
    pub provenance: Provenance,
}

impl Removed {
    /// From readings at the same spots, before and after.
    #[must_use]
    pub fn of(before_um: &[f64], after_um: &[f64], gauge_um: f64) -> Option<Self> {
        let pairs = before_um.len();
        if pairs == 0 || after_um.len() != pairs {
            return None;
        }
        let count = pairs as f64;
        let gauge_sd = gauge_um * std::f64::consts::SQRT_2;
        let from_gauge = |mean: f64| {
            let standard_error = gauge_sd / count.sqrt();
            Self {
                mean,
                sd: gauge_sd,
                lower_95: mean - NORMAL_975 * standard_error,
                upper_95: mean + NORMAL_975 * standard_error,
                standard_error,
                pairs,
                gauge_sd,
                provenance: Provenance::Measured,
            }
        };
        let sum: f64 = before_um.iter().zip(after_um).map(|(b, a)| b - a).sum();
        let alone = from_gauge(sum / count);
        let test = paired(before_um, after_um, 0.95).ok();
        // Differences that agree to rounding have no spread of their own.
        let spread = test.filter(|t| t.standard_error > 1e-9 * gauge_sd);
        Some(spread.map_or(alone, |t| Self {
            mean: t.difference,
            sd: t.standard_error * count.sqrt(),
            lower_95: t.lower,
            upper_95: t.upper,
            standard_error: t.standard_error,
            ..alone
        }))
    }

    /// Whether the removal can be told from nothing.
    #[must_use]
    pub fn is_detectable(&self) -> bool {
        self.lower_95 > 0.0 && self.gauge_lower_95() > 0.0
    }

    /// Lower end by the gauge's repeatability alone.
    #[must_use]
    pub fn gauge_lower_95(&self) -> f64 {
        self.mean - NORMAL_975 * self.gauge_sd / (self.pairs as f64).sqrt()
    }

    /// Whether more reads after than before than the gauge explains, 999 times
    /// in 1000: d̄ + 3.09·σ√(2/n) < 0. Polishing takes film and never adds any, so
    /// such a reading was of another place, of dirt, or with another zero.
    #[must_use]
    pub fn is_growth(&self) -> bool {
        self.mean + NORMAL_999 * self.gauge_sd / (self.pairs as f64).sqrt() < 0.0
    }

    /// Whether the pairs agree better than the gauge explains, 99 times in 100.
    #[must_use]
    pub fn agrees_too_well(&self) -> bool {
        let freedom = self.pairs.saturating_sub(1) as f64;
        let least = chi_squared(0.01, freedom).unwrap_or(0.0);
        freedom * (self.sd / self.gauge_sd).powi(2) < least
    }

    /// Repeatability of one reading that the pairs ask for, when they spread
    /// more than the gauge explains, 99 times in 100.
    #[must_use]
    pub fn larger_gauge_um(&self) -> Option<f64> {
        let freedom = self.pairs.checked_sub(1).filter(|f| *f >= 1)? as f64;
        let most = chi_squared(0.99, freedom).ok()?;
        let ratio = freedom * (self.sd / self.gauge_sd).powi(2);
        (ratio > most).then_some(self.sd / std::f64::consts::SQRT_2)
    }
}

/// Pairs that show a removal with this gauge: two-sided 5 %, nine times in ten.
/// `None` beyond what is searched.
#[must_use]
pub fn needed(gauge_um: f64, removal_um: f64) -> Option<usize> {
    pairs_needed(&Plan::for_gauge(gauge_um, removal_um))
        .ok()
        .map(|needed| needed.pairs)
}

/// Why two readings make no pair.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PairSlip {
    /// More film after than before, beyond what the gauge explains.
    Grown,
    /// More gone than polishing takes off.
    Apart,
}

/// Why two readings, µm, make no pair under a gauge that repeats to
/// `gauge_um`; nothing where they do.
#[must_use]
pub fn slip_of((before_um, after_um): (f64, f64), gauge_um: f64) -> Option<PairSlip> {
    if after_um - before_um > noise_um(gauge_um) {
        Some(PairSlip::Grown)
    } else if before_um - after_um > MOST_OFF_UM {
        Some(PairSlip::Apart)
    } else {
        None
    }
}

/// Three standard deviations of a difference of two readings.
pub(super) fn noise_um(gauge_um: f64) -> f64 {
    3.0 * std::f64::consts::SQRT_2 * gauge_um
}

#[cfg(test)]
mod tests {
    use super::*;

    const BEFORE: [f64; 9] = [
        118.2, 121.5, 119.8, 124.1, 117.6, 120.3, 122.7, 119.1, 118.9,
    ];
    const AFTER: [f64; 9] = [
        115.4, 118.0, 117.3, 120.6, 115.1, 117.2, 119.4, 116.0, 116.7,
    ];

    #[test]
    fn the_film_pairs_give_2_94_um_and_are_detectable() {
        // Worked by an independent program (scipy).
        let removed = Removed::of(&BEFORE, &AFTER, 1.0).expect("pairs");
        assert!((removed.mean - 2.944_444).abs() < 1e-6);
        assert!((removed.sd - 0.469_338).abs() < 1e-6);
        assert!((removed.lower_95 - 2.583_680).abs() < 1e-6);
        assert!((removed.upper_95 - 3.305_209).abs() < 1e-6);
        assert!(removed.is_detectable());
        // 8·(0.469/1.414)² = 0.881, under the 1 % point 1.646 of eight freedoms.
        assert!(removed.agrees_too_well());
        assert!(!Removed::of(&BEFORE, &AFTER, 0.5).is_some_and(|r| r.agrees_too_well()));
    }

    #[test]
    fn three_pairs_that_agree_by_luck_do_not_show_one_micrometre() {
        let removed = Removed::of(&[100.0, 101.0, 99.0], &[99.0, 99.9, 98.1], 1.0).expect("pairs");
        assert!(removed.lower_95 > 0.0 && !removed.is_detectable());
        assert_eq!(needed(1.0, 1.0), Some(24));
    }

    #[test]
    fn one_pair_or_equal_pairs_lean_on_the_gauge() {
        // 2.6 ± 1.96·√2
        let one = Removed::of(&[112.4], &[109.8], 1.0).expect("a pair");
        assert!((one.lower_95 - (2.6 - 2.771_808)).abs() < 1e-5 && !one.is_detectable());
        let equal = Removed::of(&[100.0, 101.0, 102.0], &[98.0, 99.0, 100.0], 0.5).expect("pairs");
        assert!((equal.sd - 0.5 * 2_f64.sqrt()).abs() < 1e-12 && equal.lower_95 > 0.0);
        assert!(Removed::of(&[], &[], 1.0).is_none() && Removed::of(&[1.0], &[], 1.0).is_none());
    }

    #[test]
    fn pairs_that_spread_too_widely_ask_for_a_larger_gauge_error() {
        let wide = Removed::of(
            &[100.0, 100.0, 100.0, 100.0],
            &[90.0, 100.0, 95.0, 99.0],
            1.0,
        )
        .expect("pairs");
        assert!(wide.larger_gauge_um().is_some_and(|um| um > 2.0));
        assert_eq!(
            Removed::of(&BEFORE, &AFTER, 1.0).and_then(|r| r.larger_gauge_um()),
            None
        );
    }
}
