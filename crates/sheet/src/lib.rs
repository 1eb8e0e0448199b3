//! Sets a sheet as PDF: takes strings that are ready to print and hands back the pages.
//!
//! Law: none. No number is worked out here; every figure arrives as a finished string.
//! Source: the layout is our own; the type is Atkinson Hyperlegible Next (SIL OFL 1.1, `fonts/OFL.txt`)
//! with DejaVu Sans for signs it lacks (`fonts/dejavu-licence.txt`).
//! Holds: for the object described by `tests/plan-sample.json`. Missing keys and empty lists leave their
//! part out; text is never read as markup. Signs that neither font has print as an empty box.
//! Left out: right-to-left scripts, page sizes other than A4 and Letter.
//! Checked by: the tests in `tests.rs` (page counts, no warnings, hostile text); the look by eye.
//!
//! A tour: [`set_pdf`] cleans the strings (`text`), closes the room (`world`), lets the template
//! (one of `templates`) lay out the pages, and writes them.

mod error;
#[cfg(test)]
mod tests;
mod text;
mod world;

use serde_json::{Value, json};
use typst::foundations::Datetime;
use typst_layout::PagedDocument;
use typst_pdf::{PdfOptions, pdf};

pub use crate::error::SheetError;
use crate::error::in_one_line;
use crate::world::{ClosedWorld, Files};

/// The names under which pictures may come.
const PICTURES: [&str; 5] = ["car.svg", "removal.svg", "heat.svg", "curve.svg", "qr.svg"];

/// So many photographs go on a sheet.
pub const MOST_PHOTOS: usize = 12;

/// Which sheet is set.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum Template {
    /// The paint plan: what is done to each panel, what it costs, what stays and why.
    Plan,
    /// A test spot: what it taught and what correction costs.
    Trial,
    /// The hand-over record, for the owner.
    Record,
    /// The small label with the record's seal; its page has its own size.
    Label,
}

/// The paper it is set for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
#[non_exhaustive]
pub enum Paper {
    /// 210 mm by 297 mm.
    #[default]
    A4,
    /// 8.5 in by 11 in.
    Letter,
}

/// Everything a sheet is made from.
#[derive(Debug, Clone, Copy)]
pub struct SheetInput<'a> {
    /// Which sheet.
    pub template: Template,
    /// The data; its key `sheet` holds the strings to print, as in `tests/plan-sample.json`.
    /// `sheet.date_iso` ("2026-05-14"), if given, becomes the date inside the PDF.
    pub data: &'a Value,
    /// Pictures as (name, SVG text); the names are car.svg, removal.svg, heat.svg,
    /// curve.svg and qr.svg.
    pub pictures: &'a [(&'a str, &'a str)],
    /// Photographs as JPEG, PNG or WebP, at most [`MOST_PHOTOS`]; an entry of `sheet.pictures`
    /// shows one by its place, counted from 1, under `photo`.
    pub photos: &'a [Vec<u8>],
    /// The paper.
    pub paper: Paper,
}

/// Sets the sheet and returns the PDF's bytes. The same input gives the same bytes.
///
/// It is heavy (tens of milliseconds of processor time) and never waits: call it off the serving threads.
///
/// # Errors
/// [`SheetError`]: no `sheet` object, a picture with an unknown name or given twice, a picture that is
/// not SVG, too many photographs or one that is none, or a `sheet` object of another shape than the sample's.
pub fn set_pdf(input: &SheetInput<'_>) -> Result<Vec<u8>, SheetError> {
    let _forget = ForgetAfterwards;
    let laid = lay_out(input)?;
    pdf(&laid.document, &PdfOptions::default()).map_err(|remarks| SheetError::Pdf {
        what: in_one_line(&remarks),
    })
}

/// Pages, and what the page setter grumbled about.
struct LaidOut {
    document: PagedDocument,
    #[cfg_attr(
        not(test),
        expect(dead_code, reason = "only the tests refuse a sheet for a warning")
    )]
    warnings: String,
}

fn lay_out(input: &SheetInput<'_>) -> Result<LaidOut, SheetError> {
    check_pictures(input.pictures)?;
    if input.photos.len() > MOST_PHOTOS {
        return Err(SheetError::TooManyPhotos {
            came: input.photos.len(),
        });
    }
    let sheet = input.data.get("sheet").filter(|sheet| sheet.is_object());
    let sheet = text::printable(sheet.ok_or(SheetError::NoSheet)?);
    let date = sheet.get("date_iso").and_then(date_of);
    let names: Vec<&str> = input.pictures.iter().map(|(name, _)| *name).collect();
    let data = json!({
        "paper": match input.paper { Paper::A4 => "a4", Paper::Letter => "us-letter" },
        "pictures": names,
        "photos": input.photos.len(),
        "dated": date.is_some(),
        "sheet": sheet,
    });
    let template = match input.template {
        Template::Plan => ("plan.typ", include_str!("../templates/plan.typ")),
        Template::Trial => ("trial.typ", include_str!("../templates/trial.typ")),
        Template::Record => ("record.typ", include_str!("../templates/record.typ")),
        Template::Label => ("label.typ", include_str!("../templates/label.typ")),
    };
    let files = Files {
        data: data.to_string(),
        pictures: input.pictures,
        photos: input.photos,
    };
    let world = ClosedWorld::new(template, files, date)?;
    let outcome = typst::compile::<PagedDocument>(&world);
    let warnings = in_one_line(&outcome.warnings);
    match outcome.output {
        Ok(document) => Ok(LaidOut { document, warnings }),
        Err(remarks) => Err(SheetError::Layout {
            what: in_one_line(&remarks),
        }),
    }
}

fn check_pictures(pictures: &[(&str, &str)]) -> Result<(), SheetError> {
    for (place, (name, _)) in pictures.iter().enumerate() {
        if !PICTURES.contains(name) {
            return Err(SheetError::UnknownPicture {
                name: (*name).to_owned(),
            });
        }
        if pictures[..place].iter().any(|(before, _)| before == name) {
            return Err(SheetError::PictureTwice {
                name: (*name).to_owned(),
            });
        }
    }
    Ok(())
}

/// Reads "2026-05-14"; anything else is no date.
fn date_of(iso: &Value) -> Option<Datetime> {
    let mut parts = iso.as_str()?.splitn(3, '-');
    let year = parts.next()?.parse().ok()?;
    let month = parts.next()?.parse().ok()?;
    let day = parts.next()?.parse().ok()?;
    Datetime::from_ymd(year, month, day)
}

/// The page setter remembers every sheet it has set; this makes it forget, also after an error.
struct ForgetAfterwards;

impl Drop for ForgetAfterwards {
    fn drop(&mut self) {
        typst::comemo::evict(0);
    }
}
