//! Where a panel ends: the rectangle of its measured size, or one around the
//! readings.
//!
//! Law: none; plane geometry in mm.
//! Source: a gauge needs about 20 mm to the edge (common practice), so a panel
//! reaches at least that far beyond its outermost reading.
//! Holds: with a measured size the lower left corner is u = 0, v = 0. With an
//! area alone the rectangle around the readings is widened evenly to that
//! area, at most 300 mm a side.
//! Left out: rounded corners, wheel arches, lamps.
//! Checked by: the unit tests below.

use lapwing_measure::quantity::{Area, Length};
use serde::Serialize;
use uom::si::area::square_millimeter;
use uom::si::length::millimeter;

use super::EDGE_MM;
use crate::intake::Intake;
use crate::record::job::Job;
use crate::record::panel_names;

/// Farthest an outline is widened to reach an area, mm.
const MOST_WIDER_MM: f64 = 300.0;

/// What is known of a panel's size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Size {
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
                Some((u, v)) => Size::Measured(u, v),
                None => Size::FromClass(area.value),
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

/// A rectangle on the panel, mm.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Outline {
    /// Least u.
    pub left_mm: f64,
    /// Least v.
    pub bottom_mm: f64,
    /// Greatest u.
    pub right_mm: f64,
    /// Greatest v.
    pub top_mm: f64,
    /// Where it comes from.
    pub origin: OutlineOrigin,
}

impl Outline {
    /// The outline for a size and the places read; `None` without places.
    pub(super) fn of(
        size: Size,
        name: &str,
        places: impl Iterator<Item = [f64; 2]>,
    ) -> Option<Self> {
        let around = places.fold(None, |known: Option<[f64; 4]>, [u, v]| {
            let [a, b, c, d] = known.unwrap_or([u, v, u, v]);
            Some([a.min(u), b.min(v), c.max(u), d.max(v)])
        })?;
        let widened = |by: f64, origin: OutlineOrigin| Self {
            left_mm: around[0] - by,
            bottom_mm: around[1] - by,
            right_mm: around[2] + by,
            top_mm: around[3] + by,
            origin,
        };
        Some(match size {
            Size::Measured(u, v) => Self {
                left_mm: 0.0,
                bottom_mm: 0.0,
                right_mm: u.get::<millimeter>(),
                top_mm: v.get::<millimeter>(),
                origin: OutlineOrigin::Measured,
            },
            Size::FromClass(area) if !is_one_of_several_faces(name) => {
                let by = wider_mm(
                    [around[2] - around[0], around[3] - around[1]],
                    area.get::<square_millimeter>(),
                );
                widened(by, OutlineOrigin::UsualArea)
            }
            Size::FromClass(_) | Size::Unknown => widened(EDGE_MM, OutlineOrigin::AroundReadings),
        })
    }

    /// Width and height, mm.
    #[must_use]
    pub fn size_mm(&self) -> [f64; 2] {
        [self.right_mm - self.left_mm, self.top_mm - self.bottom_mm]
    }

    /// Whether a place is on the panel.
    #[must_use]
    pub fn holds(&self, [u, v]: [f64; 2]) -> bool {
        (self.left_mm..=self.right_mm).contains(&u) && (self.bottom_mm..=self.top_mm).contains(&v)
    }

    /// How far a place is from the nearest edge, mm; negative off the panel.
    #[must_use]
    pub fn inside_by_mm(&self, [u, v]: [f64; 2]) -> f64 {
        [
            u - self.left_mm,
            self.right_mm - u,
            v - self.bottom_mm,
            self.top_mm - v,
        ]
        .into_iter()
        .fold(f64::INFINITY, f64::min)
    }
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
        Outline::of(size, "roof", PLACES.into_iter()).expect("places")
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
        assert!(Outline::of(Size::Unknown, "roof", std::iter::empty()).is_none());
    }
}
