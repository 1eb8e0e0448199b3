//! A case: one published table with its source, its grade and its bounds.
//!
//! Law: none; it reads `case.toml` and refuses what is incomplete.
//! Holds: for folders of `validation/cases`, each with one `case.toml`; the text
//! of a `setup.toml` beside it is given to the law as `setup`.
//! Left out: whether the source says what the case says it does.
//! Checked by: made-up cases with each kind of fault.

use std::fs;
use std::path::Path;

use serde::Deserialize;
use serde_json::{Map, Value};

/// How far a source can be trusted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
pub enum Grade {
    /// A closed form.
    A,
    /// A worked example or a table of a standard or a handbook.
    B,
    /// A published measurement.
    C,
    /// A general-purpose library.
    D,
    /// Our own earlier output: a regression, never counted.
    E,
}

/// Whether the text of the source was read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Mark {
    /// Read in a public copy, or computed by the library named.
    Seen,
    /// Cited from memory.
    Memory,
}

/// What a difference is measured against.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Kind {
    /// In the unit of the answer.
    Absolute,
    /// As a share of the expected value.
    Relative,
}

/// Where the expected values come from.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Published {
    /// Author or issuing body.
    pub author: String,
    /// Title.
    pub title: String,
    /// Year, where one is stated.
    pub year: Option<u16>,
    /// Page, table or clause.
    pub place: String,
    /// Whether it was read.
    pub mark: Mark,
}

/// One question with its published answer.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Row {
    /// What the law is given.
    pub inputs: Map<String, Value>,
    /// What the source says.
    pub expected: f64,
    /// A word on this row.
    #[serde(default)]
    pub note: String,
}

/// One published table.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Case {
    /// The folder's name.
    #[serde(skip)]
    pub id: String,
    /// What is compared, for the page.
    pub title: String,
    /// Which law answers.
    pub law: String,
    /// Unit of the answers; empty for a bare number.
    pub unit: String,
    /// How far the source can be trusted.
    pub grade: Grade,
    /// Whether differences are absolute or relative.
    pub kind: Kind,
    /// Three quarters of the differences stay under this.
    pub bound_p75: f64,
    /// 99 of 100 stay under this.
    pub bound_p99: f64,
    /// All stay under this.
    pub bound_max: f64,
    /// Why the bounds are what they are.
    pub bound_reason: String,
    /// The source.
    pub source: Published,
    /// Inputs that all rows share.
    #[serde(default)]
    pub given: Map<String, Value>,
    /// The rows.
    #[serde(default, rename = "row")]
    pub rows: Vec<Row>,
}

impl Case {
    /// Reads a case.
    ///
    /// # Errors
    /// A sentence naming the case when the text is not a case, has no row, or
    /// has bounds that bound nothing or give no reason.
    pub fn read(id: &str, text: &str) -> Result<Self, String> {
        let mut case: Self = toml::from_str(text).map_err(|e| format!("{id}: {e}"))?;
        id.clone_into(&mut case.id);
        if case.rows.is_empty() {
            return Err(format!("{id}: no row; a case without rows checks nothing."));
        }
        let bounds = [case.bound_p75, case.bound_p99, case.bound_max];
        let are_rising = bounds.windows(2).all(|pair| pair[0] <= pair[1]);
        if !(are_rising && bounds.iter().all(|b| b.is_finite() && *b > 0.0)) {
            return Err(format!(
                "{id}: bounds {bounds:?}; they must be above zero and rise."
            ));
        }
        if case.bound_reason.trim().is_empty() || case.source.place.trim().is_empty() {
            return Err(format!(
                "{id}: the reason of the bounds or the place in the source is missing."
            ));
        }
        if case.rows.iter().any(|row| !row.expected.is_finite()) {
            return Err(format!("{id}: an expected value is not a number."));
        }
        Ok(case)
    }

    /// What a row asks: the shared inputs and its own, which win.
    #[must_use]
    pub fn inputs_of(&self, row: &Row) -> Map<String, Value> {
        let mut inputs = self.given.clone();
        inputs.extend(row.inputs.clone());
        inputs
    }
}

/// All cases of a folder, by name.
///
/// # Errors
/// A sentence for a folder without `case.toml`, an unreadable one, or no case
/// at all.
#[allow(
    clippy::disallowed_methods,
    reason = "the cases are files, and this room exists to read them"
)]
pub fn all_in(folder: &Path) -> Result<Vec<Case>, String> {
    let say = |e: std::io::Error| format!("{}: {e}.", folder.display());
    let mut cases = Vec::new();
    for entry in fs::read_dir(folder).map_err(say)? {
        let path = entry.map_err(say)?.path();
        let id = path
            .file_name()
            .unwrap_or_default()
            .to_string_lossy()
            .into_owned();
        let text = fs::read_to_string(path.join("case.toml"))
            .map_err(|e| format!("{id}: case.toml cannot be read: {e}."))?;
        let mut case = Case::read(&id, &text)?;
        if let Ok(setup) = fs::read_to_string(path.join("setup.toml")) {
            case.given.insert("setup".to_owned(), Value::String(setup));
        }
        cases.push(case);
    }
    if cases.is_empty() {
        return Err(format!("{}: there is no case in it.", folder.display()));
    }
    cases.sort_by(|a, b| a.id.cmp(&b.id));
    Ok(cases)
}

#[cfg(test)]
pub(crate) mod made_up {
    //! A small case for the tests of this room.

    use super::Case;

    /// Text of a case with one law, one bound and some rows.
    pub(crate) fn text(law: &str, bound: f64, rows: &str) -> String {
        format!(
            "title = 't'\nlaw = '{law}'\nunit = ''\ngrade = 'A'\nkind = 'absolute'\n\
             bound_p75 = {bound:e}\nbound_p99 = {bound:e}\nbound_max = {bound:e}\nbound_reason = 'printed digits'\n\
             source = {{ author = 'a', title = 't', year = 1900, place = 'p', mark = 'memory' }}\n{rows}"
        )
    }

    /// A case that can be read.
    pub(crate) fn case(law: &str, bound: f64, rows: &str) -> Case {
        Case::read("made-up", &text(law, bound, rows)).expect("a sound case")
    }
}

#[cfg(test)]
mod tests {
    use super::made_up::text;
    use super::*;

    const ROW: &str = "[[row]]\ninputs = { a = 1, b = [2.5] }\nexpected = 3\n";

    #[test]
    fn a_sound_case_is_read_with_its_rows() {
        let case = Case::read(
            "x",
            &format!("{}{ROW}", text("any", 0.5, "given = { a = 9, c = 'd' }\n")),
        )
        .expect("sound");
        assert_eq!((case.id.as_str(), case.rows.len()), ("x", 1));
        let inputs = case.inputs_of(&case.rows[0]);
        assert_eq!(inputs["a"], 1);
        assert_eq!(inputs["c"], "d");
    }

    #[test]
    fn a_case_that_would_check_nothing_is_refused() {
        for bad in [
            text("any", 0.5, ""),
            text("any", 0.0, ROW),
            text("any", f64::NAN, ROW),
            text("any", 0.5, ROW).replace("'printed digits'", "' '"),
            text("any", 0.5, ROW).replace("expected = 3", "expected = nan"),
            text("any", 0.5, ROW).replace("grade = 'A'", "grade = 'F'"),
            text("any", 0.5, ROW).replace("expected", "expect"),
            "law = 1".to_owned(),
        ] {
            assert!(
                Case::read("bad", &bad).is_err_and(|e| e.starts_with("bad")),
                "{bad}"
            );
        }
    }

    #[test]
    fn a_folder_that_is_not_there_is_named() {
        let folder = Path::new("no/such/folder");
        assert!(all_in(folder).is_err_and(|e| e.contains("no/such/folder")));
    }
}
