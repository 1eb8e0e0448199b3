//! Times the heat kernel on the reference case, on one thread and on two.
//!
//! 120 × 120 × 12 cells and 7,636 steps, as in `benches/heat_numpy.py`; then the
//! answers as a user gets them, with the error they state.
//! Run: `cargo run --release -p lapwing-physics --example heat_reference`.

#![allow(
    clippy::disallowed_methods,
    reason = "a benchmark has to read the clock and what the system counted"
)]

mod reference_case;

use lapwing_measure::quantity::Time;
use lapwing_physics::heat::{Accuracy, Cells, DepthCells, Scheme};
use reference_case::{PASSES, most_memory_kb, pass_s, timed};
use uom::si::time::second;

fn main() {
    let only = std::env::args().nth(1).unwrap_or_default();
    println!(
        "reference case: steel, 0.61 m section, four cross-hatched passes, 120 x 120 x 12 cells"
    );
    for (name, scheme) in [
        ("first order", Scheme::BackwardEuler),
        ("two-stage", Scheme::TwoStage),
    ] {
        for threads in [1, 2].into_iter().filter(|_| name.contains(&only)) {
            let (timing, result) = timed(threads, &reference(scheme), PASSES);
            let work = 120.0 * 120.0 * 12.0 * result.grid.steps as f64;
            println!(
                "{name:<12} {threads} thread(s): {:.3} s ({:.3} s of processor), {} steps, {:.2e} cell-steps/s, \
                 peaks {:.2?} K, books {:.1e}",
                timing.wall_s,
                timing.cpu_s,
                result.grid.steps,
                work / timing.wall_s,
                result.pass_peak_rise_k,
                result.energy.balance_frac
            );
        }
    }
    for (name, accuracy) in [
        ("interactive", Accuracy::Interactive),
        ("full", Accuracy::Full),
    ] {
        for threads in [1, 2].into_iter().filter(|_| name.contains(&only)) {
            let (timing, result) = timed(threads, &accuracy, PASSES);
            println!(
                "{name:<12} {threads} thread(s): {:.3} s ({:.3} s of processor), {} x {} x {} cells, {} steps, \
                 peaks {:.2?} K, stated error {:.2} K",
                timing.wall_s,
                timing.cpu_s,
                result.grid.columns,
                result.grid.rows,
                result.grid.depths_m.len(),
                result.grid.steps,
                result.pass_peak_rise_k,
                result.peak_error_k.unwrap_or(f64::NAN)
            );
        }
    }
    println!("most memory: {} kB", most_memory_kb());
}

/// The reference grid and step.
fn reference(scheme: Scheme) -> Accuracy {
    let nz = DepthCells::PerLayer(vec![3, 1, 2, 1, 5]);
    Accuracy::Cells(Cells {
        nx: 120,
        ny: 120,
        nz,
        dt: Time::new::<second>(pass_s() * 4.0 / 7636.0),
        scheme,
    })
}
