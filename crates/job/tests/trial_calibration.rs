//! A hundred simulated trials: are the answers as sure as they say?
//!
//! Five hundred and a thousand: `cargo run --release -p lapwing-job --example
//! trial_calibration`.

mod simulated;

use simulated::{LOOKED_AT, covered, evenness, places};

#[test]
fn truths_lie_evenly_in_their_posteriors_and_19_in_20_inside_the_interval() {
    let found = places(100, 20_260_101);
    for (at, what) in LOOKED_AT.iter().enumerate() {
        let shares: Vec<f64> = found.iter().map(|p| p.shares[at]).collect();
        let (statistic, most) = evenness(&shares, 10);
        assert!(
            statistic < most,
            "{what}: chi-squared {statistic} over {most}"
        );
        // Binomial, 100 at 0.95: 88 or fewer happen 4 times in 1000.
        assert!(covered(&shares) > 0.88, "{what}: {}", covered(&shares));
    }
}

#[test]
fn shares_crowded_at_one_end_are_found_out() {
    let crowded: Vec<f64> = (0..100).map(|i| f64::from(i) / 140.0).collect();
    let (statistic, most) = evenness(&crowded, 10);
    assert!(statistic > most);
}
