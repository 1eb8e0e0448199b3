//! The hand-over record: one canonical text, its hash and the shop's signature.
//!
//! Law: canonical text = RFC 8785 of the record; hash = SHA-256 of that text;
//! signature = Ed25519 over the same text with the shop's key.
//! Source: RFC 8785 (canonical JSON), FIPS 180-4 (SHA-256), RFC 8032 section
//! 5.1 (Ed25519).
//! Holds: for JSON whose numbers are doubles; a whole number beyond 2^53 or a
//! key that stands twice is refused, because readers would disagree about it.
//! Left out: who owns a key; the next shop knows the key from the last visit
//! or from its owner's mouth.
//! Checked by: RFC 8785's sample of section 3.2.2 and its numbers of appendix
//! B, RFC 8032's tests 1 to 3 of section 7.1, and records changed byte by byte.

mod key;
mod strict;

use ed25519_dalek::{Signature, Signer as _, SigningKey, VerifyingKey};
use serde_json::{Value, json};
use sha2::{Digest as _, Sha256};

use crate::error::StoreError;
use crate::event::{hex, unhex};
use crate::shop::Shop;

pub use key::RecordKey;

/// Most bytes of a record with its signature.
pub const MOST_RECORD_BYTES: usize = 16 << 20;

/// What a record file turns out to be.
#[derive(Clone, Debug, PartialEq)]
pub enum RecordVerdict {
    /// Unchanged since it was signed.
    Genuine {
        /// The record.
        record: Value,
        /// The public key it was signed with.
        key: String,
        /// Whether that key is one of those the reader knows.
        is_known_key: bool,
    },
    /// The record and its hash disagree: something was changed.
    Altered,
    /// The hash is right, but the signature is not of this record and key.
    WrongSignature,
    /// It is no record of this kind.
    Unreadable(String),
}

impl RecordVerdict {
    /// The verdict as a sentence.
    #[must_use]
    pub fn sentence(&self) -> String {
        match self {
            Self::Genuine {
                key,
                is_known_key: true,
                ..
            } => format!(
                "Genuine: unchanged since it was signed by the known key {}.",
                short(key)
            ),
            Self::Genuine { key, .. } => format!(
                "Unchanged since it was signed, but the key {} is not known here. Ask the shop to read its key to you.",
                short(key)
            ),
            Self::Altered => {
                "Altered: the record was changed after it was signed. Do not rely on it.".to_owned()
            }
            Self::WrongSignature => {
                "Not genuine: the signature does not belong to this record. Do not rely on it."
                    .to_owned()
            }
            Self::Unreadable(why) => format!("Not a record: {why}."),
        }
    }
}

/// The canonical text of a record.
///
/// # Errors
/// When a number in it is a whole number beyond 2^53.
pub fn canonical_json(record: &Value) -> Result<Vec<u8>, StoreError> {
    check_numbers(record)?;
    serde_json_canonicalizer::to_vec(record).map_err(|why| StoreError::Fault(why.to_string()))
}

/// SHA-256 of some bytes, as small hexadecimal letters.
#[must_use]
pub fn sha256_hex(bytes: &[u8]) -> String {
    hex(&Sha256::digest(bytes))
}

/// Signs a record with a key; the answer is what goes into the file.
///
/// # Errors
/// As [`canonical_json`].
pub fn sign_record(record: &Value, key: &[u8; 32]) -> Result<Value, StoreError> {
    let key = SigningKey::from_bytes(key);
    let text = canonical_json(record)?;
    Ok(json!({
        "lapwing_record": 1,
        "record": record,
        "sha256": hex(&Sha256::digest(&text)),
        "key": hex(key.verifying_key().as_bytes()),
        "signature": hex(&key.sign(&text).to_bytes()),
    }))
}

/// Judges a record file; `known_keys` are the public keys the reader trusts.
#[must_use]
pub fn verify_record(file: &[u8], known_keys: &[String]) -> RecordVerdict {
    match judge(file, known_keys) {
        Ok(verdict) => verdict,
        Err(why) => RecordVerdict::Unreadable(why),
    }
}

impl Shop {
    /// Signs a record with the shop's key.
    ///
    /// # Errors
    /// As [`canonical_json`], or when the database is away.
    pub async fn sign_record(&self, record: &Value) -> Result<Value, StoreError> {
        sign_record(record, &self.signing_key().await?)
    }

    /// The shop's public key, for others to know it by.
    ///
    /// # Errors
    /// When the database is away.
    pub async fn public_key(&self) -> Result<String, StoreError> {
        let key = SigningKey::from_bytes(&self.signing_key().await?);
        Ok(hex(key.verifying_key().as_bytes()))
    }

    async fn signing_key(&self) -> Result<[u8; 32], StoreError> {
        let text = self
            .own_row("SELECT signing_key FROM shops WHERE id = $1")
            .await?;
        fixed(&text).ok_or_else(|| StoreError::damaged("shop", "its signing key is no key"))
    }
}

fn judge(file: &[u8], known_keys: &[String]) -> Result<RecordVerdict, String> {
    if file.len() > MOST_RECORD_BYTES {
        return Err("it has more than 16 MB".to_owned());
    }
    let mut whole = strict::parse(file)?;
    if whole.get("lapwing_record") != Some(&json!(1)) {
        return Err("it does not say `\"lapwing_record\": 1`".to_owned());
    }
    let word = |name: &str| {
        whole[name]
            .as_str()
            .map(str::to_owned)
            .ok_or_else(|| format!("`{name}` is missing"))
    };
    let (hash, key, signature) = (word("sha256")?, word("key")?, word("signature")?);
    let record = whole
        .get_mut("record")
        .map(Value::take)
        .ok_or("`record` is missing")?;
    let text = canonical_json(&record).map_err(|why| why.to_string())?;
    if hex(&Sha256::digest(&text)) != hash {
        return Ok(RecordVerdict::Altered);
    }
    let is_right = fixed::<32>(&key)
        .and_then(|bytes| VerifyingKey::from_bytes(&bytes).ok())
        .zip(fixed::<64>(&signature))
        .is_some_and(|(key, bytes)| {
            key.verify_strict(&text, &Signature::from_bytes(&bytes))
                .is_ok()
        });
    if !is_right {
        return Ok(RecordVerdict::WrongSignature);
    }
    Ok(RecordVerdict::Genuine {
        is_known_key: known_keys.contains(&key),
        record,
        key,
    })
}

/// Bytes from small hexadecimal letters; one value has one text.
fn fixed<const N: usize>(text: &str) -> Option<[u8; N]> {
    let bytes = unhex(text)?;
    (hex(&bytes) == text).then(|| bytes.try_into().ok())?
}

/// Beyond 2^53 two whole numbers share one double.
fn check_numbers(value: &Value) -> Result<(), StoreError> {
    const MOST: u64 = 1 << 53;
    match value {
        Value::Number(number) => {
            let size = number
                .as_u64()
                .or_else(|| number.as_i64().map(i64::unsigned_abs));
            if size.is_some_and(|size| size > MOST) {
                return Err(StoreError::Refused(format!(
                    "The record holds the whole number {number}, which not every reader can hold; write it as text."
                )));
            }
            Ok(())
        }
        Value::Array(items) => items.iter().try_for_each(check_numbers),
        Value::Object(map) => map.values().try_for_each(check_numbers),
        _ => Ok(()),
    }
}

fn short(key: &str) -> String {
    key.chars().take(12).collect()
}

#[cfg(test)]
mod tests;
