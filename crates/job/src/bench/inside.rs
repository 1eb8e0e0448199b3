//! How warm it is under the surface when the pass ends.
//!
//! Law: the temperatures of the cells under a place, straight between the four
//! columns around it; through the depth the parabola through the three nearest
//! points of one layer, and where a layer has fewer, a straight line over the
//! thermal resistance ∫dz/k (m²·K/W), which steady heat follows through any
//! stack. The inner face: a parabola through the last two cells whose slope
//! there is what the air takes, k·dT/dz = h·(T − T_air).
//! Source: `Source::CarslawJaeger1959` for the conditions; interpolation.
//! Holds: on the panel, from the surface to its inner face, at the end only.
//! Left out: the history under the surface.
//! Checked by: H1, H2, H3 and H12 at depth, through setup files.

use lapwing_physics::heat::{AirContact, HeatResult, Layer};
use uom::si::heat_transfer::watt_per_square_meter_kelvin;
use uom::si::length::meter;
use uom::si::temperature_interval::kelvin;

use super::setup::{Probe, Setup};

/// A panel at the end of the pass.
pub(super) struct Inside<'a> {
    setup: &'a Setup,
    solved: &'a HeatResult,
    loss_w_m2k: f64,
    start_over_air_k: f64,
}

/// A temperature at a depth.
#[derive(Clone, Copy, Debug)]
struct Point {
    depth_m: f64,
    rise_k: f64,
}

impl<'a> Inside<'a> {
    pub(super) fn of(setup: &'a Setup, solved: &'a HeatResult, air: &AirContact) -> Self {
        Self {
            setup,
            solved,
            loss_w_m2k: air.inside.get::<watt_per_square_meter_kelvin>(),
            start_over_air_k: air.start_over_air.get::<kelvin>(),
        }
    }

    /// The rise at a place and depth.
    pub(super) fn rise_k(&self, probe: &Probe) -> f64 {
        let points = self.points(probe);
        let depth_m = probe.depth.get::<meter>();
        let (from_m, to_m, _) = self.layer_at(depth_m);
        let is_within = |p: &&Point| p.depth_m >= from_m - 1e-12 && p.depth_m <= to_m + 1e-12;
        let mut near: Vec<Point> = points.iter().filter(is_within).copied().collect();
        near.sort_by(|a, b| {
            let away = |p: &Point| (p.depth_m - depth_m).abs();
            away(a).total_cmp(&away(b))
        });
        if let [a, b, c, ..] = near[..] {
            return parabola_k([a, b, c], depth_m);
        }
        self.over_resistance_k(&points, depth_m)
    }

    /// The surface, the middles of the cells and the inner face.
    fn points(&self, probe: &Probe) -> Vec<Point> {
        let surface = Point {
            depth_m: 0.0,
            rise_k: self.on_plane(&self.solved.final_surface_rise_k, probe),
        };
        let cells = self.solved.grid.columns * self.solved.grid.rows;
        let levels = self.solved.final_rise_k.chunks(cells);
        let inner = levels.zip(&self.solved.grid.depths_m);
        let inner = inner.map(|(level, depth_m)| Point {
            depth_m: *depth_m,
            rise_k: self.on_plane(level, probe),
        });
        let mut points: Vec<Point> = std::iter::once(surface).chain(inner).collect();
        points.extend(self.inner_face(&points));
        points
    }

    /// Straight between the four cells around a place.
    fn on_plane(&self, level: &[f32], probe: &Probe) -> f64 {
        let (columns, rows) = (self.solved.grid.columns, self.solved.grid.rows);
        let section = self.setup.panel.section;
        let x = between(probe.x.value / section.width.value, columns);
        let y = between(probe.y.value / section.height.value, rows);
        let mut sum = 0.0;
        for (row, across) in y {
            for (column, along) in x {
                sum += across * along * f64::from(level[row * columns + column]);
            }
        }
        sum
    }

    fn inner_face(&self, points: &[Point]) -> Option<Point> {
        let [.., before, last] = points else {
            return None;
        };
        let whole_m = self.depth_of(self.setup.panel.layers.len());
        let (from_m, _, conductivity) = self.layer_at(whole_m);
        let slope_1_m = self.loss_w_m2k / conductivity;
        let near_m = whole_m - last.depth_m;
        let far_m = whole_m - before.depth_m;
        let taken_k = slope_1_m * self.start_over_air_k;
        let is_one_layer = before.depth_m >= from_m && before.depth_m > 0.0;
        let rise_k = if is_one_layer {
            let (near2, far2) = (near_m * near_m, far_m * far_m);
            let known_k = last.rise_k * far2 - before.rise_k * near2;
            let over = (1.0 + slope_1_m * near_m) * far2 - (1.0 + slope_1_m * far_m) * near2;
            (known_k - taken_k * (near_m * far2 - far_m * near2)) / over
        } else {
            (last.rise_k - taken_k * near_m) / (1.0 + slope_1_m * near_m)
        };
        Some(Point {
            depth_m: whole_m,
            rise_k,
        })
    }

    /// Where the layer at a depth begins and ends, and its conductivity.
    fn layer_at(&self, depth_m: f64) -> (f64, f64, f64) {
        let layers = &self.setup.panel.layers;
        let begins = |index: &usize| self.depth_of(*index) <= depth_m + 1e-12;
        let last = layers.len().saturating_sub(1);
        let index = (1..=last).rev().find(begins).unwrap_or(0);
        let conductivity = layers.get(index).map_or(1.0, |l| l.conductivity.value);
        (self.depth_of(index), self.depth_of(index + 1), conductivity)
    }

    /// Depth at which a layer begins.
    fn depth_of(&self, index: usize) -> f64 {
        let layers = self.setup.panel.layers.iter().take(index);
        layers.map(|layer| layer.thickness.value).sum()
    }

    /// Straight between the two points around a depth, over the resistance.
    fn over_resistance_k(&self, points: &[Point], depth_m: f64) -> f64 {
        let after = points.partition_point(|p| p.depth_m < depth_m);
        let after = after.clamp(1, points.len() - 1);
        let (above, below) = (points[after - 1], points[after]);
        let [from, at, to] = [above.depth_m, depth_m, below.depth_m].map(|d| self.resistance(d));
        let share = if to > from {
            (at - from) / (to - from)
        } else {
            0.0
        };
        above.rise_k + share * (below.rise_k - above.rise_k)
    }

    /// Resistance from the surface to a depth in m²·K/W.
    fn resistance(&self, depth_m: f64) -> f64 {
        let mut left_m = depth_m;
        let mut through = |layer: &Layer| {
            let within_m = left_m.clamp(0.0, layer.thickness.value);
            left_m -= within_m;
            within_m / layer.conductivity.value
        };
        self.setup.panel.layers.iter().map(&mut through).sum()
    }
}

/// The two cells whose middles enclose a share of a side, with their weights.
fn between(share: f64, cells: usize) -> [(usize, f64); 2] {
    let at = (share * cells as f64 - 0.5).clamp(0.0, (cells - 1) as f64);
    let low = at as usize;
    let part = at - low as f64;
    [(low, 1.0 - part), ((low + 1).min(cells - 1), part)]
}

/// The parabola through three points, at a depth.
fn parabola_k(points: [Point; 3], depth_m: f64) -> f64 {
    let part = |index: usize| {
        let own = points[index];
        let others = (0..3).filter(|other| *other != index);
        others
            .map(|other| (depth_m - points[other].depth_m) / (own.depth_m - points[other].depth_m))
            .product::<f64>()
            * own.rise_k
    };
    (0..3).map(part).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_parabola_is_met_at_any_depth() {
        let law = |z: f64| 3.0 - 2.0 * z + 0.5 * z * z;
        let at = |depth_m: f64| Point {
            depth_m,
            rise_k: law(depth_m),
        };
        let found = parabola_k([at(0.0), at(1.0), at(4.0)], 2.5);
        assert!((found - law(2.5)).abs() < 1e-12);
    }

    #[test]
    fn a_place_lies_between_the_middles_of_two_cells_and_at_the_rim_in_one() {
        // Ten cells: 0.5 is the border of the fifth and the sixth.
        let halves = between(0.5, 10);
        assert_eq!(halves.map(|(cell, _)| cell), [4, 5]);
        assert!(
            halves
                .iter()
                .all(|(_, weight)| (weight - 0.5).abs() < 1e-12)
        );
        assert_eq!(between(0.0, 10), [(0, 1.0), (1, 0.0)]);
        assert_eq!(between(1.0, 10), [(9, 1.0), (9, 0.0)]);
    }
}
