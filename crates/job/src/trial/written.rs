//! The trial file as people write it.
//!
//! Quantities are text, shares bare numbers. Unknown keys are refused.
//! Checked by: the reader's tests.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::Deserialize;
use toml::Spanned;

use crate::bench::FlatTable;
use crate::record::written::{Number, Text};

/// A whole trial.
#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenTrialFile {
    /// What the shop calls the spot.
    pub(super) name: Option<Text>,
    /// What the shop calls the car.
    pub(super) car: Option<Text>,
    /// The day, as the shop writes it.
    pub(super) date: Option<Text>,
    pub(super) gauge: Option<WrittenGauge>,
    /// The pass, with the keys of the bench in one table: substrate, machine,
    /// speed, orbit, pad, force, arm_speed, overlap, passes, section, and the rest.
    #[schemars(with = "BTreeMap<String, serde_json::Value>")]
    pub(super) setup: Spanned<FlatTable>,
    #[serde(default)]
    pub(super) kit: WrittenKit,
    #[serde(default)]
    pub(super) paint: WrittenPaint,
    #[serde(default)]
    pub(super) film: WrittenFilm,
    /// Film at the same spot before and after.
    #[serde(default)]
    #[schemars(with = "Vec<WrittenReading>")]
    pub(super) reading: Vec<Spanned<WrittenReading>>,
    #[serde(default)]
    pub(super) photo: Vec<WrittenPhoto>,
    #[serde(default)]
    pub(super) measured: WrittenMeasured,
    #[serde(default)]
    pub(super) prior: WrittenPrior,
    #[serde(default)]
    pub(super) shop: WrittenShop,
    #[serde(default)]
    pub(super) wish: WrittenWish,
}

#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenGauge {
    pub(super) repeatability: Text,
}

#[derive(Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenKit {
    pub(super) pad: Option<Text>,
    pub(super) abrasive: Option<Text>,
}

#[derive(Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenPaint {
    pub(super) defects: Option<Text>,
    pub(super) behaviour: Option<Text>,
}

#[derive(Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenFilm {
    pub(super) budget: Option<Text>,
    pub(super) clear_left: Option<Text>,
    pub(super) clear_left_sd: Option<Text>,
    pub(super) removed_before: Option<Text>,
}

#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenReading {
    pub(super) before: Option<Text>,
    pub(super) after: Option<Text>,
    /// Where on the template; for the technician.
    #[serde(rename = "place")]
    pub(super) _place: Option<Text>,
}

#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenPhoto {
    pub(super) passes: Number,
    pub(super) passes_before: Option<Number>,
    pub(super) density_before: Number,
    pub(super) density_after: Number,
    pub(super) noise: Option<Number>,
}

#[derive(Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenMeasured {
    pub(super) time: Option<Text>,
    pub(super) surface_temperature: Option<Text>,
    pub(super) thermometer: Option<Text>,
}

#[derive(Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenPrior {
    pub(super) cut_rate: Option<Text>,
    pub(super) cut_rate_factor: Option<Number>,
    pub(super) friction_share: Option<Number>,
    pub(super) friction_factor: Option<Number>,
}

#[derive(Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenShop {
    pub(super) history: Option<Text>,
}

#[derive(Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenWish {
    pub(super) correction: Option<Number>,
}

/// The schema of a trial file.
#[must_use]
pub fn trial_schema() -> serde_json::Value {
    schemars::schema_for!(WrittenTrialFile).to_value()
}
