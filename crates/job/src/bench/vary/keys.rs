//! The keys a setup may have, read off its schema, and which of them are numbers.
//!
//! Law: none. A list's entries stand as `[]`: `panel.size[]`.
//! Holds: for every key that the reader knows, because both come from one
//! declaration (`written`).
//! Left out: which values a key allows; the reader of the setup says that.
//! Checked by: every kind of key is found, in the tests of `vary`.

use serde_json::Value;

use crate::bench::setup_schema;

/// How a key's value is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Shape {
    /// A number with a unit, as text.
    Quantity,
    /// A bare number.
    Number,
    /// A whole number.
    Count,
    /// A word, a yes or no, or the name of a file.
    Word,
}

/// Texts that are no quantities.
const WORDS: [&str; 9] = [
    "units",
    "panel.substrate",
    "panel.in_plane",
    "panel.facing",
    "panel.film[].name",
    "panel.layers[].name",
    "machine.kind",
    "stroke.pattern",
    "heat.detail",
];
const MORE_WORDS: [&str; 9] = [
    "touch.direction_from",
    "stroke.along",
    "stroke.file",
    "pad.class",
    "touch.hold",
    "machine.turns",
    "abrasive.breakdown",
    "panel.free_edges[]",
    "panel.crease[].along",
];

/// Every key with its shape.
pub(super) fn known() -> Vec<(String, Shape)> {
    let schema = setup_schema();
    let mut keys = Vec::new();
    walk(&schema, &schema, "", &mut keys);
    keys
}

fn walk(root: &Value, node: &Value, path: &str, keys: &mut Vec<(String, Shape)>) {
    if let Some(name) = node["$ref"].as_str() {
        let name = name.rsplit('/').next().unwrap_or(name);
        return walk(root, &root["$defs"][name], path, keys);
    }
    if let Some(choices) = node["anyOf"].as_array() {
        let chosen = choices.iter().find(|choice| choice["type"] != "null");
        return walk(root, chosen.unwrap_or(&Value::Null), path, keys);
    }
    if let Some(properties) = node["properties"].as_object() {
        for (name, inner) in properties {
            let dot = if path.is_empty() { "" } else { "." };
            walk(root, inner, &format!("{path}{dot}{name}"), keys);
        }
        return;
    }
    let is = |kind: &str| match &node["type"] {
        Value::String(only) => only == kind,
        Value::Array(several) => several.iter().any(|one| one == kind),
        _ => false,
    };
    if is("array") {
        return walk(root, &node["items"], &format!("{path}[]"), keys);
    }
    let is_word = WORDS.iter().chain(&MORE_WORDS).any(|word| *word == path);
    let shape = match () {
        () if is("integer") => Shape::Count,
        () if is("number") => Shape::Number,
        () if is("string") && !is_word => Shape::Quantity,
        () => Shape::Word,
    };
    keys.push((path.to_owned(), shape));
}
