//! One step of heat through the depth, the same small matrix for every column.
//!
//! Law: C·(T′−T)/τ = flux in − flux out, all at the new time (backward Euler,
//! never unstable). The unknowns are the heats X in J/m² that cross the faces
//! between the cells in τ, not the temperatures: X/(τK) = T′ above − T′ below.
//! So whatever rounding does, what leaves one cell enters the next, and single
//! precision keeps the books. The outer face takes X = τ·(s·q − G·T′), where
//! the half cell with conductance H between surface and first temperature
//! gives G = hH/(H+h), s = H/(H+h), and the true surface T = (H·T₀ + q)/(H+h).
//! Temperatures are kept over the start, so a warm panel loses no digits; where
//! it starts over the air, G·T′ and h·T count from the air.
//! Two such solves make one step of second order (Alexander's two-stage
//! method, γ = 1−1/√2): the first over γΔt, its change taken (1−γ)/γ fold as
//! the start of the second over γΔt. It damps the stiff film at any step.
//! Source: Thomas elimination; Alexander, SIAM J. Numer. Anal. 14 (1977) 1006,
//! theorem 5, MEMORY.
//! Holds: any step length. Outside: nothing; an unstable step does not exist
//! through the depth.
//! Left out: nothing of the one-dimensional law.
//! Checked by: closed forms H1 to H5, H12 and the order of convergence.

use std::ops::Range;

use fearless_simd::{Simd, SimdBase, f32x16};

use super::depth::DepthCell;

/// Columns solved side by side: one register of the widest machine.
pub(crate) const LANES: usize = 16;
/// Most strips solved together.
const TOGETHER: usize = 4;
/// Numbers that a solve needs room for beside every cell.
pub(crate) const ROOM: usize = TOGETHER * LANES;
/// Share of the step of either stage of the two-stage method, 1 − 1/√2.
pub(crate) const STAGE_FRAC: f64 = 1.0 - std::f64::consts::FRAC_1_SQRT_2;

/// How time is stepped through the depth.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Scheme {
    /// One solve a step, first order: for comparisons.
    BackwardEuler,
    /// Two solves a step, second order, damps the stiff film.
    TwoStage,
}

/// Heat passed to the air on both sides, in W/(m²·K), and how much warmer than
/// the air the panel starts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct FaceLoss {
    pub(crate) outside_w_m2k: f64,
    pub(crate) inside_w_m2k: f64,
    pub(crate) start_over_air_k: f64,
}

/// Elimination numbers of one face.
#[derive(Clone, Copy, Debug)]
struct Face {
    pivot: f32,
    lower: f32,
    upper: f32,
    /// Kelvin per J/m² for the cell below this face, times the stage weight.
    warms: [f32; 2],
}

/// One stage of a step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Stage {
    /// When its source is taken, as a share of the step.
    pub(crate) node_frac: f64,
    /// How often its change is taken.
    pub(crate) weight: f64,
}

/// The shared matrix of all columns for one step length, eliminated.
#[derive(Clone, Debug)]
pub(crate) struct Column {
    faces: Vec<Face>,
    source: f32,
    outside: f32,
    inside: f32,
    start_k: f32,
    /// Length of a solve in seconds.
    pub(crate) solve_s: f64,
    /// The stages of a step.
    pub(crate) stages: Vec<Stage>,
}

/// True surface temperature from the first cell and the flux.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct SurfaceLaw {
    pub(crate) of_cell: f32,
    pub(crate) of_flux: f32,
    /// What the air takes off it from the start.
    pub(crate) less_k: f32,
}

impl SurfaceLaw {
    pub(crate) fn new(cells: &[DepthCell], loss: FaceLoss) -> Self {
        let half = half_cell(&cells[0]);
        let sum = half + loss.outside_w_m2k;
        Self {
            of_cell: (half / sum) as f32,
            of_flux: (1.0 / sum) as f32,
            less_k: (loss.outside_w_m2k * loss.start_over_air_k / sum) as f32,
        }
    }
}

impl Column {
    /// Eliminates the matrix for steps of `step_s` seconds.
    pub(crate) fn new(cells: &[DepthCell], loss: FaceLoss, step_s: f64, scheme: Scheme) -> Self {
        let stages = match scheme {
            Scheme::BackwardEuler => vec![Stage {
                node_frac: 0.5,
                weight: 1.0,
            }],
            Scheme::TwoStage => vec![
                Stage {
                    node_frac: STAGE_FRAC,
                    weight: (1.0 - STAGE_FRAC) / STAGE_FRAC,
                },
                Stage {
                    node_frac: 1.0,
                    weight: 1.0,
                },
            ],
        };
        let solve_s = if scheme == Scheme::TwoStage {
            STAGE_FRAC * step_s
        } else {
            step_s
        };
        let rows = face_equations(cells, loss, solve_s);
        let weight = |index: usize| stages.get(index).map_or(0.0, |stage: &Stage| stage.weight);
        let warms =
            |cell: &DepthCell| [0, 1].map(|stage| (weight(stage) / cell.capacity_j_m2k) as f32);
        let mut faces = Vec::with_capacity(rows.len());
        let mut carried = 0.0;
        for (index, row) in rows.iter().enumerate() {
            let pivot = 1.0 / (row.diagonal - row.above * carried);
            carried = row.below * pivot;
            faces.push(Face {
                pivot: pivot as f32,
                lower: (row.above * pivot) as f32,
                upper: carried as f32,
                warms: cells.get(index).map_or([0.0; 2], warms),
            });
        }
        let bounds = Bounds::new(cells, loss, solve_s);
        Self {
            faces,
            source: bounds.source as f32,
            outside: bounds.outside as f32,
            inside: bounds.inside as f32,
            start_k: loss.start_over_air_k as f32,
            solve_s,
            stages,
        }
    }

    /// Solves one stage for some strips of a row of columns in place.
    ///
    /// Returns the heat through the outer face inwards and through the inner
    /// face outwards in J/m², summed over the columns with their widths.
    pub(crate) fn solve<S: Simd>(&self, simd: S, stage: usize, rows: RowOfColumns<'_>) -> [f64; 2] {
        simd.vectorize(
            #[inline(always)]
            || self.solve_strips(simd, stage, rows),
        )
    }

    /// Two strips at a time: one waits for its own last line of the
    /// elimination while the other is worked on.
    #[inline(always)]
    fn solve_strips<S: Simd>(&self, simd: S, stage: usize, rows: RowOfColumns<'_>) -> [f64; 2] {
        let RowOfColumns {
            row,
            flux_w_m2,
            width,
            heats,
            strips,
        } = rows;
        let mut side = Side {
            row: row.as_chunks_mut().0,
            flux: flux_w_m2.as_chunks().0,
            width: width.as_chunks().0,
            heats: heats.as_chunks_mut().0,
            sums: [f32x16::splat(simd, 0.0); 2],
            at: strips.start,
        };
        while side.at + TOGETHER <= strips.end {
            self.solve_beside::<S, TOGETHER>(simd, stage, &mut side);
            side.at += TOGETHER;
        }
        while side.at + 2 <= strips.end {
            self.solve_beside::<S, 2>(simd, stage, &mut side);
            side.at += 2;
        }
        if side.at < strips.end {
            self.solve_beside::<S, 1>(simd, stage, &mut side);
        }
        let weight = self.stages[stage].weight;
        let sum = |lanes: f32x16<S>| lanes.to_array().iter().map(|&x| f64::from(x)).sum::<f64>();
        [weight * sum(side.sums[0]), weight * sum(side.sums[1])]
    }

    #[inline(always)]
    fn solve_beside<S: Simd, const N: usize>(&self, simd: S, stage: usize, side: &mut Side<'_, S>) {
        let bottom = self.eliminate::<S, N>(simd, side);
        let top = self.substitute::<S, N>(simd, stage, side, bottom);
        for n in 0..N {
            let width = f32x16::load_array_ref(simd, &side.width[side.at + n]);
            side.sums[0] += top[n] * width;
            side.sums[1] += bottom[n] * width;
        }
    }

    /// Downwards: from the outer face to the inner one, whose heat it returns.
    #[inline(always)]
    fn eliminate<S: Simd, const N: usize>(
        &self,
        simd: S,
        side: &mut Side<'_, S>,
    ) -> [f32x16<S>; N] {
        let (first, faces, last) = self.parted();
        let at = side.at;
        let mut depths = side.row.chunks_exact(side.flux.len());
        let mut kept = side.heats.chunks_exact_mut(TOGETHER);
        let nothing = f32x16::splat(simd, 0.0);
        let (mut here, mut heat) = ([nothing; N], [nothing; N]);
        if let (Some(cells), Some(kept)) = (depths.next(), kept.next()) {
            for n in 0..N {
                here[n] = f32x16::load_array_ref(simd, &cells[at + n]);
                let flux = f32x16::load_array_ref(simd, &side.flux[at + n]);
                heat[n] =
                    (flux * self.source - (here[n] + self.start_k) * self.outside) * first.pivot;
                heat[n].store_array(&mut kept[n]);
            }
        }
        for ((face, kept), cells) in faces.iter().zip(kept).zip(depths) {
            for n in 0..N {
                let below = f32x16::load_array_ref(simd, &cells[at + n]);
                heat[n] = (here[n] - below) * face.pivot + heat[n] * face.lower;
                heat[n].store_array(&mut kept[n]);
                here[n] = below;
            }
        }
        let inside = last.pivot * self.inside;
        for n in 0..N {
            heat[n] = (here[n] + self.start_k) * inside + heat[n] * last.lower;
        }
        heat
    }

    /// Upwards: the heat through every face, and what it does to the cells.
    #[inline(always)]
    fn substitute<S: Simd, const N: usize>(
        &self,
        simd: S,
        stage: usize,
        side: &mut Side<'_, S>,
        mut below: [f32x16<S>; N],
    ) -> [f32x16<S>; N] {
        let at = side.at;
        let depths = side.row.chunks_exact_mut(side.flux.len());
        let kept = side.heats.chunks_exact(TOGETHER);
        for ((cells, kept), face) in depths.zip(kept).zip(&self.faces).rev() {
            let (upper, warms) = (face.upper, face.warms[stage]);
            for n in 0..N {
                let heat = f32x16::load_array_ref(simd, &kept[n]) + below[n] * upper;
                let cell = f32x16::load_array_ref(simd, &cells[at + n]);
                (cell + (heat - below[n]) * warms).store_array(&mut cells[at + n]);
                below[n] = heat;
            }
        }
        below
    }

    /// The outermost face, those between cells, and the innermost.
    fn parted(&self) -> (&Face, &[Face], &Face) {
        let last = self.faces.len() - 1;
        (&self.faces[0], &self.faces[1..last], &self.faces[last])
    }
}

/// A row of columns and what a solve needs beside it.
pub(crate) struct RowOfColumns<'a> {
    /// Temperatures, one depth after the other, each `flux_w_m2.len()` long.
    pub(crate) row: &'a mut [f32],
    /// Flux into the outer face of each column.
    pub(crate) flux_w_m2: &'a [f32],
    /// Weight of each column in the sums.
    pub(crate) width: &'a [f32],
    /// `ROOM` numbers for every cell.
    pub(crate) heats: &'a mut [f32],
    /// Which strips of `LANES` columns.
    pub(crate) strips: Range<usize>,
}

/// The strips being solved.
struct Side<'a, S: Simd> {
    row: &'a mut [[f32; LANES]],
    flux: &'a [[f32; LANES]],
    width: &'a [[f32; LANES]],
    heats: &'a mut [[f32; LANES]],
    /// Heat through the outer and the inner face.
    sums: [f32x16<S>; 2],
    /// The first of them.
    at: usize,
}

/// One line of the matrix: diagonal·X − above·X₋ − below·X₊ = right side.
struct Equation {
    diagonal: f64,
    above: f64,
    below: f64,
}

/// Right-hand factors at the two faces.
struct Bounds {
    source: f64,
    outside: f64,
    inside: f64,
}

impl Bounds {
    fn new(cells: &[DepthCell], loss: FaceLoss, solve_s: f64) -> Self {
        let last = &cells[cells.len() - 1];
        let (top, bottom) = (half_cell(&cells[0]), half_cell(last));
        Self {
            source: solve_s * top / (top + loss.outside_w_m2k),
            outside: solve_s * top * loss.outside_w_m2k / (top + loss.outside_w_m2k),
            inside: solve_s * bottom * loss.inside_w_m2k / (bottom + loss.inside_w_m2k),
        }
    }
}

fn half_cell(cell: &DepthCell) -> f64 {
    2.0 * cell.through_w_mk / cell.dz_m
}

fn face_equations(cells: &[DepthCell], loss: FaceLoss, solve_s: f64) -> Vec<Equation> {
    let bounds = Bounds::new(cells, loss, solve_s);
    let first = 1.0 / cells[0].capacity_j_m2k;
    let last = 1.0 / cells[cells.len() - 1].capacity_j_m2k;
    let mut rows = vec![Equation {
        diagonal: 1.0 + bounds.outside * first,
        above: 0.0,
        below: bounds.outside * first,
    }];
    for pair in cells.windows(2) {
        let resistance = 1.0 / half_cell(&pair[0]) + 1.0 / half_cell(&pair[1]);
        let (above, below) = (1.0 / pair[0].capacity_j_m2k, 1.0 / pair[1].capacity_j_m2k);
        rows.push(Equation {
            diagonal: resistance / solve_s + above + below,
            above,
            below,
        });
    }
    rows.push(Equation {
        diagonal: 1.0 + bounds.inside * last,
        above: bounds.inside * last,
        below: 0.0,
    });
    rows
}

#[cfg(test)]
mod tests {
    use super::super::depth::even;
    use super::super::layers::{Substrate, slabs};
    use super::*;
    use fearless_simd::{Level, dispatch};

    fn steel() -> Vec<DepthCell> {
        let slabs = slabs(&Substrate::Steel.stack()).expect("allowed");
        even(&slabs, &[3, 1, 2, 1, 5]).expect("one number per layer")
    }

    fn solve(column: &Column, stage: usize, row: &mut [f32], flux_w_m2: f32) -> [f64; 2] {
        let (flux, width) = ([flux_w_m2; LANES], [1.0; LANES]);
        let mut heats = [0.0; 12 * ROOM];
        let rows = RowOfColumns {
            row,
            flux_w_m2: &flux,
            width: &width,
            heats: &mut heats,
            strips: 0..1,
        };
        dispatch!(Level::new(), simd => column.solve(simd, stage, rows))
    }

    #[test]
    fn an_even_temperature_without_losses_stays_to_the_last_bit() {
        let loss = FaceLoss {
            outside_w_m2k: 0.0,
            inside_w_m2k: 0.0,
            start_over_air_k: 0.0,
        };
        let column = Column::new(&steel(), loss, 0.1, Scheme::TwoStage);
        let mut row = vec![37.25_f32; 12 * LANES];
        for stage in [0, 1] {
            solve(&column, stage, &mut row, 0.0);
        }
        assert!(row.iter().all(|&t| t == 37.25));
    }

    #[cfg(target_arch = "x86_64")]
    #[test]
    fn every_kind_of_registers_gives_the_same_bits() {
        let loss = FaceLoss {
            outside_w_m2k: 10.0,
            inside_w_m2k: 5.0,
            start_over_air_k: 3.0,
        };
        let column = Column::new(&steel(), loss, 0.1, Scheme::TwoStage);
        // Seven strips: four together, two together, one alone.
        let flux: Vec<f32> = (0..7 * LANES).map(|i| 50.0 * (i % 37) as f32).collect();
        let start: Vec<f32> = (0..12 * flux.len())
            .map(|i| 0.37 * (i % 53) as f32)
            .collect();
        fn bits<S: Simd>(simd: S, column: &Column, flux: &[f32], row: &[f32]) -> Vec<u32> {
            let (mut row, mut heats) = (row.to_vec(), vec![0.0; 12 * ROOM]);
            for stage in [0, 1] {
                let rows = RowOfColumns {
                    row: &mut row,
                    flux_w_m2: flux,
                    width: &vec![1.0; flux.len()],
                    heats: &mut heats,
                    strips: 0..7,
                };
                column.solve(simd, stage, rows);
            }
            row.iter().map(|t| t.to_bits()).collect()
        }
        let level = Level::new();
        let widest = dispatch!(level, simd => bits(simd, &column, &flux, &start));
        let two = level.as_sse2().expect("every such machine has them");
        assert_eq!(bits(two, &column, &flux, &start), widest);
        if let Some(four) = level.as_avx2() {
            assert_eq!(bits(four, &column, &flux, &start), widest);
        }
    }

    #[test]
    fn what_goes_in_is_stored_or_lost() {
        let cells = steel();
        let loss = FaceLoss {
            outside_w_m2k: 10.0,
            inside_w_m2k: 5.0,
            start_over_air_k: 0.0,
        };
        let column = Column::new(&cells, loss, 0.1, Scheme::TwoStage);
        let mut row = vec![0.0_f32; 12 * LANES];
        let (mut entered, mut left) = (0.0, 0.0);
        for _ in 0..500 {
            for stage in [0, 1] {
                let [inwards, outwards] = solve(&column, stage, &mut row, 6000.0);
                entered += inwards;
                left += outwards;
            }
        }
        let stored: f64 = cells
            .iter()
            .zip(row.chunks(LANES))
            .map(|(cell, t)| cell.capacity_j_m2k * f64::from(t[0]))
            .sum();
        let lanes = LANES as f64;
        assert!((stored - (entered - left) / lanes).abs() < 2e-6 * stored);
    }
}
