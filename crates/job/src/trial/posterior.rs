//! What a trial teaches, all unknowns together.
//!
//! Law: posterior ∝ prior × likelihood over ln k, the logarithm m of the median
//! scratch depth, their spread s, the deep share w, the photo's floor f, and
//! apart from them the friction share. Pairs see only k. Photos see only
//! ζ = m − ln k, s, w and f, because k and depth enter as their ratio. So the
//! whole is a sum over a grid of (ln k, ζ) times a grid of (s, w, f) for each
//! ζ: p(k)·L(pairs|k) · N(ζ + ln k; m₀) · Σ p(s, w, f)·L(photos|ζ, s, w, f).
//! Draws from it follow Halton's sequence, so the same input gives the same
//! draws.
//! Source: Bayes' rule; trapezoid sums (`Source::AbramowitzStegun1964`);
//! Halton 1960, Numer. Math. 2, p. 84 (from memory).
//! Holds: for data that move a cut rate by less than a factor of 1000.
//! Left out: nothing of the model of `evidence`.
//! Checked by: the closed form of normal data and normal prior, no data,
//! simulation-based calibration, coverage of the intervals, and a plain grid in
//! numpy (`compare.py`).

use lapwing_measure::statistics::quantile::normal;

use super::density::Density;
use super::evidence::{Depths, Evidence};
use super::prior::{Belief, UNIT_CUT_RATE};
use super::scratches::Scratches;
use crate::record::calibration::LogNormal;

/// Draws that stand for the posterior.
pub const DRAWS: usize = 4000;

/// What is known after the trial.
#[derive(Clone, Debug)]
pub struct Posterior {
    /// Logarithm of the cut rate in units of 1e-12 1/Pa.
    pub ln_cut_rate: Density,
    /// Logarithm of the friction share.
    pub ln_friction: Density,
    /// Draws of everything together.
    pub draws: Vec<Draw>,
    /// Share of the guesses of the prior that the readings leave standing, 0
    /// to 1; 1 when they say nothing.
    pub standing_frac: f64,
    /// Bits learnt on cut rate, median depth and friction.
    pub bits: Bits,
}

/// Bits learnt; halving what is possible is one bit.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Bits {
    /// On the cut rate.
    pub cut_rate: f64,
    /// On the friction share.
    pub friction: f64,
}

/// One draw.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Draw {
    /// Logarithm of the cut rate in units of 1e-12 1/Pa.
    pub ln_cut_rate: f64,
    /// Scratch depths.
    pub depths: Depths,
    /// The photo's floor, mm/mm².
    pub floor: f64,
    /// Friction share.
    pub friction: f64,
}

/// Nodes along the cut rate.
const NODES: usize = 401;
/// How far from the prior's middle, in its deviations.
const REACH: f64 = 8.0;
/// Below the top by this much, a height no longer counts (natural logarithm).
const FADED: f64 = 45.0;

/// Puts belief and evidence together.
///
/// # Errors
/// A sentence when nothing that is believed could have given what was read.
pub fn infer(belief: &Belief, evidence: &Evidence) -> Result<Posterior, String> {
    let nothing = || {
        "What was believed beforehand could never give these readings. Check the readings and passes, or give a wider [prior].".to_owned()
    };
    let cut = CutPart::new(belief, evidence);
    let scratches = Scratches::new(belief, evidence);
    let narrowed = cut.narrowed(&scratches);
    let logs: Vec<f64> = narrowed
        .nodes()
        .map(|ln_k| cut.ln_height(ln_k) + scratches.ln_sum(ln_k))
        .collect();
    let ln_cut_rate = Density::of_logs(narrowed.start, narrowed.step, &logs).ok_or_else(nothing)?;
    let ln_friction = friction(belief, evidence).ok_or_else(nothing)?;
    let draws = draws(&ln_cut_rate, &ln_friction, &scratches);
    let bits = Bits {
        cut_rate: ln_cut_rate.bits_over(bell(cut.prior)),
        friction: ln_friction.bits_over(bell(ln_of(belief.friction, 1.0))),
    };
    Ok(Posterior {
        standing_frac: standing(&cut, &scratches),
        ln_cut_rate,
        ln_friction,
        draws,
        bits,
    })
}

/// Mean and deviation of the logarithm of a number in some unit.
pub(super) fn ln_of(number: LogNormal, unit: f64) -> (f64, f64) {
    ((number.median / unit).ln(), number.ln_sd)
}

pub(super) fn bell((mean, sd): (f64, f64)) -> impl Fn(f64) -> f64 {
    move |x| (-0.5 * ((x - mean) / sd).powi(2)).exp() / (sd * (2.0 * std::f64::consts::PI).sqrt())
}

/// An even grid.
#[derive(Clone, Copy, Debug)]
pub(super) struct Grid {
    pub(super) start: f64,
    pub(super) step: f64,
    pub(super) count: usize,
}

impl Grid {
    pub(super) fn over(low: f64, high: f64, count: usize) -> Self {
        Self {
            start: low,
            step: (high - low) / (count - 1) as f64,
            count,
        }
    }

    pub(super) fn node(&self, at: usize) -> f64 {
        self.start + at as f64 * self.step
    }

    pub(super) fn nodes(&self) -> impl Iterator<Item = f64> + '_ {
        (0..self.count).map(|at| self.node(at))
    }

    /// The same number of nodes over the part that has not faded.
    pub(super) fn narrowed(&self, height: impl Fn(f64) -> f64) -> Self {
        let heights: Vec<f64> = self.nodes().map(height).collect();
        let top = heights.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let stands = |h: &f64| *h > top - FADED;
        let first = heights.iter().position(stands).unwrap_or(0);
        let last = heights.iter().rposition(stands).unwrap_or(self.count - 1);
        Self::over(
            self.node(first.saturating_sub(1)),
            self.node((last + 1).min(self.count - 1)),
            self.count,
        )
    }
}

/// Prior and pairs along the cut rate.
struct CutPart<'a> {
    prior: (f64, f64),
    evidence: &'a Evidence,
}

impl<'a> CutPart<'a> {
    fn new(belief: &Belief, evidence: &'a Evidence) -> Self {
        Self {
            prior: ln_of(belief.cut_rate, UNIT_CUT_RATE),
            evidence,
        }
    }

    fn removal_um(&self, ln_k: f64) -> f64 {
        ln_k.exp() * self.evidence.pass_um * self.evidence.passes
    }

    fn ln_height(&self, ln_k: f64) -> f64 {
        let off = (ln_k - self.prior.0) / self.prior.1;
        self.evidence.ln_pairs(self.removal_um(ln_k)) - 0.5 * off * off
    }

    /// From far below to far above both the prior and what the pairs say.
    fn wide(&self) -> Grid {
        let (mean, sd) = self.prior;
        let (mut low, mut high) = (mean - REACH * sd, mean + REACH * sd);
        let pairs = &self.evidence.pairs_um;
        let seen_um = pairs.iter().sum::<f64>() / pairs.len().max(1) as f64;
        let per_k_um = self.evidence.pass_um * self.evidence.passes;
        if seen_um > 0.0 && per_k_um > 0.0 {
            let ln_k = (seen_um / per_k_um).ln().clamp(mean - 7.0, mean + 7.0);
            low = low.min(ln_k - 1.0);
            high = high.max(ln_k + 1.0);
        }
        Grid::over(low, high, 4 * NODES)
    }

    fn narrowed(&self, scratches: &Scratches) -> Grid {
        let height = |ln_k: f64| self.ln_height(ln_k) + scratches.ln_sum(ln_k);
        let once = self.wide().narrowed(height);
        Grid {
            count: NODES,
            step: once.step * (once.count - 1) as f64 / (NODES - 1) as f64,
            ..once
        }
    }
}

fn friction(belief: &Belief, evidence: &Evidence) -> Option<Density> {
    let (mean, sd) = ln_of(belief.friction, 1.0);
    let height = |ln_share: f64| {
        let off = (ln_share - mean) / sd;
        let seen = evidence
            .warmth
            .map_or(0.0, |w| w.ln_likelihood(ln_share.exp()));
        seen - 0.5 * off * off
    };
    let grid = Grid::over(mean - REACH * sd, mean + REACH * sd, NODES).narrowed(height);
    let logs: Vec<f64> = grid.nodes().map(height).collect();
    Density::of_logs(grid.start, grid.step, &logs)
}

/// Square of the mean likelihood over the mean of its square, under the prior.
fn standing(cut: &CutPart<'_>, scratches: &Scratches) -> f64 {
    let (mean, sd) = cut.prior;
    let grid = cut.wide();
    let seen: Vec<(f64, f64)> = grid
        .nodes()
        .map(|ln_k| {
            let before = -0.5 * ((ln_k - mean) / sd).powi(2);
            (before, cut.ln_height(ln_k) - before)
        })
        .collect();
    let top = seen
        .iter()
        .map(|(_, l)| *l)
        .fold(f64::NEG_INFINITY, f64::max);
    let (mut whole, mut once, mut twice) = (0.0, 0.0, 0.0);
    for (ln_k, (before, ln_seen)) in grid.nodes().zip(&seen) {
        let weight = before.exp();
        let (photo, photo_squared) = scratches.sums(ln_k);
        whole += weight;
        once += weight * (ln_seen - top).exp() * photo;
        twice += weight * (2.0 * (ln_seen - top)).exp() * photo_squared;
    }
    if whole > 0.0 && twice > 0.0 {
        (once * once / (whole * twice)).clamp(0.0, 1.0)
    } else {
        0.0
    }
}

fn draws(ln_cut_rate: &Density, ln_friction: &Density, scratches: &Scratches) -> Vec<Draw> {
    (1..=DRAWS)
        .map(|at| {
            let u = BASES.map(|base| halton(at, base));
            let ln_k = ln_cut_rate.quantile(u[0]);
            let (depths, floor) = scratches.draw(ln_k, [u[1], u[2], u[3], u[4], u[5]]);
            Draw {
                ln_cut_rate: ln_k,
                depths,
                floor,
                friction: ln_friction.quantile(u[6]).exp(),
            }
        })
        .collect()
}

/// One prime for each unknown.
const BASES: [usize; 7] = [2, 3, 5, 7, 11, 13, 17];

/// The digits of `at` in a base, mirrored behind the point.
fn halton(mut at: usize, base: usize) -> f64 {
    let (mut value, mut place) = (0.0, 1.0);
    while at > 0 {
        place /= base as f64;
        value += place * (at % base) as f64;
        at /= base;
    }
    value
}

/// A normal deviate from a share, for simulated trials and checks.
///
/// # Errors
/// When the share is not inside 0 to 1.
pub fn deviate(share: f64) -> Result<f64, String> {
    normal(share).map_err(|e| e.to_string())
}
