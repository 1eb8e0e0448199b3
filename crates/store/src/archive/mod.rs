//! A job as one zip: `job.toml`, `readings.csv`, `photos/`, `history.json`.
//!
//! Law: export then import gives the same events, the same state and the same
//! photos, byte for byte.
//! Holds: for the texts that the job's document keeps under `/folder` (by file
//! name) and the photos under `/photos` (by file name, each an object with
//! `picture`, the hash). Photos that only the history names travel as well.
//! Left out: people's accounts; the history keeps their ids as words.
//! Checked by: `tests/store/archive.rs`, there and back on both databases, and with
//! zips that play tricks.

mod export;
mod import;
mod names;
mod unpack;

use std::collections::BTreeSet;

use serde_json::Value;

pub use export::ExportedFolder;
pub use import::Imported;
pub use unpack::ArchiveLimits;

use crate::event::Event;

const HISTORY: &str = "history.json";
const PHOTOS: &str = "photos/";

/// The history as it stands in the zip.
#[derive(serde::Serialize, serde::Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenHistory {
    lapwing_history: u32,
    job: String,
    events: Vec<Event>,
}

/// Every picture that is named anywhere in a value.
fn pictures_in(value: &Value, found: &mut BTreeSet<String>) {
    match value {
        Value::Array(items) => items.iter().for_each(|item| pictures_in(item, found)),
        Value::Object(map) => {
            if let Some(hash) = map.get("picture").and_then(Value::as_str)
                && hash.len() == 64
                && hash.bytes().all(|b| b.is_ascii_hexdigit())
            {
                found.insert(hash.to_owned());
            }
            map.values().for_each(|inner| pictures_in(inner, found));
        }
        _ => {}
    }
}

/// Every picture that a history names, those of later undone events as well.
fn pictures_of(events: &[Event]) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    for change in events.iter().flat_map(|event| &event.changes) {
        if let crate::document::Change::Put { value, .. } = change {
            pictures_in(value, &mut found);
        }
    }
    found
}
