//! What repeated readings can and cannot say.
//!
//! One method per file. Readings are plain numbers in whatever unit the caller
//! uses, the same unit throughout; results come back in that unit. Nothing
//! here returns a value that is not a number: too few readings, a reading that
//! is not a number or no spread where one is needed is a [`StatisticsError`].
//!
//! - [`summary`]: centre and spread, with and without trust in every reading;
//! - [`t_test`]: is one mean different from another, and by how much;
//! - [`sample_size`]: how many pairs of readings show a difference;
//! - [`grubbs`]: is the oddest reading odd;
//! - [`esd`]: how many odd readings are there;
//! - [`tolerance`]: limits that hold a share of the panel;
//! - [`anova`]: spread of the gauge against spread between spots;
//! - [`operators`]: the hand's share of that spread;
//! - [`change_seen`]: what change so many pairs show;
//! - [`mixture`]: one population or two;
//! - [`step`]: is there a step in a row, and where;
//! - [`density`]: a belief that physics bounds;
//! - [`quadrature`]: areas under smooth curves;
//! - [`field`]: a smooth field over a plane from scattered readings;
//! - [`noncentral_t`], [`quantile`]: the distributions behind them.

pub mod anova;
pub mod change_seen;
pub mod density;
mod error;
pub mod esd;
pub mod field;
pub mod grubbs;
mod linear;
pub mod mixture;
pub mod noncentral_t;
pub mod operators;
pub mod quadrature;
pub mod quantile;
mod root;
pub mod sample_size;
pub mod step;
pub mod summary;
pub mod t_test;
pub mod tolerance;

pub use error::StatisticsError;

/// Whether a question has one side ("is it thinner?") or two ("is it different?").
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Sides {
    /// The direction is known beforehand.
    One,
    /// Either direction counts.
    Two,
}

impl Sides {
    /// The share of error left in one tail.
    pub(crate) fn tail(self, alpha_frac: f64) -> f64 {
        match self {
            Self::One => alpha_frac,
            Self::Two => alpha_frac / 2.0,
        }
    }
}
