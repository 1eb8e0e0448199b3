//! Tests of the pressure under a pad: closed forms, limits, nonsense.

use super::*;
use lapwing_measure::quantity::{Angle, Force, Torque};
use proptest::prelude::*;
use uom::si::angle::degree;
use uom::si::force::newton;
use uom::si::length::meter;
use uom::si::pressure::kilopascal;
use uom::si::torque::newton_meter;

const RADIUS_M: f64 = 0.0625;

fn metre(value: f64) -> Length {
    Length::new::<meter>(value)
}

fn touch(lean: Lean, direction_deg: f64) -> Touch {
    Touch {
        force: Force::new::<newton>(40.0),
        lean,
        direction: Angle::new::<degree>(direction_deg),
    }
}

fn pad() -> Pad {
    Pad::of_medium_foam(metre(RADIUS_M))
}

fn pressed(pad: Pad, lean: Lean, direction_deg: f64, surface: Surface) -> Contact {
    press(
        pad,
        touch(lean, direction_deg),
        surface,
        metre(RADIUS_M / 30.0),
    )
    .expect("a usable set-up")
}

#[test]
fn a_level_pad_presses_force_over_face_everywhere() {
    let contact = pressed(pad(), Lean::Level, 0.0, Surface::default());
    // 40 N / (π · 62.5² mm²) = 3259.493 Pa by hand.
    assert!((contact.mean_pa - 3259.493).abs() < 5e-4);
    assert!((contact.max_pa / contact.mean_pa - 1.0).abs() < 1e-4);
    assert!((contact.contact_frac - 1.0).abs() < 1e-9);
    assert!((contact.pressure.integral() - 40.0).abs() < 1e-9);
    // Compression p̄·t/E = 3259.5 · 25 mm / 50 kPa = 1.63 mm (printed 1.6 mm).
    assert!((contact.compression_frac * 25.0 - 1.6).abs() < 0.05);
}

#[test]
fn the_numeric_balance_meets_the_handbook_table() {
    // An edge so far away that it never matters sends the pad through the
    // numeric balance instead of the closed form. Handbook digits, RoarkEccentric.
    let numeric = Surface {
        edge: Some(Edge {
            distance: metre(1.0),
            direction: Angle::new::<degree>(0.0),
        }),
        ..Surface::default()
    };
    for (e, peak, half_digit) in [
        (0.25, 2.00, 0.005),
        (0.35, 2.46, 0.005),
        (0.5, 3.56, 0.005),
        (0.6, 4.90, 0.005),
        (0.75, 9.69, 0.005),
        (0.8, 13.4, 0.05),
    ] {
        for direction in [0.0, 90.0, 200.0] {
            let contact = pressed(pad(), Lean::Eccentricity(e), direction, numeric);
            let ratio = contact.max_pa / contact.mean_pa;
            assert!(
                (ratio - peak).abs() <= half_digit * 1.2,
                "{e} {direction}: {ratio}"
            );
            assert!((contact.eccentricity_frac - e).abs() < 1e-6);
        }
    }
}

#[test]
fn the_far_rim_lifts_off_at_the_printed_tilt() {
    // 40 N, R 62.5 mm, t 25 mm: E 20, 50, 100, 200 kPa lift off at 3.7, 1.5, 0.75, 0.37 degrees.
    for (stiffness_kpa, tilt_deg, half_digit) in [
        (20.0, 3.7, 0.05),
        (50.0, 1.5, 0.05),
        (100.0, 0.75, 0.005),
        (200.0, 0.37, 0.005),
    ] {
        let foam = Pad {
            stiffness: Pressure::new::<kilopascal>(stiffness_kpa),
            ..pad()
        };
        let contact = pressed(
            foam,
            Lean::Eccentricity(disc::KERN_FRAC),
            0.0,
            Surface::default(),
        );
        assert!(
            (contact.tilt_rad.to_degrees() - tilt_deg).abs() < half_digit,
            "{stiffness_kpa}"
        );
        let held = pressed(
            foam,
            Lean::Tilt(Angle::new::<degree>(contact.tilt_rad.to_degrees())),
            0.0,
            Surface::default(),
        );
        assert!((held.max_pa / held.mean_pa - 2.0).abs() < 1e-3);
        assert!((held.eccentricity_frac - 0.25).abs() < 1e-3);
    }
}

#[test]
fn a_moment_of_a_quarter_radius_reaches_the_kern() {
    // F·R/4 = 40 · 0.0625 / 4 = 0.625 N·m by hand.
    let contact = pressed(
        pad(),
        Lean::Moment(Torque::new::<newton_meter>(0.625)),
        0.0,
        Surface::default(),
    );
    assert!((contact.max_pa / contact.mean_pa - 2.0).abs() < 1e-4);
}

#[test]
fn half_a_pad_over_the_edge_presses_twice_as_hard_when_held_level() {
    let edge = Surface {
        edge: Some(Edge {
            distance: metre(0.0),
            direction: Angle::new::<degree>(30.0),
        }),
        ..Surface::default()
    };
    let contact = pressed(pad(), Lean::Level, 0.0, edge);
    assert!((contact.max_pa / contact.mean_pa - 2.0).abs() < 1e-3);
    assert!((contact.contact_frac - 0.5).abs() < 1e-3);
    assert_eq!(contact.pressure_at(metre(0.03), metre(0.02)).value, 0.0);
    // Half a disc has its centroid 4R/3π off the middle.
    assert!((contact.eccentricity_frac - 4.0 / (3.0 * PI)).abs() < 1e-3);
}

#[test]
fn force_and_lever_come_back_from_the_pressure_by_other_points() {
    // Rings and rays of their own: 40 N, at the eccentricity that was asked for.
    let hollow_back = Surface {
        radius_x: Some(metre(3.0)),
        radius_y: Some(metre(1.5)),
        ..Surface::default()
    };
    let ring = Pad {
        hole_radius: metre(0.01),
        ..pad()
    };
    for (pad, e, surface, share) in [
        (pad(), 0.0, Surface::default(), 1e-6),
        (pad(), 0.2, Surface::default(), 1e-6),
        (pad(), 0.5, Surface::default(), 1e-5),
        (ring, 0.2, Surface::default(), 1e-6),
        (pad(), 0.1, hollow_back, 1e-6),
    ] {
        let contact = pressed(pad, Lean::Eccentricity(e), 35.0, surface);
        let (inner_m, rays) = (pad.hole_radius.value, 720);
        let rings = crate::gauss::nodes(400);
        let (mut force_n, mut lever_nm) = (0.0, 0.0);
        for ray in 0..rays {
            let angle = 2.0 * PI * f64::from(ray) / f64::from(rays);
            for (r, width_m) in crate::gauss::on(&rings, inner_m, RADIUS_M) {
                let (x, y) = (r * angle.cos(), r * angle.sin());
                let part_n = contact.pressure_pa(x, y) * r * width_m * 2.0 * PI / f64::from(rays);
                force_n += part_n;
                lever_nm +=
                    part_n * (x * 35_f64.to_radians().cos() + y * 35_f64.to_radians().sin());
            }
        }
        assert!((force_n / 40.0 - 1.0).abs() < share, "{e}: {force_n}");
        assert!(
            (lever_nm / (40.0 * RADIUS_M) - e).abs() < share,
            "{e}: {lever_nm}"
        );
    }
}

#[test]
fn a_small_bulge_touches_as_a_paraboloid() {
    // On a Winkler bed a sphere of radius ρ sunk by d carries F = π·K·ρ·d² and
    // peaks at K·d (closed form), as long as the contact circle stays on the face.
    let sphere = Surface {
        radius_x: Some(metre(0.2)),
        radius_y: Some(metre(0.2)),
        ..Surface::default()
    };
    let contact = pressed(pad(), Lean::Level, 0.0, sphere);
    let modulus = 50e3 / 0.025;
    let depth_m = (40.0 / (PI * modulus * 0.2)).sqrt();
    assert!((2.0 * 0.2 * depth_m).sqrt() < RADIUS_M);
    assert!((contact.max_pa / (modulus * depth_m) - 1.0).abs() < 1e-3);
    assert!((contact.contact_frac - 2.0 * 0.2 * depth_m / RADIUS_M.powi(2)).abs() < 1e-3);
}

#[test]
fn a_crease_presses_harder_than_a_flat_and_a_tighter_one_harder_still() {
    let over = |fold_deg: f64| Surface {
        crease: Some(Crease {
            distance: metre(0.0),
            direction: Angle::new::<degree>(90.0),
            radius: metre(0.003),
            fold: Angle::new::<degree>(fold_deg),
        }),
        ..Surface::default()
    };
    let flat = pressed(pad(), Lean::Level, 0.0, over(0.0));
    let slight = pressed(pad(), Lean::Level, 0.0, over(6.0));
    let sharp = pressed(pad(), Lean::Level, 0.0, over(20.0));
    assert!((flat.max_pa / flat.mean_pa - 1.0).abs() < 1e-3);
    assert!(slight.max_pa > flat.max_pa && sharp.max_pa > slight.max_pa);
    assert!((sharp.pressure.integral() - 40.0).abs() < 1e-9);
}

#[test]
fn a_ring_reaches_lift_off_at_its_own_kern() {
    // Kern of a ring: (R² + Ri²)/(4R); with Ri = R/2 that is 0.3125 R, peak 2.
    let ring = Pad {
        hole_radius: metre(RADIUS_M / 2.0),
        ..pad()
    };
    let contact = pressed(ring, Lean::Eccentricity(0.3125), 0.0, Surface::default());
    assert!((contact.max_pa / contact.mean_pa - 2.0).abs() < 1e-3);
    assert!((contact.contact_frac - 1.0).abs() < 1e-3);
}

#[test]
fn nonsense_is_refused_with_a_sentence() {
    let cell = metre(0.002);
    let far = Surface {
        edge: Some(Edge {
            distance: metre(-0.1),
            direction: Angle::new::<degree>(0.0),
        }),
        ..Surface::default()
    };
    assert_eq!(
        press(pad(), touch(Lean::Level, 0.0), far, cell).err(),
        Some(PhysicsError::PadBesidePanel)
    );
    let over = Surface {
        edge: Some(Edge {
            distance: metre(-0.02),
            direction: Angle::new::<degree>(0.0),
        }),
        ..Surface::default()
    };
    let tipping = press(pad(), touch(Lean::Eccentricity(0.0), 0.0), over, cell);
    assert_eq!(tipping.err(), Some(PhysicsError::PadTips));
    let mut weightless = touch(Lean::Level, 0.0);
    weightless.force = Force::new::<newton>(f64::NAN);
    assert!(press(pad(), weightless, Surface::default(), cell).is_err());
    assert!(
        press(
            pad(),
            touch(Lean::Eccentricity(1.2), 0.0),
            Surface::default(),
            cell
        )
        .is_err()
    );
    assert!(
        press(
            pad(),
            touch(Lean::Tilt(Angle::new::<degree>(80.0)), 0.0),
            Surface::default(),
            cell
        )
        .is_err()
    );
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn leaning_the_other_way_mirrors_the_pressure(e in 0.0_f64..0.8, direction in -90.0_f64..90.0) {
        let there = pressed(pad(), Lean::Eccentricity(e), direction, Surface::default());
        let back = pressed(pad(), Lean::Eccentricity(e), direction + 180.0, Surface::default());
        for (x, y) in [(0.03, 0.01), (-0.02, 0.05), (0.0, 0.0)] {
            let here = there.pressure_at(metre(x), metre(y)).value;
            let mirrored = back.pressure_at(metre(-x), metre(-y)).value;
            prop_assert!((here - mirrored).abs() <= 1e-9 * there.max_pa);
        }
    }

    #[test]
    fn the_table_always_carries_the_force(e in 0.0_f64..0.9, direction in -180.0_f64..180.0) {
        let contact = pressed(pad(), Lean::Eccentricity(e), direction, Surface::default());
        prop_assert!((contact.pressure.integral() - 40.0).abs() < 1e-9);
        prop_assert!(contact.max_pa.is_finite());
    }
}
