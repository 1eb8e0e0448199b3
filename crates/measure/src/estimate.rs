//! A value that knows how sure it is and where it comes from.
//!
//! Law: none; the standard deviation and the 95 % interval of a normal value
//! are linked by the factor 1.959964 (standard normal quantile at 0.975).
//! Holds: for any quantity that can be copied. Outside: lopsided values keep
//! their own lower and upper ends and no standard deviation is invented.
//! Left out: correlations between estimates; the station that combines two
//! values owns that question.
//! Checked by: the unit tests below.

use serde::{Serialize, Serializer};

use crate::source::Source;

/// Standard normal quantile at 0.975, the half-width of a 95 % interval in
/// standard deviations.
pub const NORMAL_975: f64 = 1.959_963_984_540_054;

/// Standard normal quantile at 0.95, for one-sided 95 % bounds.
pub const NORMAL_95: f64 = 1.644_853_626_951_472_6;

/// Where a number comes from, from the surest to the least sure.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Provenance {
    /// Read off a gauge, a photo, a timer or a tape on this car.
    Measured,
    /// Fitted on this car or from this shop's own log.
    Calibrated,
    /// Printed in a named publication.
    Sourced(Source),
    /// A habit of the trade without a traceable publication.
    CommonPractice,
    /// Nobody has said so; a gap for a measurement to fill.
    Assumed,
}

impl Provenance {
    /// The word printed beside the number.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Measured => "measured",
            Self::Calibrated => "calibrated",
            Self::Sourced(_) => "sourced",
            Self::CommonPractice => "common practice",
            Self::Assumed => "assumed",
        }
    }

    /// The weaker of two provenances: a mixed number is as sure as its
    /// weakest part.
    #[must_use]
    pub fn weaker(self, other: Self) -> Self {
        self.max(other)
    }
}

impl Serialize for Provenance {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.word())
    }
}

/// How far the truth may lie from the value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Uncertainty<Q> {
    /// One standard deviation of a bell-shaped error.
    Deviation(Q),
    /// Lower and upper end of a 95 % interval, for lopsided values.
    Interval95(Q, Q),
    /// Counted or defined: no error.
    Exact,
}

/// A value with its uncertainty and provenance. `Q` is a quantity with its
/// unit in the type, or `f64` for a bare share.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate<Q> {
    /// The best single value.
    pub value: Q,
    /// How far off it may be.
    pub uncertainty: Uncertainty<Q>,
    /// Where it comes from.
    pub provenance: Provenance,
}

impl<Q: Copy> Estimate<Q> {
    /// A value with one standard deviation.
    #[must_use]
    pub fn with_deviation(value: Q, deviation: Q, provenance: Provenance) -> Self {
        Self {
            value,
            uncertainty: Uncertainty::Deviation(deviation),
            provenance,
        }
    }

    /// A value with a 95 % interval.
    #[must_use]
    pub fn with_interval(value: Q, lower: Q, upper: Q, provenance: Provenance) -> Self {
        Self {
            value,
            uncertainty: Uncertainty::Interval95(lower, upper),
            provenance,
        }
    }

    /// A counted or defined value.
    #[must_use]
    pub fn exact(value: Q, provenance: Provenance) -> Self {
        Self {
            value,
            uncertainty: Uncertainty::Exact,
            provenance,
        }
    }
}

impl<Q> Estimate<Q>
where
    Q: Copy
        + std::ops::Add<Output = Q>
        + std::ops::Sub<Output = Q>
        + std::ops::Mul<f64, Output = Q>,
{
    /// Lower end of the two-sided 95 % interval.
    #[must_use]
    pub fn lower_95(&self) -> Q {
        match self.uncertainty {
            Uncertainty::Deviation(sd) => self.value - sd * NORMAL_975,
            Uncertainty::Interval95(lower, _) => lower,
            Uncertainty::Exact => self.value,
        }
    }

    /// Upper end of the two-sided 95 % interval.
    #[must_use]
    pub fn upper_95(&self) -> Q {
        match self.uncertainty {
            Uncertainty::Deviation(sd) => self.value + sd * NORMAL_975,
            Uncertainty::Interval95(_, upper) => upper,
            Uncertainty::Exact => self.value,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn interval_of_a_bell_shaped_value_is_1_96_deviations_wide() {
        let e = Estimate::with_deviation(100.0, 10.0, Provenance::Measured);
        assert!((e.lower_95() - 80.4).abs() < 0.01);
        assert!((e.upper_95() - 119.6).abs() < 0.01);
    }

    #[test]
    fn a_lopsided_value_keeps_its_own_ends() {
        let e = Estimate::with_interval(2.7, 2.0, 3.6, Provenance::Calibrated);
        assert_eq!((e.lower_95(), e.upper_95()), (2.0, 3.6));
    }

    #[test]
    fn a_mixed_number_is_as_sure_as_its_weakest_part() {
        let mixed = Provenance::Measured.weaker(Provenance::Assumed);
        assert_eq!(mixed, Provenance::Assumed);
    }
}
