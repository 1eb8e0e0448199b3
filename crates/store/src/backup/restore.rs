//! Brings a backup into an empty store and looks whether all of it is there.
//!
//! Holds: all rows or none; every file is checked against its hash before its
//! first row is written, every photo while it is copied.
//! Left out: adding to a store that holds something.
//! Checked by: `tests/store/backup.rs`.

use std::fs::{self, File};
use std::io::{BufRead as _, BufReader, Read as _};
use std::path::Path;

use serde_json::Value;
use sha2::{Digest as _, Sha256};

use super::tables::{TABLES, Table};
use super::{BackupCard, KIND, MANIFEST, Pace, Part, TableCard, Told, VerifyReport, photo_bytes};
use crate::database::Tx;
use crate::error::StoreError;
use crate::event::hex;
use crate::shop::Store;

const ROWS_AT_ONCE: usize = 500;

impl Store {
    /// Brings a backup into this store, which must be empty, and verifies it.
    ///
    /// # Errors
    /// When the store holds a shop, the backup is incomplete or damaged or of
    /// a newer program, or a place is away or full. Rows come in all or none.
    pub async fn restore(&self, from: &Path) -> Result<VerifyReport, StoreError> {
        self.restore_telling(from, &|_| {}).await
    }

    /// [`Store::restore`] that tells how far it is.
    ///
    /// # Errors
    /// As [`Store::restore`].
    pub async fn restore_telling(
        &self,
        from: &Path,
        told: Told<'_>,
    ) -> Result<VerifyReport, StoreError> {
        if !self.shops().await?.is_empty() {
            return Err(StoreError::Refused(
                "This store holds a shop already. Restore into a new, empty one.".to_owned(),
            ));
        }
        let card = self.read_card(from).await?;
        for table in TABLES {
            check_file(from, table, card_of(&card, table)?)?;
        }
        let rows = card.tables.values().map(|table| table.rows).sum();
        let mut pace = Pace::of(Part::Rows, rows);
        let mut tx = self.database().write().await?;
        for table in TABLES {
            let step = &mut || pace.step(0, told);
            let rows = read_rows(&mut tx, from, table, step).await?;
            if rows != card_of(&card, table)?.rows {
                return Err(StoreError::damaged(
                    format!("backup table {}", table.name),
                    format!("it has {rows} rows, not as many as its list says"),
                ));
            }
        }
        // Photos first: once the rows are kept, all they name is there.
        self.bring_pictures(&mut tx, from, told).await?;
        tx.keep().await?;
        self.verify_telling(told).await
    }

    async fn read_card(&self, from: &Path) -> Result<BackupCard, StoreError> {
        let path = from.join(MANIFEST);
        let refused = |why: String| StoreError::Refused(format!("{}: {why}", path.display()));
        let text = fs::read(&path)
            .map_err(|why| refused(format!("{why}. Is it the folder of a backup?")))?;
        let card: BackupCard = serde_json::from_slice(&text)
            .map_err(|why| refused(format!("this is no list of a backup ({why}).")))?;
        if card.lapwing_backup != KIND || card.tables_version > self.tables_version().await {
            return Err(refused(
                "the backup was made by a newer Lapwing. Use that program.".to_owned(),
            ));
        }
        Ok(card)
    }

    async fn bring_pictures(
        &self,
        tx: &mut Tx,
        from: &Path,
        told: Told<'_>,
    ) -> Result<(), StoreError> {
        const ALL: &str = "SELECT shop, hash, size_bytes FROM pictures ORDER BY shop, hash";
        let rows = tx.rows(ALL, &[]).await?;
        let mut pace = Pace::of(Part::Photos, rows.len() as u64);
        pace.of_bytes = photo_bytes(tx).await?;
        for row in rows {
            let (shop, hash) = (row.text(0)?, row.text(1)?);
            let path = from.join("pictures").join(&shop).join(&hash);
            let came = hash_of_file(&path)?;
            if came != hash {
                return Err(StoreError::damaged(
                    format!("{}", path.display()),
                    "the photo is not the one that was kept",
                ));
            }
            self.inner.pictures.keep(&shop, &hash, &path).await?;
            pace.step(row.int(2)?.unsigned_abs(), told);
        }
        Ok(())
    }
}

fn card_of<'a>(card: &'a BackupCard, table: &Table) -> Result<&'a TableCard, StoreError> {
    card.tables.get(table.name).ok_or_else(|| {
        StoreError::damaged(
            "the backup's list",
            format!("table {} is missing", table.name),
        )
    })
}

fn check_file(from: &Path, table: &Table, card: &TableCard) -> Result<(), StoreError> {
    let path = table_path(from, table);
    if hash_of_file(&path)? != card.sha256 {
        return Err(StoreError::damaged(
            format!("{}", path.display()),
            "the file was changed after the backup",
        ));
    }
    Ok(())
}

async fn read_rows(
    tx: &mut Tx,
    from: &Path,
    table: &Table,
    step: &mut (dyn FnMut() + Send),
) -> Result<u64, StoreError> {
    let mut count = 0;
    let mut held: Vec<Value> = Vec::with_capacity(ROWS_AT_ONCE);
    for line in BufReader::new(File::open(table_path(from, table))?).lines() {
        let row = serde_json::from_str(&line?).map_err(|why| {
            StoreError::damaged(format!("backup table {}", table.name), why.to_string())
        })?;
        held.push(row);
        count += 1;
        step();
        if held.len() == ROWS_AT_ONCE {
            table.write(tx, &held).await?;
            held.clear();
        }
    }
    table.write(tx, &held).await?;
    Ok(count)
}

fn table_path(from: &Path, table: &Table) -> std::path::PathBuf {
    from.join("tables").join(format!("{}.jsonl", table.name))
}

fn hash_of_file(path: &Path) -> Result<String, StoreError> {
    let mut file = File::open(path).map_err(|why| {
        StoreError::damaged(
            format!("{}", path.display()),
            format!("cannot be read ({why})"),
        )
    })?;
    let mut sum = Sha256::new();
    let mut piece = vec![0; 64 << 10];
    loop {
        match file.read(&mut piece)? {
            0 => return Ok(hex(&sum.finalize())),
            count => sum.update(&piece[..count]),
        }
    }
}
