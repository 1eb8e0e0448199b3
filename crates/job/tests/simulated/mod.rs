//! Simulated trials: truths drawn from the belief, readings drawn from truths.
//!
//! Law: if truths come from the belief and readings from the truths, the share
//! of the posterior below the truth is uniform between 0 and 1.
//! Source: Talts and others 2018, arXiv 1804.06788 (simulation-based
//! calibration; from memory). Dice: Steele, Lea, Flood 2014, SplitMix64.
//! Holds: for the model as it is written; nothing is said about real paint.
//! Left out: doubts of the station.
//! Checked by: it checks.

use lapwing_job::record::calibration::LogNormal;
use lapwing_job::record::job::Defects;
use lapwing_job::trial::evidence::{Depths, Evidence, PhotoPair, Warmth};
use lapwing_job::trial::posterior::{Posterior, deviate, infer};
use lapwing_job::trial::prior::{self, Belief};
use lapwing_measure::statistics::quantile::chi_squared;

/// Seeded dice.
struct Dice(u64);

impl Dice {
    /// A share inside 0 to 1.
    fn share(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^= z >> 31;
        ((z >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
    }

    fn normal(&mut self, mean: f64, sd: f64) -> f64 {
        mean + sd * deviate(self.share()).expect("a share inside 0 to 1")
    }

    fn around(&mut self, number: LogNormal) -> f64 {
        self.normal(number.median.ln(), number.ln_sd).exp()
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.share()
    }

    /// True over stated deviation of a gauge: √(ν/χ²(ν)).
    fn gauge_factor(&mut self, freedom: Option<f64>) -> f64 {
        let Some(freedom) = freedom else { return 1.0 };
        let chi_squared: f64 = (0..freedom as u32)
            .map(|_| self.normal(0.0, 1.0).powi(2))
            .sum();
        (freedom / chi_squared).sqrt()
    }

    fn count(&mut self, least: u64, most: u64) -> u64 {
        least + (self.share() * (most - least + 1) as f64) as u64
    }
}

/// What is looked at, in the order of [`Place::shares`].
pub(crate) const LOOKED_AT: [&str; 5] = [
    "cut rate",
    "friction share",
    "median scratch depth",
    "deep share",
    "correction at 3 µm",
];

/// Where the truth lies in the posterior, as shares below it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Place {
    pub(crate) shares: [f64; 5],
}

struct Truth {
    ln_cut_rate: f64,
    friction: f64,
    depths: Depths,
    floor: f64,
}

/// Simulates trials and places their truths.
pub(crate) fn places(trials: u64, seed: u64) -> Vec<Place> {
    (0..trials)
        .map(|at| place(&mut Dice(seed.wrapping_add(at << 32))))
        .collect()
}

fn place(dice: &mut Dice) -> Place {
    let belief = Belief {
        cut_rate: LogNormal {
            median: dice.between(1e-12, 8e-12),
            ln_sd: dice.between(0.15, 0.5),
        },
        friction: prior::FRICTION,
        depths: prior::depths(
            [
                Defects::LightSwirls,
                Defects::WashSwirls,
                Defects::DeepScratches,
            ][dice.count(0, 2) as usize],
        ),
        floor: prior::PHOTO_FLOOR,
    };
    let truth = truth(dice, &belief);
    let evidence = evidence(dice, &truth);
    let known = infer(&belief, &evidence).expect("readings of a truth are possible");
    Place {
        shares: shares(&truth, &known),
    }
}

fn truth(dice: &mut Dice, belief: &Belief) -> Truth {
    let (mean, sd) = belief.depths.deep_log_odds;
    let odds = dice.normal(mean, sd).exp();
    Truth {
        ln_cut_rate: (dice.around(belief.cut_rate) / prior::UNIT_CUT_RATE).ln(),
        friction: dice.around(belief.friction),
        depths: Depths {
            ln_median: dice.around(belief.depths.median_um).ln(),
            ln_spread: dice.around(belief.depths.ln_spread),
            deep_frac: odds / (1.0 + odds),
        },
        floor: dice.around(belief.floor),
    }
}

fn evidence(dice: &mut Dice, truth: &Truth) -> Evidence {
    let mut evidence = Evidence {
        pass_um: dice.between(0.2, 0.9),
        passes: dice.count(2, 8) as f64,
        uneven_frac: dice.between(0.03, 0.2),
        gauge_um: dice.between(0.4, 1.8),
        ..Evidence::default()
    };
    let removal_um = truth.ln_cut_rate.exp() * evidence.pass_um * evidence.passes;
    let pair_sd =
        (2.0 * evidence.gauge_um.powi(2) + (evidence.uneven_frac * removal_um).powi(2)).sqrt();
    if dice.share() < 0.7 {
        evidence.gauge_freedom = Some(prior::GAUGE_FREEDOM);
    }
    let factor = dice.gauge_factor(evidence.gauge_freedom);
    for _ in 0..dice.count(0, 12) {
        evidence
            .pairs_um
            .push(dice.normal(removal_um, pair_sd * factor));
    }
    for _ in 0..dice.count(0, 3) {
        let photo = photo(dice, truth, &evidence);
        evidence.photos.push(photo);
    }
    if dice.share() < 0.5 {
        let (unit_rise_k, sd_k) = (dice.between(40.0, 150.0), dice.between(1.0, 6.0));
        evidence.warmth = Some(Warmth {
            rise_k: dice.normal(truth.friction * unit_rise_k, sd_k),
            unit_rise_k,
            sd_k,
        });
    }
    evidence
}

fn photo(dice: &mut Dice, truth: &Truth, evidence: &Evidence) -> PhotoPair {
    let mut photo = PhotoPair {
        passes_before: dice.count(0, 2) as f64,
        passes: dice.count(1, 8) as f64,
        before: dice.between(0.3, 3.0),
        after: 0.0,
        noise_frac: dice.between(0.05, 0.2),
    };
    let left = |passes: f64| {
        truth
            .depths
            .left((evidence.pass_um * passes).ln() + truth.ln_cut_rate)
    };
    let shares = (
        left(photo.passes_before),
        left(photo.passes_before + photo.passes),
    );
    let (mean, variance) = photo.expected(shares, truth.floor);
    photo.after = dice.normal(mean, variance.sqrt());
    photo
}

fn shares(truth: &Truth, known: &Posterior) -> [f64; 5] {
    let below = |of: &dyn Fn(&Depths) -> f64| {
        let own = of(&truth.depths);
        let under = known.draws.iter().filter(|d| of(&d.depths) < own).count();
        under as f64 / known.draws.len() as f64
    };
    [
        known.ln_cut_rate.probability_to(truth.ln_cut_rate),
        known.ln_friction.probability_to(truth.friction.ln()),
        below(&|d| d.ln_median),
        below(&|d| d.deep_frac),
        below(&|d| d.gone(3.0)),
    ]
}

/// Chi-squared of shares against even bins, and the most that happens 99 times
/// in 100.
pub(crate) fn evenness(shares: &[f64], bins: usize) -> (f64, f64) {
    let mut counts = vec![0.0; bins];
    for share in shares {
        counts[((share * bins as f64) as usize).min(bins - 1)] += 1.0;
    }
    let expected = shares.len() as f64 / bins as f64;
    let statistic = counts
        .iter()
        .map(|n: &f64| (n - expected).powi(2) / expected)
        .sum();
    let most = chi_squared(0.99, (bins - 1) as f64).expect("a quantile");
    (statistic, most)
}

/// Share of truths inside the 95 % interval.
pub(crate) fn covered(shares: &[f64]) -> f64 {
    let inside = shares
        .iter()
        .filter(|s| (0.025..=0.975).contains(*s))
        .count();
    inside as f64 / shares.len() as f64
}
