//! Reads `job.toml` into a job, or says in one sentence what is wrong where.
//!
//! Defaults are the trade's (common practice, `Source: trade practice`):
//! wishes 85, 70 and 50 % of scratch length in zones A, B, C; section 0.45 m;
//! warn at 45 °C, stop at 60 °C ([`Source::HeatLimits`], which disagree);
//! start at 20 °C.
//! Holds: for schema 1. Outside: refused with the version that came.
//! Left out: films and readings, which have their own reader.
//! Checked by: the tests in `read/tests.rs`.

pub(crate) mod field;
mod history;
mod kit;
mod panel;
mod prices;
#[cfg(test)]
mod tests;

use lapwing_measure::Source;
use lapwing_measure::quantity::{Length, Temperature, Written};
use uom::si::length::{meter, micrometer, millimeter};
use uom::si::thermodynamic_temperature::degree_celsius;

use self::field::Reader;
use super::calibration::{Calibration, known_trials};
use super::file_kind::FileKind;
use super::job::{Behaviour, BodyClass, Car, Colour, Job, Rules, Units, Wish};
use super::toml_fault::toml_fault;
use super::written::{WrittenCar, WrittenJob, WrittenRules, WrittenWish};
use super::{Caution, InputError};

/// Source of the heat limits shipped as default.
pub const HEAT_SOURCE: Source = Source::HeatLimits;

/// Said behind every fault of the file's form.
const HINT: &str = "`lapwing schema job` prints every key that is allowed.";

/// Film rules in force unless the shop says otherwise.
pub const DEFAULT_IN_FORCE: [&str; 2] = ["removed-ever", "clear-left"];

/// Every film rule that can be put in force.
pub const RULE_NAMES: [&str; 5] = [
    "removed-ever",
    "clear-left",
    "clear-left-1986",
    "quarter-of-clear",
    "total-bands",
];

/// Reads a job from the text of `job.toml`. `file` is the name used in errors.
///
/// # Errors
/// One sentence with line and column, what came, what is allowed and what to
/// do.
pub fn read_job(file: &str, text: &str) -> Result<(Job, Vec<Caution>), InputError> {
    let written: WrittenJob =
        toml::from_str(text).map_err(|e| toml_fault((file, text), &e, FileKind::Job, HINT))?;
    let reader = Reader { file, text };
    if *written.schema.0.get_ref() != 1.0 {
        return Err(reader.fault(
            &written.schema.0,
            format!(
                "schema is {}; allowed is 1, the only one this program understands. Write schema = 1.",
                written.schema.0.get_ref()
            ),
        ));
    }
    let mut cautions = history::lost_marks(file, &written);
    let panels = panel::panels(&reader, &written)?;
    let kit = match &written.kit {
        Some(kit) => kit::kit(&reader, kit)?,
        None => {
            cautions.push(Caution::new("kit", "No kit is given, so nothing can be planned; add [[kit.machine]], [[kit.pad]] and [[kit.abrasive]]."));
            super::job::Kit::default()
        }
    };
    let wish = wish(&reader, written.wish.as_ref())?;
    if let Some(kit) = &written.kit {
        pads_fit(&reader, kit, &wish)?;
    }
    let job = Job {
        name: written.name.0.get_ref().clone(),
        date: written.date.as_ref().map(|d| d.0.get_ref().clone()),
        units: reader.word_or(written.units.as_ref(), "units", Units::WORDS, Units::Metric)?,
        car: car(&reader, &written.car)?,
        wish,
        rules: Rules {
            layers: history::layers(&reader, &written)?,
            ..rules(&reader, written.rules.as_ref())?
        },
        gauge_repeatability: history::gauge(&reader, written.gauge.as_ref())?,
        panels,
        kit,
        people: prices::people(&reader, &written.person)?,
        prices: prices::prices(&reader, written.prices.as_ref(), &mut cautions)?,
        calibration: calibration(&reader, &written)?,
        record: history::record(&reader, &written)?,
    };
    Ok((job, cautions))
}

/// Trials on this car; the shop's own are read from their file by the caller.
fn calibration(reader: &Reader<'_>, written: &WrittenJob) -> Result<Calibration, InputError> {
    let usual = reader.word_or(
        written.car.behaviour.as_ref(),
        "behaviour",
        Behaviour::WORDS,
        Behaviour::Medium,
    )?;
    Ok(Calibration {
        on_car: known_trials(reader, &written.trial, usual)?,
        history: Vec::new(),
        history_file: written
            .calibration
            .as_ref()
            .and_then(|c| c.history.as_ref())
            .map(|t| t.0.get_ref().clone()),
    })
}

/// A pad that is larger than the section it works cannot pass inside it.
fn pads_fit(
    reader: &Reader<'_>,
    kit: &super::written::WrittenKit,
    wish: &Wish,
) -> Result<(), InputError> {
    let section_mm = wish.section.get::<millimeter>();
    for pad in &kit.pad {
        let diameter: Length = reader.quantity(&pad.diameter, "diameter")?;
        let pad_mm = diameter.get::<millimeter>();
        if pad_mm > section_mm {
            return Err(reader.fault(
                &pad.diameter.0,
                format!("the pad \"{}\" is {pad_mm:.0} mm across, larger than the section of {section_mm:.0} mm. Choose a larger section or a smaller pad.", pad.name.0.get_ref()),
            ));
        }
    }
    Ok(())
}

impl Default for Rules {
    /// What is in force unless the shop says otherwise.
    fn default() -> Self {
        Self {
            in_force: DEFAULT_IN_FORCE.map(str::to_owned).to_vec(),
            clear_left: Length::new::<micrometer>(25.0),
            removed_ever: Length::new::<micrometer>(12.7),
            confidence: 0.95,
            heat_warn: Temperature::new::<degree_celsius>(45.0),
            heat_stop: Temperature::new::<degree_celsius>(60.0),
            start_temperature: Temperature::new::<degree_celsius>(20.0),
            layers: super::layers::LayerTable::default(),
        }
    }
}

fn car(reader: &Reader<'_>, written: &WrittenCar) -> Result<Car, InputError> {
    let mut size = Vec::new();
    for (key, text) in [
        ("length", &written.length),
        ("width", &written.width),
        ("height", &written.height),
    ] {
        if let Some(text) = text {
            let value: Length = reader.quantity(text, key)?;
            reader.within(text, key, (value.get::<meter>(), "m"), (1.0, 8.0))?;
            size.push(value);
        }
    }
    Ok(Car {
        description: written
            .description
            .as_ref()
            .map_or_else(|| "A car".to_owned(), |d| d.0.get_ref().clone()),
        class: reader.word(&written.class, "class", BodyClass::WORDS)?,
        size: <[Length; 3]>::try_from(size).ok(),
        colour: reader.word_or(
            written.colour.as_ref(),
            "colour",
            Colour::WORDS,
            Colour::Middle,
        )?,
        behaviour: reader.word_or(
            written.behaviour.as_ref(),
            "behaviour",
            Behaviour::WORDS,
            Behaviour::Medium,
        )?,
    })
}

fn wish(reader: &Reader<'_>, written: Option<&WrittenWish>) -> Result<Wish, InputError> {
    let mut wish = Wish {
        share_gone: [0.85, 0.70, 0.50],
        coating_layers: 0,
        section: Length::new::<meter>(0.45),
        overlap_frac: 0.5,
    };
    let Some(written) = written else {
        return Ok(wish);
    };
    let zones = [&written.zone_a, &written.zone_b, &written.zone_c];
    for (share, (number, key)) in wish
        .share_gone
        .iter_mut()
        .zip(zones.iter().zip(["zone_a", "zone_b", "zone_c"]))
    {
        if let Some(number) = number {
            *share = reader.number_within(number, key, (0.0, 0.99))?;
        }
    }
    if let Some(number) = &written.coating_layers {
        let layers = reader.number_within(number, "coating_layers", (0.0, 4.0))?;
        wish.coating_layers = layers as u32;
    }
    if let Some(text) = &written.section {
        wish.section = reader.quantity(text, "section")?;
        reader.within(
            text,
            "section",
            (wish.section.get::<meter>(), "m"),
            (0.15, 1.2),
        )?;
    }
    if let Some(number) = &written.overlap {
        let overlap = *number.0.get_ref();
        if !(0.0..=0.9).contains(&overlap) {
            return Err(reader.fault(
                &number.0,
                format!("overlap is {overlap}; allowed is 0 to 0.9 as a share of the pad. At 1 the next line would lie on the last and the pass would never end."),
            ));
        }
        wish.overlap_frac = overlap;
    }
    Ok(wish)
}

fn rules(reader: &Reader<'_>, written: Option<&WrittenRules>) -> Result<Rules, InputError> {
    let mut rules = Rules::default();
    let Some(written) = written else {
        return Ok(rules);
    };
    if let Some(names) = &written.in_force {
        let known: Vec<(&str, &str)> = RULE_NAMES.iter().map(|n| (*n, *n)).collect();
        rules.in_force = names
            .iter()
            .map(|n| reader.word(n, "in_force", &known).map(str::to_owned))
            .collect::<Result<_, _>>()?;
    }
    for (key, text, into) in [
        ("clear_left", &written.clear_left, &mut rules.clear_left),
        (
            "removed_ever",
            &written.removed_ever,
            &mut rules.removed_ever,
        ),
    ] {
        if let Some(text) = text {
            *into = reader.quantity(text, key)?;
            // Nothing to be kept is no rule; nothing to go is one.
            let least = if key == "clear_left" { 5.0 } else { 0.0 };
            reader.within(text, key, (into.get::<micrometer>(), "µm"), (least, 200.0))?;
        }
    }
    if let Some(number) = &written.confidence {
        rules.confidence = reader.number_within(number, "confidence", (0.5, 0.999))?;
    }
    heat(reader, written, &mut rules)?;
    Ok(rules)
}

fn heat(reader: &Reader<'_>, written: &WrittenRules, rules: &mut Rules) -> Result<(), InputError> {
    for (key, text, into) in [
        ("heat_warn", &written.heat_warn, &mut rules.heat_warn),
        ("heat_stop", &written.heat_stop, &mut rules.heat_stop),
        (
            "start_temperature",
            &written.start_temperature,
            &mut rules.start_temperature,
        ),
    ] {
        if let Some(text) = text {
            *into = Temperature::read(text.0.get_ref())
                .map_err(|e| reader.fault(&text.0, format!("{key}: {e}.")))?;
            // 60 typed with the wrong letter, 60 °F, is 16 °C.
            let least = if key == "start_temperature" {
                -10.0
            } else {
                25.0
            };
            reader.within(
                text,
                key,
                (into.get::<degree_celsius>(), "°C"),
                (least, 120.0),
            )?;
        }
    }
    limits_go_together(reader, written, rules)
}

/// The panel starts under the stop temperature, and the warning comes first. A
/// stop given alone takes the usual warning down with it.
fn limits_go_together(
    reader: &Reader<'_>,
    written: &WrittenRules,
    rules: &mut Rules,
) -> Result<(), InputError> {
    let celsius = |of: Temperature| of.get::<degree_celsius>();
    let (stop_c, start_c) = (celsius(rules.heat_stop), celsius(rules.start_temperature));
    if written.heat_warn.is_none() && rules.heat_warn > rules.heat_stop {
        rules.heat_warn = rules.heat_stop;
    }
    let warn_c = celsius(rules.heat_warn);
    let start_or_stop = written.start_temperature.as_ref();
    if let Some(text) = start_or_stop.or(written.heat_stop.as_ref())
        && start_c >= stop_c
    {
        return Err(reader.fault(
            &text.0,
            format!("the panel starts at {start_c:.0} °C and heat_stop is {stop_c:.0} °C, so no pass could be made; allowed is a start under the stop. Let the panel cool, or correct the number and its unit."),
        ));
    }
    if let Some(text) = written.heat_stop.as_ref().or(written.heat_warn.as_ref())
        && warn_c > stop_c
    {
        return Err(reader.fault(
            &text.0,
            format!("heat_warn is {warn_c:.0} °C and heat_stop is {stop_c:.0} °C, so the warning would come after the stop; allowed is a warning at or under the stop. Correct one of the two, or its unit."),
        ));
    }
    Ok(())
}
