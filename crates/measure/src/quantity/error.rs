//! The sentence a person gets when a quantity cannot be read.
//!
//! Law: none.
//! Holds: for every text; a text of any length is quoted by its first 60 letters.
//! Left out: the place in the file, which the reader of the file adds.
//! Checked by: the unit tests of [`super::parse`].

use std::fmt;

/// Longest part of a text that an error quotes, in characters.
const QUOTED_CHARS: usize = 60;

/// What is wrong with a text that should have been a quantity.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Fault {
    /// There is nothing but blanks.
    Empty,
    /// The text does not begin with a number.
    NoNumber,
    /// A number stands alone.
    NoUnit,
    /// The unit is not one of those allowed here.
    UnknownUnit {
        /// The unit as it came.
        unit: String,
        /// What that unit measures, when it measures something else.
        measures: Option<&'static str>,
    },
    /// The separators can be read as thousands or as decimals.
    AmbiguousSeparator {
        /// How to write it without separators.
        whole: String,
        /// How to write it as a decimal number.
        decimal: String,
    },
    /// The digits are grouped in a way no number is written.
    BrokenGroups,
    /// The number is too large or too small to be kept.
    OutOfRange,
    /// A bare share lies outside 0 to 1, so that a percent sign may be missing.
    PercentMissing,
    /// A size that is not two lengths.
    NotTwoLengths,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => f.write_str("is empty"),
            Self::NoNumber => f.write_str("does not begin with a number"),
            Self::NoUnit => f.write_str("has no unit"),
            Self::UnknownUnit {
                unit,
                measures: None,
            } => {
                write!(f, "has the unit \"{unit}\", which is not known here")
            }
            Self::UnknownUnit {
                unit,
                measures: Some(kind),
            } => {
                write!(f, "has the unit \"{unit}\", which measures {kind}")
            }
            Self::AmbiguousSeparator { whole, decimal } => write!(
                f,
                "can be read in two ways, so write \"{whole}\" or \"{decimal}\" for its number"
            ),
            Self::BrokenGroups => f.write_str("has digits grouped in a way no number is written"),
            Self::OutOfRange => f.write_str("holds a number too large or too small to be kept"),
            Self::PercentMissing => f.write_str("is outside 0 to 1 and has no percent sign"),
            Self::NotTwoLengths => f.write_str("is not two lengths with an \"x\" between them"),
        }
    }
}

/// Why a text is not a quantity, as one sentence that says what to write.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("\"{came}\" {fault}; {expected} is written like \"{example}\" (allowed: {allowed})")]
pub struct QuantityError {
    /// The text as it came, shortened and without control characters.
    pub came: String,
    /// What is wrong with it.
    pub fault: Fault,
    /// What was expected, with its article: "a turning speed".
    pub expected: &'static str,
    /// The units allowed here, as a list.
    pub allowed: &'static str,
    /// A text that would have been right.
    pub example: &'static str,
}

/// The part of a text that an error may show.
pub(crate) fn quoted(text: &str) -> String {
    let mut out: String = text
        .trim()
        .chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .take(QUOTED_CHARS)
        .collect();
    if text.trim().chars().count() > QUOTED_CHARS {
        out.push('…');
    }
    out
}
