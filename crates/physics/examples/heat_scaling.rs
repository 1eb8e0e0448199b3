//! Times how the cost of the heat kernel grows, and what the machine could do.
//!
//! Cost against columns, passes and threads, each with the exponent of a
//! straight line through the logarithms (1 is linear); then the machine's own
//! limits on the same threads: streaming through memory and through the
//! second-level cache, and multiply-adds in registers.
//! Run: `cargo run --release -p lapwing-physics --example heat_scaling`.

#![allow(
    clippy::disallowed_methods,
    reason = "a benchmark has to read the clock and what the system counted"
)]

mod reference_case;

use std::hint::black_box;
use std::time::Instant;

use lapwing_measure::quantity::Time;
use lapwing_physics::heat::{Accuracy, Cells, DepthCells, Scheme};
use rayon::prelude::*;
use reference_case::{most_memory_kb, timed};
use uom::si::time::second;

fn main() {
    let cost = |columns: usize, passes: usize, threads: usize| {
        let (timing, result) = timed(threads, &grid(columns), passes);
        let steps = (columns * columns * 12 * result.grid.steps) as f64;
        println!(
            "{columns} x {columns} x 12, {passes} pass(es), {threads} thread(s): {:.3} s ({:.3} s of processor), {:.2e} cell-steps/s",
            timing.wall_s,
            timing.cpu_s,
            steps / timing.wall_s
        );
        timing.wall_s
    };
    let sizes = [60, 84, 120, 168];
    let by_size = sizes.map(|columns| ((columns * columns) as f64, cost(columns, 1, 2)));
    println!("exponent over the cells: {:.2}", exponent(&by_size));
    let by_pass = [1, 2, 4].map(|passes| (passes as f64, cost(120, passes, 2)));
    println!("exponent over the passes: {:.2}", exponent(&by_pass));
    let by_thread = [1, 2].map(|threads| (threads as f64, cost(120, 2, threads)));
    println!("exponent over the threads: {:.2}", exponent(&by_thread));
    println!("most memory: {} kB", most_memory_kb());
    for threads in [1, 2] {
        println!(
            "machine on {threads} thread(s): memory {:.1} GB/s, second-level cache {:.1} GB/s, multiply-adds {:.1} Gflop/s",
            on_all(threads, || stream_gb_s(1 << 24, 4)),
            on_all(threads, || stream_gb_s(1 << 16, 2000)),
            on_all(threads, multiply_add_gflop_s)
        );
    }
}

fn grid(columns: usize) -> Accuracy {
    Accuracy::Cells(Cells {
        nx: columns,
        ny: columns,
        nz: DepthCells::PerLayer(vec![3, 1, 2, 1, 5]),
        dt: Time::new::<second>(0.1),
        scheme: Scheme::BackwardEuler,
    })
}

/// Slope of the straight line through the logarithms (least squares).
fn exponent(points: &[(f64, f64)]) -> f64 {
    let logs: Vec<(f64, f64)> = points.iter().map(|(x, y)| (x.ln(), y.ln())).collect();
    let count = logs.len() as f64;
    let mean = |of: &dyn Fn(&(f64, f64)) -> f64| logs.iter().map(of).sum::<f64>() / count;
    let (x, y) = (mean(&|p| p.0), mean(&|p| p.1));
    let both: f64 = logs.iter().map(|p| (p.0 - x) * (p.1 - y)).sum();
    both / logs.iter().map(|p| (p.0 - x).powi(2)).sum::<f64>()
}

/// Adds up what every thread reaches at the same time.
fn on_all(threads: usize, work: impl Fn() -> f64 + Sync) -> f64 {
    let pool = rayon::ThreadPoolBuilder::new()
        .num_threads(threads)
        .build()
        .expect("a pool of threads");
    pool.install(|| {
        (0..threads)
            .into_par_iter()
            .with_max_len(1)
            .map(|_| work())
            .sum()
    })
}

/// a = b + s·c over single-precision arrays, best of five; 12 bytes a place.
fn stream_gb_s(places: usize, rounds: usize) -> f64 {
    let (mut a, b, c) = (
        vec![0.0_f32; places],
        vec![1.0_f32; places],
        vec![2.0_f32; places],
    );
    let mut best_s = f64::INFINITY;
    for _ in 0..5 {
        let start = Instant::now();
        for round in 0..rounds {
            let s = black_box(round as f32);
            for ((a, b), c) in a.iter_mut().zip(&b).zip(&c) {
                *a = b + s * c;
            }
            black_box(&mut a);
        }
        best_s = best_s.min(start.elapsed().as_secs_f64());
    }
    12e-9 * (places * rounds) as f64 / best_s
}

/// Fused multiply-adds in registers of the widest kind the kernel uses.
fn multiply_add_gflop_s() -> f64 {
    const ROUNDS: usize = 4_000_000;
    const LANES: usize = 96;
    let mut best_s = f64::INFINITY;
    for _ in 0..3 {
        let start = Instant::now();
        let level = fearless_simd::Level::new();
        black_box(fearless_simd::dispatch!(level, _simd => chain::<LANES>(ROUNDS)));
        best_s = best_s.min(start.elapsed().as_secs_f64());
    }
    2e-9 * (ROUNDS * LANES) as f64 / best_s
}

#[inline(always)]
fn chain<const LANES: usize>(rounds: usize) -> [f32; LANES] {
    let mut sums = [1.0_f32; LANES];
    for _ in 0..rounds {
        for sum in &mut sums {
            *sum = sum.mul_add(0.999, 0.001);
        }
    }
    sums
}
