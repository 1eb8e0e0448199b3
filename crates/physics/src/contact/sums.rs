//! Force, moments and area under a pad, to nine digits.
//!
//! Law: ∫u dA, ∫u·x dA, ∫u·y dA and the area moments over the part of the face
//! that lies on the panel and is pressed (u > 0, in metres). Along a row u is
//! quadratic between the roundings of creases, so its zeros and sums there are
//! closed forms; on a rounding they are found by bisection and Gauss's rule.
//! Across the rows the sum is adaptive, cut wherever rim, hole, edges, roundings
//! and straight lift-off lines meet, with y = m + h·sin φ so that round ends are
//! met smoothly.
//! Source: `AbramowitzStegun1964`, 25.4.29; Kronrod's 15 points (Piessens et
//! al., QUADPACK, 1983, MEMORY).
//! Holds: for every surface of `surface`.
//! Left out: nothing.
//! Checked by: segments and half discs in closed form, polynomials for the
//! rule, and the force of creases by brute force, in the tests of the parent.

use std::f64::consts::FRAC_PI_2;
use std::sync::LazyLock;

use super::balance::Seat;
use super::shape::{Line, Shape};
use crate::gauss;

/// ∫u, ∫u·x, ∫u·y, then ∫1, ∫x, ∫y, ∫x², ∫x·y, ∫y² over the pressed part.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Sums(pub(crate) [f64; 9]);

/// Sums along a row: ∫u, ∫u·x, ∫1, ∫x, ∫x².
type Row = [f64; 5];

/// A ring-shaped face over a panel.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Face<'a> {
    pub(crate) radius_m: f64,
    pub(crate) hole_m: f64,
    pub(crate) shape: &'a Shape,
}

/// Share of the whole by which a stretch may be off.
const FINE_FRAC: f64 = 2e-9;
/// How often a stretch may be halved.
const HALVINGS: u32 = 24;

/// Points on a rounding.
static ROUNDING: LazyLock<Vec<(f64, f64)>> = LazyLock::new(|| gauss::nodes(12));

impl Face<'_> {
    /// Sums over what a backing at `seat` presses; `about_m3` says how much ∫u
    /// is to be, for the error.
    pub(crate) fn pressed(&self, seat: &Seat, about_m3: f64) -> Sums {
        self.sums(Some(seat), about_m3)
    }

    /// Area of the face over the panel.
    pub(crate) fn area_m2(&self) -> f64 {
        self.sums(None, self.radius_m * self.radius_m).0[3]
    }

    fn sums(&self, seat: Option<&Seat>, about_m3: f64) -> Sums {
        let stops = self.stops(seat);
        let mut sums = [0.0; 9];
        let allowed = FINE_FRAC * about_m3.abs();
        for pair in stops.windows(2) {
            let stretch = Stretch {
                middle_m: 0.5 * (pair[0] + pair[1]),
                half_m: 0.5 * (pair[1] - pair[0]),
            };
            let ends = (-FRAC_PI_2, FRAC_PI_2);
            let part = self.between(seat, stretch, ends, (allowed, HALVINGS));
            sums.iter_mut().zip(part).for_each(|(sum, p)| *sum += p);
        }
        Sums(sums)
    }

    fn between(
        &self,
        seat: Option<&Seat>,
        stretch: Stretch,
        (from, to): (f64, f64),
        (allowed, halvings): (f64, u32),
    ) -> [f64; 9] {
        let (middle, half) = (0.5 * (from + to), 0.5 * (to - from));
        let (mut fine, mut rough) = ([0.0; 9], [0.0; 3]);
        for (index, (node, weight)) in KRONROD.iter().enumerate() {
            let sides: &[f64] = if *node == 0.0 { &[0.0] } else { &[-1.0, 1.0] };
            for side in sides {
                let (sine, cosine) = (middle + half * side * node).sin_cos();
                let y_m = stretch.middle_m + stretch.half_m * sine;
                let per_rad = half * stretch.half_m * cosine;
                let terms = with_height(self.row(seat, y_m), y_m);
                for (sum, term) in fine.iter_mut().zip(terms) {
                    *sum += weight * per_rad * term;
                }
                if index % 2 == 1 {
                    for (sum, term) in rough.iter_mut().zip(terms) {
                        *sum += GAUSS[index / 2] * per_rad * term;
                    }
                }
            }
        }
        let lever = [1.0, self.radius_m, self.radius_m];
        let off = (0..3).map(|i| (fine[i] - rough[i]).abs() / lever[i]);
        if halvings == 0 || off.fold(0.0, f64::max) <= allowed {
            return fine;
        }
        let rest = (allowed, halvings - 1);
        let mut sums = self.between(seat, stretch, (from, middle), rest);
        let upper = self.between(seat, stretch, (middle, to), rest);
        sums.iter_mut().zip(upper).for_each(|(sum, u)| *sum += u);
        sums
    }

    fn row(&self, seat: Option<&Seat>, y_m: f64) -> Row {
        let half_m = (self.radius_m * self.radius_m - y_m * y_m).max(0.0).sqrt();
        let inner_m = (self.hole_m * self.hole_m - y_m * y_m).max(0.0).sqrt();
        let stretches = [(-half_m, -inner_m), (inner_m, half_m)];
        let mut sums = [0.0; 5];
        for (from_m, to_m) in stretches {
            let (from_m, to_m) = self.shape.row_on_panel(y_m, from_m, to_m);
            if to_m <= from_m {
                continue;
            }
            let mut cuts = [to_m; 6];
            cuts[0] = from_m;
            let mut count = 1;
            let sloping = self.shape.ridges.iter().filter(|r| !r.crest.is_level());
            for line in sloping.flat_map(|ridge| ridge.ends()) {
                let x_m = (line.offset_m - line.normal.1 * y_m) / line.normal.0;
                if x_m > from_m && x_m < to_m && count < 5 {
                    cuts[count] = x_m;
                    count += 1;
                }
            }
            cuts[..count].sort_by(f64::total_cmp);
            for pair in cuts[..=count].windows(2) {
                self.piece(seat, y_m, (pair[0], pair[1]), &mut sums);
            }
        }
        sums
    }

    /// A piece of a row between two roundings, or on one.
    fn piece(&self, seat: Option<&Seat>, y_m: f64, (from_m, to_m): (f64, f64), sums: &mut Row) {
        let (middle_m, half_m) = (0.5 * (from_m + to_m), 0.5 * (to_m - from_m));
        let Some(seat) = seat else {
            return add(sums, middle_m, (-half_m, half_m), [1.0, 0.0, 0.0]);
        };
        let pressed = |x_m: f64| seat.at(x_m, y_m) - self.shape.gap_m(x_m, y_m);
        let is_round = self.shape.ridges.iter().any(|ridge| {
            !ridge.crest.is_level() && ridge.beside_m(middle_m, y_m).abs() < ridge.arc_m
        });
        if is_round {
            let slope = |x_m: f64| seat.slope_x - self.shape.slope_along_x(x_m, y_m);
            return on_rounding((from_m, to_m), pressed, slope, sums);
        }
        let curve = [
            pressed(middle_m),
            (pressed(to_m) - pressed(from_m)) / (2.0 * half_m),
            -self.shape.bulge_1_m.0,
        ];
        let mut cuts = [-half_m, half_m, half_m, half_m];
        let mut count = 1;
        for root in roots(curve) {
            if root > -half_m && root < half_m {
                cuts[count] = root;
                count += 1;
            }
        }
        cuts[..count].sort_by(f64::total_cmp);
        for pair in cuts[..=count].windows(2) {
            let between = 0.5 * (pair[0] + pair[1]);
            if curve[0] + between * (curve[1] + between * curve[2]) > 0.0 {
                add(sums, middle_m, (pair[0], pair[1]), curve);
            }
        }
    }

    /// Heights at which the sums along the rows bend.
    fn stops(&self, seat: Option<&Seat>) -> Vec<f64> {
        let mut lines: Vec<Line> = self.shape.edges.clone();
        lines.extend(self.shape.ridges.iter().flat_map(|ridge| ridge.ends()));
        lines.extend(seat.into_iter().flat_map(|s| self.lift_off_lines(s)));
        let radii = [self.radius_m, self.hole_m];
        let mut stops = vec![-self.radius_m, self.radius_m, self.hole_m, -self.hole_m];
        for (index, line) in lines.iter().enumerate() {
            if line.is_level() {
                stops.push(line.offset_m / line.normal.1);
            }
            for radius_m in radii {
                let left = radius_m * radius_m - line.offset_m * line.offset_m;
                if left > 0.0 {
                    let foot_m = line.offset_m * line.normal.1;
                    let aside_m = left.sqrt() * line.normal.0;
                    stops.extend([foot_m - aside_m, foot_m + aside_m]);
                }
            }
            for other in &lines[..index] {
                let turn = line.normal.0 * other.normal.1 - line.normal.1 * other.normal.0;
                if turn.abs() > 1e-9 {
                    let y_m = line.normal.0 * other.offset_m - other.normal.0 * line.offset_m;
                    stops.push(y_m / turn);
                }
            }
        }
        let (low_m, high_m) = self.shape.rows_on_panel();
        let (low_m, high_m) = (low_m.max(-self.radius_m), high_m.min(self.radius_m));
        stops.retain(|y_m| *y_m > low_m && *y_m < high_m);
        stops.extend([low_m, high_m]);
        stops.sort_by(f64::total_cmp);
        stops.dedup_by(|b, a| *b - *a < 1e-9 * self.radius_m);
        stops
    }

    /// Lines along which a flat or a flank is left, where nothing is curved.
    fn lift_off_lines(&self, seat: &Seat) -> Vec<Line> {
        if self.shape.bulge_1_m != (0.0, 0.0) {
            return Vec::new();
        }
        let ridges = &self.shape.ridges;
        (0..1_u32 << ridges.len())
            .filter_map(|sides| {
                let (mut slope, mut depth_m) = ((seat.slope_x, seat.slope_y), seat.depth_m);
                for (at, ridge) in ridges.iter().enumerate() {
                    let side = if sides >> at & 1 == 1 { 1.0 } else { -1.0 };
                    let (fall, drop_m) = ridge.flank(side);
                    slope.0 -= fall * ridge.crest.normal.0;
                    slope.1 -= fall * ridge.crest.normal.1;
                    depth_m += fall * ridge.crest.offset_m - drop_m;
                }
                let steep = slope.0.hypot(slope.1);
                (steep > 1e-12).then(|| Line {
                    normal: (slope.0 / steep, slope.1 / steep),
                    offset_m: -depth_m / steep,
                })
            })
            .collect()
    }
}

/// Part of the rows, y = middle + half·sin φ.
#[derive(Clone, Copy)]
struct Stretch {
    middle_m: f64,
    half_m: f64,
}

fn with_height([u, ux, one, x, xx]: Row, y_m: f64) -> [f64; 9] {
    [
        u,
        ux,
        u * y_m,
        one,
        x,
        one * y_m,
        xx,
        x * y_m,
        one * y_m * y_m,
    ]
}

/// Adds the closed form of a + b·t + c·t² from t₀ to t₁, x = middle + t.
fn add(sums: &mut Row, middle_m: f64, (from, to): (f64, f64), [a, b, c]: [f64; 3]) {
    let powers = |t: f64| [t, t * t / 2.0, t * t * t / 3.0, t.powi(4) / 4.0];
    let (low, high) = (powers(from), powers(to));
    let [p0, p1, p2, p3] = [0, 1, 2, 3].map(|i| high[i] - low[i]);
    let pressed = a * p0 + b * p1 + c * p2;
    sums[0] += pressed;
    sums[1] += middle_m * pressed + a * p1 + b * p2 + c * p3;
    sums[2] += p0;
    sums[3] += middle_m * p0 + p1;
    sums[4] += middle_m * middle_m * p0 + 2.0 * middle_m * p1 + p2;
}

/// Real zeros of a + b·t + c·t².
fn roots([a, b, c]: [f64; 3]) -> impl Iterator<Item = f64> {
    let rest = b * b - 4.0 * a * c;
    let pair = if c == 0.0 {
        [-a / b, f64::NAN]
    } else {
        let q = -0.5 * (b + rest.sqrt().copysign(b));
        [q / c, a / q]
    };
    pair.into_iter().filter(|root| root.is_finite())
}

/// On a rounding: cut where the bed is pressed most and where it lifts off.
fn on_rounding(
    (from_m, to_m): (f64, f64),
    pressed: impl Fn(f64) -> f64,
    slope: impl Fn(f64) -> f64,
    sums: &mut Row,
) {
    let top_m = crossing((from_m, to_m), &slope).unwrap_or(to_m);
    for part in [(from_m, top_m), (top_m, to_m)] {
        if part.1 <= part.0 {
            continue;
        }
        let (is_pressed_first, is_pressed_last) = (pressed(part.0) > 0.0, pressed(part.1) > 0.0);
        let (from_m, to_m) = match (is_pressed_first, is_pressed_last) {
            (false, false) => continue,
            (true, true) => part,
            (first, _) => {
                let edge_m = crossing(part, &pressed).unwrap_or(part.1);
                if first {
                    (part.0, edge_m)
                } else {
                    (edge_m, part.1)
                }
            }
        };
        for (x_m, width_m) in gauss::on(&ROUNDING, from_m, to_m) {
            let u = pressed(x_m);
            for (sum, term) in sums.iter_mut().zip([u, u * x_m, 1.0, x_m, x_m * x_m]) {
                *sum += width_m * term;
            }
        }
    }
}

/// Where a curve that changes its sign once does so.
fn crossing((from_m, to_m): (f64, f64), curve: impl Fn(f64) -> f64) -> Option<f64> {
    let first = curve(from_m) > 0.0;
    if first == (curve(to_m) > 0.0) {
        return None;
    }
    let (mut low_m, mut high_m) = (from_m, to_m);
    for _ in 0..50 {
        let middle_m = 0.5 * (low_m + high_m);
        if (curve(middle_m) > 0.0) == first {
            low_m = middle_m;
        } else {
            high_m = middle_m;
        }
    }
    Some(0.5 * (low_m + high_m))
}

/// Kronrod's points and weights, the outermost first; every second one is
/// Gauss's.
const KRONROD: [(f64, f64); 8] = [
    (0.991_455_371_120_812_6, 0.022_935_322_010_529_224),
    (0.949_107_912_342_758_5, 0.063_092_092_629_978_55),
    (0.864_864_423_359_769_1, 0.104_790_010_322_250_19),
    (0.741_531_185_599_394_4, 0.140_653_259_715_525_92),
    (0.586_087_235_467_691_1, 0.169_004_726_639_267_9),
    (0.405_845_151_377_397_2, 0.190_350_578_064_785_4),
    (0.207_784_955_007_898_47, 0.204_432_940_075_298_89),
    (0.0, 0.209_482_141_084_727_82),
];
/// Gauss's weights of the same.
const GAUSS: [f64; 4] = [
    0.129_484_966_168_869_7,
    0.279_705_391_489_276_64,
    0.381_830_050_505_118_9,
    0.417_959_183_673_469_4,
];

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    #[test]
    fn both_rules_sum_even_polynomials_of_their_degree() {
        let sum = |weight: &dyn Fn(usize) -> f64, power: i32| -> f64 {
            let both = |node: f64| if node == 0.0 { 1.0 } else { 2.0 };
            KRONROD
                .iter()
                .enumerate()
                .map(|(i, (node, _))| weight(i) * both(*node) * node.powi(power))
                .sum()
        };
        let kronrod = |i: usize| KRONROD[i].1;
        let gauss = |i: usize| if i % 2 == 1 { GAUSS[i / 2] } else { 0.0 };
        for power in [0, 8, 22] {
            let exact = 2.0 / f64::from(power + 1);
            assert!(
                (sum(&kronrod, power) / exact - 1.0).abs() < 1e-13,
                "{power}"
            );
        }
        assert!((sum(&gauss, 12) / (2.0 / 13.0) - 1.0).abs() < 1e-13);
    }

    #[test]
    fn a_segment_and_a_ring_meet_their_closed_forms() {
        // u = x − c over a disc of 1: S − c·A of `disc`, any way it leans.
        let flat = Shape::default();
        let face = Face {
            radius_m: 1.0,
            hole_m: 0.0,
            shape: &flat,
        };
        let beta = 0.9_f64;
        let (sine, c) = beta.sin_cos();
        let (area, moment) = (beta - sine * c, 2.0 / 3.0 * sine.powi(3));
        for lean in [0.0_f64, 0.7, FRAC_PI_2, 2.0] {
            let seat = Seat {
                depth_m: -c,
                slope_x: lean.cos(),
                slope_y: lean.sin(),
            };
            let Sums(sums) = face.pressed(&seat, 0.1);
            assert!(
                (sums[0] / (moment - c * area) - 1.0).abs() < 1e-10,
                "{lean}"
            );
            assert!((sums[3] / area - 1.0).abs() < 1e-10, "{lean}");
        }
        let ring = Face {
            hole_m: 0.4,
            ..face
        };
        assert!((ring.area_m2() / (PI * 0.84) - 1.0).abs() < 1e-11);
    }
}
