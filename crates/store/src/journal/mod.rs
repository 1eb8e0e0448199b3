//! Writes a job's history: every change is an event that is only ever added.
//!
//! Law: an edit names the version it saw. If another device has since touched
//! the same place, the edit is kept in the history as set aside and both sides
//! come back; otherwise it takes effect. The same id delivered again is
//! answered with the event it already is.
//! Holds: edits of one job wait for each other; edits of different jobs do not
//! on PostgreSQL. Edits of one device follow each other and are never in each
//! other's way.
//! Left out: which changes make sense in the trade; that is for the stations.
//! Checked by: `tests/store/journal.rs` on both databases, `tests/store/crash.rs` with
//! killed processes.

mod read;
mod remembered;
mod together;
mod undo;

use std::sync::Arc;

use serde_json::Value;

pub use read::{JobGlance, JobQuery, PastDeed};
pub(crate) use read::{has_event, hash_at};
pub(crate) use remembered::Remembered;
pub(crate) use together::Line;

use crate::database::{Cell, Tx};
use crate::document::{Change, JobState, apply_noting};
use crate::error::StoreError;
use crate::event::{Author, Edit, Event, Standing};
use crate::live::Notice;
use crate::shop::{Patience, Shop};
use crate::token::{check_id, short_text};

/// Most changes in one edit.
pub const MOST_CHANGES: usize = 1000;
/// Most bytes of one edit's changes.
pub const MOST_BODY_BYTES: usize = 1 << 20;
/// Most bytes of one job's document.
pub const MOST_DOCUMENT_BYTES: usize = 16 << 20;

/// A state is saved after so many events.
const SNAPSHOT_EVERY: i64 = 16;

/// What became of an edit.
#[derive(Clone, Debug, PartialEq)]
pub enum Outcome {
    /// It took effect.
    Kept(Event),
    /// It had been delivered before and took effect then.
    Again(Event),
    /// It came too late for its place and waits to be settled.
    Aside(Box<Conflict>),
}

/// An edit that was set aside, and what it ran into.
#[derive(Clone, Debug, PartialEq)]
pub struct Conflict {
    /// The edit, as it stands in the history.
    pub mine: Event,
    /// The events of other devices that touched the same places.
    pub theirs: Vec<Event>,
}

impl Outcome {
    /// The event that the edit has become.
    #[must_use]
    pub fn event(&self) -> &Event {
        match self {
            Self::Kept(event) | Self::Again(event) => event,
            Self::Aside(conflict) => &conflict.mine,
        }
    }
}

/// The end of a job's history while it is being written.
pub(crate) struct Head {
    version: i64,
    hash: String,
    state: JobState,
}

impl Shop {
    /// Adds one edit to a job's history; an edit that saw version 0 opens the
    /// job if it is not there yet.
    ///
    /// # Errors
    /// When the job is unknown, the edit is malformed, the disk is full or the
    /// database stays away. Sending the same edit again is always safe.
    pub async fn append(
        &self,
        job: &str,
        author: &Author,
        edit: &Edit,
    ) -> Result<Outcome, StoreError> {
        let mut outcomes = self
            .append_all(job, author, std::slice::from_ref(edit))
            .await?;
        outcomes
            .pop()
            .ok_or_else(|| StoreError::Fault("an edit has no outcome".to_owned()))
    }

    /// Adds several edits in order, all or none: a device's queue.
    ///
    /// # Errors
    /// As [`Shop::append`].
    pub async fn append_all(
        &self,
        job: &str,
        author: &Author,
        edits: &[Edit],
    ) -> Result<Vec<Outcome>, StoreError> {
        check_id("A job's id", job)?;
        short_text("The author", &author.who, 64)?;
        short_text("The device", &author.device, 64)?;
        edits.iter().try_for_each(check_edit)?;
        let mut patience = Patience::new();
        loop {
            let outcome = if self.database().server().is_some() {
                self.append_once(job, author, edits).await
            } else {
                self.append_together(job, author, edits).await
            };
            match outcome {
                Err(error) if patience.bears(&error).await => {}
                other => return other,
            }
        }
    }

    /// An edit of our own making, which may be larger than a device's.
    pub(crate) async fn append_trusted(
        &self,
        job: &str,
        author: &Author,
        edit: &Edit,
    ) -> Result<(), StoreError> {
        self.append_once(job, author, std::slice::from_ref(edit))
            .await
            .map(|_| ())
    }

    async fn append_once(
        &self,
        job: &str,
        author: &Author,
        edits: &[Edit],
    ) -> Result<Vec<Outcome>, StoreError> {
        let mut tx = self.database().write().await?;
        let (outcomes, notice) = self.append_in(&mut tx, job, (author, edits)).await?;
        tx.keep().await?;
        if let Some(notice) = notice {
            // No listener is no fault.
            let _ = self.store.inner.notices.send(notice);
        }
        Ok(outcomes)
    }

    /// Writes edits within a piece of work; the notice to send once it is kept.
    async fn append_in(
        &self,
        tx: &mut Tx,
        job: &str,
        (author, edits): (&Author, &[Edit]),
    ) -> Result<(Vec<Outcome>, Option<Notice>), StoreError> {
        let may_open = edits.first().is_some_and(|edit| edit.saw == 0);
        let mut head = self.head_of(tx, job, may_open).await?;
        let first = head.version;
        let mut outcomes = Vec::with_capacity(edits.len());
        for edit in edits {
            outcomes.push(self.take(tx, job, (author, edit), &mut head).await?);
        }
        if head.version == first {
            return Ok((outcomes, None));
        }
        self.write_head(tx, job, &head, first).await?;
        let state = Arc::new(head.state);
        self.store
            .inner
            .remembered
            .keep(&self.id, job, &head.hash, &state);
        Ok((outcomes, Some(Notice::new(&self.id, job, head.version))))
    }

    /// Takes the pen for one job, so that its edits wait for each other.
    pub(crate) async fn head_of(
        &self,
        tx: &mut Tx,
        job: &str,
        may_open: bool,
    ) -> Result<Head, StoreError> {
        const PEN: &str = "UPDATE jobs SET version = version \
            WHERE shop = $1 AND id = $2 RETURNING version, head";
        const OPEN: &str = "INSERT INTO jobs (shop, id, version, head, stage, glance, search, \
            open_conflicts, made_ms, changed_ms) \
            VALUES ($1, $2, 0, '', '', '{}', '', 0, $3, $3) ON CONFLICT DO NOTHING";
        let place = [Cell::from(&self.id), Cell::from(job)];
        let mut row = tx.row(PEN, &place).await?;
        if row.is_none() && may_open {
            let cells = [&place[..], &[Cell::from(self.now_ms())]].concat();
            tx.change(OPEN, &cells).await?;
            row = tx.row(PEN, &place).await?;
        }
        let row = row.ok_or_else(|| StoreError::not_there("job", job))?;
        let (version, hash) = (row.int(0)?, row.text(1)?);
        let remembered = self.store.inner.remembered.find(&self.id, job, &hash);
        let state = match remembered {
            Some(state) => Arc::unwrap_or_clone(state),
            None => read::load_state(tx, &self.id, job, None).await?,
        };
        if state.version != version {
            return Err(StoreError::damaged(
                format!("job {job}"),
                format!(
                    "its head says {version}, its history ends at {}",
                    state.version
                ),
            ));
        }
        Ok(Head {
            version,
            hash,
            state,
        })
    }

    async fn take(
        &self,
        tx: &mut Tx,
        job: &str,
        (author, edit): (&Author, &Edit),
        head: &mut Head,
    ) -> Result<Outcome, StoreError> {
        if let Some(event) = read::event_by_id(tx, &self.id, &edit.id).await? {
            return self.answer_again(tx, job, (author, edit), event).await;
        }
        if edit.saw > head.version {
            return Err(StoreError::Refused(format!(
                "The edit says it saw version {} of the job, which is at {}. Load the job again.",
                edit.saw, head.version
            )));
        }
        let mut event = self.draft(job, author, edit, head);
        let theirs = read::in_the_way(tx, &self.id, &event).await?;
        if theirs.is_empty() {
            apply_noting(&mut head.state.document, &mut event.changes)?;
        } else {
            event.standing = Standing::Aside;
        }
        event.hash = event.right_hash()?;
        insert(tx, &self.id, &event).await?;
        head.advance(&event);
        if theirs.is_empty() {
            return Ok(Outcome::Kept(event));
        }
        Ok(Outcome::Aside(Box::new(Conflict {
            mine: event,
            theirs,
        })))
    }

    async fn answer_again(
        &self,
        tx: &mut Tx,
        job: &str,
        (author, edit): (&Author, &Edit),
        event: Event,
    ) -> Result<Outcome, StoreError> {
        let is_same = event.job == job
            && event.kind == edit.kind
            && event.who == author.who
            && event.changes.len() == edit.changes.len()
            && (event.changes.iter().zip(&edit.changes)).all(|(a, b)| a.is_same_deed(b));
        if !is_same {
            return Err(StoreError::Refused(format!(
                "The id `{}` already belongs to another edit. Give each edit an id of its own.",
                edit.id
            )));
        }
        if event.standing == Standing::Kept {
            return Ok(Outcome::Again(event));
        }
        let theirs = read::in_the_way(tx, &self.id, &event).await?;
        Ok(Outcome::Aside(Box::new(Conflict {
            mine: event,
            theirs,
        })))
    }

    fn draft(&self, job: &str, author: &Author, edit: &Edit, head: &Head) -> Event {
        Event {
            job: job.to_owned(),
            version: head.version + 1,
            id: edit.id.clone(),
            kind: edit.kind.clone(),
            saw: edit.saw,
            changes: edit.changes.clone(),
            who: author.who.clone(),
            device: author.device.clone(),
            said_ms: edit.said_ms,
            at_ms: self.now_ms(),
            standing: Standing::Kept,
            undoes: edit.undoes.clone(),
            settles: edit.settles.clone(),
            previous: head.hash.clone(),
            hash: String::new(),
        }
    }

    /// Writes the new end of a history, what the list shows, a saved state now
    /// and then, and calls the other processes.
    pub(crate) async fn write_head(
        &self,
        tx: &mut Tx,
        job: &str,
        head: &Head,
        first: i64,
    ) -> Result<(), StoreError> {
        const HEAD: &str = "UPDATE jobs SET version = $3, head = $4, stage = $5, glance = $6, \
            search = $7, open_conflicts = $8, changed_ms = $9 WHERE shop = $1 AND id = $2";
        let glance = Glance::of(&head.state.document);
        let cells = [
            Cell::from(&self.id),
            Cell::from(job),
            Cell::from(head.version),
            Cell::from(&head.hash),
            Cell::from(glance.stage),
            Cell::from(glance.json),
            Cell::from(glance.search),
            Cell::from(head.state.open_conflicts.len() as i64),
            Cell::from(self.now_ms()),
        ];
        tx.change(HEAD, &cells).await?;
        let is_due = head.version / SNAPSHOT_EVERY > first / SNAPSHOT_EVERY;
        if is_due {
            save_state(tx, &self.id, job, &head.state).await?;
        }
        if tx.is_server() {
            let notice = Notice::new(&self.id, job, head.version);
            tx.change(crate::live::CALL, &[notice.to_text().into()])
                .await?;
        }
        Ok(())
    }
}

impl Head {
    pub(crate) fn version(&self) -> i64 {
        self.version
    }

    /// Takes an event of a checked history.
    pub(crate) fn fold(&mut self, event: &Event) -> Result<(), StoreError> {
        self.state.fold(event)?;
        self.version = event.version;
        self.hash.clone_from(&event.hash);
        Ok(())
    }

    fn advance(&mut self, event: &Event) {
        self.version = event.version;
        self.hash.clone_from(&event.hash);
        self.state.version = event.version;
        match event.standing {
            Standing::Aside => self.state.open_conflicts.push(event.id.clone()),
            Standing::Kept => {
                if let Some(settled) = &event.settles {
                    self.state.open_conflicts.retain(|id| id != settled);
                }
            }
        }
    }
}

/// What the list of jobs shows: the document's `/glance`.
pub(crate) struct Glance {
    pub(crate) stage: String,
    pub(crate) json: String,
    pub(crate) search: String,
}

impl Glance {
    pub(crate) fn of(document: &Value) -> Self {
        // As much as an entry of PostgreSQL's index may hold.
        const MOST_SEARCH_SIGNS: usize = 500;
        let Some(glance) = document.get("glance").filter(|g| g.is_object()) else {
            return Self {
                stage: String::new(),
                json: "{}".to_owned(),
                search: String::new(),
            };
        };
        let mut words = String::new();
        for word in glance.as_object().into_iter().flatten() {
            if let Some(text) = word.1.as_str() {
                words.push_str(&text.to_lowercase());
                words.push(' ');
            }
        }
        let stage = glance
            .get("stage")
            .and_then(Value::as_str)
            .unwrap_or_default();
        Self {
            stage: stage.chars().filter(|c| !c.is_control()).take(40).collect(),
            json: glance.to_string(),
            search: words
                .chars()
                .filter(|c| !c.is_control())
                .take(MOST_SEARCH_SIGNS)
                .collect(),
        }
    }
}

pub(crate) async fn insert(tx: &mut Tx, shop: &str, event: &Event) -> Result<(), StoreError> {
    const NEW: &str = "INSERT INTO events (shop, job, version, id, kind, saw, body, who, device, \
        said_ms, at_ms, standing, undoes, settles, previous, hash) \
        VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16)";
    let cells = [
        Cell::from(shop),
        Cell::from(&event.job),
        Cell::from(event.version),
        Cell::from(&event.id),
        Cell::from(&event.kind),
        Cell::from(event.saw),
        Cell::from(event.body()?),
        Cell::from(&event.who),
        Cell::from(&event.device),
        Cell::from(event.said_ms),
        Cell::from(event.at_ms),
        Cell::from(event.standing.word()),
        Cell::from(&event.undoes),
        Cell::from(&event.settles),
        Cell::from(&event.previous),
        Cell::from(&event.hash),
    ];
    tx.change(NEW, &cells).await?;
    Ok(())
}

pub(crate) async fn save_state(
    tx: &mut Tx,
    shop: &str,
    job: &str,
    state: &JobState,
) -> Result<(), StoreError> {
    const SAVE: &str = "INSERT INTO snapshots (shop, job, version, state) \
        VALUES ($1, $2, $3, $4) ON CONFLICT (shop, job) \
        DO UPDATE SET version = excluded.version, state = excluded.state";
    let text = serde_json::to_string(state).map_err(|why| StoreError::Fault(why.to_string()))?;
    if text.len() > MOST_DOCUMENT_BYTES {
        return Err(StoreError::Refused(
            "The job has grown over 16 MB. Open a new job for the rest, or put large things into photos.".to_owned(),
        ));
    }
    let cells = [shop.into(), job.into(), state.version.into(), text.into()];
    tx.change(SAVE, &cells).await?;
    Ok(())
}

fn check_edit(edit: &Edit) -> Result<(), StoreError> {
    check_id("An edit's id", &edit.id)?;
    check_id("An edit's kind", &edit.kind)?;
    for id in [&edit.undoes, &edit.settles].into_iter().flatten() {
        check_id("The event that an edit names", id)?;
    }
    if edit.saw < 0 {
        return Err(StoreError::Refused(
            "An edit names the version it saw, 0 or more.".to_owned(),
        ));
    }
    let bytes = serde_json::to_string(&edit.changes).map_or(usize::MAX, |text| text.len());
    if edit.changes.len() > MOST_CHANGES || bytes > MOST_BODY_BYTES {
        return Err(StoreError::Refused(format!(
            "One edit may hold {MOST_CHANGES} changes and 1 MB; this one has {} changes and {} kB. Send it in parts.",
            edit.changes.len(),
            bytes / 1000
        )));
    }
    Ok(())
}
