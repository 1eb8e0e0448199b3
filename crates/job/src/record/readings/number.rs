//! Reads one cell that should be a number, and guards the unit of a film.
//!
//! Law: 1 mil = 25.4 µm, 1 mm = 1000 µm, 1 in = 25.4 mm, by definition.
//! Source: the unit guard is common practice: the value in the wrong unit is
//! named when it would fall into 20 to 3000 µm.
//! Holds: for plain decimal numbers, with a decimal comma where asked.
//! Left out: digit grouping ("1,200"), which is refused, as it is ambiguous.
//! Checked by: the unit tests of the module above.

use super::{LAYER_UM, LEAST_FILM_UM, MOST_FILM_UM, quoted, shown};

/// Unit of a film thickness.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum FilmUnit {
    Micrometre,
    Mil,
    Millimetre,
}

impl FilmUnit {
    /// The unit people mean, already in small letters with `u` for µ.
    pub(super) fn read(word: &str) -> Option<Self> {
        match word {
            "um" | "micron" | "microns" | "micrometre" | "micrometres" | "micrometer"
            | "micrometers" => Some(Self::Micrometre),
            "mil" | "mils" | "thou" => Some(Self::Mil),
            "mm" | "millimetre" | "millimetres" | "millimeter" | "millimeters" => {
                Some(Self::Millimetre)
            }
            _ => None,
        }
    }

    pub(super) fn in_um(self) -> f64 {
        match self {
            Self::Micrometre => 1.0,
            Self::Mil => 25.4,
            Self::Millimetre => 1000.0,
        }
    }

    fn word(self) -> &'static str {
        match self {
            Self::Micrometre => "µm",
            Self::Mil => "mil",
            Self::Millimetre => "mm",
        }
    }

    fn spoken(self) -> &'static str {
        match self {
            Self::Micrometre => "micrometres",
            Self::Mil => "mil",
            Self::Millimetre => "millimetres",
        }
    }
}

/// Small letters, with `u` for both signs of the micro.
pub(super) fn plain(word: &str) -> String {
    word.trim().to_lowercase().replace(['µ', 'μ'], "u")
}

/// A finite number and what stands behind it, or the sentence why not.
pub(super) fn number(cell: &str, is_comma_decimal: bool) -> Result<(f64, &str), String> {
    let end = cell
        .find(|c: char| {
            !(c.is_ascii_digit() || matches!(c, '.' | ',' | '+' | '-' | '−' | 'e' | 'E'))
        })
        .unwrap_or(cell.len());
    let (digits, rest) = cell.split_at(end);
    if digits.contains(',') && !is_comma_decimal {
        return Err(format!(
            "{} has a comma in it, and commas separate the cells here. Write a decimal point, or \
             separate the cells by semicolons.",
            quoted(cell)
        ));
    }
    let has_both = digits.contains(',') && digits.contains('.');
    let written = digits.replace(',', ".").replace('−', "-");
    let value = written
        .parse::<f64>()
        .ok()
        .filter(|_| !has_both)
        .ok_or_else(|| {
            format!(
                "{} is not a number. Write a plain number such as 112.4.",
                quoted(cell)
            )
        })?;
    if !value.is_finite() {
        return Err(format!(
            "{} is too large to be a number here. Write a plain number such as 112.4.",
            quoted(cell)
        ));
    }
    Ok((value, rest.trim()))
}

/// A film in µm from 20 to 3000, or the sentence why not.
pub(super) fn film_um(value: f64, unit: FilmUnit) -> Result<f64, String> {
    let came = format!("{} {}", shown_raw(value), unit.word());
    if value < 0.0 {
        return Err(format!(
            "{came} is negative. A film is {LEAST_FILM_UM} to {MOST_FILM_UM} µm; read the spot \
             again, or write \"zero\" as its place if it is a zero check.",
        ));
    }
    let film_um = value * unit.in_um();
    if (LEAST_FILM_UM..=MOST_FILM_UM).contains(&film_um) {
        return Ok(film_um);
    }
    Err(format!(
        "{came} is outside the {LEAST_FILM_UM} to {MOST_FILM_UM} µm a painted panel can have{}",
        hint(value, unit)
    ))
}

/// A single layer in µm, or the sentence why not.
pub(super) fn layer_um(value: f64, unit: FilmUnit) -> Result<f64, String> {
    let film_um = value * unit.in_um();
    if (LAYER_UM.0..=LAYER_UM.1).contains(&film_um) {
        return Ok(film_um);
    }
    Err(format!(
        "{} {} is outside the {} to {} µm a single layer can have. Check the unit, or leave the \
         layer empty if it is the whole film.",
        shown_raw(value),
        unit.word(),
        LAYER_UM.0,
        LAYER_UM.1
    ))
}

fn hint(value: f64, unit: FilmUnit) -> String {
    // Paint or filler in the other unit, as a person would expect to read it.
    let usual = |other: FilmUnit, from_um: f64, to_um: f64| {
        other != unit && (from_um..=to_um).contains(&(value * other.in_um()))
    };
    let mut looks: Vec<FilmUnit> = Vec::new();
    if usual(FilmUnit::Millimetre, 20.0, 3000.0) {
        looks.push(FilmUnit::Millimetre);
    }
    if usual(FilmUnit::Mil, 20.0, 600.0) {
        looks.push(FilmUnit::Mil);
    }
    if usual(FilmUnit::Micrometre, 20.0, 3000.0) {
        looks.push(FilmUnit::Micrometre);
    }
    if looks.is_empty() {
        return ": read the spot again, or write \"zero\" as its place if it is a zero check."
            .to_owned();
    }
    let words: Vec<String> = looks
        .iter()
        .map(|u| format!("{} ({} µm)", u.spoken(), shown(value * u.in_um())))
        .collect();
    format!(
        ": it looks like {}. Put the right unit into the header.",
        words.join(" or ")
    )
}

/// The number as it came, shortened when it is very small or very large.
fn shown_raw(value: f64) -> String {
    if value != 0.0 && !(1e-6..1e9).contains(&value.abs()) {
        format!("{value:e}")
    } else {
        format!("{value}")
    }
}
