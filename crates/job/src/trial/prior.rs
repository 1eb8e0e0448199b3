//! What is believed before the trial: cut rate, friction, scratch depths, floor.
//!
//! Law: each positive number is lognormal around its class; the deep share is
//! normal on its log odds. Cut rate = abrasive class × pad class × paint
//! behaviour.
//! Source: cut rates by class are inferred from a common-practice statement
//! (2.5 to 3 µm in four rotary passes) and assumed; ×/÷ 2 holds 19 times in 20.
//! Friction share 0.3 (0.2 to 0.45) is assumed, matching one second-hand rise.
//! Scratch depths by class are from memory. The photo's floor is what a
//! simulated lamp photo counts where no scratch is (0.004 to 0.035 mm/mm²).
//! Holds: until a trial says better. Left out: a pad's age; worn-in abrasives.
//! Checked by: the anchor of 2.5 to 3 µm in the station's tests.

use lapwing_measure::Provenance;

use super::pooling::{self, Pooled};
use crate::bench::classes;
use crate::record::calibration::{KnownTrial, LogNormal};
use crate::record::job::{AbrasiveClass, Behaviour, Defects, PadClass};

/// Cut rate the removal on paper is kept for, 1/Pa.
pub const UNIT_CUT_RATE: f64 = 1e-12;

/// Factor that holds a class's cut rate 19 times in 20 (assumed).
pub const CUT_RATE_FACTOR: f64 = classes::CLASS_FACTOR;

/// What a cut rate is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CutClass {
    /// Class of the pad.
    pub pad: PadClass,
    /// Class of the abrasive.
    pub abrasive: AbrasiveClass,
    /// How the paint behaves.
    pub behaviour: Behaviour,
}

/// A number with the words for where it comes from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Believed {
    /// The number.
    pub number: LogNormal,
    /// Its mark.
    pub provenance: Provenance,
    /// "assumed", "shop history" or "calibrated on this car".
    pub origin: &'static str,
}

/// Words for a number nobody has measured.
pub const ASSUMED: &str = "assumed";
/// Words for a number learnt on other cars.
pub const SHOP_HISTORY: &str = "shop history";
/// Words for a number learnt on this car.
pub const ON_THIS_CAR: &str = "calibrated on this car";

/// Cut rate of a class, 1/Pa (assumed).
#[must_use]
pub fn class_cut_rate(class: CutClass) -> LogNormal {
    let on_usual_paint = classes::cut_rate_per_pa(class.abrasive, Some(class.pad)).value;
    let paint = match class.behaviour {
        Behaviour::Soft => 1.3,
        Behaviour::Medium | Behaviour::Sticky => 1.0,
        Behaviour::Hard => 0.7,
    };
    LogNormal::within_factor(on_usual_paint * paint, CUT_RATE_FACTOR)
}

/// Cut rate of a class on a car this shop has not met, 1/Pa.
#[must_use]
pub fn cut_rate(class: CutClass, history: &[KnownTrial]) -> Believed {
    let Pooled { number, trials } = pooling::cut_rate(class, history);
    believed(number, trials)
}

/// Friction share of a class and its range (assumed).
pub const FRICTION: LogNormal = LogNormal {
    median: 0.3,
    ln_sd: 0.206_873_76, // ln 1.5 / 1.959964
};

/// Friction share on a car this shop has not met.
#[must_use]
pub fn friction(class: Option<CutClass>, history: &[KnownTrial]) -> Believed {
    let Pooled { number, trials } = pooling::friction(class, history);
    believed(number, trials)
}

fn believed(number: LogNormal, trials: usize) -> Believed {
    let is_learnt = trials > 0;
    Believed {
        number,
        provenance: if is_learnt {
            Provenance::Calibrated
        } else {
            Provenance::Assumed
        },
        origin: if is_learnt { SHOP_HISTORY } else { ASSUMED },
    }
}

/// How deep the scratches of a car may be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DepthPrior {
    /// Median depth, µm.
    pub median_um: LogNormal,
    /// Spread of the logarithm of the depth.
    pub ln_spread: LogNormal,
    /// Log odds of the share in the deep tail: mean and deviation.
    pub deep_log_odds: (f64, f64),
}

/// Depth of the deep tail over the median depth (assumed).
pub const DEEP_TIMES: f64 = 5.0;
/// Spread of the logarithm of the depth in the tail (assumed).
pub const DEEP_LN_SPREAD: f64 = 0.5;

/// Median depth in µm and spread of the logarithm, by defect class (from
/// memory; assumed).
#[must_use]
pub fn class_depth(defects: Defects) -> (f64, f64) {
    match defects {
        Defects::LightSwirls => (0.5, 0.6),
        Defects::WashSwirls => (1.0, 0.7),
        Defects::DeepScratches => (2.0, 0.8),
    }
}

/// Scratch depths of a class (assumed): median within ×/÷ 3.2, spread within
/// ×/÷ 1.6, deep share within a factor of five.
#[must_use]
pub fn depths(defects: Defects) -> DepthPrior {
    let (median_um, ln_spread) = class_depth(defects);
    let deep_frac: f64 = match defects {
        Defects::LightSwirls => 0.03,
        Defects::WashSwirls => 0.06,
        Defects::DeepScratches => 0.15,
    };
    DepthPrior {
        median_um: LogNormal {
            median: median_um,
            ln_sd: 0.6,
        },
        ln_spread: LogNormal {
            median: ln_spread,
            ln_sd: 0.25,
        },
        deep_log_odds: ((deep_frac / (1.0 - deep_frac)).ln(), 0.8),
    }
}

/// What a photo counts where no scratch is, mm/mm² (simulated lamp photos).
pub const PHOTO_FLOOR: LogNormal = LogNormal {
    median: 0.012,
    ln_sd: 0.8,
};

/// Readings behind a stated repeatability, as degrees of freedom (assumed).
pub const GAUGE_FREEDOM: f64 = 10.0;

/// Everything believed before a trial.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Belief {
    /// Cut rate, 1/Pa.
    pub cut_rate: LogNormal,
    /// Friction share.
    pub friction: LogNormal,
    /// Scratch depths.
    pub depths: DepthPrior,
    /// The photo's floor, mm/mm².
    pub floor: LogNormal,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_friction_range_is_0_2_to_0_45() {
        assert!((FRICTION.lower_95() - 0.2).abs() < 1e-6);
        assert!((FRICTION.upper_95() - 0.45).abs() < 1e-6);
    }

    #[test]
    fn a_shop_without_history_believes_the_class() {
        let class = CutClass {
            pad: PadClass::FoamCutting,
            abrasive: AbrasiveClass::Medium,
            behaviour: Behaviour::Medium,
        };
        let known = cut_rate(class, &[]);
        assert!((known.number.median / 4e-12 - 1.0).abs() < 1e-12);
        assert!((known.number.factor() - 2.0).abs() < 1e-12);
        assert_eq!(known.origin, ASSUMED);
        assert!((friction(None, &[]).number.median - 0.3).abs() < 1e-12);
    }
}
