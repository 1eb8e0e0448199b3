//! The shop's kit, rates and learned pace: one document of the shop, kept in
//! the store like a job, with a history and an undo of its own.
//!
//! Left out: people, who belong to the accounts.
//! Checked by: `tests/web_shop.rs`.

pub(crate) mod kit;
pub(crate) mod practice;
mod starter;
mod view;

use axum::http::{HeaderMap, StatusCode};
use axum::response::Response;
use lapwing_job::work::{LEAST_SECTIONS, TimedSection, pace};
use lapwing_store::{Change, JobQuery, StoreError};
use maud::Markup;
use serde_json::{Value, json};

use super::Bay;
use super::entry::{entered, plain};
use super::fields::{Fields, NumberField, short};
use super::jobs::given::GAUGE;
use super::jobs::stage::HANDED_OVER;
use super::jobs::{Deed, Kept, edit_id, now_ms, perform};
use super::numbers::Measure;
use super::refusal::Refusal;
use super::visitor::{UNIT_WORDS, Visitor};
use super::words::{Message, shop as say};

/// The document's name in the store; no job has it.
pub(crate) const SHOP: &str = "shop";

/// So many jobs are looked at for the pace.
const LOOKED_AT: usize = 60;

/// The rates, their names and largest values.
const RATES: [(&str, Message, f64); 10] = [
    ("labour_per_hour", say::LABOUR, 100_000.0),
    ("cost_per_hour", say::COST, 100_000.0),
    ("overhead_per_hour", say::OVERHEAD, 100_000.0),
    ("contingency_pct", say::CONTINGENCY, 100.0),
    ("tax_pct", say::TAX, 100.0),
    ("cloth", say::CLOTH, 10_000.0),
    ("clay_per_100_g", say::CLAY, 10_000.0),
    ("wipe_per_litre", say::WIPE, 10_000.0),
    ("coating_per_10_ml", say::COATING, 10_000.0),
    ("tape_per_m", say::TAPE, 10_000.0),
];

fn rate_field(key: &'static str, label: Message, most: f64) -> NumberField {
    NumberField {
        key,
        label,
        measure: match key {
            "contingency_pct" | "tax_pct" => Measure::Percent,
            "clay_per_100_g" => Measure::PriceOf100G,
            "wipe_per_litre" => Measure::PriceOfLitre,
            "coating_per_10_ml" => Measure::PriceOf10Ml,
            "tape_per_m" => Measure::PriceOfMetre,
            _ => Measure::Count,
        },
        range: (0.0, most),
    }
}

/// The shop's document; empty before the first word of it.
pub(crate) async fn load(bay: &Bay) -> Result<Kept, Refusal> {
    match bay.shop.state(SHOP).await {
        Ok(_) => Kept::load_any(bay, SHOP).await,
        Err(StoreError::NotThere { .. }) => Ok(Kept::empty(SHOP)),
        Err(error) => Err(error.into()),
    }
}

/// `GET /shop`.
pub(crate) async fn show(bay: Bay, visitor: Visitor) -> Result<Markup, Refusal> {
    Ok(view::page(&visitor, &load(&bay).await?, None))
}

/// `POST /shop`: one change of the kit, the rates or the pace.
pub(crate) async fn change(
    bay: Bay,
    visitor: Visitor,
    headers: HeaderMap,
    fields: Fields,
) -> Result<Response, Refusal> {
    let words = [
        "rates", "gauge", "machine", "pad", "abrasive", "remove", "starter", "learn",
    ]
    .map(|w| (w, w));
    let what = fields.word(("what", say::WHAT), &words, "rates", &visitor)?;
    let kept = load(&bay).await?;
    let changes = match changes(&bay, &visitor, (&kept, &fields), what).await {
        Ok(changes) => changes,
        Err(refusal) if refusal.status == StatusCode::UNPROCESSABLE_ENTITY => {
            let sentence = visitor.retold_or(&refusal.sentence);
            let fault = view::Fault {
                what,
                sentence: &sentence,
                fields: &fields,
            };
            let page = view::page(&visitor, &kept, Some(&fault));
            return Ok(refusal.at_the_form(page));
        }
        Err(refusal) => return Err(refusal),
    };
    let deed = Deed {
        job: SHOP,
        kind: "shop-changed",
        changes,
        back: "/shop".to_owned(),
    };
    perform(&bay, &headers, &fields, deed).await
}

async fn changes(
    bay: &Bay,
    visitor: &Visitor,
    (kept, fields): (&Kept, &Fields),
    what: &str,
) -> Result<Vec<Change>, Refusal> {
    let changes = match what {
        "rates" => vec![Change::put("/rates", rates(fields, visitor)?)],
        "gauge" => vec![gauge(fields, visitor)?],
        "remove" => vec![removal(kept, fields, visitor)?],
        "starter" => starter::changes(),
        "learn" => vec![learnt(bay, visitor).await?],
        list => {
            let entry = match list {
                "machine" => kit::machine(fields, visitor)?,
                "pad" => kit::pad(kept, fields, visitor)?,
                _ => kit::abrasive(kept, fields, visitor)?,
            };
            vec![Change::put(format!("/{list}s/{}", edit_id(fields)), entry)]
        }
    };
    practice::refuse_what_a_plan_refuses(kept, &changes)?;
    Ok(changes)
}

fn rates(fields: &Fields, visitor: &Visitor) -> Result<Value, Refusal> {
    let currency = plain(fields, "currency", 20).to_uppercase();
    if currency.len() != 3 || !currency.bytes().all(|b| b.is_ascii_uppercase()) {
        let sentence = visitor.fill(say::NO_CURRENCY, &[&short(&currency)]);
        return Err(Refusal::input(sentence));
    }
    let units = UNIT_WORDS.map(|(word, _)| (word, word));
    let units = fields.word(("on_paper", say::UNITS), &units, "metric", visitor)?;
    let mut all = json!({ "currency": currency, "units": units });
    for (key, label, most) in RATES {
        all[key] = json!(entered(
            fields,
            &rate_field(key, label, most),
            0.0,
            visitor
        )?);
    }
    Ok(all)
}

/// How well the shop's gauge repeats; left empty, nobody knows.
fn gauge(fields: &Fields, visitor: &Visitor) -> Result<Change, Refusal> {
    if fields.text(GAUGE.key).is_none() {
        return Ok(Change::put("/gauge", json!({})));
    }
    let um = entered(fields, &GAUGE, 1.0, visitor)?;
    Ok(Change::put("/gauge", json!({ "gauge_um": um })))
}

/// A machine that a pad fits, or a pad that an abrasive goes with, stays.
fn removal(kept: &Kept, fields: &Fields, visitor: &Visitor) -> Result<Change, Refusal> {
    let lists = ["machines", "pads", "abrasives"].map(|w| (w, w));
    let list = fields.word(("list", say::WHAT), &lists, "machines", visitor)?;
    let id = fields.text("entry").unwrap_or_default();
    let entries = kept.entries(&format!("/{list}"));
    let (id, entry) = entries
        .into_iter()
        .find(|(known, _)| *known == id)
        .ok_or_else(|| Refusal::missing(visitor.say(say::NOT_THERE)))?;
    let (users, key) = match list {
        "machines" => ("/pads", "fits"),
        _ => ("/abrasives", "with"),
    };
    let leans = |user: &Value| {
        let named = user[key].as_array();
        named.is_some_and(|ids| ids.iter().any(|i| i == id.as_str()))
    };
    let user = kept
        .entries(users)
        .into_iter()
        .find(|(_, user)| leans(user));
    if let (true, Some((_, user))) = (list != "abrasives", user) {
        let name = |of: &Value| of["name"].as_str().unwrap_or_default().to_owned();
        let parts = [name(entry), name(user)];
        let sentence = visitor.fill(say::STILL_USED, &[&parts[0], &parts[1]]);
        return Err(Refusal::input(sentence));
    }
    Ok(Change::remove(format!("/{list}/{id}")))
}

/// Looks through the last jobs for sections timed from begin to done.
async fn learnt(bay: &Bay, visitor: &Visitor) -> Result<Change, Refusal> {
    let mut timed = Vec::new();
    let query = JobQuery {
        most: 500,
        ..JobQuery::default()
    };
    let has_work = |glance: &Value| {
        ["work", "coat", "prove", HANDED_OVER]
            .contains(&glance["stage"].as_str().unwrap_or_default())
    };
    let jobs = bay.shop.jobs(&query).await?;
    let worked = jobs.iter().filter(|job| has_work(&job.glance));
    for job in worked.take(LOOKED_AT) {
        let state = bay.shop.state(&job.id).await?;
        let done = state.at("/work/done").and_then(Value::as_object);
        for section in done.into_iter().flat_map(|d| d.values()) {
            let minutes = |key: &str| section[key].as_f64();
            if let (Some(planned_min), Some(measured_min)) =
                (minutes("planned_min"), minutes("minutes"))
            {
                timed.push(TimedSection {
                    car: job.id.clone(),
                    planned_min,
                    measured_min,
                });
            }
        }
    }
    let pace = pace(&timed).ok_or_else(|| {
        let forgotten = timed.iter().filter(|t| !t.is_believed()).count();
        let counts = [timed.len(), timed.len() - forgotten, LEAST_SECTIONS].map(|n| n.to_string());
        let [timed, counted, least] = counts.each_ref().map(String::as_str);
        let parts = [timed, counted, &forgotten.to_string(), least];
        Refusal::input(visitor.fill(say::TOO_FEW, &parts))
    })?;
    let mut pace = json!(pace);
    pace["at_ms"] = json!(now_ms());
    Ok(Change::put("/pace", pace))
}
