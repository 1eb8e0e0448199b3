//! Times the heat kernel piece by piece: one small section at each fineness.
//!
//! Run: `cargo bench -p lapwing-physics --bench heat`.

use divan::counter::ItemsCount;
use lapwing_measure::quantity::{HeatTransfer, Length, TemperatureDifference, Time, Velocity};
use lapwing_physics::heat::{
    Accuracy, AirContact, Cells, DepthCells, FluxFootprint, FnPath, HeatProblem, HeatResult,
    HeatWatch, PadMoment, Panel, Rim, Scheme, Substrate, solve_heat,
};
use uom::si::heat_transfer::watt_per_square_meter_kelvin;
use uom::si::length::meter;
use uom::si::temperature_interval::kelvin;
use uom::si::time::second;
use uom::si::velocity::meter_per_second;

fn main() {
    divan::main();
}

const SIDE_M: f64 = 0.3;
const SECONDS: f64 = 8.0;

/// A pad that runs over a section of 0.3 m for eight seconds.
fn run(substrate: Substrate, accuracy: &Accuracy) -> HeatResult {
    let metre = Length::new::<meter>;
    let loss = HeatTransfer::new::<watt_per_square_meter_kelvin>;
    let pad = FluxFootprint::new(50, metre(0.0025), &[6000.0; 2500]).expect("a sound table");
    let path = FnPath::new(Velocity::new::<meter_per_second>(0.0254), |t_s| {
        PadMoment::at(0.05 + 0.0254 * t_s, 0.15)
    });
    let problem = HeatProblem {
        layers: &substrate.stack(),
        panel: Panel {
            size_x: metre(SIDE_M),
            size_y: metre(SIDE_M),
            rim: Rim::Insulated,
        },
        air: AirContact {
            outside: loss(10.0),
            inside: loss(5.0),
            start_over_air: TemperatureDifference::new::<kelvin>(0.0),
        },
        footprints: &[pad],
        path: &path,
        duration: Time::new::<second>(SECONDS),
        pass_ends: &[],
        thresholds: &[],
        probes: &[],
        accuracy,
    };
    solve_heat(&problem, HeatWatch::default()).expect("the job is allowed")
}

const SUBSTRATES: [Substrate; 4] = [
    Substrate::Steel,
    Substrate::Aluminium,
    Substrate::Polypropylene,
    Substrate::Laminate,
];

#[divan::bench(args = SUBSTRATES)]
fn interactive(substrate: Substrate) -> f64 {
    run(substrate, &Accuracy::Interactive).peak_rise_k
}

#[divan::bench(args = SUBSTRATES, sample_count = 10)]
fn full(substrate: Substrate) -> f64 {
    run(substrate, &Accuracy::Full).peak_rise_k
}

/// Every column at every step, 12 cells deep: the bare kernel in cell-steps.
#[divan::bench(args = [Scheme::BackwardEuler, Scheme::TwoStage])]
fn every_column(bencher: divan::Bencher<'_, '_>, scheme: Scheme) {
    let accuracy = Accuracy::Cells(Cells {
        nx: 60,
        ny: 60,
        nz: DepthCells::Total(12),
        dt: Time::new::<second>(0.1),
        scheme,
    });
    bencher
        .counter(ItemsCount::new(60_usize * 60 * 12 * 80))
        .bench(|| run(Substrate::Steel, &accuracy).peak_rise_k);
}
