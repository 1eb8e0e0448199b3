//! The picture and the sheet of a test spot.
//!
//! Law: none; values are placed as they come.
//! Checked by: the figure tests, and by looking.

use lapwing_job::trial::TrialResult;
use lapwing_job::trial::curve::{Gone, Knee, Target};
use serde_json::{Value, json};

use crate::figure::Theme;
pub use crate::figure::correction::AxisWords;
use crate::figure::correction::{CorrectionFigure, CorrectionPlace, Flag, correction_figure};
use crate::trial_words::on_curve;

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
    /// At the wall, with the film in `{0}`.
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
pub fn curve(result: &TrialResult) -> Result<String, String> {
    let look = CurveLook {
        width_px: 720.0,
        height_px: 430.0,
        theme: Theme::PRINT,
        title: "What correction costs".to_owned(),
        caption: caption(result),
        axes: AxisWords::default(),
        wall: "may go {0} μm".to_owned(),
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
    let wall = |um: f64| (um, look.wall.replace("{0}", &format!("{um:.1}")));
    let figure = CorrectionFigure {
        title: look.title.clone(),
        caption: look.caption.clone(),
        places: std::iter::once(start)
            .chain(result.smooth.iter().map(place))
            .collect(),
        most_um: most_um(result),
        minutes_per_um: minutes_per_um(result),
        wall: result.budget_um.map(wall),
        knee: result.knee.map(knee),
        spot: spot(result, &look.spot),
        theme: look.theme,
        width_px: look.width_px,
        height_px: look.height_px,
        axes: look.axes.clone(),
    };
    correction_figure(&figure).map_err(|e| e.to_string())
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
pub fn sheet(result: &TrialResult) -> Value {
    let title = if result.name.is_empty() {
        "Test spot".to_owned()
    } else {
        format!("Test spot: {}", result.name)
    };
    json!({
        "title": title,
        "subtitle": "What one spot taught, and what correction will cost.",
        "job": title,
        "lead": lead(result),
        "targets": result.targets.iter().map(target).collect::<Vec<_>>(),
        "marks": {"film": result.scratch_depth_um.provenance.word(), "peak": result.friction_share.provenance.word(), "minutes": "common practice"},
        "advice": result.advice,
        "cautions": result.cautions.iter().map(|c| json!({"place": c.place, "text": c.text})).collect::<Vec<_>>(),
        "provenance_note": "Clear coat is worked out, not measured.",
    })
}

fn lead(result: &TrialResult) -> Value {
    let removed = result.removed_um.map_or_else(
        || json!({"figure": "-", "unit": "μm", "text": "taken off: not measured"}),
        |r| {
            json!({
                "figure": format!("{:.1}", r.mean), "unit": "μm", "mark": "measured",
                "text": format!("taken off ({:.1} to {:.1}), {} pairs", r.lower_95, r.upper_95, r.pairs),
            })
        },
    );
    let depth = &result.scratch_depth_um;
    let um = |v: Option<f64>| v.map_or_else(|| "over 60".to_owned(), |um| format!("{um:.1}"));
    let rate = &result.cut_rate_per_pa;
    let budget = result
        .budget_um
        .map_or_else(|| "-".to_owned(), |um| format!("{um:.1}"));
    json!([
        removed,
        {"figure": format!("{:.2}", result.pass_um.mean), "unit": "μm", "mark": rate.provenance.word(),
         "text": format!("a pass ({:.2} to {:.2}), {:.0} s", result.pass_um.lower_95, result.pass_um.upper_95, result.pass_s)},
        {"figure": um(depth.p80), "unit": "μm", "mark": depth.provenance.word(),
         "text": format!("clears 80 % of the scratch length; half is gone at {} μm", um(depth.p50))},
        {"figure": budget, "unit": "μm", "text": result.binding_rule.as_deref().map_or_else(|| "may go: not stated".to_owned(), |rule| format!("may go ({rule})"))},
    ])
}

fn target(t: &Target) -> Value {
    let told = |value: Option<f64>, digits: usize| {
        value.map_or_else(|| "-".to_owned(), |v| format!("{v:.digits$}"))
    };
    json!({
        "gone": format!("{:.0} %", t.correction_pct),
        "film": told(t.removal_um, 1),
        "range": format!("{} to {}", told(t.removal_lower_95_um, 1), told(t.removal_upper_95_um, 1)),
        "passes": told(t.passes, 1),
        "minutes": told(t.minutes, 0),
        "clear": told(t.clear_left_um, 0),
        "clear_lower": told(t.clear_left_lower_95_um, 0),
        "peak": told(t.peak_c, 0),
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
        let text = curve(&sample::result()).expect("a picture");
        svg_is_well_formed(&text);
        for words in ["may go 6.0 μm", "this spot", "cost as much film"] {
            assert!(text.contains(words), "{words}");
        }
    }

    #[test]
    fn the_sheet_holds_only_words() {
        let sheet = sheet(&sample::result());
        assert_eq!(sheet["targets"].as_array().map(Vec::len), Some(5));
        assert!(sheet["lead"][0]["figure"].is_string());
        assert!(!sheet.to_string().contains("NaN"));
    }
}
