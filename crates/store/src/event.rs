//! One entry of a job's history, and the chain that holds the entries together.
//!
//! Law: hash(n) = SHA-256 over the fields of event n and hash(n-1), each field
//! preceded by its length in 8 bytes; hash(0) is empty.
//! Source: SHA-256 is FIPS 180-4.
//! Holds: a change of any stored field of an event, or of the order, shows;
//! the shop is left out of the hash so that a history can move house.
//! Left out: an attacker who may rewrite the whole database can write a whole
//! new chain; a signed hand-over record is the anchor against that.
//! Checked by: a hash worked by hand with another program, and by tampering
//! with each field.

use serde::{Deserialize, Serialize};
use sha2::{Digest as _, Sha256};

use crate::database::Row;
use crate::document::Change;
use crate::error::StoreError;

/// Whether an edit took effect.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Standing {
    /// It is part of the job's state.
    Kept,
    /// It came too late for its place: kept in the history, waiting for a
    /// person to settle it.
    Aside,
}

/// An edit as a device sends it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Edit {
    /// Made by the device, unique; the same id delivered twice is one event.
    pub id: String,
    /// What happened, in a word of the trade (`reading-taken`).
    pub kind: String,
    /// The version of the job that the person saw; 0 for a new job.
    pub saw: i64,
    /// What changes in the job's document.
    pub changes: Vec<Change>,
    /// When the device says it happened, in milliseconds since 1970.
    pub said_ms: i64,
    /// The event that this one takes back.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub undoes: Option<String>,
    /// The set-aside event that this one settles.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub settles: Option<String>,
}

/// Who made an edit, and with which device.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Author {
    /// The person's id.
    pub who: String,
    /// The device's id: edits of one device follow each other.
    pub device: String,
}

/// One entry of a job's history.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Event {
    /// Which job.
    pub job: String,
    /// Its number in the job, from 1 without gaps.
    pub version: i64,
    /// The id that the device made.
    pub id: String,
    /// What happened, in a word of the trade.
    pub kind: String,
    /// The version that the person had seen.
    pub saw: i64,
    /// What changed, and what stood there before.
    pub changes: Vec<Change>,
    /// Who did it.
    pub who: String,
    /// With which device.
    pub device: String,
    /// When the device says it happened, in milliseconds since 1970.
    pub said_ms: i64,
    /// When the store took it, in milliseconds since 1970.
    pub at_ms: i64,
    /// Whether it took effect.
    pub standing: Standing,
    /// The event that this one takes back.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub undoes: Option<String>,
    /// The set-aside event that this one settles.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub settles: Option<String>,
    /// The hash of the event before, empty for the first.
    pub previous: String,
    /// The hash of this event.
    pub hash: String,
}

impl Standing {
    pub(crate) fn word(self) -> &'static str {
        match self {
            Self::Kept => "kept",
            Self::Aside => "aside",
        }
    }
}

impl Event {
    /// The columns that `from_row` reads, in its order.
    pub(crate) const COLUMNS: &'static str = "job, version, id, kind, saw, body, who, device, \
        said_ms, at_ms, standing, undoes, settles, previous, hash";

    /// Reads a row of [`Event::COLUMNS`].
    pub(crate) fn from_row(row: &Row) -> Result<Self, StoreError> {
        let (job, version) = (row.text(0)?, row.int(1)?);
        let changes = serde_json::from_str(&row.text(5)?).map_err(|why| {
            StoreError::damaged(format!("job {job}, event {version}"), why.to_string())
        })?;
        let standing = match row.text(10)?.as_str() {
            "kept" => Standing::Kept,
            _ => Standing::Aside,
        };
        Ok(Self {
            job,
            version,
            id: row.text(2)?,
            kind: row.text(3)?,
            saw: row.int(4)?,
            changes,
            who: row.text(6)?,
            device: row.text(7)?,
            said_ms: row.int(8)?,
            at_ms: row.int(9)?,
            standing,
            undoes: row.maybe_text(11)?,
            settles: row.maybe_text(12)?,
            previous: row.text(13)?,
            hash: row.text(14)?,
        })
    }

    /// The changes as they are stored.
    pub(crate) fn body(&self) -> Result<String, StoreError> {
        serde_json::to_string(&self.changes).map_err(|why| StoreError::Fault(why.to_string()))
    }

    /// The hash that the event should carry.
    ///
    /// # Errors
    /// When its changes cannot be written as JSON.
    pub fn right_hash(&self) -> Result<String, StoreError> {
        let body = self.body()?;
        let numbers = [self.version, self.saw, self.said_ms, self.at_ms].map(|n| n.to_string());
        let mut hash = Sha256::new();
        for field in [
            "lapwing event 1",
            &self.job,
            &numbers[0],
            &self.id,
            &self.kind,
            &numbers[1],
            &body,
            &self.who,
            &self.device,
            &numbers[2],
            &numbers[3],
            self.standing.word(),
            self.undoes.as_deref().unwrap_or_default(),
            self.settles.as_deref().unwrap_or_default(),
            &self.previous,
        ] {
            hash.update((field.len() as u64).to_be_bytes());
            hash.update(field.as_bytes());
        }
        Ok(hex(&hash.finalize()))
    }
}

/// Bytes as small hexadecimal letters.
pub(crate) fn hex(bytes: &[u8]) -> String {
    use std::fmt::Write as _;
    bytes.iter().fold(String::new(), |mut text, byte| {
        let _ = write!(text, "{byte:02x}");
        text
    })
}

/// Bytes from hexadecimal letters.
pub(crate) fn unhex(text: &str) -> Option<Vec<u8>> {
    if !text.len().is_multiple_of(2) || !text.bytes().all(|b| b.is_ascii_hexdigit()) {
        return None;
    }
    (0..text.len())
        .step_by(2)
        .map(|at| u8::from_str_radix(&text[at..at + 2], 16).ok())
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn event() -> Event {
        Event {
            job: "j".into(),
            version: 1,
            id: "e1".into(),
            kind: "note".into(),
            saw: 0,
            changes: vec![Change::put("/a", 1)],
            who: "mika".into(),
            device: "phone".into(),
            said_ms: 5,
            at_ms: 6,
            standing: Standing::Kept,
            undoes: None,
            settles: Some("e0".into()),
            previous: String::new(),
            hash: String::new(),
        }
    }

    /// Worked with another program (Python's hashlib and struct): SHA-256 over
    /// `struct.pack(">Q", len(field)) + field` for the fields in order.
    #[test]
    fn the_hash_is_the_one_another_program_gives() {
        let hash = event().right_hash().expect("a hash");
        assert_eq!(
            hash,
            "15cbb183abcd81b7c9cf6b3b474cbdce42282222c6d3ee2754d36b1cfacb007a"
        );
    }

    #[test]
    fn each_field_is_under_the_hash() {
        let right = event().right_hash().expect("a hash");
        let changes: [fn(&mut Event); 13] = [
            |e| e.job = "k".into(),
            |e| e.version = 2,
            |e| e.id = "e2".into(),
            |e| e.kind = "other".into(),
            |e| e.saw = 1,
            |e| e.changes = vec![Change::put("/a", 2)],
            |e| e.who = "rim".into(),
            |e| e.device = "tablet".into(),
            |e| e.said_ms = 6,
            |e| e.at_ms = 5,
            |e| e.standing = Standing::Aside,
            |e| (e.undoes, e.settles) = (e.settles.take(), None),
            |e| e.previous = "00".into(),
        ];
        for (number, change) in changes.iter().enumerate() {
            let mut other = event();
            change(&mut other);
            let hash = other.right_hash().expect("a hash");
            assert_ne!(hash, right, "change {number}");
        }
    }

    #[test]
    fn hexadecimal_goes_there_and_back() {
        assert_eq!(unhex(&hex(b"\x00\xff\x10")), Some(b"\x00\xff\x10".to_vec()));
        for text in ["0", "0g", "ä0", "+1"] {
            assert_eq!(unhex(text), None, "{text}");
        }
    }
}
