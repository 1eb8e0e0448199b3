//! Whether the film of a panel steps from one area to another.
//!
//! Law: one step against none in the spots along the panel, across it and in
//! the order they were read, see [`lapwing_measure::statistics::step`]; both may
//! slope. The chance that it is a repair is that of a step times that of more
//! than 15 µm: Φ((|d| − 15)/sd).
//! Source: [`lapwing_measure::Source::Bishop2006`] 3.5. Beliefs, all assumed: 1 panel in 20 has a
//! step, of 60 µm more or less; the film rises by 12 µm from end to end; spots
//! scatter by 2 to 9 µm.
//! Holds: for two spots or more on either side; odd spots are left out before.
//! Left out: the outline of the area, which the film map shows.
//! Checked by: the tests below; the evidence against scipy, live.

use lapwing_measure::statistics::quantile::normal_cdf;
use lapwing_measure::statistics::step::{Step, StepBeliefs, step};

use super::findings::{Finding, FindingKind, finding};
use super::spots::{Panel, Spot};
use crate::record::{Part, Place, Said, Sentence};

/// A step under this may be the spray gun's, µm.
const LEAST_STEP_UM: f64 = 15.0;
const TELL_FROM_FRAC: f64 = 0.5;

/// The likeliest step of a panel, when it is likelier than not. `odd_um` are
/// the spots already found odd.
pub(super) fn stepped(panel: &Panel<'_>, odd_um: &[f64]) -> Option<Finding> {
    let mut spots: Vec<&Spot<'_>> = panel
        .spots
        .iter()
        .filter(|s| s.place == Place::Field && !odd_um.contains(&s.mean_um))
        .collect();
    let beliefs = beliefs();
    let mut best: Option<(f64, Finding)> = None;
    let is_placed = spots.iter().all(|s| s.at_mm.is_some());
    let ways: &[Way] = if is_placed {
        &[Way::Across, Way::Up]
    } else {
        &[Way::AsRead]
    };
    for way in ways {
        if *way != Way::AsRead {
            spots.sort_by(|a, b| way.place(a, 0).total_cmp(&way.place(b, 0)));
        }
        let row: Vec<(f64, f64)> = spots
            .iter()
            .enumerate()
            .map(|(i, s)| (way.place(s, i), s.mean_um))
            .collect();
        let Some(found) = step(&row, &beliefs) else {
            continue;
        };
        let chance = repair_chance(&found);
        if chance >= TELL_FROM_FRAC && best.as_ref().is_none_or(|(c, _)| chance > *c) {
            best = Some((chance, told(*way, &spots, &found, chance)));
        }
    }
    best.map(|(_, finding)| finding)
}

#[derive(Clone, Copy, PartialEq)]
enum Way {
    Across,
    Up,
    AsRead,
}

impl Way {
    fn place(self, spot: &Spot<'_>, index: usize) -> f64 {
        let [u, v] = spot.at_mm.unwrap_or_default();
        match self {
            Self::Across => u,
            Self::Up => v,
            Self::AsRead => index as f64,
        }
    }
}

fn beliefs() -> StepBeliefs {
    let noises = [2.0, 3.0, 4.0, 6.0, 9.0];
    StepBeliefs {
        level_sd: 100.0,
        slope_sd: 12.0,
        step_sd: 60.0,
        noises: noises.map(|n| (n, 1.0 / noises.len() as f64)).to_vec(),
        chance_frac: 0.05,
        least_side: 2,
    }
}

fn repair_chance(found: &Step) -> f64 {
    let sd = found.size_sd.max(1e-9);
    found.chance_frac * normal_cdf((found.size.abs() - LEAST_STEP_UM) / sd)
}

fn told(way: Way, spots: &[&Spot<'_>], found: &Step, probability: f64) -> Finding {
    let (before, beyond) = (spots[found.after], spots[found.after + 1]);
    let middle = |at: fn(&Spot<'_>) -> f64| Part::Length((at(before) + at(beyond)) / 2.0);
    let place = match way {
        Way::Across => Said::new(
            Sentence::AboutAcross,
            [middle(|s| s.at_mm.map_or(0.0, |p| p[0]))],
        ),
        Way::Up => Said::new(
            Sentence::AboutUp,
            [middle(|s| s.at_mm.map_or(0.0, |p| p[1]))],
        ),
        Way::AsRead => match (before.name, beyond.name) {
            (Some(a), Some(b)) => Said::new(
                Sentence::BetweenSpots,
                [a, b].map(|name| Part::Text(name.to_owned())),
            ),
            _ => Said::new(
                Sentence::BetweenInOrder,
                [1, 2].map(|by| Part::Number((found.after + by) as f64, 0)),
            ),
        },
    };
    let sentence = if found.size > 0.0 {
        Sentence::StepBeyond
    } else {
        Sentence::StepBefore
    };
    let parts = [Part::Film(found.size.abs(), 0), Part::Said(place)];
    finding(
        FindingKind::Step,
        Some(probability),
        Said::new(sentence, parts),
    )
}

#[cfg(test)]
mod tests {
    use super::super::spots::by_panel;
    use super::*;
    use crate::record::readings::read;

    fn finding(rows: &str, columns: &str) -> Option<Finding> {
        let table = format!("panel,thickness_um{columns}\n{rows}");
        let readings = read("r.csv", table.as_bytes(), None).expect("sound");
        let (panels, _) = by_panel(&readings.readings);
        stepped(&panels[0], &[])
    }

    #[test]
    fn a_blend_is_told_with_its_place_and_chance() {
        let rows: String = [112, 115, 113, 116, 114, 171, 175, 169, 173, 172]
            .iter()
            .enumerate()
            .map(|(i, um)| format!("door,{um},{},300\n", 100 * i))
            .collect();
        let found = finding(&rows, ",u_mm,v_mm").expect("a step");
        assert_eq!(found.kind, FindingKind::Step);
        assert!(
            found.reason.contains("about 450 mm across"),
            "{}",
            found.reason
        );
        assert!(found.reason.contains("beyond"));
        assert!(found.probability > Some(0.99));
    }

    #[test]
    fn an_even_and_a_sloping_panel_have_no_step() {
        let row =
            |films: &[u32]| -> String { films.iter().map(|um| format!("door,{um}\n")).collect() };
        assert_eq!(
            finding(&row(&[112, 115, 113, 116, 114, 113, 115, 112]), ""),
            None
        );
        assert_eq!(
            finding(&row(&[106, 109, 111, 114, 116, 119, 121, 124]), ""),
            None
        );
        assert_eq!(finding(&row(&[112, 180]), ""), None);
    }

    #[test]
    fn half_a_panel_painted_again_is_one_area_and_no_heap_of_odd_spots() {
        let mut table = "panel,thickness_um,u_mm,v_mm\n".to_owned();
        for i in 0..20 {
            let (u, v) = (120 + 280 * (i % 5), 120 + 300 * (i / 5));
            let film_um = if u < 700 { 112 } else { 205 } + i % 3;
            table.push_str(&format!("bonnet,{film_um},{u},{v}\n"));
        }
        let readings = read("r.csv", table.as_bytes(), None).expect("sound");
        let panel = &super::super::inspect(&readings).panels[0];
        assert_eq!(panel.outliers_um.len(), 8);
        assert_eq!(panel.found[0].kind, FindingKind::Step);
        assert!(panel.found[0].probability > Some(0.99));
        let reason = &panel.found[0].reason;
        assert!(reason.contains("about 820 mm across"), "{reason}");
        assert!(panel.is_suspected_repaint);
        assert!(
            panel
                .found
                .iter()
                .all(|f| f.kind != FindingKind::FillerOrRepaint)
        );
    }

    #[test]
    fn a_thin_spot_is_told_beside_an_area_of_another_paint() {
        let mut table = "panel,thickness_um,u_mm,v_mm\n".to_owned();
        for i in 0..20 {
            let (u, v) = (120 + 280 * (i % 5), 120 + 300 * (i / 5));
            let film_um = if u < 900 { 112 } else { 205 } + i % 3;
            let film_um = if i == 5 { 84 } else { film_um };
            table.push_str(&format!("bonnet,{film_um},{u},{v}\n"));
        }
        let readings = read("r.csv", table.as_bytes(), None).expect("sound");
        let panel = &super::super::inspect(&readings).panels[0];
        assert_eq!(panel.found[0].kind, FindingKind::Step);
        assert!(
            panel.found.iter().any(|f| f.reason.contains("84")),
            "{:?}",
            panel.found
        );
    }

    #[test]
    fn without_places_the_order_read_is_named() {
        let rows = "door,a,112\ndoor,b,114\ndoor,c,113\ndoor,d,166\ndoor,e,168\ndoor,f,165\n";
        let table = format!("panel,spot,thickness_um\n{rows}");
        let readings = read("r.csv", table.as_bytes(), None).expect("sound");
        let (panels, _) = by_panel(&readings.readings);
        let found = stepped(&panels[0], &[]).expect("a step");
        assert!(
            found.reason.contains("between the spots c and d"),
            "{}",
            found.reason
        );
    }
}
