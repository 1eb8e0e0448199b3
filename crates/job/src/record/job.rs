//! A job read and understood: every quantity typed, every name resolved.
//!
//! Shapes only. Defaults of the trade (marked common practice) are filled in
//! by the reader, and what was filled in is said in its cautions.
//! Checked by: the reader's tests.

use lapwing_measure::quantity::{
    Acceleration, AngularVelocity, Area, Force, Length, Temperature, Time,
};
use serde::Serialize;

use super::calibration::Calibration;
use super::earlier::NamedRecord;
use super::layers::LayerTable;
use super::{Zone, panel_names};

macro_rules! words {
    ($(#[$doc:meta])* $name:ident { $($(#[$vdoc:meta])* $variant:ident = $word:literal,)* }) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum $name { $($(#[$vdoc])* $variant,)* }

        impl $name {
            /// Every word that is understood, in order.
            pub const WORDS: &'static [(&'static str, Self)] = &[$(($word, Self::$variant),)*];

            /// The word for it.
            #[must_use]
            pub fn word(self) -> &'static str {
                match self { $(Self::$variant => $word,)* }
            }
        }

        impl Serialize for $name {
            fn serialize<S: serde::Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
                s.serialize_str(self.word())
            }
        }
    };
}

words! {
    /// Body class.
    BodyClass {
        /// City car.
        CityCar = "city-car",
        /// Small hatchback.
        SmallHatch = "small-hatch",
        /// Compact hatchback.
        CompactHatch = "compact-hatch",
        /// Mid-size saloon.
        Saloon = "saloon",
        /// Estate.
        Estate = "estate",
        /// Two-door sports car.
        TwoDoorSports = "two-door-sports",
        /// Compact SUV.
        CompactSuv = "compact-suv",
        /// Large SUV.
        LargeSuv = "large-suv",
        /// MPV or minivan.
        Mpv = "mpv",
        /// Mid-size pick-up, double cab.
        PickUp = "pick-up",
        /// Full-size pick-up.
        FullSizePickUp = "full-size-pick-up",
        /// Medium panel van.
        PanelVan = "panel-van",
    }
}

words! {
    /// What lies under the paint.
    Substrate {
        /// Steel sheet.
        Steel = "steel",
        /// Aluminium sheet.
        Aluminium = "aluminium",
        /// Polypropylene blend.
        Plastic = "plastic",
        /// Carbon-fibre laminate.
        Laminate = "laminate",
    }
}

words! {
    /// Kind of finish.
    Paint {
        /// Colour coat under a clear coat.
        BaseClear = "base-clear",
        /// Pigmented top coat without clear.
        SingleStage = "single-stage",
        /// Matt or satin clear.
        Matt = "matt",
        /// Vinyl wrap.
        Wrap = "wrap",
        /// Paint protection film.
        Film = "film",
    }
}

words! {
    /// Shade, for the eye and for the clock.
    Colour {
        /// Black or dark.
        Dark = "dark",
        /// In between.
        Middle = "middle",
        /// White or light.
        Light = "light",
    }
}

words! {
    /// How the paint behaved under the pad; not a measured hardness.
    Behaviour {
        /// Cuts easily, marrs easily.
        Soft = "soft",
        /// Usual.
        Medium = "medium",
        /// Slow to cut.
        Hard = "hard",
        /// Residue clings.
        Sticky = "sticky",
    }
}

words! {
    /// What is mostly wrong with the finish.
    Defects {
        /// Fine wash marring.
        LightSwirls = "light-swirls",
        /// Years of machine and hand washing.
        WashSwirls = "wash-swirls",
        /// Many single deeper scratches.
        DeepScratches = "deep-scratches",
    }
}

words! {
    /// How the machine moves the pad.
    MachineKind {
        /// One axis.
        Rotary = "rotary",
        /// Orbit with free spin.
        RandomOrbital = "random-orbital",
        /// Orbit with driven spin.
        ForcedRotation = "forced-rotation",
    }
}

words! {
    /// Class of pad, gentlest first.
    PadClass {
        /// Soft finishing foam.
        FoamFinishing = "foam-finishing",
        /// Polishing foam.
        FoamPolishing = "foam-polishing",
        /// Cutting foam.
        FoamCutting = "foam-cutting",
        /// Microfibre.
        Microfibre = "microfibre",
        /// Wool.
        Wool = "wool",
    }
}

words! {
    /// Class of abrasive, gentlest first.
    AbrasiveClass {
        /// Finishing polish.
        Finishing = "finishing",
        /// Fine polish.
        Fine = "fine",
        /// Medium polish.
        Medium = "medium",
        /// Heavy compound.
        Heavy = "heavy",
    }
}

words! {
    /// Whether the grain breaks down.
    Wear {
        /// Falls towards a floor; needs its full cycle.
        Diminishing = "diminishing",
        /// Cuts the same until wiped off.
        Constant = "constant",
    }
}

words! {
    /// Units on output.
    Units {
        /// Micrometres, degrees Celsius.
        Metric = "metric",
        /// Mil, degrees Fahrenheit.
        Us = "us",
    }
}

/// A whole job.
#[derive(Clone, Debug)]
pub struct Job {
    /// What the shop calls it.
    pub name: String,
    /// Day of the plan as written.
    pub date: Option<String>,
    /// Units on output.
    pub units: Units,
    /// The car.
    pub car: Car,
    /// What the customer wants.
    pub wish: Wish,
    /// Limits in force.
    pub rules: Rules,
    /// Repeatability stated with the gauge, one standard deviation.
    pub gauge_repeatability: Option<Length>,
    /// Panels, in the order of the file.
    pub panels: Vec<Panel>,
    /// The kit.
    pub kit: Kit,
    /// Who works.
    pub people: Vec<Person>,
    /// What it costs.
    pub prices: Prices,
    /// What trials have taught.
    pub calibration: Calibration,
    /// The record of the visit before, where the job names one.
    pub record: Option<NamedRecord>,
}

/// The car.
#[derive(Clone, Debug)]
pub struct Car {
    /// In the shop's words.
    pub description: String,
    /// Body class.
    pub class: BodyClass,
    /// Outer length, width and height, where given.
    pub size: Option<[Length; 3]>,
    /// Shade.
    pub colour: Colour,
    /// Behaviour under the pad.
    pub behaviour: Behaviour,
}

/// Wishes.
#[derive(Clone, Copy, Debug)]
pub struct Wish {
    /// Share of scratch length gone in zones A, B, C, 0 to 1.
    pub share_gone: [f64; 3],
    /// Coating layers.
    pub coating_layers: u32,
    /// Largest edge of a section.
    pub section: Length,
    /// Overlap of neighbouring lines, of the pad diameter, 0 to 0.9.
    pub overlap_frac: f64,
}

impl Wish {
    /// The wish for a zone.
    #[must_use]
    pub fn in_zone(&self, zone: Zone) -> f64 {
        self.share_gone[zone as usize]
    }
}

/// Limits in force.
#[derive(Clone, Debug)]
pub struct Rules {
    /// Names of the film rules in force.
    pub in_force: Vec<String>,
    /// Least clear coat at its lower bound.
    pub clear_left: Length,
    /// Most film ever removed.
    pub removed_ever: Length,
    /// One-sided confidence of a budget, 0 to 1.
    pub confidence: f64,
    /// Warn at this surface temperature.
    pub heat_warn: Temperature,
    /// Never over this.
    pub heat_stop: Temperature,
    /// Panel before work.
    pub start_temperature: Temperature,
    /// What the layers of each paint system usually are.
    pub layers: LayerTable,
}

/// One panel.
#[derive(Clone, Debug)]
pub struct Panel {
    /// Our name.
    pub name: String,
    /// The user's own word for it, where that has other words than ours.
    pub said: Option<String>,
    /// Under the paint.
    pub substrate: Substrate,
    /// Measured size, where given.
    pub size: Option<(Length, Length)>,
    /// Corners that somebody measured, mm; empty where nobody did.
    pub outline_mm: Vec<[f64; 2]>,
    /// Paint.
    pub paint: Paint,
    /// Defect class.
    pub defects: Defects,
    /// Film taken off at earlier visits, since it was last painted.
    pub removed_before: Length,
    /// Its standard deviation.
    pub removed_before_sd: Length,
    /// Visibility zone.
    pub zone: Zone,
    /// Known repaint, as said or by an earlier visit.
    pub is_repainted: bool,
    /// Whether the walk-round marked it as looking painted again.
    pub looks_repainted: bool,
}

impl Panel {
    /// Its name for people: the user's word, else ours spoken.
    #[must_use]
    pub fn spoken(&self) -> String {
        self.said
            .clone()
            .unwrap_or_else(|| panel_names::spoken(&self.name))
    }
}

/// The kit.
#[derive(Clone, Debug, Default)]
pub struct Kit {
    /// Machines.
    pub machines: Vec<Machine>,
    /// Pads.
    pub pads: Vec<Pad>,
    /// Abrasives.
    pub abrasives: Vec<Abrasive>,
}

/// One machine.
#[derive(Clone, Debug)]
pub struct Machine {
    /// Name.
    pub name: String,
    /// Motion.
    pub kind: MachineKind,
    /// Working speeds, gentlest first.
    pub speeds: Vec<AngularVelocity>,
    /// Orbit diameter (zero on a rotary).
    pub orbit: Length,
    /// Spin under load (zero on a rotary).
    pub spin: AngularVelocity,
    /// Force at work.
    pub force: Force,
    /// Declared vibration.
    pub vibration: Acceleration,
    /// Declared uncertainty.
    pub vibration_uncertainty: Acceleration,
    /// Declared level at the ear.
    pub noise_dba: f64,
}

/// One pad.
#[derive(Clone, Debug)]
pub struct Pad {
    /// Name.
    pub name: String,
    /// Class.
    pub class: PadClass,
    /// Face diameter.
    pub diameter: Length,
    /// Centre hole.
    pub hole: Length,
    /// Indices of the machines it fits.
    pub fits: Vec<usize>,
    /// Price of one.
    pub price: f64,
    /// Sections before a swap.
    pub sections: f64,
}

/// One abrasive.
#[derive(Clone, Debug)]
pub struct Abrasive {
    /// Name.
    pub name: String,
    /// Class.
    pub class: AbrasiveClass,
    /// Indices of the pads it goes with.
    pub with: Vec<usize>,
    /// Whether the grain breaks.
    pub wear: Wear,
    /// Calibrated cut rate, 1/Pa, where known.
    pub cut_rate_per_pa: Option<f64>,
    /// Price a litre.
    pub price_per_litre: f64,
}

/// One person.
#[derive(Clone, Debug)]
pub struct Person {
    /// Name.
    pub name: String,
    /// Hours in a working day.
    pub day: Time,
}

/// Prices in units of the currency.
#[derive(Clone, Debug)]
pub struct Prices {
    /// Whether the job gives prices at all.
    pub is_given: bool,
    /// Three letters.
    pub currency: String,
    /// Labour charged for an hour.
    pub labour_per_hour: f64,
    /// What an hour costs.
    pub cost_per_hour: f64,
    /// Overhead for an hour.
    pub overhead_per_hour: f64,
    /// Contingency share.
    pub contingency_frac: f64,
    /// Tax share.
    pub tax_frac: f64,
    /// Cloth per use.
    pub cloth: f64,
    /// Clay per 100 g.
    pub clay_per_100_g: f64,
    /// Panel wipe per litre.
    pub wipe_per_litre: f64,
    /// Coating per 10 ml.
    pub coating_per_10_ml: f64,
    /// Tape per metre.
    pub tape_per_m: f64,
}

/// Area of a panel with where it comes from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PanelArea {
    /// Area.
    pub area: Area,
    /// True when measured with a tape.
    pub is_measured: bool,
}
