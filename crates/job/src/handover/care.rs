//! How the owner keeps the finish, and when somebody should look again.
//!
//! Source: intervals of the trade (first look after 2 to 4 weeks, hand wash
//! every 1 to 2 weeks, decontamination every 3 to 6 months, inspection and film
//! again after 6 to 12 months), common practice.
//! Holds: for a car in daily use. Left out: a coating's own data sheet, which
//! wins where the two disagree.
//! Checked by: the tests below.

use serde::{Deserialize, Serialize};

/// One thing to do, and when.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Care {
    /// A short name that stays the same from record to record.
    pub name: String,
    /// Days after the hand-over, the first time.
    pub after_days: u32,
    /// Days between further times; none when it is done once.
    pub every_days: Option<u32>,
    /// What to do.
    pub what: String,
    /// Why.
    pub why: String,
}

/// The care of a car whose paint was polished; `is_coated` when a coating was
/// laid on it.
#[must_use]
pub fn care(is_coated: bool) -> Vec<Care> {
    let mut list = Vec::new();
    if is_coated {
        list.push(one(
            ("keep-dry", 0, None),
            "Keep the car dry for the first day and do not wash it for a week",
            "The coating is still hardening; water and soap leave marks in it.",
        ));
    }
    list.push(one(
        ("wash", 14, Some(14)),
        "Wash by hand: rinse, pH-neutral shampoo, two buckets, dry with a soft cloth laid on and lifted",
        "Most swirls come from grit dragged along by a brush or a cloth.",
    ));
    list.push(one(
        ("first-look", 21, None),
        "Bring the car back for a first look",
        "Oils have gone by then; what still shows is really there.",
    ));
    list.push(one(
        ("decontaminate", 120, Some(120)),
        "Iron and tar remover before a hand wash",
        "Brake dust and tar bite into clear coat when they stay.",
    ));
    list.push(one(
        ("inspection", 270, None),
        "Inspection: film read again at the same places, protection topped up",
        "Film that has gone since then must be debited before anybody polishes again.",
    ));
    list
}

fn one((name, after_days, every_days): (&str, u32, Option<u32>), what: &str, why: &str) -> Care {
    Care {
        name: name.to_owned(),
        after_days,
        every_days,
        what: what.to_owned(),
        why: why.to_owned(),
    }
}

/// What hurts a polished finish, in the owner's words.
pub const DO_NOTS: [&str; 4] = [
    "No brush wash and no drive-through wash.",
    "No dry wiping of dust, not even with a soft cloth.",
    "Bird droppings, insects and tree sap: rinse off the same day.",
    "No polishing by anybody who has not read this record: film that is gone does not grow back.",
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn care_lies_inside_the_intervals_of_the_trade() {
        let list = care(true);
        let days = |name: &str| {
            let found = list.iter().find(|c| c.name == name).expect("there");
            (found.after_days, found.every_days)
        };
        assert!((14..=28).contains(&days("first-look").0));
        assert!((7..=14).contains(&days("wash").1.expect("again")));
        assert!((90..=180).contains(&days("decontaminate").0));
        assert!((180..=365).contains(&days("inspection").0));
        assert_eq!(days("keep-dry").0, 0);
    }

    #[test]
    fn a_car_without_coating_is_not_told_to_stay_dry() {
        assert!(care(false).iter().all(|c| c.name != "keep-dry"));
    }
}
