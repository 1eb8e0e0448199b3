//! How far a job is: which deed brings it where, and what comes next.
//!
//! The stage stands in the document's glance, so that the list of jobs sorts
//! and shows it without opening a job. It is written only when a deed moves
//! the job on, never back: two devices that do the same work do not meet here.
//! Checked by: the tests below and `tests/web_shop.rs`.

use lapwing_store::Change;
use serde_json::Value;

use super::super::words::{Message, glance as say};

/// A stage: its word, name, what comes next and on which page.
pub(crate) struct Stage {
    pub(crate) word: &'static str,
    pub(crate) name: Message,
    pub(crate) next: Message,
    pub(crate) page: &'static str,
}

const fn stage(word: &'static str, name: Message, next: Message, page: &'static str) -> Stage {
    Stage {
        word,
        name,
        next,
        page,
    }
}

/// In the order of the job.
pub(crate) const STAGES: [Stage; 10] = [
    stage("enquiry", say::ST_ENQUIRY, say::N_ENQUIRY, ""),
    stage("intake", say::ST_INTAKE, say::N_INTAKE, "/wash"),
    stage("wash", say::ST_WASH, say::N_WASH, "/readings"),
    stage("inspect", say::ST_INSPECT, say::N_INSPECT, "/readings"),
    stage("trial", say::ST_TRIAL, say::N_TRIAL, "/trial"),
    stage("plan", say::ST_PLAN, say::N_PLAN, "/work"),
    stage("work", say::ST_WORK, say::N_WORK, "/work"),
    stage("coat", say::ST_COAT, say::N_COAT, "/coat"),
    stage("prove", say::ST_PROVE, say::N_PROVE, "/prove"),
    stage(HANDED_OVER, say::ST_HANDED, say::N_HANDED, "/handover"),
];

/// The stage of a job whose record is signed.
pub(crate) const HANDED_OVER: &str = "handed-over";

/// The stage of a word.
pub(crate) fn find(word: &str) -> Option<&'static Stage> {
    STAGES.iter().find(|s| s.word == word)
}

/// The stage that a deed brings a job to.
fn reached_by(kind: &str) -> Option<&'static str> {
    Some(match kind {
        "mark-made" => "intake",
        "wash-ticked" => "wash",
        "reading-taken" | "table-imported" => "inspect",
        "pair-taken" => "trial",
        "plan-adopted" | "price-accepted" => "plan",
        "section-begun" | "section-done" => "work",
        "section-laid" => "coat",
        "after-read" => "prove",
        "record-signed" => HANDED_OVER,
        _ => return None,
    })
}

/// Whether a deed may move a job at all.
pub(crate) fn may_move(kind: &str) -> bool {
    reached_by(kind).is_some()
}

/// The change that moves a job on, when the deed does.
pub(crate) fn moved_on(document: &Value, kind: &str) -> Option<Change> {
    let reached = reached_by(kind)?;
    let glance = document.get("glance")?;
    let rank = |word: &str| STAGES.iter().position(|s| s.word == word);
    let now = rank(glance["stage"].as_str().unwrap_or_default());
    (now < rank(reached)).then(|| Change::put("/glance/stage", reached))
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn a_deed_moves_a_job_on_and_never_back() {
        let at = |stage: &str| json!({ "glance": { "stage": stage } });
        let moved = moved_on(&at("intake"), "reading-taken");
        assert_eq!(moved, Some(Change::put("/glance/stage", "inspect")));
        assert_eq!(moved_on(&at("work"), "reading-taken"), None);
        assert_eq!(moved_on(&at("inspect"), "reading-taken"), None);
        assert_eq!(moved_on(&at("intake"), "undo"), None);
        assert_eq!(moved_on(&json!({}), "reading-taken"), None);
        assert!(moved_on(&at("unheard of"), "mark-made").is_some());
    }

    #[test]
    fn what_comes_next_follows_from_the_furthest_deed_whatever_was_left_out() {
        let mut document = json!({ "glance": { "stage": "intake" } });
        let mut after = |kind: &str| {
            if let Some(Change::Put { value, .. }) = moved_on(&document, kind) {
                document["glance"]["stage"] = value;
            }
            let stage = document["glance"]["stage"].as_str().and_then(find);
            stage.expect("a stage of the table").page
        };
        // Nothing of the wash list is ever ticked.
        assert_eq!(after("reading-taken"), "/readings");
        assert_eq!(after("pair-taken"), "/trial");
        assert_eq!(after("price-accepted"), "/work");
        assert_eq!(after("section-laid"), "/coat");
        assert_eq!(after("record-signed"), "/handover");
        assert_eq!(after("wash-ticked"), "/handover");
        assert_eq!(after("section-begun"), "/handover");
    }
}
