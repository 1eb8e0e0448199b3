//! What the pad puts in: a flux table laid over the panel's cells.
//!
//! Law: the table holds q in W/m² in cells of width c around the pad centre.
//! A panel cell receives the exact area integral of the table over itself,
//! taken from the running double sum S(x, y) = ∬ q, which is bilinear inside a
//! table cell: power = S(x₁,y₁) − S(x₀,y₁) − S(x₁,y₀) + S(x₀,y₀).
//! Source: summed-area table (Crow, Computer Graphics 18 (1984) 207, MEMORY).
//! Holds: any offset of the pad against the cells; the powers add up to the
//! whole. What lies beside the sheet heats nothing.
//! Left out: turning the table with the direction of travel; give several
//! tables instead and name one for each moment.
//! Checked by: exact total at any offset, and a table worked by hand, below.

use std::ops::Range;

use lapwing_measure::quantity::Length;
use uom::si::length::meter;

use super::error::HeatError;
use super::path::PadMoment;
use super::plane::Axis;

/// Flux under the pad as a table centred on the machine.
#[derive(Clone, Debug, PartialEq)]
pub struct FluxFootprint {
    columns: usize,
    rows: usize,
    cell_m: f64,
    /// Running double sum in W at the table's cell corners.
    corners_w: Vec<f64>,
    half_reach_m: f64,
}

impl FluxFootprint {
    /// A table of `flux_w_m2` with `columns` cells along x (fastest) and the
    /// rest along y, `cell` wide, its middle under the machine.
    ///
    /// # Errors
    /// Refuses tables that are empty, do not fill their rows, or hold
    /// something negative, infinite or not a number.
    pub fn new(columns: usize, cell: Length, flux_w_m2: &[f64]) -> Result<Self, HeatError> {
        let refuse = |came: &str| {
            Err(HeatError::Footprint {
                came: came.to_owned(),
            })
        };
        let cell_m = cell.get::<meter>();
        if columns == 0 || flux_w_m2.is_empty() || !flux_w_m2.len().is_multiple_of(columns) {
            return refuse(&format!(
                "{} values in rows of {columns} came in",
                flux_w_m2.len()
            ));
        }
        if !(cell_m > 0.0 && cell_m.is_finite()) {
            return refuse(&format!("cells {cell_m} m wide came in"));
        }
        if let Some(bad) = flux_w_m2.iter().find(|q| !(q.is_finite() && **q >= 0.0)) {
            return refuse(&format!("a flux of {bad} W/m² came in"));
        }
        let rows = flux_w_m2.len() / columns;
        let corners_w = double_sum(columns, flux_w_m2, cell_m * cell_m);
        Ok(Self {
            columns,
            rows,
            cell_m,
            corners_w,
            half_reach_m: half_reach_m(columns, rows, flux_w_m2) * cell_m,
        })
    }

    /// The whole power in watts.
    #[must_use]
    pub fn power_w(&self) -> f64 {
        self.corners_w[self.corners_w.len() - 1]
    }

    /// Half the width of what is heated, in metres.
    #[must_use]
    pub fn reach_m(&self) -> f64 {
        self.half_reach_m
    }

    /// Power to the lower left of points on a line relative to the pad centre,
    /// in W, with their column places already found.
    fn below_w(&self, columns: &[Place], row: Place, below_w: &mut Vec<f64>) {
        let wide = self.columns + 1;
        let lines = &self.corners_w[row.cell * wide..][..2 * wide];
        let (low, high) = lines.split_at(wide);
        let on = |line: &[f64], place: &Place| match line[place.cell..] {
            [left, right, ..] => left + place.frac * (right - left),
            _ => 0.0,
        };
        below_w.clear();
        below_w.extend(columns.iter().map(|place| {
            let below = on(low, place);
            below + row.frac * (on(high, place) - below)
        }));
    }

    /// Rows and columns that receive something at a moment.
    pub(crate) fn touches(
        &self,
        moment: PadMoment,
        x: &Axis,
        y: &Axis,
    ) -> (Range<usize>, Range<usize>) {
        let half = |cells: usize| 0.5 * cells as f64 * self.cell_m;
        let (half_x, half_y) = (half(self.columns), half(self.rows));
        let columns = x.touched(moment.x_m - half_x, moment.x_m + half_x);
        let rows = y.touched(moment.y_m - half_y, moment.y_m + half_y);
        if moment.strength_frac <= 0.0 || columns.is_empty() {
            return (0..0, 0..0);
        }
        (rows, columns)
    }

    fn place(offset_m: f64, cell_m: f64, cells: usize) -> Place {
        let at = (offset_m / cell_m + 0.5 * cells as f64).clamp(0.0, cells as f64);
        let cell = (at as usize).min(cells - 1);
        Place {
            cell,
            frac: at - cell as f64,
        }
    }
}

/// A place between two corners of the table.
#[derive(Clone, Copy, Debug)]
struct Place {
    cell: usize,
    frac: f64,
}

fn double_sum(columns: usize, values: &[f64], area_m2: f64) -> Vec<f64> {
    let mut corners = vec![0.0; columns + 1];
    for line in values.chunks(columns) {
        let previous = corners.len() - columns - 1;
        let mut sum = 0.0;
        corners.push(0.0);
        for (column, value) in line.iter().enumerate() {
            sum += value * area_m2;
            corners.push(corners[previous + column + 1] + sum);
        }
    }
    corners
}

/// Farthest heated cell edge from the middle along x or y, in cells.
fn half_reach_m(columns: usize, rows: usize, values: &[f64]) -> f64 {
    let far = |index: usize, count: usize| ((index as f64 + 0.5) - 0.5 * count as f64).abs() + 0.5;
    let heated = values.iter().enumerate().filter(|(_, q)| **q > 0.0);
    heated
        .map(|(at, _)| far(at % columns, columns).max(far(at / columns, rows)))
        .fold(0.5, f64::max)
}

/// One placing of a table on the cells, handed out row by row upwards.
#[derive(Clone, Debug, Default)]
pub(crate) struct Deposit {
    /// Rows that receive something.
    pub(crate) rows: Range<usize>,
    /// Columns that receive something.
    pub(crate) columns: Range<usize>,
    places: Vec<Place>,
    below_w: Vec<f64>,
    above_w: Vec<f64>,
    lower_row: usize,
    y_m: f64,
    strength: f64,
}

impl Deposit {
    /// Lays the table at a moment over the cells.
    pub(crate) fn lay(&mut self, footprint: &FluxFootprint, moment: PadMoment, x: &Axis, y: &Axis) {
        (self.rows, self.columns) = footprint.touches(moment, x, y);
        self.y_m = moment.y_m;
        self.strength = moment.strength_frac;
        if self.rows.is_empty() {
            return;
        }
        let edges = &x.edges_m[self.columns.start..=self.columns.end];
        let place = |edge: &f64| {
            FluxFootprint::place(edge - moment.x_m, footprint.cell_m, footprint.columns)
        };
        self.places.clear();
        self.places.extend(edges.iter().map(place));
        self.lower_row = usize::MAX;
    }

    /// Fills the flux of row `row` in W/m² (only inside `columns`) and returns
    /// the power it sums to in watts.
    pub(crate) fn fill(
        &mut self,
        footprint: &FluxFootprint,
        axes: (&Axis, &Axis),
        row: usize,
        flux_w_m2: &mut [f32],
    ) -> f64 {
        let (x, y) = axes;
        if self.lower_row == row {
            std::mem::swap(&mut self.below_w, &mut self.above_w);
        } else {
            let room = std::mem::take(&mut self.below_w);
            self.below_w = self.edge_w(footprint, y.edges_m[row], room);
        }
        let room = std::mem::take(&mut self.above_w);
        self.above_w = self.edge_w(footprint, y.edges_m[row + 1], room);
        self.lower_row = row + 1;
        let mut power_w = 0.0;
        let height_m = y.width_m(row);
        let mut left = self.above_w[0] - self.below_w[0];
        let edges = self.above_w[1..].iter().zip(&self.below_w[1..]);
        let columns = self.columns.clone();
        let cells = flux_w_m2[columns.clone()].iter_mut().zip(x.widths(columns));
        for ((above, below), (flux, width_m)) in edges.zip(cells) {
            let right = above - below;
            let area_m2 = height_m * width_m;
            *flux = (self.strength * (right - left) / area_m2) as f32;
            power_w += f64::from(*flux) * area_m2;
            left = right;
        }
        power_w
    }

    fn edge_w(&self, footprint: &FluxFootprint, edge_m: f64, mut room: Vec<f64>) -> Vec<f64> {
        let row = FluxFootprint::place(edge_m - self.y_m, footprint.cell_m, footprint.rows);
        footprint.below_w(&self.places, row, &mut room);
        room
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn table() -> FluxFootprint {
        let flux: Vec<f64> = (0..64 * 64)
            .map(|at| ((at * 7919) % 101) as f64 * 100.0)
            .collect();
        FluxFootprint::new(64, Length::new::<meter>(0.002), &flux).expect("a sound table")
    }

    fn laid(footprint: &FluxFootprint, x_m: f64, y_m: f64) -> f64 {
        let (x, y) = (Axis::new(0.61, 120, 0.0), Axis::new(0.5, 77, 0.0));
        let mut deposit = Deposit::default();
        deposit.lay(footprint, PadMoment::at(x_m, y_m), &x, &y);
        let mut flux = vec![0.0_f32; 128];
        deposit
            .rows
            .clone()
            .map(|row| deposit.fill(footprint, (&x, &y), row, &mut flux))
            .sum()
    }

    #[test]
    fn the_power_is_whole_at_any_offset_inside_the_panel() {
        let footprint = table();
        for step in 0..50 {
            let shift = f64::from(step) * 0.000_373;
            let power = laid(&footprint, 0.2 + shift, 0.3 - shift);
            assert!((power / footprint.power_w() - 1.0).abs() < 1e-6);
        }
    }

    #[test]
    fn half_a_pad_over_the_edge_leaves_half_the_power_and_beside_it_none() {
        let flux = vec![5000.0; 64 * 64];
        let footprint =
            FluxFootprint::new(64, Length::new::<meter>(0.002), &flux).expect("a sound table");
        assert!((laid(&footprint, 0.0, 0.25) / footprint.power_w() - 0.5).abs() < 1e-6);
        assert_eq!(laid(&footprint, -1.0, 0.25), 0.0);
        assert_eq!(laid(&footprint, 0.3, 0.9), 0.0);
    }

    #[test]
    fn a_table_of_one_cell_is_shared_by_area_as_worked_by_hand() {
        // 0.1 m cell of 400 W/m² (4 W), centre at (0.125, 0.05) over cells of 0.1 m:
        // three quarters lie in the second column, one quarter in the first.
        let footprint =
            FluxFootprint::new(1, Length::new::<meter>(0.1), &[400.0]).expect("a sound table");
        let axis = Axis::new(1.0, 10, 0.0);
        let mut deposit = Deposit::default();
        deposit.lay(&footprint, PadMoment::at(0.125, 0.05), &axis, &axis);
        let mut flux = [0.0_f32; 16];
        let power: f64 = deposit
            .rows
            .clone()
            .map(|row| deposit.fill(&footprint, (&axis, &axis), row, &mut flux))
            .sum();
        assert!((power - 4.0).abs() < 1e-6);
        assert!(
            (flux[0] - 100.0).abs() < 1e-3 && (flux[1] - 300.0).abs() < 1e-3,
            "{flux:?}"
        );
    }

    #[test]
    fn nonsense_tables_are_refused() {
        let cell = Length::new::<meter>(0.01);
        assert!(FluxFootprint::new(3, cell, &[1.0; 4]).is_err());
        assert!(FluxFootprint::new(2, cell, &[1.0, -1.0]).is_err());
        assert!(FluxFootprint::new(1, cell, &[f64::NAN]).is_err());
    }
}
