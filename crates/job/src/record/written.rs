//! The job file as people write it, and the schema that describes it.
//!
//! Quantities are text ("125 mm", "5 in"), shares are bare numbers 0 to 1.
//! Every text and number keeps its place in the file, so that an error can
//! point at it. Unknown keys are refused, because a misspelt key that is
//! silently ignored costs paint.
//! Checked by: the reader's tests and the schema test below.

use std::borrow::Cow;

use schemars::{JsonSchema, Schema, SchemaGenerator};
use serde::Deserialize;
use toml::Spanned;

use super::calibration::{WrittenCalibration, WrittenTrial};

/// A text with its place in the file.
#[derive(Clone, Debug, Deserialize)]
#[serde(transparent)]
pub struct Text(pub Spanned<String>);

/// A number with its place in the file.
#[derive(Clone, Debug, Deserialize)]
#[serde(transparent)]
pub struct Number(pub Spanned<f64>);

impl JsonSchema for Text {
    fn schema_name() -> Cow<'static, str> {
        "Text".into()
    }
    fn inline_schema() -> bool {
        true
    }
    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        String::json_schema(generator)
    }
}

impl JsonSchema for Number {
    fn schema_name() -> Cow<'static, str> {
        "Number".into()
    }
    fn inline_schema() -> bool {
        true
    }
    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        f64::json_schema(generator)
    }
}

/// A whole job: `job.toml`.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WrittenJob {
    /// Version of this schema; 1.
    pub schema: Number,
    /// What the shop calls the job.
    pub name: Text,
    /// "metric" or "us".
    pub units: Option<Text>,
    /// The day of the plan, printed as written.
    pub date: Option<Text>,
    /// The car.
    pub car: WrittenCar,
    /// What the customer wants.
    pub wish: Option<WrittenWish>,
    /// Which limits the shop has in force.
    pub rules: Option<WrittenRules>,
    /// The panels, in any order.
    #[serde(default)]
    pub panel: Vec<WrittenPanel>,
    /// What the walk-round marked. Only kind "repaint" counts for the plan: the
    /// panel is left until its layers are known.
    #[serde(default)]
    pub mark: Vec<WrittenMark>,
    /// The gauge.
    pub gauge: Option<WrittenGauge>,
    /// The shop's own layer builds, where it knows better than the defaults.
    pub layers: Option<WrittenLayers>,
    /// Earlier visits, oldest first.
    #[serde(default)]
    pub visit: Vec<WrittenVisit>,
    /// The hand-over record of the visit before, which counts as the oldest
    /// visit.
    pub history: Option<WrittenRecord>,
    /// Machines, pads and abrasives.
    pub kit: Option<WrittenKit>,
    /// Who works.
    #[serde(default)]
    pub person: Vec<WrittenPerson>,
    /// What it costs.
    pub prices: Option<WrittenPrices>,
    /// Trials on this car, as `lapwing trial` writes them.
    #[serde(default)]
    pub trial: Vec<WrittenTrial>,
    /// Where the shop's own trials are kept.
    pub calibration: Option<WrittenCalibration>,
}

/// The car as a whole.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WrittenCar {
    /// In the shop's words, without a plate.
    pub description: Option<Text>,
    /// Body class: city-car, small-hatch, compact-hatch, saloon, estate,
    /// two-door-sports, compact-suv, large-suv, mpv, pick-up,
    /// full-size-pick-up, panel-van.
    pub class: Text,
    /// Outer length.
    pub length: Option<Text>,
    /// Outer width.
    pub width: Option<Text>,
    /// Outer height.
    pub height: Option<Text>,
    /// "base-clear", "single-stage", "matt", "wrap" or "film".
    pub paint: Option<Text>,
    /// "dark", "middle" or "light".
    pub colour: Option<Text>,
    /// How the paint behaved: "soft", "medium", "hard" or "sticky".
    pub behaviour: Option<Text>,
    /// Usual defect class: "light-swirls", "wash-swirls", "deep-scratches".
    pub defects: Option<Text>,
}

/// Share of scratch length that should be gone, per visibility zone.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WrittenWish {
    /// Zone A, 0 to 0.99.
    pub zone_a: Option<Number>,
    /// Zone B.
    pub zone_b: Option<Number>,
    /// Zone C.
    pub zone_c: Option<Number>,
    /// Coating layers to lay, 0 for none.
    pub coating_layers: Option<Number>,
    /// Largest section edge, such as "0.45 m".
    pub section: Option<Text>,
    /// Overlap of neighbouring lines as a share of the pad, 0 to 0.9.
    pub overlap: Option<Number>,
}

/// Limits in force.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WrittenRules {
    /// Names of the film rules in force (`lapwing schema rules` lists them).
    pub in_force: Option<Vec<Text>>,
    /// The shop's own least clear coat at its lower bound.
    pub clear_left: Option<Text>,
    /// The shop's own most film ever removed.
    pub removed_ever: Option<Text>,
    /// Confidence of a budget, 0.5 to 0.999.
    pub confidence: Option<Number>,
    /// Warn at this surface temperature.
    pub heat_warn: Option<Text>,
    /// Never over this surface temperature.
    pub heat_stop: Option<Text>,
    /// Panel temperature before work.
    pub start_temperature: Option<Text>,
}

/// The gauge.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WrittenGauge {
    /// Stated repeatability, one standard deviation of repeats on a spot.
    pub repeatability: Option<Text>,
}

/// Layer builds by paint system.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WrittenLayers {
    /// Base coat and clear coat on metal, from the factory.
    pub metal: Option<WrittenBuild>,
    /// The same on plastic.
    pub plastic: Option<WrittenBuild>,
    /// Pigmented top coat without clear.
    pub single_stage: Option<WrittenBuild>,
    /// A repair over factory paint.
    pub refinish: Option<WrittenBuild>,
}

/// Layers of one system, each as mean and standard deviation:
/// `["45 um", "5 um"]`.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WrittenBuild {
    /// Clear coat.
    pub clear: Option<Vec<Text>>,
    /// Top coat of single-stage paint.
    pub top: Option<Vec<Text>>,
    /// Base coat.
    pub base: Option<Vec<Text>>,
    /// Primer or surfacer.
    pub primer: Option<Vec<Text>>,
    /// Electro-coat.
    pub e_coat: Option<Vec<Text>>,
    /// What lies under a repair.
    pub old: Option<Vec<Text>>,
}

/// The hand-over record of the visit before.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WrittenRecord {
    /// The file beside the job, as the hand-over wrote it: "record.json".
    pub record: Text,
    /// The public key it must be signed with, as the earlier shop reads it out.
    pub key: Option<Text>,
}

/// An earlier visit.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WrittenVisit {
    /// When, as written.
    pub date: Option<Text>,
    /// Which panels; every panel when left out.
    pub panels: Option<Vec<Text>>,
    /// Film taken off.
    pub removed: Option<Text>,
    /// One standard deviation of it.
    pub uncertainty: Option<Text>,
    /// Whether the panels were painted again on that visit.
    pub refinished: Option<bool>,
}

/// Something that the walk-round found on a panel.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WrittenMark {
    /// A panel of the job.
    pub panel: Text,
    /// What it is, such as "scratch", or "repaint" for a panel that looks
    /// painted again.
    pub kind: Text,
    /// How far, such as "a hand wide".
    pub extent: Option<Text>,
    /// Anything more.
    pub note: Option<Text>,
}

/// One panel.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WrittenPanel {
    /// UK or US trade name with side, such as "left front wing".
    pub name: Text,
    /// Take what is not said here from this other panel.
    pub like: Option<Text>,
    /// "steel", "aluminium", "plastic" or "laminate".
    pub substrate: Option<Text>,
    /// Measured size, such as "1.4 x 1.2 m"; replaces the estimate.
    pub size: Option<Text>,
    /// Corners in turn, mm across and up from the panel's lower left corner, such
    /// as [[0, 0], [1400, 0], [1300, 1200], [100, 1200]]; the film map ends there.
    #[schemars(with = "Option<Vec<[f64; 2]>>")]
    pub outline_mm: Option<Spanned<Vec<[f64; 2]>>>,
    /// Paint, if not the car's.
    pub paint: Option<Text>,
    /// Defect class, if not the car's.
    pub defects: Option<Text>,
    /// Film already taken off at earlier visits.
    pub removed_before: Option<Text>,
    /// Visibility zone "A", "B" or "C", if not the usual one.
    pub zone: Option<Text>,
    /// Known repaint.
    pub repainted: Option<bool>,
}

/// The shop's kit.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WrittenKit {
    /// Machines.
    #[serde(default)]
    pub machine: Vec<WrittenMachine>,
    /// Pads.
    #[serde(default)]
    pub pad: Vec<WrittenPad>,
    /// Abrasives.
    #[serde(default)]
    pub abrasive: Vec<WrittenAbrasive>,
}

/// One machine.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WrittenMachine {
    /// The shop's name for it.
    pub name: Text,
    /// "rotary", "random-orbital" or "forced-rotation".
    pub kind: Text,
    /// Working speeds, gentlest first ("1200 rpm"; orbits as "4500 opm").
    pub speeds: Vec<Text>,
    /// Orbit diameter, orbital kinds.
    pub orbit: Option<Text>,
    /// Spin of the pad under load, orbital kinds.
    pub spin: Option<Text>,
    /// Force on the panel at work, weight and push together.
    pub force: Text,
    /// Declared vibration.
    pub vibration: Text,
    /// Its declared uncertainty; "0 m/s2" when included.
    pub vibration_uncertainty: Option<Text>,
    /// Declared level at the ear.
    pub noise: Text,
}

/// One pad.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WrittenPad {
    /// The shop's name for it.
    pub name: Text,
    /// "wool", "microfibre", "foam-cutting", "foam-polishing" or
    /// "foam-finishing".
    pub class: Text,
    /// Face diameter.
    pub diameter: Text,
    /// Centre hole.
    pub hole: Option<Text>,
    /// Names of the machines it fits.
    pub fits: Vec<Text>,
    /// Price of one.
    pub price: Option<Number>,
    /// Sections one pad does before it is swapped.
    pub sections: Option<Number>,
}

/// One abrasive.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WrittenAbrasive {
    /// The shop's name for it.
    pub name: Text,
    /// "heavy", "medium", "fine" or "finishing".
    pub class: Text,
    /// Names of the pads it is used with.
    pub with: Vec<Text>,
    /// "diminishing" or "constant".
    pub wear: Option<Text>,
    /// Cut rate, if calibrated: "4e-12 1/Pa".
    pub cut_rate: Option<Text>,
    /// Price a litre.
    pub price_per_litre: Option<Number>,
}

/// One person.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WrittenPerson {
    /// How the shop calls them.
    pub name: Text,
    /// Hours in a working day.
    pub day: Option<Text>,
}

/// What it costs.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WrittenPrices {
    /// Three letters, such as "GBP".
    pub currency: Text,
    /// Charged for an hour of labour.
    pub labour_per_hour: Number,
    /// What an hour costs the shop (the floor).
    pub cost_per_hour: Option<Number>,
    /// Overhead for an hour in the bay.
    pub overhead_per_hour: Option<Number>,
    /// Share for what nobody foresaw.
    pub contingency: Option<Number>,
    /// Tax share.
    pub tax: Option<Number>,
    /// A microfibre cloth, per use.
    pub cloth: Option<Number>,
    /// Clay, per 100 g.
    pub clay_per_100_g: Option<Number>,
    /// Panel wipe, per litre.
    pub wipe_per_litre: Option<Number>,
    /// Coating, per 10 ml.
    pub coating_per_10_ml: Option<Number>,
    /// Masking tape, per metre.
    pub tape_per_m: Option<Number>,
}

/// JSON Schema of `job.toml`.
#[must_use]
pub fn schema() -> serde_json::Value {
    schemars::schema_for!(WrittenJob).to_value()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_schema_names_every_top_key() {
        let schema = schema();
        for key in [
            "car", "panel", "kit", "person", "prices", "rules", "wish", "gauge", "layers", "visit",
        ] {
            assert!(schema["properties"].get(key).is_some(), "{key}");
        }
    }
}
