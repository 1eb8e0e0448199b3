//! The abrasive tiring along the path, charge by charge.
//!
//! Law: the rubbing work of the whole path is shared evenly among the charges;
//! within a charge a piece of the path gets the mean cut rate between the work
//! done before and after it. Pieces are cut so that none does more than a
//! fiftieth of the fading work, so the fall shows from place to place.
//! Source: none found for polishes; see `abrasive`.
//! Holds: for fresh product spread evenly. Outside: not said.
//! Left out: product that stays where it was put.
//! Checked by: the closed form of the mean over a charge, in the tests.

use lapwing_measure::quantity::Energy;
use uom::si::energy::joule;

use super::{Course, Piece};
use crate::abrasive::Abrasive;
use crate::error::{Given, PhysicsError};

/// Shares of the fading work a piece may do.
const PARTS: f64 = 50.0;
/// Most parts a single piece is cut into.
const MOST_PARTS: f64 = 2000.0;

impl Course {
    /// Rubbing work of the whole path in joules for a friction coefficient of
    /// one.
    #[must_use]
    pub fn total_work_j(&self) -> f64 {
        self.pieces.iter().map(|piece| self.work_j(piece)).sum()
    }

    /// Lets the abrasive tire along the path; `charges` portions of fresh
    /// product are put on at even shares of the work.
    ///
    /// # Errors
    /// Refuses abrasives out of range and charges outside 1 to 1000.
    pub fn tired(mut self, abrasive: &Abrasive, charges: u32) -> Result<Self, PhysicsError> {
        let abrasive = abrasive.checked()?;
        Given {
            place: "charges of product",
            value: f64::from(charges),
            unit: "charges",
            remedy: "One charge is put on at the start.",
        }
        .within(1.0, 1000.0)?;
        let Abrasive::Diminishing {
            fresh_per_pa,
            fading_work,
            ..
        } = abrasive
        else {
            return Ok(self);
        };
        let charge_j = self.total_work_j() / f64::from(charges);
        let longest_j = fading_work.value / PARTS;
        let mut done_j = 0.0;
        let mut pieces = Vec::with_capacity(self.pieces.len());
        for piece in &self.pieces {
            let mut left_j = self.work_j(piece);
            let per_j = 1.0 / left_j;
            let part_j = (left_j / MOST_PARTS).max(longest_j);
            let mut share = 0.0;
            while left_j > 1e-9 * part_j {
                let room_j = charge_j - done_j;
                let step_j = left_j.min(part_j).min(room_j);
                let mean = abrasive.mean_between(
                    Energy::new::<joule>(done_j),
                    Energy::new::<joule>(done_j + step_j),
                );
                let next = share + step_j * per_j;
                pieces.push(part(piece, (share, next), mean / fresh_per_pa));
                (share, left_j, done_j) = (next, left_j - step_j, done_j + step_j);
                if charge_j - done_j <= 1e-9 * charge_j {
                    done_j = 0.0;
                }
            }
            if piece.touchdown.is_none() {
                pieces.push(*piece);
            }
        }
        self.pieces = pieces;
        Ok(self)
    }
}

/// The part of a piece between two shares of its time.
fn part(piece: &Piece, (from, to): (f64, f64), cut_frac: f64) -> Piece {
    let between = |a: f64, b: f64, share: f64| a + share.min(1.0) * (b - a);
    let place = |share: f64| {
        (
            between(piece.from_m.0, piece.to_m.0, share),
            between(piece.from_m.1, piece.to_m.1, share),
        )
    };
    Piece {
        from_m: place(from),
        to_m: place(to),
        start_s: between(piece.start_s, piece.end_s, from),
        end_s: between(piece.start_s, piece.end_s, to),
        cut_frac,
        ..*piece
    }
}
