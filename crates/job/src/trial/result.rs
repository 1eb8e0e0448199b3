//! What a trial answers, in the units of its JSON keys.
//!
//! Law: none. Holds: a value that cannot be stated is `null`.
//! Checked by: the tests of the station.

use lapwing_measure::Provenance;
use serde::Serialize;

use super::curve::{CurvePoint, Gone, Knee, Target};
use super::pairs::Removed;
use crate::bench::setup::Origin;
use crate::record::calibration::KnownTrial;
use crate::record::{Caution, Said};

/// What one spot taught.
#[derive(Clone, Debug, Serialize)]
pub struct TrialResult {
    /// What the shop calls it.
    pub name: String,
    /// Which car, when, with what.
    pub about: About,
    /// From the pairs alone; nothing without pairs.
    pub removed_um: Option<Removed>,
    /// The same from everything together.
    pub removed_inferred_um: Range,
    /// Whether the removal can be told from nothing.
    pub detectable: bool,
    /// Pairs that show 1 µm with this gauge.
    pub pairs_needed_for_1um: Option<usize>,
    /// Pairs that show a removal as large as this one.
    pub pairs_needed_for_this: Option<usize>,
    /// Gauge repeatability used.
    pub gauge_um: f64,
    /// Cut rate of this pad and abrasive on this paint.
    pub cut_rate_per_pa: Learnt,
    /// Friction coefficient times the share of heat into the panel.
    pub friction_share: Learnt,
    /// Depth at which half, 80 and 95 % of the scratch length are gone.
    pub scratch_depth_um: ScratchDepth,
    /// What the photos count where no scratch is; nothing without photos.
    pub photo_floor_mm_per_mm2: Option<Range>,
    /// Film of one pass.
    pub pass_um: Range,
    /// Seconds of one pass, pad on the section.
    pub pass_s: f64,
    /// What may go.
    pub budget_um: Option<f64>,
    /// Film, best guess, up to which the upper end of the cut rate stays within
    /// what may go.
    pub safe_um: Option<f64>,
    /// The rule that binds.
    pub binding_rule: Option<String>,
    /// Correction against film, pass by pass.
    pub curve: Vec<CurvePoint>,
    /// What wished corrections cost.
    pub targets: Vec<Target>,
    /// Where a little more begins to cost a lot.
    pub knee: Option<Knee>,
    /// How much the readings said.
    pub posterior: Told,
    /// What to do.
    pub advice: Vec<String>,
    /// The same with their parts apart.
    #[serde(skip)]
    pub advised: Vec<Said>,
    /// Doubts.
    pub cautions: Vec<Caution>,
    /// Where the numbers come from that the user did not give.
    pub provenance: Vec<Origin>,
    /// What the next car and the plan may use.
    pub calibration: Teaching,
    /// The smooth curve, for pictures.
    #[serde(skip)]
    pub smooth: Vec<Gone>,
}

/// Which car, when, and with what the spot was worked, in the shop's words.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct About {
    /// The car; may be empty.
    pub car: String,
    /// The day; may be empty.
    pub date: String,
    /// The machine with its speed.
    pub machine: String,
    /// The pad with its class.
    pub pad: String,
    /// Class of the abrasive.
    pub abrasive: String,
    /// How the paint behaves under the pad.
    pub paint: String,
    /// Passes, arm speed and force.
    pub pass: String,
}

/// A number with its 95 % ends.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Range {
    /// Best guess.
    pub mean: f64,
    /// Lower end, 95 %.
    pub lower_95: f64,
    /// Upper end, 95 %.
    pub upper_95: f64,
    /// Its mark.
    pub provenance: Provenance,
}

/// A number before and after the trial.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Learnt {
    /// Best guess.
    pub mean: f64,
    /// Lower end, 95 %.
    pub lower_95: f64,
    /// Upper end, 95 %.
    pub upper_95: f64,
    /// As likely above as below.
    pub median: f64,
    /// Its mark.
    pub provenance: Provenance,
    /// Where it comes from in words.
    pub origin: &'static str,
    /// Median believed before.
    pub prior_median: f64,
    /// Lower end believed before, 95 %.
    pub prior_lower_95: f64,
    /// Upper end believed before, 95 %.
    pub prior_upper_95: f64,
    /// Where the belief came from.
    pub prior_origin: &'static str,
    /// Spread of the logarithm after over before; 1 when nothing was learnt.
    pub spread_over_prior: f64,
    /// Share of what is known that the readings brought, 0 to 1; from 0.2 on
    /// the number counts as learnt on this car.
    pub learnt_frac: f64,
}

/// Depths below which shares of the scratch length lie.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct ScratchDepth {
    /// Half.
    pub p50: Option<f64>,
    /// Four fifths.
    pub p80: Option<f64>,
    /// 95 %.
    pub p95: Option<f64>,
    /// Lower end of the half, 95 %.
    pub p50_lower_95: Option<f64>,
    /// Upper end of the half, 95 %.
    pub p50_upper_95: Option<f64>,
    /// Spread of the logarithm of the median after over before.
    pub spread_over_prior: f64,
    /// Share in the deep tail.
    pub deep_share: f64,
    /// Its mark.
    pub provenance: Provenance,
}

/// How much the readings said.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Told {
    /// Draws that stand for what is known.
    pub draws: usize,
    /// Of as many guesses drawn beforehand, how many the readings leave standing.
    pub effective_sample_size: f64,
    /// Bits learnt on the cut rate.
    pub cut_rate_bits: f64,
    /// Bits learnt on the friction share.
    pub friction_bits: f64,
}

/// What the next car and the plan may use, as in `history.toml`.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Teaching {
    /// The `[[trial]]` in words of TOML.
    pub toml: String,
    /// Whether anything was learnt; if not, the shop's history stays as it was.
    pub is_learnt: bool,
    /// The same, for programs of ours.
    #[serde(skip)]
    pub trial: KnownTrial,
}
