//! A made-up exact solution through all layers, for the order of convergence.
//!
//! Law: under a flux q = A·cos(πx/L)·cos(πy/L)·e^{σt} every layer holds
//! T = cos·cos·e^{σt}·(a·cosh κz + b·sinh κz)/…, κ² = σ/α + 2(π/L)²; value and
//! flux pass the layer as T′ = T·C + Q·S/(kκ), Q′ = T·kκ·S + Q·C (transfer
//! matrix, z towards the surface). Losses at both faces enter as Q = h·T. What
//! the start at rest leaves dies away against the growth as e^{−σt}.
//! Source: separation of variables; method of manufactured solutions (Roache,
//! J. Fluids Eng. 124 (2002) 4, MEMORY).
//! Holds: any stack. Left out: nothing that the kernel does.
//! Checked by: this is the check.

use std::f64::consts::PI;

use super::*;
use crate::heat::Substrate;

const SIDE_M: f64 = 0.2;
const FLUX_W_M2: f64 = 6000.0;
const LOSSES: (f64, f64) = (30.0, 15.0);

/// Surface amplitude at the end for one mode; `waves` 0 is the even one.
fn surface(layers: &[Layer], sigma: f64, waves: f64) -> f64 {
    use uom::si::{
        mass_density::kilogram_per_cubic_meter, specific_heat_capacity::joule_per_kilogram_kelvin,
        thermal_conductivity::watt_per_meter_kelvin,
    };
    let sideways = 2.0 * (waves * PI / SIDE_M).powi(2);
    let (mut value, mut flux) = (1.0, LOSSES.1);
    for layer in layers.iter().rev() {
        let k = layer.conductivity.get::<watt_per_meter_kelvin>();
        let rho = layer.density.get::<kilogram_per_cubic_meter>();
        let capacity = rho * layer.heat_capacity.get::<joule_per_kilogram_kelvin>();
        let kappa = (sigma * capacity / k + sideways).sqrt();
        let (c, s) = (
            (kappa * layer.thickness.get::<meter>()).cosh(),
            (kappa * layer.thickness.get::<meter>()).sinh(),
        );
        (value, flux) = (
            value * c + flux * s / (k * kappa),
            value * k * kappa * s + flux * c,
        );
    }
    FLUX_W_M2 * value / (flux + LOSSES.0 * value)
}

/// Flux FLUX·(1 + cos·cos), cell means exact, on a table of n by n.
fn wavy(n: usize) -> FluxFootprint {
    let mean = |i: usize| {
        let edge = |i: usize| (PI * i as f64 / n as f64).sin();
        (edge(i + 1) - edge(i)) * n as f64 / PI
    };
    let flux: Vec<f64> = (0..n * n)
        .map(|at| FLUX_W_M2 * (1.0 + mean(at % n) * mean(at / n)))
        .collect();
    FluxFootprint::new(n, Length::new::<meter>(SIDE_M / n as f64), &flux).expect("a sound table")
}

/// The wave's amplitude on the surface at the end, and the even part.
fn computed(
    layers: &[Layer],
    grid: (usize, Vec<usize>),
    step_s: f64,
    scheme: Scheme,
    sigma: f64,
) -> (f64, f64) {
    let (n, per_layer) = grid;
    let duration_s = 20.0 / sigma;
    let mut case = Case::still(layers.to_vec(), wavy(n * 2), duration_s);
    case.size_m = (SIDE_M, SIDE_M);
    case.losses_w_m2k = LOSSES;
    case.accuracy = cells((n, n), DepthCells::PerLayer(per_layer), step_s, scheme);
    let result = case.run(&move |t_s| PadMoment {
        strength_frac: (sigma * (t_s - duration_s)).exp(),
        ..PadMoment::at(0.5 * SIDE_M, 0.5 * SIDE_M)
    });
    let wave = |i: usize| (PI * (i as f64 + 0.5) / n as f64).cos();
    let cells = result.final_surface_rise_k.iter().enumerate();
    let project: f64 = cells
        .map(|(at, k)| f64::from(*k) * wave(at % n) * wave(at / n))
        .sum();
    let even: f64 = result
        .final_surface_rise_k
        .iter()
        .map(|k| f64::from(*k))
        .sum();
    let count = (n * n) as f64;
    (4.0 * project / count, even / count)
}

#[test]
fn the_layered_panel_follows_the_exact_growing_mode() {
    // Twice the demand's sharpness: 1 % on paint over steel, over plastic and on laminate-like stacks.
    for (substrate, per_layer) in [
        (Substrate::Steel, vec![3, 1, 2, 1, 2]),
        (Substrate::Aluminium, vec![3, 1, 2, 1, 2]),
        (Substrate::Polypropylene, vec![3, 1, 2, 60]),
    ] {
        let layers = substrate.stack();
        for sigma in [0.2_f64, 2.0] {
            let (wave, even) = computed(
                &layers,
                (32, per_layer.clone()),
                0.02 / sigma.max(0.5),
                Scheme::TwoStage,
                sigma,
            );
            assert_near(
                &format!("{substrate:?} wave, growth {sigma}/s"),
                wave,
                surface(&layers, sigma, 1.0),
                0.01,
            );
            assert_near(
                &format!("{substrate:?} even, growth {sigma}/s"),
                even,
                surface(&layers, sigma, 0.0),
                0.01,
            );
        }
    }
}

#[test]
fn halving_the_step_quarters_the_error_of_the_two_stage_scheme_and_halves_that_of_the_simple_one() {
    // Time error alone: against a run with steps so short that nothing is left of it, even part. Above
    // 0.05 s the film is stiff and the order of any two-stage scheme falls (here to 1.4).
    let layers = Substrate::Polypropylene.stack();
    let grid = || (8, vec![3, 1, 2, 12]);
    let even = |step_s: f64, scheme: Scheme| computed(&layers, grid(), step_s, scheme, 2.0).1;
    let limit = even(0.002, Scheme::TwoStage);
    let order = |scheme: Scheme| {
        ((even(0.05, scheme) - limit) / (even(0.025, scheme) - limit))
            .abs()
            .log2()
    };
    let (two_stage, simple) = (order(Scheme::TwoStage), order(Scheme::BackwardEuler));
    assert!(two_stage > 1.7 && two_stage < 2.3, "order {two_stage}");
    assert!(simple > 0.85 && simple < 1.3, "order {simple}");
}

#[test]
fn halving_the_cells_of_a_layered_block_quarters_the_error_in_space() {
    // Three unlike layers, each thick against its cells, all three directions halved together.
    let layers = vec![
        Layer::from_si("stone", 6_000.0, 2.0, 2400.0, 900.0),
        Layer::from_si("steel", 20_000.0, 50.0, 7850.0, 470.0),
        Layer::from_si("glass", 8_000.0, 1.0, 2500.0, 800.0),
    ];
    let sigma = 0.2;
    let exact = surface(&layers, sigma, 1.0);
    let error = |n: usize| {
        let per_layer = vec![n, n / 2, n / 2];
        (computed(&layers, (n, per_layer), 0.01, Scheme::TwoStage, sigma).0 - exact).abs()
    };
    let (coarse, fine) = (error(8), error(16));
    let order = (coarse / fine).log2();
    assert!(
        order > 1.7 && order < 2.4,
        "order {order}, errors {coarse} {fine}"
    );
}

#[test]
fn halving_the_cells_quarters_the_error_in_space() {
    // One thick layer, all three directions halved together, steps short.
    let layers = vec![Layer::from_si("steel block", 40_000.0, 50.0, 7850.0, 470.0)];
    let sigma = 0.2;
    let exact = surface(&layers, sigma, 1.0);
    let error = |n: usize| {
        (computed(&layers, (n, vec![n / 2]), 0.01, Scheme::TwoStage, sigma).0 - exact).abs()
    };
    let (coarse, fine) = (error(8), error(16));
    let order = (coarse / fine).log2();
    assert!(
        order > 1.7 && order < 2.4,
        "order {order}, errors {coarse} {fine}"
    );
}
