//! Clear coat inferred from a total reading: the layer prior, conditioned.
//!
//! Law: layers are normal, clear C ~ N(µc, σc²), rest O ~ N(µo, σo²) with
//! correlation 0; reading T = C + O + gauge noise. Then
//! C | T ~ N(µc + σc²/(σc²+σo²+σg²)·(T−µc−µo), σc² − σc⁴/(σc²+σo²+σg²)).
//! What earlier visits removed r lowers the total: the original total is T + r.
//! Source: layer builds after [`Source::StreitbergerDoessel2008`] (from
//! memory) and [`Source::Polymers2021`]; plastic parts from memory. Assumed on
//! every car until a layer-resolving reading says otherwise.
//! Holds: for factory paint. Repaints have no known prior and are not inferred.
//! Left out: correlation of layers; truncation at zero (clear is 7 or more
//! standard deviations above it).
//! Checked by: limits (a perfect gauge and no spread in the rest give C = T −
//! rest; an infinite gauge error gives the prior back).

use lapwing_measure::estimate::NORMAL_95;
use lapwing_measure::quantity::Length;
use lapwing_measure::{Provenance, Source};
use serde::Serialize;
use uom::si::length::micrometer;

use crate::record::job::Substrate;

/// Literature of the factory layer builds.
pub const LAYER_SOURCES: [Source; 2] = [Source::StreitbergerDoessel2008, Source::Polymers2021];

/// Mean and spread of clear and of everything under it, in µm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LayerPrior {
    /// Mean clear coat.
    pub clear_um: f64,
    /// Its standard deviation.
    pub clear_sd_um: f64,
    /// Mean of the other layers together.
    pub rest_um: f64,
    /// Their standard deviation.
    pub rest_sd_um: f64,
}

/// Clear coat left, worked out and never measured.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct ClearLeft {
    /// Mean, µm.
    pub mean: f64,
    /// Standard deviation, µm.
    pub sd: f64,
    /// One-sided lower bound at the shop's confidence (95 % by default), µm.
    pub lower_95: f64,
    /// Assumed layer build on a measured total, so: assumed.
    pub provenance: Provenance,
}

impl LayerPrior {
    /// Factory build over a substrate. Metal: e-coat 20±3, primer 35±5, base
    /// 15±3, clear 45±5. Plastic: primer 12±3, base 16±3, clear 35±5.
    #[must_use]
    pub fn factory(substrate: Substrate) -> Self {
        match substrate {
            Substrate::Steel | Substrate::Aluminium => Self {
                clear_um: 45.0,
                clear_sd_um: 5.0,
                rest_um: 70.0,
                rest_sd_um: 43.0_f64.sqrt(),
            },
            Substrate::Plastic | Substrate::Laminate => Self {
                clear_um: 35.0,
                clear_sd_um: 5.0,
                rest_um: 28.0,
                rest_sd_um: 18.0_f64.sqrt(),
            },
        }
    }

    /// Clear left now, given a total reading (or none), the gauge's standard
    /// deviation, film removed before, and a one-sided confidence 0.5..1.
    #[must_use]
    pub fn clear_left(
        &self,
        total_um: Option<f64>,
        gauge_um: f64,
        removed_before_um: f64,
        confidence: f64,
    ) -> ClearLeft {
        let (mean, variance) = match total_um {
            Some(total) => {
                let all = self.clear_sd_um.powi(2) + self.rest_sd_um.powi(2) + gauge_um.powi(2);
                let gain = self.clear_sd_um.powi(2) / all;
                let off = total + removed_before_um - self.clear_um - self.rest_um;
                (
                    self.clear_um + gain * off - removed_before_um,
                    self.clear_sd_um.powi(2) * (1.0 - gain),
                )
            }
            None => (self.clear_um - removed_before_um, self.clear_sd_um.powi(2)),
        };
        let sd = variance.max(0.0).sqrt();
        let z = lapwing_measure::statistics::quantile::normal(confidence).unwrap_or(NORMAL_95);
        ClearLeft {
            mean: mean.max(0.0),
            sd,
            lower_95: (mean - z * sd).max(0.0),
            provenance: Provenance::Assumed,
        }
    }
}

/// A typical clear coat as a length, for words.
#[must_use]
pub fn usual_clear() -> Length {
    Length::new::<micrometer>(LayerPrior::factory(Substrate::Steel).clear_um)
}
