//! Reads what is to be varied: "touch.tilt=0deg..6deg/13".
//!
//! Law: value i of n is from + (to − from)·i/(n − 1).
//! Holds: a numeric key of the setup, two ends in one unit, 2 to 200 values.
//! Outside: refused with what is missing.
//! Left out: steps by a factor; vary a share or give another range.
//! Checked by: the tests of `vary`.

use serde::Serialize;
use toml::Value;

use super::keys::{Shape, known};
use crate::record::InputError;

/// Most values of a key.
const MOST_VALUES: usize = 200;

/// A key with the values it takes.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Span {
    /// The key: `touch.tilt`, `panel.size[0]`.
    pub key: String,
    /// Unit of the values as it was written; empty for a bare number.
    pub unit: String,
    /// First value.
    pub from: f64,
    /// Last value.
    pub to: f64,
    /// Number of values.
    pub count: usize,
    #[serde(skip)]
    shape: Shape,
}

impl Span {
    /// Value `index` of `count`, counted from 0, in the unit.
    #[must_use]
    pub fn value(&self, index: usize) -> f64 {
        let share = index as f64 / (self.count - 1) as f64;
        tidied(self.from + (self.to - self.from) * share)
    }

    /// The value as it stands in the setup, with its unit.
    #[must_use]
    pub fn written(&self, index: usize) -> String {
        let number = plain(self.value(index));
        if self.unit.is_empty() {
            number
        } else {
            format!("{number} {}", self.unit)
        }
    }

    pub(super) fn toml_value(&self, index: usize) -> Value {
        match self.shape {
            Shape::Quantity | Shape::Word => Value::String(self.written(index)),
            Shape::Number => Value::Float(self.value(index)),
            Shape::Count => Value::Integer(self.value(index) as i64),
        }
    }
}

/// Reads `key=from..to/n`.
///
/// # Errors
/// A sentence for an unknown key (with the nearest name), a key that is no
/// number, ends without a unit or with two, equal ends, and counts outside 2 to
/// 200.
pub fn read_span(text: &str) -> Result<Span, InputError> {
    parts(text).map_err(|sentence| InputError::in_file("--vary", sentence))
}

fn parts(text: &str) -> Result<Span, String> {
    const FORM: &str = "Write key=from..to/n, such as touch.tilt=0deg..6deg/13.";
    let (key, range) = text
        .split_once('=')
        .ok_or_else(|| format!("\"{text}\" has no \"=\". {FORM}"))?;
    let key = key.trim();
    let shape = shape_of(key)?;
    let (ends, count) = range
        .rsplit_once('/')
        .ok_or_else(|| format!("\"{text}\" does not say how many values. {FORM}"))?;
    let count = values(key, count.trim())?;
    let (from, to) = ends
        .split_once("..")
        .ok_or_else(|| format!("\"{text}\" has no \"..\" between its ends. {FORM}"))?;
    let (from, to) = (end(key, from)?, end(key, to)?);
    let unit = unit(key, shape, (&from.1, &to.1))?;
    if (from.0 - to.0).abs() <= 1e-12 * from.0.abs().max(to.0.abs()) {
        return Err(format!(
            "{key} would run from {} to {}, which is one value only. Give two different ends.",
            plain(from.0),
            plain(to.0)
        ));
    }
    let span = Span {
        key: key.to_owned(),
        unit,
        from: from.0,
        to: to.0,
        count,
        shape,
    };
    whole_if_counted(&span)?;
    Ok(span)
}

fn shape_of(key: &str) -> Result<Shape, String> {
    let known = known();
    let general = general(key);
    if let Some((_, shape)) = known.iter().find(|(name, _)| *name == general) {
        return if *shape == Shape::Word {
            Err(format!(
                "{key} is a word and not a number, so it cannot run from one end to another. Compare two setups with --compare."
            ))
        } else {
            Ok(*shape)
        };
    }
    let inside = |name: &str| {
        name.strip_prefix(&general)
            .is_some_and(|r| r.starts_with(['.', '[']))
    };
    if let Some((entry, _)) = known.iter().find(|(name, _)| inside(name)) {
        let entry = entry.replace("[]", "[0]");
        return Err(format!(
            "{key} holds several values. Name one of them, such as {entry}."
        ));
    }
    Err(format!(
        "the key {key} is not known{}",
        nearest(&general, &known)
    ))
}

/// The key with its entries left open: `panel.size[0]` is `panel.size[]`.
fn general(key: &str) -> String {
    let mut general = String::new();
    let mut is_inside = false;
    for sign in key.chars() {
        is_inside = is_inside && sign != ']';
        if !is_inside {
            general.push(sign);
        }
        is_inside = is_inside || sign == '[';
    }
    general
}

fn nearest(came: &str, known: &[(String, Shape)]) -> String {
    let numeric = known.iter().filter(|(_, shape)| *shape != Shape::Word);
    let likeness = |name: &str| {
        let last = |key: &str| key.rsplit('.').next().unwrap_or("").to_owned();
        strsim::normalized_damerau_levenshtein(came, name)
            .max(0.9 * strsim::normalized_damerau_levenshtein(&last(came), &last(name)))
    };
    let best = numeric
        .map(|(name, _)| (likeness(name), name))
        .max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.len().cmp(&a.1.len())))
        .filter(|(score, _)| *score > 0.4);
    match best {
        Some((_, name)) => format!("; did you mean {}?", name.replace("[]", "[0]")),
        None => ". `lapwing schema bench` lists every key.".to_owned(),
    }
}

fn values(key: &str, count: &str) -> Result<usize, String> {
    match count.parse::<usize>() {
        Ok(values @ 2..=MOST_VALUES) => Ok(values),
        Ok(values) if values > MOST_VALUES => Err(format!(
            "{key}: \"{values}\" values came in; allowed are 2 to {MOST_VALUES}, because each is a whole pass to be worked out. Write fewer behind the last \"/\"."
        )),
        _ => Err(format!(
            "{key}: \"{count}\" values came in; allowed are 2 to {MOST_VALUES}, because one value is no series. Write their number behind the last \"/\"."
        )),
    }
}

/// A number and what stands behind it.
fn end(key: &str, text: &str) -> Result<(f64, String), String> {
    let text = text.trim().replace('\u{2212}', "-");
    let cut = (1..=text.len())
        .rev()
        .filter(|cut| text.is_char_boundary(*cut))
        .find_map(|cut| {
            let number = text[..cut].parse::<f64>().ok()?;
            let is_digits = text[..cut].ends_with(|c: char| c.is_ascii_digit() || c == '.');
            (is_digits && number.is_finite()).then_some((number, cut))
        });
    let (number, cut) = cut.ok_or_else(|| {
        format!("{key}: the end \"{text}\" does not begin with a number. Write it like 40 N or 0.5, with a decimal point.")
    })?;
    let unit = text[cut..].trim().to_owned();
    if unit.starts_with(',') {
        return Err(format!(
            "{key}: the end \"{text}\" has a comma. Write numbers with a decimal point and without gaps."
        ));
    }
    Ok((number, unit))
}

/// The one unit of both ends; a unit behind one of them alone counts for both.
fn unit(key: &str, shape: Shape, (first, second): (&str, &str)) -> Result<String, String> {
    let unit = match (first, second) {
        (first, second) if first == second => first,
        ("", only) | (only, "") => only,
        (first, second) => {
            return Err(format!(
                "{key}: the ends have two units, \"{first}\" and \"{second}\". Use one of them for both."
            ));
        }
    };
    match (shape, unit) {
        (Shape::Quantity, "") => Err(format!(
            "{key}: the ends have no unit. Write it behind the numbers, such as {}.",
            match key.rsplit('.').next() {
                Some("tilt") => "0deg..6deg",
                Some("force") => "20N..60N",
                Some("arm_speed") => "25mm/s..100mm/s",
                _ => "from 10 mm..50 mm for a length",
            }
        )),
        (Shape::Number | Shape::Count, unit) if !unit.is_empty() => Err(format!(
            "{key}: the ends have the unit \"{unit}\", but the key is a bare number. Leave the unit out."
        )),
        _ => Ok(unit.to_owned()),
    }
}

/// A key that is counted takes whole numbers only.
fn whole_if_counted(span: &Span) -> Result<(), String> {
    let broken = (0..span.count)
        .map(|i| span.value(i))
        .find(|value| value.fract() != 0.0);
    match broken {
        Some(value) if span.shape == Shape::Count => Err(format!(
            "{} is counted in whole numbers, but {} would come along the way. Choose ends and a number of values that leave whole steps.",
            span.key,
            plain(value)
        )),
        _ => Ok(()),
    }
}

/// Twelve digits, so that a third of one is not written to the last bit.
fn tidied(value: f64) -> f64 {
    format!("{value:.11e}").parse().unwrap_or(value)
}

fn plain(value: f64) -> String {
    let size = value.abs();
    if size != 0.0 && !(1e-4..1e9).contains(&size) {
        format!("{value:e}")
    } else {
        format!("{value}")
    }
}
