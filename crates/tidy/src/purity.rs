//! Keeps the clock, the disk and the screen out of the rooms that compute.
//!
//! Holds: for all code under `src` of the pure rooms, its tests included; the
//! same job gives the same numbers on any machine.
//! Left out: comments and quoted text; a doc example may print.
//! Checked by: made-up pages that reach for each forbidden thing.

use crate::house::Page;
use crate::scan::{code_only, lines_with};

/// The rooms that read no file and no clock, and print nothing.
pub const PURE: &[&str] = &["measure", "physics", "photo", "job", "report"];

const FORBIDDEN: &[(&str, &str)] = &[
    ("std::fs", "reads or writes files"),
    ("fs::read", "reads files"),
    ("fs::write", "writes files"),
    ("File::open", "reads files"),
    ("File::create", "writes files"),
    ("SystemTime", "reads the clock"),
    ("Instant::now", "reads the clock"),
    ("std::env", "reads the environment"),
    ("print!", "prints"),
    ("println!", "prints"),
    ("dbg!", "prints"),
    ("thread_rng", "throws unseeded dice"),
    ("from_entropy", "throws unseeded dice"),
    ("from_os_rng", "throws unseeded dice"),
];

/// Where a page of a pure room reaches outside.
#[must_use]
pub fn faults_in(page: &Page) -> Vec<String> {
    let Some(room) = page.room().filter(|room| PURE.contains(room)) else {
        return Vec::new();
    };
    if !page.path.contains("/src/") || !page.is_rust() {
        return Vec::new();
    }
    let code = code_only(&page.text);
    let mut faults = Vec::new();
    for (forbidden, deed) in FORBIDDEN {
        for line in lines_with(&code, forbidden) {
            faults.push(format!(
                "{}:{line}: `{forbidden}` {deed}; room `{room}` is pure, so do it in `app` or `store`.",
                page.path
            ));
        }
    }
    faults
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_forbidden_thing_is_found_in_every_pure_room() {
        for room in PURE {
            for (forbidden, _) in FORBIDDEN {
                let path = format!("crates/{room}/src/lib.rs");
                let page = Page::new(&path, &format!("//! A page.\nlet x = {forbidden};\n"));
                let faults = faults_in(&page);
                let place = format!("{path}:2: `{forbidden}`");
                assert!(faults.iter().any(|f| f.starts_with(&place)), "{faults:?}");
            }
        }
    }

    #[test]
    fn talk_and_other_rooms_are_free() {
        let talk = Page::new("crates/job/src/lib.rs", "// println! and std::fs\n");
        assert!(faults_in(&talk).is_empty());
        let app = Page::new("crates/app/src/lib.rs", "println!(\"done\");");
        assert!(faults_in(&app).is_empty());
    }
}
