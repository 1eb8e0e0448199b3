//! Tests of the removal map: printed values, grid independence, properties.

use super::straight::RotaryPass;
use super::*;
use crate::contact::{Lean, Pad, Surface, Touch, press};
use crate::motion::Motion;
use crate::stroke::{Along, Coverage, Margin, Waypoint};
use lapwing_measure::quantity::{Angle, AngularVelocity, Force, Time, Velocity};
use proptest::prelude::*;
use uom::si::angle::degree;
use uom::si::angular_velocity::revolution_per_minute;
use uom::si::force::newton;
use uom::si::length::{meter, micrometer, millimeter};
use uom::si::time::second;
use uom::si::velocity::millimeter_per_second;

const K_PER_PA: f64 = 5e-12;

fn mm(value: f64) -> Length {
    Length::new::<millimeter>(value)
}

fn footprint(force_n: f64, rpm: f64, e: f64) -> Footprint {
    footprint_of_cells(1.25, (force_n, rpm, e))
}

fn footprint_of_cells(cell_mm: f64, (force_n, rpm, e): (f64, f64, f64)) -> Footprint {
    let touch = Touch {
        force: Force::new::<newton>(force_n),
        lean: Lean::Eccentricity(e),
        direction: Angle::new::<degree>(0.0),
    };
    let pad = Pad::of_medium_foam(mm(62.5));
    let contact = press(pad, touch, Surface::default(), mm(cell_mm)).expect("usable");
    let spin = AngularVelocity::new::<revolution_per_minute>(rpm);
    Footprint::of(&contact, Motion::Rotary { spin }).expect("usable")
}

fn coverage(passes: u32) -> Coverage {
    Coverage {
        section: Section {
            width: mm(610.0),
            height: mm(610.0),
        },
        pad_radius: mm(62.5),
        overlap_frac: 0.5,
        margin: Margin::PadInside,
        arm_speed: Velocity::new::<millimeter_per_second>(25.4),
        passes,
        shift_frac: 0.0,
        wait: Time::new::<second>(0.0),
    }
}

fn square(cells: usize) -> MapGrid {
    MapGrid {
        columns: cells,
        rows: cells,
    }
}

fn rotary_pass() -> RotaryPass {
    RotaryPass {
        cut_rate_per_pa: K_PER_PA,
        force: Force::new::<newton>(40.0),
        spin: AngularVelocity::new::<revolution_per_minute>(1500.0),
        arm_speed: Velocity::new::<millimeter_per_second>(25.4),
        pad_radius: mm(62.5),
        hole_radius: mm(0.0),
    }
}

#[test]
fn a_lone_line_meets_the_closed_form_cell_by_cell() {
    let line = Stroke::line(
        &Coverage {
            margin: Margin::CentreToRim,
            ..coverage(1)
        },
        Along::X,
    )
    .expect("usable");
    let map = map(&footprint(40.0, 1500.0, 0.0), &line, K_PER_PA, square(122)).expect("usable");
    for (row, depth_um) in map.profile_along_y_um(mm(305.0)).into_iter().enumerate() {
        // The closed form, averaged over the same 5 mm cell.
        let from_mm = row as f64 * 5.0 - 305.0;
        let mean = (0..100)
            .map(|i| {
                rotary_pass()
                    .depth_beside(mm(from_mm + 0.05 * (f64::from(i) + 0.5)))
                    .get::<micrometer>()
            })
            .sum::<f64>()
            / 100.0;
        assert!(
            (depth_um - mean).abs() < 0.01 * 0.472,
            "row {row}: {depth_um} against {mean}"
        );
    }
    // One pass, flat: deepest 0.472 µm (printed).
    assert!((map.whole.max_um - 0.472).abs() < 0.0025);
}

#[test]
fn the_section_centre_meets_the_closed_line_sum() {
    // R5: mean .85007 µm, least .7682, most 1.1046, CV .0932; cross-hatch .0659.
    let stroke = Stroke::parallel(&coverage(1), Along::X).expect("usable");
    let map = map(
        &footprint(40.0, 1500.0, 0.0),
        &stroke,
        K_PER_PA,
        square(488),
    )
    .expect("usable");
    let centre = map.profile_along_y_um(mm(305.0));
    // Two spacings around the middle: 121.25 mm of 1.25 mm cells.
    let middle = &centre[244 - 48..244 + 49];
    let mean = middle.iter().sum::<f64>() / middle.len() as f64;
    assert!((mean / 0.850_07 - 1.0).abs() < 0.005, "{mean}");
    let most = middle.iter().copied().fold(0.0, f64::max) / 0.850_07;
    assert!((most - 1.1046).abs() < 0.006, "{most}");
    // The least sits in a cusp: the cell mean must lie between it and the 240² simulation.
    let least = middle.iter().copied().fold(9.0, f64::min) / 0.850_07;
    assert!(least > 0.7682 - 0.005 && least < 0.817, "{least}");
}

#[test]
fn four_cross_hatched_passes_meet_the_printed_means() {
    let stroke = Stroke::cross_hatch(&coverage(4)).expect("usable");
    // Printed over the cells farther than one pad radius from the rim, to
    // 0.01 µm, by a simulation on the same 120² cells whose own error is 0.6 %
    // of the mean. It counts whole cells; the limit lies in the thirteenth. One
    // row of cells in or out moves the mean by 2 %, so the printed mean must lie
    // between the two ways to count it.
    let (own_error, cell_m) = (0.006, 0.61 / 120.0);
    for (force_n, rpm, mean_um, max_um) in [
        (40.0, 1500.0, 3.41, 4.34),
        (40.0, 1200.0, 2.73, 4.34 * 0.8),
        (25.0, 1200.0, 1.71, 4.34 * 0.5),
    ] {
        let map = map(
            &footprint(force_n, rpm, 0.0),
            &stroke,
            K_PER_PA,
            square(120),
        )
        .expect("usable");
        let with_row = map.spread_inside(12.0 * cell_m).expect("cells inside");
        let without_row = map.spread_inside(13.0 * cell_m).expect("cells inside");
        assert!(with_row.mean_um < mean_um + 0.005 && mean_um - 0.005 < without_row.mean_um);
        assert!(
            (with_row.max_um - max_um).abs() < own_error * mean_um + 0.005,
            "{}",
            with_row.max_um
        );
        assert!(map.interior.cells < with_row.cells && !map.interior_is_swept_area);
    }
}

#[test]
fn the_mean_over_an_interior_does_not_depend_on_the_cells_it_cuts() {
    // A plane: the mean over any window in the middle is the plane's middle, 7;
    // over the window from 0.1 to 0.3 m of 0.4 m its deviation is 10·0.2/√12.
    for cells in [9, 40, 41, 57, 160] {
        let section = Section {
            width: Length::new::<meter>(0.4),
            height: Length::new::<meter>(0.4),
        };
        let grid = square(cells);
        let at = |i: usize| ((i % cells) as f64 + 0.5) * 0.4 / cells as f64;
        let depth_um = (0..cells * cells).map(|i| 5.0 + 10.0 * at(i)).collect();
        let map = RemovalMap::of(section, grid, depth_um, 0.1);
        let inside = map.interior;
        assert!((inside.mean_um - 7.0).abs() < 1e-12, "{cells}");
        let cell_um = 10.0 * 0.4 / cells as f64;
        let whole = inside.mean_um * inside.variation;
        assert!(
            (whole - 2.0 / 12_f64.sqrt()).abs() < 0.2 * cell_um,
            "{cells}: {whole}"
        );
        assert!(!map.interior_is_swept_area);
        assert_eq!(map.spread_inside(0.2), None);
    }
}

#[test]
fn everything_the_pad_rubs_off_lands_on_the_section() {
    // Kept inside, all of k·∫p·v dA·t lands on cells: a volume balance.
    let footprint = footprint(40.0, 1500.0, 0.3);
    let stroke = Stroke::cross_hatch(&coverage(2)).expect("usable");
    for cells in [30, 61, 120] {
        let map = map(&footprint, &stroke, K_PER_PA, square(cells)).expect("usable");
        let volume_m3 = map.whole.mean_um * 1e-6 * 0.61 * 0.61;
        let expected = K_PER_PA * footprint.total_w * stroke.working_time().value;
        // The square table may overhang the round pad by less than a cell.
        assert!((volume_m3 / expected - 1.0).abs() < 1e-9, "{cells}");
    }
}

#[test]
fn the_mean_of_a_region_does_not_depend_on_the_grid() {
    let footprint = footprint(40.0, 1500.0, 0.0);
    let stroke = Stroke::cross_hatch(&coverage(4)).expect("usable");
    let coarse = map(&footprint, &stroke, K_PER_PA, square(61)).expect("usable");
    let fine = map(&footprint, &stroke, K_PER_PA, square(183)).expect("usable");
    for row in 0..61 {
        for column in 0..61 {
            let of_nine: f64 = (0..9)
                .map(|k| fine.depth_um[(row * 3 + k / 3) * 183 + column * 3 + k % 3])
                .sum::<f64>()
                / 9.0;
            let one = coarse.depth_um[row * 61 + column];
            assert!((one - of_nine).abs() < 1e-9, "{row} {column}");
        }
    }
}

#[test]
fn a_slanted_path_takes_off_as_much_as_a_straight_one() {
    let footprint = footprint(40.0, 1500.0, 0.0);
    let section = Section {
        width: mm(610.0),
        height: mm(610.0),
    };
    let point = |x: f64, y: f64, at: f64| Waypoint {
        x: mm(x),
        y: mm(y),
        at: Time::new::<second>(at),
    };
    let slanted = Stroke::through(
        section,
        &[point(150.0, 150.0, 0.0), point(450.0, 450.0, 10.0)],
    )
    .expect("usable");
    let map = map(&footprint, &slanted, K_PER_PA, square(120)).expect("usable");
    let volume_m3 = map.whole.mean_um * 1e-6 * 0.61 * 0.61;
    assert!((volume_m3 / (K_PER_PA * footprint.total_w * 10.0) - 1.0).abs() < 2e-3);
    let pass = RotaryPass {
        arm_speed: Velocity::new::<millimeter_per_second>(30.0 * 2.0_f64.sqrt()),
        ..rotary_pass()
    };
    // (305 ± 18, 305 ∓ 18) mm lies 25.5 mm beside the line; cells are 5 mm wide.
    let (x, y) = map.centre_m(63, 56);
    let beside = Length::new::<uom::si::length::meter>((x - y) / 2.0_f64.sqrt());
    let law = pass.depth_beside(beside).get::<micrometer>();
    assert!((map.depth_um[56 * 120 + 63] / law - 1.0).abs() < 0.01);
}

#[test]
fn standing_still_meets_the_printed_rates() {
    // k 5e-12, 40 N, 1500 rpm: mean .107 µm/s and rim .16 µm/s over the pad.
    let section = Section {
        width: mm(300.0),
        height: mm(300.0),
    };
    let still =
        Stroke::still(section, (mm(150.0), mm(150.0)), Time::new::<second>(10.0)).expect("usable");
    let flat = map(&footprint(40.0, 1500.0, 0.0), &still, K_PER_PA, square(300)).expect("usable");
    let face_share = std::f64::consts::PI * 0.0625 * 0.0625 / 0.09;
    assert!((flat.whole.mean_um / 10.0 / face_share - 0.107).abs() < 5.1e-4);
    assert!((flat.whole.max_um / 10.0 - 0.16).abs() < 0.0051);
    // Leaned to e/R = .5: .52 µm/s at the loaded rim.
    let leaned = map(&footprint(40.0, 1500.0, 0.5), &still, K_PER_PA, square(300)).expect("usable");
    assert!(leaned.whole.max_um > flat.whole.max_um);
    assert!(flat.interior_is_swept_area || flat.interior.cells > 0);
}

#[test]
fn a_leaned_pass_meets_the_printed_deepest_places() {
    // One pass, tilt sideways: deepest .472, .586, .772, 1.239, 2.714 µm.
    let line = Stroke::line(
        &Coverage {
            margin: Margin::CentreToRim,
            ..coverage(1)
        },
        Along::Y,
    )
    .expect("usable");
    for (e, printed_um) in [
        (0.0, 0.472),
        (0.1, 0.586),
        (0.25, 0.772),
        (0.5, 1.239),
        (0.75, 2.714),
    ] {
        let map = map(&footprint(40.0, 1500.0, e), &line, K_PER_PA, square(488)).expect("usable");
        assert!(
            (map.whole.max_um / printed_um - 1.0).abs() < 0.01,
            "{e}: {}",
            map.whole.max_um
        );
    }
}

#[test]
fn nonsense_is_refused() {
    let footprint = footprint(40.0, 1500.0, 0.0);
    let stroke = Stroke::cross_hatch(&coverage(1)).expect("usable");
    assert!(map(&footprint, &stroke, f64::NAN, square(10)).is_err());
    assert!(map(&footprint, &stroke, -1e-12, square(10)).is_err());
    assert!(map(&footprint, &stroke, K_PER_PA, square(0)).is_err());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]

    #[test]
    fn more_force_or_speed_never_takes_off_less(force_n in 5.0_f64..60.0, rpm in 300.0_f64..2000.0, more in 1.0_f64..2.0) {
        let stroke = Stroke::cross_hatch(&coverage(1)).expect("usable");
        let mean = |force_n, rpm| map(&footprint_of_cells(5.0, (force_n, rpm, 0.2)), &stroke, K_PER_PA, square(20)).expect("usable").whole.mean_um;
        let base = mean(force_n, rpm);
        prop_assert!(mean(force_n * more, rpm) >= base * (1.0 - 1e-12));
        prop_assert!(mean(force_n, rpm * more) >= base * (1.0 - 1e-12));
    }

    #[test]
    fn halving_the_arm_speed_doubles_every_cell(e in 0.0_f64..0.8) {
        let footprint = footprint_of_cells(5.0, (40.0, 1500.0, e));
        let stroke = Stroke::cross_hatch(&coverage(2)).expect("usable");
        let fast = map(&footprint, &stroke, K_PER_PA, square(40)).expect("usable");
        let slow = map(&footprint, &stroke.slowed_by(2.0).expect("usable"), K_PER_PA, square(40)).expect("usable");
        for (twice, once) in slow.depth_um.iter().zip(&fast.depth_um) {
            prop_assert!((twice - 2.0 * once).abs() < 1e-9);
        }
    }

    #[test]
    fn a_mirrored_set_up_leaves_a_mirrored_map(e in 0.0_f64..0.8, passes in 1_u32..3) {
        let footprint = footprint_of_cells(5.0, (40.0, 1500.0, e));
        let stroke = Stroke::cross_hatch(&coverage(passes)).expect("usable");
        let here = map(&footprint, &stroke, K_PER_PA, square(41)).expect("usable");
        let there = map(&footprint.mirrored(), &stroke.mirrored(), K_PER_PA, square(41)).expect("usable");
        for (row, mirrored) in here.depth_um.chunks(41).zip(there.depth_um.chunks(41)) {
            for (a, b) in row.iter().zip(mirrored.iter().rev()) {
                prop_assert!((a - b).abs() < 1e-9);
            }
        }
    }
}
