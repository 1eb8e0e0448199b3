//! One step on one panel: removal with its interval, peak temperature, share
//! of scratches gone.
//!
//! Law: removal = k · (removal per unit k) · passes · speed share; k is
//! lognormal. Peak = start + η·μ · rise · speed share. Share of scratch length
//! gone when h is off: Φ(ln(h/m)/√(σ² + σk²)), scratches being lognormal in
//! depth with median m and spread σ.
//! Source: what nobody has measured is believed by class (`trial::prior`); a
//! trial on this car stands before the shop's history, that before the class.
//! Holds: for the kit's own classes.
//! Left out: breakdown within a charge (the class rate is the mean over one);
//! that cut rate and depth learnt from the same trial err together.
//! Checked by: the common-practice anchor, and limits.

use lapwing_measure::Provenance;
use lapwing_measure::quantity::AngularVelocity;
use lapwing_measure::statistics::quantile::normal_cdf;
use serde::Serialize;

use super::law::{PassLaw, UNIT_CUT_RATE};
use crate::record::calibration::{KnownTrial, LogNormal};
use crate::record::job::{
    Abrasive, AbrasiveClass, Defects, Job, Machine, MachineKind, Pad, PadClass,
};
use crate::record::seen::{LEARNT_FRAC, Seen, learnt_frac};
use crate::trial::pooling::{self, weighed};
use crate::trial::prior::{
    self, ASSUMED, Believed, CutClass, DEEP_LN_SPREAD, DEEP_TIMES, ON_THIS_CAR,
};

/// Words for a cut rate that the kit states.
const IN_THE_KIT: &str = "given in the kit";

/// Factor that holds a cut rate stated in the kit 19 times in 20: √2.
const KIT_FACTOR: f64 = std::f64::consts::SQRT_2;

/// Cut rate of an abrasive on a pad on this car, 1/Pa: the kit's own, a trial
/// on this car, the shop's history, or the class.
#[must_use]
pub fn cut_rate(job: &Job, abrasive: &Abrasive, pad: &Pad) -> Believed {
    if let Some(per_pa) = abrasive.cut_rate_per_pa {
        return Believed {
            number: LogNormal::within_factor(per_pa, KIT_FACTOR),
            provenance: Provenance::Calibrated,
            origin: IN_THE_KIT,
        };
    }
    let calibration = &job.calibration;
    let (own, others): (Vec<&KnownTrial>, Vec<&KnownTrial>) = calibration
        .on_car
        .iter()
        .partition(|t| t.pad == pad.class && t.abrasive == abrasive.class);
    let class = CutClass {
        pad: pad.class,
        abrasive: abrasive.class,
        behaviour: job.car.behaviour,
    };
    // A trial of another pairing on this car teaches what one on any car does.
    let met: Vec<KnownTrial> = calibration.history.iter().chain(others).cloned().collect();
    let said = own
        .iter()
        .filter_map(|t| Some((t.cut_rate_seen, pooling::cut_rate_seen(t)?)));
    after(prior::cut_rate(class, &met), said)
}

/// Friction coefficient times the share of heat into the panel, on this car.
#[must_use]
pub fn friction_share(job: &Job) -> Believed {
    let tried = job.calibration.on_car.iter();
    let said = tried.filter_map(|t| Some((t.friction_seen, pooling::friction_seen(t)?)));
    after(prior::friction(None, &job.calibration.history), said)
}

/// A belief after trials on this car. What readings alone said is put on the
/// belief; a number that nobody took apart holds its belief already.
fn after(before: Believed, said: impl Iterator<Item = (Seen, LogNormal)>) -> Believed {
    let (how, numbers): (Vec<Seen>, Vec<LogNormal>) = said.unzip();
    let is_apart = how.iter().all(|seen| matches!(seen, Seen::Said(_)));
    let base = is_apart.then_some(before.number);
    match together(base.into_iter().chain(numbers.iter().copied())) {
        Some(number) if !numbers.is_empty() => {
            let learnt = learnt_frac(before.number.ln_sd, number.ln_sd);
            if is_apart && learnt < LEARNT_FRAC {
                return Believed { number, ..before };
            }
            on_this_car(number)
        }
        _ => before,
    }
}

fn on_this_car(number: LogNormal) -> Believed {
    Believed {
        number,
        provenance: Provenance::Calibrated,
        origin: ON_THIS_CAR,
    }
}

/// Several trials of one number, by their precision.
fn together(tried: impl Iterator<Item = LogNormal>) -> Option<LogNormal> {
    let seen: Vec<(f64, f64)> = tried.map(|t| (t.median.ln(), t.ln_sd * t.ln_sd)).collect();
    if seen.is_empty() {
        return None;
    }
    let (mean, variance) = weighed(None, seen.into_iter());
    Some(LogNormal {
        median: mean.exp(),
        ln_sd: variance.sqrt(),
    })
}

/// Scratch depths of a class of defects on this car.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ScratchDepths {
    /// Median, µm.
    pub median_um: f64,
    /// Spread of the logarithm.
    pub ln_spread: f64,
    /// Share in the deep tail, 0 to 1.
    pub deep_frac: f64,
    /// Their mark.
    pub provenance: Provenance,
    /// Where they come from in words.
    pub origin: &'static str,
}

/// Scratch depths: of the last trial on this car with these defects, or of the
/// class.
#[must_use]
pub fn scratch_depths(job: &Job, defects: Defects) -> ScratchDepths {
    let tried = job.calibration.on_car.iter().rev();
    if let Some(known) = tried
        .filter_map(|t| t.depths)
        .find(|d| d.defects == defects)
    {
        return ScratchDepths {
            median_um: known.median_um,
            ln_spread: known.ln_spread,
            deep_frac: known.deep_frac,
            provenance: Provenance::Calibrated,
            origin: ON_THIS_CAR,
        };
    }
    let (median_um, ln_spread) = prior::class_depth(defects);
    ScratchDepths {
        median_um,
        ln_spread,
        deep_frac: 0.0,
        provenance: Provenance::Assumed,
        origin: ASSUMED,
    }
}

/// How one step is done.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StepSetup {
    /// Machine speed.
    pub speed: AngularVelocity,
    /// Number of passes.
    pub passes: u32,
}

/// What one step does.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct StepForecast {
    /// Interior mean removed, µm.
    pub removal_um: f64,
    /// Lower end, 95 %.
    pub lower_95_um: f64,
    /// Upper end, 95 %.
    pub upper_95_um: f64,
    /// Upper end at the place that gets most.
    pub worst_place_um: f64,
    /// Highest rise of the surface, K, best guess of the friction share.
    pub peak_rise_k: f64,
    /// The same at the upper end of the friction share.
    pub peak_rise_upper_k: f64,
    /// Seconds of pad on paint for one section.
    pub section_s: f64,
}

/// Forecasts one step.
#[must_use]
pub fn step_forecast(
    law: &PassLaw,
    machine: &Machine,
    setup: StepSetup,
    (rate, friction): (&Believed, &Believed),
) -> StepForecast {
    let top = machine.speeds[machine.speeds.len() - 1];
    let speed_frac = (setup.speed / top).value;
    let passes = f64::from(setup.passes);
    let removal_um = law.removal_um * (rate.number.median / UNIT_CUT_RATE) * passes * speed_frac;
    let half_width = rate.number.factor();
    let pass = (setup.passes as usize).clamp(1, law.peak_rise_k.len());
    let rise_k = law.peak_rise_k[pass - 1] * speed_frac;
    StepForecast {
        removal_um,
        lower_95_um: removal_um / half_width,
        upper_95_um: removal_um * half_width,
        worst_place_um: removal_um * half_width * law.max_over_mean,
        peak_rise_k: rise_k * friction.number.median,
        peak_rise_upper_k: rise_k * friction.number.upper_95(),
        section_s: law.pass_s * passes,
    }
}

/// Share of scratch length gone when a mean `removed_um` is off whose
/// logarithm is uncertain by `ln_sd`; 0 to 1.
#[must_use]
pub fn share_gone(depths: &ScratchDepths, removed_um: f64, ln_sd: f64) -> f64 {
    if removed_um <= 0.0 {
        return 0.0;
    }
    let off = (removed_um / depths.median_um).ln();
    let usual = normal_cdf(off / depths.ln_spread.hypot(ln_sd));
    let deep = normal_cdf((off - DEEP_TIMES.ln()) / DEEP_LN_SPREAD.hypot(ln_sd));
    (1.0 - depths.deep_frac) * usual + depths.deep_frac * deep
}

/// Whether a step leaves marks that a finishing step must remove (common
/// practice).
#[must_use]
pub fn leaves_marring(kind: MachineKind, pad: PadClass, abrasive: AbrasiveClass) -> bool {
    abrasive >= AbrasiveClass::Medium
        && (pad >= PadClass::FoamCutting || kind == MachineKind::Rotary)
        || kind == MachineKind::Rotary && abrasive >= AbrasiveClass::Fine
}

#[cfg(test)]
mod tests {
    use super::*;

    fn swirls() -> ScratchDepths {
        ScratchDepths {
            median_um: 1.0,
            ln_spread: 0.7,
            deep_frac: 0.0,
            provenance: Provenance::Assumed,
            origin: ASSUMED,
        }
    }

    #[test]
    fn taking_off_the_median_depth_clears_half_the_scratches() {
        assert!((share_gone(&swirls(), 1.0, 0.0) - 0.5).abs() < 1e-12);
        assert_eq!(share_gone(&swirls(), 0.0, 0.3), 0.0);
        assert!(share_gone(&swirls(), 1e6, 0.3) > 0.999_999);
    }

    #[test]
    fn not_knowing_the_cut_rate_pulls_the_share_towards_half() {
        let sure = share_gone(&swirls(), 3.0, 0.0);
        let unsure = share_gone(&swirls(), 3.0, 0.5);
        assert!(unsure < sure && unsure > 0.5);
    }

    #[test]
    fn a_deep_tail_keeps_the_last_scratches() {
        let deep = ScratchDepths {
            deep_frac: 0.2,
            ..swirls()
        };
        assert!(share_gone(&deep, 3.0, 0.0) < share_gone(&swirls(), 3.0, 0.0));
    }

    #[test]
    fn two_trials_of_one_number_weigh_by_their_precision() {
        let of = |median: f64, ln_sd: f64| LogNormal { median, ln_sd };
        let both = together([of(2.0, 0.1), of(8.0, 0.1)].into_iter()).expect("two");
        assert!((both.median - 4.0).abs() < 1e-12);
        assert!((both.ln_sd - 0.1 / 2_f64.sqrt()).abs() < 1e-12);
        assert_eq!(together(std::iter::empty()), None);
    }

    #[test]
    fn a_weak_trial_moves_the_belief_but_is_not_called_learnt() {
        let before = Believed {
            number: LogNormal {
                median: 4.0,
                ln_sd: 0.4,
            },
            provenance: Provenance::Assumed,
            origin: ASSUMED,
        };
        let said = |ln_sd: f64| {
            let number = LogNormal { median: 5.0, ln_sd };
            [(Seen::Said(number), number)].into_iter()
        };
        // Precisions 6.25 and 1: an eighth and less is the trial's. With 25 it is 0.8.
        let weak = after(before, said(1.0));
        assert_eq!(
            (weak.origin, weak.provenance),
            (ASSUMED, Provenance::Assumed)
        );
        assert!(weak.number.median > 4.0 && weak.number.ln_sd < 0.4);
        let strong = after(before, said(0.2));
        assert_eq!(strong.origin, ON_THIS_CAR);
        assert!((strong.number.median.ln() - (0.2 * 4_f64.ln() + 0.8 * 5_f64.ln())).abs() < 1e-12);
        assert_eq!(after(before, std::iter::empty()), before);
    }
}
