//! Reads the gauge readings of a car as people have them: a table with one
//! reading a line, from a spreadsheet or from the gauge itself.
//!
//! Law: none; 1 mil = 25.4 µm and 1 in = 25.4 mm by definition.
//! Source: range and unit guard are common practice: published film figures
//! with a slipped unit are off by 10 or 25.4, and nothing on a car is thinner
//! than 20 µm or, filler included, thicker than 3000 µm.
//! Holds: for comma, semicolon or tab between the cells, decimal comma with
//! the latter two, UTF-8 or marked UTF-16, up to 64 MB. All else is refused
//! with a sentence that names the line, what came, what is allowed, what to do.
//! A `layer` column marks what an ultrasonic gauge says of one layer (`clear`,
//! `top`, `base`, `primer`, `e-coat`; empty or `total` is the whole film); an
//! `operator` column says whose hand it was.
//! Left out: date and other columns, which are passed over; correction of the
//! readings by the zero check, which is only cautioned about.
//! Checked by: the unit tests below, one for every kind of file and of fault.

mod columns;
mod decode;
mod number;
mod rows;

use std::collections::BTreeMap;

use serde::Serialize;

use super::file_kind::FileKind;
use super::{Caution, InputError};

/// Thinnest film that is believed, µm.
pub const LEAST_FILM_UM: f64 = 20.0;

/// Thickest film that is believed, filler included, µm.
pub const MOST_FILM_UM: f64 = 3000.0;

/// From here on a reading draws the caution "filler or a unit slip", µm.
const DOUBTFUL_FILM_UM: f64 = 1000.0;

/// A zero check may be off by this much without a caution, µm.
const ZERO_SLACK_UM: f64 = 2.0;

/// A single layer is at least and at most this thick, µm.
pub const LAYER_UM: (f64, f64) = (5.0, 500.0);

/// So many cautions about single readings are spelled out, the rest counted.
const SPELLED_OUT: usize = 20;

/// Where on a panel a reading was taken.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Place {
    /// The open face of the panel.
    #[default]
    Field,
    /// Within a finger's breadth of an edge.
    Edge,
    /// On a crease or body line.
    Crease,
    /// Where nobody polishes: a door shut, under a lid.
    Hidden,
    /// On the bare plate that came with the gauge.
    Zero,
}

/// One gauge reading.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Reading {
    /// Our name of the panel (`front-wing-left`).
    pub panel: String,
    /// Total film, µm.
    pub film_um: f64,
    /// Across the panel, mm.
    pub u_mm: Option<f64>,
    /// Up the panel, mm.
    pub v_mm: Option<f64>,
    /// Name of the spot, shared by its repeats.
    pub spot: Option<String>,
    /// Which repeat of the spot, from 1.
    pub repeat: Option<u32>,
    /// Where on the panel.
    pub place: Place,
    /// Whose hand held the gauge.
    pub operator: Option<String>,
    /// Line of the file, from 1.
    pub line: usize,
}

/// A layer that some gauges read by itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum LayerName {
    /// Clear coat, or the top coat of single-stage paint.
    Top,
    /// Base coat.
    Base,
    /// Primer or surfacer.
    Primer,
    /// Electro-coat.
    ECoat,
}

/// One reading of a single layer.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LayerReading {
    /// Our name of the panel.
    pub panel: String,
    /// Which layer.
    pub layer: LayerName,
    /// Its thickness, µm.
    pub film_um: f64,
    /// Name of the spot, shared with the total read there.
    pub spot: Option<String>,
    /// Where on the panel.
    pub place: Place,
    /// Line of the file, from 1.
    pub line: usize,
}

/// All readings of a car in the order of the file.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Readings {
    /// The readings on the car.
    pub readings: Vec<Reading>,
    /// The readings on the bare plate, µm; 0 when all is well.
    pub zero_um: Vec<f64>,
    /// Their lines in the file.
    pub zero_lines: Vec<usize>,
    /// Readings of single layers, which are not in the readings above.
    pub layers: Vec<LayerReading>,
    /// What is doubtful in the file.
    pub cautions: Vec<Caution>,
    /// Our name of each panel, and how the file first wrote it.
    pub written: BTreeMap<String, String>,
}

impl Readings {
    /// A panel's name as the file wrote it; ours where it did not.
    #[must_use]
    pub fn written<'a>(&'a self, panel: &'a str) -> &'a str {
        self.written.get(panel).map_or(panel, String::as_str)
    }

    /// Adds what another table of the same car holds, behind what is here.
    pub fn join(&mut self, other: Self) {
        self.readings.extend(other.readings);
        self.zero_um.extend(other.zero_um);
        self.zero_lines.extend(other.zero_lines);
        self.layers.extend(other.layers);
        self.cautions.extend(other.cautions);
        for (ours, theirs) in other.written {
            self.written.entry(ours).or_insert(theirs);
        }
    }
}

/// Reads a table of gauge readings.
///
/// `file` is the name for the messages. With `known_panels` every panel must
/// be one of them; without, unknown names are kept in lower case with dashes.
///
/// # Errors
/// One sentence about the first thing that cannot be used: an empty file, a
/// file that is not text, a missing column, a reading that is no number,
/// negative or outside 20 to 3000 µm, a negative position, a repeat of a spot that
/// stands twice, a panel the job does not know.
pub fn read(
    file: &str,
    bytes: &[u8],
    known_panels: Option<&[String]>,
) -> Result<Readings, InputError> {
    let text = decode::text(file, bytes)?;
    if let Some(instead) = FileKind::Readings.other(&text) {
        return Err(InputError::in_file(file, instead));
    }
    let header = columns::find(file, &text)?;
    let mut readings = rows::read(file, &text, &header, known_panels)?;
    if readings.readings.is_empty() && readings.layers.is_empty() {
        return Err(InputError::in_file(
            file,
            "there is a header but no reading on a panel. At least one line with a panel and a \
             film thickness is needed; add the readings below the header.",
        ));
    }
    let mut found = passed_over(file, &header);
    found.append(&mut readings.cautions);
    found.extend(cautions(&readings));
    readings.cautions = found;
    Ok(readings)
}

/// Columns that were passed over though they may have been meant.
fn passed_over(file: &str, header: &columns::Header) -> Vec<Caution> {
    // A sheet of paper names the table, not where it lies.
    let own_name = file.rsplit(['/', '\\']).next().unwrap_or(file);
    let one = |(name, nearest): &(String, Option<&'static str>)| {
        let meant = nearest.map_or_else(String::new, |n| format!(" Did you mean {n}?"));
        Caution::new(
            format!("{own_name}, line {}", header.line),
            format!(
                "the column {} is not known and was passed over.{meant} Known are {}, layer.",
                quoted(name),
                columns::COLUMNS.join(", ")
            ),
        )
    };
    header.unknown.iter().map(one).collect()
}

fn cautions(readings: &Readings) -> Vec<Caution> {
    let mut found: Vec<Caution> = readings
        .zero_um
        .iter()
        .filter(|zero| zero.abs() > ZERO_SLACK_UM)
        .take(SPELLED_OUT)
        .map(|zero| {
            Caution::new(
                "zero check",
                format!(
                    "the gauge shows {} µm on the bare plate, more than {ZERO_SLACK_UM} µm off; \
                     the readings are taken as they are. Zero the gauge and read again.",
                    shown(*zero)
                ),
            )
        })
        .collect();
    let doubtful = || {
        readings
            .readings
            .iter()
            .filter(|r| r.film_um >= DOUBTFUL_FILM_UM)
    };
    found.extend(doubtful().take(SPELLED_OUT).map(|reading| {
        Caution::new(
            format!("line {}", reading.line),
            format!(
                "{} µm on {}: filler or a unit slip; taken as it is.",
                shown(reading.film_um),
                reading.panel
            ),
        )
    }));
    let rest = doubtful().count().saturating_sub(SPELLED_OUT);
    if rest > 0 {
        found.push(Caution::new(
            "readings",
            format!(
                "{rest} more readings of {DOUBTFUL_FILM_UM} µm or more: filler or a unit slip."
            ),
        ));
    }
    found
}

/// A value for a sentence: at most two decimals, none that are zero.
pub(crate) fn shown(value: f64) -> String {
    let text = format!("{value:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" {
        "0".to_owned()
    } else {
        text.to_owned()
    }
}

/// The first letters of a text from the file, for a sentence.
fn quoted(text: &str) -> String {
    const LONGEST: usize = 40;
    let mut letters: String = text
        .chars()
        .take(LONGEST)
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect();
    if text.chars().nth(LONGEST).is_some() {
        letters.push('…');
    }
    format!("\"{letters}\"")
}

#[cfg(test)]
mod tests;
