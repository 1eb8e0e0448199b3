//! A pass as the sliders hold it, and the setup file it stands for.
//!
//! Source: ranges are habits of the trade; the reader of the setup refuses
//! what is impossible.
//! Holds: numbers in the metric unit of their field's name.
//! Checked by: the tests below: every end of every slider is a setup that the
//! reader takes.

use std::fmt::Write as _;

use super::super::fields::{Fields, NumberField};
use super::super::numbers::Measure;
use super::super::refusal::Refusal;
use super::super::visitor::Visitor;
use super::super::words::{Message, bench as say};

/// How the machine drives the pad.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    Rotary,
    RandomOrbital,
    ForcedRotation,
}

/// A word of the setup with its name for people.
pub(super) type Choice = (&'static str, Message);

pub(super) const KINDS: [(&str, Kind); 3] = [
    ("rotary", Kind::Rotary),
    ("random-orbital", Kind::RandomOrbital),
    ("forced-rotation", Kind::ForcedRotation),
];

pub(super) const KIND_NAMES: [Choice; 3] = [
    ("rotary", say::ROTARY),
    ("random-orbital", say::RANDOM_ORBITAL),
    ("forced-rotation", say::FORCED_ROTATION),
];
pub(super) const SUBSTRATES: [Choice; 4] = [
    ("steel", say::STEEL),
    ("aluminium", say::ALUMINIUM),
    ("plastic", say::PLASTIC),
    ("laminate", say::LAMINATE),
];
pub(super) const ABRASIVES: [Choice; 4] = [
    ("finishing", say::FINISHING),
    ("fine", say::FINE),
    ("medium", say::MEDIUM),
    ("heavy", say::HEAVY),
];
pub(super) const PATTERNS: [Choice; 3] = [
    ("cross-hatch", say::CROSS_HATCH),
    ("parallel", say::PARALLEL),
    ("still", say::STILL),
];

/// A slider: its field, and the step of the finger.
pub(super) struct Slider {
    pub(super) field: NumberField,
    pub(super) step: f64,
    usual: f64,
}

const fn slider(
    key: &'static str,
    (label, measure): (Message, Measure),
    range: (f64, f64),
    (step, usual): (f64, f64),
) -> Slider {
    Slider {
        field: NumberField {
            key,
            label,
            measure,
            range,
        },
        step,
        usual,
    }
}

/// Place of a slider in [`SLIDERS`].
const SPEED: usize = 0;
const FORCE: usize = 1;
const TILT: usize = 2;
const OFF_CENTRE: usize = 3;
const ARM: usize = 4;
const OVERLAP: usize = 5;
const PASSES: usize = 6;
const STAY: usize = 7;
const PAD: usize = 8;
const SECTION: usize = 9;
const START: usize = 10;
const ORBIT: usize = 11;
const SPIN: usize = 12;

pub(super) const SLIDERS: [Slider; 13] = [
    slider(
        "speed_rpm",
        (say::SPEED, Measure::Turns),
        (300.0, 7000.0),
        (50.0, 4200.0),
    ),
    slider(
        "force_n",
        (say::FORCE, Measure::Force),
        (5.0, 120.0),
        (1.0, 40.0),
    ),
    slider(
        "tilt_deg",
        (say::TILT, Measure::Angle),
        (0.0, 8.0),
        (0.1, 0.0),
    ),
    slider(
        "off_centre_pct",
        (say::OFF_CENTRE, Measure::Percent),
        (0.0, 90.0),
        (1.0, 0.0),
    ),
    slider(
        "arm_speed_mm_s",
        (say::ARM_SPEED, Measure::ArmSpeed),
        (5.0, 150.0),
        (1.0, 25.0),
    ),
    slider(
        "overlap_pct",
        (say::OVERLAP, Measure::Percent),
        (0.0, 85.0),
        (1.0, 50.0),
    ),
    slider(
        "passes",
        (say::PASSES, Measure::Count),
        (1.0, 8.0),
        (1.0, 4.0),
    ),
    slider(
        "stay_s",
        (say::STAY, Measure::Seconds),
        (1.0, 60.0),
        (1.0, 5.0),
    ),
    slider(
        "pad_mm",
        (say::PAD, Measure::Length),
        (50.0, 200.0),
        (5.0, 125.0),
    ),
    slider(
        "section_mm",
        (say::SECTION, Measure::Length),
        (250.0, 900.0),
        (10.0, 450.0),
    ),
    slider(
        "start_c",
        (say::START, Measure::Temperature),
        (5.0, 45.0),
        (1.0, 22.0),
    ),
    slider(
        "orbit_mm",
        (say::ORBIT, Measure::Length),
        (5.0, 25.0),
        (1.0, 15.0),
    ),
    slider(
        "spin_rpm",
        (say::SPIN, Measure::Turns),
        (0.0, 800.0),
        (10.0, 300.0),
    ),
];

impl Kind {
    /// Least, most and usual speed.
    pub(super) fn speeds_rpm(self) -> (f64, f64, f64) {
        match self {
            Self::Rotary => (600.0, 2400.0, 1500.0),
            Self::RandomOrbital | Self::ForcedRotation => (2000.0, 6800.0, 4200.0),
        }
    }

    fn usual(self, at: usize) -> f64 {
        match (self, at) {
            (_, SPEED) => self.speeds_rpm().2,
            (Self::ForcedRotation, ORBIT) => 8.0,
            (Self::ForcedRotation, SPIN) => 480.0,
            _ => SLIDERS[at].usual,
        }
    }
}

/// What a pass begins with, and what "your usual" is: the habits of the trade,
/// or what a job brings.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Base {
    kind: Kind,
    substrate: &'static str,
    abrasive: &'static str,
    values: [f64; SLIDERS.len()],
    /// Clear coat of the job's panel, µm; nothing leaves the usual film.
    clear_um: Option<f64>,
}

/// What a job says of a pass, each where it says it.
#[derive(Clone, Debug, Default)]
pub(super) struct Said {
    pub(super) kind: Option<String>,
    pub(super) substrate: Option<String>,
    pub(super) abrasive: Option<String>,
    /// Slider and value in its metric unit.
    pub(super) values: Vec<(&'static str, f64)>,
    pub(super) clear_um: Option<f64>,
}

impl Base {
    /// The habits of the trade.
    fn usual(kind: Kind) -> Self {
        Self {
            kind,
            substrate: "steel",
            abrasive: "medium",
            values: std::array::from_fn(|at| kind.usual(at)),
            clear_um: None,
        }
    }

    /// What a job says; values beyond a slider's end stand at its end.
    pub(super) fn of(said: &Said) -> Self {
        let kind = KINDS.iter().find(|(w, _)| Some(*w) == said.kind.as_deref());
        let mut base = Self::usual(kind.map_or(Kind::RandomOrbital, |(_, k)| *k));
        let known = |choices: &[Choice], word: Option<&str>| {
            choices.iter().map(|(w, _)| *w).find(|w| Some(*w) == word)
        };
        if let Some(word) = known(&SUBSTRATES, said.substrate.as_deref()) {
            base.substrate = word;
        }
        if let Some(word) = known(&ABRASIVES, said.abrasive.as_deref()) {
            base.abrasive = word;
        }
        for (key, value) in &said.values {
            if let Some(at) = SLIDERS.iter().position(|s| s.field.key == *key) {
                let (low, high) = SLIDERS[at].field.range;
                base.values[at] = value.clamp(low, high);
            }
        }
        base.values[PAD] = base.values[PAD].min(base.values[SECTION]);
        base.clear_um = said.clear_um.filter(|um| (1.0..=500.0).contains(um));
        base
    }

    /// The clear coat that is reckoned with, where the job knows one, µm.
    pub(super) fn clear_um(&self) -> Option<f64> {
        self.clear_um
    }
}

/// A pass.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Pass {
    pub(super) kind: Kind,
    pub(super) substrate: &'static str,
    pub(super) abrasive: &'static str,
    pub(super) pattern: &'static str,
    values: [f64; SLIDERS.len()],
    base: Base,
}

impl Pass {
    /// From the page's fields; what is left out is as the job has it, or usual.
    pub(super) fn read(
        fields: &Fields,
        visitor: &Visitor,
        of_job: Option<&Base>,
    ) -> Result<Self, Refusal> {
        let first = of_job.map_or(Kind::RandomOrbital, |base| base.kind);
        let kind = fields.word(("kind", say::MACHINE), &KINDS, first, visitor)?;
        // Another motion than the job's machine has is nobody's usual here.
        let base = match of_job {
            Some(base) if base.kind == kind => base.clone(),
            Some(base) => Base {
                substrate: base.substrate,
                abrasive: base.abrasive,
                clear_um: base.clear_um,
                ..Base::usual(kind)
            },
            None => Base::usual(kind),
        };
        let one_of = |key, label, choices: &[Choice], otherwise: &'static str| {
            let words: Vec<(&str, &'static str)> = choices.iter().map(|(w, _)| (*w, *w)).collect();
            fields.word((key, label), &words, otherwise, visitor)
        };
        let mut values = [0.0; SLIDERS.len()];
        for (at, slider) in SLIDERS.iter().enumerate() {
            values[at] = fields.number(&slider.field, base.values[at], visitor)?;
        }
        values[PASSES] = values[PASSES].round();
        Ok(Self {
            kind,
            substrate: one_of("substrate", say::UNDER, &SUBSTRATES, base.substrate)?,
            abrasive: one_of("abrasive", say::ABRASIVE, &ABRASIVES, base.abrasive)?,
            pattern: one_of("pattern", say::PATTERN, &PATTERNS, "cross-hatch")?,
            values,
            base,
        })
    }

    /// The same panel and machine, held and moved as usual.
    pub(super) fn usual(&self) -> Self {
        let mut usual = self.clone();
        for at in [
            SPEED, FORCE, TILT, OFF_CENTRE, ARM, OVERLAP, PASSES, PAD, ORBIT, SPIN,
        ] {
            usual.values[at] = self.base.values[at];
        }
        if self.values[PAD] <= self.values[SECTION] {
            usual.values[PAD] = usual.values[PAD].min(self.values[SECTION]);
        }
        usual.pattern = "cross-hatch";
        usual
    }

    /// A slider's place.
    pub(super) fn value(&self, at: usize) -> f64 {
        self.values[at]
    }

    /// Where "your usual" stands on a slider.
    pub(super) fn usual_value(&self, at: usize) -> f64 {
        match at {
            STAY | SECTION | START => self.values[at],
            _ => self.base.values[at],
        }
    }

    /// Can the slider do anything with this machine and pattern?
    pub(super) fn has(&self, at: usize) -> bool {
        match at {
            ORBIT | SPIN => self.kind != Kind::Rotary,
            STAY => self.pattern == "still",
            ARM | OVERLAP | PASSES => self.pattern != "still",
            _ => true,
        }
    }

    /// The job's clear coat over the usual coats below it, where the panel is
    /// still the job's.
    fn film(&self) -> String {
        let Some(um) = self
            .base
            .clear_um
            .filter(|_| self.substrate == self.base.substrate)
        else {
            return String::new();
        };
        let below = match self.substrate {
            "steel" | "aluminium" => ", { name = \"e-coat\" }",
            _ => "",
        };
        format!(
            "film = [{{ name = \"clear\", thickness = \"{um:.1} um\" }}, {{ name = \"base\" }}, {{ name = \"primer\" }}{below}]\n"
        )
    }

    /// The setup file, as `lapwing bench` reads it.
    pub(super) fn setup(&self) -> String {
        let v = &self.values;
        let kind = KINDS.iter().find(|(_, k)| *k == self.kind);
        let film = self.film();
        let mut text = String::new();
        let _ = write!(
            text,
            "[panel]\nsize = [\"{section} mm\", \"{section} mm\"]\nsubstrate = \"{under}\"\n{film}in_plane = \"wide\"\nstart_temperature = \"{start} °C\"\nair_temperature = \"{start} °C\"\n\n[machine]\nkind = \"{kind}\"\nspeed = \"{speed} {turns}\"\n",
            section = v[SECTION],
            under = self.substrate,
            start = v[START],
            kind = kind.map_or("rotary", |(word, _)| word),
            speed = v[SPEED],
            turns = if self.kind == Kind::Rotary {
                "rpm"
            } else {
                "opm"
            },
        );
        if self.kind != Kind::Rotary {
            let _ = write!(
                text,
                "orbit = \"{} mm\"\nspin = \"{} rpm\"\n",
                v[ORBIT], v[SPIN]
            );
        }
        let _ = write!(
            text,
            "\n[pad]\ndiameter = \"{} mm\"\n\n[touch]\nforce = \"{} N\"\n",
            v[PAD], v[FORCE]
        );
        if v[OFF_CENTRE] > 0.0 {
            let _ = writeln!(text, "eccentricity = {}", v[OFF_CENTRE] / 100.0);
        }
        if v[TILT] > 0.0 {
            let _ = writeln!(text, "tilt = \"{} deg\"", v[TILT]);
        }
        let _ = write!(
            text,
            "\n[abrasive]\ncut_rate = \"{}\"\n\n[stroke]\npattern = \"{}\"\n",
            self.abrasive, self.pattern
        );
        if self.pattern == "still" {
            let _ = writeln!(text, "duration = \"{} s\"", v[STAY]);
        } else {
            let _ = write!(
                text,
                "arm_speed = \"{} mm/s\"\noverlap = {}\npasses = {}\n",
                v[ARM],
                v[OVERLAP] / 100.0,
                v[PASSES]
            );
        }
        text + "\n[heat]\ndetail = \"quick\"\n"
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use axum::http::HeaderMap;
    use lapwing_job::bench::read_setup;

    fn pass(raw: &str) -> Result<Pass, Refusal> {
        let visitor = Visitor::of(&HeaderMap::new());
        Pass::read(&Fields::parse(raw.as_bytes(), &visitor)?, &visitor, None)
    }

    #[test]
    fn what_a_job_says_is_the_beginning_and_the_usual_and_is_taken_by_the_reader() {
        let visitor = Visitor::of(&HeaderMap::new());
        for (kind, under) in [("rotary", "aluminium"), ("forced-rotation", "plastic")] {
            let base = Base::of(&Said {
                kind: Some(kind.to_owned()),
                substrate: Some(under.to_owned()),
                abrasive: Some("fine".to_owned()),
                values: vec![("speed_rpm", 1234.0), ("force_n", 999.0), ("pad_mm", 150.0)],
                clear_um: Some(38.25),
            });
            let pass = Pass::read(&Fields::default(), &visitor, Some(&base)).expect("good");
            assert_eq!(pass.abrasive, "fine");
            assert_eq!((pass.value(SPEED), pass.value(FORCE)), (1234.0, 120.0));
            assert_eq!(pass.usual_value(SPEED), 1234.0);
            assert!(pass.setup().contains("\"38.2 um\""), "{}", pass.setup());
            assert_eq!(is_taken(&pass), Ok(()));
            assert_eq!(pass.usual(), pass);
            // On another panel the job's clear coat says nothing.
            let fields = Fields::parse(b"substrate=steel", &visitor).expect("good");
            let other = Pass::read(&fields, &visitor, Some(&base)).expect("good");
            assert!(!other.setup().contains("film ="));
        }
    }

    fn is_taken(pass: &Pass) -> Result<(), String> {
        let files = |_: &str| Err("no file".to_owned());
        read_setup("setup", &pass.setup(), &files)
            .map(|_| ())
            .map_err(|e| e.to_string())
    }

    #[test]
    fn every_end_of_every_slider_is_a_setup_the_reader_takes() {
        for (kind, _) in KINDS {
            for (pattern, _) in PATTERNS {
                for slider in &SLIDERS {
                    for end in [slider.field.range.0, slider.field.range.1] {
                        let raw =
                            format!("kind={kind}&pattern={pattern}&{}={end}", slider.field.key);
                        let pass = pass(&raw).expect("in range");
                        assert_eq!(is_taken(&pass), Ok(()), "{raw}");
                        assert_eq!(is_taken(&pass.usual()), Ok(()), "usual of {raw}");
                    }
                }
            }
        }
    }

    #[test]
    fn every_choice_is_a_word_the_reader_takes() {
        for (key, choices) in [
            ("kind", KIND_NAMES.as_slice()),
            ("substrate", &SUBSTRATES),
            ("abrasive", &ABRASIVES),
            ("pattern", &PATTERNS),
        ] {
            for (word, _) in choices {
                assert_eq!(
                    is_taken(&pass(&format!("{key}={word}")).expect("known")),
                    Ok(())
                );
            }
        }
    }

    #[test]
    fn outside_a_slider_is_refused_in_words() {
        let refused = pass("tilt_deg=30").expect_err("too far");
        assert!(refused.sentence.contains("Tilt is 30; allowed is 0 to 8"));
        assert!(pass("substrate=wood").is_err());
    }

    #[test]
    fn the_usual_of_the_usual_is_itself() {
        let usual = pass("kind=rotary&tilt_deg=2&passes=8")
            .expect("good")
            .usual();
        assert_eq!(usual, usual.usual());
    }
}
