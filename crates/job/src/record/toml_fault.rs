//! Puts into our words what is wrong with a TOML file: the same sentence for
//! every reader of one.
//!
//! Holds: for misspelt and missing keys, wrong kinds of value and broken lines.
//! What the parser says otherwise is passed on as it is.
//! Checked by: whole sentences below and in each reader's tests.

use super::InputError;
use super::file_kind::FileKind;
use super::read::field::{listed, suggestion};

/// The fault of a file with its place. `wanted` is the kind of file that is
/// read, `hint` says what it holds.
pub(crate) fn toml_fault(
    (file, text): (&str, &str),
    error: &toml::de::Error,
    wanted: FileKind,
    hint: &str,
) -> InputError {
    if let Some(instead) = wanted.other(text) {
        return InputError::in_file(file, format!("{instead} {hint}"));
    }
    let said = error.message().trim_end().replace('\n', " ");
    let came = error.span().map_or("", |span| came_at(text, span.start));
    let key = error
        .span()
        .filter(|_| said.starts_with("invalid"))
        .and_then(|span| key_before(text, span.start));
    let sentence = format!(
        "{}{} {hint}",
        key.map_or_else(String::new, |key| format!("{key}: ")),
        in_our_words(&said, came)
    );
    match error.span() {
        Some(span) => InputError::at_offset(file, text, span.start, sentence.trim_end()),
        None => InputError::in_file(file, sentence.trim_end()),
    }
}

/// The key whose value begins at a place.
fn key_before(text: &str, at: usize) -> Option<&str> {
    let line = text.get(..at)?.lines().last()?;
    let (before, _) = line.rsplit_once('=')?;
    let key = before.rsplit(['{', ',']).next()?.trim();
    let is_plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '_' | '.' | '-');
    (!key.is_empty() && key.chars().all(is_plain)).then_some(key)
}

/// What stands in the file at a place, up to the end of its line or its value.
fn came_at(text: &str, at: usize) -> &str {
    const MOST: usize = 24;
    let rest = text.get(at..).unwrap_or("");
    let line = rest.lines().next().unwrap_or("");
    let value = line.split([',', '#', ']', '}']).next().unwrap_or("").trim();
    let end = value
        .char_indices()
        .nth(MOST)
        .map_or(value.len(), |(at, _)| at);
    &value[..end]
}

/// What was wanted, and how to write it.
const WANTED: [(&str, &str); 8] = [
    (
        "a string",
        "a text is wanted; write it in quotation marks, a quantity with its unit",
    ),
    (
        "i64",
        "a whole number is wanted; write it with digits only, without quotation marks",
    ),
    (
        "u32",
        "a whole number is wanted; write it with digits only, without quotation marks",
    ),
    (
        "u64",
        "a whole number is wanted; write it with digits only, without quotation marks",
    ),
    (
        "f64",
        "a number is wanted; write it without quotation marks, with a decimal point",
    ),
    (
        "a boolean",
        "yes or no is wanted; write true or false, without quotation marks",
    ),
    (
        "a sequence",
        "a list is wanted; write its entries in square brackets with commas between",
    ),
    (
        "struct",
        "a table is wanted; write its name in square brackets and its keys below",
    ),
];

/// Whether a bare date stands there, such as 2026-11-26.
fn is_date(came: &str) -> bool {
    let parts: Vec<&str> = came.split('-').collect();
    let is_digits = |part: &&str, most: usize| {
        (1..=most).contains(&part.len()) && part.bytes().all(|b| b.is_ascii_digit())
    };
    matches!(&parts[..], [year, month, day]
        if is_digits(year, 4) && is_digits(month, 2) && is_digits(day, 2))
}

fn in_our_words(said: &str, came: &str) -> String {
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
    let kind = ["invalid type: ", "invalid value: "]
        .iter()
        .find_map(|head| said.strip_prefix(head));
    if let Some((kind, expected)) = kind.and_then(|kind| kind.split_once(", expected ")) {
        let kind = kind.replace('`', "").replace(" as i128", "");
        let kind = kind
            .replace("floating point", "the number")
            .replace("integer", "the number");
        let kind = kind
            .replace("string", "the text")
            .replace("sequence", "a list");
        let kind = kind
            .replace("boolean", "the word")
            .replace("map", "a table");
        if kind == "a table" && is_date(came) {
            return format!("a date must stand in quotation marks; write \"{came}\".");
        }
        if let Some((_, words)) = WANTED.iter().find(|(sign, _)| expected.starts_with(sign)) {
            return format!("{kind} came where {words}.");
        }
    }
    if said.contains("overflow") {
        return format!(
            "{came} is too large for a number; allowed is up to 15 digits. Write a smaller one."
        );
    }
    if said.starts_with("key with no value") {
        return "a key stands here without a value. Write key = value.".to_owned();
    }
    if came.is_empty() {
        return "the value is missing here, or its quotation marks or brackets are not closed. Write a number, or a text in quotation marks."
            .to_owned();
    }
    format!(
        "\"{came}\" cannot be read here ({}). Write a number, a text in quotation marks, or a list in square brackets.",
        said.trim_end_matches('.').replace('`', "")
    )
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
        toml_fault(
            ("a.toml", text),
            &error,
            FileKind::Setup,
            "A pass has a substrate.",
        )
        .to_string()
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
            bare.contains("the number 5 came where a text is wanted"),
            "{bare}"
        );
    }

    #[test]
    fn a_parsers_own_words_are_put_into_ours() {
        let says = |text: &str| {
            #[derive(Debug, Deserialize)]
            #[serde(deny_unknown_fields)]
            struct Counted {
                #[expect(dead_code, reason = "only read to be refused")]
                passes: i64,
            }
            let error = toml::from_str::<Counted>(text).expect_err("refused");
            toml_fault(("a.toml", text), &error, FileKind::Setup, "").to_string()
        };
        for (line, told) in [
            (
                "passes = 2.5\n",
                "the number 2.5 came where a whole number is wanted",
            ),
            (
                "passes = \"4\"\n",
                "the text \"4\" came where a whole number is wanted",
            ),
            ("passes = 1e999\n", "1e999 is too large for a number"),
            ("passes = 99999999999999999999\n", "99999999999999999999"),
            ("passes\n", "a key stands here without a value"),
            ("passes = \n", "the value is missing here"),
            (
                "passes = \"4\n",
                "its quotation marks or brackets are not closed",
            ),
            ("passes = four\n", "\"four\" cannot be read here"),
        ] {
            let said = says(line);
            assert!(said.contains(told), "{line}: {said}");
            for word in ["i64", "i128", "overflow", "invalid type"] {
                assert!(!said.contains(word), "{line}: {said}");
            }
        }
    }

    #[test]
    fn a_bare_date_is_asked_for_in_quotation_marks() {
        let said = says("substrate = 2026-11-26\n");
        assert!(
            said.contains("a date must stand in quotation marks; write \"2026-11-26\""),
            "{said}"
        );
    }

    #[test]
    fn a_file_of_another_kind_is_named_with_the_command_that_takes_it() {
        let said = says("schema = 1\n[car]\nclass = \"estate\"\n[[panel]]\n");
        assert!(said.contains("this looks like a job"), "{said}");
        assert!(said.contains("`lapwing plan DIR`"), "{said}");
        assert!(said.ends_with("A pass has a substrate."), "{said}");
    }

    #[test]
    fn a_broken_line_keeps_the_parsers_words_and_its_place() {
        let broken = says("substrate = \"steel\n");
        assert!(broken.starts_with("a.toml, line 1"), "{broken}");
        assert!(broken.ends_with("A pass has a substrate."), "{broken}");
    }
}
