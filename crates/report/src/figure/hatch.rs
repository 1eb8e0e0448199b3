//! Hatch and dots, drawn line by line inside an outline, so that a picture
//! needs no pattern and no clip.
//!
//! Law: parallel lines at 45 degrees, one each pitch measured across them, cut
//! by the even-odd rule; dots on a staggered grid.
//! Source: textbook plane geometry.
//! Holds: for closed outlines. Outside an outline nothing is drawn.
//! Left out: hatch at other angles.
//! Checked by: the total length of the lines against area over pitch.

use super::geometry::{Point, Rect, crossings};

/// The lines of a 45 degree hatch inside an outline.
pub(crate) fn lines(outline: &[Point], pitch_px: f64) -> Vec<(Point, Point)> {
    lines_in(std::slice::from_ref(&outline), pitch_px)
}

/// The same inside several outlines; one inside another is a hole.
pub(crate) fn lines_in<O: AsRef<[Point]>>(outlines: &[O], pitch_px: f64) -> Vec<(Point, Point)> {
    let turned: Vec<Vec<Point>> = outlines
        .iter()
        .map(|outline| outline.as_ref().iter().map(|p| turn(*p)).collect())
        .collect();
    let bounds = Rect::of(&turned.concat());
    let mut found = Vec::new();
    if pitch_px <= 0.0 || !bounds.height().is_finite() {
        return found;
    }
    let mut y = (bounds.top / pitch_px).ceil() * pitch_px;
    while y < bounds.bottom {
        let mut cuts: Vec<f64> = turned.iter().flat_map(|t| crossings(t, y)).collect();
        cuts.sort_by(f64::total_cmp);
        for pair in cuts.chunks_exact(2) {
            if pair[1] - pair[0] > 0.6 {
                found.push((back(pair[0], y), back(pair[1], y)));
            }
        }
        y += pitch_px;
    }
    found
}

/// Rows of dots inside an outline, `air_px` clear of its sides: each row from
/// its first dot to its end, the dots two pitches apart.
pub(crate) fn dot_rows(outline: &[Point], pitch_px: f64, air_px: f64) -> Vec<(Point, Point)> {
    let bounds = Rect::of(outline);
    let mut found = Vec::new();
    if pitch_px <= 0.0 || !bounds.height().is_finite() {
        return found;
    }
    let across = 2.0 * pitch_px;
    let mut row = (bounds.top / pitch_px).ceil();
    while row * pitch_px < bounds.bottom {
        let y = row * pitch_px;
        let shift = if row.rem_euclid(2.0) < 0.5 {
            0.0
        } else {
            pitch_px
        };
        for pair in crossings(outline, y).chunks_exact(2) {
            let first = ((pair[0] + air_px - shift) / across).ceil() * across + shift;
            let last = pair[1] - air_px;
            if first <= last {
                found.push((Point::new(first, y), Point::new(last.max(first + 0.2), y)));
            }
        }
        row += 1.0;
    }
    found
}

const HALF_ROOT: f64 = std::f64::consts::FRAC_1_SQRT_2;

fn turn(p: Point) -> Point {
    Point::new((p.x - p.y) * HALF_ROOT, (p.x + p.y) * HALF_ROOT)
}

fn back(x: f64, y: f64) -> Point {
    Point::new((x + y) * HALF_ROOT, (y - x) * HALF_ROOT)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(side: f64) -> Vec<Point> {
        [(0.0, 0.0), (side, 0.0), (side, side), (0.0, side)]
            .map(|(x, y)| Point::new(x, y))
            .to_vec()
    }

    #[test]
    fn hatch_covers_a_square_evenly() {
        // Lines one pitch apart have a total length of area over pitch.
        let total: f64 = lines(&square(200.0), 4.0)
            .iter()
            .map(|(a, b)| a.distance(*b))
            .sum();
        assert!(
            (total - 200.0 * 200.0 / 4.0).abs() / 10_000.0 < 0.01,
            "{total}"
        );
    }

    #[test]
    fn an_outline_inside_another_is_a_hole() {
        let hole: Vec<Point> = square(100.0)
            .iter()
            .map(|p| Point::new(p.x + 50.0, p.y + 50.0))
            .collect();
        let total: f64 = lines_in(&[square(200.0), hole], 4.0)
            .iter()
            .map(|(a, b)| a.distance(*b))
            .sum();
        assert!((total - 7500.0).abs() < 75.0, "{total}");
    }

    #[test]
    fn every_line_stays_inside() {
        let area = Rect::of(&square(50.0)).grown(1e-9);
        for (a, b) in lines(&square(50.0), 7.0) {
            assert!(area.holds(Rect::of(&[a, b])));
        }
    }

    #[test]
    fn dots_keep_clear_of_the_sides_and_stand_on_one_grid() {
        let inside = Rect {
            left: 3.0,
            top: 0.0,
            right: 47.3,
            bottom: 50.0,
        };
        let rows = dot_rows(&square(50.0), 4.0, 3.0);
        assert_eq!(rows.len(), 13);
        assert!(rows.iter().all(|(a, b)| inside.holds(Rect::of(&[*a, *b]))));
        assert!(rows.iter().all(|(a, _)| (a.x / 4.0).fract() < 1e-9));
    }

    #[test]
    fn nothing_to_hatch_gives_nothing() {
        assert!(lines(&[], 4.0).is_empty());
        assert!(dot_rows(&[], 4.0, 1.0).is_empty());
        assert!(lines(&square(10.0), 0.0).is_empty());
    }
}
