//! Makes any string safe to print: no control signs, and very long words may break.
//!
//! Law: none. A word longer than 18 signs may break after every eighth sign, by a space of no width.
//! Source: the Unicode Standard, chapter 23 (control codes U+0000–001F and U+007F–009F; directional
//! formatting U+202A–202E and U+2066–2069; zero width space U+200B).
//! Holds: for every string in the data; the keys are left alone.
//! Left out: hyphens in broken words, because a broken part number must not gain a sign.
//! Checked by: the tests below, by hand.

use serde_json::Value;

const LONGEST_WORD: usize = 18;
const BREAK_EVERY: usize = 8;
const BREAK: char = '\u{200b}';

/// The same value with every string made safe to print.
pub(crate) fn printable(value: &Value) -> Value {
    match value {
        Value::String(text) => Value::String(printable_text(text)),
        Value::Array(items) => items.iter().map(printable).collect(),
        Value::Object(map) => map
            .iter()
            .map(|(key, item)| (key.clone(), printable(item)))
            .collect(),
        other => other.clone(),
    }
}

fn printable_text(text: &str) -> String {
    let clean: String = text.chars().filter_map(printable_sign).collect();
    clean
        .split_inclusive([' ', '\u{a0}'])
        .map(breakable_word)
        .collect::<String>()
}

fn printable_sign(sign: char) -> Option<char> {
    match sign {
        '\u{200b}' | '\u{200e}' | '\u{200f}' => None,
        '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' => None,
        // The narrow no-break space is not in the font; the wide one is.
        '\u{202f}' => Some('\u{a0}'),
        sign if sign.is_control() => Some(' '),
        sign => Some(sign),
    }
}

fn breakable_word(word: &str) -> String {
    if word.trim_end().chars().count() <= LONGEST_WORD {
        return word.to_owned();
    }
    let mut out = String::with_capacity(word.len() * 2);
    for (place, sign) in word.chars().enumerate() {
        if place > 0 && place % BREAK_EVERY == 0 {
            out.push(BREAK);
        }
        out.push(sign);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn leaves_ordinary_text_alone() {
        let text = "Left front wing, 4\u{a0}300 µm <#set> \"quoted\"";
        assert_eq!(printable_text(text), text);
    }

    #[test]
    fn breaks_a_word_of_nineteen_signs_but_not_one_of_eighteen() {
        assert_eq!(printable_text(&"a".repeat(18)), "a".repeat(18));
        assert_eq!(
            printable_text(&"a".repeat(19)),
            "aaaaaaaa\u{200b}aaaaaaaa\u{200b}aaa"
        );
    }

    #[test]
    fn drops_control_signs_and_reversed_writing() {
        assert_eq!(printable_text("a\u{0}b\nc\u{202e}d"), "a b cd");
    }

    #[test]
    fn reaches_strings_at_any_depth_and_keeps_the_rest() {
        let value = json!({"a": [1, null, {"b\n": "c\td"}], "e": true});
        assert_eq!(
            printable(&value),
            json!({"a": [1, null, {"b\n": "c d"}], "e": true})
        );
    }
}
