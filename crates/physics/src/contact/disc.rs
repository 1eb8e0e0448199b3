//! A full round pad leaning on a flat panel: the pressure in closed form.
//!
//! Law: rigid disc of radius R on an elastic bed that cannot pull, force off
//! the centre by e. Up to the kern e ≤ R/4 the pad touches everywhere and
//! p = p̄·(1 + 4(e/R)(x/R)). Beyond, contact is x ≥ R·cos β and, with
//! c = cos β, A = β − sin β·cos β, S = ⅔·sin³β,
//! I = (β − sin β·cos β)/4 + ½·sin³β·cos β (all for R = 1):
//! e = (I − c·S)/(S − c·A), `p_max`/p̄ = π(1−c)/(S − c·A), touching depth 1 − c.
//! Source: `RoarkEccentric` (eccentric load on a solid circle that cannot pull).
//! Holds: for e/R from 0 to 0.98. Outside: refused, the pad stands on a point.
//! Left out: the pad's centre hole, curved panels and panel edges; the numeric
//! balance beside this file has them.
//! Checked by: the thirteen rows of the handbook table.

use std::f64::consts::PI;

/// What refusals call how far from the pad's centre the force acts.
pub const ECCENTRICITY: &str = "eccentricity of the force";

use crate::error::{Given, PhysicsError};

/// Share of the radius up to which a leaning pad still touches everywhere.
pub const KERN_FRAC: f64 = 0.25;

/// Pressure under a leaning round pad, in shares of pad radius and mean
/// pressure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LeaningDisc {
    /// Highest pressure over force per whole face.
    pub max_over_mean: f64,
    /// How far the touching part reaches in from the loaded rim, in radii
    /// (2 when the pad touches everywhere).
    pub depth_radii: f64,
    /// Touching area over whole face.
    pub contact_frac: f64,
    /// Tilt in units of the tilt at which the far rim lifts off.
    pub tilt_over_lift_off: f64,
}

/// The closed form for a force off the centre by `eccentricity_frac` radii.
///
/// # Errors
/// Refuses shares below 0 or above 0.98.
pub fn leaning_disc(eccentricity_frac: f64) -> Result<LeaningDisc, PhysicsError> {
    let e = Given {
        place: ECCENTRICITY,
        value: eccentricity_frac,
        unit: "of the pad radius",
        remedy: "0 is the pad centre, 1 its rim; a pad pushed at its very rim stands on edge.",
    }
    .within(0.0, 0.98)?;
    if e <= KERN_FRAC {
        return Ok(LeaningDisc {
            max_over_mean: 1.0 + 4.0 * e,
            depth_radii: 2.0,
            contact_frac: 1.0,
            tilt_over_lift_off: 4.0 * e,
        });
    }
    let beta = half_angle(e);
    let (_, max_over_mean) = eccentricity_and_peak(beta);
    Ok(LeaningDisc {
        max_over_mean,
        depth_radii: 1.0 - beta.cos(),
        contact_frac: (beta - beta.sin() * beta.cos()) / PI,
        tilt_over_lift_off: max_over_mean / (1.0 - beta.cos()),
    })
}

/// Half-angle of the touching segment, by bisection: the eccentricity falls
/// steadily from 1 to 1/4 as the angle grows from 0 to π.
fn half_angle(eccentricity_frac: f64) -> f64 {
    let (mut narrow, mut wide) = (1e-3, PI);
    for _ in 0..100 {
        let middle = 0.5 * (narrow + wide);
        if eccentricity_and_peak(middle).0 > eccentricity_frac {
            narrow = middle;
        } else {
            wide = middle;
        }
    }
    0.5 * (narrow + wide)
}

fn eccentricity_and_peak(beta: f64) -> (f64, f64) {
    let (sine, c) = beta.sin_cos();
    let area = beta - sine * c;
    let static_moment = 2.0 / 3.0 * sine.powi(3);
    let inertia = area / 4.0 + 0.5 * sine.powi(3) * c;
    let load = static_moment - c * area;
    ((inertia - c * static_moment) / load, PI * (1.0 - c) / load)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_of_the_eccentric_circle_is_met_to_every_printed_digit() {
        // Handbook digits (RoarkEccentric) and the four-digit values COMPUTED
        // from the same law by a second route.
        let printed = [
            (0.25, 2.0000, 2.00, 2.000, 2.00),
            (0.30, 2.2106, 2.21, 1.8202, 1.82),
            (0.35, 2.4555, 2.46, 1.6610, 1.66),
            (0.40, 2.7493, 2.75, 1.5124, 1.51),
            (0.45, 3.1093, 3.11, 1.3708, 1.37),
            (0.50, 3.5599, 3.56, 1.2342, 1.23),
            (0.55, 4.1374, 4.14, 1.1015, 1.10),
            (0.60, 4.8990, 4.90, 0.9718, 0.97),
            (0.65, 5.9397, 5.94, 0.8447, 0.84),
            (0.70, 7.4283, 7.43, 0.7196, 0.72),
            (0.75, 9.6918, 9.69, 0.5964, 0.60),
            (0.80, 13.4447, 13.4, 0.4747, 0.47),
            (0.90, 37.4795, 37.5, 0.2352, 0.24),
        ];
        for (e, peak, peak_handbook, depth, depth_handbook) in printed {
            let disc = leaning_disc(e).expect("inside the table");
            assert!(
                (disc.max_over_mean - peak).abs() < 5.1e-5,
                "{e}: {}",
                disc.max_over_mean
            );
            assert!(
                (disc.depth_radii - depth).abs() < 5.1e-5,
                "{e}: {}",
                disc.depth_radii
            );
            let half_digit = if peak_handbook > 10.0 { 0.051 } else { 0.0051 };
            assert!((disc.max_over_mean - peak_handbook).abs() < half_digit);
            // The handbook prints 0.84 for 0.8447 and 0.24 for 0.2352.
            assert!((disc.depth_radii - depth_handbook).abs() < 0.0051);
        }
    }

    #[test]
    fn both_branches_meet_at_the_kern() {
        let inside = leaning_disc(KERN_FRAC).expect("kern");
        let outside = leaning_disc(KERN_FRAC + 1e-9).expect("just beyond");
        assert!((inside.max_over_mean - outside.max_over_mean).abs() < 1e-4);
        assert!((inside.tilt_over_lift_off - outside.tilt_over_lift_off).abs() < 1e-4);
        assert!((inside.tilt_over_lift_off - 1.0).abs() < 1e-12);
    }

    #[test]
    fn a_force_at_the_centre_presses_evenly() {
        let disc = leaning_disc(0.0).expect("centre");
        assert_eq!((disc.max_over_mean, disc.contact_frac), (1.0, 1.0));
    }

    #[test]
    fn a_force_at_the_rim_or_beyond_is_refused() {
        assert!(leaning_disc(1.0).is_err());
        assert!(leaning_disc(-0.1).is_err());
        assert!(leaning_disc(f64::NAN).is_err());
    }
}
