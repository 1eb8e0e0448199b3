//! The thinnest plausible place of a panel, from the spots that were read.
//!
//! Law: t = x̄ − k·s in µm; k the one-sided tolerance factor for 95 % of the
//! panel at 95 % confidence.
//! Source: [`lapwing_measure::Source::NistHandbook`] 7.2.6.3.
//! Holds: for bell-shaped films. Up to 100 spots the factor is exact, above
//! that the handbook's approximation, which is 0.16 % small at 101 spots and
//! closer beyond (0.01 µm for a spread of 4 µm). A bound below 0 is held at 0.
//! Left out: films that thin towards an edge; edge readings stand apart.
//! Checked by: the unit tests of the module above (103.356 µm; 1.9265 at n 100).

use std::collections::HashMap;

use lapwing_measure::statistics::tolerance::{self, Limits};

const EXACT_UP_TO: usize = 100;

/// Tolerance factors, each worked out once.
#[derive(Debug, Default)]
pub(super) struct Factors {
    known: HashMap<usize, Option<f64>>,
}

impl Factors {
    /// Lower bound of the film in µm; `None` with fewer than two spots.
    pub(super) fn thinnest_um(&mut self, count: usize, mean_um: f64, sd_um: f64) -> Option<f64> {
        let factor = *self.known.entry(count).or_insert_with(|| factor(count));
        factor.map(|k| (mean_um - k * sd_um).max(0.0))
    }
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
