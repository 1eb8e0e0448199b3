//! The trial file as people write it.
//!
//! Quantities are text, shares bare numbers. Unknown keys are refused.
//! Checked by: the reader's tests.

use serde::Deserialize;
use toml::Spanned;

use crate::bench::FlatTable;
use crate::record::written::{Number, Text};

/// A whole trial.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenTrialFile {
    pub(super) name: Option<Text>,
    pub(super) car: Option<Text>,
    pub(super) gauge: Option<WrittenGauge>,
    pub(super) setup: Spanned<FlatTable>,
    #[serde(default)]
    pub(super) kit: WrittenKit,
    #[serde(default)]
    pub(super) paint: WrittenPaint,
    #[serde(default)]
    pub(super) film: WrittenFilm,
    #[serde(default)]
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

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenGauge {
    pub(super) repeatability: Text,
}

#[derive(Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenKit {
    pub(super) pad: Option<Text>,
    pub(super) abrasive: Option<Text>,
}

#[derive(Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenPaint {
    pub(super) defects: Option<Text>,
    pub(super) behaviour: Option<Text>,
}

#[derive(Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenFilm {
    pub(super) budget: Option<Text>,
    pub(super) clear_left: Option<Text>,
    pub(super) clear_left_sd: Option<Text>,
    pub(super) removed_before: Option<Text>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenReading {
    pub(super) before: Option<Text>,
    pub(super) after: Option<Text>,
    /// Where on the template; for the technician.
    #[serde(rename = "place")]
    pub(super) _place: Option<Text>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenPhoto {
    pub(super) passes: Number,
    pub(super) passes_before: Option<Number>,
    pub(super) density_before: Number,
    pub(super) density_after: Number,
    pub(super) noise: Option<Number>,
}

#[derive(Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenMeasured {
    pub(super) time: Option<Text>,
    pub(super) surface_temperature: Option<Text>,
    pub(super) thermometer: Option<Text>,
}

#[derive(Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenPrior {
    pub(super) cut_rate: Option<Text>,
    pub(super) cut_rate_factor: Option<Number>,
    pub(super) friction_share: Option<Number>,
    pub(super) friction_factor: Option<Number>,
}

#[derive(Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenShop {
    pub(super) history: Option<Text>,
}

#[derive(Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenWish {
    pub(super) correction: Option<Number>,
}
