//! The setup file as people write it, and the schema that describes it.
//!
//! Quantities are text ("125 mm"), shares are bare numbers 0 to 1. Unknown keys
//! are refused, because a misspelt key that is silently ignored misleads. The
//! words behind each key are what `lapwing schema bench` prints.
//! Checked by: the reader's tests; the schema names every key, in `vary`.

mod touching;

use schemars::JsonSchema;
use serde::Deserialize;
use toml::Spanned;

use crate::record::written::{Number, Text};
pub(super) use touching::{
    WrittenAbrasive, WrittenCrease, WrittenFinish, WrittenMachine, WrittenPad, WrittenProbe,
    WrittenTouch,
};

/// A pass set up on paper: one machine, one pad, one section.
#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenSetup {
    /// Units of words and pictures: "metric" (left out) or "us".
    pub(super) units: Option<Text>,
    /// What is worked on.
    pub(super) panel: WrittenPanel,
    /// What drives the pad.
    pub(super) machine: WrittenMachine,
    /// The pad.
    pub(super) pad: WrittenPad,
    /// How it is held.
    pub(super) touch: WrittenTouch,
    /// What cuts.
    #[serde(default)]
    pub(super) abrasive: WrittenAbrasive,
    /// Where the pad goes, and how fast.
    pub(super) stroke: WrittenStroke,
    /// The finish that is left.
    #[serde(default)]
    pub(super) finish: WrittenFinish,
    /// Places whose depth is asked for.
    #[serde(default)]
    pub(super) probe: Vec<WrittenProbe>,
    /// How finely the heat is worked out.
    #[serde(default)]
    pub(super) heat: WrittenHeat,
}

/// What is worked on.
#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenPanel {
    /// Width and height of the section, 0.05 to 5 m each.
    #[schemars(with = "Vec<Text>")]
    pub(super) size: Spanned<Vec<Text>>,
    /// "steel" (left out), "aluminium", "plastic", "polypropylene", "laminate"
    /// or "carbon".
    pub(super) substrate: Option<Text>,
    /// Coats over the substrate from the outside inwards; left out, the usual.
    #[schemars(with = "Option<Vec<WrittenLayer>>")]
    pub(super) film: Option<Spanned<Vec<WrittenLayer>>>,
    /// Every layer from the outside inwards, instead of substrate and film.
    #[schemars(with = "Option<Vec<WrittenLayer>>")]
    pub(super) layers: Option<Spanned<Vec<WrittenLayer>>>,
    /// "wide" (left out): the sheet goes on beyond the section; "insulated": no
    /// heat crosses the section's rim.
    pub(super) in_plane: Option<Text>,
    /// Temperature before the pass, -30 to 120 °C; left out, 25 °C.
    pub(super) start_temperature: Option<Text>,
    /// Temperature of the air; left out, that of the start.
    pub(super) air_temperature: Option<Text>,
    /// Heat transfer outside, 0 to 1000 W/m2K; left out, from the laws.
    pub(super) convection_outside: Option<Text>,
    /// Heat transfer inside, 0 to 1000 W/m2K; left out, from the laws.
    pub(super) convection_inside: Option<Text>,
    /// Which way the outside looks: "up" (left out), "down" or "upright".
    pub(super) facing: Option<Text>,
    /// Whether the spinning pad stirs the air around it; left out, it does.
    pub(super) pad_wind: Option<bool>,
    /// Radius of curvature along x, less than zero for a hollow; left out, flat.
    pub(super) radius_x: Option<Text>,
    /// Radius of curvature along y.
    pub(super) radius_y: Option<Text>,
    /// Both at once, along x and along y; a length or "flat".
    #[schemars(with = "Option<Vec<Text>>")]
    pub(super) radius: Option<Spanned<Vec<Text>>>,
    /// Sides of the section at which the panel ends: "left", "right", "near"
    /// (below), "far" (above); left out, it goes on.
    #[serde(default)]
    pub(super) free_edges: Vec<Text>,
    /// Body lines across the panel.
    #[serde(default)]
    pub(super) crease: Vec<WrittenCrease>,
}

/// One layer; what is left out is taken from the usual layer of that name.
#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenLayer {
    /// Its name: "clear", "base", "primer", "e-coat", "steel" or your own.
    pub(super) name: Text,
    /// Its thickness.
    pub(super) thickness: Option<Text>,
    /// Heat conductivity through it.
    pub(super) conductivity: Option<Text>,
    /// Heat conductivity along it; left out, as through it.
    pub(super) conductivity_in_plane: Option<Text>,
    /// Density.
    pub(super) density: Option<Text>,
    /// Heat capacity of a kilogram.
    pub(super) heat_capacity: Option<Text>,
}

/// Where the pad goes, and how fast.
#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenStroke {
    /// "still" (stands at the centre, needs duration), "line" (crosses the
    /// panel through its centre, there and back), "parallel", "cross-hatch" or
    /// "path" (needs file).
    pub(super) pattern: Text,
    /// How long a still pad stands, 0.01 to 7200 s.
    pub(super) duration: Option<Text>,
    /// Speed of the pad over the panel, 1 to 1000 mm/s; left out, 1 in/s.
    pub(super) arm_speed: Option<Text>,
    /// Share of the pad by which neighbouring lines overlap; left out, 0.5.
    pub(super) overlap: Option<Number>,
    /// How often the section is gone over, 1 to 100; left out, once.
    #[schemars(with = "Option<i64>")]
    pub(super) passes: Option<Spanned<i64>>,
    /// How far the lines of a pass stand aside from those of the last pass in
    /// that direction, as a share of the spacing; left out, 0.
    pub(super) shift: Option<Number>,
    /// Time with the pad lifted between passes; left out, none.
    pub(super) wait: Option<Text>,
    /// Where the pad turns: "pad-inside" (left out), "centre-to-rim",
    /// "pad-outside", or the distance of its centre from the rim, less than
    /// zero to start beside the panel.
    pub(super) margin: Option<Text>,
    /// Which way a line or parallel lines run: "x" (left out) or "y".
    pub(super) along: Option<Text>,
    /// Table of points for pattern "path", its columns x, y and t with their
    /// units in the first line ("x_mm,y_mm,t_s").
    pub(super) file: Option<Text>,
    /// A quick pass before the work that spreads the product; left out, none.
    pub(super) spread: Option<WrittenSpread>,
}

/// A quick pass before the work that spreads the product.
#[derive(Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenSpread {
    /// Speed of the pad over the panel while spreading; left out, 150 mm/s.
    pub(super) arm_speed: Option<Text>,
    /// Speed of the machine while spreading, at most that of the work; left
    /// out, that of the work.
    pub(super) machine_speed: Option<Text>,
}

/// How finely the heat is worked out.
#[derive(Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenHeat {
    /// "full" (left out) or "quick".
    pub(super) detail: Option<Text>,
    /// Cells along x, along y and through the depth, instead of detail.
    #[schemars(with = "Option<Vec<i64>>")]
    pub(super) cells: Option<Spanned<Vec<i64>>>,
    /// Length of a step, with cells.
    pub(super) step: Option<Text>,
    /// Surface temperatures whose duration is asked for; left out, 43, 60 and
    /// 71 °C.
    #[serde(default)]
    pub(super) above: Vec<Text>,
}
