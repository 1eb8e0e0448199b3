//! The bench page: sliders that answer while the finger moves.
//!
//! The page sends its fields; they become the text of a setup, the same that
//! `lapwing bench` reads, and the same command function answers. The last
//! answers are kept, so that "your usual" is worked out once.
//! Holds: an answer nobody waits for any more is stopped.
//! Checked by: `tests/web_bench.rs`.

mod of_job;
mod pass;
mod view;
mod words;

use std::collections::VecDeque;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};

use axum::response::{IntoResponse, Response};
use lapwing_job::bench::BenchResult;
use serde_json::json;
use tokio::sync::Semaphore;

use self::of_job::OfJob;
use self::pass::Pass;
use super::fields::{Fields, NumberField};
use super::numbers::Measure;
use super::refusal::Refusal;
use super::visitor::Visitor;
use super::words::bench as say;
use super::{Bay, api};
use crate::commands;
use crate::failure::Failure;

/// Where a job warns and stops that says nothing else, °C.
const USUAL_WALLS_C: [f64; 2] = [45.0, 60.0];
/// So many answers are kept.
const KEPT: usize = 48;

/// What the bench keeps between requests.
pub(crate) struct Bench {
    kept: Mutex<VecDeque<(String, Arc<BenchResult>)>>,
    jobs: Mutex<VecDeque<(String, Arc<OfJob>)>>,
    places: Semaphore,
}

impl Bench {
    pub(crate) fn new() -> Self {
        let cores = std::thread::available_parallelism().map_or(2, usize::from);
        Self {
            kept: Mutex::new(VecDeque::new()),
            jobs: Mutex::new(VecDeque::new()),
            places: Semaphore::new(cores.max(2)),
        }
    }

    fn kept(&self, setup: &str) -> Option<Arc<BenchResult>> {
        let kept = self.kept.lock().ok()?;
        let found = kept.iter().find(|(text, _)| text == setup);
        found.map(|(_, result)| Arc::clone(result))
    }

    fn keep(&self, setup: String, result: &Arc<BenchResult>) {
        if let Ok(mut kept) = self.kept.lock() {
            kept.push_front((setup, Arc::clone(result)));
            kept.truncate(KEPT);
        }
    }

    /// Works out a setup, or takes the kept answer.
    async fn answer(&self, setup: String) -> Result<Arc<BenchResult>, Refusal> {
        if let Some(result) = self.kept(&setup) {
            return Ok(result);
        }
        let place = self.places.acquire().await;
        let stop = StopWhenDropped(Arc::new(AtomicBool::new(false)));
        let flag = Arc::clone(&stop.0);
        let text = setup.clone();
        let worked =
            tokio::task::spawn_blocking(move || commands::bench::answer(&text, &flag)).await;
        drop(place);
        let result = worked.map_err(|e| Failure::Ours(e.to_string()))??;
        let result = Arc::new(result);
        self.keep(setup, &result);
        Ok(result)
    }
}

/// Stops the work when the one who asked has gone.
struct StopWhenDropped(Arc<AtomicBool>);

impl Drop for StopWhenDropped {
    fn drop(&mut self) {
        self.0.store(true, Ordering::Relaxed);
    }
}

/// Room for pictures on the visitor's screen, px.
#[derive(Clone, Copy)]
struct Room {
    map_px: f64,
    chart_px: f64,
    walls_c: [f64; 2],
}

impl Room {
    fn read(fields: &Fields, visitor: &Visitor, of_job: Option<&OfJob>) -> Result<Self, Refusal> {
        let width = |key, otherwise, range| {
            let field = NumberField {
                key,
                label: say::WIDTH,
                measure: Measure::Count,
                range,
            };
            fields.number(&field, otherwise, visitor)
        };
        Ok(Self {
            map_px: width("map_px", 300.0, (120.0, 1200.0))?.clamp(170.0, 600.0),
            chart_px: width("chart_px", 600.0, (120.0, 2400.0))?.clamp(300.0, 900.0),
            walls_c: of_job.map_or(USUAL_WALLS_C, |job| job.walls_c),
        })
    }
}

/// `GET /bench`: the page, with the answer to its fields.
pub(crate) async fn show(bay: Bay, visitor: Visitor, fields: Fields) -> Result<Response, Refusal> {
    let of_job = of_job::of(&bay, &visitor, &fields).await?;
    let base = of_job.as_ref().map(|job| &job.base);
    let (pass, refusal) = match Pass::read(&fields, &visitor, base) {
        Ok(pass) => (pass, None),
        Err(refusal) => {
            let rest = sound(&fields, &visitor, base);
            (Pass::read(&rest, &visitor, base)?, Some(refusal))
        }
    };
    let room = Room::read(&fields, &visitor, of_job.as_deref())?;
    let now = bay.bench.answer(pass.setup()).await?;
    let usual = bay.bench.answer(pass.usual().setup()).await?;
    let parts = view::Parts::draw(&visitor, (&now, &usual), room)?;
    let fault = refusal.as_ref().map(|r| r.sentence.as_str());
    let page = view::page(&visitor, (&pass, of_job.as_deref(), fault), &parts);
    Ok(match refusal {
        Some(refusal) => refusal.at_the_form(page),
        None => page.into_response(),
    })
}

/// The fields that can be used, each by itself.
fn sound(fields: &Fields, visitor: &Visitor, base: Option<&pass::Base>) -> Fields {
    let mut kept = Fields::default();
    for (key, value) in fields.pairs() {
        let mut alone = Fields::default();
        alone.push(key.clone(), value.clone());
        if Pass::read(&alone, visitor, base).is_ok() {
            kept.push(key.clone(), value.clone());
        }
    }
    kept
}

/// `GET /bench/answer`: the same answer as JSON with its pictures; `parts=all`
/// leaves the numbers out, `parts=moving` all but maps and words.
pub(crate) async fn answer(
    bay: Bay,
    visitor: Visitor,
    fields: Fields,
) -> Result<Response, Refusal> {
    let of_job = of_job::of(&bay, &visitor, &fields).await?;
    let base = of_job.as_ref().map(|job| &job.base);
    let pass = Pass::read(&fields, &visitor, base)?;
    let room = Room::read(&fields, &visitor, of_job.as_deref())?;
    let now = bay.bench.answer(pass.setup()).await?;
    let usual = bay.bench.answer(pass.usual().setup()).await?;
    let words = ["moving", "all", "numbers"].map(|word| (word, word));
    let wanted = fields.word(("parts", say::NUMBERS), &words, "numbers", &visitor)?;
    if wanted == "moving" {
        let (maps, said) = view::Parts::of_moving(&visitor, (&now, &usual), room)?;
        let parts = json!({ "maps": maps.into_string(), "said": said.into_string() });
        return Ok(api::as_json(json!({ "parts": parts }).to_string()));
    }
    let parts = view::Parts::draw(&visitor, (&now, &usual), room)?;
    let mut numbers = commands::bench::plain_document(&now)?;
    if let Some(table) = numbers.as_object_mut() {
        table.retain(|key, _| key != "history" && key != "profile");
    }
    let mut document = json!({
        "parts": {
            "maps": parts.maps.into_string(),
            "said": parts.said.into_string(),
            "more": parts.more.into_string(),
        },
    });
    if wanted == "numbers" {
        document["answer"] = numbers;
    }
    Ok(api::as_json(document.to_string()))
}

/// `POST /api/bench`: a setup file in, the document of `lapwing bench --json`
/// out, at full detail unless the setup says otherwise.
pub(crate) async fn by_api(
    bay: Bay,
    body: Result<String, axum::extract::rejection::StringRejection>,
) -> Result<Response, Refusal> {
    let text = api::text(body)?;
    let result = bay.bench.answer(text).await?;
    api::answer(&commands::bench::plain_document(&result)?)
}
