//! Finds the columns of a readings table, whatever separates them.
//!
//! Law: none.
//! Source: our own column names (`panel`, `thickness_um`, `u_mm`, ...) and the
//! header forms gauges and spreadsheets write ("Thickness (µm)", "film [mil]").
//! Holds: for a header in the first line that is not blank.
//! Left out: tables without a header, and tables with a column per panel.
//! Checked by: the unit tests of the module above.

use super::number::{FilmUnit, plain};
use super::{InputError, quoted};

/// Which cell holds what, and where the readings begin.
#[derive(Debug)]
pub(super) struct Header {
    pub(super) separator: u8,
    /// Byte at which the line after the header begins, and its number from 1.
    pub(super) body: (usize, usize),
    pub(super) cells: usize,
    pub(super) panel: usize,
    pub(super) film: usize,
    pub(super) film_unit: Option<FilmUnit>,
    pub(super) unit: Option<usize>,
    /// Column and mm per unit, for u and v.
    pub(super) position: Option<[(usize, f64); 2]>,
    pub(super) spot: Option<usize>,
    pub(super) repeat: Option<usize>,
    pub(super) place: Option<usize>,
    pub(super) operator: Option<usize>,
    pub(super) layer: Option<usize>,
    /// Columns that are none of ours nor usual beside readings, each with the
    /// name of ours that is nearest.
    pub(super) unknown: Vec<(String, Option<&'static str>)>,
    /// Line of the header and its film column's name, for the messages.
    pub(super) line: usize,
    pub(super) film_name: String,
}

#[derive(Clone, Copy, PartialEq)]
enum Meaning {
    Panel,
    Film(Option<FilmUnit>),
    Unit,
    U(Option<f64>),
    V(Option<f64>),
    Spot,
    Repeat,
    Place,
    Operator,
    Layer,
    Other,
}

/// Reads the header line.
pub(super) fn find(file: &str, text: &str) -> Result<Header, InputError> {
    let (line, number, end, forced) = header_line(text);
    let refuse = |sentence: String| InputError::at(file, number, None, sentence);
    let separator = forced.unwrap_or_else(|| likeliest(line));
    let names = split(line, separator);
    let meanings: Vec<Meaning> = names.iter().map(|name| meaning(name)).collect();
    let one = |what: &str, wanted: fn(&Meaning) -> bool| {
        let mut at = (0..meanings.len()).filter(|i| wanted(&meanings[*i]));
        match (at.next(), at.next()) {
            (Some(a), Some(b)) => Err(refuse(format!(
                "both {} and {} look like the {what} column. One is allowed; rename or remove the \
                 other.",
                quoted(&names[a]),
                quoted(&names[b])
            ))),
            (first, _) => Ok(first),
        }
    };
    let missing = |what: &str| refuse(missing_sentence(what, separator, &names));
    let panel = one("panel", |m| *m == Meaning::Panel)?.ok_or_else(|| missing("panel"))?;
    let film = one("film", |m| matches!(m, Meaning::Film(_)))?;
    let film = film.ok_or_else(|| missing("thickness_um, thickness_mil or thickness_mm"))?;
    let u = one("u", |m| matches!(m, Meaning::U(_)))?;
    let v = one("v", |m| matches!(m, Meaning::V(_)))?;
    Ok(Header {
        separator,
        body: (end, number + 1),
        cells: names.len(),
        panel,
        film,
        film_unit: match meanings[film] {
            Meaning::Film(unit) => unit,
            _ => None,
        },
        unit: one("unit", |m| *m == Meaning::Unit)?,
        position: position(&meanings, u, v).map_err(refuse)?,
        spot: one("spot", |m| *m == Meaning::Spot)?,
        repeat: one("repeat", |m| *m == Meaning::Repeat)?,
        place: one("place", |m| *m == Meaning::Place)?,
        operator: one("operator", |m| *m == Meaning::Operator)?,
        layer: one("layer", |m| *m == Meaning::Layer)?,
        unknown: unknown(&names, &meanings),
        line: number,
        film_name: names[film].clone(),
    })
}

/// The first line with something in it, its number, where the next begins,
/// and the separator a spreadsheet announces with `sep=;` before the header.
fn header_line(text: &str) -> (&str, usize, usize, Option<u8>) {
    let mut end = 0;
    let mut forced = None;
    let mut found = ("", 1);
    for (index, line) in text.split_inclusive('\n').enumerate() {
        end += line.len();
        let line = line.trim_end_matches('\n');
        if let Some([separator @ (b',' | b';' | b'\t'), ..]) =
            line.strip_prefix("sep=").map(str::as_bytes)
        {
            forced = Some(*separator);
        } else if !line.trim_matches([',', ';', '\t', ' ']).is_empty() {
            found = (line, index + 1);
            break;
        }
    }
    (found.0, found.1, end, forced)
}

/// The separator under which most names are known, then that which splits most.
fn likeliest(line: &str) -> u8 {
    let mut best = (b',', (0, 0));
    for separator in [b'\t', b';', b','] {
        let names = split(line, separator);
        let known = names
            .iter()
            .filter(|n| meaning(n) != Meaning::Other)
            .count();
        if (known, names.len()) > best.1 {
            best = (separator, (known, names.len()));
        }
    }
    best.0
}

fn split(line: &str, separator: u8) -> Vec<String> {
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(separator)
        .has_headers(false)
        .from_reader(line.as_bytes());
    let mut record = csv::StringRecord::new();
    match reader.read_record(&mut record) {
        Ok(true) => record.iter().map(|cell| cell.trim().to_owned()).collect(),
        _ => Vec::new(),
    }
}

fn meaning(name: &str) -> Meaning {
    let plain = plain(name);
    let words: Vec<&str> = plain
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .collect();
    match words.as_slice() {
        ["panel" | "part"] | ["panel", "name"] => Meaning::Panel,
        ["unit" | "units"] => Meaning::Unit,
        ["u"] => Meaning::U(None),
        ["v"] => Meaning::V(None),
        ["u", unit] => Meaning::U(mm_per(unit)),
        ["v", unit] => Meaning::V(mm_per(unit)),
        ["spot" | "point"] => Meaning::Spot,
        ["repeat" | "rep"] => Meaning::Repeat,
        ["place"] => Meaning::Place,
        ["operator"] => Meaning::Operator,
        ["layer"] => Meaning::Layer,
        words => film(words),
    }
}

fn film(words: &[&str]) -> Meaning {
    let mut unit = None;
    let mut is_named = false;
    for word in words {
        match *word {
            "thickness" | "film" | "dft" => is_named = true,
            "paint" | "coating" | "total" | "reading" | "value" | "dry" => {}
            other => match FilmUnit::read(other) {
                Some(found) if unit.is_none() => unit = Some(found),
                _ => return Meaning::Other,
            },
        }
    }
    if is_named || unit.is_some() {
        Meaning::Film(unit)
    } else {
        Meaning::Other
    }
}

/// Our own names of columns.
pub(super) const COLUMNS: [&str; 13] = [
    "panel",
    "thickness_um",
    "thickness_mil",
    "thickness_mm",
    "unit",
    "u_mm",
    "v_mm",
    "u_in",
    "v_in",
    "spot",
    "repeat",
    "place",
    "operator",
];

/// What gauges and spreadsheets write beside readings, passed over silently.
const BESIDE: [&str; 16] = [
    "date", "time", "no", "nr", "number", "id", "index", "batch", "gauge", "probe", "serial",
    "comment", "comments", "note", "notes", "remark",
];

/// A likeness from which a name is taken for a slip of the pen.
const ALIKE: f64 = 0.84;

fn unknown(names: &[String], meanings: &[Meaning]) -> Vec<(String, Option<&'static str>)> {
    let is_beside = |name: &str| {
        let plain = plain(name);
        let mut words = plain.split(|c: char| !c.is_alphanumeric());
        plain.is_empty() || words.any(|word| BESIDE.contains(&word))
    };
    let mut found = Vec::new();
    for (name, _) in names
        .iter()
        .zip(meanings)
        .filter(|(name, meaning)| **meaning == Meaning::Other && !is_beside(name))
    {
        let plain = plain(name);
        let alike = |ours: &&str| strsim::jaro_winkler(ours, &plain);
        let nearest = COLUMNS
            .into_iter()
            .max_by(|a, b| alike(a).total_cmp(&alike(b)))
            .filter(|ours| alike(ours) >= ALIKE);
        found.push((name.clone(), nearest));
    }
    found
}

fn mm_per(unit: &str) -> Option<f64> {
    match unit {
        "mm" => Some(1.0),
        "in" | "inch" | "inches" => Some(25.4),
        _ => None,
    }
}

fn position(
    meanings: &[Meaning],
    u: Option<usize>,
    v: Option<usize>,
) -> Result<Option<[(usize, f64); 2]>, String> {
    let (u, v) = match (u, v) {
        (None, None) => return Ok(None),
        (Some(u), Some(v)) => (u, v),
        (Some(_), None) => return Err(lonely("u", "v")),
        (None, Some(_)) => return Err(lonely("v", "u")),
    };
    match (meanings[u], meanings[v]) {
        (Meaning::U(Some(u_mm)), Meaning::V(Some(v_mm))) => Ok(Some([(u, u_mm), (v, v_mm)])),
        _ => Err(
            "the position columns u and v have no unit we know. Name them u_mm and v_mm, or \
                  u_in and v_in."
                .to_owned(),
        ),
    }
}

fn lonely(there: &str, missing: &str) -> String {
    format!(
        "there is a {there} column but no {missing} column. A position needs both; add {missing} \
         or remove {there}.",
    )
}

fn missing_sentence(what: &str, separator: u8, names: &[String]) -> String {
    const LISTED: usize = 12;
    let separator = match separator {
        b'\t' => "tab",
        b';' => "semicolon",
        _ => "comma",
    };
    let mut found: Vec<String> = names.iter().take(LISTED).map(|name| quoted(name)).collect();
    if names.len() > LISTED {
        found.push(format!("and {} more", names.len() - LISTED));
    }
    let (noun, is_one) = if names.len() == 1 {
        ("column", true)
    } else {
        ("columns", false)
    };
    let how = if is_one {
        "; the cells may be separated by comma, semicolon or tab".to_owned()
    } else {
        format!(", separated by {separator}")
    };
    format!(
        "there is no column {what}. The {noun} found: {}{how}. The first line must name the \
         columns: panel, and one of thickness_um, thickness_mil, thickness_mm.",
        found.join(", ")
    )
}
