//! The test spot of a job: one pass set up, places read before and after, and
//! what correction costs on this car.
//!
//! The page writes the same text that `lapwing trial` reads, and the same
//! function answers. What the customer chooses is an event: its calibration
//! and its wish feed the plan.
//! Left out: lamp photographs, which come with the photo store.
//! Checked by: `tests/web_trial.rs`.

mod answer;
mod spot;

use axum::extract::Path;
use axum::http::HeaderMap;
use axum::response::Response;
use lapwing_job::trial::pairs::{MOST_OFF_UM, PairSlip, slip_of};
use lapwing_store::Change;
use maud::{Markup, html};
use serde_json::{Value, json};

use self::spot::Spot;
use super::super::Bay;
use super::super::fields::{Fields, NumberField};
use super::super::later::later;
use super::super::numbers::Measure;
use super::super::page::{Page, edit_fields, number_pad, queue_line};
use super::super::refusal::Refusal;
use super::super::the_line::Station;
use super::super::visitor::Visitor;
use super::super::words::{Message, checks, jobs as jobs_say, stations as say};
use super::intake::pointer;
use super::readings::one_film_um;
use super::{Deed, Kept, already, edit_id, onward, past, perform};

/// Most pairs of one spot.
const MOST_PAIRS: usize = 60;

/// `GET /jobs/{job}/trial`.
pub(crate) async fn show(
    bay: Bay,
    visitor: Visitor,
    Path(job): Path<String>,
    fields: Fields,
) -> Result<Markup, Refusal> {
    let kept = Kept::load(&bay, &job).await?;
    let path = format!("/jobs/{job}/trial");
    let page = Page {
        title: kept.text("/glance/name"),
        beside: visitor.say(say::TRIAL_BESIDE),
        path: &path,
        line: Some(kept.line(&visitor, Station::Trial)),
        modules: &["queue.js", "later.js", "trial.js"],
        styles: &["tools.css", "jobs.css", "bench.css", "stations.css"],
    };
    let spot = Spot::of(&kept);
    let ready = match (&spot, fields.text("now")) {
        (Some(spot), Some(_)) if !has_bad_pair(&kept) => {
            Some(worked(&bay, &visitor, &kept, spot).await?)
        }
        _ => None,
    };
    let body = html! {
        div.wide data-job=(job) {
            (queue_line(&visitor))
            section.two {
                div {
                    @if has_bad_pair(&kept) {
                        p.fault role="alert" { (visitor.say(say::NO_ANSWER_YET)) }
                    } @else if spot.is_some() {
                        (later(&visitor, ("trial", &format!("{path}/answer")), ready.as_ref(), &path))
                    } @else {
                        p.lead { (visitor.say(say::SPOT_LEAD)) }
                    }
                }
                div {
                    @if spot.is_some() { (pairs(&visitor, &kept)) }
                    details open[spot.is_none()] {
                        summary { (visitor.say(say::SPOT_SETUP)) }
                        (spot::form(&visitor, &kept, spot.as_ref())?)
                    }
                }
            }
            @if spot.is_some() { (onward(&visitor, &job, &[("/plan", jobs_say::TO_PLAN)])) }
            (past(&visitor, &kept, &path))
            (number_pad(&visitor))
        }
    };
    Ok(page.around(&visitor, &body))
}

/// `GET /jobs/{job}/trial/answer`: the part that takes a second.
pub(crate) async fn answer(
    bay: Bay,
    visitor: Visitor,
    Path(job): Path<String>,
) -> Result<Markup, Refusal> {
    let kept = Kept::load(&bay, &job).await?;
    let spot = Spot::of(&kept).ok_or_else(|| Refusal::input(visitor.say(say::NO_SPOT)))?;
    worked(&bay, &visitor, &kept, &spot).await
}

async fn worked(bay: &Bay, visitor: &Visitor, kept: &Kept, spot: &Spot) -> Result<Markup, Refusal> {
    let text = text_of(bay, kept, spot).await?;
    let result = bay.plans.trial_of(text).await?;
    answer::content(visitor, kept, &result)
}

/// The text of the spot, with the film of its panel.
async fn text_of(bay: &Bay, kept: &Kept, spot: &Spot) -> Result<String, Refusal> {
    let film = if kept.count_readings() == 0 {
        None
    } else {
        Some(bay.plans.film_of(kept).await?)
    };
    let panel = film.as_ref().and_then(|film| film.panel(&spot.panel));
    Ok(spot.text(kept, panel))
}

fn pairs(visitor: &Visitor, kept: &Kept) -> Markup {
    let shown = Measure::Film.shown(visitor.units);
    let field = |key: &str, label| {
        html! {
            label { span { (visitor.say(label)) ", " (shown.unit) }
                input.big type="text" inputmode="decimal" name=(key) required autocomplete="off"
                    data-pad=(visitor.say(label)) data-unit=(shown.unit) data-digits=(shown.digits) data-high=(3000.0 * shown.factor); }
        }
    };
    let pairs = kept.entries("/trial/pairs");
    html! {
        section #pairs data-live aria-label=(visitor.say(say::PAIRS)) {
            h2 { (visitor.fill(say::PAIR_COUNT.of(pairs.len()), &[&pairs.len().to_string()])) }
            ol.marks {
                @for (id, pair) in &pairs {
                    @let bad = is_impossible(kept, pair);
                    li { @if bad { p.fault role="alert" { (bad_pair(visitor, pair)) } }
                        span { (visitor.with_unit(Measure::Film, pair["before_um"].as_f64().unwrap_or_default())) ", "
                            (visitor.say(say::AFTERWARDS)) " " (visitor.with_unit(Measure::Film, pair["after_um"].as_f64().unwrap_or_default())) }
                        form method="post" action=(format!("/jobs/{}/trial", kept.id)) data-queue {
                            (edit_fields(kept.version))
                            input type="hidden" name="deed" value="drop";
                            input type="hidden" name="pair" value=(id);
                            button.quiet.small { (visitor.say(if bad { checks::PAIR_OUT } else { jobs_say::REMOVE })) }
                        } }
                }
            }
        }
        form.reading-form method="post" action=(format!("/jobs/{}/trial", kept.id)) data-queue data-clears {
            (edit_fields(kept.version))
            input type="hidden" name="deed" value="pair";
            input type="hidden" name="unit" value=(shown.unit);
            p.note { (visitor.say(say::PAIR_NOTE)) }
            div.pair { (field("before", say::BEFORE)) (field("after", say::AFTER)) }
            button.main-deed { (visitor.say(say::ADD_PAIR)) }
        }
    }
}

fn has_bad_pair(kept: &Kept) -> bool {
    let pairs = kept.entries("/trial/pairs");
    pairs.iter().any(|(_, pair)| is_impossible(kept, pair))
}

fn is_impossible(kept: &Kept, pair: &Value) -> bool {
    let um = |key: &str| pair[key].as_f64().unwrap_or_default();
    let gauge_um = kept.document.pointer("/trial/setup/gauge_um");
    let gauge_um = gauge_um.and_then(Value::as_f64).unwrap_or(1.0);
    slip_of((um("before_um"), um("after_um")), gauge_um).is_some()
}

fn bad_pair(visitor: &Visitor, pair: &Value) -> String {
    let told = ["before_um", "after_um"]
        .map(|key| visitor.with_unit(Measure::Film, pair[key].as_f64().unwrap_or_default()));
    visitor.fill(checks::PAIR_BAD, &[&told[0], &told[1]])
}

/// `POST /jobs/{job}/trial`: sets the pass up, adds or drops a pair, or keeps
/// what the customer chose.
pub(crate) async fn act(
    bay: Bay,
    visitor: Visitor,
    Path(job): Path<String>,
    headers: HeaderMap,
    fields: Fields,
) -> Result<Response, Refusal> {
    let words = ["setup", "pair", "drop", "choose"].map(|w| (w, w));
    let deed = fields.word(("deed", say::PAIRS), &words, "pair", &visitor)?;
    let back = format!("/jobs/{job}/trial");
    let kept = Kept::load(&bay, &job).await?;
    let (kind, changes) = match deed {
        "setup" => {
            let setup = spot::read(&fields, &kept, &visitor)?;
            ("spot-set-up", vec![Change::put("/trial/setup", setup)])
        }
        "drop" => {
            let deed = (&*job, "pair-dropped", &*back);
            if let Some(again) = already(&bay, &headers, &fields, deed).await {
                return Ok(again);
            }
            let place = format!(
                "/trial/pairs/{}",
                pointer(fields.text("pair").unwrap_or_default())
            );
            if kept.document.pointer(&place).is_none() {
                return Err(Refusal::missing(visitor.say(jobs_say::NO_MARK)));
            }
            ("pair-dropped", vec![Change::remove(place)])
        }
        "choose" => {
            if let Some(again) =
                already(&bay, &headers, &fields, (&job, "spot-chosen", &back)).await
            {
                return Ok(again);
            }
            let choice = choice(&bay, &visitor, &kept, &fields).await?;
            ("spot-chosen", vec![Change::put("/trial/choice", choice)])
        }
        _ => ("pair-taken", vec![pair(&kept, &fields, &visitor)?]),
    };
    let deed = Deed {
        job: &job,
        kind,
        changes,
        back,
    };
    perform(&bay, &headers, &fields, deed).await
}

fn pair(kept: &Kept, fields: &Fields, visitor: &Visitor) -> Result<Change, Refusal> {
    if kept.entries("/trial/pairs").len() >= MOST_PAIRS {
        return Err(Refusal::input(visitor.say(say::PAIRS_ENOUGH)));
    }
    let before_um = reading(fields, visitor, ("before", say::BEFORE))?;
    let after_um = reading(fields, visitor, ("after", say::AFTER))?;
    if let Some(sentence) = impossible(visitor, kept, (before_um, after_um)) {
        return Err(Refusal::input(sentence));
    }
    Ok(Change::put(
        format!("/trial/pairs/{}", pointer(&edit_id(fields))),
        json!({ "before_um": before_um, "after_um": after_um }),
    ))
}

/// One of the two, refused with the name of its field.
fn reading(
    fields: &Fields,
    visitor: &Visitor,
    (key, label): (&str, Message),
) -> Result<f64, Refusal> {
    one_film_um(fields, visitor, (key, false)).map_err(|refusal| {
        let parts = [visitor.say(label), &refusal.sentence];
        Refusal::input(visitor.fill(checks::PAIR_FIELD, &parts))
    })
}

/// Why two readings make no pair, as the trial's reader would refuse them.
fn impossible(visitor: &Visitor, kept: &Kept, (before_um, after_um): (f64, f64)) -> Option<String> {
    let gauge_um = kept.document.pointer("/trial/setup/gauge_um");
    let gauge_um = gauge_um.and_then(Value::as_f64).unwrap_or(1.0);
    let film = |um: f64| visitor.with_unit(Measure::Film, um);
    let [before, after] = [say::BEFORE, say::AFTER].map(|label| visitor.say(label));
    let (low, high) = (film(before_um), film(after_um));
    match slip_of((before_um, after_um), gauge_um)? {
        PairSlip::Apart => {
            let parts = [before, &low, after, &high, &film(MOST_OFF_UM)];
            Some(visitor.fill(checks::PAIR_APART, &parts))
        }
        PairSlip::Grown => Some(visitor.fill(checks::PAIR_GROWN, &[after, &high, before, &low])),
    }
}

/// What was chosen, and what it teaches the plan.
async fn choice(
    bay: &Bay,
    visitor: &Visitor,
    kept: &Kept,
    fields: &Fields,
) -> Result<Value, Refusal> {
    let field = NumberField {
        key: "wish_pct",
        label: say::WISH,
        measure: Measure::Percent,
        range: (answer::WISHES_PCT.0, answer::WISHES_PCT.1),
    };
    let wish_pct = fields.number(&field, answer::USUAL_PCT, visitor)?;
    let spot = Spot::of(kept).ok_or_else(|| Refusal::input(visitor.say(say::NO_SPOT)))?;
    let text = text_of(bay, kept, &spot).await?;
    let result = bay.plans.trial_of(text).await?;
    let row = answer::row_of(&result, wish_pct);
    Ok(json!({
        "wish_frac": wish_pct / 100.0,
        "toml": result.calibration.toml,
        "panel": spot.panel,
        "passes": row.map(|r| r.passes),
        "removal_um": row.map(|r| r.removal_um),
        "minutes": row.map(|r| r.minutes),
    }))
}
