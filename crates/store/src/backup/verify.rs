//! Looks whether the store still is what was written into it.
//!
//! Law: every job's events are numbered without gaps, each carries the right
//! hash and that of the one before; the job's head, list line and saved state
//! follow from them; every photo is there and has the hash it is named by;
//! every row refers to rows that exist.
//! Holds: reads everything, so it takes as long as reading takes. Job by job,
//! each of one moment, while work may go on.
//! Left out: objects that no row names, which an upload that broke off between
//! two steps can leave; they cost only space.
//! Checked by: `tests/store/backup.rs`, where each kind of damage is done and found.

use sqlx::AssertSqlSafe;

use super::{Pace, Part, Told};
use crate::database::{Cell, Database, Tx};
use crate::document::JobState;
use crate::error::StoreError;
use crate::event::Event;
use crate::journal::Glance;
use crate::pictures::hash_of;
use crate::shop::Store;

/// What verifying found.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct VerifyReport {
    /// How many shops.
    pub shops: u64,
    /// How many jobs.
    pub jobs: u64,
    /// How many events.
    pub events: u64,
    /// How many photos.
    pub pictures: u64,
    /// What does not fit, a sentence each; empty when all is well.
    pub faults: Vec<String>,
}

const EVENTS_AT_ONCE: usize = 500;

impl Store {
    /// Looks through everything.
    ///
    /// # Errors
    /// When a place is away; damage is no error but a fault in the report.
    pub async fn verify(&self) -> Result<VerifyReport, StoreError> {
        self.verify_telling(&|_| {}).await
    }

    /// [`Store::verify`] that tells how far it is.
    ///
    /// # Errors
    /// As [`Store::verify`].
    pub async fn verify_telling(&self, told: Told<'_>) -> Result<VerifyReport, StoreError> {
        const COUNT: &str = "SELECT (SELECT COUNT(*) FROM jobs) + (SELECT COUNT(*) FROM pictures)";
        const JOBS: &str = "SELECT id FROM jobs WHERE shop = $1 ORDER BY id";
        const PICTURES: &str =
            "SELECT hash, size_bytes FROM pictures WHERE shop = $1 ORDER BY hash";
        let mut report = VerifyReport::default();
        let count = self.database().row(COUNT, &[]).await?;
        let count = count.map_or(Ok(0), |row| row.int(0))?;
        let mut pace = Pace::of(Part::Looking, count.unsigned_abs());
        for shop in self.shops().await? {
            report.shops += 1;
            let this = [Cell::from(&shop.id)];
            for row in self.database().rows(JOBS, &this).await? {
                self.verify_job(&shop.id, &row.text(0)?, &mut report)
                    .await?;
                pace.step(0, told);
            }
            for row in self.database().rows(PICTURES, &this).await? {
                let (hash, size) = (row.text(0)?, row.int(1)?);
                self.verify_picture((&shop.id, &hash), size, &mut report)
                    .await?;
                pace.step(size.unsigned_abs(), told);
            }
        }
        self.verify_file(&mut report).await?;
        Ok(report)
    }

    async fn verify_job(
        &self,
        shop: &str,
        job: &str,
        report: &mut VerifyReport,
    ) -> Result<(), StoreError> {
        let mut tx = self.database().still().await?;
        report.jobs += 1;
        let mut chain = Chain::new();
        while let Some(fault) = chain.read_on(&mut tx, shop, job).await.transpose() {
            match fault {
                Ok(events) => report.events += events,
                // What cannot be folded is a fault of the job, not of the line.
                Err(error) if !error.may_pass() => {
                    report.faults.push(error.to_string());
                    return Ok(());
                }
                Err(error) => return Err(error),
            }
        }
        let found = chain.compare(&mut tx, shop, job).await?;
        report.faults.extend(found);
        Ok(())
    }

    async fn verify_picture(
        &self,
        (shop, hash): (&str, &str),
        size: i64,
        report: &mut VerifyReport,
    ) -> Result<(), StoreError> {
        report.pictures += 1;
        let came = match self.inner.pictures.read(shop, hash).await {
            Ok(stream) => hash_of(stream).await,
            Err(error) => Err(error),
        };
        match came {
            Ok((came, length)) if came == hash && length == size => {}
            Ok(_) => report.faults.push(format!(
                "photo {hash}: its bytes are not those that were kept"
            )),
            Err(StoreError::NotThere { .. }) => {
                report.faults.push(format!("photo {hash}: it is missing"));
            }
            Err(error) => return Err(error),
        }
        Ok(())
    }

    /// PostgreSQL refuses rows that refer to nothing; an SQLite file may have
    /// been changed by another program.
    async fn verify_file(&self, report: &mut VerifyReport) -> Result<(), StoreError> {
        if let Database::Pg(_) = self.database() {
            return Ok(());
        }
        let rows = self.database().rows("PRAGMA integrity_check", &[]).await?;
        for row in rows {
            let text = row.text(0)?;
            if text != "ok" {
                report.faults.push(format!("database file: {text}"));
            }
        }
        const STRAY: &str = "SELECT \"table\", \"parent\" FROM pragma_foreign_key_check";
        for row in self.database().rows(STRAY, &[]).await? {
            report.faults.push(format!(
                "a row of {} refers to a row of {} that is not there",
                row.text(0)?,
                row.text(1)?
            ));
        }
        Ok(())
    }
}

/// A job's history while it is being read.
struct Chain {
    state: JobState,
    head: String,
    /// The state where the saved one was taken, to compare.
    at_saved: Option<JobState>,
    saved: Option<JobState>,
    is_begun: bool,
}

impl Chain {
    fn new() -> Self {
        Self {
            state: JobState::empty(),
            head: String::new(),
            at_saved: None,
            saved: None,
            is_begun: false,
        }
    }

    /// Reads the next events; nothing when there are no more.
    async fn read_on(
        &mut self,
        tx: &mut Tx,
        shop: &str,
        job: &str,
    ) -> Result<Option<u64>, StoreError> {
        if !std::mem::replace(&mut self.is_begun, true) {
            self.saved = read_saved(tx, shop, job).await?;
        }
        let text = format!(
            "SELECT {} FROM events WHERE shop = $1 AND job = $2 AND version > $3 \
             ORDER BY version LIMIT {EVENTS_AT_ONCE}",
            Event::COLUMNS
        );
        let cells = [shop.into(), job.into(), self.state.version.into()];
        let rows = tx.rows(AssertSqlSafe(text), &cells).await?;
        for row in &rows {
            self.add(job, &Event::from_row(row)?)?;
        }
        Ok((!rows.is_empty()).then_some(rows.len() as u64))
    }

    fn add(&mut self, job: &str, event: &Event) -> Result<(), StoreError> {
        let place = || format!("job {job}, event {}", event.version);
        if event.previous != self.head {
            return Err(StoreError::damaged(
                place(),
                "it does not follow the event before",
            ));
        }
        if event.right_hash()? != event.hash {
            return Err(StoreError::damaged(
                place(),
                "it was changed after it was written",
            ));
        }
        self.state.fold(event)?;
        self.head.clone_from(&event.hash);
        if self
            .saved
            .as_ref()
            .is_some_and(|s| s.version == event.version)
        {
            self.at_saved = Some(self.state.clone());
        }
        Ok(())
    }

    /// What the job's row and saved state say otherwise.
    async fn compare(&self, tx: &mut Tx, shop: &str, job: &str) -> Result<Vec<String>, StoreError> {
        const HEAD: &str = "SELECT version, head, glance, open_conflicts FROM jobs \
            WHERE shop = $1 AND id = $2";
        let mut faults = Vec::new();
        let Some(row) = tx.row(HEAD, &[shop.into(), job.into()]).await? else {
            return Ok(faults);
        };
        let (version, head) = (row.int(0)?, row.text(1)?);
        if version != self.state.version || head != self.head {
            faults.push(format!(
                "job {job}: its head says version {version}, its history ends at {}",
                self.state.version
            ));
        }
        let conflicts = self.state.open_conflicts.len() as i64;
        if row.text(2)? != Glance::of(&self.state.document).json || row.int(3)? != conflicts {
            faults.push(format!(
                "job {job}: its line in the list is not what its history says"
            ));
        }
        if self.saved != self.at_saved {
            faults.push(format!(
                "job {job}: its saved state is not what its history says"
            ));
        }
        Ok(faults)
    }
}

async fn read_saved(tx: &mut Tx, shop: &str, job: &str) -> Result<Option<JobState>, StoreError> {
    const SAVED: &str = "SELECT state FROM snapshots WHERE shop = $1 AND job = $2";
    let Some(row) = tx.row(SAVED, &[shop.into(), job.into()]).await? else {
        return Ok(None);
    };
    serde_json::from_str(&row.text(0)?)
        .map(Some)
        .map_err(|why| StoreError::damaged(format!("job {job}, its saved state"), why.to_string()))
}
