//! Puts into our words what is wrong with a TOML file: the same sentence for
//! every reader of one.
//!
//! Holds: for misspelt and missing keys, wrong kinds of value and broken lines.
//! What the parser says otherwise is passed on as it is.
//! Checked by: whole sentences below and in each reader's tests.

use super::InputError;
use super::read::field::{listed, suggestion};

/// The fault of a file with its place. `hint` says what the file holds.
pub(crate) fn toml_fault(
    file: &str,
    text: &str,
    error: &toml::de::Error,
    hint: &str,
) -> InputError {
    let said = error.message().trim_end().replace('\n', " ");
    let sentence = format!("{} {hint}", in_our_words(&said));
    match error.span() {
        Some(span) => InputError::at_offset(file, text, span.start, sentence.trim_end()),
        None => InputError::in_file(file, sentence.trim_end()),
    }
}

fn in_our_words(said: &str) -> String {
    let mut names = said.split('`').skip(1).step_by(2);
    let first = names.next().unwrap_or_default();
    if said.starts_with("unknown field") {
        let known: Vec<&str> = names.collect();
        return format!(
            "the key \"{first}\" is not known{} Allowed here: {}.",
            suggestion(first, &known),
            listed(&known)
        );
    }
    if said.starts_with("missing field") {
        return format!("the key \"{first}\" is missing; add it.");
    }
    if said.starts_with("duplicate key") {
        return format!("{said}; a key stands once, remove one.");
    }
    if said.starts_with("invalid type") && said.ends_with("expected a string") {
        let came = said
            .trim_start_matches("invalid type: ")
            .trim_end_matches(", expected a string")
            .replace('`', "");
        return format!(
            "{came} came where a text is wanted; write it in quotation marks, a quantity with its unit."
        );
    }
    format!("{}.", said.trim_end_matches('.'))
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde::Deserialize;

    #[derive(Debug, Deserialize)]
    #[serde(deny_unknown_fields)]
    struct Pass {
        #[expect(dead_code, reason = "only read to be refused")]
        substrate: String,
        #[expect(dead_code, reason = "only read to be refused")]
        passes: Option<f64>,
    }

    fn says(text: &str) -> String {
        let error = toml::from_str::<Pass>(text).expect_err("refused");
        toml_fault("a.toml", text, &error, "A pass has a substrate.").to_string()
    }

    #[test]
    fn a_misspelt_key_gets_the_nearest_one() {
        assert_eq!(
            says("substrat = \"steel\"\n"),
            "a.toml, line 1, column 1: the key \"substrat\" is not known; did you mean \
             \"substrate\"? Allowed here: substrate, passes. A pass has a substrate."
        );
    }

    #[test]
    fn a_missing_key_and_a_bare_number_are_told() {
        assert!(says("passes = 4\n").contains("the key \"substrate\" is missing; add it."));
        let bare = says("substrate = 5\n");
        assert!(bare.contains("line 1, column 13"), "{bare}");
        assert!(
            bare.contains("integer 5 came where a text is wanted"),
            "{bare}"
        );
    }

    #[test]
    fn a_broken_line_keeps_the_parsers_words_and_its_place() {
        let broken = says("substrate = \"steel\n");
        assert!(broken.starts_with("a.toml, line 1"), "{broken}");
        assert!(broken.ends_with("A pass has a substrate."), "{broken}");
    }
}
