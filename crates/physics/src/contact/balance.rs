//! Finds how deep and how tilted a rigid backing must sit so that the bed's
//! pressure carries the force where the hand puts it.
//!
//! Law: the bed is pressed by u = d + θx·x + θy·y − g(x, y), it answers with
//! p = K·u where u > 0 and nothing elsewhere, K = E/t in Pa/m. Depth d and
//! tilts θ follow from ∫p dA = F, ∫p·x dA = Mx, ∫p·y dA = My. They make the
//! stored work ½K∫u²dA − F·d − Mx·θx − My·θy least, which is convex, so
//! Newton's method with halved steps always finds them when they exist: first
//! on points of the face, then on its exact sums (`sums`).
//! Source: Winkler bed (textbook, MEMORY).
//! Holds: wherever the force acts inside the hull of the touching parts.
//! Outside: refused, the pad tips.
//! Left out: shear of the bed and the pad's own bending.
//! Checked by: force and moment returned to 1e-6, and the closed form of the
//! leaning disc (in the parent module's tests).

use std::f64::consts::FRAC_PI_2;

use super::shape::Shape;
use super::sums::{Face, Sums};
use crate::error::PhysicsError;
use crate::gauss;

/// Rows a band and points a stretch (Gauss–Legendre both ways) for what is only
/// summed over points.
pub(crate) const FINE: usize = 80;
/// The same where the sum is a first guess.
pub(crate) const COARSE: usize = 24;

/// How the rigid backing sits: depth at the pad centre and slopes.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Seat {
    pub(crate) depth_m: f64,
    pub(crate) slope_x: f64,
    pub(crate) slope_y: f64,
}

impl Seat {
    pub(crate) fn at(&self, x_m: f64, y_m: f64) -> f64 {
        self.depth_m + self.slope_x * x_m + self.slope_y * y_m
    }

    /// Moved by a depth and two slopes times the reach.
    fn moved(&self, step: [f64; 3], reach_m: f64) -> Self {
        Self {
            depth_m: self.depth_m + step[0],
            slope_x: self.slope_x + step[1] / reach_m,
            slope_y: self.slope_y + step[2] / reach_m,
        }
    }
}

/// A point of the face over the panel with the area it stands for.
#[derive(Clone, Copy, Debug)]
pub(crate) struct FacePoint {
    pub(crate) x_m: f64,
    pub(crate) y_m: f64,
    pub(crate) area_m2: f64,
    pub(crate) gap_m: f64,
}

/// What the bed has to carry.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Load {
    pub(crate) force_n: f64,
    pub(crate) moment_x_nm: f64,
    pub(crate) moment_y_nm: f64,
}

/// The part of a ring-shaped face that lies over the panel. Rows are spaced as
/// the sine of an angle, beside the hole and along it, so that the round ends
/// of face and hole are met smoothly. Edges that run along the rows bound them.
pub(crate) fn face_points(
    (radius_m, hole_m): (f64, f64),
    shape: &Shape,
    density: usize,
) -> Vec<FacePoint> {
    let mut points = Vec::with_capacity(6 * density * density);
    let rule = gauss::nodes(density);
    let (low_m, high_m) = shape.rows_on_panel();
    let hole_rad = (hole_m / radius_m).asin();
    let bands = [
        (radius_m, -FRAC_PI_2, -hole_rad),
        (hole_m, -FRAC_PI_2, FRAC_PI_2),
        (radius_m, hole_rad, FRAC_PI_2),
    ];
    for (scale_m, from_rad, to_rad) in bands.into_iter().filter(|(scale_m, ..)| *scale_m > 0.0) {
        let angle_at = |y_m: f64| (y_m / scale_m).clamp(-1.0, 1.0).asin();
        let (from_rad, to_rad) = (from_rad.max(angle_at(low_m)), to_rad.min(angle_at(high_m)));
        if to_rad <= from_rad {
            continue;
        }
        for (angle, weight_rad) in gauss::on(&rule, from_rad, to_rad) {
            let y_m = scale_m * angle.sin();
            let row_m = scale_m * angle.cos() * weight_rad;
            let half_m = (radius_m * radius_m - y_m * y_m).max(0.0).sqrt();
            let inner_m = (hole_m * hole_m - y_m * y_m).max(0.0).sqrt();
            let stretches = [(-half_m, -inner_m), (inner_m, half_m)];
            for (from_m, to_m) in stretches {
                let stretch_m = shape.row_on_panel(y_m, from_m, to_m);
                push_stretch(&mut points, (&rule, stretch_m), (y_m, row_m), shape);
            }
        }
    }
    points
}

fn push_stretch(
    points: &mut Vec<FacePoint>,
    (columns, (from_m, to_m)): (&[(f64, f64)], (f64, f64)),
    (y_m, row_m): (f64, f64),
    shape: &Shape,
) {
    if to_m <= from_m {
        return;
    }
    points.extend(
        gauss::on(columns, from_m, to_m).map(|(x_m, width_m)| FacePoint {
            x_m,
            y_m,
            area_m2: width_m * row_m,
            gap_m: shape.gap_m(x_m, y_m),
        }),
    );
}

/// Depth when the tilt is given: the force grows steadily with depth.
pub(crate) fn depth_at_tilt(
    points: &[FacePoint],
    modulus_pa_m: f64,
    force_n: f64,
    (slope_x, slope_y): (f64, f64),
) -> Result<Seat, PhysicsError> {
    let lifted_m = |p: &FacePoint| p.gap_m - slope_x * p.x_m - slope_y * p.y_m;
    let highest = points
        .iter()
        .map(lifted_m)
        .fold(f64::NEG_INFINITY, f64::max);
    let area: f64 = points.iter().map(|p| p.area_m2).sum();
    if points.is_empty() || area <= 0.0 {
        return Err(PhysicsError::PadBesidePanel);
    }
    // From full contact the convex force law is met from above without overshoot.
    let mut depth_m = highest + force_n / (modulus_pa_m * area);
    for _ in 0..200 {
        let (mut carried, mut stiffness) = (-force_n, 0.0);
        for p in points {
            let pressed = depth_m - lifted_m(p);
            if pressed > 0.0 {
                carried += modulus_pa_m * p.area_m2 * pressed;
                stiffness += modulus_pa_m * p.area_m2;
            }
        }
        if carried.abs() <= 1e-10 * force_n {
            return Ok(Seat {
                depth_m,
                slope_x,
                slope_y,
            });
        }
        if stiffness <= 0.0 {
            break;
        }
        depth_m -= carried / stiffness;
    }
    Err(PhysicsError::PadTips)
}

/// Depth and tilt when force and moments are given.
pub(crate) fn seat_under_load(
    points: &[FacePoint],
    modulus_pa_m: f64,
    load: Load,
    reach_m: f64,
) -> Result<Seat, PhysicsError> {
    let mut seat = depth_at_tilt(points, modulus_pa_m, load.force_n, (0.0, 0.0))?;
    let mut state = State::of(points, modulus_pa_m, load, reach_m, seat);
    for _ in 0..100 {
        if state.is_balanced(load.force_n) {
            return Ok(seat);
        }
        let Some(step) = state.newton_step() else {
            break;
        };
        let mut share = 1.0;
        let better = loop {
            let tried = seat.moved(step.map(|s| share * s), reach_m);
            let next = State::of(points, modulus_pa_m, load, reach_m, tried);
            let promised = share * (0..3).map(|i| state.residual[i] * step[i]).sum::<f64>();
            if next.work <= state.work + 1e-4 * promised || next.is_balanced(load.force_n) {
                break Some((tried, next));
            }
            share *= 0.5;
            if share < 1e-9 {
                break None;
            }
        };
        let Some((tried, next)) = better else { break };
        (seat, state) = (tried, next);
    }
    Err(PhysicsError::PadTips)
}

/// What a seat has to meet to the last digits.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Goal {
    /// The force, with the slopes as they are.
    Force(f64),
    /// Force and moments.
    Load(Load),
}

/// How far off force and moments over the reach may stay, as a share.
const SETTLED_FRAC: f64 = 1e-8;

/// Moves a seat that is nearly right until exact sums give back what the hand
/// puts in, and returns it with them.
pub(crate) fn settle(
    face: &Face<'_>,
    modulus_pa_m: f64,
    goal: Goal,
    seat: Seat,
) -> Result<(Seat, Sums), PhysicsError> {
    let (force_n, free) = match goal {
        Goal::Force(force_n) => (force_n, 1),
        Goal::Load(load) => (load.force_n, 3),
    };
    let about_m3 = force_n / modulus_pa_m;
    let state = |seat: &Seat| {
        let sums = face.pressed(seat, about_m3);
        (State::exact(&sums, modulus_pa_m, goal, face.radius_m), sums)
    };
    let (mut seat, (mut here, mut sums)) = (seat, state(&seat));
    for _ in 0..40 {
        let off = here.off(free);
        if off <= SETTLED_FRAC * force_n {
            return Ok((seat, sums));
        }
        let step = if free == 1 {
            (here.curvature[0][0] > 0.0)
                .then(|| [-here.residual[0] / here.curvature[0][0], 0.0, 0.0])
        } else {
            here.newton_step()
        };
        let Some(step) = step else { break };
        let better = (0..12).find_map(|halvings| {
            let share = 0.5_f64.powi(halvings);
            let tried = seat.moved(step.map(|s| share * s), face.radius_m);
            let (next, next_sums) = state(&tried);
            (next.off(free) < off).then_some((tried, next, next_sums))
        });
        let Some((tried, next, next_sums)) = better else {
            break;
        };
        (seat, here, sums) = (tried, next, next_sums);
    }
    Err(PhysicsError::PadTips)
}

/// Work, its slope and its curvature at one seat; lengths across in reaches so
/// that the three unknowns are alike in size.
struct State {
    work: f64,
    residual: [f64; 3],
    curvature: [[f64; 3]; 3],
}

impl State {
    fn of(points: &[FacePoint], modulus_pa_m: f64, load: Load, reach_m: f64, seat: Seat) -> Self {
        let wanted = [
            load.force_n,
            load.moment_x_nm / reach_m,
            load.moment_y_nm / reach_m,
        ];
        let unknowns = [seat.depth_m, seat.slope_x * reach_m, seat.slope_y * reach_m];
        let mut work = -(0..3).map(|i| wanted[i] * unknowns[i]).sum::<f64>();
        let mut residual = wanted.map(|w| -w);
        let mut curvature = [[0.0; 3]; 3];
        for p in points {
            let pressed = seat.at(p.x_m, p.y_m) - p.gap_m;
            if pressed <= 0.0 {
                continue;
            }
            let weight = modulus_pa_m * p.area_m2;
            let lever = [1.0, p.x_m / reach_m, p.y_m / reach_m];
            work += 0.5 * weight * pressed * pressed;
            for i in 0..3 {
                residual[i] += weight * pressed * lever[i];
                for j in 0..3 {
                    curvature[i][j] += weight * lever[i] * lever[j];
                }
            }
        }
        Self {
            work,
            residual,
            curvature,
        }
    }

    /// From exact sums; the work is not needed there.
    fn exact(sums: &Sums, modulus_pa_m: f64, goal: Goal, reach_m: f64) -> Self {
        let wanted = match goal {
            Goal::Force(force_n) => [force_n, 0.0, 0.0],
            Goal::Load(load) => [
                load.force_n,
                load.moment_x_nm / reach_m,
                load.moment_y_nm / reach_m,
            ],
        };
        let [u, ux, uy, one, x, y, xx, xy, yy] = sums.0.map(|sum| modulus_pa_m * sum);
        let (r, rr) = (reach_m, reach_m * reach_m);
        Self {
            work: 0.0,
            residual: [u - wanted[0], ux / r - wanted[1], uy / r - wanted[2]],
            curvature: [
                [one, x / r, y / r],
                [x / r, xx / rr, xy / rr],
                [y / r, xy / rr, yy / rr],
            ],
        }
    }

    /// Largest of the first `free` residuals.
    fn off(&self, free: usize) -> f64 {
        let sizes = self.residual[..free].iter().map(|r| r.abs());
        sizes.fold(0.0, f64::max)
    }

    fn is_balanced(&self, force_n: f64) -> bool {
        self.residual.iter().all(|r| r.abs() <= 1e-9 * force_n)
    }

    /// Solves curvature · step = −residual by elimination, with a trace of
    /// stiffness added so that a sliver of contact stays solvable.
    fn newton_step(&self) -> Option<[f64; 3]> {
        let mut a = self.curvature;
        let ridge = 1e-9 * (a[0][0] + a[1][1] + a[2][2]);
        let mut b = self.residual.map(|r| -r);
        for (i, row) in a.iter_mut().enumerate() {
            row[i] += ridge;
        }
        for i in 0..3 {
            if a[i][i] <= 0.0 {
                return None;
            }
            for k in i + 1..3 {
                let factor = a[k][i] / a[i][i];
                let pivot_row = a[i];
                for (entry, pivot) in a[k].iter_mut().zip(pivot_row) {
                    *entry -= factor * pivot;
                }
                b[k] -= factor * b[i];
            }
        }
        let z = b[2] / a[2][2];
        let y = (b[1] - a[1][2] * z) / a[1][1];
        let x = (b[0] - a[0][1] * y - a[0][2] * z) / a[0][0];
        [x, y, z].iter().all(|v| v.is_finite()).then_some([x, y, z])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_points_of_a_ring_add_up_to_its_area_and_inertia() {
        let points = face_points((1.0, 0.25), &Shape::default(), FINE);
        let area: f64 = points.iter().map(|p| p.area_m2).sum();
        let inertia: f64 = points.iter().map(|p| p.area_m2 * p.x_m * p.x_m).sum();
        let exact_area = std::f64::consts::PI * (1.0 - 0.0625);
        let exact_inertia = std::f64::consts::FRAC_PI_4 * (1.0 - 0.25_f64.powi(4));
        assert!((area / exact_area - 1.0).abs() < 1e-9);
        assert!((inertia / exact_inertia - 1.0).abs() < 1e-9);
    }

    #[test]
    fn force_and_moment_come_back_from_the_pressure() {
        let bulge = Shape {
            bulge_1_m: (0.25, 0.0),
            ..Shape::default()
        };
        let points = face_points((0.0625, 0.01), &bulge, FINE);
        let load = Load {
            force_n: 40.0,
            moment_x_nm: 0.9,
            moment_y_nm: -0.4,
        };
        let modulus = 2e6;
        let seat = seat_under_load(&points, modulus, load, 0.0625).expect("inside the face");
        let carried = |lever: fn(&FacePoint) -> f64| -> f64 {
            points
                .iter()
                .map(|p| {
                    modulus * p.area_m2 * lever(p) * (seat.at(p.x_m, p.y_m) - p.gap_m).max(0.0)
                })
                .sum()
        };
        assert!((carried(|_| 1.0) / 40.0 - 1.0).abs() < 1e-6);
        assert!((carried(|p| p.x_m) / 0.9 - 1.0).abs() < 1e-6);
        assert!((carried(|p| p.y_m) / -0.4 - 1.0).abs() < 1e-6);
    }

    #[test]
    fn a_force_beyond_the_rim_is_refused() {
        let points = face_points((0.0625, 0.0), &Shape::default(), FINE);
        let load = Load {
            force_n: 40.0,
            moment_x_nm: 40.0 * 0.07,
            moment_y_nm: 0.0,
        };
        assert_eq!(
            seat_under_load(&points, 2e6, load, 0.0625),
            Err(PhysicsError::PadTips)
        );
    }
}
