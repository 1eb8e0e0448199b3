//! Pictures that carry the numbers: the flat car, section maps, charts, soft
//! bars and provenance marks, each as one piece of SVG text.
//!
//! Every function here is pure: the same input gives the same text, to the
//! letter. A picture holds no style sheet, no script, no identifier and no
//! pattern, so many of them may stand on one page, and a browser and a page
//! setter draw the same thing. Nothing here computes a physical value: a
//! picture places, colours and words what it is given.
//!
//! - [`theme`]: the named colours of page, bay and paper;
//! - [`colour`]: red, green, blue, OKLab, and how far two colours stand apart;
//! - [`scale`]: which colour a thickness, a budget, a removal or a heat has;
//! - [`flatcar`]: the car unfolded, panel by panel;
//! - [`map`]: one section, or a panel with its readings, seen from above, in
//!   bands with contour lines;
//! - [`grid`]: coloured cells of a table, what two things together do;
//! - [`mod@chart`]: lines, soft bands and walls over two axes;
//! - [`correction`]: correction against film, with wall and knee;
//! - [`bar`]: the soft bar for a table cell;
//! - [`marks`]: the five marks of where a number comes from.
//!
//! Left out: motion, hover and anything that needs a pointer.

pub mod bar;
pub mod chart;
pub mod colour;
pub mod correction;
pub mod flatcar;
mod geometry;
pub mod grid;
mod hatch;
mod legend;
mod lettering;
pub mod map;
pub mod marks;
pub mod qr;
pub mod scale;
pub(crate) mod svg;
pub mod theme;
mod ticks;

use std::fmt;

pub use bar::{SoftBar, soft_bar};
pub use chart::{Axis, Band, Chart, Dash, Series, chart};
pub use colour::Rgb;
pub use flatcar::{BodyClass, CarOptions, Doubt, Fill, Labels, PanelPaint, flat_car, panel_ids};
pub use grid::{ValueGrid, value_grid};
pub use map::{PanelMap, PanelReading, SectionMap, Telling, pair_of_maps, panel_map, section_map};
pub use marks::mark;
pub use qr::qr;
pub use scale::{Quantity, Scale, Units, Wall};
pub use theme::Theme;

#[cfg(test)]
pub(crate) use svg::reading::assert_well_formed as svg_is_well_formed;

/// Why a picture could not be drawn.
#[derive(Clone, Debug, PartialEq)]
pub enum FigureError {
    /// The number of values is not columns times rows.
    GridShape {
        /// Values that came.
        came: usize,
        /// Columns announced.
        columns: usize,
        /// Rows announced.
        rows: usize,
    },
    /// A length or an axis has no room.
    NoRoom {
        /// Which length or axis.
        what: &'static str,
        /// What came.
        came: f64,
    },
    /// A value is not a number.
    NotANumber {
        /// Which value.
        what: &'static str,
        /// Its place in the list, from 0.
        place: usize,
    },
}

impl fmt::Display for FigureError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::GridShape {
                came,
                columns,
                rows,
            } => write!(
                f,
                "The map has {came} values; {columns} columns by {rows} rows need {}, at least two of each. Send one value for each cell.",
                columns * rows
            ),
            Self::NoRoom { what, came } => write!(
                f,
                "The {what} is {came}; it must be more than zero. Check what the picture was given."
            ),
            Self::NotANumber { what, place } => write!(
                f,
                "The {what} at place {place} is not a number. A picture shows only numbers; leave the place out instead."
            ),
        }
    }
}

impl std::error::Error for FigureError {}
