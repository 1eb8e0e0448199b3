//! The reference case of the benchmarks, and how it is timed.
//!
//! One section of 0.61 m, clear, base, primer and e-coat on 0.7 mm steel, four
//! cross-hatched passes of a 125 mm rotary pad at 25.4 mm/s with lines 60.6 mm
//! apart, 40 N, 1500 rpm, friction share 0.3. `benches/heat_numpy.py` steps the
//! same cells with numpy.

use std::f64::consts::PI;
use std::time::Instant;

use lapwing_measure::quantity::{HeatTransfer, Length, TemperatureDifference, Time, Velocity};
use lapwing_physics::heat::{
    Accuracy, AirContact, FluxFootprint, FnPath, HeatProblem, HeatResult, HeatWatch, PadMoment,
    Panel, Rim, Substrate, solve_heat,
};
use uom::si::heat_transfer::watt_per_square_meter_kelvin;
use uom::si::length::meter;
use uom::si::temperature_interval::kelvin;
use uom::si::time::second;
use uom::si::velocity::meter_per_second;

const SIZE_M: f64 = 0.61;
const RADIUS_M: f64 = 0.0625;
const SPEED_M_S: f64 = 0.0254;
const LINES: usize = 9;
pub(crate) const PASSES: usize = 4;
const POWER_FLUX_FACTOR: f64 = 0.3 * 40.0 * 1500.0 * 2.0 * PI / 60.0;

/// Best of three, by the clock and by the processor time of all threads.
pub(crate) struct Timing {
    pub(crate) wall_s: f64,
    pub(crate) cpu_s: f64,
}

pub(crate) fn timed(threads: usize, accuracy: &Accuracy, passes: usize) -> (Timing, HeatResult) {
    let pool = rayon::ThreadPoolBuilder::new()
        .num_threads(threads)
        .build()
        .expect("a pool of threads");
    let mut best = Timing {
        wall_s: f64::INFINITY,
        cpu_s: f64::INFINITY,
    };
    let mut result = None;
    for _ in 0..3 {
        let (start, used_s) = (Instant::now(), processor_s());
        result = Some(pool.install(|| section(accuracy, passes)));
        best.wall_s = best.wall_s.min(start.elapsed().as_secs_f64());
        best.cpu_s = best.cpu_s.min(processor_s() - used_s);
    }
    (best, result.expect("three runs"))
}

/// Processor time of all threads so far, in the system's hundredths of a second.
pub(crate) fn processor_s() -> f64 {
    let text = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    let after_name = text.rsplit(')').next().unwrap_or("");
    let ticks = |place: usize| {
        after_name
            .split_whitespace()
            .nth(place)
            .and_then(|t| t.parse::<f64>().ok())
            .unwrap_or(f64::NAN)
    };
    0.01 * (ticks(11) + ticks(12))
}

/// Runs the first passes of the reference case.
pub(crate) fn section(accuracy: &Accuracy, passes: usize) -> HeatResult {
    let metre = Length::new::<meter>;
    let loss = HeatTransfer::new::<watt_per_square_meter_kelvin>;
    let ends: Vec<Time> = (1..=passes)
        .map(|pass| Time::new::<second>(pass_s() * pass as f64))
        .collect();
    let problem = HeatProblem {
        layers: &Substrate::Steel.stack(),
        panel: Panel {
            size_x: metre(SIZE_M),
            size_y: metre(SIZE_M),
            rim: Rim::Insulated,
        },
        air: AirContact {
            outside: loss(10.0),
            inside: loss(5.0),
            start_over_air: TemperatureDifference::new::<kelvin>(0.0),
        },
        footprints: &[rotary()],
        path: &FnPath::new(Velocity::new::<meter_per_second>(SPEED_M_S), cross_hatch),
        duration: Time::new::<second>(pass_s() * passes as f64),
        pass_ends: &ends,
        thresholds: &[],
        probes: &[],
        accuracy,
    };
    solve_heat(&problem, HeatWatch::default()).expect("the reference case is allowed")
}

/// Pressure times speed of a turning disc: q = ημ·F/(πR²)·ω·r.
fn rotary() -> FluxFootprint {
    let (cells, cell_m) = (128, 2.0 * RADIUS_M / 128.0);
    let centre = |index: usize| (index as f64 + 0.5 - 64.0) * cell_m;
    let flux = |at: usize| {
        let r = centre(at % cells).hypot(centre(at / cells));
        if r < RADIUS_M {
            POWER_FLUX_FACTOR / (PI * RADIUS_M * RADIUS_M) * r
        } else {
            0.0
        }
    };
    let mut values: Vec<f64> = (0..cells * cells).map(flux).collect();
    let power: f64 = values.iter().sum::<f64>() * cell_m * cell_m;
    let exact = POWER_FLUX_FACTOR * 2.0 / 3.0 * RADIUS_M;
    values.iter_mut().for_each(|q| *q *= exact / power);
    FluxFootprint::new(cells, Length::new::<meter>(cell_m), &values).expect("a sound table")
}

fn line_m() -> f64 {
    SIZE_M - 2.0 * RADIUS_M
}

pub(crate) fn pass_s() -> f64 {
    (LINES as f64 + 1.0) * line_m() / SPEED_M_S
}

/// There and back over the lines; every second pass with x and y exchanged.
fn cross_hatch(t_s: f64) -> PadMoment {
    let pass = ((t_s / pass_s()) as usize).min(PASSES - 1);
    let mut run_m = (t_s - pass as f64 * pass_s()) * SPEED_M_S;
    let gap_m = line_m() / (LINES as f64 - 1.0);
    let line = ((run_m / (line_m() + gap_m)) as usize).min(LINES - 1);
    run_m -= line as f64 * (line_m() + gap_m);
    let along = run_m.min(line_m());
    let along = if line.is_multiple_of(2) {
        along
    } else {
        line_m() - along
    };
    let across = line as f64 * gap_m + (run_m - line_m()).clamp(0.0, gap_m);
    let (u, v) = (RADIUS_M + along, RADIUS_M + across);
    if pass.is_multiple_of(2) {
        PadMoment::at(u, v)
    } else {
        PadMoment::at(v, u)
    }
}

/// Peak of the resident set as the system counts it.
pub(crate) fn most_memory_kb() -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status
        .lines()
        .find(|line| line.starts_with("VmHWM"))
        .unwrap_or("");
    line.split_whitespace()
        .nth(1)
        .and_then(|kb| kb.parse().ok())
        .unwrap_or(0)
}
