//! Work that takes long: kept in the database, done once, by any process.
//!
//! Law: a worker leases a task for a while; when the lease runs out, another
//! may take it. The result is a row under the task's id, so there is at most
//! one, whoever finishes first. A failed task waits 2, 4, 8 … seconds, at most
//! five minutes, and is given up after its last attempt.
//! Holds: PostgreSQL hands tasks out with FOR UPDATE SKIP LOCKED, SQLite
//! within one writing transaction.
//! Left out: priorities; the task that is due longest comes first.
//! Checked by: `tests/store/queue.rs` on both databases, `tests/store/crash.rs` with
//! killed workers.

use std::time::Duration;

use serde_json::Value;
use sqlx::AssertSqlSafe;

use crate::database::{Cell, Database, Row};
use crate::error::StoreError;
use crate::shop::{Shop, Store};
use crate::token::{check_id, new_id};

/// Most bytes of a task or of a result.
pub const MOST_TASK_BYTES: usize = 1 << 20;

/// A task to be done.
#[derive(Clone, Debug, PartialEq)]
pub struct NewTask {
    /// Its id, unique in the shop: enqueued twice it is one task.
    pub id: String,
    /// What is to be done (`hand-over-sheet`).
    pub kind: String,
    /// What it needs to know.
    pub body: Value,
    /// How often it is tried.
    pub most_attempts: u32,
}

/// A task that this worker has for a while.
#[derive(Clone)]
pub struct LeasedTask {
    /// The shop it belongs to.
    pub shop: Shop,
    /// Its id.
    pub id: String,
    /// What is to be done.
    pub kind: String,
    /// What it needs to know.
    pub body: Value,
    /// Which attempt this is, from 1.
    pub attempt: i64,
    lease: String,
}

/// Where a task is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TaskState {
    /// It waits, perhaps for another attempt.
    Waiting,
    /// A worker has it.
    Leased,
    /// Its result is there.
    Done,
    /// It failed too often.
    GivenUp,
}

/// What is known of a task.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TaskCard {
    /// Where it is.
    pub state: TaskState,
    /// How often it was begun.
    pub attempts: i64,
    /// Why the last attempt failed.
    pub complaint: Option<String>,
}

/// What became of a result.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Finish {
    /// It is the task's result.
    First,
    /// Another worker was faster; its result stands.
    AlreadyThere,
}

impl TaskState {
    fn from_word(word: &str) -> Self {
        match word {
            "waiting" => Self::Waiting,
            "leased" => Self::Leased,
            "done" => Self::Done,
            _ => Self::GivenUp,
        }
    }
}

impl Shop {
    /// Adds a task; false when it was already there.
    ///
    /// # Errors
    /// When it is malformed or too large, or the database is away.
    pub async fn enqueue(&self, task: &NewTask) -> Result<bool, StoreError> {
        const NEW: &str = "INSERT INTO tasks (shop, id, kind, body, state, attempts, \
            most_attempts, due_ms, made_ms) \
            VALUES ($1, $2, $3, $4, 'waiting', 0, $5, $6, $6) ON CONFLICT DO NOTHING";
        check_id("A task's id", &task.id)?;
        check_id("A task's kind", &task.kind)?;
        let cells = [
            Cell::from(&self.id),
            Cell::from(&task.id),
            Cell::from(&task.kind),
            Cell::from(small_json(&task.body)?),
            Cell::from(i64::from(task.most_attempts.max(1))),
            Cell::from(self.now_ms()),
        ];
        Ok(self.database().change(NEW, &cells).await? == 1)
    }

    /// The result of a task, once there is one.
    ///
    /// # Errors
    /// When the database is away.
    pub async fn result(&self, task: &str) -> Result<Option<Value>, StoreError> {
        const ONE: &str = "SELECT body FROM results WHERE shop = $1 AND task = $2";
        let cells = [Cell::from(&self.id), Cell::from(task)];
        let row = self.database().row(ONE, &cells).await?;
        row.map(|row| read_json(task, &row.text(0)?)).transpose()
    }

    /// Where a task is.
    ///
    /// # Errors
    /// When the shop has no such task, or the database is away.
    pub async fn task(&self, id: &str) -> Result<TaskCard, StoreError> {
        const ONE: &str =
            "SELECT state, attempts, complaint FROM tasks WHERE shop = $1 AND id = $2";
        let cells = [Cell::from(&self.id), Cell::from(id)];
        let row = self.database().row(ONE, &cells).await?;
        let row = row.ok_or_else(|| StoreError::not_there("task", id))?;
        Ok(TaskCard {
            state: TaskState::from_word(&row.text(0)?),
            attempts: row.int(1)?,
            complaint: row.maybe_text(2)?,
        })
    }
}

impl Store {
    /// Takes the task of these kinds that is due longest, for at most `lease`.
    ///
    /// # Errors
    /// When the database is away.
    pub async fn take_task(
        &self,
        kinds: &[&str],
        lease: Duration,
    ) -> Result<Option<LeasedTask>, StoreError> {
        const HOPELESS: &str = "UPDATE tasks SET state = 'given_up', lease = NULL, \
            complaint = 'its worker vanished' WHERE state = 'leased' \
            AND leased_until_ms < $1 AND attempts >= most_attempts";
        if kinds.is_empty() {
            return Ok(None);
        }
        let now = self.now_ms();
        let token = new_id();
        let mut cells = vec![
            Cell::from(now),
            Cell::from(&token),
            Cell::from(now + millis(lease)),
        ];
        cells.extend(kinds.iter().map(|kind| Cell::from(*kind)));
        let mut tx = self.database().write().await?;
        tx.change(HOPELESS, &[Cell::from(now)]).await?;
        let row = tx.row(self.take_text(kinds.len()), &cells).await?;
        tx.keep().await?;
        row.map(|row| self.leased(&row, token)).transpose()
    }

    /// Keeps a task longer; false when another worker has it by now.
    ///
    /// # Errors
    /// When the database is away.
    pub async fn renew(&self, task: &LeasedTask, lease: Duration) -> Result<bool, StoreError> {
        const RENEW: &str = "UPDATE tasks SET leased_until_ms = $4 \
            WHERE shop = $1 AND id = $2 AND lease = $3 AND state = 'leased'";
        let until = Cell::from(self.now_ms() + millis(lease));
        let cells = [&task.place()[..], &[until]].concat();
        Ok(self.database().change(RENEW, &cells).await? == 1)
    }

    /// Hands a result in. Whatever happens, a task has at most one result.
    ///
    /// # Errors
    /// When it is too large, or the database is away; handing in again is safe.
    pub async fn finish(&self, task: &LeasedTask, result: &Value) -> Result<Finish, StoreError> {
        const RESULT: &str = "INSERT INTO results (shop, task, body, made_ms) \
            VALUES ($1, $2, $3, $4) ON CONFLICT DO NOTHING";
        const DONE: &str = "UPDATE tasks SET state = 'done', lease = NULL, complaint = NULL \
            WHERE shop = $1 AND id = $2";
        let mut tx = self.database().write().await?;
        let place = [Cell::from(task.shop.id()), Cell::from(&task.id)];
        let told = [Cell::from(small_json(result)?), Cell::from(self.now_ms())];
        let is_first = tx.change(RESULT, &[&place[..], &told].concat()).await? == 1;
        if is_first {
            tx.change(DONE, &place).await?;
        }
        tx.keep().await?;
        Ok(if is_first {
            Finish::First
        } else {
            Finish::AlreadyThere
        })
    }

    /// Says that an attempt failed; the task waits for another or is given up.
    ///
    /// # Errors
    /// When the database is away.
    pub async fn fail(&self, task: &LeasedTask, complaint: &str) -> Result<(), StoreError> {
        const FAIL: &str = "UPDATE tasks SET lease = NULL, complaint = $4, due_ms = $5, \
            state = CASE WHEN attempts >= most_attempts THEN 'given_up' ELSE 'waiting' END \
            WHERE shop = $1 AND id = $2 AND lease = $3 AND state = 'leased'";
        const LONGEST_MS: i64 = 5 * 60 * 1000;
        let pause_ms = (1000_i64 << task.attempt.clamp(0, 20)).min(LONGEST_MS);
        let complaint: String = complaint.chars().filter(|c| *c != '\0').take(500).collect();
        let told = [Cell::from(complaint), Cell::from(self.now_ms() + pause_ms)];
        let cells = [&task.place()[..], &told].concat();
        self.database().change(FAIL, &cells).await?;
        Ok(())
    }

    /// How many tasks of all shops are in each state, for the operator.
    ///
    /// # Errors
    /// When the database is away.
    pub async fn queue_lengths(&self) -> Result<Vec<(TaskState, i64)>, StoreError> {
        const COUNT: &str = "SELECT state, COUNT(*) FROM tasks GROUP BY state ORDER BY state";
        let rows = self.database().rows(COUNT, &[]).await?;
        rows.iter()
            .map(|row| Ok((TaskState::from_word(&row.text(0)?), row.int(1)?)))
            .collect()
    }

    fn take_text(&self, kinds: usize) -> AssertSqlSafe<String> {
        let skip = match self.database() {
            Database::Lite { .. } => "",
            Database::Pg(_) => "FOR UPDATE SKIP LOCKED",
        };
        let kinds: Vec<String> = (4..4 + kinds).map(|n| format!("${n}")).collect();
        AssertSqlSafe(format!(
            "UPDATE tasks SET state = 'leased', attempts = attempts + 1, lease = $2, \
             leased_until_ms = $3 WHERE (shop, id) = (SELECT shop, id FROM tasks \
             WHERE kind IN ({}) AND ((state = 'waiting' AND due_ms <= $1) \
             OR (state = 'leased' AND leased_until_ms < $1)) \
             ORDER BY due_ms, id LIMIT 1 {skip}) RETURNING shop, id, kind, body, attempts",
            kinds.join(", ")
        ))
    }

    fn leased(&self, row: &Row, lease: String) -> Result<LeasedTask, StoreError> {
        let id = row.text(1)?;
        Ok(LeasedTask {
            shop: self.known_shop(&row.text(0)?),
            kind: row.text(2)?,
            body: read_json(&id, &row.text(3)?)?,
            attempt: row.int(4)?,
            id,
            lease,
        })
    }
}

impl LeasedTask {
    fn place(&self) -> [Cell; 3] {
        [
            Cell::from(self.shop.id()),
            Cell::from(&self.id),
            Cell::from(&self.lease),
        ]
    }
}

fn millis(time: Duration) -> i64 {
    i64::try_from(time.as_millis()).unwrap_or(i64::MAX / 4)
}

fn small_json(value: &Value) -> Result<String, StoreError> {
    let text = value.to_string();
    if text.len() > MOST_TASK_BYTES {
        return Err(StoreError::Refused(
            "A task and its result may hold 1 MB each; put large things into photos.".to_owned(),
        ));
    }
    Ok(text)
}

fn read_json(task: &str, text: &str) -> Result<Value, StoreError> {
    serde_json::from_str(text)
        .map_err(|why| StoreError::damaged(format!("task {task}"), why.to_string()))
}
