//! Lets every device hear of a change within a second.
//!
//! Law: a change is called out inside the process at once; other processes
//! hear of it through PostgreSQL's LISTEN and NOTIFY, or by looking at the
//! SQLite file four times a second. Whoever hears of a change reads the events
//! after the last one it knows, so a call that is missed or doubled costs
//! nothing.
//! Holds: for any number of devices; one that falls behind looks again.
//! Left out: calls between different databases.
//! Checked by: `tests/store/live.rs`, within one process and across two.

use std::time::Duration;

use sqlx::postgres::PgListener;
use tokio::sync::broadcast::{Receiver, Sender, error::RecvError};
use tokio::task::AbortHandle;

use crate::database::{Cell, Database};
use crate::error::StoreError;
use crate::event::Event;
use crate::shop::Shop;

/// Calls the listeners of other processes when the work is kept.
pub(crate) const CALL: &str = "SELECT pg_notify('lapwing_changes', $1)";
const CHANNEL: &str = "lapwing_changes";

const LOOK_EVERY: Duration = Duration::from_millis(250);
const LOOK_ANYWAY: Duration = Duration::from_secs(5);
const MOST_AT_ONCE: usize = 500;

/// The news that a job has a new version.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Notice {
    shop: String,
    /// Which job; empty when calls may have been missed and all should look.
    pub job: String,
    /// Its version now.
    pub version: i64,
}

/// Follows one job.
pub struct Watch {
    shop: Shop,
    job: String,
    after: i64,
    notices: Receiver<Notice>,
}

/// Follows the list of jobs of one shop.
pub struct ShopWatch {
    shop: String,
    notices: Receiver<Notice>,
}

impl Notice {
    pub(crate) fn new(shop: &str, job: &str, version: i64) -> Self {
        Self {
            shop: shop.to_owned(),
            job: job.to_owned(),
            version,
        }
    }

    fn missed() -> Self {
        Self::new("", "", 0)
    }

    fn is_for(&self, shop: &str) -> bool {
        self.shop == shop || self.shop.is_empty()
    }

    pub(crate) fn to_text(&self) -> String {
        format!("{} {} {}", self.shop, self.job, self.version)
    }

    fn from_text(text: &str) -> Option<Self> {
        let mut words = text.split(' ');
        Some(Self::new(
            words.next()?,
            words.next()?,
            words.next()?.parse().ok()?,
        ))
    }
}

impl Shop {
    /// Follows a job from the version after `after` on.
    #[must_use]
    pub fn watch(&self, job: &str, after: i64) -> Watch {
        Watch {
            shop: self.clone(),
            job: job.to_owned(),
            after,
            notices: self.store.inner.notices.subscribe(),
        }
    }

    /// Follows the list of jobs.
    #[must_use]
    pub fn watch_all(&self) -> ShopWatch {
        ShopWatch {
            shop: self.id.clone(),
            notices: self.store.inner.notices.subscribe(),
        }
    }
}

impl Watch {
    /// Waits for the next events: in order, none twice, none left out.
    ///
    /// # Errors
    /// When the database is away; asking again later goes on where it stopped.
    pub async fn next(&mut self) -> Result<Vec<Event>, StoreError> {
        loop {
            let events = self
                .shop
                .changes_since(&self.job, self.after, MOST_AT_ONCE)
                .await?;
            if let Some(last) = events.last() {
                self.after = last.version;
                return Ok(events);
            }
            self.wait_for_call().await;
        }
    }

    async fn wait_for_call(&mut self) {
        let called = async {
            loop {
                match self.notices.recv().await {
                    Ok(notice) if !notice.is_for(&self.shop.id) => {}
                    Ok(notice) if notice.job.is_empty() => return,
                    Ok(notice) if notice.job == self.job && notice.version > self.after => return,
                    Ok(_) => {}
                    Err(RecvError::Lagged(_)) => return,
                    Err(RecvError::Closed) => std::future::pending().await,
                }
            }
        };
        // A call can be lost when a line breaks, so look now and then anyway.
        let _ = tokio::time::timeout(LOOK_ANYWAY, called).await;
    }
}

impl ShopWatch {
    /// Waits for the next change of any job of the shop. A notice without a
    /// job means: look at the whole list again.
    pub async fn next(&mut self) -> Notice {
        loop {
            match self.notices.recv().await {
                Ok(notice) if notice.is_for(&self.shop) => return notice,
                Ok(_) => {}
                Err(RecvError::Lagged(_)) => return Notice::missed(),
                Err(RecvError::Closed) => std::future::pending().await,
            }
        }
    }
}

/// Starts to listen for the changes of other processes.
pub(crate) async fn listen(
    database: Database,
    notices: Sender<Notice>,
) -> Result<AbortHandle, StoreError> {
    let task = if let Some(pool) = database.server() {
        let mut listener = PgListener::connect_with(pool).await?;
        listener.listen(CHANNEL).await?;
        tokio::spawn(hear(listener, notices))
    } else {
        let last = last_row(&database).await?;
        tokio::spawn(look(database, notices, last))
    };
    Ok(task.abort_handle())
}

async fn hear(mut listener: PgListener, notices: Sender<Notice>) {
    loop {
        let notice = match listener.try_recv().await {
            Ok(Some(call)) => Notice::from_text(call.payload()),
            // The line broke; calls may have been missed.
            Ok(None) => Some(Notice::missed()),
            Err(_) => {
                tokio::time::sleep(LOOK_EVERY).await;
                Some(Notice::missed())
            }
        };
        if let Some(notice) = notice {
            let _ = notices.send(notice);
        }
    }
}

async fn look(database: Database, notices: Sender<Notice>, mut last: i64) {
    const NEW: &str = "SELECT rowid, shop, job, version FROM events WHERE rowid > $1 \
        ORDER BY rowid LIMIT 1000";
    loop {
        tokio::time::sleep(LOOK_EVERY).await;
        // Away for a moment: the next look finds the same rows.
        let Ok(rows) = database.rows(NEW, &[Cell::Int(last)]).await else {
            continue;
        };
        for row in rows {
            let (Ok(at), Ok(shop), Ok(job), Ok(version)) =
                (row.int(0), row.text(1), row.text(2), row.int(3))
            else {
                continue;
            };
            last = last.max(at);
            let _ = notices.send(Notice::new(&shop, &job, version));
        }
    }
}

async fn last_row(database: &Database) -> Result<i64, StoreError> {
    let row = database
        .row("SELECT COALESCE(MAX(rowid), 0) FROM events", &[])
        .await?;
    row.map_or(Ok(0), |row| row.int(0))
}
