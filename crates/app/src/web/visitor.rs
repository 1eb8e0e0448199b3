//! Who looks at the page: language, units and theme, kept in cookies.
//!
//! Without a cookie the browser's language is taken, metric units, and the
//! theme of the device.
//! Checked by: the tests below.

use std::convert::Infallible;

use axum::extract::FromRequestParts;
use axum::http::request::Parts;
use axum::http::{Extensions, HeaderMap, header};
use lapwing_job::record::job::Units;
use lapwing_report::figure;
use lapwing_store::Role;
use serde_json::Value;

use super::words::{Language, Message};

/// Names of the cookies.
pub(crate) const LANGUAGE: &str = "lapwing_language";
/// See [`LANGUAGE`].
pub(crate) const UNITS: &str = "lapwing_units";
/// See [`LANGUAGE`].
pub(crate) const THEME: &str = "lapwing_theme";

/// Which colours the page has.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) enum Theme {
    /// As the device has it.
    #[default]
    Device,
    /// By day.
    Light,
    /// In a dark bay.
    Bay,
}

impl Theme {
    /// The words of the cookie.
    pub(crate) const WORDS: [(&'static str, Self); 3] = [
        ("device", Self::Device),
        ("light", Self::Light),
        ("bay", Self::Bay),
    ];

    /// The word in the cookie and on the page's root.
    pub(crate) fn word(self) -> &'static str {
        Self::WORDS
            .iter()
            .find(|(_, t)| *t == self)
            .map_or("device", |(w, _)| w)
    }
}

/// Words of the units cookie.
pub(crate) const UNIT_WORDS: [(&str, Units); 2] = [("metric", Units::Metric), ("us", Units::Us)];

/// Where the visitor sits: what the menu offers.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) enum Seat {
    /// Not signed in.
    #[default]
    Outside,
    /// At this machine, while there are no accounts.
    Alone,
    /// Signed in.
    At(Role),
}

/// Who looks.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Visitor {
    /// Language of words, numbers and dates.
    pub(crate) language: Language,
    /// µm or mil.
    pub(crate) units: Units,
    /// Colours.
    pub(crate) theme: Theme,
    /// What they may see in the menu.
    pub(crate) seat: Seat,
}

impl Visitor {
    /// From a request's headers; what is not understood counts as not said.
    pub(crate) fn of(headers: &HeaderMap) -> Self {
        let pick = |name: &str| cookie(headers, name);
        let language = pick(LANGUAGE)
            .and_then(Language::from_code)
            .or_else(|| accepted(headers))
            .unwrap_or_default();
        Self {
            language,
            units: pick(UNITS)
                .and_then(|w| one_of(&UNIT_WORDS, w))
                .unwrap_or(Units::Metric),
            theme: pick(THEME)
                .and_then(|w| one_of(&Theme::WORDS, w))
                .unwrap_or_default(),
            seat: Seat::default(),
        }
    }

    /// From a request that the gate let through, with the visitor's seat.
    pub(crate) fn of_request(headers: &HeaderMap, extensions: &Extensions) -> Self {
        let seated = extensions.get::<Self>().copied();
        seated.unwrap_or_else(|| Self::of(headers))
    }

    /// Language and units as a person keeps them; colours stay the device's.
    pub(crate) fn take_settings(&mut self, settings: &Value) {
        let word = |key: &str| settings.get(key).and_then(Value::as_str);
        if let Some(language) = word("language").and_then(Language::from_code) {
            self.language = language;
        }
        if let Some(units) = word("units").and_then(|w| one_of(&UNIT_WORDS, w)) {
            self.units = units;
        }
    }

    /// A message in the visitor's language.
    pub(crate) fn say(&self, message: Message) -> &'static str {
        message.in_language(self.language)
    }

    /// A message with its places `{0}`, `{1}` filled.
    pub(crate) fn fill(&self, message: Message, parts: &[&str]) -> String {
        message.filled(self.language, parts)
    }

    /// The units of pictures.
    pub(crate) fn figure_units(&self) -> figure::Units {
        lapwing_report::pictures::units(self.units)
    }
}

impl<S: Sync> FromRequestParts<S> for Visitor {
    type Rejection = Infallible;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Infallible> {
        Ok(Self::of_request(&parts.headers, &parts.extensions))
    }
}

/// The value of a word in a table.
pub(crate) fn one_of<T: Copy>(words: &[(&str, T)], word: &str) -> Option<T> {
    words.iter().find(|(w, _)| *w == word).map(|(_, v)| *v)
}

/// The value of a cookie.
pub(crate) fn cookie<'a>(headers: &'a HeaderMap, name: &str) -> Option<&'a str> {
    headers
        .get_all(header::COOKIE)
        .iter()
        .filter_map(|v| v.to_str().ok())
        .flat_map(|v| v.split(';'))
        .filter_map(|pair| pair.trim().split_once('='))
        .find(|(key, _)| *key == name)
        .map(|(_, value)| value)
}

/// The first language of the browser's list that we have.
fn accepted(headers: &HeaderMap) -> Option<Language> {
    let list = headers.get(header::ACCEPT_LANGUAGE)?.to_str().ok()?;
    list.split(',').find_map(|item| {
        let tag = item.split(';').next()?.trim();
        Language::from_code(tag.split('-').next()?)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use axum::http::HeaderValue;

    fn of(pairs: &[(header::HeaderName, &'static str)]) -> Visitor {
        let mut headers = HeaderMap::new();
        for (name, value) in pairs {
            headers.append(name, HeaderValue::from_static(value));
        }
        Visitor::of(&headers)
    }

    #[test]
    fn a_cookie_outranks_the_browser_and_nonsense_counts_for_nothing() {
        let german = of(&[(header::ACCEPT_LANGUAGE, "de-CH,de;q=0.9,en;q=0.8")]);
        assert_eq!(german.language, Language::German);
        let chosen = of(&[
            (header::ACCEPT_LANGUAGE, "de"),
            (
                header::COOKIE,
                "x=1; lapwing_language=en; lapwing_units=us; lapwing_theme=bay",
            ),
        ]);
        assert_eq!(chosen.language, Language::English);
        assert_eq!(chosen.units, Units::Us);
        assert_eq!(chosen.theme, Theme::Bay);
        let nonsense = of(&[
            (header::ACCEPT_LANGUAGE, "q=;;,xx"),
            (
                header::COOKIE,
                "lapwing_language=\"><script>; lapwing_units=; lapwing_theme",
            ),
        ]);
        assert_eq!(nonsense.language, Language::English);
        assert_eq!(nonsense.units, Units::Metric);
        assert_eq!(nonsense.theme, Theme::Device);
    }
}
