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

use nalgebra::DMatrix;

use crate::source::Source;
use crate::statistics::StatisticsError;
use crate::statistics::error::{checked, inside, number};

use super::linear::Factor;
use super::{Kernel, Site};

/// Where the formulas are printed.
pub const SOURCES: [Source; 2] = [Source::RasmussenWilliams2006, Source::Cressie1993];

/// So many places are predicted in one go.
const BLOCK: usize = 128;

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
    sites: Vec<Site>,
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
        let covariance = covariance_of(&kernel, &seen);
        let factor = Factor::of(&covariance).ok_or(StatisticsError::Unrepresentable {
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
            sites: seen.sites.to_vec(),
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
        let mut found = Vec::with_capacity(sites.len());
        for block in sites.chunks(BLOCK) {
            let toward = self.toward(block);
            let half = self.factor.halve(&toward);
            for (j, column) in toward.column_iter().enumerate() {
                let column = column.as_slice();
                let mean = self.level + dot(column, &self.weights);
                let lost: f64 = half.column(j).as_slice().iter().map(|x| x * x).sum();
                let lift = self
                    .lift(column)
                    .map_or(0.0, |(short, p)| short * short / p);
                let variance = self.kernel.sd * self.kernel.sd - lost + lift;
                let sd = variance.max(0.0).sqrt();
                found.push(Prediction { mean, sd });
            }
        }
        found
    }

    /// The field at several places together: means and covariance.
    #[must_use]
    pub fn joint(&self, sites: &[Site]) -> Joint {
        let toward = self.toward(sites);
        let half = self.factor.halve(&toward);
        let lost = half.transpose() * &half;
        let columns: Vec<&[f64]> = (0..sites.len())
            .map(|j| &toward.as_slice()[j * self.sites.len()..(j + 1) * self.sites.len()])
            .collect();
        let lifts: Vec<Option<(f64, f64)>> = columns.iter().map(|c| self.lift(c)).collect();
        let covariance = DMatrix::from_fn(sites.len(), sites.len(), |i, j| {
            let lift = lifts[i].zip(lifts[j]).map_or(0.0, |(a, b)| a.0 * b.0 / a.1);
            self.kernel.covariance(sites[i], sites[j]) - lost[(i, j)] + lift
        });
        Joint {
            means: columns
                .iter()
                .map(|c| self.level + dot(c, &self.weights))
                .collect(),
            covariance,
        }
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
                let column = self.factor.inverse_lower.column(i);
                let whole: f64 = column.as_slice()[i..].iter().map(|x| x * x).sum();
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

    /// Covariance of the readings' places (rows) with other places (columns).
    fn toward(&self, sites: &[Site]) -> DMatrix<f64> {
        let mut out = DMatrix::zeros(self.sites.len(), sites.len());
        for (j, site) in sites.iter().enumerate() {
            self.kernel
                .fill(&self.sites, *site, out.column_mut(j).as_mut_slice());
        }
        out
    }

    /// What an unknown level adds: 1 − 1ᵀK⁻¹k, and the level's precision.
    fn lift(&self, toward: &[f64]) -> Option<(f64, f64)> {
        self.unknown
            .as_ref()
            .map(|(pull, precision)| (1.0 - dot(pull, toward), *precision))
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

fn covariance_of(kernel: &Kernel, seen: &Observations<'_>) -> DMatrix<f64> {
    let n = seen.sites.len();
    let mut out = DMatrix::zeros(n, n);
    for j in 0..n {
        out[(j, j)] = kernel.sd * kernel.sd + seen.noise_variances[j];
        for i in j + 1..n {
            let likeness = kernel.covariance(seen.sites[i], seen.sites[j]);
            out[(i, j)] = likeness;
            out[(j, i)] = likeness;
        }
    }
    out
}

#[cfg(test)]
mod tests;
