//! Words and pictures: what a person sees of a job.
//!
//! This crate computes no physical value. It takes finished numbers and makes
//! text and pictures of them; it reads no file and no clock.
//!
//! - [`figure`]: SVG pictures;
//! - [`bench_words`], [`bench_pictures`]: a pass on the bench;
//! - [`bench_compare`]: two passes side by side;
//! - [`bench_series`], [`bench_series_pictures`]: a pass with keys varied;
//! - [`bench_page_pictures`]: the same on a page, in the reader's language;
//! - [`calendar`]: the care of a car for the owner's phone;
//! - [`briefing`]: what the terminal says of a plan, top to bottom;
//! - [`film_page_pictures`]: the car by what the gauge says;
//! - [`tables`]: what the terminal says of readings and of a day;
//! - [`film_pictures`]: the film map of a panel;
//! - [`label`]: the small label with the seal;
//! - [`pictures`]: the pictures that go with a plan;
//! - [`record_words`], [`record_sheet`]: the hand-over record;
//! - [`sheet_words`]: what the paper sheet of a plan says;
//! - [`trial_words`], [`trial_pictures`]: what a test spot taught;
//! - [`words`]: numbers as people read them.

pub mod bench_compare;
mod bench_finish_words;
mod bench_measures;
pub mod bench_page_pictures;
pub mod bench_pictures;
pub mod bench_series;
pub mod bench_series_pictures;
pub mod bench_words;
pub mod briefing;
pub mod calendar;
pub mod figure;
pub mod film_page_pictures;
pub mod film_pictures;
pub mod label;
pub mod pictures;
pub mod record_sheet;
pub mod record_words;
pub mod sheet_words;
pub mod tables;
pub mod trial_pictures;
pub mod trial_words;
pub mod words;
