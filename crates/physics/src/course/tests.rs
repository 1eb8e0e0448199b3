//! Tests of the touch along a path: edges, creases, feed, abrasive.

use super::*;
use crate::abrasive::Abrasive;
use crate::contact::Lean;
use crate::contact::tests::by_rows;
use crate::removal::{MapGrid, map_course};
use crate::stroke::{Along, Coverage, Margin, Waypoint};
use lapwing_measure::quantity::{Angle, AngularVelocity, Energy, Force, Time, Velocity};
use uom::si::angle::degree;
use uom::si::angular_velocity::revolution_per_minute;
use uom::si::energy::joule;
use uom::si::force::newton;
use uom::si::length::millimeter;
use uom::si::time::second;
use uom::si::velocity::millimeter_per_second;

pub(super) fn mm(value: f64) -> Length {
    Length::new::<millimeter>(value)
}

fn tool(lean: Lean) -> Tool {
    Tool {
        pad: Pad::of_medium_foam(mm(62.5)),
        touch: Touch {
            force: Force::new::<newton>(40.0),
            lean,
            direction: Angle::new::<degree>(0.0),
        },
        motion: Motion::Rotary {
            spin: AngularVelocity::new::<revolution_per_minute>(1500.0),
        },
        leans_with_travel: false,
    }
}

fn section() -> Section {
    Section {
        width: mm(400.0),
        height: mm(300.0),
    }
}

fn path(points_mm: &[(f64, f64)]) -> Stroke {
    let points: Vec<Waypoint> = points_mm
        .iter()
        .enumerate()
        .map(|(index, (x, y))| Waypoint {
            x: mm(*x),
            y: mm(*y),
            at: Time::new::<second>(4.0 * index as f64),
        })
        .collect();
    Stroke::through(section(), &points).expect("a path")
}

fn right_is_free() -> Ground {
    Ground {
        free_sides: vec![Side::Right],
        ..Ground::default()
    }
}

fn crest() -> Ground {
    Ground {
        body_lines: vec![BodyLine {
            along: Along::Y,
            at: mm(200.0),
            radius: mm(5.0),
            fold: Angle::new::<degree>(12.0),
        }],
        ..Ground::default()
    }
}

fn over(ground: &Ground, lean: Lean, points_mm: &[(f64, f64)]) -> Course {
    Course::over(ground, tool(lean), &path(points_mm)).expect("a course")
}

#[test]
fn on_a_plain_panel_there_is_one_contact_and_one_touch_for_each_way() {
    let course = over(
        &Ground::default(),
        Lean::Level,
        &[(100.0, 100.0), (300.0, 100.0), (100.0, 100.0)],
    );
    assert_eq!(
        (
            course.contacts.len(),
            course.touchdowns.len(),
            course.pieces.len()
        ),
        (1, 2, 2)
    );
    assert!((course.touchdowns[0].feed_m_s.0 - 0.05).abs() < 1e-9);
    assert!((course.touchdowns[1].feed_m_s.0 + 0.05).abs() < 1e-9);
    assert_eq!(course.beside_s, 0.0);
}

#[test]
fn a_lean_that_goes_with_the_travel_turns_with_it() {
    // Leaned to the left of the way: up on the way to the right, down on the
    // way back, so that both ways press the same strip of two lines.
    let mut tool = tool(Lean::Eccentricity(0.25));
    tool.touch.direction = Angle::new::<degree>(90.0);
    tool.leans_with_travel = true;
    let way = path(&[(100.0, 100.0), (300.0, 100.0), (100.0, 100.0)]);
    let course = Course::over(&Ground::default(), tool, &way).expect("a course");
    assert_eq!(course.contacts.len(), 2);
    let above = |index: usize| course.contacts[index].contact.pressure_pa(0.0, 0.05);
    let mean_pa = course.contacts[0].contact.mean_pa;
    // p̄·(1 ± 4·e·y/R) = p̄·(1 ± 0.8) by hand.
    assert!((above(0) / mean_pa - 1.8).abs() < 1e-9);
    assert!((above(1) / mean_pa - 0.2).abs() < 1e-9);
    tool.leans_with_travel = false;
    let fixed = Course::over(&Ground::default(), tool, &way).expect("a course");
    assert_eq!(fixed.contacts.len(), 1);
}

#[test]
fn half_over_the_edge_the_level_pad_presses_twice_as_hard() {
    let course = over(
        &right_is_free(),
        Lean::Level,
        &[(400.0, 100.0), (400.0, 200.0)],
    );
    let hardest = course.hardest().expect("it touches");
    assert!((hardest.contact.max_pa / hardest.contact.mean_pa - 2.0).abs() < 1e-6);
    assert!((hardest.contact.contact_frac - 0.5).abs() < 1e-6);
    // The heat and the removal get the whole force, on half the face.
    assert!((hardest.contact.pressure.integral() - 40.0).abs() < 1e-9);
}

#[test]
fn every_touch_along_a_path_over_edge_and_corner_carries_the_force() {
    let ground = Ground {
        free_sides: vec![Side::Right, Side::Far],
        ..Ground::default()
    };
    let course = over(&ground, Lean::Level, &[(200.0, 150.0), (400.0, 300.0)]);
    assert!(course.contacts.len() > 10);
    for placed in &course.contacts {
        // By rows of its own, cut at both edges.
        let edges = (0.4 - placed.at_m.0, 0.3 - placed.at_m.1);
        let [force_n, ..] = by_rows(&placed.contact, edges);
        assert!(
            (force_n / 40.0 - 1.0).abs() < 1e-6,
            "{:?}: {force_n}",
            placed.at_m
        );
    }
}

#[test]
fn beside_the_crest_the_pad_lies_as_flat_as_anywhere_and_rides_it_harder() {
    let course = over(&crest(), Lean::Level, &[(60.0, 150.0), (340.0, 150.0)]);
    let mean_pa = course.contacts[0].contact.mean_pa;
    let max_over_mean: Vec<f64> = course
        .contacts
        .iter()
        .map(|p| p.contact.max_pa / mean_pa)
        .collect();
    assert!((max_over_mean[0] - 1.0).abs() < 1e-9);
    // It grows steadily as the crest comes under the pad, and falls alike behind it.
    assert!(max_over_mean[1] < 1.3, "{max_over_mean:?}");
    let hardest = course.hardest().expect("it touches");
    assert!((hardest.at_m.0 - 0.2).abs() < 0.004 && hardest.contact.max_pa > 1.5 * mean_pa);
    assert!(hardest.contact.tilt_rad.abs() < 0.01);
}

#[test]
fn a_free_pad_finds_the_flank_by_itself() {
    // Balanced about its middle it lies on the flank as if it were the panel.
    let course = over(
        &crest(),
        Lean::Eccentricity(0.0),
        &[(100.0, 100.0), (137.0, 100.0)],
    );
    let plain = over(
        &Ground::default(),
        Lean::Level,
        &[(100.0, 100.0), (137.0, 100.0)],
    );
    let (a, b) = (&course.contacts[0].contact, &plain.contacts[0].contact);
    assert!((a.max_pa / b.max_pa - 1.0).abs() < 1e-6);
}

#[test]
fn the_mirrored_path_over_the_other_edge_presses_alike() {
    let left = Ground {
        free_sides: vec![Side::Left],
        ..Ground::default()
    };
    let here = over(
        &right_is_free(),
        Lean::Level,
        &[(300.0, 150.0), (400.0, 150.0)],
    );
    let there = over(&left, Lean::Level, &[(100.0, 150.0), (0.0, 150.0)]);
    assert_eq!(here.contacts.len(), there.contacts.len());
    for (a, b) in here.contacts.iter().zip(&there.contacts) {
        assert!((a.contact.max_pa / b.contact.max_pa - 1.0).abs() < 1e-9);
    }
}

#[test]
fn a_free_pad_over_the_edge_tips_and_says_where() {
    let tipping = Course::over(
        &right_is_free(),
        tool(Lean::Eccentricity(0.0)),
        &path(&[(300.0, 150.0), (420.0, 150.0)]),
    );
    let sentence = tipping.err().map(|e| e.to_string()).unwrap_or_default();
    assert!(
        sentence.contains("tips over") && sentence.contains("y = 150 mm"),
        "{sentence}"
    );
}

#[test]
fn a_path_beside_the_panel_never_touches_and_a_sliver_counts_as_beside() {
    let beside = Course::over(
        &right_is_free(),
        tool(Lean::Level),
        &path(&[(470.0, 100.0), (480.0, 200.0)]),
    );
    assert_eq!(beside.err(), Some(PhysicsError::NeverTouches));
    let course = over(
        &right_is_free(),
        Lean::Level,
        &[(300.0, 150.0), (500.0, 150.0)],
    );
    // A twentieth of the face is left when the centre is about 0.8 R beyond: 50 mm.
    assert!(
        (course.beside_s / 4.0 - 0.25).abs() < 0.03,
        "{}",
        course.beside_s
    );
    assert!(
        course
            .hardest()
            .expect("it touches")
            .contact
            .max_pa
            .is_finite()
    );
}

fn covered(margin: Margin) -> Stroke {
    let coverage = Coverage {
        section: section(),
        pad_radius: mm(62.5),
        overlap_frac: 0.5,
        margin,
        arm_speed: Velocity::new::<millimeter_per_second>(25.4),
        passes: 2,
        shift_frac: 0.0,
        wait: Time::new::<second>(0.0),
    };
    Stroke::cross_hatch(&coverage).expect("a stroke")
}

#[test]
fn pieces_half_as_long_leave_the_same_film() {
    let ground = Ground {
        free_sides: vec![Side::Right, Side::Far],
        ..crest()
    };
    let stroke = covered(Margin::Inset(mm(20.0)));
    let grid = MapGrid {
        columns: 41,
        rows: 31,
    };
    let map = |per_radius: f64| {
        let course = Laying::new(&ground, tool(Lean::Level), &stroke)
            .cut(&stroke, per_radius)
            .expect("a course");
        map_course(&course, 4e-12, grid).expect("a map")
    };
    let (coarse, fine) = (map(PIECES_PER_RADIUS), map(2.0 * PIECES_PER_RADIUS));
    assert!((coarse.whole.mean_um / fine.whole.mean_um - 1.0).abs() < 2e-3);
    assert!((coarse.whole.max_um / fine.whole.max_um - 1.0).abs() < 0.01);
    // The crest stands out in what comes off: deeper along it than beside it.
    let middle = coarse.profile_along_x_um(mm(150.0));
    assert!(middle[20] > 1.2 * middle[15], "{middle:?}");
}

#[test]
fn the_tiring_abrasive_cuts_on_average_what_the_integral_says() {
    let course = over(
        &Ground::default(),
        Lean::Level,
        &[(100.0, 100.0), (300.0, 100.0)],
    );
    let work_j = course.total_work_j();
    // 40 N · 6.544985 m/s · 4 s by hand, plus what the feed adds.
    assert!((work_j / (40.0 * 6.544_985 * 4.0) - 1.0).abs() < 1e-4);
    // ab1: floor .3, work twice the fading work: mean .6026 of the fresh cut.
    let abrasive = Abrasive::Diminishing {
        fresh_per_pa: 4e-12,
        spent_per_pa: 1.2e-12,
        fading_work: Energy::new::<joule>(work_j / 2.0),
    };
    for (charges, expected) in [(1, 0.6026), (2, 0.7425)] {
        let tired = course.clone().tired(&abrasive, charges).expect("in range");
        let cut: f64 = tired
            .pieces
            .iter()
            .map(|p| tired.work_j(p) * p.cut_frac)
            .sum();
        assert!(
            (cut / work_j - expected).abs() < 5.1e-5,
            "{charges}: {}",
            cut / work_j
        );
        assert!((tired.total_work_j() / work_j - 1.0).abs() < 1e-12);
        let ends = (
            tired.pieces[0].from_m,
            tired.pieces[tired.pieces.len() - 1].to_m,
        );
        assert!((ends.0.0 - 0.1).abs() < 1e-12 && (ends.1.0 - 0.3).abs() < 1e-9);
    }
    assert!(course.clone().tired(&abrasive, 0).is_err());
}
