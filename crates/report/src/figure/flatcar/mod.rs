//! The car unfolded flat, each panel in the colour of its number, with name
//! and figure on it.
//!
//! Law: none; a picture. Middle strip: nose, bonnet, roof, tail; the flanks
//! fold outward with the wheels outermost. Nose left, or nose up when upright,
//! so the car's left flank lies at the bottom or on the left, as seated.
//! Source: our own drawings, stretched to the car (see `outline`).
//! Holds: for six body classes. A panel id the class lacks is listed under the
//! picture; a value that is not a number is drawn as not measured.
//! Left out: true areas, doors' inner faces, towing gear.
//! Checked by: label boxes do not overlap for all classes, both ways up;
//! markup is well formed; contrast of every figure.

mod labels;
mod occupancy;
mod outline;
mod picture;
mod view;
mod wording;

use super::scale::{Scale, Units};
use super::theme::Theme;

/// The body classes we have drawings of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum BodyClass {
    /// Long roof, five doors.
    Estate,
    /// Short tail, five doors.
    Hatchback,
    /// Boot with a lid, four doors.
    Saloon,
    /// Tall body, five doors.
    LargeSuv,
    /// Van with closed sides and two load doors.
    PanelVan,
    /// Double cab with an open bed.
    PickUp,
}

impl BodyClass {
    /// Every class.
    pub const ALL: [Self; 6] = [
        Self::Estate,
        Self::Hatchback,
        Self::Saloon,
        Self::LargeSuv,
        Self::PanelVan,
        Self::PickUp,
    ];

    /// The name people write: `estate`, `large-suv`.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Estate => "estate",
            Self::Hatchback => "hatchback",
            Self::Saloon => "saloon",
            Self::LargeSuv => "large-suv",
            Self::PanelVan => "panel-van",
            Self::PickUp => "pick-up",
        }
    }

    /// The class of a name; spaces and capitals do not matter.
    #[must_use]
    pub fn from_name(name: &str) -> Option<Self> {
        let wished = name.trim().to_lowercase().replace([' ', '_'], "-");
        Self::ALL.into_iter().find(|class| class.name() == wished)
    }

    fn drawing(self) -> &'static str {
        match self {
            Self::Estate => include_str!("data/estate.txt"),
            Self::Hatchback => include_str!("data/hatchback.txt"),
            Self::Saloon => include_str!("data/saloon.txt"),
            Self::LargeSuv => include_str!("data/large-suv.txt"),
            Self::PanelVan => include_str!("data/panel-van.txt"),
            Self::PickUp => include_str!("data/pick-up.txt"),
        }
    }
}

/// How well a panel's number is known.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Doubt {
    /// Known well enough: plain colour.
    #[default]
    Plain,
    /// Unsure: fine hatch.
    Unsure,
    /// Little known: wide hatch, mostly paper.
    LittleKnown,
}

impl Doubt {
    /// From the half-width of an 80 % interval of film, µm: plain up to 4,
    /// unsure up to 6, little known above or when it is not a number.
    #[must_use]
    pub fn from_half_width_um(half_width_um: f64) -> Self {
        if half_width_um <= 4.0 {
            Self::Plain
        } else if half_width_um <= 6.0 {
            Self::Unsure
        } else {
            Self::LittleKnown
        }
    }
}

/// What a panel shows.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum Fill {
    /// Outline only.
    #[default]
    Blank,
    /// A value on the picture's scale (µm or °C), and how well it is known.
    Value(f64, Doubt),
    /// No reading: thin hatch, no colour.
    NotMeasured,
    /// Off the scale, likely a repaint: dots.
    Repaint,
    /// Left alone: thick edge, the figure on a reversed plate.
    Leave,
}

/// One panel of the picture.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PanelPaint {
    /// The panel: one of [`panel_ids`].
    pub id: String,
    /// Its name on the picture; the class's own name when `None`.
    pub label: Option<String>,
    /// The figure in words: "94", "3.1", "Leave".
    pub figure: Option<String>,
    /// A finding of one or two words under the figure: "repaint?".
    pub finding: Option<String>,
    /// What it shows.
    pub fill: Fill,
}

/// Labels of the picture in another language, by the English one; a label
/// that is not in the list stays English.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Labels(pub &'static [(&'static str, &'static str)]);

impl Labels {
    /// A label in this language.
    #[must_use]
    pub fn say<'a>(&self, english: &'a str) -> &'a str {
        let found = self.0.iter().find(|(own, _)| *own == english);
        found.map_or(english, |(_, other)| other)
    }

    /// A figure with the decimal sign of this language; words as they are said.
    #[must_use]
    pub fn figure(&self, english: &str) -> String {
        if english.starts_with(|c: char| c.is_ascii_digit()) {
            english.replace('.', self.say("."))
        } else {
            self.say(english).to_owned()
        }
    }
}

/// How the picture is set.
#[derive(Clone, Debug, PartialEq)]
pub struct CarOptions {
    /// Nose up, for a phone held upright.
    pub is_portrait: bool,
    /// Width of the picture, px; words keep their size whatever the width.
    pub width_px: f64,
    /// Length, width and height, m; the class's usual size when `None`.
    pub size_m: Option<[f64; 3]>,
    /// The colour scale, or `None` for a car in outline.
    pub scale: Option<Scale>,
    /// µm or mil in the legend.
    pub units: Units,
    /// The colours of the page.
    pub theme: Theme,
    /// What the picture is, for its title: "Film map before work".
    pub title: String,
    /// A sentence under the legend; may be empty.
    pub caption: String,
    /// The panel that is "here" or "next": ringed in chestnut.
    pub here: Option<String>,
    /// The labels' language.
    pub labels: Labels,
}

impl CarOptions {
    /// Nose left, 700 px wide, by day, in µm, on a scale.
    #[must_use]
    pub fn landscape(scale: Option<Scale>) -> Self {
        Self {
            is_portrait: false,
            width_px: 700.0,
            size_m: None,
            scale,
            units: Units::Metric,
            theme: Theme::LIGHT,
            title: "The car, unfolded".to_owned(),
            caption: String::new(),
            here: None,
            labels: Labels::default(),
        }
    }

    /// Nose up, 358 px wide: a phone's page between its edges.
    #[must_use]
    pub fn portrait(scale: Option<Scale>) -> Self {
        Self {
            is_portrait: true,
            width_px: 358.0,
            ..Self::landscape(scale)
        }
    }
}

/// The panel identifiers of a class, e.g. `bonnet`, `front-door-left`.
#[must_use]
pub fn panel_ids(class: BodyClass) -> Vec<String> {
    outline::ids(class)
}

/// The name of a panel on the picture: "Front door" for `front-door-left`.
#[must_use]
pub fn panel_name(id: &str) -> String {
    let stem = id
        .strip_suffix("-left")
        .or(id.strip_suffix("-right"))
        .unwrap_or(id);
    if stem == "pillars-cant-rail" {
        return "Pillars, cant rail".to_owned();
    }
    let mut words = stem.replace('-', " ");
    if let Some(first) = words.get(..1).map(str::to_uppercase) {
        words.replace_range(..1, &first);
    }
    words
}

/// The flat car as SVG text.
#[must_use]
pub fn flat_car(class: BodyClass, panels: &[PanelPaint], options: &CarOptions) -> String {
    picture::Picture::new(class, panels, options).draw()
}

#[cfg(test)]
mod tests;
