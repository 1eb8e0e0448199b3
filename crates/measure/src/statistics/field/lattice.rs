//! A field on a fine square lattice: worked out at every fourth place, filled
//! in between, and worked out in full wherever that would show.
//!
//! Law: between four places side by side the cubic through them (Lagrange),
//! first along u, then along v, of the mean and of the variance. In the middle
//! of every block of 4 by 4 places the field is worked out as well; where mean
//! or deviation is off there by more than the tolerance, or next door by more
//! than twice that, all of the block is.
//! Source: [`Source::AbramowitzStegun1964`] section 3.1 and 3.6.
//! Holds: for fields that are smooth but for kinks at the readings, such as
//! Matérn 3/2. In a test over rough, smooth, noisy and noiseless fields no place
//! was off by more than five times the tolerance.
//! Left out: lattices whose sides differ or run at an angle.
//! Checked by: every place against the field itself, and a cubic by hand.

use crate::source::Source;
use crate::statistics::error::number;

use super::{Prediction, Site};

/// Where the interpolation is printed.
pub const SOURCES: [Source; 1] = [Source::AbramowitzStegun1964];

/// Places along the side of a block.
const SIDE: usize = 4;

/// Beside a block that is off by more than so many tolerances a middle that
/// happens to fit proves little.
const NEIGHBOUR_FACTOR: f64 = 2.0;

/// Weights of the four nodes around a block for its places, 0 to 3 quarters of
/// the way from the second node to the third.
const CUBIC: [[f64; SIDE]; SIDE] = [
    [0.0, 1.0, 0.0, 0.0],
    [-7.0 / 128.0, 105.0 / 128.0, 35.0 / 128.0, -5.0 / 128.0],
    [-1.0 / 16.0, 9.0 / 16.0, 9.0 / 16.0, -1.0 / 16.0],
    [-5.0 / 128.0, 35.0 / 128.0, 105.0 / 128.0, -7.0 / 128.0],
];

/// Places in rows and columns, all one step apart.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lattice {
    /// The first place of the first row.
    pub first: Site,
    /// From place to place.
    pub step: f64,
    /// Places in a row.
    pub columns: usize,
    /// Rows.
    pub rows: usize,
}

impl Lattice {
    /// A place by its row and column; both may lie off the lattice.
    fn at(&self, row: f64, column: f64) -> Site {
        [
            self.first[0] + column * self.step,
            self.first[1] + row * self.step,
        ]
    }

    /// Blocks across and up.
    fn blocks(&self) -> [usize; 2] {
        [self.columns, self.rows].map(|places| places.div_ceil(SIDE))
    }

    /// Nodes across and up: one more than blocks at the low side, two at the
    /// high one.
    fn nodes(&self) -> [usize; 2] {
        self.blocks().map(|blocks| blocks + SIDE - 1)
    }

    /// The field at every place, row by row. `predict` works the field out at
    /// some places, in their order; `tolerance` is in the unit of the readings.
    pub fn fill(
        &self,
        tolerance: f64,
        predict: impl Fn(&[Site]) -> Vec<Prediction>,
    ) -> Vec<Prediction> {
        let ([across, up], [wide, tall]) = (self.blocks(), self.nodes());
        let side = number(SIDE);
        let nodes = (0..wide * tall).map(|node| {
            let [column, row] = [node % wide, node / wide].map(|k| side * (number(k) - 1.0));
            self.at(row, column)
        });
        let nodes = predict(&nodes.collect::<Vec<Site>>());
        let middles = (0..across * up).map(|block| {
            let [column, row] = [block % across, block / across].map(|k| side * (number(k) + 0.5));
            self.at(row, column)
        });
        let middles = predict(&middles.collect::<Vec<Site>>());
        let blocks: Vec<[Prediction; SIDE * SIDE]> = (0..across * up)
            .map(|block| filled(&nodes, wide, [block % across, block / across]))
            .collect();
        let pairs = blocks.iter().zip(&middles);
        let off: Vec<f64> = pairs.map(|(block, middle)| off(block, middle)).collect();
        let nothing = Prediction { mean: 0.0, sd: 0.0 };
        let mut out = vec![nothing; self.columns * self.rows];
        let mut rough = Vec::new();
        for (block, filled) in blocks.iter().enumerate() {
            let at = [block % across, block / across];
            let around = around(at, [across, up]).map(|block| off[block]);
            let is_calm = around.fold(0.0, f64::max) <= NEIGHBOUR_FACTOR * tolerance;
            if is_calm && off[block] <= tolerance {
                let places = self.places(at);
                places.for_each(|(number, place)| out[place] = filled[number]);
            } else {
                rough.extend(self.places(at).map(|(_, place)| place));
            }
        }
        let sites = rough
            .iter()
            .map(|place| self.at(number(place / self.columns), number(place % self.columns)));
        let exact = predict(&sites.collect::<Vec<Site>>());
        for (place, found) in rough.into_iter().zip(exact) {
            out[place] = found;
        }
        out
    }

    /// The places of a block that are on the lattice: number in the block, and
    /// number on the lattice.
    fn places(&self, [across, up]: [usize; 2]) -> impl Iterator<Item = (usize, usize)> {
        let (columns, rows) = (self.columns, self.rows);
        (0..SIDE * SIDE).filter_map(move |number| {
            let (column, row) = (across * SIDE + number % SIDE, up * SIDE + number / SIDE);
            (column < columns && row < rows).then_some((number, row * columns + column))
        })
    }
}

/// By how much a block is off in its middle. The same error of a variance shows
/// most where the deviation is least.
fn off(block: &[Prediction], middle: &Prediction) -> f64 {
    let guess = block[SIDE * SIDE / 2 + SIDE / 2];
    let least_sd = block.iter().fold(middle.sd, |least, one| least.min(one.sd));
    let variance = (guess.sd * guess.sd - middle.sd * middle.sd).abs();
    let sd = if variance > 0.0 {
        variance / (2.0 * least_sd)
    } else {
        0.0
    };
    sd.max((guess.mean - middle.mean).abs())
}

/// A block and those that touch it.
fn around([column, row]: [usize; 2], [across, up]: [usize; 2]) -> impl Iterator<Item = usize> {
    let near = |at: usize, count: usize| at.saturating_sub(1)..(at + 2).min(count);
    near(row, up).flat_map(move |row| near(column, across).map(move |column| row * across + column))
}

/// All places of a block from the 4 by 4 nodes around it.
fn filled(
    nodes: &[Prediction],
    wide: usize,
    [across, up]: [usize; 2],
) -> [Prediction; SIDE * SIDE] {
    let rows: [[[f64; 2]; SIDE]; SIDE] = std::array::from_fn(|row| {
        let from = (up + row) * wide + across;
        let around = &nodes[from..from + SIDE];
        CUBIC.map(|weights| {
            let mut sums = [0.0; 2];
            for (weight, node) in weights.iter().zip(around) {
                sums[0] += weight * node.mean;
                sums[1] += weight * (node.sd * node.sd);
            }
            sums
        })
    });
    std::array::from_fn(|place| {
        let mut sums = [0.0; 2];
        for (weight, row) in CUBIC[place / SIDE].iter().zip(&rows) {
            let [mean, variance] = row[place % SIDE];
            sums[0] += weight * mean;
            sums[1] += weight * variance;
        }
        Prediction {
            mean: sums[0],
            sd: sums[1].max(0.0).sqrt(),
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::statistics::field::{Kernel, Level, Observations, Process, Shape};

    #[test]
    fn a_cubic_is_filled_in_without_error() {
        let lattice = Lattice {
            first: [-3.0, 2.0],
            step: 0.5,
            columns: 11,
            rows: 6,
        };
        let cubic = |[u, v]: Site| 1.0 + u - 0.3 * u * u * u + v * v * (2.0 - v) + u * v;
        let asked = std::cell::RefCell::new(0);
        let found = lattice.fill(1e-9, |sites| {
            *asked.borrow_mut() += sites.len();
            let one = |site: &Site| Prediction {
                mean: cubic(*site),
                sd: (1.0 + site[0] * site[0]).sqrt(),
            };
            sites.iter().map(one).collect()
        });
        for (place, one) in found.iter().enumerate() {
            let site = lattice.at(number(place / 11), number(place % 11));
            assert!((one.mean - cubic(site)).abs() < 1e-12, "{place}");
            assert!((one.sd - (1.0 + site[0] * site[0]).sqrt()).abs() < 1e-12);
        }
        // 6 by 5 nodes and 3 by 2 middles, and no block in full.
        assert_eq!(asked.into_inner(), 36);
    }

    /// Fields of `count` readings; most that a place is off, in tolerances, and
    /// the share of places that were worked out.
    fn worst(shape: Shape, noise: f64, count: u32, step: f64) -> (f64, f64) {
        let mix = |k: u32| f64::from(k.wrapping_mul(2_654_435_761)) / 4_294_967_296.0;
        let numbers = || 0..count;
        let sites: Vec<Site> = numbers()
            .map(|k| [mix(2 * k + 1) * 700.0, mix(3 * k + 500_009) * 600.0])
            .collect();
        let values: Vec<f64> = numbers()
            .map(|k| 110.0 + 12.0 * (mix(7 * k + 11) - 0.5))
            .collect();
        let field = Process::condition(
            Kernel::isotropic(shape, 4.0, 300.0),
            Level::Unknown,
            Observations {
                sites: &sites,
                values: &values,
                noise_variances: &vec![noise; values.len()],
            },
        )
        .expect("a field");
        let lattice = Lattice {
            first: [2.5, 2.5],
            step,
            columns: 101,
            rows: 90,
        };
        let asked = std::cell::Cell::new(0);
        let tolerance = 3e-3;
        let found = lattice.fill(tolerance, |sites| {
            asked.set(asked.get() + sites.len());
            field.predict_all(sites)
        });
        let all: Vec<Site> = (0..found.len())
            .map(|place| lattice.at(number(place / 101), number(place % 101)))
            .collect();
        let off = field.predict_all(&all).into_iter().zip(&found);
        let most = off.fold(0.0_f64, |most, (a, b)| {
            most.max((a.mean - b.mean).abs()).max((a.sd - b.sd).abs())
        });
        (most / tolerance, number(asked.get()) / number(all.len()))
    }

    #[test]
    fn no_place_is_off_by_more_than_five_tolerances() {
        for shape in [Shape::Matern32, Shape::Matern52] {
            for noise in [0.0, 0.04, 1.0, 4.0] {
                for (count, step) in [(1, 5.0), (5, 5.0), (24, 7.0), (120, 5.0), (120, 20.0)] {
                    let (most, _) = worst(shape, noise, count, step);
                    assert!(most < 5.0, "{shape:?} {noise} {count} {step}: {most}");
                }
            }
        }
    }

    #[test]
    fn a_usual_panel_is_worked_out_at_few_places() {
        let (_, share) = worst(Shape::Matern32, 1.0, 24, 5.0);
        assert!(share < 0.3, "{share}");
    }
}
