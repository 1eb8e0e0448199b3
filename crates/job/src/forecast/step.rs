//! One step on one panel: removal with its interval, peak temperature, share
//! of scratches gone.
//!
//! Law: removal = k · (removal per unit k) · passes · speed share; k is
//! lognormal. Peak = start + η·μ · rise · speed share. Share of scratch length
//! gone when h is off: Φ(ln(h/m)/√(σ² + σk²)), scratches being lognormal in
//! depth with median m and spread σ.
//! Source: cut rates by class are inferred from a common-practice statement
//! (2.5 to 3 µm in four rotary passes) and assumed; ×/÷ 2 holds 19 times in 20.
//! Friction share 0.3 (0.2 to 0.45): assumed, matches one second-hand measured
//! rise. Scratch depths by class: from memory, assumed until a test spot.
//! Holds: until a test spot on the car says better.
//! Left out: breakdown within a charge (the class rate is the mean over one).
//! Checked by: the common-practice anchor, and limits.

use lapwing_measure::quantity::AngularVelocity;
use lapwing_measure::{Estimate, Provenance};
use serde::Serialize;

use super::law::{PassLaw, UNIT_CUT_RATE};
use crate::record::job::{
    Abrasive, AbrasiveClass, Behaviour, Defects, Machine, MachineKind, PadClass,
};

/// Natural logarithm of the factor that holds a cut rate 19 times in 20.
const RATE_LN_HALF_WIDTH: f64 = std::f64::consts::LN_2;

/// Spread of the logarithm of a cut rate by class.
pub const RATE_LN_SD: f64 = RATE_LN_HALF_WIDTH / 1.959_963_984_540_054;

/// A cut rate in 1/Pa with its spread.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CutRate {
    /// Median.
    pub per_pa: f64,
    /// Standard deviation of its logarithm.
    pub ln_sd: f64,
    /// Where it comes from.
    pub provenance: Provenance,
}

impl CutRate {
    /// Cut rate of an abrasive on a pad over paint of a behaviour.
    #[must_use]
    pub fn of(abrasive: &Abrasive, pad: PadClass, behaviour: Behaviour) -> Self {
        if let Some(per_pa) = abrasive.cut_rate_per_pa {
            return Self {
                per_pa,
                ln_sd: RATE_LN_SD / 2.0,
                provenance: Provenance::Calibrated,
            };
        }
        let class = match abrasive.class {
            AbrasiveClass::Finishing => 1.0,
            AbrasiveClass::Fine => 2.0,
            AbrasiveClass::Medium => 4.0,
            AbrasiveClass::Heavy => 10.0,
        };
        let pad = match pad {
            PadClass::FoamFinishing => 0.6,
            PadClass::FoamPolishing => 0.8,
            PadClass::FoamCutting => 1.0,
            PadClass::Microfibre | PadClass::Wool => 1.2,
        };
        let paint = match behaviour {
            Behaviour::Soft => 1.3,
            Behaviour::Medium | Behaviour::Sticky => 1.0,
            Behaviour::Hard => 0.7,
        };
        Self {
            per_pa: class * pad * paint * UNIT_CUT_RATE,
            ln_sd: RATE_LN_SD,
            provenance: Provenance::Assumed,
        }
    }
}

/// Share of friction heat that enters the panel, with its assumed range.
#[must_use]
pub fn friction_share() -> Estimate<f64> {
    Estimate::with_interval(0.3, 0.2, 0.45, Provenance::Assumed)
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
    rate: CutRate,
) -> StepForecast {
    let top = machine.speeds[machine.speeds.len() - 1];
    let speed_frac = (setup.speed / top).value;
    let passes = f64::from(setup.passes);
    let removal_um = law.removal_um * (rate.per_pa / UNIT_CUT_RATE) * passes * speed_frac;
    let half_width = (1.96 * rate.ln_sd).exp();
    let pass = (setup.passes as usize).clamp(1, law.peak_rise_k.len());
    let rise_k = law.peak_rise_k[pass - 1] * speed_frac;
    let share = friction_share();
    StepForecast {
        removal_um,
        lower_95_um: removal_um / half_width,
        upper_95_um: removal_um * half_width,
        worst_place_um: removal_um * half_width * law.max_over_mean,
        peak_rise_k: rise_k * share.value,
        peak_rise_upper_k: rise_k * share.upper_95(),
        section_s: law.pass_s * passes,
    }
}

/// Median depth in µm and spread of the logarithm, by defect class (from
/// memory; assumed).
#[must_use]
pub fn scratch_depth(defects: Defects) -> (f64, f64) {
    match defects {
        Defects::LightSwirls => (0.5, 0.6),
        Defects::WashSwirls => (1.0, 0.7),
        Defects::DeepScratches => (2.0, 0.8),
    }
}

/// Share of scratch length gone when a mean `removed_um` is off whose
/// logarithm is uncertain by `ln_sd`; 0 to 1.
#[must_use]
pub fn share_gone(defects: Defects, removed_um: f64, ln_sd: f64) -> f64 {
    if removed_um <= 0.0 {
        return 0.0;
    }
    let (median_um, spread) = scratch_depth(defects);
    let z = (removed_um / median_um).ln() / spread.hypot(ln_sd);
    lapwing_measure::statistics::quantile::normal_cdf(z)
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

    #[test]
    fn taking_off_the_median_depth_clears_half_the_scratches() {
        assert!((share_gone(Defects::WashSwirls, 1.0, 0.0) - 0.5).abs() < 1e-12);
        assert_eq!(share_gone(Defects::WashSwirls, 0.0, 0.3), 0.0);
        assert!(share_gone(Defects::WashSwirls, 1e6, 0.3) > 0.999_999);
    }

    #[test]
    fn not_knowing_the_cut_rate_pulls_the_share_towards_half() {
        let sure = share_gone(Defects::WashSwirls, 3.0, 0.0);
        let unsure = share_gone(Defects::WashSwirls, 3.0, 0.5);
        assert!(unsure < sure && unsure > 0.5);
    }
}
