//! Cuts the layers into thin cells, finest where the heat goes in.
//!
//! Law: heat reaches a depth s = ∫dz/√α (in √s) after about s² seconds, α the
//! diffusivity in m²/s. A cell may be as thick as s₀ + g·s, s at its upper
//! face, so that every cell is thin against the heat's own reach. Neighbouring cells
//! exchange K = 1/(Δz₁/2k₁ + Δz₂/2k₂) W/(m²·K); the outermost half cell lies
//! between the true surface and the first temperature. A sheet of metal under
//! paint is one cell (Biot number against the paint under 0.06).
//! Source: finite volumes with resistances in series, exact for steady flow
//! through any stack (Patankar, Numerical Heat Transfer and Fluid Flow, 1980,
//! section 4.2, MEMORY).
//! Holds: any stack. With either setting the surface under a steady flux is
//! right within 2 % from 0.1 s on (measured against closed forms in the checks).
//! Left out: cells that move with a wearing film.
//! Checked by: steady composite wall (H12), film on half space (H5), slab (H3).

use super::error::HeatError;
use super::layers::Slab;

/// One cell through the depth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct DepthCell {
    /// Thickness in metres.
    pub(crate) dz_m: f64,
    /// Which layer it lies in.
    pub(crate) layer: usize,
    /// Conductivity through the thickness.
    pub(crate) through_w_mk: f64,
    /// Heat capacity of a square metre in J/(m²·K).
    pub(crate) capacity_j_m2k: f64,
    /// Diffusivity sideways in m²/s.
    pub(crate) sideways_m2_s: f64,
}

/// How fine the cells are.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Fineness {
    /// Thickness of the first cell in √s.
    pub(crate) first_root_s: f64,
    /// Growth with depth.
    pub(crate) growth: f64,
}

impl Fineness {
    /// For answers one plays with.
    pub(crate) const COARSE: Self = Self {
        first_root_s: 0.07,
        growth: 0.45,
    };
    /// For answers one signs.
    pub(crate) const FINE: Self = Self {
        first_root_s: 0.06,
        growth: 0.3,
    };

    /// Cells `factor` times as thick.
    pub(crate) fn times(self, factor: f64) -> Self {
        Self {
            first_root_s: self.first_root_s * factor,
            growth: self.growth * factor,
        }
    }
}

/// Cuts every layer by the reach of the heat; a layer that is a thin sheet
/// beneath what lies over it is one cell.
pub(crate) fn graded(slabs: &[Slab], fineness: Fineness) -> Vec<DepthCell> {
    let mut cells = Vec::new();
    let (mut reach, mut above_m2k_w) = (0.0, 0.0);
    for (layer, slab) in slabs.iter().enumerate() {
        let root = slab.diffusivity_m2_s().sqrt();
        let whole = slab.thickness_m / root;
        let own_m2k_w = slab.thickness_m / slab.through_w_mk;
        let shares = if own_m2k_w / 6.0 < THIN_FRAC * above_m2k_w {
            vec![1.0]
        } else {
            shares(reach, whole, fineness)
        };
        for share in shares {
            cells.push(cell(slab, layer, share * slab.thickness_m));
        }
        reach += whole;
        above_m2k_w += own_m2k_w;
    }
    cells
}

/// A heated layer of resistance R, insulated behind, is warmer at its face than
/// on the mean by qR/3, as one cell by qR/2. It is thin where the difference,
/// qR/6, is less than this share of what the layers over it add.
const THIN_FRAC: f64 = 0.01;

/// Cuts every layer evenly into a given number of cells.
pub(crate) fn even(slabs: &[Slab], counts: &[usize]) -> Result<Vec<DepthCell>, HeatError> {
    if counts.len() != slabs.len() || counts.contains(&0) {
        return Err(HeatError::OutOfRange {
            what: "depth cells",
            came: format!("{counts:?}"),
            allowed: format!(
                "one number of 1 or more for each of the {} layers",
                slabs.len()
            ),
            remedy: "List one number per layer, from the outside inwards.",
        });
    }
    let split = |(layer, (slab, count)): (usize, (&Slab, &usize))| {
        vec![cell(slab, layer, slab.thickness_m / *count as f64); *count]
    };
    Ok(slabs
        .iter()
        .zip(counts)
        .enumerate()
        .flat_map(split)
        .collect())
}

/// Cuts the layers into a given number of cells in all, each layer at least
/// once, always splitting where the cells are thickest against the heat's reach.
pub(crate) fn total(slabs: &[Slab], wanted: usize) -> Result<Vec<DepthCell>, HeatError> {
    if wanted < slabs.len() {
        return Err(HeatError::OutOfRange {
            what: "depth cells",
            came: wanted.to_string(),
            allowed: format!("{} or more, one for each layer", slabs.len()),
            remedy: "Ask for more cells through the depth, or leave them to the program.",
        });
    }
    let mut counts = vec![1; slabs.len()];
    for _ in slabs.len()..wanted {
        let worst = coarsest_layer(slabs, &counts);
        counts[worst] += 1;
    }
    even(slabs, &counts)
}

fn coarsest_layer(slabs: &[Slab], counts: &[usize]) -> usize {
    let mut worst = (0, 0.0);
    let mut reach = 0.0;
    for (layer, slab) in slabs.iter().enumerate() {
        let whole = slab.thickness_m / slab.diffusivity_m2_s().sqrt();
        let each = whole / counts[layer] as f64;
        let coarseness = each / (Fineness::FINE.first_root_s + Fineness::FINE.growth * reach);
        if coarseness > worst.1 {
            worst = (layer, coarseness);
        }
        reach += whole;
    }
    worst.0
}

/// Shares of one layer's thickness, growing downwards.
fn shares(start: f64, whole: f64, fineness: Fineness) -> Vec<f64> {
    let mut sizes = Vec::new();
    let mut at = 0.0;
    while at < whole * (1.0 - 1e-9) {
        let size = fineness.first_root_s + fineness.growth * (start + at);
        sizes.push(size);
        at += size;
    }
    let sum: f64 = sizes.iter().sum();
    sizes.iter().map(|size| size / sum).collect()
}

fn cell(slab: &Slab, layer: usize, dz_m: f64) -> DepthCell {
    DepthCell {
        dz_m,
        layer,
        through_w_mk: slab.through_w_mk,
        capacity_j_m2k: slab.volumetric_j_m3k * dz_m,
        sideways_m2_s: slab.sideways_w_mk / slab.volumetric_j_m3k,
    }
}

#[cfg(test)]
mod tests {
    use super::super::layers::{Substrate, slabs};
    use super::*;

    #[test]
    fn every_cut_adds_up_to_the_layers() {
        for substrate in [
            Substrate::Steel,
            Substrate::Aluminium,
            Substrate::Polypropylene,
            Substrate::Laminate,
        ] {
            let slabs = slabs(&substrate.stack()).expect("the stock stack is allowed");
            let sum: f64 = slabs.iter().map(|s| s.thickness_m).sum();
            let wanted = total(&slabs, 12).expect("12 are enough");
            assert_eq!(wanted.len(), 12);
            for cells in [
                graded(&slabs, Fineness::COARSE),
                graded(&slabs, Fineness::FINE),
                wanted,
            ] {
                let cut: f64 = cells.iter().map(|c| c.dz_m).sum();
                assert!((cut / sum - 1.0).abs() < 1e-12);
                assert!(
                    cells.len() >= slabs.len() && cells.len() < 40,
                    "{} cells",
                    cells.len()
                );
            }
        }
    }

    #[test]
    fn plastic_cells_grow_downwards_and_a_metal_sheet_needs_few() {
        let plastic = graded(
            &slabs(&Substrate::Polypropylene.stack()).expect("allowed"),
            Fineness::FINE,
        );
        let sheet: Vec<f64> = plastic
            .iter()
            .filter(|c| c.layer == 3)
            .map(|c| c.dz_m)
            .collect();
        assert!(sheet.len() > 4 && sheet.windows(2).all(|pair| pair[1] > pair[0]));
        let metal = graded(
            &slabs(&Substrate::Steel.stack()).expect("allowed"),
            Fineness::FINE,
        );
        assert!(metal.iter().filter(|c| c.layer == 4).count() == 1);
    }

    #[test]
    fn fewer_cells_than_layers_or_a_layer_without_cells_is_refused() {
        let slabs = slabs(&Substrate::Steel.stack()).expect("allowed");
        assert!(total(&slabs, 4).is_err());
        assert!(even(&slabs, &[3, 1, 2, 0, 5]).is_err());
        assert!(even(&slabs, &[3, 1, 2]).is_err());
    }
}
