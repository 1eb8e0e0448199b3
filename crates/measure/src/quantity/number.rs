//! Reads the number at the head of what people write: "12,5", "1 500", "4e-12".
//!
//! Law: none. A point or a comma marks decimals; blanks between groups of
//! exactly three digits mark thousands; with both a comma and a point, the
//! last one marks decimals. A single comma before exactly three digits could
//! be either and is refused, unless a zero stands alone in front of it. A
//! point is a decimal point, but "1.500" with a closing zero is refused for
//! units that are counted in whole numbers (rpm, opm).
//! Holds: for ASCII digits. Outside: a fault, never a guess.
//! Left out: fractions such as 1/2, and digits of other scripts.
//! Checked by: the unit tests of [`super::parse`].

use super::error::Fault;

/// A number as written and the text behind it.
pub(crate) struct Head<'a> {
    /// Sign, digits and separators, without blanks at the ends.
    pub(crate) mantissa: &'a str,
    /// Power of ten, 0 when none is written.
    pub(crate) exponent: i32,
    /// What follows the number, trimmed.
    pub(crate) rest: &'a str,
}

/// Blanks that may stand between groups of digits.
pub(crate) fn is_blank(c: char) -> bool {
    matches!(
        c,
        ' ' | '\t' | '\u{a0}' | '\u{2007}' | '\u{2009}' | '\u{202f}'
    )
}

/// The signs a person's keyboard makes for minus.
fn is_minus(c: char) -> bool {
    matches!(c, '-' | '\u{2212}' | '\u{2013}' | '\u{2011}')
}

/// Splits a text into its number and the rest.
pub(crate) fn split(text: &str) -> Result<Head<'_>, Fault> {
    let text = text.trim_matches(|c: char| c.is_whitespace() || is_blank(c));
    if text.is_empty() {
        return Err(Fault::Empty);
    }
    let end = mantissa_end(text);
    let (mantissa, tail) = text.split_at(end);
    if !mantissa.contains(|c: char| c.is_ascii_digit()) {
        return Err(Fault::NoNumber);
    }
    let (exponent, rest) = exponent(tail)?;
    Ok(Head {
        mantissa,
        exponent,
        rest: rest.trim_matches(|c: char| c.is_whitespace() || is_blank(c)),
    })
}

/// The value of a split number. `is_counted` says that the unit is one people
/// count in whole numbers.
pub(crate) fn value(head: &Head<'_>, is_counted: bool) -> Result<f64, Fault> {
    let (sign, digits) = signed(head.mantissa);
    let plain = plain_decimal(digits, is_counted)?;
    let number: f64 = format!("{sign}{plain}e{}", head.exponent)
        .parse()
        .map_err(|_| Fault::NoNumber)?;
    let vanished = number == 0.0 && plain.contains(|c: char| ('1'..='9').contains(&c));
    if !number.is_finite() || vanished {
        return Err(Fault::OutOfRange);
    }
    Ok(number)
}

/// Where the digits, separators and group blanks end, in bytes.
fn mantissa_end(text: &str) -> usize {
    let mut end = 0;
    let mut chars = text.char_indices().peekable();
    while let Some((at, c)) = chars.next() {
        let is_part = match c {
            '0'..='9' | '.' | ',' => true,
            '+' => at == 0,
            _ if is_minus(c) => at == 0,
            // A blank belongs to the number only between two digits, or after
            // the sign.
            _ if is_blank(c) => {
                let digit_follows = chars.peek().is_some_and(|(_, n)| n.is_ascii_digit());
                digit_follows && !starts_reciprocal(&text[at..])
            }
            _ => false,
        };
        if !is_part {
            break;
        }
        end = at + c.len_utf8();
    }
    end
}

/// Whether a unit such as "1/Pa" begins here, behind its blank.
fn starts_reciprocal(text: &str) -> bool {
    text.trim_start_matches(is_blank)
        .strip_prefix('1')
        .is_some_and(|rest| rest.trim_start_matches(is_blank).starts_with('/'))
}

/// Reads "e-12", "× 10^-12" or "·10⁻¹²" when the tail begins with one.
fn exponent(tail: &str) -> Result<(i32, &str), Fault> {
    if let Some(rest) = tail.strip_prefix(['e', 'E']) {
        if let Some(found) = signed_integer(rest, char::to_digit) {
            return capped(found);
        }
        return Ok((0, tail));
    }
    let trimmed = tail.trim_start_matches(is_blank);
    let Some(rest) = trimmed.strip_prefix(['×', 'x', '·', '*']) else {
        return Ok((0, tail));
    };
    let Some(rest) = rest.trim_start_matches(is_blank).strip_prefix("10") else {
        return Ok((0, tail));
    };
    let found = match rest.strip_prefix('^') {
        Some(power) => signed_integer(power, char::to_digit),
        None => signed_integer(rest, superscript_digit),
    };
    found.map_or(Ok((0, tail)), capped)
}

/// A power of ten that no number can carry is a fault, not a wrap-around.
fn capped((power, rest): (Option<i32>, &str)) -> Result<(i32, &str), Fault> {
    power.map(|p| (p, rest)).ok_or(Fault::OutOfRange)
}

/// An optional sign and digits at the head of a text; `None` when there are
/// no digits, an inner `None` when there are too many.
fn signed_integer(text: &str, digit: fn(char, u32) -> Option<u32>) -> Option<(Option<i32>, &str)> {
    let body = text.strip_prefix(|c| is_minus(c) || c == '+' || c == '⁻' || c == '⁺');
    let is_negative = body.is_some() && !text.starts_with(['+', '⁺']);
    let body = body.unwrap_or(text);
    let end = body
        .char_indices()
        .find(|(_, c)| digit(*c, 10).is_none())
        .map_or(body.len(), |(at, _)| at);
    let (digits, rest) = body.split_at(end);
    if digits.is_empty() {
        return None;
    }
    let mut power = Some(0_i32);
    for c in digits.chars() {
        let next = digit(c, 10).and_then(|d| i32::try_from(d).ok());
        power = power
            .zip(next)
            .and_then(|(p, d)| p.checked_mul(10)?.checked_add(d));
    }
    Some((
        power
            .filter(|p| *p <= 400)
            .map(|p| if is_negative { -p } else { p }),
        rest,
    ))
}

/// The digit a superscript stands for.
fn superscript_digit(c: char, _radix: u32) -> Option<u32> {
    "⁰¹²³⁴⁵⁶⁷⁸⁹"
        .chars()
        .zip(0..)
        .find_map(|(s, d)| (s == c).then_some(d))
}

/// The sign as ASCII, and the rest of the mantissa.
fn signed(mantissa: &str) -> (&'static str, &str) {
    let body = mantissa.trim_start_matches(|c: char| is_minus(c) || c == '+');
    let sign = if mantissa.starts_with(is_minus) {
        "-"
    } else {
        ""
    };
    (sign, body.trim_matches(is_blank))
}

/// Digits with at most one point, from digits with separators.
fn plain_decimal(digits: &str, is_counted: bool) -> Result<String, Fault> {
    let commas = digits.matches(',').count();
    let points = digits.matches('.').count();
    let has_blanks = digits.contains(is_blank);
    let (whole, decimals) = match (commas, points) {
        (0, 0) => (digits, ""),
        (1, 0) => halves(digits, ','),
        (0, 1) => halves(digits, '.'),
        (_, 0) | (0, _) if !has_blanks => (digits, ""),
        (_, 1) if last_separator(digits) == Some('.') => halves(digits, '.'),
        (1, _) if last_separator(digits) == Some(',') => halves(digits, ','),
        _ => return Err(Fault::BrokenGroups),
    };
    let plain_whole = ungrouped(whole)?;
    if !decimals.chars().all(|c| c.is_ascii_digit()) {
        return Err(Fault::BrokenGroups);
    }
    let is_lone = commas + points == 1 && !has_blanks;
    let separator = if commas == 1 { ',' } else { '.' };
    if is_lone && is_two_faced(&plain_whole, decimals, separator, is_counted) {
        return Err(Fault::AmbiguousSeparator {
            whole: format!("{plain_whole}{decimals}"),
            decimal: format!("{plain_whole}.{}", shortest(decimals)),
        });
    }
    Ok(format!("{plain_whole}.{decimals}0"))
}

/// Both halves of a text around its last separator of this kind.
fn halves(digits: &str, separator: char) -> (&str, &str) {
    digits.rsplit_once(separator).unwrap_or((digits, ""))
}

/// The last point or comma in a text.
fn last_separator(digits: &str) -> Option<char> {
    digits.chars().rev().find(|c| matches!(c, '.' | ','))
}

/// Whether "1,500" could mean both 1500 and 1.5.
fn is_two_faced(whole: &str, decimals: &str, separator: char, is_counted: bool) -> bool {
    let looks_grouped =
        decimals.len() == 3 && (1..=3).contains(&whole.len()) && !whole.starts_with('0');
    looks_grouped && (separator == ',' || (is_counted && decimals.ends_with('0')))
}

/// Decimals without their closing zeros, at least one digit.
fn shortest(decimals: &str) -> &str {
    let cut = decimals.trim_end_matches('0');
    if cut.is_empty() { "0" } else { cut }
}

/// Takes the separators out of a whole number whose groups are all of three
/// digits, with one to three in front.
fn ungrouped(whole: &str) -> Result<String, Fault> {
    let is_separator = |c: char| is_blank(c) || c == ',' || c == '.';
    if !whole.contains(is_separator) {
        return Ok(if whole.is_empty() {
            "0".to_owned()
        } else {
            whole.to_owned()
        });
    }
    let groups: Vec<&str> = whole.split(is_separator).collect();
    // One kind of separator throughout; kinds of blanks count as one.
    let kinds = [
        whole.contains(is_blank),
        whole.contains(','),
        whole.contains('.'),
    ];
    let is_uniform = kinds.iter().filter(|k| **k).count() == 1;
    let is_well_formed = groups.iter().enumerate().all(|(at, group)| {
        if at == 0 {
            (1..=3).contains(&group.len()) && !group.starts_with('0')
        } else {
            group.len() == 3
        }
    });
    if is_uniform && is_well_formed {
        Ok(groups.concat())
    } else {
        Err(Fault::BrokenGroups)
    }
}
