//! How fast the pad rubs over the paint, for each of the three machine kinds.
//!
//! Law: a point that feels a turning velocity of size `a` added to another of
//! size `b`, the two turning against each other, rubs at
//! |v|² = a² + b² + 2·a·b·cos φ; over a whole turn of φ the mean is
//! v̄ = (2/π)·(a+b)·E(m), m = 4ab/(a+b)², E the complete elliptic integral of
//! the second kind (parameter m), and the root mean square is √(a²+b²).
//! A point of the pad at radius r has a = ρΩ, b = rω. A point of the panel at
//! distance s from the orbit centre has a = ρ|Ω−ω|, b = s|ω|. ρ is the orbit
//! radius (half the orbit diameter), Ω the orbit rate, ω the spin, all rad/s;
//! with the machine moved on at V, b is the length of ω·ẑ×s + V;
//! a spin against the orbit is negative. A rotary machine has ρ = 0.
//! Source: plane kinematics; E by the arithmetic-geometric mean (Abramowitz and
//! Stegun 17.6, MEMORY).
//! Holds: for a flat pad whose turns do not lock onto each other. Outside: a
//! spin that is a simple fraction of the orbit rate repeats its pattern, and a
//! panel point then sees only its own part of it.
//! Left out: the spin a freely turning pad settles at under load; no published
//! law was found, so the spin is an input.
//! Checked by: brute force over a turn, and closed values of E at m = 0, ½, 1.

use std::f64::consts::PI;

use lapwing_measure::quantity::{AngularVelocity, Length, Velocity};
use uom::si::velocity::meter_per_second;

use crate::error::{Given, PhysicsError};

/// How the machine drives the pad.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Motion {
    /// The pad turns about its own centre.
    Rotary {
        /// Turns of the pad.
        spin: AngularVelocity,
    },
    /// The pad centre runs round a small circle; the pad itself is free.
    RandomOrbital {
        /// Half the orbit diameter.
        orbit_radius: Length,
        /// Rate of the orbit (the "opm" of the machine).
        orbit: AngularVelocity,
        /// Turns of the pad about its centre: what the free pad does, or zero
        /// when it stalls.
        spin: AngularVelocity,
    },
    /// The pad centre runs round a small circle and a gear turns the pad.
    ForcedRotation {
        /// Half the orbit diameter.
        orbit_radius: Length,
        /// Rate of the orbit.
        orbit: AngularVelocity,
        /// Turns of the pad per turn of the orbit; negative when the pad turns
        /// against the orbit.
        turns_per_orbit: f64,
    },
}

/// The three numbers a motion comes down to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Rates {
    pub(crate) orbit_radius_m: f64,
    pub(crate) orbit_rad_s: f64,
    pub(crate) spin_rad_s: f64,
}

impl Motion {
    /// Checks the motion.
    ///
    /// # Errors
    /// Refuses rates over 3000 rad/s (28 000 turns a minute), orbits over
    /// 50 mm and anything that is not a number.
    pub fn checked(self) -> Result<Self, PhysicsError> {
        let rates = self.rates();
        let rate = |place, value| {
            Given {
                place,
                value,
                unit: "rad/s",
                remedy: "1500 rpm are 157 rad/s; check the unit.",
            }
            .within(-3000.0, 3000.0)
        };
        rate("machine speed", rates.orbit_rad_s)?;
        rate("pad spin", rates.spin_rad_s)?;
        Given {
            place: "orbit radius",
            value: rates.orbit_radius_m,
            unit: "m",
            remedy: "It is half the orbit diameter printed on the machine.",
        }
        .within(0.0, 0.05)?;
        Ok(self)
    }

    /// Mean rubbing speed of a point of the pad at `radius` from its centre.
    #[must_use]
    pub fn mean_speed_on_pad(&self, radius: Length) -> Velocity {
        Velocity::new::<meter_per_second>(self.rates().mean_on_pad_m_s(radius.value))
    }

    /// Mean rubbing speed a point of the panel feels at `distance` from the
    /// centre of the orbit, while the pad covers it.
    #[must_use]
    pub fn mean_speed_on_panel(&self, distance: Length) -> Velocity {
        Velocity::new::<meter_per_second>(self.rates().mean_on_panel_m_s(distance.value))
    }

    /// Root mean square rubbing speed of a point of the pad.
    #[must_use]
    pub fn rms_speed_on_pad(&self, radius: Length) -> Velocity {
        let (a, b) = self.rates().pair_on_pad(radius.value);
        Velocity::new::<meter_per_second>(a.hypot(b))
    }

    /// Highest momentary speed of a point of the pad at `radius`.
    #[must_use]
    pub fn highest_speed_on_pad(&self, radius: Length) -> Velocity {
        let (a, b) = self.rates().pair_on_pad(radius.value);
        Velocity::new::<meter_per_second>(a + b)
    }

    /// Mean speed over a whole ring-shaped pad.
    ///
    /// # Errors
    /// Refuses a pad without face (hole not smaller than the pad).
    pub fn mean_speed_of_pad(
        &self,
        radius: Length,
        hole: Length,
    ) -> Result<Velocity, PhysicsError> {
        let hole_m = Given {
            place: "pad hole radius",
            value: hole.value,
            unit: "m",
            remedy: "The hole must be smaller than the pad.",
        }
        .within(0.0, 0.99 * radius.value)?;
        let rates = self.rates();
        let torque_like = gauss_over(hole_m, radius.value, |r| rates.mean_on_pad_m_s(r) * r);
        let area_like = 0.5 * (radius.value.powi(2) - hole_m.powi(2));
        Ok(Velocity::new::<meter_per_second>(torque_like / area_like))
    }

    /// Root mean square speed over a whole full pad, √((ρΩ)² + (ωR)²/2).
    #[must_use]
    pub fn rms_speed_of_pad(&self, radius: Length) -> Velocity {
        let (a, b) = self.rates().pair_on_pad(radius.value);
        Velocity::new::<meter_per_second>((a * a + 0.5 * b * b).sqrt())
    }

    pub(crate) fn rates(&self) -> Rates {
        match *self {
            Self::Rotary { spin } => Rates {
                orbit_radius_m: 0.0,
                orbit_rad_s: 0.0,
                spin_rad_s: spin.value,
            },
            Self::RandomOrbital {
                orbit_radius,
                orbit,
                spin,
            } => Rates {
                orbit_radius_m: orbit_radius.value,
                orbit_rad_s: orbit.value,
                spin_rad_s: spin.value,
            },
            Self::ForcedRotation {
                orbit_radius,
                orbit,
                turns_per_orbit,
            } => Rates {
                orbit_radius_m: orbit_radius.value,
                orbit_rad_s: orbit.value,
                spin_rad_s: orbit.value * turns_per_orbit,
            },
        }
    }
}

impl Rates {
    pub(crate) fn mean_on_pad_m_s(&self, radius_m: f64) -> f64 {
        let (a, b) = self.pair_on_pad(radius_m);
        mean_of_turning_pair(a, b)
    }

    pub(crate) fn mean_on_panel_m_s(&self, distance_m: f64) -> f64 {
        let a = self.orbit_radius_m * (self.orbit_rad_s - self.spin_rad_s).abs();
        mean_of_turning_pair(a, distance_m * self.spin_rad_s.abs())
    }

    /// Mean speed at a place (x, y) from the orbit centre while the machine is
    /// moved on at `feed_m_s`.
    pub(crate) fn mean_with_feed_m_s(&self, (x_m, y_m): (f64, f64), feed_m_s: (f64, f64)) -> f64 {
        let a = self.orbit_radius_m * self.orbit_rad_s.abs();
        let b = (feed_m_s.0 - self.spin_rad_s * y_m).hypot(feed_m_s.1 + self.spin_rad_s * x_m);
        mean_of_turning_pair(a, b)
    }

    /// Velocity of the pad over the panel at `place_m` from the orbit centre,
    /// with the pad centre at `centre_m`: (Ω−ω)·ẑ×c + ω·ẑ×x + V.
    pub(crate) fn velocity_m_s(
        &self,
        centre_m: (f64, f64),
        place_m: (f64, f64),
        feed_m_s: (f64, f64),
    ) -> (f64, f64) {
        let relative = self.orbit_rad_s - self.spin_rad_s;
        (
            feed_m_s.0 - relative * centre_m.1 - self.spin_rad_s * place_m.1,
            feed_m_s.1 + relative * centre_m.0 + self.spin_rad_s * place_m.0,
        )
    }

    /// Places of the pad centre over one orbit; one place for a rotary.
    pub(crate) fn centres_m(&self, steps: u32) -> Vec<(f64, f64)> {
        if self.orbit_radius_m == 0.0 {
            return vec![(0.0, 0.0)];
        }
        (0..steps)
            .map(|step| 2.0 * PI * (f64::from(step) + 0.5) / f64::from(steps))
            .map(|phase| {
                (
                    self.orbit_radius_m * phase.cos(),
                    self.orbit_radius_m * phase.sin(),
                )
            })
            .collect()
    }

    fn pair_on_pad(&self, radius_m: f64) -> (f64, f64) {
        (
            self.orbit_radius_m * self.orbit_rad_s.abs(),
            radius_m * self.spin_rad_s.abs(),
        )
    }
}

/// Mean length of the sum of two vectors of length `a` and `b` that turn
/// against each other, in the unit of `a` and `b`.
#[must_use]
pub fn mean_of_turning_pair(a: f64, b: f64) -> f64 {
    let (a, b) = (a.abs(), b.abs());
    let sum = a + b;
    if a == 0.0 || b == 0.0 {
        return sum;
    }
    2.0 / PI * sum * elliptic_e(4.0 * a * b / (sum * sum))
}

/// Complete elliptic integral of the second kind E(m), parameter m = k² in
/// 0..=1, by the arithmetic-geometric mean. A parameter outside is drawn to
/// the nearer end.
#[must_use]
pub fn elliptic_e(parameter: f64) -> f64 {
    let m = parameter.clamp(0.0, 1.0);
    let (mut mean, mut root) = (1.0_f64, (1.0 - m).sqrt());
    let mut sum = 0.5 * m;
    let mut weight = 1.0;
    if root == 0.0 {
        return 1.0;
    }
    while (mean - root).abs() > 1e-15 * mean {
        let half_gap = 0.5 * (mean - root);
        sum += weight * half_gap * half_gap;
        (mean, root) = (0.5 * (mean + root), (mean * root).sqrt());
        weight *= 2.0;
        if weight > 1e6 {
            break;
        }
    }
    (1.0 - sum) * PI / (2.0 * mean)
}

/// Integral by 64 panels of the three-point Gauss rule.
fn gauss_over(lower: f64, upper: f64, f: impl Fn(f64) -> f64) -> f64 {
    const PANELS: u32 = 64;
    let half = 0.5 * (upper - lower) / f64::from(PANELS);
    let node = 0.6_f64.sqrt() * half;
    (0..PANELS)
        .map(|i| {
            let centre = lower + half * f64::from(2 * i + 1);
            half / 9.0 * (5.0 * f(centre - node) + 8.0 * f(centre) + 5.0 * f(centre + node))
        })
        .sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use uom::si::angular_velocity::{radian_per_second, revolution_per_minute};
    use uom::si::length::millimeter;

    fn orbital(orbit_diameter_mm: f64, opm: f64, spin_rpm: f64) -> Motion {
        Motion::RandomOrbital {
            orbit_radius: Length::new::<millimeter>(orbit_diameter_mm / 2.0),
            orbit: AngularVelocity::new::<revolution_per_minute>(opm),
            spin: AngularVelocity::new::<revolution_per_minute>(spin_rpm),
        }
    }

    fn pad_mean_m_s(motion: Motion) -> f64 {
        let radius = Length::new::<millimeter>(62.5);
        motion
            .mean_speed_of_pad(radius, Length::new::<millimeter>(0.0))
            .expect("a full pad")
            .value
    }

    #[test]
    fn the_elliptic_integral_has_its_closed_values() {
        // E(0) = π/2, E(1) = 1; E(1/2) = 1.350643881 (Abramowitz and Stegun 17.1).
        assert!((elliptic_e(0.0) - PI / 2.0).abs() < 1e-14);
        assert!((elliptic_e(1.0) - 1.0).abs() < 1e-14);
        assert!((elliptic_e(0.5) - 1.350_643_881).abs() < 1e-9);
    }

    #[test]
    fn the_mean_of_a_turning_pair_meets_the_printed_values() {
        // COMPUTED by brute force over a turn with a general library.
        for (a, b, expected, half_digit) in [
            (1.0, 0.0, 1.0, 1e-12),
            (1.0, 1.0, 4.0 / PI, 1e-12),
            (2.0, 0.5, 2.031_374_026, 5e-10),
            (3.351, 1.309, 3.480_102_209, 5e-10),
        ] {
            assert!(
                (mean_of_turning_pair(a, b) - expected).abs() <= half_digit,
                "{a} {b}"
            );
        }
    }

    #[test]
    fn the_mean_equals_brute_force_over_a_turn() {
        let (a, b) = (0.73, 1.91);
        let n = 4096;
        let brute: f64 = (0..n)
            .map(|i| {
                let phi = 2.0 * PI * f64::from(i) / f64::from(n);
                (a * a + b * b + 2.0 * a * b * phi.cos()).sqrt()
            })
            .sum::<f64>()
            / f64::from(n);
        assert!((mean_of_turning_pair(a, b) - brute).abs() < 1e-12);
    }

    #[test]
    fn a_rotary_pad_rubs_at_two_thirds_of_its_rim_speed() {
        let rotary = Motion::Rotary {
            spin: AngularVelocity::new::<revolution_per_minute>(1500.0),
        };
        let rim = rotary
            .mean_speed_on_pad(Length::new::<millimeter>(62.5))
            .value;
        assert!((rim - 9.8175).abs() < 5e-5);
        assert!((pad_mean_m_s(rotary) - 6.544_985).abs() < 5e-7);
    }

    #[test]
    fn a_free_pad_rubs_faster_the_more_it_spins() {
        let printed = [
            (0.0, 1.88496),
            (60.0, 1.89520),
            (150.0, 1.94963),
            (300.0, 2.15628),
            (500.0, 2.71293),
        ];
        for (spin, expected) in printed {
            assert!(
                (pad_mean_m_s(orbital(8.0, 4500.0, spin)) - expected).abs() < 5.1e-6,
                "{spin}"
            );
        }
    }

    #[test]
    fn a_stalled_pad_rubs_at_orbit_radius_times_orbit_rate() {
        for (diameter, expected) in [
            (8.0, 1.8850),
            (12.0, 2.8274),
            (15.0, 3.5343),
            (21.0, 4.9480),
        ] {
            assert!((pad_mean_m_s(orbital(diameter, 4500.0, 0.0)) - expected).abs() < 5.1e-5);
        }
    }

    #[test]
    fn turning_against_the_orbit_rubs_the_panel_faster_than_turning_with_it() {
        let gear = |turns_per_orbit| Motion::ForcedRotation {
            orbit_radius: Length::new::<millimeter>(4.0),
            orbit: AngularVelocity::new::<radian_per_second>(500.0),
            turns_per_orbit,
        };
        let at = Length::new::<millimeter>(0.0);
        // At the orbit centre b = 0, so the speed is ρ|Ω−ω| by hand.
        assert!((gear(-0.1).mean_speed_on_panel(at).value - 2.2).abs() < 1e-12);
        assert!((gear(0.1).mean_speed_on_panel(at).value - 1.8).abs() < 1e-12);
    }

    #[test]
    fn root_mean_square_of_the_whole_pad_is_the_quadratic_sum() {
        let motion = orbital(8.0, 4500.0, 300.0);
        let radius = Length::new::<millimeter>(62.5);
        let n = 20_000;
        let mean_square: f64 = (0..n)
            .map(|i| {
                let share = (f64::from(i) + 0.5) / f64::from(n);
                let r = radius * share;
                motion.rms_speed_on_pad(r).value.powi(2) * 2.0 * share / f64::from(n)
            })
            .sum();
        assert!((motion.rms_speed_of_pad(radius).value - mean_square.sqrt()).abs() < 1e-6);
        assert!(motion.highest_speed_on_pad(radius) > motion.mean_speed_on_pad(radius));
    }

    #[test]
    fn nonsense_is_refused() {
        let spun = Motion::Rotary {
            spin: AngularVelocity::new::<radian_per_second>(f64::NAN),
        };
        assert!(spun.checked().is_err());
        assert!(orbital(200.0, 4500.0, 0.0).checked().is_err());
        let ring = orbital(8.0, 4500.0, 0.0).mean_speed_of_pad(
            Length::new::<millimeter>(50.0),
            Length::new::<millimeter>(60.0),
        );
        assert!(ring.is_err());
    }
}
