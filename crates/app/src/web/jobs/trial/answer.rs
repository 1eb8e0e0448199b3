//! What a test spot answers: what went, the curve, the customer's wish and
//! what it costs, advice.
//!
//! Law: none; the wish is served by the least whole number of passes whose
//! best guess reaches it, as the trial worked it out. The advice's own sentence
//! of the wish is left out: one wish has one answer here.
//! Checked by: `tests/web_trial.rs`, and by looking.

use lapwing_job::record::Sentence;
use lapwing_job::record::seen::LEARNT_FRAC;
use lapwing_job::trial::TrialResult;
use lapwing_job::trial::curve::CurvePoint;
use lapwing_job::trial::result::Learnt;
use lapwing_measure::Provenance;
use lapwing_report::figure::Theme;
use lapwing_report::trial_pictures::{AxisWords, CurveLook, curve_on};
use maud::{Markup, html};

use super::super::super::numbers::Measure;
use super::super::super::page::{edit_fields, picture};
use super::super::super::refusal::Refusal;
use super::super::super::visitor::Visitor;
use super::super::super::words::{Message, film as film_say, frame, stations as say};
use super::super::Kept;
use crate::failure::Failure;

/// Least and most correction that can be wished, %.
pub(super) const WISHES_PCT: (f64, f64) = (30.0, 97.0);
/// Where the slider stands at first, %.
pub(super) const USUAL_PCT: f64 = 85.0;

/// The first row of the curve that reaches a wish.
pub(super) fn row_of(result: &TrialResult, wish_pct: f64) -> Option<&CurvePoint> {
    result
        .curve
        .iter()
        .find(|row| row.correction_pct >= wish_pct)
}

pub(super) fn content(
    visitor: &Visitor,
    kept: &Kept,
    result: &TrialResult,
) -> Result<Markup, Refusal> {
    let draw = |width_px: f64, height_px: f64| {
        let look = look(visitor, result, (width_px, height_px));
        curve_on(result, &look).map_err(|e| Refusal::from(Failure::Ours(e)))
    };
    Ok(html! {
        (figures(visitor, result))
        p.note { (taught(visitor, result)) }
        div.curve {
            div.lying { (picture(&visitor.picture_told(&draw(640.0, 400.0)?))) }
            div.upright { (picture(&visitor.picture_told(&draw(358.0, 330.0)?))) }
        }
        (wish(visitor, kept, result))
        section aria-label=(visitor.say(say::ADVICE)) {
            h2 { (visitor.say(say::ADVICE)) }
            ul { @for sentence in result.advised.iter().filter(|s| s.sentence != Sentence::Costs) { li { (visitor.said(sentence)) } } }
            @for caution in &result.cautions {
                p.caution { span.unseen { (visitor.say(frame::CAUTION)) ". " } (visitor.caution(caution)) }
            }
        }
        (rows(visitor, result))
    })
}

fn figures(visitor: &Visitor, result: &TrialResult) -> Markup {
    let film = |um: f64| visitor.with_unit(Measure::Film, um);
    let between = |low: f64, high: f64| {
        visitor.fill(
            say::BETWEEN,
            &[&visitor.bare(Measure::Film, low), &film(high)],
        )
    };
    let origin = |of: Provenance| visitor.say(provenance(of));
    let pass = &result.pass_um;
    html! {
        dl.figures {
            div { dt { (visitor.say(say::WENT)) } dd {
                @match &result.removed_um {
                    Some(r) => { (film(r.mean)) small { (between(r.lower_95, r.upper_95)) ", " (visitor.say(say::MEASURED))
                        @if !result.detectable { ", " (visitor.say(say::NOT_TOLD_APART)) } } }
                    None => { "–" small { (visitor.say(say::NO_PAIRS)) } }
                } } }
            div { dt { (visitor.say(say::A_PASS)) } dd { (film(pass.mean))
                small { (between(pass.lower_95, pass.upper_95)) ", " (origin(pass.provenance)) } } }
            div { dt { (visitor.say(say::HALF_GONE)) } dd { (result.scratch_depth_um.p50.map_or_else(|| "–".to_owned(), film))
                small { (origin(result.scratch_depth_um.provenance)) } } }
            div { dt { (visitor.say(film_say::MAY_GO)) } dd { (result.budget_um.map_or_else(|| "–".to_owned(), film))
                small { (visitor.say(if result.budget_um.is_some() { say::FROM_FILM } else { say::NO_BUDGET })) } } }
        }
    }
}

/// How much of what is known this spot taught.
fn taught(visitor: &Visitor, result: &TrialResult) -> String {
    let share = |of: &Learnt| format!("{}\u{a0}%", visitor.number(100.0 * of.learnt_frac, 0));
    let cut = &result.cut_rate_per_pa;
    let message = match cut.learnt_frac {
        LEARNT_FRAC.. => say::TAUGHT_CUT,
        0.005.. => say::TAUGHT_LITTLE,
        _ => say::TAUGHT_NOTHING,
    };
    let mut said = visitor.fill(message, &[&share(cut)]);
    if result.friction_share.learnt_frac > 0.005 {
        said.push(' ');
        said.push_str(&visitor.fill(say::TAUGHT_FRICTION, &[&share(&result.friction_share)]));
    }
    said
}

fn provenance(of: Provenance) -> Message {
    match of.word() {
        "measured" => say::MEASURED,
        "calibrated" => say::CALIBRATED,
        "sourced" => say::SOURCED,
        "common practice" => say::COMMON,
        _ => say::ASSUMED,
    }
}

fn look(visitor: &Visitor, result: &TrialResult, (width_px, height_px): (f64, f64)) -> CurveLook {
    let plain = |message: Message| visitor.say(message).to_owned();
    let is_learnt = result.cut_rate_per_pa.provenance.word() == "calibrated";
    CurveLook {
        width_px,
        height_px,
        theme: Theme::LIGHT,
        title: plain(say::CURVE),
        caption: plain(if is_learnt {
            say::CURVE_LEARNT
        } else {
            say::CURVE_ASSUMED
        }),
        axes: AxisWords {
            film: plain(say::AXIS_FILM),
            gone: plain(say::AXIS_GONE),
            minutes: plain(say::AXIS_MINUTES),
        },
        units: visitor.units,
        // The figure is written here, where the decimal sign is known.
        wall: result.budget_um.map_or_else(String::new, |um| {
            visitor.fill(say::WALL, &[&visitor.with_unit(Measure::Film, um)])
        }),
        knee: plain(say::KNEE),
        spot: plain(say::THIS_SPOT),
    }
}

/// The slider, and what the wish costs; the module shows the row that fits.
fn wish(visitor: &Visitor, kept: &Kept, result: &TrialResult) -> Markup {
    let chosen = kept.document.pointer("/trial/choice/wish_frac");
    let chosen_pct = chosen
        .and_then(serde_json::Value::as_f64)
        .map(|f| 100.0 * f);
    let now = chosen_pct.unwrap_or(USUAL_PCT);
    html! {
        form.wish method="post" action=(format!("/jobs/{}/trial", kept.id)) {
            (edit_fields(kept.version))
            input type="hidden" name="deed" value="choose";
            label for="wish" { (visitor.say(say::WISH)) }
            div.wish-line {
                input #wish type="range" name="wish_pct" min=(WISHES_PCT.0) max=(WISHES_PCT.1) step="1" value=(format!("{now:.0}"));
                output for="wish" { b { (visitor.number(now, 0)) } "\u{a0}%" }
            }
            p.wish-cost aria-live="polite" data-none=(visitor.say(say::OUT_OF_REACH)) { @if let Some(row) = row_of(result, now) { (cost(visitor, row)) } @else { (visitor.say(say::OUT_OF_REACH)) } }
            @if let Some(pct) = chosen_pct { p { span.plate.open { (visitor.say(say::CHOSEN)) } " " (visitor.number(pct, 0)) "\u{a0}%" } }
            button.main-deed { (visitor.say(say::CHOOSE_WISH)) }
            p.note { (visitor.say(say::CHOICE_FEEDS)) }
        }
    }
}

/// "4 passes, 2.7 µm, 6 min, 41 µm clear left, 45 °C".
fn cost(visitor: &Visitor, row: &CurvePoint) -> String {
    let mut parts = vec![
        visitor.fill(
            say::PASS_COUNT.of(row.passes as usize),
            &[&visitor.number(row.passes, 0)],
        ),
        visitor.with_unit(Measure::Film, row.removal_um),
        visitor.with_unit(Measure::Minutes, row.minutes),
    ];
    if let Some(um) = row.clear_left_lower_95_um {
        let least = visitor.with_unit(Measure::Film, um);
        parts.push(visitor.fill(say::CLEAR_AT_LEAST, &[&least]));
    }
    if let Some(c) = row.peak_c {
        parts.push(visitor.with_unit(Measure::Temperature, c));
    }
    if row.is_within_budget == Some(false) {
        parts.push(visitor.say(say::BEYOND_BUDGET).to_owned());
    }
    parts.join(" · ")
}

fn rows(visitor: &Visitor, result: &TrialResult) -> Markup {
    html! {
        details {
            summary { (visitor.say(say::PASS_BY_PASS)) }
            div.scroll tabindex="0" role="region" aria-label=(visitor.say(say::PASS_BY_PASS)) {
                table.numbers #rows {
                    thead { tr { th scope="col" { (visitor.say(say::GONE)) } th scope="col" { (visitor.say(say::COSTS)) } } }
                    tbody { @for row in &result.curve {
                        tr data-pct=(format!("{:.2}", row.correction_pct)) {
                            th scope="row" { (visitor.number(row.correction_pct, 0)) "\u{a0}% (" (visitor.number(row.correction_lower_pct, 0)) "–" (visitor.number(row.correction_upper_pct, 0)) ")" }
                            td { (cost(visitor, row)) }
                        } } }
                }
            }
        }
    }
}
