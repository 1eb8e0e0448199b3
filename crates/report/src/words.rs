//! Numbers as people read them: film, heat, time and money in the shop's units.
//!
//! Law: none; factors are exact (1 mil = 25.4 µm, °F = 1.8 °C + 32).
//! Holds: finite numbers. Anything else prints as "not stated".
//! Checked by: the tests below.

use lapwing_job::plan::{PanelPlan, Plan};
use lapwing_job::record::job::Units;
use lapwing_measure::Provenance;

/// "for 2 of 9 panels" behind `before`, where hours and price are not for all;
/// else nothing.
#[must_use]
pub fn for_some_panels(price: &lapwing_job::plan::Price, before: &str) -> String {
    price
        .panels_counted
        .filter(|panels| !panels.is_whole())
        .map_or_else(String::new, |panels| {
            format!("{before}for {} of {} panels", panels.counted, panels.all)
        })
}

/// No-break space before a unit.
pub const NBSP: char = '\u{a0}';

/// Film thickness with its unit: "2.7 µm", "0.11 mil".
#[must_use]
pub fn film(um: f64, units: Units) -> String {
    format!("{}{NBSP}{}", film_number(um, units), film_unit(units))
}

/// Film thickness without its unit.
#[must_use]
pub fn film_number(um: f64, units: Units) -> String {
    match units {
        _ if !um.is_finite() => "not stated".to_owned(),
        Units::Metric if um.abs() >= 20.0 => format!("{um:.0}"),
        Units::Metric => format!("{um:.1}"),
        Units::Us => format!("{:.2}", um / 25.4),
    }
}

/// Unit of film.
#[must_use]
pub fn film_unit(units: Units) -> &'static str {
    match units {
        Units::Metric => "µm",
        Units::Us => "mil",
    }
}

/// An area with its unit: "5.2 m²", "56 ft²"; 1 ft² = 0.09290304 m² exactly.
#[must_use]
pub fn area(m2: f64, units: Units) -> String {
    match units {
        Units::Metric => format!("{m2:.1} m²"),
        Units::Us => format!("{:.0} ft²", m2 / 0.092_903_04),
    }
}

/// Temperature without its unit.
#[must_use]
pub fn heat_number(celsius: f64, units: Units) -> String {
    match units {
        _ if !celsius.is_finite() => "not stated".to_owned(),
        Units::Metric => format!("{celsius:.0}"),
        Units::Us => format!("{:.0}", celsius * 1.8 + 32.0),
    }
}

/// Unit of temperature.
#[must_use]
pub fn heat_unit(units: Units) -> &'static str {
    match units {
        Units::Metric => "°C",
        Units::Us => "°F",
    }
}

/// Arm speed with its unit.
#[must_use]
pub fn arm_speed(mm_s: f64, units: Units) -> String {
    match units {
        Units::Metric => format!("{mm_s:.0}{NBSP}mm/s"),
        Units::Us => format!("{:.1}{NBSP}in/s", mm_s / 25.4),
    }
}

/// The edge of a section: "43 cm", "17 in".
#[must_use]
pub fn section_edge(edge_m: f64, units: Units) -> String {
    match units {
        Units::Metric => format!("{:.0} cm", edge_m * 100.0),
        Units::Us => format!("{:.0} in", edge_m / 0.0254),
    }
}

/// What a material costs; a dash when the job gives no prices.
#[must_use]
pub fn cost(amount: f64, price: &lapwing_job::plan::Price) -> String {
    if price.gross.is_some() {
        money(amount, &price.currency)
    } else {
        "-".to_owned()
    }
}

/// Money: "£1 234.50", "GBP" kept where there is no sign.
#[must_use]
pub fn money(amount: f64, currency: &str) -> String {
    let sign = match currency {
        "GBP" => "£",
        "USD" => "$",
        "EUR" => "€",
        _ => "",
    };
    let digits = grouped(amount);
    if sign.is_empty() {
        format!("{digits}{NBSP}{currency}")
    } else {
        format!("{sign}{digits}")
    }
}

fn grouped(amount: f64) -> String {
    let text = format!("{:.2}", amount.abs());
    let (whole, part) = text.split_once('.').unwrap_or((&text, "00"));
    let mut out = String::new();
    for (at, digit) in whole.chars().enumerate() {
        if at > 0 && (whole.len() - at) % 3 == 0 {
            out.push('\u{202f}');
        }
        out.push(digit);
    }
    let minus = if amount < 0.0 { "\u{2212}" } else { "" };
    format!("{minus}{out}.{part}")
}

/// Hours as "11.2 h", short times in minutes.
#[must_use]
pub fn hours(h: f64) -> String {
    if h < 1.0 {
        format!("{:.0}{NBSP}min", h * 60.0)
    } else {
        format!("{h:.1}{NBSP}h")
    }
}

/// An amount of material in the shop's units: "31 ml", "1.0 fl oz".
#[must_use]
pub fn amount(value: f64, unit: &str, units: Units) -> String {
    let (value, unit, digits) = match (units, unit) {
        (Units::Us, "ml") => (value / 29.573_529_562_5, "fl oz", 1),
        (Units::Us, "g") => (value / 28.349_523_125, "oz", 1),
        (Units::Us, "m") => (value / 0.304_8, "ft", 0),
        (Units::Us, "l") => (value / 3.785_411_784, "gal", 0),
        (_, "pieces") if value.round() == 1.0 => (value, "piece", 0),
        _ => (value, unit, 0),
    };
    format!("{value:.digits$}{NBSP}{unit}")
}

/// A sentence of the stations in the shop's units: every "12.7 µm" becomes
/// "0.50 mil" and every "45 °C" becomes "113 °F" for a shop in US units.
#[must_use]
pub fn in_units(text: &str, units: Units) -> String {
    if units == Units::Metric {
        return text.to_owned();
    }
    let mut out = String::new();
    let mut rest = text;
    while let Some((number_at, unit_at, end, shown)) = next_quantity(rest) {
        debug_assert!(number_at < unit_at);
        out.push_str(&rest[..number_at]);
        out.push_str(&shown);
        rest = &rest[end..];
    }
    out + rest
}

/// The first "number unit" in a text: where the number and the unit start,
/// where the unit ends, and how a US shop writes it.
fn next_quantity(text: &str) -> Option<(usize, usize, usize, String)> {
    let units = ["µm", "°C"];
    let (unit_at, unit) = units
        .iter()
        .filter_map(|u| text.find(u).map(|at| (at, *u)))
        .min()?;
    let end = unit_at + unit.len();
    let before = text[..unit_at].trim_end_matches([' ', NBSP]);
    let number_at = before
        .rfind(|c: char| !c.is_ascii_digit() && c != '.')
        .map_or(0, |at| {
            at + before[at..].chars().next().map_or(1, char::len_utf8)
        });
    let shown = match (before[number_at..].parse::<f64>(), unit) {
        // Whole micrometres are not known to a hundredth of a mil.
        (Ok(um), "µm") if um >= 20.0 && !before[number_at..].contains('.') => {
            format!("{:.1}{NBSP}mil", um / 25.4)
        }
        (Ok(um), "µm") => film(um, Units::Us),
        (Ok(celsius), _) => format!("{}{NBSP}°F", heat_number(celsius, Units::Us)),
        (Err(_), _) => text[number_at..end].to_owned(),
    };
    Some((number_at, unit_at, end, shown))
}

/// Breaks a text into lines of at most `width` characters, at spaces.
#[must_use]
pub fn wrapped(text: &str, width: usize) -> Vec<String> {
    let mut lines = Vec::new();
    let mut line = String::new();
    for word in text.split(' ') {
        if !line.is_empty() && line.chars().count() + 1 + word.chars().count() > width {
            lines.push(std::mem::take(&mut line));
        }
        if !line.is_empty() {
            line.push(' ');
        }
        line.push_str(word);
    }
    lines.push(line);
    lines
}

/// Whether a gauge that resolves layers read a panel's clear coat.
pub(crate) fn is_clear_read(panel: &PanelPlan) -> bool {
    panel
        .clear_left_um
        .is_some_and(|clear| clear.provenance == Provenance::Measured)
}

/// Whether the clear coats of a plan are worked out or read.
pub(crate) fn clear_from(plan: &Plan) -> &'static str {
    let mut stated = plan.panels.iter().filter(|p| p.clear_left_um.is_some());
    if !plan.panels.iter().any(is_clear_read) {
        "Clear coat is worked out, not measured."
    } else if stated.all(is_clear_read) {
        "Clear coat is measured: the gauge read the layer itself."
    } else {
        "Clear coat is measured where the gauge read the layer itself, elsewhere worked out."
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_mil_is_25_4_um_and_60_c_is_140_f() {
        assert_eq!(film(2.54, Units::Us), "0.10\u{a0}mil");
        assert_eq!(heat_number(60.0, Units::Us), "140");
    }

    #[test]
    fn a_section_of_45_cm_has_an_edge_of_18_inches() {
        // 1 in = 25.4 mm exactly (NIST SP 811): 0.45 m = 17.7 in.
        assert_eq!(section_edge(0.45, Units::Metric), "45 cm");
        assert_eq!(section_edge(0.45, Units::Us), "18 in");
    }

    #[test]
    fn money_is_grouped_by_thin_spaces() {
        assert_eq!(money(1234.5, "GBP"), "£1\u{202f}234.50");
        assert_eq!(money(812.0, "NOK"), "812.00\u{a0}NOK");
    }

    #[test]
    fn a_litre_is_about_a_quarter_of_a_gallon() {
        assert_eq!(amount(100.0, "l", Units::Us), "26\u{a0}gal");
        assert_eq!(amount(30.0, "ml", Units::Us), "1.0\u{a0}fl oz");
        assert_eq!(amount(4.0, "pieces", Units::Us), "4\u{a0}pieces");
        assert_eq!(amount(1.0, "pieces", Units::Metric), "1\u{a0}piece");
    }

    #[test]
    fn a_sentence_is_said_in_mil_and_fahrenheit() {
        let said = in_units(
            "at most 12.7 µm, under 100 µm; warn at 45 °C. µm",
            Units::Us,
        );
        assert_eq!(
            said,
            "at most 0.50\u{a0}mil, under 3.9\u{a0}mil; warn at 113\u{a0}°F. µm"
        );
    }

    // 1 ft = 0.3048 m exactly (NIST SP 811, B.8), so 9.290304 m² are 100 ft².
    #[test]
    fn areas_and_thick_film_come_in_the_shops_units() {
        assert_eq!(area(9.290_304, Units::Us), "100 ft²");
        assert_eq!(area(5.24, Units::Metric), "5.2 m²");
        assert_eq!(film_number(117.6, Units::Us), "4.63");
    }

    #[test]
    fn lines_break_at_spaces() {
        assert_eq!(wrapped("one two three", 7), ["one two", "three"]);
    }
}
