//! What this visit took off a panel, from the gauge before and after, or, where
//! nobody read again, from the plan.
//!
//! Law: d = before − after at the same spots (paired t); where no spots meet,
//! the difference of the means (Welch). Polishing adds no film, so what is
//! debited is the normal of d cut at 0: with a = −d/s and λ = φ(a)/(1 − Φ(a)),
//! mean = d + s·λ, variance = s²·(1 + a·λ − λ²); d, s, mean in µm.
//! Source: paired and Welch t as in [`crate::trial::pairs`]; the moments of a
//! normal cut on one side are textbook (Johnson, Kotz and Balakrishnan 1994,
//! section 13.10.1, from memory).
//! Holds: d not far below 0; under −8 s the cut normal is the exponential it
//! tends to. s comes from the 95 % interval, so few pairs widen it.
//! Left out: a gauge that was zeroed otherwise between the two readings.
//! Checked by: the half normal (closed form), numbers of an independent
//! program (scipy), and the tests below.

use std::collections::BTreeMap;

use lapwing_measure::estimate::NORMAL_975;
use lapwing_measure::statistics::quantile::{normal, normal_cdf};
use lapwing_measure::statistics::t_test::{Group, welch};

use crate::record::{Place, Reading, Readings};
use crate::trial::pairs::Removed;

/// A difference as read; it may lie below 0.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Difference {
    /// Mean of before less after, µm.
    pub mean_um: f64,
    /// Lower end, 95 %, µm.
    pub lower_95_um: f64,
    /// Upper end, 95 %, µm.
    pub upper_95_um: f64,
    /// Spots read both times; 0 where only the means were compared.
    pub pairs: usize,
    /// Whether film seems to have grown, which it cannot.
    pub is_growth: bool,
}

/// A difference that is known not to be below 0.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CutNormal {
    /// Mean, µm.
    pub mean_um: f64,
    /// Standard deviation, µm.
    pub sd_um: f64,
    /// Lower end, 95 %, µm.
    pub lower_95_um: f64,
    /// Upper end, 95 %, µm.
    pub upper_95_um: f64,
}

impl From<Removed> for Difference {
    fn from(removed: Removed) -> Self {
        Self {
            mean_um: removed.mean,
            lower_95_um: removed.lower_95,
            upper_95_um: removed.upper_95,
            pairs: removed.pairs,
            is_growth: removed.is_growth() || removed.upper_95 < 0.0,
        }
    }
}

impl Difference {
    /// Standard deviation of a normal with the same 95 % interval, µm.
    #[must_use]
    pub fn sd_um(&self) -> f64 {
        (self.upper_95_um - self.lower_95_um) / (2.0 * NORMAL_975)
    }

    /// The same, knowing that polishing adds no film.
    #[must_use]
    pub fn cut_at_nothing(&self) -> CutNormal {
        cut_at_nothing(self.mean_um, self.sd_um())
    }
}

/// The difference on one panel; `None` where it cannot be stated.
#[must_use]
pub fn difference(
    panel: &str,
    before: &Readings,
    after: &Readings,
    gauge_um: f64,
) -> Option<Difference> {
    let (then, now) = (spots(panel, before), spots(panel, after));
    let met: Vec<(f64, f64)> = then
        .iter()
        .filter(|(key, _)| key.is_some())
        .filter_map(|(key, b)| Some((mean(b), mean(now.get(key)?))))
        .collect();
    if met.is_empty() {
        return of_means(&then, &now);
    }
    let (b, a): (Vec<f64>, Vec<f64>) = met.into_iter().unzip();
    Removed::of(&b, &a, gauge_um).map(Difference::from)
}

/// A spot that can be found again; readings without a place have none.
type Key = Option<String>;

/// Field readings of a panel by spot, repeats together.
fn spots(panel: &str, readings: &Readings) -> BTreeMap<Key, Vec<f64>> {
    let mut found: BTreeMap<Key, Vec<f64>> = BTreeMap::new();
    for reading in &readings.readings {
        if reading.panel == panel && reading.place == Place::Field {
            found.entry(key(reading)).or_default().push(reading.film_um);
        }
    }
    found
}

fn key(reading: &Reading) -> Key {
    if let Some(spot) = &reading.spot {
        return Some(format!("spot {spot}"));
    }
    let (u, v) = reading.u_mm.zip(reading.v_mm)?;
    Some(format!("at {u:.0} {v:.0}"))
}

fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

fn of_means(then: &BTreeMap<Key, Vec<f64>>, now: &BTreeMap<Key, Vec<f64>>) -> Option<Difference> {
    let group = |of: &BTreeMap<Key, Vec<f64>>| {
        let mut values: Vec<f64> = Vec::new();
        for (key, readings) in of {
            match key {
                Some(_) => values.push(mean(readings)),
                None => values.extend(readings),
            }
        }
        Group::of(&values).ok()
    };
    let test = welch(group(then)?, group(now)?, 0.95).ok()?;
    Some(Difference {
        mean_um: test.difference,
        lower_95_um: test.lower,
        upper_95_um: test.upper,
        pairs: 0,
        is_growth: test.upper < 0.0,
    })
}

/// A normal of `mean_um` and `sd_um` cut at 0.
#[must_use]
pub fn cut_at_nothing(mean_um: f64, sd_um: f64) -> CutNormal {
    const FAR: f64 = 8.0;
    if sd_um.is_nan() || sd_um <= 0.0 {
        let mean_um = mean_um.max(0.0);
        return CutNormal {
            mean_um,
            sd_um: 0.0,
            lower_95_um: mean_um,
            upper_95_um: mean_um,
        };
    }
    let a = -mean_um / sd_um;
    if a > FAR {
        // The tail of a normal falls like exp(−a·x/s).
        let length_um = sd_um / a;
        let at = |p: f64| -length_um * (1.0 - p).ln();
        return CutNormal {
            mean_um: length_um,
            sd_um: length_um,
            lower_95_um: at(0.025),
            upper_95_um: at(0.975),
        };
    }
    // Φ(−a) is what the cut leaves.
    let left = normal_cdf(-a);
    let lambda = (-a * a / 2.0).exp() / (2.0 * std::f64::consts::PI).sqrt() / left;
    // x with Φ((x − d)/s) = 1 − left·(1 − p); the upper tail keeps its digits.
    let at = |p: f64| {
        let z = normal(left * (1.0 - p)).map_or(0.0, |z| -z);
        (mean_um + sd_um * z).max(0.0)
    };
    CutNormal {
        mean_um: mean_um + sd_um * lambda,
        sd_um: sd_um * (1.0 + a * lambda - lambda * lambda).max(0.0).sqrt(),
        lower_95_um: at(0.025),
        upper_95_um: at(0.975),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::readings;

    fn near(came: f64, wanted: f64, within: f64) {
        assert!((came - wanted).abs() <= within, "{came} is not {wanted}");
    }

    fn read(text: &str) -> Readings {
        readings::read("r.csv", text.as_bytes(), None).expect("readings")
    }

    // Half normal: mean s·√(2/π), variance s²·(1 − 2/π); quantiles of scipy
    // 1.17 `halfnorm(scale=2).ppf([0.025, 0.975])`.
    #[test]
    fn a_difference_of_nothing_is_a_half_normal() {
        let cut = cut_at_nothing(0.0, 2.0);
        near(cut.mean_um, 2.0 * (2.0 / std::f64::consts::PI).sqrt(), 1e-9);
        near(
            cut.sd_um,
            2.0 * (1.0 - 2.0 / std::f64::consts::PI).sqrt(),
            1e-9,
        );
        near(cut.lower_95_um, HALF_LOW, 1e-6);
        near(cut.upper_95_um, HALF_HIGH, 1e-6);
    }
    const HALF_LOW: f64 = 0.062_675_964;
    const HALF_HIGH: f64 = 4.482_805_455;

    // scipy 1.17: truncnorm(a, inf, loc=d, scale=s).stats("mv") and ppf.
    #[test]
    fn cut_normals_are_those_of_an_independent_program() {
        for (d, s, mean, sd, low, high) in CUT {
            let cut = cut_at_nothing(d, s);
            near(cut.mean_um, mean, 2e-6 * mean.abs().max(1.0));
            near(cut.sd_um, sd, 2e-6);
            near(cut.lower_95_um, low, 2e-6);
            near(cut.upper_95_um, high, 2e-6);
        }
    }
    const CUT: [(f64, f64, f64, f64, f64, f64); 5] = [
        (
            0.2,
            0.9,
            0.795_804_754,
            0.579_530_624,
            0.033_853_790,
            2.160_315_574,
        ),
        (
            2.0,
            1.0,
            2.055_247_863,
            0.941_515_772,
            0.327_180_106,
            3.969_789_562,
        ),
        (
            -1.5,
            1.0,
            0.438_677_167,
            0.386_712_546,
            0.013_022_111,
            1.434_546_028,
        ),
        (
            -4.0,
            1.0,
            0.225_607_144,
            0.216_038_974,
            0.005_987_475,
            0.800_390_922,
        ),
        (
            0.5,
            0.3,
            0.531_340_936,
            0.270_827_025,
            0.060_796_968,
            1.094_248_623,
        ),
    ];

    #[test]
    fn what_is_clearly_there_is_not_moved_and_far_below_nothing_is_nothing() {
        let cut = cut_at_nothing(2.944, 0.156);
        near(cut.mean_um, 2.944, 1e-12);
        near(cut.sd_um, 0.156, 1e-12);
        for d in [-10.0, -16.1, -1e3, -1e9] {
            let cut = cut_at_nothing(d, 2.0);
            assert!(cut.mean_um >= 0.0 && cut.mean_um < 0.5, "{cut:?}");
            assert!(cut.sd_um.is_finite() && cut.upper_95_um < 2.0, "{cut:?}");
        }
        assert_eq!(cut_at_nothing(-1.0, 0.0).mean_um, 0.0);
        assert_eq!(cut_at_nothing(3.0, 0.0).upper_95_um, 3.0);
    }

    // The two ways meet where they change over.
    #[test]
    fn the_far_tail_joins_the_cut_normal() {
        let (near_by, far) = (cut_at_nothing(-15.999, 2.0), cut_at_nothing(-16.001, 2.0));
        assert!((near_by.mean_um / far.mean_um - 1.0).abs() < 0.04);
    }

    #[test]
    fn spots_that_meet_are_paired_and_repeats_are_one() {
        let before = read(
            "panel,thickness_um,u_mm,v_mm\nroof,110,100,100\nroof,112,100,100\nroof,120,500,100\nroof,99,9,9\n",
        );
        let after = read("panel,thickness_um,u_mm,v_mm\nroof,108,100,100\nroof,118,500,100\n");
        let found = difference("roof", &before, &after, 1.0).expect("a difference");
        // (111 − 108 + 120 − 118) / 2
        near(found.mean_um, 2.5, 1e-12);
        assert_eq!(found.pairs, 2);
        assert_eq!(difference("bonnet", &before, &after, 1.0), None);
    }

    // scipy 1.17: ttest_ind([110,112,111,115],[108,109,107,110], equal_var=False)
    // with confidence_interval(0.95).
    #[test]
    fn without_places_the_means_are_compared() {
        let list = |values: [i32; 4]| {
            let rows: Vec<String> = values.iter().map(|v| format!("roof,{v}")).collect();
            read(&format!("panel,thickness_um\n{}\n", rows.join("\n")))
        };
        let found = difference(
            "roof",
            &list([110, 112, 111, 115]),
            &list([108, 109, 107, 110]),
            1.0,
        )
        .expect("a difference");
        near(found.mean_um, 3.5, 1e-12);
        near(found.lower_95_um, WELCH.0, 1e-6);
        near(found.upper_95_um, WELCH.1, 1e-6);
        assert_eq!(found.pairs, 0);
    }
    const WELCH: (f64, f64) = (0.245_558_674, 6.754_441_326);
}
