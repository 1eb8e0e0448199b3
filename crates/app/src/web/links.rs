//! A customer's link to one job: made and taken back by the shop, opened by
//! whoever has it.
//!
//! Holds: the page behind a link shows the car's words and nothing of the
//! shop, its people or other jobs; it has no menu and no other address.
//! Checked by: `tests/web_links.rs`, with links forged, old and taken back.

use std::sync::Arc;

use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use lapwing_store::{LinkCard, LinkVerdict};
use maud::{Markup, html};

use super::fields::Fields;
use super::house::{Bay, House};
use super::jobs::{Kept, now_ms};
use super::network::approach::Approach;
use super::page::Page;
use super::rates::Knock;
use super::refusal::Refusal;
use super::visitor::Visitor;
use super::words::links as say;
use super::{days, qr, record_page};

/// How a shop serves its network.
pub(crate) const SERVE_NETWORK: &str = "lapwing serve --listen 0.0.0.0:8443";
const DAY_MS: i64 = 86_400_000;
const LASTS: [(&str, i64); 4] = [("7", 7), ("30", 30), ("90", 90), ("365", 365)];

/// The links of a job.
pub(crate) async fn show(
    State(house): State<Arc<House>>,
    bay: Bay,
    visitor: Visitor,
    Path(job): Path<String>,
) -> Result<Markup, Refusal> {
    page((&bay, &house), &visitor, &job, None).await
}

async fn page(
    (bay, house): (&Bay, &House),
    visitor: &Visitor,
    job: &str,
    fresh: Option<&str>,
) -> Result<Markup, Refusal> {
    let kept = Kept::load(bay, job).await?;
    let links = bay.shop.links(job).await?;
    let path = format!("/jobs/{job}/links");
    let body = html! {
        div.column {
            p { a href=(format!("/jobs/{job}")) { (kept.text("/glance/name")) } }
            p.lead { (visitor.say(say::LEAD)) }
            @if !house.reach.is_network() {
                p.caution { (visitor.say(say::ALONE)) br; code { (SERVE_NETWORK) } }
            }
            @if kept.document.pointer(record_page::SIGNED).is_none() { p.note { (visitor.say(say::UNSIGNED)) } }
            @if let Some(address) = fresh { (made(visitor, address)) }
            form.card method="post" action=(path) {
                label { span { (visitor.say(say::LASTS)) }
                    select name="days" { @for (word, days) in LASTS {
                        option value=(word) selected[days == 30] { (visitor.fill(say::DAYS, &[word])) } } } }
                button.main-deed { (visitor.say(say::MAKE)) }
            }
            @if !links.is_empty() { h2 { (visitor.say(say::GIVEN)) } }
            ul.people { @for link in &links { (line(visitor, &path, link)) } }
        }
    };
    let page = Page {
        title: visitor.say(say::TITLE),
        beside: "",
        path: &path,
        line: None,
        modules: &[],
        styles: &["tools.css", "accounts.css"],
    };
    Ok(page.around(visitor, &body))
}

fn made(visitor: &Visitor, address: &str) -> Markup {
    html! {
        section.card aria-live="polite" {
            h2 { (visitor.say(say::READY)) }
            (qr::square(address, visitor.say(say::SQUARE)))
            label { span { (visitor.say(say::ADDRESS)) }
                textarea.address readonly rows="3" { (address) } }
            p.note { (visitor.say(say::ONCE)) }
        }
    }
}

fn line(visitor: &Visitor, path: &str, link: &LinkCard) -> Markup {
    let is_over = link.expires_ms <= now_ms();
    html! {
        li.given {
            span { (visitor.fill(say::MADE, &[&days::date(visitor, link.made_ms), &days::date(visitor, link.expires_ms)])) }
            @if link.is_withdrawn { span.plate.open { (visitor.say(say::WITHDRAWN)) } }
            @else if is_over { span.plate.open { (visitor.say(say::OVER)) } }
            @else {
                form method="post" action=(format!("{path}/{}/withdraw", link.id)) {
                    button.quiet.small { (visitor.say(say::WITHDRAW)) }
                }
            }
        }
    }
}

/// Makes a link and shows it once.
pub(crate) async fn make(
    State(house): State<Arc<House>>,
    (bay, visitor, approach): (Bay, Visitor, Approach),
    Path(job): Path<String>,
    fields: Fields,
) -> Result<Markup, Refusal> {
    let days = fields.word(("days", say::LASTS), &LASTS, 30, &visitor)?;
    let token = bay.shop.make_link(&job, days * DAY_MS).await?;
    let base = house.base_for_others(&approach);
    page(
        (&bay, &house),
        &visitor,
        &job,
        Some(&format!("{base}/r/{token}")),
    )
    .await
}

/// Takes a link back.
pub(crate) async fn withdraw(
    bay: Bay,
    Path((job, link)): Path<(String, String)>,
) -> Result<Response, Refusal> {
    let is_of_job = bay.shop.links(&job).await?.iter().any(|l| l.id == link);
    if !is_of_job {
        return Err(Refusal::missing("This job has no such link."));
    }
    bay.shop.withdraw_link(&link).await?;
    Ok(Redirect::to(&format!("/jobs/{job}/links")).into_response())
}

/// `GET /r/{token}`: what the customer sees.
pub(crate) async fn open(
    State(house): State<Arc<House>>,
    (visitor, approach): (Visitor, Approach),
    Path(token): Path<String>,
) -> Result<Markup, Refusal> {
    let gone = |status, message| Refusal {
        wait_s: None,
        status,
        sentence: visitor.say(message).to_owned(),
    };
    let (shop, job, expires_ms) = match house.store.open_link(&token).await? {
        LinkVerdict::Good {
            shop,
            job,
            expires_ms,
        } => (shop, job, expires_ms),
        LinkVerdict::Expired => return Err(gone(StatusCode::GONE, say::IS_OVER)),
        LinkVerdict::Withdrawn => return Err(gone(StatusCode::GONE, say::IS_WITHDRAWN)),
        LinkVerdict::Forged => {
            let knock = house.rates.from(Knock::Link, approach.from);
            knock.map_err(|wait| Refusal::too_often(&visitor, wait))?;
            return Err(gone(StatusCode::NOT_FOUND, say::IS_NONE));
        }
    };
    let document = &shop.state(&job).await?.document;
    let car = document.pointer("/glance/car").and_then(|v| v.as_str());
    let record = record_page::body(&visitor, document);
    let body = html! {
        div.column {
            @if record.is_none() { p.lead { (car.unwrap_or_default()) } }
            p.note { (visitor.fill(say::UNTIL, &[&days::date(&visitor, expires_ms)])) }
        }
        @if let Some(record) = record { (record) }
    };
    let page = Page {
        title: visitor.say(say::RECORD),
        beside: "",
        path: "/",
        line: None,
        modules: &[],
        styles: &["tools.css", "jobs.css", "accounts.css", "handover.css"],
    };
    Ok(page.alone(&visitor, &body))
}
