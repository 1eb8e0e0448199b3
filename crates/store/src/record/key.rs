//! The key a record is signed with, kept in a file of its own.
//!
//! Law: 32 bytes from the operating system, written as 64 small hexadecimal
//! letters; only the owner of the file may read it.
//! Source: RFC 8032 section 5.1.5 (any 32 random bytes are a private key).
//! Holds: where the disk can be written. Left out: a password on the file.
//! Checked by: the tests below.

use std::fs::{self, OpenOptions};
use std::io::Write as _;
use std::path::Path;

use ed25519_dalek::SigningKey;

use super::fixed;
use crate::error::StoreError;
use crate::event::hex;
use crate::token::random_bytes;

/// A shop's signing key.
#[derive(Clone)]
pub struct RecordKey {
    secret: [u8; 32],
    /// Whether it was made just now.
    pub is_new: bool,
}

impl RecordKey {
    /// Reads the key of a file; makes and keeps one when there is no such file.
    ///
    /// # Errors
    /// When the file holds something else, or cannot be read or written.
    pub fn read_or_make(path: &Path) -> Result<Self, StoreError> {
        match fs::read_to_string(path) {
            Ok(text) => {
                let secret = fixed(text.trim()).ok_or_else(|| {
                    StoreError::Refused(format!(
                        "{}: this is no signing key; one is 64 signs of 0-9 and a-f in a file of its own. Name another file; a new key is made where there is none.",
                        path.display()
                    ))
                })?;
                Ok(Self {
                    secret,
                    is_new: false,
                })
            }
            Err(why) if why.kind() == std::io::ErrorKind::NotFound => Self::make(path),
            Err(why) => Err(refused(path, "read", &why)),
        }
    }

    fn make(path: &Path) -> Result<Self, StoreError> {
        let secret: [u8; 32] = random_bytes();
        let mut options = OpenOptions::new();
        options.write(true).create_new(true);
        #[cfg(unix)]
        std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
        let written = options.open(path).and_then(|mut file| {
            file.write_all(hex(&secret).as_bytes())?;
            file.write_all(b"\n")?;
            file.sync_all()
        });
        written.map_err(|why| refused(path, "made", &why))?;
        Ok(Self {
            secret,
            is_new: true,
        })
    }

    /// The bytes, for signing.
    #[must_use]
    pub fn secret(&self) -> &[u8; 32] {
        &self.secret
    }

    /// The public key, for others to know it by.
    #[must_use]
    pub fn public(&self) -> String {
        hex(SigningKey::from_bytes(&self.secret)
            .verifying_key()
            .as_bytes())
    }
}

impl std::fmt::Debug for RecordKey {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("RecordKey(…)")
    }
}

fn refused(path: &Path, verb: &str, why: &std::io::Error) -> StoreError {
    StoreError::Refused(format!(
        "{}: the signing key cannot be {verb} ({why}). Name a file in a folder that is there and that you may write to.",
        path.display()
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_key_is_made_once_kept_and_read_by_its_owner_alone() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("signing.key");
        let first = RecordKey::read_or_make(&path).expect("made");
        let again = RecordKey::read_or_make(&path).expect("read");
        assert!(first.is_new && !again.is_new);
        assert_eq!(first.public(), again.public());
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt as _;
            let mode = fs::metadata(&path).expect("there").permissions().mode();
            assert_eq!(mode & 0o777, 0o600);
        }
    }

    /// RFC 8032 section 7.1, test 1.
    #[test]
    fn the_public_key_is_that_of_rfc_8032() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("k");
        let secret = "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60";
        fs::write(&path, secret).expect("written");
        let key = RecordKey::read_or_make(&path).expect("read");
        assert_eq!(
            key.public(),
            "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a"
        );
    }

    #[test]
    fn what_is_no_key_and_where_none_can_be_are_sentences() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("k");
        fs::write(&path, "schema = 1").expect("written");
        let error = RecordKey::read_or_make(&path).expect_err("refused");
        assert!(error.to_string().contains("no signing key"), "{error}");
        let nowhere = folder.path().join("no/such/k");
        let error = RecordKey::read_or_make(&nowhere).expect_err("refused");
        assert!(error.to_string().contains("cannot be made"), "{error}");
    }
}
