//! What the terminal says of film readings and of a working day.
//!
//! Checked by: the app's tests on the examples.

use lapwing_job::exposure::DayExposure;
use lapwing_job::record::Caution;
use lapwing_job::record::job::Units;
use serde_json::Value;

use crate::words::{film_number, film_unit, in_units, wrapped};

/// Film statistics of panels, from the document of `lapwing film`.
#[must_use]
pub fn film(document: &Value, units: Units) -> String {
    let unit = film_unit(units);
    let mut out = vec![format!(
        "{:<24}{:>7}{:>9}{:>9}{:>9}{:>15}{:>9}  {}",
        "panel", "count", "mean", "sd", "median", "clear left", "may go", "bound by"
    )];
    out.push(format!(
        "{:<24}{:>7}{:>9}{:>9}{:>9}{:>15}{:>9}",
        "", "", unit, unit, unit, unit, unit
    ));
    let number = |v: &Value| {
        v.as_f64()
            .map_or_else(|| "-".to_owned(), |um| film_number(um, units))
    };
    for panel in document["panels"].as_array().into_iter().flatten() {
        let clear = &panel["clear_left_um"];
        let clear = if clear.is_null() {
            "-".to_owned()
        } else {
            format!("{} ± {}", number(&clear["mean"]), number(&clear["sd"]))
        };
        out.push(format!(
            "{:<24}{:>7}{:>9}{:>9}{:>9}{:>15}{:>9}  {}",
            panel["name"].as_str().unwrap_or("-"),
            panel["count"],
            number(&panel["mean_um"]),
            number(&panel["sd_um"]),
            number(&panel["median_um"]),
            clear,
            number(&panel["budget_um"]),
            panel["binding_rule"].as_str().unwrap_or("-"),
        ));
        for finding in panel["findings"].as_array().into_iter().flatten() {
            for line in wrapped(&in_units(finding.as_str().unwrap_or(""), units), 94) {
                out.push(format!("    {line}"));
            }
        }
    }
    out.push(
        "Film is measured. Clear left is worked out from an assumed layer build, never measured."
            .to_owned(),
    );
    for part in ["gauge", "repaint"] {
        let words = document[part]["words"].as_str().unwrap_or("");
        out.extend(wrapped(&in_units(words, units), 98));
    }
    for caution in document["cautions"].as_array().into_iter().flatten() {
        let text = format!(
            "Caution, {}: {}",
            caution["place"].as_str().unwrap_or(""),
            caution["text"].as_str().unwrap_or("")
        );
        out.extend(wrapped(&in_units(&text, units), 98));
    }
    out.join("\n") + "\n"
}

/// Dose of a day.
#[must_use]
pub fn day(dose: &DayExposure) -> String {
    let minutes =
        |m: Option<f64>| m.map_or_else(|| "no limit".to_owned(), |m| format!("{m:.0} min"));
    let mut out = vec![
        format!(
            "Hands   A(8) {:.2} m/s², {:.0} points (100 action value, 400 limit value)",
            dose.a8_m_s2, dose.points
        ),
        format!(
            "        last machine from zero: {} to the action value, {} to the limit value",
            minutes(dose.minutes_to_action_value),
            minutes(dose.minutes_to_limit_value)
        ),
        format!(
            "        last machine after the others of this day: {} to the action value",
            minutes(dose.minutes_left_to_action_value)
        ),
        format!("        rule: {}", dose.rule),
        format!(
            "Ears    L_EX,8h {}, NIOSH dose {:.0} %, OSHA dose {:.0} %",
            dose.noise_lex8h_db
                .map_or_else(|| "not stated".to_owned(), |db| format!("{db:.1} dB(A)")),
            dose.noise_dose_niosh_pct,
            dose.noise_dose_osha_pct
        ),
    ];
    for Caution { place, text } in &dose.cautions {
        out.extend(wrapped(&format!("Caution, {place}: {text}"), 98));
    }
    out.join("\n") + "\n"
}
