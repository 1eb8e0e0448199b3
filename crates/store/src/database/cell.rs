//! One value and one row, the same for both databases.
//!
//! Holds: for TEXT and BIGINT columns, which are all that we use.
//! Left out: every other type; a column of another type is a fault.
//! Checked by: every test that runs on both databases.

use sqlx::{Column, TypeInfo, ValueRef};

use crate::error::StoreError;

/// A value on its way into or out of the database.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Cell {
    /// Text.
    Text(String),
    /// A whole number.
    Int(i64),
    /// No text.
    NoText,
    /// No number.
    NoInt,
}

impl From<&str> for Cell {
    fn from(text: &str) -> Self {
        Self::Text(text.to_owned())
    }
}

impl From<String> for Cell {
    fn from(text: String) -> Self {
        Self::Text(text)
    }
}

impl From<&String> for Cell {
    fn from(text: &String) -> Self {
        Self::Text(text.clone())
    }
}

impl From<i64> for Cell {
    fn from(number: i64) -> Self {
        Self::Int(number)
    }
}

impl From<&Option<String>> for Cell {
    fn from(text: &Option<String>) -> Self {
        text.as_ref().map_or(Self::NoText, Self::from)
    }
}

/// One row that came back.
#[derive(Clone, Debug)]
pub(crate) struct Row(Vec<Cell>);

impl Row {
    /// The text in a column, counted from 0.
    pub(crate) fn text(&self, column: usize) -> Result<String, StoreError> {
        match self.0.get(column) {
            Some(Cell::Text(text)) => Ok(text.clone()),
            other => Err(unexpected(column, "text", other)),
        }
    }

    /// The text in a column that may be empty.
    pub(crate) fn maybe_text(&self, column: usize) -> Result<Option<String>, StoreError> {
        match self.0.get(column) {
            Some(Cell::Text(text)) => Ok(Some(text.clone())),
            Some(Cell::NoText | Cell::NoInt) => Ok(None),
            other => Err(unexpected(column, "text or nothing", other)),
        }
    }

    /// The number in a column.
    pub(crate) fn int(&self, column: usize) -> Result<i64, StoreError> {
        match self.0.get(column) {
            Some(Cell::Int(number)) => Ok(*number),
            other => Err(unexpected(column, "a number", other)),
        }
    }

    /// The number in a column that may be empty.
    pub(crate) fn maybe_int(&self, column: usize) -> Result<Option<i64>, StoreError> {
        match self.0.get(column) {
            Some(Cell::Int(number)) => Ok(Some(*number)),
            Some(Cell::NoText | Cell::NoInt) => Ok(None),
            other => Err(unexpected(column, "a number or nothing", other)),
        }
    }

    /// All values of the row.
    pub(crate) fn cells(&self) -> &[Cell] {
        &self.0
    }

    /// Reads a row of either database.
    pub(crate) fn read<R>(row: &R) -> Result<Self, StoreError>
    where
        R: sqlx::Row,
        usize: sqlx::ColumnIndex<R>,
        for<'r> String: sqlx::Decode<'r, R::Database>,
        for<'r> i64: sqlx::Decode<'r, R::Database>,
    {
        let mut cells = Vec::with_capacity(row.columns().len());
        for column in row.columns() {
            let at = column.ordinal();
            let (is_null, kind) = {
                let raw = row.try_get_raw(at)?;
                (raw.is_null(), raw.type_info().name().to_owned())
            };
            let is_number = matches!(kind.as_str(), "INTEGER" | "INT8" | "BIGINT" | "INT");
            cells.push(match (is_null, is_number) {
                (true, true) => Cell::NoInt,
                (true, false) => Cell::NoText,
                (false, true) => Cell::Int(row.try_get_unchecked(at)?),
                (false, false) => Cell::Text(row.try_get_unchecked(at)?),
            });
        }
        Ok(Self(cells))
    }
}

fn unexpected(column: usize, wanted: &str, came: Option<&Cell>) -> StoreError {
    StoreError::Fault(format!(
        "column {column} should hold {wanted}, not {came:?}"
    ))
}
