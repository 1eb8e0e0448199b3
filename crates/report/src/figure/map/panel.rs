//! One panel seen from the front: film in bands, contours with their figures,
//! hatch where the film is little known, the readings, the places to read next.
//!
//! Law: none; a picture. Hatch by the 80 % half-width, 1.2816 standard
//! deviations: plain up to 4 µm, fine hatch to 6 µm, wide hatch beyond.
//! Source: ours; quantile of the normal distribution at 0.9.
//! Holds: for a grid of finite values, at least two by two. Film under or over
//! the scale keeps its end colour; the figures say the true value. Many
//! readings are dots without figures.
//! What lies off the panel's outline is not drawn.
//! Checked by: markup, size, what is said and marked, in the tests of the map;
//! by looking.

mod drawing;

use crate::figure::FigureError;
use crate::figure::flatcar::Labels;
use crate::figure::scale::Units;
use crate::figure::svg::Svg;
use crate::figure::theme::Theme;

/// A reading on the panel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PanelReading {
    /// Across from the left edge of the picture, m.
    pub u_m: f64,
    /// Up from its lower edge, m.
    pub v_m: f64,
    /// What was read, µm.
    pub film_um: f64,
}

/// The film over a panel, and how to draw it.
#[derive(Clone, Debug, PartialEq)]
pub struct PanelMap<'a> {
    /// The panel's name.
    pub title: &'a str,
    /// Sentences under the map.
    pub caption: &'a str,
    /// Film, µm, row by row from the bottom.
    pub mean_um: &'a [f64],
    /// Its standard deviation, µm.
    pub sd_um: &'a [f64],
    /// Columns of both.
    pub columns: usize,
    /// Rows of both.
    pub rows: usize,
    /// Width and height, m.
    pub size_m: [f64; 2],
    /// What the lower left corner is called on the axes, m.
    pub origin_m: [f64; 2],
    /// Corners of the panel in turn, m from the lower left corner of the
    /// picture; none for the whole picture.
    pub outline_m: &'a [[f64; 2]],
    /// How far each cell lies inside the nearest edge, m; negative off the panel.
    pub inside_m: &'a [f64],
    /// Places along a crease, m; none where none was read.
    pub crease_m: &'a [[f64; 2]],
    /// Width of the strip along the edges that no gauge reads, m; 0 for none.
    pub edge_m: f64,
    /// The readings.
    pub readings: &'a [PanelReading],
    /// Readings that are another paint's and not in the film drawn.
    pub odd: &'a [PanelReading],
    /// Places to read next, the first first, m from the lower left corner.
    pub next_m: &'a [[f64; 2]],
    /// µm and mm, or mil and in.
    pub units: Units,
    /// The colours of the page.
    pub theme: Theme,
    /// Width of the picture, px.
    pub width_px: f64,
    /// Short labels in the page's language.
    pub labels: Labels,
    /// Sentences in the page's language.
    pub telling: Telling<'a>,
}

/// How a picture's English sentences are said in the page's language.
#[derive(Clone, Copy)]
pub struct Telling<'a>(pub &'a (dyn Fn(&str) -> String + Sync));

impl Telling<'_> {
    /// As they are.
    pub const ENGLISH: Telling<'static> = Telling(&|english: &str| english.to_owned());
}

impl std::fmt::Debug for Telling<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Telling")
    }
}

impl PartialEq for Telling<'_> {
    fn eq(&self, other: &Self) -> bool {
        std::ptr::addr_eq(self.0, other.0)
    }
}

/// The map as SVG text.
///
/// # Errors
/// [`FigureError`] when the grid has another shape than announced, a value is
/// not a number, or the panel has no width or height.
pub fn panel_map(map: &PanelMap<'_>) -> Result<String, FigureError> {
    check(map)?;
    let drawn = drawing::Drawn::new(map);
    let mut svg = Svg::open(drawn.width, drawn.height(), map.title, &drawn.summary());
    drawn.draw(&mut svg);
    Ok(svg.close())
}

fn check(map: &PanelMap<'_>) -> Result<(), FigureError> {
    let wished = map.columns.checked_mul(map.rows);
    for values in [map.mean_um, map.sd_um, map.inside_m] {
        if map.columns < 2 || map.rows < 2 || wished != Some(values.len()) {
            return Err(FigureError::GridShape {
                came: values.len(),
                columns: map.columns,
                rows: map.rows,
            });
        }
        if let Some(place) = values.iter().position(|v| !v.is_finite()) {
            return Err(FigureError::NotANumber {
                what: "film value",
                place,
            });
        }
    }
    for (what, came) in [
        ("panel width", map.size_m[0]),
        ("panel height", map.size_m[1]),
    ] {
        if !came.is_finite() || came <= 0.0 {
            return Err(FigureError::NoRoom { what, came });
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests;
