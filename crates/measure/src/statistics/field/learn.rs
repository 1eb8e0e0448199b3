//! The kernel from the readings themselves, held sane by what is believed
//! before, so that five readings do not invent a wild field.
//!
//! Law: the most probable ln s, ln ℓ, ln τ under likelihood × prior; each of
//! them is bell-shaped beforehand about the logarithm of a middle. Slope of
//! the log-likelihood ½·tr((ααᵀ − P)·∂K/∂θ), P = K⁻¹, with an unknown level
//! K⁻¹ − K⁻¹11ᵀK⁻¹/(1ᵀK⁻¹1). Climbed by quasi-Newton steps (BFGS).
//! Source: [`Source::RasmussenWilliams2006`] eq. 5.9; BFGS
//! [`Source::NocedalWright2006`] eq. 6.17.
//! Holds: for one reading and more; with very few the belief answers. Two
//! ranges, or the smoother shape, are taken only where the readings earn them:
//! two ranges must raise the log-likelihood by ½·ln n (the criterion of
//! [`Source::Schwarz1978`]).
//! Left out: the doubt about the kernel itself (see `doubt`).
//! Checked by: the slope against differences; a known field found again; the
//! likelihood against scikit-learn in `validation`.

use std::cell::RefCell;

use fearless_simd::prelude::*;
use fearless_simd::{Level as Registers, dispatch, f64x8};
use nalgebra::DMatrix;

use crate::source::Source;
use crate::statistics::StatisticsError;
use crate::statistics::error::{inside, number};

use super::lanes::{LANES, PANEL, Spots};
use super::linear::{Factor, Room};
use super::process::{checked_observations, covariance_of, log_likelihood as density};
use super::tiles::Grid;
use super::{Kernel, Level, Observations, Shape, Site};

/// Where the formulas are printed.
pub const SOURCES: [Source; 3] = [
    Source::RasmussenWilliams2006,
    Source::NocedalWright2006,
    Source::Schwarz1978,
];

/// Most steps uphill.
const MOST_STEPS: usize = 60;

/// Fewest readings that may choose a smoother shape.
const SHAPE_FROM: usize = 8;

/// Fewest readings that may choose two ranges.
const TWO_RANGES_FROM: usize = 12;

/// What is believed of a positive number: its logarithm is bell-shaped.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Belief {
    /// As probable above as below.
    pub middle: f64,
    /// Standard deviation of its natural logarithm; 0.5 is a factor of 1.65.
    pub log_sd: f64,
}

/// What is believed of a field before it is read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Beliefs {
    /// Its standard deviation.
    pub sd: Belief,
    /// Its range.
    pub range: Belief,
    /// Standard deviation of the error of one reading.
    pub noise_sd: Belief,
}

/// Whether the field may reach farther one way than the other.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ranges {
    /// The same range everywhere.
    One,
    /// One along u, one along v.
    Two,
}

/// The kernel that was found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Learned {
    /// The kernel.
    pub kernel: Kernel,
    /// Standard deviation of the error of one reading.
    pub noise_sd: f64,
    /// Logarithm of how probable the readings are under it.
    pub log_likelihood: f64,
    /// The same with the belief, up to a constant.
    pub log_posterior: f64,
}

/// Finds the kernel of a shape. `repeats` says of how many readings each value
/// is the mean: its noise variance is τ² over that.
///
/// # Errors
/// As [`super::Process::condition`], and when a belief is not above zero.
pub fn learn(
    seen: &Repeated<'_>,
    beliefs: &Beliefs,
    shape: Shape,
    ranges: Ranges,
) -> Result<Learned, StatisticsError> {
    let hill = Hill::new(seen, beliefs, shape, ranges)?;
    let start = hill.middles();
    let (theta, log_posterior, log_likelihood) = climb(&hill, &start)?;
    Ok(Learned {
        kernel: hill.kernel(&theta),
        noise_sd: hill.noise_sd(&theta),
        log_likelihood,
        log_posterior,
    })
}

/// The rougher shape with one range, unless the readings speak for more.
///
/// # Errors
/// As [`learn`].
pub fn pick(seen: &Repeated<'_>, beliefs: &Beliefs) -> Result<Learned, StatisticsError> {
    let mut best = learn(seen, beliefs, Shape::Matern32, Ranges::One)?;
    let count = seen.values.len();
    if count >= SHAPE_FROM {
        let smooth = learn(seen, beliefs, Shape::Matern52, Ranges::One)?;
        if smooth.log_posterior > best.log_posterior {
            best = smooth;
        }
    }
    if count >= TWO_RANGES_FROM {
        let two = learn(seen, beliefs, best.kernel.shape, Ranges::Two)?;
        if two.log_likelihood > best.log_likelihood + 0.5 * number(count).ln() {
            best = two;
        }
    }
    Ok(best)
}

/// Values that are means of repeats, at places; the lists run side by side.
#[derive(Clone, Copy, Debug)]
pub struct Repeated<'a> {
    /// Where.
    pub sites: &'a [Site],
    /// The means.
    pub values: &'a [f64],
    /// Of how many readings, 1 or more.
    pub repeats: &'a [f64],
    /// What is known of the level.
    pub level: Level,
}

/// Log-likelihood of a kernel and a noise, and its slope with respect to
/// ln s, ln ℓu, ln ℓv and ln τ.
///
/// # Errors
/// As [`super::Process::condition`].
pub fn log_likelihood(
    seen: &Repeated<'_>,
    kernel: Kernel,
    noise_sd: f64,
) -> Result<(f64, [f64; 4]), StatisticsError> {
    Likelihood::of(*seen).at(kernel, noise_sd)
}

/// The log-likelihood of one kernel after the other for the same readings, in
/// one room of memory.
#[derive(Debug)]
pub struct Likelihood<'a> {
    seen: Repeated<'a>,
    noises: Vec<f64>,
    pulls: Grid,
    room: Room,
}

impl<'a> Likelihood<'a> {
    /// For some readings.
    #[must_use]
    pub fn of(seen: Repeated<'a>) -> Self {
        Self {
            seen,
            noises: Vec::new(),
            pulls: Grid::default(),
            room: Room::default(),
        }
    }

    /// As [`log_likelihood`].
    ///
    /// # Errors
    /// As [`super::Process::condition`].
    pub fn at(
        &mut self,
        kernel: Kernel,
        noise_sd: f64,
    ) -> Result<(f64, [f64; 4]), StatisticsError> {
        let kernel = kernel.checked()?;
        inside(noise_sd, "noise", (0.0, f64::INFINITY))?;
        self.noises.clear();
        let repeats = self.seen.repeats.iter();
        self.noises.extend(repeats.map(|r| noise_sd * noise_sd / r));
        checked_observations(&Observations {
            sites: self.seen.sites,
            values: self.seen.values,
            noise_variances: &self.noises,
        })?;
        self.slope(&kernel).ok_or(StatisticsError::Unrepresentable {
            what: "covariance of the readings",
        })
    }

    fn slope(&mut self, kernel: &Kernel) -> Option<(f64, [f64; 4])> {
        let Self {
            seen,
            noises,
            pulls,
            room,
        } = self;
        let n = seen.sites.len();
        let write = |work: &mut Grid| {
            covariance_of(kernel, seen.sites, noises, (work, Some(&mut *pulls)));
        };
        let factor = Factor::within(room, write, n)?;
        let base = match seen.level {
            Level::Known(level) => level,
            Level::Unknown => seen.values[0],
        };
        let off: Vec<f64> = seen.values.iter().map(|y| y - base).collect();
        let mut alpha = factor.solve(&off);
        let mut ones = vec![0.0; n];
        let mut precision = None;
        if seen.level == Level::Unknown {
            // Takes an unknown level out of the inverse.
            ones = factor.solve(&vec![1.0; n]);
            let sum: f64 = ones.iter().sum();
            let share = ones.iter().zip(&off).map(|(p, y)| p * y).sum::<f64>() / sum;
            alpha
                .iter_mut()
                .zip(&ones)
                .for_each(|(a, p)| *a -= p * share);
            ones.iter_mut().for_each(|p| *p /= sum.sqrt());
            precision = Some(sum);
        }
        let value = density(&factor, &off, &alpha, precision);
        let fit: f64 = alpha.iter().zip(&off).map(|(a, y)| a * y).sum();
        let free = number(n) - f64::from(u8::from(precision.is_some()));
        factor.inverse(room);
        factor.leave(room);
        let pairs = Pairs {
            pulls,
            inverse: &room.work,
            alpha: padded(&alpha),
            ones: padded(&ones),
            spots: Spots::of(kernel, seen.sites),
        };
        let slopes = pairs.slopes(kernel.sd * kernel.sd, noises, fit - free);
        (value.is_finite() && slopes.iter().all(|s| s.is_finite())).then_some((value, slopes))
    }
}

fn padded(list: &[f64]) -> Vec<f64> {
    let mut list = list.to_vec();
    list.resize(list.len().next_multiple_of(PANEL), 0.0);
    list
}

/// What the slope is summed from, matrices on and below the diagonal.
struct Pairs<'a> {
    /// q of every pair.
    pulls: &'a Grid,
    inverse: &'a Grid,
    alpha: Vec<f64>,
    /// K⁻¹1 over the root of its sum, where the level is unknown.
    ones: Vec<f64>,
    spots: Spots,
}

impl Pairs<'_> {
    /// `all` is αᵀKα − tr(P·K), which is what s and τ do together.
    fn slopes(&self, variance: f64, noises: &[f64], all: f64) -> [f64; 4] {
        let own = |j: usize| {
            let level = self.ones[j] * self.ones[j];
            self.alpha[j] * self.alpha[j] + level - self.inverse.column(j)[j]
        };
        let noise: f64 = noises.iter().enumerate().map(|(j, n)| own(j) * n).sum();
        let [along, across] = dispatch!(Registers::new(), simd => self.sums(simd, noises.len()));
        [all - noise, variance * along, variance * across, noise]
    }

    /// Sums over the pairs with q and the squared distances along u and v.
    #[inline(always)]
    fn sums<S: Simd>(&self, simd: S, count: usize) -> [f64; 2] {
        let nothing = f64x8::splat(simd, 0.0);
        let mut sums = [nothing; 2];
        for j in 0..count {
            let at = [self.spots.u[j], self.spots.v[j]];
            let first = j / LANES;
            for strip in first..self.alpha.len() / LANES {
                let load = |list: &[f64]| f64x8::from_slice(simd, &list[strip * LANES..][..LANES]);
                let mut pull = load(&self.alpha) * self.alpha[j] + load(&self.ones) * self.ones[j]
                    - load(self.inverse.column(j));
                if strip == first {
                    // Only what lies below the diagonal.
                    let place = f64x8::load_array_ref(simd, &PLACES);
                    let below = place.simd_gt(PLACES[j % LANES]);
                    pull = below.select(pull, nothing);
                }
                let (u, v) = (load(&self.spots.u) - at[0], load(&self.spots.v) - at[1]);
                let pull = pull * load(self.pulls.column(j));
                sums[0] += pull * (u * u);
                sums[1] += pull * (v * v);
            }
        }
        sums.map(|lanes| lanes.to_array().iter().sum())
    }
}

/// Numbers of the lanes of a register.
const PLACES: [f64; LANES] = [0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0];

/// What is climbed: log-likelihood plus log-belief over ln s, ln ℓ…, ln τ.
pub(super) struct Hill<'a> {
    likelihood: RefCell<Likelihood<'a>>,
    pub(super) beliefs: Vec<Belief>,
    shape: Shape,
}

impl<'a> Hill<'a> {
    pub(super) fn new(
        seen: &'a Repeated<'a>,
        beliefs: &Beliefs,
        shape: Shape,
        ranges: Ranges,
    ) -> Result<Self, StatisticsError> {
        let mut list = vec![beliefs.sd, beliefs.range];
        if ranges == Ranges::Two {
            list.push(beliefs.range);
        }
        list.push(beliefs.noise_sd);
        for belief in &list {
            inside(belief.middle, "middle of a belief", (0.0, f64::INFINITY))?;
            inside(belief.log_sd, "width of a belief", (0.0, f64::INFINITY))?;
        }
        Ok(Self {
            likelihood: RefCell::new(Likelihood::of(*seen)),
            beliefs: list,
            shape,
        })
    }

    fn middles(&self) -> Vec<f64> {
        self.beliefs.iter().map(|b| b.middle.ln()).collect()
    }

    pub(super) fn kernel(&self, theta: &[f64]) -> Kernel {
        Kernel {
            shape: self.shape,
            sd: theta[0].exp(),
            range_u: theta[1].exp(),
            range_v: theta[theta.len() - 2].exp(),
        }
    }

    /// The parameters of what was learnt.
    pub(super) fn theta(&self, learned: &Learned) -> Vec<f64> {
        let kernel = learned.kernel;
        let mut theta = vec![kernel.sd.ln(), kernel.range_u.ln()];
        if self.beliefs.len() == 4 {
            theta.push(kernel.range_v.ln());
        }
        theta.push(learned.noise_sd.ln());
        theta
    }

    pub(super) fn noise_sd(&self, theta: &[f64]) -> f64 {
        theta[theta.len() - 1].exp()
    }

    /// Height, its slope, and the log-likelihood alone.
    pub(super) fn at(&self, theta: &[f64]) -> Result<(f64, Vec<f64>, f64), StatisticsError> {
        let mut known = self.likelihood.borrow_mut();
        let (likelihood, s) = known.at(self.kernel(theta), self.noise_sd(theta))?;
        let mut slope = if theta.len() == 4 {
            s.to_vec()
        } else {
            vec![s[0], s[1] + s[2], s[3]]
        };
        let mut height = likelihood;
        for ((x, belief), out) in theta.iter().zip(&self.beliefs).zip(&mut slope) {
            let off = (x - belief.middle.ln()) / belief.log_sd;
            height -= 0.5 * off * off;
            *out -= off / belief.log_sd;
        }
        Ok((height, slope, likelihood))
    }
}

/// The top of the hill: where, how high, and the log-likelihood there.
fn climb(hill: &Hill<'_>, start: &[f64]) -> Result<(Vec<f64>, f64, f64), StatisticsError> {
    let mut theta = start.to_vec();
    let (mut height, mut slope, mut likelihood) = hill.at(&theta)?;
    // The belief is a good first guess of how the hill is curved.
    let variances: Vec<f64> = hill.beliefs.iter().map(|b| b.log_sd * b.log_sd).collect();
    let mut curve = DMatrix::from_diagonal(&variances.into());
    for _ in 0..MOST_STEPS {
        let way = &curve * DMatrix::from_column_slice(slope.len(), 1, &slope);
        let longest = way.amax();
        if longest < 1e-6 {
            break;
        }
        let rise: f64 = way.as_slice().iter().zip(&slope).map(|(w, s)| w * s).sum();
        let mut share = (1.5 / longest).min(1.0);
        let found = loop {
            let trial: Vec<f64> = theta
                .iter()
                .zip(way.as_slice())
                .map(|(x, w)| x + share * w)
                .collect();
            match hill.at(&trial) {
                Ok(there) if there.0 >= height + 1e-4 * share * rise => break Some((trial, there)),
                _ if share < 1e-8 => break None,
                _ => share *= 0.4,
            }
        };
        let Some((trial, there)) = found else { break };
        let step: Vec<f64> = trial.iter().zip(&theta).map(|(a, b)| a - b).collect();
        let bend: Vec<f64> = slope.iter().zip(&there.1).map(|(a, b)| a - b).collect();
        update(&mut curve, &step, &bend);
        let gained = there.0 - height;
        theta = trial;
        (height, slope, likelihood) = there;
        if gained < 1e-9 {
            break;
        }
    }
    Ok((theta, height, likelihood))
}

/// The BFGS update of the inverse curvature.
fn update(curve: &mut DMatrix<f64>, step: &[f64], bend: &[f64]) {
    let n = step.len();
    let s = DMatrix::from_column_slice(n, 1, step);
    let y = DMatrix::from_column_slice(n, 1, bend);
    let sy = s.dot(&y);
    if sy <= 1e-12 * s.norm() * y.norm() {
        return;
    }
    let left = DMatrix::identity(n, n) - &s * y.transpose() / sy;
    *curve = &left * &*curve * left.transpose() + &s * s.transpose() / sy;
}

#[cfg(test)]
mod tests;
