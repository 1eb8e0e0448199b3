//! Clear coat left at a place, from all that bears on it.
//!
//! Law: with X clear now, O the layers under it and r what polishing took,
//! p(X) ∝ Σ_r w_r·N(X + r; µc, σc²)·N(T − X; µo, σo² + σg²)·Φ(m/s)·N(L; X, σL²)
//! for X ≥ 0; T the total read, L a reading of the layer itself, m and s mean
//! and deviation of O given X, Φ(m/s) the share of it that is not below 0.
//! r: as recorded (normal, not below 0). Where hidden places were read, a fifth of
//! the belief adds an unrecorded amount h, half normal of 5 µm, and
//! D = hidden − outside = r + h − 5 µm ± 8 µm weighs both.
//! Source: Bayes' rule; hidden places carry 5 ± 8 µm less, unrecorded polishing
//! 5 µm in one car of five: all assumed.
//! Holds: for any input, a total far outside the table included (then the answer
//! is a number, and the budget says that the table does not fit). Far from the
//! bounds (8 deviations) the closed form of [`super::layers`] is used.
//! Left out: correlation of layers; removal that differs over the panel.
//! Checked by: ten million samples (validation case), scipy's quadrature live,
//! and the closed form where nothing is cut.

use lapwing_measure::Provenance;
use lapwing_measure::estimate::NORMAL_95;
use lapwing_measure::statistics::density::belief;
use lapwing_measure::statistics::quadrature::points;
use lapwing_measure::statistics::quantile::{normal, normal_cdf};

use super::layers::{ClearLeft, LayerPrior};

/// Film missing on hidden places, µm, and its standard deviation.
const HIDDEN_LESS_UM: (f64, f64) = (5.0, 8.0);

/// Unrecorded polishing: half normal of this, µm, in this share of cars.
const UNRECORDED_UM: f64 = 5.0;
const UNRECORDED_FRAC: f64 = 0.2;

/// So many deviations from a bound it does not bite (6e-16).
const CLEAR_OF_BOUND: f64 = 8.0;

/// Whether hidden places read so much more than the open face, without what
/// polishing is believed to have taken, that it does not explain it: over twice
/// the spread that builds have there.
pub(super) fn is_beyond_polishing(unexplained_um: f64, sd_um: f64) -> bool {
    let (less_um, less_sd_um) = HIDDEN_LESS_UM;
    unexplained_um + less_um > 2.0 * less_sd_um.hypot(sd_um)
}

/// What bears on a place.
#[derive(Clone, Debug, PartialEq)]
pub struct Evidence {
    /// Total read there, µm.
    pub total_um: Option<f64>,
    /// Standard deviation of that reading, µm.
    pub gauge_um: f64,
    /// What polishing has taken.
    pub removed: Removed,
    /// The layer itself, read: mean and standard deviation there, µm.
    pub top_layer_um: Option<(f64, f64)>,
    /// One-sided confidence, 0.5 to 1.
    pub confidence: f64,
}

/// What polishing has taken: amounts in µm with their weights.
#[derive(Clone, Debug, PartialEq)]
pub struct Removed {
    amounts: Vec<(f64, f64)>,
}

impl Removed {
    /// As recorded, with a standard deviation; never below 0.
    #[must_use]
    pub fn recorded(um: f64, sd_um: f64) -> Self {
        if sd_um <= 0.0 {
            return Self {
                amounts: vec![(um.max(0.0), 1.0)],
            };
        }
        let (low, high) = ((um - 8.0 * sd_um).max(0.0), (um + 8.0 * sd_um).max(sd_um));
        let weighted = points(low, high, 2).into_iter();
        let amounts = weighted
            .map(|(r, w)| (r, w * log_bell(r, um, sd_um).exp()))
            .collect();
        Self { amounts }.normed(um)
    }

    /// Weighs it with hidden places that read `difference_um` more than the
    /// outside, known to `sd_um`.
    #[must_use]
    pub fn with_hidden(&self, difference_um: f64, sd_um: f64) -> Self {
        let (less_um, less_sd_um) = HIDDEN_LESS_UM;
        let sd = less_sd_um.hypot(sd_um);
        let seen = |r: f64| log_bell(difference_um + less_um, r, sd);
        let mut amounts = Vec::new();
        for (r, w) in &self.amounts {
            amounts.push((*r, w * (1.0 - UNRECORDED_FRAC) * seen(*r).exp()));
            for (h, share) in points(0.0, 6.0 * UNRECORDED_UM, 1) {
                let slab = 2.0 * log_bell(h, 0.0, UNRECORDED_UM).exp() * share;
                amounts.push((r + h, w * UNRECORDED_FRAC * slab * seen(r + h).exp()));
            }
        }
        Self { amounts }.normed(self.mean_um())
    }

    /// Mean, µm.
    #[must_use]
    pub fn mean_um(&self) -> f64 {
        self.amounts.iter().map(|(r, w)| r * w).sum()
    }

    /// Upper bound at a one-sided confidence, µm.
    #[must_use]
    pub fn upper_um(&self, confidence: f64) -> f64 {
        let mut sorted = self.amounts.clone();
        sorted.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut sum = 0.0;
        for (r, w) in &sorted {
            sum += w;
            if sum >= confidence {
                return *r;
            }
        }
        sorted.last().map_or(0.0, |(r, _)| *r)
    }

    /// Weights that add up to 1; where the evidence excludes every amount, what
    /// was believed before stays.
    fn normed(mut self, otherwise_um: f64) -> Self {
        let whole: f64 = self.amounts.iter().map(|(_, w)| w).sum();
        if !(whole.is_finite() && whole > 0.0) {
            return Self::recorded(otherwise_um, 0.0);
        }
        for (_, w) in &mut self.amounts {
            *w /= whole;
        }
        self
    }

    fn certain_um(&self) -> Option<f64> {
        match self.amounts.as_slice() {
            [(r, _)] => Some(*r),
            _ => None,
        }
    }
}

/// Clear left at a place.
#[must_use]
pub fn clear_left(prior: &LayerPrior, evidence: &Evidence) -> ClearLeft {
    let tail = (1.0 - evidence.confidence).clamp(1e-6, 0.5);
    let (mean, sd, lower) = evidence
        .removed
        .certain_um()
        .and_then(|r| uncut(prior, evidence, r))
        .or_else(|| cut(prior, evidence, tail))
        .unwrap_or((0.0, 0.0, 0.0));
    ClearLeft {
        mean,
        sd,
        lower_95: lower,
        provenance: match evidence.top_layer_um {
            Some(_) => Provenance::Measured,
            None => Provenance::Assumed,
        },
    }
}

/// The closed form, where no bound bites.
fn uncut(prior: &LayerPrior, evidence: &Evidence, r: f64) -> Option<(f64, f64, f64)> {
    let mut state = State {
        mean: [prior.clear_um - r, prior.rest_um],
        spread: [
            [prior.clear_sd_um.powi(2), 0.0],
            [0.0, prior.rest_sd_um.powi(2)],
        ],
    };
    if let Some(total_um) = evidence.total_um {
        state.see([1.0, 1.0], total_um, evidence.gauge_um);
    }
    if let Some((um, sd_um)) = evidence.top_layer_um {
        state.see([1.0, 0.0], um, sd_um);
    }
    let sd = |i: usize| state.spread[i][i].max(0.0).sqrt();
    let is_free = (0..2).all(|i| state.mean[i] > 0.0 && state.mean[i] >= CLEAR_OF_BOUND * sd(i));
    if !is_free {
        return None;
    }
    let z = normal(evidence.confidence).unwrap_or(NORMAL_95);
    Some((state.mean[0], sd(0), (state.mean[0] - z * sd(0)).max(0.0)))
}

/// Two normal numbers and what is known of them together.
struct State {
    mean: [f64; 2],
    spread: [[f64; 2]; 2],
}

impl State {
    /// Sees a weighted sum of both, with an error.
    fn see(&mut self, look: [f64; 2], came: f64, sd: f64) {
        let along = [0, 1].map(|i| self.spread[i][0] * look[0] + self.spread[i][1] * look[1]);
        let seen = look[0] * along[0] + look[1] * along[1] + sd * sd;
        if seen <= 0.0 {
            return;
        }
        let off = came - look[0] * self.mean[0] - look[1] * self.mean[1];
        for i in 0..2 {
            self.mean[i] += along[i] / seen * off;
            for j in 0..2 {
                self.spread[i][j] -= along[i] * along[j] / seen;
            }
        }
    }
}

/// Mean, deviation and lower bound of the belief cut by its bounds.
fn cut(prior: &LayerPrior, evidence: &Evidence, tail: f64) -> Option<(f64, f64, f64)> {
    const LEAST_SD_UM: f64 = 1e-3;
    let clear_sd = prior.clear_sd_um.max(LEAST_SD_UM);
    let rest_sd = prior.rest_sd_um.max(LEAST_SD_UM);
    let gauge = evidence.gauge_um.max(LEAST_SD_UM);
    let seen_sd = rest_sd.hypot(gauge);
    let log_density = |x: f64| {
        let original: f64 = evidence
            .removed
            .amounts
            .iter()
            .map(|(r, w)| w.ln() + log_bell(x + r, prior.clear_um, clear_sd))
            .fold(f64::NEG_INFINITY, log_add);
        let total = evidence.total_um.map_or(0.0, |t| {
            let under = t - x;
            let precision = rest_sd.powi(-2) + gauge.powi(-2);
            let mean = (prior.rest_um * rest_sd.powi(-2) + under * gauge.powi(-2)) / precision;
            log_bell(under, prior.rest_um, seen_sd) + normal_cdf(mean * precision.sqrt()).ln()
        });
        let layer = evidence
            .top_layer_um
            .map_or(0.0, |(um, sd)| log_bell(x, um, sd.max(LEAST_SD_UM)));
        original + total + layer
    };
    let most = evidence
        .total_um
        .map_or(prior.clear_um + 12.0 * clear_sd, |t| {
            t.max(0.0) + 8.0 * gauge
        });
    let found = belief(log_density, (0.0, most.max(LEAST_SD_UM)), &[tail]).ok()?;
    Some((found.mean, found.sd, *found.quantiles.first()?))
}

fn log_bell(x: f64, mean: f64, sd: f64) -> f64 {
    let z = (x - mean) / sd;
    -z * z / 2.0 - sd.ln() - 0.918_938_533_204_672_8
}

fn log_add(a: f64, b: f64) -> f64 {
    let top = a.max(b);
    if top == f64::NEG_INFINITY {
        return top;
    }
    top + ((a - top).exp() + (b - top).exp()).ln()
}

#[cfg(test)]
mod tests {
    use super::*;

    const PRIOR: LayerPrior = LayerPrior {
        clear_um: 45.0,
        clear_sd_um: 5.0,
        rest_um: 70.0,
        rest_sd_um: 6.0,
    };

    fn evidence(total_um: f64) -> Evidence {
        Evidence {
            total_um: Some(total_um),
            gauge_um: 1.0,
            removed: Removed::recorded(0.0, 0.0),
            top_layer_um: None,
            confidence: 0.95,
        }
    }

    fn near(came: f64, wanted: f64, within: f64) {
        assert!((came - wanted).abs() <= within, "{came} is not {wanted}");
    }

    #[test]
    fn the_cut_belief_is_the_closed_form_where_nothing_is_cut() {
        for total in [90.0, 115.0, 140.0] {
            let e = evidence(total);
            let (mean, sd, lower) = uncut(&PRIOR, &e, 0.0).expect("free");
            let (cut_mean, cut_sd, cut_lower) = cut(&PRIOR, &e, 0.05).expect("a belief");
            near(cut_mean, mean, 1e-8);
            near(cut_sd, sd, 1e-7);
            near(cut_lower, lower, 1e-6);
        }
    }

    #[test]
    fn no_layer_is_negative_or_thicker_than_the_total() {
        for total in [0.5, 5.0, 20.0, 35.0, 60.0] {
            let left = clear_left(&PRIOR, &evidence(total));
            assert!(left.lower_95 > 0.0 && left.lower_95 < left.mean, "{left:?}");
            assert!(left.mean < total + 1.0 && left.sd.is_finite(), "{left:?}");
        }
    }

    #[test]
    fn what_was_removed_and_how_surely_is_debited() {
        let left = |um: f64, sd: f64| {
            let e = Evidence {
                removed: Removed::recorded(um, sd),
                ..evidence(112.0)
            };
            clear_left(&PRIOR, &e)
        };
        assert!(left(4.0, 0.0).mean < left(0.0, 0.0).mean);
        near(left(4.0, 0.5).mean, left(4.0, 0.0).mean, 0.05);
        assert!(left(4.0, 3.0).sd > left(4.0, 0.0).sd);
    }

    // The layer's own reading outweighs the table as its error falls.
    #[test]
    fn a_layer_reading_is_believed_as_far_as_it_is_good() {
        let left = |sd: f64| {
            let e = Evidence {
                top_layer_um: Some((30.0, sd)),
                ..evidence(112.0)
            };
            clear_left(&PRIOR, &e)
        };
        near(left(0.01).mean, 30.0, 0.01);
        assert!(left(2.0).mean < clear_left(&PRIOR, &evidence(112.0)).mean);
        assert_eq!(left(2.0).provenance, Provenance::Measured);
        near(
            left(1e6).mean,
            clear_left(&PRIOR, &evidence(112.0)).mean,
            1e-6,
        );
    }

    #[test]
    fn hidden_places_thicker_than_the_outside_speak_of_polishing() {
        let removed = Removed::recorded(0.0, 0.0);
        let [none, some, much] = [-10.0, 5.0, 25.0].map(|d| removed.with_hidden(d, 1.0).mean_um());
        assert!(
            none < 1.2 && none < some && some < much,
            "{none} {some} {much}"
        );
        assert!(much > 5.0 && much < 30.0);
        near(removed.with_hidden(1e9, 1.0).mean_um(), 0.0, 1e-12);
    }

    #[test]
    fn recorded_amounts_keep_their_mean_and_never_fall_below_nothing() {
        near(Removed::recorded(6.0, 0.5).mean_um(), 6.0, 1e-6);
        // Half normal: sd·√(2/π).
        let half = 2.0 * (2.0 / std::f64::consts::PI).sqrt();
        near(Removed::recorded(0.0, 2.0).mean_um(), half, 1e-6);
        near(Removed::recorded(6.0, 0.0).upper_um(0.95), 6.0, 0.0);
        assert!((Removed::recorded(6.0, 1.0).upper_um(0.95) - 7.64).abs() < 0.4);
    }

    #[test]
    fn totals_the_table_excludes_still_give_numbers() {
        for total in [0.0, 1e-3, 400.0, 3000.0] {
            let left = clear_left(&PRIOR, &evidence(total));
            assert!(left.mean.is_finite() && left.sd.is_finite() && left.lower_95.is_finite());
            assert!(left.mean >= 0.0 && left.mean <= total + 8.0);
        }
    }
}
