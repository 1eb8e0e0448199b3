//! Checks of the temperatures against what does not come from us.
//!
//! Law: each check names its closed form or its reference and the bound with
//! the reason for it.
//! Holds: bounds are the demand on the kernel (surface within 2 % from the first
//! second of contact) or the printing of the reference, never our own error.
//! Left out: measured panels; no logged temperatures with a stated force were
//! found in public.
//! Checked by: this is the check.

mod closed_forms;
mod columns;
mod discs;
mod growing_modes;
mod habits;
mod laws_at_random;
mod rounds;
mod sections;

use lapwing_measure::quantity::{HeatTransfer, Length, TemperatureDifference, Time, Velocity};
use uom::si::heat_transfer::watt_per_square_meter_kelvin;
use uom::si::length::meter;
use uom::si::temperature_interval::kelvin;
use uom::si::time::second;
use uom::si::velocity::meter_per_second;

use super::{
    Accuracy, AirContact, Cells, DepthCells, FluxFootprint, FnPath, HeatProblem, HeatResult,
    HeatWatch, Layer, PadMoment, Panel, Rim, Scheme, solve_heat,
};

/// A job in bare numbers, with values most checks share.
#[derive(Clone, Debug)]
struct Case {
    layers: Vec<Layer>,
    size_m: (f64, f64),
    rim: Rim,
    losses_w_m2k: (f64, f64),
    footprint: FluxFootprint,
    speed_m_s: f64,
    duration_s: f64,
    pass_ends_s: Vec<f64>,
    probes_m: Vec<(f64, f64)>,
    thresholds_k: Vec<f64>,
    start_k: f64,
    accuracy: Accuracy,
}

impl Case {
    fn still(layers: Vec<Layer>, footprint: FluxFootprint, duration_s: f64) -> Self {
        Self {
            layers,
            size_m: (0.4, 0.4),
            rim: Rim::Insulated,
            losses_w_m2k: (0.0, 0.0),
            footprint,
            speed_m_s: 0.0,
            duration_s,
            pass_ends_s: Vec::new(),
            probes_m: Vec::new(),
            thresholds_k: Vec::new(),
            start_k: 0.0,
            accuracy: Accuracy::Full,
        }
    }

    /// Runs with the pad in the panel's middle.
    fn run_still(&self) -> HeatResult {
        let (x, y) = (0.5 * self.size_m.0, 0.5 * self.size_m.1);
        self.run(&move |_| PadMoment::at(x, y))
    }

    fn run(&self, place: &(dyn Fn(f64) -> PadMoment + Sync)) -> HeatResult {
        let result = self
            .try_run(place, HeatWatch::default())
            .expect("the case is allowed");
        assert!(
            result.energy.balance_frac < 1e-5,
            "the books gape by {}",
            result.energy.balance_frac
        );
        result
    }

    fn try_run(
        &self,
        place: &(dyn Fn(f64) -> PadMoment + Sync),
        watch: HeatWatch<'_>,
    ) -> Result<HeatResult, super::HeatError> {
        self.pose(place, |problem| solve_heat(problem, watch))
    }

    /// Hands the case to `solve` as a problem.
    fn pose<T>(
        &self,
        place: &(dyn Fn(f64) -> PadMoment + Sync),
        solve: impl FnOnce(&HeatProblem<'_>) -> T,
    ) -> T {
        let metre = Length::new::<meter>;
        let loss = HeatTransfer::new::<watt_per_square_meter_kelvin>;
        let interval = TemperatureDifference::new::<kelvin>;
        let ends: Vec<Time> = self
            .pass_ends_s
            .iter()
            .map(|&t| Time::new::<second>(t))
            .collect();
        let probes: Vec<(Length, Length)> = self
            .probes_m
            .iter()
            .map(|&(x, y)| (metre(x), metre(y)))
            .collect();
        let thresholds: Vec<TemperatureDifference> =
            self.thresholds_k.iter().map(|&k| interval(k)).collect();
        let problem = HeatProblem {
            layers: &self.layers,
            panel: Panel {
                size_x: metre(self.size_m.0),
                size_y: metre(self.size_m.1),
                rim: self.rim,
            },
            air: AirContact {
                outside: loss(self.losses_w_m2k.0),
                inside: loss(self.losses_w_m2k.1),
                start_over_air: interval(self.start_k),
            },
            footprints: std::slice::from_ref(&self.footprint),
            path: &FnPath::new(Velocity::new::<meter_per_second>(self.speed_m_s), place),
            duration: Time::new::<second>(self.duration_s),
            pass_ends: &ends,
            thresholds: &thresholds,
            probes: &probes,
            accuracy: &self.accuracy,
        };
        solve(&problem)
    }
}

fn cells(n: (usize, usize), nz: DepthCells, step_s: f64, scheme: Scheme) -> Accuracy {
    Accuracy::Cells(Cells {
        nx: n.0,
        ny: n.1,
        nz,
        dt: Time::new::<second>(step_s),
        scheme,
    })
}

/// The same flux everywhere on panels up to a metre.
fn everywhere(flux_w_m2: f64) -> FluxFootprint {
    FluxFootprint::new(1, Length::new::<meter>(1.0), &[flux_w_m2]).expect("a sound table")
}

/// A table of a function of the place, averaged over 8 × 8 points of each
/// cell, rescaled to a power in W.
fn table(cells: usize, side_m: f64, power_w: f64, flux: impl Fn(f64, f64) -> f64) -> FluxFootprint {
    let cell_m = side_m / cells as f64;
    let fine = |index: usize, part: usize| {
        (index as f64 + (part as f64 + 0.5) / 8.0) * cell_m - 0.5 * side_m
    };
    let mean = |at: usize| {
        let (i, j) = (at % cells, at / cells);
        (0..64)
            .map(|part| flux(fine(i, part % 8), fine(j, part / 8)))
            .sum::<f64>()
            / 64.0
    };
    let mut values: Vec<f64> = (0..cells * cells).map(mean).collect();
    let now_w = values.iter().sum::<f64>() * cell_m * cell_m;
    values.iter_mut().for_each(|q| *q *= power_w / now_w);
    FluxFootprint::new(cells, Length::new::<meter>(cell_m), &values).expect("a sound table")
}

/// An even disc.
fn disc(radius_m: f64, flux_w_m2: f64) -> FluxFootprint {
    let power_w = std::f64::consts::PI * radius_m * radius_m * flux_w_m2;
    table(96, 2.0 * radius_m, power_w, |x, y| {
        f64::from(u8::from(x.hypot(y) < radius_m))
    })
}

fn assert_near(what: &str, value: f64, reference: f64, relative: f64) {
    let gap = (value - reference).abs() / reference.abs();
    assert!(
        gap <= relative,
        "{what}: {value} against {reference}, off by {:.3} %, allowed {:.3} %",
        100.0 * gap,
        100.0 * relative
    );
}

/// A map's value at a place, straight between the cell middles.
fn map_at(result: &HeatResult, map: &[f32], size_m: (f64, f64), place_m: (f64, f64)) -> f64 {
    let along = |place: f64, size: f64, cells: usize| {
        let at = (place / size * cells as f64 - 0.5).clamp(0.0, (cells - 1) as f64);
        let low = (at as usize).min(cells - 2);
        (low, at - low as f64)
    };
    let (i, fx) = along(place_m.0, size_m.0, result.grid.columns);
    let (j, fy) = along(place_m.1, size_m.1, result.grid.rows);
    let cell = |i: usize, j: usize| f64::from(map[j * result.grid.columns + i]);
    (1.0 - fy) * ((1.0 - fx) * cell(i, j) + fx * cell(i + 1, j))
        + fy * ((1.0 - fx) * cell(i, j + 1) + fx * cell(i + 1, j + 1))
}

/// One depth layer of the final field.
fn final_layer(result: &HeatResult, depth: usize) -> &[f32] {
    let size = result.grid.columns * result.grid.rows;
    &result.final_rise_k[depth * size..(depth + 1) * size]
}
