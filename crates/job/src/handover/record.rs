//! The record as it is handed over: what the next technician and the owner
//! need, in plain shapes that read back as they were written.
//!
//! Law: none; numbers stand to a thousandth of their unit, far under what any
//! of them is known to, so that a last bit never changes a signature.
//! Holds: keys carry their unit; a value that cannot be stated is null.
//! Checked by: there and back in the tests of the station.

use serde::{Deserialize, Serialize};

pub use super::care::Care;
pub use super::too_far::TooFar;
pub use crate::record::earlier::{KIND, SCHEMA};

/// The whole record of one visit.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Handed {
    /// Always "paint-record".
    pub kind: String,
    /// Version of the layout.
    pub schema: u32,
    /// What the shop calls the job.
    pub job: String,
    /// The day, as the job writes it.
    pub date: Option<String>,
    /// "metric" or "us": the units of the job's pages; the record is metric.
    pub units: String,
    /// The car.
    pub car: HandedCar,
    /// Its panels in the job's order.
    pub panels: Vec<HandedPanel>,
    /// What the walk round found.
    pub found: Vec<Mark>,
    /// What remains, and why.
    pub remains: Vec<Remaining>,
    /// What it took.
    pub spent: Spent,
    /// Limits that were in force.
    pub limits: Limits,
    /// What trials on this paint taught.
    pub trials: Vec<Taught>,
    /// How to keep it.
    pub care: Vec<Care>,
    /// What hurts it.
    pub do_nots: Vec<String>,
    /// Doubts, with their place.
    pub cautions: Vec<Said>,
    /// Photographs by the hash of their file.
    pub pictures: Vec<Picture>,
    /// The record of the visit before, when this visit started from one.
    pub earlier: Option<EarlierTold>,
}

impl Handed {
    /// Panels that are polished, and panels of which some sections are.
    #[must_use]
    pub fn polished_and_begun(&self) -> (usize, usize) {
        let count = |word: &str| self.panels.iter().filter(|p| p.verdict == word).count();
        (count("polished"), count("part"))
    }
}

/// The car.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct HandedCar {
    /// In the shop's words.
    pub description: String,
    /// Body class.
    pub class: String,
    /// "dark", "middle" or "light".
    pub colour: String,
    /// How the paint behaved.
    pub behaviour: String,
}

/// One panel.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct HandedPanel {
    /// Our name.
    pub name: String,
    /// Name for people.
    pub spoken: String,
    /// Under the paint.
    pub substrate: String,
    /// Kind of finish.
    pub paint: String,
    /// Visibility zone.
    pub zone: String,
    /// Known to be painted again.
    pub is_repainted: bool,
    /// Area, m².
    pub area_m2: f64,
    /// "polished", "part", "left" or "not noted".
    pub verdict: String,
    /// Whole film read before.
    pub film_before_um: Option<Film>,
    /// Whole film read after.
    pub film_after_um: Option<Film>,
    /// Whether the readings after cannot be right: film seems to have grown.
    /// They count for nothing then.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub after_cannot_be: bool,
    /// Where by the readings after more went than may have.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub too_far: Option<TooFar>,
    /// What this visit took off.
    pub removed_um: Option<Told>,
    /// The difference of the gauge as it came; it may lie below 0.
    pub difference_um: Option<Told>,
    /// What the plan expected of the sections that were done.
    pub expected_um: Option<Told>,
    /// Taken off by all visits since it was last painted.
    pub removed_ever_um: Amount,
    /// Clear coat left, worked out.
    pub clear_left_um: Option<Left>,
    /// What may go at a later visit.
    pub may_go_um: Option<f64>,
    /// The rule that binds.
    pub binding_rule: Option<String>,
    /// Share of scratch length gone, 0 to 1, as expected.
    pub share_gone: Option<Told>,
    /// What the readings said.
    pub findings: Vec<String>,
    /// The steps.
    pub done: Vec<DoneStep>,
    /// Minutes on this panel, where noted.
    pub minutes: Option<f64>,
}

/// Whole film on a panel.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Film {
    /// Mean, odd readings left out.
    pub mean: f64,
    /// Standard deviation over the panel; 0 where one spot was read.
    pub sd: f64,
    /// Spots behind the mean.
    pub count: usize,
}

/// A number, how sure, and where from.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Told {
    /// Best guess.
    pub mean: f64,
    /// Standard deviation.
    pub sd: f64,
    /// Lower end, 95 %.
    pub lower_95: f64,
    /// Upper end, 95 %.
    pub upper_95: f64,
    /// Its mark.
    pub provenance: String,
    /// How it was come by.
    pub origin: String,
}

/// A mean and its standard deviation.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Amount {
    /// Mean.
    pub mean: f64,
    /// Standard deviation.
    pub sd: f64,
}

/// Clear coat left.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Left {
    /// Mean.
    pub mean: f64,
    /// Standard deviation.
    pub sd: f64,
    /// One-sided lower bound at the shop's confidence.
    pub lower_95: f64,
    /// Its mark.
    pub provenance: String,
    /// "readings after", "readings before less what went" or "readings before
    /// and the plan".
    pub origin: String,
}

/// One step as it was done.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct DoneStep {
    /// "cut", "polish" or "finish".
    pub step: String,
    /// Machine by name.
    pub machine: String,
    /// Turns or orbits a minute.
    pub speed_rpm: f64,
    /// Pad by name.
    pub pad: String,
    /// Abrasive by name.
    pub abrasive: String,
    /// Passes.
    pub passes: u32,
    /// Sections done.
    pub sections_done: u32,
    /// Sections of the panel.
    pub sections: u32,
}

/// What the walk round found at a place.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Mark {
    /// Our name of the panel.
    pub panel: String,
    /// What it is.
    pub kind: String,
    /// How far.
    pub extent: String,
    /// A note.
    pub note: String,
}

/// What remains.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Remaining {
    /// Our name of the panel, or "car".
    pub panel: String,
    /// What.
    pub what: String,
    /// Why.
    pub why: String,
}

/// What the visit took.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Spent {
    /// Minutes by the shop's log.
    pub minutes: Option<f64>,
    /// Hours in the bay as planned.
    pub planned_hours: f64,
    /// Film taken off, mean over the worked area, µm.
    pub film_um: Option<f64>,
    /// Worked area, m².
    pub worked_m2: f64,
}

/// Limits in force.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Limits {
    /// Film rules by name.
    pub in_force: Vec<String>,
    /// Clear coat that must stay at its lower bound, µm.
    pub clear_left_um: f64,
    /// Most film ever taken off, µm.
    pub removed_ever_um: f64,
    /// How sure a budget is, 0 to 1.
    pub confidence: f64,
}

/// What a trial on this paint taught.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Taught {
    /// Pad class.
    pub pad: String,
    /// Abrasive class.
    pub abrasive: String,
    /// How the paint behaved.
    pub behaviour: String,
    /// Median cut rate.
    pub cut_rate_per_pa: f64,
    /// It holds within times or divided by this, 19 times in 20.
    pub cut_rate_factor: f64,
    /// Friction coefficient times the share of heat into the panel.
    pub friction_share: Option<f64>,
    /// Its factor.
    pub friction_factor: Option<f64>,
    /// What the readings alone say; nothing where nobody wrote that down.
    #[serde(default)]
    pub seen: Option<TaughtSeen>,
    /// Scratch depths.
    pub depths: Option<TaughtDepths>,
}

/// What a trial's readings alone say, without what was believed before.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct TaughtSeen {
    /// Median cut rate; nothing where the readings say nothing of it.
    pub cut_rate_per_pa: Option<f64>,
    /// Its factor.
    pub cut_rate_factor: Option<f64>,
    /// Friction share.
    pub friction_share: Option<f64>,
    /// Its factor.
    pub friction_factor: Option<f64>,
}

/// Scratch depths.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct TaughtDepths {
    /// Class of defects.
    pub defects: String,
    /// Half of the scratch length is shallower.
    pub median_um: f64,
    /// Spread of the logarithm of the depth.
    pub ln_spread: f64,
    /// Share in the deep tail, 0 to 1.
    pub deep_frac: f64,
}

/// A doubt with its place.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Said {
    /// Where.
    pub place: String,
    /// What.
    pub text: String,
}

/// A photograph.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Picture {
    /// Its file's name.
    pub file: String,
    /// SHA-256 of the file.
    pub sha256: String,
    /// What it shows.
    pub says: String,
}

/// The record of the visit before.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct EarlierTold {
    /// Its hash.
    pub sha256: String,
    /// The key it was signed with.
    pub key: String,
    /// Its day, as written.
    pub date: Option<String>,
}

/// To a thousandth; what is no number cannot be stated.
pub(super) fn thousandth(value: f64) -> Option<f64> {
    let rounded = (value * 1000.0).round() / 1000.0;
    // Adding 0 makes a minus before nothing vanish.
    rounded.is_finite().then_some(rounded + 0.0)
}

/// To four figures, for numbers far from one.
pub(super) fn four_figures(value: f64) -> f64 {
    let text = format!("{value:.3e}");
    text.parse().unwrap_or(value)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_stand_to_a_thousandth_and_nonsense_is_not_stated() {
        assert_eq!(thousandth(1.23449), Some(1.234));
        assert_eq!(thousandth(-0.0001).map(f64::is_sign_negative), Some(false));
        assert_eq!(thousandth(f64::NAN), None);
        assert_eq!(thousandth(f64::INFINITY), None);
        assert_eq!(four_figures(4.123_46e-12), 4.123e-12);
    }
}
