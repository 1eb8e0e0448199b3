//! The whole job in one go, on a phone and on a tablet: from the start page
//! over enquiry, walk-round, wash, readings, film, test spot, bench, plan,
//! work, coat and proof to the owner's link; with double taps on the saving
//! buttons, the back button, a reload in the middle of the work and a session
//! that ends twice.
//!
//! Pictures of every page are kept under `target/screenshots/whole-*`.

#![allow(
    clippy::disallowed_methods,
    reason = "the tests measure time and keep files to upload"
)]

mod bay;
mod whole;

use whole::{Person, first_half, second_half};

/// A slider answers within so many ms; on a machine that others keep busy it
/// is only held to the second number, and that is said.
const ANSWER_MS: [f64; 2] = [150.0, 1500.0];

fn is_busy() -> bool {
    let load = std::fs::read_to_string("/proc/loadavg").unwrap_or_default();
    let minute: f64 = load
        .split(' ')
        .next()
        .and_then(|l| l.parse().ok())
        .unwrap_or(0.0);
    let cores = std::thread::available_parallelism().map_or(2, usize::from);
    minute > cores as f64
}

fn live(mut person: Person) {
    first_half::kit(&person);
    first_half::enquiry(&mut person);
    first_half::walk_round(&person);
    first_half::wash(&person);
    first_half::readings(&person);
    first_half::film(&person);
    first_half::trial(&person);
    let answer_ms = second_half::bench(&person);
    let most_ms = ANSWER_MS[usize::from(is_busy())];
    eprintln!("a slider's median answer: {answer_ms:.0} ms, held to {most_ms} ms");
    assert!(answer_ms < most_ms, "a slider took {answer_ms:.0} ms");
    second_half::plan(&person);
    second_half::work(&person);
    second_half::coat(&person);
    second_half::prove(&person);
    second_half::hand_over(&person);
}

#[test]
fn the_whole_job_on_a_phone() {
    if let Some(person) = Person::new((390, 844), "en", "light") {
        live(person);
    }
}

#[test]
fn the_whole_job_on_a_tablet_in_german_and_a_dark_bay() {
    if let Some(person) = Person::new((1024, 768), "de", "bay") {
        live(person);
    }
}
