//! Takes a zip apart into a temporary folder, trusting nothing it says.
//!
//! Law: what counts is the number of bytes that really come out, not what the
//! zip says about itself; the number of files is read and limited before the
//! list of files is.
//! Source: end-of-central-directory record, APPNOTE.TXT 6.3.10 section 4.3.16.
//! Holds: stored and deflated files without a password.
//! Left out: zips of more than 65,534 files.
//! Checked by: `tests/store/archive.rs`.

use std::collections::{BTreeMap, BTreeSet};
use std::fs::File;
use std::io::{Read, Seek as _, SeekFrom, Write};

use zip::ZipArchive;

use super::WrittenHistory;
use super::names::{self, Named};
use crate::error::StoreError;

/// How much a zip may hold.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ArchiveLimits {
    /// Most bytes of the zip itself.
    pub most_zip_bytes: u64,
    /// Most files in it.
    pub most_files: u64,
    /// Most bytes of one text.
    pub most_text_bytes: u64,
    /// Most bytes of one photo.
    pub most_photo_bytes: u64,
    /// Most bytes that come out altogether.
    pub most_total_bytes: u64,
}

impl Default for ArchiveLimits {
    fn default() -> Self {
        Self {
            most_zip_bytes: 2 << 30,
            most_files: 5_000,
            most_text_bytes: 8 << 20,
            most_photo_bytes: 25 << 20,
            most_total_bytes: 4 << 30,
        }
    }
}

/// What came out.
pub(super) struct Unpacked {
    pub(super) folder: tempfile::TempDir,
    pub(super) texts: BTreeMap<String, String>,
    /// Name of the photo and name of its file in the folder.
    pub(super) photos: BTreeMap<String, String>,
    pub(super) history: Option<WrittenHistory>,
    pub(super) strays: Vec<String>,
}

/// Takes the zip apart. Blocks; for a thread of its own.
pub(super) fn unpack(
    mut zip: File,
    limits: &ArchiveLimits,
    waiting: &std::path::Path,
) -> Result<Unpacked, StoreError> {
    check_size_and_count(&mut zip, limits)?;
    let mut archive =
        ZipArchive::new(zip).map_err(|why| refused(&format!("it cannot be read ({why})")))?;
    if archive.len() as u64 > limits.most_files {
        return Err(too_many(limits));
    }
    let mut unpacking = Unpacking {
        out: Unpacked {
            folder: tempfile::tempdir_in(waiting)?,
            texts: BTreeMap::new(),
            photos: BTreeMap::new(),
            history: None,
            strays: Vec::new(),
        },
        seen: BTreeSet::new(),
        budget: limits.most_total_bytes,
        limits,
    };
    for index in 0..archive.len() {
        let mut file = archive
            .by_index(index)
            .map_err(|why| refused(&format!("a file in it cannot be read ({why})")))?;
        let name = file
            .name()
            .map_err(|_| refused("a name in it is not readable"))?
            .into_owned();
        if file.encrypted() || file.is_symlink() {
            return Err(refused(&format!("`{}` is locked or a link", shown(&name))));
        }
        unpacking.take(&mut file, &name)?;
    }
    Ok(unpacking.out)
}

/// What has come out so far, and what still may.
struct Unpacking<'a> {
    out: Unpacked,
    seen: BTreeSet<String>,
    budget: u64,
    limits: &'a ArchiveLimits,
}

impl Unpacking<'_> {
    fn take(&mut self, file: &mut impl Read, name: &str) -> Result<(), StoreError> {
        const MOST_STRAYS: usize = 100;
        let named = names::sort(name);
        let is_ours = !matches!(named, Named::Folder | Named::Stray(_) | Named::Trick);
        // Some systems cannot tell `A.jpg` from `a.jpg`.
        if is_ours && !self.seen.insert(format!("{named:?}").to_lowercase()) {
            return Err(refused(&format!("`{}` is in it twice", shown(name))));
        }
        match named {
            Named::Folder => Ok(()),
            Named::Trick => Err(refused(&format!(
                "the name `{}` leads out of the folder",
                shown(name)
            ))),
            Named::Stray(name) => {
                if self.out.strays.len() < MOST_STRAYS {
                    self.out.strays.push(name);
                }
                Ok(())
            }
            Named::Text(name) => {
                let most = self.limits.most_text_bytes;
                let text = read_text(file, &name, most, &mut self.budget)?;
                self.out.texts.insert(name, text);
                Ok(())
            }
            Named::History => self.take_history(file),
            Named::Photo(photo) => self.take_photo(file, photo),
        }
    }

    fn take_history(&mut self, file: &mut impl Read) -> Result<(), StoreError> {
        // A history repeats texts that were replaced.
        let most = self.limits.most_text_bytes.saturating_mul(16);
        let text = read_text(file, super::HISTORY, most, &mut self.budget)?;
        let history = serde_json::from_str(&text)
            .map_err(|why| refused(&format!("its history.json is damaged ({why})")))?;
        self.out.history = Some(history);
        Ok(())
    }

    fn take_photo(&mut self, file: &mut impl Read, photo: String) -> Result<(), StoreError> {
        let path = self.out.photos.len().to_string();
        let mut to = File::create(self.out.folder.path().join(&path))?;
        let most = self.limits.most_photo_bytes;
        copy(file, &mut to, (&photo, most), &mut self.budget)?;
        self.out.photos.insert(photo, path);
        Ok(())
    }
}

/// Every record that could be taken for the end of the list is looked at, so
/// that no reader sees a longer list than we checked.
fn check_size_and_count(zip: &mut File, limits: &ArchiveLimits) -> Result<(), StoreError> {
    const END: &[u8] = b"PK\x05\x06";
    const LONGEST_END: u64 = 22 + 65_535;
    let size = zip.metadata()?.len();
    if size > limits.most_zip_bytes {
        return Err(refused(&format!(
            "it has {} MB; at most {} are taken",
            size >> 20,
            limits.most_zip_bytes >> 20
        )));
    }
    zip.seek(SeekFrom::Start(size.saturating_sub(LONGEST_END)))?;
    let mut tail = Vec::new();
    Read::by_ref(zip).take(LONGEST_END).read_to_end(&mut tail)?;
    let counts = tail
        .windows(12)
        .filter(|window| window.starts_with(END))
        .map(|w| u64::from(u16::from_le_bytes([w[10], w[11]])));
    match counts.max() {
        None => Err(refused("it is no zip")),
        Some(count) if count > limits.most_files => Err(too_many(limits)),
        Some(_) => {
            zip.seek(SeekFrom::Start(0))?;
            Ok(())
        }
    }
}

fn read_text(
    from: &mut impl Read,
    name: &str,
    most: u64,
    budget: &mut u64,
) -> Result<String, StoreError> {
    let mut bytes = Vec::new();
    copy(from, &mut bytes, (name, most), budget)?;
    String::from_utf8(bytes).map_err(|_| refused(&format!("`{name}` is not UTF-8 text")))
}

fn copy(
    from: &mut impl Read,
    to: &mut impl Write,
    (name, most): (&str, u64),
    budget: &mut u64,
) -> Result<(), StoreError> {
    let most = most.min(*budget);
    let came = std::io::copy(&mut from.take(most + 1), to).map_err(|why| match why.kind() {
        std::io::ErrorKind::StorageFull => StoreError::from(why),
        _ => refused(&format!("`{}` is damaged ({why})", shown(name))),
    })?;
    if came > most {
        return Err(refused(&format!(
            "`{}` unpacks to more than {} kB",
            shown(name),
            most >> 10
        )));
    }
    *budget -= came;
    Ok(())
}

fn too_many(limits: &ArchiveLimits) -> StoreError {
    refused(&format!("it holds more than {} files", limits.most_files))
}

pub(super) fn refused(why: &str) -> StoreError {
    StoreError::Refused(format!(
        "The zip is not taken: {why}. Send a folder with job.toml, readings.csv and photos, zipped as it is."
    ))
}

fn shown(name: &str) -> String {
    name.chars().filter(|c| !c.is_control()).take(60).collect()
}
