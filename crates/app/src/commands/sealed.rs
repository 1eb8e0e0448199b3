//! A signed record as papers: the owner's sheet, the label, the calendar.
//!
//! Law: none. Everything is made from the record that was signed, so that no
//! paper says what the file does not.
//! Checked by: `tests/handover_door.rs`.

use std::time::{SystemTime, UNIX_EPOCH};

use lapwing_job::handover::record::Handed;
use lapwing_job::record::job::Units;
use lapwing_report::calendar::{Day, care_calendar};
use lapwing_report::figure::qr;
use lapwing_report::label::{label, label_sheet};
use lapwing_report::record_sheet::{Seal, printed_car, sheet};
use lapwing_sheet::{Paper, SheetInput, Template, set_pdf};
use lapwing_store::canonical_json;
use serde_json::{Value, json};

use crate::failure::Failure;
use crate::views::Views;

/// How papers of a record look.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Look<'a> {
    /// µm or mil.
    pub(crate) units: Units,
    /// Letter instead of A4.
    pub(crate) is_letter: bool,
    /// What the square code opens.
    pub(crate) link: Option<&'a str>,
}

/// A signed record, understood.
pub(crate) struct Sealed {
    /// The record.
    pub(crate) handed: Handed,
    /// Its hash.
    pub(crate) sha256: String,
    /// The key it was signed with.
    pub(crate) key: String,
}

impl Sealed {
    /// From a file that was found genuine, or that was just signed.
    pub(crate) fn of(signed: &Value) -> Result<Self, Failure> {
        let text = |key: &str| signed[key].as_str().unwrap_or_default().to_owned();
        let handed = serde_json::from_value(signed["record"].clone())
            .map_err(|e| Failure::Input(format!("the record cannot be shown: {e}.")))?;
        Ok(Self {
            handed,
            sha256: text("sha256"),
            key: text("key"),
        })
    }

    pub(crate) fn seal<'a>(&'a self, link: Option<&'a str>) -> Seal<'a> {
        Seal {
            sha256: &self.sha256,
            key: &self.key,
            link,
            printed: &[],
        }
    }

    /// The day of the hand-over, where its words are a day.
    pub(crate) fn day(&self) -> Option<Day> {
        self.handed.date.as_deref().and_then(Day::read)
    }

    /// The owner's paper, with the photographs of which there are views.
    pub(crate) fn paper(&self, look: &Look<'_>, views: &Views) -> Result<Vec<u8>, Failure> {
        let car = printed_car(&self.handed, look.units);
        self.paper_told(look, views, (&car, &|_| {}))
    }

    /// The same with its car and its sheet told in another language.
    pub(crate) fn paper_told(
        &self,
        look: &Look<'_>,
        views: &Views,
        (car, tell): (&str, &dyn Fn(&mut Value)),
    ) -> Result<Vec<u8>, Failure> {
        let seal = Seal {
            printed: &views.names,
            ..self.seal(look.link)
        };
        let code = qr(&seal.code(), 200.0, "Seal of the record").map_err(Failure::Input)?;
        let mut sheet = sheet(&self.handed, &seal, self.day(), look.units);
        tell(&mut sheet);
        let data = json!({ "sheet": sheet });
        Ok(set_pdf(&SheetInput {
            template: Template::Record,
            data: &data,
            pictures: &[("car.svg", car), ("qr.svg", &code)],
            photos: &views.jpegs,
            paper: if look.is_letter {
                Paper::Letter
            } else {
                Paper::A4
            },
        })?)
    }

    /// The label as PDF.
    pub(crate) fn label_pdf(&self, look: &Look<'_>) -> Result<Vec<u8>, Failure> {
        let seal = self.seal(look.link);
        let code = qr(&seal.code(), 200.0, "Seal of the record").map_err(Failure::Input)?;
        let data = json!({ "sheet": label_sheet(&self.handed, &seal) });
        Ok(set_pdf(&SheetInput {
            template: Template::Label,
            data: &data,
            pictures: &[("qr.svg", &code)],
            photos: &[],
            paper: Paper::A4,
        })?)
    }

    /// The label as SVG.
    pub(crate) fn label_svg(&self, look: &Look<'_>) -> Result<String, Failure> {
        label(&self.handed, &self.seal(look.link)).map_err(Failure::Input)
    }

    /// The calendar; from today where the record's date is no day.
    pub(crate) fn calendar(&self) -> String {
        let seconds = now_s();
        let today = today();
        let (Some(from), Some(today)) = (self.day().or(today), today) else {
            return String::new();
        };
        let second = seconds.rem_euclid(86_400);
        let stamp = format!(
            "{}T{:02}{:02}{:02}Z",
            today.basic(),
            second / 3600,
            second / 60 % 60,
            second % 60
        );
        care_calendar(&self.handed, from, (&self.sha256, &stamp))
    }
}

/// The file of a signed record: canonical text and a line end.
pub(crate) fn file_of(signed: &Value) -> Result<Vec<u8>, Failure> {
    let mut text = canonical_json(signed).map_err(|e| Failure::Ours(e.to_string()))?;
    text.push(b'\n');
    Ok(text)
}

/// The day it is, by the clock in UTC.
pub(crate) fn today() -> Option<Day> {
    Day::since_1970(now_s().div_euclid(86_400))
}

fn now_s() -> i64 {
    let since = SystemTime::now().duration_since(UNIX_EPOCH);
    since.map_or(0, |t| i64::try_from(t.as_secs()).unwrap_or(0))
}
