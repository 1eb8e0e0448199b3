//! The setup file as people write it.
//!
//! Quantities are text ("125 mm"), shares are bare numbers 0 to 1. Unknown keys
//! are refused, because a misspelt key that is silently ignored misleads.
//! Checked by: the reader's tests.

use serde::Deserialize;
use toml::Spanned;

use crate::record::written::{Number, Text};

/// A whole setup.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenSetup {
    pub(super) panel: WrittenPanel,
    pub(super) machine: WrittenMachine,
    pub(super) pad: WrittenPad,
    pub(super) touch: WrittenTouch,
    #[serde(default)]
    pub(super) abrasive: WrittenAbrasive,
    pub(super) stroke: WrittenStroke,
    #[serde(default)]
    pub(super) heat: WrittenHeat,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenPanel {
    pub(super) size: Spanned<Vec<Text>>,
    pub(super) substrate: Option<Text>,
    pub(super) film: Option<Spanned<Vec<WrittenLayer>>>,
    pub(super) layers: Option<Spanned<Vec<WrittenLayer>>>,
    pub(super) in_plane: Option<Text>,
    pub(super) start_temperature: Option<Text>,
    pub(super) air_temperature: Option<Text>,
    pub(super) convection_outside: Option<Text>,
    pub(super) convection_inside: Option<Text>,
    pub(super) facing: Option<Text>,
    pub(super) pad_wind: Option<bool>,
    pub(super) radius_x: Option<Text>,
    pub(super) radius_y: Option<Text>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenLayer {
    pub(super) name: Text,
    pub(super) thickness: Option<Text>,
    pub(super) conductivity: Option<Text>,
    pub(super) conductivity_in_plane: Option<Text>,
    pub(super) density: Option<Text>,
    pub(super) heat_capacity: Option<Text>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenMachine {
    pub(super) kind: Text,
    pub(super) speed: Text,
    pub(super) orbit: Option<Text>,
    pub(super) spin: Option<Text>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenPad {
    pub(super) diameter: Text,
    pub(super) hole: Option<Text>,
    pub(super) thickness: Option<Text>,
    pub(super) stiffness: Option<Text>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenTouch {
    pub(super) force: Text,
    pub(super) eccentricity: Option<Number>,
    pub(super) tilt: Option<Text>,
    pub(super) moment: Option<Text>,
    pub(super) direction: Option<Text>,
}

#[derive(Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenAbrasive {
    pub(super) cut_rate: Option<Text>,
    pub(super) friction_share: Option<Number>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenStroke {
    pub(super) pattern: Text,
    pub(super) duration: Option<Text>,
    pub(super) arm_speed: Option<Text>,
    pub(super) overlap: Option<Number>,
    pub(super) passes: Option<Spanned<i64>>,
    pub(super) shift: Option<Number>,
    pub(super) wait: Option<Text>,
    pub(super) margin: Option<Text>,
    pub(super) along: Option<Text>,
    pub(super) file: Option<Text>,
}

#[derive(Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenHeat {
    pub(super) detail: Option<Text>,
    pub(super) cells: Option<Spanned<Vec<i64>>>,
    pub(super) step: Option<Text>,
    #[serde(default)]
    pub(super) above: Vec<Text>,
}
