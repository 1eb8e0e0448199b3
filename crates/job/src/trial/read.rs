//! Reads a test spot from `TRIAL.toml`, with the place of everything it refuses.
//!
//! | key | left out |
//! |---|---|
//! | `gauge.repeatability` | 1 µm (assumed) |
//! | `kit.pad`, `kit.abrasive` | foam-cutting, medium (assumed) |
//! | `paint.defects`, `paint.behaviour` | wash-swirls, medium (assumed) |
//! | `film.budget` | from the clear left, if known, by the usual rules |
//! | `film.clear_left_sd` | 5 µm (assumed) |
//! | `photo.noise` | 0.1, one photo's relative error (assumed) |
//! | `measured.thermometer` | 3 K (assumed) |
//! | `prior.*` | the class, or the shop's history |
//! | `wish.correction` | 0.85 |
//!
//! Source: `Source::SspcPa2` for readings at marked spots; habits of the trade.
//! Left out: several setups in one file.
//! Checked by: `tests.rs`.

mod day;
mod sights;

use lapwing_measure::Provenance;
use lapwing_measure::quantity::{Length, TemperatureDifference, Time, Written};
use uom::si::length::micrometer;
use uom::si::temperature_interval::kelvin;
use uom::si::thermodynamic_temperature::degree_celsius;
use uom::si::time::second;

use super::evidence::PhotoPair;
use super::prior::CutClass;
use super::result::About;
use super::written::{WrittenKit, WrittenPaint, WrittenPrior, WrittenTrialFile};
use crate::bench::setup::{Origin, Setup};
use crate::bench::{Files, flat_setup};
use crate::record::calibration::{KnownTrial, LogNormal, read_history};
use crate::record::file_kind::FileKind;
use crate::record::job::{AbrasiveClass, Behaviour, Defects, PadClass};
use crate::record::read::field::Reader;
use crate::record::toml_fault::toml_fault;
use crate::record::written::{Number, Text};
use crate::record::{Caution, InputError, Said};

/// A test spot.
#[derive(Clone, Debug)]
pub struct Trial {
    /// The file it was read from.
    pub file: String,
    /// What the shop calls it.
    pub name: String,
    /// What the shop calls the car; may be empty.
    pub car: String,
    /// Car, day, machine, pad and pass in the shop's words.
    pub about: About,
    /// The pass.
    pub setup: Setup,
    /// Pad, abrasive and paint.
    pub class: CutClass,
    /// What is mostly wrong with the finish.
    pub defects: Defects,
    /// Standard deviation of one reading, µm.
    pub gauge_um: f64,
    /// Readings at the same spots: before, after, µm.
    pub readings_um: Vec<(f64, f64)>,
    /// Photos.
    pub photos: Vec<PhotoPair>,
    /// Seconds the passes took, where timed.
    pub time_s: Option<f64>,
    /// Surface temperature right after the passes, and its deviation, °C and K.
    pub surface: Option<(f64, f64)>,
    /// The film.
    pub film: KnownFilm,
    /// Cut rate believed beforehand, where given.
    pub cut_rate: Option<LogNormal>,
    /// Friction share believed beforehand, where given.
    pub friction: Option<LogNormal>,
    /// The shop's trials.
    pub history: Vec<KnownTrial>,
    /// Wished share of scratch length gone, 0 to 1.
    pub wish_frac: f64,
    /// Where the numbers come from that the user did not give.
    pub origins: Vec<Origin>,
    /// Doubts about the input.
    pub cautions: Vec<Caution>,
}

/// What is known of the film.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct KnownFilm {
    /// What may go, µm.
    pub budget_um: Option<f64>,
    /// Clear coat before the trial: mean and deviation, µm.
    pub clear_um: Option<(f64, f64)>,
    /// Taken off at earlier visits, µm.
    pub removed_before_um: f64,
}

/// What reading gathers beside the trial.
#[derive(Default)]
struct Notes {
    origins: Vec<Origin>,
    cautions: Vec<Caution>,
}

impl Notes {
    fn assumed(&mut self, key: &str, value: &str) {
        self.origins.push(Origin {
            key: key.to_owned(),
            value: value.to_owned(),
            provenance: Provenance::Assumed,
        });
    }

    fn doubt(&mut self, place: &str, said: impl Into<Said>) {
        self.cautions.push(Caution::of(place, said));
    }

    fn caution(&mut self, place: &str, text: impl Into<String>) {
        self.cautions.push(Caution::new(place, text));
    }
}

/// Reads a trial; `files` is asked for the shop's history, if one is named.
///
/// # Errors
/// One sentence with line and column: what came, what is allowed, why.
pub fn read_trial(file: &str, text: &str, files: Files<'_>) -> Result<Trial, InputError> {
    let written = parsed(file, text)?;
    let reader = Reader { file, text };
    let mut notes = Notes::default();
    let setup_at = written.setup.span().start;
    let setup = flat_setup(&reader, ("setup", setup_at), written.setup.get_ref())?;
    let gauge_um = gauge(&reader, &written, &mut notes)?;
    let class = class(&reader, &written.kit, &written.paint, &mut notes)?;
    let (cut_rate, friction) = prior(&reader, &written.prior)?;
    if let Some(text) = written
        .date
        .as_ref()
        .filter(|t| !day::may_stand(t.0.get_ref()))
    {
        return Err(reader.fault(
            &text.0,
            format!("date is \"{}\", a day that is in no calendar; write year-month-day, such as 2025-05-12, or leave it out.", text.0.get_ref()),
        ));
    }
    let words = |text: &Option<Text>| {
        text.as_ref()
            .map_or_else(String::new, |t| t.0.get_ref().clone())
    };
    Ok(Trial {
        file: file.to_owned(),
        name: words(&written.name),
        car: words(&written.car),
        about: about(&written, class),
        class,
        defects: defects(&reader, &written.paint, &mut notes)?,
        gauge_um,
        readings_um: sights::readings(&reader, &written.reading, gauge_um, &mut notes)?,
        photos: sights::photos(&reader, &written.photo, &mut notes)?,
        time_s: time(&reader, written.measured.time.as_ref())?,
        surface: surface(&reader, &written, &setup, &mut notes)?,
        film: film(&reader, &written, &mut notes)?,
        cut_rate,
        friction,
        history: history(&reader, written.shop.history.as_ref(), files)?,
        wish_frac: wish(&reader, written.wish.correction.as_ref())?,
        origins: [setup.origins.clone(), notes.origins].concat(),
        cautions: [setup.cautions.clone(), notes.cautions].concat(),
        setup,
    })
}

/// Machine, pad and pass as the file wrote them.
fn about(written: &WrittenTrialFile, class: CutClass) -> About {
    let words = |text: &Option<Text>| {
        text.as_ref()
            .map_or_else(String::new, |t| t.0.get_ref().clone())
    };
    let said = |key: &str| {
        let value = written.setup.get_ref().get(key).map(|v| v.get_ref());
        value.map_or_else(String::new, |v| {
            v.as_str().map_or_else(|| v.to_string(), str::to_owned)
        })
    };
    let joined = |parts: [String; 3]| {
        let told = parts.into_iter().filter(|part| !part.is_empty());
        told.collect::<Vec<_>>().join(", ")
    };
    let passes = said("passes");
    About {
        car: words(&written.car),
        date: words(&written.date),
        machine: joined([said("machine"), said("speed"), said("orbit")]),
        pad: joined([
            class.pad.word().replace('-', " "),
            said("pad"),
            String::new(),
        ]),
        abrasive: class.abrasive.word().replace('-', " "),
        paint: class.behaviour.word().to_owned(),
        pass: joined([
            if passes.is_empty() {
                passes
            } else {
                let plural = if passes == "1" { "" } else { "es" };
                format!("{passes} pass{plural}")
            },
            said("arm_speed"),
            said("force"),
        ]),
    }
}

/// Said behind every fault of the file's form.
const HINT: &str = "A trial has [gauge], [setup], [[reading]] and, where known, [[photo]], [kit], [paint], [film], [measured], [prior], [shop] and [wish].";

fn parsed(file: &str, text: &str) -> Result<WrittenTrialFile, InputError> {
    toml::from_str(text).map_err(|e| toml_fault((file, text), &e, FileKind::Trial, HINT))
}

fn gauge(
    reader: &Reader<'_>,
    written: &WrittenTrialFile,
    notes: &mut Notes,
) -> Result<f64, InputError> {
    let Some(gauge) = &written.gauge else {
        notes.assumed("gauge.repeatability", "1 µm");
        return Ok(1.0);
    };
    let text = &gauge.repeatability;
    let repeatability: Length = reader.quantity(text, "gauge.repeatability")?;
    let um = repeatability.get::<micrometer>();
    let what = "µm, because a hand gauge on a car repeats within 0.3 to 2";
    reader.within(text, "gauge.repeatability", (um, what), (0.05, 20.0))?;
    Ok(um)
}

fn class(
    reader: &Reader<'_>,
    kit: &WrittenKit,
    paint: &WrittenPaint,
    notes: &mut Notes,
) -> Result<CutClass, InputError> {
    if kit.pad.is_none() {
        notes.assumed("kit.pad", PadClass::FoamCutting.word());
    }
    if kit.abrasive.is_none() {
        notes.assumed("kit.abrasive", AbrasiveClass::Medium.word());
    }
    if paint.behaviour.is_none() {
        notes.assumed("paint.behaviour", Behaviour::Medium.word());
    }
    Ok(CutClass {
        pad: reader.word_or(
            kit.pad.as_ref(),
            "kit.pad",
            PadClass::WORDS,
            PadClass::FoamCutting,
        )?,
        abrasive: reader.word_or(
            kit.abrasive.as_ref(),
            "kit.abrasive",
            AbrasiveClass::WORDS,
            AbrasiveClass::Medium,
        )?,
        behaviour: reader.word_or(
            paint.behaviour.as_ref(),
            "paint.behaviour",
            Behaviour::WORDS,
            Behaviour::Medium,
        )?,
    })
}

fn defects(
    reader: &Reader<'_>,
    paint: &WrittenPaint,
    notes: &mut Notes,
) -> Result<Defects, InputError> {
    let usual = Defects::WashSwirls;
    if paint.defects.is_none() {
        notes.assumed("paint.defects", usual.word());
    }
    reader.word_or(
        paint.defects.as_ref(),
        "paint.defects",
        Defects::WORDS,
        usual,
    )
}

fn prior(
    reader: &Reader<'_>,
    written: &WrittenPrior,
) -> Result<(Option<LogNormal>, Option<LogNormal>), InputError> {
    let factor = |number: Option<&Number>, key: &str, usual: f64| {
        let what =
            format!("{key} (the truth lies within times or divided by this, 19 times in 20)");
        reader.number_or(number, &what, (1.001, 1000.0), usual)
    };
    let spread = factor(
        written.cut_rate_factor.as_ref(),
        "prior.cut_rate_factor",
        2.0,
    )?;
    let cut_rate = match &written.cut_rate {
        Some(text) => {
            let rate = lapwing_measure::quantity::cut_rate(text.0.get_ref())
                .map_err(|e| reader.fault(&text.0, format!("prior.cut_rate: {e}")))?;
            let what = "1/Pa, because paint gives 1e-12 to 1e-11";
            reader.within(text, "prior.cut_rate", (rate, what), (1e-15, 1e-9))?;
            Some(LogNormal::within_factor(rate, spread))
        }
        None => None,
    };
    let spread = factor(
        written.friction_factor.as_ref(),
        "prior.friction_factor",
        1.5,
    )?;
    let friction = match &written.friction_share {
        Some(number) => {
            let share = reader.number_within(number, "prior.friction_share", (0.01, 1.0))?;
            Some(LogNormal::within_factor(share, spread))
        }
        None => None,
    };
    Ok((cut_rate, friction))
}

fn time(reader: &Reader<'_>, text: Option<&Text>) -> Result<Option<f64>, InputError> {
    let Some(text) = text else { return Ok(None) };
    let took: Time = reader.quantity(text, "measured.time")?;
    let seconds = took.get::<second>();
    let what = "s, because passes over a section take seconds to an hour";
    reader.within(text, "measured.time", (seconds, what), (1.0, 7200.0))?;
    Ok(Some(seconds))
}

fn surface(
    reader: &Reader<'_>,
    written: &WrittenTrialFile,
    setup: &Setup,
    notes: &mut Notes,
) -> Result<Option<(f64, f64)>, InputError> {
    let measured = &written.measured;
    let Some(text) = &measured.surface_temperature else {
        return Ok(None);
    };
    let surface = lapwing_measure::quantity::Temperature::read(text.0.get_ref())
        .map_err(|e| reader.fault(&text.0, format!("measured.surface_temperature: {e}")))?;
    let came_c = surface.get::<degree_celsius>();
    let start_c = setup.panel.start.get::<degree_celsius>();
    let what =
        "°C, because polishing warms the panel from where it started (setup.start_temperature)";
    reader.within(
        text,
        "measured.surface_temperature",
        (came_c, what),
        (start_c, 150.0),
    )?;
    let sd_k = match &measured.thermometer {
        Some(text) => {
            let sd: TemperatureDifference = reader.quantity(text, "measured.thermometer")?;
            let kelvins = sd.get::<kelvin>();
            reader.within(text, "measured.thermometer", (kelvins, "K"), (0.1, 30.0))?;
            kelvins
        }
        None => {
            notes.assumed("measured.thermometer", "3 K");
            3.0
        }
    };
    Ok(Some((came_c, sd_k)))
}

fn film(
    reader: &Reader<'_>,
    written: &WrittenTrialFile,
    notes: &mut Notes,
) -> Result<KnownFilm, InputError> {
    let film = &written.film;
    let um = |text: Option<&Text>, key: &str, range: (f64, f64)| -> Result<_, InputError> {
        let Some(text) = text else { return Ok(None) };
        let length: Length = reader.quantity(text, key)?;
        let um = length.get::<micrometer>();
        reader.within(text, key, (um, "µm"), range)?;
        Ok(Some(um))
    };
    let clear = um(film.clear_left.as_ref(), "film.clear_left", (0.0, 300.0))?;
    let sd = um(
        film.clear_left_sd.as_ref(),
        "film.clear_left_sd",
        (0.0, 50.0),
    )?;
    if let (None, Some(text)) = (clear, &film.clear_left_sd) {
        return Err(reader.fault(
            &text.0,
            "film.clear_left_sd came without film.clear_left; give both or neither.",
        ));
    }
    if clear.is_some() && sd.is_none() {
        notes.assumed("film.clear_left_sd", "5 µm");
    }
    Ok(KnownFilm {
        budget_um: um(film.budget.as_ref(), "film.budget", (0.0, 100.0))?,
        clear_um: clear.map(|mean| (mean, sd.unwrap_or(5.0))),
        removed_before_um: um(
            film.removed_before.as_ref(),
            "film.removed_before",
            (0.0, 100.0),
        )?
        .unwrap_or(0.0),
    })
}

fn history(
    reader: &Reader<'_>,
    named: Option<&Text>,
    files: Files<'_>,
) -> Result<Vec<KnownTrial>, InputError> {
    let Some(text) = named else {
        return Ok(Vec::new());
    };
    let name = text.0.get_ref();
    let read =
        files(name).map_err(|e| reader.fault(&text.0, format!("shop.history \"{name}\": {e}")))?;
    read_history(name, &read)
}

fn wish(reader: &Reader<'_>, number: Option<&Number>) -> Result<f64, InputError> {
    let what = "wish.correction (share of scratch length gone; the last scratch is never promised, because its film is not known)";
    reader.number_or(number, what, (0.05, 0.99), 0.85)
}
