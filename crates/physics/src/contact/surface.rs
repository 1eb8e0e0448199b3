//! What lies under the pad: a flat, a bulge, a panel edge, a crease.
//!
//! Law: the gap g(x, y) between the panel and a plane that touches it at the
//! pad centre (or at the crest of a crease): g = x²/(2Rx) + y²/(2Ry), plus for
//! a crease of radius r folding by the angle f the height of an arc of
//! half-angle f/2 with straight flanks. A panel edge is a straight line beyond
//! which there is nothing to press on. Two edges meet at a corner; two creases
//! add their heights.
//! Source: geometry.
//! Holds: for radii of curvature of at least the pad radius (the parabola is
//! then within a few per cent of the circle). Outside: refused.
//! Left out: twisted panels (axes of curvature that are not x and y), rolled
//! edges; a rolled edge is a crease followed by an edge.
//! Checked by: arcs worked by hand below.

use lapwing_measure::quantity::{Angle, Length};

use crate::error::{Given, PhysicsError};

/// The panel under the pad; every part is optional, the default is flat and
/// without end.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Surface {
    /// Radius of curvature along x; positive bulges towards the pad.
    pub radius_x: Option<Length>,
    /// Radius of curvature along y; positive bulges towards the pad.
    pub radius_y: Option<Length>,
    /// Where the panel ends.
    pub edge: Option<Edge>,
    /// Where it ends on another side, under a pad at a corner.
    pub other_edge: Option<Edge>,
    /// A body-line crest under the pad.
    pub crease: Option<Crease>,
    /// Another crest under the same pad.
    pub other_crease: Option<Crease>,
}

/// A straight panel edge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Edge {
    /// From the pad centre to the edge; negative when the pad centre is
    /// already beyond it.
    pub distance: Length,
    /// Direction from the panel outward, counted from +x towards +y.
    pub direction: Angle,
}

/// A convex body line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Crease {
    /// From the pad centre to the crest.
    pub distance: Length,
    /// Direction across the crest, counted from +x towards +y.
    pub direction: Angle,
    /// Radius of the rounding.
    pub radius: Length,
    /// By how much the panel turns over the crest.
    pub fold: Angle,
}

impl Surface {
    /// Checks the surface against the pad that is to work on it.
    pub(crate) fn checked(&self, pad_radius_m: f64) -> Result<(), PhysicsError> {
        for (place, radius) in [
            ("panel curvature along x", self.radius_x),
            ("panel curvature along y", self.radius_y),
        ] {
            if let Some(radius) = radius {
                Given {
                    place,
                    value: radius.value.abs(),
                    unit: "m",
                    remedy: "Use a smaller pad, or describe the spot as a crease.",
                }
                .within(pad_radius_m, 1e6)?;
            }
        }
        for crease in self.creases() {
            Given {
                place: "fold of the crease",
                value: crease.fold.value,
                unit: "rad",
                remedy: "A fold is between 0 and 2 rad; give the turn from flank to flank.",
            }
            .within(0.0, 2.0)?;
            Given {
                place: "radius of the crease",
                value: crease.radius.value,
                unit: "m",
                remedy: "A sharp body line has about 2 mm.",
            }
            .within(0.0, 10.0)?;
        }
        Ok(())
    }

    /// Is there nothing under the pad but an endless flat?
    pub(crate) fn is_endless_flat(&self) -> bool {
        *self == Self::default()
    }

    pub(crate) fn creases(&self) -> impl Iterator<Item = Crease> {
        [self.crease, self.other_crease].into_iter().flatten()
    }

    pub(crate) fn edges(&self) -> impl Iterator<Item = Edge> {
        [self.edge, self.other_edge].into_iter().flatten()
    }

    /// Does the panel end somewhere?
    pub(crate) fn has_edge(&self) -> bool {
        self.edges().next().is_some()
    }
}

#[cfg(test)]
mod tests {
    use super::super::shape::Shape;
    use super::*;
    use uom::si::angle::degree;
    use uom::si::length::millimeter;

    fn mm(value: f64) -> Length {
        Length::new::<millimeter>(value)
    }

    #[test]
    fn a_crest_falls_away_as_an_arc_and_then_straight() {
        // r = 10 mm, fold 60°: arc ends 5 mm out, 10·(1 − cos 30°) = 1.339746 mm down.
        let crest = Surface {
            crease: Some(Crease {
                distance: mm(0.0),
                direction: Angle::new::<degree>(0.0),
                radius: mm(10.0),
                fold: Angle::new::<degree>(60.0),
            }),
            ..Surface::default()
        };
        let gap_m = |x_m: f64| Shape::of(&crest).gap_m(x_m, 0.3);
        assert!((gap_m(0.005) - 1.339_745_96e-3).abs() < 1e-11);
        // 10 mm farther it has fallen by another 10·tan 30° = 5.773503 mm.
        assert!((gap_m(-0.015) - 7.113_248_65e-3).abs() < 1e-11);
    }

    #[test]
    fn a_bulge_falls_away_as_a_parabola() {
        let roof = Surface {
            radius_x: Some(mm(2000.0)),
            ..Surface::default()
        };
        assert!((Shape::of(&roof).gap_m(0.06, 0.5) - 0.0009).abs() < 1e-15);
        let hollow = Surface {
            radius_x: Some(mm(-2000.0)),
            ..Surface::default()
        };
        assert!((Shape::of(&hollow).gap_m(0.06, 0.0) + 0.0009).abs() < 1e-15);
    }

    #[test]
    fn a_row_stops_at_the_panel_edge_whichever_way_it_faces() {
        let facing = |degrees: f64| {
            Shape::of(&Surface {
                edge: Some(Edge {
                    distance: mm(20.0),
                    direction: Angle::new::<degree>(degrees),
                }),
                ..Surface::default()
            })
        };
        assert_eq!(facing(0.0).row_on_panel(0.0, -0.06, 0.06), (-0.06, 0.02));
        let (from, to) = facing(180.0).row_on_panel(0.0, -0.06, 0.06);
        assert!((from + 0.02).abs() < 1e-12 && to == 0.06);
        assert!(facing(90.0).is_panel(0.0, 0.019) && !facing(90.0).is_panel(0.0, 0.021));
    }

    #[test]
    fn a_panel_tighter_than_the_pad_is_refused() {
        let tube = Surface {
            radius_y: Some(mm(40.0)),
            ..Surface::default()
        };
        assert!(tube.checked(0.0625).is_err());
        let nonsense = Surface {
            radius_y: Some(mm(f64::NAN)),
            ..Surface::default()
        };
        assert!(nonsense.checked(0.0625).is_err());
    }
}
