//! What in a trial's readings is doubtful, in sentences.
//!
//! Law: prior and pairs disagree when the mean of the pairs lies in the outer
//! half per cent of what was believed, either end: P(d̄) from
//! ∫N(d̄; h, 2σ²/n)·p(h) dh. A photo disagrees when it lies three deviations off
//! what all readings together expect. A number is hardly learnt when its spread
//! stays over nine tenths of what it was.
//! Source: own rules. Holds: as cautions; nothing is thrown away.
//! Left out: which reading is to blame.
//! Checked by: the tests of the station.

use lapwing_measure::statistics::quantile::normal_cdf;

use super::Trial;
use super::evidence::Evidence;
use super::pairs::Removed;
use super::posterior::{DRAWS, Posterior};
use super::prior::{Belief, UNIT_CUT_RATE};
use crate::record::{Caution, Part, Said, Sentence};

/// Outer share at either end that counts as disagreement.
const OUTER_FRAC: f64 = 0.005;
/// Share of the spread that must go for a number to count as learnt.
const HARDLY_FRAC: f64 = 0.9;
/// A time this many times the way's is said to hold pauses.
const PAUSED: f64 = 1.05;
/// Share of the guesses under which few are left standing.
const FEW_FRAC: f64 = 0.05;
/// Deviations at which a photo stands apart.
const APART: f64 = 3.0;

/// Refuses pairs that say the film grew by more than noise.
pub(super) fn paint_does_not_grow(removed: Option<&Removed>) -> Result<(), String> {
    let Some(removed) = removed else {
        return Ok(());
    };
    let gauge_upper = removed.mean + (removed.mean - removed.gauge_lower_95());
    if removed.mean < 0.0 && removed.upper_95.max(gauge_upper) < 0.0 {
        return Err(format!(
            "after is thicker than before by {:.1} µm on average, more than the gauge explains: paint does not grow. Swapped columns, another template place, or dust under the probe?",
            -removed.mean
        ));
    }
    Ok(())
}

/// Refuses a time in which the arm cannot have gone the way.
pub(super) fn time_is_possible(trial: &Trial, path_s: f64) -> Result<(), String> {
    match trial.time_s {
        Some(took_s) if took_s < 0.5 * path_s => Err(format!(
            "measured.time is {took_s:.0} s, but these passes at this arm speed take {path_s:.0} s: allowed is at least half of that. Correct the time, the arm speed, the passes or the section."
        )),
        _ => Ok(()),
    }
}

/// A time longer than the way is counted as pauses, and that is said.
pub(super) fn pauses(trial: &Trial, path_s: f64) -> Option<Caution> {
    let took_s = trial.time_s.filter(|s| *s > PAUSED * path_s)?;
    let parts = [
        Part::Seconds(took_s, 0),
        Part::Seconds(path_s, 0),
        Part::Seconds(took_s - path_s, 0),
        Part::Number(took_s / path_s, 2),
    ];
    Some(Caution::of(
        "measured.time",
        Said::new(Sentence::Paused, parts),
    ))
}

/// Readings that leave few guesses standing moved the belief far, or are sharp.
pub(super) fn few_stand(known: &Posterior) -> Option<Caution> {
    let stand = known.standing_frac * DRAWS as f64;
    (known.standing_frac < FEW_FRAC).then(|| {
        let parts = [Part::Number(DRAWS as f64, 0), Part::Number(stand, 0)];
        Caution::of("posterior", Said::new(Sentence::FewStand, parts))
    })
}

pub(super) fn doubts(
    trial: &Trial,
    removed: Option<&Removed>,
    known: &Posterior,
    (belief, evidence): (&Belief, &Evidence),
) -> Vec<Caution> {
    let mut doubts = Vec::new();
    if let Some(removed) = removed {
        doubts.extend(few_or_wide(trial, removed));
        doubts.extend(prior_disagrees(removed, belief, evidence));
    }
    doubts.extend(photos_disagree(known, evidence));
    doubts.extend(hardly_learnt(known, belief, evidence));
    doubts.extend(timing(trial));
    doubts
}

fn few_or_wide(trial: &Trial, removed: &Removed) -> Option<Caution> {
    if removed.agrees_too_well() {
        let said = Said::new(Sentence::AgreeTooWell, [Part::Film(trial.gauge_um, 1)]);
        return Some(Caution::of("gauge", said));
    }
    let um = removed.larger_gauge_um()?;
    let parts = [Part::Film(trial.gauge_um, 1), Part::Film(um, 1)];
    Some(Caution::of("gauge", Said::new(Sentence::SpreadMore, parts)))
}

fn prior_disagrees(removed: &Removed, belief: &Belief, evidence: &Evidence) -> Option<Caution> {
    let sd_um = removed.gauge_sd.max(removed.sd) / (removed.pairs as f64).sqrt();
    let per_rate_um = evidence.pass_um * evidence.passes / UNIT_CUT_RATE;
    // Equal slices of the belief.
    const SLICES: usize = 199;
    let below: f64 = (0..SLICES)
        .map(|at| {
            let share = (at as f64 + 0.5) / SLICES as f64;
            let z = lapwing_measure::statistics::quantile::normal(share).unwrap_or(0.0);
            let rate = belief.cut_rate.median * (z * belief.cut_rate.ln_sd).exp();
            normal_cdf((removed.mean - rate * per_rate_um) / sd_um)
        })
        .sum::<f64>()
        / SLICES as f64;
    if below.min(1.0 - below) >= OUTER_FRAC {
        return None;
    }
    let (low, high) = (
        belief.cut_rate.lower_95() * per_rate_um,
        belief.cut_rate.upper_95() * per_rate_um,
    );
    let parts = [
        Part::Film(removed.mean, 1),
        Part::FilmBare(low, 1),
        Part::Film(high, 1),
    ];
    Some(Caution::of(
        "prior",
        Said::new(Sentence::PriorDisagrees, parts),
    ))
}

fn photos_disagree(known: &Posterior, evidence: &Evidence) -> Vec<Caution> {
    let apart = |photo: &super::evidence::PhotoPair| {
        let (mut mean, mut square, mut error) = (0.0, 0.0, 0.0);
        for draw in &known.draws {
            let at = |passes: f64| {
                let ln_um = (evidence.pass_um * passes).ln() + draw.ln_cut_rate;
                draw.depths.left(ln_um)
            };
            let left = (
                at(photo.passes_before),
                at(photo.passes_before + photo.passes),
            );
            let (expected, variance) = photo.expected(left, draw.floor);
            mean += expected;
            square += expected * expected;
            error += variance;
        }
        let count = known.draws.len() as f64;
        let (mean, error) = (mean / count, error / count);
        let spread = (square / count - mean * mean).max(0.0);
        ((photo.after - mean).abs() > APART * (spread + error).sqrt()).then_some(mean)
    };
    evidence
        .photos
        .iter()
        .filter_map(|photo| {
            let expected = apart(photo)?;
            Some(Caution::new(
                "photo",
                format!(
                    "The photo after {:.0} passes reads {:.2} mm/mm²; everything together expects {expected:.2}. Other light, or the wrong number of passes?",
                    photo.passes_before + photo.passes,
                    photo.after
                ),
            ))
        })
        .collect()
}

fn hardly_learnt(known: &Posterior, belief: &Belief, evidence: &Evidence) -> Option<Caution> {
    let spread = known.ln_cut_rate.sd() / belief.cut_rate.ln_sd;
    if evidence.pairs_um.is_empty() || spread < HARDLY_FRAC {
        return None;
    }
    let percent = Part::Number(100.0 * spread.min(1.0), 0);
    Some(Caution::of(
        "reading",
        Said::new(Sentence::HardlyLearnt, [percent]),
    ))
}

fn timing(trial: &Trial) -> Option<Caution> {
    trial.surface.filter(|_| {
        let panel = &trial.setup.panel;
        panel.start != panel.air
    })?;
    Some(Caution::new(
        "setup.air_temperature",
        "The heat was worked out for air as warm as the panel's start; the friction share leans on that.",
    ))
}
