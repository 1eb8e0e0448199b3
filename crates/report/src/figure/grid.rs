//! A table of values as coloured cells: what two things together do.
//!
//! Law: none; a picture. Each cell has the colour of its value and, where there
//! is room, the value itself.
//! Source: ours.
//! Holds: for finite values, at least one row and one column. The first row is
//! drawn at the bottom, so that both axes grow as on a chart.
//! Left out: values between the cells.
//! Checked by: cells and labels counted, and nonsense.

use super::FigureError;
use super::colour::Rgb;
use super::geometry::{Point, Rect};
use super::legend::{Bar, SMALL_PX};
use super::lettering::{width_px, wrapped};
use super::scale::{Scale, Units, Wall};
use super::svg::{Anchor, Ink, Span, Svg, outline};
use super::theme::Theme;
use super::ticks;

/// Room over the cells for title and name of the upright axis, px.
const TOP_PX: f64 = 46.0;
/// Height of a cell, px.
const TALLEST_PX: f64 = 34.0;
/// Height of all cells, px.
const MOST_PX: f64 = 420.0;

/// A grid of values, and how to draw it.
#[derive(Clone, Debug, PartialEq)]
pub struct ValueGrid<'a> {
    /// Name over the grid.
    pub title: &'a str,
    /// A sentence under it; may be empty.
    pub caption: &'a str,
    /// What runs along the bottom, with its unit.
    pub x_name: &'a str,
    /// What stands at each column.
    pub x_labels: &'a [String],
    /// What runs upward, with its unit.
    pub y_name: &'a str,
    /// What stands at each row, from the bottom.
    pub y_labels: &'a [String],
    /// Values row by row from the bottom, in the unit of the scale.
    pub values: &'a [f64],
    /// The colour scale; without one the cells stay plain.
    pub scale: Option<Scale>,
    /// Limits, as bars across the scale.
    pub walls: &'a [Wall],
    /// Units of figures and scale.
    pub units: Units,
    /// Decimals of the figures.
    pub decimals: usize,
    /// The colours of the page.
    pub theme: Theme,
    /// Width of the picture, px.
    pub width_px: f64,
}

/// The grid as SVG text.
///
/// # Errors
/// [`FigureError`] when the values are not columns times rows or one is not a
/// number.
pub fn value_grid(grid: &ValueGrid<'_>) -> Result<String, FigureError> {
    let (columns, rows) = (grid.x_labels.len(), grid.y_labels.len());
    if columns == 0 || rows == 0 || columns.checked_mul(rows) != Some(grid.values.len()) {
        return Err(FigureError::GridShape {
            came: grid.values.len(),
            columns,
            rows,
        });
    }
    if let Some(place) = grid.values.iter().position(|value| !value.is_finite()) {
        return Err(FigureError::NotANumber {
            what: "grid value",
            place,
        });
    }
    Ok(Drawn::new(grid).draw())
}

struct Drawn<'a> {
    grid: &'a ValueGrid<'a>,
    width: f64,
    frame: Rect,
    cell: (f64, f64),
}

impl<'a> Drawn<'a> {
    fn new(grid: &'a ValueGrid<'a>) -> Self {
        let width = if grid.width_px.is_finite() {
            grid.width_px.clamp(240.0, 2400.0)
        } else {
            640.0
        };
        let label = |text: &String| width_px(text, SMALL_PX, false);
        let left = grid.y_labels.iter().map(label).fold(0.0, f64::max) + 14.0;
        let rows = count(grid.y_labels.len());
        let tall = (rows * TALLEST_PX).min(MOST_PX);
        let frame = Rect {
            left,
            top: TOP_PX,
            right: width - 8.0,
            bottom: TOP_PX + tall,
        };
        let cell = (frame.width() / count(grid.x_labels.len()), tall / rows);
        Self {
            grid,
            width,
            frame,
            cell,
        }
    }

    fn draw(&self) -> String {
        let grid = self.grid;
        let lines = wrapped(grid.caption, SMALL_PX + 1.0, self.width - 12.0);
        let bar = grid.scale.map(|scale| Bar {
            scale,
            units: grid.units,
            theme: &grid.theme,
            walls: grid.walls,
            pointer: None,
        });
        let bar_px = bar.as_ref().map_or(0.0, |bar| bar.height() + 10.0);
        let under = 42.0 + bar_px + 18.0 * count(lines.len());
        let height = self.frame.bottom + under + 4.0;
        let mut svg = Svg::open(self.width, height, grid.title, &self.description());
        self.draw_words(&mut svg);
        self.draw_cells(&mut svg);
        self.draw_labels(&mut svg);
        svg.rect(self.frame, &outline(&grid.theme, 1.2));
        let mut y = self.frame.bottom + 44.0;
        if let Some(bar) = bar {
            bar.draw(&mut svg, Point::new(self.frame.left, y), self.frame.width());
            y += bar_px;
        }
        for line in lines {
            let ink = Ink::new(grid.theme.ink2, Anchor::Start);
            let span = Span::plain(line, SMALL_PX + 1.0);
            svg.text(Point::new(6.0, y + 12.0), &[span], ink);
            y += 18.0;
        }
        svg.close()
    }

    fn description(&self) -> String {
        let grid = self.grid;
        let fold = |start: f64, pick: fn(f64, f64) -> f64| {
            self.written(grid.values.iter().copied().fold(start, pick))
        };
        format!(
            "{} over {} and {}: least {}, most {}. {}",
            grid.title,
            grid.x_name,
            grid.y_name,
            fold(f64::INFINITY, f64::min),
            fold(f64::NEG_INFINITY, f64::max),
            grid.caption
        )
    }

    fn written(&self, value: f64) -> String {
        let shown = match self.grid.scale {
            Some(scale) => scale.shown(value, self.grid.units),
            None => value,
        };
        ticks::written(shown, self.grid.decimals)
    }

    fn draw_words(&self, svg: &mut Svg) {
        let theme = &self.grid.theme;
        let title = [Span::bold(self.grid.title, 14.5)];
        svg.text(
            Point::new(6.0, 17.0),
            &title,
            Ink::new(theme.ink, Anchor::Start),
        );
        let quiet = |anchor| Ink::new(theme.ink2, anchor);
        let name = [Span::plain(self.grid.y_name, SMALL_PX + 0.5)];
        svg.text(Point::new(6.0, 36.0), &name, quiet(Anchor::Start));
        let name = [Span::plain(self.grid.x_name, SMALL_PX + 0.5)];
        let foot = Point::new(self.frame.right, self.frame.bottom + 34.0);
        svg.text(foot, &name, quiet(Anchor::End));
    }

    fn draw_cells(&self, svg: &mut Svg) {
        let theme = &self.grid.theme;
        let columns = self.grid.x_labels.len();
        let widest = self.grid.values.iter().map(|value| {
            let words = self.written(*value);
            width_px(&words, SMALL_PX, false)
        });
        let has_room = widest.fold(0.0, f64::max) + 4.0 < self.cell.0 && self.cell.1 > 15.0;
        for (index, value) in self.grid.values.iter().enumerate() {
            let (column, row) = (index % columns, index / columns);
            let left = self.frame.left + count(column) * self.cell.0;
            let top = self.frame.bottom - (count(row) + 1.0) * self.cell.1;
            let area = Rect {
                left,
                top,
                right: left + self.cell.0,
                bottom: top + self.cell.1,
            };
            let (fill, ink) = self.colours(*value);
            svg.rect(
                area,
                &format!(
                    "fill=\"{fill}\" stroke=\"{}\" stroke-width=\"0.6\"",
                    theme.paper
                ),
            );
            if has_room {
                let middle = Point::new(left + self.cell.0 / 2.0, top + self.cell.1 / 2.0 + 4.2);
                let words = [Span::plain(self.written(*value), SMALL_PX)];
                svg.text(middle, &words, Ink::new(ink, Anchor::Middle));
            }
        }
    }

    fn colours(&self, value: f64) -> (Rgb, Rgb) {
        match self.grid.scale {
            Some(scale) => {
                let fill = scale.banded(value);
                (fill, fill.text())
            }
            None => (self.grid.theme.sunk, self.grid.theme.ink),
        }
    }

    /// Labels of columns and rows, left out evenly where they would touch.
    fn draw_labels(&self, svg: &mut Svg) {
        let theme = &self.grid.theme;
        let widest = self.grid.x_labels.iter();
        let widest = widest
            .map(|label| width_px(label, SMALL_PX, false))
            .fold(0.0, f64::max);
        let every = |label_px: f64, cell_px: f64| {
            let mut every = 1;
            while count(every) * cell_px < label_px + 6.0 {
                every += 1;
            }
            every
        };
        for (column, label) in self.grid.x_labels.iter().enumerate() {
            if column % every(widest, self.cell.0) == 0 {
                let x = self.frame.left + (count(column) + 0.5) * self.cell.0;
                let words = [Span::plain(label.clone(), SMALL_PX)];
                let place = Point::new(x, self.frame.bottom + 16.0);
                svg.text(place, &words, Ink::new(theme.ink2, Anchor::Middle));
            }
        }
        for (row, label) in self.grid.y_labels.iter().enumerate() {
            if row % every(SMALL_PX, self.cell.1) == 0 {
                let y = self.frame.bottom - (count(row) + 0.5) * self.cell.1 + 4.2;
                let words = [Span::plain(label.clone(), SMALL_PX)];
                let place = Point::new(self.frame.left - 6.0, y);
                svg.text(place, &words, Ink::new(theme.ink2, Anchor::End));
            }
        }
    }
}

#[expect(clippy::cast_precision_loss, reason = "a grid has some thousand cells")]
fn count(number: usize) -> f64 {
    number as f64
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::figure::svg::reading::assert_well_formed;

    fn labels(count: usize) -> Vec<String> {
        (0..count).map(|i| format!("{}.5", i)).collect()
    }

    fn grid<'a>(x: &'a [String], y: &'a [String], values: &'a [f64]) -> ValueGrid<'a> {
        ValueGrid {
            title: "Takes off",
            caption: "",
            x_name: "force, N",
            x_labels: x,
            y_name: "tilt, deg",
            y_labels: y,
            values,
            scale: Some(Scale::removal(2.0)),
            walls: &[],
            units: Units::Metric,
            decimals: 2,
            theme: Theme::PRINT,
            width_px: 640.0,
        }
    }

    #[test]
    fn every_cell_is_drawn_with_its_figure_the_first_row_at_the_bottom() {
        let (x, y) = (labels(3), labels(2));
        let values = [0.1, 0.2, 0.3, 1.1, 1.2, 1.3];
        let text = value_grid(&grid(&x, &y, &values)).expect("six values");
        assert_well_formed(&text);
        for figure in ["0.10", "0.20", "0.30", "1.10", "1.20", "1.30"] {
            assert_eq!(text.matches(&format!(">{figure}<")).count(), 1, "{figure}");
        }
        let height = |figure: &str| -> f64 {
            let at = text.find(&format!(">{figure}<")).expect("drawn");
            let from = text[..at].rfind(" y=\"").expect("a place") + 4;
            let rest = &text[from..];
            rest[..rest.find('"').expect("closed")]
                .parse()
                .expect("a number")
        };
        assert!(height("0.10") > height("1.10"));
    }

    #[test]
    fn a_wide_grid_leaves_out_figures_and_labels_that_would_touch() {
        let (x, y) = (labels(100), labels(100));
        let values = vec![1.0; 10_000];
        let text = value_grid(&grid(&x, &y, &values)).expect("a value each");
        assert!(!text.contains(">1.00<"));
        assert!(text.matches("text-anchor=\"middle\"").count() < 40);
    }

    #[test]
    fn nonsense_is_refused() {
        let (x, y) = (labels(3), labels(2));
        assert!(value_grid(&grid(&x, &y, &[1.0; 5])).is_err());
        assert!(value_grid(&grid(&[], &y, &[])).is_err());
        assert!(value_grid(&grid(&x, &y, &[1.0, 1.0, f64::NAN, 1.0, 1.0, 1.0])).is_err());
    }
}
