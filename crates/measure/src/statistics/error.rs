//! The sentence a person gets when readings cannot answer the question.
//!
//! Law: none.
//! Holds: for every function of this room.
//! Left out: the place of the readings in a file, which the caller knows.
//! Checked by: the unit tests of each method.

/// Why a statistic cannot be stated.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum StatisticsError {
    /// Fewer readings than the method needs.
    #[error("{came} {what} came, {needed} or more are needed; take {} more", needed.saturating_sub(*came))]
    TooFew {
        /// What is counted: "readings", "pairs".
        what: &'static str,
        /// How many came.
        came: usize,
        /// How many are needed.
        needed: usize,
    },
    /// A reading that is NaN or infinite.
    #[error("reading {position} is not a number; take it out or read it again")]
    NotANumber {
        /// Its place, counted from 1.
        position: usize,
    },
    /// Pairs that do not match.
    #[error(
        "{before} readings before and {after} after do not make pairs; give one of each for every spot"
    )]
    Unpaired {
        /// Readings before.
        before: usize,
        /// Readings after.
        after: usize,
    },
    /// All readings equal where their spread is needed.
    #[error(
        "the {what} do not differ at all, so their spread is unknown; read a finer digit or more spots"
    )]
    NoSpread {
        /// What is all equal.
        what: &'static str,
    },
    /// A parameter outside its range.
    #[error("the {what} came as {came}; it must be above {least}{}", ceiling(*most))]
    OutsideRange {
        /// Which parameter.
        what: &'static str,
        /// What came.
        came: f64,
        /// Lower end.
        least: f64,
        /// Upper end.
        most: f64,
    },
    /// More than the method can be trusted with.
    #[error("the {what} would be above {limit}; ask for less")]
    OutOfReach {
        /// Which result.
        what: &'static str,
        /// The most that is computed.
        limit: f64,
    },
    /// The arithmetic left the range of numbers.
    #[error("the {what} is too large or too small to be kept; check the unit of the readings")]
    Unrepresentable {
        /// Which result.
        what: &'static str,
    },
}

/// The upper end in words, when there is one.
fn ceiling(most: f64) -> String {
    if most.is_finite() {
        format!(" and below {most}")
    } else {
        String::new()
    }
}

/// Refuses readings that are not numbers, or too few.
pub(crate) fn checked(
    values: &[f64],
    what: &'static str,
    needed: usize,
) -> Result<(), StatisticsError> {
    if let Some(at) = values.iter().position(|v| !v.is_finite()) {
        return Err(StatisticsError::NotANumber { position: at + 1 });
    }
    if values.len() < needed {
        let came = values.len();
        return Err(StatisticsError::TooFew { what, came, needed });
    }
    Ok(())
}

/// A result, if it is a number.
pub(crate) fn finite(value: f64, what: &'static str) -> Result<f64, StatisticsError> {
    if value.is_finite() {
        Ok(value)
    } else {
        Err(StatisticsError::Unrepresentable { what })
    }
}

/// A parameter inside an open range.
pub(crate) fn inside(
    came: f64,
    what: &'static str,
    (least, most): (f64, f64),
) -> Result<f64, StatisticsError> {
    if came > least && came < most {
        Ok(came)
    } else {
        Err(StatisticsError::OutsideRange {
            what,
            came,
            least,
            most,
        })
    }
}

/// A share between 0 and 1, both left out.
pub(crate) fn share(came: f64, what: &'static str) -> Result<f64, StatisticsError> {
    inside(came, what, (0.0, 1.0))
}

/// A count as a number for formulas; exact for any count a person can reach.
pub(crate) fn number(count: usize) -> f64 {
    u32::try_from(count).map_or(f64::from(u32::MAX), f64::from)
}
