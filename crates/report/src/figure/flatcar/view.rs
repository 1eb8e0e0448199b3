//! From metres on the unfolded car to px on the page, nose left or nose up.
//!
//! Law: one scale both ways; upright, the car turns a quarter so that its left
//! flank stays on the left.
//! Source: ours.
//! Holds: for any car with length and width.
//! Left out: perspective.
//! Checked by: the left flank lies at the bottom, or on the left when upright.

use super::outline::{Outline, Ring, Shape};
use crate::figure::geometry::Point;

/// Air around the car, px.
const MARGIN_PX: f64 = 6.0;

/// From metres on the unfolded car to px on the page.
pub(super) struct View {
    is_portrait: bool,
    px_per_m: f64,
    nose: f64,
    half: f64,
    pub(super) height: f64,
}

impl View {
    pub(super) fn new(car: &Outline, is_portrait: bool, width: f64) -> Self {
        let (length, across) = (car.tail - car.nose, 2.0 * car.half);
        let wide = if is_portrait { across } else { length };
        let px_per_m = (width - 2.0 * MARGIN_PX) / wide;
        let tall = if is_portrait { length } else { across };
        Self {
            is_portrait,
            px_per_m,
            nose: car.nose,
            half: car.half,
            height: tall * px_per_m + 2.0 * MARGIN_PX,
        }
    }

    fn put(&self, p: Point) -> Point {
        let along = (p.x - self.nose) * self.px_per_m + MARGIN_PX;
        if self.is_portrait {
            Point::new((self.half - p.y) * self.px_per_m + MARGIN_PX, along)
        } else {
            Point::new(along, (self.half + p.y) * self.px_per_m + MARGIN_PX)
        }
    }

    pub(super) fn shape(&self, shape: &Shape) -> Shape {
        Shape {
            points: shape.points.iter().map(|p| self.put(*p)).collect(),
            ..shape.clone()
        }
    }

    pub(super) fn ring(&self, ring: &Ring) -> (Point, f64, f64) {
        let (along, across) = (ring.along * self.px_per_m, ring.across * self.px_per_m);
        let centre = self.put(ring.centre);
        if self.is_portrait {
            (centre, across, along)
        } else {
            (centre, along, across)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::figure::flatcar::BodyClass;
    use crate::figure::flatcar::outline::outline;

    #[test]
    fn the_left_flank_lies_at_the_bottom_or_on_the_left() {
        let car = outline(BodyClass::Estate, None);
        let (nose_left, tail_right) = (Point::new(0.0, 1.0), Point::new(4.0, -1.0));
        let level = View::new(&car, false, 700.0);
        assert!(level.put(nose_left).y > level.put(tail_right).y);
        assert!(level.put(nose_left).x < level.put(tail_right).x);
        let upright = View::new(&car, true, 358.0);
        assert!(upright.put(nose_left).x < upright.put(tail_right).x);
        assert!(upright.put(nose_left).y < upright.put(tail_right).y);
    }
}
