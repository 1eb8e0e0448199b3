//! Heat running sideways: discs on sheets and blocks, standing and moving.
//!
//! Law: closed forms H6 to H8, H10, H11 in `closed_forms`.
//! Source: Carslaw and Jaeger 1959 section 10.5 (disc on a half space), 10.7
//! (moving band); fin equation of a thin sheet with Bessel functions; integral
//! of instantaneous discs.
//! Holds: the wide rim, as on an infinite sheet.
//! Left out: the moving line source H9, which no pad is.
//! Checked by: this is the check. Bound 1 %: the reference solver's own
//! agreement with H10 (5.688, 11.123, 11.094 against 5.675, 11.172, 11.108) is
//! 0.4 %; with H8 0.1 %.

use super::closed_forms::{Sheet, disc_on_half_space};
use super::*;
use crate::heat::Substrate;

const RADIUS_M: f64 = 0.0625;
const STEEL: Sheet = Sheet {
    conductance: 50.0 * 7e-4,
    capacity: 7850.0 * 470.0 * 7e-4,
    loss: 15.0,
};
const ALUMINIUM: Sheet = Sheet {
    conductance: 190.0 * 1e-3,
    capacity: 2700.0 * 900.0 * 1e-3,
    loss: 15.0,
};

fn on_sheet(substrate: Substrate, duration_s: f64) -> Case {
    let mut case = Case::still(vec![substrate.sheet()], disc(RADIUS_M, 6000.0), duration_s);
    case.rim = Rim::Wide;
    case.losses_w_m2k = (10.0, 5.0);
    case.size_m = (0.3, 0.3);
    case.accuracy = cells((60, 60), DepthCells::Total(1), 0.1, Scheme::TwoStage);
    case
}

/// The sheet's own temperature, without the half cell to its surface.
fn sheet_at(case: &Case, result: &HeatResult, r_m: f64) -> f64 {
    let middle = (0.5 * case.size_m.0, 0.5 * case.size_m.1);
    map_at(
        result,
        final_layer(result, 0),
        case.size_m,
        (middle.0 + r_m, middle.1),
    )
}

#[test]
fn h7_steady_disc_on_a_wide_sheet_with_losses() {
    for (substrate, sheet) in [(Substrate::Steel, STEEL), (Substrate::Aluminium, ALUMINIUM)] {
        let mut case = on_sheet(substrate, 2000.0);
        case.accuracy = cells((60, 60), DepthCells::Total(1), 0.4, Scheme::TwoStage);
        let result = case.run_still();
        for r_m in [0.0, RADIUS_M, 2.0 * RADIUS_M] {
            let exact = sheet.steady(6000.0, RADIUS_M, r_m);
            assert_near(
                &format!("{substrate:?} at {r_m} m"),
                sheet_at(&case, &result, r_m),
                exact,
                0.005,
            );
        }
    }
}

#[test]
fn h8_the_middle_of_a_disc_warms_as_the_integral_says() {
    for (substrate, sheet) in [(Substrate::Steel, STEEL), (Substrate::Aluminium, ALUMINIUM)] {
        for t in [1.0, 5.0, 10.0, 30.0, 60.0] {
            let case = on_sheet(substrate, t);
            let exact = sheet.centre(6000.0, RADIUS_M, t);
            assert_near(
                &format!("{substrate:?} after {t} s"),
                sheet_at(&case, &case.run_still(), 0.0),
                exact,
                0.002,
            );
        }
    }
}

#[test]
fn h10_a_moving_disc_leaves_its_heat_behind() {
    let mut case = on_sheet(Substrate::Steel, 30.0);
    case.size_m = (0.96, 0.24);
    case.speed_m_s = 0.0254;
    case.accuracy = cells((240, 60), DepthCells::Total(1), 0.05, Scheme::TwoStage);
    let result = case.run(&|t_s| PadMoment::at(0.06 + 0.0254 * t_s, 0.12));
    let end_m = 0.06 + 0.0254 * 30.0;
    for behind_m in [0.0, RADIUS_M, 0.078] {
        let exact = STEEL.moving(6000.0, RADIUS_M, 0.0254, -behind_m);
        let value = map_at(
            &result,
            final_layer(&result, 0),
            case.size_m,
            (end_m - behind_m, 0.12),
        );
        assert_near(&format!("{behind_m} m behind"), value, exact, 0.01);
    }
}

#[test]
fn h6_a_disc_on_a_thick_block_spreads_in_three_dimensions() {
    for (layer, k, alpha, t) in [
        (
            Layer::from_si("steel", 150_000.0, 50.0, 7850.0, 470.0),
            50.0,
            50.0 / (7850.0 * 470.0),
            60.0,
        ),
        (
            Layer::from_si("polypropylene", 20_000.0, 0.25, 1050.0, 1800.0),
            0.25,
            0.25 / (1050.0 * 1800.0),
            10.0,
        ),
    ] {
        let mut case = Case::still(vec![layer], disc(RADIUS_M, 6000.0), t);
        case.rim = Rim::Wide;
        case.size_m = (0.2, 0.2);
        let result = case.run_still();
        let surface = map_at(
            &result,
            &result.final_surface_rise_k,
            case.size_m,
            (0.1, 0.1),
        );
        assert_near(
            &format!("centre after {t} s"),
            surface,
            disc_on_half_space(6000.0, RADIUS_M, k, alpha, t),
            0.02,
        );
    }
}

#[test]
fn h11_a_fast_band_on_plastic_reaches_its_peak_at_the_trailing_edge() {
    // (2q/k)√(α·2a/πV): 21.8496 K at 25.4 mm/s, 11.0119 K at 100 mm/s.
    for (speed_m_s, exact) in [(0.0254, 21.8496), (0.1, 11.0119)] {
        let layer = Layer::from_si("polypropylene", 3000.0, 0.25, 1050.0, 1800.0);
        let flux = vec![6000.0; 125 * 125];
        let band =
            FluxFootprint::new(125, Length::new::<meter>(0.001), &flux).expect("a sound table");
        let mut case = Case::still(vec![layer], band, 0.35 / speed_m_s);
        case.size_m = (0.6, 0.1);
        case.speed_m_s = speed_m_s;
        let result = case.run(&move |t_s| PadMoment::at(0.1 + speed_m_s * t_s, 0.05));
        assert_near(
            &format!("peak at {speed_m_s} m/s"),
            result.peak_rise_k,
            exact,
            0.02,
        );
    }
}
