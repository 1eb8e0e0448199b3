//! The part of the posterior that photos see: depth over cut rate, the spread
//! of depths, the deep tail and the photo's floor.
//!
//! Law: see `posterior`. For every node ζ = ln(median depth) − ln(cut rate) the
//! likelihood of all photos is summed over a grid of spread, deep share and
//! floor, each with its prior weight.
//! Source: trapezoid sums, `Source::AbramowitzStegun1964`.
//! Holds: for photo errors of two per cent and more.
//! Left out: photos with different floors.
//! Checked by: the checks of `posterior`.

use super::evidence::{Depths, Evidence, PhotoPair, deep_left, usual_left};
use super::posterior::{Grid, ln_of};
use super::prior::{Belief, UNIT_CUT_RATE};

/// Nodes along ζ, spread, deep share and floor.
const RATIO_NODES: usize = 161;
const SPREAD_NODES: usize = 21;
const DEEP_NODES: usize = 9;
const FLOOR_NODES: usize = 9;
/// How far the grids of spread, deep share and floor reach, in deviations.
const REACH: f64 = 4.0;

/// The grid and what the photos say on it.
pub(super) struct Scratches {
    median: (f64, f64),
    ratio: Grid,
    spread: Nodes,
    deep: Nodes,
    floor: Nodes,
    /// For each ζ: logarithm of the summed likelihood.
    ln_likelihood: Vec<f64>,
    /// For each ζ: logarithm of the summed square of the likelihood.
    ln_squared: Vec<f64>,
    /// For each ζ: running share over (spread, deep, floor).
    running: Vec<Vec<f64>>,
}

/// Nodes of one number with their prior weights.
struct Nodes {
    grid: Grid,
    value: Vec<f64>,
    weight: Vec<f64>,
}

impl Nodes {
    fn new((mean, sd): (f64, f64), count: usize, value: impl Fn(f64) -> f64) -> Self {
        let grid = Grid::over(mean - REACH * sd, mean + REACH * sd, count);
        let raw: Vec<f64> = grid
            .nodes()
            .map(|x| (-0.5 * ((x - mean) / sd).powi(2)).exp())
            .collect();
        let whole: f64 = raw.iter().sum();
        Self {
            grid,
            value: grid.nodes().map(&value).collect(),
            weight: raw.iter().map(|w| w / whole).collect(),
        }
    }

    /// Somewhere in the cell around a node.
    fn inside(&self, at: usize, share: f64) -> f64 {
        self.grid.node(at) + (share - 0.5) * self.grid.step
    }
}

impl Scratches {
    pub(super) fn new(belief: &Belief, evidence: &Evidence) -> Self {
        let median = ln_of(belief.depths.median_um, 1.0);
        let cut = ln_of(belief.cut_rate, UNIT_CUT_RATE);
        let (middle, sd) = (median.0 - cut.0, median.1.hypot(cut.1));
        let wide = Grid::over(middle - 8.0 * sd, middle + 8.0 * sd, RATIO_NODES);
        let mut part = Self {
            median,
            ratio: wide,
            spread: Nodes::new(ln_of(belief.depths.ln_spread, 1.0), SPREAD_NODES, f64::exp),
            deep: Nodes::new(belief.depths.deep_log_odds, DEEP_NODES, share_of_log_odds),
            floor: Nodes::new(ln_of(belief.floor, 1.0), FLOOR_NODES, f64::exp),
            ln_likelihood: vec![0.0; RATIO_NODES],
            ln_squared: vec![0.0; RATIO_NODES],
            running: Vec::new(),
        };
        if !evidence.photos.is_empty() {
            part.look(evidence);
            part.ratio = part.narrower(middle, sd);
        }
        part.look(evidence);
        part
    }

    /// Logarithm of Σ over ζ of N(ζ + ln k; m₀)·likelihood·step.
    pub(super) fn ln_sum(&self, ln_k: f64) -> f64 {
        self.ln_summed(ln_k, &self.ln_likelihood)
    }

    /// The same sums, of the likelihood and of its square, relative to their
    /// own tops so that their quotient means something.
    pub(super) fn sums(&self, ln_k: f64) -> (f64, f64) {
        let top = self.top();
        (
            (self.ln_summed(ln_k, &self.ln_likelihood) - top).exp(),
            (self.ln_summed(ln_k, &self.ln_squared) - 2.0 * top).exp(),
        )
    }

    fn top(&self) -> f64 {
        self.ln_likelihood
            .iter()
            .copied()
            .fold(f64::NEG_INFINITY, f64::max)
    }

    fn ln_summed(&self, ln_k: f64, ln_heights: &[f64]) -> f64 {
        let (mean, sd) = self.median;
        let term = |(at, ln_height): (usize, &f64)| {
            let off = (self.ratio.node(at) + ln_k - mean) / sd;
            ln_height - 0.5 * off * off
        };
        let top = ln_heights
            .iter()
            .enumerate()
            .map(term)
            .fold(f64::NEG_INFINITY, f64::max);
        let sum: f64 = ln_heights
            .iter()
            .enumerate()
            .map(|node| (term(node) - top).exp())
            .sum();
        let width = self.ratio.step / (sd * (2.0 * std::f64::consts::PI).sqrt());
        top + (sum * width).ln()
    }

    /// One draw for a cut rate, from five shares between 0 and 1.
    pub(super) fn draw(&self, ln_k: f64, u: [f64; 5]) -> (Depths, f64) {
        let (mean, sd) = self.median;
        let top = self.top();
        let weights: Vec<f64> = self
            .ln_likelihood
            .iter()
            .enumerate()
            .map(|(at, l)| {
                let off = (self.ratio.node(at) + ln_k - mean) / sd;
                (l - top - 0.5 * off * off).exp()
            })
            .collect();
        let (at, inside) = pick(&weights, u[0]);
        let ratio = self.ratio.node(at) + (inside - 0.5) * self.ratio.step;
        let running = &self.running[at];
        let wanted = u[1] * running.last().copied().unwrap_or(0.0);
        let node = running
            .partition_point(|sum| *sum < wanted)
            .min(running.len() - 1);
        let (spread_at, rest) = (
            node / (DEEP_NODES * FLOOR_NODES),
            node % (DEEP_NODES * FLOOR_NODES),
        );
        let (deep_at, floor_at) = (rest / FLOOR_NODES, rest % FLOOR_NODES);
        let depths = Depths {
            ln_median: ratio + ln_k,
            ln_spread: self.spread.inside(spread_at, u[2]).exp(),
            deep_frac: share_of_log_odds(self.deep.inside(deep_at, u[3])),
        };
        (depths, self.floor.inside(floor_at, u[4]).exp())
    }

    /// Where the photos and the prior of ζ have not faded together.
    fn narrower(&self, middle: f64, sd: f64) -> Grid {
        let height = |ratio: f64| {
            let at = ((ratio - self.ratio.start) / self.ratio.step).round() as usize;
            let off = (ratio - middle) / sd;
            self.ln_likelihood[at.min(self.ln_likelihood.len() - 1)] - 0.5 * off * off
        };
        self.ratio.narrowed(height)
    }

    /// Fills in what the photos say at every ζ.
    fn look(&mut self, evidence: &Evidence) {
        let mut running = Vec::with_capacity(RATIO_NODES);
        for at in 0..self.ratio.count {
            let logs = self.ln_likelihoods(self.ratio.node(at), evidence);
            let top = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            let (mut sum, mut squared) = (0.0, 0.0);
            let mut run = Vec::with_capacity(logs.len());
            for (weight, ln) in self.weights().zip(&logs) {
                let seen = (ln - top).exp();
                sum += weight * seen;
                squared += weight * seen * seen;
                run.push(sum);
            }
            self.ln_likelihood[at] = top + sum.ln();
            self.ln_squared[at] = 2.0 * top + squared.ln();
            running.push(run);
        }
        self.running = running;
    }

    fn weights(&self) -> impl Iterator<Item = f64> + '_ {
        self.spread.weight.iter().flat_map(move |s| {
            self.deep
                .weight
                .iter()
                .flat_map(move |d| self.floor.weight.iter().map(move |f| s * d * f))
        })
    }

    /// Logarithms of the likelihood for one ζ, over spread, deep and floor.
    fn ln_likelihoods(&self, ratio: f64, evidence: &Evidence) -> Vec<f64> {
        let mut logs = vec![0.0; SPREAD_NODES * DEEP_NODES * FLOOR_NODES];
        for photo in &evidence.photos {
            let off = |passes: f64| (evidence.pass_um * passes).ln() - ratio;
            let (before, after) = (
                off(photo.passes_before),
                off(photo.passes_before + photo.passes),
            );
            let deep = (deep_left(before), deep_left(after));
            let mut slots = logs.iter_mut();
            for spread in &self.spread.value {
                let usual = (usual_left(before, *spread), usual_left(after, *spread));
                for share in &self.deep.value {
                    let left = (
                        mixed(usual.0, deep.0, *share),
                        mixed(usual.1, deep.1, *share),
                    );
                    self.add_floors(photo, left, &mut slots);
                }
            }
        }
        logs
    }

    fn add_floors<'s>(
        &self,
        photo: &PhotoPair,
        left: (f64, f64),
        slots: &mut impl Iterator<Item = &'s mut f64>,
    ) {
        for (floor, slot) in self.floor.value.iter().zip(slots) {
            *slot += photo.ln_likelihood(left, *floor);
        }
    }
}

fn mixed(usual: f64, deep: f64, deep_frac: f64) -> f64 {
    (1.0 - deep_frac) * usual + deep_frac * deep
}

fn share_of_log_odds(log_odds: f64) -> f64 {
    1.0 / (1.0 + (-log_odds).exp())
}

/// The weight in which a share of their sum falls, and how far into it.
fn pick(weights: &[f64], share: f64) -> (usize, f64) {
    let mut left = share * weights.iter().sum::<f64>();
    for (at, weight) in weights.iter().enumerate() {
        if left <= *weight && *weight > 0.0 {
            return (at, left / weight);
        }
        left -= weight;
    }
    (weights.len() - 1, 0.5)
}
