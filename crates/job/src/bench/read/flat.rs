//! Reads a setup whose keys stand in one flat table, such as the `[setup]` of a
//! trial.
//!
//! Law: none; each flat key is put where the bench's own file has it, read by
//! the bench's reader, and a refusal is led back to the flat key.
//! Source: the table below.
//! Holds: for the keys of the table. Outside: refused with the nearest key.
//! Left out: `[abrasive]`, which a trial works out.
//! Checked by: refusals in the tests of the trial.

use std::collections::BTreeMap;

use toml::{Spanned, Value};

use super::{Setup, read_setup};
use crate::record::InputError;
use crate::record::read::field::{Reader, suggestion};

/// Flat key, table of the bench's file, key in it.
const KEYS: [(&str, &str, &str); 29] = [
    ("section", "panel", "size"),
    ("substrate", "panel", "substrate"),
    ("in_plane", "panel", "in_plane"),
    ("start_temperature", "panel", "start_temperature"),
    ("air_temperature", "panel", "air_temperature"),
    ("convection_outside", "panel", "convection_outside"),
    ("convection_inside", "panel", "convection_inside"),
    ("facing", "panel", "facing"),
    ("radius_x", "panel", "radius_x"),
    ("radius_y", "panel", "radius_y"),
    ("machine", "machine", "kind"),
    ("speed", "machine", "speed"),
    ("orbit", "machine", "orbit"),
    ("spin", "machine", "spin"),
    ("pad", "pad", "diameter"),
    ("hole", "pad", "hole"),
    ("pad_thickness", "pad", "thickness"),
    ("pad_stiffness", "pad", "stiffness"),
    ("force", "touch", "force"),
    ("eccentricity", "touch", "eccentricity"),
    ("tilt", "touch", "tilt"),
    ("moment", "touch", "moment"),
    ("direction", "touch", "direction"),
    ("pattern", "stroke", "pattern"),
    ("arm_speed", "stroke", "arm_speed"),
    ("overlap", "stroke", "overlap"),
    ("passes", "stroke", "passes"),
    ("margin", "stroke", "margin"),
    ("shift", "stroke", "shift"),
];

/// Tables of the bench's file, in its order.
const TABLES: [&str; 5] = ["panel", "machine", "pad", "touch", "stroke"];

/// Keys without which there is no setup.
const NEEDED: [&str; 5] = ["machine", "speed", "pad", "force", "section"];

/// A flat table as it was written.
pub(crate) type FlatTable = BTreeMap<String, Spanned<Value>>;

/// Reads the setup; `name` is the table's name in the file, `at` where it stands.
pub(crate) fn flat_setup(
    reader: &Reader<'_>,
    (name, at): (&str, usize),
    flat: &FlatTable,
) -> Result<Setup, InputError> {
    known_keys(reader, name, flat)?;
    if let Some(missing) = NEEDED.iter().find(|key| !flat.contains_key(**key)) {
        return Err(InputError::at_offset(
            reader.file,
            reader.text,
            at,
            format!("{name}.{missing} is missing; the pass cannot be worked out without it."),
        ));
    }
    if let Some(pattern) = flat.get("pattern")
        && let Some(word @ ("still" | "path")) = pattern.get_ref().as_str()
    {
        return Err(reader.fault(
            pattern,
            format!("{name}.pattern \"{word}\" is not made of passes, and this needs passes to count. Allowed: cross-hatch, parallel, line."),
        ));
    }
    let (text, lines) = as_bench_file(flat);
    let no_files = |_: &str| Err("a trial's setup names no file.".to_owned());
    read_setup(reader.file, &text, &no_files).map_err(|error| {
        let line = error.line.and_then(|line| lines.get(line - 1).copied());
        let sentence = in_flat_words(name, &error.sentence);
        match line.flatten() {
            Some((key, _, _)) => reader.fault(&flat[key], sentence),
            None => InputError::in_file(reader.file, sentence),
        }
    })
}

/// Every key of the bench's file under the name it has in the flat table.
fn in_flat_words(name: &str, sentence: &str) -> String {
    let mut keys: Vec<&Key> = KEYS.iter().collect();
    keys.sort_by_key(|(_, table, inner)| std::cmp::Reverse(table.len() + inner.len()));
    // Marked first, so that a name just written is not taken for another key.
    let marked =
        keys.iter()
            .enumerate()
            .fold(sentence.to_owned(), |text, (at, (_, table, inner))| {
                text.replace(&format!("{table}.{inner}"), &format!("\u{1}{at}\u{2}"))
            });
    keys.iter()
        .enumerate()
        .fold(marked, |text, (at, (key, _, _))| {
            text.replace(&format!("\u{1}{at}\u{2}"), &format!("{name}.{key}"))
        })
}

fn known_keys(reader: &Reader<'_>, name: &str, flat: &FlatTable) -> Result<(), InputError> {
    let known: Vec<&str> = KEYS.iter().map(|(key, _, _)| *key).collect();
    for (key, value) in flat {
        if !known.contains(&key.as_str()) {
            return Err(reader.fault(
                value,
                format!(
                    "{name}.{key} is not known{} Allowed: {}.",
                    suggestion(key, &known),
                    known.join(", ")
                ),
            ));
        }
    }
    Ok(())
}

type Key = (&'static str, &'static str, &'static str);

/// The bench's file, and for each of its lines the flat key it came from.
fn as_bench_file(flat: &FlatTable) -> (String, Vec<Option<Key>>) {
    let mut text = String::new();
    let mut lines = Vec::new();
    for table in TABLES {
        text += &format!("[{table}]\n");
        lines.push(None);
        if table == "stroke" && !flat.contains_key("pattern") {
            text += "pattern = \"cross-hatch\"\n";
            lines.push(None);
        }
        for key in KEYS.iter().filter(|(_, of, _)| *of == table) {
            if let Some(value) = flat.get(key.0) {
                text += &format!("{} = {}\n", key.2, value.get_ref());
                lines.push(Some(*key));
            }
        }
    }
    (text, lines)
}
