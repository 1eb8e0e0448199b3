//! What one more reading is worth to a decision that hangs on the lowest place.
//!
//! Law: p = P(lowest < t). Acting when it is lower costs w, not acting when it
//! is not costs 1, so the risk of the better choice is min(w·p, 1 − p). A
//! reading at a place moves every mean by b·Z, b = cov/√(variance + noise), Z
//! standard normal, and takes bbᵀ off the covariance. Gain = risk now − mean
//! risk after it, over Z by Gauss–Legendre points, p by draws.
//! Source: expected value of sample information,
//! [`Source::RaiffaSchlaifer1961`] ch. 4.
//! Holds: for any places and noise; the gain is never negative, because the
//! mean of p after the reading is p now and the risk bends down.
//! One reading may be too little to turn a decision that several together
//! would turn, so a set of readings is judged as a whole too: its places are
//! those that take most variance off the deciding places, one after the other.
//! Left out: sets chosen by their gain; the cost of a reading.
//! Checked by: the closed form for one place (an integral of the normal
//! distribution) here and with SciPy in `validation`; no gain where nothing is
//! to be learnt.

use nalgebra::DMatrix;

use crate::source::Source;
use crate::statistics::error::{inside, number};
use crate::statistics::{StatisticsError, quadrature};

use super::lowest::Draws;
use super::process::Joint;

/// Where the value of a sample is defined.
pub const SOURCE: Source = Source::RaiffaSchlaifer1961;

/// So many outcomes of a set of readings are followed.
const OUTCOMES: usize = 120;

/// How far out the outcome of a reading is followed, standard deviations.
const REACH: f64 = 4.0;

/// The decision.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Choice {
    /// Act when the lowest place is not under this.
    pub threshold: f64,
    /// So many times worse is acting wrongly than wrongly leaving it.
    pub weight: f64,
    /// Standard deviation of the error of the next reading.
    pub noise_sd: f64,
}

impl Choice {
    fn risk(&self, share: f64) -> f64 {
        (self.weight * share).min(1.0 - share)
    }
}

/// The risk now, and the gain of a reading at each candidate. The first
/// `places` of the joint state decide; the others are the candidates.
///
/// # Errors
/// When the draws do not serve one more than all places, no place decides, or
/// a number of the choice is out of range.
pub fn reading_gains(
    joint: &Joint,
    places: usize,
    choice: &Choice,
    draws: &Draws,
) -> Result<(f64, Vec<f64>), StatisticsError> {
    inside(
        choice.threshold,
        "threshold",
        (f64::NEG_INFINITY, f64::INFINITY),
    )?;
    inside(choice.weight, "weight", (0.0, f64::INFINITY))?;
    inside(
        choice.noise_sd,
        "noise",
        (-f64::MIN_POSITIVE, f64::INFINITY),
    )?;
    let all = joint.means.len();
    if places == 0 || places > all || all + 1 > draws.width() {
        return Err(StatisticsError::TooFew {
            what: "draws in a set",
            came: draws.width(),
            needed: all + 1,
        });
    }
    let mut widened = joint.covariance.clone().resize(all + 1, all + 1, 0.0);
    widened[(all, all)] = 1.0;
    let spread = draws.spread(&widened);
    let points = outcomes();
    let under = spread
        .column_iter()
        .filter(|values| (0..places).any(|k| joint.means[k] + values[k] < choice.threshold));
    let now = number(under.count()) / number(draws.sets());
    if now <= 0.0 || now >= 1.0 {
        return Ok((choice.risk(now), vec![0.0; all - places]));
    }
    let gains = (places..all).map(|candidate| {
        let shift = Shift::of(joint, places, candidate, choice.noise_sd);
        let mut shares = vec![0.0; points.len()];
        for values in spread.column_iter() {
            let (low, high) = shift.turning_points(joint, values.as_slice(), choice);
            for (share, (z, _)) in shares.iter_mut().zip(&points) {
                if *z < low || *z > high {
                    *share += 1.0;
                }
            }
        }
        let sets = number(draws.sets());
        let mean = |f: &dyn Fn(f64) -> f64| -> f64 {
            shares
                .iter()
                .zip(&points)
                .map(|(s, (_, w))| w * f(s / sets))
                .sum()
        };
        (choice.risk(mean(&|p| p)) - mean(&|p| choice.risk(p))).max(0.0)
    });
    Ok((choice.risk(now), gains.collect()))
}

/// Numbers of the candidates whose readings, one after the other, take most
/// variance off the first `places`.
#[must_use]
pub fn most_telling(joint: &Joint, places: usize, size: usize, noise_sd: f64) -> Vec<usize> {
    let all = joint.means.len();
    let places = places.min(all);
    let mut covariance = joint.covariance.clone();
    let mut chosen = Vec::new();
    for _ in 0..size {
        let taken = |c: usize| -> f64 {
            let squares: f64 = (0..places).map(|k| covariance[(k, c)].powi(2)).sum();
            squares / (covariance[(c, c)].max(0.0) + noise_sd * noise_sd).max(f64::MIN_POSITIVE)
        };
        let best = (places..all)
            .filter(|c| !chosen.contains(c))
            .max_by(|a, b| taken(*a).total_cmp(&taken(*b)).then(b.cmp(a)));
        let Some(best) = best else { break };
        let variance =
            (covariance[(best, best)].max(0.0) + noise_sd * noise_sd).max(f64::MIN_POSITIVE);
        let column = covariance.column(best).into_owned();
        covariance -= &column * column.transpose() / variance;
        chosen.push(best);
    }
    chosen
}

/// The gain of reading all places of a set.
///
/// # Errors
/// As [`reading_gains`], with draws for every reading of the set, and when the
/// set is empty or its covariance is none.
pub fn set_gain(
    joint: &Joint,
    places: usize,
    set: &[usize],
    choice: &Choice,
    draws: &Draws,
) -> Result<f64, StatisticsError> {
    let all = joint.means.len();
    let needed = all + set.len();
    if set.is_empty() || set.iter().any(|c| *c >= all) || places > all || needed > draws.width() {
        return Err(StatisticsError::TooFew {
            what: "draws in a set",
            came: draws.width(),
            needed,
        });
    }
    let noise = DMatrix::identity(set.len(), set.len()) * (choice.noise_sd * choice.noise_sd);
    let own = joint.covariance.select_rows(set).select_columns(set) + noise;
    let toward = joint.covariance.rows(0, places).select_columns(set);
    let inverse =
        own.cholesky()
            .map(|factor| factor.inverse())
            .ok_or(StatisticsError::Unrepresentable {
                what: "covariance of the readings",
            })?;
    let pull = toward * inverse;
    let mut widened = joint.covariance.clone().resize(needed, needed, 0.0);
    for k in all..needed {
        widened[(k, k)] = 1.0;
    }
    let spread = draws.spread(&widened);
    let outcomes = spread.select_rows(set) + spread.rows(all, set.len()) * choice.noise_sd;
    let shifts = pull * outcomes;
    let rests = spread.rows(0, places) - &shifts;
    let shares: Vec<f64> = shifts
        .column_iter()
        .take(OUTCOMES)
        .map(|shift| {
            let room: Vec<f64> = (0..places)
                .map(|k| choice.threshold - joint.means[k] - shift[k])
                .collect();
            let is_under = |rest: &&[f64]| rest.iter().zip(&room).any(|(r, room)| r < room);
            let columns = rests.as_slice().chunks_exact(places);
            number(columns.filter(is_under).count()) / number(draws.sets())
        })
        .collect();
    let count = number(shares.len());
    let now = shares.iter().sum::<f64>() / count;
    let after = shares.iter().map(|p| choice.risk(*p)).sum::<f64>() / count;
    Ok((choice.risk(now) - after).max(0.0))
}

/// Outcomes of a reading in standard deviations, and their probabilities.
fn outcomes() -> Vec<(f64, f64)> {
    let mut points = quadrature::points(-REACH, REACH, 2);
    for (z, weight) in &mut points {
        *weight *= (-0.5 * *z * *z).exp();
    }
    let total: f64 = points.iter().map(|(_, w)| w).sum();
    points.iter_mut().for_each(|(_, w)| *w /= total);
    points
}

/// How a reading at a candidate moves the means of the deciding places.
struct Shift {
    by: Vec<f64>,
    candidate: usize,
    reading_sd: f64,
    noise_sd: f64,
}

impl Shift {
    fn of(joint: &Joint, places: usize, candidate: usize, noise_sd: f64) -> Self {
        let variance = joint.covariance[(candidate, candidate)].max(0.0) + noise_sd * noise_sd;
        let reading_sd = variance.sqrt();
        let by = (0..places).map(|k| {
            if reading_sd > 0.0 {
                joint.covariance[(k, candidate)] / reading_sd
            } else {
                0.0
            }
        });
        Self {
            by: by.collect(),
            candidate,
            reading_sd,
            noise_sd,
        }
    }

    /// With what is left unknown as in this set of draws, the lowest place is
    /// under the threshold for outcomes below the first or above the second.
    fn turning_points(&self, joint: &Joint, values: &[f64], choice: &Choice) -> (f64, f64) {
        let error = self.noise_sd * values[values.len() - 1];
        let outcome = if self.reading_sd > 0.0 {
            (values[self.candidate] + error) / self.reading_sd
        } else {
            0.0
        };
        let (mut low, mut high) = (f64::NEG_INFINITY, f64::INFINITY);
        for (k, by) in self.by.iter().enumerate() {
            let rest = joint.means[k] + values[k] - by * outcome;
            let room = choice.threshold - rest;
            if *by > 0.0 {
                low = low.max(room / by);
            } else if *by < 0.0 {
                high = high.min(room / by);
            } else if room > 0.0 {
                low = f64::INFINITY;
            }
        }
        (low, high)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::statistics::quantile;

    /// One place read again: p after the reading is Φ((t − m − bZ)/s′).
    fn closed_form(mean: f64, sd: f64, choice: &Choice) -> f64 {
        let b = sd * sd / (sd * sd + choice.noise_sd * choice.noise_sd).sqrt();
        let left = (sd * sd - b * b).sqrt();
        let share = |z: f64| quantile::normal_cdf((choice.threshold - mean - b * z) / left);
        let after: f64 = quadrature::points(-8.0, 8.0, 400)
            .iter()
            .map(|(z, w)| w * (-0.5 * z * z).exp() * choice.risk(share(*z)))
            .sum::<f64>()
            / (2.0 * std::f64::consts::PI).sqrt();
        let now = choice.risk(quantile::normal_cdf((choice.threshold - mean) / sd));
        now - after
    }

    #[test]
    fn one_place_has_the_gain_of_the_closed_form() {
        for (mean, threshold) in [(100.0, 95.0), (100.0, 97.0), (100.0, 99.0)] {
            let choice = Choice {
                threshold,
                weight: 19.0,
                noise_sd: 1.0,
            };
            let joint = Joint::new(&[mean, mean], &[9.0; 4]).expect("a place");
            let draws = Draws::new(5, 20_000, 3);
            let (_, gains) = reading_gains(&joint, 1, &choice, &draws).expect("draws");
            let expected = closed_form(mean, 3.0, &choice);
            // 40 000 draws: p is good to 0.0011, times 19.
            assert!(
                (gains[0] - expected).abs() < 0.03,
                "{} {expected}",
                gains[0]
            );
        }
    }

    #[test]
    fn nothing_is_gained_where_nothing_can_be_learnt() {
        let choice = Choice {
            threshold: 97.0,
            weight: 19.0,
            noise_sd: 1.0,
        };
        // The second place knows nothing of the first.
        let joint = Joint::new(&[100.0, 100.0], &[9.0, 0.0, 0.0, 9.0]).expect("places");
        let (risk, gains) =
            reading_gains(&joint, 1, &choice, &Draws::new(6, 4000, 3)).expect("draws");
        assert!(risk > 0.5 && gains[0] < 1e-9, "{risk} {gains:?}");
        // Far above the threshold there is no risk to take away.
        let safe = Joint::new(&[200.0, 200.0], &[9.0; 4]).expect("a place");
        let (risk, gains) =
            reading_gains(&safe, 1, &choice, &Draws::new(6, 4000, 3)).expect("draws");
        assert!(risk.abs() < 1e-12 && gains[0].abs() < 1e-12);
    }

    #[test]
    fn a_wild_reading_gains_less_than_a_fine_one() {
        let joint = Joint::new(&[100.0, 100.0], &[9.0; 4]).expect("a place");
        let gain = |noise_sd: f64| {
            let choice = Choice {
                threshold: 96.0,
                weight: 19.0,
                noise_sd,
            };
            reading_gains(&joint, 1, &choice, &Draws::new(7, 8000, 3))
                .expect("draws")
                .1[0]
        };
        assert!(gain(0.3) > gain(3.0) && gain(3.0) > gain(30.0));
    }

    #[test]
    fn a_set_of_one_gains_what_one_reading_gains() {
        let choice = Choice {
            threshold: 97.0,
            weight: 19.0,
            noise_sd: 1.0,
        };
        let joint = Joint::new(&[100.0, 100.0], &[9.0; 4]).expect("a place");
        let set = set_gain(&joint, 1, &[1], &choice, &Draws::new(9, 4000, 3)).expect("draws");
        // 120 outcomes, each between 0 and 0.95: good to about 0.04.
        assert!(
            (set - closed_form(100.0, 3.0, &choice)).abs() < 0.12,
            "{set}"
        );
        assert!(set_gain(&joint, 1, &[], &choice, &Draws::new(9, 10, 3)).is_err());
    }

    #[test]
    fn the_most_telling_places_do_not_repeat_each_other() {
        // Places 0 and 1 decide; 2 tells of 0, 3 the same, 4 less of 1.
        let rows = [
            [4.0, 0.0, 3.0, 3.0, 0.0],
            [0.0, 4.0, 0.0, 0.0, 2.0],
            [3.0, 0.0, 4.0, 4.0, 0.0],
            [3.0, 0.0, 4.0, 4.0, 0.0],
            [0.0, 2.0, 0.0, 0.0, 4.0],
        ];
        let joint = Joint::new(&[0.0; 5], &rows.concat()).expect("places");
        assert_eq!(most_telling(&joint, 2, 2, 0.5), [2, 4]);
        assert_eq!(most_telling(&joint, 2, 9, 0.5).len(), 3);
    }

    #[test]
    fn nonsense_is_refused() {
        let joint = Joint::new(&[1.0, 1.0], &[1.0; 4]).expect("a place");
        let good = Choice {
            threshold: 0.0,
            weight: 19.0,
            noise_sd: 1.0,
        };
        let draws = Draws::new(8, 10, 3);
        assert!(reading_gains(&joint, 0, &good, &draws).is_err());
        assert!(reading_gains(&joint, 3, &good, &draws).is_err());
        let bad = Choice {
            threshold: f64::NAN,
            ..good
        };
        assert!(reading_gains(&joint, 1, &bad, &draws).is_err());
    }
}
