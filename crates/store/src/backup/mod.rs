//! Copies the whole store into a folder, and back into an empty one.
//!
//! Law: a backup is one moment of the database, as one file of JSON lines per
//! table with its SHA-256, plus every photo that this moment names. It appears
//! under its name only when it is whole and on the disk.
//! Holds: across databases: a backup of SQLite can be restored into PostgreSQL
//! and the other way round, which is how a shop moves to a server.
//! Left out: sessions and pairing codes; backups of only what changed.
//! Checked by: `tests/store/backup.rs` on both databases and from one to the other.

mod pace;
mod restore;
mod tables;
mod verify;

use std::collections::BTreeMap;
use std::fs::{self, File};
use std::io::{BufWriter, Write as _};
use std::path::{Path, PathBuf};

use futures_util::StreamExt as _;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use sha2::{Digest as _, Sha256};
use sqlx::{AssertSqlSafe, SqlSafeStr};

pub use pace::{Pace, Part, Told};
pub use verify::VerifyReport;

use crate::database::Tx;
use crate::error::StoreError;
use crate::event::hex;
use crate::shop::Store;
use tables::{TABLES, Table};

const MANIFEST: &str = "manifest.json";
const KIND: u32 = 1;

/// What a backup holds.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct BackupCard {
    /// The kind of backup, for later readers.
    pub lapwing_backup: u32,
    /// When it was made, in milliseconds since 1970.
    pub made_ms: i64,
    /// The step of the tables.
    pub tables_version: i64,
    /// Each table's rows and the hash of its file.
    pub tables: BTreeMap<String, TableCard>,
    /// How many photos are in it.
    pub pictures: u64,
}

/// One table in a backup.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct TableCard {
    /// How many rows.
    pub rows: u64,
    /// SHA-256 of the file.
    pub sha256: String,
}

impl Store {
    /// Copies everything into a new folder. Work may go on meanwhile.
    ///
    /// # Errors
    /// When the folder exists, the disk is full, a photo is missing, or a
    /// place is away. Nothing is left under the name then.
    pub async fn backup(&self, to: &Path) -> Result<BackupCard, StoreError> {
        self.backup_telling(to, &|_| {}).await
    }

    /// [`Store::backup`] that tells how far it is.
    ///
    /// # Errors
    /// As [`Store::backup`].
    pub async fn backup_telling(
        &self,
        to: &Path,
        told: Told<'_>,
    ) -> Result<BackupCard, StoreError> {
        if to.exists() {
            return Err(StoreError::Refused(format!(
                "{} exists. Name a new folder for the backup.",
                to.display()
            )));
        }
        let stage = beside(to);
        let outcome = self.write_backup(&stage, told).await;
        let outcome = outcome.and_then(|card| {
            fs::rename(&stage, to)?;
            sync_folder(to.parent())?;
            Ok(card)
        });
        if outcome.is_err() {
            let _ = fs::remove_dir_all(&stage);
        }
        outcome
    }

    async fn write_backup(&self, stage: &Path, told: Told<'_>) -> Result<BackupCard, StoreError> {
        let _ = fs::remove_dir_all(stage);
        fs::create_dir_all(stage.join("tables"))?;
        let mut card = BackupCard {
            lapwing_backup: KIND,
            made_ms: self.now_ms(),
            tables_version: self.tables_version().await,
            tables: BTreeMap::new(),
            pictures: 0,
        };
        let mut pictures = Vec::new();
        let mut tx = self.database().still().await?;
        let mut pace = Pace::of(Part::Rows, rows_of(&mut tx).await?);
        for table in TABLES {
            let path = stage.join("tables").join(format!("{}.jsonl", table.name));
            let each = &mut |row: &Value| {
                pictures.extend(picture_of(table, row));
                pace.step(0, told);
            };
            let written = write_table(table, &mut tx, &path, each).await?;
            card.tables.insert(table.name.to_owned(), written);
        }
        let mut pace = Pace::of(Part::Photos, pictures.len() as u64);
        pace.of_bytes = photo_bytes(&mut tx).await?;
        drop(tx);
        for (shop, hash) in &pictures {
            let bytes = self.copy_picture(shop, hash, stage).await?;
            card.pictures += 1;
            pace.step(bytes, told);
        }
        let text =
            serde_json::to_vec_pretty(&card).map_err(|e| StoreError::Fault(e.to_string()))?;
        let mut file = File::create(stage.join(MANIFEST))?;
        file.write_all(&text)?;
        file.sync_all()?;
        Ok(card)
    }

    /// Copies one photo; says how many bytes it has.
    async fn copy_picture(&self, shop: &str, hash: &str, stage: &Path) -> Result<u64, StoreError> {
        let folder = stage.join("pictures").join(shop);
        fs::create_dir_all(&folder)?;
        let mut stream = self.inner.pictures.read(shop, hash).await?;
        let mut file = File::create(folder.join(hash))?;
        let mut sum = Sha256::new();
        let mut bytes = 0;
        while let Some(piece) = stream.next().await {
            let piece = piece?;
            bytes += piece.len() as u64;
            sum.update(&piece);
            file.write_all(&piece)?;
        }
        file.sync_all()?;
        if hex(&sum.finalize()) != hash {
            return Err(StoreError::damaged(
                format!("photo {hash}"),
                "its bytes are not those that were kept",
            ));
        }
        Ok(bytes)
    }
}

fn picture_of(table: &Table, row: &Value) -> Option<(String, String)> {
    let (shop, hash) = (row[0].as_str()?, row[1].as_str()?);
    (table.name == "pictures").then(|| (shop.to_owned(), hash.to_owned()))
}

/// How many rows all tables have.
async fn rows_of(tx: &mut Tx) -> Result<u64, StoreError> {
    let mut rows = 0;
    for table in TABLES {
        let count = format!("SELECT COUNT(*) FROM {}", table.name);
        rows += number(tx, AssertSqlSafe(count)).await?;
    }
    Ok(rows)
}

/// How many bytes all photos have.
async fn photo_bytes(tx: &mut Tx) -> Result<u64, StoreError> {
    const BYTES: &str = "SELECT CAST(COALESCE(SUM(size_bytes), 0) AS BIGINT) FROM pictures";
    number(tx, BYTES).await
}

async fn number(tx: &mut Tx, sql: impl SqlSafeStr) -> Result<u64, StoreError> {
    let row = tx.row(sql, &[]).await?;
    row.map_or(Ok(0), |row| Ok(row.int(0)?.unsigned_abs()))
}

/// One row per line; shows each to the caller.
async fn write_table(
    table: &Table,
    tx: &mut Tx,
    path: &Path,
    each: &mut (dyn FnMut(&Value) + Send),
) -> Result<TableCard, StoreError> {
    let mut out = BufWriter::new(File::create(path)?);
    let mut sum = Sha256::new();
    let rows = table
        .read(tx, |row| {
            let line = format!("{row}\n");
            sum.update(line.as_bytes());
            out.write_all(line.as_bytes())?;
            each(row);
            Ok(())
        })
        .await?;
    out.flush()?;
    out.get_ref().sync_all()?;
    Ok(TableCard {
        rows,
        sha256: hex(&sum.finalize()),
    })
}

fn beside(to: &Path) -> PathBuf {
    let name = to.file_name().unwrap_or_default().to_string_lossy();
    to.with_file_name(format!(".{name}.unfinished"))
}

fn sync_folder(folder: Option<&Path>) -> Result<(), StoreError> {
    let folder = folder.filter(|f| !f.as_os_str().is_empty());
    File::open(folder.unwrap_or(Path::new(".")))?.sync_all()?;
    Ok(())
}
