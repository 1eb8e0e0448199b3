//! Tests of the inspect station.

use super::*;
use crate::record::{Reading, readings};

fn at(panel: &str, film_um: f64, place: Place, spot: Option<&str>) -> Reading {
    Reading {
        panel: panel.to_owned(),
        film_um,
        u_mm: None,
        v_mm: None,
        spot: spot.map(str::to_owned),
        repeat: None,
        place,
        operator: None,
        line: 2,
    }
}

fn field(panel: &str, films_um: &[f64]) -> Vec<Reading> {
    films_um
        .iter()
        .map(|um| at(panel, *um, Place::Field, None))
        .collect()
}

fn seen(readings: Vec<Reading>) -> CarFilm {
    inspect(&Readings {
        readings,
        ..Readings::default()
    })
}

fn one(films_um: &[f64]) -> PanelFilm {
    seen(field("bonnet", films_um)).panels.remove(0)
}

#[track_caller]
fn near(came: Option<f64>, wanted: f64, within: f64) {
    let came = came.expect("a value is stated");
    assert!((came - wanted).abs() <= within, "{came} is not {wanted}");
}

fn has(panel: &PanelFilm, words: &str) -> bool {
    panel.findings.iter().any(|f| f.contains(words))
}

const DEMO: [f64; 10] = [
    112.0, 115.0, 118.0, 117.0, 116.0, 114.0, 119.0, 113.0, 310.0, 116.0,
];

// Source: mean of the nine by hand, 1040/9; median, 1.4826·MAD by hand.
#[test]
fn a_310_among_116_is_a_finding_and_leaves_the_mean() {
    let panel = one(&DEMO);
    assert_eq!(panel.count, 10);
    near(panel.mean_um, 1040.0 / 9.0, 1e-9);
    near(panel.median_um, 116.0, 0.0);
    near(panel.robust_sd_um, 2.9652, 5e-5);
    assert_eq!(panel.outliers_um, [310.0]);
    let finding = "310 µm among 116: filler or repaint suspected; left out of the mean";
    assert_eq!(panel.findings, [finding]);
    assert!(!panel.is_suspected_repaint);
}

// Source: Rosner 1983, data as in NIST e-Handbook 1.3.5.17.3: three odd values.
// Moved to 100 + 10·x so that they are films; the test does not mind.
#[test]
fn rosners_data_lose_their_three_odd_values() {
    let rosner = [
        -0.25, 0.68, 0.94, 1.15, 1.20, 1.26, 1.26, 1.34, 1.38, 1.43, 1.49, 1.49, 1.55, 1.56, 1.58,
        1.65, 1.69, 1.70, 1.76, 1.77, 1.81, 1.91, 1.94, 1.96, 1.99, 2.06, 2.09, 2.10, 2.14, 2.15,
        2.23, 2.24, 2.26, 2.35, 2.37, 2.40, 2.47, 2.54, 2.62, 2.64, 2.90, 2.92, 2.92, 2.93, 3.21,
        3.26, 3.30, 3.59, 3.68, 4.30, 4.64, 5.34, 5.42, 6.01,
    ];
    let panel = one(&rosner.map(|x| 100.0 + 10.0 * x));
    let odd: Vec<f64> = panel
        .outliers_um
        .iter()
        .map(|x| (x * 10.0).round() / 10.0)
        .collect();
    assert_eq!(odd, [160.1, 154.2, 153.4]);
}

// Source: exact one-sided factor 2.9110 at n 10 (independent program), 115 − k·4 = 103.356.
#[test]
fn the_thinnest_plausible_place_is_the_tolerance_bound() {
    let pattern: [f64; 10] = [-1.0, 1.0, -1.0, 1.0, -1.0, 1.0, -1.0, 1.0, -1.0, 1.0];
    // Ten values ±d have s = d·√(10/9); s = 4 asks for d = 4·√0.9.
    let panel = one(&pattern.map(|sign| 115.0 + sign * 4.0 * 0.9_f64.sqrt()));
    near(panel.sd_um, 4.0, 1e-9);
    near(panel.thin_um, 103.356, 5e-4);
    near(thinnest::factor(100), 1.9265, 5e-5);
}

// Source: the factor falls with the number of spots towards the normal quantile 1.644854.
#[test]
fn the_factor_keeps_falling_where_the_approximation_takes_over() {
    let counts = [2, 3, 10, 99, 100, 101, 102, 1000, 50_000];
    let factors = counts.map(|n| thinnest::factor(n).expect("a factor is stated"));
    assert!(
        factors.windows(2).all(|pair| pair[1] < pair[0]),
        "{factors:?}"
    );
    assert!(factors.iter().all(|k| *k > 1.644_853));
    assert_eq!(thinnest::factor(1), None);
}

#[test]
fn the_bound_is_never_above_the_lowest_spot_even_an_odd_one() {
    let mut films: Vec<f64> = (0..12).map(|i| 115.0 + f64::from(i % 2)).collect();
    films.push(70.0);
    let panel = one(&films);
    assert_eq!(panel.outliers_um, [70.0]);
    near(panel.thin_um, 70.0, 0.0);
    assert!(has(&panel, "70 µm among 115: thin spot"));
    assert!(has(&panel, "the lowest spot, 70 µm, is under 80 µm: thin"));
}

#[test]
fn few_readings_are_never_taken_for_an_even_panel() {
    let panel = one(&[110.0]);
    assert_eq!((panel.sd_um, panel.robust_sd_um), (None, None));
    near(panel.mean_um, 110.0, 0.0);
    let lone = panel.thin_um.expect("a bound");
    let named = |count: usize| {
        let spots: Vec<Reading> = (0..count)
            .map(|i| at("bonnet", 110.0, Place::Field, Some(&format!("b{i}"))))
            .collect();
        seen(spots).panels.remove(0).thin_um.expect("a bound")
    };
    let (pair, many) = (named(2), named(12));
    assert!(lone < pair && pair < many && many == 110.0, "{lone} {pair}");
    // Two readings alone would have k = 26.26 and a bound of nothing.
    let apart = one(&[100.0, 120.0]).thin_um.expect("a bound");
    assert!((60.0..100.0).contains(&apart), "{apart}");
}

// One reading and its unlabelled copies say nearly the same of the film beside
// it; of two, √17 : 1 believes that they are one place, so a fifth is left for two.
#[test]
fn equal_readings_without_a_place_allow_no_more_than_one_of_them() {
    let bound = |count: usize| one(&vec![118.0; count]).thin_um.expect("a bound");
    for count in [2, 3, 9, 10, 40] {
        let more_um = bound(count) - bound(1);
        assert!((0.0..1.0).contains(&more_um), "{count}: {more_um}");
    }
    let car = seen(field("bonnet", &[118.0; 9]));
    assert_eq!(car.panels[0].one_place, 9);
    let said = car.cautions.iter().filter(|c| c.text.contains("one place"));
    assert_eq!(said.count(), 1, "{:?}", car.cautions);
}

// Ten unlabelled readings that spread like a panel are places, and count so.
#[test]
fn readings_without_a_place_that_spread_like_a_panel_count_as_places() {
    let films: Vec<f64> = [-4.0, 4.0].repeat(5).iter().map(|d| 115.0 + d).collect();
    let car = seen(field("bonnet", &films));
    assert_eq!(car.panels[0].one_place, 0);
    assert!(car.cautions.iter().all(|c| !c.text.contains("one place")));
    // By hand: σ 1, s² 16/… the logarithm of the odds at n 10 and s² = 160/9:
    // −4.5·(ln 1 + 17.778) + 4.5·(ln 17 + 17.778/17) = −62.54.
    let odds = thinnest::one_place_frac(10, (160.0_f64 / 9.0).sqrt(), 1.0);
    assert!((odds.ln() + 62.544).abs() < 2e-3, "{}", odds.ln());
}

#[test]
fn the_factor_of_a_borrowed_spread_is_the_printed_one_when_it_is_not_borrowed() {
    // NIST handbook 7.2.6.3 and the exact tables: n 10, 2.911 at 9 degrees.
    near(thinnest::factor_of(10, 9), 2.911, 5e-4);
    assert_eq!(thinnest::factor_of(0, 5), None);
}

// Source: nested example, five spots read three times (independent program).
#[test]
fn repeats_are_averaged_and_pooled_into_the_repeatability() {
    let spots = [
        [112.0, 113.0, 112.0],
        [118.0, 117.0, 119.0],
        [109.0, 110.0, 110.0],
        [121.0, 120.0, 122.0],
        [115.0, 116.0, 115.0],
    ];
    let names = ["a", "b", "c", "d", "e"];
    let readings = spots.iter().zip(names).flat_map(|(films, name)| {
        films
            .iter()
            .map(move |um| at("roof", *um, Place::Field, Some(name)))
    });
    let car = seen(readings.collect());
    let panel = &car.panels[0];
    assert_eq!(panel.count, 15);
    near(panel.mean_um, 115.2667, 5e-5);
    near(panel.sd_um, 4.480_823, 5e-7);
    near(panel.repeatability_um, 0.774_597, 5e-7);
    near(Some(car.gauge_repeatability_um), 0.774_597, 5e-7);
    assert_eq!(car.gauge_provenance, Provenance::Measured);
}

#[test]
fn repeats_may_share_a_position_instead_of_a_name() {
    let here = |um: f64, u: f64, repeat: Option<u32>| Reading {
        u_mm: Some(u),
        v_mm: Some(50.0),
        repeat,
        ..at("roof", um, Place::Field, None)
    };
    for numbers in [[Some(1), Some(2)], [None, None]] {
        let car = seen(vec![
            here(110.0, 1.0, numbers[0]),
            here(112.0, 1.0, numbers[1]),
            here(120.0, 2.0, numbers[0]),
        ]);
        near(car.panels[0].mean_um, 115.5, 1e-12);
        near(car.panels[0].repeatability_um, 2.0_f64.sqrt(), 1e-12);
    }
}

#[test]
fn a_reading_that_does_not_repeat_leaves_its_spot() {
    let spot = |um: f64| at("roof", um, Place::Field, Some("a"));
    let car = seen(vec![spot(112.0), spot(310.0), spot(113.0)]);
    let panel = &car.panels[0];
    near(panel.mean_um, 112.5, 1e-12);
    assert_eq!(panel.outliers_um, [310.0]);
    assert!(has(panel, "310 µm did not repeat"));
}

#[test]
fn without_repeats_the_gauge_is_assumed_and_equal_repeats_prove_little() {
    let car = seen(field("roof", &[110.0, 111.0]));
    assert_eq!(
        (car.gauge_repeatability_um, car.gauge_provenance),
        (1.0, Provenance::Assumed)
    );
    assert!(
        car.cautions
            .iter()
            .any(|c| c.text.contains("no spot was read twice"))
    );
    let car = seen(vec![at("roof", 110.0, Place::Field, Some("a")); 3]);
    // Two degrees of freedom of 1/√12 µm, the display's step, and eight of 1 µm.
    assert_eq!(car.gauge_provenance, Provenance::Calibrated);
    near(
        Some(car.gauge_repeatability_um),
        ((2.0 / 12.0 + 8.0) / 10.0_f64).sqrt(),
        1e-12,
    );
}

#[test]
fn edges_creases_and_hidden_places_stay_out_of_the_mean() {
    let mut readings = field("bonnet", &[115.0; 5]);
    readings.push(at("bonnet", 105.0, Place::Edge, None));
    readings.push(at("bonnet", 99.9, Place::Crease, None));
    readings.push(at("bonnet", 90.0, Place::Hidden, None));
    readings.push(at("bonnet", 0.0, Place::Zero, None));
    let car = seen(readings);
    let panel = &car.panels[0];
    near(panel.mean_um, 115.0, 0.0);
    assert_eq!(
        (panel.edge_um, panel.hidden_um, panel.count),
        (Some(99.9), Some(90.0), 8)
    );
    assert!(has(
        panel,
        "thin edge: 100 µm at an edge or crease, 15.1 µm under"
    ));
    let only_edges = seen(vec![at("bonnet", 100.0, Place::Edge, None)]);
    assert_eq!(only_edges.panels[0].mean_um, None);
}

#[test]
fn every_band_is_judged_on_both_sides_of_its_limit() {
    let words = [
        (79.0, 80.0, "under 80 µm: thin"),
        (59.0, 60.0, "under 60 µm: critically thin"),
        (181.0, 180.0, "over 180 µm: repaint suspected"),
        (501.0, 500.0, "over 500 µm: filler probable"),
    ];
    for (inside, outside, sentence) in words {
        assert!(has(&one(&[inside; 5]), sentence), "{sentence}");
        assert!(!has(&one(&[outside; 5]), sentence), "{sentence}");
    }
    assert!(one(&[181.0; 5]).is_suspected_repaint);
    // sd of ±d on four values is d·√(4/3): 12 µm at d = 10.39.
    assert!(has(
        &one(&[100.0, 121.0, 100.0, 121.0]),
        "spreads by 12.1 µm"
    ));
    assert!(!has(&one(&[100.0, 120.0, 100.0, 120.0]), "spreads"));
    let cautions = seen(field("bonnet", &[59.0; 5])).cautions;
    assert!(
        cautions
            .iter()
            .any(|c| c.place == "Bonnet" && c.text.contains("critically thin"))
    );
}

#[test]
fn a_panel_far_over_the_others_is_a_suspected_repaint_and_one_far_under_is_pointed_out() {
    let car = |bonnet: f64| {
        let mut readings = field("bonnet", &[bonnet; 5]);
        for (panel, um) in [("roof", 118.0), ("boot-lid", 115.0), ("sill-left", 120.0)] {
            readings.extend(field(panel, &[um; 5]));
        }
        seen(readings)
    };
    let high = car(160.0);
    assert!(high.panels[0].is_suspected_repaint);
    assert!(has(
        &high.panels[0],
        "160 µm, is 42 µm over that of the other panels: repaint"
    ));
    assert!(high.panels[1..].iter().all(|p| !p.is_suspected_repaint));
    let low = car(82.0);
    assert!(has(
        &low.panels[0],
        "36 µm under that of the other panels: worked down before"
    ));
    assert!(!low.panels[0].is_suspected_repaint);
    assert!(!car(148.0).panels[0].is_suspected_repaint);
}

#[test]
fn panels_keep_the_order_in_which_they_were_read() {
    let mut readings = field("roof", &[110.0]);
    readings.extend(field("bonnet", &[110.0]));
    readings.extend(field("roof", &[112.0]));
    let car = seen(readings);
    let names: Vec<&str> = car.panels.iter().map(|p| p.name.as_str()).collect();
    assert_eq!(names, ["roof", "bonnet"]);
}

#[test]
fn nonsense_filled_in_by_hand_never_comes_out() {
    let mut readings = field(
        "roof",
        &[f64::NAN, f64::INFINITY, -5.0, 1e308, 110.0, 111.0],
    );
    readings.extend(field("bonnet", &[f64::NAN]));
    let car = seen(readings);
    assert_eq!(car.panels.len(), 1);
    near(car.panels[0].mean_um, 110.5, 1e-12);
    assert_eq!(
        car.cautions
            .iter()
            .filter(|c| c.text.contains("was left out"))
            .count(),
        5
    );
    assert_eq!(seen(Vec::new()).panels, []);
}

#[test]
fn fifty_thousand_readings_on_one_panel_and_on_thousands_are_inspected() {
    let film = |i: u32| 100.0 + f64::from(i * 7919 % 2000) / 100.0;
    let mut all: Vec<f64> = (0..50_000).map(film).collect();
    all[77] = 410.0;
    let panel = one(&all);
    assert_eq!((panel.count, panel.outliers_um), (50_000, vec![410.0]));
    let spread = (0..50_000_u32).map(|i| at(&format!("p-{}", i / 16), film(i), Place::Field, None));
    assert_eq!(seen(spread.collect()).panels.len(), 3125);
}

#[test]
fn a_table_goes_from_text_to_findings() {
    let rows: String = DEMO.iter().map(|um| format!("hood,{um}\n")).collect();
    let text = format!("panel,thickness_um\n{rows}");
    let read = readings::read("r.csv", text.as_bytes(), None).expect("sound");
    let car = inspect(&read);
    assert_eq!(
        (car.panels[0].name.as_str(), car.panels[0].outliers_um.len()),
        ("bonnet", 1)
    );
}
