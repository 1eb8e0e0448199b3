//! Where a field of values reaches a level: closed lines around everything at
//! or above it.
//!
//! Law: marching squares with straight lines between nodes; a saddle is cut by
//! the mean of its four corners; lines are thinned by the Douglas-Peucker rule.
//! Source: Lorensen and Cline 1987, "Marching cubes", SIGGRAPH (the square
//! case; from memory); Douglas and Peucker 1973, Cartographica 10 (from
//! memory).
//! Holds: for finite values. The field ends at the border, so every line is
//! closed and runs along the border where the field reaches it.
//! A map of peaks may be calmed first: ripples of one or two cells, which the
//! steps of the reckoning leave, go; slopes and bends stay: F = 2S − S², S a
//! binomial mean taken twice each way, keeps every parabola exactly.
//! Left out: any other smoothing; a line has the corners of its data.
//! Checked by: the area inside a line around a cone and a plane, closed forms.

use crate::figure::geometry::{Point, Rect, signed_area};

/// Values at nodes, row by row, and where the columns and rows lie.
#[derive(Clone, Debug)]
pub(crate) struct Field {
    pub(crate) xs: Vec<f64>,
    pub(crate) ys: Vec<f64>,
    pub(crate) values: Vec<f64>,
}

impl Field {
    /// A field of cell values stretched to the borders of `area`, with a ring
    /// of nothing outside. Row 0 lies at the bottom.
    pub(crate) fn of_cells(cells: &[f64], columns: usize, rows: usize, area: Rect) -> Self {
        let inner = |i: usize, count: usize| i.saturating_sub(2).min(count - 1);
        let (wide, tall) = (columns + 4, rows + 4);
        let mut values = Vec::with_capacity(wide * tall);
        for j in 0..tall {
            for i in 0..wide {
                let is_rim = i == 0 || j == 0 || i == wide - 1 || j == tall - 1;
                let cell = cells[inner(j, rows) * columns + inner(i, columns)];
                values.push(if is_rim { f64::NEG_INFINITY } else { cell });
            }
        }
        let place = |i: usize, count: usize| share(i, count);
        Self {
            xs: (0..wide)
                .map(|i| area.left + area.width() * place(i, columns))
                .collect(),
            ys: (0..tall)
                .map(|j| area.bottom - area.height() * place(j, rows))
                .collect(),
            values,
        }
    }

    /// Closed lines around everything at or above `level`.
    pub(crate) fn lines(&self, level: f64) -> Vec<Vec<Point>> {
        let mut next = vec![usize::MAX; 2 * self.values.len()];
        for j in 0..self.ys.len() - 1 {
            for i in 0..self.xs.len() - 1 {
                for (from, to) in self.cuts(i, j, level) {
                    next[from] = to;
                }
            }
        }
        let mut lines = Vec::new();
        for start in 0..next.len() {
            let mut line = Vec::new();
            let mut at = start;
            while next[at] != usize::MAX {
                line.push(self.on_side(at, level));
                at = std::mem::replace(&mut next[at], usize::MAX);
            }
            if line.len() > 2 {
                lines.push(line);
            }
        }
        lines
    }

    /// The cuts through one square, from side to side, high ground on one hand.
    /// Sides are numbered: the side to the right of node n is 2n, the side
    /// above it 2n + 1.
    fn cuts(&self, i: usize, j: usize, level: f64) -> Vec<(usize, usize)> {
        let wide = self.xs.len();
        let corner = [
            j * wide + i,
            j * wide + i + 1,
            (j + 1) * wide + i + 1,
            (j + 1) * wide + i,
        ];
        let side = [
            2 * corner[0],
            2 * corner[1] + 1,
            2 * corner[3],
            2 * corner[0] + 1,
        ];
        let is_high = corner.map(|node| self.values[node] >= level);
        // Walking round the square: side k lies between corner k and k + 1.
        let falls: Vec<usize> = (0..4)
            .filter(|&k| is_high[k] && !is_high[(k + 1) % 4])
            .collect();
        let rises: Vec<usize> = (0..4)
            .filter(|&k| !is_high[k] && is_high[(k + 1) % 4])
            .collect();
        match falls.as_slice() {
            [] => Vec::new(),
            [fall] => vec![(side[*fall], side[rises[0]])],
            _ => {
                let mean = corner
                    .iter()
                    .map(|&n| self.values[n].max(-1e30))
                    .sum::<f64>()
                    / 4.0;
                let is_joined = mean >= level;
                let partner = |fall: usize| {
                    // Joined ground: cut off the low corner after the fall.
                    // Parted ground: cut off the high corner before it.
                    if is_joined {
                        (fall + 1) % 4
                    } else {
                        (fall + 3) % 4
                    }
                };
                falls
                    .iter()
                    .map(|&fall| (side[fall], side[partner(fall)]))
                    .collect()
            }
        }
    }

    fn on_side(&self, side: usize, level: f64) -> Point {
        let wide = self.xs.len();
        let from = side / 2;
        let to = if side.is_multiple_of(2) {
            from + 1
        } else {
            from + wide
        };
        let (a, b) = (self.values[from], self.values[to]);
        let share = if a.is_finite() && b.is_finite() && a != b {
            ((level - a) / (b - a)).clamp(0.0, 1.0)
        } else {
            0.5
        };
        self.node(from).toward(self.node(to), share)
    }

    fn node(&self, node: usize) -> Point {
        let wide = self.xs.len();
        Point::new(self.xs[node % wide], self.ys[node / wide])
    }
}

/// Cell values without the ripples from cell to cell.
pub(crate) fn calmed(cells: &[f64], columns: usize, rows: usize) -> Vec<f64> {
    let once = twice_meant(cells, columns, rows);
    let again = twice_meant(&once, columns, rows);
    once.iter()
        .zip(&again)
        .map(|(s, ss)| 2.0 * s - ss)
        .collect()
}

fn twice_meant(cells: &[f64], columns: usize, rows: usize) -> Vec<f64> {
    let along = |cells: &[f64]| meant(cells, columns, 1);
    let across = |cells: &[f64]| meant(cells, rows, columns);
    across(&across(&along(&along(cells))))
}

/// A quarter of both neighbours and half of itself, in lines of `count` cells
/// that lie `stride` apart. Beyond its end a line goes on straight, so the end
/// stays as it is.
fn meant(cells: &[f64], count: usize, stride: usize) -> Vec<f64> {
    let mean = |(index, own): (usize, &f64)| {
        let place = (index / stride) % count;
        if place == 0 || place + 1 == count {
            return *own;
        }
        0.5 * own + 0.25 * (cells[index - stride] + cells[index + stride])
    };
    cells.iter().enumerate().map(mean).collect()
}

/// A closed line with the points that matter less than `slack_px` left out;
/// empty when it encloses less than `least_px2`.
pub(crate) fn thinned(line: &[Point], slack_px: f64, least_px2: f64) -> Vec<Point> {
    if line.len() < 3 || signed_area(line).abs() < least_px2 {
        return Vec::new();
    }
    let far = (0..line.len())
        .max_by(|&a, &b| {
            line[0]
                .distance(line[a])
                .total_cmp(&line[0].distance(line[b]))
        })
        .unwrap_or(0);
    let mut closed = line.to_vec();
    closed.push(line[0]);
    let mut keep = vec![false; closed.len()];
    keep[0] = true;
    keep[far] = true;
    let mut open = vec![(0, far), (far, closed.len() - 1)];
    while let Some((from, to)) = open.pop() {
        let worst = (from + 1..to)
            .map(|k| (k, off_line(closed[from], closed[to], closed[k])))
            .max_by(|a, b| a.1.total_cmp(&b.1));
        if let Some((k, off)) = worst
            && off > slack_px
        {
            keep[k] = true;
            open.push((from, k));
            open.push((k, to));
        }
    }
    let kept = line.iter().zip(&keep).filter(|(_, keep)| **keep);
    kept.map(|(p, _)| *p).collect()
}

fn off_line(a: Point, b: Point, p: Point) -> f64 {
    let length = a.distance(b);
    if length < 1e-9 {
        return a.distance(p);
    }
    ((b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x)).abs() / length
}

/// Where column or row `i` of a field with its two rims lies: 0 to 1.
#[expect(
    clippy::cast_precision_loss,
    reason = "a map has a few hundred cells a side"
)]
fn share(i: usize, count: usize) -> f64 {
    if i <= 1 {
        0.0
    } else {
        ((i as f64 - 1.5) / count as f64).min(1.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SIDE: usize = 100;

    fn field(value: impl Fn(f64, f64) -> f64) -> Field {
        let at = |k: usize| f64::from(u32::try_from(k).expect("small")) + 0.5;
        let cells: Vec<f64> = (0..SIDE * SIDE)
            .map(|k| value(at(k % SIDE), at(k / SIDE)))
            .collect();
        let area = Rect {
            left: 0.0,
            top: 0.0,
            right: 100.0,
            bottom: 100.0,
        };
        Field::of_cells(&cells, SIDE, SIDE, area)
    }

    fn area_above(field: &Field, level: f64) -> f64 {
        field
            .lines(level)
            .iter()
            .map(|line| signed_area(line))
            .sum::<f64>()
            .abs()
    }

    #[test]
    fn a_cone_is_cut_in_a_circle() {
        let cone = field(|x, y| 50.0 - (x - 50.0).hypot(y - 50.0));
        let circle = std::f64::consts::PI * 30.0 * 30.0;
        let found = area_above(&cone, 20.0);
        assert!((found / circle - 1.0).abs() < 0.002, "{found} {circle}");
        assert_eq!(cone.lines(20.0).len(), 1);
    }

    #[test]
    fn calming_takes_ripples_and_keeps_slopes_and_domes() {
        let at = |k: usize| {
            let (x, y) = (k % 30, k / 30);
            let place = |i: usize| f64::from(u32::try_from(i).expect("small"));
            (place(x), place(y))
        };
        let dome = |k: usize| {
            let (x, y) = at(k);
            60.0 + 0.3 * x - 0.02 * (x - 14.0).powi(2) - 0.03 * (y - 9.0).powi(2)
        };
        let ripple = |k: usize| {
            if (k % 30 + k / 30).is_multiple_of(2) {
                0.4
            } else {
                -0.4
            }
        };
        let rough: Vec<f64> = (0..30 * 20).map(|k| dome(k) + ripple(k)).collect();
        let calm = calmed(&rough, 30, 20);
        for (k, value) in calm.iter().enumerate() {
            let (x, y) = at(k);
            if (5.0..25.0).contains(&x) && (5.0..15.0).contains(&y) {
                assert!((value - dome(k)).abs() < 1e-9, "{value} {}", dome(k));
            }
        }
    }

    #[test]
    fn a_ring_has_its_hole_taken_off() {
        let ring = field(|x, y| -((x - 50.0).hypot(y - 50.0) - 30.0).abs());
        let expected = std::f64::consts::PI * (35.0 * 35.0 - 25.0 * 25.0);
        assert!((area_above(&ring, -5.0) / expected - 1.0).abs() < 0.01);
        assert_eq!(ring.lines(-5.0).len(), 2);
    }

    #[test]
    fn a_slope_is_cut_straight_and_closes_along_the_border() {
        let slope = field(|x, _| x);
        assert!((area_above(&slope, 40.0) - 6000.0).abs() < 1e-6);
        assert!((area_above(&slope, -1.0) - 10_000.0).abs() < 1e-6);
        assert!(slope.lines(200.0).is_empty());
    }

    #[test]
    fn row_zero_lies_at_the_bottom() {
        let slope = field(|_, y| y);
        let above = slope.lines(50.0);
        let bounds = Rect::of(&above[0]);
        assert!(bounds.top < 0.1 && (bounds.bottom - 50.0).abs() < 0.1);
    }

    #[test]
    fn both_saddles_close_their_lines() {
        for turn in [1.0, -1.0] {
            let saddle = field(|x, y| turn * (x - 50.0) * (y - 50.0));
            let total: f64 = area_above(&saddle, 1e-9);
            assert!((total - 5000.0).abs() < 120.0, "{total}");
        }
        let checks = field(|x, y| ((x * 0.9).sin() * (y * 0.9).sin()).signum());
        let inside = Rect {
            left: -0.1,
            top: -0.1,
            right: 100.1,
            bottom: 100.1,
        };
        assert!(
            checks
                .lines(0.0)
                .iter()
                .all(|line| inside.holds(Rect::of(line)))
        );
    }

    #[test]
    fn thinning_keeps_the_shape_within_its_slack() {
        let cone = field(|x, y| 50.0 - (x - 50.0).hypot(y - 50.0));
        let line = &cone.lines(20.0)[0];
        let thin = thinned(line, 0.3, 4.0);
        assert!(
            thin.len() < line.len() / 4 && thin.len() > 8,
            "{}",
            thin.len()
        );
        let change = signed_area(&thin).abs() / signed_area(line).abs();
        assert!((change - 1.0).abs() < 0.02, "{change}");
        assert!(thinned(line, 0.3, 1e9).is_empty());
        assert!(thinned(&line[..2], 0.3, 0.0).is_empty());
    }
}
