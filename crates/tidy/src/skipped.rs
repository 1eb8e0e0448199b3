//! No test is switched off: a wrong result is asserted and explained instead.
//!
//! Holds: for `#[ignore]`, with or without a condition, and for doc examples
//! marked `ignore`.
//! Left out: a test that asserts nothing; only a reader sees that.
//! Checked by: made-up pages with each kind of switched-off test.

use crate::house::Page;
use crate::scan::{code_only, has_word};

/// Where a page switches a test off.
#[must_use]
pub fn faults_in(page: &Page) -> Vec<String> {
    let code = code_only(&page.text);
    let switched_off = code.lines().map(is_ignored_test);
    let doc_examples = page.text.lines().map(is_ignored_example);
    switched_off
        .zip(doc_examples)
        .enumerate()
        .filter(|(_, (test, example))| *test || *example)
        .map(|(index, _)| {
            format!(
                "{}:{}: a test is switched off; assert the wrong result and say why it is wrong.",
                page.path,
                index + 1
            )
        })
        .collect()
}

fn is_ignored_test(line: &str) -> bool {
    line.trim_start().starts_with("#[") && has_word(line, "ignore")
}

fn is_ignored_example(line: &str) -> bool {
    let line = line.trim_start();
    let is_doc = line.starts_with("//!") || line.starts_with("///");
    is_doc && line.contains("```") && has_word(line, "ignore")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_way_to_switch_a_test_off_is_found() {
        for line in [
            "#[ignore]",
            "    #[ignore = \"slow\"]",
            "#[cfg_attr(debug_assertions, ignore)]",
            "/// ```ignore",
            "//! ```rust,ignore",
        ] {
            let page = Page::new("crates/job/src/lib.rs", &format!("\n{line}\nfn f() {{}}\n"));
            assert_eq!(faults_in(&page).len(), 1, "{line}");
        }
    }

    #[test]
    fn talk_of_ignoring_is_free() {
        let page = Page::new(
            "a.rs",
            "// #[ignore]\n/// We ignore rain.\nlet ignore = 1;\n",
        );
        assert!(faults_in(&page).is_empty());
    }
}
