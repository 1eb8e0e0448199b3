//! Where words find room beside the curve: off the band, the wall and each
//! other.
//!
//! Law: of all boxes on a grid of 4 px inside the frame that touch nothing, and
//! whose line to the mark crosses no words, the one nearest to its mark.
//! Source: ours.
//! Holds: for boxes smaller than the frame. Where none is free, none is given.
//! Left out: turning words round.
//! Checked by: the tests of the picture, which look for words on the curve.

use super::super::geometry::{Point, Rect};

/// Air between words and anything else, px.
const AIR_PX: f64 = 4.0;
const STEP_PX: f64 = 4.0;

/// What a place across the picture has taken: x, and from where to where.
#[derive(Clone, Copy, Debug)]
pub(super) struct Column {
    pub(super) x: f64,
    pub(super) top: f64,
    pub(super) bottom: f64,
}

/// The room that is left.
#[derive(Clone, Debug)]
pub(super) struct Room {
    pub(super) frame: Rect,
    pub(super) band: Vec<Column>,
    pub(super) taken: Vec<Rect>,
    /// Lines from marks to their words.
    pub(super) leaders: Vec<[Point; 2]>,
}

/// Looks along a line from a mark to its words.
const LOOKS: u32 = 40;

impl Room {
    /// The free box of this size that is nearest to a mark.
    pub(super) fn place(&self, near: Point, (wide, tall): (f64, f64)) -> Option<Rect> {
        let across = steps(self.frame.left + AIR_PX, self.frame.right - AIR_PX - wide);
        let mut best: Option<(f64, Rect)> = None;
        for left in across {
            for top in steps(self.frame.top + AIR_PX, self.frame.bottom - AIR_PX - tall) {
                let at = Rect {
                    left,
                    top,
                    right: left + wide,
                    bottom: top + tall,
                };
                let far = near.distance(nearest(&at, near));
                let is_nearer = best.is_none_or(|(known, _)| far < known);
                if is_nearer && self.is_free(&at) && self.is_clear(near, &at) {
                    best = Some((far, at));
                }
            }
        }
        best.map(|(_, at)| at)
    }

    fn is_free(&self, at: &Rect) -> bool {
        let in_band = |c: &Column| {
            (at.left - AIR_PX..=at.right + AIR_PX).contains(&c.x)
                && at.top - AIR_PX < c.bottom
                && at.bottom + AIR_PX > c.top
        };
        let meets = |other: &Rect| {
            at.left - AIR_PX < other.right
                && at.right + AIR_PX > other.left
                && at.top - AIR_PX < other.bottom
                && at.bottom + AIR_PX > other.top
        };
        !self.band.iter().any(in_band) && !self.taken.iter().any(meets)
    }
}

impl Room {
    /// Whether neither the line to a box nor one that is there crosses words.
    fn is_clear(&self, mark: Point, at: &Rect) -> bool {
        let words = self.taken.iter().filter(|other| !is_in(mark, other));
        let leader = [mark, nearest(at, mark)];
        words.into_iter().all(|other| !crosses(leader, other))
            && self.leaders.iter().all(|leader| !crosses(*leader, at))
    }
}

fn is_in(place: Point, words: &Rect) -> bool {
    (words.left - AIR_PX..=words.right + AIR_PX).contains(&place.x)
        && (words.top - AIR_PX..=words.bottom + AIR_PX).contains(&place.y)
}

fn crosses([from, to]: [Point; 2], words: &Rect) -> bool {
    (0..=LOOKS).any(|k| {
        let share = f64::from(k) / f64::from(LOOKS);
        is_in(from.toward(to, share), words)
    })
}

fn steps(from: f64, to: f64) -> impl Iterator<Item = f64> + Clone {
    let count = ((to - from) / STEP_PX).floor();
    let count = if count >= 0.0 { count as usize + 1 } else { 0 };
    (0..count).map(move |k| from + STEP_PX * k as f64)
}

/// The point of a box that is nearest to another.
pub(super) fn nearest(at: &Rect, to: Point) -> Point {
    Point::new(to.x.clamp(at.left, at.right), to.y.clamp(at.top, at.bottom))
}
