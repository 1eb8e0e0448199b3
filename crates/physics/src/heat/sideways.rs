//! Heat running sideways inside the layers that carry it.
//!
//! Law: one explicit step T += ατ·Σ(T_n − T)/(dΔ) (see `plane`). It is taken
//! - every step, where α·τ·Σ > 0.02 (metal, laminate); beyond the limit of
//!   stability τ₁ in s sweeps that reach τ₁·(s² + s)/2 together: with a = 2/(s²+s)
//!   T₁ = T₀ + a·τ·L(T₀), T_j = T_{j−1} + (j−1)/j·(T_{j−1} − T_{j−2}) +
//!   (2j−1)/j·a·τ·L(T_{j−1});
//! - once every few steps, with the time gone by, where it is slower (plastic):
//!   at most 1.5 % of a neighbour difference and at most one second at a time;
//! - never in a layer that carries less than 0.5 % of the sheet's conductance
//!   sideways (paint over metal: 0.07 % in all), or where the whole job
//!   moves less than 0.1 % of a neighbour difference. What is left out is
//!   that share of the sideways flow, itself a part of the whole.
//!
//! Source: finite volumes, explicit Euler; the sweeps of a long step are those
//! of Meyer, Balsara and Aslam, J. Comput. Phys. 257 (2014) 594, first order
//! (Legendre polynomials), MEMORY.
//! Holds: while no more than `MOST_SWEEPS` sweeps a step are needed; beyond that
//! the step is refused.
//! Left out: sideways flow faster than the step in time: first order in Δt,
//! with a constant of the size α/R² per second (0.0035 on steel and a 62 mm pad).
//! Checked by: discs on thin sheets (H7, H8, H10), manufactured solution.

use fearless_simd::{Simd, SimdBase, f32x16};

use super::column::LANES;
use super::depth::DepthCell;
use super::error::HeatError;
use super::plane::Plane;
use crate::wide::Aligned;

/// Most sweeps of one step.
pub(crate) const MOST_SWEEPS: usize = 16;
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
    /// Longest time from one slow sweep to the next.
    pub(crate) slow_longest_s: f64,
    /// Longest stable single sweep of the fast ones in seconds.
    pub(crate) stable_s: f64,
}

impl Sideways {
    /// Sorts the depths by how fast they carry heat over a cell in a step.
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
        sorted.slow_longest_s = (0.015 * slow_stable_s).min(1.0);
        sorted
    }

    /// Sweeps that a step of `step_s` takes.
    ///
    /// # Errors
    /// Refuses a step that needs more sweeps than allowed.
    pub(crate) fn sweeps(&self, step_s: f64) -> Result<usize, HeatError> {
        if self.fast.is_empty() {
            return Ok(0);
        }
        (1..=MOST_SWEEPS)
            .find(|&sweeps| step_s <= reach(sweeps) * self.stable_s)
            .ok_or_else(|| HeatError::UnstableStep {
                step_s,
                longest_s: reach(MOST_SWEEPS) * self.stable_s,
            })
    }
}

/// How many single stable steps a number of sweeps reaches.
fn reach(sweeps: usize) -> f64 {
    0.5 * (sweeps * (sweeps + 1)) as f64
}

/// What one sweep does: depths with the time they move on.
#[derive(Clone, Debug, Default)]
pub(crate) struct Sweep {
    /// Depth and α·τ in m².
    pub(crate) lanes: Vec<(usize, f32)>,
    /// How much of the last sweep's change is repeated; nothing for a lone sweep.
    pub(crate) repeat: Option<f32>,
}

/// One sweep of several.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Turn {
    /// Which one, from 1.
    pub(crate) number: usize,
    /// Of how many.
    pub(crate) of: usize,
    /// Time all of them move the fast depths on.
    pub(crate) fast_s: f64,
    /// Time the last of them moves the slow depths on.
    pub(crate) slow_s: f64,
}

impl Sweep {
    /// Sets up one sweep.
    pub(crate) fn set(&mut self, sideways: &Sideways, turn: Turn) {
        let number = turn.number as f64;
        let gain = (2.0 * number - 1.0) / number / reach(turn.of);
        self.repeat =
            (turn.of > 1 && !sideways.fast.is_empty()).then_some(((number - 1.0) / number) as f32);
        let slow_s = if turn.number == turn.of {
            turn.slow_s
        } else {
            0.0
        };
        self.lanes.clear();
        let fast = sideways.fast.iter().map(|lane| (lane, gain * turn.fast_s));
        let slow = sideways.slow.iter().map(|lane| (lane, slow_s));
        let moving = fast.chain(slow).filter(|(_, time_s)| *time_s > 0.0);
        self.lanes.extend(
            moving.map(|(lane, time_s)| (lane.depth, (lane.diffusivity_m2_s * time_s) as f32)),
        );
    }
}

/// The conducting depths of the row last swept as they were before the sweep.
#[derive(Debug)]
pub(crate) struct OldRow {
    kept: Aligned,
}

impl OldRow {
    pub(crate) fn new(depths: usize, stride: usize) -> Self {
        Self {
            kept: Aligned::new(depths * stride, 0.0),
        }
    }

    /// Keeps the row just before the first one of a sweep.
    pub(crate) fn start(&mut self, sweep: &Sweep, row: &[f32], stride: usize) {
        for (slot, (depth, _)) in sweep.lanes.iter().enumerate() {
            let kept = &mut self.kept[slot * stride..][..stride];
            kept.copy_from_slice(&row[depth * stride..][..stride]);
        }
    }

    /// Moves heat within a row and to and from its neighbours. `exchange` holds
    /// 1/(dΔ) towards the row before and after.
    pub(crate) fn sweep_row<S: Simd>(
        &mut self,
        simd: S,
        (sweep, plane): (&Sweep, &Plane),
        rows: Rows<'_>,
        exchange: [f32; 2],
    ) {
        simd.vectorize(
            #[inline(always)]
            || self.sweep_depths(simd, (sweep, plane), rows, exchange),
        );
    }

    #[inline(always)]
    fn sweep_depths<S: Simd>(
        &mut self,
        simd: S,
        (sweep, plane): (&Sweep, &Plane),
        rows: Rows<'_>,
        exchange: [f32; 2],
    ) {
        let Rows { row, next, earlier } = rows;
        let stride = plane.stride;
        let [before, after] = exchange;
        let is_even = plane.even_exchange == Some(before) && before == after;
        for (slot, (depth, area_m2)) in sweep.lanes.iter().enumerate() {
            let (at, here) = (slot * stride, depth * stride);
            let mut around = Around {
                here: row[here..here + stride].as_chunks_mut().0,
                before: self.kept[at..at + stride].as_chunks_mut().0,
                after: next[here..here + stride].as_chunks().0,
                columns: plane.x.len(),
            };
            let earlier = earlier.get_mut(at..at + stride);
            match (sweep.repeat, earlier) {
                (Some(frac), Some(earlier)) => {
                    let again = Again {
                        frac,
                        earlier: earlier.as_chunks_mut().0,
                    };
                    if is_even {
                        around.sweep(simd, Evenly::new(simd, area_m2 * before), again);
                    } else {
                        around.sweep(simd, Unevenly::new(plane, *area_m2, exchange), again);
                    }
                }
                _ if is_even => around.sweep(simd, Evenly::new(simd, area_m2 * before), Once),
                _ => around.sweep(simd, Unevenly::new(plane, *area_m2, exchange), Once),
            }
        }
    }
}

/// A row to be swept.
pub(crate) struct Rows<'a> {
    pub(crate) row: &'a mut [f32],
    /// The row after it, not yet swept.
    pub(crate) next: &'a [f32],
    /// The fast depths of the row before the last sweep, where several belong
    /// together; else empty.
    pub(crate) earlier: &'a mut [f32],
}

/// One depth of a row with its neighbours, in strips.
struct Around<'a> {
    here: &'a mut [[f32; LANES]],
    /// The row before as it was; in the end this one as it was.
    before: &'a mut [[f32; LANES]],
    after: &'a [[f32; LANES]],
    columns: usize,
}

/// A strip of cells, what lies around them, and their place in the row.
struct Cells<S: Simd> {
    t: f32x16<S>,
    left: f32x16<S>,
    right: f32x16<S>,
    before: f32x16<S>,
    after: f32x16<S>,
    strip: usize,
}

/// What a strip of cells becomes by conduction.
trait Conduct<S: Simd> {
    fn new_t(&self, simd: S, cells: &Cells<S>) -> f32x16<S>;
}

/// What is added to it from the sweep before.
trait Repeat<S: Simd> {
    fn and(&mut self, simd: S, strip: usize, t: [f32x16<S>; 2]) -> f32x16<S>;
}

impl Around<'_> {
    /// At either end the outermost cell is its own neighbour: nothing flows
    /// over the rim.
    #[inline(always)]
    fn sweep<S: Simd>(&mut self, simd: S, law: impl Conduct<S>, mut repeat: impl Repeat<S>) {
        let strips = self.here.len();
        let (before, after) = (&mut self.before[..strips], &self.after[..strips]);
        let here = &mut self.here[..strips];
        let last = here[(self.columns - 1) / LANES][(self.columns - 1) % LANES];
        if self.columns < strips * LANES {
            here[self.columns / LANES][self.columns % LANES] = last;
        }
        let mut left = f32x16::splat(simd, here[0][0]);
        let mut t = f32x16::load_array_ref(simd, &here[0]);
        for strip in 0..strips {
            let right = match here.get(strip + 1) {
                Some(cells) => f32x16::load_array_ref(simd, cells),
                None => f32x16::splat(simd, last),
            };
            let cells = Cells {
                t,
                left: left.slide::<{ LANES - 1 }>(t),
                right: t.slide::<1>(right),
                before: f32x16::load_array_ref(simd, &before[strip]),
                after: f32x16::load_array_ref(simd, &after[strip]),
                strip,
            };
            t.store_array(&mut before[strip]);
            let moved = law.new_t(simd, &cells);
            repeat
                .and(simd, strip, [t, moved])
                .store_array(&mut here[strip]);
            (left, t) = (t, right);
        }
    }
}

/// Square cells with a neighbour on every side: one factor for all four.
struct Evenly<S: Simd> {
    factor: f32x16<S>,
    four: f32x16<S>,
}

impl<S: Simd> Evenly<S> {
    #[inline(always)]
    fn new(simd: S, factor: f32) -> Self {
        Self {
            factor: f32x16::splat(simd, factor),
            four: f32x16::splat(simd, 4.0),
        }
    }
}

impl<S: Simd> Conduct<S> for Evenly<S> {
    #[inline(always)]
    fn new_t(&self, _: S, cells: &Cells<S>) -> f32x16<S> {
        let around = (cells.left + cells.right) + (cells.before + cells.after);
        cells.t + self.factor * (around - self.four * cells.t)
    }
}

/// Any cells: an exchange of its own towards every side.
struct Unevenly<'a> {
    area_m2: f32,
    before_w: f32,
    after_w: f32,
    west: &'a [[f32; LANES]],
    east: &'a [[f32; LANES]],
}

impl<'a> Unevenly<'a> {
    #[inline(always)]
    fn new(plane: &'a Plane, area_m2: f32, [before, after]: [f32; 2]) -> Self {
        Self {
            area_m2,
            before_w: before * area_m2,
            after_w: after * area_m2,
            west: plane.west.as_chunks().0,
            east: plane.east.as_chunks().0,
        }
    }
}

impl<S: Simd> Conduct<S> for Unevenly<'_> {
    #[inline(always)]
    fn new_t(&self, simd: S, cells: &Cells<S>) -> f32x16<S> {
        let t = cells.t;
        let west = f32x16::load_array_ref(simd, &self.west[cells.strip]);
        let east = f32x16::load_array_ref(simd, &self.east[cells.strip]);
        let along = west * (cells.left - t) + east * (cells.right - t);
        let across = (cells.before - t) * self.before_w + (cells.after - t) * self.after_w;
        t + (along * self.area_m2 + across)
    }
}

/// A sweep by itself.
struct Once;

impl<S: Simd> Repeat<S> for Once {
    #[inline(always)]
    fn and(&mut self, _: S, _: usize, [_, moved]: [f32x16<S>; 2]) -> f32x16<S> {
        moved
    }
}

/// One of several sweeps: adds part of the change the one before made, and
/// keeps what that one made.
struct Again<'a> {
    frac: f32,
    earlier: &'a mut [[f32; LANES]],
}

impl<S: Simd> Repeat<S> for Again<'_> {
    #[inline(always)]
    fn and(&mut self, simd: S, strip: usize, [t, moved]: [f32x16<S>; 2]) -> f32x16<S> {
        let earlier = &mut self.earlier[strip];
        let change = t - f32x16::load_array_ref(simd, earlier);
        t.store_array(earlier);
        moved + change * self.frac
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
        assert_eq!(steel.sweeps(0.1), Ok(1));
        let aluminium = sorted(Substrate::Aluminium, 0.1);
        assert_eq!(aluminium.sweeps(0.1), Ok(2));
        // Six single stable steps (0.079 s) in three sweeps.
        assert_eq!(aluminium.sweeps(0.47), Ok(3));
    }

    #[test]
    fn plastic_is_stepped_now_and_then() {
        let plastic = sorted(Substrate::Polypropylene, 0.1);
        assert!(plastic.fast.is_empty() && plastic.slow.len() > 5);
        assert!(plastic.slow_longest_s >= 0.2 && plastic.slow_longest_s <= 1.0);
        assert_eq!(plastic.sweeps(0.1), Ok(0));
    }

    #[cfg(target_arch = "x86_64")]
    #[test]
    fn every_kind_of_registers_sweeps_to_the_same_bits() {
        fn bits<S: Simd>(simd: S, plane: &Plane, repeat: Option<f32>) -> Vec<u32> {
            let sweep = Sweep {
                lanes: vec![(0, 3e-6), (1, 1e-6)],
                repeat,
            };
            let value = |i: usize| 0.37 * (i % 53) as f32;
            let mut row: Vec<f32> = (0..2 * plane.stride).map(value).collect();
            let next: Vec<f32> = row.iter().rev().copied().collect();
            let mut earlier = next.clone();
            let mut old = OldRow::new(2, plane.stride);
            old.start(&sweep, &next, plane.stride);
            let rows = Rows {
                row: &mut row,
                next: &next,
                earlier: &mut earlier,
            };
            let exchange = [plane.y.before[5], plane.y.after[5]];
            old.sweep_row(simd, (&sweep, plane), rows, exchange);
            let all = row.iter().chain(&earlier).chain(old.kept.iter());
            all.map(|t| t.to_bits()).collect()
        }
        let level = fearless_simd::Level::new();
        // Forty columns leave half a strip over; a margin makes cells uneven.
        for margin_m in [0.0, 0.2] {
            let axis = || Axis::new(0.2, 40, margin_m);
            let plane = Plane::new(axis(), axis());
            for repeat in [None, Some(0.5)] {
                let widest = fearless_simd::dispatch!(level, simd => bits(simd, &plane, repeat));
                let two = level.as_sse2().expect("every such machine has them");
                assert_eq!(bits(two, &plane, repeat), widest);
                if let Some(four) = level.as_avx2() {
                    assert_eq!(bits(four, &plane, repeat), widest);
                }
            }
        }
    }

    #[test]
    fn a_step_far_beyond_stability_is_refused_with_the_longest_allowed() {
        let sentence = sorted(Substrate::Aluminium, 0.1)
            .sweeps(30.0)
            .expect_err("half a minute")
            .to_string();
        assert!(
            sentence.contains("30 s came in") && sentence.contains("10.6"),
            "{sentence}"
        );
    }
}
