//! What lies under the pad, worked out once to be asked at many points.
//!
//! Law: as `surface`; a crest has a rounding of half-width a = r·sin(f/2)
//! (metres) and flanks of slope tan(f/2) beyond it.
//! Source: geometry.
//! Holds: as `surface`. Outside: as `surface`.
//! Left out: nothing.
//! Checked by: the tests of `surface`, and the force balance of the parent.

use super::surface::{Crease, Edge, Surface};

/// A straight line n·p = c with |n| = 1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Line {
    pub(crate) normal: (f64, f64),
    pub(crate) offset_m: f64,
}

impl Line {
    /// Does it run along the rows?
    pub(crate) fn is_level(&self) -> bool {
        self.normal.0.abs() < 1e-9
    }

    fn room_m(&self, x_m: f64, y_m: f64) -> f64 {
        self.offset_m - self.normal.0 * x_m - self.normal.1 * y_m
    }
}

/// A crest with its rounding worked out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Ridge {
    pub(crate) crest: Line,
    radius_m: f64,
    /// Half the width of the rounding.
    pub(crate) arc_m: f64,
    shoulder_m: f64,
    /// Slope of the flanks.
    pub(crate) slope: f64,
}

impl Ridge {
    fn of(crease: &Crease) -> Self {
        let (sine, cosine) = crease.direction.value.sin_cos();
        let half_rad = 0.5 * crease.fold.value;
        Self {
            crest: Line {
                normal: (cosine, sine),
                offset_m: crease.distance.value,
            },
            radius_m: crease.radius.value,
            arc_m: crease.radius.value * half_rad.sin(),
            shoulder_m: crease.radius.value * (1.0 - half_rad.cos()),
            slope: half_rad.tan(),
        }
    }

    /// From the crest to a point, across it.
    pub(crate) fn beside_m(&self, x_m: f64, y_m: f64) -> f64 {
        -self.crest.room_m(x_m, y_m)
    }

    pub(crate) fn drop_m(&self, beside_m: f64) -> f64 {
        let beside_m = beside_m.abs();
        if beside_m <= self.arc_m {
            return self.radius_m - (self.radius_m * self.radius_m - beside_m * beside_m).sqrt();
        }
        self.shoulder_m + (beside_m - self.arc_m) * self.slope
    }

    /// Slope of the drop across the crest.
    fn fall(&self, beside_m: f64) -> f64 {
        if beside_m.abs() <= self.arc_m {
            return beside_m / (self.radius_m * self.radius_m - beside_m * beside_m).sqrt();
        }
        self.slope.copysign(beside_m)
    }

    /// Where the rounding ends on either side.
    pub(crate) fn ends(&self) -> [Line; 2] {
        [-self.arc_m, self.arc_m].map(|aside_m| Line {
            offset_m: self.crest.offset_m + aside_m,
            ..self.crest
        })
    }

    /// The plane of a flank: slope across, and drop over the crest itself.
    pub(crate) fn flank(&self, side: f64) -> (f64, f64) {
        (side * self.slope, self.shoulder_m - self.arc_m * self.slope)
    }
}

/// The panel under the pad, ready to be asked.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Shape {
    /// 1/(2R) along x and y, in 1/m.
    pub(crate) bulge_1_m: (f64, f64),
    pub(crate) edges: Vec<Line>,
    pub(crate) ridges: Vec<Ridge>,
}

impl Shape {
    pub(crate) fn of(surface: &Surface) -> Self {
        let edge = |edge: Edge| {
            let (sine, cosine) = edge.direction.value.sin_cos();
            Line {
                normal: (cosine, sine),
                offset_m: edge.distance.value,
            }
        };
        let bulge = |radius: Option<lapwing_measure::quantity::Length>| {
            radius.map_or(0.0, |r| 1.0 / (2.0 * r.value))
        };
        Self {
            bulge_1_m: (bulge(surface.radius_x), bulge(surface.radius_y)),
            edges: surface.edges().map(edge).collect(),
            ridges: surface.creases().map(|crease| Ridge::of(&crease)).collect(),
        }
    }

    /// Gap to a level plane at the point, in metres.
    pub(crate) fn gap_m(&self, x_m: f64, y_m: f64) -> f64 {
        self.bulge_1_m.0 * x_m * x_m + self.bulge_1_m.1 * y_m * y_m + self.ridge_gap_m(x_m, y_m)
    }

    /// The part of the gap that the creases make, in metres.
    pub(crate) fn ridge_gap_m(&self, x_m: f64, y_m: f64) -> f64 {
        let drop = |ridge: &Ridge| ridge.drop_m(ridge.beside_m(x_m, y_m));
        self.ridges.iter().map(drop).sum()
    }

    /// How fast the gap grows along x.
    pub(crate) fn slope_along_x(&self, x_m: f64, y_m: f64) -> f64 {
        let fall = |ridge: &Ridge| ridge.crest.normal.0 * ridge.fall(ridge.beside_m(x_m, y_m));
        2.0 * self.bulge_1_m.0 * x_m + self.ridges.iter().map(fall).sum::<f64>()
    }

    /// No place within `reach_m` of the centre is steeper than this.
    pub(crate) fn steepest(&self, reach_m: f64) -> f64 {
        let (x, y) = self.bulge_1_m;
        2.0 * reach_m * x.abs().max(y.abs()) + self.ridges.iter().map(|r| r.slope).sum::<f64>()
    }

    /// Is every edge farther than `room_m` from the point?
    pub(crate) fn clears_edges(&self, (x_m, y_m): (f64, f64), room_m: f64) -> bool {
        self.edges
            .iter()
            .all(|edge| edge.room_m(x_m, y_m).abs() > room_m)
    }

    /// Is every rounding farther than `room_m` from the point?
    pub(crate) fn clears_ridges(&self, (x_m, y_m): (f64, f64), room_m: f64) -> bool {
        self.ridges
            .iter()
            .all(|ridge| ridge.beside_m(x_m, y_m).abs() > ridge.arc_m + room_m)
    }

    /// Is there panel at the point?
    pub(crate) fn is_panel(&self, x_m: f64, y_m: f64) -> bool {
        self.edges.iter().all(|edge| edge.room_m(x_m, y_m) >= 0.0)
    }

    /// The part of the row from `from_m` to `to_m` at height `y_m` that lies on
    /// the panel; empty when the first number is not below the second.
    pub(crate) fn row_on_panel(&self, y_m: f64, from_m: f64, to_m: f64) -> (f64, f64) {
        let (mut from_m, mut to_m) = (from_m, to_m);
        for edge in &self.edges {
            let room_m = edge.room_m(0.0, y_m);
            if edge.normal.0.abs() < 1e-12 {
                if room_m < 0.0 {
                    return (from_m, from_m);
                }
            } else if edge.normal.0 > 0.0 {
                to_m = to_m.min(room_m / edge.normal.0);
            } else {
                from_m = from_m.max(room_m / edge.normal.0);
            }
        }
        (from_m, to_m)
    }

    /// The heights between which rows lie on the panel, as far as edges that
    /// run along the rows say so.
    pub(crate) fn rows_on_panel(&self) -> (f64, f64) {
        let (mut low_m, mut high_m) = (f64::NEG_INFINITY, f64::INFINITY);
        for edge in self.edges.iter().filter(|edge| edge.is_level()) {
            if edge.normal.1 > 0.0 {
                high_m = high_m.min(edge.offset_m);
            } else {
                low_m = low_m.max(-edge.offset_m);
            }
        }
        (low_m, high_m)
    }
}
