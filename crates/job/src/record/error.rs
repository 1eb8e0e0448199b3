//! What went wrong in the user's file, and where, in a sentence.
//!
//! Three different things (house rule): impossible input is an
//! [`InputError`]; doubtful input is a value plus a [`Caution`]; "leave this
//! panel alone" is a verdict and lives with the stations.
//! Checked by: the readers' tests, which compare whole sentences.

use std::cmp::Ordering;

use serde::Serialize;

use super::said::Said;

/// Input that cannot be used: which file, where in it, what came, what was
/// allowed, what to do.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{}{}", self.place(), self.sentence)]
pub struct InputError {
    /// The file or folder as the user named it.
    pub file: String,
    /// Line from 1, where known.
    pub line: Option<usize>,
    /// Column from 1, where known.
    pub column: Option<usize>,
    /// The whole sentence.
    pub sentence: String,
}

impl InputError {
    /// An error about a whole file.
    pub fn in_file(file: impl Into<String>, sentence: impl Into<String>) -> Self {
        Self {
            file: file.into(),
            line: None,
            column: None,
            sentence: sentence.into(),
        }
    }

    /// An error at a line and, where known, a column.
    pub fn at(
        file: impl Into<String>,
        line: usize,
        column: Option<usize>,
        sentence: impl Into<String>,
    ) -> Self {
        Self {
            file: file.into(),
            line: Some(line),
            column,
            sentence: sentence.into(),
        }
    }

    /// An error at a byte offset of a text, turned into line and column.
    pub fn at_offset(file: &str, text: &str, offset: usize, sentence: impl Into<String>) -> Self {
        let before = &text[..floor_boundary(text, offset)];
        let line = before.matches('\n').count() + 1;
        let column = before.chars().rev().take_while(|c| *c != '\n').count() + 1;
        Self::at(file, line, Some(column), sentence)
    }

    fn place(&self) -> String {
        match (self.line, self.column) {
            (Some(line), Some(column)) => {
                format!("{}, line {line}, column {column}: ", self.file)
            }
            (Some(line), None) => format!("{}, line {line}: ", self.file),
            _ => format!("{}: ", self.file),
        }
    }
}

/// Doubt that does not stop the work: where, and what we assumed.
#[derive(Clone, Debug, Serialize)]
pub struct Caution {
    /// Panel, reading or line of the file.
    pub place: String,
    /// What is doubtful and what was assumed.
    pub text: String,
    /// The same with its parts apart, where it is one of our sentences.
    #[serde(skip)]
    pub said: Option<Said>,
}

/// Two cautions are the same when they read the same.
impl PartialEq for Caution {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other).is_eq()
    }
}

impl Eq for Caution {}

impl PartialOrd for Caution {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Caution {
    fn cmp(&self, other: &Self) -> Ordering {
        let of = |caution: &'_ Self| (caution.place.clone(), caution.text.clone());
        of(self).cmp(&of(other))
    }
}

impl Caution {
    /// A caution at a place.
    pub fn new(place: impl Into<String>, text: impl Into<String>) -> Self {
        Self {
            place: place.into(),
            text: text.into(),
            said: None,
        }
    }

    /// One of our sentences at a place.
    pub fn of(place: impl Into<String>, said: impl Into<Said>) -> Self {
        let said = said.into();
        Self {
            place: place.into(),
            text: said.english(),
            said: Some(said),
        }
    }
}

fn floor_boundary(text: &str, offset: usize) -> usize {
    let mut at = offset.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_offset_becomes_line_and_column() {
        let e = InputError::at_offset("job.toml", "ab\ncdé\nf", 7, "no.");
        assert_eq!((e.line, e.column), (Some(2), Some(4)));
        assert_eq!(e.to_string(), "job.toml, line 2, column 4: no.");
    }
}
