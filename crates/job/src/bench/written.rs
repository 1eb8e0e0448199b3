//! The setup file as people write it, and the schema that describes it.
//!
//! Quantities are text ("125 mm"), shares are bare numbers 0 to 1. Unknown keys
//! are refused, because a misspelt key that is silently ignored misleads. The
//! words behind each key are what `lapwing schema bench` prints.
//! Checked by: the reader's tests; the schema names every key, in `vary`.

use schemars::JsonSchema;
use serde::Deserialize;
use toml::Spanned;

use crate::record::written::{Number, Text};

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

/// What drives the pad.
#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenMachine {
    /// "rotary", "random-orbital" or "forced-rotation".
    pub(super) kind: Text,
    /// Turns a minute, or orbits ("4500 opm") of orbital kinds.
    pub(super) speed: Text,
    /// Orbit diameter, orbital kinds.
    pub(super) orbit: Option<Text>,
    /// Turns of the pad under load, orbital kinds; left out, none.
    pub(super) spin: Option<Text>,
}

/// The pad.
#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenPad {
    /// Diameter of its face, 20 to 400 mm.
    pub(super) diameter: Text,
    /// Diameter of its centre hole; left out, none.
    pub(super) hole: Option<Text>,
    /// Thickness of the foam, 1 to 100 mm; left out, 25 mm.
    pub(super) thickness: Option<Text>,
    /// Stiffness of the foam (pressure over compression); left out, 50 kPa.
    pub(super) stiffness: Option<Text>,
}

/// How it is held. Of eccentricity, tilt and moment only one may stand.
#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenTouch {
    /// Force on the panel, machine and push together, 1 to 500 N.
    pub(super) force: Text,
    /// How far off the middle the force acts, as a share of the pad radius.
    pub(super) eccentricity: Option<Number>,
    /// Tilt of the machine against the panel, 0 to 25 deg.
    pub(super) tilt: Option<Text>,
    /// Tilting moment, 0 to 50 N m.
    pub(super) moment: Option<Text>,
    /// Where it leans to, counted from x towards y.
    pub(super) direction: Option<Text>,
}

/// What cuts.
#[derive(Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenAbrasive {
    /// Cut rate ("4e-12 1/Pa") or a class: "finishing", "fine", "medium" (left
    /// out) or "heavy".
    pub(super) cut_rate: Option<Text>,
    /// Friction coefficient times the share of the heat that enters the panel,
    /// 0 to 1; left out, 0.3 with a range of 0.2 to 0.45.
    pub(super) friction_share: Option<Number>,
}

/// Where the pad goes, and how fast.
#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenStroke {
    /// "still" (stands at the centre, needs duration), "line" (crosses the
    /// panel through its centre, there and back), "parallel", "cross-hatch" or
    /// "path" (needs file).
    pub(super) pattern: Text,
    /// How long a still pad stands, 0.05 to 7200 s.
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
