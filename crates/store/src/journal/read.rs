//! Reads a job's history and the states folded from it.
//!
//! Holds: a state is the last saved one plus the events after it, read in one
//! piece of work.
//! Left out: a search within histories.
//! Checked by: `tests/store/journal.rs` on both databases.

use std::sync::Arc;

use serde_json::Value;
use sqlx::AssertSqlSafe;

use super::Conflict;
use crate::database::{Cell, Tx};
use crate::document::{Change, JobState};
use crate::error::StoreError;
use crate::event::{Event, Standing};
use crate::shop::Shop;

/// One line of the list of jobs.
#[derive(Clone, Debug, PartialEq)]
pub struct JobGlance {
    /// The job's id.
    pub id: String,
    /// The number of its last event.
    pub version: i64,
    /// The document's `/glance`: whatever the list shows.
    pub glance: Value,
    /// How many edits wait to be settled.
    pub open_conflicts: i64,
    /// When it was opened, in milliseconds since 1970.
    pub made_ms: i64,
    /// When it was last changed, in milliseconds since 1970.
    pub changed_ms: i64,
}

/// One event of a job's past in a line.
#[derive(Clone, Debug, PartialEq)]
pub struct PastDeed {
    /// Its number in the job.
    pub version: i64,
    /// The id that the device made.
    pub id: String,
    /// What happened, in a word of the trade.
    pub kind: String,
    /// The event that it takes back.
    pub undoes: Option<String>,
    /// The set-aside event that it settles.
    pub settles: Option<String>,
    /// What it changed; nothing where that is long, such as a signed record.
    pub changes: Vec<Change>,
}

/// Longest list of changes that [`Shop::latest_deeds`] brings, signs.
const SHORT_BODY: i64 = 4000;

/// Which jobs to list, last changed first.
#[derive(Clone, Debug, Default)]
pub struct JobQuery {
    /// Only this `/glance/stage`.
    pub stage: Option<String>,
    /// Only jobs with this text somewhere in `/glance`, in any case of letters.
    pub search: Option<String>,
    /// Only jobs changed before this time and, at the same time, with a
    /// smaller id: the last line of the page before.
    pub after: Option<(i64, String)>,
    /// At most so many, 1 to 500; 0 means 50.
    pub most: usize,
}

impl Shop {
    /// What is true of a job now.
    ///
    /// # Errors
    /// When the shop has no such job, or the database is away.
    pub async fn state(&self, job: &str) -> Result<Arc<JobState>, StoreError> {
        const HEAD: &str = "SELECT head FROM jobs WHERE shop = $1 AND id = $2";
        let place = [Cell::from(&self.id), Cell::from(job)];
        let row = self.database().row(HEAD, &place).await?;
        let head = row
            .ok_or_else(|| StoreError::not_there("job", job))?
            .text(0)?;
        let remembered = &self.store.inner.remembered;
        if let Some(state) = remembered.find(&self.id, job, &head) {
            return Ok(state);
        }
        let mut tx = self.database().still().await?;
        let state = known(load_state(&mut tx, &self.id, job, None).await?, job)?;
        let hash = hash_at(&mut tx, &self.id, job, state.version).await?;
        let state = Arc::new(state);
        if let Some(hash) = hash {
            remembered.keep(&self.id, job, &hash, &state);
        }
        Ok(state)
    }

    /// The last deeds of a job, newest first, without what they changed where
    /// that is long.
    ///
    /// # Errors
    /// When the database is away, or holds changes that are no JSON.
    pub async fn latest_deeds(&self, job: &str, most: usize) -> Result<Vec<PastDeed>, StoreError> {
        const LATEST: &str = "SELECT version, id, kind, undoes, settles, \
            CASE WHEN length(body) <= $4 THEN body END FROM events \
            WHERE shop = $1 AND job = $2 ORDER BY version DESC LIMIT $3";
        let most = most.min(500) as i64;
        let cells = [
            Cell::from(&self.id),
            Cell::from(job),
            Cell::from(most),
            Cell::from(SHORT_BODY),
        ];
        let rows = self.database().rows(LATEST, &cells).await?;
        let deed = |row: &crate::database::Row| {
            Ok(PastDeed {
                version: row.int(0)?,
                id: row.text(1)?,
                kind: row.text(2)?,
                undoes: row.maybe_text(3)?,
                settles: row.maybe_text(4)?,
                changes: row.maybe_text(5)?.map_or_else(
                    || Ok(Vec::new()),
                    |body| {
                        serde_json::from_str(&body)
                            .map_err(|why| StoreError::Fault(why.to_string()))
                    },
                )?,
            })
        };
        rows.iter().map(deed).collect()
    }

    /// What was true of a job after its `version`-th event.
    ///
    /// # Errors
    /// When the job has no such version, or the database is away.
    pub async fn state_at(&self, job: &str, version: i64) -> Result<JobState, StoreError> {
        let mut tx = self.database().still().await?;
        let state = known(
            load_state(&mut tx, &self.id, job, Some(version)).await?,
            job,
        )?;
        if state.version == version {
            return Ok(state);
        }
        Err(StoreError::not_there("version", &version.to_string()))
    }

    /// The events of a job after a version, oldest first, at most `most`.
    ///
    /// # Errors
    /// When the database is away.
    pub async fn changes_since(
        &self,
        job: &str,
        version: i64,
        most: usize,
    ) -> Result<Vec<Event>, StoreError> {
        const SINCE: &str = "WHERE shop = $1 AND job = $2 AND version > $3 \
            ORDER BY version LIMIT $4";
        let cells = [
            Cell::from(&self.id),
            Cell::from(job),
            Cell::from(version),
            Cell::from(most.min(10_000) as i64),
        ];
        let rows = self.database().rows(select(SINCE), &cells).await?;
        rows.iter().map(Event::from_row).collect()
    }

    /// One event.
    ///
    /// # Errors
    /// When the shop has no such event, or the database is away.
    pub async fn event(&self, id: &str) -> Result<Event, StoreError> {
        let cells = [Cell::from(&self.id), Cell::from(id)];
        let row = self.database().row(select(BY_ID), &cells).await?;
        Event::from_row(&row.ok_or_else(|| StoreError::not_there("event", id))?)
    }

    /// The edits of a job that wait to be settled, each with what it ran into.
    ///
    /// # Errors
    /// When the shop has no such job, or the database is away.
    pub async fn conflicts(&self, job: &str) -> Result<Vec<Conflict>, StoreError> {
        let mut tx = self.database().still().await?;
        let state = known(load_state(&mut tx, &self.id, job, None).await?, job)?;
        let mut conflicts = Vec::new();
        for id in &state.open_conflicts {
            if let Some(mine) = event_by_id(&mut tx, &self.id, id).await? {
                let theirs = in_the_way(&mut tx, &self.id, &mine).await?;
                conflicts.push(Conflict { mine, theirs });
            }
        }
        Ok(conflicts)
    }

    /// The list of jobs.
    ///
    /// # Errors
    /// When the database is away.
    pub async fn jobs(&self, query: &JobQuery) -> Result<Vec<JobGlance>, StoreError> {
        let (text, cells) = list_text(&self.id, query, self.database().server().is_some());
        let rows = self.database().rows(AssertSqlSafe(text), &cells).await?;
        rows.iter().map(glance).collect()
    }

    /// How many jobs the shop has in each stage.
    ///
    /// # Errors
    /// When the database is away.
    pub async fn stages(&self) -> Result<Vec<(String, i64)>, StoreError> {
        const COUNT: &str = "SELECT stage, COUNT(*) FROM jobs WHERE shop = $1 \
            GROUP BY stage ORDER BY stage";
        let rows = self.database().rows(COUNT, &[Cell::from(&self.id)]).await?;
        rows.iter()
            .map(|row| Ok((row.text(0)?, row.int(1)?)))
            .collect()
    }
}

/// The question behind a list. Each kind of it walks along one index, newest
/// first, and stops when the page is full. PostgreSQL looks for a text within
/// a text three times as fast with `strpos` as with LIKE; SQLite has no such
/// function and is as fast with LIKE.
fn list_text(shop: &str, query: &JobQuery, is_server: bool) -> (String, Vec<Cell>) {
    let mut text = String::from(
        "SELECT id, version, glance, open_conflicts, made_ms, changed_ms FROM jobs WHERE shop = $1",
    );
    let mut cells = vec![Cell::from(shop)];
    if let Some(stage) = &query.stage {
        cells.push(Cell::from(stage));
        text += &format!(" AND stage = ${}", cells.len());
    }
    if let Some(search) = &query.search {
        if is_server {
            cells.push(Cell::from(searched(search)));
            text += &format!(" AND strpos(search, ${}) > 0", cells.len());
        } else {
            cells.push(Cell::from(like(search)));
            text += &format!(" AND search LIKE ${} ESCAPE '!'", cells.len());
        }
    }
    if let Some((changed_ms, id)) = &query.after {
        cells.extend([Cell::from(*changed_ms), Cell::from(id)]);
        let at = cells.len();
        text += &format!(" AND (changed_ms, id) < (${}, ${at})", at - 1);
    }
    let most = if query.most == 0 {
        50
    } else {
        query.most.min(500)
    };
    cells.push(Cell::from(most as i64));
    text += &format!(" ORDER BY changed_ms DESC, id DESC LIMIT ${}", cells.len());
    (text, cells)
}

const BY_ID: &str = "WHERE shop = $1 AND id = $2";

fn select(rest: &str) -> AssertSqlSafe<String> {
    AssertSqlSafe(format!("SELECT {} FROM events {rest}", Event::COLUMNS))
}

fn known(state: JobState, job: &str) -> Result<JobState, StoreError> {
    if state.version == 0 {
        return Err(StoreError::not_there("job", job));
    }
    Ok(state)
}

fn glance(row: &crate::database::Row) -> Result<JobGlance, StoreError> {
    let id = row.text(0)?;
    Ok(JobGlance {
        version: row.int(1)?,
        glance: serde_json::from_str(&row.text(2)?)
            .map_err(|why| StoreError::damaged(format!("job {id}"), why.to_string()))?,
        open_conflicts: row.int(3)?,
        made_ms: row.int(4)?,
        changed_ms: row.int(5)?,
        id,
    })
}

/// The text that is looked for, as the list keeps it.
fn searched(search: &str) -> String {
    let small = search.to_lowercase();
    small.chars().filter(|c| !c.is_control()).collect()
}

/// A pattern that finds the text itself, whatever signs are in it.
fn like(search: &str) -> String {
    let mut pattern = String::from("%");
    for sign in searched(search).chars() {
        if matches!(sign, '%' | '_' | '!') {
            pattern.push('!');
        }
        pattern.push(sign);
    }
    pattern + "%"
}

pub(crate) async fn event_by_id(
    tx: &mut Tx,
    shop: &str,
    id: &str,
) -> Result<Option<Event>, StoreError> {
    let row = tx.row(select(BY_ID), &[shop.into(), id.into()]).await?;
    row.as_ref().map(Event::from_row).transpose()
}

/// Whether the shop has an event of this id.
pub(crate) async fn has_event(tx: &mut Tx, shop: &str, id: &str) -> Result<bool, StoreError> {
    const HAS: &str = "SELECT version FROM events WHERE shop = $1 AND id = $2";
    Ok(tx.row(HAS, &[shop.into(), id.into()]).await?.is_some())
}

/// The hash of one event of a job.
pub(crate) async fn hash_at(
    tx: &mut Tx,
    shop: &str,
    job: &str,
    version: i64,
) -> Result<Option<String>, StoreError> {
    const HASH: &str = "SELECT hash FROM events WHERE shop = $1 AND job = $2 AND version = $3";
    let row = tx
        .row(HASH, &[shop.into(), job.into(), version.into()])
        .await?;
    row.map(|row| row.text(0)).transpose()
}

/// The kept events of other devices that the event had not seen and that
/// touched its places.
pub(crate) async fn in_the_way(
    tx: &mut Tx,
    shop: &str,
    mine: &Event,
) -> Result<Vec<Event>, StoreError> {
    const BETWEEN: &str = "WHERE shop = $1 AND job = $2 AND version > $3 AND version < $4 \
        AND device <> $5 AND standing = 'kept' ORDER BY version";
    if mine.saw + 1 >= mine.version {
        return Ok(Vec::new());
    }
    let cells = [
        shop.into(),
        Cell::from(&mine.job),
        Cell::from(mine.saw),
        Cell::from(mine.version),
        Cell::from(&mine.device),
    ];
    let mut theirs = Vec::new();
    for row in tx.rows(select(BETWEEN), &cells).await? {
        let event = Event::from_row(&row)?;
        let clashes = mine
            .changes
            .iter()
            .any(|a| event.changes.iter().any(|b| a.is_in_the_way_of(b)));
        if clashes {
            theirs.push(event);
        }
    }
    Ok(theirs)
}

/// The state after a version, or now; version 0 when there is no event.
pub(crate) async fn load_state(
    tx: &mut Tx,
    shop: &str,
    job: &str,
    until: Option<i64>,
) -> Result<JobState, StoreError> {
    const SAVED: &str = "SELECT state FROM snapshots \
        WHERE shop = $1 AND job = $2 AND version <= $3";
    const AFTER: &str = "WHERE shop = $1 AND job = $2 AND version > $3 AND version <= $4 \
        ORDER BY version";
    let until = until.unwrap_or(i64::MAX);
    let saved = tx
        .row(SAVED, &[shop.into(), job.into(), until.into()])
        .await?;
    let mut state = match saved {
        None => JobState::empty(),
        Some(row) => serde_json::from_str(&row.text(0)?).map_err(|why| {
            StoreError::damaged(format!("job {job}, its saved state"), why.to_string())
        })?,
    };
    let cells = [shop.into(), job.into(), state.version.into(), until.into()];
    for row in tx.rows(select(AFTER), &cells).await? {
        state.fold(&Event::from_row(&row)?)?;
    }
    Ok(state)
}

/// Whether an event of the job has been taken back by a later one.
pub(crate) async fn undone_by(
    tx: &mut Tx,
    shop: &str,
    event: &Event,
) -> Result<Option<Event>, StoreError> {
    const UNDONE: &str = "WHERE shop = $1 AND job = $2 AND undoes = $3 AND standing = 'kept' \
        ORDER BY version DESC LIMIT 1";
    let cells = [shop.into(), Cell::from(&event.job), Cell::from(&event.id)];
    let row = tx.row(select(UNDONE), &cells).await?;
    row.as_ref().map(Event::from_row).transpose()
}

/// The kept events after one, whoever made them, that touched its places.
pub(crate) async fn built_upon(
    tx: &mut Tx,
    shop: &str,
    event: &Event,
) -> Result<Vec<Event>, StoreError> {
    let mut later = event.clone();
    later.saw = event.version;
    later.version = i64::MAX;
    later.device = String::new();
    later.standing = Standing::Kept;
    later.changes = event.changes.iter().map(super::Change::inverse).collect();
    in_the_way(tx, shop, &later).await
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::database::{Database, bring_forward};

    #[tokio::test]
    async fn a_list_walks_along_one_index_and_sorts_nothing() {
        let folder = tempfile::tempdir().expect("a folder");
        let url = format!("sqlite:{}", folder.path().join("x.sqlite").display());
        let database = Database::open(&url, None).await.expect("opened");
        bring_forward(&database, folder.path(), 1)
            .await
            .expect("made");
        for (stage, search, after, index) in [
            (None, None, None, "jobs_by_change"),
            (None, Some("grey"), None, "jobs_by_change"),
            (
                None,
                Some("grey"),
                Some((7, "j".to_owned())),
                "jobs_by_change",
            ),
            (Some("wash"), None, None, "jobs_by_stage"),
            (Some("wash"), Some("grey"), None, "jobs_by_stage"),
            (
                Some("wash"),
                None,
                Some((7, "j".to_owned())),
                "jobs_by_stage",
            ),
        ] {
            let query = JobQuery {
                stage: stage.map(str::to_owned),
                search: search.map(str::to_owned),
                after,
                most: 41,
            };
            let (text, cells) = list_text("s", &query, false);
            let plan = AssertSqlSafe(format!("EXPLAIN QUERY PLAN {text}"));
            let plan = database.rows(plan, &cells).await.expect("a plan");
            let plan: Vec<String> = plan.iter().map(|row| row.text(3).expect("text")).collect();
            assert_eq!(plan.len(), 1, "{plan:?}");
            assert!(plan[0].contains(index), "{query:?}: {plan:?}");
        }
    }
}
