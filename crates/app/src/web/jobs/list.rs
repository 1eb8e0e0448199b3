//! Jobs at a glance: what is next, and what waits for a decision.
//!
//! A page of the list is one query; the film's decisions are looked up by a
//! second request (`judged=yes`), so that the list stays quick with many jobs.
//! Checked by: `tests/web_jobs.rs`, `tests/web_shop.rs`.

use axum::http::HeaderMap;
use axum::response::Response;
use lapwing_job::plan::provisional::Aim;
use lapwing_job::record::job::{Colour, Defects};
use lapwing_report::figure::BodyClass;
use lapwing_store::{Change, JobGlance, JobQuery};
use maud::{Markup, html};
use serde_json::{Value, json};

use super::super::entry::plain;
use super::super::fields::{Fields, short};
use super::super::page::{Page, edit_fields};
use super::super::refusal::Refusal;
use super::super::shop::practice::{NewJob, job_file, usual_class};
use super::super::shop::{self, SHOP};
use super::super::visitor::Visitor;
use super::super::words::{Counted, checks, frame, glance as tell, jobs as say};
use super::super::{Bay, example, film};
use super::stage::{self, STAGES};
use super::{Deed, edit_id, perform};

/// Jobs on a page of the list.
const ON_A_PAGE: usize = 40;

/// `GET /jobs`.
pub(crate) async fn show(bay: Bay, visitor: Visitor, fields: Fields) -> Result<Markup, Refusal> {
    let search = fields.text("search").map(short);
    let words = STAGES.map(|s| (s.word, s.word));
    let chosen = fields.word(("stage", tell::STAGES), &words, "", &visitor)?;
    let query = JobQuery {
        search: search.clone(),
        stage: (!chosen.is_empty()).then(|| chosen.to_owned()),
        after: after(&fields, &visitor)?,
        most: ON_A_PAGE + 1,
    };
    // Both at once: with many jobs each takes a while.
    let (jobs, stages) = tokio::join!(bay.shop.jobs(&query), bay.shop.stages());
    let (mut jobs, stages) = (jobs?, stages?);
    let has_more = jobs.len() > ON_A_PAGE;
    jobs.truncate(ON_A_PAGE);
    let last = jobs.last().map(|j| format!("{}.{}", j.changed_ms, j.id));
    jobs.retain(|job| job.id != SHOP);
    if fields.text("judged").is_some() {
        bay.doubts.look(&bay, &jobs).await?;
    }
    let search = search.unwrap_or_default();
    let page = Page {
        title: visitor.say(frame::JOBS),
        beside: visitor.say(tell::BESIDE),
        path: "/jobs",
        line: None,
        modules: &["queue.js", "glance.js"],
        styles: &["tools.css", "jobs.css", "rooms.css"],
    };
    let body = html! {
        div.wide {
            form.search method="get" action="/jobs" role="search" {
                label { span { (visitor.say(say::SEARCH)) } input type="search" name="search" value=(search); }
                button.quiet { (visitor.say(say::FIND)) }
            }
            (by_stage(&visitor, &stages, chosen))
            ul.glance #glance { @for job in &jobs { (line(&visitor, &bay, job)) } }
            @if jobs.is_empty() { p.lead { (visitor.say(if search.is_empty() { say::NO_JOBS } else { tell::NO_FIND })) } }
            @if let (true, Some(last)) = (has_more, last) {
                a.button.quiet href=(more(&search, chosen, &last)) { (visitor.say(tell::MORE)) }
            }
            div.openings {
                a.button.main-deed href="/enquiry" { (visitor.say(tell::ENQUIRE)) }
                (others(&visitor))
                (super::super::handover::bring_in(&visitor))
            }
        }
    };
    Ok(page.around(&visitor, &body))
}

/// The last line of the page before, as its link said it.
fn after(fields: &Fields, visitor: &Visitor) -> Result<Option<(i64, String)>, Refusal> {
    let Some(came) = fields.text("after") else {
        return Ok(None);
    };
    let parts = came.split_once('.');
    let read = parts.and_then(|(ms, id)| Some((ms.parse().ok()?, id.to_owned())));
    let read = read.filter(|(_, id): &(i64, String)| id.len() <= 80);
    read.map(Some)
        .ok_or_else(|| Refusal::input(visitor.say(tell::BAD_PAGE)))
}

fn more(search: &str, stage: &str, last: &str) -> String {
    let mut query = form_urlencoded::Serializer::new(String::new());
    for (key, value) in [("search", search), ("stage", stage), ("after", last)] {
        if !value.is_empty() {
            query.append_pair(key, value);
        }
    }
    format!("/jobs?{}", query.finish())
}

fn by_stage(visitor: &Visitor, stages: &[(String, i64)], chosen: &str) -> Markup {
    let count = |word: &str| {
        stages
            .iter()
            .find(|(s, _)| s == word)
            .map_or(0, |(_, n)| *n)
    };
    html! {
        nav.stages aria-label=(visitor.say(tell::STAGES)) {
            a href="/jobs" aria-current=[chosen.is_empty().then_some("true")] { (visitor.say(tell::EVERY)) }
            @for stage in &STAGES {
                @let jobs = count(stage.word);
                @if jobs > 0 {
                    a href=(format!("/jobs?stage={}", stage.word)) aria-current=[(chosen == stage.word).then_some("true")] {
                        (visitor.say(stage.name)) " " b { (visitor.number(jobs as f64, 0)) } }
                }
            }
        }
    }
}

fn line(visitor: &Visitor, bay: &Bay, job: &JobGlance) -> Markup {
    let text = |key: &str| job.glance[key].as_str().unwrap_or_default();
    let stage = stage::find(text("stage"));
    let next = stage.map_or(tell::N_INTAKE, |s| s.next);
    let page = stage.map_or("", |s| s.page);
    html! {
        li {
            a.job href=(format!("/jobs/{}", job.id)) { b { (text("name")) } span { (text("car")) } }
            p.waits { (waits(visitor, bay, job)) }
            a.next-deed href=(format!("/jobs/{}{page}", job.id)) {
                small { (visitor.say(tell::NEXT_IS)) } " " (visitor.say(next)) }
        }
    }
}

/// What waits for a person.
fn waits(visitor: &Visitor, bay: &Bay, job: &JobGlance) -> Markup {
    let found = bay.doubts.known(job).unwrap_or_default();
    let told =
        |words: Counted, n: usize| visitor.fill(words.of(n), &[&visitor.number(n as f64, 0)]);
    let conflicts = usize::try_from(job.open_conflicts).unwrap_or(0);
    html! {
        @if conflicts > 0 { span.plate.next { (visitor.say(say::DECIDE)) ": " (told(tell::CONFLICTS, conflicts)) } }
        @if found.thin > 0 { span.plate { (told(tell::LEAVE, found.thin)) } }
        @if found.repainted > 0 { span.plate { (told(checks::REPAINTED, found.repainted)) } }
        @if found.left > 0 { span.plate { (told(checks::NOT_POLISHED, found.left)) } }
        @if found.doubts > 0 { span.plate.open { (told(tell::DOUBTS, found.doubts)) } }
        @if job.glance["stage"] == "enquiry" { span.plate.open { (visitor.say(tell::OFFER)) } }
    }
}

fn others(visitor: &Visitor) -> Markup {
    html! {
        form method="post" action="/jobs/example" { (edit_fields(0)) button.quiet.main-deed { (visitor.say(say::OPEN_EXAMPLE)) } }
        details { summary { (visitor.say(tell::OPEN_PLAIN)) }
            form.readings method="post" action="/jobs" {
                (edit_fields(0))
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
}

/// `POST /jobs`: opens a job, with the shop's kit where it has one.
pub(crate) async fn open(
    bay: Bay,
    visitor: Visitor,
    headers: HeaderMap,
    fields: Fields,
) -> Result<Response, Refusal> {
    let name = plain(&fields, "name", 80);
    if name.is_empty() {
        return Err(Refusal::input(visitor.say(say::NO_NAME)));
    }
    let classes = BodyClass::ALL.map(|class| (class.name(), class));
    let class = fields.word(("class", say::BODY), &classes, BodyClass::Estate, &visitor)?;
    let new = NewJob {
        name,
        car: plain(&fields, "car", 120),
        class: usual_class(class),
        colour: Colour::Middle,
        defects: Defects::WashSwirls,
        aim: Aim::Clear,
        coating_layers: 0,
    };
    let glance = json!({ "name": new.name, "car": new.car, "stage": "intake" });
    let file = job_file(&shop::load(&bay).await?, &new);
    let folder = file.map(|text| Change::put("/folder/job.toml", text));
    let rest = folder.into_iter().collect();
    start(&bay, &headers, &fields, (glance, class.name()), rest).await
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
pub(crate) async fn start(
    bay: &Bay,
    headers: &HeaderMap,
    fields: &Fields,
    (glance, class): (Value, &str),
    rest: Vec<Change>,
) -> Result<Response, Refusal> {
    let job = format!("j-{}", edit_id(fields));
    let mut changes = vec![Change::put("/glance", glance), Change::put("/class", class)];
    changes.extend(rest);
    let back = format!("/jobs/{job}");
    let deed = Deed {
        job: &job,
        kind: "job-opened",
        changes,
        back,
    };
    perform(bay, headers, fields, deed).await
}
