//! The panel's plane cut into columns, with or without a margin of more sheet.
//!
//! Law: explicit conduction between neighbouring cells of a layer,
//! T += α·τ·Σ (T_neighbour − T)/(d·Δ), d the distance of the centres, Δ the
//! width of the cell; stable while α·τ·Σ 1/(d·Δ) ≤ 1. An insulated rim has no
//! neighbour. A wide sheet goes on beyond the panel in cells that grow by a
//! third each, as far as six times the shorter of √(κδ/h) (how far steady heat
//! runs before the air takes it) and √(αt) (how far it runs in the time).
//! Source: finite volumes (Patankar 1980, section 4.4, MEMORY).
//! Holds: rectangular panels. At six such lengths e⁻⁶ = 0.25 % of a steady rise
//! is left at the outer end, so the end may be insulated.
//! Left out: curved outlines and holes in the panel.
//! Checked by: discs on an infinite sheet (H7, H8, H10).

use std::ops::Range;

use super::column::LANES;

/// What happens at the edges of the panel.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Rim {
    /// No heat crosses the rim: a section among sections worked alike.
    Insulated,
    /// The sheet goes on beyond the rim and carries heat away.
    Wide,
}

/// One direction of the plane.
#[derive(Clone, Debug)]
pub(crate) struct Axis {
    /// Cell edges in metres, the panel from 0 to its size.
    pub(crate) edges_m: Vec<f64>,
    widths_m: Vec<f64>,
    /// Cells that lie on the panel.
    pub(crate) panel: Range<usize>,
    /// 1/(d·Δ) towards the previous cell, zero at the end.
    pub(crate) before: Vec<f32>,
    /// 1/(d·Δ) towards the next cell, zero at the end.
    pub(crate) after: Vec<f32>,
}

/// How the margin grows.
const MARGIN_GROWTH: f64 = 4.0 / 3.0;

/// About how many cells `Axis::new` puts beside the panel on one side: the
/// geometric sum 4·Δ·((4/3)ⁿ − 1) solved for n.
pub(crate) fn margin_cells(margin_m: f64, width_m: f64) -> f64 {
    (1.0 + margin_m / (4.0 * width_m)).ln() / MARGIN_GROWTH.ln()
}

impl Axis {
    /// `cells` equal cells over `size_m`, and on either side growing ones over
    /// `margin_m`.
    pub(crate) fn new(size_m: f64, cells: usize, margin_m: f64) -> Self {
        let width = size_m / cells as f64;
        let mut offsets = Vec::new();
        let (mut step, mut reach) = (width, 0.0);
        while reach < margin_m {
            step *= MARGIN_GROWTH;
            reach += step;
            offsets.push(reach);
        }
        let mut edges: Vec<f64> = offsets.iter().rev().map(|offset| -offset).collect();
        edges.extend((0..=cells).map(|i| size_m * i as f64 / cells as f64));
        edges.extend(offsets.iter().map(|offset| size_m + offset));
        let mut widths_m: Vec<f64> = edges.windows(2).map(|pair| pair[1] - pair[0]).collect();
        // Equal to the last bit, so that cells alike are treated alike.
        widths_m[offsets.len()..offsets.len() + cells].fill(width);
        let (before, after) = exchange(&widths_m);
        Self {
            panel: offsets.len()..offsets.len() + cells,
            before,
            after,
            edges_m: edges,
            widths_m,
        }
    }

    pub(crate) fn len(&self) -> usize {
        self.edges_m.len() - 1
    }

    pub(crate) fn width_m(&self, index: usize) -> f64 {
        self.widths_m[index]
    }

    pub(crate) fn widths(&self, cells: Range<usize>) -> &[f64] {
        &self.widths_m[cells]
    }

    /// Cells touched by the stretch from `low_m` to `high_m`.
    pub(crate) fn touched(&self, low_m: f64, high_m: f64) -> Range<usize> {
        let first = self
            .edges_m
            .partition_point(|&edge| edge <= low_m)
            .saturating_sub(1);
        let past = self
            .edges_m
            .partition_point(|&edge| edge < high_m)
            .min(self.len());
        first.min(past)..past
    }

    /// Largest sum of the exchanges of a cell in 1/m².
    fn steepest(&self) -> f64 {
        self.before
            .iter()
            .zip(&self.after)
            .map(|(b, a)| f64::from(b + a))
            .fold(0.0, f64::max)
    }
}

fn exchange(widths: &[f64]) -> (Vec<f32>, Vec<f32>) {
    let link = |i: usize, j: usize| (1.0 / (widths[i] * 0.5 * (widths[i] + widths[j]))) as f32;
    let last = widths.len() - 1;
    let before = |i: usize| if i == 0 { 0.0 } else { link(i, i - 1) };
    let after = |i: usize| if i == last { 0.0 } else { link(i, i + 1) };
    (
        (0..=last).map(before).collect(),
        (0..=last).map(after).collect(),
    )
}

/// Both directions, with the rows padded to whole strips.
#[derive(Clone, Debug)]
pub(crate) struct Plane {
    pub(crate) x: Axis,
    pub(crate) y: Axis,
    /// Columns of a row including padding.
    pub(crate) stride: usize,
    /// Exchange towards smaller x, padded with zeros.
    pub(crate) west: Vec<f32>,
    /// Exchange towards larger x, padded with zeros.
    pub(crate) east: Vec<f32>,
    /// Column widths against the panel's, padded with zeros.
    pub(crate) width: Vec<f32>,
    /// Width of a panel cell in metres.
    pub(crate) dx_m: f64,
    /// The exchange between any two neighbours, where the cells are square and
    /// all alike.
    pub(crate) even_exchange: Option<f32>,
}

impl Plane {
    pub(crate) fn new(x: Axis, y: Axis) -> Self {
        let stride = x.len().next_multiple_of(LANES);
        let dx_m = x.width_m(x.panel.start);
        let padded = |values: &[f32]| {
            let mut values = values.to_vec();
            values.resize(stride, 0.0);
            values
        };
        let widths: Vec<f32> = (0..x.len()).map(|i| (x.width_m(i) / dx_m) as f32).collect();
        let is_even = x.panel.len() == x.len()
            && y.panel.len() == y.len()
            && (y.width_m(0) / dx_m - 1.0).abs() < 1e-9;
        Self {
            stride,
            west: padded(&x.before),
            east: padded(&x.after),
            width: padded(&widths),
            dx_m,
            even_exchange: is_even.then_some((1.0 / (dx_m * dx_m)) as f32),
            x,
            y,
        }
    }

    /// Longest stable explicit step for a diffusivity in m²/s.
    pub(crate) fn stable_step_s(&self, diffusivity_m2_s: f64) -> f64 {
        1.0 / (diffusivity_m2_s * (self.x.steepest() + self.y.steepest())).max(1e-30)
    }

    /// Area that a sum weighted with `width` over row `y` stands for.
    pub(crate) fn row_scale_m2(&self, y: usize) -> f64 {
        self.dx_m * self.y.width_m(y)
    }
}

/// How far the sheet goes on beyond the panel for `Rim::Wide`.
pub(crate) fn margin_m(sheet_w_k: f64, sheet_j_m2k: f64, loss_w_m2k: f64, duration_s: f64) -> f64 {
    let steady = if loss_w_m2k > 0.0 {
        (sheet_w_k / loss_w_m2k).sqrt()
    } else {
        f64::INFINITY
    };
    6.0 * steady.min((sheet_w_k / sheet_j_m2k * duration_s).sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_stable_step_on_steel_is_the_one_worked_by_hand() {
        // α = 50/(7850·470) = 1.3552e-5; dx = 0.61/120; 1/(2α·2/dx²) = 0.4767 s.
        let axis = || Axis::new(0.61, 120, 0.0);
        let plane = Plane::new(axis(), axis());
        let limit = plane.stable_step_s(50.0 / (7850.0 * 470.0));
        assert!((limit - 0.4767).abs() < 1e-4, "{limit}");
    }

    #[test]
    fn the_margin_is_symmetric_grows_and_reaches_far_enough() {
        let axis = Axis::new(0.3, 30, 0.29);
        assert_eq!(axis.panel.len(), 30);
        assert!(axis.edges_m[0] <= -0.29);
        assert!((axis.edges_m[0] + axis.edges_m[axis.len()] - 0.3).abs() < 1e-12);
        assert!(axis.width_m(0) > axis.width_m(1));
        assert_eq!(axis.before[0], 0.0);
        let beside = axis.panel.start as f64;
        assert!((margin_cells(0.29, 0.01) - beside).abs() <= 1.0);
    }

    #[test]
    fn a_stretch_touches_the_cells_it_overlaps_and_none_beside_the_panel() {
        let axis = Axis::new(1.0, 10, 0.0);
        assert_eq!(axis.touched(0.15, 0.35), 1..4);
        assert_eq!(axis.touched(-0.5, 0.05), 0..1);
        assert!(axis.touched(1.5, 2.0).is_empty());
        assert!(axis.touched(-2.0, -1.5).is_empty());
    }
}
