//! How many pairs of readings show a difference of a given size.
//!
//! Law: n_z = ((z(1 − α/s) + z(power))·σ_d/δ)² by the normal formula, s = 1 or
//! 2 sides; exact: the smallest n whose paired t test has at least the power,
//! power = P(T > t*) (+ P(T < −t*) for two sides) with T noncentral t of n − 1
//! degrees of freedom and noncentrality δ√n/σ_d. σ_d is the deviation of one
//! *difference*: √2 times the gauge's repeatability when the same spot is hit.
//! Source: NIST e-Handbook 7.2.2.2; noncentral t as in AS 243.
//! Holds: 2 to 20 000 pairs, δ√n/σ_d up to 150 (larger ones are computed at
//! 150, which understates the power). Outside: an error.
//! Left out: unpaired designs; a drifting gauge.
//! Checked by: NIST 7.2.2.2 and a table of twelve gauges from an independent
//! program.

use crate::source::Source;

use super::error::{finite, inside, number, share};
use super::noncentral_t::{self, MOST_NONCENTRALITY};
use super::quantile;
use super::{Sides, StatisticsError};

/// Where the method is written down.
pub const SOURCE: Source = Source::NistHandbook;

/// Most pairs that are searched.
pub const MOST_PAIRS: usize = 20_000;

/// What is to be shown, and how surely.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plan {
    /// Standard deviation of one difference, in the readings' unit.
    pub difference_sd: f64,
    /// The difference to be shown, in the same unit.
    pub difference: f64,
    /// Chance of a false alarm, such as 0.05.
    pub alpha_frac: f64,
    /// Chance of showing a difference that is there, such as 0.90.
    pub power_frac: f64,
    /// Whether the direction is known beforehand.
    pub sides: Sides,
}

/// A number of pairs and what it can do.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PairsNeeded {
    /// How many pairs.
    pub pairs: usize,
    /// The chance of showing the difference with them.
    pub power_frac: f64,
}

impl Plan {
    /// Pairs of readings by a gauge with this repeatability, each pair on the
    /// same spot: two-sided, α = 0.05, power 0.90.
    #[must_use]
    pub fn for_gauge(repeatability: f64, difference: f64) -> Self {
        Self {
            difference_sd: repeatability * std::f64::consts::SQRT_2,
            difference,
            alpha_frac: 0.05,
            power_frac: 0.90,
            sides: Sides::Two,
        }
    }

    /// Refuses a plan that means nothing.
    fn checked(&self) -> Result<(), StatisticsError> {
        inside(
            self.difference_sd,
            "deviation of a difference",
            (0.0, f64::INFINITY),
        )?;
        inside(
            self.difference,
            "difference to be shown",
            (0.0, f64::INFINITY),
        )?;
        share(self.alpha_frac, "chance of a false alarm")?;
        inside(
            self.power_frac,
            "power",
            (self.sides.tail(self.alpha_frac), 1.0),
        )?;
        finite(
            self.difference / self.difference_sd,
            "difference in deviations",
        )?;
        Ok(())
    }
}

/// Pairs by the normal formula, not rounded. Too few for small n; a guide.
///
/// # Errors
/// When the plan is outside its ranges.
pub fn normal_formula(plan: &Plan) -> Result<f64, StatisticsError> {
    plan.checked()?;
    let z_alpha = quantile::normal(1.0 - plan.sides.tail(plan.alpha_frac))?;
    let z_power = quantile::normal(plan.power_frac)?;
    let root = (z_alpha + z_power) * plan.difference_sd / plan.difference;
    finite(root * root, "number of pairs")
}

/// The chance that this many pairs show the difference.
///
/// # Errors
/// When the plan is outside its ranges, or there are fewer than two pairs or
/// more than [`MOST_PAIRS`].
pub fn power(plan: &Plan, pairs: usize) -> Result<f64, StatisticsError> {
    plan.checked()?;
    if pairs < 2 {
        return Err(StatisticsError::TooFew {
            what: "pairs",
            came: pairs,
            needed: 2,
        });
    }
    if pairs > MOST_PAIRS {
        return Err(too_many());
    }
    let n = number(pairs);
    let freedom = n - 1.0;
    let shift = (plan.difference / plan.difference_sd * n.sqrt()).min(MOST_NONCENTRALITY);
    let critical = quantile::student_t(1.0 - plan.sides.tail(plan.alpha_frac), freedom)?;
    let above = 1.0 - noncentral_t::cdf(critical, freedom, shift)?;
    let below = match plan.sides {
        Sides::One => 0.0,
        Sides::Two => noncentral_t::cdf(-critical, freedom, shift)?,
    };
    Ok((above + below).clamp(0.0, 1.0))
}

/// The fewest pairs that show the difference with the power asked for.
///
/// # Errors
/// When the plan is outside its ranges, or more than [`MOST_PAIRS`] are needed.
pub fn pairs_needed(plan: &Plan) -> Result<PairsNeeded, StatisticsError> {
    if normal_formula(plan)? >= number(MOST_PAIRS) {
        return Err(too_many());
    }
    let is_enough = |pairs: usize| Ok(power(plan, pairs)? >= plan.power_frac);
    // Power rises with n: double until it is enough, then halve the gap.
    let (mut too_few, mut enough) = (1, 2);
    while !is_enough(enough)? {
        if enough == MOST_PAIRS {
            return Err(too_many());
        }
        too_few = enough;
        enough = (enough * 2).min(MOST_PAIRS);
    }
    while enough - too_few > 1 {
        let middle = usize::midpoint(enough, too_few);
        if is_enough(middle)? {
            enough = middle;
        } else {
            too_few = middle;
        }
    }
    Ok(PairsNeeded {
        pairs: enough,
        power_frac: power(plan, enough)?,
    })
}

/// Half the width of the mean difference's interval, in deviations of one
/// difference: t(½ + confidence/2; n − 1)/√n.
///
/// # Errors
/// When there are fewer than two pairs, or the confidence is not inside 0 to 1.
pub fn half_width_in_deviations(
    pairs: usize,
    confidence_frac: f64,
) -> Result<f64, StatisticsError> {
    share(confidence_frac, "confidence")?;
    if pairs < 2 {
        return Err(StatisticsError::TooFew {
            what: "pairs",
            came: pairs,
            needed: 2,
        });
    }
    let n = number(pairs);
    Ok(quantile::student_t(0.5 + confidence_frac / 2.0, n - 1.0)? / n.sqrt())
}

fn too_many() -> StatisticsError {
    StatisticsError::OutOfReach {
        what: "number of pairs",
        limit: number(MOST_PAIRS),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// σ of the gauge, δ, n by the normal formula, exact n (two-sided 0.90)
    /// with its power, exact n one-sided 0.90, exact n two-sided 0.80.
    type Row = (f64, f64, f64, usize, f64, usize, usize);

    /// Computed with an independent program (noncentral t of SciPy) at α = 0.05.
    const TABLE: [Row; 12] = [
        (0.5, 1.0, 5.25, 8, 0.92679, 6, 7),
        (0.5, 2.0, 1.31, 4, 0.95016, 3, 4),
        (1.0, 1.0, 21.01, 24, 0.91249, 19, 18),
        (1.0, 2.0, 5.25, 8, 0.92679, 6, 7),
        (1.0, 3.0, 2.33, 5, 0.93567, 4, 5),
        (1.0, 5.0, 0.84, 4, 0.99240, 3, 3),
        (1.5, 1.0, 47.28, 50, 0.90445, 40, 38),
        (1.5, 2.0, 11.82, 14, 0.90276, 12, 11),
        (1.5, 3.0, 5.25, 8, 0.92679, 6, 7),
        (2.0, 1.0, 84.06, 87, 0.90332, 70, 65),
        (2.0, 2.0, 21.01, 24, 0.91249, 19, 18),
        (2.0, 3.0, 9.34, 12, 0.91603, 10, 10),
    ];

    #[test]
    fn every_row_of_the_gauge_table_comes_out_exactly() {
        for (repeatability, difference, n_z, two, two_power, one, two_80) in TABLE {
            let plan = Plan::for_gauge(repeatability, difference);
            let place = format!("sigma {repeatability}, difference {difference}");
            let by_formula = normal_formula(&plan).expect("a plan");
            assert!(
                (by_formula - n_z).abs() <= 0.5e-2 + 1e-9,
                "{place}: {by_formula}"
            );
            let needed = pairs_needed(&plan).expect("a plan");
            assert_eq!(needed.pairs, two, "{place}");
            assert!(
                (needed.power_frac - two_power).abs() <= 0.5e-5 + 1e-9,
                "{place}: {needed:?}"
            );
            let one_sided = Plan {
                sides: Sides::One,
                ..plan
            };
            assert_eq!(
                pairs_needed(&one_sided).expect("a plan").pairs,
                one,
                "{place}"
            );
            let eighty = Plan {
                power_frac: 0.80,
                ..plan
            };
            assert_eq!(
                pairs_needed(&eighty).expect("a plan").pairs,
                two_80,
                "{place}"
            );
        }
    }

    // Source: NIST e-Handbook 7.2.2.2, a shift of one deviation at
    // α = β = 0.05 (11 by the normal formula, 13 with t); the two-sided case
    // and the powers from an independent program.
    #[test]
    fn the_handbook_case_needs_13_one_sided_and_16_two_sided() {
        let one = Plan {
            difference_sd: 1.0,
            difference: 1.0,
            alpha_frac: 0.05,
            power_frac: 0.95,
            sides: Sides::One,
        };
        assert!((normal_formula(&one).expect("a plan") - 10.822).abs() <= 0.5e-3);
        let needed = pairs_needed(&one).expect("a plan");
        assert_eq!(needed.pairs, 13);
        assert!((needed.power_frac - 0.95970).abs() <= 0.5e-5);
        let two = Plan {
            sides: Sides::Two,
            ..one
        };
        assert!((normal_formula(&two).expect("a plan") - 12.995).abs() <= 0.5e-3);
        let needed = pairs_needed(&two).expect("a plan");
        assert_eq!(needed.pairs, 16);
        assert!((needed.power_frac - 0.96189).abs() <= 0.5e-5);
    }

    // t(0.975; n − 1)/√n with t from NIST e-Handbook 1.3.6.7.2.
    #[test]
    fn half_widths_agree_with_the_printed_table() {
        let rows = [
            (3, 2.4841),
            (5, 1.2417),
            (8, 0.8360),
            (10, 0.7154),
            (15, 0.5538),
            (20, 0.4680),
            (30, 0.3734),
        ];
        for (pairs, expected) in rows {
            let half = half_width_in_deviations(pairs, 0.95).expect("pairs");
            assert!((half - expected).abs() <= 0.5e-4, "{pairs}: {half}");
        }
    }

    #[test]
    fn one_pair_fewer_is_not_enough() {
        for difference in [0.4, 1.0, 2.5] {
            let plan = Plan::for_gauge(1.0, difference);
            let needed = pairs_needed(&plan).expect("a plan");
            assert!(needed.power_frac >= 0.90);
            assert!(power(&plan, needed.pairs - 1).expect("a power") < 0.90);
        }
    }

    #[test]
    fn a_vast_difference_needs_two_pairs_and_a_tiny_one_is_out_of_reach() {
        assert_eq!(
            pairs_needed(&Plan::for_gauge(1.0, 1e6)).map(|n| n.pairs),
            Ok(2)
        );
        let tiny = pairs_needed(&Plan::for_gauge(1.0, 1e-4));
        assert!(
            matches!(tiny, Err(StatisticsError::OutOfReach { .. })),
            "{tiny:?}"
        );
        assert!(pairs_needed(&Plan::for_gauge(1.0, 0.04)).is_ok_and(|n| n.pairs > 10_000));
    }

    #[test]
    fn plans_that_mean_nothing_are_refused() {
        let plan = Plan::for_gauge(1.0, 1.0);
        let bad = [
            Plan {
                difference_sd: 0.0,
                ..plan
            },
            Plan {
                difference_sd: f64::NAN,
                ..plan
            },
            Plan {
                difference: 0.0,
                ..plan
            },
            Plan {
                difference: -1.0,
                ..plan
            },
            Plan {
                alpha_frac: 0.0,
                ..plan
            },
            Plan {
                power_frac: 1.0,
                ..plan
            },
            Plan {
                power_frac: 0.01,
                ..plan
            },
            Plan {
                difference: f64::INFINITY,
                ..plan
            },
            Plan {
                difference: f64::MAX,
                difference_sd: 1e-300,
                ..plan
            },
        ];
        for plan in bad {
            assert!(pairs_needed(&plan).is_err(), "{plan:?}");
        }
        let sentence = pairs_needed(&Plan {
            difference: 0.0,
            ..plan
        })
        .map_err(|e| e.to_string());
        assert_eq!(
            sentence.err().as_deref(),
            Some("the difference to be shown came as 0; it must be above 0")
        );
        assert!(power(&plan, 1).is_err() && power(&plan, MOST_PAIRS + 1).is_err());
    }
}
