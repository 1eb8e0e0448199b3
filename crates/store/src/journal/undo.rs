//! Takes an event back by adding another that restores what stood there.
//!
//! Law: undo(e) is an event whose changes are those of e inverted and in
//! reverse order. An undo can be undone like any other event.
//! Holds: while nothing later stands on the same places; otherwise the later
//! events are named and nothing changes.
//! Left out: undoing several events at once; the pages repeat.
//! Checked by: `tests/store/journal.rs`, and random edits that undo themselves.

use super::{Change, Outcome, read};
use crate::error::StoreError;
use crate::event::{Author, Edit, Standing};
use crate::shop::Shop;

impl Shop {
    /// Takes one event of a job back. `id` is the new event's id, made by the
    /// device: the same undo delivered twice is one undo.
    ///
    /// # Errors
    /// When the event is unknown, was set aside, is already taken back, or
    /// later events build on it.
    pub async fn undo(
        &self,
        event_id: &str,
        id: &str,
        author: &Author,
    ) -> Result<Outcome, StoreError> {
        let mut tx = self.database().still().await?;
        let event = read::event_by_id(&mut tx, &self.id, event_id)
            .await?
            .ok_or_else(|| StoreError::not_there("event", event_id))?;
        if event.standing == Standing::Aside {
            return Err(StoreError::Refused(
                "That edit was set aside and never took effect; settle it instead.".to_owned(),
            ));
        }
        let undone = read::undone_by(&mut tx, &self.id, &event).await?;
        if let Some(by) = undone.filter(|by| by.id != id) {
            return Err(StoreError::Refused(format!(
                "`{}` was already taken back (event {}).",
                event.kind, by.version
            )));
        }
        let later = read::built_upon(&mut tx, &self.id, &event).await?;
        let stands_on = later.iter().find(|e| e.id != id);
        if let Some(top) = stands_on {
            return Err(StoreError::Refused(format!(
                "`{}` cannot be taken back alone: `{}` (event {}) has changed the same place since. Take that back first.",
                event.kind, top.kind, top.version
            )));
        }
        drop(tx);
        let edit = Edit {
            id: id.to_owned(),
            kind: "undo".to_owned(),
            saw: event.version,
            changes: event.changes.iter().rev().map(Change::inverse).collect(),
            said_ms: self.now_ms(),
            undoes: Some(event.id.clone()),
            settles: None,
        };
        self.append(&event.job, author, &edit).await
    }
}
