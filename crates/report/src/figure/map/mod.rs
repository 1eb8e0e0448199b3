//! One section seen from above: colour in bands, contour lines with their
//! figures, the least and the most marked where they are.
//!
//! Law: none; a picture. A band's border is a contour; labelled lines stand at
//! round steps in the unit shown.
//! Source: ours; contours by marching squares (see `contour`).
//! Holds: for a grid of finite values, at least two by two. Row 0 is drawn at
//! the bottom. If a picture would pass 55 kB, lines are thinned further; the
//! marked least and most stay the true ones.
//! Left out: cells without a value; a map of part of a section must be cut to
//! what is known.
//! Checked by: closed forms in `contour`; size, markup and label boxes here.

mod contour;
mod drawing;
mod panel;

pub use panel::{PanelMap, PanelReading, Telling, panel_map};

use super::FigureError;
use super::scale::{Scale, Units, Wall};
use super::theme::Theme;

/// A grid of values over a section, and how to draw it.
#[derive(Clone, Debug, PartialEq)]
pub struct SectionMap<'a> {
    /// Name over the map: "Takes off".
    pub title: &'a str,
    /// A sentence under it; may be empty.
    pub caption: &'a str,
    /// In place of "Least 0.8, mean 1.2, most 1.7 μm."; empty for that.
    pub summary: &'a str,
    /// Values, µm or °C, row by row from the bottom, each from the left.
    pub values: &'a [f64],
    /// Columns of the grid.
    pub columns: usize,
    /// Rows of the grid.
    pub rows: usize,
    /// Width of the section, m.
    pub width_m: f64,
    /// Height of the section, m.
    pub height_m: f64,
    /// The colour scale.
    pub scale: Scale,
    /// Limits: bars across the scale, thick lines across the map.
    pub walls: &'a [Wall],
    /// µm, °C, mm or mil, °F, in.
    pub units: Units,
    /// The colours of the page.
    pub theme: Theme,
    /// Width of the picture, px.
    pub width_px: f64,
}

/// The map as SVG text.
///
/// # Errors
/// [`FigureError`] when the grid has another shape than announced, a value is
/// not a number, or the section has no width or height.
pub fn section_map(map: &SectionMap<'_>) -> Result<String, FigureError> {
    check(map)?;
    Ok(drawing::alone(map))
}

/// Two maps side by side as one SVG, each in half of the first map's width;
/// one above the other when that is less than 520 px.
///
/// # Errors
/// As [`section_map`], for either map.
pub fn pair_of_maps(left: &SectionMap<'_>, right: &SectionMap<'_>) -> Result<String, FigureError> {
    check(left)?;
    check(right)?;
    Ok(drawing::pair(left, right))
}

fn check(map: &SectionMap<'_>) -> Result<(), FigureError> {
    let wished = map.columns.checked_mul(map.rows);
    if map.columns < 2 || map.rows < 2 || wished != Some(map.values.len()) {
        return Err(FigureError::GridShape {
            came: map.values.len(),
            columns: map.columns,
            rows: map.rows,
        });
    }
    for (what, came) in [
        ("section width", map.width_m),
        ("section height", map.height_m),
    ] {
        if !came.is_finite() || came <= 0.0 {
            return Err(FigureError::NoRoom { what, came });
        }
    }
    match map.values.iter().position(|value| !value.is_finite()) {
        Some(place) => Err(FigureError::NotANumber {
            what: "map value",
            place,
        }),
        None => Ok(()),
    }
}

#[cfg(test)]
mod tests;
