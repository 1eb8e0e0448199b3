//! Is there a step in a row of values, and where?
//!
//! Law: without a step y = a + b·t + noise, with one y = a + b·t + d·[beyond k] +
//! noise, noise N(0, σ²). The chance of a step compares the evidence of both,
//! summed over places k and spreads σ; a, b, d have normal beliefs.
//! Evidence: ln p(y) = −½(n ln 2πσ² + ln|A| − ln|P| + yᵀy/σ² − bᵀA⁻¹b),
//! A = XᵀX/σ² + P, b = Xᵀy/σ², P the inverse squares of the beliefs.
//! Source: [`Source::Bishop2006`] 3.5 (evidence of a linear model).
//! Holds: for 4 values or more. Outside: `None`. Long rows are asked at no more
//! than 200 places. Values that share a place are not parted.
//! Left out: two steps in a row; curved films, which show as a step only where
//! they bend sharply.
//! Checked by: scipy's multivariate normal density live; rows with and without
//! a step below.

use crate::source::Source;

use super::linear::Factor;

/// Where the evidence is written down.
pub const SOURCE: Source = Source::Bishop2006;

const MOST_PLACES: usize = 200;

/// What is believed before a row is looked at.
#[derive(Clone, Debug, PartialEq)]
pub struct StepBeliefs {
    /// Deviation of the level about the row's mean.
    pub level_sd: f64,
    /// Deviation of the rise from end to end.
    pub slope_sd: f64,
    /// Deviation of the step.
    pub step_sd: f64,
    /// Spreads of the noise that are thought possible, with their shares.
    pub noises: Vec<(f64, f64)>,
    /// Chance of a step before looking.
    pub chance_frac: f64,
    /// Least number of values on either side.
    pub least_side: usize,
}

/// The likeliest step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Step {
    /// It lies between this place of the row, from 0, and the next.
    pub after: usize,
    /// Chance that there is one anywhere in the row.
    pub chance_frac: f64,
    /// How far the values beyond lie above those before.
    pub size: f64,
    /// Its deviation.
    pub size_sd: f64,
}

/// Looks for a step in values that lie in a row; `at` is each one's place along
/// it, rising. `None` when there are too few values, or one is no number.
#[must_use]
pub fn step(row: &[(f64, f64)], beliefs: &StepBeliefs) -> Option<Step> {
    let least = beliefs.least_side.max(1);
    let is_sound = row.iter().all(|(t, y)| t.is_finite() && y.is_finite());
    if !is_sound || row.len() < (2 * least).max(4) {
        return None;
    }
    let sums = Sums::of(row);
    let last = row.len() - least;
    let stride = (last - least) / MOST_PLACES + 1;
    // Values at the same place of the row are not parted.
    let places: Vec<usize> = (least..=last)
        .filter(|k| row[*k - 1].0 < row[*k].0)
        .step_by(stride)
        .collect();
    if places.is_empty() {
        return None;
    }
    let mut best: Option<(f64, Fit, usize)> = None;
    let mut with = Vec::new();
    let mut without = Vec::new();
    for (noise, share) in &beliefs.noises {
        without.push(sums.fit(None, *noise, beliefs)?.log_evidence + share.ln());
        for place in &places {
            let fit = sums.fit(Some(*place), *noise, beliefs)?;
            let log = fit.log_evidence + share.ln();
            with.push(log - (places.len() as f64).ln());
            if best.as_ref().is_none_or(|b| log > b.0) {
                best = Some((log, fit, *place));
            }
        }
    }
    let odds = log_sum(&with) - log_sum(&without)
        + (beliefs.chance_frac / (1.0 - beliefs.chance_frac)).ln();
    let (_, fit, place) = best?;
    Some(Step {
        after: place - 1,
        chance_frac: 1.0 / (1.0 + (-odds).exp()),
        size: fit.size,
        size_sd: fit.size_sd,
    })
}

/// Logarithm of the evidence of a row for one noise, with a step after a place
/// or without. `None` for an empty row.
#[must_use]
pub fn log_evidence(
    row: &[(f64, f64)],
    after: Option<usize>,
    noise: f64,
    beliefs: &StepBeliefs,
) -> Option<f64> {
    if row.is_empty() || after.is_some_and(|a| a + 1 >= row.len()) {
        return None;
    }
    let place = after.map(|a| a + 1);
    Some(Sums::of(row).fit(place, noise, beliefs)?.log_evidence)
}

struct Fit {
    log_evidence: f64,
    size: f64,
    size_sd: f64,
}

/// Sums up to every place of 1, t, y, t², ty and y², about the means.
struct Sums {
    upto: Vec<[f64; 6]>,
}

impl Sums {
    fn of(row: &[(f64, f64)]) -> Self {
        let n = row.len() as f64;
        let middle = row.iter().map(|(_, y)| y / n).sum::<f64>();
        let (first, last) = (row[0].0, row[row.len() - 1].0);
        let length = if last > first { last - first } else { 1.0 };
        let mut upto = vec![[0.0; 6]];
        let mut sum = [0.0; 6];
        for (t, y) in row {
            let (t, y) = ((t - first) / length - 0.5, y - middle);
            for (s, x) in sum.iter_mut().zip([1.0, t, y, t * t, t * y, y * y]) {
                *s += x;
            }
            upto.push(sum);
        }
        Self { upto }
    }

    fn fit(&self, place: Option<usize>, noise: f64, beliefs: &StepBeliefs) -> Option<Fit> {
        let all = self.upto[self.upto.len() - 1];
        let mut matrix = vec![vec![all[0], all[1]], vec![all[1], all[3]]];
        let mut right = vec![all[2], all[4]];
        let mut sds = vec![beliefs.level_sd, beliefs.slope_sd];
        if let Some(place) = place {
            let before = self.upto[place];
            let beyond: Vec<f64> = all.iter().zip(before).map(|(a, b)| a - b).collect();
            matrix[0].push(beyond[0]);
            matrix[1].push(beyond[1]);
            matrix.push(vec![beyond[0], beyond[1], beyond[0]]);
            right.push(beyond[2]);
            sds.push(beliefs.step_sd);
        }
        let precision = noise.powi(-2);
        for (i, line) in matrix.iter_mut().enumerate() {
            for x in line.iter_mut() {
                *x *= precision;
            }
            line[i] += sds[i].powi(-2);
        }
        let right: Vec<f64> = right.iter().map(|x| x * precision).collect();
        let factor = Factor::of(&matrix)?;
        let solved = factor.solve(&right);
        let explained: f64 = solved.iter().zip(&right).map(|(a, b)| a * b).sum();
        let beliefs_log: f64 = sds.iter().map(|sd| -2.0 * sd.ln()).sum();
        let log = all[0] * (std::f64::consts::TAU * noise * noise).ln() + factor.log_determinant()
            - beliefs_log
            + all[5] * precision
            - explained;
        let size_sd = place.map_or(0.0, |_| factor.inverse()[2][2].sqrt());
        Some(Fit {
            log_evidence: -log / 2.0,
            size: solved.get(2).copied().unwrap_or(0.0),
            size_sd,
        })
    }
}

fn log_sum(logs: &[f64]) -> f64 {
    let top = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    top + logs.iter().map(|l| (l - top).exp()).sum::<f64>().ln()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn beliefs() -> StepBeliefs {
        StepBeliefs {
            level_sd: 50.0,
            slope_sd: 10.0,
            step_sd: 60.0,
            noises: vec![(2.0, 0.5), (4.0, 0.5)],
            chance_frac: 0.05,
            least_side: 2,
        }
    }

    fn row(values: &[f64]) -> Vec<(f64, f64)> {
        let place = |i: usize| i as f64;
        values
            .iter()
            .enumerate()
            .map(|(i, y)| (place(i), *y))
            .collect()
    }

    #[test]
    fn a_row_that_jumps_is_told_with_place_and_size() {
        let jump = row(&[112.0, 115.0, 113.0, 114.0, 171.0, 168.0, 170.0, 172.0]);
        let found = step(&jump, &beliefs()).expect("eight values");
        assert_eq!(found.after, 3);
        assert!(found.chance_frac > 0.999, "{found:?}");
        assert!((found.size - 56.0).abs() < 8.0, "{found:?}");
    }

    #[test]
    fn a_level_row_and_a_sloping_row_have_none() {
        let level = row(&[112.0, 115.0, 113.0, 116.0, 112.0, 114.0, 115.0, 113.0]);
        assert!(step(&level, &beliefs()).expect("eight").chance_frac < 0.05);
        let slope = row(&[108.0, 111.0, 112.0, 114.0, 117.0, 118.0, 121.0, 122.0]);
        assert!(step(&slope, &beliefs()).expect("eight").chance_frac < 0.2);
    }

    // One value, mean 0 after centring: y = 0, so p = N(0; 0, σ² + level² + slope²/4).
    #[test]
    fn the_evidence_of_one_value_is_a_bell() {
        let b = beliefs();
        let came = log_evidence(&[(0.0, 7.0)], None, 2.0, &b).expect("one");
        let variance: f64 = 4.0 + 2500.0 + 25.0;
        let wanted = -(std::f64::consts::TAU * variance).ln() / 2.0;
        assert!((came - wanted).abs() < 1e-9, "{came} {wanted}");
    }

    #[test]
    fn too_few_values_or_none_that_count_give_nothing() {
        assert_eq!(step(&row(&[1.0, 2.0, 3.0]), &beliefs()), None);
        assert_eq!(step(&[], &beliefs()), None);
        let bad = row(&[1.0, f64::NAN, 3.0, 4.0, 5.0]);
        assert_eq!(step(&bad, &beliefs()), None);
    }
}
