//! What a set of strokes takes off, cell by cell over the section.
//!
//! Law: depth(x) = k·∫p·v dt, k the cut rate in 1/Pa (m of film per Pa·m/s·s);
//! the footprint is swept along the path and averaged over each cell. With a
//! `Course` the footprint changes from place to place and knows the feed.
//! Least and most over cells depend on the cells' size; `place` gives depths at
//! points and extremes that do not.
//! Source: `Preston1927`.
//! Holds: while the cut rate is steady (or its mean over a charge of abrasive
//! is used, see `abrasive`). Outside: map the passes one by one.
//! Left out: film softened by heat; in [`map`] also the feed and what changes
//! under the pad along the way ([`map_course`] has both).
//! Checked by: the closed-form line sum in the section centre, the mean of the
//! printed runs, and symmetry and scaling properties.

mod course;
mod place;
mod sheet;
pub mod straight;
mod swept;
pub mod uniformity;

use lapwing_measure::Source;
use lapwing_measure::quantity::Length;

use crate::error::{Given, PhysicsError};
use crate::footprint::Footprint;
use crate::stroke::{Section, Stroke};
pub use course::{Grained, grain_of_course, map_course};
pub use place::{Places, extremes_inside};
use sheet::{Drawn, Sheet, walks};

/// Where the law comes from.
pub const REMOVAL_SOURCE: Source = Source::Preston1927;

/// How finely the section is divided.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct MapGrid {
    /// Cells along x.
    pub columns: usize,
    /// Cells along y.
    pub rows: usize,
}

/// Mean, extremes and unevenness over some cells.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread {
    /// Mean depth in micrometres.
    pub mean_um: f64,
    /// Least depth.
    pub min_um: f64,
    /// Most depth.
    pub max_um: f64,
    /// Root mean square deviation over the mean; zero when nothing comes off.
    pub variation: f64,
    /// Number of cells, those that are cut included.
    pub cells: usize,
}

/// Depth taken off, cell by cell.
#[derive(Clone, Debug, PartialEq)]
pub struct RemovalMap {
    /// The section.
    pub section: Section,
    /// Cells along x and y.
    pub grid: MapGrid,
    /// Cell means in micrometres, x fastest, y upward from the lower rim.
    pub depth_um: Vec<f64>,
    /// Over the whole section.
    pub whole: Spread,
    /// Over what lies farther than one pad diameter from every rim, cells that
    /// its border cuts counted by the area inside; over the swept cells when
    /// nothing lies so far in.
    pub interior: Spread,
    /// Is `interior` the swept area because the section is too small?
    pub interior_is_swept_area: bool,
}

/// Maps what a stroke takes off.
///
/// # Errors
/// Refuses cut rates outside 0 to 1e-8 per pascal and grids outside 1 to 2000
/// cells a side.
pub fn map(
    footprint: &Footprint,
    stroke: &Stroke,
    cut_rate_per_pa: f64,
    grid: MapGrid,
) -> Result<RemovalMap, PhysicsError> {
    let cut_rate = checked_cut_rate(cut_rate_per_pa)?;
    grid.checked()?;
    let mut sheet = Sheet::new(stroke.section, grid);
    let drawn = Drawn {
        table: &footprint.rubbing,
        reach_m: footprint.reach_m,
    };
    for (walk, lasts_s) in walks(stroke) {
        sheet.walk(drawn, walk, lasts_s);
    }
    let to_um = cut_rate * 1e6;
    let depth_um: Vec<f64> = sheet
        .rubbed_pa_m
        .iter()
        .map(|rubbed| (rubbed * to_um).max(0.0))
        .collect();
    Ok(RemovalMap::of(
        stroke.section,
        grid,
        depth_um,
        2.0 * footprint.pad_radius_m,
    ))
}

impl MapGrid {
    fn checked(self) -> Result<(), PhysicsError> {
        for (place, cells) in [("map columns", self.columns), ("map rows", self.rows)] {
            Given {
                place,
                value: cells as f64,
                unit: "cells",
                remedy: "120 cells a side are enough for a section.",
            }
            .within(1.0, 2000.0)?;
        }
        Ok(())
    }
}

fn checked_cut_rate(cut_rate_per_pa: f64) -> Result<f64, PhysicsError> {
    Given {
        place: "cut rate",
        value: cut_rate_per_pa,
        unit: "1/Pa",
        remedy: "A medium abrasive is about 4e-12 1/Pa; calibrate it with a test spot.",
    }
    .within(0.0, 1e-8)
}

impl RemovalMap {
    fn of(section: Section, grid: MapGrid, depth_um: Vec<f64>, interior_margin_m: f64) -> Self {
        let whole = spread(depth_um.iter().map(|depth| (*depth, 1.0)));
        let mut map = Self {
            section,
            grid,
            depth_um,
            whole,
            interior: whole,
            interior_is_swept_area: false,
        };
        if let Some(interior) = map.spread_inside(interior_margin_m) {
            map.interior = interior;
        } else {
            let swept = map.depth_um.iter().filter(|depth| **depth > 0.0);
            map.interior = spread(swept.map(|depth| (*depth, 1.0)));
            map.interior_is_swept_area = true;
        }
        map
    }

    /// Over what lies farther than `margin_m` from every rim, each cell counted
    /// by the share of it that does; `None` when nothing lies so far in.
    #[must_use]
    pub fn spread_inside(&self, margin_m: f64) -> Option<Spread> {
        let inside = spread(
            (0..self.depth_um.len())
                .map(|i| (self.depth_um[i], self.share_inside(i, margin_m)))
                .filter(|(_, share)| *share > 0.0),
        );
        (inside.cells > 0).then_some(inside)
    }

    /// Share of a cell that lies farther than `margin_m` from every rim.
    pub(crate) fn share_inside(&self, index: usize, margin_m: f64) -> f64 {
        let along = |at: usize, cells: usize, size_m: f64| {
            let cell_m = size_m / cells as f64;
            let from_m = (at as f64 * cell_m).max(margin_m);
            let to_m = ((at + 1) as f64 * cell_m).min(size_m - margin_m);
            let share = (to_m - from_m) / cell_m;
            // A border that falls on one of the grid cuts no cell by rounding.
            if share > 1e-9 { share.min(1.0) } else { 0.0 }
        };
        let (column, row) = (index % self.grid.columns, index / self.grid.columns);
        along(column, self.grid.columns, self.section.width.value)
            * along(row, self.grid.rows, self.section.height.value)
    }

    /// Centre of a cell in metres from the lower left corner.
    #[must_use]
    pub fn centre_m(&self, column: usize, row: usize) -> (f64, f64) {
        (
            (column as f64 + 0.5) * self.section.width.value / self.grid.columns as f64,
            (row as f64 + 0.5) * self.section.height.value / self.grid.rows as f64,
        )
    }

    /// Depths along x at a height, the profile across lines that run along y.
    #[must_use]
    pub fn profile_along_x_um(&self, y: Length) -> Vec<f64> {
        let row = cell_of(y, self.section.height, self.grid.rows);
        self.depth_um[row * self.grid.columns..(row + 1) * self.grid.columns].to_vec()
    }

    /// Depths along y at a distance, the profile across lines that run along x.
    #[must_use]
    pub fn profile_along_y_um(&self, x: Length) -> Vec<f64> {
        let column = cell_of(x, self.section.width, self.grid.columns);
        self.depth_um
            .iter()
            .skip(column)
            .step_by(self.grid.columns)
            .copied()
            .collect()
    }
}

fn cell_of(at: Length, size: Length, cells: usize) -> usize {
    let share = (at.value / size.value).clamp(0.0, 1.0);
    ((share * cells as f64) as usize).min(cells - 1)
}

/// Mean, extremes and unevenness of some depths, each with its weight.
fn spread(depths: impl Iterator<Item = (f64, f64)> + Clone) -> Spread {
    let cells = depths.clone().count();
    if cells == 0 {
        return Spread {
            mean_um: 0.0,
            min_um: 0.0,
            max_um: 0.0,
            variation: 0.0,
            cells,
        };
    }
    let whole: f64 = depths.clone().map(|(_, weight)| weight).sum();
    let mean_um = depths.clone().map(|(depth, w)| w * depth).sum::<f64>() / whole;
    let square = depths
        .clone()
        .map(|(depth, w)| w * (depth - mean_um).powi(2))
        .sum::<f64>()
        / whole;
    Spread {
        mean_um,
        min_um: depths.clone().map(|d| d.0).fold(f64::INFINITY, f64::min),
        max_um: depths.map(|d| d.0).fold(0.0, f64::max),
        variation: if mean_um > 0.0 {
            square.sqrt() / mean_um
        } else {
            0.0
        },
        cells,
    }
}

#[cfg(test)]
mod tests;
