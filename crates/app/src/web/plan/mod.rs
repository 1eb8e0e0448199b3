//! The plan page: a job file and readings in; car, panels, hours, materials,
//! dose and price out, with the documents to take along.
//!
//! A plan that was worked out stays on a shelf in memory under a mark of its
//! input, so that its page, its JSON and its PDF are the same plan.
//! Left out: keeping it over a restart; that is for jobs in the store.
//! Checked by: `tests/web_plan.rs`.

mod shelf;
mod view;

use axum::extract::Path;
use axum::http::header;
use axum::response::{IntoResponse, Redirect, Response};
use lapwing_job::record::job::Units;
use maud::Markup;

use self::shelf::Files;
pub(crate) use self::shelf::{Shelf, Shelved};
pub(crate) use self::view::{content, counted_of};
use super::refusal::Refusal;
use super::upload::Upload;
use super::visitor::Visitor;
use super::words::plan as say;
use super::{Bay, apart, api};
use crate::commands;

impl Files {
    fn read(upload: &Upload, visitor: &Visitor) -> Result<Self, Refusal> {
        let missing = || Refusal::input(visitor.say(say::NO_FILES));
        let job = upload.file("job").ok_or_else(missing)?;
        let readings = upload.file("readings").ok_or_else(missing)?;
        let text = String::from_utf8(job.bytes.clone()).map_err(|e| {
            Refusal::input(format!(
                "{}: byte {} is not UTF-8 text. Save the file as UTF-8 and try again.",
                job.name,
                e.utf8_error().valid_up_to() + 1
            ))
        })?;
        Ok(Self {
            job: (job.name.clone(), text),
            tables: vec![(readings.name.clone(), readings.bytes.clone())],
            beside: Vec::new(),
            wish_frac: None,
        })
    }
}

/// `GET /plan`.
pub(crate) async fn form(visitor: Visitor) -> Markup {
    view::form(&visitor)
}

/// `POST /plan`: works it out and leads to its page.
pub(crate) async fn work_out(
    bay: Bay,
    visitor: Visitor,
    upload: Upload,
) -> Result<Redirect, Refusal> {
    let files = Files::read(&upload, &visitor)?;
    let shelved = bay.plans.of(files.mark(), files).await?;
    Ok(Redirect::to(&format!("/plan/{}", shelved.name)))
}

/// `GET /plan/{name}`.
pub(crate) async fn show(
    bay: Bay,
    visitor: Visitor,
    Path(name): Path<String>,
) -> Result<Markup, Refusal> {
    let shelved = bay.plans.named(&name, &visitor).await?;
    Ok(view::page(&visitor, &shelved))
}

/// `GET /plan/{name}/plan.json` and `/plan.pdf`.
pub(crate) async fn file(
    bay: Bay,
    visitor: Visitor,
    Path((name, file)): Path<(String, String)>,
) -> Result<Response, Refusal> {
    let shelved = bay.plans.named(&name, &visitor).await?;
    match file.as_str() {
        "plan.json" => api::answer(&commands::plan::document(&shelved.planned)?),
        "plan.pdf" => {
            let pdf = apart(move || {
                let is_letter = shelved.job.units == Units::Us;
                Ok(commands::plan::sheet(&shelved.job, &shelved.planned, is_letter)?.0)
            })
            .await?;
            let head = [
                (header::CONTENT_TYPE, "application/pdf"),
                (header::CONTENT_DISPOSITION, "inline; filename=\"plan.pdf\""),
            ];
            Ok((head, pdf).into_response())
        }
        _ => Err(Refusal::missing(visitor.say(say::GONE))),
    }
}

/// `POST /api/plan`: the two files in, the document of the command line out.
pub(crate) async fn by_api(
    bay: Bay,
    visitor: Visitor,
    upload: Upload,
) -> Result<Response, Refusal> {
    let files = Files::read(&upload, &visitor)?;
    let shelved = bay.plans.of(files.mark(), files).await?;
    api::answer(&commands::plan::document(&shelved.planned)?)
}
