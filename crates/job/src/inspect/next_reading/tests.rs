//! The next reading goes where the doubt decides, and stops when it does not.

use lapwing_measure::quantity::Length;
use uom::si::length::millimeter;

use super::*;
use crate::inspect::inspect;
use crate::inspect::map::{Size, film_maps};
use crate::record::{Place, Reading, Readings};

/// A panel of 1.2 by 0.9 m, thin at the right, hardly read there.
fn maps() -> Vec<PanelMap> {
    let read = [
        (150.0, 150.0, 121.0),
        (150.0, 450.0, 122.0),
        (150.0, 750.0, 121.0),
        (450.0, 150.0, 119.0),
        (450.0, 450.0, 120.0),
        (450.0, 750.0, 119.0),
        (1050.0, 450.0, 109.0),
    ];
    let readings = read.iter().enumerate().map(|(k, (u, v, um))| Reading {
        panel: "roof".to_owned(),
        film_um: *um,
        u_mm: Some(*u),
        v_mm: Some(*v),
        spot: None,
        repeat: None,
        operator: None,
        place: Place::Field,
        line: k + 2,
    });
    let readings = Readings {
        readings: readings.collect(),
        ..Readings::default()
    };
    let mut film = inspect(&readings);
    let mm = Length::new::<millimeter>;
    let sizes = [("roof".to_owned(), Size::Measured(mm(1200.0), mm(900.0)))];
    film_maps(&readings, &mut film, &sizes, 0.95)
}

fn advice(needed_um: Option<f64>) -> Advice {
    next_readings(&maps(), &|_| needed_um, 0.95)
}

#[test]
fn the_gauge_goes_to_the_thin_side_that_decides() {
    let mut offered = 0;
    for needed_um in [96.0, 98.0, 100.0, 102.0, 104.0, 106.0] {
        let found = advice(Some(needed_um));
        for one in &found.readings {
            assert!(one.u_mm > 600.0, "{needed_um}: {one:?}");
            assert!(one.gain >= LEAST_GAIN && one.gain < 1.0);
        }
        assert!(found.readings.is_sorted_by(|a, b| a.gain >= b.gain));
        offered += usize::from(!found.readings.is_empty());
    }
    assert!(offered >= 2, "{offered}");
}

#[test]
fn where_one_reading_turns_nothing_several_are_judged_together() {
    let found = (90..112).map(|um| advice(Some(f64::from(um))));
    let sets: Vec<Advice> = found
        .filter(|a| a.readings.iter().any(|r| r.together > 1))
        .collect();
    assert!(!sets.is_empty(), "no film asks for a set");
    for set in sets {
        assert_eq!(set.readings.len(), SET);
        assert!(set.words[0].text.contains("5 together take"));
    }
}

#[test]
fn no_place_lies_where_a_gauge_cannot_read() {
    let map = maps().remove(0);
    let map = map.drawn().expect("a map");
    let all = candidates(map);
    assert!(all.len() > 30 && all.len() <= 64, "{}", all.len());
    assert!(
        all.iter()
            .all(|at| map.outline.inside_by_mm(*at) >= EDGE_MM)
    );
}

#[test]
fn it_stops_where_more_readings_change_nothing() {
    for needed_um in [40.0, 400.0] {
        let found = advice(Some(needed_um));
        assert!(found.readings.is_empty());
        assert!(
            found.words[0]
                .text
                .contains("more readings will not change the decision")
        );
    }
    assert!(advice(None).readings.is_empty());
}

#[test]
fn a_panel_without_a_map_is_said_so() {
    let level = PanelMap::Level {
        panel: "roof".to_owned(),
        reason: crate::record::Sentence::FewPlaces.into(),
    };
    let found = next_readings(&[level], &|_| Some(100.0), 0.95);
    assert!(found.words[0].text.contains("no map"));
}
