//! Clear coat inferred from a total reading: the layer prior, conditioned.
//!
//! Law: layers are normal, clear C ~ N(µc, σc²), rest O ~ N(µo, σo²) with
//! correlation 0; reading T = C − r + O + gauge noise, r what polishing has taken.
//! Without bounds C − r | T is normal with mean
//! µc + σc²/(σc²+σo²+σg²)·(T + r − µc − µo) − r and variance
//! σc² − σc⁴/(σc²+σo²+σg²). Bounds: O ≥ 0, C − r ≥ 0 and so neither more than the
//! total; where they bite the belief is cut, see [`super::clear`].
//! Source: [`Source::Anderson2003`] 2.5; layer builds in
//! [`crate::record::layers`]. Assumed on every car until the shop edits the
//! table or a layer-resolving reading says otherwise.
//! Holds: for one paint system with a known table.
//! Left out: correlation of layers.
//! Checked by: limits (a perfect gauge and no spread in the rest give C = T −
//! rest; an infinite gauge error gives the prior back); numpy's linear algebra
//! and ten million samples, in the validation cases.

use lapwing_measure::quantity::Length;
use lapwing_measure::{Provenance, Source};
use serde::Serialize;
use uom::si::length::micrometer;

use super::clear::{Evidence, clear_left};
use crate::record::job::{Paint, Substrate};
use crate::record::layers::{Build, LayerTable};

pub use crate::record::layers::LAYER_SOURCES;

/// Where the conditioning of a normal vector is written down.
pub const CONDITIONING_SOURCE: Source = Source::Anderson2003;

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

/// Clear coat left, worked out and never measured (unless the provenance says
/// that single layers were read).
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct ClearLeft {
    /// Mean, µm.
    pub mean: f64,
    /// Standard deviation, µm.
    pub sd: f64,
    /// One-sided lower bound at the shop's confidence (95 % by default), µm.
    pub lower_95: f64,
    /// Assumed layer build on a measured total, so: assumed; measured where a
    /// gauge resolved the layer.
    pub provenance: Provenance,
}

impl LayerPrior {
    /// Factory build over a substrate, by the default table.
    #[must_use]
    pub fn factory(substrate: Substrate) -> Self {
        Self::of(LayerTable::default().of(Paint::BaseClear, substrate, false))
    }

    /// The belief a build of the table gives.
    #[must_use]
    pub fn of(build: &Build) -> Self {
        let rest = build.rest();
        Self {
            clear_um: build.top.mean_um,
            clear_sd_um: build.top.sd_um,
            rest_um: rest.mean_um,
            rest_sd_um: rest.sd_um,
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
        let evidence = Evidence {
            total_um,
            gauge_um,
            removed: super::clear::Removed::recorded(removed_before_um, 0.0),
            top_layer_um: None,
            confidence,
        };
        clear_left(self, &evidence)
    }

    /// How many standard deviations a total, with what was removed added back,
    /// lies from this build.
    #[must_use]
    pub fn surprise(&self, original_total_um: f64, gauge_um: f64) -> f64 {
        let sd = self.clear_sd_um.hypot(self.rest_sd_um).hypot(gauge_um);
        (original_total_um - self.clear_um - self.rest_um) / sd.max(1e-6)
    }
}

/// A typical clear coat as a length, for words.
#[must_use]
pub fn usual_clear() -> Length {
    Length::new::<micrometer>(LayerPrior::factory(Substrate::Steel).clear_um)
}
