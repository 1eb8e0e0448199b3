//! What a course takes off, and which way it scratches.
//!
//! Law: depth(x) = k·Σ c·∫p·v dt over the pieces of the course, each with its
//! own footprint and its share c of the fresh cut rate. Grain: with θ the way
//! the pad moves at the point, |∫c·p·v·e^(2iθ) dt| / ∫c·p·v dt, the length of the
//! second moment of the directions weighted by what each takes off: 1 when all
//! scratches lie one way, 0 when they lie evenly.
//! Source: `Preston1927`; directional statistics of axes (Mardia, MEMORY).
//! Holds: as `course`.
//! Left out: how deep each scratch is, and from where one looks at them.
//! Checked by: the closed form of a straight rotary pass (1 under the line's
//! centre, `straight::rotary_grain` beside it), none under a stalled orbital
//! and the volume balance.

use super::sheet::{Drawn, Sheet, Walk};
use super::{MapGrid, RemovalMap, checked_cut_rate};
use crate::course::{Course, Piece, Touchdown};
use crate::error::PhysicsError;
use crate::pad_grid::PadGrid;

/// Which way the section is scratched, cell by cell.
#[derive(Clone, Debug, PartialEq)]
pub struct Grained {
    /// 0 evenly every way, 1 all one way; 0 where nothing comes off.
    pub strength_frac: Vec<f64>,
    /// Mean over the cells asked for, weighted by what comes off.
    pub mean_frac: f64,
    /// Highest of the cells asked for that lose at least a tenth of their mean.
    pub highest_frac: f64,
}

/// Maps what a course takes off; `cut_rate_per_pa` is that of fresh product.
///
/// # Errors
/// Refuses cut rates outside 0 to 1e-8 per pascal and grids outside 1 to 2000
/// cells a side.
pub fn map_course(
    course: &Course,
    cut_rate_per_pa: f64,
    grid: MapGrid,
) -> Result<RemovalMap, PhysicsError> {
    let to_um = checked_cut_rate(cut_rate_per_pa)? * 1e6;
    grid.checked()?;
    let rubbed = drawn_over(course, grid, |touch| &touch.footprint.rubbing);
    let depth_um = rubbed.iter().map(|r| (r * to_um).max(0.0)).collect();
    let margin_m = 2.0 * course.tool.pad.radius.value;
    Ok(RemovalMap::of(course.section, grid, depth_um, margin_m))
}

/// Maps which way a course scratches; means and extremes are over what of `map`
/// lies farther than `margin_m` from every rim, or all when nothing does.
///
/// # Errors
/// As [`map_course`].
pub fn grain_of_course(
    course: &Course,
    map: &RemovalMap,
    margin_m: f64,
) -> Result<Grained, PhysicsError> {
    map.grid.checked()?;
    let grid = map.grid;
    let rubbed = drawn_over(course, grid, |touch| &touch.footprint.rubbing);
    let lengthwise = drawn_over(course, grid, |touch| &touch.grain.lengthwise);
    let slantwise = drawn_over(course, grid, |touch| &touch.grain.slantwise);
    let most = rubbed.iter().copied().fold(0.0, f64::max);
    let strength = |index: usize| {
        if rubbed[index] <= 1e-9 * most {
            return 0.0;
        }
        (lengthwise[index].hypot(slantwise[index]) / rubbed[index]).min(1.0)
    };
    let strength_frac: Vec<f64> = (0..rubbed.len()).map(strength).collect();
    let whole = |index: usize| (index, 1.0);
    let inside = |index: usize| (index, map.share_inside(index, margin_m));
    let mut chosen: Vec<(usize, f64)> = (0..rubbed.len()).map(inside).collect();
    chosen.retain(|(_, share)| *share > 0.0);
    if chosen.is_empty() {
        chosen = (0..rubbed.len()).map(whole).collect();
    }
    let total: f64 = chosen.iter().map(|(i, share)| share * rubbed[*i]).sum();
    if total <= 0.0 {
        return Ok(Grained {
            strength_frac,
            mean_frac: 0.0,
            highest_frac: 0.0,
        });
    }
    let area: f64 = chosen.iter().map(|(_, share)| share).sum();
    let least = 0.1 * total / area;
    Ok(Grained {
        mean_frac: chosen
            .iter()
            .map(|(i, share)| share * rubbed[*i] * strength_frac[*i])
            .sum::<f64>()
            / total,
        highest_frac: chosen
            .iter()
            .filter(|(i, _)| rubbed[*i] >= least)
            .map(|(i, _)| strength_frac[*i])
            .fold(0.0, f64::max),
        strength_frac,
    })
}

/// Draws one table of every touchdown along its pieces.
fn drawn_over(course: &Course, grid: MapGrid, table: impl Fn(&Touchdown) -> &PadGrid) -> Vec<f64> {
    let mut sheet = Sheet::new(course.section, grid);
    let mut order: Vec<(usize, &Piece)> = course
        .pieces
        .iter()
        .filter_map(|piece| piece.touchdown.map(|index| (index, piece)))
        .collect();
    order.sort_by_key(|(index, _)| *index);
    let mut last = usize::MAX;
    for (index, piece) in order {
        if index != last {
            sheet.change_table();
            last = index;
        }
        let touch = &course.touchdowns[index];
        let drawn = Drawn {
            table: table(touch),
            reach_m: touch.footprint.reach_m,
        };
        let weight_s = piece.lasts_s() * piece.strength_frac * piece.cut_frac;
        sheet.walk(drawn, upwards(piece), weight_s);
    }
    sheet.rubbed_pa_m
}

/// The piece as a walk from its lower end, which is how walks are summed.
fn upwards(piece: &Piece) -> Walk {
    let (from_m, to_m) = if piece.from_m <= piece.to_m {
        (piece.from_m, piece.to_m)
    } else {
        (piece.to_m, piece.from_m)
    };
    Walk { from_m, to_m }
}
