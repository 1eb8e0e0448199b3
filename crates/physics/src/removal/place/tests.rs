//! Depths at points against closed forms, and extremes that keep still.

use super::super::straight::{RotaryPass, stalled_orbital_depth};
use super::super::{MapGrid, extremes_inside, grain_of_course, map, map_course};
use super::*;
use crate::contact::{Lean, Pad, Touch};
use crate::course::{Ground, Tool};
use crate::footprint::Footprint;
use crate::motion::Motion;
use crate::stroke::{Along, Coverage, Margin, Section, Stroke};
use lapwing_measure::quantity::{Angle, AngularVelocity, Force, Time, Velocity};
use uom::si::angle::degree;
use uom::si::angular_velocity::revolution_per_minute;
use uom::si::force::newton;
use uom::si::length::{millimeter, nanometer};
use uom::si::time::second;
use uom::si::velocity::millimeter_per_second;

const K_PER_PA: f64 = 1e-12;

fn mm(value: f64) -> Length {
    Length::new::<millimeter>(value)
}

fn rpm(value: f64) -> AngularVelocity {
    AngularVelocity::new::<revolution_per_minute>(value)
}

fn rotary() -> Motion {
    Motion::Rotary { spin: rpm(1500.0) }
}

fn coverage(height_mm: f64, arm_mm_s: f64) -> Coverage {
    Coverage {
        section: Section {
            width: mm(600.0),
            height: mm(height_mm),
        },
        pad_radius: mm(62.5),
        overlap_frac: 0.5,
        margin: Margin::PadInside,
        arm_speed: Velocity::new::<millimeter_per_second>(arm_mm_s),
        passes: 1,
        shift_frac: 0.0,
        wait: Time::new::<second>(0.0),
    }
}

fn course(stroke: &Stroke, motion: Motion, (hole_mm, e): (f64, f64)) -> Course {
    let tool = Tool {
        pad: Pad {
            hole_radius: mm(hole_mm),
            ..Pad::of_medium_foam(mm(62.5))
        },
        touch: Touch {
            force: Force::new::<newton>(40.0),
            lean: if e == 0.0 {
                Lean::Level
            } else {
                Lean::Eccentricity(e)
            },
            direction: Angle::new::<degree>(90.0),
        },
        motion,
        leans_with_travel: false,
    };
    Course::over(&Ground::default(), tool, stroke).expect("a course")
}

fn line() -> Stroke {
    Stroke::line(&coverage(600.0, 25.4), Along::X).expect("a line")
}

/// A machine so fast and an arm so slow that the feed no longer shows:
/// V/(ωR) = 8e-6. The factor makes up for both.
fn without_feed() -> (Motion, f64) {
    let faster = 20_000.0 / 1500.0;
    (
        Motion::Rotary {
            spin: rpm(20_000.0),
        },
        1.0 / (faster * 25.4),
    )
}

fn pass(hole_mm: f64) -> RotaryPass {
    RotaryPass {
        cut_rate_per_pa: K_PER_PA,
        force: Force::new::<newton>(40.0),
        spin: rpm(1500.0),
        arm_speed: Velocity::new::<millimeter_per_second>(25.4),
        pad_radius: mm(62.5),
        hole_radius: mm(hole_mm),
    }
}

#[test]
fn the_exact_feed_shows_to_every_printed_digit() {
    // R4: y = ±R/2, 93.84729 and 94.38387 nm.
    let course = course(&line(), rotary(), (0.0, 0.0));
    let places = Places::of(&course, K_PER_PA).expect("in range");
    for (beside, expected) in [(31.25, 93.847_29), (-31.25, 94.383_87)] {
        let depth = places
            .depth(mm(300.0), mm(300.0 + beside))
            .get::<nanometer>();
        assert!((depth - expected).abs() < 5.1e-6, "{beside}: {depth}");
    }
}

#[test]
fn points_beside_a_line_meet_the_closed_form_with_and_without_a_hole() {
    for hole in [0.0, 15.625] {
        let course = course(&line(), rotary(), (hole, 0.0));
        let places = Places::of(&course, K_PER_PA).expect("in range");
        for beside in [-60.0, -20.0, 0.7, 8.0, 15.7, 31.0, 61.9] {
            let depth = places
                .depth(mm(300.0), mm(300.0 + beside))
                .get::<nanometer>();
            let law = pass(hole)
                .depth_beside_with_feed(mm(beside))
                .get::<nanometer>();
            assert!(
                (depth / law - 1.0).abs() < 1e-6,
                "{hole} {beside}: {depth} {law}"
            );
        }
    }
}

#[test]
fn a_stalled_orbital_meets_the_chord() {
    // The orbit carries the pad's chord aside by up to 0.5 mm and averages it.
    let motion = Motion::RandomOrbital {
        orbit_radius: mm(0.5),
        orbit: rpm(12_000.0),
        spin: rpm(0.0),
    };
    let course = course(&line(), motion, (0.0, 0.0));
    let places = Places::of(&course, K_PER_PA).expect("in range");
    let speeds = (
        Velocity::new::<millimeter_per_second>(0.5 * 12_000.0 * std::f64::consts::PI / 30.0),
        Velocity::new::<millimeter_per_second>(25.4),
    );
    let force = Force::new::<newton>(40.0);
    for beside in [0.0, 20.0, 40.0] {
        let law = stalled_orbital_depth((K_PER_PA, force), speeds, mm(62.5), mm(beside));
        let depth = places.depth(mm(300.0), mm(300.0 + beside));
        // Second order: (ρ/R)²/4 and, from the feed, (V/a)²/4 = 4e-4.
        assert!(
            (depth / law).value - 1.0 < 1e-3 && (depth / law).value > 0.999,
            "{beside}"
        );
    }
}

#[test]
fn least_and_most_of_overlapping_lines_do_not_move_with_the_grid() {
    // s = R exactly: least .4775 (3/2π) and most 1.141 of the mean (printed).
    let stroke = Stroke::parallel(&coverage(125.0 + 6.0 * 62.5, 1.0), Along::X).expect("lines");
    let (motion, factor) = without_feed();
    let course = course(&stroke, motion, (0.0, 0.0));
    let k = K_PER_PA * factor;
    let places = Places::of(&course, k).expect("in range");
    let mean_um = pass(0.0)
        .mean_depth(mm(62.5))
        .get::<uom::si::length::micrometer>();
    for (columns, rows) in [(61, 51), (120, 100), (241, 201)] {
        let map = map_course(&course, k, MapGrid { columns, rows }).expect("a map");
        let (least, most) = extremes_inside(&places, &map, 0.125).expect("an interior");
        assert!(
            (least / mean_um - 1.5 / std::f64::consts::PI).abs() < 1e-3,
            "{rows}: {}",
            least / mean_um
        );
        assert!(
            (most / mean_um - 1.141).abs() < 5.1e-4,
            "{rows}: {}",
            most / mean_um
        );
    }
}

#[test]
fn the_deepest_place_of_a_leaned_pass_meets_the_printed_digits() {
    // One pass, tilt sideways, k 5e-12: .472, .586, .772, 1.239, 2.714 µm.
    for (e, expected) in [
        (0.0, 0.472),
        (0.1, 0.586),
        (0.25, 0.772),
        (0.5, 1.239),
        (0.75, 2.714),
    ] {
        let stroke = Stroke::line(&coverage(600.0, 1.0), Along::X).expect("a line");
        let (motion, factor) = without_feed();
        let course = course(&stroke, motion, (0.0, e));
        let places = Places::of(&course, 5e-12 * factor).expect("in range");
        let grid = MapGrid {
            columns: 61,
            rows: 61,
        };
        let map = map_course(&course, 5e-12 * factor, grid).expect("a map");
        let (least, most) = extremes_inside(&places, &map, 0.0).expect("cells");
        assert!((most - expected).abs() < 5.1e-4, "{e}: {most}");
        assert_eq!(least, 0.0);
    }
}

#[test]
fn the_map_of_a_course_is_the_map_of_its_stroke() {
    let stroke = Stroke::cross_hatch(&coverage(500.0, 1.0)).expect("lines");
    let course = course(&stroke, rotary(), (0.0, 0.4));
    let grid = MapGrid {
        columns: 48,
        rows: 40,
    };
    let with_course = map_course(&course, K_PER_PA, grid).expect("a map");
    let footprint = Footprint::of(&course.contacts[0].contact, rotary()).expect("a footprint");
    let without = map(&footprint, &stroke, K_PER_PA, grid).expect("a map");
    for (a, b) in with_course.depth_um.iter().zip(&without.depth_um) {
        assert!((a - b).abs() < 2e-4 * without.whole.max_um);
    }
    // Volume: k·∫p·v dA dt, all on the section because the pad stays inside.
    let volume_m3 = with_course.whole.mean_um * 1e-6 * 0.3;
    assert!((volume_m3 / (K_PER_PA * course.total_work_j()) - 1.0).abs() < 1e-9);
}

#[test]
fn scratches_of_a_rotary_line_lie_across_its_middle_and_none_of_a_stalled_orbital() {
    let stroke = Stroke::line(&coverage(600.0, 1.0), Along::X).expect("a line");
    let (motion, _) = without_feed();
    let rotary_course = course(&stroke, motion, (0.0, 0.0));
    let grid = MapGrid {
        columns: 61,
        rows: 241,
    };
    let map = map_course(&rotary_course, K_PER_PA, grid).expect("a map");
    let grained = grain_of_course(&rotary_course, &map, 0.2).expect("a map");
    for row in [120, 128, 136] {
        // The closed form over the same cell, weighted by what comes off.
        let (mut taken, mut turned) = (0.0, 0.0);
        for part in 0..50 {
            let share = (f64::from(row) + (f64::from(part) + 0.5) / 50.0) / 241.0;
            let beside = mm(600.0 * share - 300.0);
            let depth = pass(0.0).depth_beside(beside).value;
            taken += depth;
            turned += depth * pass(0.0).grain_beside(beside);
        }
        let came = grained.strength_frac[row as usize * 61 + 30];
        assert!(
            (came - turned / taken).abs() < 2e-3,
            "{row}: {came} {}",
            turned / taken
        );
    }
    let stalled = Motion::RandomOrbital {
        orbit_radius: mm(4.0),
        orbit: rpm(4500.0),
        spin: rpm(0.0),
    };
    let orbital_course = course(&stroke, stalled, (0.0, 0.0));
    let map = map_course(&orbital_course, K_PER_PA, grid).expect("a map");
    let orbital = grain_of_course(&orbital_course, &map, 0.2).expect("a map");
    assert!(grained.mean_frac > 0.4, "{}", grained.mean_frac);
    assert!(orbital.mean_frac < 0.05, "{}", orbital.mean_frac);
}
