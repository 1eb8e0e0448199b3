//! Which names a file in a zip may have.
//!
//! Law: `job.toml`, `readings.csv` and the job's other texts, `history.json`, or `photos/` and a plain
//! name; all of them may stand in one common folder, as people zip it.
//! Holds: a name that tries to leave the folder is a fault, not a stray file.
//! Checked by: the tests below.

/// What a name in a zip stands for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Named {
    /// A text of the job folder, such as `job.toml`.
    Text(String),
    /// `history.json`.
    History,
    /// A photo, by its name without the folder.
    Photo(String),
    /// A file that is none of ours, such as a system's own notes.
    Stray(String),
    /// A folder.
    Folder,
    /// A name that plays tricks.
    Trick,
}

const MOST_NAME_BYTES: usize = 200;
const TEXTS: [&str; 6] = [
    "job.toml",
    "readings.csv",
    "after.csv",
    "work.toml",
    "history.toml",
    "record.json",
];

/// Sorts one name.
pub(super) fn sort(name: &str) -> Named {
    let is_trick = name.is_empty()
        || name.len() > MOST_NAME_BYTES
        || name.starts_with('/')
        || name
            .chars()
            .any(|c| c.is_control() || c == '\\' || c == ':')
        || name.split('/').any(|part| part == ".." || part == ".")
        || name.contains("//");
    if is_trick {
        return Named::Trick;
    }
    if name.ends_with('/') {
        return Named::Folder;
    }
    let parts: Vec<&str> = name.split('/').collect();
    match parts[..] {
        [text] | [_, text] if TEXTS.contains(&text) => Named::Text(text.to_owned()),
        [super::HISTORY] | [_, super::HISTORY] => Named::History,
        ["photos", photo] | [_, "photos", photo] if is_plain(photo) => {
            Named::Photo(photo.to_owned())
        }
        _ => Named::Stray(name.to_owned()),
    }
}

/// A name that every system can hold: no dot at its front, no odd signs.
pub(super) fn is_plain(name: &str) -> bool {
    let is_good = |c: char| c.is_alphanumeric() || matches!(c, '-' | '_' | '.' | ' ' | '(' | ')');
    !name.is_empty()
        && name.len() <= 120
        && name.chars().all(is_good)
        && !name.starts_with(['.', ' '])
        && !name.ends_with(['.', ' '])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_folders_own_names_are_known_with_and_without_a_folder_around() {
        assert_eq!(sort("job.toml"), Named::Text("job.toml".into()));
        assert_eq!(
            sort("estate/readings.csv"),
            Named::Text("readings.csv".into())
        );
        assert_eq!(sort("estate/history.json"), Named::History);
        assert_eq!(sort("a/photos/Tür 1.jpg"), Named::Photo("Tür 1.jpg".into()));
        assert_eq!(sort("photos/"), Named::Folder);
        assert_eq!(
            sort("__MACOSX/._job.toml"),
            Named::Stray("__MACOSX/._job.toml".into())
        );
        assert_eq!(
            sort("photos/.hidden"),
            Named::Stray("photos/.hidden".into())
        );
    }

    #[test]
    fn names_that_leave_the_folder_are_tricks() {
        for name in [
            "",
            "/job.toml",
            "../job.toml",
            "photos/../../x.jpg",
            "a/./job.toml",
            "photos//x.jpg",
            "photos\\x.jpg",
            "C:job.toml",
            "photos/x\0.jpg",
            "photos/x\n.jpg",
            &"x".repeat(201),
        ] {
            assert_eq!(sort(name), Named::Trick, "{name:?}");
        }
    }
}
