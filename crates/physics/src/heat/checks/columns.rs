//! Heat straight through the depth: half space, slab, film, composite wall.
//!
//! Law: closed forms H1 to H5 and H12 in `closed_forms`.
//! Source: Incropera chapter 5 (copper, 120.0 and 45.4 °C); Carslaw and Jaeger
//! 1959 sections 2.9, 3.8; steady wall, resistances in series.
//! Holds: automatic grids as the user gets them; 2 % is the demand on them.
//! Left out: sideways flow, see `discs`.
//! Checked by: this is the check.

use super::closed_forms::{film_on_half_space, half_space, slab};
use super::*;
use crate::heat::Substrate;

fn plastic(thickness_um: f64) -> Layer {
    Layer::from_si("polypropylene", thickness_um, 0.25, 1050.0, 1800.0)
}

const PLASTIC_M2_S: f64 = 0.25 / (1050.0 * 1800.0);

fn small(layers: Vec<Layer>, flux_w_m2: f64, duration_s: f64, accuracy: Accuracy) -> Case {
    let mut case = Case::still(layers, everywhere(flux_w_m2), duration_s);
    case.size_m = (0.05, 0.05);
    case.accuracy = accuracy;
    case
}

/// The temperature at a depth, straight between the cells.
fn at_depth(result: &HeatResult, depth_m: f64) -> f64 {
    let depths = &result.grid.depths_m;
    let below = depths
        .partition_point(|d| *d < depth_m)
        .clamp(1, depths.len() - 1);
    let frac = (depth_m - depths[below - 1]) / (depths[below] - depths[below - 1]);
    let rise = |depth: usize| f64::from(final_layer(result, depth)[0]);
    rise(below - 1) + frac * (rise(below) - rise(below - 1))
}

fn surface(result: &HeatResult) -> f64 {
    f64::from(result.final_surface_rise_k[0])
}

#[test]
fn h1_copper_block_under_a_steady_flux_reads_like_the_textbook() {
    // k 401, α 117e-6, 3e5 W/m², 120 s from 20 °C: 120.0 °C at the surface, 45.4 °C at 150 mm.
    let copper = Layer::from_si("copper", 1e6, 401.0, 8000.0, 401.0 / 117e-6 / 8000.0);
    let even = cells((4, 4), DepthCells::Total(120), 0.25, Scheme::TwoStage);
    let result = small(vec![copper.clone()], 3e5, 120.0, even).run_still();
    assert!(
        (surface(&result) + 20.0 - 120.0).abs() < 0.1,
        "{}",
        surface(&result)
    );
    assert!(
        (at_depth(&result, 0.15) + 20.0 - 45.4).abs() < 0.1,
        "{}",
        at_depth(&result, 0.15)
    );
    let automatic = small(vec![copper], 3e5, 120.0, Accuracy::Full).run_still();
    assert_near(
        "surface, automatic cells",
        surface(&automatic),
        100.027,
        0.01,
    );
}

#[test]
fn h2_plastic_under_a_pad_follows_the_half_space_from_the_first_touch() {
    for (accuracy, bound) in [(Accuracy::Interactive, 0.02), (Accuracy::Full, 0.02)] {
        for t in [0.1, 0.3, 1.0, 2.46] {
            let result = small(vec![plastic(3000.0)], 6000.0, t, accuracy.clone()).run_still();
            let exact = half_space(6000.0, 0.25, PLASTIC_M2_S, t, 0.0);
            assert_near(
                &format!("{accuracy:?} surface at {t} s"),
                surface(&result),
                exact,
                bound,
            );
        }
    }
    let result = small(vec![plastic(3000.0)], 6000.0, 2.46, Accuracy::Full).run_still();
    assert_near("0.5 mm deep", at_depth(&result, 0.0005), 6.3237, 0.02);
}

#[test]
fn h3_plastic_slab_with_an_insulated_back_warms_through() {
    let result = small(vec![plastic(3000.0)], 6000.0, 60.0, Accuracy::Full).run_still();
    let exact = |x: f64| slab(6000.0, (0.25, PLASTIC_M2_S), 0.003, 60.0, x);
    assert_near("front", surface(&result), exact(0.003), 0.01);
    let last = result.grid.depths_m.len() - 1;
    let middle = 0.003 - result.grid.depths_m[last];
    assert_near(
        "back",
        f64::from(final_layer(&result, last)[0]),
        exact(middle),
        0.02,
    );
}

#[test]
fn h4_thin_steel_warms_as_one_lump_and_settles_with_its_time_constant() {
    let sheet = Substrate::Steel.sheet();
    let insulated = small(vec![sheet.clone()], 6000.0, 2.46, Accuracy::Full).run_still();
    assert_near(
        "mean, insulated",
        insulated.energy.stored_j / (0.05 * 0.05 * 2582.65),
        5.7151,
        1e-4,
    );
    let mut losing = small(vec![sheet], 6000.0, 60.0, Accuracy::Full);
    losing.losses_w_m2k = (10.0, 5.0);
    let result = losing.run_still();
    // 117.6958 K with h 15 lumped; the sheet is not quite a lump: Biot number 1.4e-4.
    assert_near(
        "mean, h 15",
        result.energy.stored_j / (0.05 * 0.05 * 2582.65),
        117.6958,
        2.5e-4,
    );
}

/// 120 µm of film on thick steel under 6 kW/m²: layers, and H5 at a time.
fn film_on_steel() -> (Vec<Layer>, impl Fn(f64) -> f64) {
    let film = Layer::from_si("clear", 120.0, 0.2, 1200.0, 1500.0);
    let block = Layer::from_si("steel", 2e5, 50.0, 7850.0, 470.0);
    let exact = |t: f64| {
        film_on_half_space(
            6000.0,
            (0.2, 0.2 / 1.8e6, 120e-6),
            (50.0, 50.0 / (7850.0 * 470.0)),
            t,
        )
    };
    (vec![film, block], exact)
}

#[test]
fn h5_film_on_steel_is_right_from_a_tenth_of_a_second_on() {
    let (layers, exact) = film_on_steel();
    for accuracy in [Accuracy::Interactive, Accuracy::Full] {
        for t in [0.1, 0.2, 0.5, 1.0, 5.0] {
            let result = small(layers.clone(), 6000.0, t, accuracy.clone()).run_still();
            assert_near(
                &format!("{accuracy:?} at {t} s"),
                surface(&result),
                exact(t),
                0.02,
            );
        }
    }
}

#[test]
fn h5_a_long_run_started_at_full_step_is_within_two_percent_in_the_first_second() {
    // The history of a ten second touch, as the user gets it, from its first whole step on.
    let (layers, exact) = film_on_steel();
    let result = small(layers, 6000.0, 10.0, Accuracy::Full).run_still();
    let early: Vec<_> = result
        .history
        .iter()
        .filter(|point| point.t_s > 0.09 && point.t_s <= 1.0)
        .collect();
    assert!(early.len() >= 8);
    for point in early {
        assert_near(
            &format!("at {} s", point.t_s),
            point.hottest_rise_k,
            exact(point.t_s),
            0.02,
        );
    }
}

#[test]
fn h12_composite_wall_settles_at_its_resistance() {
    // 500 W/m² through 45/.2 + 15/.25 + 35/.3 + 20/.25 + 700/50 µm per W/(m·K), then h 15: 33.58117 K.
    let mut case = small(
        Substrate::Steel.stack(),
        500.0,
        6000.0,
        cells((4, 4), DepthCells::Total(12), 2.0, Scheme::TwoStage),
    );
    case.losses_w_m2k = (0.0, 15.0);
    case.size_m = (0.4, 0.4);
    let result = case.run_still();
    assert_near("surface", surface(&result), 33.58117, 1e-5);
    let last = result.grid.depths_m.len() - 1;
    let across = surface(&result) - f64::from(final_layer(&result, last)[0]);
    // The last cell's middle lies half a cell above the inner face.
    assert!(
        (across - 0.247_833).abs() < 500.0 * 700e-6 / 50.0 + 1e-4,
        "{across}"
    );
}
