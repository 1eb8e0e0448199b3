//! Jobs in the store: every change of a page is one event with an id that the
//! page made.
//!
//! A form carries its event's id and the version it saw, so that a double tap
//! or a queue that sends twice is one event, and a change that came too late
//! for its place is set aside and shown, never lost.
//! Left out: accounts.
//! Checked by: `tests/web_jobs.rs`, `tests/web_queue.rs`.

mod asked;
pub(crate) mod coat;
mod document;
pub(crate) mod doubts;
pub(crate) mod enquiry;
pub(crate) mod film_map;
pub(crate) mod given;
pub(crate) mod import;
pub(crate) mod intake;
pub(crate) mod job_plan;
pub(crate) mod list;
pub(crate) mod live;
mod marked;
mod past;
pub(crate) mod panel_places;
pub(crate) mod photos;
pub(crate) mod prove;
pub(crate) mod readings;
pub(crate) mod sections;
mod slips;
pub(crate) mod stage;
pub(crate) mod tables;
pub(crate) mod trial;
pub(crate) mod wash;
pub(crate) mod work;

use std::sync::Arc;
use std::time::{SystemTime, UNIX_EPOCH};

use axum::extract::Path;
use axum::http::{HeaderMap, HeaderValue, header};
use axum::response::{IntoResponse, Redirect, Response};
use lapwing_report::figure::{BodyClass, panel_ids};
use lapwing_store::{
    Author, Change, Conflict, Edit, JobState, Outcome, PastDeed, Role, Standing, StoreError, new_id,
};
use maud::{Markup, html};
use serde_json::{Value, json};

use self::document::Document;
pub(crate) use self::past::{history, past, shop_history};
use super::fields::Fields;
use super::refusal::Refusal;
use super::shop::SHOP;
use super::the_line::{Line, Station};
use super::visitor::Visitor;
use super::words::{Message, jobs as say, past as past_say};
use super::{Bay, api};

/// Which device an edit comes from.
const DEVICE: &str = "lapwing_device";
const A_YEAR_S: u32 = 31_536_000;
/// So many events of the past are shown.
const SHOWN: usize = 6;

/// A job as the store has it now.
pub(crate) struct Kept {
    pub(crate) id: String,
    pub(crate) version: i64,
    pub(crate) document: Document,
    pub(crate) conflicts: Vec<Conflict>,
    pub(crate) latest: Vec<PastDeed>,
}

impl Kept {
    /// A job; the shop's own document is none.
    pub(crate) async fn load(bay: &Bay, id: &str) -> Result<Self, Refusal> {
        refuse_shop(id)?;
        Self::load_any(bay, id).await
    }

    /// Before anything was written.
    pub(crate) fn empty(id: &str) -> Self {
        Self {
            id: id.to_owned(),
            version: 0,
            document: json!({}).into(),
            conflicts: Vec::new(),
            latest: Vec::new(),
        }
    }

    /// What stands in it, without its past.
    pub(crate) async fn bare(bay: &Bay, id: &str) -> Result<Self, Refusal> {
        Ok(Self::of_state(id, bay.shop.state(id).await?))
    }

    pub(crate) async fn load_any(bay: &Bay, id: &str) -> Result<Self, Refusal> {
        let state = bay.shop.state(id).await?;
        let conflicts = if state.open_conflicts.is_empty() {
            Vec::new()
        } else {
            bay.shop.conflicts(id).await?
        };
        Ok(Self {
            conflicts,
            latest: bay.shop.latest_deeds(id, SHOWN).await?,
            ..Self::of_state(id, state)
        })
    }

    /// What a deed needs to know, without the past.
    pub(crate) fn of_state(id: &str, state: Arc<JobState>) -> Self {
        Self {
            id: id.to_owned(),
            version: state.version,
            document: state.into(),
            conflicts: Vec::new(),
            latest: Vec::new(),
        }
    }

    /// A text of the document; empty when it is not there.
    pub(crate) fn text(&self, place: &str) -> &str {
        let value = self.document.pointer(place);
        value.and_then(Value::as_str).unwrap_or_default()
    }

    /// The entries of a list, with their ids.
    pub(crate) fn entries(&self, place: &str) -> Vec<(&String, &Value)> {
        let found = self.document.pointer(place).and_then(Value::as_object);
        found.map(|map| map.iter().collect()).unwrap_or_default()
    }

    pub(crate) fn class(&self) -> BodyClass {
        BodyClass::from_name(self.text("/class")).unwrap_or(BodyClass::Estate)
    }

    /// The panels that the car has.
    pub(crate) fn panels(&self) -> Vec<String> {
        panel_ids(self.class())
    }

    pub(crate) fn line(&self, visitor: &Visitor, here: Station) -> Line {
        let count = |n: usize, words: super::words::Counted| {
            visitor.fill(words.of(n), &[&visitor.number(n as f64, 0)])
        };
        let mut figures = vec![(
            Station::Intake,
            count(self.entries("/defects").len(), say::MARKS),
        )];
        let readings = self.count_readings();
        if readings > 0 {
            figures.push((Station::Inspect, count(readings, say::READINGS)));
        }
        if let Some(wish) = self.document.pointer("/trial/choice/wish_frac") {
            let pct = visitor.number(100.0 * wish.as_f64().unwrap_or_default(), 0);
            figures.push((Station::Trial, format!("{pct}\u{a0}%")));
        }
        if let Some(gross) = self
            .document
            .pointer("/price/gross")
            .and_then(Value::as_f64)
        {
            let price = visitor.money(gross, self.text("/price/currency"));
            figures.push((Station::Plan, price));
        }
        let done = self.entries("/work/done").len();
        if done > 0 {
            figures.push((Station::Work, count(done, say::SECTIONS)));
        }
        figures.extend(coat::figure(visitor, self).map(|words| (Station::Coat, words)));
        figures.extend(prove::figure(visitor, self).map(|words| (Station::Prove, words)));
        Line::of_job(&self.id, here, &figures)
    }
}

/// Where a job goes on; the first is what usually comes next.
pub(crate) fn onward(visitor: &Visitor, job: &str, steps: &[(&str, Message)]) -> Markup {
    html! {
        nav.deeds aria-label=(visitor.say(say::NEXT)) {
            @for (at, (page, name)) in steps.iter().enumerate() {
                a.button.quiet[at > 0] href=(format!("/jobs/{job}{page}")) { (visitor.say(*name)) }
            }
        }
    }
}

/// The milliseconds since 1970; the store notes its own beside it.
pub(crate) fn now_ms() -> i64 {
    let since = SystemTime::now().duration_since(UNIX_EPOCH);
    since.map_or(0, |t| i64::try_from(t.as_millis()).unwrap_or(i64::MAX))
}

/// The device of a request, and the cookie to give it when it has none.
fn device(headers: &HeaderMap) -> (String, Option<HeaderValue>) {
    let is_id = |id: &&str| {
        (8..=64).contains(&id.len()) && id.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-')
    };
    if let Some(known) = super::visitor::cookie(headers, DEVICE).filter(is_id) {
        return (known.to_owned(), None);
    }
    let id = new_id();
    let cookie = format!("{DEVICE}={id}; Path=/; Max-Age={A_YEAR_S}; SameSite=Lax; HttpOnly");
    (id, HeaderValue::from_str(&cookie).ok())
}

/// One change of a page: which job, what, and where to go on.
pub(crate) struct Deed<'a> {
    pub(crate) job: &'a str,
    pub(crate) kind: &'a str,
    pub(crate) changes: Vec<Change>,
    pub(crate) back: String,
}

/// The id that the form made for its event.
pub(crate) fn edit_id(fields: &Fields) -> String {
    fields.text("edit").map_or_else(new_id, str::to_owned)
}

/// Adds a page's change to the history and leads back, or answers in JSON.
pub(crate) async fn perform(
    bay: &Bay,
    headers: &HeaderMap,
    fields: &Fields,
    deed: Deed<'_>,
) -> Result<Response, Refusal> {
    if !["shop-changed", "settled"].contains(&deed.kind) {
        refuse_shop(deed.job)?;
    }
    let saw = fields.text("saw").and_then(|v| v.parse().ok());
    let mut changes = deed.changes;
    let saw = match saw {
        Some(saw) if !stage::may_move(deed.kind) => saw,
        saw => {
            let state = bay.shop.state(deed.job).await?;
            match moved_then(bay, fields, &changes).await {
                Some(then) => changes.extend(then),
                None => changes.extend(stage::moved_on(&state.document, deed.kind)),
            }
            saw.unwrap_or(state.version)
        }
    };
    let said = fields.text("said_ms").and_then(|v| v.parse().ok());
    let edit = Edit {
        id: edit_id(fields),
        kind: deed.kind.to_owned(),
        saw,
        changes,
        said_ms: said.unwrap_or_else(now_ms),
        undoes: None,
        settles: fields.text("settles").map(str::to_owned),
    };
    let (device, cookie) = device(headers);
    let author = Author {
        who: bay.caller.who.clone(),
        device,
    };
    let outcome = bay.shop.append(deed.job, &author, &edit).await?;
    Ok(answered(headers, cookie, &outcome, &deed.back))
}

/// How the job moved on when this deed came for the first time: a deed that
/// comes twice is the same deed, though the job has moved on since.
async fn moved_then(bay: &Bay, fields: &Fields, changes: &[Change]) -> Option<Vec<Change>> {
    let event = bay.shop.event(fields.text("edit")?).await.ok()?;
    let (same, then) = event.changes.split_at_checked(changes.len())?;
    let is_same = same.iter().zip(changes).all(|(a, b)| a.is_same_deed(b));
    is_same.then(|| then.iter().map(bare).collect())
}

fn refuse_shop(id: &str) -> Result<(), Refusal> {
    if id == SHOP {
        return Err(Refusal::missing(
            "There is no such job. Go back to the list and choose one.",
        ));
    }
    Ok(())
}

/// The answer to a deed that was delivered before; its changes were worked out
/// from the job as it stood then and would be others now.
pub(crate) async fn already(
    bay: &Bay,
    headers: &HeaderMap,
    fields: &Fields,
    (job, kind, back): (&str, &str, &str),
) -> Option<Response> {
    let event = bay.shop.event(fields.text("edit")?).await.ok()?;
    let is_same = event.job == job && event.kind == kind && event.standing == Standing::Kept;
    is_same.then(|| answered(headers, None, &Outcome::Again(event), back))
}

fn answered(
    headers: &HeaderMap,
    cookie: Option<HeaderValue>,
    outcome: &Outcome,
    back: &str,
) -> Response {
    let accept = headers.get(header::ACCEPT).and_then(|v| v.to_str().ok());
    let mut response = if accept.is_some_and(|a| a.starts_with("application/json")) {
        let word = match outcome {
            Outcome::Kept(_) => "kept",
            Outcome::Again(_) => "again",
            Outcome::Aside(_) => "aside",
        };
        let event = outcome.event();
        let told = json!({ "outcome": word, "event": event.id, "version": event.version });
        api::as_json(told.to_string())
    } else {
        Redirect::to(back).into_response()
    };
    if let Some(cookie) = cookie {
        response.headers_mut().append(header::SET_COOKIE, cookie);
    }
    response
}

/// `POST /jobs/{job}/undo`: takes one event back.
pub(crate) async fn undo(
    bay: Bay,
    visitor: Visitor,
    Path(job): Path<String>,
    headers: HeaderMap,
    fields: Fields,
) -> Result<Response, Refusal> {
    let event = fields.text("event").unwrap_or_default();
    let found = bay.shop.event(event).await?;
    if found.kind == past::SIGNING {
        return Err(Refusal::input(visitor.say(past_say::NOT_THE_RECORD)));
    }
    // An address undoes its own deeds only, and the shop's are the owner's.
    if found.job != job || (job == SHOP && bay.caller.role < Role::Owner) {
        return Err(Refusal::input(visitor.say(past_say::NOT_ANY_MORE)));
    }
    let (device, cookie) = device(&headers);
    let author = Author {
        who: bay.caller.who.clone(),
        device,
    };
    let outcome = bay.shop.undo(event, &edit_id(&fields), &author).await;
    let outcome = outcome.map_err(|error| match error {
        StoreError::Refused(_) => Refusal::input(visitor.say(past_say::NOT_ANY_MORE)),
        other => other.into(),
    })?;
    let back = fields.text("back").filter(|b| is_page_of(b, &job));
    let back = back.map_or_else(|| format!("/jobs/{job}"), str::to_owned);
    Ok(answered(&headers, cookie, &outcome, &back))
}

fn is_page_of(back: &str, job: &str) -> bool {
    if job == SHOP {
        return ["/shop", "/shop/history"].contains(&back);
    }
    [
        "",
        "/wash",
        "/readings",
        "/trial",
        "/plan",
        "/work",
        "/handover",
        "/coat",
        "/prove",
        "/history",
        "/panels",
    ]
    .iter()
    .any(|page| back == format!("/jobs/{job}{page}"))
}

/// `POST /jobs/{job}/settle`: a person decides about a change set aside.
pub(crate) async fn settle(
    bay: Bay,
    visitor: Visitor,
    Path(job): Path<String>,
    headers: HeaderMap,
    fields: Fields,
) -> Result<Response, Refusal> {
    let words = [("mine", true), ("theirs", false)];
    let takes_mine = fields.word(("take", say::TAKE), &words, false, &visitor)?;
    let aside = bay
        .shop
        .event(fields.text("settles").unwrap_or_default())
        .await?;
    let changes = if takes_mine && aside.job == job {
        aside.changes.iter().map(bare).collect()
    } else {
        Vec::new()
    };
    let back = if job == SHOP {
        "/shop".to_owned()
    } else {
        format!("/jobs/{job}")
    };
    let deed = Deed {
        job: &job,
        kind: "settled",
        changes,
        back,
    };
    perform(&bay, &headers, &fields, deed).await
}

/// A change without what stood there before; the store notes that anew.
fn bare(change: &Change) -> Change {
    match change {
        Change::Put { put, value, .. } => Change::put(put.clone(), value.clone()),
        Change::Remove { remove, .. } => Change::remove(remove.clone()),
    }
}
