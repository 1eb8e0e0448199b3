//! The day of a trial: any words will do, but a day written in figures must be
//! in the calendar.
//!
//! Law: the Gregorian calendar; a year divisible by 4 has a leap day, of whole
//! centuries only those divisible by 400.
//! Source: ISO 8601:2004 section 3.2.1 and 4.1.2.2 (from memory).
//! Holds: for "2025-05-12"; every other wording is kept as it came.
//! Left out: other calendars.
//! Checked by: the tests below.

/// Whether words are no date in figures, or one that exists.
pub(super) fn may_stand(words: &str) -> bool {
    let parts: Vec<&str> = words.trim().split('-').collect();
    let [year, month, day] = parts[..] else {
        return true;
    };
    let is_written = |part: &str, digits: usize| {
        part.len() == digits && part.bytes().all(|b| b.is_ascii_digit())
    };
    if !(is_written(year, 4) && is_written(month, 2) && is_written(day, 2)) {
        return true;
    }
    let number = |part: &str| part.parse::<u32>().unwrap_or(0);
    let (year, month, day) = (number(year), number(month), number(day));
    let is_leap = year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400));
    let days = match month {
        2 if is_leap => 29,
        2 => 28,
        4 | 6 | 9 | 11 => 30,
        1..=12 => 31,
        _ => 0,
    };
    year > 0 && (1..=days).contains(&day)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_days_of_the_calendar_pass_in_figures() {
        for good in [
            "2025-05-12",
            "2024-02-29",
            "2000-02-29",
            "12 May",
            "spring",
            "12-05-25",
        ] {
            assert!(may_stand(good), "{good}");
        }
        for bad in [
            "2025-13-45",
            "2025-02-29",
            "1900-02-29",
            "2025-00-10",
            "2025-04-31",
            "0000-01-01",
        ] {
            assert!(!may_stand(bad), "{bad}");
        }
    }
}
