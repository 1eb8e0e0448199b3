//! Reads the lines of a readings table below its header.
//!
//! Law: none.
//! Source: none needed; panel names after [`crate::record::panel_names`].
//! Holds: for one reading a line. Blank lines are passed over; a line with
//! cells beyond the header is refused, as a value was probably cut in two.
//! Left out: nothing that a column of ours holds.
//! Checked by: the unit tests of the module above.

use std::collections::{BTreeMap, HashMap};

use super::columns::Header;
use super::number::{FilmUnit, film_um, layer_um, number, plain};
use super::{
    Caution, InputError, LayerName, LayerReading, MOST_FILM_UM, Place, Reading, Readings, quoted,
};
use crate::record::panel_names;

/// Farthest a position may lie from the panel's corner, mm.
const FARTHEST_MM: f64 = 10_000.0;

/// Reads every line of the body; the cautions are left empty.
pub(super) fn read(
    file: &str,
    text: &str,
    header: &Header,
    known_panels: Option<&[String]>,
) -> Result<Readings, InputError> {
    let (start, first_line) = header.body;
    let body = &text[start..];
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(header.separator)
        .has_headers(false)
        .flexible(true)
        .from_reader(body.as_bytes());
    let mut names = Names::new(known_panels);
    let mut readings = Readings::default();
    let mut repeats = Repeats::default();
    let mut record = csv::StringRecord::new();
    let unreadable = |fault: csv::Error| {
        InputError::in_file(
            file,
            format!("the table cannot be read ({fault}). Save it again."),
        )
    };
    while reader.read_record(&mut record).map_err(unreadable)? {
        let line = first_line + line_within(body, &record);
        let row = Row {
            header,
            record: &record,
        };
        let refuse = |sentence| InputError::at(file, line, None, sentence);
        if !row.is_blank() && row.names_no_unit() {
            return Err(InputError::at(file, header.line, None, no_unit(header)));
        }
        if row.is_blank() {
            continue;
        }
        row.check_shape().map_err(refuse)?;
        match row.take(&mut names).map_err(refuse)? {
            Taken::Zero(zero_um) => {
                readings.zero_um.push(zero_um);
                readings.zero_lines.push(line);
            }
            Taken::Layer(layer) => readings.layers.push(LayerReading { line, ..layer }),
            Taken::OnCar(reading) => {
                repeats.take(&reading, line).map_err(refuse)?;
                readings.readings.push(Reading { line, ..reading });
            }
        }
    }
    readings.cautions = names.slips();
    readings.written = names.written;
    Ok(readings)
}

/// Lines before the record; the reader's own count stops before blank lines.
fn line_within(body: &str, record: &csv::StringRecord) -> usize {
    record.position().map_or(0, |at| {
        let counted = usize::try_from(at.line()).unwrap_or(1) - 1;
        let from = usize::try_from(at.byte())
            .unwrap_or(body.len())
            .min(body.len());
        counted
            + body.as_bytes()[from..]
                .iter()
                .take_while(|b| **b == b'\n')
                .count()
    })
}

/// The repeats of named spots that were read, and the line of each.
#[derive(Default)]
struct Repeats {
    seen: HashMap<(String, String, Place, u32, Option<String>), usize>,
}

impl Repeats {
    /// Refuses a repeat that stands twice.
    fn take(&mut self, reading: &Reading, line: usize) -> Result<(), String> {
        let (Some(spot), Some(repeat)) = (&reading.spot, reading.repeat) else {
            return Ok(());
        };
        let key = (
            reading.panel.clone(),
            spot.clone(),
            reading.place,
            repeat,
            reading.operator.clone(),
        );
        match self.seen.insert(key, line) {
            Some(before) => Err(format!(
                "repeat {repeat} of spot {} on {} stands in line {before} already. Every repeat \
                 of a spot has its own number; count on, or remove the line that was written \
                 twice.",
                quoted(spot),
                reading.panel
            )),
            None => Ok(()),
        }
    }
}

enum Taken {
    Zero(f64),
    OnCar(Reading),
    Layer(LayerReading),
}

struct Row<'a> {
    header: &'a Header,
    record: &'a csv::StringRecord,
}

impl Row<'_> {
    fn cell(&self, column: usize) -> &str {
        self.record.get(column).unwrap_or("").trim()
    }

    fn optional(&self, column: Option<usize>) -> Option<&str> {
        column.map(|c| self.cell(c)).filter(|cell| !cell.is_empty())
    }

    fn is_blank(&self) -> bool {
        self.record.iter().all(|cell| cell.trim().is_empty())
    }

    fn check_shape(&self) -> Result<(), String> {
        if self.record.iter().any(|cell| cell.contains('\n')) {
            return Err(
                "a quotation mark opens a cell that runs over the end of the line. A cell \
                        is one line; close or remove the quotation mark."
                    .to_owned(),
            );
        }
        let beyond = self
            .record
            .iter()
            .skip(self.header.cells)
            .any(|c| !c.trim().is_empty());
        if beyond {
            return Err(format!(
                "the line has {} cells and the header {}. If a decimal comma cut a value in two, \
                 write a decimal point, or separate the cells by semicolons.",
                self.record.len(),
                self.header.cells
            ));
        }
        Ok(())
    }

    fn take(&self, names: &mut Names) -> Result<Taken, String> {
        let place = self
            .optional(self.header.place)
            .map_or(Ok(Place::Field), place)?;
        let (value, unit) = self.thickness()?;
        if place == Place::Zero {
            return zero_um(value * unit.in_um()).map(Taken::Zero);
        }
        if let Some(layer) = self.optional(self.header.layer).map_or(Ok(None), layer)? {
            return Ok(Taken::Layer(LayerReading {
                panel: names.ours(self.cell(self.header.panel))?,
                layer,
                film_um: layer_um(value, unit)?,
                spot: self.optional(self.header.spot).map(str::to_owned),
                place,
                line: 0,
            }));
        }
        let film_um = film_um(value, unit)?;
        let position = self.position()?;
        Ok(Taken::OnCar(Reading {
            panel: names.ours(self.cell(self.header.panel))?,
            film_um,
            u_mm: position.map(|p| p[0]),
            v_mm: position.map(|p| p[1]),
            spot: self.optional(self.header.spot).map(str::to_owned),
            repeat: self.optional(self.header.repeat).map(repeat).transpose()?,
            place,
            operator: self.optional(self.header.operator).map(str::to_lowercase),
            line: 0,
        }))
    }

    /// A plain number under a header without a unit: the header is at fault.
    fn names_no_unit(&self) -> bool {
        self.header.film_unit.is_none()
            && self.header.unit.is_none()
            && number(self.cell(self.header.film), self.header.separator != b',')
                .is_ok_and(|(_, behind)| behind.is_empty())
    }

    fn thickness(&self) -> Result<(f64, FilmUnit), String> {
        let cell = self.cell(self.header.film);
        if cell.is_empty() {
            return Err(
                "the film thickness is missing. Write a plain number such as 112.4, or \
                        remove the line."
                    .to_owned(),
            );
        }
        let (value, behind) = number(cell, self.header.separator != b',')?;
        let mut unit = self.header.film_unit;
        for word in [self.optional(self.header.unit).unwrap_or(""), behind] {
            if word.is_empty() {
                continue;
            }
            let found = FilmUnit::read(&plain(word)).ok_or_else(|| {
                format!(
                    "{} is not a number or not a unit of film. Write a plain number such as 112.4, \
                     in um, mil or mm.",
                    quoted(if word == behind { cell } else { word })
                )
            })?;
            if unit.is_some_and(|known| known != found) {
                return Err(format!(
                    "the unit {} contradicts the one named before it. One unit per reading is \
                     allowed; correct the header or the line.",
                    quoted(word)
                ));
            }
            unit = Some(found);
        }
        unit.map(|unit| (value, unit)).ok_or_else(|| {
            format!(
                "{} has no unit: its cell in the unit column is empty. Write um, mil or mm there, \
                 or name the column thickness_um, thickness_mil or thickness_mm.",
                quoted(cell)
            )
        })
    }

    fn position(&self) -> Result<Option<[f64; 2]>, String> {
        let Some(columns) = self.header.position else {
            return Ok(None);
        };
        let [u, v] = columns.map(|(column, _)| self.cell(column));
        if u.is_empty() && v.is_empty() {
            return Ok(None);
        }
        if u.is_empty() || v.is_empty() {
            return Err(
                "only one of u and v is given. A position needs both, or neither; fill in \
                        the other or clear the one."
                    .to_owned(),
            );
        }
        let mut position = [0.0; 2];
        for ((cell, (_, mm_per)), out) in [u, v].iter().zip(columns).zip(&mut position) {
            let (value, behind) = number(cell, self.header.separator != b',')?;
            *out = value * mm_per;
            if behind.is_empty() && *out < 0.0 {
                return Err(format!(
                    "the position {} is negative. Positions are counted from the panel's lower \
                     left corner, u across and v up, so 0 to 10 m is allowed; count from that \
                     corner.",
                    quoted(cell)
                ));
            }
            if !behind.is_empty() || out.abs() > FARTHEST_MM {
                return Err(format!(
                    "{} is not a position on a panel. A plain number within 10 m is allowed, its \
                     unit stands in the header.",
                    quoted(cell)
                ));
            }
        }
        Ok(Some(position))
    }
}

fn zero_um(zero_um: f64) -> Result<f64, String> {
    if zero_um.abs() <= MOST_FILM_UM {
        return Ok(zero_um);
    }
    Err(format!(
        "a zero check of {zero_um:e} µm is no zero check. A few µm around 0 are allowed; zero the \
         gauge and read the bare plate again.",
    ))
}

fn place(cell: &str) -> Result<Place, String> {
    match cell.to_lowercase().as_str() {
        "field" => Ok(Place::Field),
        "edge" => Ok(Place::Edge),
        "crease" => Ok(Place::Crease),
        "hidden" => Ok(Place::Hidden),
        "zero" => Ok(Place::Zero),
        _ => Err(format!(
            "the place {} is not known. Allowed are field, edge, crease, hidden and zero; leave it \
             empty for the open face of the panel.",
            quoted(cell)
        )),
    }
}

fn no_unit(header: &Header) -> String {
    format!(
        "the column {} names no unit. Allowed are thickness_um, thickness_mil and thickness_mm, or a \
         unit column beside it; rename the column.",
        quoted(&header.film_name)
    )
}

/// The layer a cell names; `None` for the whole film.
fn layer(cell: &str) -> Result<Option<LayerName>, String> {
    match plain(cell).as_str() {
        "total" | "all" => Ok(None),
        "clear" | "top" => Ok(Some(LayerName::Top)),
        "base" => Ok(Some(LayerName::Base)),
        "primer" => Ok(Some(LayerName::Primer)),
        "e-coat" | "ecoat" => Ok(Some(LayerName::ECoat)),
        _ => Err(format!(
            "the layer {} is not known. Allowed are total, clear, top, base, primer and e-coat; \
             leave it empty for the whole film.",
            quoted(cell)
        )),
    }
}

fn repeat(cell: &str) -> Result<u32, String> {
    cell.parse::<u32>().ok().filter(|n| *n > 0).ok_or_else(|| {
        format!(
            "the repeat {} is not a count. Write 1, 2, 3 and so on.",
            quoted(cell)
        )
    })
}

/// Our names of the panels, each looked up once.
struct Names<'a> {
    known: Option<&'a [String]>,
    seen: HashMap<String, String>,
    /// Our name and how it was first written.
    written: BTreeMap<String, String>,
}

impl<'a> Names<'a> {
    fn new(known: Option<&'a [String]>) -> Self {
        Self {
            known,
            seen: HashMap::new(),
            written: BTreeMap::new(),
        }
    }

    fn ours(&mut self, written: &str) -> Result<String, String> {
        if let Some(name) = self.seen.get(written) {
            return Ok(name.clone());
        }
        let name = panel_names::name_of(written);
        if name.is_empty() {
            return Err(format!(
                "the panel is {}. Write which panel the reading was taken on.",
                if written.is_empty() {
                    "missing".to_owned()
                } else {
                    quoted(written)
                }
            ));
        }
        if let Some(known) = self.known
            && !known.contains(&name)
        {
            return Err(unknown(written, &name, known));
        }
        self.written
            .entry(name.clone())
            .or_insert_with(|| written.to_owned());
        self.seen.insert(written.to_owned(), name.clone());
        Ok(name)
    }
}

impl Names<'_> {
    /// Panels nobody in the trade calls so, whose name is nearly one they do.
    fn slips(&self) -> Vec<Caution> {
        if self.known.is_some() {
            return Vec::new();
        }
        let slip = |(ours, written): (&String, &String)| {
            let meant = panel_names::nearly(ours)?;
            Some(Caution::new(
                "panel",
                format!(
                    "{} is no panel's name we know, so it counts as a panel of its own. Did you \
                     mean {meant}? Correct the name, or leave it if it is your own.",
                    quoted(written)
                ),
            ))
        };
        self.written.iter().filter_map(slip).collect()
    }
}

fn unknown(written: &str, name: &str, known: &[String]) -> String {
    let nearest = known
        .iter()
        .max_by(|a, b| strsim::jaro_winkler(a, name).total_cmp(&strsim::jaro_winkler(b, name)));
    match nearest {
        Some(nearest) => format!(
            "the job has no panel {}. Did you mean {nearest}? Correct the name, or add the panel \
             to the job.",
            quoted(written)
        ),
        None => format!(
            "the job has no panel {}, nor any other. Add the panel to the job.",
            quoted(written)
        ),
    }
}
