//! What in a trial's readings is doubtful, in sentences.
//!
//! Law: prior and readings disagree when a reading lies in the outer half per
//! cent of what was believed, either end: for pairs P(d̄) from
//! ∫N(d̄; h, 2σ²/n)·p(h) dh, for the thermometer the same over the friction
//! share, for a photo over depths, floor and the cut rate after the pairs. A
//! photo disagrees with the others when it lies three deviations off what all
//! readings together expect. A number is hardly learnt when the readings
//! brought less than a fifth of what is known ([`crate::record::seen`]).
//! Source: own rules. Holds: as cautions; nothing is thrown away.
//! Left out: which reading is to blame.
//! Checked by: the tests of the station.

use lapwing_measure::estimate::NORMAL_975;
use lapwing_measure::statistics::quantile::normal_cdf;

use super::Trial;
use super::evidence::{Evidence, PhotoPair};
use super::pairs::Removed;
use super::posterior::{DRAWS, Draw, Posterior, infer};
use super::prior::{Belief, UNIT_CUT_RATE};
use crate::record::calibration::LogNormal;
use crate::record::seen::{LEARNT_FRAC, learnt_frac};
use crate::record::{Caution, Part, Said, Sentence};

/// Outer share at either end that counts as disagreement.
const OUTER_FRAC: f64 = 0.005;
/// A time this many times the way's is said to hold pauses.
const PAUSED: f64 = 1.05;
/// So few guesses left standing that a sum over guesses would be off by a tenth
/// (1/√100): belief and readings are too far apart to pass over in silence.
const FEW: f64 = 100.0;
/// Deviations off the middle of a belief from which few guesses are told.
const FAR: f64 = 2.0;
/// Equal slices of a belief.
const SLICES: usize = 199;
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

/// Readings that leave hardly a guess standing: why, and what to check. Where
/// they merely are sharp, which is good, nothing is said.
fn few_stand(known: &Posterior, belief: &Belief) -> Option<Caution> {
    let stand = known.standing_frac * DRAWS as f64;
    let before = (belief.cut_rate.median / UNIT_CUT_RATE).ln();
    let off = (known.ln_cut_rate.mean() - before) / belief.cut_rate.ln_sd;
    (stand < FEW && off.abs() > FAR).then(|| {
        let parts = [
            Part::Number(DRAWS as f64, 0),
            Part::Number(stand, 0),
            Part::Number(off.abs(), 1),
        ];
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
    let excluded = removed.and_then(|removed| prior_disagrees(removed, belief, evidence));
    if let Some(removed) = removed {
        doubts.extend(few_or_wide(trial, removed));
    }
    if excluded.is_none() {
        doubts.extend(hardly_learnt(known, belief, evidence));
        doubts.extend(few_stand(known, belief));
    }
    doubts.extend(excluded);
    doubts.extend(warmth_disagrees(known, belief, evidence));
    doubts.extend(photos_disagree(known, belief, evidence));
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
    let seen = |rate: f64| normal_cdf((removed.mean - rate * per_rate_um) / sd_um);
    if !is_outside(below(belief.cut_rate, seen)) {
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

/// A chance in the outer half per cent at either end.
fn is_outside(below: f64) -> bool {
    below.min(1.0 - below) < OUTER_FRAC
}

/// Chance, over a belief, that a reading comes out at or under what it was.
fn below(belief: LogNormal, seen: impl Fn(f64) -> f64) -> f64 {
    let slice = |at: usize| {
        let share = (at as f64 + 0.5) / SLICES as f64;
        let z = lapwing_measure::statistics::quantile::normal(share).unwrap_or(0.0);
        seen(belief.median * (z * belief.ln_sd).exp())
    };
    (0..SLICES).map(slice).sum::<f64>() / SLICES as f64
}

fn warmth_disagrees(known: &Posterior, belief: &Belief, evidence: &Evidence) -> Option<Caution> {
    let warm = evidence.warmth?;
    let seen = |share: f64| normal_cdf((warm.rise_k - share * warm.unit_rise_k) / warm.sd_k);
    if !is_outside(below(belief.friction, seen)) {
        return None;
    }
    let (low, high) = (belief.friction.lower_95(), belief.friction.upper_95());
    let parts = [
        Part::Rise(warm.rise_k),
        Part::Number(low, 2),
        Part::Number(high, 2),
        Part::Rise(low * warm.unit_rise_k),
        Part::Rise(high * warm.unit_rise_k),
        Part::Number(known.ln_friction.mean_of(f64::exp), 2),
    ];
    Some(Caution::of(
        "measured.surface_temperature",
        Said::new(Sentence::WarmthDisagrees, parts),
    ))
}

/// What draws expect of a photo: mean, deviation with the photo's own error,
/// and the chance that it comes out at or under what it read.
struct Expected {
    mean: f64,
    sd: f64,
    below: f64,
}

impl Expected {
    fn of(draws: &[Draw], photo: &PhotoPair, pass_um: f64) -> Self {
        let (mut mean, mut square, mut error, mut below) = (0.0, 0.0, 0.0, 0.0);
        for draw in draws {
            let at = |passes: f64| draw.depths.left((pass_um * passes).ln() + draw.ln_cut_rate);
            let left = (
                at(photo.passes_before),
                at(photo.passes_before + photo.passes),
            );
            let (expected, variance) = photo.expected(left, draw.floor);
            mean += expected;
            square += expected * expected;
            error += variance;
            below += normal_cdf((photo.after - expected) / variance.sqrt());
        }
        let count = draws.len() as f64;
        let (mean, error) = (mean / count, error / count);
        let spread = (square / count - mean * mean).max(0.0);
        Self {
            mean,
            sd: (spread + error).sqrt(),
            below: below / count,
        }
    }
}

fn photos_disagree(known: &Posterior, belief: &Belief, evidence: &Evidence) -> Vec<Caution> {
    if evidence.photos.is_empty() {
        return Vec::new();
    }
    let blind = Evidence {
        photos: Vec::new(),
        ..evidence.clone()
    };
    let before = infer(belief, &blind);
    let said = |photo: &PhotoPair| {
        let all = Expected::of(&known.draws, photo, evidence.pass_um);
        let passes = photo.passes_before + photo.passes;
        let reads = format!(
            "The photo after {passes:.0} {} reads {:.2} mm/mm²",
            if passes == 1.0 { "pass" } else { "passes" },
            photo.after
        );
        if (photo.after - all.mean).abs() > APART * all.sd {
            return Some(format!(
                "{reads}; everything together expects {:.2}. Other light, or the wrong number of passes?",
                all.mean
            ));
        }
        let then = Expected::of(&before.as_ref().ok()?.draws, photo, evidence.pass_um);
        is_outside(then.below).then(|| {
            let low = (then.mean - NORMAL_975 * then.sd).max(0.0);
            format!(
                "{reads}, but {low:.2} to {:.2} was believed before it, from the depths of such defects and the film that went. The prior all but excludes the photo: check paint.defects, its light and the passes.",
                then.mean + NORMAL_975 * then.sd
            )
        })
    };
    let told = evidence.photos.iter().filter_map(said);
    told.map(|text| Caution::new("photo", text)).collect()
}

fn hardly_learnt(known: &Posterior, belief: &Belief, evidence: &Evidence) -> Option<Caution> {
    let spread = known.ln_cut_rate.sd() / belief.cut_rate.ln_sd;
    if evidence.pairs_um.is_empty() || learnt_frac(1.0, spread) >= LEARNT_FRAC {
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
