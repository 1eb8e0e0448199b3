//! The field at any place once its kernel is known, and how well it foretells
//! each reading from the others.
//!
//! Law: mean m + kᵀα, α = K⁻¹(y − m); variance s² − kᵀK⁻¹k, and with an unknown
//! level plus (1 − 1ᵀK⁻¹k)²/(1ᵀK⁻¹1). Log-likelihood
//! −½(y − m)ᵀα − ½ln|K| − n/2·ln 2π; with an unknown level also −½ln(1ᵀK⁻¹1)
//! and n − 1 for n. Left out reading i: mean yᵢ − αᵢ/Pᵢᵢ, variance 1/Pᵢᵢ, P the
//! inverse with the level taken out.
//! Source: [`Source::RasmussenWilliams2006`] eq. 2.25, 2.26, 2.30, 5.12;
//! [`Source::Cressie1993`] eq. 3.2.12 to 3.2.16.
//! Holds: for one reading and more. Two readings at one place without noise
//! cannot both be right; they are refused.
//! Left out: noise in the prediction; it is of the field, not of a reading.
//! Checked by: a field through two readings by hand; readings returned; leaving
//! out against doing it; the cases of `validation`.

use fearless_simd::prelude::*;
use fearless_simd::{Level as Registers, dispatch, f64x8};
use nalgebra::DMatrix;

use crate::source::Source;
use crate::statistics::StatisticsError;
use crate::statistics::error::{checked, inside, number};

use super::lanes::{LANES, Likeness, PANEL, Spots};
use super::linear::{Factor, square};
use super::tiles::{Grid, NARROW, Panels, Take, tile};
use super::{Kernel, Site};

/// Where the formulas are printed.
pub const SOURCES: [Source; 2] = [Source::RasmussenWilliams2006, Source::Cressie1993];

/// What is known of the field's level beforehand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Level {
    /// It is this.
    Known(f64),
    /// Nothing: the readings tell.
    Unknown,
}

/// Readings at places; the three lists run side by side.
#[derive(Clone, Copy, Debug)]
pub struct Observations<'a> {
    /// Where.
    pub sites: &'a [Site],
    /// What was read.
    pub values: &'a [f64],
    /// Variance of the error of each reading, 0 or more.
    pub noise_variances: &'a [f64],
}

/// The field at a place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Prediction {
    /// Most probable value.
    pub mean: f64,
    /// Its standard deviation.
    pub sd: f64,
}

/// A reading foretold from all others.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LeftOut {
    /// What the others say it would be.
    pub mean: f64,
    /// Standard deviation of the reading about it, its noise included.
    pub sd: f64,
    /// How far off the reading was, in these deviations.
    pub score: f64,
}

/// The field at several places together.
#[derive(Clone, Debug)]
pub struct Joint {
    /// Most probable values.
    pub means: Vec<f64>,
    /// Their covariance.
    pub(super) covariance: DMatrix<f64>,
}

impl Joint {
    /// A joint state from its parts; `covariance` row by row.
    ///
    /// # Errors
    /// When the shapes differ or something is not a number.
    pub fn new(means: &[f64], covariance: &[f64]) -> Result<Self, StatisticsError> {
        checked(means, "places", 1)?;
        checked(covariance, "covariances", means.len() * means.len())?;
        Ok(Self {
            means: means.to_vec(),
            covariance: DMatrix::from_row_slice(
                means.len(),
                means.len(),
                &covariance[..means.len() * means.len()],
            ),
        })
    }

    /// The same with every standard deviation `factor` times as large.
    #[must_use]
    pub fn widened(mut self, factor: f64) -> Self {
        self.covariance *= factor * factor;
        self
    }

    /// Covariance between two of the places, by their numbers from 0.
    #[must_use]
    pub fn covariance(&self, a: usize, b: usize) -> f64 {
        self.covariance[(a, b)]
    }
}

/// A field conditioned on readings.
#[derive(Clone, Debug)]
pub struct Process {
    kernel: Kernel,
    spots: Spots,
    values: Vec<f64>,
    factor: Factor,
    /// K⁻¹(y − m).
    weights: Vec<f64>,
    level: f64,
    /// K⁻¹1 and 1ᵀK⁻¹1 when the level is unknown.
    unknown: Option<(Vec<f64>, f64)>,
    log_likelihood: f64,
}

impl Process {
    /// Conditions a field on readings.
    ///
    /// # Errors
    /// When there is no reading, the lists differ in length, something is not
    /// a number or not above zero where it must be, or readings at one place
    /// without noise contradict the kernel.
    pub fn condition(
        kernel: Kernel,
        level: Level,
        seen: Observations<'_>,
    ) -> Result<Self, StatisticsError> {
        let kernel = kernel.checked()?;
        checked_observations(&seen)?;
        let covariance = |work: &mut Grid| {
            covariance_of(&kernel, seen.sites, seen.noise_variances, (work, None));
        };
        let factor =
            Factor::of(covariance, seen.sites.len()).ok_or(StatisticsError::Unrepresentable {
                what: "covariance of the readings",
            })?;
        let unknown = match level {
            Level::Known(_) => None,
            Level::Unknown => {
                let pull = factor.solve(&vec![1.0; seen.values.len()]);
                let precision: f64 = pull.iter().sum();
                Some((pull, precision))
            }
        };
        let level = match (level, &unknown) {
            (Level::Known(level), _) => level,
            (Level::Unknown, Some((pull, precision))) => {
                // About the first reading, so that a large level costs no digits.
                let first = seen.values[0];
                let sum: f64 = pull
                    .iter()
                    .zip(seen.values)
                    .map(|(p, y)| p * (y - first))
                    .sum();
                first + sum / precision
            }
            (Level::Unknown, None) => 0.0,
        };
        let off: Vec<f64> = seen.values.iter().map(|y| y - level).collect();
        let weights = factor.solve(&off);
        let log_likelihood = log_likelihood(&factor, &off, &weights, unknown.as_ref().map(|u| u.1));
        Ok(Self {
            kernel,
            spots: Spots::of(&kernel, seen.sites),
            values: seen.values.to_vec(),
            factor,
            weights,
            level,
            unknown,
            log_likelihood,
        })
    }

    /// Logarithm of how probable the readings are under this kernel.
    #[must_use]
    pub fn log_likelihood(&self) -> f64 {
        self.log_likelihood
    }

    /// The level of the field, known or found.
    #[must_use]
    pub fn level(&self) -> f64 {
        self.level
    }

    /// The kernel.
    #[must_use]
    pub fn kernel(&self) -> Kernel {
        self.kernel
    }

    /// The field at one place.
    #[must_use]
    pub fn predict(&self, site: Site) -> Prediction {
        self.predict_all(&[site])[0]
    }

    /// The field at many places.
    #[must_use]
    pub fn predict_all(&self, sites: &[Site]) -> Vec<Prediction> {
        let spots = Spots::of(&self.kernel, sites);
        let rows = self.factor.rows();
        let mut films = Vec::with_capacity(spots.u.len());
        dispatch!(Registers::new(), simd => {
            let mut panel = vec![0.0; rows.depth() * PANEL];
            for first in (0..spots.u.len()).step_by(PANEL) {
                films.extend(self.predict_panel(simd, (&spots, first), &rows, &mut panel));
            }
        });
        films.truncate(sites.len());
        films
    }

    /// The field at the places of one panel.
    fn predict_panel<S: Simd>(
        &self,
        simd: S,
        (spots, first): (&Spots, usize),
        rows: &Panels<NARROW>,
        panel: &mut [f64],
    ) -> [Prediction; PANEL] {
        let (mut means, mut shorts) = ([0.0; PANEL], [0.0; PANEL]);
        let mut squares = [0.0; PANEL];
        simd.vectorize(
            #[inline(always)]
            || {
                (means, shorts) = self.toward_panel(simd, (spots, first), panel);
                let mut lost = Lost {
                    squares: [f64x8::splat(simd, 0.0); 2],
                };
                for row in 0..rows.count() {
                    let reach = rows.reach(row);
                    let cells = &panel[..reach.end * PANEL];
                    tile(simd, (cells, rows.columns(row, &reach)), &mut lost);
                }
                for (out, lanes) in squares.as_chunks_mut().0.iter_mut().zip(lost.squares) {
                    lanes.store_array(out);
                }
            },
        );
        let own = self.kernel.sd * self.kernel.sd;
        std::array::from_fn(|k| {
            let lift = self.unknown.as_ref().map_or(0.0, |(_, precision)| {
                let short = 1.0 - shorts[k];
                short * short / precision
            });
            Prediction {
                mean: self.level + means[k],
                sd: (own - squares[k] + lift).max(0.0).sqrt(),
            }
        })
    }

    /// Covariances of the readings with a panel of places, one reading after
    /// the other; their sums with the weights and with K⁻¹1.
    #[inline(always)]
    fn toward_panel<S: Simd>(
        &self,
        simd: S,
        (spots, first): (&Spots, usize),
        panel: &mut [f64],
    ) -> ([f64; PANEL], [f64; PANEL]) {
        let likeness = Likeness::of(&self.kernel);
        let mut sums = [[f64x8::splat(simd, 0.0); 2]; 2];
        let places = |list: &'_ [f64], v: usize| -> [f64; LANES] {
            let from = first + v * LANES;
            std::array::from_fn(|k| list[from + k])
        };
        let lanes = [0, 1].map(|v| (places(&spots.u, v), places(&spots.v, v)));
        let pull = self.unknown.as_ref().map(|(pull, _)| pull.as_slice());
        let sites = self.spots.u.iter().zip(&self.spots.v).zip(&self.weights);
        let (out, _) = panel.as_chunks_mut::<LANES>();
        for (site, ((u, v), weight)) in sites.enumerate() {
            let share = pull.map_or(0.0, |pull| pull[site]);
            for (half, (us, vs)) in lanes.iter().enumerate() {
                let (_, [covariance, _]) = likeness.with(simd, (us, vs), [*u, *v]);
                covariance.store_array(&mut out[2 * site + half]);
                sums[0][half] += covariance * *weight;
                sums[1][half] += covariance * share;
            }
        }
        let list = |halves: [f64x8<S>; 2]| {
            let (low, high) = (halves[0].to_array(), halves[1].to_array());
            std::array::from_fn(|k| if k < LANES { low[k] } else { high[k - LANES] })
        };
        (list(sums[0]), list(sums[1]))
    }

    /// The field at several places together: means and covariance.
    #[must_use]
    pub fn joint(&self, sites: &[Site]) -> Joint {
        let spots = Spots::of(&self.kernel, sites);
        let depth = self.weights.len().next_multiple_of(PANEL);
        let mut toward = Grid::new(sites.len(), depth);
        let (mut means, mut lifts) = (Vec::new(), Vec::new());
        let mut panel = vec![0.0; depth * PANEL];
        for first in (0..spots.u.len()).step_by(PANEL) {
            let (sums, shorts) = dispatch!(Registers::new(), simd => {
                self.toward_panel(simd, (&spots, first), &mut panel)
            });
            means.extend(sums.map(|sum| self.level + sum));
            lifts.extend(shorts.map(|short| 1.0 - short));
            for (site, cells) in panel.chunks_exact(PANEL).enumerate() {
                toward.column_mut(site)[first..first + PANEL].copy_from_slice(cells);
            }
        }
        means.truncate(sites.len());
        let lost = square(&self.factor.halve(&toward));
        let mut own = Grid::default();
        covariance_of(
            &self.kernel,
            sites,
            &vec![0.0; sites.len()],
            (&mut own, None),
        );
        let precision = self.unknown.as_ref().map(|(_, precision)| *precision);
        let covariance = DMatrix::from_fn(sites.len(), sites.len(), |i, j| {
            let (low, high) = (i.min(j), i.max(j));
            let lift = precision.map_or(0.0, |p| lifts[low] * lifts[high] / p);
            own.column(low)[high] - lost.column(low)[high] + lift
        });
        Joint { means, covariance }
    }

    /// Every reading foretold from all others. A single reading cannot be
    /// foretold when the level is unknown: then the list is empty.
    #[must_use]
    pub fn leave_one_out(&self) -> Vec<LeftOut> {
        if self.unknown.is_some() && self.values.len() < 2 {
            return Vec::new();
        }
        (0..self.values.len())
            .map(|i| {
                let column = self.factor.inverse_lower(i);
                let whole: f64 = column.iter().map(|x| x * x).sum();
                let taken = self
                    .unknown
                    .as_ref()
                    .map_or(0.0, |(pull, p)| pull[i] * pull[i] / p);
                let precision = (whole - taken).max(f64::MIN_POSITIVE);
                let off = self.weights[i] / precision;
                let sd = precision.recip().sqrt();
                LeftOut {
                    mean: self.values[i] - off,
                    sd,
                    score: off / sd,
                }
            })
            .collect()
    }
}

/// Adds up the squares of what the tiles hold.
struct Lost<S: Simd> {
    squares: [f64x8<S>; 2],
}

impl<S: Simd> Take<S> for Lost<S> {
    #[inline(always)]
    fn take<const V: usize, const N: usize>(
        &mut self,
        _: S,
        (first, _): (usize, usize),
        sums: &[[f64x8<S>; V]; N],
    ) {
        for sums in sums {
            for (v, sum) in sums.iter().enumerate() {
                self.squares[first + v] += *sum * *sum;
            }
        }
    }
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

/// ln of the probability density of the readings.
pub(super) fn log_likelihood(
    factor: &Factor,
    off: &[f64],
    weights: &[f64],
    level_precision: Option<f64>,
) -> f64 {
    let ln_2_pi = (2.0 * std::f64::consts::PI).ln();
    let free = number(off.len()) - f64::from(u8::from(level_precision.is_some()));
    let level = level_precision.map_or(0.0, f64::ln);
    -0.5 * (dot(off, weights) + factor.log_determinant + level + free * ln_2_pi)
}

/// Refuses lists that do not fit together.
pub(super) fn checked_observations(seen: &Observations<'_>) -> Result<(), StatisticsError> {
    let needed = seen.sites.len().max(1);
    checked(seen.values, "readings", needed)?;
    checked(seen.noise_variances, "noise variances", seen.values.len())?;
    for (sites, count) in [
        (seen.sites.len(), seen.values.len()),
        (seen.sites.len(), seen.noise_variances.len()),
    ] {
        if sites < count {
            return Err(StatisticsError::TooFew {
                what: "places",
                came: sites,
                needed: count,
            });
        }
    }
    if let Some(at) = seen
        .sites
        .iter()
        .position(|s| !(s[0].is_finite() && s[1].is_finite()))
    {
        return Err(StatisticsError::NotANumber { position: at + 1 });
    }
    for variance in seen.noise_variances {
        inside(
            *variance,
            "noise variance",
            (-f64::MIN_POSITIVE, f64::INFINITY),
        )?;
    }
    Ok(())
}

/// Covariance of readings, written on and below the diagonal; with `pulls` also
/// the q of every pair.
pub(super) fn covariance_of(
    kernel: &Kernel,
    sites: &[Site],
    noises: &[f64],
    (out, mut pulls): (&mut Grid, Option<&mut Grid>),
) {
    let n = sites.len();
    let spots = Spots::of(kernel, sites);
    out.reshape(n, n);
    if let Some(pulls) = &mut pulls {
        pulls.reshape(n, n);
    }
    let likeness = Likeness::of(kernel);
    dispatch!(Registers::new(), simd => {
        let (u, v) = (spots.u.as_chunks::<LANES>().0, spots.v.as_chunks::<LANES>().0);
        for j in 0..n {
            let column = out.column_mut(j).as_chunks_mut::<LANES>().0;
            for strip in j / LANES..n.div_ceil(LANES) {
                let places = (&u[strip], &v[strip]);
                let (_, [covariance, q]) = likeness.with(simd, places, [spots.u[j], spots.v[j]]);
                covariance.store_array(&mut column[strip]);
                if let Some(pulls) = &mut pulls {
                    q.store_array(&mut pulls.column_mut(j).as_chunks_mut::<LANES>().0[strip]);
                }
            }
        }
    });
    for (j, noise) in noises.iter().enumerate() {
        let column = out.column_mut(j);
        column[j] = kernel.sd * kernel.sd + noise;
        column[n..].fill(0.0);
    }
    for padding in n..out.rows {
        out.column_mut(padding).fill(0.0);
    }
}

#[cfg(test)]
mod tests;
