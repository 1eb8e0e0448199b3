//! What to do after a trial, in sentences.
//!
//! Law: none; finished numbers are weighed against each other.
//! Source: own rules; heat limits `Source::HeatLimits`, which disagree.
//! Holds: for the setup that was tried.
//! Left out: other setups; the plan weighs those.
//! Checked by: the tests of the station.

use super::curve::{Knee, Target};
use super::result::TrialResult;
use super::{MOST_PASSES, Trial};
use crate::record::seen::LEARNT_FRAC;
use crate::record::{Part, Said, Sentence};

/// Surface temperature over which the trade stops, °C.
const STOP_C: f64 = 60.0;
/// Few guesses of the prior left standing: the readings were sharp.
const NOTHING_FRAC: f64 = 0.9;

pub(super) fn advice(result: &TrialResult, trial: &Trial) -> Vec<Said> {
    let mut advice = Vec::new();
    advice.extend(detection(result));
    advice.extend(wish(result, trial));
    advice.extend(wall(result));
    advice.extend(knee(result));
    advice.extend(heat(result));
    advice.extend(heat_ends(result));
    advice.extend(next_reading(result, trial));
    advice
}

fn detection(result: &TrialResult) -> Option<Said> {
    let removed = result.removed_um?;
    if result.detectable {
        return None;
    }
    let one_um = Part::Film(1.0, 0);
    let more = result
        .pairs_needed_for_1um
        .map(|n| n.saturating_sub(removed.pairs).max(1));
    Some(match more {
        None => Said::new(Sentence::NotToldApartFar, [one_um]),
        Some(1) => Said::new(Sentence::NotToldApartOne, [one_um]),
        Some(n) => Said::new(Sentence::NotToldApart, [Part::Number(n as f64, 0), one_um]),
    })
}

fn wish(result: &TrialResult, trial: &Trial) -> Option<Said> {
    let wished = 100.0 * trial.wish_frac;
    let percent = Part::Number(wished, 0);
    let target = result
        .targets
        .iter()
        .find(|t| (t.correction_pct - wished).abs() < 1e-6)?;
    let (Some(film_um), Some(passes), Some(minutes)) =
        (target.removal_um, target.passes, target.minutes)
    else {
        return Some(Said::new(Sentence::OutOfReach, [percent]));
    };
    if target.is_within_budget == Some(false) {
        let parts = [percent, Part::Film(film_um, 1)];
        return Some(Said::new(Sentence::CostsTooMuch, parts));
    }
    let parts = [
        percent,
        Part::Film(film_um, 1),
        Part::Number(passes.ceil(), 0),
        Part::Number(minutes, 0),
    ];
    Some(Said::new(Sentence::Costs, parts))
}

fn wall(result: &TrialResult) -> Option<Said> {
    let budget_um = result.budget_um?;
    let last = result
        .curve
        .iter()
        .rev()
        .find(|p| p.is_within_budget == Some(true));
    Some(match last {
        Some(point) => Said::new(
            Sentence::BudgetReaches,
            [
                Part::Film(budget_um, 1),
                Part::Number(point.correction_pct, 0),
                Part::Number(point.passes, 0),
            ],
        ),
        None => Said::new(Sentence::OnePassTooMuch, [Part::Film(budget_um, 1)]),
    })
}

fn knee(result: &TrialResult) -> Option<Said> {
    // Beyond what may go there is nothing to stop at.
    let is_safe = |knee: &Knee| result.safe_um.is_none_or(|um| knee.removal_um <= um);
    let knee = result.knee.filter(is_safe)?;
    let parts = [
        Part::Number(knee.next_points, 0),
        Part::Number(knee.correction_pct, 0),
        Part::Film(knee.removal_um, 1),
    ];
    Some(Said::new(Sentence::Knee, parts))
}

fn heat(result: &TrialResult) -> Option<Said> {
    let hot = result
        .curve
        .iter()
        .find(|p| p.peak_upper_c.is_some_and(|c| c > STOP_C))?;
    let parts = [Part::Number(hot.passes, 0), Part::Heat(STOP_C)];
    Some(Said::new(Sentence::CoolBeforePass, parts))
}

/// A wish without a peak, though it has passes.
fn heat_ends(result: &TrialResult) -> Option<Said> {
    let has_none = |t: &Target| t.passes.is_some() && t.peak_c.is_none();
    let wish = result.targets.iter().find(|t| has_none(t))?;
    let parts = [
        Part::Number(f64::from(MOST_PASSES), 0),
        Part::Number(wish.correction_pct, 0),
    ];
    Some(Said::new(Sentence::HeatEnds, parts))
}

/// The reading that would teach most next.
fn next_reading(result: &TrialResult, trial: &Trial) -> Option<Said> {
    if result.posterior.effective_sample_size > NOTHING_FRAC * result.posterior.draws as f64 {
        return Some(Sentence::SaysNothing.into());
    }
    if trial.photos.is_empty() {
        return Some(Sentence::LampPhoto.into());
    }
    if result.cut_rate_per_pa.learnt_frac < LEARNT_FRAC {
        return Some(Sentence::MorePairs.into());
    }
    if trial.surface.is_none() {
        return Some(Sentence::Thermometer.into());
    }
    (trial.photos.len() < 2).then(|| Sentence::SecondPhoto.into())
}
