//! Reads the pages of the house from disk, in the order of their names.
//!
//! Holds: for a checkout of this repository; a folder that cannot be read is
//! an error that names it.
//! Left out: `target`, `out`, `.git` and everything else that is not source.
//! Checked by: a test that this very file is found.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::process::Command;

/// One file of the house.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Page {
    /// Path from the root of the repository, with `/` between its parts.
    pub path: String,
    /// The whole text.
    pub text: String,
}

impl Page {
    /// A page from a path and a text; tests use it for made-up pages.
    #[must_use]
    pub fn new(path: &str, text: &str) -> Self {
        Self {
            path: path.to_owned(),
            text: text.to_owned(),
        }
    }

    /// The room (crate) the page belongs to, if it lies under `crates/`.
    #[must_use]
    pub fn room(&self) -> Option<&str> {
        self.path.strip_prefix("crates/")?.split('/').next()
    }

    /// Whether the page is Rust.
    #[must_use]
    pub fn is_rust(&self) -> bool {
        has_ending(&self.path, &["rs"])
    }
}

/// The root of the repository.
#[must_use]
pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// Every text page: Rust, manifests, documents, scripts.
///
/// # Errors
/// A sentence naming the folder or file that cannot be read.
pub fn pages() -> Result<Vec<Page>, String> {
    let mut found = Vec::new();
    walk(&root(), "", &mut found)?;
    found.sort_by(|a, b| a.path.cmp(&b.path));
    Ok(found)
}

/// What cargo says about the workspace, without asking the network.
///
/// # Errors
/// A sentence with cargo's own complaint.
pub fn metadata() -> Result<serde_json::Value, String> {
    let run = Command::new(env!("CARGO"))
        .args([
            "metadata",
            "--offline",
            "--no-deps",
            "--format-version",
            "1",
        ])
        .current_dir(root())
        .output()
        .map_err(|e| format!("cargo metadata did not start: {e}."))?;
    if !run.status.success() {
        let complaint = String::from_utf8_lossy(&run.stderr);
        return Err(format!("cargo metadata failed: {complaint}"));
    }
    serde_json::from_slice(&run.stdout)
        .map_err(|e| format!("cargo metadata printed something that is not JSON: {e}."))
}

const TEXT_ENDINGS: &[&str] = &[
    "rs", "toml", "md", "py", "sh", "typ", "js", "css", "html", "csv",
];
const TEXT_NAMES: &[&str] = &["check", "run"];
const NOT_OURS: &[&str] = &["target", "out", ".git", "node_modules", "__pycache__"];

fn walk(folder: &Path, inside: &str, found: &mut Vec<Page>) -> Result<(), String> {
    let say = |e: io::Error| format!("{} cannot be read: {e}.", folder.display());
    for entry in fs::read_dir(folder).map_err(say)? {
        let entry = entry.map_err(say)?;
        let name = entry.file_name().to_string_lossy().into_owned();
        let path = join(inside, &name);
        let kind = entry.file_type().map_err(say)?;
        if kind.is_dir() {
            if !NOT_OURS.contains(&name.as_str()) {
                walk(&entry.path(), &path, found)?;
            }
        } else if kind.is_file() && is_text(&name) {
            let text = fs::read_to_string(entry.path())
                .map_err(|e| format!("{path} cannot be read as text: {e}."))?;
            found.push(Page { path, text });
        }
    }
    Ok(())
}

fn join(inside: &str, name: &str) -> String {
    if inside.is_empty() {
        name.to_owned()
    } else {
        format!("{inside}/{name}")
    }
}

fn is_text(name: &str) -> bool {
    TEXT_NAMES.contains(&name) || has_ending(name, TEXT_ENDINGS)
}

fn has_ending(path: &str, endings: &[&str]) -> bool {
    Path::new(path)
        .extension()
        .and_then(|e| e.to_str())
        .is_some_and(|e| endings.contains(&e))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_this_very_file() {
        let pages = pages().expect("the house can be read");
        let this = pages
            .iter()
            .find(|p| p.path == "crates/tidy/src/house.rs")
            .expect("this file is one of the pages");
        assert!(this.text.contains("finds_this_very_file"));
        assert_eq!(this.room(), Some("tidy"));
    }

    #[test]
    fn leaves_built_things_alone() {
        let pages = pages().expect("the house can be read");
        assert!(pages.iter().all(|p| !p.path.starts_with("target/")));
    }
}
