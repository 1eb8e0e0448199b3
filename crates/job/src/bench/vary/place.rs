//! Puts a value into a setup's text, and tells two setups apart.
//!
//! Law: none. `panel.size[0]` is the first entry of the list `panel.size`.
//! Holds: for every text that is TOML; tables that are missing are made. Of the
//! three keys that say how the pad leans the one that is put in pushes the
//! others out, because they would contradict each other.
//! Left out: remarks and the order of lines; the text is for the reader only.
//! Checked by: the tests of `vary`.

use serde::Serialize;
use toml::{Table, Value};

/// Ways to say how the pad leans; only one may stand.
const LEANS: [&str; 3] = ["eccentricity", "tilt", "moment"];

/// A key that two setups do not share, as it stands in each.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Difference {
    /// The key.
    pub key: String,
    /// In the first; nothing when it is not there.
    pub first: Option<String>,
    /// In the second.
    pub second: Option<String>,
}

/// The setup with a key set to what is written, such as "5 s", 0.5 or 4.
///
/// # Errors
/// A sentence when the text is no TOML, or the key leads through something
/// that is not there or is no table.
pub fn with_key(text: &str, key: &str, written: &str) -> Result<String, String> {
    let value = written
        .parse::<i64>()
        .map(Value::Integer)
        .or_else(|_| written.parse::<f64>().map(Value::Float))
        .unwrap_or_else(|_| Value::String(written.to_owned()));
    with_value(text, key, value)
}

/// Does a key say how the pad leans?
pub(super) fn is_lean(key: &str) -> bool {
    key.strip_prefix("touch.")
        .is_some_and(|name| LEANS.contains(&name))
}

pub(super) fn with_value(text: &str, key: &str, value: Value) -> Result<String, String> {
    let mut setup: Table = toml::from_str(text).map_err(|e| e.message().to_owned())?;
    let steps = steps(key)?;
    if let [Step::Name("touch"), Step::Name(lean)] = steps[..]
        && LEANS.contains(&lean)
        && let Some(Value::Table(touch)) = setup.get_mut("touch")
    {
        touch.retain(|name, _| !LEANS.contains(&name));
    }
    let mut whole = Value::Table(setup);
    put(&mut whole, &steps, (key, value))?;
    toml::to_string(&whole).map_err(|e| e.to_string())
}

/// Keys that differ by the alphabet, then those that only the second has.
///
/// # Errors
/// A sentence when a text is no TOML.
pub fn differing(first: &str, second: &str) -> Result<Vec<Difference>, String> {
    let flat = |text: &str| -> Result<Vec<(String, String)>, String> {
        let setup: Table = toml::from_str(text).map_err(|e| e.message().to_owned())?;
        let mut flat = Vec::new();
        flatten("", &Value::Table(setup), &mut flat);
        Ok(flat)
    };
    let (first, second) = (flat(first)?, flat(second)?);
    let find = |list: &[(String, String)], key: &str| {
        list.iter().find(|(k, _)| k == key).map(|(_, v)| v.clone())
    };
    let mut keys: Vec<&String> = first.iter().map(|(key, _)| key).collect();
    keys.extend(second.iter().map(|(key, _)| key));
    let mut told: Vec<Difference> = Vec::new();
    for key in keys {
        let pair = (find(&first, key), find(&second, key));
        if pair.0 != pair.1 && !told.iter().any(|d| d.key == *key) {
            told.push(Difference {
                key: key.clone(),
                first: pair.0,
                second: pair.1,
            });
        }
    }
    Ok(told)
}

/// A step on the way to a key.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Step<'a> {
    Name(&'a str),
    Entry(usize),
}

fn steps(key: &str) -> Result<Vec<Step<'_>>, String> {
    let wrong = || format!("\"{key}\" is no key; keys look like touch.force or panel.size[0].");
    let mut steps = Vec::new();
    for part in key.split('.') {
        let (name, entries) = part.split_once('[').unwrap_or((part, ""));
        if name.is_empty() {
            return Err(wrong());
        }
        steps.push(Step::Name(name));
        for entry in entries.split_terminator('[') {
            let number = entry.strip_suffix(']').and_then(|n| n.parse().ok());
            steps.push(Step::Entry(number.ok_or_else(wrong)?));
        }
    }
    Ok(steps)
}

fn put(at: &mut Value, steps: &[Step<'_>], (key, value): (&str, Value)) -> Result<(), String> {
    let Some((step, rest)) = steps.split_first() else {
        *at = value;
        return Ok(());
    };
    match (step, at) {
        (Step::Name(name), Value::Table(table)) => {
            let inner = table
                .entry(*name)
                .or_insert_with(|| Value::Table(Table::new()));
            put(inner, rest, (key, value))
        }
        (Step::Entry(entry), Value::Array(list)) => {
            let count = list.len();
            let inner = list.get_mut(*entry).ok_or_else(|| {
                format!(
                    "{key} names entry {entry}, but the setup's list has {count}, counted from 0."
                )
            })?;
            put(inner, rest, (key, value))
        }
        (Step::Entry(_), Value::Table(table)) if table.is_empty() => Err(format!(
            "{key} names an entry of a list that the setup does not have. Write the list into the setup first."
        )),
        _ => Err(format!(
            "{key} leads through something that is no table or list in the setup."
        )),
    }
}

fn flatten(path: &str, value: &Value, flat: &mut Vec<(String, String)>) {
    match value {
        Value::Table(table) => {
            for (name, inner) in table {
                let dot = if path.is_empty() { "" } else { "." };
                flatten(&format!("{path}{dot}{name}"), inner, flat);
            }
        }
        Value::Array(list) => {
            for (at, inner) in list.iter().enumerate() {
                flatten(&format!("{path}[{at}]"), inner, flat);
            }
        }
        Value::String(text) => flat.push((path.to_owned(), text.clone())),
        other => flat.push((path.to_owned(), other.to_string())),
    }
}
