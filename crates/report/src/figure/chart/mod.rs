//! Lines, soft bands and walls over two axes, for histories, what-if curves and
//! the curve of correction against film.
//!
//! Law: none; a picture. Axes are straight; ticks are round.
//! Source: ours.
//! Holds: for finite points. What lies outside the axes is cut at them.
//! Left out: logarithmic axes; points without a line.
//! Checked by: places worked by hand, label boxes, nonsense.

mod drawing;

use super::FigureError;
use super::scale::Wall;
use super::theme::Theme;

/// One axis.
#[derive(Clone, Debug, PartialEq)]
pub struct Axis {
    /// What runs along it: "Taken off".
    pub name: String,
    /// Its unit: "μm"; may be empty.
    pub unit: String,
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

/// How a line is drawn: what was is solid, what is planned is dashed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Dash {
    /// Measured or done.
    #[default]
    Solid,
    /// Planned or supposed.
    Dashed,
    /// For comparison, e.g. "your usual".
    Dotted,
    /// No line: the places only, as dots.
    Hidden,
}

/// One line.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Series {
    /// Its name, printed at its end.
    pub name: String,
    /// Places in the units of the axes, in drawing order.
    pub points: Vec<(f64, f64)>,
    /// How it is drawn.
    pub dash: Dash,
    /// Whether each place gets a dot: a reading rather than a curve.
    pub has_dots: bool,
}

/// A soft band: how sure a line is.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Band {
    /// x, lower end, upper end, from left to right.
    pub points: Vec<(f64, f64, f64)>,
}

/// A chart.
#[derive(Clone, Debug, PartialEq)]
pub struct Chart {
    /// Name over the chart.
    pub title: String,
    /// A sentence under it; may be empty.
    pub caption: String,
    /// The axis along the bottom.
    pub x: Axis,
    /// The upright axis.
    pub y: Axis,
    /// Lines, the first drawn strongest.
    pub series: Vec<Series>,
    /// Soft bands behind the lines.
    pub bands: Vec<Band>,
    /// Limits on x: upright walls.
    pub x_walls: Vec<Wall>,
    /// Limits on y: level walls.
    pub y_walls: Vec<Wall>,
    /// "You are here": a ringed place with its words.
    pub here: Option<(f64, f64, String)>,
    /// The colours of the page.
    pub theme: Theme,
    /// Width of the picture, px.
    pub width_px: f64,
    /// Height of the picture without its caption, px.
    pub height_px: f64,
}

/// The chart as SVG text.
///
/// # Errors
/// [`FigureError`] when an axis has no length or a point is not a number.
pub fn chart(chart: &Chart) -> Result<String, FigureError> {
    check(chart)?;
    Ok(drawing::Drawn::new(chart).draw())
}

fn check(chart: &Chart) -> Result<(), FigureError> {
    for (what, axis) in [
        ("length of the x axis", &chart.x),
        ("length of the y axis", &chart.y),
    ] {
        let came = axis.high - axis.low;
        if !came.is_finite() || came <= 0.0 {
            return Err(FigureError::NoRoom { what, came });
        }
    }
    let points = chart
        .series
        .iter()
        .flat_map(|s| s.points.iter().map(|(x, y)| x + y));
    if let Some(place) = points.into_iter().position(|sum| !sum.is_finite()) {
        return Err(FigureError::NotANumber {
            what: "chart point",
            place,
        });
    }
    let ends = chart
        .bands
        .iter()
        .flat_map(|b| b.points.iter().map(|(x, low, high)| x + low + high));
    match ends.into_iter().position(|sum| !sum.is_finite()) {
        Some(place) => Err(FigureError::NotANumber {
            what: "band point",
            place,
        }),
        None => Ok(()),
    }
}

#[cfg(test)]
mod tests;
