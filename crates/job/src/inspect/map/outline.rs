//! Where a panel ends: the corners somebody measured, or the shape such a panel
//! usually has in the rectangle of its size or around the readings.
//!
//! Law: none; plane geometry in mm.
//! Source: a gauge needs about 20 mm to the edge (common practice), so a panel
//! reaches at least that far beyond its outermost reading.
//! Holds: with a measured size the lower left corner is u = 0, v = 0. With an
//! area alone the rectangle around the readings is widened evenly to that
//! area, at most 300 mm a side. A usual shape that leaves a reading outside is
//! blown up by at most 1.4; if that does not do, the rectangle stays.
//! Left out: rounded corners, lamps; outlines that cross themselves.
//! Checked by: the unit tests below.

use lapwing_measure::quantity::{Area, Length};
use serde::Serialize;
use uom::si::area::square_millimeter;
use uom::si::length::millimeter;

use super::{EDGE_MM, shapes};
use crate::intake::{Intake, most_area};
use crate::record::corners::area;
use crate::record::job::Job;
use crate::record::panel_names;

/// Farthest an outline is widened to reach an area, mm.
const MOST_WIDER_MM: f64 = 300.0;

/// What is known of a panel's size.
#[derive(Clone, Debug, PartialEq)]
pub enum Size {
    /// Its corners, measured, mm from its lower left corner.
    Outline(Vec<[f64; 2]>),
    /// Across and up, by a tape.
    Measured(Length, Length),
    /// Its area alone, from the body class.
    FromClass(Area),
    /// Nothing.
    Unknown,
}

/// The sizes of a job's panels, as taken in.
#[must_use]
pub fn sizes(job: &Job, taken_in: &Intake) -> Vec<(String, Size)> {
    let panels = job.panels.iter().zip(&taken_in.areas);
    panels
        .map(|(panel, area)| {
            let size = match panel.size {
                _ if !panel.outline_mm.is_empty() => Size::Outline(panel.outline_mm.clone()),
                Some((u, v)) => Size::Measured(u, v),
                // Of a panel nobody knows the map reaches as far as the largest:
                // farther from the readings less may go.
                None => {
                    Size::FromClass(most_area(job.car.class, &panel.name).unwrap_or(area.value))
                }
            };
            (panel.name.clone(), size)
        })
        .collect()
}

/// Where an outline comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum OutlineOrigin {
    /// A tape.
    Measured,
    /// Around the readings, as large as such a panel usually is.
    UsualArea,
    /// Around the readings, as far as a gauge keeps from an edge.
    AroundReadings,
}

/// Where the panel ends, mm.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Outline {
    /// Least u.
    pub left_mm: f64,
    /// Least v.
    pub bottom_mm: f64,
    /// Greatest u.
    pub right_mm: f64,
    /// Greatest v.
    pub top_mm: f64,
    /// Where its size comes from.
    pub origin: OutlineOrigin,
    /// Where its shape comes from.
    pub shape: OutlineShape,
    /// Its corners, in turn.
    pub points_mm: Vec<[f64; 2]>,
}

/// Where an outline's shape comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum OutlineShape {
    /// Measured corner by corner.
    Given,
    /// As such a panel usually is; assumed.
    Usual,
    /// Nothing is known: a rectangle.
    Rectangle,
}

/// A drawn wing or quarter fills less of its rectangle than the real one, which
/// bends; its rectangle is not widened for more than this.
const LEAST_FILL_FRAC: f64 = 0.75;

/// The usual shape is blown up by at most this to hold every reading.
const MOST_BLOWN_UP: f64 = 1.4;

impl Outline {
    /// The outline for a size and the places read; `None` without places.
    pub(super) fn of(
        size: &Size,
        name: &str,
        places: impl Iterator<Item = [f64; 2]>,
    ) -> Option<Self> {
        let places: Vec<[f64; 2]> = places.collect();
        let around = box_of(&places)?;
        // Places are counted from the panel's lower left corner, so it does not
        // reach below 0: what would is added at the other side.
        let widened = |by: f64, origin: OutlineOrigin| {
            let [left, bottom] = [0, 1].map(|axis| around[axis] - by);
            let [over_u, over_v] = [left, bottom].map(|low| (-low).max(0.0));
            let right = around[2] + by + over_u;
            let top = around[3] + by + over_v;
            Self::rectangle([left + over_u, bottom + over_v, right, top], origin)
        };
        let shape = shapes::usual(name);
        let fill_frac = shape.as_deref().map_or(1.0, area);
        let plain = match size {
            Size::Outline(corners) => {
                return Some(Self::with(
                    corners.clone(),
                    OutlineOrigin::Measured,
                    OutlineShape::Given,
                ));
            }
            Size::Measured(u, v) => Self::rectangle(
                [0.0, 0.0, u.get::<millimeter>(), v.get::<millimeter>()],
                OutlineOrigin::Measured,
            ),
            Size::FromClass(usual) if !is_one_of_several_faces(name) => {
                let by = wider_mm(
                    [around[2] - around[0], around[3] - around[1]],
                    usual.get::<square_millimeter>() / fill_frac.max(LEAST_FILL_FRAC),
                );
                widened(by, OutlineOrigin::UsualArea)
            }
            Size::FromClass(_) | Size::Unknown => widened(EDGE_MM, OutlineOrigin::AroundReadings),
        };
        let shaped = shape.and_then(|shape| plain.shaped(&shape, &places));
        Some(shaped.unwrap_or(plain))
    }

    fn rectangle([left, bottom, right, top]: [f64; 4], origin: OutlineOrigin) -> Self {
        let corners = vec![[left, bottom], [right, bottom], [right, top], [left, top]];
        Self::with(corners, origin, OutlineShape::Rectangle)
    }

    fn with(points_mm: Vec<[f64; 2]>, origin: OutlineOrigin, shape: OutlineShape) -> Self {
        let [left_mm, bottom_mm, right_mm, top_mm] = box_of(&points_mm).unwrap_or_default();
        Self {
            left_mm,
            bottom_mm,
            right_mm,
            top_mm,
            origin,
            shape,
            points_mm,
        }
    }

    /// The usual shape in this rectangle, blown up evenly until it holds every
    /// place that the rectangle holds, and cut to a measured rectangle.
    fn shaped(&self, shape: &[[f64; 2]], places: &[[f64; 2]]) -> Option<Self> {
        let [wide, tall] = self.size_mm();
        let inside: Vec<[f64; 2]> = places.iter().copied().filter(|p| self.holds(*p)).collect();
        let mut by = 1.0;
        while by <= MOST_BLOWN_UP {
            let put = |[u, v]: &[f64; 2]| {
                [
                    self.left_mm + wide * (0.5 + by * (u - 0.5)),
                    self.bottom_mm + tall * (0.5 + by * (v - 0.5)),
                ]
            };
            let mut corners: Vec<[f64; 2]> = shape.iter().map(put).collect();
            if self.origin == OutlineOrigin::Measured {
                corners = cut_to(self, corners);
            } else {
                corners = above_nought(corners);
            }
            let found = Self::with(corners, self.origin, OutlineShape::Usual);
            if inside.iter().all(|p| found.holds(*p)) {
                return Some(found);
            }
            by += 0.02;
        }
        None
    }

    /// Width and height, mm.
    #[must_use]
    pub fn size_mm(&self) -> [f64; 2] {
        [self.right_mm - self.left_mm, self.top_mm - self.bottom_mm]
    }

    /// Whether a place is on the panel.
    #[must_use]
    pub fn holds(&self, [u, v]: [f64; 2]) -> bool {
        let in_box = (self.left_mm..=self.right_mm).contains(&u)
            && (self.bottom_mm..=self.top_mm).contains(&v);
        in_box && (self.shape == OutlineShape::Rectangle || self.winds_round([u, v]))
    }

    /// How far a place is from the nearest edge, mm; negative off the panel.
    #[must_use]
    pub fn inside_by_mm(&self, [u, v]: [f64; 2]) -> f64 {
        if self.shape == OutlineShape::Rectangle {
            return [
                u - self.left_mm,
                self.right_mm - u,
                v - self.bottom_mm,
                self.top_mm - v,
            ]
            .into_iter()
            .fold(f64::INFINITY, f64::min);
        }
        let square = self.sides().map(|(a, b)| square_to_side([u, v], a, b));
        let nearest = square.fold(f64::INFINITY, f64::min).sqrt();
        if self.winds_round([u, v]) {
            nearest
        } else {
            -nearest
        }
    }

    fn sides(&self) -> impl Iterator<Item = ([f64; 2], [f64; 2])> + '_ {
        let next = self.points_mm.iter().cycle().skip(1);
        self.points_mm.iter().copied().zip(next.copied())
    }

    /// A ray to the right crosses an odd number of sides.
    fn winds_round(&self, [u, v]: [f64; 2]) -> bool {
        let crossed = self.sides().filter(|(a, b)| {
            (a[1] > v) != (b[1] > v) && u < a[0] + (v - a[1]) / (b[1] - a[1]) * (b[0] - a[0])
        });
        crossed.count() % 2 == 1
    }
}

/// Least u and v, greatest u and v.
fn box_of(places: &[[f64; 2]]) -> Option<[f64; 4]> {
    places.iter().fold(None, |known: Option<[f64; 4]>, [u, v]| {
        let [a, b, c, d] = known.unwrap_or([*u, *v, *u, *v]);
        Some([a.min(*u), b.min(*v), c.max(*u), d.max(*v)])
    })
}

/// Square of the distance from a place to a straight side.
pub(super) fn square_to_side(at: [f64; 2], a: [f64; 2], b: [f64; 2]) -> f64 {
    let way = [b[0] - a[0], b[1] - a[1]];
    let off = [at[0] - a[0], at[1] - a[1]];
    let length = way[0] * way[0] + way[1] * way[1];
    let share = if length > 0.0 {
        ((off[0] * way[0] + off[1] * way[1]) / length).clamp(0.0, 1.0)
    } else {
        0.0
    };
    let left = [off[0] - share * way[0], off[1] - share * way[1]];
    left[0] * left[0] + left[1] * left[1]
}

/// Moves an outline up and right until no corner lies below 0.
fn above_nought(corners: Vec<[f64; 2]>) -> Vec<[f64; 2]> {
    let [left, bottom, ..] = box_of(&corners).unwrap_or_default();
    let by = [left, bottom].map(|low| (-low).max(0.0));
    let moved = |[u, v]: [f64; 2]| [u + by[0], v + by[1]];
    corners.into_iter().map(moved).collect()
}

/// The corners of what lies inside a rectangle, one side after the other.
fn cut_to(frame: &Outline, mut corners: Vec<[f64; 2]>) -> Vec<[f64; 2]> {
    let walls = [
        (0, frame.left_mm, 1.0),
        (0, frame.right_mm, -1.0),
        (1, frame.bottom_mm, 1.0),
        (1, frame.top_mm, -1.0),
    ];
    for (axis, wall, sign) in walls {
        let inside = |p: [f64; 2]| sign * (p[axis] - wall) >= 0.0;
        let mut kept = Vec::with_capacity(corners.len() + 4);
        for (k, at) in corners.iter().enumerate() {
            let before = corners[(k + corners.len() - 1) % corners.len()];
            if inside(before) != inside(*at) {
                let share = (wall - before[axis]) / (at[axis] - before[axis]);
                let other = 1 - axis;
                let mut crossing = [wall; 2];
                crossing[other] = before[other] + share * (at[other] - before[other]);
                kept.push(crossing);
            }
            if inside(*at) {
                kept.push(*at);
            }
        }
        corners = kept;
    }
    corners
}

/// Pillars and rails are long and thin, bumpers bend round the car: their area
/// says nothing about a rectangle.
fn is_one_of_several_faces(name: &str) -> bool {
    ["pillars-cant-rail", "front-bumper", "rear-bumper", "mirror"]
        .contains(&panel_names::stem(name).0)
}

/// The margin m with (w + 2m)(h + 2m) = area, at least where a gauge stops.
fn wider_mm([w, h]: [f64; 2], area_mm2: f64) -> f64 {
    let half = (w + h) / 2.0;
    let margin = (-half + (half * half + area_mm2 - w * h).max(0.0).sqrt()) / 2.0;
    margin.clamp(EDGE_MM, MOST_WIDER_MM)
}

#[cfg(test)]
mod tests {
    use super::*;
    use uom::si::area::square_meter;
    use uom::si::length::meter;

    const PLACES: [[f64; 2]; 2] = [[100.0, 100.0], [900.0, 500.0]];

    fn outline(size: Size) -> Outline {
        Outline::of(&size, "spare-wheel-cover", PLACES.into_iter()).expect("places")
    }

    #[test]
    fn a_measured_panel_starts_at_its_corner() {
        let size = Size::Measured(Length::new::<meter>(1.4), Length::new::<meter>(1.2));
        let found = outline(size);
        assert!((found.size_mm()[0] - 1400.0).abs() < 1e-9 && found.left_mm.abs() < 1e-12);
        assert!(found.holds([1400.0, 0.0]) && !found.holds([1401.0, 0.0]));
        assert!((found.inside_by_mm([100.0, 1180.0]) - 20.0).abs() < 1e-9);
    }

    #[test]
    fn an_area_widens_the_readings_rectangle_to_it() {
        // 800 by 400 mm to 1 m²: (800 + 2m)(400 + 2m) = 10⁶, m = 209.9 mm.
        let found = outline(Size::FromClass(Area::new::<square_meter>(1.0)));
        let [w, h] = found.size_mm();
        assert!(
            (w * h - 1e6).abs() < 1e-3 && (w - 1219.8).abs() < 0.1,
            "{w} {h}"
        );
        let small = outline(Size::FromClass(Area::new::<square_meter>(0.1)));
        assert!((small.size_mm()[0] - 840.0).abs() < 1e-9);
    }

    #[test]
    fn without_a_size_it_ends_where_a_gauge_must_stop() {
        let found = outline(Size::Unknown);
        assert!((found.left_mm - 80.0).abs() < 1e-12 && (found.top_mm - 520.0).abs() < 1e-12);
        assert!(Outline::of(&Size::Unknown, "roof", std::iter::empty()).is_none());
    }

    #[test]
    fn a_bonnet_has_its_shape_and_a_reading_in_its_corner_blows_it_up() {
        let size = || Size::Measured(Length::new::<meter>(1.4), Length::new::<meter>(1.2));
        let calm = Outline::of(&size(), "bonnet", PLACES.into_iter()).expect("places");
        assert_eq!(calm.shape, OutlineShape::Usual);
        assert!(!calm.holds([20.0, 20.0]) && calm.holds([700.0, 600.0]));
        let corner = [[60.0, 90.0], [900.0, 500.0]];
        let wide = Outline::of(&size(), "bonnet", corner.into_iter()).expect("places");
        assert!(wide.holds(corner[0]), "{wide:?}");
        assert!(wide.left_mm >= 0.0 && wide.right_mm <= 1400.0 + 1e-9);
        // In the wheel arch no blowing up helps.
        let arch = std::iter::once([560.0, 60.0]);
        let plain = Outline::of(&size(), "front-wing-left", arch).expect("a place");
        assert_eq!(plain.shape, OutlineShape::Rectangle);
    }

    // Places are counted from the lower left corner, so nothing lies below 0.
    #[test]
    fn no_drawn_outline_reaches_below_the_corner_it_is_counted_from() {
        let places = [[30.0, 10.0], [600.0, 300.0], [60.0, 420.0]];
        for name in ["tailgate", "bonnet", "roof", "front-door-left"] {
            for size in [
                Size::Unknown,
                Size::FromClass(Area::new::<square_meter>(1.4)),
            ] {
                let found = Outline::of(&size, name, places.into_iter()).expect("places");
                assert!(
                    found.left_mm >= 0.0 && found.bottom_mm >= 0.0,
                    "{name}: {found:?}"
                );
                assert!(places.iter().all(|p| found.holds(*p)), "{name}: {found:?}");
            }
        }
    }

    #[test]
    fn a_given_triangle_is_measured_by_hand() {
        let corners = vec![[0.0, 0.0], [300.0, 0.0], [0.0, 400.0]];
        let found = Outline::of(&Size::Outline(corners), "roof", PLACES.into_iter());
        let found = found.expect("places");
        // The long side is 500 mm: 2 · 60 000 / 500 = 240 mm from the corner,
        // less 100·4/5 + 100·3/5 = 140 mm on the way to (100, 100).
        assert!((found.inside_by_mm([100.0, 100.0]) - 100.0).abs() < 1e-9);
        assert!(found.inside_by_mm([300.0, 400.0]) < 0.0 && !found.holds([300.0, 400.0]));
        assert!(found.holds([10.0, 10.0]));
    }
}
