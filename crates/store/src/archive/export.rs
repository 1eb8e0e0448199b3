//! Writes a job into a zip.
//!
//! Holds: everything is of one moment; texts are deflated, photos stored as
//! they are; the same job gives the same bytes. Photos are copied piece by
//! piece.
//! Checked by: `tests/store/archive.rs`, and a zip listed by another program.

use std::collections::BTreeMap;
use std::fs::File;
use std::io::{Seek as _, SeekFrom, Write as _};

use futures_util::StreamExt as _;
use serde_json::Value;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipWriter};

use super::{PHOTOS, WrittenHistory, names, pictures_of};
use crate::database::Cell;
use crate::document::JobState;
use crate::error::StoreError;
use crate::event::Event;
use crate::shop::Shop;

/// A job as a zip, in a file without a name that vanishes when it is dropped.
#[derive(Debug)]
pub struct ExportedFolder {
    /// The zip, from its beginning.
    pub file: File,
    /// Its length.
    pub size_bytes: u64,
}

impl Shop {
    /// Writes a job into a zip.
    ///
    /// # Errors
    /// When the shop has no such job, a photo is missing, or a place is away.
    pub async fn export_job(&self, job: &str) -> Result<ExportedFolder, StoreError> {
        let (events, state) = self.whole_history(job).await?;
        let photos = photo_names(&events, &state);
        let file = tempfile::tempfile_in(&self.store.inner.waiting)?;
        let job = job.to_owned();
        let written = move || write_texts(file, job, events, &state);
        let mut zip = tokio::task::spawn_blocking(written).await??;
        for (name, hash) in photos {
            zip.start_file(
                format!("{PHOTOS}{name}"),
                options(CompressionMethod::Stored),
            )
            .map_err(from_zip)?;
            let (_, mut bytes) = self.read_picture(&hash).await?;
            while let Some(piece) = bytes.next().await {
                zip.write_all(&piece?)?;
            }
        }
        let mut file = zip.finish().map_err(from_zip)?;
        let size_bytes = file.seek(SeekFrom::End(0))?;
        file.seek(SeekFrom::Start(0))?;
        Ok(ExportedFolder { file, size_bytes })
    }

    /// All events of a job and the state folded from them.
    pub(super) async fn whole_history(
        &self,
        job: &str,
    ) -> Result<(Vec<Event>, JobState), StoreError> {
        let text = format!(
            "SELECT {} FROM events WHERE shop = $1 AND job = $2 ORDER BY version",
            Event::COLUMNS
        );
        let cells = [Cell::from(&self.id), Cell::from(job)];
        let rows = self
            .database()
            .rows(sqlx::AssertSqlSafe(text), &cells)
            .await?;
        let mut state = JobState::empty();
        let mut events = Vec::with_capacity(rows.len());
        for row in &rows {
            let event = Event::from_row(row)?;
            state.fold(&event)?;
            events.push(event);
        }
        if events.is_empty() {
            return Err(StoreError::not_there("job", job));
        }
        Ok((events, state))
    }
}

/// The photos of the folder under their names; those that only the history
/// names under their hash.
fn photo_names(events: &[Event], state: &JobState) -> BTreeMap<String, String> {
    let mut named = BTreeMap::new();
    let mut left = pictures_of(events);
    let folder = state.document.get("photos").and_then(Value::as_object);
    for (name, photo) in folder.into_iter().flatten() {
        let hash = photo.get("picture").and_then(Value::as_str);
        if let Some(hash) = hash.filter(|hash| left.contains(*hash) && names::is_plain(name)) {
            let is_free = !named
                .keys()
                .any(|other: &String| other.to_lowercase() == name.to_lowercase());
            if is_free {
                named.insert(name.clone(), hash.to_owned());
            }
        }
    }
    for hash in named.values() {
        left.remove(hash);
    }
    named.extend(left.into_iter().map(|hash| (hash.clone(), hash)));
    named
}

fn write_texts(
    file: File,
    job: String,
    events: Vec<Event>,
    state: &JobState,
) -> Result<ZipWriter<File>, StoreError> {
    let mut zip = ZipWriter::new(file);
    let folder = state.document.get("folder").and_then(Value::as_object);
    for (name, text) in folder.into_iter().flatten() {
        let is_ours = matches!(names::sort(name), names::Named::Text(ours) if ours == *name);
        if let Some(text) = text.as_str().filter(|_| is_ours) {
            zip.start_file(name.clone(), options(CompressionMethod::Deflated))
                .map_err(from_zip)?;
            zip.write_all(text.as_bytes())?;
        }
    }
    zip.start_file(super::HISTORY, options(CompressionMethod::Deflated))
        .map_err(from_zip)?;
    let history = WrittenHistory {
        lapwing_history: 1,
        job,
        events,
    };
    let mut out = std::io::BufWriter::new(&mut zip);
    serde_json::to_writer(&mut out, &history).map_err(|why| StoreError::Fault(why.to_string()))?;
    out.flush()?;
    drop(out);
    Ok(zip)
}

/// No time of day in it: the same job gives the same bytes.
fn options(how: CompressionMethod) -> SimpleFileOptions {
    SimpleFileOptions::default()
        .compression_method(how)
        .last_modified_time(zip::DateTime::default())
        .large_file(false)
}

fn from_zip(why: zip::result::ZipError) -> StoreError {
    match why {
        zip::result::ZipError::Io(why) => why.into(),
        other => StoreError::Fault(other.to_string()),
    }
}
