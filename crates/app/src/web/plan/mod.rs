//! The plan page: a job file and readings in; car, panels, hours, materials,
//! dose and price out, with the documents to take along.
//!
//! A plan that was worked out stays on a shelf in memory under a mark of its
//! input, so that its page, its JSON and its PDF are the same plan.
//! Left out: keeping it over a restart; that is for jobs in the store.
//! Checked by: `tests/web_plan.rs`.

mod view;

use std::collections::VecDeque;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::sync::{Arc, Mutex};

use axum::extract::Path;
use axum::http::header;
use axum::response::{IntoResponse, Redirect, Response};
use lapwing_job::plan::{Planned, plan};
use lapwing_job::record::job::{Job, Units};
use maud::Markup;

use super::jobs::Kept;
use super::refusal::Refusal;
use super::upload::Upload;
use super::visitor::Visitor;
use super::words::plan as say;
use super::{Bay, apart, api, example};
use crate::commands;
use crate::failure::Failure;

/// So many plans stay on the shelf.
const KEPT: usize = 24;

/// A plan with what it was made from.
pub(crate) struct Shelved {
    name: String,
    pub(crate) job: Job,
    pub(crate) planned: Planned,
}

/// Plans worked out since the start.
pub(crate) struct Shelf {
    kept: Mutex<VecDeque<Arc<Shelved>>>,
}

impl Shelf {
    pub(crate) fn new() -> Self {
        Self {
            kept: Mutex::new(VecDeque::new()),
        }
    }

    fn find(&self, name: &str) -> Option<Arc<Shelved>> {
        let kept = self.kept.lock().ok()?;
        kept.iter().find(|s| s.name == name).map(Arc::clone)
    }

    /// The plan of an input, worked out unless it is there.
    async fn of(&self, name: String, files: Files) -> Result<Arc<Shelved>, Refusal> {
        if let Some(shelved) = self.find(&name) {
            return Ok(shelved);
        }
        let shelved = Arc::new(apart(move || worked(name, &files)).await?);
        if let Ok(mut kept) = self.kept.lock() {
            kept.retain(|s| s.name != shelved.name);
            kept.push_front(Arc::clone(&shelved));
            kept.truncate(KEPT);
        }
        Ok(shelved)
    }

    /// The plan of a job in the store.
    pub(crate) async fn of_kept(
        &self,
        kept: &Kept,
        visitor: &Visitor,
    ) -> Result<Arc<Shelved>, Refusal> {
        let job = kept.text("/folder/job.toml");
        if job.is_empty() {
            return Err(Refusal::input(visitor.say(say::NO_KIT)));
        }
        let files = Files {
            job: ("job.toml".to_owned(), job.to_owned()),
            readings: ("readings.csv".to_owned(), kept.table().into_bytes()),
            beside: kept
                .entries("/folder")
                .into_iter()
                .filter_map(|(name, text)| Some((name.clone(), text.as_str()?.to_owned())))
                .collect(),
        };
        self.of(files.mark(), files).await
    }

    async fn named(&self, name: &str, visitor: &Visitor) -> Result<Arc<Shelved>, Refusal> {
        match self.find(name) {
            Some(shelved) => Ok(shelved),
            None if name == example::NAME => self.of(name.to_owned(), Files::example()).await,
            None => Err(Refusal::missing(visitor.say(say::GONE))),
        }
    }
}

/// A job as its two files, each with the name that sentences use.
struct Files {
    job: (String, String),
    readings: (String, Vec<u8>),
    /// Other files that the job may name.
    beside: Vec<(String, String)>,
}

impl Files {
    fn example() -> Self {
        Self {
            job: ("job.toml".to_owned(), example::JOB.to_owned()),
            readings: (
                "readings.csv".to_owned(),
                example::READINGS.as_bytes().to_vec(),
            ),
            beside: Vec::new(),
        }
    }

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
            readings: (readings.name.clone(), readings.bytes.clone()),
            beside: Vec::new(),
        })
    }

    /// A mark of the content, for the address.
    fn mark(&self) -> String {
        let mut hasher = DefaultHasher::new();
        (&self.job.1, &self.readings.1, &self.beside).hash(&mut hasher);
        format!("{:016x}", hasher.finish())
    }
}

fn worked(name: String, files: &Files) -> Result<Shelved, Failure> {
    let bytes = || Ok(files.readings.1.clone());
    let beside = |name: &str| {
        let found = files.beside.iter().find(|(known, _)| known == name);
        found.cloned().ok_or_else(|| Failure::Input(format!(
            "job.toml names the file \"{name}\", which was not sent along. Take that line out, or use `lapwing plan` on the folder."
        )))
    };
    let (job, film) = commands::plan::read_texts(
        (&files.job.0, &files.job.1),
        (&files.readings.0, &bytes),
        &beside,
    )?;
    let planned = plan(&job, &film, &|_| {})?;
    Ok(Shelved { name, job, planned })
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

/// `GET /jobs/{job}/plan`: the plan of a job in the store, with the readings
/// taken so far.
pub(crate) async fn of_job(
    bay: Bay,
    visitor: Visitor,
    Path(job): Path<String>,
) -> Result<Redirect, Refusal> {
    let kept = Kept::load(&bay, &job).await?;
    let shelved = bay.plans.of_kept(&kept, &visitor).await?;
    Ok(Redirect::to(&format!("/plan/{}", shelved.name)))
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
