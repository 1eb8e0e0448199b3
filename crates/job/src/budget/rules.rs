//! The film rules as data, with their sources; the shop chooses which bind.
//!
//! - removed-ever: at most 12.7 µm in the life of the finish
//!   ([`Source::GmBulletin91_282_10`]);
//! - clear-left: at least 25 µm of clear at its lower bound (assumed,
//!   editable);
//! - clear-left-1986: at least 35.6 µm ([`Source::BuickBulletin86_10_24`]),
//!   which would forbid nearly everything and is shown beside the others;
//! - quarter-of-clear: at most a quarter of the clear (common practice);
//! - total-bands: under 100 µm finishing only, under 70 µm nothing (common
//!   practice).
//!
//! Checked by: B1 to B4 in `tests.rs`.

use lapwing_measure::{Provenance, Source};
use serde::Serialize;
use uom::si::length::micrometer;

use super::layers::ClearLeft;
use crate::record::job::Rules;
use crate::record::{Part, Said, Sentence};

/// One rule applied to one panel.
#[derive(Clone, Debug, Serialize)]
pub struct RuleFinding {
    /// Its name in the job file.
    pub name: String,
    /// What it says.
    pub words: String,
    /// The same with its parts apart.
    #[serde(skip)]
    pub said: Said,
    /// What it allows here, µm; `None` where it cannot be applied.
    pub allows_um: Option<f64>,
    /// Whether the shop has put it in force.
    pub is_in_force: bool,
    /// Where it comes from.
    pub provenance: Provenance,
}

/// Least clear of the 1986 bulletin: 1.4 mil.
const CLEAR_1986_UM: f64 = 35.56;

/// Applies every rule to a panel.
#[must_use]
pub fn film_rules(
    rules: &Rules,
    clear: &ClearLeft,
    total_um: Option<f64>,
    removed_before_um: f64,
) -> Vec<RuleFinding> {
    let floor_um = rules.clear_left.get::<micrometer>();
    vec![
        removed_ever(rules, removed_before_um),
        finding(
            rules,
            "clear-left",
            Said::new(Sentence::ClearLeft, [Part::Film(floor_um, 1)]),
            Some(clear.lower_95 - floor_um),
            Provenance::Assumed,
        ),
        finding(
            rules,
            "clear-left-1986",
            Said::new(Sentence::ClearLeft1986, [Part::Film(CLEAR_1986_UM, 1)]),
            Some(clear.lower_95 - CLEAR_1986_UM),
            Provenance::Sourced(Source::BuickBulletin86_10_24),
        ),
        finding(
            rules,
            "quarter-of-clear",
            Sentence::QuarterOfClear.into(),
            Some((clear.mean + removed_before_um) * 0.25 - removed_before_um),
            Provenance::CommonPractice,
        ),
        finding(
            rules,
            "total-bands",
            Said::new(
                Sentence::TotalBands,
                [Part::Film(100.0, 0), Part::Film(70.0, 0)],
            ),
            total_um.map(band_um),
            Provenance::CommonPractice,
        ),
    ]
}

/// The removed-ever rule alone.
#[must_use]
pub fn removed_ever(rules: &Rules, removed_before_um: f64) -> RuleFinding {
    let most_um = rules.removed_ever.get::<micrometer>();
    finding(
        rules,
        "removed-ever",
        Said::new(Sentence::RemovedEver, [Part::Film(most_um, 1)]),
        Some(most_um - removed_before_um),
        Provenance::Sourced(Source::GmBulletin91_282_10),
    )
}

fn finding(
    rules: &Rules,
    name: &str,
    said: Said,
    allows_um: Option<f64>,
    provenance: Provenance,
) -> RuleFinding {
    RuleFinding {
        name: name.to_owned(),
        words: said.english(),
        said,
        allows_um: allows_um.map(|um| um.max(0.0)),
        is_in_force: rules.in_force.iter().any(|n| n == name),
        provenance,
    }
}

/// What the total-reading bands allow, µm (common practice).
fn band_um(total_um: f64) -> f64 {
    match total_um {
        t if t < 70.0 => 0.0,
        t if t < 100.0 => 1.0,
        _ => 5.0,
    }
}
