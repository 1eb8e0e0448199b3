//! One population or two: the share, the middles and the spreads of both.
//!
//! Law: y_i comes with the chance 1 − π from N(x_iᵀβ, σ₁² + v_i) and with π from
//! N(x_iᵀβ + δ, σ₂² + v_i); v_i is the known error of y_i, x_i its covariates. A
//! small fixed share may stray anywhere. The most probable β, δ, σ, π are found
//! by expectation and maximisation; beliefs about them are normal (β, δ), scaled
//! inverse chi-squared (σ²) and counts (π).
//! Source: [`Source::DempsterLairdRubin1977`].
//! Holds: for any number of values, one included, as long as the beliefs fill
//! what the values leave open; without beliefs for 3 values or more that are
//! not all alike. The start decides which hill is climbed.
//! Left out: more than two populations; the doubt in the spreads (the chance of
//! [`Mixture::chance`] takes it as a t distribution, and that in β and δ too).
//! Checked by: scikit-learn's GaussianMixture live, where there are no
//! covariates, errors and beliefs; limits below.

use statrs::distribution::{Continuous, StudentsT};

use crate::source::Source;

use super::StatisticsError;
use super::error::{checked, finite, inside};
use super::linear::Factor;

/// Where the method is written down.
pub const SOURCE: Source = Source::DempsterLairdRubin1977;

const MOST_ROUNDS: usize = 5000;
const STILL: f64 = 1e-12;

/// One value.
#[derive(Clone, Debug, PartialEq)]
pub struct Observation {
    /// The value.
    pub value: f64,
    /// Square of its own error.
    pub variance: f64,
    /// Its covariates, the constant 1 included.
    pub covariates: Vec<f64>,
    /// Whether it is known to be of the first population.
    pub is_first: bool,
}

/// A belief about one number; an infinite deviation is no belief.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bell {
    /// Its middle.
    pub mean: f64,
    /// Its deviation.
    pub sd: f64,
}

/// A belief about a spread, worth so many values; 0 is no belief.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SpreadBelief {
    /// The spread.
    pub sd: f64,
    /// Values it is worth.
    pub worth: f64,
}

/// What is believed before.
#[derive(Clone, Debug, PartialEq)]
pub struct Beliefs {
    /// About the coefficients.
    pub coefficients: Vec<Bell>,
    /// About the shift of the second population.
    pub shift: Bell,
    /// The shift is held at this or above.
    pub least_shift: f64,
    /// About the spreads of both.
    pub spreads: [SpreadBelief; 2],
    /// Values the first and the second population are believed to have already.
    pub counts: [f64; 2],
    /// Density and share of values that stray.
    pub stray: Option<(f64, f64)>,
}

/// Where the climb starts, or where it ended.
#[derive(Clone, Debug, PartialEq)]
pub struct Point {
    /// Coefficients.
    pub coefficients: Vec<f64>,
    /// Shift of the second population.
    pub shift: f64,
    /// Spreads of both.
    pub spreads: [f64; 2],
    /// Share of the second.
    pub share_frac: f64,
}

/// How likely a value is of each kind; they add up to 1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Chance {
    /// First population.
    pub first: f64,
    /// Second.
    pub second: f64,
    /// Strayed.
    pub stray: f64,
}

/// The two populations.
#[derive(Clone, Debug)]
pub struct Mixture {
    /// The most probable point.
    pub point: Point,
    /// Logarithm of the likelihood there.
    pub log_likelihood: f64,
    /// The same with the beliefs, up to a constant: higher is better.
    pub log_posterior: f64,
    /// Chances of each value at that point.
    pub chances: Vec<Chance>,
    /// Doubt in the coefficients and, last, the shift.
    covariance: Vec<Vec<f64>>,
    beliefs: Beliefs,
    first_worth: f64,
}

/// Climbs from a start to the nearest most probable point.
///
/// # Errors
/// When there is no value, one is not a number, the covariates do not match
/// the beliefs, or the values leave something open that no belief fills.
pub fn mixture(
    observations: &[Observation],
    beliefs: &Beliefs,
    start: &Point,
) -> Result<Mixture, StatisticsError> {
    check(observations, beliefs, start)?;
    let mut climb = Climb {
        observations,
        beliefs,
        point: start.clone(),
    };
    let mut height = climb.log_posterior();
    for _ in 0..MOST_ROUNDS {
        let chances = climb.chances();
        climb.step(&chances)?;
        let next = climb.log_posterior();
        let is_still = (next - height).abs() <= STILL * (1.0 + height.abs());
        height = next;
        if is_still {
            break;
        }
    }
    let chances = climb.chances();
    let covariance = climb.system(&chances)?.0.inverse();
    let first = chances.iter().map(|c| c.first).sum::<f64>();
    Ok(Mixture {
        log_likelihood: finite(climb.log_likelihood(), "likelihood")?,
        log_posterior: finite(height, "likelihood")?,
        chances,
        covariance,
        beliefs: beliefs.clone(),
        first_worth: first + beliefs.spreads[0].worth,
        point: climb.point,
    })
}

impl Mixture {
    /// The chances of a value, the doubt in coefficients, shift and spread
    /// included.
    #[must_use]
    pub fn chance(&self, observation: &Observation) -> Chance {
        if observation.is_first {
            return FIRST;
        }
        let mut row = observation.covariates.clone();
        row.push(0.0);
        let doubt = self.doubt(&row);
        row[observation.covariates.len()] = 1.0;
        let doubt_second = self.doubt(&row);
        let [s1, s2] = self.point.spreads;
        let middle = dot(&observation.covariates, &self.point.coefficients);
        let first_sd = (s1 * s1 + observation.variance + doubt).sqrt();
        let second_sd = (s2 * s2 + observation.variance + doubt_second).sqrt();
        let log = [
            log_t(observation.value, (middle, first_sd), self.first_worth),
            log_normal(observation.value, (middle + self.point.shift, second_sd)),
        ];
        shares(log, self.point.share_frac, self.beliefs.stray)
    }

    /// The middle of the first population for these covariates, and the
    /// deviation of our knowledge of it.
    #[must_use]
    pub fn first_middle(&self, covariates: &[f64]) -> (f64, f64) {
        let mut row = covariates.to_vec();
        row.push(0.0);
        (
            dot(covariates, &self.point.coefficients),
            self.doubt(&row).max(0.0).sqrt(),
        )
    }

    fn doubt(&self, row: &[f64]) -> f64 {
        row.iter()
            .zip(&self.covariance)
            .map(|(x, line)| x * dot(line, row))
            .sum()
    }
}

const FIRST: Chance = Chance {
    first: 1.0,
    second: 0.0,
    stray: 0.0,
};

struct Climb<'a> {
    observations: &'a [Observation],
    beliefs: &'a Beliefs,
    point: Point,
}

impl Climb<'_> {
    fn logs(&self, o: &Observation) -> [f64; 2] {
        let middle = dot(&o.covariates, &self.point.coefficients);
        let [s1, s2] = self.point.spreads;
        [
            log_normal(o.value, (middle, (s1 * s1 + o.variance).sqrt())),
            log_normal(
                o.value,
                (middle + self.point.shift, (s2 * s2 + o.variance).sqrt()),
            ),
        ]
    }

    fn chances(&self) -> Vec<Chance> {
        let one = |o: &Observation| {
            if o.is_first {
                FIRST
            } else {
                shares(self.logs(o), self.point.share_frac, self.beliefs.stray)
            }
        };
        self.observations.iter().map(one).collect()
    }

    fn log_likelihood(&self) -> f64 {
        let one = |o: &Observation| {
            let logs = self.logs(o);
            if o.is_first {
                logs[0]
            } else {
                log_sum(logs, self.point.share_frac, self.beliefs.stray)
            }
        };
        self.observations.iter().map(one).sum()
    }

    fn log_posterior(&self) -> f64 {
        let b = self.beliefs;
        let bell = |x: f64, bell: &Bell| {
            if bell.sd.is_finite() {
                -((x - bell.mean) / bell.sd).powi(2) / 2.0
            } else {
                0.0
            }
        };
        let pairs = self.point.coefficients.iter().zip(&b.coefficients);
        let mut log = self.log_likelihood() + bell(self.point.shift, &b.shift);
        log += pairs.map(|(x, belief)| bell(*x, belief)).sum::<f64>();
        for (sd, belief) in self.point.spreads.iter().zip(&b.spreads) {
            if belief.worth > 0.0 {
                log -= belief.worth * (sd.ln() + (belief.sd / sd).powi(2) / 2.0);
            }
        }
        for (count, share) in b
            .counts
            .iter()
            .zip([1.0 - self.point.share_frac, self.point.share_frac])
        {
            if *count > 0.0 {
                log += count * share.ln();
            }
        }
        log
    }

    /// The weighted equations of the coefficients and the shift.
    fn system(&self, chances: &[Chance]) -> Result<(Factor, Vec<f64>), StatisticsError> {
        let p = self.point.coefficients.len();
        let mut matrix = vec![vec![0.0; p + 1]; p + 1];
        let mut right = vec![0.0; p + 1];
        let bells = self
            .beliefs
            .coefficients
            .iter()
            .chain([&self.beliefs.shift]);
        for (k, bell) in bells.enumerate() {
            let weight = bell.sd.powi(-2);
            matrix[k][k] += weight;
            right[k] += weight * bell.mean;
        }
        for (o, c) in self.observations.iter().zip(chances) {
            let [s1, s2] = self.point.spreads;
            let w1 = c.first / (s1 * s1 + o.variance);
            let w2 = c.second / (s2 * s2 + o.variance);
            for (i, x) in o.covariates.iter().enumerate() {
                for (j, z) in o.covariates.iter().enumerate() {
                    matrix[i][j] += (w1 + w2) * x * z;
                }
                matrix[i][p] += w2 * x;
                matrix[p][i] += w2 * x;
                right[i] += (w1 + w2) * x * o.value;
            }
            matrix[p][p] += w2;
            right[p] += w2 * o.value;
        }
        let factor = Factor::of(&matrix).ok_or(StatisticsError::NoSpread { what: "values" })?;
        Ok((factor, right))
    }

    fn step(&mut self, chances: &[Chance]) -> Result<(), StatisticsError> {
        let (factor, right) = self.system(chances)?;
        let solved = factor.solve(&right);
        let p = self.point.coefficients.len();
        self.point.shift = finite(solved[p], "shift")?.max(self.beliefs.least_shift);
        self.point.coefficients = solved[..p].to_vec();
        for (k, least) in [(0, 0.0), (1, self.point.shift)] {
            self.point.spreads[k] = self.spread(chances, k, least)?;
        }
        let count = |of: fn(&Chance) -> f64| {
            let free = self.observations.iter().zip(chances);
            free.filter(|(o, _)| !o.is_first)
                .map(|(_, c)| of(c))
                .sum::<f64>()
        };
        let first = count(|c| c.first) + self.beliefs.counts[0];
        let second = count(|c| c.second) + self.beliefs.counts[1];
        self.point.share_frac = finite(second / (first + second), "share")?;
        Ok(())
    }

    /// The spread of one population: what is left of each value's distance once
    /// its own error is shared out.
    fn spread(&self, chances: &[Chance], k: usize, shift: f64) -> Result<f64, StatisticsError> {
        let variance = self.point.spreads[k].powi(2);
        let belief = self.beliefs.spreads[k];
        let (mut squares, mut worth) = (belief.worth * belief.sd * belief.sd, belief.worth);
        for (o, c) in self.observations.iter().zip(chances) {
            let r = if k == 0 { c.first } else { c.second };
            let off = o.value - dot(&o.covariates, &self.point.coefficients) - shift;
            let gain = variance / (variance + o.variance);
            squares += r * ((gain * off).powi(2) + variance * (1.0 - gain));
            worth += r;
        }
        let spread = (squares / worth).sqrt();
        inside(spread, "spread of a population", (0.0, f64::INFINITY))
    }
}

fn check(
    observations: &[Observation],
    beliefs: &Beliefs,
    start: &Point,
) -> Result<(), StatisticsError> {
    let values: Vec<f64> = observations
        .iter()
        .flat_map(|o| {
            [o.value, o.variance]
                .into_iter()
                .chain(o.covariates.clone())
        })
        .collect();
    checked(&values, "values", 1)?;
    let p = beliefs.coefficients.len();
    let is_matched = p > 0
        && start.coefficients.len() == p
        && observations.iter().all(|o| o.covariates.len() == p);
    if !is_matched {
        return Err(StatisticsError::TooFew {
            what: "covariates",
            came: start.coefficients.len(),
            needed: p.max(1),
        });
    }
    for sd in start.spreads {
        inside(sd, "spread to start from", (0.0, f64::INFINITY))?;
    }
    inside(start.share_frac, "share to start from", (0.0, 1.0))?;
    Ok(())
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

fn log_normal(x: f64, (mean, sd): (f64, f64)) -> f64 {
    let z = (x - mean) / sd;
    -z * z / 2.0 - sd.ln() - 0.918_938_533_204_672_8
}

fn log_t(x: f64, (mean, sd): (f64, f64), freedom: f64) -> f64 {
    StudentsT::new(mean, sd, freedom).map_or_else(|_| log_normal(x, (mean, sd)), |t| t.ln_pdf(x))
}

/// Logarithm of the density of the whole mixture.
fn log_sum(logs: [f64; 2], share: f64, stray: Option<(f64, f64)>) -> f64 {
    let (density, strayed) = stray.unwrap_or((0.0, 0.0));
    let terms = [
        logs[0] + ((1.0 - strayed) * (1.0 - share)).ln(),
        logs[1] + ((1.0 - strayed) * share).ln(),
        (strayed * density).ln(),
    ];
    let top = terms.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    top + terms.iter().map(|t| (t - top).exp()).sum::<f64>().ln()
}

fn shares(logs: [f64; 2], share: f64, stray: Option<(f64, f64)>) -> Chance {
    let (density, strayed) = stray.unwrap_or((0.0, 0.0));
    let whole = log_sum(logs, share, stray);
    let of = |log: f64, part: f64| (log + part.ln() - whole).exp().clamp(0.0, 1.0);
    Chance {
        first: of(logs[0], (1.0 - strayed) * (1.0 - share)),
        second: of(logs[1], (1.0 - strayed) * share),
        stray: of(0.0, strayed * density),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bare(value: f64) -> Observation {
        Observation {
            value,
            variance: 0.0,
            covariates: vec![1.0],
            is_first: false,
        }
    }

    fn open() -> Beliefs {
        let bell = Bell {
            mean: 0.0,
            sd: f64::INFINITY,
        };
        let spread = SpreadBelief {
            sd: 1.0,
            worth: 0.0,
        };
        Beliefs {
            coefficients: vec![bell],
            shift: bell,
            least_shift: f64::NEG_INFINITY,
            spreads: [spread; 2],
            counts: [0.0; 2],
            stray: None,
        }
    }

    fn from(middle: f64, shift: f64) -> Point {
        Point {
            coefficients: vec![middle],
            shift,
            spreads: [5.0, 5.0],
            share_frac: 0.5,
        }
    }

    // Far apart, the populations are their groups: means and spreads by hand.
    #[test]
    fn two_groups_far_apart_are_told_exactly() {
        let values = [9.0, 10.0, 11.0, 999.0, 1001.0];
        let all: Vec<Observation> = values.iter().map(|v| bare(*v)).collect();
        let found = mixture(&all, &open(), &from(0.0, 900.0)).expect("two groups");
        assert!((found.point.coefficients[0] - 10.0).abs() < 1e-9);
        assert!((found.point.shift - 990.0).abs() < 1e-9);
        assert!((found.point.share_frac - 0.4).abs() < 1e-12);
        assert!((found.point.spreads[0] - (2.0_f64 / 3.0).sqrt()).abs() < 1e-9);
        assert!((found.point.spreads[1] - 1.0).abs() < 1e-9);
        assert!(found.chances[4].second > 1.0 - 1e-12);
    }

    // One value alone leaves everything to the beliefs.
    #[test]
    fn one_value_is_judged_by_the_beliefs() {
        let beliefs = Beliefs {
            coefficients: vec![Bell {
                mean: 100.0,
                sd: 10.0,
            }],
            shift: Bell {
                mean: 80.0,
                sd: 10.0,
            },
            spreads: [SpreadBelief {
                sd: 5.0,
                worth: 10.0,
            }; 2],
            counts: [9.0, 1.0],
            ..open()
        };
        let chance = |value: f64| {
            let found = mixture(&[bare(value)], &beliefs, &from(100.0, 80.0)).expect("one");
            found.chance(&bare(value)).second
        };
        assert!(chance(101.0) < 1e-3 && chance(180.0) > 0.99);
        assert!(chance(140.0) > chance(120.0));
    }

    // The more a value's own error, the less it says.
    #[test]
    fn a_value_known_badly_is_not_named() {
        let mut all: Vec<Observation> = [100.0, 101.0, 99.0, 100.5, 160.0].map(bare).to_vec();
        let beliefs = Beliefs {
            shift: Bell {
                mean: 60.0,
                sd: 20.0,
            },
            spreads: [SpreadBelief {
                sd: 3.0,
                worth: 6.0,
            }; 2],
            counts: [9.0, 1.0],
            ..open()
        };
        let named = |all: &[Observation]| {
            let found = mixture(all, &beliefs, &from(100.0, 60.0)).expect("five");
            found.chance(&all[4]).second
        };
        assert!(named(&all) > 0.99);
        all[4].variance = 100.0 * 100.0;
        assert!(named(&all) < 0.3);
    }

    #[test]
    fn chances_add_up_to_one_with_strays() {
        let beliefs = Beliefs {
            stray: Some((1e-3, 0.01)),
            spreads: [SpreadBelief {
                sd: 5.0,
                worth: 5.0,
            }; 2],
            counts: [1.0, 1.0],
            shift: Bell {
                mean: 80.0,
                sd: 10.0,
            },
            ..open()
        };
        let all: Vec<Observation> = [100.0, 104.0, 900.0].map(bare).to_vec();
        let found = mixture(&all, &beliefs, &from(100.0, 80.0)).expect("three");
        for (o, at) in all.iter().zip(&found.chances) {
            for c in [*at, found.chance(o)] {
                assert!((c.first + c.second + c.stray - 1.0).abs() < 1e-9);
            }
        }
        assert!(found.chances[2].stray > 0.9);
    }

    #[test]
    fn values_that_leave_everything_open_are_refused() {
        let none = mixture(&[], &open(), &from(1.0, 1.0));
        assert!(none.is_err());
        let alike: Vec<Observation> = [1.0, 1.0, 1.0].map(bare).to_vec();
        assert!(mixture(&alike, &open(), &from(1.0, 1.0)).is_err());
        assert!(mixture(&[bare(f64::NAN)], &open(), &from(1.0, 1.0)).is_err());
        let wrong = Observation {
            covariates: vec![1.0, 2.0],
            ..bare(1.0)
        };
        assert!(mixture(&[wrong], &open(), &from(1.0, 1.0)).is_err());
    }
}
