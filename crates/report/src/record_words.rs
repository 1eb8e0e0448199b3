//! What a hand-over record says in words: numbers with how sure, verdicts, and
//! the terminal's account of it.
//!
//! Law: none; figures are rounded to what their uncertainty justifies.
//! Holds: for a record as the station wrote it or as it was read back.
//! Checked by: the tests below and the app's tests of the example.

use std::fmt::Write as _;

use lapwing_job::handover::record::{Handed, HandedPanel, Told};
use lapwing_job::record::job::Units;

use crate::record_sheet::{cautions, remains};
use crate::words::{area, film_number, film_unit, hours, wrapped};

/// Width of the terminal's lines.
const WIDTH: usize = 92;

/// The record on the terminal, top to bottom.
#[must_use]
pub fn record(handed: &Handed, units: Units) -> String {
    let mut out = String::new();
    let _ = writeln!(out, "Hand-over: {}", handed.job);
    let parts = [
        Some(handed.car.description.as_str()),
        handed.date.as_deref(),
    ];
    let known: Vec<&str> = parts
        .into_iter()
        .flatten()
        .filter(|part| !part.trim().is_empty())
        .collect();
    let _ = writeln!(out, "{}\n", known.join(", "));
    let unit = film_unit(units);
    let _ = writeln!(
        out,
        "{:<28}{:>8}{:>8}   {:<19}{:<16}",
        format!("panel, {unit}"),
        "before",
        "after",
        "taken off",
        "clear left"
    );
    for panel in &handed.panels {
        let film = |f: Option<lapwing_job::handover::record::Film>| {
            f.map_or_else(|| "-".to_owned(), |f| film_number(f.mean, units))
        };
        let _ = writeln!(
            out,
            "{:<28}{:>8}{:>8}   {:<19}{:<16}",
            panel.spoken,
            film(panel.film_before_um),
            film(panel.film_after_um),
            taken_off(panel, units),
            clear_left(panel, units),
        );
    }
    out.push('\n');
    for one in remains(handed, units) {
        let text = |key: &str| one[key].as_str().unwrap_or_default().to_owned();
        paragraph(
            &mut out,
            &format!("{}: {} {}", text("place"), text("what"), text("why")),
        );
    }
    for doubt in cautions(handed, units) {
        let text = |key: &str| doubt[key].as_str().unwrap_or_default().to_owned();
        let said = format!("Caution, {}: {}", text("place"), text("text"));
        paragraph(&mut out, &said);
    }
    let _ = writeln!(out, "\n{}", spent(handed, units));
    out
}

fn paragraph(out: &mut String, text: &str) {
    for (at, line) in wrapped(text.trim(), WIDTH).iter().enumerate() {
        let _ = writeln!(out, "{}{line}", if at == 0 { "" } else { "  " });
    }
}

/// What the visit took, in a sentence.
#[must_use]
pub fn spent(handed: &Handed, units: Units) -> String {
    let time = handed.spent.minutes.map_or_else(
        || format!("{} planned, not noted", hours(handed.spent.planned_hours)),
        |m| hours(m / 60.0),
    );
    let film = handed.spent.film_um.map_or_else(String::new, |um| {
        format!(
            ", {} {} of film on average over {}",
            film_number(um, units),
            film_unit(units),
            area(handed.spent.worked_m2, units)
        )
    });
    format!("Spent: {time}{film}.")
}

/// "2.5 ± 0.4", "2.0 (1.1 to 3.8)", "under 0.9", "not polished", "not noted".
#[must_use]
pub fn taken_off(panel: &HandedPanel, units: Units) -> String {
    match (&panel.removed_um, panel.verdict.as_str()) {
        (None, "left") => "not polished".to_owned(),
        (None, _) => "not noted".to_owned(),
        (Some(told), "left") if told.upper_95 == 0.0 => "not polished".to_owned(),
        (Some(told), _) => match &panel.difference_um {
            Some(seen) if seen.lower_95 <= 0.0 => {
                format!("under {}", film_number(told.upper_95, units))
            }
            _ => with_ends(told, units),
        },
    }
}

/// A number with its 95 % ends.
#[must_use]
pub fn with_ends(told: &Told, units: Units) -> String {
    let number = |um: f64| film_number(um, units);
    let (below, above) = (told.mean - told.lower_95, told.upper_95 - told.mean);
    let is_even = (below - above).abs() <= 0.2 * (below + above) / 2.0 + 0.05;
    if is_even {
        format!("{} ± {}", number(told.mean), number((below + above) / 2.0))
    } else {
        format!(
            "{} ({} to {})",
            number(told.mean),
            number(told.lower_95),
            number(told.upper_95)
        )
    }
}

/// "38, at least 27"; a dash where it cannot be stated.
#[must_use]
pub fn clear_left(panel: &HandedPanel, units: Units) -> String {
    panel.clear_left_um.as_ref().map_or_else(
        || "not stated".to_owned(),
        |left| {
            format!(
                "{}, at least {}",
                film_number(left.mean, units),
                film_number(left.lower_95, units)
            )
        },
    )
}

/// The verdict for people.
#[must_use]
pub fn verdict(panel: &HandedPanel) -> &'static str {
    match panel.verdict.as_str() {
        "polished" => "polished",
        "part" => "polished in part",
        "left" => "left as it was",
        _ => "not noted",
    }
}

/// A hash or key in groups of four, the first `most` signs.
#[must_use]
pub fn grouped(hex: &str, most: usize) -> String {
    let signs: Vec<char> = hex.chars().take(most).collect();
    let groups: Vec<String> = signs.chunks(4).map(|c| c.iter().collect()).collect();
    groups.join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(mean: f64, lower_95: f64, upper_95: f64) -> Told {
        Told {
            mean,
            sd: 0.5,
            lower_95,
            upper_95,
            provenance: "measured".to_owned(),
            origin: String::new(),
        }
    }

    #[test]
    fn even_ends_are_one_number_and_lopsided_ends_are_two() {
        assert_eq!(with_ends(&told(2.5, 2.1, 2.9), Units::Metric), "2.5 ± 0.4");
        assert_eq!(
            with_ends(&told(2.0, 1.1, 3.8), Units::Metric),
            "2.0 (1.1 to 3.8)"
        );
        assert_eq!(
            with_ends(&told(25.4, 20.32, 30.48), Units::Us),
            "1.00 ± 0.20"
        );
    }

    #[test]
    fn a_hash_is_read_out_in_fours() {
        assert_eq!(grouped("0123456789abcdef", 10), "0123 4567 89");
    }
}
