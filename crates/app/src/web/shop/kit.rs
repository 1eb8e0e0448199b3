//! Machines, pads and abrasives as the shop types them in.
//!
//! Ranges are those of the job file's reader.
//! Checked by: `tests/web_shop.rs`.

use serde_json::{Value, json};

use super::super::entry::{entered, plain};
use super::super::fields::{Fields, NumberField, short};
use super::super::jobs::Kept;
use super::super::numbers::{Measure, typed};
use super::super::refusal::Refusal;
use super::super::visitor::Visitor;
use super::super::words::{Message, shop as say};

/// Motions of a machine.
pub(crate) const KINDS: [(&str, Message); 3] = [
    ("random-orbital", say::ORBITAL),
    ("forced-rotation", say::FORCED),
    ("rotary", say::ROTARY),
];

/// Classes of a pad, never a colour.
pub(crate) const PAD_CLASSES: [(&str, Message); 5] = [
    ("foam-finishing", say::FINISHING_FOAM),
    ("foam-polishing", say::POLISHING_FOAM),
    ("foam-cutting", say::CUTTING_FOAM),
    ("microfibre", say::MICROFIBRE),
    ("wool", say::WOOL),
];

/// Classes of an abrasive.
pub(crate) const ABRASIVE_CLASSES: [(&str, Message); 4] = [
    ("finishing", say::FINISHING),
    ("fine", say::FINE),
    ("medium", say::MEDIUM),
    ("heavy", say::HEAVY),
];

/// What the grain does.
pub(crate) const GRAINS: [(&str, Message); 2] = [
    ("diminishing", say::DIMINISHING),
    ("constant", say::CONSTANT),
];

const fn field(
    key: &'static str,
    label: Message,
    measure: Measure,
    range: (f64, f64),
) -> NumberField {
    NumberField {
        key,
        label,
        measure,
        range,
    }
}

/// A machine's numbers with what is usual.
pub(crate) const MACHINE: [(NumberField, f64); 6] = [
    (
        field("orbit_mm", say::ORBIT, Measure::Length, (1.0, 40.0)),
        15.0,
    ),
    (
        field("spin_rpm", say::SPIN, Measure::Turns, (0.0, 1000.0)),
        250.0,
    ),
    (
        field("force_n", say::FORCE, Measure::Force, (1.0, 200.0)),
        40.0,
    ),
    (
        field("vibration", say::SHAKES, Measure::Vibration, (0.0, 60.0)),
        5.0,
    ),
    (
        field("unsure", say::UNSURE, Measure::Vibration, (0.0, 20.0)),
        1.5,
    ),
    (
        field("noise", say::NOISE, Measure::Noise, (30.0, 130.0)),
        84.0,
    ),
];

/// A pad's numbers with what is usual.
pub(crate) const PAD: [(NumberField, f64); 3] = [
    (
        field("diameter_mm", say::FACE, Measure::Length, (20.0, 250.0)),
        140.0,
    ),
    (
        field("price", say::PRICE_EACH, Measure::Count, (0.0, 10_000.0)),
        0.0,
    ),
    (
        field("sections", say::LASTS, Measure::Count, (1.0, 100.0)),
        6.0,
    ),
];

/// An abrasive's number.
pub(crate) const ABRASIVE: [(NumberField, f64); 1] = [(
    field(
        "price_per_litre",
        say::LITRE,
        Measure::PriceOfLitre,
        (0.0, 10_000.0),
    ),
    0.0,
)];

/// A machine from its form.
pub(super) fn machine(fields: &Fields, visitor: &Visitor) -> Result<Value, Refusal> {
    let kind = word(fields, ("kind", say::KIND), &KINDS, visitor)?;
    let came = fields.text("speeds").unwrap_or_default();
    let speeds: Option<Vec<f64>> = came
        // Speeds are whole, so a comma parts two of them.
        .split([' ', ',', ';', '/', '|', '+', '&', '·', '\u{a0}'])
        .filter(|s| !s.is_empty())
        .map(|s| typed(s).filter(|v| (100.0..=12_000.0).contains(v)))
        .collect();
    let speeds = speeds
        .filter(|s| (1..=6).contains(&s.len()))
        .ok_or_else(|| Refusal::input(visitor.fill(say::NO_SPEEDS, &[&short(came)])))?;
    let mut machine = json!({ "name": name(fields, visitor)?, "kind": kind, "speeds": speeds });
    numbers(&mut machine, fields, &MACHINE, visitor)?;
    Ok(machine)
}

/// A pad from its form; the machines it fits are those of the shop.
pub(super) fn pad(kept: &Kept, fields: &Fields, visitor: &Visitor) -> Result<Value, Refusal> {
    let class = word(fields, ("class", say::CLASS), &PAD_CLASSES, visitor)?;
    let fits = known(kept, "/machines", fields.all("fits"));
    let mut pad = json!({ "name": name(fields, visitor)?, "class": class, "fits": fits });
    numbers(&mut pad, fields, &PAD, visitor)?;
    Ok(pad)
}

/// An abrasive from its form.
pub(super) fn abrasive(kept: &Kept, fields: &Fields, visitor: &Visitor) -> Result<Value, Refusal> {
    let class = word(fields, ("class", say::CLASS), &ABRASIVE_CLASSES, visitor)?;
    let grain = word(fields, ("grain", say::GRAIN), &GRAINS, visitor)?;
    let with = known(kept, "/pads", fields.all("with"));
    let mut abrasive =
        json!({ "name": name(fields, visitor)?, "class": class, "wear": grain, "with": with });
    numbers(&mut abrasive, fields, &ABRASIVE, visitor)?;
    Ok(abrasive)
}

fn name(fields: &Fields, visitor: &Visitor) -> Result<String, Refusal> {
    let name = plain(fields, "name", 60);
    if name.is_empty() {
        return Err(Refusal::input(visitor.say(say::NO_NAME)));
    }
    Ok(name)
}

fn word(
    fields: &Fields,
    name: (&str, Message),
    words: &[(&'static str, Message)],
    visitor: &Visitor,
) -> Result<&'static str, Refusal> {
    let plain: Vec<(&str, &'static str)> = words.iter().map(|(w, _)| (*w, *w)).collect();
    fields.word(name, &plain, words[0].0, visitor)
}

/// Only what the shop has; none chosen means all of it.
fn known<'a>(kept: &Kept, list: &str, chosen: impl Iterator<Item = &'a str>) -> Vec<String> {
    let all: Vec<String> = kept
        .entries(list)
        .into_iter()
        .map(|(id, _)| id.clone())
        .collect();
    let chosen: Vec<&str> = chosen.collect();
    let picked: Vec<String> = all
        .iter()
        .filter(|id| chosen.contains(&id.as_str()))
        .cloned()
        .collect();
    if picked.is_empty() { all } else { picked }
}

fn numbers(
    entry: &mut Value,
    fields: &Fields,
    list: &[(NumberField, f64)],
    visitor: &Visitor,
) -> Result<(), Refusal> {
    for (field, usual) in list {
        entry[field.key] = json!(entered(fields, field, *usual, visitor)?);
    }
    Ok(())
}
