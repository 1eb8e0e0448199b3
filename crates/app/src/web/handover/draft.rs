//! The draft of a record: the job in the store as the texts of a folder, and
//! the record that the command line would make of them.
//!
//! A draft that was worked out stays at hand under a mark of all it was made
//! from, so that looking and signing are the same record.
//! Holds: for sections named "panel-step-number", as work mode names them.
//! Checked by: the tests below and `tests/web_handover.rs`.

use std::collections::{BTreeMap, VecDeque};
use std::fmt::Write as _;
use std::sync::{Arc, Mutex, PoisonError};

use lapwing_job::handover::log::{Done, Log};
use lapwing_job::handover::record::{Handed, Mark, Picture};
use lapwing_job::record::panel_names::spoken;
use lapwing_report::calendar::Day;
use serde_json::Value;

use super::super::apart;
use super::super::jobs::{Kept, prove};
use super::super::refusal::Refusal;
use super::mark_of;
use crate::commands::handover::{Texts, of_texts};
use crate::commands::prove::Place;
use crate::commands::sealed::today;

/// So many drafts stay at hand.
const KEPT: usize = 12;

static DRAFTS: Mutex<VecDeque<(String, Arc<Handed>)>> = Mutex::new(VecDeque::new());

/// The record of a job as it stands.
pub(super) async fn of(kept: &Kept) -> Result<Arc<Handed>, Refusal> {
    let texts = texts(kept)?;
    let mark = mark_of(&[format!("{texts:?}").as_bytes()]);
    let found = {
        let drafts = DRAFTS.lock().unwrap_or_else(PoisonError::into_inner);
        drafts
            .iter()
            .find(|(m, _)| *m == mark)
            .map(|(_, h)| Arc::clone(h))
    };
    if let Some(handed) = found {
        return Ok(handed);
    }
    let handed = Arc::new(apart(move || of_texts(&texts)).await?);
    let mut drafts = DRAFTS.lock().unwrap_or_else(PoisonError::into_inner);
    drafts.push_front((mark, Arc::clone(&handed)));
    drafts.truncate(KEPT);
    Ok(handed)
}

/// Whether the job lacks what a plan, and with it a record, is made from.
pub(super) fn lacks_kit(kept: &Kept) -> bool {
    kept.job_text().trim().is_empty()
}

fn texts(kept: &Kept) -> Result<Texts, Refusal> {
    let before = prove::places(kept)?;
    let folder = |name: &str| kept.text(&format!("/folder/{name}")).to_owned();
    let others: Vec<(String, String)> = kept
        .entries("/folder")
        .into_iter()
        .filter(|(name, _)| !matches!(name.as_str(), "job.toml" | "readings.csv"))
        .filter_map(|(name, text)| Some((name.clone(), text.as_str()?.to_owned())))
        .collect();
    let from_pages = kept.text("/folder/after.csv").trim().is_empty();
    Ok(Texts {
        job: kept.job_text(),
        readings: kept.tables(),
        after: after(kept, &before),
        same_places: if from_pages {
            prove::panels(kept, &before)
        } else {
            Vec::new()
        },
        others,
        log: log(&kept.document, today()),
        work: Some(folder("work.toml")).filter(|t| !t.trim().is_empty()),
        pictures: pictures(kept),
    })
}

/// Readings after: those of the folder, then those taken on the pages.
fn after(kept: &Kept, before: &[Place]) -> Option<Vec<u8>> {
    let mut taken = kept.entries("/after");
    // Of a table that was taken out nothing is left to compare with.
    taken.retain(|(key, _)| before.iter().any(|p| p.key == **key));
    let mut table = kept.text("/folder/after.csv").to_owned();
    if table.trim().is_empty() && taken.is_empty() {
        return None;
    }
    if table.trim().is_empty() {
        table = "panel,thickness_um,u_mm,v_mm\n".to_owned();
        let taken_before = kept.entries("/readings");
        for (key, reading) in taken {
            // A reading after is kept under the id of the one before, whose place it has.
            let before = taken_before
                .iter()
                .find(|(id, _)| *id == key)
                .map(|(_, b)| *b);
            let number = |key: &str| {
                let own = reading[key].as_f64();
                let found = own.or_else(|| before.and_then(|b| b[key].as_f64()));
                found.map_or_else(String::new, |n| n.to_string())
            };
            let panel = reading["panel"].as_str().unwrap_or_default();
            let _ = writeln!(
                table,
                "{panel},{},{},{}",
                number("um"),
                number("u_mm"),
                number("v_mm")
            );
        }
    }
    Some(table.into_bytes())
}

/// What the pages noted: sections done, marks, whether a coating was laid.
fn log(document: &Value, day: Option<Day>) -> Log {
    let entries = |place: &str| {
        let found = document.pointer(place).and_then(Value::as_object);
        found.into_iter().flatten()
    };
    let mut sections: BTreeMap<(String, usize), (u32, Option<f64>)> = BTreeMap::new();
    for (key, done) in entries("/work/done") {
        let mut parts = key.rsplitn(3, '-');
        let (_number, step, panel) = (parts.next(), parts.next(), parts.next());
        let Some((panel, step)) = panel.zip(step.and_then(|s| s.parse().ok())) else {
            continue;
        };
        let entry = sections.entry((panel.to_owned(), step)).or_default();
        entry.0 += 1;
        if let Some(minutes) = done["minutes"].as_f64() {
            entry.1 = Some(entry.1.unwrap_or(0.0) + minutes);
        }
    }
    let text = |value: &Value, key: &str| value[key].as_str().unwrap_or_default().to_owned();
    Log {
        date: day.map(Day::spoken),
        minutes: None,
        is_coated: document.pointer("/coat").is_some(),
        done: sections
            .into_iter()
            .map(|((panel, step), (count, minutes))| Done {
                panel,
                step: Some(step),
                sections: Some(count),
                minutes,
            })
            .collect(),
        marks: entries("/defects")
            .map(|(_, mark)| Mark {
                panel: text(mark, "panel"),
                kind: text(mark, "kind"),
                extent: extent(&text(mark, "extent")).to_owned(),
                note: text(mark, "note"),
            })
            .collect(),
        remains: Vec::new(),
        captions: Vec::new(),
    }
}

/// As the walk-round keeps it, in words for the record.
fn extent(word: &str) -> &str {
    match word {
        "spot" => "a spot",
        "hand" => "a hand wide",
        "half" => "half the panel",
        "whole" => "the whole panel",
        other => other,
    }
}

fn pictures(kept: &Kept) -> Vec<Picture> {
    kept.entries("/photos")
        .into_iter()
        .filter_map(|(name, photo)| {
            let text = |key: &str| photo[key].as_str().unwrap_or_default().to_owned();
            let hash = text("picture");
            (!hash.is_empty()).then(|| Picture {
                file: name.clone(),
                sha256: hash,
                says: match text("says") {
                    said if said.is_empty() => shows(&text("panel"), &text("side")),
                    said => said,
                },
            })
        })
        .collect()
}

/// "Hood, before".
fn shows(panel: &str, side: &str) -> String {
    let parts = [spoken(panel), side.to_owned()];
    let said: Vec<&str> = parts
        .iter()
        .map(String::as_str)
        .filter(|p| !p.is_empty())
        .collect();
    said.join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn sections_of_work_mode_are_counted_by_panel_and_step() {
        let document = json!({
            "work": {"done": {
                "front-door-left-1-1": {"at_ms": 1, "minutes": 4.5},
                "front-door-left-1-2": {"at_ms": 2, "minutes": 5.5},
                "front-door-left-2-1": {"at_ms": 3},
                "nonsense": {"at_ms": 4},
            }},
            "defects": {"d": {"panel": "roof", "kind": "chip", "extent": "hand", "note": ""}},
        });
        let log = log(&document, Day::new(2026, 11, 25));
        assert_eq!(log.done.len(), 2);
        assert_eq!(log.done[0].panel, "front-door-left");
        assert_eq!((log.done[0].step, log.done[0].sections), (Some(1), Some(2)));
        assert_eq!(log.done[0].minutes, Some(10.0));
        assert_eq!((log.done[1].step, log.done[1].minutes), (Some(2), None));
        assert_eq!(log.marks[0].extent, "a hand wide");
        assert_eq!(log.date.as_deref(), Some("25 November 2026"));
    }
}
