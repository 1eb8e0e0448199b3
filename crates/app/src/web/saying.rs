//! The engine's sentences, panels and rules as the visitor reads them: their
//! language, their units.
//!
//! Law: none; a sentence of the engine comes with its numbers apart. One that
//! comes as text stays English and is marked so, that a screen reader speaks
//! it rightly.
//! Checked by: the tests below and `tests/web_german.rs`.

use lapwing_job::record::job::Units;
use lapwing_job::record::panel_names::{canonical, spoken, stem};
use lapwing_job::record::{Caution, Part, Said};
use lapwing_report::figure::{BodyClass, Labels, panel_ids};
use lapwing_report::words::in_units;
use maud::{Markup, html};

use super::numbers::{Measure, NBSP};
use super::visitor::Visitor;
use super::words::{Language, Message, keys, panels, said};

impl Visitor {
    /// A panel by its own name inside: "Kotflügel links", "Left front fender".
    pub(crate) fn panel(&self, id: &str) -> String {
        let (base, side) = stem(id);
        let ours = self.is_us().then(|| panels::us_panel(base)).flatten();
        let Some(named) = ours.or_else(|| panels::panel(base)) else {
            return spoken(id);
        };
        let named = self.say(named);
        match side {
            Some("left") => self.fill(panels::LEFT, &[named]),
            Some(_) => self.fill(panels::RIGHT, &[named]),
            None => named.to_owned(),
        }
    }

    /// English as it is spoken where US customary units are used.
    fn is_us(&self) -> bool {
        self.language == Language::English && self.units == Units::Us
    }

    /// A panel as the user's file calls it; in another language by our name,
    /// where it is one that the trade knows.
    pub(crate) fn panel_called(&self, called: &str) -> String {
        let is_told = self.language != Language::English || self.is_us();
        let known = || canonical(called).or_else(|| drawn_as(called));
        is_told
            .then(known)
            .flatten()
            .map_or_else(|| called.to_owned(), |id| self.panel(&id))
    }

    /// The language of a picture's labels.
    pub(crate) fn labels(&self) -> Labels {
        match self.language {
            Language::English if self.is_us() => Labels(panels::US_CAR_LABELS),
            Language::English => Labels::default(),
            Language::German => Labels(panels::CAR_LABELS),
        }
    }

    /// A panel whose own name inside is known; in English as the user calls it.
    pub(crate) fn panel_named(&self, id: &str, called: &str) -> String {
        let stays = self.language == Language::English && !self.is_us();
        if stays || panels::panel(stem(id).0).is_none() {
            called.to_owned()
        } else {
            self.panel(id)
        }
    }

    /// A film rule by its name in the job file.
    pub(crate) fn rule(&self, name: &str) -> String {
        panels::rule(name).map_or_else(|| name.to_owned(), |words| self.say(words).to_owned())
    }

    /// A step, a usual material or a line of the price; names of the shop's
    /// own stay.
    pub(crate) fn thing(&self, name: &str) -> String {
        panels::thing(name).map_or_else(|| name.to_owned(), |words| self.say(words).to_owned())
    }

    /// A sentence of the engine.
    pub(crate) fn said(&self, sentence: &Said) -> String {
        let parts: Vec<String> = sentence.parts.iter().map(|p| self.part(p)).collect();
        let parts: Vec<&str> = parts.iter().map(String::as_str).collect();
        self.with_labels(self.fill(said::message(sentence.sentence), &parts))
    }

    /// A text in which keys of a file are called as their fields are.
    fn with_labels(&self, text: String) -> String {
        if !text.contains('.') {
            return text;
        }
        let named = |text: String, (key, label): &(&str, Message)| {
            let label = match self.language {
                Language::English => format!("\"{}\"", self.say(*label)),
                Language::German => format!("„{}“", self.say(*label)),
            };
            [format!("`{key}`"), format!("\"{key}\""), (*key).to_owned()]
                .iter()
                .fold(text, |text, written| text.replace(written, &label))
        };
        keys::LABELS.iter().fold(text, named)
    }

    fn part(&self, part: &Part) -> String {
        let film = |um: f64, digits: usize| self.film_to(um, digits);
        match part {
            Part::Film(um, digits) => {
                let unit = Measure::Film.shown(self.units).unit;
                format!("{}{NBSP}{unit}", film(*um, *digits))
            }
            Part::FilmBare(um, digits) => film(*um, *digits),
            Part::Heat(c) => self.with_unit(Measure::Temperature, *c),
            Part::Rise(k) => self.with_unit(Measure::Difference, *k),
            Part::Length(mm) => self.with_unit(Measure::Length, *mm),
            Part::Number(n, digits) => self.number(*n, *digits),
            Part::Seconds(s, digits) => format!("{}{NBSP}s", self.number(*s, *digits)),
            Part::Panel(name) => self.panel_called(name),
            Part::Text(name) => name.clone(),
            Part::List(parts) => {
                let parts: Vec<String> = parts.iter().map(|p| self.part(p)).collect();
                parts.join(", ")
            }
            Part::Said(said) => self.said(said),
        }
    }

    /// Film with so many decimals in µm; in mil two.
    fn film_to(&self, um: f64, digits: usize) -> String {
        let shown = Measure::Film.shown(self.units);
        let is_us = shown.factor < 1.0;
        let digits = if is_us { 2 } else { digits };
        self.number(um * shown.factor, digits)
    }

    /// A sentence where it is one of ours, else the English text.
    pub(crate) fn told(&self, sentence: Option<&Said>, text: &str) -> Markup {
        match sentence {
            Some(sentence) => html! { (self.said(sentence)) },
            None => self.text_told(text),
        }
    }

    /// A text of the engine in the visitor's units and, where it is known, in
    /// their language; else marked as English.
    pub(crate) fn text_told(&self, text: &str) -> Markup {
        let text = in_units(text, self.units);
        match self.retold(&text) {
            Some(told) => html! { (self.with_labels(told)) },
            None => html! { span lang="en" { (self.with_labels(text)) } },
        }
    }

    /// Where something stands: a panel, or a word for what is none.
    pub(crate) fn place_called(&self, place: &str) -> String {
        match panels::place(place).or_else(|| panels::place(&place.to_lowercase())) {
            Some(words) if self.language != Language::English => self.say(words).to_owned(),
            _ => self.panel_called(place),
        }
    }

    /// Places of which the same is said, parted by commas.
    pub(crate) fn places_called(&self, places: &str) -> String {
        let told: Vec<String> = places.split(", ").map(|p| self.place_called(p)).collect();
        told.join(", ")
    }

    /// A caution: where, and what is doubtful.
    pub(crate) fn caution(&self, caution: &Caution) -> Markup {
        let place = match panels::place(&caution.place) {
            Some(words) => self.say(words).to_owned(),
            None => self.panel_called(&caution.place),
        };
        html! { b { (place) } ": " (self.told(caution.said.as_ref(), &caution.text)) }
    }
}

/// A panel that is called as it is drawn.
fn drawn_as(called: &str) -> Option<String> {
    let mut ids = BodyClass::ALL.into_iter().flat_map(panel_ids);
    ids.find(|id| spoken(id).eq_ignore_ascii_case(called))
}

#[cfg(test)]
mod tests {
    use super::super::visitor::{LANGUAGE, UNITS};
    use super::*;
    use axum::http::{HeaderMap, HeaderValue, header};
    use lapwing_job::record::Sentence;

    fn visitor(language: &str, units: &str) -> Visitor {
        let mut headers = HeaderMap::new();
        let cookie = format!("{LANGUAGE}={language}; {UNITS}={units}");
        let cookie = HeaderValue::from_str(&cookie).expect("a cookie");
        headers.append(header::COOKIE, cookie);
        Visitor::of(&headers)
    }

    fn budget() -> Said {
        let rule = Said::new(Sentence::ClearLeft, [Part::Film(25.4, 1)]);
        Said::new(Sentence::UpToMayGo, [Part::Film(7.5, 1), Part::Said(rule)])
    }

    #[test]
    fn a_sentence_comes_in_the_visitors_language_and_units() {
        assert_eq!(
            visitor("de", "metric").said(&budget()),
            "Bis 7,5\u{a0}µm dürfen ab: 25,4\u{a0}µm Klarlack müssen am unteren Ende bleiben."
        );
        // 25.4 µm are one mil.
        assert_eq!(
            visitor("en", "us").said(&budget()),
            "Up to 0.30\u{a0}mil may go: 1.00\u{a0}mil of clear must stay at its lower bound."
        );
    }

    #[test]
    fn english_in_metric_units_is_what_the_engine_itself_says() {
        let plain = visitor("en", "metric").said(&budget());
        assert_eq!(plain.replace('\u{a0}', " "), budget().english());
    }

    #[test]
    fn panels_have_names_and_words_of_the_users_own_stay() {
        let german = visitor("de", "metric");
        assert_eq!(german.panel("front-wing-left"), "Kotflügel links");
        assert_eq!(german.panel_called("Hood"), "Motorhaube");
        assert_eq!(
            german.places_called("Left pillars and cant rail, roof"),
            "Säulen, Dachholm links, Dach"
        );
        assert_eq!(german.panel_called("Spare wheel"), "Spare wheel");
        let us = visitor("en", "us");
        assert_eq!(us.panel_called("Hood"), "Hood");
        assert_eq!(us.panel_called("Bonnet"), "Hood");
        assert_eq!(us.panel("front-wing-left"), "Left front fender");
        assert_eq!(us.panel_named("boot-lid", "Boot lid"), "Trunk lid");
        assert_eq!(us.panel_called("Spare wheel"), "Spare wheel");
        assert_eq!(german.panel("spare-wheel"), "Spare wheel");
    }

    #[test]
    fn a_key_of_a_file_is_called_as_its_field_is() {
        let told = |language: &str| {
            let text = "Check gauge.repeatability, then correct `setup.arm_speed`.".to_owned();
            visitor(language, "metric").with_labels(text)
        };
        assert_eq!(
            told("en"),
            "Check \"Gauge repeats within\", then correct \"Arm speed\"."
        );
        assert_eq!(
            told("de"),
            "Check „Messgerät wiederholt auf“, then correct „Armgeschwindigkeit“."
        );
    }

    #[test]
    fn a_text_of_the_engine_is_marked_english() {
        let german = visitor("de", "metric");
        let told = german.caution(&Caution::new("bonnet", "Something rare."));
        let told = told.into_string();
        assert!(told.contains("<b>Motorhaube</b>"), "{told}");
        assert!(told.contains("<span lang=\"en\">Something rare."), "{told}");
    }
}
