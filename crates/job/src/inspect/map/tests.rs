//! Panels drawn from a known field, limits, and bad input.

use lapwing_measure::quantity::Length;
use lapwing_measure::statistics::quantile;
use uom::si::length::millimeter;

use super::*;
use crate::inspect::inspect;
use crate::record::Reading;

const WIDE_MM: f64 = 1200.0;
const TALL_MM: f64 = 900.0;

/// Seeded chance: equal shares of 0 to 1.
struct Dice(u64);

impl Dice {
    fn share(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (f64::from(u32::try_from(self.0 >> 33).expect("31 bits")) + 0.5) / 2_147_483_648.0
    }

    fn normal(&mut self) -> f64 {
        quantile::normal(self.share()).expect("inside")
    }
}

/// A field with a Matérn 3/2 covariance as a sum of many waves: their numbers
/// are t distributed with three degrees of freedom.
struct Waves {
    waves: Vec<[f64; 3]>,
    sd_um: f64,
}

impl Waves {
    fn new(dice: &mut Dice, sd_um: f64, range_mm: f64) -> Self {
        let waves = (0..300).map(|_| {
            let square: f64 = (0..3).map(|_| dice.normal().powi(2)).sum::<f64>() / 3.0;
            let number = 1.0 / (range_mm * square.sqrt());
            let turn = dice.share() * std::f64::consts::TAU;
            [dice.normal() * number, dice.normal() * number, turn]
        });
        Self {
            waves: waves.collect(),
            sd_um,
        }
    }

    fn at(&self, [u, v]: [f64; 2]) -> f64 {
        let sum: f64 = self
            .waves
            .iter()
            .map(|[a, b, turn]| (a * u + b * v + turn).cos())
            .sum();
        115.0 + self.sd_um * (2.0 / 300.0_f64).sqrt() * sum
    }

    fn lowest(&self) -> f64 {
        let places = (0..40 * 30).map(|k| {
            [
                (f64::from(k % 40) + 0.5) * 29.0 + 20.0,
                (f64::from(k / 40) + 0.5) * 28.6 + 20.0,
            ]
        });
        places.map(|at| self.at(at)).fold(f64::INFINITY, f64::min)
    }
}

fn reading(at: Option<[f64; 2]>, film_um: f64, place: Place, line: usize) -> Reading {
    Reading {
        panel: "lid".to_owned(),
        film_um,
        u_mm: at.map(|a| a[0]),
        v_mm: at.map(|a| a[1]),
        spot: None,
        repeat: None,
        operator: None,
        place,
        line,
    }
}

fn measured() -> Vec<(String, Size)> {
    let size = Size::Measured(
        Length::new::<millimeter>(WIDE_MM),
        Length::new::<millimeter>(TALL_MM),
    );
    vec![("lid".to_owned(), size)]
}

fn drawn(readings: Vec<Reading>) -> (CarFilm, PanelMap) {
    let readings = Readings {
        readings,
        ..Readings::default()
    };
    let mut film = inspect(&readings);
    let mut maps = film_maps(&readings, &mut film, &measured(), 0.95);
    (film, maps.remove(0))
}

fn map_of(readings: Vec<Reading>) -> FilmMap {
    match drawn(readings).1 {
        PanelMap::Drawn(map) => *map,
        PanelMap::Level { reason, .. } => panic!("{reason:?}"),
    }
}

fn level_of(readings: Vec<Reading>) -> String {
    match drawn(readings).1 {
        PanelMap::Drawn(_) => panic!("a map"),
        PanelMap::Level { reason, .. } => reason.english(),
    }
}

/// Readings of a field at random places, gauge error 1 µm.
fn read_at_random(field: &Waves, dice: &mut Dice, count: usize) -> Vec<Reading> {
    (0..count)
        .map(|k| {
            let at = [40.0 + dice.share() * 1120.0, 40.0 + dice.share() * 820.0];
            let film_um = (field.at(at) + dice.normal()).clamp(20.0, 3000.0);
            reading(Some(at), film_um, Place::Field, k + 2)
        })
        .collect()
}

#[test]
fn the_bound_covers_the_thinnest_place_as_often_as_it_says() {
    let mut dice = Dice(20_260_717);
    let mut covered = 0;
    for count in [5, 9, 20, 50] {
        for _ in 0..40 {
            let sd_um = 4.0 * (0.4 * dice.normal()).exp();
            let range_mm = 480.0 * (0.4 * dice.normal()).exp();
            let field = Waves::new(&mut dice, sd_um, range_mm);
            let map = map_of(read_at_random(&field, &mut dice, count));
            covered += usize::from(field.lowest() >= map.lower_um);
        }
    }
    // 95 % of 160 panels are 152; chance takes off 6 at two standard deviations.
    assert!(covered >= 146, "{covered} of 160");
}

#[test]
fn the_map_says_what_was_read_where_it_was_read() {
    let mut dice = Dice(21);
    let field = Waves::new(&mut dice, 4.0, 450.0);
    let read = read_at_random(&field, &mut dice, 40);
    let map = map_of(read.clone());
    assert_eq!((map.grid.columns, map.grid.rows), (240, 180));
    assert_eq!(map.mean_um().len(), map.grid.cells());
    let at = |r: &Reading| {
        let cell = |mm: Option<f64>| whole(mm.expect("placed") / 5.0);
        cell(r.v_mm) * 240 + cell(r.u_mm)
    };
    let mut off = 0.0;
    for r in &read {
        let mean = map.face_um[at(r)];
        off += (mean - r.film_um).powi(2) / 40.0;
        assert!(map.face_sd_um[at(r)] < 1.6);
    }
    assert!(off.sqrt() < 1.2, "{off}");
    assert!(
        (0.5..=1.6).contains(&map.facts.left_out_score),
        "{:?}",
        map.facts
    );
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a cell of a small grid"
)]
fn whole(cells: f64) -> usize {
    cells.floor() as usize
}

fn five() -> Vec<Reading> {
    let places = [
        [200.0, 200.0],
        [1000.0, 220.0],
        [600.0, 450.0],
        [220.0, 700.0],
        [980.0, 690.0],
    ];
    let films = [114.0, 117.0, 116.0, 112.0, 115.0];
    let pairs = places.into_iter().zip(films);
    pairs
        .enumerate()
        .map(|(k, (at, um))| reading(Some(at), um, Place::Field, k + 2))
        .collect()
}

#[test]
fn the_budget_is_handed_the_maps_bound() {
    let (film, map) = drawn(five());
    let lower_um = map.drawn().expect("a map").lower_um;
    assert_eq!(film.panels[0].map_lower_um, Some(lower_um));
    assert!(lower_um <= 112.0 && lower_um > 95.0, "{lower_um}");
}

#[test]
fn the_order_of_the_readings_and_a_repeat_do_not_matter() {
    let straight = map_of(five());
    let turned = map_of(five().into_iter().rev().collect());
    assert_eq!(straight.mean_um(), turned.mean_um());
    assert!((straight.lower_um - turned.lower_um).abs() < 1e-12);
    let mut twice = five();
    twice.push(reading(Some([600.0, 450.0]), 118.0, Place::Field, 9));
    let doubled = map_of(twice);
    assert_eq!(doubled.readings.len(), 5);
    let middle = doubled
        .readings
        .iter()
        .find(|r| r.u_mm == 600.0)
        .expect("the middle");
    assert!((middle.film_um - 117.0).abs() < 1e-12);
}

#[test]
fn edges_carry_less_film_and_say_on_whose_word() {
    let bare = map_of(five());
    assert_eq!(
        (bare.edge.spots, bare.edge.provenance.word()),
        (0, "assumed")
    );
    let cell = 90 * 240;
    let mean_um = bare.mean_um();
    let strip = mean_um[cell].zip(mean_um[cell + 4]).expect("on the panel");
    assert!((strip.1 - strip.0 - 5.0).abs() < 0.2, "{strip:?}");
    let mut with_edge = five();
    with_edge.push(reading(Some([10.0, 450.0]), 100.0, Place::Edge, 9));
    with_edge.push(reading(None, 60.0, Place::Hidden, 10));
    let read = map_of(with_edge);
    assert_eq!(
        (read.edge.spots, read.edge.provenance.word()),
        (1, "calibrated")
    );
    assert!(read.edge.drop_um > 8.0 && read.edge.sd_um < 4.0);
    assert_eq!(read.readings.len(), 5);
}

#[test]
fn a_crease_is_thinner_where_it_was_read_and_nowhere_else() {
    let mut creased = five();
    creased.push(reading(Some([300.0, 500.0]), 104.0, Place::Crease, 9));
    creased.push(reading(Some([900.0, 500.0]), 103.0, Place::Crease, 10));
    let map = map_of(creased);
    assert_eq!(map.crease.spots, 2);
    let mean_um = map.mean_um();
    let at = |u: usize, v: usize| v / 5 * 240 + u / 5;
    let drop = |cell: usize| map.face_um[cell] - mean_um[cell].expect("on the panel");
    assert!((drop(at(600, 500)) - map.crease.drop_um).abs() < 1e-9);
    assert!(drop(at(600, 540)).abs() < 1e-9 && drop(at(200, 500)).abs() < 1e-9);
    let sd_um = map.sd_um()[at(600, 500)].expect("on the panel");
    assert!(sd_um >= map.crease.sd_um);
}

#[test]
fn a_bonnets_corner_cells_are_off_the_map() {
    let named = |r: Reading| Reading {
        panel: "bonnet".to_owned(),
        ..r
    };
    let readings = Readings {
        readings: five().into_iter().map(named).collect(),
        ..Readings::default()
    };
    let mut film = inspect(&readings);
    let size = measured().remove(0).1;
    let maps = film_maps(&readings, &mut film, &[("bonnet".to_owned(), size)], 0.95);
    let map = maps[0].drawn().expect("a map");
    assert_eq!(map.outline.shape, OutlineShape::Usual);
    let mean_um = map.mean_um();
    assert!(mean_um[0].is_none() && mean_um.iter().flatten().count() > mean_um.len() / 2);
}

#[test]
fn a_place_off_the_panel_is_named_with_its_line_and_left_off_the_map() {
    let mut readings = five();
    readings.push(reading(Some([1500.0, 200.0]), 90.0, Place::Field, 17));
    let (film, map) = drawn(readings);
    let found = film
        .cautions
        .iter()
        .find(|c| c.place == "line 17")
        .expect("a caution");
    assert!(found.text.contains("u 1500 mm, v 200 mm") && found.text.contains("1200 by 900"));
    let map = map.drawn().expect("a map");
    assert_eq!(map.readings.len(), 5);
    assert!(map.lower_um <= 90.0, "a low reading still bounds the panel");
}

#[test]
fn an_odd_spot_is_a_finding_and_not_film() {
    let mut readings = five();
    readings.push(reading(Some([700.0, 300.0]), 310.0, Place::Field, 9));
    let map = map_of(readings);
    assert_eq!(map.readings.len(), 5);
    let odd: Vec<f64> = map.left_out.iter().map(|r| r.film_um).collect();
    assert_eq!(odd, [310.0]);
    assert!((map.left_out[0].u_mm - 700.0).abs() < 1e-9);
}

#[test]
fn a_slipped_digit_in_a_position_is_said_where_nobody_measured_the_panel() {
    let mut readings = five();
    readings.push(reading(Some([9000.0, 200.0]), 115.0, Place::Field, 17));
    let readings = Readings {
        readings,
        ..Readings::default()
    };
    let mut film = inspect(&readings);
    let _ = film_maps(&readings, &mut film, &[], 0.95);
    assert!(
        film.cautions
            .iter()
            .any(|c| c.text.contains("Check u and v")),
        "{:?}",
        film.cautions
    );
    let (near, _) = drawn(five());
    assert!(
        !near
            .cautions
            .iter()
            .any(|c| c.text.contains("Check u and v"))
    );
}

#[test]
fn without_places_the_panel_is_one_level_and_says_so() {
    let bare = |r: Reading| reading(None, r.film_um, Place::Field, r.line);
    assert!(level_of(five().into_iter().map(bare).collect()).contains("u_mm and v_mm"));
    let same = |r: Reading| reading(Some([300.0, 300.0]), r.film_um, Place::Field, r.line);
    assert!(level_of(five().into_iter().map(same).collect()).contains("at one place"));
    assert!(level_of(five().into_iter().take(1).collect()).contains("Fewer than three"));
    let (film, _) = drawn(five().into_iter().take(1).collect());
    assert_eq!(film.panels[0].map_lower_um, None);
}

#[test]
fn equal_readings_and_wild_ones_make_no_nonsense() {
    let equal = |r: Reading| Reading {
        film_um: 118.0,
        ..r
    };
    let calm = map_of(five().into_iter().map(equal).collect());
    assert!(
        calm.lower_um > 105.0 && calm.lower_um <= 118.0,
        "{}",
        calm.lower_um
    );
    let wild = |r: Reading| Reading {
        film_um: if r.line.is_multiple_of(2) {
            20.0
        } else {
            3000.0
        },
        ..r
    };
    for map in [calm, map_of(five().into_iter().map(wild).collect())] {
        assert!(
            map.mean_um()
                .iter()
                .chain(&map.sd_um())
                .flatten()
                .all(|x| x.is_finite())
        );
        assert!(map.lower_um.is_finite() && map.lower_um >= 0.0);
    }
}

#[test]
fn very_many_places_are_worked_out_from_their_neighbours_as_from_all() {
    let mut dice = Dice(31);
    let field = Waves::new(&mut dice, 4.0, 450.0);
    let read = read_at_random(&field, &mut dice, 700);
    let map = map_of(read);
    assert_eq!(map.facts.places, 700);
    let mut worst: f64 = 0.0;
    let mut square = 0.0;
    let mut cells = 0.0;
    for (cell, film) in map.face_um.iter().enumerate() {
        let at = map.grid.middle_mm(cell);
        if map.outline.inside_by_mm(at) >= EDGE_MM {
            let score = (film - field.at(at)) / map.face_sd_um[cell];
            worst = worst.max(score.abs());
            square += score * score;
            cells += 1.0;
        }
    }
    let score = (square / cells).sqrt();
    assert!(
        (0.7..=1.3).contains(&score) && worst < 6.0,
        "{score} {worst}"
    );
    assert!(map.lower_um <= field.lowest() + 0.5);
}

/// Root mean square of what the map is off a known field, µm, and of the same
/// step from a cell to its neighbour.
fn off_um(count: usize) -> (f64, f64) {
    let truth = |[u, v]: [f64; 2]| 118.0 + 4.0 * (u / 300.0).sin() + 3.0 * (v / 250.0).cos();
    let mut dice = Dice(77);
    let readings = (0..count)
        .map(|line| {
            let at = [
                20.0 + dice.share() * (WIDE_MM - 40.0),
                20.0 + dice.share() * (TALL_MM - 40.0),
            ];
            reading(
                Some(at),
                truth(at) + 2.0 * dice.normal(),
                Place::Field,
                line,
            )
        })
        .collect();
    let map = map_of(readings);
    let (mut square, mut step, mut cells) = (0.0, 0.0, 0.0);
    for cell in (0..map.grid.cells()).filter(|c| map.inside_mm[*c] >= EDGE_MM) {
        let off = map.face_um[cell] - truth(map.grid.middle_mm(cell));
        square += off * off;
        cells += 1.0;
        if (cell + 1) % map.grid.columns > 0 && map.inside_mm[cell + 1] >= EDGE_MM {
            let next = map.face_um[cell + 1] - truth(map.grid.middle_mm(cell + 1));
            step = f64::max(step, (next - off).abs());
        }
    }
    ((square / cells).sqrt(), step)
}

// The error of a mean falls with the root of its readings; a field learnt from
// more of them must not get worse, and no seam may stand between two cells.
#[test]
fn more_readings_bring_the_map_nearer_to_the_truth_and_leave_no_seam() {
    let found = [200, 2_000, 20_000].map(off_um);
    let errors = found.map(|(rms, _)| rms);
    assert!(errors.windows(2).all(|w| w[1] < 0.8 * w[0]), "{errors:?}");
    assert!(found[1..].iter().all(|(_, step)| *step < 0.1), "{found:?}");
}
