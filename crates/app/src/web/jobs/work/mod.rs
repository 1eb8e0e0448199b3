//! Work mode: the next section in large type, its timer, the pad, the wipe
//! check, budgets as bars.
//!
//! All that matters stands in the job's document: what runs and since when,
//! what is done and how long it took, when a pad was cleaned or swapped. A
//! reload, a dead battery and a restart change nothing.
//! Law: minutes of a section = the stretches between begin and stop or done,
//! by the device's clock put right by the server's.
//! Left out: a tone; heat is the plan's upper end, not a sensor.
//! Checked by: `tests/web_work.rs`, `tests/web_jobs.rs` and by looking.

mod act;
mod bars;

use axum::extract::Path;
use maud::{Markup, html};
use serde_json::Value;

pub(crate) use self::act::act;
use super::super::Bay;
use super::super::numbers::Measure;
use super::super::page::{Page, edit_fields, queue_line};
use super::super::refusal::Refusal;
use super::super::the_line::Station;
use super::super::visitor::Visitor;
use super::super::words::{Message, checks, frame, jobs as say, past as past_say, stations};
use super::intake::pointer;
use super::sections::{Section, WorkPlan, WorkStep};
use super::{Kept, marked, now_ms, onward, past};

/// Under this share of the planned time it is asked whether a section is done.
const EARLY_FRAC: f64 = 0.5;

/// `GET /jobs/{job}/work`.
pub(crate) async fn show(
    bay: Bay,
    visitor: Visitor,
    Path(job): Path<String>,
) -> Result<Markup, Refusal> {
    let kept = Kept::load(&bay, &job).await?;
    let has_plan = kept.document.pointer("/work/plan").is_some();
    let plan = if has_plan || !kept.text("/folder/job.toml").is_empty() {
        Some(plan_of(&bay, &kept, &visitor).await?)
    } else {
        None
    };
    let path = format!("/jobs/{job}/work");
    let page = Page {
        title: kept.text("/glance/name"),
        beside: visitor.say(say::WORK_BESIDE),
        path: &path,
        line: Some(kept.line(&visitor, Station::Work)),
        modules: &["queue.js", "work.js"],
        styles: &["tools.css", "jobs.css", "stations.css"],
    };
    let body = html! {
        div.column.work-mode data-job=(job) {
            (queue_line(&visitor))
            p.error role="alert" hidden id="awake" { (visitor.say(stations::SCREEN_MAY_SLEEP)) }
            div #unread data-live { @if kept.count_readings() == 0 {
                p.caution role="alert" { b { (visitor.say(checks::NO_READINGS)) } " "
                    a href=(format!("/jobs/{job}/readings")) { (visitor.say(say::TO_READINGS)) } } } }
            div #now data-live {
                @match &plan {
                    Some(plan) => (now(&visitor, &kept, plan)?),
                    None => { p.lead { (visitor.say(stations::SHOP_FIRST)) } (onward(&visitor, &job, &[("/plan", say::TO_PLAN)])) }
                }
            }
            (past(&visitor, &kept, &path))
        }
    };
    Ok(page.around(&visitor, &body))
}

/// The plan that the job holds to, or the one its input gives.
async fn plan_of(bay: &Bay, kept: &Kept, visitor: &Visitor) -> Result<WorkPlan, Refusal> {
    if let Some(plan) = WorkPlan::of_document(&kept.document) {
        return Ok(plan);
    }
    let shelved = bay.plans.of_kept(kept, visitor).await?;
    Ok(WorkPlan::of(&shelved.planned.plan, &shelved.job))
}

/// What is done of a plan.
struct Standing<'a> {
    all: Vec<Section<'a>>,
    done: usize,
    next: Option<Section<'a>>,
    then: Option<Section<'a>>,
    /// A panel whose last section is done and that nobody wiped and looked at.
    to_wipe: Option<&'a WorkStep>,
}

impl<'a> Standing<'a> {
    fn of(kept: &Kept, plan: &'a WorkPlan) -> Self {
        let all = plan.sections();
        let is_done = |s: &&Section<'_>| done_of(kept, &s.key()).is_some();
        let mut open = all.iter().filter(|s| !is_done(s)).copied();
        let (next, then) = (open.next(), open.next());
        let done = all.iter().filter(is_done).count();
        let is_wiped = |panel: &str| {
            let place = format!("/work/wiped/{}", pointer(panel));
            kept.document.pointer(&place).is_some()
        };
        let mut last = plan.steps.iter().filter(|s| s.step_no == s.steps);
        let to_wipe = last.find(|step| {
            let of_panel = all.iter().filter(|s| s.step.panel == step.panel);
            of_panel.clone().all(|s| is_done(&s)) && !is_wiped(&step.panel)
        });
        Self {
            done,
            next,
            then,
            to_wipe,
            all,
        }
    }
}

fn done_of<'a>(kept: &'a Kept, key: &str) -> Option<&'a Value> {
    kept.document
        .pointer(&format!("/work/done/{}", pointer(key)))
}

fn now(visitor: &Visitor, kept: &Kept, plan: &WorkPlan) -> Result<Markup, Refusal> {
    let standing = Standing::of(kept, plan);
    if let Some(step) = standing.to_wipe {
        return Ok(wipe(visitor, kept, step));
    }
    let Some(next) = standing.next else {
        return Ok(html! {
            p.lead { (visitor.say(say::ALL_DONE)) } (measured(visitor, kept))
            (onward(visitor, &kept.id, &[("/coat", frame::COAT), ("/prove", frame::PROVE)]))
        });
    };
    let step = next.step;
    let count = (standing.done + 1).to_string();
    Ok(html! {
        p.note { (visitor.say(say::NOW)) " · " (visitor.fill(say::SECTION_OF_ALL, &[&count, &standing.all.len().to_string()])) }
        p.work-title { (visitor.panel_named(&step.panel, &step.spoken)) }
        p.work-title { (next.number) " " small { (visitor.fill(say::OF, &[&step.sections.to_string()])) } }
        (marked::on_panel(visitor, kept, &step.panel))
        (timer(visitor, kept, &next))
        p.work-step { b { (visitor.thing(&step.step)) ": " (step.pad) ", " (step.abrasive) } br;
            (step.machine) ", " (visitor.with_unit(Measure::Turns, step.speed_rpm)) ", "
            (visitor.fill(say::PASSES, &[&step.passes.to_string(), &visitor.with_unit(Measure::ArmSpeed, step.arm_mm_s)])) }
        @if let Some(then) = &standing.then {
            p.then { (visitor.say(say::THEN)) " " (visitor.panel_named(&then.step.panel, &then.step.spoken)) " " (then.number)
                @if then.step.pad != step.pad { ", " (visitor.say(say::SWAP_PAD)) } }
        }
        (bars::budgets(visitor, kept, (plan, &next))?)
        (pad(visitor, kept, (plan, step), &next.key()))
        (deeds(visitor, kept, &next))
    })
}

/// Wipe the panel, look under the lamp, and say whether it is as wished.
fn wipe(visitor: &Visitor, kept: &Kept, step: &WorkStep) -> Markup {
    html! {
        p.note { (visitor.say(stations::WIPE_CHECK)) }
        p.work-title { (visitor.panel_named(&step.panel, &step.spoken)) }
        p.work-step { (visitor.say(stations::WIPE_WORDS)) }
        div.work-deeds {
            (deed(visitor, kept, ("again", &step.panel), (stations::WORK_AGAIN, "stop")))
            (deed(visitor, kept, ("wiped", &step.panel), (stations::AS_WISHED, "done")))
        }
    }
}

/// The timer: what ran before, and since the moment the document says.
fn timer(visitor: &Visitor, kept: &Kept, next: &Section<'_>) -> Markup {
    let key = next.key();
    let since = running_since(kept, &key);
    let spent_ms = spent_ms(kept, &key);
    let gone_ms = spent_ms + since.map_or(0, |s| (now_ms() - s).max(0));
    html! {
        p.timer data-since=[since.map(|s| s - spent_ms)] data-now=(now_ms()) role="timer" { (clock(gone_ms as f64 / 1000.0)) }
        p.note { (visitor.fill(say::OF, &[&clock((next.step.minutes * 60.0).round())])) }
    }
}

fn clock(seconds: f64) -> String {
    format!("{}:{:02}", (seconds / 60.0).floor(), seconds as i64 % 60)
}

/// Since when a section runs, if it does.
fn running_since(kept: &Kept, key: &str) -> Option<i64> {
    let now = kept.document.pointer("/work/now")?;
    now["since_ms"].as_i64().filter(|_| now["key"] == key)
}

/// Whether the record is signed and nothing was worked since.
fn is_closed(kept: &Kept) -> bool {
    let Some(signed_ms) = kept
        .document
        .pointer("/handover/at_ms")
        .and_then(Value::as_i64)
    else {
        return false;
    };
    let done = kept.entries("/work/done");
    let mut since = done.iter().filter_map(|(_, d)| d["at_ms"].as_i64());
    !since.any(|at_ms| at_ms > signed_ms)
}

/// What a section took before the last stop, ms.
fn spent_ms(kept: &Kept, key: &str) -> i64 {
    let place = format!("/work/spent/{}", pointer(key));
    let spent = kept.document.pointer(&place).and_then(Value::as_i64);
    spent.unwrap_or(0)
}

/// Sections since the pad was new or clean.
fn pad(visitor: &Visitor, kept: &Kept, (plan, step): (&WorkPlan, &WorkStep), key: &str) -> Markup {
    let cared = kept.entries("/work/pads");
    let last = |is_new: bool| {
        let of_pad = cared
            .iter()
            .filter(|(_, p)| p["pad"] == step.pad.as_str() && (p["is_new"] == true || !is_new));
        of_pad
            .filter_map(|(_, p)| p["at_ms"].as_i64())
            .max()
            .unwrap_or(0)
    };
    let since = |at_ms: i64| {
        let done = kept.entries("/work/done").into_iter();
        done.filter(|(key, d)| {
            d["at_ms"].as_i64().unwrap_or(0) > at_ms
                && plan.step_of(key).is_some_and(|s| s.pad == step.pad)
        })
        .count()
    };
    let (since_new, since_clean) = (since(last(true)), since(last(false)));
    let is_due = step.pad_sections > 0.0 && since_new as f64 >= step.pad_sections;
    let most = visitor.number(step.pad_sections, 0);
    html! {
        div.pad-care {
            p { b { (step.pad) } ": "
                (visitor.fill(stations::PAD_SINCE, &[&since_clean.to_string(), &since_new.to_string(), &most]))
                @if is_due { " " span.plate.next { (visitor.say(stations::SWAP_NOW)) } } }
            div.deeds {
                (deed(visitor, kept, ("pad", key), (say::PAD_CLEAN, "small-deed")))
                (deed(visitor, kept, ("swap", key), (stations::PAD_SWAP, "small-deed")))
            }
        }
    }
}

/// One deed as a form of its own.
fn deed(
    visitor: &Visitor,
    kept: &Kept,
    (deed, key): (&str, &str),
    (name, class): (Message, &str),
) -> Markup {
    let deed = Asking {
        deed,
        key,
        early: None,
        is_closed: false,
    };
    asking(visitor, kept, &deed, (name, class))
}

/// A deed, with what is asked first where the timer says much less than the
/// plan, the planned time and its seconds; or after the record was signed.
struct Asking<'a> {
    deed: &'a str,
    key: &'a str,
    early: Option<(String, f64)>,
    is_closed: bool,
}

fn asking(
    visitor: &Visitor,
    kept: &Kept,
    deed: &Asking<'_>,
    (name, class): (Message, &str),
) -> Markup {
    let Asking {
        deed,
        key,
        early,
        is_closed,
    } = deed;
    let early = early.as_ref();
    let words = early.map(|(planned, _)| visitor.fill(checks::EARLY, &[planned, "{0}"]));
    let anyway = match (early, is_closed) {
        (_, true) => Some(visitor.say(past_say::BEGIN_ANYWAY)),
        (Some(_), false) => Some(visitor.say(checks::DONE_ANYWAY)),
        (None, false) => None,
    };
    html! {
        form class=(class) method="post" action=(format!("/jobs/{}/work", kept.id)) data-queue
            data-early=[words] data-under-s=[early.map(|(_, seconds)| seconds * EARLY_FRAC)]
            data-ask=[is_closed.then(|| visitor.say(past_say::SIGNED_ALREADY))]
            data-anyway=[anyway] {
            (edit_fields(kept.version))
            input type="hidden" name="key" value=(key);
            input type="hidden" name="deed" value=(deed);
            button { (visitor.say(name)) }
        }
    }
}

fn deeds(visitor: &Visitor, kept: &Kept, next: &Section<'_>) -> Markup {
    let key = next.key();
    let is_running = running_since(kept, &key).is_some();
    let planned_s = (next.step.minutes * 60.0).round();
    let done = Asking {
        deed: "done",
        key: &key,
        early: Some((clock(planned_s), planned_s)),
        is_closed: false,
    };
    let begin = Asking {
        deed: "begin",
        key: &key,
        early: None,
        is_closed: is_closed(kept),
    };
    html! {
        div.work-deeds {
            @if is_running {
                (deed(visitor, kept, ("pause", &key), (say::STOP, "stop")))
                (asking(visitor, kept, &done, (say::SECTION_DONE, "done")))
            } @else {
                (asking(visitor, kept, &begin, (say::BEGIN, "done whole")))
            }
        }
    }
}

/// What the sections took, beside nothing: the next plan learns from it.
fn measured(visitor: &Visitor, kept: &Kept) -> Markup {
    let done = kept.entries("/work/done");
    let minutes: f64 = done.iter().filter_map(|(_, d)| d["minutes"].as_f64()).sum();
    html! { p { (visitor.fill(stations::TOOK_IN_ALL, &[&visitor.with_unit(Measure::Minutes, minutes), &done.len().to_string()])) } }
}
