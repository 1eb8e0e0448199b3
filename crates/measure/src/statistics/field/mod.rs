//! A smooth field over a plane from scattered readings, with how sure it is
//! everywhere.
//!
//! Law: a Gaussian process. Readings y = f(x) + e, covariance of f between two
//! places k(x, x′), variance of e given for each reading; the field at a place
//! is then bell-shaped with mean kᵀK⁻¹(y − m) + m and variance k(x, x) − kᵀK⁻¹k.
//! Source: [`Source::RasmussenWilliams2006`] ch. 2 and 5; an unknown level with
//! no prior is ordinary kriging, [`Source::Cressie1993`] ch. 3.
//! Holds: for readings in one unit and places in one unit, whatever they are;
//! far from every reading the field goes back to its level and its full spread.
//! Left out: trends, fields that are rough at some places and smooth at others.
//! Checked by: scikit-learn and PyKrige in `validation`, and the tests of each
//! page.
//!
//! - [`kernel`]: how alike two places are by their distance;
//! - [`process`]: the field once the kernel is known;
//! - [`mod@learn`]: the kernel from the readings and from what is believed before;
//! - [`doubt`]: how far that kernel may be off;
//! - [`lattice`]: the field on a fine lattice;
//! - [`nearest`]: the readings around a place, for fields with very many;
//! - [`mod@lowest`]: how low the lowest of several places may lie;
//! - [`gain`]: what one more reading is worth to a decision.

pub mod doubt;
pub mod gain;
pub mod kernel;
mod lanes;
pub mod lattice;
pub mod learn;
mod linear;
pub mod lowest;
pub mod nearest;
pub mod process;
mod tiles;

pub use doubt::plausible;
pub use gain::{Choice, most_telling, reading_gains, set_gain};
pub use kernel::{Kernel, Shape};
pub use lattice::Lattice;
pub use learn::{
    Belief, Beliefs, Learned, Likelihood, Ranges, Repeated, learn, log_likelihood, pick,
};
pub use lowest::{Draws, lowest};
pub use nearest::Neighbours;
pub use process::{Joint, LeftOut, Level, Observations, Prediction, Process};

use crate::source::Source;

/// Where the formulas are printed.
pub const SOURCES: [Source; 2] = [Source::RasmussenWilliams2006, Source::Cressie1993];

/// A place: two coordinates in the unit of the kernel's ranges.
pub type Site = [f64; 2];
