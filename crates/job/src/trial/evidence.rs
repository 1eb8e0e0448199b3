//! What a trial saw, and how likely it was for a guess.
//!
//! Law: removal h = k·U·passes, U the removal of one pass on paper for a unit
//! cut rate. A pair reads d ~ N(h, φ·v), v = 2σ² + (c·h)², σ the gauge's
//! repeatability and c the unevenness of the pass; σ is known as if from ν
//! readings, φ ~ ν/χ²(ν), which integrates to a t-shaped likelihood,
//! v^(−n/2)·(1 + Σ(d−h)²/(ν·v))^(−(ν+n)/2). Share of scratch length left after h:
//! S(h) = (1−w)·Q(ln(h/m)/s) + w·Q(ln(h/5m)/0.5), Q the upper normal tail. A
//! photo reads f + (B−f)·S(h₀+h)/S(h₀) for B before, f its floor, each reading
//! with a relative error. Surface rise = friction share × rise on paper.
//! Source: own model; removal `Source::Preston1927`; the lognormal depth is
//! assumed.
//! Holds: the template hits the same spots; the same place and light before
//! and after. Outside: the reader and the doubts of the station.
//! Left out: scratches too shallow for the lamp; marks the pad itself leaves;
//! a rim thermometer's lag.
//! Checked by: simulation-based calibration, and the limits below.

use lapwing_measure::Source;
use lapwing_measure::statistics::quantile::normal_cdf;

use super::prior::{DEEP_LN_SPREAD, DEEP_TIMES};

/// Where the law of removal comes from.
pub const REMOVAL_SOURCE: Source = Source::Preston1927;

/// Everything a trial saw.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Evidence {
    /// Removal of one pass on paper, µm for 1e-12 1/Pa.
    pub pass_um: f64,
    /// Passes between the readings.
    pub passes: f64,
    /// Unevenness of the removal: deviation over mean.
    pub uneven_frac: f64,
    /// Before less after, one a spot, µm.
    pub pairs_um: Vec<f64>,
    /// Standard deviation of one reading, µm.
    pub gauge_um: f64,
    /// Degrees of freedom behind it; `None`: it is known.
    pub gauge_freedom: Option<f64>,
    /// Photos, each before and after.
    pub photos: Vec<PhotoPair>,
    /// Surface temperature, where taken.
    pub warmth: Option<Warmth>,
}

/// Scratch density of one place before and after some passes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PhotoPair {
    /// Passes made before the first photo.
    pub passes_before: f64,
    /// Passes between the two.
    pub passes: f64,
    /// Before, mm/mm².
    pub before: f64,
    /// After, mm/mm².
    pub after: f64,
    /// Relative error of one photo, standard deviation.
    pub noise_frac: f64,
}

/// How warm the surface got.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Warmth {
    /// Rise over the start, K.
    pub rise_k: f64,
    /// The same on paper at a friction share of 1, K.
    pub unit_rise_k: f64,
    /// Standard deviation of the thermometer and its handling, K.
    pub sd_k: f64,
}

/// Absolute error of a photo beside its relative one, mm/mm².
pub const PHOTO_LEAST_SD: f64 = 0.01;

/// Largest share of the density before that may be the floor.
const MOST_FLOOR_FRAC: f64 = 0.9;

impl Evidence {
    /// Logarithm of the likelihood of the pairs at a removal, up to a constant.
    #[must_use]
    pub fn ln_pairs(&self, removal_um: f64) -> f64 {
        if self.pairs_um.is_empty() {
            return 0.0;
        }
        let uneven_um = self.uneven_frac * removal_um;
        let variance = 2.0 * self.gauge_um * self.gauge_um + uneven_um * uneven_um;
        let squares: f64 = self
            .pairs_um
            .iter()
            .map(|d| (d - removal_um) * (d - removal_um))
            .sum();
        let count = self.pairs_um.len() as f64;
        let tail = self.gauge_freedom.map_or(squares / variance, |freedom| {
            (freedom + count) * (squares / (freedom * variance)).ln_1p()
        });
        -0.5 * (tail + count * variance.ln())
    }
}

impl PhotoPair {
    /// What the photo after should read, and its variance, for shares of
    /// scratch length left at either photo and a floor.
    #[must_use]
    pub fn expected(&self, (left_before, left_after): (f64, f64), floor: f64) -> (f64, f64) {
        let floor = floor.min(MOST_FLOOR_FRAC * self.before);
        let share = if left_before > 1e-12 {
            (left_after / left_before).min(1.0)
        } else {
            0.0
        };
        let mean = floor + (self.before - floor) * share;
        let relative = self.noise_frac * self.noise_frac;
        let variance = relative * (mean * mean + (self.before * share).powi(2))
            + PHOTO_LEAST_SD * PHOTO_LEAST_SD;
        (mean, variance)
    }

    /// Logarithm of the likelihood, up to a constant.
    #[must_use]
    pub fn ln_likelihood(&self, left: (f64, f64), floor: f64) -> f64 {
        let (mean, variance) = self.expected(left, floor);
        let off = self.after - mean;
        -0.5 * (off * off / variance + variance.ln())
    }
}

impl Warmth {
    /// Logarithm of the likelihood of a friction share, up to a constant.
    #[must_use]
    pub fn ln_likelihood(&self, friction_frac: f64) -> f64 {
        let off = (self.rise_k - friction_frac * self.unit_rise_k) / self.sd_k;
        -0.5 * off * off
    }
}

/// Depths of a car's scratches.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Depths {
    /// Logarithm of the median depth in µm.
    pub ln_median: f64,
    /// Spread of the logarithm.
    pub ln_spread: f64,
    /// Share in the deep tail, 0 to 1.
    pub deep_frac: f64,
}

impl Depths {
    /// Share of scratch length left when `ln_removal` is the logarithm of what
    /// went, in µm; 1 for minus infinity.
    #[must_use]
    pub fn left(&self, ln_removal: f64) -> f64 {
        let off = ln_removal - self.ln_median;
        (1.0 - self.deep_frac) * usual_left(off, self.ln_spread) + self.deep_frac * deep_left(off)
    }

    /// Share of scratch length gone, 0 to 1.
    #[must_use]
    pub fn gone(&self, removal_um: f64) -> f64 {
        if removal_um > 0.0 {
            1.0 - self.left(removal_um.ln())
        } else {
            0.0
        }
    }
}

/// Left of the usual scratches; `off` is ln(removal/median).
pub(super) fn usual_left(off: f64, ln_spread: f64) -> f64 {
    normal_cdf(-off / ln_spread)
}

/// Left of the deep tail.
pub(super) fn deep_left(off: f64) -> f64 {
    normal_cdf(-(off - DEEP_TIMES.ln()) / DEEP_LN_SPREAD)
}

#[cfg(test)]
mod tests {
    use super::*;

    const DEPTHS: Depths = Depths {
        ln_median: 0.0,
        ln_spread: 0.7,
        deep_frac: 0.0,
    };

    #[test]
    fn the_median_depth_clears_half_and_nothing_clears_none() {
        assert!((DEPTHS.gone(1.0) - 0.5).abs() < 1e-12);
        assert!(DEPTHS.gone(0.0) == 0.0 && DEPTHS.gone(-1.0) == 0.0);
        assert!(DEPTHS.left(f64::NEG_INFINITY) == 1.0 && DEPTHS.left(f64::INFINITY) == 0.0);
        // Normal table: Φ(1) = 0.841345 one spread above the median.
        assert!((DEPTHS.gone(0.7_f64.exp()) - 0.841_345).abs() < 1e-6);
    }

    #[test]
    fn a_deep_tail_leaves_its_share_at_five_medians() {
        let deep = Depths {
            ln_spread: 1e-6,
            deep_frac: 0.2,
            ..DEPTHS
        };
        assert!((deep.left(5.0_f64.ln()) - 0.1).abs() < 1e-9);
    }

    #[test]
    fn a_clean_panel_reads_the_floor_and_an_untouched_one_what_it_read_before() {
        let photo = PhotoPair {
            passes_before: 0.0,
            passes: 4.0,
            before: 1.8,
            after: 0.5,
            noise_frac: 0.1,
        };
        assert!((photo.expected((1.0, 0.0), 0.02).0 - 0.02).abs() < 1e-12);
        assert!((photo.expected((1.0, 1.0), 0.02).0 - 1.8).abs() < 1e-12);
        // By hand: 0.02 + 1.78/4 = 0.465; variance 0.01·(0.465² + 0.45²) + 1e-4.
        let (mean, variance) = photo.expected((0.8, 0.2), 0.02);
        assert!((mean - 0.465).abs() < 1e-12);
        assert!((variance - (0.01 * (0.216_225 + 0.2025) + 1e-4)).abs() < 1e-12);
        assert!(photo.expected((0.0, 0.0), 5.0).0 <= 1.8);
    }

    #[test]
    fn pairs_are_likeliest_at_their_mean() {
        let evidence = Evidence {
            pairs_um: vec![2.0, 3.0, 4.0],
            gauge_um: 1.0,
            ..Evidence::default()
        };
        let at = |h: f64| evidence.ln_pairs(h);
        assert!(at(3.0) > at(2.9) && at(3.0) > at(3.1));
        // Three pairs of variance 2: a removal 1 µm off costs 3/(2·2).
        assert!((at(3.0) - at(4.0) - 0.75).abs() < 1e-12);
        // A gauge known from very many readings is a known gauge.
        let sure = Evidence {
            gauge_freedom: Some(1e9),
            ..evidence.clone()
        };
        assert!((sure.ln_pairs(3.0) - sure.ln_pairs(4.0) - 0.75).abs() < 1e-6);
        let unsure = Evidence {
            gauge_freedom: Some(10.0),
            ..evidence
        };
        // 13/2·ln((1 + 5/20)/(1 + 2/20)), squares 5 and 2 over 10·2.
        let by_hand = 6.5 * (1.25_f64 / 1.1).ln();
        assert!((unsure.ln_pairs(3.0) - unsure.ln_pairs(4.0) - by_hand).abs() < 1e-12);
    }
}
