//! What a course takes off at one point, and the least and most of any point.
//!
//! Law: depth(x) = k·Σ c·∫p·v dt, each piece summed along the chord the point
//! draws under the pad by Gauss's rule, the chord cut where the point passes
//! the pad's middle and hole and where the pad lifts off; an orbit is taken at 24 places of its turn, and in
//! closed form where a level pad that stands always covers the point.
//! Extremes are looked for from the thinnest and the deepest cells by stepping
//! along x and y with steps halved down to a 65,536th of a cell.
//! Source: `Preston1927`; `AbramowitzStegun1964`, 25.4.29.
//! Holds: whatever the cells of a map are: least and most are those of points,
//! so they do not move with the grid. Outside: a dip narrower than a cell in a
//! place no cell shows would be missed.
//! Left out: nothing else.
//! Checked by: closed forms of straight passes to seven digits, the least of
//! overlapping lines (3/2π of the mean), and maps of three grids.

use std::collections::BTreeMap;

use lapwing_measure::quantity::Length;
use rayon::prelude::*;
use uom::si::length::meter;

use super::{RemovalMap, checked_cut_rate};
use crate::contact::Contact;
use crate::course::{Course, Touchdown};
use crate::error::PhysicsError;
use crate::gauss;
use crate::motion::Rates;

/// Places of the pad centre over one orbit.
const ORBIT_STEPS: u32 = 24;
/// Points along half a chord that is long (rotary, orbital) or short against the
/// pad radius.
const POINTS_LONG: [usize; 2] = [20, 10];
const POINTS_SHORT: usize = 6;
const SHORT_RADII: f64 = 0.25;
/// Cells looked at for the least and for the most, and how many of them the
/// search starts from.
const STARTS: usize = 16;
const CLIMBS: usize = 4;
/// Where a step changes the depth by less than this share of the deepest, the
/// top is reached.
const FLAT_FRAC: f64 = 1e-6;

/// A straight walk with one touch, walks done more than once added up.
struct Walked {
    from_m: (f64, f64),
    unit: (f64, f64),
    length_m: f64,
    /// Seconds per metre, or seconds for a stand; abrasive and strength in it.
    weight_s: f64,
    touchdown: usize,
}

/// A course, ready to be asked at points.
pub struct Places<'a> {
    course: &'a Course,
    rates: Rates,
    centres_m: Vec<(f64, f64)>,
    long: Vec<(f64, f64)>,
    short: Vec<(f64, f64)>,
    walked: Vec<Walked>,
    to_um: f64,
}

impl<'a> Places<'a> {
    /// Makes a course ready; `cut_rate_per_pa` is that of fresh product.
    ///
    /// # Errors
    /// Refuses cut rates outside 0 to 1e-8 per pascal.
    pub fn of(course: &'a Course, cut_rate_per_pa: f64) -> Result<Self, PhysicsError> {
        let rates = course.tool.motion.checked()?.rates();
        Ok(Self {
            course,
            rates,
            centres_m: rates.centres_m(ORBIT_STEPS),
            long: gauss::nodes(POINTS_LONG[usize::from(rates.orbit_radius_m > 0.0)]),
            short: gauss::nodes(POINTS_SHORT),
            walked: walked(course),
            to_um: checked_cut_rate(cut_rate_per_pa)? * 1e6,
        })
    }

    /// Depth at a point, counted from the section's lower left corner.
    #[must_use]
    pub fn depth(&self, x: Length, y: Length) -> Length {
        Length::new::<meter>(self.depth_um((x.value, y.value)) * 1e-6)
    }

    pub(crate) fn depth_um(&self, place_m: (f64, f64)) -> f64 {
        let rubbed: f64 = self
            .walked
            .iter()
            .map(|walk| self.rubbed_by(walk, place_m))
            .sum();
        rubbed * self.to_um
    }

    fn rubbed_by(&self, walk: &Walked, place_m: (f64, f64)) -> f64 {
        let touch = &self.course.touchdowns[walk.touchdown];
        let away = (place_m.0 - walk.from_m.0, place_m.1 - walk.from_m.1);
        let along_m = away.0 * walk.unit.0 + away.1 * walk.unit.1;
        let beside_m = away.1 * walk.unit.0 - away.0 * walk.unit.1;
        let past_m = along_m - along_m.clamp(0.0, walk.length_m);
        if length((past_m, beside_m)) > touch.footprint.reach_m {
            return 0.0;
        }
        let contact = &self.course.contacts[touch.contact].contact;
        if walk.length_m == 0.0
            && let Some(even) = self.even(contact, away)
        {
            return even * walk.weight_s;
        }
        let sum: f64 = self
            .centres_m
            .iter()
            .map(|centre| {
                if walk.length_m == 0.0 {
                    self.momentary(contact, touch, *centre, away)
                } else {
                    self.chord(contact, walk, *centre, away)
                }
            })
            .sum();
        sum / self.centres_m.len() as f64 * walk.weight_s
    }

    /// Pressure times mean speed of a stand in closed form, where a level full
    /// pad on a flat always covers the point.
    fn even(&self, contact: &Contact, away: (f64, f64)) -> Option<f64> {
        let distance_m = away.0.hypot(away.1);
        let is_covered = distance_m <= contact.pad.radius.value - self.rates.orbit_radius_m;
        let pressure_pa = contact.even_pa().filter(|_| is_covered)?;
        Some(pressure_pa * self.rates.mean_on_panel_m_s(distance_m))
    }

    /// Pressure times speed at `away` from the machine, pad centre at `centre`.
    fn momentary(
        &self,
        contact: &Contact,
        touch: &Touchdown,
        centre: (f64, f64),
        away: (f64, f64),
    ) -> f64 {
        let on_pad = (away.0 - centre.0, away.1 - centre.1);
        let distance_m = on_pad.0.hypot(on_pad.1);
        let (radius_m, hole_m) = (contact.pad.radius.value, contact.pad.hole_radius.value);
        if distance_m > radius_m || distance_m < hole_m {
            return 0.0;
        }
        let velocity = self.rates.velocity_m_s(centre, away, touch.feed_m_s);
        contact.pressed_pa(on_pad.0, on_pad.1) * length(velocity)
    }

    /// Pressure times speed summed along the part of the walk that covers it.
    fn chord(&self, contact: &Contact, walk: &Walked, centre: (f64, f64), away: (f64, f64)) -> f64 {
        let touch = &self.course.touchdowns[walk.touchdown];
        let (radius_m, hole_m) = (contact.pad.radius.value, contact.pad.hole_radius.value);
        let on_pad = (away.0 - centre.0, away.1 - centre.1);
        let middle_m = on_pad.0 * walk.unit.0 + on_pad.1 * walk.unit.1;
        let beside_m = on_pad.1 * walk.unit.0 - on_pad.0 * walk.unit.1;
        if beside_m.abs() >= radius_m {
            return 0.0;
        }
        let half_m = (radius_m * radius_m - beside_m * beside_m).sqrt();
        let hole_half_m = (hole_m * hole_m - beside_m * beside_m).max(0.0).sqrt();
        let stretches = [
            (middle_m - half_m, middle_m - hole_half_m),
            (middle_m + hole_half_m, middle_m + half_m),
        ];
        let mut sum = 0.0;
        for (from_m, to_m) in stretches {
            let at = |walked_m: f64| {
                contact.bed_pa(
                    on_pad.0 - walked_m * walk.unit.0,
                    on_pad.1 - walked_m * walk.unit.1,
                )
            };
            let clipped_m = (from_m.max(0.0), to_m.min(walk.length_m));
            let Some((from_m, to_m)) = pressed_part(clipped_m, at) else {
                continue;
            };
            let is_short = to_m - from_m < SHORT_RADII * radius_m;
            let rule = if is_short { &self.short } else { &self.long };
            for (walked_m, weight_m) in gauss::on(rule, from_m, to_m) {
                let here = (
                    away.0 - walked_m * walk.unit.0,
                    away.1 - walked_m * walk.unit.1,
                );
                let velocity = self.rates.velocity_m_s(centre, here, touch.feed_m_s);
                let pressure_pa = contact.pressed_pa(here.0 - centre.0, here.1 - centre.1);
                sum += weight_m * pressure_pa * length(velocity);
            }
        }
        sum
    }
}

/// Plain root of squares: the numbers here are far from the limits that a
/// slower, careful one is for.
fn length((x, y): (f64, f64)) -> f64 {
    (x * x + y * y).sqrt()
}

/// The part of a stretch where the bed is pressed, when it lifts off once in it.
fn pressed_part((from_m, to_m): (f64, f64), bed: impl Fn(f64) -> f64) -> Option<(f64, f64)> {
    if to_m <= from_m {
        return None;
    }
    let (is_pressed_first, is_pressed_last) = (bed(from_m) > 0.0, bed(to_m) > 0.0);
    if is_pressed_first == is_pressed_last {
        return Some((from_m, to_m));
    }
    let (mut low_m, mut high_m) = (from_m, to_m);
    for _ in 0..48 {
        let middle_m = 0.5 * (low_m + high_m);
        if (bed(middle_m) > 0.0) == is_pressed_first {
            low_m = middle_m;
        } else {
            high_m = middle_m;
        }
    }
    Some(if is_pressed_first {
        (from_m, low_m)
    } else {
        (high_m, to_m)
    })
}

fn walked(course: &Course) -> Vec<Walked> {
    let nanometre = |(x, y): (f64, f64)| ((x * 1e9).round() as i64, (y * 1e9).round() as i64);
    let mut together: BTreeMap<_, Walked> = BTreeMap::new();
    for piece in &course.pieces {
        let Some(touchdown) = piece.touchdown else {
            continue;
        };
        let across = (piece.to_m.0 - piece.from_m.0, piece.to_m.1 - piece.from_m.1);
        let mut length_m = across.0.hypot(across.1);
        let mut unit = (1.0, 0.0);
        let mut weight_s = piece.lasts_s() * piece.strength_frac * piece.cut_frac;
        if length_m < 1e-9 {
            length_m = 0.0;
        } else {
            unit = (across.0 / length_m, across.1 / length_m);
            weight_s /= length_m;
        }
        let key = (nanometre(piece.from_m), nanometre(piece.to_m), touchdown);
        together
            .entry(key)
            .or_insert(Walked {
                from_m: piece.from_m,
                unit,
                length_m,
                weight_s: 0.0,
                touchdown,
            })
            .weight_s += weight_s;
    }
    together.into_values().collect()
}

/// Least and most depth in micrometres of any point farther than `margin_m`
/// from every rim; `map` says where to look. `None` when nothing lies so far in.
#[must_use]
pub fn extremes_inside(places: &Places<'_>, map: &RemovalMap, margin_m: f64) -> Option<(f64, f64)> {
    let mut cells: Vec<usize> = (0..map.depth_um.len())
        .filter(|i| map.share_inside(*i, margin_m) > 0.0)
        .collect();
    if cells.is_empty() {
        return None;
    }
    cells.sort_by(|a, b| map.depth_um[*a].total_cmp(&map.depth_um[*b]));
    let search = Search {
        places,
        map,
        margin_m,
    };
    let (least, most) = rayon::join(
        || search.best(cells.iter().copied(), -1.0),
        || search.best(cells.iter().rev().copied(), 1.0),
    );
    // Nothing taken off is 0 and not −0.
    Some((0.0 - least, most))
}

struct Search<'a> {
    places: &'a Places<'a>,
    map: &'a RemovalMap,
    margin_m: f64,
}

impl Search<'_> {
    /// Highest of `sign` × depth, from the first cells of an order that stand
    /// apart from each other.
    fn best(&self, order: impl Iterator<Item = usize>, sign: f64) -> f64 {
        let apart_m = 0.5 * self.places.course.tool.pad.radius.value;
        let mut places: Vec<(f64, f64)> = Vec::new();
        let columns = self.map.grid.columns;
        for index in order {
            let start = self.inside(self.map.centre_m(index % columns, index / columns));
            let is_apart =
                |other: &(f64, f64)| (other.0 - start.0).hypot(other.1 - start.1) >= apart_m;
            if places.iter().all(is_apart) {
                places.push(start);
            }
            if places.len() == STARTS {
                break;
            }
        }
        let height = |start: &(f64, f64)| (*start, sign * self.places.depth_um(*start));
        let mut starts: Vec<((f64, f64), f64)> = places.par_iter().map(height).collect();
        if sign < 0.0 && starts.iter().any(|(_, height)| *height >= 0.0) {
            return 0.0;
        }
        starts.sort_by(|a, b| b.1.total_cmp(&a.1));
        starts.truncate(CLIMBS);
        let tops: Vec<f64> = starts
            .par_iter()
            .map(|start| self.climb(*start, sign))
            .collect();
        tops.into_iter().fold(f64::NEG_INFINITY, f64::max)
    }

    /// The nearest place that is far enough from every rim.
    fn inside(&self, (x_m, y_m): (f64, f64)) -> (f64, f64) {
        let section = &self.map.section;
        let within = |at_m: f64, size_m: f64| {
            let low_m = self.margin_m.min(0.5 * size_m);
            at_m.clamp(low_m, size_m - low_m)
        };
        (
            within(x_m, section.width.value),
            within(y_m, section.height.value),
        )
    }

    fn climb(&self, (start, height): ((f64, f64), f64), sign: f64) -> f64 {
        let section = &self.map.section;
        let cell_m = (
            section.width.value / self.map.grid.columns as f64,
            section.height.value / self.map.grid.rows as f64,
        );
        let mut here = start;
        let mut best = height;
        let flat_um = FLAT_FRAC * self.map.whole.max_um;
        let mut step = 0.5;
        let mut moves = 0;
        while step > 1.0 / 65_536.0 && moves < 200 {
            let tried = [(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)].map(|(x, y)| {
                let place =
                    self.inside((here.0 + step * cell_m.0 * x, here.1 + step * cell_m.1 * y));
                (sign * self.places.depth_um(place), place)
            });
            let top = tried
                .into_iter()
                .fold((best, here), |a, b| if b.0 > a.0 { b } else { a });
            let is_flat = tried
                .iter()
                .all(|(height, _)| (height - best).abs() < flat_um);
            if top.0 > best {
                (best, here) = top;
                moves += 1;
            } else {
                step *= 0.5;
            }
            if is_flat {
                break;
            }
        }
        best
    }
}

#[cfg(test)]
mod tests;
