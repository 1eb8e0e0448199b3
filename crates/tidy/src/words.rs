//! Words that must not appear anywhere in the house.
//!
//! Holds: for code, comments, documents and names of files, in any case of
//! letters. The words are built from pieces, so this page passes its own rule.
//! Left out: meaning; only spelling is compared.
//! Checked by: made-up pages that carry each word.

use crate::house::Page;

/// The refused words, in small letters.
#[must_use]
pub fn refused() -> Vec<String> {
    [
        ["trans", "cript"],
        ["seed ", "document"],
        ["seed-", "document"],
        ["seed_", "document"],
        ["work/", "shared"],
    ]
    .iter()
    .map(|pieces| pieces.concat())
    .collect()
}

/// Where a page carries a refused word, in its text or in its name.
#[must_use]
pub fn faults_in(page: &Page) -> Vec<String> {
    let mut faults = Vec::new();
    for word in refused() {
        if page.path.to_lowercase().contains(&word) {
            faults.push(format!("{}: the name carries `{word}`.", page.path));
        }
        for (index, line) in page.text.lines().enumerate() {
            if line.to_lowercase().contains(&word) {
                faults.push(format!(
                    "{}:{}: `{word}` must not appear.",
                    page.path,
                    index + 1
                ));
            }
        }
    }
    faults
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_refused_word_is_found_in_text_and_name() {
        for word in refused() {
            let told = Page::new("a.rs", &format!("//! Fine.\n// {}\n", word.to_uppercase()));
            assert_eq!(faults_in(&told).len(), 1, "{word}");
            assert_eq!(faults_in(&Page::new(&format!("{word}.rs"), "")).len(), 1);
        }
    }

    #[test]
    fn an_ordinary_page_passes() {
        let page = Page::new("crates/job/src/record/mod.rs", "//! The record of a job.\n");
        assert!(faults_in(&page).is_empty());
    }
}
