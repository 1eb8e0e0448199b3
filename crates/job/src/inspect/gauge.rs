//! What the gauge and the hands that hold it can see: repeats, operators, drift.
//!
//! Law: s² = SS/ν over the repeats of a spot by one hand; with ν under 10,
//! s² = (SS + (10 − ν)·s₀²)/10, s₀ the stated repeatability: as many values of
//! what is stated as are missing to ten. s is never under q/√12, q the step of
//! the display. Operator sd from readings nested in operators nested in spots.
//! Drift: mean zero check after the first reading on the car less that before.
//! One reading is good to √(s² + operator² + drift²/12).
//! Source: [`lapwing_measure::Source::NistHandbook`] 3.2.3.3 and 7.2.2.2; q/√12 and drift/√12
//! (rectangular) [`lapwing_measure::Source::Gum2008`] 4.3.7. Ten values, and 1 µm where nothing
//! is stated, are common practice (0.3 to 2 µm by hand on smooth panels).
//! Holds: for a gauge whose spread is the same on thin and on thick film.
//! Left out: error of the gauge's own scale, which cancels between readings of
//! one panel; operators who never read the same spot.
//! Checked by: the nested example (0.774597 µm), pairs needed (24 for 1 µm) and
//! the tests below; statsmodels and scipy live.

use lapwing_measure::Provenance;
use std::sync::OnceLock;

use lapwing_measure::statistics::operators::{Operators, operators};
use lapwing_measure::statistics::sample_size::{Plan, pairs_needed};
use lapwing_measure::statistics::{change_seen, summary};
use serde::Serialize;

use super::spots::Panel;
use crate::record::readings::shown;
use crate::record::{Caution, Readings};

/// Repeatability of a gauge nobody has repeated a reading with, µm.
const USUAL_REPEATABILITY_UM: f64 = 1.0;

/// So many degrees of freedom stand on their own.
const ENOUGH: f64 = 10.0;

/// Steps a display may have, largest first: 0.1 mil, 1 µm, 0.01 mil, ...
const DISPLAY_STEPS_UM: [f64; 6] = [2.54, 1.0, 0.254, 0.1, 0.025_4, 0.01];

/// Pairs for which the change they show is told.
const TOLD_PAIRS: [usize; 5] = [3, 5, 8, 12, 24];

/// A change that so many pairs show 9 times in 10.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct ChangeSeen {
    /// Pairs of readings, before and after on the same spot.
    pub pairs: usize,
    /// The smallest change they show, µm.
    pub change_um: f64,
}

/// What the gauge can see.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct GaugeStudy {
    /// Standard deviation of repeats on a spot by one hand, µm.
    pub repeatability_um: f64,
    /// Degrees of freedom measured on this car.
    pub repeats: f64,
    /// Standard deviation between hands, µm; `None` with one hand.
    pub operator_sd_um: Option<f64>,
    /// Mean of the zero checks, µm.
    pub zero_offset_um: Option<f64>,
    /// Zero checks after less before, µm; `None` unless there are both.
    pub drift_um: Option<f64>,
    /// Standard deviation of one reading, all of these together, µm.
    pub reading_sd_um: f64,
    /// Pairs that show a change of 1 µm 9 times in 10; `None` when too many.
    pub pairs_for_1um: Option<usize>,
    /// What so many pairs show.
    pub change_seen_um: Vec<ChangeSeen>,
    /// Measured, part measured and part stated (calibrated), or assumed.
    pub provenance: Provenance,
    /// The same in sentences.
    pub words: String,
}

/// Studies the gauge over all panels; `stated_um` is its stated repeatability.
pub(super) fn study(
    panels: &[Panel<'_>],
    readings: &Readings,
    stated_um: Option<f64>,
) -> (GaugeStudy, Option<Caution>) {
    let spots: Vec<Vec<Vec<f64>>> = panels
        .iter()
        .flat_map(|p| &p.spots)
        .map(|s| s.by_hand.clone())
        .filter(|hands| !hands.is_empty())
        .collect();
    let step_um = display_step_um(readings);
    let spread = Spread::of(&spots, stated_um, step_um);
    let hands = operators(&spots).ok();
    let (zero_offset_um, drift_um) = zero(readings);
    let operator_sd_um = hands.map(|h: Operators| h.operator_sd);
    let variance = spread.repeatability_um.powi(2)
        + operator_sd_um.unwrap_or(0.0).powi(2)
        + drift_um.unwrap_or(0.0).powi(2) / 12.0;
    let mut study = GaugeStudy {
        repeatability_um: spread.repeatability_um,
        repeats: spread.freedom,
        operator_sd_um,
        zero_offset_um,
        drift_um,
        reading_sd_um: variance.sqrt(),
        pairs_for_1um: pairs_needed(&Plan::for_gauge(spread.repeatability_um, 1.0))
            .ok()
            .map(|p| p.pairs),
        change_seen_um: changes(spread.repeatability_um),
        provenance: spread.provenance,
        words: String::new(),
    };
    study.words = words(&study, &spread.origin);
    (study, spread.doubt)
}

/// Pooled deviation of repeats by one hand on one spot, µm.
pub(super) fn pooled_um(panel: &Panel<'_>) -> Option<f64> {
    let hands = panel.spots.iter().flat_map(|s| &s.by_hand);
    let (squares, freedom) = sums(hands);
    (freedom > 0.0).then(|| (squares / freedom).sqrt())
}

fn sums<'a>(hands: impl Iterator<Item = &'a Vec<f64>>) -> (f64, f64) {
    let mut sums = (0.0, 0.0);
    for films_um in hands.filter(|h| h.len() > 1) {
        let freedom = films_um.len() as f64 - 1.0;
        let sd = summary::sd(films_um).unwrap_or(0.0);
        sums.0 += sd * sd * freedom;
        sums.1 += freedom;
    }
    sums
}

struct Spread {
    repeatability_um: f64,
    freedom: f64,
    provenance: Provenance,
    origin: String,
    doubt: Option<Caution>,
}

impl Spread {
    fn of(spots: &[Vec<Vec<f64>>], stated_um: Option<f64>, step_um: f64) -> Self {
        let (squares, freedom) = sums(spots.iter().flatten());
        let (before_um, said) = match stated_um {
            Some(um) => (um, "stated with the gauge"),
            None => (USUAL_REPEATABILITY_UM, "assumed"),
        };
        let hidden_um = step_um / 12.0_f64.sqrt();
        let least = freedom * hidden_um * hidden_um;
        let missing = (ENOUGH - freedom).max(0.0);
        let variance = (squares.max(least) + missing * before_um * before_um) / freedom.max(ENOUGH);
        let before = shown(before_um);
        let repeats = if freedom < 1.5 { "repeat" } else { "repeats" };
        let (provenance, origin) = if freedom == 0.0 {
            (Provenance::Assumed, format!("{before} µm, {said}"))
        } else if squares < least && missing == 0.0 {
            (
                Provenance::Assumed,
                "the step of the display, as repeats differ less".to_owned(),
            )
        } else if missing > 0.0 {
            (
                Provenance::Calibrated,
                format!(
                    "{freedom:.0} {repeats} on this car, filled up to {ENOUGH:.0} with {before} µm {said}"
                ),
            )
        } else {
            (
                Provenance::Measured,
                format!("{freedom:.0} {repeats} on this car"),
            )
        };
        Self {
            repeatability_um: variance.sqrt(),
            freedom,
            provenance,
            origin,
            doubt: doubt(freedom, squares < least, (&before, said)),
        }
    }
}

fn doubt(freedom: f64, is_hidden: bool, (before, said): (&str, &str)) -> Option<Caution> {
    let text = if freedom == 0.0 {
        format!(
            "no spot was read twice, so how well the gauge repeats is not known; {before} µm is \
             {}. Read a few spots three times.",
            if said == "assumed" {
                "assumed"
            } else {
                "taken as stated"
            }
        )
    } else if is_hidden {
        "the repeats differ by less than the display shows, so it hides how well the gauge \
         repeats; the step of the display is counted in."
            .to_owned()
    } else {
        return None;
    };
    Some(Caution::new("gauge", text))
}

/// The largest step all readings are whole multiples of.
fn display_step_um(readings: &Readings) -> f64 {
    let is_multiple = |step: &f64| {
        readings.readings.iter().all(|r| {
            let steps = r.film_um / step;
            (steps - steps.round()).abs() < 1e-4
        })
    };
    let found = DISPLAY_STEPS_UM.into_iter().find(is_multiple);
    found.unwrap_or(0.0)
}

fn zero(readings: &Readings) -> (Option<f64>, Option<f64>) {
    let sound: Vec<(f64, usize)> = readings
        .zero_um
        .iter()
        .copied()
        .zip(
            readings
                .zero_lines
                .iter()
                .copied()
                .chain(std::iter::repeat(0)),
        )
        .filter(|(um, _)| um.is_finite())
        .collect();
    let mean = |of: &[f64]| summary::mean(of).ok();
    let all: Vec<f64> = sound.iter().map(|(um, _)| *um).collect();
    let first = readings.readings.iter().map(|r| r.line).min();
    let drift = first.and_then(|first| {
        let (before, after): (Vec<_>, Vec<_>) = sound.iter().partition(|(_, line)| *line < first);
        let films = |part: Vec<(f64, usize)>| part.iter().map(|(um, _)| *um).collect::<Vec<_>>();
        Some(mean(&films(after))? - mean(&films(before))?)
    });
    (mean(&all), drift)
}

/// The changes so many pairs show. They grow with the repeatability, so those
/// of a gauge of 1 µm are worked out once.
fn changes(repeatability_um: f64) -> Vec<ChangeSeen> {
    static OF_ONE_UM: OnceLock<Vec<ChangeSeen>> = OnceLock::new();
    let of_one_um = OF_ONE_UM.get_or_init(|| {
        let plan = Plan::for_gauge(1.0, 1.0);
        let told = |pairs: usize| {
            let change_um = change_seen::change_seen(&plan, pairs).ok()?;
            Some(ChangeSeen { pairs, change_um })
        };
        TOLD_PAIRS.into_iter().filter_map(told).collect()
    });
    let scaled = |c: &ChangeSeen| ChangeSeen {
        change_um: c.change_um * repeatability_um,
        ..*c
    };
    of_one_um.iter().map(scaled).collect()
}

fn words(study: &GaugeStudy, origin: &str) -> String {
    let mut said = vec![format!(
        "The gauge repeats to {} µm ({origin}).",
        shown(study.repeatability_um)
    )];
    match study.operator_sd_um {
        Some(um) if um > 0.0 => said.push(format!(
            "Hands differ by {} µm: let one person read before and after.",
            shown(um)
        )),
        Some(_) => said.push("Hands do not differ more than the gauge repeats.".to_owned()),
        None => {}
    }
    said.push(match (study.drift_um, study.zero_offset_um) {
        (Some(um), _) => format!(
            "Its zero moved by {} µm from the checks before to those after.",
            shown(um)
        ),
        (None, Some(um)) => format!(
            "It shows {} µm on its plate; drift is not known without a zero check before and after.",
            shown(um)
        ),
        (None, None) => "No zero check was made, so its drift is not known.".to_owned(),
    });
    said.push(match study.pairs_for_1um {
        Some(pairs) => format!("To see a change of 1 µm takes {pairs} pairs of readings."),
        None => "No number of pairs within reason shows a change of 1 µm.".to_owned(),
    });
    if let Some(three) = study.change_seen_um.first() {
        said.push(format!(
            "{} pairs show {} µm or more.",
            three.pairs,
            shown(three.change_um)
        ));
    }
    said.join(" ")
}

#[cfg(test)]
mod tests {
    use super::super::spots::by_panel;
    use super::*;
    use crate::record::readings::read;

    fn studied(table: &str, stated_um: Option<f64>) -> GaugeStudy {
        let readings = read("r.csv", table.as_bytes(), None).expect("sound");
        let (panels, _) = by_panel(&readings.readings);
        study(&panels, &readings, stated_um).0
    }

    fn near(came: f64, wanted: f64, within: f64) {
        assert!((came - wanted).abs() <= within, "{came} is not {wanted}");
    }

    // By hand: 110, 112 repeat with s² = 2 on one degree; (2 + 9·0.5²)/10 = 0.425.
    #[test]
    fn few_repeats_are_filled_up_with_what_is_stated() {
        let few = studied(
            "panel,spot,thickness_um\nroof,a,110\nroof,a,112\n",
            Some(0.5),
        );
        near(few.repeatability_um, 0.425_f64.sqrt(), 1e-12);
        assert_eq!((few.repeats, few.provenance), (1.0, Provenance::Calibrated));
        let none = studied("panel,thickness_um\nroof,110\n", Some(0.5));
        near(none.repeatability_um, 0.5, 1e-12);
        assert_eq!(none.provenance, Provenance::Assumed);
    }

    // By hand: spots 1 and 2 as in the operators' own test: repeatability √2 on 4
    // degrees, operators √3; six values of 1 µm are missing to ten.
    #[test]
    fn two_hands_are_told_apart() {
        let both = studied(
            "panel,spot,operator,thickness_um\nroof,a,x,110\nroof,a,x,112\nroof,a,y,114\nroof,a,y,116\n\
             roof,b,x,120\nroof,b,x,122\nroof,b,y,120\nroof,b,y,122\n",
            None,
        );
        near(
            both.operator_sd_um.expect("two hands"),
            3.0_f64.sqrt(),
            1e-12,
        );
        near(both.repeatability_um, 1.4_f64.sqrt(), 1e-12);
        near(both.reading_sd_um, 4.4_f64.sqrt(), 1e-12);
        assert!(
            both.words.contains("Hands differ by 1.73 µm"),
            "{}",
            both.words
        );
    }

    #[test]
    fn drift_needs_a_zero_check_before_and_after() {
        let both = "panel,place,thickness_um\n,zero,0.2\n,zero,0.4\nroof,,110\n,zero,1.5\n";
        let both = studied(both, None);
        near(both.drift_um.expect("both"), 1.2, 1e-12);
        near(both.reading_sd_um, (1.0 + 1.44 / 12.0_f64).sqrt(), 1e-12);
        let before = studied("panel,place,thickness_um\n,zero,0.2\nroof,,110\n", None);
        assert_eq!(before.drift_um, None);
        near(before.zero_offset_um.expect("one"), 0.2, 1e-12);
        assert!(before.words.contains("drift is not known"));
    }

    // Twenty-four pairs for 1 µm, 8 for 2, 5 for 3 by a gauge of 1 µm.
    #[test]
    fn a_usual_gauge_sees_what_the_table_says() {
        let usual = studied("panel,thickness_um\nroof,110\n", None);
        assert_eq!(usual.pairs_for_1um, Some(24));
        let seen = |pairs: usize| {
            let found = usual.change_seen_um.iter().find(|c| c.pairs == pairs);
            found.expect("told").change_um
        };
        assert!(seen(24) <= 1.0 && seen(8) <= 2.0 && seen(5) <= 3.0 && seen(3) > 3.0);
    }

    #[test]
    fn the_step_of_the_display_is_the_least() {
        let rows = "roof,a,4.4\n".repeat(12);
        let mil = studied(&format!("panel,spot,thickness_mil\n{rows}"), None);
        near(mil.repeatability_um, 2.54 / 12.0_f64.sqrt(), 1e-9);
        assert_eq!(mil.provenance, Provenance::Assumed);
    }
}
