//! What the posterior says of each unknown, beside what was believed.
//!
//! Law: none of its own; means, ends and spreads of `posterior`.
//! Source: see `posterior`.
//! Holds: a number counts as learnt on this car when something was read that
//! could move it, and that brought a fifth of what is known
//! ([`crate::record::seen`]). What is handed on carries what was seen apart.
//! Left out: how the unknowns hang together; the draws keep that.
//! Checked by: the tests of the station.

use lapwing_measure::Provenance;

use super::Trial;
use super::curve::{GoneCurve, Line, of_sorted};
use super::evidence::Evidence;
use super::pooling::has_taught;
use super::posterior::{Draw, Posterior};
use super::prior::{self, Belief, Believed, ON_THIS_CAR, UNIT_CUT_RATE};
use super::result::{Learnt, Range, ScratchDepth, Teaching};
use crate::record::calibration::{KnownDepths, KnownTrial, LogNormal, written_trial};
use crate::record::seen::{LEARNT_FRAC, Seen, learnt_frac};

pub(super) fn sd_over_mean(known: &Posterior) -> f64 {
    let mean = known.ln_cut_rate.mean_of(f64::exp);
    let square = known.ln_cut_rate.mean_of(|x| (2.0 * x).exp());
    (square / (mean * mean) - 1.0).max(0.0).sqrt()
}

pub(super) fn cut_rate_of(known: &Posterior, belief: &Belief, evidence: &Evidence) -> Learnt {
    let at = |p: f64| known.ln_cut_rate.quantile(p).exp() * UNIT_CUT_RATE;
    let learnt = Learnt {
        mean: known.ln_cut_rate.mean_of(f64::exp) * UNIT_CUT_RATE,
        lower_95: at(0.025),
        upper_95: at(0.975),
        median: at(0.5),
        ..Learnt::believed(belief.cut_rate)
    };
    let is_seen = !evidence.pairs_um.is_empty() || !evidence.photos.is_empty();
    learnt.after(known.ln_cut_rate.sd() / belief.cut_rate.ln_sd, is_seen)
}

pub(super) fn friction_of(known: &Posterior, belief: &Belief, evidence: &Evidence) -> Learnt {
    let at = |p: f64| known.ln_friction.quantile(p).exp();
    let learnt = Learnt {
        mean: known.ln_friction.mean_of(f64::exp),
        lower_95: at(0.025),
        upper_95: at(0.975),
        median: at(0.5),
        ..Learnt::believed(belief.friction)
    };
    let spread = known.ln_friction.sd() / belief.friction.ln_sd;
    learnt.after(spread, evidence.warmth.is_some())
}

pub(super) fn scratch_depth(
    smooth: &GoneCurve,
    known: &Posterior,
    (belief, evidence): (&Belief, &Evidence),
) -> ScratchDepth {
    let film = |share: f64, line: Line| smooth.film_for(share, line);
    let count = known.draws.len() as f64;
    ScratchDepth {
        p50: film(0.5, Line::Mean),
        p80: film(0.8, Line::Mean),
        p95: film(0.95, Line::Mean),
        p50_lower_95: film(0.5, Line::Upper),
        p50_upper_95: film(0.5, Line::Lower),
        spread_over_prior: spread(known, |d| d.depths.ln_median) / belief.depths.median_um.ln_sd,
        deep_share: known.draws.iter().map(|d| d.depths.deep_frac).sum::<f64>() / count,
        provenance: mark(are_depths_learnt(known, belief, evidence)),
    }
}

/// Whether the photos brought enough of what is known of the depths.
fn are_depths_learnt(known: &Posterior, belief: &Belief, evidence: &Evidence) -> bool {
    let after = spread(known, |d| d.depths.ln_median);
    let before = belief.depths.median_um.ln_sd;
    !evidence.photos.is_empty() && learnt_frac(before, after) >= LEARNT_FRAC
}

/// Deviation of a number over the draws.
fn spread(known: &Posterior, of: impl Fn(&Draw) -> f64) -> f64 {
    let count = known.draws.len() as f64;
    let mean = known.draws.iter().map(&of).sum::<f64>() / count;
    let squares = known.draws.iter().map(|d| (of(d) - mean).powi(2));
    (squares.sum::<f64>() / count).sqrt()
}

fn mark(is_learnt: bool) -> Provenance {
    if is_learnt {
        Provenance::Calibrated
    } else {
        Provenance::Assumed
    }
}

pub(super) fn floor_of(known: &Posterior, belief: &Belief) -> Range {
    let mut floors: Vec<f64> = known.draws.iter().map(|d| d.floor).collect();
    floors.sort_unstable_by(f64::total_cmp);
    Range {
        mean: floors.iter().sum::<f64>() / floors.len() as f64,
        lower_95: of_sorted(&floors, 0.025),
        upper_95: of_sorted(&floors, 0.975),
        provenance: mark(
            learnt_frac(belief.floor.ln_sd, spread(known, |d| d.floor.ln())) >= LEARNT_FRAC,
        ),
    }
}

/// What the next car and the plan may use.
pub(super) fn teaching(
    trial: &Trial,
    known: &Posterior,
    (belief, evidence): (&Belief, &Evidence),
) -> Teaching {
    let count = known.draws.len() as f64;
    let mean = |of: fn(&Draw) -> f64| known.draws.iter().map(of).sum::<f64>() / count;
    let depths = KnownDepths {
        defects: trial.defects,
        median_um: mean(|d| d.depths.ln_median).exp().clamp(0.01, 50.0),
        ln_spread: mean(|d| d.depths.ln_spread).clamp(0.05, 3.0),
        deep_frac: mean(|d| d.depths.deep_frac).min(0.9),
    };
    let rate = LogNormal {
        median: known.ln_cut_rate.mean().exp() * UNIT_CUT_RATE,
        ln_sd: known.ln_cut_rate.sd(),
    };
    let friction = LogNormal {
        median: known.ln_friction.mean().exp(),
        ln_sd: known.ln_friction.sd(),
    };
    let is_friction_learnt = evidence.warmth.is_some()
        && learnt_frac(belief.friction.ln_sd, friction.ln_sd) >= LEARNT_FRAC;
    let known_trial = KnownTrial {
        car: trial.car.clone(),
        pad: trial.class.pad,
        abrasive: trial.class.abrasive,
        behaviour: trial.class.behaviour,
        cut_rate: LogNormal {
            // The same middle as in the answer, so that there is one figure.
            median: known.ln_cut_rate.quantile(0.5).exp() * UNIT_CUT_RATE,
            ..rate
        },
        cut_rate_seen: if evidence.pairs_um.is_empty() && evidence.photos.is_empty() {
            Seen::Nothing
        } else {
            Seen::between(belief.cut_rate, rate)
        },
        friction: is_friction_learnt.then_some(friction),
        friction_seen: Seen::between(belief.friction, friction),
        depths: are_depths_learnt(known, belief, evidence).then_some(depths),
    };
    Teaching {
        is_learnt: has_taught(&known_trial) || known_trial.friction.is_some(),
        toml: written_trial(&known_trial),
        trial: known_trial,
    }
}

impl Learnt {
    fn believed(number: LogNormal) -> Self {
        Self {
            mean: number.median,
            lower_95: number.lower_95(),
            upper_95: number.upper_95(),
            median: number.median,
            provenance: Provenance::Assumed,
            origin: prior::ASSUMED,
            prior_median: number.median,
            prior_lower_95: number.lower_95(),
            prior_upper_95: number.upper_95(),
            prior_origin: prior::ASSUMED,
            spread_over_prior: 1.0,
            learnt_frac: 0.0,
        }
    }

    fn after(mut self, spread_over_prior: f64, is_seen: bool) -> Self {
        self.spread_over_prior = spread_over_prior;
        self.learnt_frac = if is_seen {
            learnt_frac(1.0, spread_over_prior)
        } else {
            0.0
        };
        if self.learnt_frac >= LEARNT_FRAC {
            self.provenance = Provenance::Calibrated;
            self.origin = ON_THIS_CAR;
        }
        self
    }

    pub(super) fn told_before(&mut self, before: Believed) {
        self.prior_origin = before.origin;
        if self.origin != ON_THIS_CAR {
            self.provenance = before.provenance;
            self.origin = before.origin;
        }
    }
}
