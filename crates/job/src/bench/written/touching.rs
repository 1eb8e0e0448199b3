//! The keys of the setup file that say what touches the paint.
//!
//! Law: none. What each key may hold is said here and checked by the reader.
//! Left out: nothing; unknown keys are refused.
//! Checked by: the reader's tests.

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::Deserialize;
use toml::Spanned;

use crate::record::written::{Number, Text};

fn number_or_word(_: &mut SchemaGenerator) -> Schema {
    json_schema!({ "type": ["number", "string", "null"] })
}

/// A body line across the panel.
#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::bench) struct WrittenCrease {
    /// Which way its crest runs: "x" or "y".
    pub(in crate::bench) along: Text,
    /// Where it lies: its distance from below when it runs along x, from the
    /// left when it runs along y.
    pub(in crate::bench) at: Text,
    /// Radius of the rounding, 0.5 mm to 2 m.
    pub(in crate::bench) radius: Text,
    /// By how much the panel turns over it, 0 to 90 deg; left out, 15 deg.
    pub(in crate::bench) fold: Option<Text>,
}

/// What drives the pad.
#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::bench) struct WrittenMachine {
    /// "rotary", "random-orbital" or "forced-rotation".
    pub(in crate::bench) kind: Text,
    /// Turns a minute, or orbits ("4500 opm") of orbital kinds.
    pub(in crate::bench) speed: Text,
    /// Orbit diameter, orbital kinds, 0.01 to 60 mm.
    pub(in crate::bench) orbit: Option<Text>,
    /// Turns of the pad under load, orbital kinds, -5000 to 5000 rpm; less than
    /// zero against the orbit; left out, none (stalled).
    pub(in crate::bench) spin: Option<Text>,
    /// Sense of the machine's turns with the panel before you, x to the right
    /// and y upwards: "anticlockwise" (left out) or "clockwise".
    pub(in crate::bench) turns: Option<Text>,
}

/// The pad.
#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::bench) struct WrittenPad {
    /// Diameter of its face, 20 to 400 mm.
    pub(in crate::bench) diameter: Text,
    /// Diameter of its centre hole; left out, none.
    pub(in crate::bench) hole: Option<Text>,
    /// "foam-finishing", "foam-polishing", "foam-cutting", "microfibre" or
    /// "wool": gives thickness, stiffness with a range, and the finish.
    pub(in crate::bench) class: Option<Text>,
    /// Thickness of the foam, 1 to 100 mm; left out, that of the class.
    pub(in crate::bench) thickness: Option<Text>,
    /// Stiffness of the foam (pressure over compression), 1 to 1000000 kPa;
    /// left out, that of the class.
    pub(in crate::bench) stiffness: Option<Text>,
    /// Sections worked since the pad was cleaned, 0 to 100; left out, 0.
    #[schemars(with = "Option<i64>")]
    pub(in crate::bench) sections_since_clean: Option<Spanned<i64>>,
    /// Share of its cut the pad loses with each section, 0 to 0.9; left out,
    /// 0.05.
    pub(in crate::bench) cut_loss_per_section: Option<Number>,
    /// Share of friction it gains with each section, 0 to 1; left out, 0.05.
    pub(in crate::bench) friction_gain_per_section: Option<Number>,
}

/// How it is held. Of eccentricity, tilt and moment only one may stand.
#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::bench) struct WrittenTouch {
    /// Force on the panel, machine and push together, 1 to 500 N.
    pub(in crate::bench) force: Text,
    /// How far off the middle the force acts, as a share of the pad radius, 0
    /// to 0.95; the pad rocks until it balances.
    pub(in crate::bench) eccentricity: Option<Number>,
    /// Tilt of the machine against the panel, 0 to 25 deg, held by the hand.
    pub(in crate::bench) tilt: Option<Text>,
    /// Tilting moment, 0 to 50 N m; the pad rocks until it balances.
    pub(in crate::bench) moment: Option<Text>,
    /// Where it leans to, counted from x towards y, -360 to 360 deg.
    pub(in crate::bench) direction: Option<Text>,
    /// What the direction is counted from: "panel" (left out), from x; or
    /// "travel", from the way the machine goes, so that 90 deg is always to its
    /// left.
    pub(in crate::bench) direction_from: Option<Text>,
    /// "level": held parallel to what lies under it (left out, unless an
    /// eccentricity or a moment is given); "free": rocks until it balances.
    pub(in crate::bench) hold: Option<Text>,
}

/// What cuts.
#[derive(Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::bench) struct WrittenAbrasive {
    /// Cut rate of fresh product ("4e-12 1/Pa", 1e-15 to 1e-9) or a class:
    /// "finishing", "fine", "medium" (left out) or "heavy".
    pub(in crate::bench) cut_rate: Option<Text>,
    /// Friction coefficient times the share of the heat that enters the panel,
    /// 0 to 1, or a class: "wet", "usual" (left out) or "dry".
    #[serde(default)]
    #[schemars(schema_with = "number_or_word")]
    pub(in crate::bench) friction_share: Option<Spanned<toml::Value>>,
    /// "none" (left out): cuts the same to the end; "diminishing": tires with
    /// the rubbing work of its charge.
    pub(in crate::bench) breakdown: Option<Text>,
    /// Share of its cut a spent charge keeps, 0 to 1; left out, 0.3.
    pub(in crate::bench) floor_share: Option<Number>,
    /// Rubbing work of a charge after which 63 % of the fall is over, 1 J to 1
    /// GJ, for a friction coefficient of one; left out, 20 kJ.
    pub(in crate::bench) breakdown_work: Option<Text>,
    /// Charges of product for this section, 1 to 100, at even shares of the
    /// work; left out, 1.
    #[schemars(with = "Option<i64>")]
    pub(in crate::bench) charges: Option<Spanned<i64>>,
}

/// The finish that is left.
#[derive(Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::bench) struct WrittenFinish {
    /// Root mean square height of what the abrasive leaves, 0 to 500 nm; left
    /// out, from the classes of abrasive and pad.
    pub(in crate::bench) roughness: Option<Text>,
    /// Refractive index of the clear coat, 1.3 to 2; left out, 1.5.
    pub(in crate::bench) refractive_index: Option<Number>,
}

/// A place whose depth and rise are asked for.
#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::bench) struct WrittenProbe {
    /// From the left rim.
    pub(in crate::bench) x: Text,
    /// From below.
    pub(in crate::bench) y: Text,
    /// How deep under the surface the rise at the end is asked for as well, 0
    /// (left out) to the thickness of all layers.
    pub(in crate::bench) depth: Option<Text>,
}
