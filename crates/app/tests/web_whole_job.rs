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

/// A slider answers within so many ms.
const ANSWER_MS: f64 = 150.0;

fn live(mut person: Person) {
    first_half::kit(&person);
    first_half::enquiry(&mut person);
    first_half::walk_round(&person);
    first_half::wash(&person);
    first_half::readings(&person);
    first_half::film(&person);
    first_half::trial(&person);
    let answer_ms = second_half::bench(&person);
    assert!(answer_ms < ANSWER_MS, "a slider took {answer_ms:.0} ms");
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
