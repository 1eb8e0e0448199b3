//! The film over a panel, place by place, with how sure it is, and the
//! thinnest place it may plausibly have.
//!
//! Law: a Gaussian process over the panel, f ~ level + k(x, x′), level unknown,
//! each spot f(x) + gauge error of variance τ²/repeats, all in µm and mm. The
//! bound t is the film that the thinnest of up to 150 places stays above with
//! the shop's confidence, by simulation of the field at those places.
//! Deviations are those of the field, without the error of a reading.
//! Source: [`lapwing_measure::statistics::field`]. Beliefs before reading: the
//! field spreads by 4 µm within a factor of 1.8, reaches 0.4 of the longer
//! side within 1.65 (film.md: 0.3 to 0.5 of the length, common practice), the
//! gauge errs by its repeatability.
//! Holds: for three places with positions or more; else the panel is one
//! level and says so. Odd spots are findings, not film, and stay outside, but
//! the bound never lies above the lowest spot read. Over 128 places the kernel
//! is learnt from 128 that stand for all. Over 256 places those in a square of a
//! fifth of the learnt range are put together, so that all are used; are these
//! still over 256, every tile of 8 by 8 cells is worked out from its 48 nearest
//! and blended with its neighbours, so time grows as n·log n, memory as n.
//! Otherwise every fourth cell either way is worked out and the others are
//! filled in where that is off by less than 0.002 µm.
//! Up to 100 places the doubt about the kernel widens bound and deviations; of
//! the share that may lie under the bound four tenths are used up, which holds
//! 19 times in 20 on drawn panels.
//! A crease runs straight from one place read on it to the next, 10 mm to
//! either side; without places it is nowhere on the map.
//! Left out: slopes; several creases on one panel, which are joined.
//! Checked by: panels drawn from a known field, whose thinnest place the bound
//! must cover as often as it says; bad input; scikit-learn and PyKrige.

mod drop;
mod grid;
mod model;
mod outline;
mod shapes;

use lapwing_measure::statistics::field::{Draws, Process};
use rayon::prelude::*;
use serde::Serialize;

use super::spots::{self, Panel};
use super::{CarFilm, oddities};
use crate::record::{Caution, Part, Place, Readings, Said, Sentence, panel_names};

pub use self::drop::Drop;
pub use self::grid::Grid;
pub use self::model::FieldFacts;
pub use self::outline::{Outline, OutlineOrigin, OutlineShape, Size, sizes};

/// A gauge cannot read closer to an edge than this, mm (common practice).
pub const EDGE_MM: f64 = 20.0;

/// A crease reaches this far to either side, mm (common practice).
const CREASE_MM: f64 = 10.0;

/// Fewest places a map is drawn from.
const LEAST_PLACES: usize = 3;

/// Longer panels than the side of a large van are rare, mm (common practice).
const LONGEST_MM: f64 = 4000.0;

/// So many places outside the outline are spelled out.
const SPELLED_OUT: usize = 10;

/// Pairs of draws, and the most places they serve together.
const DRAWS: (usize, usize) = (200, 150);

/// A place that was read.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct MapReading {
    /// Across the panel, mm.
    pub u_mm: f64,
    /// Up the panel, mm.
    pub v_mm: f64,
    /// Mean of its readings, µm.
    pub film_um: f64,
}

/// The film over one panel.
#[derive(Clone, Debug)]
pub struct FilmMap {
    /// Our name of the panel.
    pub panel: String,
    /// Where the panel ends.
    pub outline: Outline,
    /// The cells.
    pub grid: Grid,
    /// Film of the open face in each cell, row by row from the bottom. The
    /// strip along the edges and what lies off the panel carry it on.
    pub face_um: Vec<f64>,
    /// Its standard deviation.
    pub face_sd_um: Vec<f64>,
    /// How far each cell lies inside the nearest edge, mm; negative off the
    /// panel.
    pub inside_mm: Vec<f64>,
    /// Places of a crease that were read, in order along it, mm.
    pub crease_mm: Vec<[f64; 2]>,
    /// The places it rests on.
    pub readings: Vec<MapReading>,
    /// Places of the open face whose film is another paint's or filler's; they
    /// are not in the field.
    pub left_out: Vec<MapReading>,
    /// What was learnt of the field.
    pub facts: FieldFacts,
    /// How much less film edges carry.
    pub edge: Drop,
    /// How much less film creases carry.
    pub crease: Drop,
    /// The thinnest plausible place, µm.
    pub lower_um: f64,
    /// The field about the places in doubt, for the next reading.
    pub(super) process: Process,
    /// By how much the doubt about the kernel widens standard deviations.
    pub(super) widening: f64,
    /// The places in doubt, the most doubtful first.
    pub(super) doubtful: Vec<[f64; 2]>,
}

impl FilmMap {
    /// Film of each cell with the drop along edges and creases taken off, µm;
    /// `None` off the panel.
    #[must_use]
    pub fn mean_um(&self) -> Vec<Option<f64>> {
        self.dropped(&self.face_um, |um, drop| (um - drop.drop_um).max(0.0))
    }

    /// Its standard deviation, the doubt about the drop counted in, µm.
    #[must_use]
    pub fn sd_um(&self) -> Vec<Option<f64>> {
        self.dropped(&self.face_sd_um, |um, drop| um.hypot(drop.sd_um))
    }

    fn dropped(&self, face: &[f64], by: impl Fn(f64, &Drop) -> f64) -> Vec<Option<f64>> {
        let one = |(cell, um): (usize, &f64)| {
            let inside_mm = self.inside_mm[cell];
            if inside_mm < 0.0 {
                None
            } else if inside_mm < EDGE_MM {
                Some(by(*um, &self.edge))
            } else if self.is_crease(cell) {
                Some(by(*um, &self.crease))
            } else {
                Some(*um)
            }
        };
        face.iter().enumerate().map(one).collect()
    }

    /// Whether a cell lies on the crease that was read.
    fn is_crease(&self, cell: usize) -> bool {
        let at = self.grid.middle_mm(cell);
        let is_near =
            |a: [f64; 2], b: [f64; 2]| outline::square_to_side(at, a, b) <= CREASE_MM * CREASE_MM;
        match self.crease_mm.as_slice() {
            [] => false,
            [only] => is_near(*only, *only),
            line => line.windows(2).any(|w| is_near(w[0], w[1])),
        }
    }
}

/// A panel with a map, or why it has none.
#[derive(Clone, Debug)]
pub enum PanelMap {
    /// A map.
    Drawn(Box<FilmMap>),
    /// The panel is one level.
    Level {
        /// Our name of the panel.
        panel: String,
        /// Why.
        reason: Said,
    },
}

impl PanelMap {
    /// Our name of the panel.
    #[must_use]
    pub fn panel(&self) -> &str {
        match self {
            Self::Drawn(map) => &map.panel,
            Self::Level { panel, .. } => panel,
        }
    }

    /// The map, if there is one.
    #[must_use]
    pub fn drawn(&self) -> Option<&FilmMap> {
        match self {
            Self::Drawn(map) => Some(map),
            Self::Level { .. } => None,
        }
    }
}

/// Draws the map of every panel of `film`, and enters its lower bound and its
/// cautions there. `sizes` gives panels' sizes by our name, where known;
/// `confidence` is one-sided, 0.5 to 1.
pub fn film_maps(
    readings: &Readings,
    film: &mut CarFilm,
    sizes: &[(String, Size)],
    confidence: f64,
) -> Vec<PanelMap> {
    let (grouped, _) = spots::by_panel(&readings.readings);
    let task = Task {
        draws: Draws::new(DRAWS_SEED, DRAWS.0, DRAWS.1),
        gauge_um: film.gauge.repeatability_um,
        confidence: confidence.clamp(0.5, 0.999),
    };
    let found: Vec<(PanelMap, Vec<Caution>)> = grouped
        .par_iter()
        .map(|panel| {
            let size = sizes.iter().find(|(name, _)| name == panel.name);
            one(panel, size.map_or(&Size::Unknown, |(_, size)| size), &task)
        })
        .collect();
    let mut maps = Vec::new();
    for (map, cautions) in found {
        film.cautions.extend(cautions);
        if let Some(drawn) = map.drawn()
            && let Some(panel) = film.panels.iter_mut().find(|p| p.name == drawn.panel)
        {
            panel.map_lower_um = Some(drawn.lower_um);
        }
        maps.push(map);
    }
    // Panels of which only single layers were read come after the others.
    let rest = film.panels.iter().skip(maps.len());
    let unread: Vec<PanelMap> = rest
        .map(|panel| PanelMap::Level {
            panel: panel.name.clone(),
            reason: Sentence::OnlyLayers.into(),
        })
        .collect();
    maps.extend(unread);
    maps
}

const DRAWS_SEED: u64 = 20_260_101;

/// What the map keeps of a spot.
#[derive(Clone, Copy)]
struct Spot {
    place: Place,
    mean_um: f64,
    /// Of so many readings.
    repeats: f64,
    /// Line of the file of its first reading.
    line: usize,
}

impl Spot {
    #[expect(
        clippy::cast_precision_loss,
        reason = "a count of readings, far below 2^53"
    )]
    fn of(spot: &spots::Spot<'_>) -> Self {
        Self {
            place: spot.place,
            mean_um: spot.mean_um,
            repeats: spot.count as f64,
            line: spot.line,
        }
    }
}

/// What all panels share.
struct Task {
    draws: Draws,
    gauge_um: f64,
    confidence: f64,
}

fn one(panel: &Panel<'_>, size: &Size, task: &Task) -> (PanelMap, Vec<Caution>) {
    let mut cautions = Vec::new();
    let level = |reason: Said| PanelMap::Level {
        panel: panel.name.to_owned(),
        reason,
    };
    let placed: Vec<(Spot, [f64; 2])> = panel
        .spots
        .iter()
        .filter_map(|s| s.at_mm.map(|at| (Spot::of(s), at)))
        .filter(|(s, _)| s.place != Place::Hidden)
        .collect();
    let Some(outline) = Outline::of(size, panel.name, placed.iter().map(|(_, at)| *at)) else {
        return (level(Sentence::NoPositions.into()), cautions);
    };
    let (inside, outside): (Vec<_>, Vec<_>) =
        placed.into_iter().partition(|(_, at)| outline.holds(*at));
    cautions.extend(outside_cautions(panel.name, &outside, &outline));
    cautions.extend(too_large(panel.name, &outline));
    let (field, left_out) = field_places(panel, &inside, task.gauge_um);
    if field.len() < LEAST_PLACES {
        let face = panel.spots.iter().filter(|s| s.place == Place::Field);
        let reason = match (field.len(), face.map(|s| s.count).sum::<usize>()) {
            (0, _) => Sentence::NoPositions,
            (1, many) if many > 1 => Sentence::OnePlace,
            _ => Sentence::FewPlaces,
        };
        return (level(reason.into()), cautions);
    }
    let lowest_um = panel
        .means_um(&[Place::Field])
        .into_iter()
        .fold(f64::INFINITY, f64::min);
    match model::map(panel.name, outline, &field, &inside, task) {
        Ok(mut map) => {
            map.lower_um = map.lower_um.min(lowest_um).max(0.0);
            map.left_out = left_out;
            (PanelMap::Drawn(Box::new(map)), cautions)
        }
        Err(fault) => (
            level(Said::new(
                Sentence::NoMapFor,
                [Part::Text(fault.to_string())],
            )),
            cautions,
        ),
    }
}

/// The spots of the open face that are film, places that were read twice put
/// together; and those that are findings.
fn field_places(
    panel: &Panel<'_>,
    inside: &[(Spot, [f64; 2])],
    gauge_um: f64,
) -> (Vec<(Spot, [f64; 2])>, Vec<MapReading>) {
    let (odd_um, _) = oddities::split(&panel.means_um(&[Place::Field]), gauge_um);
    let face = inside.iter().filter(|(s, _)| s.place == Place::Field);
    let (odd, mut found): (Vec<_>, Vec<_>) = face
        .copied()
        .partition(|(s, _)| odd_um.contains(&s.mean_um));
    found.sort_by(|(a, p), (b, q)| {
        let places = p[0].total_cmp(&q[0]).then(p[1].total_cmp(&q[1]));
        places.then(a.mean_um.total_cmp(&b.mean_um))
    });
    found.dedup_by(|(next, at), (kept, known)| {
        let is_same = at == known;
        if is_same {
            let all = kept.repeats + next.repeats;
            kept.mean_um += (next.mean_um - kept.mean_um) * next.repeats / all;
            kept.repeats = all;
        }
        is_same
    });
    let left_out = odd.into_iter().map(|(spot, [u_mm, v_mm])| MapReading {
        u_mm,
        v_mm,
        film_um: spot.mean_um,
    });
    (found, left_out.collect())
}

/// Says so where readings lie farther apart than a panel of a car is long and
/// nobody measured it: a slipped digit makes a map of nowhere.
fn too_large(name: &str, outline: &Outline) -> Option<Caution> {
    let [wide, tall] = outline.size_mm();
    let is_guessed = outline.origin != OutlineOrigin::Measured;
    (is_guessed && wide.max(tall) > LONGEST_MM).then(|| {
        Caution::new(
            panel_names::spoken(name),
            format!(
                "the readings reach over {wide:.0} by {tall:.0} mm; hardly a panel is longer than \
                 {LONGEST_MM:.0} mm. Check u and v (mm, from the lower left corner), or give the \
                 panel's size."
            ),
        )
    })
}

fn outside_cautions(name: &str, outside: &[(Spot, [f64; 2])], outline: &Outline) -> Vec<Caution> {
    let spoken = panel_names::spoken(name);
    let [wide, tall] = outline.size_mm();
    let mut found: Vec<Caution> = outside
        .iter()
        .take(SPELLED_OUT)
        .map(|(spot, at)| {
            Caution::new(
                format!("line {}", spot.line),
                format!(
                    "{spoken}: the reading at u {:.0} mm, v {:.0} mm lies outside the panel, which \
                     is {wide:.0} by {tall:.0} mm; it counts, but not on the map. Check the \
                     position or the size.",
                    at[0], at[1]
                ),
            )
        })
        .collect();
    if outside.len() > SPELLED_OUT {
        found.push(Caution::new(
            spoken,
            format!(
                "{} more readings lie outside the panel and are not on the map.",
                outside.len() - SPELLED_OUT
            ),
        ));
    }
    found
}

#[cfg(test)]
mod tests;
