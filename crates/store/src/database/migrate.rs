//! Brings the tables forward, after putting a copy aside.
//!
//! Law: numbered steps, each run once, never changed afterwards; before the
//! first new step on a database that already holds something, its whole
//! content is copied into the backup folder.
//! Holds: SQLite is copied as a file, PostgreSQL as one file of JSON lines per
//! table. A database made by a newer program is refused.
//! Left out: steps backwards; restore the copy instead.
//! Checked by: a made-up step on a filled SQLite file below, and an old
//! database of either kind in `tests/store/upgrade.rs`.

use std::borrow::Cow;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::time::Duration;

use sqlx::migrate::{MigrateError, Migration, MigrationType, Migrator};
use sqlx::{AssertSqlSafe, SqlSafeStr as _};

use super::{Cell, Database};
use crate::error::StoreError;

/// Number, name and text of every step, oldest first.
const STEPS: &[(i64, &str, &str)] = &[
    (1, "first", include_str!("../../migrations/0001_first.sql")),
    (
        2,
        "taken back",
        include_str!("../../migrations/0002_taken_back.sql"),
    ),
    (3, "list", include_str!("../../migrations/0003_list.sql")),
];

const ROWS_AT_ONCE: i64 = 2000;

/// Runs the steps that are missing; says where the copy was put, if one was
/// needed.
pub(crate) async fn bring_forward(
    database: &Database,
    backups: &Path,
    now_ms: i64,
) -> Result<Option<PathBuf>, StoreError> {
    let steps: Vec<Migration> = STEPS
        .iter()
        .map(|(number, name, text)| step(*number, name, text))
        .collect();
    run_steps(database, steps, backups, now_ms).await
}

/// The number of the last step that has run, 0 when none has.
pub(crate) async fn current_version(database: &Database) -> i64 {
    const LAST: &str = "SELECT COALESCE(MAX(version), 0) FROM _sqlx_migrations";
    match database.row(LAST, &[]).await {
        Ok(Some(row)) => row.int(0).unwrap_or(0),
        // A new database has no such table.
        _ => 0,
    }
}

async fn run_steps(
    database: &Database,
    steps: Vec<Migration>,
    backups: &Path,
    now_ms: i64,
) -> Result<Option<PathBuf>, StoreError> {
    let has = current_version(database).await;
    let wanted = steps.iter().map(|step| step.version).max().unwrap_or(0);
    if has > wanted {
        return Err(StoreError::Refused(format!(
            "The database was written by a newer Lapwing (step {has}; this one knows {wanted}). Use the newer program."
        )));
    }
    if has == wanted {
        return Ok(None);
    }
    let copy = if has == 0 {
        None
    } else {
        Some(put_copy_aside(database, backups, has, now_ms).await?)
    };
    // Two processes may start at once on a new SQLite file; the second finds
    // the tables made when it looks again.
    const TRIES: u32 = 5;
    let migrator = Migrator::with_migrations(steps);
    for number in 1..=TRIES {
        let outcome = match database {
            Database::Lite { writer, .. } => migrator.run(writer).await,
            Database::Pg(pool) => migrator.run(pool).await,
        };
        match outcome {
            Ok(()) => break,
            Err(_) if number < TRIES && current_version(database).await < wanted => {
                tokio::time::sleep(Duration::from_millis(200)).await;
            }
            Err(_) if current_version(database).await == wanted => break,
            Err(error) => return Err(from_migration(error)),
        }
    }
    Ok(copy)
}

fn step(number: i64, name: &'static str, text: &'static str) -> Migration {
    Migration::new(
        number,
        Cow::Borrowed(name),
        MigrationType::Simple,
        text.into_sql_str(),
        false,
    )
}

async fn put_copy_aside(
    database: &Database,
    backups: &Path,
    has: i64,
    now_ms: i64,
) -> Result<PathBuf, StoreError> {
    std::fs::create_dir_all(backups)?;
    let name = format!("before-step-{}-at-{now_ms}", has + 1);
    match database {
        Database::Lite { writer, .. } => {
            let target = backups.join(name + ".sqlite");
            let text = target.display().to_string();
            sqlx::query("VACUUM INTO $1")
                .bind(text)
                .execute(writer)
                .await?;
            Ok(target)
        }
        Database::Pg(_) => {
            let target = backups.join(name);
            copy_tables(database, &target).await?;
            Ok(target)
        }
    }
}

/// One file of JSON lines per table, all of one moment.
async fn copy_tables(database: &Database, target: &Path) -> Result<(), StoreError> {
    const TABLES: &str = "SELECT CAST(table_name AS TEXT) FROM information_schema.tables \
        WHERE table_schema = current_schema() AND table_type = 'BASE TABLE' ORDER BY 1";
    std::fs::create_dir_all(target)?;
    let mut tx = database.still().await?;
    for table in tx.rows(TABLES, &[]).await? {
        let table = table.text(0)?;
        let file = std::fs::File::create(target.join(format!("{table}.jsonl")))?;
        let mut out = std::io::BufWriter::new(file);
        let page = format!(
            "SELECT CAST(row_to_json(t) AS TEXT) FROM \"{table}\" t ORDER BY ctid LIMIT {ROWS_AT_ONCE} OFFSET $1"
        );
        let mut offset = 0;
        loop {
            let rows = tx
                .rows(AssertSqlSafe(page.clone()), &[Cell::Int(offset)])
                .await?;
            for row in &rows {
                writeln!(out, "{}", row.text(0)?)?;
            }
            if (rows.len() as i64) < ROWS_AT_ONCE {
                break;
            }
            offset += ROWS_AT_ONCE;
        }
        out.flush()?;
        out.get_ref().sync_all()?;
    }
    Ok(())
}

fn from_migration(error: MigrateError) -> StoreError {
    match error {
        MigrateError::Execute(error) => error.into(),
        other => StoreError::Fault(other.to_string()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SECOND: &str = "ALTER TABLE shops ADD COLUMN motto TEXT NOT NULL DEFAULT 'steady';";

    fn first_two() -> Vec<Migration> {
        let mut steps: Vec<Migration> = STEPS.iter().map(|s| step(s.0, s.1, s.2)).collect();
        steps.push(step(1000, "motto", SECOND));
        steps
    }

    async fn filled(folder: &Path) -> Database {
        let url = format!("sqlite:{}", folder.join("shop.sqlite").display());
        let database = Database::open(&url, None).await.expect("opened");
        let copy = bring_forward(&database, folder, 5).await.expect("made");
        assert_eq!(copy, None, "a new database needs no copy");
        database
            .change(
                "INSERT INTO shops VALUES ('s', 'North bay', 'k', 'l', 1)",
                &[],
            )
            .await
            .expect("a shop");
        database
    }

    #[tokio::test]
    async fn a_new_step_copies_first_and_keeps_the_rows() {
        let folder = tempfile::tempdir().expect("a folder");
        let database = filled(folder.path()).await;
        let copy = run_steps(&database, first_two(), folder.path(), 7)
            .await
            .expect("forward")
            .expect("a copy");
        let motto = database
            .row("SELECT name, motto FROM shops", &[])
            .await
            .expect("read")
            .expect("a row");
        assert_eq!(motto.text(0).expect("name"), "North bay");
        assert_eq!(motto.text(1).expect("motto"), "steady");
        let url = format!("sqlite:{}", copy.display());
        let old = Database::open(&url, None).await.expect("the copy opens");
        let row = old.row("SELECT name FROM shops", &[]).await;
        assert_eq!(
            row.expect("read").expect("row").text(0).expect("name"),
            "North bay"
        );
        let motto = old.row("SELECT motto FROM shops", &[]).await;
        assert!(motto.is_err(), "the copy has the old tables");
    }

    #[tokio::test]
    async fn a_database_of_a_newer_program_is_refused() {
        let folder = tempfile::tempdir().expect("a folder");
        let database = filled(folder.path()).await;
        run_steps(&database, first_two(), folder.path(), 7)
            .await
            .expect("forward");
        let error = bring_forward(&database, folder.path(), 9)
            .await
            .expect_err("refused");
        assert!(error.to_string().contains("newer Lapwing"), "{error}");
    }
}
