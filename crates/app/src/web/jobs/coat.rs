//! Coat: go or wait, and a countdown for every section that was laid.
//!
//! When a section was laid and levelled stands in the job's document, so that
//! a reload, a dead battery and a restart change nothing.
//! Left out: the sequence of laying, which comes with `lapwing coat`.
//! Checked by: `tests/web_coat.rs` and by looking.

use axum::extract::Path;
use axum::http::HeaderMap;
use axum::response::Response;
use lapwing_job::coat::{CoatDay, Reason, WaitFor, Windows};
use lapwing_job::record::job::Units;
use lapwing_store::Change;
use maud::{Markup, html};
use serde_json::{Value, json};

use super::super::Bay;
use super::super::entry::{entered, entry, origin, units_field};
use super::super::fields::{Fields, NumberField};
use super::super::numbers::Measure;
use super::super::page::{Page, edit_fields, queue_line};
use super::super::refusal::Refusal;
use super::super::the_line::Station;
use super::super::visitor::Visitor;
use super::super::words::{Message, checks, coat as say, frame};
use super::asked::{self, Doubt};
use super::intake::{panel, panel_choice, pointer};
use super::{Deed, Kept, already, edit_id, now_ms, onward, past, perform};
use crate::commands;

const fn field(
    key: &'static str,
    label: Message,
    measure: Measure,
    range: (f64, f64),
) -> NumberField {
    NumberField {
        key,
        label,
        measure,
        range,
    }
}

const CLIMATE: [NumberField; 3] = [
    field("air_c", say::AIR, Measure::Temperature, (-20.0, 50.0)),
    field(
        "humidity_pct",
        say::HUMIDITY,
        Measure::Percent,
        (1.0, 100.0),
    ),
    field(
        "surface_c",
        say::SURFACE,
        Measure::Temperature,
        (-20.0, 50.0),
    ),
];
/// What a data sheet says, with common practice where none is at hand.
const SHEET: [(NumberField, f64); 7] = [
    (
        field(
            "air_from_c",
            say::AIR_FROM,
            Measure::Temperature,
            (-20.0, 50.0),
        ),
        18.0,
    ),
    (
        field("air_to_c", say::AIR_TO, Measure::Temperature, (-20.0, 50.0)),
        27.0,
    ),
    (
        field(
            "humidity_from_pct",
            say::HUMIDITY_FROM,
            Measure::Percent,
            (0.0, 100.0),
        ),
        40.0,
    ),
    (
        field(
            "humidity_to_pct",
            say::HUMIDITY_TO,
            Measure::Percent,
            (0.0, 100.0),
        ),
        65.0,
    ),
    (
        field(
            "level_after_s",
            say::LEVEL_AFTER,
            Measure::Seconds,
            (5.0, 3600.0),
        ),
        60.0,
    ),
    (
        field("open_s", say::OPEN_TIME, Measure::Seconds, (10.0, 7200.0)),
        180.0,
    ),
    (
        field("dry_h", say::KEEP_DRY, Measure::Hours, (0.0, 240.0)),
        24.0,
    ),
];
/// Older readings of the bay are doubted.
const OLD_MS: i64 = 30 * 60 * 1000;

/// `GET /jobs/{job}/coat`.
pub(crate) async fn show(
    bay: Bay,
    visitor: Visitor,
    Path(job): Path<String>,
) -> Result<Markup, Refusal> {
    let kept = Kept::load(&bay, &job).await?;
    let judged = judged(&kept)?;
    let path = format!("/jobs/{job}/coat");
    let page = Page {
        title: kept.text("/glance/name"),
        beside: visitor.say(say::BESIDE),
        path: &path,
        line: Some(kept.line(&visitor, Station::Coat)),
        modules: &["queue.js", "coat.js"],
        styles: &["tools.css", "jobs.css", "rooms.css"],
    };
    let body = html! {
        div.column data-job=(job) {
            (queue_line(&visitor))
            section #verdict data-live { (verdict(&visitor, &kept, judged.as_ref())) }
            section #laid data-live { (running(&visitor, &kept)) }
            div #lay data-live { (lay_form(&visitor, &kept, judged.as_ref())) }
            (bay_form(&visitor, &kept))
            section #levelled data-live { (levelled(&visitor, &kept)) }
            (onward(&visitor, &job, &[("/prove", frame::PROVE)]))
            (past(&visitor, &kept, &path))
        }
    };
    Ok(page.around(&visitor, &body))
}

fn of_sheet(kept: &Kept, key: &str) -> f64 {
    let usual = SHEET.iter().find(|(f, _)| f.key == key);
    let typed = kept.document["coat"]["sheet"][key].as_f64();
    typed.unwrap_or(usual.map_or(0.0, |(_, v)| *v))
}

/// Whether somebody said that the limits are those of a data sheet; what only
/// was sent along with the form is the usual, whatever its numbers.
fn is_sheet(kept: &Kept) -> bool {
    let sheet = &kept.document["coat"]["sheet"];
    sheet["is_from_sheet"].as_bool().unwrap_or_else(|| {
        sheet.is_object() && SHEET.iter().any(|(f, v)| sheet[f.key].as_f64() != Some(*v))
    })
}

fn judged(kept: &Kept) -> Result<Option<CoatDay>, Refusal> {
    let coat = &kept.document["coat"];
    let read = |key: &str| coat["climate"][key].as_f64();
    let Some(((air, humidity), surface)) = read("air_c")
        .zip(read("humidity_pct"))
        .zip(read("surface_c"))
    else {
        return Ok(None);
    };
    let sheet = |key: &str| of_sheet(kept, key);
    let windows = Windows {
        air_c: (sheet("air_from_c"), sheet("air_to_c")),
        humidity_frac: (
            sheet("humidity_from_pct") / 100.0,
            sheet("humidity_to_pct") / 100.0,
        ),
        is_from_sheet: is_sheet(kept),
    };
    Ok(Some(commands::coat::judge(
        (air, humidity, surface),
        &windows,
    )?))
}

fn verdict(visitor: &Visitor, kept: &Kept, judged: Option<&CoatDay>) -> Markup {
    let Some(day) = judged else {
        return html! { p.lead { (visitor.say(say::NOT_JUDGED)) } };
    };
    let at_ms = kept.document["coat"]["climate"]["at_ms"]
        .as_i64()
        .unwrap_or(0);
    let age_ms = (now_ms() - at_ms).max(0);
    let minutes = format!("{}\u{a0}min", visitor.number((age_ms / 60_000) as f64, 0));
    let kelvin = |k: f64| visitor.with_unit_to(Measure::Difference, k, 1);
    html! {
        p.verdict.go[day.is_go].wait[!day.is_go] { (visitor.say(if day.is_go { say::GO } else { say::WAIT })) }
        @if !day.is_go { ul.reasons { @for reason in &day.reasons { li { (why(visitor, reason, is_sheet(kept))) } } } }
        dl.figures {
            div { dt { (visitor.say(say::DEW_POINT)) } dd { (visitor.with_unit_to(Measure::Temperature, day.dew_point_c, 1)) } }
            div { dt { (visitor.say(say::MARGIN)) } dd { (kelvin(day.margin_k)) small { (visitor.fill(say::MARGIN_UNSURE, &[&kelvin(day.margin_unsure_k), &kelvin(3.0)])) } } }
            div { dt { (visitor.say(say::COLDEST)) } dd { (visitor.with_unit_to(Measure::Temperature, day.coldest_surface_c, 1)) } }
        }
        @if day.is_close { p.caution { (visitor.say(say::CLOSE)) } }
        @if age_ms > OLD_MS { p.caution { (visitor.fill(say::READ_AT, &[&minutes])) " " (visitor.say(say::OLD)) } }
        @else { p.note { (visitor.fill(say::READ_AT, &[&minutes])) } }
        @if !is_sheet(kept) { p.note { (visitor.say(say::NO_SHEET)) " " (origin(visitor, day.windows_provenance)) } }
    }
}

fn why(visitor: &Visitor, reason: &Reason, is_sheet: bool) -> String {
    let (sheet, usual, measure, times) = match reason.wait_for {
        WaitFor::WarmerSurface => (
            say::SURFACE_COLD,
            say::SURFACE_COLD,
            Measure::Difference,
            1.0,
        ),
        WaitFor::WarmerAir => (say::AIR_COLD, checks::USUAL_COLD, Measure::Temperature, 1.0),
        WaitFor::CoolerAir => (say::AIR_WARM, checks::USUAL_WARM, Measure::Temperature, 1.0),
        WaitFor::MoisterAir => (say::AIR_DRY, checks::USUAL_DRY, Measure::Percent, 100.0),
        WaitFor::DrierAir => (say::AIR_MOIST, checks::USUAL_MOIST, Measure::Percent, 100.0),
    };
    let is_under = reason.wait_for == WaitFor::WarmerSurface && reason.now < 0.0;
    let words = match (is_under, is_sheet) {
        (true, _) => say::SURFACE_UNDER,
        (false, true) => sheet,
        (false, false) => usual,
    };
    let now = if is_under { -reason.now } else { reason.now };
    let shown = |value: f64| visitor.with_unit_to(measure, value * times, 1);
    visitor.fill(words, &[&shown(now), &shown(reason.limit)])
}

/// Sections that wait to be levelled, the oldest first.
fn running(visitor: &Visitor, kept: &Kept) -> Markup {
    let mut open: Vec<(&String, &Value)> = kept.entries("/coat/sections");
    open.retain(|(_, s)| s["levelled_ms"].is_null());
    open.sort_by_key(|(_, s)| s["laid_ms"].as_i64());
    html! {
        h2 { (visitor.say(say::SECTIONS)) }
        @if open.is_empty() { p { (visitor.say(say::NO_SECTIONS)) } }
        ul.countdowns {
            @for (id, section) in open {
                li data-laid=(section["laid_ms"]) data-now=(now_ms()) data-level=(section["level_after_s"]) data-open=(section["open_s"])
                    data-soon=(visitor.say(say::LEVEL_IN)) data-due=(visitor.say(say::LEVEL_NOW)) data-past=(visitor.say(say::PAST_OPEN)) {
                    p { b { (visitor.panel(section["panel"].as_str().unwrap_or_default())) } " " span.state { (visitor.say(say::LEVEL_IN)) } }
                    p.count role="timer" { (clock(&visitor.number(section["level_after_s"].as_f64().unwrap_or(0.0), 0))) }
                    (deed_form(visitor, kept, ("level", say::LEVELLED), id))
                }
            }
        }
    }
}

fn clock(seconds: &str) -> String {
    format!("{seconds}\u{a0}s")
}

fn deed_form(visitor: &Visitor, kept: &Kept, (deed, name): (&str, Message), id: &str) -> Markup {
    html! {
        form method="post" action=(format!("/jobs/{}/coat", kept.id)) data-queue {
            (edit_fields(kept.version))
            input type="hidden" name="deed" value=(deed);
            input type="hidden" name="section" value=(id);
            button.quiet[deed == "remove"].small[deed == "remove"] { (visitor.say(name)) }
        }
    }
}

fn lay_form(visitor: &Visitor, kept: &Kept, judged: Option<&CoatDay>) -> Markup {
    let question = doubt(judged);
    html! {
        form.mark-form method="post" action=(format!("/jobs/{}/coat", kept.id)) data-queue
            data-ask=[question.map(|q| visitor.say(q))] data-anyway=(visitor.say(checks::LAID_ANYWAY)) {
            (edit_fields(kept.version))
            input type="hidden" name="deed" value="lay";
            (panel_choice(visitor, kept))
            button.main-deed { (visitor.say(say::LAY)) }
        }
    }
}

/// What is asked before a section is laid.
fn doubt(judged: Option<&CoatDay>) -> Option<Message> {
    match judged {
        None => Some(checks::UNJUDGED),
        Some(day) if !day.is_go => Some(checks::JUDGED_WAIT),
        Some(_) => None,
    }
}

fn bay_form(visitor: &Visitor, kept: &Kept) -> Markup {
    let coat = &kept.document["coat"];
    html! {
        form.readings method="post" action=(format!("/jobs/{}/coat", kept.id)) data-queue {
            (edit_fields(kept.version)) (units_field(visitor))
            input type="hidden" name="deed" value="read";
            h2 { (visitor.say(say::BAY_NOW)) }
            div.pair { @for field in &CLIMATE { (entry(visitor, field, coat["climate"][field.key].as_f64())) } }
            details open[!coat["sheet"].is_object()] { summary { (visitor.say(if is_sheet(kept) { say::SHEET } else { checks::USUAL_LIMITS })) }
                @if !is_sheet(kept) {
                    label.tick { input type="checkbox" name="from_sheet" value="yes"; span { (visitor.say(checks::FROM_SHEET)) } }
                }
                div.pair { @for (field, usual) in &SHEET {
                    (entry(visitor, field, Some(coat["sheet"][field.key].as_f64().unwrap_or(*usual)))) } } }
            button { (visitor.say(say::JUDGE)) }
        }
    }
}

fn levelled(visitor: &Visitor, kept: &Kept) -> Markup {
    let mut done: Vec<(&String, &Value)> = kept.entries("/coat/sections");
    done.retain(|(_, s)| s["levelled_ms"].is_i64());
    done.sort_by_key(|(_, s)| -s["levelled_ms"].as_i64().unwrap_or(0));
    let last_ms = done.first().and_then(|(_, s)| s["levelled_ms"].as_i64());
    let dry_ms = (of_sheet(kept, "dry_h") * 3_600_000.0) as i64;
    let left_ms = last_ms.map(|last| last + dry_ms - now_ms());
    html! {
        @if let Some(left_ms) = left_ms {
            h2 { (visitor.say(say::DONE_LIST)) }
            @if left_ms > 0 { p.lead { (visitor.fill(say::DRY_FOR, &[&hours_minutes(left_ms)])) } }
            @else { p.lead { (visitor.say(if is_sheet(kept) { say::DRY_DONE } else { checks::DRY_USUAL_DONE })) } }
        }
        ul.marks { @for (id, section) in done {
            @let open_s = (section["levelled_ms"].as_i64().unwrap_or(0) - section["laid_ms"].as_i64().unwrap_or(0)) / 1000;
            li { span { b { (visitor.panel(section["panel"].as_str().unwrap_or_default())) } ", "
                    (visitor.fill(say::TOOK, &[&format!("{}:{:02}\u{a0}min", open_s / 60, open_s.rem_euclid(60))])) }
                (deed_form(visitor, kept, ("remove", say::TAKE_BACK), id)) }
        } }
    }
}

fn hours_minutes(ms: i64) -> String {
    let minutes = (ms + 59_999) / 60_000;
    format!("{}\u{a0}h {:02}\u{a0}min", minutes / 60, minutes % 60)
}

/// `POST /jobs/{job}/coat`: reads the bay, lays, levels or removes a section.
pub(crate) async fn act(
    bay: Bay,
    visitor: Visitor,
    Path(job): Path<String>,
    headers: HeaderMap,
    fields: Fields,
) -> Result<Response, Refusal> {
    let words = ["read", "lay", "level", "remove"].map(|w| (w, w));
    let deed = fields.word(("deed", say::SECTIONS), &words, "read", &visitor)?;
    let back = format!("/jobs/{job}/coat");
    for kind in ["section-levelled", "section-unlaid"] {
        if let Some(again) = already(&bay, &headers, &fields, (&job, kind, &back)).await {
            return Ok(again);
        }
    }
    let kept = Kept::load(&bay, &job).await?;
    let said = fields.text("said_ms").and_then(|v| v.parse::<i64>().ok());
    let at_ms = said.unwrap_or_else(now_ms).min(now_ms());
    let (kind, changes) = match deed {
        "read" => ("bay-read", read(&fields, at_ms, &visitor)?),
        "lay" => {
            let panel = panel(&bay, &job, &fields, &visitor).await?;
            if let Some(question) = doubt(judged(&kept)?.as_ref())
                && asked::is_unasked(&headers, &fields)
            {
                let question = format!("{}: {}", visitor.panel(&panel), visitor.say(question));
                let doubt = Doubt {
                    question,
                    anyway: checks::LAID_ANYWAY,
                    back: &back,
                };
                return Ok(asked::page(&visitor, &kept, &doubt, &fields));
            }
            let sheet = |key: &str| of_sheet(&kept, key);
            let section = json!({ "panel": panel, "laid_ms": at_ms, "levelled_ms": null,
                "level_after_s": sheet("level_after_s"), "open_s": sheet("open_s") });
            let place = format!("/coat/sections/{}", pointer(&edit_id(&fields)));
            ("section-laid", vec![Change::put(place, section)])
        }
        other => {
            let id = fields.text("section").unwrap_or_default();
            let place = format!("/coat/sections/{}", pointer(id));
            // A queue may send the laying just before the levelling.
            if kept.document.pointer(&place).is_none() {
                return Err(Refusal::missing(visitor.say(say::NO_SECTION)));
            }
            match other {
                "level" => (
                    "section-levelled",
                    vec![Change::put(format!("{place}/levelled_ms"), at_ms)],
                ),
                _ => ("section-unlaid", vec![Change::remove(place)]),
            }
        }
    };
    let deed = Deed {
        job: &job,
        kind,
        changes,
        back,
    };
    perform(&bay, &headers, &fields, deed).await
}

fn read(fields: &Fields, at_ms: i64, visitor: &Visitor) -> Result<Vec<Change>, Refusal> {
    if CLIMATE.iter().any(|f| fields.text(f.key).is_none()) {
        return Err(Refusal::input(visitor.say(say::NOT_JUDGED)));
    }
    let mut climate = json!({ "at_ms": at_ms });
    for field in &CLIMATE {
        climate[field.key] = json!(entered(fields, field, 0.0, visitor)?);
    }
    let mut changes = vec![Change::put("/coat/climate", climate)];
    if SHEET.iter().any(|(f, _)| fields.text(f.key).is_some()) {
        let mut sheet = json!({});
        for (field, usual) in &SHEET {
            sheet[field.key] = json!(entered(fields, field, *usual, visitor)?);
        }
        for (from, to) in [(0, 1), (2, 3), (4, 5)] {
            let [(from, _), (to, _)] = [&SHEET[from], &SHEET[to]];
            if sheet[from.key].as_f64() > sheet[to.key].as_f64() {
                let names = [visitor.say(from.label), visitor.say(to.label)];
                return Err(Refusal::input(visitor.fill(say::WRONG_WAY, &names)));
            }
        }
        // Numbers that were only sent along, as they were shown, are nobody's.
        let is_changed = SHEET.iter().any(|(f, usual)| {
            // A bound that was shown rounded comes back rounded.
            let shown = f.measure.shown(Units::Us);
            let slack = 0.51 * 0.1_f64.powi(shown.digits as i32) / shown.factor.abs();
            sheet[f.key]
                .as_f64()
                .is_some_and(|v| (v - usual).abs() > slack)
        });
        let is_said = fields.text("from_sheet").is_some();
        sheet["is_from_sheet"] = json!(is_said || is_changed);
        changes.push(Change::put("/coat/sheet", sheet));
    }
    Ok(changes)
}

/// Sections laid, in words for the line.
pub(crate) fn figure(visitor: &Visitor, kept: &Kept) -> Option<String> {
    let count = kept.entries("/coat/sections").len();
    (count > 0).then(|| visitor.fill(say::LAID.of(count), &[&visitor.number(count as f64, 0)]))
}
