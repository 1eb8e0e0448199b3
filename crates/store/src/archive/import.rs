//! Reads a job from a zip: its whole history, or a folder made by hand.
//!
//! Law: a history is taken event by event, with ids, times and hashes as they
//! were, after its chain has been checked. If the shop has the job already, the
//! zip may only go on where the shop's history ends. What the folder says
//! beyond the history becomes one more event.
//! Holds: photos are cleaned again; a clean one keeps its hash.
//! Left out: joining two histories that went separate ways; both sides are
//! named, and nothing changes.
//! Checked by: `tests/store/archive.rs`.

use std::collections::BTreeMap;
use std::fs::File;

use serde_json::json;

use super::unpack::{ArchiveLimits, Unpacked, refused, unpack};
use super::{WrittenHistory, pictures_of};
use crate::document::{Change, JobState};
use crate::error::StoreError;
use crate::event::{Author, Edit, Event};
use crate::journal;
use crate::live::Notice;
use crate::pictures::{Limits, Picture};
use crate::shop::Shop;
use crate::token::{check_id, new_id};

/// What an import has done.
#[derive(Clone, Debug, PartialEq)]
pub struct Imported {
    /// The job.
    pub job: String,
    /// How many events of the zip's history were new here.
    pub new_events: usize,
    /// How many photos the zip held.
    pub photos: usize,
    /// Whether texts or photos went beyond the history.
    pub has_folder_changes: bool,
    /// Files in the zip that are none of ours, left out.
    pub left_out: Vec<String>,
}

impl Shop {
    /// Takes a job in from a zip.
    ///
    /// # Errors
    /// When the zip plays tricks, is too large or damaged, when its history
    /// does not hold together or went another way than the shop's, or when a
    /// place is away. Nothing of the job changes then.
    pub async fn import_job(
        &self,
        zip: File,
        author: &Author,
        limits: ArchiveLimits,
    ) -> Result<Imported, StoreError> {
        let waiting = self.store.inner.waiting.clone();
        let mut unpacked =
            tokio::task::spawn_blocking(move || unpack(zip, &limits, &waiting)).await??;
        let history = unpacked.history.take();
        if history.is_none() && !unpacked.texts.contains_key("job.toml") {
            return Err(refused("there is no job.toml in it"));
        }
        let state = history.as_ref().map(check_chain).transpose()?;
        let photos = self.keep_photos(&unpacked, &limits).await?;
        let (job, new_events) = match &history {
            None => (new_id(), 0),
            Some(history) => {
                self.check_pictures(&history.events).await?;
                (history.job.clone(), self.take_history(history).await?)
            }
        };
        let saw = state.as_ref().map_or(0, |state| state.version);
        let changes = folder_changes(&unpacked, &photos, state.as_ref());
        let has_folder_changes = !changes.is_empty();
        if has_folder_changes {
            let edit = Edit {
                id: new_id(),
                kind: "folder-imported".to_owned(),
                saw,
                changes,
                said_ms: self.now_ms(),
                undoes: None,
                settles: None,
            };
            self.append_trusted(&job, author, &edit).await?;
        }
        Ok(Imported {
            job,
            new_events,
            photos: photos.len(),
            has_folder_changes,
            left_out: unpacked.strays,
        })
    }

    async fn keep_photos(
        &self,
        unpacked: &Unpacked,
        limits: &ArchiveLimits,
    ) -> Result<BTreeMap<String, Picture>, StoreError> {
        let limits = Limits {
            most_bytes: limits.most_photo_bytes,
            ..Limits::default()
        };
        let mut photos = BTreeMap::new();
        for (name, file) in &unpacked.photos {
            let path = unpacked.folder.path().join(file);
            let picture = self
                .keep_picture_file(&path, limits)
                .await
                .map_err(|why| match why {
                    StoreError::Refused(why) => refused(&format!("photo `{name}`: {why}")),
                    other => other,
                })?;
            photos.insert(name.clone(), picture);
        }
        Ok(photos)
    }

    /// Every picture that the history names must be here by now.
    async fn check_pictures(&self, events: &[Event]) -> Result<(), StoreError> {
        for hash in pictures_of(events) {
            if self.picture(&hash).await.is_err_and(|e| !e.may_pass()) {
                return Err(refused(&format!(
                    "its history names the photo {}…, which is not in it",
                    &hash[..12]
                )));
            }
        }
        Ok(())
    }

    /// Adds the events that the shop does not have yet; says how many.
    async fn take_history(&self, history: &WrittenHistory) -> Result<usize, StoreError> {
        let mut tx = self.database().write().await?;
        let mut head = self.head_of(&mut tx, &history.job, true).await?;
        let first = head.version();
        let common = usize::try_from(first)
            .unwrap_or(0)
            .min(history.events.len());
        if common > 0 {
            let theirs = &history.events[common - 1];
            let ours = journal::hash_at(&mut tx, &self.id, &history.job, theirs.version).await?;
            if ours.as_ref() != Some(&theirs.hash) {
                return Err(StoreError::Refused(format!(
                    "The shop has this job already, and its history went another way than the zip's (they part before event {}). Nothing was changed; export the shop's own first and compare.",
                    theirs.version
                )));
            }
        }
        let new = &history.events[common..];
        for event in new {
            if journal::has_event(&mut tx, &self.id, &event.id).await? {
                return Err(refused(
                    "an event of its history belongs to another job here",
                ));
            }
            journal::insert(&mut tx, &self.id, event).await?;
            head.fold(event)?;
        }
        if !new.is_empty() {
            self.write_head(&mut tx, &history.job, &head, first).await?;
        }
        tx.keep().await?;
        if !new.is_empty() {
            let notice = Notice::new(&self.id, &history.job, head.version());
            let _ = self.store.inner.notices.send(notice);
        }
        Ok(new.len())
    }
}

/// Checks numbers, hashes and links of a history and folds it.
fn check_chain(history: &WrittenHistory) -> Result<JobState, StoreError> {
    if history.lapwing_history != 1 || history.events.is_empty() {
        return Err(refused("its history.json is of another kind"));
    }
    check_id("The job's id in history.json", &history.job)?;
    let mut state = JobState::empty();
    let mut previous = "";
    for event in &history.events {
        let is_right = event.job == history.job
            && event.previous == previous
            && event.right_hash()? == event.hash
            && check_id("an event's id", &event.id).is_ok();
        if !is_right || state.fold(event).is_err() {
            return Err(refused(&format!(
                "event {} of its history was changed or is missing",
                event.version
            )));
        }
        previous = &event.hash;
    }
    Ok(state)
}

/// What the folder says beyond the history.
fn folder_changes(
    unpacked: &Unpacked,
    photos: &BTreeMap<String, Picture>,
    state: Option<&JobState>,
) -> Vec<Change> {
    let at = |place: &str| state.and_then(|state| state.at(place));
    let mut changes = Vec::new();
    for (name, text) in &unpacked.texts {
        let place = format!("/folder/{name}");
        if at(&place).and_then(|v| v.as_str()) != Some(text) {
            changes.push(Change::put(place, text.clone()));
        }
    }
    for (name, photo) in photos {
        let place = format!("/photos/{name}");
        let known = at(&place).and_then(|v| v.get("picture")?.as_str());
        // A photo that only the history names travels under its hash.
        let is_old = state.is_some() && *name == photo.hash;
        if known != Some(&photo.hash) && !is_old {
            let value = json!({"picture": photo.hash, "media": photo.media, "taken": photo.taken});
            changes.push(Change::put(place, value));
        }
    }
    changes
}
