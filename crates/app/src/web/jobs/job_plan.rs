//! The plan of a job from all that the store holds, and the price that the
//! customer accepts.
//!
//! Law: none; the same functions as `lapwing plan`. The accepted plan is kept
//! in the history, section by section, so that work mode needs nothing else.
//! Holds: a plan takes seconds, so it follows the page.
//! Checked by: `tests/web_trial.rs`.

use axum::extract::Path;
use axum::http::HeaderMap;
use axum::response::Response;
use lapwing_store::Change;
use maud::{Markup, html};
use serde_json::json;

use super::super::Bay;
use super::super::fields::Fields;
use super::super::later::later;
use super::super::page::{Page, edit_fields, queue_line};
use super::super::plan::{Shelved, content, counted_of};
use super::super::refusal::Refusal;
use super::super::shop;
use super::super::shop::practice::{NewJob, job_file};
use super::super::the_line::Station;
use super::super::visitor::Visitor;
use super::super::words::{checks, plan as plan_say, stations as say};
use super::asked::{self, Doubt};
use super::sections::WorkPlan;
use super::{Deed, Kept, already, marked, past, perform};

/// `GET /jobs/{job}/plan`.
pub(crate) async fn show(
    bay: Bay,
    visitor: Visitor,
    Path(job): Path<String>,
    fields: Fields,
) -> Result<Markup, Refusal> {
    let kept = Kept::load(&bay, &job).await?;
    let path = format!("/jobs/{job}/plan");
    let page = Page {
        title: kept.text("/glance/name"),
        beside: visitor.say(say::PLAN_BESIDE),
        path: &path,
        line: Some(kept.line(&visitor, Station::Plan)),
        modules: &["queue.js", "later.js"],
        styles: &["tools.css", "jobs.css", "stations.css"],
    };
    if kept.text("/folder/job.toml").is_empty() {
        let body = html! {
            div.column data-job=(job) { (no_kit(&visitor, &kept, &shop::load(&bay).await?)) (past(&visitor, &kept, &path)) }
        };
        return Ok(page.around(&visitor, &body));
    }
    let shelved = if fields.text("now").is_some() {
        Some(bay.plans.of_kept(&kept, &visitor).await?)
    } else {
        bay.plans.plan_at_hand(&kept, &visitor)
    };
    let ready = shelved.map(|shelved| part(&visitor, &kept, &shelved));
    let body = html! {
        div.wide data-job=(job) {
            (queue_line(&visitor))
            (later(&visitor, ("plan", &format!("{path}/answer")), ready.as_ref(), &path))
            (past(&visitor, &kept, &path))
        }
    };
    Ok(page.around(&visitor, &body))
}

/// `GET /jobs/{job}/plan/answer`: the part that takes seconds.
pub(crate) async fn answer(
    bay: Bay,
    visitor: Visitor,
    Path(job): Path<String>,
) -> Result<Markup, Refusal> {
    let kept = Kept::load(&bay, &job).await?;
    let shelved = bay.plans.of_kept(&kept, &visitor).await?;
    Ok(part(&visitor, &kept, &shelved))
}

fn part(visitor: &Visitor, kept: &Kept, shelved: &Shelved) -> Markup {
    html! { (marked::on_car(visitor, kept)) (accept(visitor, kept, shelved)) (content(visitor, shelved)) }
}

/// A job that was opened before the shop had a kit takes it now.
fn no_kit(visitor: &Visitor, kept: &Kept, shop: &Kept) -> Markup {
    html! {
        @if job_file(shop, &NewJob::of_kept(kept)).is_some() {
            p.lead { (visitor.say(say::KIT_FIRST)) }
            form method="post" action=(format!("/jobs/{}/plan", kept.id)) {
                (edit_fields(kept.version))
                input type="hidden" name="deed" value="kit";
                button.main-deed { (visitor.say(say::TAKE_KIT)) }
            }
        } @else {
            p.lead { (visitor.say(say::SHOP_FIRST)) }
            p { a.button href="/shop" { (visitor.say(say::TO_SHOP)) } }
        }
    }
}

/// Takes the shop's kit and prices into the job.
async fn take_kit(
    bay: &Bay,
    visitor: &Visitor,
    headers: &HeaderMap,
    (fields, job): (&Fields, &str),
) -> Result<Response, Refusal> {
    let back = format!("/jobs/{job}/plan");
    if let Some(again) = already(bay, headers, fields, (job, "kit-taken", &back)).await {
        return Ok(again);
    }
    let kept = Kept::load(bay, job).await?;
    let file = job_file(&shop::load(bay).await?, &NewJob::of_kept(&kept));
    let file = file.ok_or_else(|| Refusal::input(visitor.say(say::SHOP_FIRST)))?;
    let file = kept.with_given(&file);
    let deed = Deed {
        job,
        kind: "kit-taken",
        changes: vec![Change::put("/folder/job.toml", file)],
        back,
    };
    perform(bay, headers, fields, deed).await
}

/// The price as it stands, and the deed that makes it firm.
fn accept(visitor: &Visitor, kept: &Kept, shelved: &Shelved) -> Markup {
    let price = &shelved.planned.plan.price;
    let accepted = kept.document.pointer("/price");
    let money = |amount: f64, currency: &str| visitor.money(amount, currency);
    html! {
        section.price-gate aria-label=(visitor.say(plan_say::PRICE)) {
            @if let Some(agreed) = accepted {
                p { span.plate.open { (visitor.say(say::FIRM)) } " "
                    @match agreed["gross"].as_f64() {
                        Some(gross) => b { (money(gross, agreed["currency"].as_str().unwrap_or_default())) },
                        None => (visitor.say(plan_say::NO_PRICE)),
                    } }
            }
            @if price.is_provisional {
                p { (visitor.say(say::FIRM_NEEDS_SPOT)) " "
                    a href=(format!("/jobs/{}/trial", kept.id)) { (visitor.say(say::TO_TRIAL)) } }
            }
            form method="post" action=(format!("/jobs/{}/plan", kept.id)) {
                (edit_fields(kept.version))
                button.main-deed {
                    @match (price.gross, price.is_provisional) {
                        (Some(gross), false) => (visitor.fill(say::ACCEPT_FIRM, &[&money(gross, &price.currency)])),
                        _ => (visitor.say(say::WORK_TO_THIS)),
                    }
                }
            }
        }
    }
}

/// `POST /jobs/{job}/plan`: the plan that holds from here, with its price
/// where it is firm.
pub(crate) async fn adopt(
    bay: Bay,
    visitor: Visitor,
    Path(job): Path<String>,
    headers: HeaderMap,
    fields: Fields,
) -> Result<Response, Refusal> {
    if fields.text("deed") == Some("kit") {
        return take_kit(&bay, &visitor, &headers, (&fields, &job)).await;
    }
    let back = format!("/jobs/{job}/work");
    for kind in ["price-accepted", "plan-adopted"] {
        if let Some(again) = already(&bay, &headers, &fields, (&job, kind, &back)).await {
            return Ok(again);
        }
    }
    let kept = Kept::load(&bay, &job).await?;
    let shelved = bay.plans.of_kept(&kept, &visitor).await?;
    let (read, all) = counted_of(&shelved.planned.plan);
    if 2 * read < all && asked::is_unasked(&headers, &fields) {
        let parts = [read.to_string(), all.to_string()];
        let back = format!("/jobs/{job}/plan");
        let doubt = Doubt {
            question: visitor.fill(checks::MOST_UNREAD, &[&parts[0], &parts[1]]),
            anyway: checks::WORK_ANYWAY,
            back: &back,
        };
        return Ok(asked::page(&visitor, &kept, &doubt, &fields));
    }
    let price = &shelved.planned.plan.price;
    let mut changes = vec![Change::put(
        "/work/plan",
        WorkPlan::of(&shelved.planned.plan, &shelved.job).to_json(),
    )];
    let is_firm = !price.is_provisional && price.gross.is_some();
    if is_firm {
        changes.push(Change::put(
            "/price",
            json!({ "gross": price.gross, "net": price.net, "tax": price.tax,
                "currency": price.currency, "hours": shelved.planned.plan.hours.mean }),
        ));
    }
    let kind = if is_firm {
        "price-accepted"
    } else {
        "plan-adopted"
    };
    let deed = Deed {
        job: &job,
        kind,
        changes,
        back,
    };
    perform(&bay, &headers, &fields, deed).await
}
