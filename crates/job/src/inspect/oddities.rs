//! Tells the odd readings of a panel from the others.
//!
//! Law: generalised extreme deviate test, R_i = max|x − x̄|/s against λ_i at
//! α = 0.05, and the modified z score 0.6745·(x − median)/MAD; x in µm.
//! Source: [`lapwing_measure::Source::Rosner1983`]; score and its limit 3.5
//! [`lapwing_measure::Source::NistHandbook`] 1.3.5.17.
//! Holds: from 15 spots on by the test, confirmed by the score; below that,
//! where the test is only approximate, by the score and at least 15 µm
//! (common practice). The MAD counts as at least 1 µm, as gauges show whole
//! micrometres and most readings may be equal, and as no less than the gauge
//! repeats. At most max(10, n/20), and
//! never more than 30, readings are odd: more is a second population, which
//! shows as spread.
//! Left out: neighbourhood on the panel; the film map sees that.
//! Checked by: the unit tests of the module above (Rosner's data, the 310 µm
//! among 116).

use lapwing_measure::statistics::{esd, summary};

/// Limit of the modified z score.
pub(super) const ODD_SCORE: f64 = 3.5;

const SCORE_PER_MAD: f64 = 0.6745;
const LEAST_MAD_UM: f64 = 1.0;
const FEW: usize = 15;
const FEW_LEAST_OFF_UM: f64 = 15.0;
const ALPHA_FRAC: f64 = 0.05;

/// Splits spot means into odd ones, farthest first, and the rest in order;
/// `gauge_um` is what the gauge repeats to.
pub(super) fn split(films_um: &[f64], gauge_um: f64) -> (Vec<f64>, Vec<f64>) {
    let Some(scale) = Scale::of(films_um, gauge_um) else {
        return (Vec::new(), films_um.to_vec());
    };
    let mut odd: Vec<usize> = if films_um.len() < FEW {
        scale.clearly_odd(films_um)
    } else if films_um.iter().any(|x| scale.score(*x) > ODD_SCORE) {
        tested(films_um)
            .into_iter()
            .filter(|i| scale.score(films_um[*i]) > ODD_SCORE)
            .collect()
    } else {
        Vec::new()
    };
    odd.sort_by(|a, b| {
        scale
            .score(films_um[*b])
            .total_cmp(&scale.score(films_um[*a]))
    });
    parted(films_um, &odd)
}

/// Splits the repeats of one spot; it takes three to say which one is wrong.
pub(super) fn split_repeats(films_um: &[f64]) -> (Vec<f64>, Vec<f64>) {
    match Scale::of(films_um, LEAST_MAD_UM) {
        Some(scale) => parted(films_um, &scale.clearly_odd(films_um)),
        None => (Vec::new(), films_um.to_vec()),
    }
}

/// How far a value lies from values with this median and MAD, in scores.
pub(super) fn score(value_um: f64, median_um: f64, mad_um: f64) -> f64 {
    SCORE_PER_MAD * (value_um - median_um).abs() / mad_um.max(LEAST_MAD_UM)
}

struct Scale {
    median_um: f64,
    mad_um: f64,
}

impl Scale {
    fn of(films_um: &[f64], gauge_um: f64) -> Option<Self> {
        if films_um.len() < 3 {
            return None;
        }
        let whole = summary::summary(films_um).ok()?;
        Some(Self {
            median_um: whole.median,
            mad_um: whole.mad.max(gauge_um),
        })
    }

    fn score(&self, film_um: f64) -> f64 {
        score(film_um, self.median_um, self.mad_um)
    }

    fn clearly_odd(&self, films_um: &[f64]) -> Vec<usize> {
        let is_odd =
            |x: f64| self.score(x) > ODD_SCORE && (x - self.median_um).abs() >= FEW_LEAST_OFF_UM;
        (0..films_um.len())
            .filter(|i| is_odd(films_um[*i]))
            .collect()
    }
}

fn tested(films_um: &[f64]) -> Vec<usize> {
    let most = (films_um.len() / 20).clamp(10, 30).min(films_um.len() / 2);
    esd::generalised_esd(films_um, most, ALPHA_FRAC)
        .map(|test| test.outliers().iter().map(|step| step.index).collect())
        .unwrap_or_default()
}

fn parted(films_um: &[f64], odd: &[usize]) -> (Vec<f64>, Vec<f64>) {
    let mut is_odd = vec![false; films_um.len()];
    for index in odd {
        is_odd[*index] = true;
    }
    let kept = films_um
        .iter()
        .zip(&is_odd)
        .filter(|(_, odd)| !**odd)
        .map(|(x, _)| *x);
    (odd.iter().map(|i| films_um[*i]).collect(), kept.collect())
}
