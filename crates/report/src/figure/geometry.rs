//! Points, outlines and boxes on the page.
//!
//! Law: even-odd rule for "inside"; shoelace formula for area and centroid.
//! Source: textbook plane geometry.
//! Holds: for closed outlines without self-crossing. Fewer than three points
//! enclose nothing.
//! Left out: curves; outlines are drawn with enough points to look round.
//! Checked by: a unit square and a triangle worked by hand.

/// A place on the page, px: x to the right, y downward.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Point {
    pub(crate) x: f64,
    pub(crate) y: f64,
}

impl Point {
    pub(crate) const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    pub(crate) fn distance(self, other: Self) -> f64 {
        (self.x - other.x).hypot(self.y - other.y)
    }

    pub(crate) fn toward(self, other: Self, share_frac: f64) -> Self {
        Self::new(
            self.x + (other.x - self.x) * share_frac,
            self.y + (other.y - self.y) * share_frac,
        )
    }
}

/// An upright rectangle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Rect {
    pub(crate) left: f64,
    pub(crate) top: f64,
    pub(crate) right: f64,
    pub(crate) bottom: f64,
}

impl Rect {
    pub(crate) fn around(centre: Point, width: f64, height: f64) -> Self {
        Self {
            left: centre.x - width / 2.0,
            top: centre.y - height / 2.0,
            right: centre.x + width / 2.0,
            bottom: centre.y + height / 2.0,
        }
    }

    pub(crate) fn of(points: &[Point]) -> Self {
        let start = Self {
            left: f64::INFINITY,
            top: f64::INFINITY,
            right: f64::NEG_INFINITY,
            bottom: f64::NEG_INFINITY,
        };
        points.iter().fold(start, |r, p| Self {
            left: r.left.min(p.x),
            top: r.top.min(p.y),
            right: r.right.max(p.x),
            bottom: r.bottom.max(p.y),
        })
    }

    pub(crate) fn grown(self, by: f64) -> Self {
        Self {
            left: self.left - by,
            top: self.top - by,
            right: self.right + by,
            bottom: self.bottom + by,
        }
    }

    pub(crate) fn moved(self, dx: f64, dy: f64) -> Self {
        Self {
            left: self.left + dx,
            top: self.top + dy,
            right: self.right + dx,
            bottom: self.bottom + dy,
        }
    }

    pub(crate) fn overlaps(self, other: Self) -> bool {
        self.left < other.right
            && other.left < self.right
            && self.top < other.bottom
            && other.top < self.bottom
    }

    /// The distance between two boxes; 0 when they touch.
    pub(crate) fn gap(self, other: Self) -> f64 {
        let dx = (other.left - self.right)
            .max(self.left - other.right)
            .max(0.0);
        let dy = (other.top - self.bottom)
            .max(self.top - other.bottom)
            .max(0.0);
        dx.hypot(dy)
    }

    pub(crate) fn holds(self, other: Self) -> bool {
        self.left <= other.left
            && self.top <= other.top
            && self.right >= other.right
            && self.bottom >= other.bottom
    }

    pub(crate) fn nearest(self, to: Point) -> Point {
        Point::new(
            to.x.clamp(self.left, self.right),
            to.y.clamp(self.top, self.bottom),
        )
    }

    pub(crate) fn width(self) -> f64 {
        self.right - self.left
    }

    pub(crate) fn height(self) -> f64 {
        self.bottom - self.top
    }
}

/// The sides of a closed outline.
pub(crate) fn sides(outline: &[Point]) -> impl Iterator<Item = (Point, Point)> + '_ {
    let next = outline.iter().cycle().skip(1);
    outline.iter().copied().zip(next.copied())
}

/// Twice-halved shoelace: positive when the outline runs clockwise on the page.
pub(crate) fn signed_area(outline: &[Point]) -> f64 {
    sides(outline)
        .map(|(a, b)| a.x * b.y - b.x * a.y)
        .sum::<f64>()
        / 2.0
}

/// The centre of mass of a closed outline; its first point when it has no area.
pub(crate) fn centroid(outline: &[Point]) -> Point {
    let area = signed_area(outline);
    let first = outline.first().copied().unwrap_or(Point::new(0.0, 0.0));
    if area.abs() < 1e-9 {
        return first;
    }
    let (mut x, mut y) = (0.0, 0.0);
    for (a, b) in sides(outline) {
        let cross = a.x * b.y - b.x * a.y;
        x += (a.x + b.x) * cross;
        y += (a.y + b.y) * cross;
    }
    Point::new(x / (6.0 * area), y / (6.0 * area))
}

/// Where the horizontal line at `y` enters and leaves an outline, in order.
pub(crate) fn crossings(outline: &[Point], y: f64) -> Vec<f64> {
    let mut xs: Vec<f64> = sides(outline)
        .filter(|(a, b)| (a.y <= y) != (b.y <= y))
        .map(|(a, b)| a.x + (b.x - a.x) * (y - a.y) / (b.y - a.y))
        .collect();
    xs.sort_by(f64::total_cmp);
    xs
}

/// The place on an outline nearest to a point.
pub(crate) fn nearest_on(outline: &[Point], to: Point) -> Point {
    let mut best = (f64::INFINITY, to);
    for (a, b) in sides(outline) {
        let place = nearest_on_side(a, b, to);
        let (dx, dy) = (place.x - to.x, place.y - to.y);
        let squared = dx * dx + dy * dy;
        if squared < best.0 {
            best = (squared, place);
        }
    }
    best.1
}

fn nearest_on_side(a: Point, b: Point, to: Point) -> Point {
    let (dx, dy) = (b.x - a.x, b.y - a.y);
    let length = dx * dx + dy * dy;
    if length < 1e-12 {
        return a;
    }
    let share = ((to.x - a.x) * dx + (to.y - a.y) * dy) / length;
    a.toward(b, share.clamp(0.0, 1.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square() -> Vec<Point> {
        [(0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0)]
            .map(|(x, y)| Point::new(x, y))
            .to_vec()
    }

    #[test]
    fn a_square_has_its_area_and_centre() {
        assert!((signed_area(&square()) - 4.0).abs() < 1e-12);
        assert!(centroid(&square()).distance(Point::new(1.0, 1.0)) < 1e-12);
    }

    #[test]
    fn a_line_through_a_square_enters_and_leaves() {
        assert_eq!(crossings(&square(), 0.5), [0.0, 2.0]);
        assert!(crossings(&square(), 3.0).is_empty());
    }

    #[test]
    fn the_nearest_place_on_a_square_is_on_its_side() {
        let place = nearest_on(&square(), Point::new(5.0, 1.0));
        assert!(place.distance(Point::new(2.0, 1.0)) < 1e-12);
    }

    #[test]
    fn boxes_that_touch_do_not_overlap() {
        let a = Rect::around(Point::new(0.0, 0.0), 2.0, 2.0);
        let b = Rect::around(Point::new(2.0, 0.0), 2.0, 2.0);
        assert!(!a.overlaps(b));
        assert!(a.grown(0.1).overlaps(b));
        assert!(a.grown(1.0).holds(a));
        let far = a.moved(5.0, 6.0);
        assert!((a.gap(far) - 5.0).abs() < 1e-12 && a.gap(b) < 1e-12);
    }

    #[test]
    fn nothing_has_no_area() {
        assert!(signed_area(&[]).abs() < 1e-12);
        assert_eq!(centroid(&[]), Point::new(0.0, 0.0));
    }
}
