//! What the terminal says of film readings and of a working day.
//!
//! Checked by: the app's tests on the examples.

use lapwing_job::exposure::DayExposure;
use lapwing_job::record::Caution;
use lapwing_job::record::job::Units;
use serde_json::Value;

use crate::words::{film as film_words, film_number, film_unit, in_units, wrapped};

/// Film statistics of panels, from the document of `lapwing film`.
#[must_use]
pub fn film(document: &Value, units: Units) -> String {
    let unit = film_unit(units);
    let panels = document["panels"].as_array();
    let names = panels.into_iter().flatten().map(name_shown);
    let wide = names
        .map(|name| name.chars().count() + 1)
        .fold(24, usize::max)
        .min(44);
    let mut out = vec![format!(
        "{:<wide$}{:>7}{:>9}{:>9}{:>9}{:>15}{:>9}  {}",
        "panel", "count", "mean", "sd", "median", "clear left", "may go", "bound by"
    )];
    out.push(format!(
        "{:<wide$}{:>7}{:>9}{:>9}{:>9}{:>15}{:>9}",
        "", "", unit, unit, unit, unit, unit
    ));
    for panel in panels.into_iter().flatten() {
        out.push(panel_row(panel, wide, units));
        out.extend(panel_notes(panel, units));
        for finding in panel["findings"].as_array().into_iter().flatten() {
            for line in wrapped(&in_units(finding.as_str().unwrap_or(""), units), 94) {
                out.push(format!("    {line}"));
            }
        }
    }
    out.extend(wrapped(&clear_from(document), 98));
    out.extend(next_words(document, units));
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

/// Where the clear coats stated come from.
fn clear_from(document: &Value) -> String {
    let panels = document["panels"].as_array().into_iter().flatten();
    let (read, worked_out): (Vec<&Value>, Vec<&Value>) = panels
        .filter(|p| !p["clear_left_um"].is_null())
        .partition(|p| p["clear_left_um"]["provenance"] == "measured");
    let how = "worked out from an assumed layer build, never measured";
    let names: Vec<&str> = read.iter().map(|p| name_shown(p)).collect();
    match (names.is_empty(), worked_out.is_empty()) {
        (true, _) => format!("Film is measured. Clear left is {how}."),
        (_, true) => {
            "Film is measured, and so is clear left: the gauge read the layer itself.".to_owned()
        }
        _ => format!(
            "Film is measured. Clear left is measured where the gauge read the layer itself ({}); elsewhere it is {how}.",
            names.join(", ")
        ),
    }
}

/// A panel's line; its name takes `wide` signs.
fn panel_row(panel: &Value, wide: usize, units: Units) -> String {
    let number = |v: &Value| {
        v.as_f64()
            .map_or_else(|| "-".to_owned(), |um| film_number(um, units))
    };
    let clear = &panel["clear_left_um"];
    let clear = if clear.is_null() {
        "-".to_owned()
    } else {
        format!("{} ± {}", number(&clear["mean"]), number(&clear["sd"]))
    };
    format!(
        "{:<wide$}{:>7}{:>9}{:>9}{:>9}{:>15}{:>9}  {}",
        name_shown(panel),
        panel["count"],
        number(&panel["mean_um"]),
        number(&panel["sd_um"]),
        number(&panel["median_um"]),
        clear,
        number(&panel["budget_um"]),
        panel["binding_rule"].as_str().unwrap_or("-"),
    )
}

/// The user's name of a panel, ours where there is none.
fn name_shown(panel: &Value) -> &str {
    let shown = panel["shown"].as_str().or(panel["name"].as_str());
    shown.unwrap_or("-")
}

/// What stands under a panel's line: what the clear rests on, and the map.
fn panel_notes(panel: &Value, units: Units) -> Vec<String> {
    let mut notes = Vec::new();
    if let Some(layers) = panel["layers"].as_str() {
        notes.push(layers.to_owned());
    }
    let field = &panel["field"];
    if let (Some(lower), Some(reach)) = (
        panel["map_lower_um"].as_f64(),
        field["range_u_mm"]
            .as_f64()
            .zip(field["range_v_mm"].as_f64()),
    ) {
        let reach = match units {
            Units::Metric => format!("{:.0} by {:.0} mm", reach.0, reach.1),
            Units::Us => format!("{:.0} by {:.0} in", reach.0 / 25.4, reach.1 / 25.4),
        };
        notes.push(format!(
            "map on {} places: thinnest plausible place {}; readings tell of {reach} around them; \
             edges count {} thinner ({})",
            field["places"],
            film_words(lower, units),
            film_words(field["edge"]["drop_um"].as_f64().unwrap_or(f64::NAN), units),
            field["edge"]["provenance"].as_str().unwrap_or("assumed"),
        ));
    }
    if let Some(reason) = panel["no_map"].as_str() {
        notes.push(reason.to_owned());
    }
    let lines = notes.iter().flat_map(|note| wrapped(note, 94));
    lines.map(|line| format!("    {line}")).collect()
}

/// Where the gauge goes next.
fn next_words(document: &Value, units: Units) -> Vec<String> {
    let Some(planned_um) = document["planned_removal_um"].as_f64() else {
        return Vec::new();
    };
    let head = format!(
        "Next readings, judged by whether {} may go (a usual polish, common practice):",
        film_words(planned_um, units)
    );
    let mut out = vec![head];
    let said = document["next_words"].as_array().into_iter().flatten();
    for words in said {
        let name = words["shown"].as_str().unwrap_or("-");
        let text = words["text"].as_str().unwrap_or("");
        let lines = wrapped(&format!("{name}: {text}"), 94);
        out.extend(lines.into_iter().map(|line| format!("    {line}")));
    }
    out
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
    for Caution { place, text, .. } in &dose.cautions {
        out.extend(wrapped(&format!("Caution, {place}: {text}"), 98));
    }
    out.join("\n") + "\n"
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn the_foot_says_which_clear_coats_were_read_and_which_worked_out() {
        let of = |marks: &[(&str, &str)]| {
            let panel = |(name, mark): &(&str, &str)| json!({"name": name, "clear_left_um": {"mean": 44.0, "sd": 2.0, "provenance": mark}});
            clear_from(&json!({"panels": marks.iter().map(panel).collect::<Vec<_>>()}))
        };
        assert!(of(&[("roof", "measured")]).contains("so is clear left"));
        assert!(!of(&[("roof", "measured")]).contains("never measured"));
        assert!(of(&[("roof", "assumed")]).ends_with("never measured."));
        let both = of(&[("roof", "measured"), ("bonnet", "assumed")]);
        assert!(
            both.contains("(roof)") && both.contains("elsewhere"),
            "{both}"
        );
    }
}
