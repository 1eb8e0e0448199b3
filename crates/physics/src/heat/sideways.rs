//! Heat running sideways inside the layers that carry it.
//!
//! Law: one explicit step T += ατ·Σ(T_n − T)/(dΔ) (see `plane`). It is taken
//! - every step, in as many parts as stability wants, where α·Δt·Σ > 0.02
//!   (metal, laminate);
//! - once every few steps, with the time gone by, where it is slower (plastic):
//!   at most 1.5 % of a neighbour difference and at most one second at a time;
//! - never in a layer that carries less than 0.5 % of the sheet's conductance
//!   sideways (paint over metal: 0.07 % in all), or where the whole job
//!   moves less than 0.1 % of a neighbour difference. What is left out is
//!   that share of the sideways flow, itself a part of the whole.
//!
//! Source: finite volumes, explicit Euler.
//! Holds: while no more than `MOST_PARTS` parts a step are needed; beyond that
//! the step is refused.
//! Left out: sideways flow faster than the step in time: first order in Δt,
//! with a constant of the size α/R² per second (0.0035 on steel and a 62 mm pad).
//! Checked by: discs on thin sheets (H7, H8, H10), manufactured solution.

use super::depth::DepthCell;
use super::error::HeatError;
use super::plane::Plane;

/// Most parts of one step.
pub(crate) const MOST_PARTS: usize = 16;
/// Stability number kept a little under 1.
const SAFE: f64 = 0.95;
/// Below this stability number a layer is stepped now and then.
const SLOW: f64 = 0.02;
/// Share of the sheet's conductance under which a layer is skipped.
const SKIPPED_SHARE: f64 = 0.005;

/// A cell layer that conducts sideways.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Lane {
    /// Which depth cell.
    pub(crate) depth: usize,
    /// Diffusivity in m²/s.
    pub(crate) diffusivity_m2_s: f64,
}

/// Which depths conduct sideways, and how often they are stepped.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Sideways {
    /// Every step.
    pub(crate) fast: Vec<Lane>,
    /// Now and then.
    pub(crate) slow: Vec<Lane>,
    /// Steps from one slow sweep to the next.
    pub(crate) slow_every: usize,
    /// Longest stable part of the fast ones in seconds.
    pub(crate) stable_s: f64,
}

impl Sideways {
    /// Sorts the depths by how fast they carry heat over a cell.
    pub(crate) fn new(cells: &[DepthCell], plane: &Plane, step_s: f64, duration_s: f64) -> Self {
        let conductance = |cell: &DepthCell| cell.sideways_m2_s * cell.capacity_j_m2k;
        let whole: f64 = cells.iter().map(conductance).sum();
        let layer_share = |layer: usize| {
            cells
                .iter()
                .filter(|c| c.layer == layer)
                .map(conductance)
                .sum::<f64>()
                / whole
        };
        let mut sorted = Self {
            stable_s: f64::INFINITY,
            slow_every: 1,
            ..Self::default()
        };
        let mut slow_stable_s = f64::INFINITY;
        for (depth, cell) in cells.iter().enumerate() {
            let stable_s = plane.stable_step_s(cell.sideways_m2_s);
            let lane = Lane {
                depth,
                diffusivity_m2_s: cell.sideways_m2_s,
            };
            if layer_share(cell.layer) < SKIPPED_SHARE || duration_s < 1e-3 * stable_s {
                continue;
            }
            if step_s > SLOW * stable_s {
                sorted.fast.push(lane);
                sorted.stable_s = sorted.stable_s.min(SAFE * stable_s);
            } else {
                sorted.slow.push(lane);
                slow_stable_s = slow_stable_s.min(stable_s);
            }
        }
        let longest_s = (0.015 * slow_stable_s).min(1.0);
        sorted.slow_every = ((longest_s / step_s) as usize).max(1);
        sorted
    }

    /// Parts of a step of `step_s`.
    ///
    /// # Errors
    /// Refuses a step that needs more parts than allowed.
    pub(crate) fn parts(&self, step_s: f64) -> Result<usize, HeatError> {
        if self.fast.is_empty() {
            return Ok(0);
        }
        let parts = (step_s / self.stable_s).ceil().max(1.0);
        if parts > MOST_PARTS as f64 {
            return Err(HeatError::UnstableStep {
                step_s,
                longest_s: MOST_PARTS as f64 * self.stable_s,
            });
        }
        Ok(parts as usize)
    }
}

/// What one sweep does: depths with the time they move on.
#[derive(Clone, Debug, Default)]
pub(crate) struct Sweep {
    /// Depth and α·τ in m².
    pub(crate) lanes: Vec<(usize, f32)>,
}

impl Sweep {
    /// Sets the sweep to `fast_s` for the fast depths and `slow_s` for the slow.
    pub(crate) fn set(&mut self, sideways: &Sideways, fast_s: f64, slow_s: f64) {
        self.lanes.clear();
        let fast = sideways.fast.iter().map(|lane| (lane, fast_s));
        let slow = sideways.slow.iter().map(|lane| (lane, slow_s));
        let moving = fast.chain(slow).filter(|(_, time_s)| *time_s > 0.0);
        self.lanes.extend(
            moving.map(|(lane, time_s)| (lane.depth, (lane.diffusivity_m2_s * time_s) as f32)),
        );
    }
}

/// Copies of a row's conducting depths as they were before the sweep, each
/// with a guard cell at either end.
#[derive(Clone, Debug)]
pub(crate) struct OldRows {
    previous: Vec<f32>,
    current: Vec<f32>,
    guarded: usize,
}

impl OldRows {
    pub(crate) fn new(depths: usize, stride: usize) -> Self {
        let guarded = stride + 2;
        Self {
            previous: vec![0.0; depths * guarded],
            current: vec![0.0; depths * guarded],
            guarded,
        }
    }

    /// Keeps the row just before the first one of a sweep.
    pub(crate) fn start(&mut self, sweep: &Sweep, row: &[f32], plane: &Plane) {
        self.keep(sweep, row, plane);
        std::mem::swap(&mut self.previous, &mut self.current);
    }

    /// The guard cells repeat the outermost ones: nothing flows over the rim.
    fn keep(&mut self, sweep: &Sweep, row: &[f32], plane: &Plane) {
        let (stride, columns) = (plane.stride, plane.x.len());
        for (slot, (depth, _)) in sweep.lanes.iter().enumerate() {
            let kept = &mut self.current[slot * self.guarded..][..self.guarded];
            kept[1..=stride].copy_from_slice(&row[depth * stride..][..stride]);
            kept[0] = kept[1];
            kept[columns + 1] = kept[columns];
        }
    }

    /// Moves heat within `row` and to and from its neighbours; `next` is the
    /// row after it, not yet swept. `exchange` holds 1/(dΔ) towards the row
    /// before and after.
    pub(crate) fn sweep_row(
        &mut self,
        sweep: &Sweep,
        plane: &Plane,
        rows: (&mut [f32], &[f32]),
        exchange: [f32; 2],
    ) {
        let (row, next) = rows;
        let stride = plane.stride;
        self.keep(sweep, row, plane);
        for (slot, (depth, area_m2)) in sweep.lanes.iter().enumerate() {
            let start = slot * self.guarded;
            let around = Around {
                here: &self.current[start..start + stride + 2],
                before: &self.previous[start + 1..start + 1 + stride],
                after: &next[depth * stride..][..stride],
                plane,
            };
            around.conduct(*area_m2, exchange, &mut row[depth * stride..][..stride]);
        }
        std::mem::swap(&mut self.previous, &mut self.current);
    }
}

/// The old temperatures around one depth of a row.
struct Around<'a> {
    here: &'a [f32],
    before: &'a [f32],
    after: &'a [f32],
    plane: &'a Plane,
}

impl Around<'_> {
    #[inline]
    fn conduct(&self, area_m2: f32, exchange: [f32; 2], out: &mut [f32]) {
        let [before, after] = exchange;
        if self.plane.even_exchange == Some(before) && before == after {
            self.conduct_evenly(area_m2 * before, out);
        } else {
            self.conduct_unevenly(area_m2, exchange, out);
        }
    }

    /// Square cells with a neighbour on every side: one factor for all four.
    #[inline]
    fn conduct_evenly(&self, factor: f32, out: &mut [f32]) {
        let n = out.len();
        let (here, left, right) = (&self.here[1..=n], &self.here[..n], &self.here[2..n + 2]);
        let (before, after) = (&self.before[..n], &self.after[..n]);
        for i in 0..n {
            let t = here[i];
            let around = (left[i] + right[i]) + (before[i] + after[i]);
            out[i] = t + factor * (around - 4.0 * t);
        }
    }

    #[inline]
    fn conduct_unevenly(&self, area_m2: f32, exchange: [f32; 2], out: &mut [f32]) {
        let n = out.len();
        let [before_w, after_w] = exchange.map(|link| link * area_m2);
        let (here, left, right) = (&self.here[1..=n], &self.here[..n], &self.here[2..n + 2]);
        let (before, after) = (&self.before[..n], &self.after[..n]);
        let (west, east) = (&self.plane.west[..n], &self.plane.east[..n]);
        for i in 0..n {
            let t = here[i];
            let along = west[i] * (left[i] - t) + east[i] * (right[i] - t);
            let across = before_w * (before[i] - t) + after_w * (after[i] - t);
            out[i] = t + (area_m2 * along + across);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::depth::{Fineness, graded};
    use super::super::layers::{Substrate, slabs};
    use super::super::plane::Axis;
    use super::*;

    fn sorted(substrate: Substrate, step_s: f64) -> Sideways {
        let cells = graded(&slabs(&substrate.stack()).expect("allowed"), Fineness::FINE);
        let axis = || Axis::new(0.61, 120, 0.0);
        Sideways::new(&cells, &Plane::new(axis(), axis()), step_s, 764.0)
    }

    #[test]
    fn paint_over_metal_is_skipped_and_aluminium_is_stepped_in_parts() {
        let steel = sorted(Substrate::Steel, 0.1);
        assert!(!steel.fast.is_empty() && steel.fast.len() <= 2 && steel.slow.is_empty());
        assert_eq!(steel.parts(0.1), Ok(1));
        let aluminium = sorted(Substrate::Aluminium, 0.1);
        assert_eq!(aluminium.parts(0.1), Ok(2));
    }

    #[test]
    fn plastic_is_stepped_now_and_then() {
        let plastic = sorted(Substrate::Polypropylene, 0.1);
        assert!(plastic.fast.is_empty() && plastic.slow.len() > 5);
        assert!(plastic.slow_every >= 2 && plastic.slow_every <= 10);
        assert_eq!(plastic.parts(0.1), Ok(0));
    }

    #[test]
    fn a_step_far_beyond_stability_is_refused_with_the_longest_allowed() {
        let sentence = sorted(Substrate::Aluminium, 0.1)
            .parts(10.0)
            .expect_err("ten seconds")
            .to_string();
        assert!(
            sentence.contains("10 s came in") && sentence.contains("1.2"),
            "{sentence}"
        );
    }
}
