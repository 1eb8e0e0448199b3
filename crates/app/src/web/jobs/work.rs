//! Work mode: the next section in large type, its timer, budgets as bars.
//!
//! All that matters stands in the job's document: what runs and since when,
//! what is done. A reload, a dead battery and a restart change nothing.
//! Left out: a tone; budgets show the plan, not a sensor.
//! Checked by: `tests/web_jobs.rs` and by looking.

use axum::extract::Path;
use axum::http::HeaderMap;
use axum::response::Response;
use lapwing_store::Change;
use maud::{Markup, html};
use serde_json::{Value, json};
use uom::si::thermodynamic_temperature::degree_celsius;

use super::super::Bay;
use super::super::fields::Fields;
use super::super::numbers::Measure;
use super::super::page::{Page, edit_fields};
use super::super::plan::Shelved;
use super::super::refusal::Refusal;
use super::super::the_line::Station;
use super::super::visitor::Visitor;
use super::super::words::{Message, jobs as say};
use super::intake::pointer;
use super::sections::{Section, sections};
use super::{Deed, Kept, edit_id, now_ms, past, perform};

/// `GET /jobs/{job}/work`.
pub(crate) async fn show(
    bay: Bay,
    visitor: Visitor,
    Path(job): Path<String>,
) -> Result<Markup, Refusal> {
    let kept = Kept::load(&bay, &job).await?;
    let shelved = bay.plans.of_kept(&kept, &visitor).await?;
    let path = format!("/jobs/{job}/work");
    let page = Page {
        title: kept.text("/glance/name"),
        beside: visitor.say(say::WORK_BESIDE),
        path: &path,
        line: Some(kept.line(&visitor, Station::Work)),
        modules: &["queue.js", "work.js"],
        styles: &["tools.css", "jobs.css"],
    };
    let body = html! {
        div.column.work-mode data-job=(job) {
            p.queue role="status" hidden data-one=(visitor.say(say::WAITING)) {}
            div #now data-live { (now(&visitor, &kept, &shelved)) }
            (past(&visitor, &kept, &path))
        }
    };
    Ok(page.around(&visitor, &body))
}

fn now(visitor: &Visitor, kept: &Kept, shelved: &Shelved) -> Markup {
    let all = sections(&shelved.planned.plan);
    let is_done = |section: &Section<'_>| {
        let place = format!("/work/done/{}", pointer(&section.key()));
        kept.document.pointer(&place).is_some()
    };
    let mut open = all.iter().filter(|section| !is_done(section));
    let done = all.len() - open.clone().count();
    let Some(next) = open.next() else {
        return html! { p.lead { (visitor.say(say::ALL_DONE)) } };
    };
    html! {
        p.note { (visitor.say(say::NOW)) " · " (visitor.fill(say::SECTION_OF_ALL, &[&(done + 1).to_string(), &all.len().to_string()])) }
        p.work-title lang="en" { (next.panel.spoken) }
        p.work-title { (next.number) " " small { (visitor.fill(say::OF, &[&next.panel.sections.to_string()])) } }
        (timer(visitor, kept, next))
        p.work-step { b lang="en" { (next.step.step) ": " (next.step.pad) ", " (next.step.abrasive) } br;
            span lang="en" { (next.step.machine) } ", " (visitor.with_unit(Measure::Turns, next.step.speed_rpm)) ", "
            (visitor.fill(say::PASSES, &[&next.step.passes.to_string(), &visitor.with_unit(Measure::ArmSpeed, next.step.arm_speed_mm_s)])) }
        @if let Some(then) = open.next() {
            p.then { (visitor.say(say::THEN)) " " span lang="en" { (then.panel.spoken) } " " (then.number)
                @if then.step.pad != next.step.pad { ", " (visitor.say(say::SWAP_PAD)) } }
        }
        (budgets(visitor, next, shelved))
        (deeds(visitor, kept, next))
    }
}

/// The timer: running since the moment the job's document says.
fn timer(visitor: &Visitor, kept: &Kept, next: &Section<'_>) -> Markup {
    let now = kept.document.pointer("/work/now");
    let since = now
        .filter(|n| n["key"] == next.key().as_str())
        .and_then(|n| n["since_ms"].as_i64())
        .map(|s| s - earlier_ms(&kept.document, &next.key()));
    let planned_s = (next.minutes() * 60.0).round();
    let clock = |seconds: f64| format!("{}:{:02}", (seconds / 60.0).floor(), seconds as i64 % 60);
    let gone_s = since.map_or(0.0, |s| (now_ms() - s).max(0) as f64 / 1000.0);
    html! {
        p.timer data-since=[since] data-now=(now_ms()) role="timer" { (clock(gone_s)) }
        p.note { (visitor.fill(say::OF, &[&clock(planned_s)])) }
    }
}

fn budgets(visitor: &Visitor, next: &Section<'_>, shelved: &Shelved) -> Markup {
    let film = |um: f64| visitor.with_unit(Measure::Film, um);
    let heat = |c: f64| visitor.with_unit(Measure::Temperature, c);
    let stop_c = shelved.job.rules.heat_stop.get::<degree_celsius>();
    let shakes = |a: f64| visitor.with_unit(Measure::Vibration, a);
    let person = shelved.planned.plan.people.first();
    html! {
        div.budgets {
            @if let (Some(removal), Some(budget)) = (next.panel.removal_um, next.panel.budget_um) {
                (bar(visitor, say::FILM, (removal.upper_95, &film(removal.upper_95)), (budget, &film(budget))))
            }
            (bar(visitor, say::SURFACE, (next.step.peak_upper_c, &heat(next.step.peak_upper_c)), (stop_c, &heat(stop_c))))
            @if let Some(day) = person {
                (bar(visitor, say::HANDS, (day.a8_m_s2, &shakes(day.a8_m_s2)), (2.5, &shakes(2.5))))
            }
        }
    }
}

/// Planned, hatched, towards a wall.
fn bar(
    visitor: &Visitor,
    name: Message,
    (planned, planned_words): (f64, &str),
    (limit, limit_words): (f64, &str),
) -> Markup {
    let most = 1.15 * planned.max(limit).max(1e-9);
    let along = |value: f64| format!("{:.1}", 358.0 * (value / most).clamp(0.0, 1.0));
    let words = visitor.fill(say::PLANNED_LIMIT, &[planned_words, limit_words]);
    html! {
        div.budget {
            p { b { (visitor.say(name)) } " " small { (words) } }
            svg viewBox="0 0 358 26" preserveAspectRatio="none" role="img" aria-label=(format!("{}: {words}", visitor.say(name))) {
                rect x="0" y="4" width="358" height="18" fill="#e4eae7" {}
                @for stripe in 0..60 {
                    @let x = f64::from(stripe) * 6.0;
                    @if x < 358.0 * (planned / most).clamp(0.0, 1.0) {
                        path d=(format!("M{x:.0} 22l5 -18")) stroke="#3e5257" stroke-width="2" fill="none" {}
                    }
                }
                path d=(format!("M{} 0V26", along(limit))) stroke="#922022" stroke-width="5" fill="none" {}
            }
        }
    }
}

fn deeds(visitor: &Visitor, kept: &Kept, next: &Section<'_>) -> Markup {
    let is_running = kept.document.pointer("/work/now/key") == Some(&Value::from(next.key()));
    let form = |deed: &str, name: Message, class: &str| {
        html! {
            form class=(class) method="post" action=(format!("/jobs/{}/work", kept.id)) data-queue {
                (edit_fields(kept.version))
                input type="hidden" name="key" value=(next.key());
                input type="hidden" name="planned_s" value=((next.minutes() * 60.0).round());
                input type="hidden" name="deed" value=(deed);
                button { (visitor.say(name)) }
            }
        }
    };
    html! {
        div.work-deeds {
            @if is_running {
                (form("pause", say::STOP, "stop"))
                (form("done", say::SECTION_DONE, "done"))
            } @else {
                (form("pad", say::PAD_CLEAN, "stop"))
                (form("begin", say::BEGIN, "done"))
            }
        }
    }
}

/// `POST /jobs/{job}/work`: begins, pauses or ends a section, or notes a pad.
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
    let words = ["begin", "pause", "done", "pad"].map(|w| (w, w));
    let deed = fields.word(("deed", say::NOW), &words, "begin", &visitor)?;
    let said = fields.text("said_ms").and_then(|v| v.parse::<i64>().ok());
    let at_ms = said.unwrap_or_else(now_ms);
    let place = format!("/work/done/{}", pointer(key));
    let document = bay.shop.state(&job).await?.document;
    let spent_ms = spent_ms(&document, key, at_ms);
    let (kind, changes) = match deed {
        "begin" => (
            "section-begun",
            vec![Change::put(
                "/work/now",
                json!({ "key": key, "since_ms": at_ms }),
            )],
        ),
        "pause" => {
            let spent = spent_ms.map(|ms| Change::put(format!("/work/spent/{}", pointer(key)), ms));
            let mut changes = vec![Change::put("/work/now", Value::Null)];
            changes.extend(spent);
            ("work-paused", changes)
        }
        "done" => (
            "section-done",
            vec![
                Change::put(
                    place,
                    json!({ "at_ms": at_ms, "minutes": spent_ms.map(|ms| ms as f64 / 60_000.0), "planned_min": planned_min(&fields) }),
                ),
                Change::put("/work/now", Value::Null),
            ],
        ),
        _ => (
            "pad-cleaned",
            vec![Change::put(
                format!("/work/pads/{}", pointer(&edit_id(&fields))),
                json!({ "before": key, "at_ms": at_ms }),
            )],
        ),
    };
    let deed = Deed {
        job: &job,
        kind,
        changes,
        back: format!("/jobs/{job}/work"),
    };
    perform(&bay, &headers, &fields, deed).await
}

/// Milliseconds on a section before its last pause.
fn earlier_ms(document: &Value, key: &str) -> i64 {
    let place = format!("/work/spent/{}", pointer(key));
    document
        .pointer(&place)
        .and_then(Value::as_i64)
        .unwrap_or(0)
}

/// Milliseconds on a section up to now; nothing when it was never begun.
fn spent_ms(document: &Value, key: &str, at_ms: i64) -> Option<i64> {
    let earlier = earlier_ms(document, key);
    let now = document.pointer("/work/now").filter(|n| n["key"] == key);
    let running = now
        .and_then(|n| n["since_ms"].as_i64())
        .map(|since| (at_ms - since).max(0));
    (running.is_some() || earlier > 0).then(|| earlier + running.unwrap_or(0))
}

/// What the plan said, as the page showed it; for the shop's pace.
fn planned_min(fields: &Fields) -> Option<f64> {
    let seconds: f64 = fields.text("planned_s")?.parse().ok()?;
    (1.0..=86_400.0)
        .contains(&seconds)
        .then_some(seconds / 60.0)
}
