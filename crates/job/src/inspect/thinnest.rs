//! The thinnest plausible place of a panel, from the spots that were read.
//!
//! Law: t = x̄ − k·s in µm; k the one-sided tolerance factor for 95 % of the
//! panel at 95 % confidence. Fewer than ten spots say too little of the spread:
//! it is filled up as if five more spots had shown 4 µm (assumed), s² = (5·16 +
//! (n − 1)·s²)/(4 + n), with k from the noncentral t of as many degrees of
//! freedom; from five spots on the lower of both bounds rules.
//! Readings that say neither spot nor position may be repeats of one place. With
//! P the chance of that after their spread s was seen, t = P·t₁ + (1 − P)·tₙ;
//! t₁ takes them for one spot, tₙ for as many as there are, and
//! P/(1 − P) = N(s; σ²)/N(s; σ² + 16), each on n − 1 degrees of freedom, σ the
//! gauge's deviation (1 to 1 before: assumed).
//! Source: [`lapwing_measure::Source::NistHandbook`] 7.2.6.3.
//! Holds: for bell-shaped films. Up to 100 spots the factor is exact, above
//! that the handbook's approximation, which is 0.16 % small at 101 spots and
//! closer beyond (0.01 µm for a spread of 4 µm). A bound below 0 is held at 0.
//! Left out: films that thin towards an edge; edge readings stand apart.
//! Checked by: the unit tests of the module above (103.356 µm; 1.9265 at n 100).

use std::collections::HashMap;

use lapwing_measure::statistics::summary;
use lapwing_measure::statistics::tolerance::{self, Limits};

use super::spots::Panel;

const EXACT_UP_TO: usize = 100;

/// Below so many spots the spread is filled up.
const FEW: usize = 10;
/// From so many spots on their own spread rules too.
const ENOUGH: usize = 5;
/// What fills it up: degrees of freedom and deviation in µm; assumed.
const USUAL_FREEDOM: usize = 5;
const USUAL_SD_UM: f64 = 4.0;

/// Tolerance factors by count and degrees of freedom, each worked out once.
#[derive(Debug, Default)]
pub(super) struct Factors {
    known: HashMap<(usize, usize), Option<f64>>,
}

impl Factors {
    /// Lower bound of the film in µm; `None` without a spot. A single spot has
    /// no deviation.
    pub(super) fn thinnest_um(
        &mut self,
        count: usize,
        mean_um: f64,
        sd_um: Option<f64>,
    ) -> Option<f64> {
        let own_freedom = count.checked_sub(1)?;
        let own = sd_um.and_then(|sd| self.below(count, own_freedom, (mean_um, sd)));
        if count >= FEW {
            return own.map(|um| um.max(0.0));
        }
        let freedom = USUAL_FREEDOM + own_freedom;
        let sd = filled_up_um(own_freedom, sd_um.unwrap_or(0.0));
        let filled = self.below(count, freedom, (mean_um, sd))?;
        let bound = own
            .filter(|_| count >= ENOUGH)
            .map_or(filled, |own| own.min(filled));
        Some(bound.max(0.0))
    }

    fn below(&mut self, count: usize, freedom: usize, (mean, sd): (f64, f64)) -> Option<f64> {
        let k = *self
            .known
            .entry((count, freedom))
            .or_insert_with(|| factor_of(count, freedom));
        k.map(|k| mean - k * sd)
    }
}

/// Readings of a panel that say neither spot nor position.
pub(super) struct Placeless {
    count: usize,
    one_place_frac: f64,
    /// The spots left when they are one: how many, mean and deviation.
    as_one: Option<(usize, f64, Option<f64>)>,
}

impl Placeless {
    /// `kept_um` are the spots behind the mean of the panel.
    pub(super) fn of(panel: &Panel<'_>, kept_um: &[f64], gauge_um: f64) -> Self {
        let mut rest_um = kept_um.to_vec();
        let mut without_um = panel.placeless_um();
        without_um.retain(|um| {
            let at = rest_um.iter().position(|kept| kept == um);
            at.map(|at| rest_um.remove(at)).is_some()
        });
        let count = without_um.len();
        let one_place_frac =
            summary::sd(&without_um).map_or(0.0, |sd_um| one_place_frac(count, sd_um, gauge_um));
        rest_um.extend(summary::mean(&without_um));
        let mean_um = summary::mean(&rest_um).ok();
        Self {
            count,
            one_place_frac,
            as_one: mean_um.map(|mean| (rest_um.len(), mean, summary::sd(&rest_um).ok())),
        }
    }

    /// The bound, with the chance that all were taken at one place; never over
    /// `apart_um`, which takes them for as many places.
    pub(super) fn bound_um(&self, apart_um: f64, factors: &mut Factors) -> f64 {
        let one = self.as_one.filter(|_| self.count > 1);
        let one_um = one.and_then(|(count, mean, sd)| factors.thinnest_um(count, mean, sd));
        one_um.map_or(apart_um, |um| {
            apart_um - self.one_place_frac * (apart_um - um).max(0.0)
        })
    }

    /// How many count as one, if that is likelier than not.
    pub(super) fn told(&self) -> usize {
        if self.one_place_frac > 0.5 {
            self.count
        } else {
            0
        }
    }
}

fn filled_up_um(own_freedom: usize, sd_um: f64) -> f64 {
    let (usual, own) = (USUAL_FREEDOM as f64, own_freedom as f64);
    let squares_um2 = usual * USUAL_SD_UM * USUAL_SD_UM + own * sd_um * sd_um;
    (squares_um2 / (usual + own)).sqrt()
}

/// Chance that `count` readings which spread by `sd_um` were all taken at one
/// place, where only the gauge spreads them, and not at as many places.
pub(super) fn one_place_frac(count: usize, sd_um: f64, gauge_um: f64) -> f64 {
    let freedom = count.saturating_sub(1) as f64;
    let log_height =
        |variance_um2: f64| -0.5 * freedom * (variance_um2.ln() + sd_um * sd_um / variance_um2);
    let gauge_um2 = (gauge_um * gauge_um).max(1e-6);
    let odds = log_height(gauge_um2 + USUAL_SD_UM * USUAL_SD_UM) - log_height(gauge_um2);
    1.0 / (1.0 + odds.exp())
}

/// The factor of as many spots whose deviation is their own.
#[cfg(test)]
pub(super) fn factor(count: usize) -> Option<f64> {
    factor_of(count, count.checked_sub(1)?)
}

pub(super) fn factor_of(count: usize, freedom: usize) -> Option<f64> {
    let limits = Limits {
        count,
        coverage_frac: 0.95,
        confidence_frac: 0.95,
    };
    let factor = if count > EXACT_UP_TO {
        tolerance::approximate_one_sided(&limits)
    } else {
        tolerance::exact_one_sided_knowing(&limits, freedom as f64)
    };
    factor.ok().filter(|k| k.is_finite())
}
