//! What the pages say, in every language we have.
//!
//! A message holds all its languages side by side, so one that is missing
//! does not compile; a test looks for empty ones and for lost places.
//! Sentences of the stations come with their parts apart, see [`said`]; those
//! that come as text stay English and are marked as such on the page.
//! Checked by: the tests below.

pub(crate) mod accounts;
pub(crate) mod bench;
pub(crate) mod checks;
pub(crate) mod coat;
pub(crate) mod enquiry;
pub(crate) mod frame;
pub(crate) mod handover;
pub(crate) mod exposure;
pub(crate) mod film;
pub(crate) mod given;
pub(crate) mod glance;
pub(crate) mod jobs;
pub(crate) mod keys;
pub(crate) mod links;
pub(crate) mod network;
pub(crate) mod operator;
pub(crate) mod panels;
pub(crate) mod paper;
pub(crate) mod past;
pub(crate) mod plan;
pub(crate) mod proof;
pub(crate) mod queue;
pub(crate) mod retold;
pub(crate) mod said;
pub(crate) mod shop;
pub(crate) mod stations;

/// A language of the pages.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) enum Language {
    /// English, as spoken in the trade.
    #[default]
    English,
    /// German.
    German,
}

impl Language {
    /// Every language with its code and its own name.
    pub(crate) const ALL: [(Self, &'static str, &'static str); 2] = [
        (Self::English, "en", "English"),
        (Self::German, "de", "Deutsch"),
    ];

    /// From "en" or "de".
    pub(crate) fn from_code(code: &str) -> Option<Self> {
        Self::ALL
            .iter()
            .find(|(_, c, _)| c.eq_ignore_ascii_case(code))
            .map(|(l, _, _)| *l)
    }

    /// The one that the paper is also offered in.
    pub(crate) fn other(self) -> Self {
        match self {
            Self::English => Self::German,
            Self::German => Self::English,
        }
    }

    /// "en" or "de".
    pub(crate) fn code(self) -> &'static str {
        Self::ALL
            .iter()
            .find(|(l, _, _)| *l == self)
            .map_or("en", |(_, c, _)| c)
    }
}

/// One message in every language.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Message {
    /// English.
    pub(crate) en: &'static str,
    /// German.
    pub(crate) de: &'static str,
}

impl Message {
    /// The words in a language.
    pub(crate) const fn in_language(self, language: Language) -> &'static str {
        match language {
            Language::English => self.en,
            Language::German => self.de,
        }
    }

    /// The words with `{0}`, `{1}` replaced. Each part is taken as it is and
    /// not looked through again.
    pub(crate) fn filled(self, language: Language, parts: &[&str]) -> String {
        let mut out = String::new();
        let mut rest = self.in_language(language);
        while let Some(at) = rest.find('{') {
            out.push_str(&rest[..at]);
            let Some(end) = rest[at..].find('}') else {
                break;
            };
            let place = rest[at + 1..at + end].parse::<usize>();
            out.push_str(place.ok().and_then(|p| parts.get(p)).unwrap_or(&""));
            rest = &rest[at + end + 1..];
        }
        out.push_str(rest);
        out
    }
}

/// A message for one thing and for several.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Counted {
    /// For exactly one.
    pub(crate) one: Message,
    /// For none and for several.
    pub(crate) several: Message,
}

impl Counted {
    /// The form for a number. English and German both have two forms and
    /// count none as several (Unicode CLDR plural rules, cardinal).
    pub(crate) const fn of(self, count: usize) -> Message {
        if count == 1 { self.one } else { self.several }
    }
}

/// Declares messages: `NAME: "English", "Deutsch";`.
macro_rules! catalogue {
    ($($(#[$note:meta])* $name:ident: $en:literal, $de:literal;)*) => {
        $($(#[$note])* pub(crate) const $name: $crate::web::words::Message =
            $crate::web::words::Message { en: $en, de: $de };)*
        #[cfg(test)]
        pub(crate) const ALL: &[(&str, $crate::web::words::Message)] = &[$((stringify!($name), $name)),*];
    };
}
pub(crate) use catalogue;

#[cfg(test)]
mod tests {
    use super::*;

    /// The words of every page.
    const PAGES: &[&[(&str, Message)]] = &[
        accounts::ALL,
        links::ALL,
        network::ALL,
        operator::ALL,
        panels::ALL,
        paper::ALL,
        past::ALL,
        frame::ALL,
        handover::ALL,
        bench::ALL,
        checks::ALL,
        coat::ALL,
        enquiry::ALL,
        given::ALL,
        glance::ALL,
        proof::ALL,
        queue::ALL,
        retold::ALL,
        shop::ALL,
        exposure::ALL,
        film::ALL,
        jobs::ALL,
        plan::ALL,
        stations::ALL,
    ];

    fn every_message() -> Vec<(&'static str, Message)> {
        PAGES.concat()
    }

    fn places(text: &str) -> Vec<&str> {
        let mut found: Vec<&str> = text
            .split('{')
            .skip(1)
            .filter_map(|rest| rest.split('}').next())
            .collect();
        found.sort_unstable();
        found
    }

    #[test]
    fn no_message_is_missing_or_has_lost_a_place() {
        for (name, message) in every_message() {
            for (language, code, _) in Language::ALL {
                assert!(
                    !message.in_language(language).trim().is_empty(),
                    "{name} in {code}"
                );
            }
            assert_eq!(places(message.en), places(message.de), "{name}");
        }
    }

    #[test]
    fn no_name_stands_twice_in_a_page() {
        for list in PAGES {
            let mut names: Vec<&str> = list.iter().map(|(n, _)| *n).collect();
            names.sort_unstable();
            let count = names.len();
            names.dedup();
            assert_eq!(names.len(), count);
        }
    }

    #[test]
    fn a_part_is_not_looked_through_again() {
        let message = Message {
            en: "{0} and {1}",
            de: "{1} und {0}",
        };
        assert_eq!(
            message.filled(Language::English, &["{1}", "b"]),
            "{1} and b"
        );
        assert_eq!(message.filled(Language::German, &["a", "b"]), "b und a");
        assert_eq!(message.filled(Language::English, &[]), " and ");
    }

    #[test]
    fn one_is_one_and_none_are_several() {
        let both = Counted {
            one: Message {
                en: "one",
                de: "eins",
            },
            several: Message {
                en: "many",
                de: "viele",
            },
        };
        assert_eq!(both.of(1).en, "one");
        assert_eq!(both.of(0).en, "many");
        assert_eq!(both.of(21).de, "viele");
    }
}
