//! Deeds of work mode: begin, stop, done, pad, wipe; each one event.
//!
//! Law: a stop adds the stretch since the beginning to what the section took;
//! done writes the minutes beside the section. A deed delivered twice is
//! answered with the event it already is.
//! Holds: a time the device says may lie 14 days back, never ahead.
//! Checked by: `tests/web_work.rs`.

use axum::extract::Path;
use axum::http::HeaderMap;
use axum::response::Response;
use lapwing_store::Change;
use serde_json::{Value, json};

use super::super::super::Bay;
use super::super::super::fields::Fields;
use super::super::super::refusal::Refusal;
use super::super::super::visitor::Visitor;
use super::super::super::words::{Message, checks, jobs as say, past as past_say};
use super::super::asked::{self, Doubt};
use super::super::intake::pointer;
use super::super::sections::WorkPlan;
use super::super::{Deed, Kept, already, edit_id, now_ms, perform};
use super::{EARLY_FRAC, clock, done_of, is_closed, plan_of, running_since, spent_ms};

/// How long a phone may have been without a network, ms.
const LONGEST_AWAY_MS: i64 = 14 * 86_400_000;

const DEEDS: [(&str, &str); 7] = [
    ("begin", "section-begun"),
    ("pause", "work-paused"),
    ("done", "section-done"),
    ("pad", "pad-cleaned"),
    ("swap", "pad-swapped"),
    ("wiped", "panel-wiped"),
    ("again", "panel-again"),
];

/// `POST /jobs/{job}/work`.
pub(crate) async fn act(
    bay: Bay,
    visitor: Visitor,
    Path(job): Path<String>,
    headers: HeaderMap,
    fields: Fields,
) -> Result<Response, Refusal> {
    let key = fields.text("key").unwrap_or_default();
    let is_key = !key.is_empty()
        && key.len() <= 80
        && key.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-');
    if !is_key {
        return Err(Refusal::input(visitor.say(say::NO_SECTION)));
    }
    let kind = fields.word(("deed", say::NOW), &DEEDS, "section-begun", &visitor)?;
    let back = format!("/jobs/{job}/work");
    if let Some(again) = already(&bay, &headers, &fields, (&job, kind, &back)).await {
        return Ok(again);
    }
    let kept = Kept::load(&bay, &job).await?;
    let plan = plan_of(&bay, &kept, &visitor).await?;
    let moment = Moment {
        kept: &kept,
        plan: &plan,
        key,
        at_ms: said_ms(&fields),
    };
    if let Some(question) = moment.doubt(kind, &visitor)
        && asked::is_unasked(&headers, &fields)
    {
        let doubt = Doubt {
            question,
            anyway: anyway(kind),
            back: &back,
        };
        return Ok(asked::page(&visitor, &kept, &doubt, &fields));
    }
    let changes = moment.changes(kind, &edit_id(&fields));
    let deed = Deed {
        job: &job,
        kind,
        changes,
        back,
    };
    perform(&bay, &headers, &fields, deed).await
}

/// What doing it all the same is called.
fn anyway(kind: &str) -> Message {
    match kind {
        "section-begun" => past_say::BEGIN_ANYWAY,
        _ => checks::DONE_ANYWAY,
    }
}

fn said_ms(fields: &Fields) -> i64 {
    let now = now_ms();
    let said = fields.text("said_ms").and_then(|v| v.parse::<i64>().ok());
    said.map_or(now, |said| said.clamp(now - LONGEST_AWAY_MS, now))
}

/// A deed about to happen.
struct Moment<'a> {
    kept: &'a Kept,
    plan: &'a WorkPlan,
    key: &'a str,
    at_ms: i64,
}

impl Moment<'_> {
    fn changes(&self, kind: &str, id: &str) -> Vec<Change> {
        match kind {
            "section-begun" => self.begun(),
            "work-paused" => self.paused(),
            "section-done" => self.done(),
            "pad-cleaned" | "pad-swapped" => self.pad(id, kind == "pad-swapped"),
            "panel-wiped" => vec![Change::put(
                format!("/work/wiped/{}", pointer(self.key)),
                json!({ "at_ms": self.at_ms }),
            )],
            _ => self.again(),
        }
    }

    /// What is asked where the timer says much less than the plan, and before
    /// the first work after the record was signed.
    fn doubt(&self, kind: &str, visitor: &Visitor) -> Option<String> {
        if kind == "section-begun" && is_closed(self.kept) {
            return Some(visitor.say(past_say::SIGNED_ALREADY).to_owned());
        }
        if kind != "section-done" || done_of(self.kept, self.key).is_some() {
            return None;
        }
        let planned_s = (self.plan.step_of(self.key)?.minutes * 60.0).round();
        let gone_s = (spent_ms(self.kept, self.key) + self.ran_ms()) as f64 / 1000.0;
        let is_early = gone_s < EARLY_FRAC * planned_s;
        is_early.then(|| visitor.fill(checks::EARLY, &[&clock(planned_s), &clock(gone_s)]))
    }

    /// The first begin also fixes the plan that is worked to.
    fn begun(&self) -> Vec<Change> {
        let mut changes = Vec::new();
        if self.kept.document.pointer("/work/plan").is_none() {
            changes.push(Change::put("/work/plan", self.plan.to_json()));
        }
        if running_since(self.kept, self.key).is_none() {
            let now = json!({ "key": self.key, "since_ms": self.at_ms });
            changes.push(Change::put("/work/now", now));
        }
        changes
    }

    fn ran_ms(&self) -> i64 {
        let since = running_since(self.kept, self.key);
        since.map_or(0, |since| (self.at_ms - since).max(0))
    }

    fn paused(&self) -> Vec<Change> {
        let spent = spent_ms(self.kept, self.key) + self.ran_ms();
        vec![
            Change::put(format!("/work/spent/{}", pointer(self.key)), spent),
            Change::put("/work/now", Value::Null),
        ]
    }

    /// A second tap on a section that is done changes nothing.
    fn done(&self) -> Vec<Change> {
        if done_of(self.kept, self.key).is_some() {
            return Vec::new();
        }
        let took_ms = spent_ms(self.kept, self.key) + self.ran_ms();
        let minutes = (took_ms as f64 / 600.0).round() / 100.0;
        let planned_min = self.plan.step_of(self.key).map(|s| s.minutes);
        vec![
            Change::put(
                format!("/work/done/{}", pointer(self.key)),
                json!({ "at_ms": self.at_ms, "minutes": minutes, "planned_min": planned_min }),
            ),
            Change::put("/work/now", Value::Null),
        ]
    }

    fn pad(&self, id: &str, is_new: bool) -> Vec<Change> {
        let pad = self.plan.step_of(self.key).map(|s| s.pad.clone());
        vec![Change::put(
            format!("/work/pads/{}", pointer(id)),
            json!({ "before": self.key, "pad": pad, "is_new": is_new, "at_ms": self.at_ms }),
        )]
    }

    /// Opens the sections of the panel's last step again.
    fn again(&self) -> Vec<Change> {
        let of_panel = |s: &super::super::sections::Section<'_>| {
            s.step.panel == self.key && s.step.step_no == s.step.steps
        };
        let sections = self.plan.sections();
        let keys = sections.iter().filter(|s| of_panel(s)).map(|s| s.key());
        let mut changes = Vec::new();
        for key in keys.filter(|key| done_of(self.kept, key).is_some()) {
            let took = done_of(self.kept, &key).and_then(|d| d["minutes"].as_f64());
            let spent = took.map_or(0, |minutes| (minutes * 60_000.0) as i64);
            changes.push(Change::put(format!("/work/spent/{}", pointer(&key)), spent));
            changes.push(Change::remove(format!("/work/done/{}", pointer(&key))));
        }
        changes
    }
}
