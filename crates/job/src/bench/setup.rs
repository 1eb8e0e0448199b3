//! A pass as the technician sets it up, checked and in types.
//!
//! Law: none; it says what is worked, with what, how and for how long.
//! Source: ranges of cut rate and friction are assumed (no published value for
//! clear coat was found); each carries its mark in `origins`.
//! Holds: one rectangular section, one machine, one pad, one abrasive.
//! Left out: several machines in one setup; run the bench once for each.
//! Checked by: the reader's tests.

use lapwing_measure::Provenance;
use lapwing_measure::quantity::{HeatTransfer, Length, Temperature, Time};
use lapwing_physics::contact::{Pad, Touch};
use lapwing_physics::convection::Facing;
use lapwing_physics::course::Ground;
use lapwing_physics::heat::{Accuracy, Layer};
use lapwing_physics::motion::Motion;
use lapwing_physics::stroke::{Coverage, Section, SpreadPass, Way, Waypoint};
use serde::Serialize;

use super::finish::FinishSetup;
use super::wearing::Wearing;
use crate::record::Caution;
use crate::record::job::Units;

/// One pass, set up.
#[derive(Clone, Debug)]
pub struct Setup {
    /// The file it was read from.
    pub file: String,
    /// Units of words and pictures.
    pub units: Units,
    /// What is worked on.
    pub panel: BenchPanel,
    /// How the machine drives the pad.
    pub motion: Motion,
    /// The pad.
    pub pad: Pad,
    /// Force and lean.
    pub touch: Touch,
    /// Is the side it leans to counted from the way it travels, and not from x?
    pub leans_with_travel: bool,
    /// Stiffness of its bed in kPa.
    pub stiffness_kpa: Spread,
    /// Cut rate of fresh product on this pad in 1/Pa.
    pub cut_rate_per_pa: Spread,
    /// Friction coefficient times the share of the heat that enters the panel.
    pub friction_frac: Spread,
    /// How product and pad wear.
    pub wearing: Wearing,
    /// What is known of the finish.
    pub finish: FinishSetup,
    /// Places whose depth and rise are asked for.
    pub probes: Vec<Probe>,
    /// Where the pad goes.
    pub route: Route,
    /// How finely the heat is computed.
    pub accuracy: Accuracy,
    /// Is it worked out as fast as one can play with: rougher tables and maps?
    pub is_quick: bool,
    /// Surface temperatures whose duration is asked for.
    pub above: Vec<Temperature>,
    /// Where the numbers come from that the user did not give.
    pub origins: Vec<Origin>,
    /// Doubts about the setup.
    pub cautions: Vec<Caution>,
}

impl Setup {
    /// Distance from the machine's centre beyond which nothing is touched, m.
    #[must_use]
    pub fn reach_m(&self) -> f64 {
        let orbit_m = match self.motion {
            Motion::Rotary { .. } => 0.0,
            Motion::RandomOrbital { orbit_radius, .. }
            | Motion::ForcedRotation { orbit_radius, .. } => orbit_radius.value,
        };
        self.pad.radius.value + orbit_m
    }

    /// The same pass worked out as fast as one can play with: rougher tables
    /// and cells, and heat that states a larger error. Cells that the setup
    /// itself asks for are kept, with a caution.
    #[must_use]
    pub fn quickened(mut self) -> Self {
        if matches!(self.accuracy, Accuracy::Cells(_)) {
            self.cautions.push(Caution::new(
                "heat.cells",
                "The quick way leaves the heat's cells and step as the setup gives them; only touch and removal are worked out more roughly. Leave out heat.cells to make the heat quick too.",
            ));
        } else {
            self.accuracy = Accuracy::Interactive;
        }
        self.is_quick = true;
        self
    }
}

/// A place of the panel that is asked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Probe {
    /// From the left rim.
    pub x: Length,
    /// From the lower rim.
    pub y: Length,
    /// Under the surface, where the rise at the end is asked for as well.
    pub depth: Length,
}

/// The panel on the bench.
#[derive(Clone, Debug)]
pub struct BenchPanel {
    /// The section.
    pub section: Section,
    /// Layers from the outside inwards.
    pub layers: Vec<Layer>,
    /// Does the sheet go on beyond the section?
    pub is_wide: bool,
    /// Temperature before the pass.
    pub start: Temperature,
    /// Temperature of the air.
    pub air: Temperature,
    /// Heat transfer outside; nothing: from the laws.
    pub convection_outside: Option<HeatTransfer>,
    /// Heat transfer inside; nothing: from the laws.
    pub convection_inside: Option<HeatTransfer>,
    /// Which way the outside looks.
    pub facing: Facing,
    /// Does the air the spinning pad drags along count?
    pub has_pad_wind: bool,
    /// Curvature, free edges and body lines.
    pub ground: Ground,
}

/// A number with the range it may lie in; equal ends when it was given.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Spread {
    /// The value used.
    pub value: f64,
    /// Lower end of its range.
    pub lower: f64,
    /// Upper end of its range.
    pub upper: f64,
}

impl Spread {
    /// A number that was given.
    #[must_use]
    pub fn given(value: f64) -> Self {
        Self {
            value,
            lower: value,
            upper: value,
        }
    }
}

/// Where the pad goes.
#[derive(Clone, Debug)]
pub enum Route {
    /// It stands at the panel's centre.
    Still(Time),
    /// It goes over the panel in lines.
    Lines(Lines),
    /// Through points at given times.
    Points(Vec<Waypoint>),
}

/// Lines over the panel.
#[derive(Clone, Copy, Debug)]
pub struct Lines {
    /// Spacing, speed, passes and the rest.
    pub coverage: Coverage,
    /// How the passes lie.
    pub way: Way,
    /// A spread pass before the work.
    pub spread: Option<SpreadPass>,
    /// Did the user say how near the rim the pad turns?
    pub has_own_margin: bool,
}

/// Where one number of the setup comes from.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Origin {
    /// The key it has in the file.
    pub key: String,
    /// What was used.
    pub value: String,
    /// The mark.
    pub provenance: Provenance,
}
