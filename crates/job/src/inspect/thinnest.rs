//! The thinnest plausible place of a panel, from the spots that were read.
//!
//! Law: t = x̄ − k·s in µm; k the one-sided tolerance factor for 95 % of the
//! panel at 95 % confidence. Fewer than ten spots say too little of the spread:
//! it is filled up as if five more spots had shown 4 µm (assumed), s² = (5·16 +
//! (n − 1)·s²)/(4 + n), with k from the noncentral t of as many degrees of
//! freedom; from five spots on the lower of both bounds rules.
//! Source: [`lapwing_measure::Source::NistHandbook`] 7.2.6.3.
//! Holds: for bell-shaped films. Up to 100 spots the factor is exact, above
//! that the handbook's approximation, which is 0.16 % small at 101 spots and
//! closer beyond (0.01 µm for a spread of 4 µm). A bound below 0 is held at 0.
//! Left out: films that thin towards an edge; edge readings stand apart.
//! Checked by: the unit tests of the module above (103.356 µm; 1.9265 at n 100).

use std::collections::HashMap;

use lapwing_measure::statistics::tolerance::{self, Limits};
use lapwing_measure::statistics::{noncentral_t, quantile};

const EXACT_UP_TO: usize = 100;

/// Tolerance factors, each worked out once.
#[derive(Debug, Default)]
pub(super) struct Factors {
    known: HashMap<usize, Option<f64>>,
    filled_up: HashMap<usize, Option<f64>>,
}

/// Below so many spots the spread is filled up.
const FEW: usize = 10;
/// From so many spots on their own spread rules too.
const ENOUGH: usize = 5;
/// What fills it up: degrees of freedom and deviation in µm; assumed.
const USUAL_FREEDOM: f64 = 5.0;
const USUAL_SD_UM: f64 = 4.0;

impl Factors {
    /// Lower bound of the film in µm; `None` without a spot. A single spot has
    /// no deviation.
    pub(super) fn thinnest_um(
        &mut self,
        count: usize,
        mean_um: f64,
        sd_um: Option<f64>,
    ) -> Option<f64> {
        let own = sd_um.and_then(|sd| {
            let factor = *self.known.entry(count).or_insert_with(|| factor(count));
            factor.map(|k| mean_um - k * sd)
        });
        let filled = (count < FEW).then(|| {
            let k = *self
                .filled_up
                .entry(count)
                .or_insert_with(|| factor_of(count, freedom(count)));
            k.map(|k| mean_um - k * filled_up_um(count, sd_um.unwrap_or(0.0)))
        });
        let bound = match filled.flatten() {
            Some(filled) if count < ENOUGH => Some(filled),
            Some(filled) => own.map(|own| own.min(filled)),
            None => own,
        };
        bound.map(|um| um.max(0.0))
    }
}

fn freedom(count: usize) -> f64 {
    USUAL_FREEDOM + count as f64 - 1.0
}

fn filled_up_um(count: usize, sd_um: f64) -> f64 {
    let own_um2 = (count as f64 - 1.0) * sd_um * sd_um;
    ((USUAL_FREEDOM * USUAL_SD_UM * USUAL_SD_UM + own_um2) / freedom(count)).sqrt()
}

/// One-sided tolerance factor for 95 % at 95 % when the deviation is known from
/// `freedom` degrees of freedom: t′(freedom, z·√n) over √n. `None` for no spot.
pub(super) fn factor_of(count: usize, freedom: f64) -> Option<f64> {
    let root = (count as f64).sqrt();
    let shift = quantile::normal(0.95).ok()? * root;
    let (mut low, mut high) = (0.0, 1000.0);
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if noncentral_t::cdf(middle, freedom, shift).ok()? < 0.95 {
            low = middle;
        } else {
            high = middle;
        }
    }
    Some(high / root).filter(|k| k.is_finite())
}

pub(super) fn factor(count: usize) -> Option<f64> {
    let limits = Limits {
        count,
        coverage_frac: 0.95,
        confidence_frac: 0.95,
    };
    let factor = if count > EXACT_UP_TO {
        tolerance::approximate_one_sided(&limits)
    } else {
        tolerance::exact_one_sided(&limits)
    };
    factor.ok().filter(|k| k.is_finite())
}
