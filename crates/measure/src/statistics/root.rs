//! Where a rising curve crosses zero.
//!
//! Law: the bracket is halved until its ends are neighbours.
//! Source: textbook bisection.
//! Holds: for rising curves with a sign change inside the bracket. Outside:
//! `None`.
//! Left out: faster methods; the curves here are cheap.
//! Checked by: the square root of two, below.

/// Most halvings; a double has 53 bits, and the rest covers wide brackets.
const MOST_HALVINGS: u32 = 200;

/// The crossing of a rising curve between `low` and `high`.
pub(crate) fn of_rising(curve: impl Fn(f64) -> f64, mut low: f64, mut high: f64) -> Option<f64> {
    let is_bracket = curve(low) <= 0.0 && curve(high) >= 0.0;
    if !is_bracket {
        return None;
    }
    for _ in 0..MOST_HALVINGS {
        let middle = low + (high - low) / 2.0;
        if high - low <= 1e-14 * middle.abs() || middle <= low || middle >= high {
            break;
        }
        if curve(middle) < 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    Some(low + (high - low) / 2.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_square_of_the_crossing_is_two() {
        let root = of_rising(|x| x * x - 2.0, 0.0, 2.0);
        assert!(
            root.is_some_and(|r| (r - std::f64::consts::SQRT_2).abs() < 1e-13),
            "{root:?}"
        );
    }

    #[test]
    fn a_curve_that_does_not_cross_has_no_crossing() {
        assert_eq!(of_rising(|x| x + 1.0, 0.0, 1.0), None);
        assert_eq!(of_rising(|_| f64::NAN, 0.0, 1.0), None);
    }
}
