//! The long run of simulated trials: 500 for evenness, 1000 for coverage.
//!
//! Law: see `tests/simulated`.
//! Source: the same.
//! Holds: prints a line for each number looked at; ends with 1 when one fails.
//! Left out: the short run, which the tests do.
//! Checked by: eye; figures stand in the crate's notes.

#[path = "../tests/simulated/mod.rs"]
mod simulated;

use std::process::ExitCode;

use simulated::{LOOKED_AT, covered, evenness, places};

fn main() -> ExitCode {
    let found = places(1000, 4_711);
    let mut is_good = true;
    for (at, what) in LOOKED_AT.iter().enumerate() {
        let shares: Vec<f64> = found.iter().map(|p| p.shares[at]).collect();
        let (statistic, most) = evenness(&shares[..500], 20);
        let inside = covered(&shares);
        let holds = statistic < most && (0.93..=0.97).contains(&inside);
        println!(
            "{what:<22} chi-squared {statistic:6.2} (at most {most:.2}), inside the 95 % interval {:.1} %{}",
            100.0 * inside,
            if holds { "" } else { "  FAILS" }
        );
        is_good &= holds;
    }
    if is_good {
        ExitCode::SUCCESS
    } else {
        ExitCode::from(1)
    }
}
