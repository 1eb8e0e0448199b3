//! What can go wrong when a sheet is set, in sentences for the person who asked for it.
//!
//! Law: none, these are words.
//! Source: none needed.
//! Holds: every public function of this crate that can fail returns [`SheetError`].
//! Left out: doubts about the numbers; those travel inside the data as cautions.
//! Checked by: the refusal tests in `tests.rs`.

use thiserror::Error;
use typst::diag::SourceDiagnostic;

/// Why no sheet was set.
#[derive(Debug, Error, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub enum SheetError {
    /// The data has no object under the key `sheet`.
    #[error(
        "The sheet's data has no `sheet` object. Give the formatted strings under the key `sheet`."
    )]
    NoSheet,
    /// A picture came under a name the template does not know.
    #[error(
        "The sheet has no place for a picture called `{name}`. It takes car.svg, removal.svg, heat.svg, curve.svg and qr.svg."
    )]
    UnknownPicture {
        /// The name that came.
        name: String,
    },
    /// The same picture came twice.
    #[error("The picture `{name}` came twice. Give each picture once.")]
    PictureTwice {
        /// The name that came twice.
        name: String,
    },
    /// More photographs than a sheet takes.
    #[error(
        "The sheet takes {} photographs, and {came} came. Leave the least telling ones out.",
        crate::MOST_PHOTOS
    )]
    TooManyPhotos {
        /// How many came.
        came: usize,
    },
    /// The page could not be laid out from this data and these pictures.
    #[error(
        "The sheet could not be laid out: {what}. Check the pictures and the shape of the `sheet` object."
    )]
    Layout {
        /// What the page setter said.
        what: String,
    },
    /// The pages were laid out but could not be written as PDF.
    #[error("The sheet was laid out but could not be written as PDF: {what}. Check the pictures.")]
    Pdf {
        /// What the PDF writer said.
        what: String,
    },
}

/// Joins the page setter's remarks, with their hints, into one line.
pub(crate) fn in_one_line(remarks: &[SourceDiagnostic]) -> String {
    let lines: Vec<String> = remarks
        .iter()
        .map(|remark| {
            let hints: Vec<&str> = remark.hints.iter().map(|hint| hint.v.as_str()).collect();
            if hints.is_empty() {
                remark.message.to_string()
            } else {
                format!("{} ({})", remark.message, hints.join("; "))
            }
        })
        .collect();
    lines.join("; ")
}
