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

/// Force and levers over the face, the hole taken out.
pub(crate) fn by_rows(contact: &Contact, edges: (f64, f64)) -> [f64; 3] {
    let whole = over_disc(contact, contact.pad.radius.value, edges);
    let hole_m = contact.pad.hole_radius.value;
    if hole_m == 0.0 {
        return whole;
    }
    let hole = over_disc(contact, hole_m, edges);
    [0, 1, 2].map(|i| whole[i] - hole[i])
}

/// Force and levers over a disc by rows y = R·sin φ and evenly spread points
/// along them: a midpoint rule of its own that knows where rim and edges cut a
/// row, and nothing of creases and lift-off. The panel ends at `edges` along x
/// and y.
fn over_disc(contact: &Contact, radius_m: f64, edges: (f64, f64)) -> [f64; 3] {
    let (rows, points) = (3000, 3000);
    let bottom_rad = -std::f64::consts::FRAC_PI_2;
    let top_rad = (edges.1 / radius_m).clamp(-1.0, 1.0).asin();
    let step_rad = (top_rad - bottom_rad) / f64::from(rows);
    let mut sums = [0.0; 3];
    for row in 0..rows {
        let (sine, cosine) = (bottom_rad + (f64::from(row) + 0.5) * step_rad).sin_cos();
        let (y, half_m) = (radius_m * sine, radius_m * cosine);
        let width_m = (edges.0.min(half_m) + half_m).max(0.0) / f64::from(points);
        for point in 0..points {
            let x = (f64::from(point) + 0.5) * width_m - half_m;
            let part_n = contact.pressed_pa(x, y) * width_m * half_m * step_rad;
            sums[0] += part_n;
            sums[1] += part_n * x;
            sums[2] += part_n * y;
        }
    }
    sums
}

fn crest(distance_m: f64, direction_deg: f64, (radius_m, fold_deg): (f64, f64)) -> Crease {
    Crease {
        distance: metre(distance_m),
        direction: Angle::new::<degree>(direction_deg),
        radius: metre(radius_m),
        fold: Angle::new::<degree>(fold_deg),
    }
}

#[test]
fn force_and_lever_come_back_to_a_millionth_by_other_points() {
    let hollow_back = Surface {
        radius_x: Some(metre(3.0)),
        radius_y: Some(metre(1.5)),
        ..Surface::default()
    };
    let line = Surface {
        crease: Some(crest(0.012, 90.0, (0.006, 9.0))),
        ..Surface::default()
    };
    let two_lines = Surface {
        other_crease: Some(crest(-0.02, 30.0, (0.002, 4.0))),
        ..line
    };
    let ring = Pad {
        hole_radius: metre(0.01),
        ..pad()
    };
    for (pad, e, surface) in [
        (pad(), 0.0, Surface::default()),
        (pad(), 0.5, Surface::default()),
        (pad(), 0.75, Surface::default()),
        (ring, 0.2, Surface::default()),
        (ring, 0.55, Surface::default()),
        (pad(), 0.1, hollow_back),
        (pad(), 0.4, hollow_back),
        (pad(), 0.0, line),
        (pad(), 0.3, line),
        (ring, 0.35, two_lines),
    ] {
        let contact = pressed(pad, Lean::Eccentricity(e), 35.0, surface);
        let [force_n, x_nm, y_nm] = by_rows(&contact, (1.0, 1.0));
        let lever_nm = x_nm * 35_f64.to_radians().cos() + y_nm * 35_f64.to_radians().sin();
        assert!((force_n / 40.0 - 1.0).abs() < 1e-6, "{e}: {force_n}");
        let off = lever_nm / (40.0 * RADIUS_M) - e;
        assert!(off.abs() < 1e-6, "{e}: {lever_nm}");
    }
}

#[test]
fn force_and_lever_come_back_to_a_millionth_at_edges_and_corners() {
    let edge = |distance_m: f64, direction_deg: f64| Edge {
        distance: metre(distance_m),
        direction: Angle::new::<degree>(direction_deg),
    };
    let over_edge = Surface {
        edge: Some(edge(0.02, 0.0)),
        ..Surface::default()
    };
    let corner = Surface {
        other_edge: Some(edge(0.03, 90.0)),
        ..over_edge
    };
    let corner_with_line = Surface {
        crease: Some(crest(-0.01, 0.0, (0.004, 8.0))),
        ..corner
    };
    let tilt = Lean::Tilt(Angle::new::<degree>(2.5));
    for (lean, surface, above_m) in [
        (Lean::Level, over_edge, 1.0),
        (tilt, over_edge, 1.0),
        (Lean::Eccentricity(0.3), over_edge, 1.0),
        (Lean::Level, corner, 0.03),
        (tilt, corner, 0.03),
        (Lean::Level, corner_with_line, 0.03),
        (tilt, corner_with_line, 0.03),
    ] {
        let contact = pressed(pad(), lean, 200.0, surface);
        let [force_n, x_nm, y_nm] = by_rows(&contact, (0.02, above_m));
        assert!((force_n / 40.0 - 1.0).abs() < 1e-6, "{lean:?}: {force_n}");
        let away = x_nm.hypot(y_nm) / (40.0 * RADIUS_M);
        assert!((contact.eccentricity_frac - away).abs() < 1e-6, "{lean:?}");
    }
    // In closed form: on a corner at the pad's centre a level pad has a quarter.
    let quarter = Surface {
        edge: Some(edge(0.0, 0.0)),
        other_edge: Some(edge(0.0, 90.0)),
        ..Surface::default()
    };
    let contact = pressed(pad(), Lean::Level, 0.0, quarter);
    assert!((contact.max_pa / contact.mean_pa - 4.0).abs() < 1e-7);
    assert!((contact.contact_frac - 0.25).abs() < 1e-8);
    // The centroid of a quarter disc lies 4√2·R/3π off.
    let centroid = 4.0 * 2_f64.sqrt() / (3.0 * PI);
    assert!((contact.eccentricity_frac - centroid).abs() < 1e-8);
}

#[test]
fn a_sharp_crest_is_met_in_closed_form() {
    // Level on a crest without rounding, u = d − |s|·t, t the slope of a flank:
    // wholly touching F = K·(d·πR² − t·4R³/3); else with c = d/t
    // F = 2K·(d·(c·√(R²−c²) + R²·asin(c/R)) − ⅔·t·(R³ − (R²−c²)^(3/2))).
    let (modulus, r) = (50e3 / 0.025, RADIUS_M);
    for fold_deg in [2.0_f64, 4.0, 10.0, 30.0] {
        let sharp = Surface {
            crease: Some(crest(0.0, 25.0, (0.0, fold_deg))),
            ..Surface::default()
        };
        let contact = pressed(pad(), Lean::Level, 0.0, sharp);
        let slope = (0.5 * fold_deg).to_radians().tan();
        let depth_m = contact.seat.depth_m;
        let wide_m = (depth_m / slope).min(r);
        let left = (r * r - wide_m * wide_m).max(0.0);
        let area = wide_m * left.sqrt() + r * r * (wide_m / r).asin();
        let slant = 2.0 / 3.0 * slope * (r.powi(3) - left.powf(1.5));
        let force_n = 2.0 * modulus * (depth_m * area - slant);
        assert!((force_n / 40.0 - 1.0).abs() < 1e-7, "{fold_deg}: {force_n}");
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
