//! Answers that take seconds, kept in memory under a mark of their input.
//!
//! Law: the same mark is worked out once, however many ask at the same time;
//! one who leaves early does not stop the work for the others.
//! Holds: for the last few marks; older ones are worked out anew.
//! Checked by: the tests below and `tests/web_gauge.rs`.

use std::collections::VecDeque;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::sync::{Arc, Mutex};

use lapwing_job::plan::{Planned, plan};
use lapwing_job::record::job::Job;
use lapwing_job::trial::TrialResult;
use serde_json::Value;
use tokio::sync::OnceCell;

use super::super::jobs::Kept;
use super::super::refusal::Refusal;
use super::super::visitor::Visitor;
use super::super::words::plan as say;
use super::super::{apart, example};
use crate::commands;
use crate::commands::job_film::{Decisions, JobFilm, Table};
use crate::commands::plan::Started;
use crate::failure::Failure;

/// A plan with what it was made from.
pub(crate) struct Shelved {
    pub(super) name: String,
    pub(crate) job: Job,
    pub(crate) planned: Planned,
}

/// Answers worked out since the start.
pub(crate) struct Shelf {
    plans: Recent<Shelved>,
    films: Recent<JobFilm>,
    glances: Recent<Value>,
    trials: Recent<TrialResult>,
}

impl Shelf {
    pub(crate) fn new() -> Self {
        Self {
            plans: Recent::new(24),
            films: Recent::new(6),
            glances: Recent::new(64),
            trials: Recent::new(24),
        }
    }

    /// The plan of an input, worked out unless it is there.
    pub(super) async fn of(&self, name: String, files: Files) -> Result<Arc<Shelved>, Refusal> {
        let of = name.clone();
        self.plans.of(name, move || worked(of, &files)).await
    }

    /// The plan of a job in the store, worked out unless it is there.
    pub(crate) async fn of_kept(
        &self,
        kept: &Kept,
        visitor: &Visitor,
    ) -> Result<Arc<Shelved>, Refusal> {
        let files = Files::of_kept(kept, visitor)?;
        self.of(files.mark(), files).await
    }

    /// The plan of a job in the store, if it is there.
    pub(crate) fn plan_at_hand(&self, kept: &Kept, visitor: &Visitor) -> Option<Arc<Shelved>> {
        let files = Files::of_kept(kept, visitor).ok()?;
        self.plans.find(&files.mark())
    }

    pub(super) async fn named(
        &self,
        name: &str,
        visitor: &Visitor,
    ) -> Result<Arc<Shelved>, Refusal> {
        match self.plans.find(name) {
            Some(shelved) => Ok(shelved),
            None if name == example::NAME => self.of(name.to_owned(), Files::example()).await,
            None => Err(Refusal::missing(visitor.say(say::GONE))),
        }
    }

    /// The film of a job with its maps, worked out unless it is there.
    pub(crate) async fn film_of(&self, kept: &Kept) -> Result<Arc<JobFilm>, Refusal> {
        let (mark, files) = Files::of_film(kept);
        let work = move || {
            let job = files.job_alone()?;
            commands::job_film::film_of_job(&files.tables, job.as_ref())
        };
        self.films.of(mark, work).await
    }

    /// The same, if it is there.
    pub(crate) fn film_at_hand(&self, kept: &Kept) -> Option<Arc<JobFilm>> {
        self.films.find(&Files::of_film(kept).0)
    }

    /// What is there panel by panel, without maps.
    pub(crate) async fn glance_of(&self, kept: &Kept) -> Result<Arc<Value>, Refusal> {
        let (mark, files) = Files::of_film(kept);
        let work = move || {
            let job = files.job_alone()?;
            commands::job_film::at_a_glance(&files.tables, job.as_ref())
        };
        self.glances.of(mark, work).await
    }

    /// What the film asks a person to decide.
    pub(crate) async fn decisions_of(&self, kept: &Kept) -> Result<Decisions, Refusal> {
        let (_, files) = Files::of_film(kept);
        super::super::apart(move || {
            let job = files.job_alone()?;
            commands::job_film::decisions(&files.tables, job.as_ref())
        })
        .await
    }

    /// A test spot from its text.
    pub(crate) async fn trial_of(&self, text: String) -> Result<Arc<TrialResult>, Refusal> {
        let mark = mark(&text);
        let work = move || commands::trial::answer("the test spot", &text);
        self.trials.of(mark, work).await
    }
}

/// A job as its files, each with the name that sentences use.
#[derive(Clone)]
pub(super) struct Files {
    pub(super) job: (String, String),
    pub(super) tables: Vec<Table>,
    /// Other files that the job may name, with their texts.
    pub(super) beside: Vec<(String, String)>,
    /// Share of scratch length that the customer chose, 0 to 1.
    pub(super) wish_frac: Option<f64>,
}

impl Files {
    fn example() -> Self {
        Self {
            job: ("job.toml".to_owned(), example::JOB.to_owned()),
            tables: vec![(
                "readings.csv".to_owned(),
                example::READINGS.as_bytes().to_vec(),
            )],
            beside: Vec::new(),
            wish_frac: None,
        }
    }

    fn of_kept(kept: &Kept, visitor: &Visitor) -> Result<Self, Refusal> {
        if kept.text("/folder/job.toml").is_empty() {
            return Err(Refusal::input(visitor.say(say::NO_KIT)));
        }
        Ok(Self {
            job: ("job.toml".to_owned(), kept.job_text()),
            tables: kept.tables(),
            beside: beside(kept),
            wish_frac: kept
                .document
                .pointer("/trial/choice/wish_frac")
                .and_then(Value::as_f64),
        })
    }

    /// What the film depends on, with its mark.
    fn of_film(kept: &Kept) -> (String, Self) {
        let text = kept.with_repaints(kept.text("/folder/job.toml").to_owned());
        let files = Self {
            job: ("job.toml".to_owned(), text),
            tables: kept.tables(),
            beside: beside(kept),
            wish_frac: None,
        };
        (files.mark(), files)
    }

    fn job_alone(&self) -> Result<Option<Job>, Failure> {
        if self.job.1.is_empty() {
            return Ok(None);
        }
        Ok(Some(self.started()?.job))
    }

    fn started(&self) -> Result<Started, Failure> {
        commands::plan::read_started(&self.job.0, &self.job.1, &|name| {
            let found = self.beside.iter().find(|(known, _)| known == name);
            found.cloned().ok_or_else(|| not_sent(name))
        })
    }

    /// A mark of the content, for the address.
    pub(super) fn mark(&self) -> String {
        let wish = self.wish_frac.map(f64::to_bits);
        let tables: Vec<&[u8]> = self.tables.iter().map(|(_, b)| b.as_slice()).collect();
        mark(&(&self.job.1, tables, &self.beside, wish))
    }
}

fn mark(content: &impl Hash) -> String {
    let mut hasher = DefaultHasher::new();
    content.hash(&mut hasher);
    format!("{:016x}", hasher.finish())
}

fn beside(kept: &Kept) -> Vec<(String, String)> {
    let all = kept.entries("/folder").into_iter();
    all.filter_map(|(name, text)| Some((name.clone(), text.as_str()?.to_owned())))
        .collect()
}

fn not_sent(name: &str) -> Failure {
    Failure::Input(format!(
        "job.toml names the file \"{name}\", which was not sent along. Take that line out, or use `lapwing plan` on the folder."
    ))
}

fn worked(name: String, files: &Files) -> Result<Shelved, Failure> {
    let mut started = files.started()?;
    if let Some(wish_frac) = files.wish_frac {
        commands::plan::wish(&mut started.job, wish_frac);
    }
    let read = commands::job_film::read_tables(&files.tables)?;
    let (film, maps) = commands::plan::film_of(&mut started, &read);
    let job = started.job;
    let mut planned = plan(&job, &film, &|_| {})?;
    planned.ask_for_readings(&job, &film, &maps);
    Ok(Shelved { name, job, planned })
}

type Slot<T> = Arc<OnceCell<Arc<T>>>;

/// The last answers of one kind.
struct Recent<T> {
    most: usize,
    kept: Mutex<VecDeque<(String, Slot<T>)>>,
}

impl<T: Send + Sync + 'static> Recent<T> {
    fn new(most: usize) -> Self {
        Self {
            most,
            kept: Mutex::new(VecDeque::new()),
        }
    }

    /// The answer of a mark, if it is ready.
    fn find(&self, name: &str) -> Option<Arc<T>> {
        let kept = self.kept.lock().ok()?;
        let (_, slot) = kept.iter().find(|(n, _)| n == name)?;
        slot.get().map(Arc::clone)
    }

    fn slot(&self, name: String) -> Slot<T> {
        let Ok(mut kept) = self.kept.lock() else {
            return Slot::default();
        };
        let at = kept.iter().position(|(n, _)| *n == name);
        let slot = at
            .and_then(|at| kept.remove(at))
            .map_or_else(Slot::default, |(_, s)| s);
        kept.push_front((name, Arc::clone(&slot)));
        kept.truncate(self.most);
        slot
    }

    /// The answer of a mark; the work goes on when the one who asked leaves.
    async fn of(
        &self,
        name: String,
        work: impl FnOnce() -> Result<T, Failure> + Send + 'static,
    ) -> Result<Arc<T>, Refusal> {
        if let Some(found) = self.find(&name) {
            return Ok(found);
        }
        let slot = self.slot(name);
        let task = tokio::spawn(async move {
            let made = slot.get_or_try_init(|| async { apart(work).await.map(Arc::new) });
            made.await.map(Arc::clone)
        });
        task.await.map_err(|e| Failure::Ours(e.to_string()))?
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::atomic::{AtomicUsize, Ordering};

    #[tokio::test]
    async fn two_who_ask_at_once_have_it_worked_out_once() {
        let recent: Recent<usize> = Recent::new(2);
        let times = Arc::new(AtomicUsize::new(0));
        let work = || {
            let times = Arc::clone(&times);
            move || {
                std::thread::sleep(std::time::Duration::from_millis(30));
                Ok(times.fetch_add(1, Ordering::Relaxed))
            }
        };
        let (a, b) = tokio::join!(
            recent.of("a".to_owned(), work()),
            recent.of("a".to_owned(), work())
        );
        assert_eq!((*a.expect("one"), *b.expect("the same")), (0, 0));
        for name in ["b", "c"] {
            recent.of(name.to_owned(), work()).await.expect("another");
        }
        assert!(recent.find("a").is_none() && recent.find("c").is_some());
    }

    #[tokio::test]
    async fn a_fault_is_not_kept() {
        let recent: Recent<usize> = Recent::new(2);
        let fault = recent.of("a".to_owned(), || Err(Failure::Input("no".to_owned())));
        assert!(fault.await.is_err());
        assert_eq!(*recent.of("a".to_owned(), || Ok(7)).await.expect("now"), 7);
    }
}
