//! A day of the calendar: read as people write it, counted on, written again.
//!
//! Law: the Gregorian calendar; day number = 365·y + y/4 − y/100 + y/400 +
//! days of the months from March on, years counted from March.
//! Source: ISO 8601:2004 section 3.2.1 for the leap years.
//! Holds: for years 1 to 9999.
//! Left out: other calendars and month names than English ones.
//! Checked by: Python's `date.toordinal`, whose day 1 is 1 January of year 1.

/// A day.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Day {
    year: i64,
    month: i64,
    day: i64,
}

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

impl Day {
    /// A day that exists; `None` for 30 February.
    #[must_use]
    pub fn new(year: i64, month: i64, day: i64) -> Option<Self> {
        let is_real = (1..=9999).contains(&year)
            && (1..=12).contains(&month)
            && (1..=days_in(year, month)).contains(&day);
        is_real.then_some(Self { year, month, day })
    }

    /// Reads "2026-11-25", "25 November 2026", "25 Nov 2026" or "November 25,
    /// 2026"; anything else is no day.
    #[must_use]
    pub fn read(text: &str) -> Option<Self> {
        let parts: Vec<&str> = text
            .split(|c: char| c.is_whitespace() || c == ',')
            .filter(|p| !p.is_empty())
            .collect();
        match parts[..] {
            [iso] => {
                let numbers: Vec<i64> = iso.split('-').map_while(|p| p.parse().ok()).collect();
                match (&numbers[..], iso.len()) {
                    (&[y, m, d], 10) => Self::new(y, m, d),
                    _ => None,
                }
            }
            [day, month, year] if day.starts_with(|c: char| c.is_ascii_digit()) => {
                Self::new(year.parse().ok()?, month_of(month)?, day.parse().ok()?)
            }
            [month, day, year] => {
                Self::new(year.parse().ok()?, month_of(month)?, day.parse().ok()?)
            }
            _ => None,
        }
    }

    /// From days since 1 January 1970.
    #[must_use]
    pub fn since_1970(days: i64) -> Option<Self> {
        Self::new(1970, 1, 1)?.later(days)
    }

    /// So many days later.
    #[must_use]
    pub fn later(self, days: i64) -> Option<Self> {
        let wanted = self.number().checked_add(days)?;
        // A year has 365.2425 days in the mean; one step either way settles it.
        let guess = wanted * 10_000 / 3_652_425 + 1;
        let year = (guess - 1..=guess + 1)
            .rev()
            .find(|y| Self::new(*y, 1, 1).is_some_and(|first| first.number() <= wanted))?;
        let mut left = wanted - Self::new(year, 1, 1)?.number();
        let mut month = 1;
        while left >= days_in(year, month) {
            left -= days_in(year, month);
            month += 1;
        }
        Self::new(year, month, left + 1)
    }

    /// Days since the last day before year 1.
    fn number(self) -> i64 {
        let (y, m) = if self.month > 2 {
            (self.year, self.month - 3)
        } else {
            (self.year - 1, self.month + 9)
        };
        365 * y + y / 4 - y / 100 + y / 400 + (153 * m + 2) / 5 + self.day - 306
    }

    /// Year, month from 1, day from 1.
    #[must_use]
    pub const fn parts(self) -> (i64, i64, i64) {
        (self.year, self.month, self.day)
    }

    /// "20261125".
    #[must_use]
    pub fn basic(self) -> String {
        format!("{:04}{:02}{:02}", self.year, self.month, self.day)
    }

    /// "2026-11-25".
    #[must_use]
    pub fn iso(self) -> String {
        format!("{:04}-{:02}-{:02}", self.year, self.month, self.day)
    }

    /// "25 November 2026".
    #[must_use]
    pub fn spoken(self) -> String {
        let month = usize::try_from(self.month - 1).unwrap_or(0);
        format!("{} {} {}", self.day, MONTHS[month % 12], self.year)
    }
}

fn days_in(year: i64, month: i64) -> i64 {
    let is_leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    match month {
        2 if is_leap => 29,
        2 => 28,
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    }
}

fn month_of(word: &str) -> Option<i64> {
    let word = word.trim_end_matches('.').to_lowercase();
    let at = MONTHS.iter().position(|month| {
        let month = month.to_lowercase();
        word.len() >= 3 && month.starts_with(&word)
    })?;
    i64::try_from(at + 1).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    // Python: date(y, m, d).toordinal().
    #[test]
    fn days_are_numbered_as_by_an_independent_library() {
        for (iso, number) in [
            ("0001-01-01", 1),
            ("1970-01-01", 719_163),
            ("2000-02-29", 730_179),
            ("2026-11-25", 739_945),
            ("9999-12-31", 3_652_059),
        ] {
            let day = Day::read(iso).expect("a day");
            assert_eq!(day.number(), number, "{iso}");
            assert_eq!(day.iso(), iso);
        }
    }

    #[test]
    fn counting_on_meets_every_day_once() {
        let first = Day::new(1896, 1, 1).expect("a day");
        let mut before = first;
        for days in 1..80_000 {
            let day = first.later(days).expect("a day");
            assert_eq!(day.number(), before.number() + 1);
            assert!(day > before);
            before = day;
        }
    }

    #[test]
    fn days_are_read_as_people_write_them() {
        for text in [
            "2026-11-25",
            "25 November 2026",
            "25 Nov. 2026",
            "November 25, 2026",
        ] {
            assert_eq!(
                Day::read(text).map(Day::spoken).as_deref(),
                Some("25 November 2026"),
                "{text}"
            );
        }
        for text in [
            "",
            "May 2024",
            "2026-02-30",
            "30 February 2026",
            "25.11.2026",
            "2026-1-1",
            "x y z",
            "1 J 2026",
            "99999999999999999999-01-01",
        ] {
            assert_eq!(Day::read(text), None, "{text}");
        }
        assert_eq!(Day::new(9999, 12, 31).and_then(|d| d.later(1)), None);
        assert_eq!(Day::new(2026, 1, 1).and_then(|d| d.later(i64::MAX)), None);
    }
}
