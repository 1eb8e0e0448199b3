//! Reads one file with a size limit; writes a set of files all or nothing.
//!
//! Law: files are first written to a hidden folder beside the target, then
//! renamed into place one by one; a failure before that leaves the target as
//! it was.
//! Holds: for files that fit in memory. Left out: locking against a second
//! writer.
//! Checked by: the tests below.

use std::fs;
use std::io::Read;
use std::path::{Path, PathBuf};

/// Why a folder could not be read or written.
#[derive(Debug, thiserror::Error)]
pub enum FolderError {
    /// A file is not there or may not be read.
    #[error("{}: cannot be read ({why}). Check the name and that you may open it.", .path.display())]
    Unreadable {
        /// Which file.
        path: PathBuf,
        /// What the system says.
        why: String,
    },
    /// A file is larger than allowed.
    #[error("{}: has {came_mb} MB; at most {allowed_mb} MB are read. Is it the right file?", .path.display())]
    TooLarge {
        /// Which file.
        path: PathBuf,
        /// Its size.
        came_mb: u64,
        /// The limit.
        allowed_mb: u64,
    },
    /// The output folder cannot be written.
    #[error("{}: cannot be written ({why}). Nothing was left half-written; name a folder you may write to.", .path.display())]
    Unwritable {
        /// Which folder.
        path: PathBuf,
        /// What the system says.
        why: String,
    },
}

/// Reads a whole file of at most `most_mb` megabytes.
///
/// # Errors
/// When it is missing, unreadable or too large.
pub fn read_file(path: &Path, most_mb: u64) -> Result<Vec<u8>, FolderError> {
    let fault = |e: std::io::Error| FolderError::Unreadable {
        path: path.to_owned(),
        why: plain(&e),
    };
    let file = fs::File::open(path).map_err(fault)?;
    let length = file.metadata().map_err(fault)?;
    if length.is_dir() {
        return Err(FolderError::Unreadable {
            path: path.to_owned(),
            why: "it is a folder".to_owned(),
        });
    }
    if length.len() > most_mb << 20 {
        return Err(FolderError::TooLarge {
            path: path.to_owned(),
            came_mb: length.len() >> 20,
            allowed_mb: most_mb,
        });
    }
    let mut bytes = Vec::new();
    file.take((most_mb << 20) + 1)
        .read_to_end(&mut bytes)
        .map_err(fault)?;
    Ok(bytes)
}

/// Writes every file into `folder`, making it if needed: all or nothing.
///
/// # Errors
/// When the folder cannot be made or written; nothing is left behind then.
pub fn write_all(folder: &Path, files: &[(&str, &[u8])]) -> Result<(), FolderError> {
    let is_new = !folder.exists();
    let result = staged(folder, files);
    if result.is_err() && is_new {
        let _ = fs::remove_dir(folder);
    }
    result.map_err(|e| FolderError::Unwritable {
        path: folder.to_owned(),
        why: plain(&e),
    })
}

fn staged(folder: &Path, files: &[(&str, &[u8])]) -> std::io::Result<()> {
    fs::create_dir_all(folder)?;
    if let Some((name, _)) = files.iter().find(|(name, _)| folder.join(name).is_dir()) {
        return Err(std::io::Error::other(format!(
            "a folder named {name} is in the way"
        )));
    }
    let stage = folder.join(".lapwing-unfinished");
    let outcome = (|| {
        fs::create_dir_all(&stage)?;
        for (name, bytes) in files {
            fs::write(stage.join(name), bytes)?;
        }
        for (name, _) in files {
            fs::rename(stage.join(name), folder.join(name))?;
        }
        Ok(())
    })();
    let _ = fs::remove_dir_all(&stage);
    outcome
}

fn plain(error: &std::io::Error) -> String {
    match error.kind() {
        std::io::ErrorKind::NotFound => "there is no such file or folder".to_owned(),
        std::io::ErrorKind::PermissionDenied => "you may not".to_owned(),
        std::io::ErrorKind::AlreadyExists | std::io::ErrorKind::NotADirectory => {
            "a file is in the way".to_owned()
        }
        std::io::ErrorKind::StorageFull => "the disk is full".to_owned(),
        _ => error.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn files_appear_together_and_no_stage_is_left() {
        let place = tempfile::tempdir().expect("a folder");
        let out = place.path().join("out");
        write_all(&out, &[("a.txt", b"1"), ("b.txt", b"2")]).expect("written");
        let mut names: Vec<String> = fs::read_dir(&out)
            .expect("listed")
            .map(|e| e.expect("entry").file_name().to_string_lossy().into_owned())
            .collect();
        names.sort();
        assert_eq!(names, ["a.txt", "b.txt"]);
    }

    #[test]
    fn a_file_in_the_way_leaves_nothing_half_written() {
        let place = tempfile::tempdir().expect("a folder");
        let out = place.path().join("file");
        fs::write(&out, b"mine").expect("written");
        let error = write_all(&out, &[("a.txt", b"1")]).expect_err("refused");
        assert!(error.to_string().contains("cannot be written"));
        assert_eq!(fs::read(&out).expect("still there"), b"mine");
    }

    #[test]
    fn a_folder_in_the_way_of_the_second_file_leaves_no_first() {
        let place = tempfile::tempdir().expect("a folder");
        let out = place.path().join("out");
        fs::create_dir_all(out.join("b.txt")).expect("made");
        let error = write_all(&out, &[("a.txt", b"1"), ("b.txt", b"2")]).expect_err("refused");
        assert!(error.to_string().contains("b.txt is in the way"), "{error}");
        assert!(!out.join("a.txt").exists());
    }

    #[test]
    fn a_failed_second_file_leaves_no_first() {
        let place = tempfile::tempdir().expect("a folder");
        let out = place.path().join("out");
        write_all(&out, &[("a.txt", b"1"), ("no/such/place.txt", b"2")]).expect_err("refused");
        assert!(!out.exists());
    }

    #[test]
    fn a_missing_file_is_a_sentence() {
        let error = read_file(Path::new("/nowhere/job.toml"), 1).expect_err("refused");
        assert!(
            error
                .to_string()
                .starts_with("/nowhere/job.toml: cannot be read (there is no such")
        );
    }
}
