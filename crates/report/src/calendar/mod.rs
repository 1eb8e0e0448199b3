//! The care of a car as a calendar file for the owner's phone.
//!
//! Law: lines end in CR LF and are folded at 75 octets, never inside a sign;
//! `\`, `;`, `,` and line breaks in texts are escaped.
//! Source: RFC 5545 sections 3.1 (folding), 3.3.11 (texts), 3.6.1 (events),
//! 3.8.5.3 (repeats).
//! Holds: for whole days. Left out: alarms; the owner's calendar has its own.
//! Checked by: the RFC's own folding and escaping rules below, and Python's
//! `icalendar` reading the example's file (`validation/reference/calendar_file.py`).

mod day;

pub use day::Day;

use lapwing_job::handover::record::{Care, Handed};

/// Octets of a line, its end left out.
const MOST_OCTETS: usize = 75;
/// Repeats are written for a year.
const A_YEAR_DAYS: u32 = 365;

/// The calendar file. `from` is the day of the hand-over, `seal` the record's
/// hash, `stamp` the moment of writing as "20261125T101500Z".
#[must_use]
pub fn care_calendar(handed: &Handed, from: Day, (seal, stamp): (&str, &str)) -> String {
    let mut out = Lines::default();
    out.line("BEGIN:VCALENDAR");
    out.line("VERSION:2.0");
    out.line("PRODID:-//Lapwing//Care of a car//EN");
    out.line("CALSCALE:GREGORIAN");
    for care in &handed.care {
        event(&mut out, handed, care, (from, seal, stamp));
    }
    out.line("END:VCALENDAR");
    out.text
}

fn event(out: &mut Lines, handed: &Handed, care: &Care, (from, seal, stamp): (Day, &str, &str)) {
    let days = i64::from(care.after_days);
    let (Some(first), Some(next)) = (from.later(days), from.later(days + 1)) else {
        return;
    };
    let mark: String = seal.chars().take(32).collect();
    out.line("BEGIN:VEVENT");
    out.line(&format!("UID:{mark}-{}", care.name));
    out.line(&format!("DTSTAMP:{stamp}"));
    out.line(&format!("DTSTART;VALUE=DATE:{}", first.basic()));
    out.line(&format!("DTEND;VALUE=DATE:{}", next.basic()));
    if let Some(every) = care.every_days.filter(|e| *e > 0) {
        let count = (A_YEAR_DAYS / every).max(1);
        out.line(&format!("RRULE:FREQ=DAILY;INTERVAL={every};COUNT={count}"));
    }
    out.line(&format!("SUMMARY:{}", escaped(&care.what)));
    out.line(&format!(
        "DESCRIPTION:{}",
        escaped(&format!(
            "{}\n{}: {}\nRecord {mark}",
            care.why, handed.job, handed.car.description
        ))
    ));
    out.line("TRANSP:TRANSPARENT");
    out.line("END:VEVENT");
}

/// A text value, RFC 5545 section 3.3.11. Control signs are left out.
fn escaped(text: &str) -> String {
    let mut out = String::new();
    for letter in text.chars() {
        match letter {
            '\\' | ';' | ',' => {
                out.push('\\');
                out.push(letter);
            }
            '\n' => out.push_str("\\n"),
            c if c.is_control() => {}
            c => out.push(c),
        }
    }
    out
}

#[derive(Default)]
struct Lines {
    text: String,
}

impl Lines {
    fn line(&mut self, line: &str) {
        let mut octets = 0;
        for letter in line.chars() {
            if octets + letter.len_utf8() > MOST_OCTETS {
                self.text.push_str("\r\n ");
                octets = 1;
            }
            self.text.push(letter);
            octets += letter.len_utf8();
        }
        self.text.push_str("\r\n");
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn texts_are_escaped_as_rfc_5545_says() {
        // Section 3.3.11 asks for \\, \;, \, and \n.
        assert_eq!(escaped("a\\b;c,d\ne\rf\u{7}"), "a\\\\b\\;c\\,d\\nef");
        assert_eq!(escaped("colon: \"quoted\""), "colon: \"quoted\"");
    }

    #[test]
    fn lines_are_folded_at_75_octets_and_never_inside_a_sign() {
        for long in [
            "x".repeat(400),
            "ü".repeat(200),
            "a€".repeat(90),
            "\u{1f697}".repeat(60),
        ] {
            let mut lines = Lines::default();
            lines.line(&format!("SUMMARY:{long}"));
            assert!(lines.text.ends_with("\r\n"));
            for line in lines.text.trim_end_matches("\r\n").split("\r\n") {
                assert!(line.len() <= MOST_OCTETS, "{}", line.len());
            }
            // Section 3.1: unfolding removes CR LF and the space after it.
            let back = lines.text.trim_end_matches("\r\n").replace("\r\n ", "");
            assert_eq!(back, format!("SUMMARY:{long}"));
        }
    }
}
