//! Milliseconds since 1970 as a date people read.
//!
//! Law: the proleptic Gregorian calendar, days counted from 0000-03-01 so that
//! the leap day comes last; 146 097 days in 400 years.
//! Source: ISO 8601 for the calendar.
//! Holds: in UTC. Left out: the shop's own hours; a date may be a day off
//! around midnight.
//! Checked by: dates with known day numbers in the tests below.

use super::visitor::Visitor;
use super::words::Language;

const DAY_MS: i64 = 86_400_000;
const MONTHS: [&str; 12] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];

/// Year, month from 1, day from 1.
pub(crate) fn civil(ms: i64) -> (i64, usize, i64) {
    let days = ms.div_euclid(DAY_MS) + 719_468;
    let era = days.div_euclid(146_097);
    let day_of_era = days.rem_euclid(146_097);
    let year_of_era =
        (day_of_era - day_of_era / 1_460 + day_of_era / 36_524 - day_of_era / 146_096) / 365;
    let day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    let from_march = (5 * day_of_year + 2) / 153;
    let day = day_of_year - (153 * from_march + 2) / 5 + 1;
    let month = if from_march < 10 {
        from_march + 3
    } else {
        from_march - 9
    };
    let year = year_of_era + era * 400 + i64::from(month <= 2);
    (year, usize::try_from(month).unwrap_or(1), day)
}

/// The date as the language writes it.
pub(crate) fn date(visitor: &Visitor, ms: i64) -> String {
    let (year, month, day) = civil(ms);
    match visitor.language {
        Language::English => {
            let name = MONTHS.get(month - 1).unwrap_or(&"");
            format!("{day} {name} {year}")
        }
        Language::German => format!("{day:02}.{month:02}.{year}"),
    }
}

#[cfg(test)]
mod tests {
    use super::civil;

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
