//! Short steps near the pad, one long step everywhere else.
//!
//! Law: steps are gathered into rounds of up to m. In a round the columns the
//! pad touches, or touched in the round before, take every step through the
//! depth; all others take one (backward Euler) over the whole round when it
//! ends, because nothing there happens quickly: the film has long followed the
//! sheet. Sideways every column takes every step. What crosses between columns
//! leaves one and enters the other at the same time; so the cut loses no heat.
//! Source: our own choice.
//! Holds: rounds short against the pad's stay on a place. Rounds grow from one
//! step at the start and shrink to one at the end.
//! Left out: rounds that differ from place to place.
//! Checked by: the same job with every column stepped every time; the books.

use std::ops::Range;

use super::column::LANES;
use super::plane::Plane;
use super::source::FluxFootprint;
use super::tile::Step;

/// What far columns do at the end of a round.
#[derive(Clone, Debug)]
pub(crate) struct Far {
    /// Which eliminated matrix takes them over the round.
    pub(crate) column: usize,
    /// The steps of the round.
    pub(crate) steps: Range<usize>,
}

/// A box of columns.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Near {
    pub(crate) rows: Range<usize>,
    /// Strips of `LANES` columns.
    pub(crate) strips: Range<usize>,
}

impl Near {
    /// Every column.
    pub(crate) fn everywhere(plane: &Plane) -> Self {
        Self {
            rows: 0..plane.y.len(),
            strips: 0..plane.stride / LANES,
        }
    }

    /// What the pad touches in some steps.
    pub(crate) fn touched(steps: &[Step], footprints: &[FluxFootprint], plane: &Plane) -> Self {
        let moments = steps.iter().flat_map(|step| &step.moments);
        moments.fold(Self::default(), |near, moment| {
            let table = &footprints[moment.footprint];
            let (rows, columns) = table.touches(*moment, &plane.x, &plane.y);
            near.and(&Self {
                strips: columns.start / LANES..columns.end.div_ceil(LANES),
                rows,
            })
        })
    }

    /// The box around both.
    pub(crate) fn and(&self, other: &Self) -> Self {
        if self.rows.is_empty() {
            return other.clone();
        }
        if other.rows.is_empty() {
            return self.clone();
        }
        let around = |a: &Range<usize>, b: &Range<usize>| a.start.min(b.start)..a.end.max(b.end);
        Self {
            rows: around(&self.rows, &other.rows),
            strips: around(&self.strips, &other.strips),
        }
    }

    /// The strips of a row that take every step.
    pub(crate) fn of_row(&self, row: usize) -> Range<usize> {
        if self.rows.contains(&row) {
            self.strips.clone()
        } else {
            0..0
        }
    }
}

/// Cuts `steps` into rounds of at most `most`: the first `alone` one by one,
/// then doubling, and halving towards the end.
pub(crate) fn cut(steps: usize, alone: usize, most: usize) -> Vec<Range<usize>> {
    let mut rounds = Vec::new();
    let (mut first, mut size) = (0, 1);
    while first < steps {
        let towards_end = ((steps - first) / 2).max(1);
        let now = if first < alone {
            1
        } else {
            size.min(towards_end)
        };
        rounds.push(first..first + now);
        if first >= alone {
            size = (2 * size).min(most);
        }
        first += now;
    }
    rounds
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rounds_grow_stay_and_shrink_and_leave_no_step_out() {
        let sizes =
            |rounds: Vec<Range<usize>>| rounds.iter().map(Range::len).collect::<Vec<usize>>();
        assert_eq!(sizes(cut(22, 3, 4)), [1, 1, 1, 1, 2, 4, 4, 4, 2, 1, 1]);
        assert_eq!(sizes(cut(5, 0, 1)), [1; 5]);
        let rounds = cut(1000, 7, 8);
        assert!(rounds.windows(2).all(|pair| pair[0].end == pair[1].start));
        assert_eq!(rounds.last().map(|round| round.end), Some(1000));
    }

    #[test]
    fn a_box_around_two_boxes_holds_both_and_an_empty_one_adds_nothing() {
        let left = Near {
            rows: 2..5,
            strips: 0..1,
        };
        let right = Near {
            rows: 4..9,
            strips: 3..4,
        };
        let both = left.and(&right);
        assert_eq!((both.rows.clone(), both.strips.clone()), (2..9, 0..4));
        assert_eq!(left.and(&Near::default()), left);
        assert!(both.of_row(9).is_empty() && both.of_row(8) == (0..4));
    }
}
