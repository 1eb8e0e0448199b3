//! Numbers as the visitor reads and types them: decimal sign, thin groups,
//! metric or US units.
//!
//! Law: 1 in = 25.4 mm, 1 ft = 0.3048 m, 1 lbf = 4.448 221 615 N, by definition;
//! 1 oz = 28.349 523 g, 1 US qt = 0.946 352 946 l, 1 US fl oz = 29.573 529 6 ml;
//! °F = 1.8 °C + 32. A price of so much goes with the amount.
//! Source: NIST Special Publication 811, appendix B.8 (conversion factors).
//! Holds: for finite numbers; anything else is shown as a dash.
//! Checked by: the tests below.

use lapwing_job::record::job::Units;

use super::visitor::Visitor;
use super::words::Language;

/// No-break space before a unit.
pub(crate) const NBSP: char = '\u{a0}';

/// A kind of quantity on the pages; fields carry it in the metric unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Measure {
    /// mm or in.
    Length,
    /// mm/s or in/s.
    ArmSpeed,
    /// N or lbf.
    Force,
    /// µm or mil.
    Film,
    /// °C or °F.
    Temperature,
    /// A difference of temperatures, K or °F.
    Difference,
    /// Turns a minute.
    Turns,
    /// Degrees of arc.
    Angle,
    /// Per cent.
    Percent,
    /// A bare count.
    Count,
    /// Seconds.
    Seconds,
    /// Minutes.
    Minutes,
    /// Hours.
    Hours,
    /// m/s².
    Vibration,
    /// dB(A).
    Noise,
    /// A price of 100 g, or of an ounce.
    PriceOf100G,
    /// A price of a litre, or of a quart.
    PriceOfLitre,
    /// A price of 10 ml, or of a fluid ounce.
    PriceOf10Ml,
    /// A price of a metre, or of a foot.
    PriceOfMetre,
}

/// How a quantity is shown: shown = factor · value + offset.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Shown {
    /// Times.
    pub(crate) factor: f64,
    /// Plus.
    pub(crate) offset: f64,
    /// Digits after the decimal sign.
    pub(crate) digits: usize,
    /// The unit in words; may be empty.
    pub(crate) unit: &'static str,
}

impl Measure {
    /// How it is shown in some units.
    pub(crate) fn shown(self, units: Units) -> Shown {
        let show = |factor, offset, digits, unit| Shown {
            factor,
            offset,
            digits,
            unit,
        };
        match (self, units) {
            (Self::Length, Units::Metric) => show(1.0, 0.0, 0, "mm"),
            (Self::Length, Units::Us) => show(1.0 / 25.4, 0.0, 1, "in"),
            (Self::ArmSpeed, Units::Metric) => show(1.0, 0.0, 0, "mm/s"),
            (Self::ArmSpeed, Units::Us) => show(1.0 / 25.4, 0.0, 2, "in/s"),
            (Self::Force, Units::Metric) => show(1.0, 0.0, 0, "N"),
            (Self::Force, Units::Us) => show(1.0 / 4.448_221_615, 0.0, 1, "lbf"),
            (Self::Film, Units::Metric) => show(1.0, 0.0, 1, "µm"),
            (Self::Film, Units::Us) => show(1.0 / 25.4, 0.0, 2, "mil"),
            (Self::Temperature, Units::Metric) => show(1.0, 0.0, 0, "°C"),
            (Self::Temperature, Units::Us) => show(1.8, 32.0, 0, "°F"),
            (Self::Difference, Units::Metric) => show(1.0, 0.0, 0, "K"),
            (Self::Difference, Units::Us) => show(1.8, 0.0, 0, "°F"),
            (Self::Turns, _) => show(1.0, 0.0, 0, "1/min"),
            (Self::Angle, _) => show(1.0, 0.0, 1, "°"),
            (Self::Percent, _) => show(1.0, 0.0, 0, "%"),
            (Self::PriceOf100G, Units::Us) => show(0.283_495_23, 0.0, 3, ""),
            (Self::PriceOfLitre, Units::Us) => show(0.946_352_946, 0.0, 3, ""),
            (Self::PriceOf10Ml, Units::Us) => show(2.957_352_96, 0.0, 3, ""),
            (Self::PriceOfMetre, Units::Us) => show(0.3048, 0.0, 3, ""),
            (Self::PriceOf100G, Units::Metric)
            | (Self::PriceOfLitre, Units::Metric)
            | (Self::PriceOf10Ml, Units::Metric)
            | (Self::PriceOfMetre, Units::Metric)
            | (Self::Count, _) => show(1.0, 0.0, 0, ""),
            (Self::Seconds, _) => show(1.0, 0.0, 0, "s"),
            (Self::Minutes, _) => show(1.0, 0.0, 1, "min"),
            (Self::Hours, _) => show(1.0, 0.0, 0, "h"),
            (Self::Vibration, _) => show(1.0, 0.0, 1, "m/s²"),
            (Self::Noise, _) => show(1.0, 0.0, 0, "dB(A)"),
        }
    }
}

impl Visitor {
    /// "2,7" of 2.7, in the visitor's units, without the unit.
    pub(crate) fn bare(&self, measure: Measure, value: f64) -> String {
        let shown = measure.shown(self.units);
        number(
            value * shown.factor + shown.offset,
            shown.digits,
            self.language,
        )
    }

    /// "2.7 µm".
    pub(crate) fn with_unit(&self, measure: Measure, value: f64) -> String {
        let unit = measure.shown(self.units).unit;
        let bare = self.bare(measure, value);
        match unit {
            "" => bare,
            "°" => format!("{bare}°"),
            unit => format!("{bare}{NBSP}{unit}"),
        }
    }

    /// "12.0 °C", with so many digits.
    pub(crate) fn with_unit_to(&self, measure: Measure, value: f64, digits: usize) -> String {
        let shown = measure.shown(self.units);
        let bare = self.number(value * shown.factor + shown.offset, digits);
        format!("{bare}{NBSP}{}", shown.unit)
    }

    /// An amount of money in the visitor's language: "£590.00", "590,00 £".
    pub(crate) fn money(&self, amount: f64, currency: &str) -> String {
        let sign = match currency {
            "GBP" => "£",
            "EUR" => "€",
            "USD" => "$",
            other => other,
        };
        let bare = self.number(amount, 2);
        let is_before = self.language == Language::English && sign.chars().count() == 1;
        if is_before {
            format!("{sign}{bare}")
        } else {
            format!("{bare}{NBSP}{sign}")
        }
    }

    /// A number with so many digits.
    pub(crate) fn number(&self, value: f64, digits: usize) -> String {
        number(value, digits, self.language)
    }
}

/// A number in a language: thin groups of three, a true minus.
pub(crate) fn number(value: f64, digits: usize, language: Language) -> String {
    if !value.is_finite() {
        return "–".to_owned();
    }
    let plain = format!("{:.digits$}", value.abs());
    let (whole, part) = plain.split_once('.').unwrap_or((&plain, ""));
    let mut out = String::new();
    if value < 0.0 && plain.bytes().any(|b| (b'1'..=b'9').contains(&b)) {
        out.push('\u{2212}');
    }
    for (i, digit) in whole.chars().enumerate() {
        if i > 0 && (whole.len() - i).is_multiple_of(3) {
            out.push('\u{202f}');
        }
        out.push(digit);
    }
    if !part.is_empty() {
        out.push(match language {
            Language::English => '.',
            Language::German => ',',
        });
        out.push_str(part);
    }
    out
}

/// What a person typed as a number: "1.5", "1,5", "−2", "4 300". Nothing when
/// it is none, or is not finite.
pub(crate) fn typed(text: &str) -> Option<f64> {
    let mut plain = String::new();
    for sign in text.trim().chars() {
        match sign {
            '\u{2212}' => plain.push('-'),
            ',' => plain.push('.'),
            ' ' | NBSP | '\u{202f}' => {}
            '0'..='9' | '.' | '-' | '+' => plain.push(sign),
            _ => return None,
        }
    }
    plain.parse::<f64>().ok().filter(|v| v.is_finite())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::web::visitor::Seat;

    #[test]
    fn numbers_have_the_languages_signs() {
        assert_eq!(number(4300.0, 0, Language::English), "4\u{202f}300");
        assert_eq!(
            number(-1_234_567.891, 2, Language::German),
            "\u{2212}1\u{202f}234\u{202f}567,89"
        );
        assert_eq!(number(-0.04, 1, Language::English), "0.0");
        assert_eq!(number(f64::NAN, 1, Language::English), "–");
    }

    #[test]
    fn what_was_shown_can_be_typed_back() {
        for language in [Language::English, Language::German] {
            for value in [0.0, -2.5, 4300.0, 1_234_567.25] {
                assert_eq!(typed(&number(value, 2, language)), Some(value));
            }
        }
    }

    #[test]
    fn money_stands_where_the_language_wants_it() {
        let mut visitor = Visitor {
            language: Language::English,
            units: Units::Metric,
            theme: super::super::visitor::Theme::Device,
            seat: Seat::default(),
        };
        assert_eq!(visitor.money(1234.5, "GBP"), "£1\u{202f}234.50");
        assert_eq!(visitor.money(812.0, "NOK"), "812.00\u{a0}NOK");
        visitor.language = Language::German;
        assert_eq!(visitor.money(1234.5, "EUR"), "1\u{202f}234,50\u{a0}€");
    }

    #[test]
    fn nonsense_is_no_number() {
        for text in ["", "abc", "1.2.3", "NaN", "inf", "1e999", "--1", "<b>"] {
            assert_eq!(typed(text), None, "{text}");
        }
    }

    #[test]
    fn an_inch_is_25_4_mm_and_a_pound_of_force_4_448_n() {
        let us = Visitor {
            language: Language::English,
            units: Units::Us,
            theme: super::super::visitor::Theme::Device,
            seat: Seat::default(),
        };
        assert_eq!(us.with_unit(Measure::Length, 127.0), "5.0\u{a0}in");
        assert_eq!(us.with_unit(Measure::Force, 44.482_216_15), "10.0\u{a0}lbf");
        assert_eq!(us.with_unit(Measure::Temperature, 60.0), "140\u{a0}°F");
        assert_eq!(us.with_unit(Measure::Angle, 1.5), "1.5°");
    }
}
