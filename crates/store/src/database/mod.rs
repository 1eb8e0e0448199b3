//! The line to the database: SQLite in a file, or PostgreSQL.
//!
//! Everything above speaks to one `Database` in one dialect; the two drivers
//! are told apart in this folder only.
//! Holds: SQLite writes are durable when acknowledged (write-ahead log, full
//! synchronisation) and wait for each other; PostgreSQL as it is configured.
//! Left out: other databases.
//! Checked by: every test of the store, which runs on both.

mod cell;
mod migrate;

use std::path::Path;
use std::time::Duration;

use sqlx::postgres::{PgConnectOptions, PgPool, PgPoolOptions};
use sqlx::sqlite::{
    SqliteConnectOptions, SqliteJournalMode, SqlitePool, SqlitePoolOptions, SqliteSynchronous,
};
use sqlx::{Connection as _, Postgres, SqlSafeStr, SqlStr, Sqlite, Transaction};

pub(crate) use cell::{Cell, Row};
pub(crate) use migrate::{bring_forward, current_version};

use crate::error::StoreError;

const WAIT: Duration = Duration::from_secs(10);
const SQLITE_READERS: u32 = 4;

/// A pool of lines to one of the two databases.
#[derive(Clone, Debug)]
pub(crate) enum Database {
    /// One writer and several readers on a file.
    Lite {
        /// Lines for reading.
        readers: SqlitePool,
        /// The one line for writing.
        writer: SqlitePool,
    },
    /// Lines to a server.
    Pg(PgPool),
}

/// Work that happens wholly or not at all.
pub(crate) enum Tx {
    /// On a file.
    Lite(Transaction<'static, Sqlite>),
    /// On a server.
    Pg(Transaction<'static, Postgres>),
}

/// Binds the cells in order and runs the statement with the given call.
macro_rules! run {
    ($sql:expr, $cells:expr, $call:ident, $line:expr) => {{
        let mut query = sqlx::query($sql);
        for cell in $cells {
            query = match cell {
                Cell::Text(text) => query.bind(text.clone()),
                Cell::Int(number) => query.bind(*number),
                Cell::NoText => query.bind(None::<String>),
                Cell::NoInt => query.bind(None::<i64>),
            };
        }
        query.$call($line).await
    }};
}

impl Database {
    /// Opens `sqlite:PATH` or `postgres://…`.
    ///
    /// `most_mb` limits the size of an SQLite file.
    pub(crate) async fn open(url: &str, most_mb: Option<u32>) -> Result<Self, StoreError> {
        if url.starts_with("postgres://") || url.starts_with("postgresql://") {
            return open_server(url).await;
        }
        let Some(file) = url.strip_prefix("sqlite:") else {
            return Err(StoreError::Refused(
                "The database should be `sqlite:FILE` or `postgres://USER@HOST/NAME`.".to_owned(),
            ));
        };
        open_file(Path::new(file.trim_start_matches("//")), most_mb).await
    }

    /// Starts work that may write; on SQLite it has the pen at once.
    pub(crate) async fn write(&self) -> Result<Tx, StoreError> {
        Ok(match self {
            Self::Lite { writer, .. } => Tx::Lite(begin_on_file(writer).await?),
            Self::Pg(pool) => Tx::Pg(pool.begin().await?),
        })
    }

    /// Starts reading from one unchanging state.
    pub(crate) async fn still(&self) -> Result<Tx, StoreError> {
        const STILL: &str = "BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY";
        Ok(match self {
            Self::Lite { readers, .. } => Tx::Lite(readers.begin().await?),
            Self::Pg(pool) => Tx::Pg(pool.begin_with(STILL).await?),
        })
    }

    /// Reads rows outside any larger work.
    pub(crate) async fn rows(
        &self,
        sql: impl SqlSafeStr,
        cells: &[Cell],
    ) -> Result<Vec<Row>, StoreError> {
        let sql: SqlStr = sql.into_sql_str();
        match self {
            Self::Lite { readers, .. } => {
                let rows = run!(sql, cells, fetch_all, readers)?;
                rows.iter().map(Row::read).collect()
            }
            Self::Pg(pool) => {
                let rows = run!(sql, cells, fetch_all, pool)?;
                rows.iter().map(Row::read).collect()
            }
        }
    }

    /// Reads at most one row.
    pub(crate) async fn row(
        &self,
        sql: impl SqlSafeStr,
        cells: &[Cell],
    ) -> Result<Option<Row>, StoreError> {
        Ok(self.rows(sql, cells).await?.into_iter().next())
    }

    /// Changes rows in a piece of work of its own; says how many.
    pub(crate) async fn change(
        &self,
        sql: impl SqlSafeStr,
        cells: &[Cell],
    ) -> Result<u64, StoreError> {
        let mut tx = self.write().await?;
        let count = tx.change(sql, cells).await?;
        tx.keep().await?;
        Ok(count)
    }

    /// The pool of the server, when it is one.
    pub(crate) fn server(&self) -> Option<&PgPool> {
        match self {
            Self::Lite { .. } => None,
            Self::Pg(pool) => Some(pool),
        }
    }

    /// Hangs up, waiting for lines in use.
    pub(crate) async fn close(&self) {
        match self {
            Self::Lite {
                readers, writer, ..
            } => {
                readers.close().await;
                writer.close().await;
            }
            Self::Pg(pool) => pool.close().await,
        }
    }
}

impl Tx {
    /// Reads rows.
    pub(crate) async fn rows(
        &mut self,
        sql: impl SqlSafeStr,
        cells: &[Cell],
    ) -> Result<Vec<Row>, StoreError> {
        let sql: SqlStr = sql.into_sql_str();
        match self {
            Self::Lite(tx) => {
                let rows = run!(sql, cells, fetch_all, &mut **tx)?;
                rows.iter().map(Row::read).collect()
            }
            Self::Pg(tx) => {
                let rows = run!(sql, cells, fetch_all, &mut **tx)?;
                rows.iter().map(Row::read).collect()
            }
        }
    }

    /// Reads at most one row.
    pub(crate) async fn row(
        &mut self,
        sql: impl SqlSafeStr,
        cells: &[Cell],
    ) -> Result<Option<Row>, StoreError> {
        Ok(self.rows(sql, cells).await?.into_iter().next())
    }

    /// Changes rows; says how many.
    pub(crate) async fn change(
        &mut self,
        sql: impl SqlSafeStr,
        cells: &[Cell],
    ) -> Result<u64, StoreError> {
        let sql: SqlStr = sql.into_sql_str();
        Ok(match self {
            Self::Lite(tx) => run!(sql, cells, execute, &mut **tx)?.rows_affected(),
            Self::Pg(tx) => run!(sql, cells, execute, &mut **tx)?.rows_affected(),
        })
    }

    /// Whether the work happens on a server that can call its listeners.
    pub(crate) fn is_server(&self) -> bool {
        matches!(self, Self::Pg(_))
    }

    /// Makes the work permanent. Dropping it instead undoes it.
    pub(crate) async fn keep(self) -> Result<(), StoreError> {
        match self {
            Self::Lite(tx) => tx.commit().await?,
            Self::Pg(tx) => tx.commit().await?,
        }
        Ok(())
    }
}

/// Takes the pen of a file. SQLite takes all work back by itself when the disk
/// is full, after which the line counts one piece of work too many and refuses
/// to begin another: such a line is hung up, and a new one is opened.
async fn begin_on_file(writer: &SqlitePool) -> Result<Transaction<'static, Sqlite>, StoreError> {
    const BEGIN: &str = "BEGIN IMMEDIATE";
    const TRIES: u32 = 8;
    for _ in 0..TRIES {
        match writer.begin_with(BEGIN).await {
            Err(sqlx::Error::InvalidSavePointStatement) => {
                let line = writer.acquire().await?;
                if line.is_in_transaction() {
                    line.close().await?;
                }
            }
            begun => return Ok(begun?),
        }
    }
    Ok(writer.begin_with(BEGIN).await?)
}

async fn open_file(file: &Path, most_mb: Option<u32>) -> Result<Database, StoreError> {
    const PAGE_BYTES: u32 = 4096;
    if let Some(folder) = file.parent() {
        std::fs::create_dir_all(folder)?;
    }
    own_eyes_only(file)?;
    let mut options = SqliteConnectOptions::new()
        .filename(file)
        .create_if_missing(true)
        .page_size(PAGE_BYTES)
        .journal_mode(SqliteJournalMode::Wal)
        .synchronous(SqliteSynchronous::Full)
        .foreign_keys(true)
        .busy_timeout(WAIT);
    if let Some(mb) = most_mb {
        let pages = u64::from(mb) * (1 << 20) / u64::from(PAGE_BYTES);
        options = options.pragma("max_page_count", pages.to_string());
    }
    let pool = |lines| {
        SqlitePoolOptions::new()
            .max_connections(lines)
            .acquire_timeout(WAIT)
    };
    Ok(Database::Lite {
        writer: pool(1).connect_with(options.clone()).await?,
        readers: pool(SQLITE_READERS).connect_with(options).await?,
    })
}

/// The file holds keys and hashed passwords, so only its owner may read it.
fn own_eyes_only(file: &Path) -> Result<(), StoreError> {
    let mut options = std::fs::OpenOptions::new();
    options.append(true).create(true);
    #[cfg(unix)]
    {
        use std::os::unix::fs::OpenOptionsExt as _;
        options.mode(0o600);
    }
    options.open(file)?;
    Ok(())
}

async fn open_server(url: &str) -> Result<Database, StoreError> {
    const SERVER_WAIT: Duration = Duration::from_secs(3);
    let options: PgConnectOptions = url.parse()?;
    let pool = PgPoolOptions::new()
        .max_connections(16)
        .acquire_timeout(SERVER_WAIT)
        .connect_with(options.application_name("lapwing"))
        .await?;
    Ok(Database::Pg(pool))
}
