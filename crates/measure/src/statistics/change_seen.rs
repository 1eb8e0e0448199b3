//! What change can so many pairs of readings show?
//!
//! Law: the smallest δ whose paired t test with n pairs has the power asked for,
//! found by halving on the exact power of [`sample_size`](super::sample_size);
//! σ_d = √2 times the gauge's repeatability.
//! Source: [`Source::NistHandbook`] 7.2.2.2.
//! Holds: 2 pairs or more, as far as that power is computed (δ√n/σ_d up to 150).
//! Outside: an error.
//! Left out: unpaired readings.
//! Checked by: there and back with the pairs needed; scipy's nct live.

use crate::source::Source;

use super::StatisticsError;
use super::noncentral_t::MOST_NONCENTRALITY;
use super::root;
use super::sample_size::{Plan, power};

/// Where the method is written down.
pub const SOURCE: Source = Source::NistHandbook;

/// Smallest change that this many pairs show, in the unit of the plan's
/// deviation. The plan's own `difference` is not looked at.
///
/// # Errors
/// When the plan is outside its ranges or no change within reach is shown.
pub fn change_seen(plan: &Plan, pairs: usize) -> Result<f64, StatisticsError> {
    let root_n = f64::from(u32::try_from(pairs).unwrap_or(u32::MAX)).sqrt();
    let farthest = MOST_NONCENTRALITY * plan.difference_sd / root_n.max(1.0);
    let with = |difference: f64| Plan {
        difference,
        ..*plan
    };
    power(&with(farthest), pairs)?;
    // Power rises with the difference; where it cannot be computed it counts as none.
    let short = |difference: f64| {
        power(&with(difference), pairs).map_or(-1.0, |chance| chance - plan.power_frac)
    };
    root::of_rising(short, farthest * 1e-9, farthest).ok_or(StatisticsError::OutOfReach {
        what: "change to be shown",
        limit: farthest,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::statistics::sample_size::pairs_needed;

    // Pairs needed by a 1 µm gauge: 24 for 1 µm, 8 for 2 µm, 5 for 3 µm; one
    // pair fewer does not show them.
    #[test]
    fn the_change_and_the_pairs_lead_back_to_each_other() {
        for (difference, pairs) in [(1.0, 24), (2.0, 8), (3.0, 5)] {
            let plan = Plan::for_gauge(1.0, difference);
            assert_eq!(pairs_needed(&plan).expect("within reach").pairs, pairs);
            assert!(change_seen(&plan, pairs).expect("within reach") <= difference);
            assert!(change_seen(&plan, pairs - 1).expect("within reach") > difference);
        }
    }

    #[test]
    fn it_scales_with_the_gauge() {
        let one = change_seen(&Plan::for_gauge(1.0, 1.0), 8).expect("within reach");
        let two = change_seen(&Plan::for_gauge(2.0, 1.0), 8).expect("within reach");
        assert!((two - 2.0 * one).abs() < 1e-9);
    }

    #[test]
    fn one_pair_and_a_gauge_of_nothing_are_refused() {
        assert!(change_seen(&Plan::for_gauge(1.0, 1.0), 1).is_err());
        assert!(change_seen(&Plan::for_gauge(0.0, 1.0), 8).is_err());
        assert!(change_seen(&Plan::for_gauge(f64::NAN, 1.0), 8).is_err());
    }
}
