//! How the pad touches at every place of its path: what grinds and heats where.
//!
//! Law: the path is cut into pieces wherever something else comes to lie under
//! the pad (a free edge, a body line) or the machine is moved on another way;
//! for each piece the pressure is balanced with what lies under the middle of
//! the piece, and the footprint is laid with the machine's own feed. Pieces
//! across an edge or a crease are an eighth of the pad radius long.
//! Source: geometry; the laws of `contact` and `footprint`.
//! Holds: for slow arms: the pad is in balance at every moment. Where less than
//! a twentieth of the face lies over the panel the pad counts as beside it and
//! does nothing (`beside_s`).
//! Left out: the pad's rocking after an edge; an orbit that carries the pad
//! over an edge and back within a turn (its middle place counts). With more
//! than 64 different feeds, feeds are rounded to a thousandth of the rim speed,
//! and the side a pad leans to along its way to a 256th of a turn.
//! Checked by: force and mirror tests below, half a pad over an edge worked by
//! hand, and pieces half as long.

mod ground;
mod wear;

use std::collections::BTreeMap;

use lapwing_measure::quantity::{Angle, Length};
use rayon::prelude::*;
use uom::si::angle::radian;
use uom::si::length::meter;

use crate::contact::{Contact, Lean, Pad, Surface, Touch, on_panel_frac, press, press_quickly};
use crate::error::PhysicsError;
use crate::footprint::{Footprint, Grain};
use crate::motion::Motion;
use crate::stroke::{Leg, Section, Stroke};
pub use ground::{BodyLine, Ground, Side};

/// Pieces per pad radius where something comes to lie under the pad.
const PIECES_PER_RADIUS: f64 = 8.0;
/// The same where the answer is to be quick.
const PIECES_PER_RADIUS_ROUGH: f64 = 4.0;
/// Cells of the tables across the pad, on plain panel and at edges and creases.
const CELLS_PLAIN: f64 = 100.0;
const CELLS_BROKEN: f64 = 50.0;
/// Share of the face that must lie over the panel.
const LEAST_ON_PANEL: f64 = 0.05;
/// Different feeds before they are rounded.
const MOST_FEEDS: usize = 64;
/// Sides a pad leans to, a turn, once they are rounded.
const SIDES_A_TURN: f64 = 256.0;
/// Feeds are told apart to so little, m/s.
const FINE_M_S: f64 = 1e-9;

/// Machine, pad and hand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tool {
    /// The pad.
    pub pad: Pad,
    /// Force and lean.
    pub touch: Touch,
    /// How the machine drives the pad.
    pub motion: Motion,
    /// Is the side it leans to counted from the way it travels, and not from x?
    pub leans_with_travel: bool,
}

impl Tool {
    /// The touch while the machine travels at a feed; a stand counts from x.
    fn touch_at(&self, feed_m_s: (f64, f64)) -> Touch {
        let mut touch = self.touch;
        if self.turns() {
            let heading_rad = feed_m_s.1.atan2(feed_m_s.0);
            let side_rad = touch.direction.value + heading_rad;
            touch.direction = Angle::new::<radian>(side_rad.sin().atan2(side_rad.cos()));
        }
        touch
    }

    fn turns(&self) -> bool {
        self.leans_with_travel && self.touch.lean != Lean::Level
    }
}

/// A pad on its ground at one place.
#[derive(Clone, Debug)]
pub struct Placed {
    /// The pressure.
    pub contact: Contact,
    /// The first place of the path it holds for, m.
    pub at_m: (f64, f64),
    /// How it was held there.
    pub touch: Touch,
}

/// A pad that touches and is moved on.
#[derive(Clone, Debug)]
pub struct Touchdown {
    /// Which of the contacts.
    pub contact: usize,
    /// Speed of the machine over the panel, x and y.
    pub feed_m_s: (f64, f64),
    /// Pressure times speed.
    pub footprint: Footprint,
    /// Which way it scratches.
    pub grain: Grain,
}

/// A straight piece of the path with one touch, or a stand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Piece {
    /// Where it starts, m.
    pub from_m: (f64, f64),
    /// Where it ends.
    pub to_m: (f64, f64),
    /// When it starts.
    pub start_s: f64,
    /// When it ends.
    pub end_s: f64,
    /// How the pad touches; nothing while it is lifted or beside the panel.
    pub touchdown: Option<usize>,
    /// What the pad does in a given time, as a share of the work.
    pub strength_frac: f64,
    /// Cut rate of the abrasive over its fresh cut rate.
    pub cut_frac: f64,
}

impl Piece {
    /// How long it lasts.
    #[must_use]
    pub fn lasts_s(&self) -> f64 {
        self.end_s - self.start_s
    }
}

/// A path over a panel with what the pad does at every place.
#[derive(Clone, Debug)]
pub struct Course {
    /// The section.
    pub section: Section,
    /// Machine, pad and hand.
    pub tool: Tool,
    /// Pads on their ground.
    pub contacts: Vec<Placed>,
    /// Pads on their ground, moved on.
    pub touchdowns: Vec<Touchdown>,
    /// The path, in order of time.
    pub pieces: Vec<Piece>,
    /// Time a working pad spends beside the panel.
    pub beside_s: f64,
}

impl Course {
    /// Works out how the pad touches along a stroke.
    ///
    /// # Errors
    /// Refuses what [`press`] and [`Footprint::of`] refuse, a pad that tips
    /// over with the place where it does, and a path that never touches.
    pub fn over(ground: &Ground, tool: Tool, stroke: &Stroke) -> Result<Self, PhysicsError> {
        Laying::new(ground, tool, stroke).cut(stroke, PIECES_PER_RADIUS)
    }

    /// The same on tables half as fine and, at edges and creases, with pieces
    /// twice as long, for who asks for many: means do not change; the least and
    /// most of places by a few parts in a thousand on plain panel, by a few in a
    /// hundred at edges and creases.
    ///
    /// # Errors
    /// As [`Course::over`].
    pub fn roughly_over(
        ground: &Ground,
        tool: Tool,
        stroke: &Stroke,
    ) -> Result<Self, PhysicsError> {
        let mut laying = Laying::new(ground, tool, stroke);
        laying.cells_plain = CELLS_BROKEN;
        laying.cut(stroke, PIECES_PER_RADIUS_ROUGH)
    }

    /// The same tool over the same ground on another way. On ground without
    /// edges and body lines, touches that are known are not worked out again.
    ///
    /// # Errors
    /// As [`Course::over`].
    pub fn onward(&self, ground: &Ground, stroke: &Stroke) -> Result<Self, PhysicsError> {
        let mut laying = Laying::new(ground, self.tool, stroke);
        let is_plain = ground.free_sides.is_empty() && ground.body_lines.is_empty();
        if is_plain && self.contacts.len() == 1 {
            laying.know(self);
        }
        laying.cut(stroke, PIECES_PER_RADIUS)
    }

    fn finished(self, stroke: &Stroke) -> Result<Self, PhysicsError> {
        let course = self;
        let works = stroke.legs().iter().any(|leg| leg.is_working());
        if works && course.touchdowns.is_empty() {
            return Err(PhysicsError::NeverTouches);
        }
        Ok(course)
    }

    /// The contact with the highest pressure; nothing when the pad never works.
    #[must_use]
    pub fn hardest(&self) -> Option<&Placed> {
        self.contacts.iter().reduce(|a, b| {
            if b.contact.max_pa > a.contact.max_pa {
                b
            } else {
                a
            }
        })
    }

    /// Rubbing work of a piece in joules for a friction coefficient of one.
    #[must_use]
    pub fn work_j(&self, piece: &Piece) -> f64 {
        piece.touchdown.map_or(0.0, |index| {
            self.touchdowns[index].footprint.total_w * piece.lasts_s() * piece.strength_frac
        })
    }
}

/// A course while it is being laid: first what is asked for along the path,
/// then all of it worked out side by side.
struct Laying<'a> {
    ground: &'a Ground,
    tool: Tool,
    section: Section,
    rounding_m_s: f64,
    /// Cells of the tables across the pad on plain panel.
    cells_plain: f64,
    /// Contacts by what lies under them, to a micrometre.
    contact_of: BTreeMap<Vec<i64>, usize>,
    touchdown_of: BTreeMap<(usize, i64, i64), usize>,
    grounds: Vec<Asked>,
    feeds: Vec<Fed>,
    /// Pieces, and whether the pad works on them.
    pieces: Vec<(Piece, bool)>,
}

/// A ground to press on.
struct Asked {
    at_m: (f64, f64),
    touch: Touch,
    surface: Surface,
    is_plain: bool,
    known: Option<Contact>,
}

/// A contact to be moved on.
struct Fed {
    contact: usize,
    feed_m_s: (f64, f64),
    known: Option<Touchdown>,
}

impl<'a> Laying<'a> {
    fn new(ground: &'a Ground, tool: Tool, stroke: &Stroke) -> Self {
        Self {
            ground,
            tool,
            section: stroke.section,
            rounding_m_s: feed_rounding(stroke, &tool),
            cells_plain: CELLS_PLAIN,
            contact_of: BTreeMap::new(),
            touchdown_of: BTreeMap::new(),
            grounds: Vec::new(),
            feeds: Vec::new(),
            pieces: Vec::new(),
        }
    }

    /// Takes over the one contact of plain ground and its touchdowns.
    fn know(&mut self, course: &Course) {
        self.contact_of.insert(Vec::new(), 0);
        self.grounds
            .extend(course.contacts.iter().map(|placed| Asked {
                at_m: placed.at_m,
                touch: placed.touch,
                surface: Surface::default(),
                is_plain: true,
                known: Some(placed.contact.clone()),
            }));
        for (index, touch) in course.touchdowns.iter().enumerate() {
            let (x, y) = self.rounded(touch.feed_m_s);
            self.touchdown_of.insert((0, x as i64, y as i64), index);
            self.feeds.push(Fed {
                contact: 0,
                feed_m_s: touch.feed_m_s,
                known: Some(touch.clone()),
            });
        }
    }

    fn cut(mut self, stroke: &Stroke, pieces_per_radius: f64) -> Result<Course, PhysicsError> {
        let piece_m = self.tool.pad.radius.value / pieces_per_radius;
        for leg in stroke.legs() {
            self.walk(leg, piece_m);
        }
        self.worked_out()?.finished(stroke)
    }

    /// Feed in whole steps of the rounding.
    fn rounded(&self, feed_m_s: (f64, f64)) -> (f64, f64) {
        let whole = |speed: f64| (speed / self.rounding_m_s).round();
        (whole(feed_m_s.0), whole(feed_m_s.1))
    }

    fn walk(&mut self, leg: &Leg, piece_m: f64) {
        let feed_m_s = feed(leg);
        let mut stops = vec![0.0, 1.0];
        if leg.is_working() {
            stops = self.stops(leg, piece_m);
        }
        let place = |share: f64| {
            (
                leg.from_m.0 + share * (leg.to_m.0 - leg.from_m.0),
                leg.from_m.1 + share * (leg.to_m.1 - leg.from_m.1),
            )
        };
        let moment = |share: f64| leg.start_s + share * (leg.end_s - leg.start_s);
        for pair in stops.windows(2) {
            let middle_m = place(0.5 * (pair[0] + pair[1]));
            let touchdown = leg.is_working().then(|| self.touchdown(middle_m, feed_m_s));
            let piece = Piece {
                from_m: place(pair[0]),
                to_m: place(pair[1]),
                start_s: moment(pair[0]),
                end_s: moment(pair[1]),
                touchdown,
                strength_frac: leg.strength_frac,
                cut_frac: 1.0,
            };
            self.pieces.push((piece, leg.is_working()));
        }
    }

    /// Shares of the leg at which its pieces meet.
    fn stops(&self, leg: &Leg, piece_m: f64) -> Vec<f64> {
        let radius_m = self.tool.pad.radius.value;
        let section = &self.section;
        let starts = self.ground.features(section, leg.from_m, radius_m);
        let ends = self.ground.features(section, leg.to_m, radius_m);
        let crossed: Vec<(f64, f64)> = starts
            .iter()
            .zip(&ends)
            .filter_map(|(start, end)| {
                let change_m = end.distance_m - start.distance_m;
                let at = |distance_m: f64| (distance_m - start.distance_m) / change_m;
                let (a, b) = (at(start.counts_m), at(-start.counts_m));
                (change_m.abs() > 1e-9).then_some((a.min(b).max(0.0), a.max(b).min(1.0)))
            })
            .filter(|(from, to)| to > from)
            .collect();
        let mut stops = vec![0.0, 1.0];
        for (from, to) in &crossed {
            let count = ((to - from) * leg.length_m() / piece_m).ceil().max(1.0) as u32;
            stops.extend((0..=count).map(|i| from + (to - from) * f64::from(i) / f64::from(count)));
        }
        stops.sort_by(f64::total_cmp);
        stops.dedup_by(|b, a| *b - *a < 1e-9);
        stops
    }

    fn touchdown(&mut self, place_m: (f64, f64), feed_m_s: (f64, f64)) -> usize {
        let contact = self.contact(place_m, feed_m_s);
        let rounded = self.rounded(feed_m_s);
        let key = (contact, rounded.0 as i64, rounded.1 as i64);
        *self.touchdown_of.entry(key).or_insert_with(|| {
            self.feeds.push(Fed {
                contact,
                feed_m_s: (rounded.0 * self.rounding_m_s, rounded.1 * self.rounding_m_s),
                known: None,
            });
            self.feeds.len() - 1
        })
    }

    fn contact(&mut self, place_m: (f64, f64), feed_m_s: (f64, f64)) -> usize {
        let surface = self
            .ground
            .under(&self.section, place_m, self.tool.pad.radius);
        let mut key = key_of(&surface);
        let is_plain = key.is_empty();
        let mut touch = self.tool.touch_at(feed_m_s);
        if self.tool.turns() {
            if self.rounding_m_s > FINE_M_S {
                let side_rad = std::f64::consts::TAU / SIDES_A_TURN;
                let side = (touch.direction.value / side_rad).round();
                touch.direction = Angle::new::<radian>(side * side_rad);
            }
            key.extend([2, (touch.direction.value * 1e6).round() as i64]);
        }
        *self.contact_of.entry(key).or_insert_with(|| {
            self.grounds.push(Asked {
                at_m: place_m,
                touch,
                surface,
                is_plain,
                known: None,
            });
            self.grounds.len() - 1
        })
    }

    /// Presses on every ground and moves on every contact that was asked for.
    fn worked_out(mut self) -> Result<Course, PhysicsError> {
        let pressed: Vec<_> = self.grounds.par_iter().map(|g| self.pressed(g)).collect();
        let pressed: Vec<Option<Contact>> = pressed.into_iter().collect::<Result<_, _>>()?;
        let moved: Vec<_> = self
            .feeds
            .par_iter()
            .map(|fed| {
                let contact = pressed[fed.contact].as_ref();
                contact.map(|c| self.moved_on(c, fed)).transpose()
            })
            .collect();
        let moved: Vec<Option<Touchdown>> = moved.into_iter().collect::<Result<_, _>>()?;
        let mut course = Course {
            section: self.section,
            tool: self.tool,
            contacts: Vec::new(),
            touchdowns: Vec::new(),
            pieces: Vec::new(),
            beside_s: 0.0,
        };
        let mut contact_at = vec![0; pressed.len()];
        for (asked, contact) in pressed.into_iter().enumerate() {
            contact_at[asked] = course.contacts.len();
            let Asked { at_m, touch, .. } = self.grounds[asked];
            let placed = contact.map(|contact| Placed {
                contact,
                at_m,
                touch,
            });
            course.contacts.extend(placed);
        }
        let mut touchdown_at = vec![None; moved.len()];
        for (asked, touch) in moved.into_iter().enumerate() {
            let Some(touch) = touch else { continue };
            touchdown_at[asked] = Some(course.touchdowns.len());
            course.touchdowns.push(Touchdown {
                contact: contact_at[touch.contact],
                ..touch
            });
        }
        for (mut piece, is_working) in self.pieces.drain(..) {
            piece.touchdown = piece.touchdown.and_then(|asked| touchdown_at[asked]);
            if is_working && piece.touchdown.is_none() {
                course.beside_s += piece.lasts_s();
            }
            course.pieces.push(piece);
        }
        Ok(course)
    }

    /// Nothing where less than a twentieth of the face lies over the panel.
    fn pressed(&self, asked: &Asked) -> Result<Option<Contact>, PhysicsError> {
        if asked.known.is_some() {
            return Ok(asked.known.clone());
        }
        let pad = self.tool.pad;
        if on_panel_frac(&pad, &asked.surface)? < LEAST_ON_PANEL {
            return Ok(None);
        }
        let (cells, press): (f64, Press) = if asked.is_plain {
            (self.cells_plain, press)
        } else {
            (CELLS_BROKEN.min(self.cells_plain), press_quickly)
        };
        let cell = Length::new::<meter>(2.0 * pad.radius.value / cells);
        let contact =
            press(pad, asked.touch, asked.surface, cell).map_err(|e| at(e, asked.at_m))?;
        Ok(Some(contact))
    }

    fn moved_on(&self, contact: &Contact, fed: &Fed) -> Result<Touchdown, PhysicsError> {
        if let Some(known) = &fed.known {
            return Ok(known.clone());
        }
        let (footprint, grain) = Footprint::with_grain(contact, self.tool.motion, fed.feed_m_s)?;
        Ok(Touchdown {
            contact: fed.contact,
            feed_m_s: fed.feed_m_s,
            footprint,
            grain,
        })
    }
}

type Press = fn(Pad, Touch, Surface, Length) -> Result<Contact, PhysicsError>;

/// What tells two grounds of one panel apart: directions and distances.
fn key_of(surface: &Surface) -> Vec<i64> {
    let micro = |value: f64| (value * 1e6).round() as i64;
    let edges = surface
        .edges()
        .flat_map(|e| [0, micro(e.direction.value), micro(e.distance.value)]);
    let creases = surface.creases().flat_map(|c| {
        [
            1,
            micro(c.direction.value),
            micro(c.distance.value),
            micro(c.radius.value),
            micro(c.fold.value),
        ]
    });
    edges.chain(creases).collect()
}

fn at(error: PhysicsError, (x_m, y_m): (f64, f64)) -> PhysicsError {
    let is_plain = x_m.is_nan() || y_m.is_nan();
    if error == PhysicsError::PadTips && !is_plain {
        return PhysicsError::PadTipsAt {
            x_mm: (x_m * 1e3).round() as i64,
            y_mm: (y_m * 1e3).round() as i64,
        };
    }
    error
}

fn feed(leg: &Leg) -> (f64, f64) {
    let lasts_s = leg.end_s - leg.start_s;
    if lasts_s <= 0.0 {
        return (0.0, 0.0);
    }
    (
        (leg.to_m.0 - leg.from_m.0) / lasts_s,
        (leg.to_m.1 - leg.from_m.1) / lasts_s,
    )
}

/// Feeds are told apart to a nanometre a second, or to a thousandth of the rim
/// speed when a path has very many.
fn feed_rounding(stroke: &Stroke, tool: &Tool) -> f64 {
    let key = |leg: &Leg| {
        let (x, y) = feed(leg);
        ((x / 1e-6).round() as i64, (y / 1e-6).round() as i64)
    };
    let feeds: std::collections::BTreeSet<_> = stroke
        .legs()
        .iter()
        .filter(|leg| leg.is_working())
        .map(key)
        .collect();
    if feeds.len() <= MOST_FEEDS {
        return FINE_M_S;
    }
    let rim_m_s = tool.motion.highest_speed_on_pad(tool.pad.radius).value;
    (1e-3 * rim_m_s).max(FINE_M_S)
}

#[cfg(test)]
mod tests;
