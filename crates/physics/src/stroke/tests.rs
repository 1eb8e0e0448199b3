//! Tests of the path: the printed section, timing, nonsense.

use super::*;
use proptest::prelude::*;
use uom::si::length::millimeter;
use uom::si::velocity::millimeter_per_second;

fn mm(value: f64) -> Length {
    Length::new::<millimeter>(value)
}

fn two_foot(margin: Margin, overlap_frac: f64, arm_mm_s: f64, passes: u32) -> Coverage {
    Coverage {
        section: Section {
            width: mm(610.0),
            height: mm(610.0),
        },
        pad_radius: mm(62.5),
        overlap_frac,
        margin,
        arm_speed: Velocity::new::<millimeter_per_second>(arm_mm_s),
        passes,
        shift_frac: 0.0,
        wait: Time::new::<second>(0.0),
    }
}

#[test]
fn the_two_foot_section_meets_the_printed_lines_paths_and_times() {
    let printed = [
        (Margin::PadInside, 0.5, 9, 4.85, [382.0, 191.0, 95.0, 48.0]),
        (
            Margin::CentreToRim,
            0.5,
            11,
            7.32,
            [576.0, 288.0, 144.0, 72.0],
        ),
        (Margin::PadInside, 0.25, 7, 3.88, [306.0, 153.0, 76.0, 38.0]),
    ];
    for (margin, overlap, lines, path_m, seconds) in printed {
        for (arm_mm_s, time_s) in [12.7, 25.4, 50.8, 101.6].into_iter().zip(seconds) {
            let stroke = Stroke::parallel(&two_foot(margin, overlap, arm_mm_s, 1), Along::X)
                .expect("usable");
            assert_eq!(stroke.lines_per_pass(), [lines]);
            assert!((stroke.path_length().value - path_m).abs() < 0.005);
            assert!(
                (stroke.total_time().value - time_s).abs() <= 0.51,
                "{arm_mm_s}: {:?}",
                stroke.total_time()
            );
            assert_eq!(stroke.pass_ends_s(), [stroke.total_time().value]);
        }
    }
}

#[test]
fn the_actual_spacing_is_60_point_6_mm() {
    let stroke =
        Stroke::parallel(&two_foot(Margin::PadInside, 0.5, 25.4, 1), Along::X).expect("usable");
    assert!((stroke.legs()[1].length_m() - 0.060_625).abs() < 1e-12);
}

#[test]
fn cross_hatched_passes_take_four_times_one_pass() {
    let one =
        Stroke::parallel(&two_foot(Margin::PadInside, 0.5, 25.4, 1), Along::X).expect("usable");
    let four = Stroke::cross_hatch(&two_foot(Margin::PadInside, 0.5, 25.4, 4)).expect("usable");
    assert!((four.total_time().value - 4.0 * one.total_time().value).abs() < 1e-9);
    assert_eq!(four.pass_ends_s().len(), 4);
    let first_of_second_pass = four.legs()[17];
    assert_eq!(first_of_second_pass.from_m.0, first_of_second_pass.to_m.0);
}

#[test]
fn a_half_spacing_shift_puts_lines_between_lines() {
    let shifted = Coverage {
        shift_frac: 0.5,
        ..two_foot(Margin::PadInside, 0.5, 25.4, 2)
    };
    let stroke = Stroke::parallel(&shifted, Along::X).expect("usable");
    assert_eq!(stroke.lines_per_pass(), [9, 8]);
    let rows: Vec<f64> = stroke
        .legs()
        .iter()
        .filter(|leg| leg.length_m() > 0.4)
        .map(|leg| leg.from_m.1)
        .collect();
    assert!((rows[8] - rows[9] - 0.5 * 0.060_625).abs() < 1e-12);
}

#[test]
fn waits_lift_the_pad_and_cost_time_but_no_path() {
    let waiting = Coverage {
        wait: Time::new::<second>(30.0),
        ..two_foot(Margin::PadInside, 0.5, 25.4, 3)
    };
    let stroke = Stroke::cross_hatch(&waiting).expect("usable");
    assert!((stroke.total_time().value - stroke.working_time().value - 60.0).abs() < 1e-9);
    let resting = stroke
        .position_at(Time::new::<second>(stroke.pass_ends_s()[0] + 10.0))
        .expect("during the wait");
    assert!(!resting.is_working);
}

#[test]
fn the_position_walks_along_the_line() {
    let stroke =
        Stroke::parallel(&two_foot(Margin::PadInside, 0.5, 25.4, 1), Along::X).expect("usable");
    let at = stroke
        .position_at(Time::new::<second>(5.0))
        .expect("on the first line");
    assert!((at.x.value - (0.0625 + 0.127)).abs() < 1e-12 && (at.y.value - 0.0625).abs() < 1e-12);
    assert_eq!(stroke.position_at(Time::new::<second>(-1.0)), None);
    assert_eq!(stroke.position_at(Time::new::<second>(1e4)), None);
    assert_eq!(stroke.position_at(Time::new::<second>(f64::NAN)), None);
}

#[test]
fn a_line_crosses_the_middle_and_a_stand_stays() {
    let line =
        Stroke::line(&two_foot(Margin::CentreToRim, 0.5, 50.0, 2), Along::X).expect("usable");
    assert_eq!(line.legs().len(), 2);
    assert!((line.path_length().value - 1.22).abs() < 1e-12);
    let section = Section {
        width: mm(500.0),
        height: mm(500.0),
    };
    let still =
        Stroke::still(section, (mm(250.0), mm(250.0)), Time::new::<second>(10.0)).expect("usable");
    assert_eq!(
        (still.path_length().value, still.total_time().value),
        (0.0, 10.0)
    );
}

#[test]
fn dwell_per_pass_meets_the_printed_seconds() {
    let arm = Velocity::new::<millimeter_per_second>(25.4);
    assert!((dwell_per_pass(mm(62.5), arm, mm(62.5)).value - 7.73).abs() < 0.005);
    assert!((dwell_per_pass(mm(62.5), arm, mm(93.75)).value - 5.15).abs() < 0.005);
}

#[test]
fn a_spread_pass_goes_over_the_same_lines_first_and_costs_the_printed_32_s() {
    // 600 rpm and 150 mm/s before 1500 rpm and 25.4 mm/s: 32 s, and 7 % of the
    // removal of a work pass.
    let coverage = two_foot(Margin::PadInside, 0.5, 25.4, 2);
    let spread = SpreadPass {
        arm_speed: Velocity::new::<millimeter_per_second>(150.0),
        strength_frac: 600.0 / 1500.0,
    };
    let with = Stroke::covering(&coverage, Way::CrossHatch, Some(spread)).expect("usable");
    let without = Stroke::cross_hatch(&coverage).expect("usable");
    let longer_s = with.total_time().value - without.total_time().value;
    assert!((longer_s - 32.0).abs() < 0.51, "{longer_s}");
    let rubbed = |strength: f64| -> f64 {
        let alike = with
            .legs()
            .iter()
            .filter(|leg| leg.strength_frac == strength);
        alike
            .map(|leg| (leg.end_s - leg.start_s) * leg.strength_frac)
            .sum()
    };
    let share = rubbed(0.4) / (0.5 * rubbed(1.0));
    assert!((share - 0.07).abs() < 0.005, "{share}");
    assert_eq!(with.pass_ends_s().len(), 2);
    assert_eq!(with.lines_per_pass(), without.lines_per_pass());
}

#[test]
fn nonsense_is_refused() {
    let coverage = two_foot(Margin::PadInside, 0.5, 25.4, 1);
    for (arm_m_s, strength_frac) in [(0.0, 0.4), (0.15, 1.5), (f64::NAN, 0.4), (0.15, f64::NAN)] {
        let spread = SpreadPass {
            arm_speed: Velocity::new::<uom::si::velocity::meter_per_second>(arm_m_s),
            strength_frac,
        };
        assert!(Stroke::covering(&coverage, Way::CrossHatch, Some(spread)).is_err());
    }
    let coverage = two_foot(Margin::PadInside, 0.5, 25.4, 1);
    let refused = [
        Coverage {
            overlap_frac: 1.0,
            ..coverage
        },
        Coverage {
            passes: 0,
            ..coverage
        },
        Coverage {
            arm_speed: Velocity::new::<millimeter_per_second>(f64::NAN),
            ..coverage
        },
        Coverage {
            section: Section {
                width: mm(100.0),
                height: mm(610.0),
            },
            ..coverage
        },
        Coverage {
            shift_frac: -0.5,
            ..coverage
        },
    ];
    for coverage in refused {
        assert!(Stroke::cross_hatch(&coverage).is_err(), "{coverage:?}");
    }
    let section = coverage.section;
    assert!(Stroke::through(section, &[]).is_err());
    assert!(Stroke::still(section, (mm(250.0), mm(250.0)), Time::new::<second>(0.0)).is_err());
}

proptest! {
    #[test]
    fn lines_never_stand_wider_than_asked(overlap in 0.0_f64..0.9, width in 300.0_f64..1200.0, passes in 1_u32..5) {
        let coverage = Coverage {
            section: Section { width: mm(width), height: mm(700.0) },
            ..two_foot(Margin::PadInside, overlap, 40.0, passes)
        };
        let stroke = Stroke::cross_hatch(&coverage).expect("usable");
        let widest = 0.125 * (1.0 - overlap) + 1e-9;
        let steps = stroke.legs().iter().map(Leg::length_m).filter(|length| *length < 0.17);
        for step in steps.filter(|length| *length <= 0.125) {
            prop_assert!(step <= widest, "{step} {widest}");
        }
        for pair in stroke.legs().windows(2) {
            prop_assert!((pair[0].end_s - pair[1].start_s).abs() < 1e-12);
            prop_assert!((pair[0].to_m.0 - pair[1].from_m.0).abs() < 1e-12);
            prop_assert!((pair[0].to_m.1 - pair[1].from_m.1).abs() < 1e-12);
        }
    }
}
