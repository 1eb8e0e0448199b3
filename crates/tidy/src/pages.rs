//! How a file looks from outside: its header, its length and its name.
//!
//! Holds: for every Rust file under `crates/`, `benches/` and `examples/`; an
//! empty file passes under `benches/` and `examples/` only.
//! Left out: whether a header is true. That is for a reader.
//! Checked by: made-up pages that break each rule.

use crate::house::Page;

/// Most lines a Rust file may have.
pub const MOST_LINES: usize = 600;

/// Most lines the README may have.
pub const MOST_README_LINES: usize = 150;

/// Names that say nothing; no file or folder with code carries one.
pub const EMPTY_NAMES: &[&str] = &[
    "util",
    "utils",
    "helper",
    "helpers",
    "common",
    "misc",
    "core",
    "manager",
    "service",
    "engine",
    "processor",
];

const FEWEST_HEADER_WORDS: usize = 3;

/// What the first line of a page breaks.
#[must_use]
pub fn header_fault(page: &Page) -> Option<String> {
    let may_be_empty = page.room().is_none();
    if may_be_empty && page.text.trim().is_empty() {
        return None;
    }
    let first = page.text.lines().next().unwrap_or_default();
    let Some(sentence) = first.strip_prefix("//!") else {
        return Some(format!(
            "{}: the first line is not a `//!` header; say what the file answers.",
            page.path
        ));
    };
    let words = sentence.split_whitespace().count();
    (words < FEWEST_HEADER_WORDS).then(|| {
        format!(
            "{}: the header `{first}` is no sentence; say what the file answers.",
            page.path
        )
    })
}

/// What the length of a page breaks.
#[must_use]
pub fn length_fault(page: &Page) -> Option<String> {
    let lines = page.text.lines().count();
    let most = if page.path == "README.md" {
        MOST_README_LINES
    } else if page.is_rust() {
        MOST_LINES
    } else {
        return None;
    };
    (lines > most).then(|| format!("{}: {lines} lines; {most} is the most.", page.path))
}

/// What the name of a page breaks: a word that would fit anything.
#[must_use]
pub fn name_fault(page: &Page) -> Option<String> {
    let stem = page
        .path
        .rsplit_once('.')
        .map_or(page.path.as_str(), |(s, _)| s);
    stem.split(['/', '_', '-', '.'])
        .find(|part| EMPTY_NAMES.contains(&part.to_lowercase().as_str()))
        .map(|part| {
            format!(
                "{}: `{part}` would fit anything; name the question of the trade.",
                page.path
            )
        })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_header_is_a_sentence_on_the_first_line() {
        let good = Page::new("crates/job/src/lib.rs", "//! The stations of a job.\n");
        assert_eq!(header_fault(&good), None);
        for text in [
            "use std::f64;\n",
            "\n//! Too late a header.\n",
            "//! tbd\n",
            "",
        ] {
            let bad = Page::new("crates/job/src/lib.rs", text);
            assert!(header_fault(&bad).is_some(), "{text}");
        }
    }

    #[test]
    fn an_empty_bench_passes_and_a_full_one_needs_a_header() {
        assert_eq!(header_fault(&Page::new("benches/heat.rs", "")), None);
        assert!(header_fault(&Page::new("benches/heat.rs", "fn main() {}")).is_some());
    }

    #[test]
    fn the_six_hundredth_line_passes_and_the_next_fails() {
        let page = |lines: usize| Page::new("crates/job/src/lib.rs", &"x\n".repeat(lines));
        assert_eq!(length_fault(&page(600)), None);
        assert!(length_fault(&page(601)).is_some());
        assert!(length_fault(&Page::new("README.md", &"x\n".repeat(151))).is_some());
        assert_eq!(
            length_fault(&Page::new("Cargo.lock", &"x\n".repeat(900))),
            None
        );
    }

    #[test]
    fn names_that_fit_anything_are_refused_as_whole_words_only() {
        for path in [
            "crates/job/src/utils.rs",
            "crates/job/src/film_helpers.rs",
            "crates/core/src/lib.rs",
        ] {
            assert!(name_fault(&Page::new(path, "")).is_some(), "{path}");
        }
        assert_eq!(name_fault(&Page::new("crates/job/src/score.rs", "")), None);
    }
}
