//! Wash, decontamination and clay: a checklist with minutes and amounts.
//!
//! Source: order and usual amounts are common practice.
//! Checked by: `tests/web_jobs.rs`.

use axum::extract::Path;
use axum::http::HeaderMap;
use axum::response::Response;
use lapwing_store::Change;
use maud::{Markup, html};
use serde_json::{Value, json};

use super::super::Bay;
use super::super::fields::{Fields, NumberField};
use super::super::numbers::Measure;
use super::super::page::{Page, edit_fields, queue_line};
use super::super::refusal::Refusal;
use super::super::the_line::Station;
use super::super::visitor::Visitor;
use super::super::words::{Message, jobs as say};
use super::{Deed, Kept, onward, past, perform};

/// A thing to do: its key, name, what it uses, usual minutes and amount.
type Item = (&'static str, Message, &'static str, f64, f64);

const ITEMS: [Item; 8] = [
    ("rinse", say::RINSE, "l", 10.0, 40.0),
    ("foam", say::FOAM, "ml", 10.0, 80.0),
    ("wash", say::HAND_WASH, "ml", 25.0, 30.0),
    ("iron", say::IRON, "ml", 15.0, 250.0),
    ("tar", say::TAR, "ml", 10.0, 100.0),
    ("clay", say::CLAY, "g", 45.0, 50.0),
    ("dry", say::DRY, "", 15.0, 0.0),
    ("wipe", say::WIPE, "ml", 15.0, 60.0),
];

/// `GET /jobs/{job}/wash`.
pub(crate) async fn show(
    bay: Bay,
    visitor: Visitor,
    Path(job): Path<String>,
) -> Result<Markup, Refusal> {
    let kept = Kept::load(&bay, &job).await?;
    let path = format!("/jobs/{job}/wash");
    let page = Page {
        title: kept.text("/glance/name"),
        beside: visitor.say(say::WASH_BESIDE),
        path: &path,
        line: Some(kept.line(&visitor, Station::Intake)),
        modules: &["queue.js"],
        styles: &["tools.css", "jobs.css"],
    };
    let next = ITEMS
        .iter()
        .map(|item| item.0)
        .find(|key| !is_done(&kept, key));
    let body = html! {
        div.column data-job=(job) {
            (queue_line(&visitor))
            ol.checklist #wash data-live {
                @for item in &ITEMS { (line(&visitor, &kept, item, next == Some(item.0))) }
            }
            p.note { (visitor.say(say::WASH_NOTE)) }
            (onward(&visitor, &job, &[("/readings", say::TO_READINGS)]))
            (past(&visitor, &kept, &path))
        }
    };
    Ok(page.around(&visitor, &body))
}

fn is_done(kept: &Kept, key: &str) -> bool {
    let done = kept.document.pointer(&format!("/wash/{key}"));
    done.is_some_and(|d| d["is_done"] == true)
}

fn line(
    visitor: &Visitor,
    kept: &Kept,
    (key, name, unit, minutes, amount): &Item,
    is_next: bool,
) -> Markup {
    let done = kept.document.pointer(&format!("/wash/{key}"));
    let is_done = is_done(kept, key);
    let number = |field: &str, usual: f64| {
        let value = done.and_then(|d| d[field].as_f64()).unwrap_or(usual);
        visitor.number(value, 0)
    };
    html! {
        li.done[is_done] {
            form method="post" action=(format!("/jobs/{}/wash", kept.id)) data-queue {
                (edit_fields(kept.version))
                input type="hidden" name="item" value=(key);
                input type="hidden" name="is_done" value=(if is_done { "no" } else { "yes" });
                h2 { (visitor.say(*name)) @if is_done { " " span.plate.open { (visitor.say(say::DONE)) } } }
                div.row {
                    label { span { (visitor.say(say::MINUTES)) } input type="text" inputmode="decimal" name="minutes" value=(number("minutes", *minutes)) autocomplete="off"; }
                    @if !unit.is_empty() {
                        label { span { (visitor.say(say::AMOUNT)) ", " (unit) } input type="text" inputmode="decimal" name="amount" value=(number("amount", *amount)) autocomplete="off"; }
                    }
                    button.quiet[!is_next] { (visitor.say(if is_done { say::NOT_DONE } else { say::TICK })) }
                }
            }
        }
    }
}

/// `POST /jobs/{job}/wash`: ticks one.
pub(crate) async fn tick(
    bay: Bay,
    visitor: Visitor,
    Path(job): Path<String>,
    headers: HeaderMap,
    fields: Fields,
) -> Result<Response, Refusal> {
    let items = ITEMS.map(|item| (item.0, item));
    let item = fields.word(("item", say::ITEM), &items, ITEMS[0], &visitor)?;
    let is_done = fields.word(
        ("is_done", say::DONE),
        &[("yes", true), ("no", false)],
        true,
        &visitor,
    )?;
    let number = |key, label, most, usual| {
        let field = NumberField {
            key,
            label,
            measure: Measure::Count,
            range: (0.0, most),
        };
        fields.number(&field, usual, &visitor)
    };
    let entry: Value = json!({
        "is_done": is_done,
        "minutes": number("minutes", say::MINUTES, 1440.0, item.3)?,
        "amount": number("amount", say::AMOUNT, 100_000.0, item.4)?,
        "unit": item.2,
    });
    let deed = Deed {
        job: &job,
        kind: "wash-ticked",
        changes: vec![Change::put(format!("/wash/{}", item.0), entry)],
        back: format!("/jobs/{job}/wash"),
    };
    perform(&bay, &headers, &fields, deed).await
}
