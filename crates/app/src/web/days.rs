//! Milliseconds since 1970 as a date people read.
//!
//! Law: the calendar of `lapwing_report::calendar::Day`.
//! Holds: in UTC, for years 1 to 9999. Left out: the shop's own hours; a date
//! may be a day off around midnight.
//! Checked by: dates with known day numbers in the tests below.

use lapwing_report::calendar::Day;

use super::visitor::Visitor;
use super::words::Language;

const DAY_MS: i64 = 86_400_000;

/// The date as the language writes it; empty outside the calendar.
pub(crate) fn date(visitor: &Visitor, ms: i64) -> String {
    let Some(day) = Day::since_1970(ms.div_euclid(DAY_MS)) else {
        return String::new();
    };
    of_day(visitor, day)
}

/// A day as the language writes it.
pub(crate) fn of_day(visitor: &Visitor, day: Day) -> String {
    match visitor.language {
        Language::English => day.spoken(),
        Language::German => {
            let (year, month, day) = day.parts();
            format!("{day:02}.{month:02}.{year}")
        }
    }
}

/// Date and time of day in UTC; empty outside the calendar.
pub(crate) fn moment(visitor: &Visitor, ms: i64) -> String {
    let minutes = ms.rem_euclid(DAY_MS) / 60_000;
    let date = date(visitor, ms);
    if date.is_empty() {
        return date;
    }
    format!("{date}, {:02}:{:02}", minutes / 60, minutes % 60)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn civil(ms: i64) -> (i64, i64, i64) {
        let day = Day::since_1970(ms.div_euclid(DAY_MS));
        day.expect("within the calendar").parts()
    }

    #[test]
    fn a_moment_has_hours_and_minutes_of_universal_time() {
        let visitor = Visitor::of(&axum::http::HeaderMap::new());
        // 9 September 2001, 01:46:40 UTC: POSIX.1 and `date -u -d @1000000000`.
        assert_eq!(
            moment(&visitor, 1_000_000_000_000),
            "9 September 2001, 01:46"
        );
        assert_eq!(moment(&visitor, -1), "31 December 1969, 23:59");
    }

    #[test]
    fn known_days_come_out() {
        // Unix time of known dates: POSIX.1, section 4.19, and `date -u`.
        assert_eq!(civil(0), (1970, 1, 1));
        assert_eq!(civil(-1), (1969, 12, 31));
        assert_eq!(civil(951_782_400_000), (2000, 2, 29));
        assert_eq!(civil(951_868_800_000), (2000, 3, 1));
        assert_eq!(civil(1_000_000_000_000), (2001, 9, 9));
        assert_eq!(civil(4_107_542_400_000), (2100, 3, 1));
        assert_eq!(civil(2_147_483_647_000), (2038, 1, 19));
    }
}
