//! Ids, secrets and short texts: how they are made and which are taken.
//!
//! Law: a secret is 32 bytes from the operating system; only its SHA-256 is
//! kept, so that a stolen database opens no door.
//! Holds: ids made here are UUIDs of version 7 (RFC 9562 section 5.7), which
//! sort by the time they were made.
//! Checked by: the tests below.

use sha2::{Digest as _, Sha256};

use crate::error::StoreError;
use crate::event::hex;

/// A secret to hand to a person or a browser once. It is not printed by accident.
#[derive(Clone, PartialEq, Eq)]
pub struct Secret(String);

impl Secret {
    /// A new one.
    pub(crate) fn new() -> Self {
        Self(secret_hex())
    }

    /// The text to hand over.
    #[must_use]
    pub fn reveal(&self) -> &str {
        &self.0
    }

    /// What the store keeps of it.
    pub(crate) fn kept_hash(&self) -> String {
        kept_hash(&self.0)
    }
}

impl std::fmt::Debug for Secret {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Secret(…)")
    }
}

/// What the store keeps of a secret that came in.
pub(crate) fn kept_hash(secret: &str) -> String {
    hex(&Sha256::digest(secret.as_bytes()))
}

/// 32 bytes from the operating system, as text.
pub(crate) fn secret_hex() -> String {
    hex(&random_bytes::<32>())
}

pub(crate) fn random_bytes<const N: usize>() -> [u8; N] {
    let mut bytes = [0; N];
    rand::fill(&mut bytes);
    bytes
}

/// A new id; later ids sort after earlier ones.
#[must_use]
pub fn new_id() -> String {
    uuid::Uuid::now_v7().to_string()
}

/// Takes an id from outside: 1 to 64 letters, digits, `-` and `_`.
pub(crate) fn check_id<'a>(what: &str, id: &'a str) -> Result<&'a str, StoreError> {
    let is_good = |c: char| c.is_ascii_alphanumeric() || c == '-' || c == '_';
    if id.is_empty() || id.len() > 64 || !id.chars().all(is_good) {
        return Err(StoreError::Refused(format!(
            "{what} should be 1 to 64 letters, digits, `-` or `_`."
        )));
    }
    Ok(id)
}

/// Takes a short text from outside: not empty, one line, no control signs.
pub(crate) fn short_text<'a>(
    what: &str,
    text: &'a str,
    most: usize,
) -> Result<&'a str, StoreError> {
    let text = text.trim();
    if text.is_empty() || text.chars().count() > most || text.chars().any(char::is_control) {
        return Err(StoreError::Refused(format!(
            "{what} should be one line of 1 to {most} signs."
        )));
    }
    Ok(text)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_secret_is_long_and_is_not_printed() {
        let secret = Secret::new();
        assert_eq!(secret.reveal().len(), 64);
        assert_ne!(secret, Secret::new());
        assert_eq!(format!("{secret:?}"), "Secret(…)");
    }

    #[test]
    fn ids_and_texts_with_tricks_are_refused() {
        for id in ["", "a b", "a/b", "a\0", "ä", &"x".repeat(65)] {
            assert!(check_id("The id", id).is_err(), "{id:?}");
        }
        assert!(check_id("The id", &new_id()).is_ok());
        for text in ["", "  ", "two\nlines", "nul\0"] {
            assert!(short_text("It", text, 10).is_err(), "{text:?}");
        }
        assert_eq!(short_text("It", " Öl ", 2).expect("taken"), "Öl");
    }
}
