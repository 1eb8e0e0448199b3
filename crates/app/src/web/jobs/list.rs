//! Jobs at a glance: what is next, and what waits for a decision.
//!
//! Checked by: `tests/web_jobs.rs`.

use axum::http::HeaderMap;
use axum::response::Response;
use lapwing_report::figure::BodyClass;
use lapwing_store::{Change, JobGlance, JobQuery};
use maud::{Markup, html};
use serde_json::{Value, json};

use super::super::fields::{Fields, short};
use super::super::page::{Page, edit_fields};
use super::super::refusal::Refusal;
use super::super::visitor::Visitor;
use super::super::words::{frame, jobs as say};
use super::super::{Bay, example, film};
use super::{Deed, edit_id, perform};

/// `GET /jobs`.
pub(crate) async fn show(bay: Bay, visitor: Visitor, fields: Fields) -> Result<Markup, Refusal> {
    let search = fields.text("search").map(short);
    let query = JobQuery {
        search: search.clone(),
        most: 100,
        ..JobQuery::default()
    };
    let jobs = bay.shop.jobs(&query).await?;
    let page = Page {
        title: visitor.say(frame::JOBS),
        beside: "",
        path: "/jobs",
        line: None,
        modules: &["queue.js"],
        styles: &["tools.css", "jobs.css"],
    };
    let body = html! {
        div.column {
            form.search method="get" action="/jobs" role="search" {
                label { span { (visitor.say(say::SEARCH)) } input type="search" name="search" value=(search.unwrap_or_default()); }
                button.quiet { (visitor.say(say::FIND)) }
            }
            @if jobs.is_empty() { p.lead { (visitor.say(say::NO_JOBS)) } }
            ul.rooms { @for job in &jobs { (line(&visitor, job)) } }
            form method="post" action="/jobs/example" { (edit_fields(0)) button.main-deed { (visitor.say(say::OPEN_EXAMPLE)) } }
            (new_job(&visitor))
            (super::super::handover::bring_in(&visitor))
        }
    };
    Ok(page.around(&visitor, &body))
}

fn line(visitor: &Visitor, job: &JobGlance) -> Markup {
    let text = |key: &str| job.glance[key].as_str().unwrap_or_default().to_owned();
    html! {
        li { a href=(format!("/jobs/{}", job.id)) { b { (text("name")) }
            span { (text("car")) }
            @if job.open_conflicts > 0 { " " span.plate.next { (visitor.say(say::DECIDE)) } }
        } }
    }
}

fn new_job(visitor: &Visitor) -> Markup {
    html! {
        form.readings method="post" action="/jobs" {
            (edit_fields(0))
            h2 { (visitor.say(say::NEW)) }
            label { span { (visitor.say(say::NAME)) } input type="text" name="name" maxlength="80" required autocomplete="off"; }
            label { span { (visitor.say(say::CAR)) } input type="text" name="car" maxlength="120" autocomplete="off"; }
            label { span { (visitor.say(say::BODY)) }
                select name="class" { @for class in BodyClass::ALL {
                    option value=(class.name()) { (visitor.say(film::class_name(class))) } } }
            }
            button { (visitor.say(say::OPEN)) }
        }
    }
}

/// `POST /jobs`: opens a job.
pub(crate) async fn open(
    bay: Bay,
    visitor: Visitor,
    headers: HeaderMap,
    fields: Fields,
) -> Result<Response, Refusal> {
    let plain = |key: &str, most: usize| -> String {
        let text = fields.text(key).unwrap_or_default();
        text.chars()
            .filter(|c| !c.is_control())
            .take(most)
            .collect()
    };
    let name = plain("name", 80);
    if name.is_empty() {
        return Err(Refusal::input(visitor.say(say::NO_NAME)));
    }
    let classes = BodyClass::ALL.map(|class| (class.name(), class));
    let class = fields.word(("class", say::BODY), &classes, BodyClass::Estate, &visitor)?;
    let glance = json!({ "name": name, "car": plain("car", 120), "stage": "intake" });
    start(&bay, &headers, &fields, (glance, class.name()), Vec::new()).await
}

/// `POST /jobs/example`: opens the example car as a job of its own.
pub(crate) async fn open_example(
    bay: Bay,
    headers: HeaderMap,
    fields: Fields,
) -> Result<Response, Refusal> {
    let glance = json!({ "name": "Harbour estate", "car": "Nine-year-old dark blue estate, kept by the sea", "stage": "intake" });
    let folder = vec![
        Change::put("/folder/job.toml", example::JOB),
        Change::put("/folder/readings.csv", example::READINGS),
    ];
    start(&bay, &headers, &fields, (glance, "estate"), folder).await
}

/// The job's id is made from the form's, so that a double tap opens one job.
async fn start(
    bay: &Bay,
    headers: &HeaderMap,
    fields: &Fields,
    (glance, class): (Value, &str),
    folder: Vec<Change>,
) -> Result<Response, Refusal> {
    let job = format!("j-{}", edit_id(fields));
    let mut changes = vec![Change::put("/glance", glance), Change::put("/class", class)];
    changes.extend(folder);
    let back = format!("/jobs/{job}");
    let deed = Deed {
        job: &job,
        kind: "job-opened",
        changes,
        back,
    };
    perform(bay, headers, fields, deed).await
}
