//! Whether more went than may have: by the readings after, the clear coat is
//! through, or less of it stays than the limit that the shop keeps.
//!
//! Law: through where the lower end of what went is over the clear there was,
//! or where the lower bound of what is left rounds to nothing; under the limit
//! where that lower bound is below the limit in force; all in µm.
//! Source: own; the limits are the shop's ([`crate::budget::rules`]).
//! Holds: where the gauge read before and after and clearly shows that film
//! went; what a plan alone expects holds no signature back.
//! Left out: paint without clear coat, of which no clear is stated.
//! Checked by: the tests below, by hand, and those of the station.

use serde::{Deserialize, Serialize};

use super::record::{Left, Limits, Told};

/// A lower bound under this is printed as nothing, µm.
const NOTHING_UM: f64 = 0.05;

/// By the readings after more went than may have.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct TooFar {
    /// "through": as much went as there was, or nothing is sure to be left;
    /// "under-limit": less is left than the limit in force.
    pub kind: String,
    /// What went by the gauge.
    pub went_um: f64,
    /// Clear coat that there was, worked out from the readings before.
    pub had_um: f64,
    /// Lower bound of the clear that is left.
    pub left_lower_um: f64,
    /// The limit, where one is in force.
    pub limit_um: Option<f64>,
}

impl TooFar {
    /// Judges what the gauge says of a panel; `had_um` is the clear there was.
    pub(super) fn of(
        went: Option<&Told>,
        had_um: Option<f64>,
        left: Option<&Left>,
        limits: &Limits,
    ) -> Option<Self> {
        let went = went.filter(|w| w.provenance == "measured" && w.lower_95 > 0.0)?;
        let (had_um, left_lower_um) = (had_um?, left?.lower_95);
        let is_kept = limits.in_force.iter().any(|rule| rule == "clear-left");
        let limit_um = is_kept.then_some(limits.clear_left_um);
        let kind = if went.lower_95 > had_um || left_lower_um < NOTHING_UM {
            "through"
        } else if limit_um.is_some_and(|limit| left_lower_um < limit) {
            "under-limit"
        } else {
            return None;
        };
        Some(Self {
            kind: kind.to_owned(),
            went_um: went.mean,
            had_um,
            left_lower_um,
            limit_um,
        })
    }

    /// Whether the clear may be gone altogether.
    #[must_use]
    pub fn is_through(&self) -> bool {
        self.kind == "through"
    }

    /// What went, what there was and what is left, without the panel.
    #[must_use]
    pub fn words(&self) -> String {
        let Self {
            went_um, had_um, ..
        } = self;
        let went = format!(
            "{went_um:.1} µm went by the readings, and there were about {had_um:.0} µm of clear coat"
        );
        match self.limit_um.filter(|_| !self.is_through()) {
            Some(limit_um) => format!(
                "{went}: at least {:.1} µm are left, under the limit of {limit_um:.0} µm",
                self.left_lower_um
            ),
            None => format!("{went}: the clear coat may be through"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn judged(went: (f64, f64), had_um: f64, left_um: f64, rules: &[&str]) -> Option<TooFar> {
        let went = Told {
            mean: went.0,
            sd: 0.3,
            lower_95: went.1,
            upper_95: 2.0 * went.0 - went.1,
            provenance: "measured".to_owned(),
            origin: String::new(),
        };
        let left = Left {
            mean: left_um + 5.0,
            sd: 3.0,
            lower_95: left_um,
            provenance: "assumed".to_owned(),
            origin: String::new(),
        };
        let limits = Limits {
            in_force: rules.iter().map(|rule| (*rule).to_owned()).collect(),
            clear_left_um: 25.0,
            removed_ever_um: 12.7,
            confidence: 0.95,
        };
        TooFar::of(Some(&went), Some(had_um), Some(&left), &limits)
    }

    #[test]
    fn more_than_there_was_is_through_and_a_usual_pass_is_not() {
        let through = judged((60.0, 59.3), 36.0, 0.02, &["clear-left"]).expect("through");
        assert!(through.is_through());
        assert_eq!(
            through.words(),
            "60.0 µm went by the readings, and there were about 36 µm of clear coat: the clear coat may be through"
        );
        assert_eq!(judged((2.5, 2.1), 36.0, 28.0, &["clear-left"]), None);
        assert_eq!(judged((2.5, 0.0), 36.0, 20.0, &["clear-left"]), None);
    }

    #[test]
    fn less_than_the_limit_counts_where_the_limit_is_in_force() {
        let under = judged((9.0, 8.0), 36.0, 22.4, &["clear-left"]).expect("under");
        assert!(!under.is_through());
        assert_eq!(
            under.words(),
            "9.0 µm went by the readings, and there were about 36 µm of clear coat: at least 22.4 µm are left, under the limit of 25 µm"
        );
        assert_eq!(judged((9.0, 8.0), 36.0, 22.4, &["removed-ever"]), None);
        let through = judged((9.0, 8.0), 36.0, 0.0, &["removed-ever"]).expect("through");
        assert!(through.words().ends_with("may be through"));
    }
}
