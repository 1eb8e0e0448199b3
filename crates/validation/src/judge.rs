//! Do the differences of a case stay inside its three bounds?
//!
//! Law: the 75th and 99th percentile (the smallest difference that so many
//! percent of the rows do not pass) and the maximum, each against its bound.
//! Holds: for any number of rows; few rows make the three nearly one.
//! Left out: whether a bound is reasonable; `bound_reason` says that in words.
//! Checked by: percentiles worked by hand, and cases that must fail.

use crate::case::Case;
use crate::compare::Difference;

/// The difference that `share_frac` of the rows do not pass; zero for none.
#[must_use]
pub fn percentile(differences: &[Difference], share_frac: f64) -> f64 {
    let mut off: Vec<f64> = differences.iter().map(|d| d.off).collect();
    off.sort_by(f64::total_cmp);
    let place = (share_frac * off.len() as f64).ceil() as usize;
    off.get(place.clamp(1, off.len().max(1)) - 1)
        .copied()
        .unwrap_or(0.0)
}

/// What a case fails, in sentences; empty when it holds.
#[must_use]
pub fn judge(case: &Case, differences: &[Difference]) -> Vec<String> {
    let bounds = [
        ("p75", 0.75, case.bound_p75),
        ("p99", 0.99, case.bound_p99),
        ("max", 1.0, case.bound_max),
    ];
    let failed = bounds.into_iter().filter_map(|(name, share_frac, bound)| {
        let came = percentile(differences, share_frac);
        // A difference of exactly half a printed digit may be rounded either way.
        let is_held = came <= bound * (1.0 + 1e-9);
        (!is_held).then(|| {
            let worst = differences.iter().max_by(|a, b| a.off.total_cmp(&b.off));
            let row = worst.map_or(String::new(), |d| {
                format!(
                    " Worst is row {}, {}: {} expected, {} came.",
                    d.row, d.inputs, d.expected, d.ours
                )
            });
            format!(
                "{} ({}): {name} of the differences is {came:.3e}, allowed is {bound:.3e}.{row}",
                case.id, case.law
            )
        })
    });
    failed.collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::made_up::case;

    fn off(values: &[f64]) -> Vec<Difference> {
        let one = |(i, off): (usize, &f64)| Difference {
            row: i + 1,
            inputs: String::new(),
            expected: 0.0,
            ours: *off,
            off: *off,
        };
        values.iter().enumerate().map(one).collect()
    }

    const ROW: &str = "[[row]]\ninputs = {}\nexpected = 1\n";

    #[test]
    fn percentiles_are_worked_by_hand() {
        let four = off(&[4.0, 1.0, 3.0, 2.0]);
        assert_eq!(
            [0.75, 0.99, 1.0].map(|share| percentile(&four, share)),
            [3.0, 4.0, 4.0]
        );
        assert_eq!(percentile(&off(&[7.0]), 0.75), 7.0);
        assert_eq!(percentile(&[], 0.75), 0.0);
    }

    #[test]
    fn differences_inside_the_bounds_pass_and_one_outside_fails() {
        let case = case("any", 0.5, ROW);
        assert!(judge(&case, &off(&[0.1, 0.5])).is_empty());
        let faults = judge(&case, &off(&[0.1, 0.51]));
        assert!(
            faults.iter().any(|f| f.contains("max")) && faults[0].contains("row 2"),
            "{faults:?}"
        );
    }

    #[test]
    fn a_tight_percentile_fails_although_the_maximum_holds() {
        let case = Case {
            bound_p75: 0.2,
            ..case("any", 0.5, ROW)
        };
        assert_eq!(judge(&case, &off(&[0.1, 0.3, 0.3, 0.4])).len(), 1);
    }
}
