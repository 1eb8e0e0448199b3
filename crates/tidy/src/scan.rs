//! Leaves only the code of a Rust page: comments and quoted text are blanked.
//!
//! Holds: for Rust that compiles; line numbers stay what they were.
//! Left out: macros are not expanded and names are not resolved.
//! Checked by: made-up pages with every kind of comment and quotation.

/// The page with comments, strings and character literals taken out.
/// Newlines stay, so that line numbers stay true.
#[must_use]
pub fn code_only(text: &str) -> String {
    let chars: Vec<char> = text.chars().collect();
    let mut code = String::with_capacity(text.len());
    let mut at = 0;
    while at < chars.len() {
        let end = end_of_hidden(&chars, at).min(chars.len());
        if end > at {
            code.push(' ');
            code.extend(chars[at..end].iter().filter(|c| **c == '\n'));
            at = end;
        } else {
            code.push(chars[at]);
            at += 1;
        }
    }
    code
}

/// Line numbers (from 1) on which `wanted` stands in `text`.
#[must_use]
pub fn lines_with(text: &str, wanted: &str) -> Vec<usize> {
    text.lines()
        .enumerate()
        .filter(|(_, line)| line.contains(wanted))
        .map(|(index, _)| index + 1)
        .collect()
}

/// The identifier that `text` begins with; empty if there is none.
#[must_use]
pub fn leading_name(text: &str) -> &str {
    let end = text
        .find(|c: char| !c.is_alphanumeric() && c != '_')
        .unwrap_or(text.len());
    &text[..end]
}

/// Whether `wanted` stands in `text` as a whole word.
#[must_use]
pub fn has_word(text: &str, wanted: &str) -> bool {
    let is_part = |c: char| c.is_alphanumeric() || c == '_';
    text.match_indices(wanted).any(|(at, _)| {
        !text[..at].ends_with(is_part) && !text[at + wanted.len()..].starts_with(is_part)
    })
}

/// Where the comment or quotation that begins at `at` ends; `at` if none begins.
fn end_of_hidden(chars: &[char], at: usize) -> usize {
    let next = chars.get(at + 1).copied();
    match chars[at] {
        '/' if next == Some('/') => line_end(chars, at),
        '/' if next == Some('*') => block_end(chars, at),
        '"' => quote_end(chars, at + 1, '"'),
        'r' => raw_end(chars, at),
        '\'' if next == Some('\\') => quote_end(chars, at + 1, '\''),
        '\'' if chars.get(at + 2) == Some(&'\'') => at + 3,
        _ => at,
    }
}

fn line_end(chars: &[char], at: usize) -> usize {
    chars[at..]
        .iter()
        .position(|c| *c == '\n')
        .map_or(chars.len(), |n| at + n)
}

fn block_end(chars: &[char], start: usize) -> usize {
    let mut depth = 0;
    let mut at = start;
    while at + 1 < chars.len() {
        match (chars[at], chars[at + 1]) {
            ('/', '*') => depth += 1,
            ('*', '/') => depth -= 1,
            _ => {
                at += 1;
                continue;
            }
        }
        at += 2;
        if depth == 0 {
            return at;
        }
    }
    chars.len()
}

fn quote_end(chars: &[char], start: usize, mark: char) -> usize {
    let mut at = start;
    while at < chars.len() {
        match chars[at] {
            '\\' => at += 2,
            c if c == mark => return at + 1,
            _ => at += 1,
        }
    }
    chars.len()
}

fn raw_end(chars: &[char], at: usize) -> usize {
    let hashes = chars[at + 1..].iter().take_while(|c| **c == '#').count();
    let open = at + 1 + hashes;
    if chars.get(open) != Some(&'"') {
        return at;
    }
    let mut from = open + 1;
    while let Some(step) = chars[from..].iter().position(|c| *c == '"') {
        from += step + 1;
        let closing = chars[from..].iter().take(hashes);
        if closing.filter(|c| **c == '#').count() == hashes {
            return from + hashes;
        }
    }
    chars.len()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn comments_and_quotations_are_blanked_and_lines_stay() {
        let page = "let a = \"x // y\"; // gone\n/* gone /* deep */\n gone */ let b = 'q';\nlet c = r#\"gone \" gone\"#;\n";
        let code = code_only(page);
        assert!(!code.contains("gone") && !code.contains('q') && !code.contains("x //"));
        assert!(code.contains("let a") && code.contains("let b") && code.contains("let c"));
        assert_eq!(code.lines().count(), page.lines().count());
        assert_eq!(lines_with(&code, "let c"), vec![4]);
    }

    #[test]
    fn lifetimes_and_escapes_do_not_open_a_quotation() {
        let page = "fn f<'a>(x: &'a str) { g('\\'', '\"', \"\\\"\"); seen() }";
        assert!(code_only(page).contains("seen()"));
        assert!(code_only(page).contains("'a str"));
    }

    #[test]
    fn unfinished_quotations_end_with_the_page() {
        for page in ["\"abc", "/* abc", "r#\"abc\"", "'\\", "//", "r"] {
            assert!(!code_only(page).contains("abc"), "{page}");
        }
    }

    #[test]
    fn a_word_is_not_found_inside_a_longer_word() {
        assert!(has_word("Source::Rosner1983)", "Source::Rosner1983"));
        assert!(!has_word("Source::Rosner1983b", "Source::Rosner1983"));
        assert!(!has_word("MySource::Rosner1983", "Source::Rosner1983"));
    }
}
