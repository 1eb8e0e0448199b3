//! Works the map of one panel out: learn the field, fill the cells, bound the
//! thinnest place.
//!
//! Law: see the front page of this folder.
//! Source: the same.
//! Holds: for three places or more that are not all equal.
//! Left out: the same.
//! Checked by: the tests of the front page.

use lapwing_measure::statistics::field::{
    Belief, Beliefs, Kernel, Learned, Level, Neighbours, Observations, Prediction, Process, Ranges,
    Repeated, Shape, learn, lowest, pick, plausible,
};
use lapwing_measure::statistics::{StatisticsError, quantile};
use std::collections::BTreeMap;

use rayon::prelude::*;
use serde::Serialize;

use super::{Drop, EDGE_MM, FilmMap, Grid, MapReading, Outline, Spot, Task};
use crate::record::Place;

/// Up to so many places every cell sees all of them.
const DENSE_UP_TO: usize = 256;

/// The kernel is learnt from so many places at most.
const LEARN_FROM: usize = 128;

/// Beyond the dense ones a tile of cells sees so many around it.
const AROUND: usize = 48;

/// Of many readings those in a square of this share of the range are one.
const SQUARE_FRAC: f64 = 0.2;
/// Smaller squares gain nothing.
const LEAST_SQUARE_FRAC: f64 = 0.02;

/// A cell between others is filled in where that is off by no more, µm; a
/// fifth of what the map is written to.
const FILLED_WITHIN_UM: f64 = 0.002;

/// Places a thread works out at once.
const AT_ONCE: usize = 1024;

/// Cells along the side of such a tile.
const TILE: usize = 8;

/// Up to so many places the doubt about the kernel counts.
const DOUBT_UP_TO: usize = 100;

/// Places the thinnest is looked for among: on a lattice, then the lowest.
const LATTICE: usize = 400;
const LOWEST: usize = 150;

/// Of the share that may lie under the bound only this part is used up: on
/// panels drawn from known fields a bound at the full share held 90 times in
/// 100 where 95 were wanted, because a few kernels and places stand for all.
const CAUTIOUS_FRAC: f64 = 0.4;

/// From so many places on the other shape is weighed too.
const BOTH_SHAPES_FROM: usize = 8;

/// Doubtful places the next reading is judged by.
const DOUBTFUL: usize = 24;

impl Task {
    /// Share of the draws under the bound.
    fn tail_frac(&self) -> f64 {
        CAUTIOUS_FRAC * (1.0 - self.confidence)
    }
}

/// What was learnt of a panel's field.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct FieldFacts {
    /// `matern-3/2` or `matern-5/2`.
    pub shape: &'static str,
    /// Level of the film, µm.
    pub level_um: f64,
    /// Standard deviation of the field about it, µm.
    pub sd_um: f64,
    /// How far it reaches across, mm.
    pub range_u_mm: f64,
    /// How far it reaches up, mm.
    pub range_v_mm: f64,
    /// Standard deviation of one reading about the field, µm.
    pub noise_um: f64,
    /// Places it rests on.
    pub places: usize,
    /// Root mean square of what each reading is off when the others foretell
    /// it, µm.
    pub left_out_rms_um: f64,
    /// The same in the deviations foretold; 1 is right.
    pub left_out_score: f64,
}

/// The map; `field` are the spots of the open face, `inside` all on the panel.
pub(super) fn map(
    name: &str,
    outline: Outline,
    field: &[(Spot, [f64; 2])],
    inside: &[(Spot, [f64; 2])],
    task: &Task,
) -> Result<FilmMap, StatisticsError> {
    let seen = Seen::of(field, beliefs(&outline, task.gauge_um));
    let learned = seen.learn()?;
    let whole = seen.condition(&learned, &seen.tree.thinned(DENSE_UP_TO))?;
    let grid = Grid::over(&outline);
    let gathered = (seen.sites.len() > DENSE_UP_TO).then(|| seen.gathered(&learned));
    let near = gathered.as_ref().unwrap_or(&seen);
    let smooth = match &gathered {
        Some(near) => near.condition(&learned, &near.tree.thinned(DENSE_UP_TO))?,
        None => whole.clone(),
    };
    let cells = near.fill(&grid, &learned, &smooth)?;
    let z = quantile::normal(task.confidence)?;
    let places = doubtful_places(&grid, &outline, &cells, z);
    let process = if near.sites.len() > DENSE_UP_TO {
        near.condition(&learned, &near.about(&places))?
    } else {
        smooth
    };
    let (lower_um, widening) = seen.thinnest(&process, &places, &learned, task)?;
    let facts = facts(&learned, &whole, seen.sites.len());
    let thicker = |place: Place| thicker_um(inside, place, &whole);
    let edge = Drop::of(&thicker(Place::Edge));
    let inside_mm = (0..grid.cells()).map(|c| outline.inside_by_mm(grid.middle_mm(c)));
    Ok(FilmMap {
        inside_mm: inside_mm.collect(),
        crease_mm: along(inside, Place::Crease),
        panel: name.to_owned(),
        outline,
        grid,
        face_um: cells.iter().map(|film| film.mean).collect(),
        face_sd_um: cells.iter().map(|film| film.sd * widening).collect(),
        readings: seen.readings(),
        left_out: Vec::new(),
        facts,
        edge,
        crease: Drop::of(&thicker(Place::Crease)),
        lower_um,
        process,
        widening,
        doubtful: places.into_iter().take(DOUBTFUL).collect(),
    })
}

/// What is believed of a panel's film before it is read.
fn beliefs(outline: &Outline, gauge_um: f64) -> Beliefs {
    let [wide, tall] = outline.size_mm();
    let believed = |middle: f64, log_sd: f64| Belief { middle, log_sd };
    Beliefs {
        sd: believed(4.0, 0.6),
        range: believed(0.4 * wide.max(tall), 0.5),
        noise_sd: believed(gauge_um, 0.3),
    }
}

/// The places read, as the mathematics wants them.
struct Seen {
    sites: Vec<[f64; 2]>,
    values_um: Vec<f64>,
    repeats: Vec<f64>,
    tree: Neighbours,
    beliefs: Beliefs,
}

impl Seen {
    fn of(field: &[(Spot, [f64; 2])], beliefs: Beliefs) -> Self {
        let sites: Vec<[f64; 2]> = field.iter().map(|(_, at)| *at).collect();
        Self {
            tree: Neighbours::of(&sites),
            values_um: field.iter().map(|(s, _)| s.mean_um).collect(),
            repeats: field.iter().map(|(s, _)| s.repeats).collect(),
            sites,
            beliefs,
        }
    }

    /// Many readings, those of a small square of the field put together: film
    /// changes so little across a fifth of its range that one mean with all
    /// their repeats says what they say. The squares are as small as one field
    /// can take.
    fn gathered(&self, learned: &Learned) -> Self {
        let mut frac = SQUARE_FRAC;
        let mut squares = self.squares(learned, frac);
        loop {
            frac *= 0.8;
            let finer = self.squares(learned, frac);
            if finer.len() > DENSE_UP_TO || frac < LEAST_SQUARE_FRAC {
                break;
            }
            squares = finer;
        }
        let mean = |axis: usize| squares.iter().map(move |s| s[axis] / s[3]);
        let sites: Vec<[f64; 2]> = mean(0).zip(mean(1)).map(|(u, v)| [u, v]).collect();
        Self {
            tree: Neighbours::of(&sites),
            values_um: mean(2).collect(),
            repeats: squares.iter().map(|s| s[3]).collect(),
            sites,
            beliefs: self.beliefs,
        }
    }

    /// Sums over the squares that hold readings: u, v, film, each times its
    /// repeats, and the repeats.
    fn squares(&self, learned: &Learned, frac: f64) -> Vec<[f64; 4]> {
        let side = [learned.kernel.range_u, learned.kernel.range_v].map(|r| frac * r);
        let mut squares: BTreeMap<[i64; 2], [f64; 4]> = BTreeMap::new();
        let read = self.values_um.iter().zip(&self.repeats);
        for (at, (um, repeats)) in self.sites.iter().zip(read) {
            let square = [0, 1].map(|axis| (at[axis] / side[axis]).floor() as i64);
            let sums = squares.entry(square).or_default();
            for (sum, value) in sums.iter_mut().zip([at[0], at[1], *um, 1.0]) {
                *sum += value * repeats;
            }
        }
        squares.into_values().collect()
    }

    fn chosen(&self, numbers: &[usize]) -> (Vec<[f64; 2]>, Vec<f64>, Vec<f64>) {
        (
            numbers.iter().map(|i| self.sites[*i]).collect(),
            numbers.iter().map(|i| self.values_um[*i]).collect(),
            numbers.iter().map(|i| self.repeats[*i]).collect(),
        )
    }

    fn learn(&self) -> Result<Learned, StatisticsError> {
        let (sites, values, repeats) = self.chosen(&self.tree.thinned(LEARN_FROM));
        pick(
            &Repeated {
                sites: &sites,
                values: &values,
                repeats: &repeats,
                level: Level::Unknown,
            },
            &self.beliefs,
        )
    }

    /// The thinnest plausible place among some, and by how much the doubt
    /// about the kernel widens the standard deviations there.
    fn thinnest(
        &self,
        process: &Process,
        places: &[[f64; 2]],
        learned: &Learned,
        task: &Task,
    ) -> Result<(f64, f64), StatisticsError> {
        let joint = process.joint(places);
        if self.sites.len() > DOUBT_UP_TO {
            let equal = lowest(&joint, &task.draws)?.into_iter().map(|um| (um, 1.0));
            return Ok((at_share(equal.collect(), task.tail_frac()), 1.0));
        }
        let seen = Repeated {
            sites: &self.sites,
            values: &self.values_um,
            repeats: &self.repeats,
            level: Level::Unknown,
        };
        let all: Vec<usize> = (0..self.sites.len()).collect();
        let mut under = Vec::new();
        let mut moments = vec![[0.0; 2]; places.len()];
        for (kernel, share) in self.kernels(&seen, learned)? {
            let other = self.condition(&kernel, &all)?.joint(places);
            under.extend(
                lowest(&other, &task.draws)?
                    .into_iter()
                    .map(|um| (um, share)),
            );
            for (k, [mean, square]) in moments.iter_mut().enumerate() {
                let off = other.means[k] - joint.means[k];
                *mean += share * off;
                *square += share * (other.covariance(k, k) + off * off);
            }
        }
        let variance: f64 = moments
            .iter()
            .map(|[mean, square]| square - mean * mean)
            .sum();
        let plain: f64 = (0..places.len()).map(|k| joint.covariance(k, k)).sum();
        let widening = (variance / plain).sqrt();
        let widening = if widening.is_finite() {
            widening.max(1.0)
        } else {
            1.0
        };
        Ok((at_share(under, task.tail_frac()), widening))
    }

    /// Kernels that stand for all plausible ones, of both shapes where there
    /// are readings enough, with their shares.
    fn kernels(
        &self,
        seen: &Repeated<'_>,
        learned: &Learned,
    ) -> Result<Vec<(Learned, f64)>, StatisticsError> {
        let mut found = plausible(seen, &self.beliefs, learned)?;
        if seen.sites.len() < BOTH_SHAPES_FROM {
            return Ok(found);
        }
        let shape = match learned.kernel.shape {
            Shape::Matern52 => Shape::Matern32,
            _ => Shape::Matern52,
        };
        let is_round = (learned.kernel.range_u - learned.kernel.range_v).abs() <= 0.0;
        let ranges = if is_round { Ranges::One } else { Ranges::Two };
        let other = learn(seen, &self.beliefs, shape, ranges)?;
        let odds = (other.log_posterior - learned.log_posterior).exp().min(1e6);
        found.iter_mut().for_each(|(_, share)| *share /= 1.0 + odds);
        let others = plausible(seen, &self.beliefs, &other)?;
        found.extend(
            others
                .into_iter()
                .map(|(k, share)| (k, share * odds / (1.0 + odds))),
        );
        Ok(found)
    }

    fn condition(&self, learned: &Learned, numbers: &[usize]) -> Result<Process, StatisticsError> {
        let (sites, values, repeats) = self.chosen(numbers);
        let variance = learned.noise_sd * learned.noise_sd;
        let noises: Vec<f64> = repeats.iter().map(|r| variance / r).collect();
        Process::condition(
            learned.kernel,
            Level::Unknown,
            Observations {
                sites: &sites,
                values: &values,
                noise_variances: &noises,
            },
        )
    }

    /// The film of every cell.
    fn fill(
        &self,
        grid: &Grid,
        learned: &Learned,
        whole: &Process,
    ) -> Result<Vec<Prediction>, StatisticsError> {
        if self.sites.len() <= DENSE_UP_TO {
            let predict = |sites: &[[f64; 2]]| {
                let parts = sites.par_chunks(AT_ONCE);
                parts
                    .flat_map_iter(|part| whole.predict_all(part))
                    .collect()
            };
            return Ok(grid.lattice().fill(FILLED_WITHIN_UM, predict));
        }
        let across = grid.columns.div_ceil(TILE);
        let tiles: Vec<Vec<(usize, f64)>> = (0..across * grid.rows.div_ceil(TILE))
            .map(|tile| tile_cells(grid, [tile % across, tile / across]))
            .collect();
        let filled: Result<Vec<Vec<Prediction>>, StatisticsError> = tiles
            .par_iter()
            .map(|cells| {
                let middles: Vec<[f64; 2]> =
                    cells.iter().map(|(c, _)| grid.middle_mm(*c)).collect();
                let near = self.tree.around(middles[middles.len() / 2], AROUND);
                Ok(self.condition(learned, &near)?.predict_all(&middles))
            })
            .collect();
        let mut sums = vec![[0.0; 3]; grid.cells()];
        for (numbers, found) in tiles.iter().zip(filled?) {
            for ((cell, weight), one) in numbers.iter().zip(found) {
                let parts = [weight * one.mean, weight * one.sd, *weight];
                for (sum, part) in sums[*cell].iter_mut().zip(parts) {
                    *sum += part;
                }
            }
        }
        let blended = sums.iter().map(|[mean, sd, weight]| Prediction {
            mean: mean / weight,
            sd: sd / weight,
        });
        Ok(blended.collect())
    }

    /// The places read that lie around these, at most as many as one field
    /// takes, the surroundings of the first places first.
    fn about(&self, places: &[[f64; 2]]) -> Vec<usize> {
        let lists: Vec<Vec<usize>> = places
            .iter()
            .map(|p| self.tree.around(*p, AROUND))
            .collect();
        let mut is_taken = vec![false; self.sites.len()];
        let mut taken = Vec::new();
        for rank in 0..AROUND {
            for number in lists.iter().filter_map(|l| l.get(rank)) {
                if !is_taken[*number] && taken.len() < DENSE_UP_TO {
                    is_taken[*number] = true;
                    taken.push(*number);
                }
            }
        }
        taken.sort_unstable();
        taken
    }

    fn readings(&self) -> Vec<MapReading> {
        let pairs = self.sites.iter().zip(&self.values_um);
        pairs
            .map(|([u, v], um)| MapReading {
                u_mm: *u,
                v_mm: *v,
                film_um: *um,
            })
            .collect()
    }
}

/// Cells that a tile reaches, half a tile beyond its own, with the weight its
/// word has there: 1 in its middle, falling to 0 where its neighbours begin.
fn tile_cells(grid: &Grid, tile: [usize; 2]) -> Vec<(usize, f64)> {
    let reach = |tile: usize, count: usize| {
        let middle = tile * TILE + TILE / 2;
        let cells = middle.saturating_sub(TILE)..(middle + TILE).min(count);
        let weighed = move |cell: usize| {
            let off = cell as f64 + 0.5 - middle as f64;
            (cell, 1.0 - off.abs() / TILE as f64)
        };
        cells.map(weighed)
    };
    let rows = reach(tile[1], grid.rows);
    rows.flat_map(|(row, up)| {
        reach(tile[0], grid.columns)
            .map(move |(column, across)| (row * grid.columns + column, up * across))
    })
    .collect()
}

/// Places of the open face on a lattice, those that may be thinnest first.
fn doubtful_places(grid: &Grid, outline: &Outline, cells: &[Prediction], z: f64) -> Vec<[f64; 2]> {
    let stride = (1..)
        .find(|s| grid.columns.div_ceil(*s) * grid.rows.div_ceil(*s) <= LATTICE)
        .unwrap_or(1);
    let lattice = |margin_mm: f64| -> Vec<(f64, [f64; 2])> {
        let rows = (stride / 2..grid.rows).step_by(stride);
        rows.flat_map(|row| {
            (stride / 2..grid.columns)
                .step_by(stride)
                .map(move |column| row * grid.columns + column)
        })
        .map(|cell| (cells[cell].mean - z * cells[cell].sd, grid.middle_mm(cell)))
        .filter(|(_, at)| outline.inside_by_mm(*at) >= margin_mm)
        .collect()
    };
    let mut places = lattice(EDGE_MM);
    if places.is_empty() {
        places = lattice(0.0);
    }
    if places.is_empty() {
        let middle = grid.cells() / 2;
        places.push((0.0, grid.middle_mm(middle)));
    }
    places.sort_by(|a, b| a.0.total_cmp(&b.0));
    places.truncate(LOWEST);
    places.into_iter().map(|(_, at)| at).collect()
}

/// The value below which a share of the weighted values lies.
fn at_share(mut weighted: Vec<(f64, f64)>, share: f64) -> f64 {
    weighted.sort_by(|a, b| a.0.total_cmp(&b.0));
    let total: f64 = weighted.iter().map(|(_, weight)| weight).sum();
    let mut below = 0.0;
    let found = weighted.iter().find(|(_, weight)| {
        below += weight;
        below > share * total
    });
    found.map_or(0.0, |(value, _)| *value)
}

/// How much thicker the face is than each spot at edges or creases.
fn thicker_um(inside: &[(Spot, [f64; 2])], place: Place, face: &Process) -> Vec<f64> {
    let spots: Vec<&(Spot, [f64; 2])> = inside.iter().filter(|(s, _)| s.place == place).collect();
    let places: Vec<[f64; 2]> = spots.iter().map(|(_, at)| *at).collect();
    let films = face.predict_all(&places);
    films
        .iter()
        .zip(spots)
        .map(|(film, (spot, _))| film.mean - spot.mean_um)
        .collect()
}

fn facts(learned: &Learned, whole: &Process, places: usize) -> FieldFacts {
    let Kernel {
        shape,
        sd,
        range_u,
        range_v,
    } = learned.kernel;
    let others = whole.leave_one_out();
    let count = u32::try_from(others.len().max(1)).map_or(1.0, f64::from);
    let rms = |of: &dyn Fn(usize) -> f64| {
        ((0..others.len()).map(|i| of(i).powi(2)).sum::<f64>() / count).sqrt()
    };
    FieldFacts {
        shape: if shape == Shape::Matern52 {
            "matern-5/2"
        } else {
            "matern-3/2"
        },
        level_um: whole.level(),
        sd_um: sd,
        range_u_mm: range_u,
        range_v_mm: range_v,
        noise_um: learned.noise_sd,
        places,
        left_out_rms_um: rms(&|i| others[i].score * others[i].sd),
        left_out_score: rms(&|i| others[i].score),
    }
}

/// The places of spots of a kind, in order along the way they spread most.
fn along(inside: &[(Spot, [f64; 2])], place: Place) -> Vec<[f64; 2]> {
    let spots = inside.iter().filter(|(s, _)| s.place == place);
    let mut found: Vec<[f64; 2]> = spots.map(|(_, at)| *at).collect();
    let span = |axis: usize| {
        let along = || found.iter().map(|p| p[axis]);
        along().fold(f64::NEG_INFINITY, f64::max) - along().fold(f64::INFINITY, f64::min)
    };
    let axis = usize::from(span(1) > span(0));
    found.sort_by(|a, b| {
        a[axis]
            .total_cmp(&b[axis])
            .then(a[1 - axis].total_cmp(&b[1 - axis]))
    });
    found
}
