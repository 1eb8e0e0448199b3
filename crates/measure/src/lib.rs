//! Quantities with units, how sure they are, and where they come from.
//!
//! This is the ground floor of the house: every other room imports it and it
//! imports none of ours. It knows nothing of cars, pads or money, reads no
//! file and no clock. The list of its rooms is closed (`tidy` checks it):
//!
//! - [`quantity`]: lengths, speeds, temperatures and their relatives as types,
//!   read from what people write and printed in metric or US customary units;
//! - [`estimate`]: a value with its uncertainty and its provenance;
//! - [`source`]: the literature our constants and laws come from;
//! - [`statistics`]: what repeated readings can and cannot say.

pub mod estimate;
pub mod quantity;
pub mod source;
pub mod statistics;

pub use estimate::{Estimate, Provenance};
pub use source::Source;
