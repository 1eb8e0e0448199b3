//! The picture and the sheet of a test spot.
//!
//! Law: none; values are placed as they come.
//! Checked by: the figure tests, and by looking.

use lapwing_job::trial::TrialResult;
use lapwing_job::trial::curve::{Gone, Knee, Target};
use lapwing_job::trial::result::Learnt;
use serde_json::{Value, json};

use crate::figure::Theme;
pub use crate::figure::correction::AxisWords;
use crate::figure::correction::{CorrectionFigure, CorrectionPlace, Flag, correction_figure};
use crate::pictures::units as figure_units;
use crate::trial_words::{fine, on_curve};
use crate::words::{NBSP, film_number, heat_number, heat_unit, in_units};
use lapwing_job::record::job::Units;

/// Film at the right end of the curve, µm: the last row, but never less than
/// the wall with a little air.
pub(crate) fn most_um(result: &TrialResult) -> f64 {
    let rows = result.curve.last().map_or(1.0, |p| p.removal_um);
    let wall = result.budget_um.map_or(0.0, |um| 1.1 * um);
    rows.max(wall).clamp(0.1, 60.0)
}

/// Minutes for a micrometre; 0 where they cannot be stated.
pub(crate) fn minutes_per_um(result: &TrialResult) -> f64 {
    result
        .curve
        .last()
        .filter(|p| p.removal_um > 0.0)
        .map_or(0.0, |p| p.minutes / p.removal_um)
}

/// How the curve is set, and in which words.
#[derive(Clone, Debug)]
pub struct CurveLook {
    /// Width, px.
    pub width_px: f64,
    /// Height without caption, px.
    pub height_px: f64,
    /// The colours of the page.
    pub theme: Theme,
    /// Name over the picture.
    pub title: String,
    /// A sentence under it; may be empty.
    pub caption: String,
    /// Along the axes.
    pub axes: AxisWords,
    /// Film in µm or mil.
    pub units: Units,
    /// At the wall, with the film and its unit in `{0}`.
    pub wall: String,
    /// At the knee, with the next and the first per cent in `{0}` and `{1}`.
    pub knee: String,
    /// At the place that was tried.
    pub spot: String,
}

/// `curve.svg`.
///
/// # Errors
/// A sentence when the curve has no shape, which is our fault.
pub fn curve(result: &TrialResult, units: Units) -> Result<String, String> {
    let look = CurveLook {
        width_px: 720.0,
        height_px: 430.0,
        theme: Theme::PRINT,
        title: "What correction costs".to_owned(),
        caption: caption(result),
        axes: AxisWords::default(),
        units,
        wall: "may go {0}, at the upper end".to_owned(),
        knee: "the next {0} % cost as much film as the first {1} %".to_owned(),
        spot: "this spot".to_owned(),
    };
    curve_on(result, &look)
}

/// The curve in other words, colours or size.
///
/// # Errors
/// As [`curve`].
pub fn curve_on(result: &TrialResult, look: &CurveLook) -> Result<String, String> {
    let place = |g: &Gone| CorrectionPlace {
        film_um: g.film_um,
        gone_pct: 100.0 * g.mean_frac,
        lower_pct: 100.0 * g.lower_frac,
        upper_pct: 100.0 * g.upper_frac,
    };
    let start = CorrectionPlace {
        film_um: 0.0,
        gone_pct: 0.0,
        lower_pct: 0.0,
        upper_pct: 0.0,
    };
    let knee = |knee: Knee| Flag {
        film_um: knee.removal_um,
        gone_pct: knee.correction_pct,
        words: look
            .knee
            .replace("{0}", &format!("{:.0}", knee.next_points))
            .replace("{1}", &format!("{:.0}", knee.correction_pct)),
    };
    let wall = |(safe_um, um): (f64, f64)| {
        (
            safe_um,
            look.wall.replace("{0}", &with_unit(um, look.units)),
        )
    };
    let figure = CorrectionFigure {
        title: look.title.clone(),
        caption: look.caption.clone(),
        places: std::iter::once(start)
            .chain(result.smooth.iter().map(place))
            .collect(),
        most_um: most_um(result),
        minutes_per_um: minutes_per_um(result),
        wall: result.safe_um.zip(result.budget_um).map(wall),
        knee: result.knee.map(knee),
        spot: spot(result, &look.spot),
        theme: look.theme,
        width_px: look.width_px,
        height_px: look.height_px,
        axes: look.axes.clone(),
        units: figure_units(look.units),
    };
    correction_figure(&figure).map_err(|e| e.to_string())
}

/// Film with its unit, with the letter our type has.
fn with_unit(um: f64, units: Units) -> String {
    format!("{} {}", fine(um, units), printed_unit(units))
}

fn printed_unit(units: Units) -> &'static str {
    match units {
        Units::Metric => "μm",
        Units::Us => "mil",
    }
}

fn caption(result: &TrialResult) -> String {
    let ground = match (
        result.cut_rate_per_pa.provenance.word(),
        result.scratch_depth_um.provenance.word(),
    ) {
        ("calibrated", "calibrated") => "Cut rate and depths are learnt on this car.",
        ("calibrated", _) => "The cut rate is learnt, the scratch depths are assumed.",
        _ => "Cut rate and depths are assumed.",
    };
    format!("The band holds 19 times in 20. {ground} All passes like the one tried.")
}

fn spot(result: &TrialResult, words: &str) -> Option<Flag> {
    let film_um = result.removed_inferred_um.mean;
    Some(Flag {
        film_um,
        gone_pct: 100.0 * on_curve(&result.smooth, film_um)?.mean_frac,
        words: words.to_owned(),
    })
}

/// The object under the key `sheet` of `trial.pdf`.
#[must_use]
pub fn sheet(result: &TrialResult, units: Units) -> Value {
    let title = if result.name.is_empty() {
        "Test spot".to_owned()
    } else {
        format!("Test spot: {}", result.name)
    };
    json!({
        "title": title,
        "subtitle": "What one spot taught, and what correction will cost.",
        "job": title,
        "date": result.about.date,
        "lead": lead(result, units),
        "about": about(result),
        "known": known(result),
        "units": {"film": printed_unit(units), "heat": heat_unit(units)},
        "targets": result.targets.iter().map(|t| target(t, units)).collect::<Vec<_>>(),
        "marks": {"film": result.scratch_depth_um.provenance.word(), "peak": result.friction_share.provenance.word(), "minutes": "common practice"},
        "advice": result.advice.iter().map(|a| in_units(a, units)).collect::<Vec<_>>(),
        "cautions": result.cautions.iter().map(|c| json!({"place": c.place, "text": in_units(&c.text, units)})).collect::<Vec<_>>(),
        "provenance_note": "Clear coat is worked out, not measured.",
    })
}

/// Car, day, machine, pad, abrasive and pass, each with its head.
fn about(result: &TrialResult) -> Vec<Value> {
    let about = &result.about;
    let rows = [
        ("car", &about.car),
        ("date", &about.date),
        ("machine", &about.machine),
        ("pad", &about.pad),
        ("abrasive", &about.abrasive),
        ("pass", &about.pass),
        ("paint", &about.paint),
    ];
    let told = rows.into_iter().filter(|(_, words)| !words.is_empty());
    told.map(|(head, words)| json!({"head": head, "words": words}))
        .collect()
}

/// Cut rate and friction share: best guess, ends, what was believed, origin.
fn known(result: &TrialResult) -> Vec<Value> {
    let row = |what: &str, learnt: &Learnt, told: &dyn Fn(f64) -> String| {
        json!({
            "what": what,
            "mean": told(learnt.mean),
            "range": format!("{} to {}", told(learnt.lower_95), told(learnt.upper_95)),
            "before": format!("{} to {}", told(learnt.prior_lower_95), told(learnt.prior_upper_95)),
            "mark": learnt.provenance.word(),
            "origin": learnt.origin,
            "learnt": format!("{:.0}{NBSP}%", 100.0 * learnt.learnt_frac),
        })
    };
    vec![
        row(
            "cut rate, 10⁻¹²/Pa",
            &result.cut_rate_per_pa,
            &|per_pa| format!("{:.2}", 1e12 * per_pa),
        ),
        row("friction share", &result.friction_share, &|share| {
            format!("{share:.2}")
        }),
    ]
}

fn lead(result: &TrialResult, units: Units) -> Value {
    let (unit, fine) = (printed_unit(units), |um: f64| fine(um, units));
    let removed = result.removed_um.map_or_else(
        || json!({"figure": "-", "unit": unit, "text": "taken off: not measured"}),
        |r| {
            json!({
                "figure": fine(r.mean), "unit": unit, "mark": "measured",
                "text": format!("taken off ({} to {}), {}{NBSP}{}", fine(r.lower_95), fine(r.upper_95), r.pairs, if r.pairs == 1 { "pair" } else { "pairs" }),
            })
        },
    );
    let depth = &result.scratch_depth_um;
    let beyond = if units == Units::Us {
        "over 2.4"
    } else {
        "over 60"
    };
    let um = |v: Option<f64>| v.map_or_else(|| beyond.to_owned(), fine);
    let rate = &result.cut_rate_per_pa;
    let budget = result.budget_um.map_or_else(|| "-".to_owned(), fine);
    json!([
        removed,
        {"figure": fine(result.pass_um.mean), "unit": unit, "mark": rate.provenance.word(),
         "text": format!("a pass ({} to {}), {:.0}{NBSP}s", fine(result.pass_um.lower_95), fine(result.pass_um.upper_95), result.pass_s)},
        {"figure": um(depth.p80), "unit": unit, "mark": depth.provenance.word(),
         "text": format!("clears 80{NBSP}% of the scratch length; half is gone at {}{NBSP}{unit}", um(depth.p50))},
        {"figure": budget, "unit": unit, "text": result.binding_rule.as_deref().map_or_else(|| "may go: not stated".to_owned(), |rule| format!("may go ({rule})"))},
    ])
}

fn target(t: &Target, units: Units) -> Value {
    let film = |um: Option<f64>| um.map_or_else(|| "-".to_owned(), |um| fine(um, units));
    let whole = |um: Option<f64>| um.map_or_else(|| "-".to_owned(), |um| film_number(um, units));
    let told = |value: Option<f64>, digits: usize| {
        value.map_or_else(|| "-".to_owned(), |v| format!("{v:.digits$}"))
    };
    json!({
        "gone": format!("{:.0} %", t.correction_pct),
        "film": film(t.removal_um),
        "range": format!("{} to {}", film(t.removal_lower_95_um), film(t.removal_upper_95_um)),
        "passes": told(t.passes, 1),
        "minutes": told(t.minutes, 0),
        "clear": whole(t.clear_left_um),
        "clear_lower": whole(t.clear_left_lower_95_um),
        "peak": t.peak_c.map_or_else(|| "-".to_owned(), |c| heat_number(c, units)),
        "within": match t.is_within_budget { Some(true) => "yes", Some(false) => "no", None => "-" },
    })
}

#[cfg(test)]
pub(crate) mod sample {
    //! A small trial, worked out for the tests of words and pictures.

    use lapwing_job::trial::{TrialResult, read_trial, trial};

    const SPOT: &str = r#"[gauge]
repeatability = "0.6 um"
[setup]
machine = "rotary"
speed = "1500 rpm"
pad = "125 mm"
force = "40 N"
arm_speed = "50 mm/s"
passes = 4
section = ["0.5 m", "0.5 m"]
[film]
budget = "6 um"
clear_left = "42 um"
[[reading]]
before = "112.4 um"
after = "109.8 um"
[[reading]]
before = "113.1 um"
after = "110.0 um"
[[photo]]
passes = 4
density_before = 1.8
density_after = 0.5
"#;

    pub(crate) fn result() -> TrialResult {
        let none = |name: &str| Err(name.to_owned());
        let read = read_trial("trial.toml", SPOT, &none).expect("reads");
        trial(&read).expect("is worked out")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::figure::svg_is_well_formed;

    #[test]
    fn the_picture_says_wall_knee_and_spot() {
        let text = curve(&sample::result(), Units::Metric).expect("a picture");
        svg_is_well_formed(&text);
        for words in ["may go 6.0 μm", "this spot", "cost as much film"] {
            assert!(text.contains(words), "{words}");
        }
    }

    #[test]
    fn the_sheet_holds_only_words() {
        let sheet = sheet(&sample::result(), Units::Us);
        assert_eq!(sheet["targets"].as_array().map(Vec::len), Some(5));
        assert!(sheet["lead"][0]["figure"].is_string());
        let text = sheet.to_string();
        assert!(
            !text.contains("NaN") && !text.contains("μm") && !text.contains("°C"),
            "{text}"
        );
        assert!(
            sheet["known"][0]["origin"] == "calibrated on this car"
                && sheet["known"][1]["origin"] == "assumed"
                && sheet["known"][1]["range"]
                    .as_str()
                    .is_some_and(|r| r.contains(" to ")),
            "{}",
            sheet["known"]
        );
        assert!(
            text.contains("rotary") && text.contains("foam cutting"),
            "{text}"
        );
    }
}
