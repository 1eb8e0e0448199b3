//! Copies the whole store into a folder, and back into an empty one.
//!
//! Law: a backup is one moment of the database, as one file of JSON lines per
//! table with its SHA-256, plus every photo that this moment names. It appears
//! under its name only when it is whole and on the disk.
//! Holds: across databases: a backup of SQLite can be restored into PostgreSQL
//! and the other way round, which is how a shop moves to a server.
//! Left out: sessions and pairing codes; backups of only what changed.
//! Checked by: `tests/store/backup.rs` on both databases and from one to the other.

mod restore;
mod tables;
mod verify;

use std::collections::BTreeMap;
use std::fs::{self, File};
use std::io::{BufWriter, Write as _};
use std::path::{Path, PathBuf};

use futures_util::StreamExt as _;
use serde::{Deserialize, Serialize};
use sha2::{Digest as _, Sha256};

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
        if to.exists() {
            return Err(StoreError::Refused(format!(
                "{} exists. Name a new folder for the backup.",
                to.display()
            )));
        }
        let stage = beside(to);
        let outcome = self.write_backup(&stage).await;
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

    async fn write_backup(&self, stage: &Path) -> Result<BackupCard, StoreError> {
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
        for table in TABLES {
            let path = stage.join("tables").join(format!("{}.jsonl", table.name));
            let told = write_table(table, &mut tx, &path, &mut pictures).await?;
            card.tables.insert(table.name.to_owned(), told);
        }
        drop(tx);
        for (shop, hash) in &pictures {
            self.copy_picture(shop, hash, stage).await?;
            card.pictures += 1;
        }
        let text =
            serde_json::to_vec_pretty(&card).map_err(|e| StoreError::Fault(e.to_string()))?;
        let mut file = File::create(stage.join(MANIFEST))?;
        file.write_all(&text)?;
        file.sync_all()?;
        Ok(card)
    }

    async fn copy_picture(&self, shop: &str, hash: &str, stage: &Path) -> Result<(), StoreError> {
        let folder = stage.join("pictures").join(shop);
        fs::create_dir_all(&folder)?;
        let mut stream = self.inner.pictures.read(shop, hash).await?;
        let mut file = File::create(folder.join(hash))?;
        let mut sum = Sha256::new();
        while let Some(piece) = stream.next().await {
            let piece = piece?;
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
        Ok(())
    }
}

/// One row per line; notes the photos on the way.
async fn write_table(
    table: &Table,
    tx: &mut Tx,
    path: &Path,
    pictures: &mut Vec<(String, String)>,
) -> Result<TableCard, StoreError> {
    let mut out = BufWriter::new(File::create(path)?);
    let mut sum = Sha256::new();
    let rows = table
        .read(tx, |row| {
            let line = format!("{row}\n");
            sum.update(line.as_bytes());
            out.write_all(line.as_bytes())?;
            if let ("pictures", Some(shop), Some(hash)) =
                (table.name, row[0].as_str(), row[1].as_str())
            {
                pictures.push((shop.to_owned(), hash.to_owned()));
            }
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
