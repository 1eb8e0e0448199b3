//! Every publication in the list must be used, or it is only decoration.
//!
//! Holds: for the variants in `crates/measure/src/source.rs`. A use is the text
//! `Source::Name` in code or in a header of any other file under `crates/`.
//! Left out: whether the publication says what we say it does.
//! Checked by: a made-up list with one used and one unused entry.

use crate::house::Page;
use crate::scan::{code_only, has_word, leading_name};

/// Where the list lies.
pub const LIST: &str = "crates/measure/src/source.rs";

/// The names of the publications in the list.
#[must_use]
pub fn names(list: &str) -> Vec<String> {
    code_only(list)
        .lines()
        .map(str::trim)
        .filter(|line| line.contains("=>"))
        .filter_map(|line| {
            let name = leading_name(line);
            let follows = line[name.len()..].trim_start().starts_with("=>");
            let is_variant = name.starts_with(|c: char| c.is_ascii_uppercase());
            (follows && is_variant).then(|| name.to_owned())
        })
        .collect()
}

/// Publications that no page but the list names.
#[must_use]
pub fn faults_in(pages: &[Page]) -> Vec<String> {
    let Some(list) = pages.iter().find(|p| p.path == LIST) else {
        return vec![format!("{LIST} is missing; the literature has no list.")];
    };
    let names = names(&list.text);
    if names.is_empty() {
        return vec![format!(
            "{LIST} lists no publication that this rule can read."
        )];
    }
    let readers: Vec<&Page> = pages
        .iter()
        .filter(|p| p.is_rust() && p.path != LIST && p.room().is_some_and(|r| r != "tidy"))
        .collect();
    names
        .iter()
        .filter(|name| {
            let call = format!("Source::{name}");
            !readers.iter().any(|page| has_word(&page.text, &call))
        })
        .map(|name| format!("`Source::{name}` is in the list, but nothing uses it."))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    const MADE_UP: &str = "literature! {\n    /// One.\n    One1901 => \"A\", \"B\", 1901;\n    /// Two.\n    Two1902 => \"A\", \"B => C\", 1902;\n}\n";

    #[test]
    fn the_names_are_read_from_the_list() {
        assert_eq!(names(MADE_UP), ["One1901", "Two1902"]);
    }

    #[test]
    fn an_unused_publication_is_named() {
        let list = Page::new(LIST, MADE_UP);
        let reader = Page::new("crates/physics/src/lib.rs", "f(Source::One1901);");
        assert_eq!(
            faults_in(&[list, reader]),
            ["`Source::Two1902` is in the list, but nothing uses it."]
        );
    }

    #[test]
    fn a_house_without_a_list_or_with_an_unreadable_one_fails() {
        assert_eq!(faults_in(&[]).len(), 1);
        assert_eq!(faults_in(&[Page::new(LIST, "//! Nothing here.")]).len(), 1);
    }
}
