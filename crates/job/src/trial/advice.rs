//! What to do after a trial, in sentences.
//!
//! Law: none; finished numbers are weighed against each other.
//! Source: own rules; heat limits `Source::HeatLimits`, which disagree.
//! Holds: for the setup that was tried.
//! Left out: other setups; the plan weighs those.
//! Checked by: the tests of the station.

use super::Trial;
use super::result::TrialResult;
use crate::record::seen::LEARNT_FRAC;

/// Surface temperature over which the trade stops, °C.
const STOP_C: f64 = 60.0;
/// Few guesses of the prior left standing: the readings were sharp.
const NOTHING_FRAC: f64 = 0.9;

pub(super) fn advice(result: &TrialResult, trial: &Trial) -> Vec<String> {
    let mut advice = Vec::new();
    advice.extend(detection(result));
    advice.extend(wish(result, trial));
    advice.extend(wall(result));
    advice.extend(knee(result));
    advice.extend(heat(result));
    advice.extend(next_reading(result, trial));
    advice
}

fn detection(result: &TrialResult) -> Option<String> {
    let removed = result.removed_um?;
    if result.detectable {
        return None;
    }
    let more = result
        .pairs_needed_for_1um
        .map(|n| n.saturating_sub(removed.pairs).max(1));
    let pairs = match more {
        Some(1) => "1 more pair".to_owned(),
        Some(n) => format!("{n} more pairs"),
        None => "far more pairs".to_owned(),
    };
    Some(format!(
        "Not told apart from nothing: {pairs} would show 1 µm with this gauge."
    ))
}

fn wish(result: &TrialResult, trial: &Trial) -> Option<String> {
    let wished = 100.0 * trial.wish_frac;
    let target = result
        .targets
        .iter()
        .find(|t| (t.correction_pct - wished).abs() < 1e-6)?;
    let (Some(film_um), Some(passes), Some(minutes)) =
        (target.removal_um, target.passes, target.minutes)
    else {
        return Some(format!(
            "{wished:.0} % is out of reach of polishing on this panel."
        ));
    };
    if target.is_within_budget == Some(false) {
        return Some(format!(
            "{wished:.0} % would cost {film_um:.1} µm, more than may go: do not promise it here."
        ));
    }
    Some(format!(
        "{wished:.0} % costs {film_um:.1} µm, about {} and {} a section.",
        counted(passes.ceil(), "pass", "passes"),
        counted(minutes.round(), "minute", "minutes")
    ))
}

/// A whole number with its word.
fn counted(number: f64, one: &str, many: &str) -> String {
    format!("{number:.0} {}", if number == 1.0 { one } else { many })
}

fn wall(result: &TrialResult) -> Option<String> {
    let budget_um = result.budget_um?;
    let last = result
        .curve
        .iter()
        .rev()
        .find(|p| p.is_within_budget == Some(true));
    Some(match last {
        Some(point) => format!(
            "The {budget_um:.1} µm that may go reach {:.0} % after {}, at the upper end of the cut rate.",
            point.correction_pct,
            counted(point.passes, "pass", "passes")
        ),
        None => format!(
            "One pass of this setup may take more than the {budget_um:.1} µm that may go: use a gentler one."
        ),
    })
}

fn knee(result: &TrialResult) -> Option<String> {
    let knee = result.knee?;
    Some(format!(
        "The next {:.0} % cost as much film as the first {:.0} %: stop near {:.1} µm unless one scratch matters.",
        knee.next_points, knee.correction_pct, knee.removal_um
    ))
}

fn heat(result: &TrialResult) -> Option<String> {
    let hot = result
        .curve
        .iter()
        .find(|p| p.peak_upper_c.is_some_and(|c| c > STOP_C))?;
    Some(format!(
        "Let it cool before pass {:.0}: the surface may pass {STOP_C:.0} °C there.",
        hot.passes
    ))
}

/// The reading that would teach most next.
fn next_reading(result: &TrialResult, trial: &Trial) -> Option<String> {
    if result.posterior.effective_sample_size > NOTHING_FRAC * result.posterior.draws as f64 {
        return Some("The readings say next to nothing: what stands here was believed before. Read at least five pairs and two photos.".to_owned());
    }
    if trial.photos.is_empty() {
        return Some(
            "A lamp photo before and after would show how deep these scratches are: now assumed."
                .to_owned(),
        );
    }
    if result.cut_rate_per_pa.learnt_frac < LEARNT_FRAC {
        return Some(
            "More pairs would teach most: the cut rate is hardly narrower than believed."
                .to_owned(),
        );
    }
    if trial.surface.is_none() {
        return Some("A thermometer reading right after the passes would narrow the heat: friction is assumed.".to_owned());
    }
    (trial.photos.len() < 2).then(|| {
        "A second photo after more passes would show the deep tail: it decides what 95 % costs."
            .to_owned()
    })
}
