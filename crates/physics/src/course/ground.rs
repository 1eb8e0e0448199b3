//! The panel under a whole path: its curvature, free edges and body lines, and
//! what of them lies under the pad at one place.
//!
//! Law: none. A place is x, y from the section's lower left corner; a free edge
//! counts when it is nearer than the pad radius, a crease when its rounding is.
//! Source: geometry.
//! Holds: for edges along the section's sides and creases along x or y. Of
//! several the two nearest count.
//! Left out: creases at an angle, hollow creases, edges that are not straight.
//! Checked by: the tests of the parent module.

use lapwing_measure::quantity::{Angle, Length};
use uom::si::angle::radian;
use uom::si::length::meter;

use crate::contact::{Crease, Edge, Surface};
use crate::stroke::{Along, Section};

/// A side of the section.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// At x = 0.
    Left,
    /// At x = width.
    Right,
    /// At y = 0.
    Near,
    /// At y = height.
    Far,
}

impl Side {
    /// Direction from the panel outward, from +x towards +y, in rad.
    fn outward_rad(self) -> f64 {
        use std::f64::consts::{FRAC_PI_2, PI};
        match self {
            Self::Left => PI,
            Self::Right => 0.0,
            Self::Near => -FRAC_PI_2,
            Self::Far => FRAC_PI_2,
        }
    }

    /// From a place to the side, in metres; negative beyond it.
    fn distance_m(self, section: &Section, (x_m, y_m): (f64, f64)) -> f64 {
        match self {
            Self::Left => x_m,
            Self::Right => section.width.value - x_m,
            Self::Near => y_m,
            Self::Far => section.height.value - y_m,
        }
    }
}

/// A convex body line across the panel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BodyLine {
    /// Which way its crest runs.
    pub along: Along,
    /// Where: its y when it runs along x, its x when it runs along y.
    pub at: Length,
    /// Radius of the rounding.
    pub radius: Length,
    /// By how much the panel turns over the crest.
    pub fold: Angle,
}

impl BodyLine {
    /// From a place to the crest, towards growing x or y.
    fn distance_m(&self, (x_m, y_m): (f64, f64)) -> f64 {
        match self.along {
            Along::X => self.at.value - y_m,
            Along::Y => self.at.value - x_m,
        }
    }

    /// Half the width of the rounding.
    fn arc_m(&self) -> f64 {
        self.radius.value * (0.5 * self.fold.value).sin()
    }

    fn across_rad(&self) -> f64 {
        match self.along {
            Along::X => std::f64::consts::FRAC_PI_2,
            Along::Y => 0.0,
        }
    }
}

/// The panel under a path; the default is flat and goes on beyond the section.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Ground {
    /// Radius of curvature along x; positive bulges towards the pad.
    pub radius_x: Option<Length>,
    /// Radius of curvature along y.
    pub radius_y: Option<Length>,
    /// Sides of the section at which the panel ends.
    pub free_sides: Vec<Side>,
    /// Body lines.
    pub body_lines: Vec<BodyLine>,
}

/// How far from a place one feature counts, and how its distance changes.
pub(super) struct Feature {
    /// Distance from the place, m.
    pub(super) distance_m: f64,
    /// The distance below which (either way) it lies under the pad, m.
    pub(super) counts_m: f64,
}

impl Ground {
    /// All features, seen from a place.
    pub(super) fn features(
        &self,
        section: &Section,
        place_m: (f64, f64),
        pad_radius_m: f64,
    ) -> Vec<Feature> {
        let sides = self.free_sides.iter().map(|side| Feature {
            distance_m: side.distance_m(section, place_m),
            counts_m: pad_radius_m,
        });
        let lines = self.body_lines.iter().map(|line| Feature {
            distance_m: line.distance_m(place_m),
            counts_m: pad_radius_m + line.arc_m(),
        });
        sides.chain(lines).collect()
    }

    /// What lies under a pad at a place.
    #[must_use]
    pub fn under(&self, section: &Section, place_m: (f64, f64), pad_radius: Length) -> Surface {
        let radius_m = pad_radius.value;
        let mut edges: Vec<Edge> = self
            .free_sides
            .iter()
            .map(|side| Edge {
                distance: Length::new::<meter>(side.distance_m(section, place_m)),
                direction: Angle::new::<radian>(side.outward_rad()),
            })
            .filter(|edge| edge.distance.value < radius_m)
            .collect();
        edges.sort_by(|a, b| a.distance.value.total_cmp(&b.distance.value));
        let mut creases: Vec<Crease> = self
            .body_lines
            .iter()
            .filter(|line| line.distance_m(place_m).abs() < radius_m + line.arc_m())
            .map(|line| Crease {
                distance: Length::new::<meter>(line.distance_m(place_m)),
                direction: Angle::new::<radian>(line.across_rad()),
                radius: line.radius,
                fold: line.fold,
            })
            .collect();
        creases.sort_by(|a, b| a.distance.value.abs().total_cmp(&b.distance.value.abs()));
        Surface {
            radius_x: self.radius_x,
            radius_y: self.radius_y,
            edge: edges.first().copied(),
            other_edge: edges.get(1).copied(),
            crease: creases.first().copied(),
            other_crease: creases.get(1).copied(),
        }
    }
}
