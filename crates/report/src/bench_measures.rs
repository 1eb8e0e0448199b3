//! Measures of a pass as the bench's words and pictures say them, in the user's
//! units.
//!
//! Law: none; factors are exact (1 mil = 25.4 µm, 1 in = 25.4 mm, 1 psi =
//! 6.894757 kPa, °F = 1.8 °C + 32).
//! Source: `lapwing_measure`'s table of units (NIST SP 811).
//! Holds: finite numbers. Anything else prints as "not stated".
//! Checked by: the tests below.

use lapwing_job::record::job::Units;

use crate::figure;

/// What is measured, in the unit of the answer's keys.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Kind {
    /// Depth taken off, from µm.
    Depth,
    /// Surface temperature, from °C.
    Temperature,
    /// Difference of temperatures, from K.
    Warmth,
    /// A place on the panel, from m.
    Place,
    /// Length of a path, from m.
    Path,
    /// Pressure, from kPa.
    Pressure,
    /// Speed of rubbing, from m/s.
    Speed,
}

impl Kind {
    /// Factor, shift and sign of the unit.
    fn unit(self, units: Units) -> (f64, f64, &'static str) {
        match (self, units) {
            (Self::Depth, Units::Metric) => (1.0, 0.0, "µm"),
            (Self::Depth, Units::Us) => (1.0 / 25.4, 0.0, "mil"),
            (Self::Temperature | Self::Warmth, Units::Metric) => (1.0, 0.0, "°C"),
            (Self::Temperature, Units::Us) => (1.8, 32.0, "°F"),
            (Self::Warmth, Units::Us) => (1.8, 0.0, "°F"),
            (Self::Place, Units::Metric) => (1e3, 0.0, "mm"),
            (Self::Place, Units::Us) => (1.0 / 0.0254, 0.0, "in"),
            (Self::Path, Units::Metric) => (1.0, 0.0, "m"),
            (Self::Path, Units::Us) => (1.0 / 0.3048, 0.0, "ft"),
            (Self::Pressure, Units::Metric) => (1.0, 0.0, "kPa"),
            (Self::Pressure, Units::Us) => (1.0 / 6.894_757_293_168, 0.0, "psi"),
            (Self::Speed, Units::Metric) => (1.0, 0.0, "m/s"),
            (Self::Speed, Units::Us) => (1.0 / 0.3048, 0.0, "ft/s"),
        }
    }

    /// The unit's sign.
    pub(crate) fn sign(self, units: Units) -> &'static str {
        self.unit(units).2
    }

    /// The value in the user's unit.
    pub(crate) fn shown(self, value: f64, units: Units) -> f64 {
        let (factor, shift, _) = self.unit(units);
        value * factor + shift
    }

    /// A shown value back in the unit of the answer.
    pub(crate) fn meant(self, shown: f64, units: Units) -> f64 {
        let (factor, shift, _) = self.unit(units);
        (shown - shift) / factor
    }

    /// The value without its unit.
    pub(crate) fn number(self, value: f64, units: Units) -> String {
        let shown = self.shown(value, units);
        if !shown.is_finite() {
            return "not stated".to_owned();
        }
        let digits = match (self, units) {
            // A hundredth of a mil is a quarter of a micron.
            (Self::Depth, Units::Us) if shown.abs() < 0.0995 => 4,
            (Self::Depth, Units::Us) => 3,
            (Self::Depth | Self::Pressure, _) => 2,
            (Self::Temperature, _) | (Self::Place, Units::Metric) => 0,
            (Self::Path, Units::Us) => 0,
            (Self::Warmth | Self::Place | Self::Path | Self::Speed, _) => 1,
        };
        format!("{shown:.digits$}")
    }

    /// The value with its unit.
    pub(crate) fn told(self, value: f64, units: Units) -> String {
        format!("{} {}", self.number(value, units), self.sign(units))
    }
}

/// A sentence of the bench in the user's units: "25 mm" becomes "0.98 in".
pub(crate) fn in_words(text: &str, units: Units) -> String {
    if units == Units::Metric {
        return text.to_owned();
    }
    let words: Vec<&str> = text.split(' ').collect();
    let mut told: Vec<String> = Vec::with_capacity(words.len());
    let mut at = 0;
    while at < words.len() {
        let pair = words
            .get(at + 1)
            .and_then(|unit| converted(words[at], unit));
        at += if pair.is_some() { 2 } else { 1 };
        told.push(pair.unwrap_or_else(|| words[at - 1].to_owned()));
    }
    told.join(" ")
}

/// A number and its unit for a shop in US units, marks around them kept.
fn converted(number: &str, unit: &str) -> Option<String> {
    const TABLE: [(&str, f64, f64, &str, usize); 7] = [
        ("µm", 1.0 / 25.4, 0.0, "mil", 3),
        ("mm", 1.0 / 25.4, 0.0, "in", 2),
        ("m", 1.0 / 0.3048, 0.0, "ft", 1),
        ("mm/s", 1.0 / 25.4, 0.0, "in/s", 1),
        ("m/s", 1.0 / 0.3048, 0.0, "ft/s", 1),
        ("kPa", 1.0 / 6.894_757_293_168, 0.0, "psi", 2),
        ("°C", 1.8, 32.0, "°F", 0),
    ];
    let bare = number.trim_start_matches(['(', '"']);
    let value: f64 = bare.parse().ok()?;
    let sign = unit.trim_end_matches(|c: char| ".,;:)\"".contains(c));
    let (_, factor, shift, us, digits) = TABLE.iter().find(|row| row.0 == sign)?;
    let (before, after) = (&number[..number.len() - bare.len()], &unit[sign.len()..]);
    let shown = value * factor + shift;
    Some(format!("{before}{shown:.digits$} {us}{after}"))
}

/// A number as it was written, in at most four digits: "33.33" for
/// "33.3333333"; what is no number stays as it is.
pub(crate) fn short_number(text: &str) -> String {
    let Ok(value) = text.parse::<f64>() else {
        return text.to_owned();
    };
    let is_plain = value == 0.0 || (1e-3..1e6).contains(&value.abs());
    if !is_plain || !value.is_finite() {
        return text.to_owned();
    }
    let before = if value == 0.0 {
        0.0
    } else {
        value.abs().log10().floor().max(0.0)
    };
    let decimals = (3.0 - before).max(0.0) as usize;
    let rounded = format!("{value:.decimals$}");
    let short = if rounded.contains('.') {
        rounded
            .trim_end_matches('0')
            .trim_end_matches('.')
            .to_owned()
    } else {
        rounded
    };
    if short.parse::<f64>() == Ok(value) || short.len() < text.len() {
        short
    } else {
        text.to_owned()
    }
}

/// The units a picture speaks.
pub(crate) fn picture_units(units: Units) -> figure::Units {
    match units {
        Units::Metric => figure::Units::Metric,
        Units::Us => figure::Units::Customary,
    }
}

/// "191 s" as "3 min 11 s".
pub(crate) fn duration(seconds: f64) -> String {
    let whole = seconds.round();
    if seconds < 9.95 {
        format!("{seconds:.1} s")
    } else if whole < 120.0 {
        format!("{whole:.0} s")
    } else {
        let minutes = (whole / 60.0).floor();
        format!("{minutes:.0} min {:.0} s", whole - 60.0 * minutes)
    }
}

/// Values as a row of bars, from `low` to `high`, at most `width` signs.
pub(crate) fn bars(values: &[f64], (low, high): (f64, f64), width: usize) -> String {
    const SIGNS: [char; 9] = [' ', '▁', '▂', '▃', '▄', '▅', '▆', '▇', '█'];
    let every = values.len().div_ceil(width.max(1)).max(1);
    let sign = |part: &[f64]| {
        let most = part.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let share = ((most - low) / (high - low)).clamp(0.0, 1.0);
        if share.is_nan() {
            ' '
        } else {
            SIGNS[(share * 8.0).round() as usize]
        }
    };
    values.chunks(every).map(sign).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_shop_in_us_units_reads_mil_fahrenheit_inches_and_psi() {
        assert_eq!(Kind::Depth.told(2.54, Units::Us), "0.100 mil");
        assert_eq!(Kind::Temperature.told(60.0, Units::Us), "140 °F");
        assert_eq!(Kind::Warmth.told(10.0, Units::Us), "18.0 °F");
        assert_eq!(Kind::Place.told(0.3048, Units::Us), "12.0 in");
        assert_eq!(Kind::Path.told(3.048, Units::Us), "10 ft");
        assert_eq!(Kind::Pressure.told(6.894_757, Units::Us), "1.00 psi");
        assert_eq!(Kind::Depth.told(f64::NAN, Units::Us), "not stated mil");
    }

    #[test]
    fn a_sentence_of_the_bench_is_said_in_inches_and_psi() {
        let told = in_words(
            "pad.thickness (25 mm); stiffness (50 kPa). At 60 °C, over 43 °C and 71 °C. 10 mms",
            Units::Us,
        );
        assert_eq!(
            told,
            "pad.thickness (0.98 in); stiffness (7.25 psi). At 140 °F, over 109 °F and 160 °F. 10 mms"
        );
        assert_eq!(in_words("25 mm", Units::Metric), "25 mm");
    }

    #[test]
    fn a_varied_value_is_told_in_four_digits() {
        for (came, told) in [
            ("33.3333333", "33.33"),
            ("0.125", "0.125"),
            ("1500", "1500"),
            ("4e-12", "4e-12"),
            ("0.66666667", "0.667"),
            ("2.50", "2.5"),
            ("flat", "flat"),
        ] {
            assert_eq!(short_number(came), told);
        }
        assert_eq!(Kind::Depth.told(0.5, Units::Us), "0.0197 mil");
        assert!((Kind::Temperature.meant(140.0, Units::Us) - 60.0).abs() < 1e-12);
    }

    #[test]
    fn long_times_are_minutes_and_sixty_seconds_never_stand_beside_them() {
        assert_eq!(duration(191.0), "3 min 11 s");
        assert_eq!(duration(5.0), "5.0 s");
        assert_eq!(duration(119.7), "2 min 0 s");
        assert_eq!(duration(179.9), "3 min 0 s");
    }

    #[test]
    fn bars_rise_with_the_value_and_fit() {
        assert_eq!(bars(&[0.0, 0.5, 1.0], (0.0, 1.0), 10), " ▄█");
        assert_eq!(bars(&[1.0; 100], (0.0, 1.0), 48).chars().count(), 34);
        assert_eq!(bars(&[f64::NAN], (0.0, 1.0), 5), " ");
        assert_eq!(bars(&[1.0], (0.0, 0.0), 5), "█");
    }
}
