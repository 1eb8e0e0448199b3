//! The past of a job: what waits for a decision, the last deeds with an undo
//! each, and on a page of its own every deed with who did it and when.
//!
//! Law: none; a deed is undone by another one, and nothing is ever taken out
//! of the history.
//! Holds: times are shown in universal time, as the store notes them.
//! Checked by: `tests/web_history.rs`.

use axum::extract::Path;
use lapwing_store::{Change, Conflict, Event, PastDeed, Standing};
use maud::{Markup, html};
use serde_json::Value;

use super::super::Bay;
use super::super::days;
use super::super::fields::{Fields, short};
use super::super::numbers::Measure;
use super::super::page::{Page, edit_fields, queue_line};
use super::super::refusal::Refusal;
use super::super::shop::{self, SHOP};
use super::super::visitor::Visitor;
use super::super::words::{
    checks, coat as coat_say, frame, handover, jobs as say, past as past_say, proof as proof_say,
    shop as shop_say, stations,
};
use super::{Kept, intake};

/// The deed that nobody takes back: another record can be signed instead.
pub(super) const SIGNING: &str = "record-signed";
/// Deeds on a page of the history.
const ON_A_PAGE: i64 = 40;

/// What waits for a decision, and the last deeds with an undo each.
pub(crate) fn past(visitor: &Visitor, kept: &Kept, back: &str) -> Markup {
    html! {
        section #past.past data-live aria-label=(visitor.say(say::PAST)) {
            @for conflict in &kept.conflicts { (conflict_of(visitor, kept, conflict)) }
            h2 { (visitor.say(say::PAST)) }
            ol.deeds-done {
                @for (at, event) in kept.latest.iter().enumerate() {
                    li { span { (deed_name(visitor, &event.kind)) @if let Some(which) = which(visitor, event) { ": " (which) } }
                        (take_back(visitor, kept, (event, &kept.latest[..at]), back)) }
                }
            }
            @if kept.version > kept.latest.len() as i64 {
                p { a.all-deeds href=(history_of(&kept.id)) { (visitor.fill(past_say::ALL_DEEDS, &[&visitor.number(kept.version as f64, 0)])) } }
            }
        }
    }
}

fn history_of(job: &str) -> String {
    if job == SHOP {
        return "/shop/history".to_owned();
    }
    format!("/jobs/{job}/history")
}

/// The undo of a deed that can be taken back.
fn take_back(
    visitor: &Visitor,
    kept: &Kept,
    (deed, newer): (&PastDeed, &[PastDeed]),
    back: &str,
) -> Markup {
    html! {
        @if may_go(kept, deed, newer) {
            form method="post" action=(format!("/jobs/{}/undo", kept.id)) data-queue {
                (edit_fields(kept.version))
                input type="hidden" name="event" value=(deed.id);
                input type="hidden" name="back" value=(back);
                button.quiet.small { (visitor.say(say::UNDO)) }
            }
        }
    }
}

/// Whether a deed may be taken back: it is in force, nothing newer has touched
/// its places or taken it back, and it is no signature.
fn may_go(kept: &Kept, deed: &PastDeed, newer: &[PastDeed]) -> bool {
    let is_aside = kept.conflicts.iter().any(|c| c.mine.id == deed.id);
    let is_touched = || {
        let inverse: Vec<Change> = deed.changes.iter().map(Change::inverse).collect();
        newer
            .iter()
            .flat_map(|one| &one.changes)
            .any(|theirs| inverse.iter().any(|mine| mine.is_in_the_way_of(theirs)))
    };
    deed.undoes.is_none()
        && deed.settles.is_none()
        && deed.version > 1
        && deed.kind != SIGNING
        && !is_aside
        && !newer
            .iter()
            .any(|one| one.undoes.as_ref() == Some(&deed.id))
        && !is_touched()
}

/// `GET /jobs/{job}/history`: every deed of a job, newest first.
pub(crate) async fn history(
    bay: Bay,
    visitor: Visitor,
    Path(job): Path<String>,
    fields: Fields,
) -> Result<Markup, Refusal> {
    let kept = Kept::load(&bay, &job).await?;
    let title = kept.text("/glance/name").to_owned();
    whole(&bay, &visitor, (&kept, &title), &fields).await
}

/// `GET /shop/history`: every deed on kit, rates and pace.
pub(crate) async fn shop_history(
    bay: Bay,
    visitor: Visitor,
    fields: Fields,
) -> Result<Markup, Refusal> {
    let kept = shop::load(&bay).await?;
    whole(&bay, &visitor, (&kept, visitor.say(frame::SHOP)), &fields).await
}

async fn whole(
    bay: &Bay,
    visitor: &Visitor,
    (kept, title): (&Kept, &str),
    fields: &Fields,
) -> Result<Markup, Refusal> {
    let before = fields.text("before").and_then(|v| v.parse::<i64>().ok());
    let newest = before.map_or(kept.version, |b| b.saturating_sub(1).clamp(0, kept.version));
    let oldest = (newest - ON_A_PAGE).max(0);
    // The newer ones too: they say what can still be taken back.
    let most = usize::try_from(kept.version - oldest).unwrap_or(0);
    let mut deeds: Vec<(Event, PastDeed)> = Vec::new();
    if newest > oldest {
        let events = bay.shop.changes_since(&kept.id, oldest, most).await?;
        deeds.extend(events.into_iter().rev().map(|e| (e.clone(), deed_of(e))));
    }
    let (events, past): (Vec<Event>, Vec<PastDeed>) = deeds.into_iter().unzip();
    let first = events.partition_point(|event| event.version > newest);
    let people = bay.shop.people().await?;
    let name = |who: &str| {
        let found = people.iter().find(|p| p.id == who);
        found.map_or_else(
            || visitor.say(past_say::AT_THE_BAY).to_owned(),
            |p| p.name.clone(),
        )
    };
    let path = history_of(&kept.id);
    let home = if kept.id == SHOP {
        "/shop".to_owned()
    } else {
        format!("/jobs/{}", kept.id)
    };
    let page = Page {
        title,
        beside: visitor.say(past_say::TITLE),
        path: &path,
        line: None,
        modules: &["queue.js"],
        styles: &["tools.css", "jobs.css"],
    };
    let body = html! {
        div.column data-job=[(kept.id != SHOP).then_some(&kept.id)] {
            (queue_line(visitor))
            p.note { (visitor.say(past_say::LEAD)) }
            ol.deeds-done #history data-live {
                @for (at, event) in events.iter().enumerate().skip(first) {
                    (line(visitor, kept, (event, &name(&event.who)), (&past[at], &past[..at], &path))) }
            }
            div.deeds {
                @if before.is_some() { a.button.quiet href=(path) { (visitor.say(past_say::NEWEST)) } }
                @if oldest > 0 { a.button.quiet href=(format!("{path}?before={}", oldest + 1)) { (visitor.say(past_say::OLDER)) } }
                a.button.quiet href=(home) { (visitor.say(past_say::BACK)) }
            }
        }
    };
    Ok(page.around(visitor, &body))
}

fn deed_of(event: Event) -> PastDeed {
    PastDeed {
        version: event.version,
        id: event.id,
        kind: event.kind,
        undoes: event.undoes,
        settles: event.settles,
        changes: event.changes,
    }
}

fn line(
    visitor: &Visitor,
    kept: &Kept,
    (event, name): (&Event, &str),
    (deed, newer, path): (&PastDeed, &[PastDeed], &str),
) -> Markup {
    html! {
        li { span { (deed_name(visitor, &deed.kind)) @if let Some(which) = which(visitor, deed) { ": " (which) }
                br; small { (days::moment(visitor, event.at_ms)) " · " (name) } }
            @if event.standing == Standing::Kept { (take_back(visitor, kept, (deed, newer), path)) } }
    }
}

fn conflict_of(visitor: &Visitor, kept: &Kept, conflict: &Conflict) -> Markup {
    let told = |event: &Event| -> String {
        let value = |change: &Change| match change {
            Change::Put { put, value, .. } => format!("{put} = {}", cut(&value.to_string())),
            Change::Remove { remove, .. } => format!("{remove} –"),
        };
        event
            .changes
            .iter()
            .map(value)
            .collect::<Vec<_>>()
            .join("; ")
    };
    html! {
        div.caution role="alert" {
            p { b { (visitor.say(say::CONFLICT)) } }
            p { (visitor.say(say::MINE)) ": " code { (told(&conflict.mine)) } }
            @for event in &conflict.theirs { p { (visitor.say(say::THEIRS)) ": " code { (told(event)) } } }
            form.deeds method="post" action=(format!("/jobs/{}/settle", kept.id)) {
                (edit_fields(kept.version))
                input type="hidden" name="settles" value=(conflict.mine.id);
                button name="take" value="theirs" { (visitor.say(say::KEEP)) }
                button.quiet name="take" value="mine" { (visitor.say(say::USE_MINE)) }
            }
        }
    }
}

/// A value as far as a person reads it.
fn cut(text: &str) -> String {
    const MOST: usize = 300;
    let mut out: String = text.chars().take(MOST).collect();
    if text.chars().count() > MOST {
        out.push('…');
    }
    out
}

/// Which one an event was about: the panel, with what was noted there.
fn which(visitor: &Visitor, deed: &PastDeed) -> Option<String> {
    let mut told = deed.changes.iter().filter_map(|change| {
        let (place, value) = match change {
            Change::Put { put, value, .. } if !value.is_null() => (put, value),
            Change::Put { put, was, .. } => (put, was.first()?),
            Change::Remove { remove, was } => (remove, was.first()?),
        };
        which_one(visitor, place, value)
    });
    let first = told.next()?;
    match told.count() {
        0 => Some(first),
        more => Some(visitor.fill(past_say::AND_MORE, &[&first, &more.to_string()])),
    }
}

fn which_one(visitor: &Visitor, place: &str, value: &Value) -> Option<String> {
    let text = |key: &str| value[key].as_str();
    let done = place.strip_prefix("/work/done/");
    let section = done.or_else(|| place.strip_prefix("/work/spent/"));
    let section = section.or_else(|| text("key")).and_then(|key| {
        let mut parts = key.rsplitn(3, '-');
        let (number, _step, panel) = (parts.next()?, parts.next()?, parts.next()?);
        Some(format!("{} {number}", visitor.panel(panel)))
    });
    let panel = text("panel").map(|panel| visitor.panel(panel));
    let parts = [
        panel
            .or(section)
            .or_else(|| text("file").map(str::to_owned)),
        text("kind").and_then(|kind| intake::kind_name(visitor, kind)),
        values(visitor, value),
        text("note").filter(|n| !n.is_empty()).map(short),
    ];
    let told: Vec<String> = parts.into_iter().flatten().collect();
    (!told.is_empty()).then(|| told.join(", "))
}

/// The numbers of a deed, in the visitor's units.
fn values(visitor: &Visitor, value: &Value) -> Option<String> {
    let told = |key: &str, measure: Measure| {
        let number = value[key].as_f64();
        number.map(|n| visitor.with_unit(measure, n))
    };
    if let (Some(before), Some(after)) = (
        told("before_um", Measure::Film),
        told("after_um", Measure::Film),
    ) {
        return Some(visitor.fill(past_say::FROM_TO, &[&before, &after]));
    }
    let parts = [
        told("um", Measure::Film),
        told("gu", Measure::Count),
        told("air_c", Measure::Temperature),
        told("humidity_pct", Measure::Percent),
        told("minutes", Measure::Minutes),
    ];
    let parts: Vec<String> = parts.into_iter().flatten().collect();
    (!parts.is_empty()).then(|| parts.join(", "))
}

fn deed_name<'a>(visitor: &Visitor, kind: &'a str) -> &'a str {
    let message = match kind {
        "job-opened" => say::DEED_OPENED,
        "mark-made" => say::DEED_MARK,
        "mark-removed" => say::DEED_UNMARK,
        "reading-taken" => say::DEED_READING,
        "wash-ticked" => say::DEED_WASH,
        "section-begun" => say::DEED_BEGUN,
        "section-done" => say::DEED_DONE,
        "work-paused" => say::DEED_PAUSED,
        "pad-cleaned" => say::DEED_PAD,
        "folder-imported" => handover::DEED_BROUGHT,
        "record-signed" => handover::DEED,
        "photo-kept" => proof_say::DEED_PHOTO,
        "photo-removed" => proof_say::DEED_UNPHOTO,
        "after-read" => proof_say::DEED_AFTER,
        "gloss-read" => proof_say::DEED_GLOSS,
        "bay-read" => coat_say::DEED_CLIMATE,
        "section-laid" => coat_say::DEED_LAID,
        "section-levelled" => coat_say::DEED_LEVELLED,
        "section-unlaid" => coat_say::DEED_UNLAID,
        "shop-changed" => shop_say::DEED_SHOP,
        "pad-swapped" => stations::DEED_SWAP,
        "panel-wiped" => stations::DEED_WIPED,
        "panel-again" => stations::DEED_AGAIN,
        "table-imported" => stations::DEED_TABLE,
        "table-removed" => checks::DEED_TABLE_OUT,
        "after-dropped" => checks::DEED_AFTER_OUT,
        "spot-set-up" => stations::DEED_SPOT,
        "pair-taken" => stations::DEED_PAIR,
        "pair-dropped" => stations::DEED_UNPAIR,
        "spot-chosen" => stations::DEED_CHOSEN,
        "kit-taken" => stations::DEED_KIT,
        "plan-adopted" => stations::DEED_PLAN,
        "price-accepted" => stations::DEED_PRICE,
        "panels-given" => past_say::DEED_PANELS,
        "reading-dropped" => past_say::DEED_READING_OUT,
        "undo" => say::DEED_UNDO,
        "settled" => say::DEED_SETTLED,
        other => return other,
    };
    visitor.say(message)
}
