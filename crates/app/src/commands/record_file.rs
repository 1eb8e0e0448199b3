//! A record file: is it genuine, and if not, what is wrong with it.
//!
//! Holds: for files of hand-over records; each fault has a sentence of its own.
//! Checked by: `tests/handover_door.rs`, byte by byte.

use lapwing_job::record::file_kind::FileKind;
use lapwing_store::{RecordVerdict, canonical_json, verify_record};
use serde_json::Value;

use crate::failure::Failure;

/// A record whose signature is good.
#[derive(Clone, Debug)]
pub(crate) struct Genuine {
    /// What was signed.
    pub(crate) record: Value,
    /// Its hash.
    pub(crate) sha256: String,
    /// The key it was signed with.
    pub(crate) key: String,
    /// Whether the reader named that key.
    pub(crate) is_known_key: bool,
    /// Whether the file is laid out as we write it.
    pub(crate) is_canonical: bool,
}

/// Judges a file; a reader who names a key believes no other.
///
/// The error is a sentence without the file's name.
pub(crate) fn judge(file: &[u8], known_key: Option<&str>) -> Result<Genuine, String> {
    let known: Vec<String> = known_key.map(str::to_lowercase).into_iter().collect();
    match verify_record(file, &known) {
        RecordVerdict::Genuine {
            record,
            key,
            is_known_key,
        } => {
            if !known.is_empty() && !is_known_key {
                return Err(format!(
                    "Another key: the record is whole, but it was signed with the key {key}, not with the one that was named. Do not rely on it before that shop has read its key to you."
                ));
            }
            let whole: Value = serde_json::from_slice(file).unwrap_or_default();
            let canonical = canonical_json(&whole).unwrap_or_default();
            Ok(Genuine {
                sha256: whole["sha256"].as_str().unwrap_or_default().to_owned(),
                is_canonical: file.trim_ascii_end() == canonical,
                record,
                key,
                is_known_key,
            })
        }
        RecordVerdict::Altered => Err(
            "Changed: the record is not the one that was signed; its hash does not fit. Do not rely on it; ask the shop that signed it for its file."
                .to_owned(),
        ),
        RecordVerdict::WrongSignature => Err(
            "Forged or damaged: the hash fits the record, but the signature is not that of its key. Do not rely on it."
                .to_owned(),
        ),
        RecordVerdict::Unreadable(why) => Err(unreadable(file, &why)),
    }
}

fn unreadable(file: &[u8], why: &str) -> String {
    let fault = serde_json::from_slice::<Value>(file).err();
    if file.trim_ascii().is_empty() {
        return "Empty: there is nothing in the file. Copy it again from where it came.".to_owned();
    }
    if fault.as_ref().is_some_and(serde_json::Error::is_eof) {
        return "Cut off: the file ends in the middle of the record. Copy it again from where it came.".to_owned();
    }
    if why.contains("stands twice") {
        return format!(
            "Two meanings: {why}, so two readers could read two different records. Do not rely on it; no honest program writes that."
        );
    }
    if why.contains("whole number") {
        return format!("Not canonical: {why}");
    }
    let kind = std::str::from_utf8(file).ok().and_then(FileKind::of);
    if let Some(kind) = kind.filter(|kind| *kind != FileKind::Record) {
        let instead = kind.instead();
        return format!("Not a record: {instead} Name the record.json that a hand-over wrote.");
    }
    if let Some(fault) = fault {
        return format!(
            "Not a record: a record is JSON, which this file is not from line {}, column {} on. Name the record.json that a hand-over wrote, such as my-job/record.json.",
            fault.line(),
            fault.column()
        );
    }
    format!("Not a record: {why}. Name the record.json that a hand-over wrote.")
}

/// Reads a record that a job names.
pub(crate) fn read(name: &str, text: &str, known_key: Option<&str>) -> Result<Genuine, Failure> {
    judge(text.as_bytes(), known_key).map_err(|why| Failure::Input(format!("{name}: {why}")))
}
