//! What one straight pass takes off, in closed form.
//!
//! Law: even pressure p under a pad of radius R (hole Ri), spin ω, feed V,
//! cut rate k: h(y) = (k·p·ω/V)·[G(R,y) − G(Ri,y)] with
//! G(R,y) = R·√(R²−y²) + y²·asinh(√(R²−y²)/|y|), zero for |y| ≥ R. Under the
//! centre that is k·F·ω/(π·V), whatever the pad and its hole. With the feed
//! counted in: c·√(c²+y′²) + y′²·asinh(c/|y′|), c = √(R²−y²), y′ = y − V/ω.
//! How strongly the scratches lie one way: ∫r·cos 2φ du over the chord is
//! G − 4y²·asinh(c/|y|), over G.
//! A random orbital that does not spin: h(y) = (k·p·ρΩ/V)·2·√(R²−y²).
//! Source: `Preston1927` integrated over the chord.
//! Holds: full contact on a flat panel. Outside: sweep the footprint.
//! Left out: leaning pads.
//! Checked by: printed values of G, its peak and its integral, and the depths
//! of one worked pass.

use lapwing_measure::quantity::{AngularVelocity, Force, Length, Velocity};
use uom::si::length::meter;

/// A straight pass with a rotary machine at even pressure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RotaryPass {
    /// Film taken off per pressure, speed and time, in 1/Pa.
    pub cut_rate_per_pa: f64,
    /// Force on the pad.
    pub force: Force,
    /// Spin of the pad.
    pub spin: AngularVelocity,
    /// Speed of the pad centre over the panel.
    pub arm_speed: Velocity,
    /// Half the pad diameter.
    pub pad_radius: Length,
    /// Half the hole diameter.
    pub hole_radius: Length,
}

impl RotaryPass {
    /// Depth at a distance beside the line of the pad centre, feed neglected.
    #[must_use]
    pub fn depth_beside(&self, beside: Length) -> Length {
        let (r_m, hole_m, y_m) = (self.pad_radius.value, self.hole_radius.value, beside.value);
        Length::new::<meter>(
            self.scale_per_m() * (chord_integral_m2(r_m, y_m) - chord_integral_m2(hole_m, y_m)),
        )
    }

    /// Depth beside the line with the feed counted in; the pad turns so that
    /// its side at positive distance runs against the feed and cuts less.
    #[must_use]
    pub fn depth_beside_with_feed(&self, beside: Length) -> Length {
        let y_m = beside.value;
        let shifted_m = y_m - self.arm_speed.value / self.spin.value;
        let over = |radius_m: f64| {
            let half_chord_m = (radius_m * radius_m - y_m * y_m).max(0.0).sqrt();
            half_chord_integral_m2(half_chord_m, shifted_m)
        };
        Length::new::<meter>(
            self.scale_per_m() * (over(self.pad_radius.value) - over(self.hole_radius.value)),
        )
    }

    /// Depth under the line of the centre, k·F·ω/(π·V).
    #[must_use]
    pub fn depth_at_centre(&self) -> Length {
        let rate = self.cut_rate_per_pa * self.force.value * self.spin.value.abs();
        Length::new::<meter>(rate / (std::f64::consts::PI * self.arm_speed.value))
    }

    /// Mean depth over a section covered by lines at a spacing,
    /// (2/3)·k·F·ω·(R³−Ri³)/((R²−Ri²)·V·s).
    #[must_use]
    pub fn mean_depth(&self, spacing: Length) -> Length {
        let (r, hole) = (self.pad_radius.value, self.hole_radius.value);
        let lever_m = (r.powi(3) - hole.powi(3)) / (r * r - hole * hole);
        let rate = self.cut_rate_per_pa * self.force.value * self.spin.value.abs();
        Length::new::<meter>(2.0 / 3.0 * rate * lever_m / (self.arm_speed.value * spacing.value))
    }

    /// How strongly the scratches beside the line lie one way, 0 to 1:
    /// |1 − 4y²·(asinh(c/|y|) − asinh(c′/|y|))/(G(R,y) − G(Ri,y))|, c and c′ the
    /// half chords of pad and hole; feed neglected. 1 under the centre: there
    /// the pad only ever moves across the line.
    #[must_use]
    pub fn grain_beside(&self, beside: Length) -> f64 {
        let (r_m, hole_m, y_m) = (self.pad_radius.value, self.hole_radius.value, beside.value);
        let taken_m2 = chord_integral_m2(r_m, y_m) - chord_integral_m2(hole_m, y_m);
        if taken_m2 <= 0.0 {
            return 0.0;
        }
        if y_m == 0.0 {
            return 1.0;
        }
        let turned =
            |radius_m: f64| ((radius_m * radius_m - y_m * y_m).max(0.0).sqrt() / y_m.abs()).asinh();
        (1.0 - 4.0 * y_m * y_m * (turned(r_m) - turned(hole_m)) / taken_m2).abs()
    }

    fn scale_per_m(&self) -> f64 {
        let face_m2 =
            std::f64::consts::PI * (self.pad_radius.value.powi(2) - self.hole_radius.value.powi(2));
        self.cut_rate_per_pa * self.force.value / face_m2 * self.spin.value.abs()
            / self.arm_speed.value
    }
}

/// Depth of a straight pass of a random orbital that does not spin.
/// `pad_speed` is orbit radius times orbit rate.
#[must_use]
pub fn stalled_orbital_depth(
    (cut_rate_per_pa, force): (f64, Force),
    (pad_speed, arm_speed): (Velocity, Velocity),
    pad_radius: Length,
    beside: Length,
) -> Length {
    let pressure_pa = force.value / (std::f64::consts::PI * pad_radius.value.powi(2));
    let half_chord_m = (pad_radius.value.powi(2) - beside.value.powi(2))
        .max(0.0)
        .sqrt();
    Length::new::<meter>(
        cut_rate_per_pa * pressure_pa * pad_speed.value / arm_speed.value * 2.0 * half_chord_m,
    )
}

/// G(R, y): the distance from the pad centre summed along the chord at `y_m`.
#[must_use]
pub fn chord_integral_m2(radius_m: f64, y_m: f64) -> f64 {
    half_chord_integral_m2((radius_m * radius_m - y_m * y_m).max(0.0).sqrt(), y_m)
}

fn half_chord_integral_m2(half_chord_m: f64, y_m: f64) -> f64 {
    let c = half_chord_m;
    let far = c * c.hypot(y_m);
    if y_m == 0.0 || c == 0.0 {
        far
    } else {
        far + y_m * y_m * (c / y_m.abs()).asinh()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use uom::si::angular_velocity::revolution_per_minute;
    use uom::si::force::newton;
    use uom::si::length::{micrometer, millimeter, nanometer};
    use uom::si::velocity::millimeter_per_second;

    fn mm(value: f64) -> Length {
        Length::new::<millimeter>(value)
    }

    fn pass(pad_mm: f64, hole_mm: f64) -> RotaryPass {
        RotaryPass {
            cut_rate_per_pa: 1e-12,
            force: Force::new::<newton>(40.0),
            spin: AngularVelocity::new::<revolution_per_minute>(1500.0),
            arm_speed: Velocity::new::<millimeter_per_second>(25.4),
            pad_radius: mm(pad_mm),
            hole_radius: mm(hole_mm),
        }
    }

    #[test]
    fn the_chord_integral_meets_its_printed_values() {
        let printed = [
            (0.0, 1.0),
            (0.25, 1.097_210_65),
            (0.5, 1.195_264_88),
            (0.75, 1.108_830_90),
            (0.9, 0.814_277_59),
            (0.99, 0.280_255_71),
        ];
        for (y, expected) in printed {
            assert!((chord_integral_m2(1.0, y) - expected).abs() < 5.1e-9, "{y}");
        }
        assert!((chord_integral_m2(1.0, 0.552_434) - 1.199_678_64).abs() < 5.1e-9);
        assert!(chord_integral_m2(1.0, 0.54) < chord_integral_m2(1.0, 0.552_434));
        assert!(chord_integral_m2(1.0, 0.56) < chord_integral_m2(1.0, 0.552_434));
        assert_eq!(chord_integral_m2(1.0, 1.5), 0.0);
    }

    #[test]
    fn the_chord_integral_sums_to_two_thirds_pi() {
        let n = 200_000;
        let sum: f64 = (0..n)
            .map(|i| chord_integral_m2(1.0, (f64::from(i) + 0.5) / f64::from(n)))
            .sum();
        assert!((2.0 * sum / f64::from(n) - 2.094_395_102).abs() < 1e-7);
    }

    #[test]
    fn the_centre_depth_is_the_same_for_every_pad_and_hole() {
        for (pad, hole) in [(62.5, 0.0), (40.0, 0.0), (75.0, 20.0)] {
            let pass = pass(pad, hole);
            assert!((pass.depth_at_centre().get::<nanometer>() - 78.740_16).abs() < 5.1e-6);
            assert!((pass.depth_beside(mm(0.0)).get::<nanometer>() - 78.740_16).abs() < 5.1e-6);
        }
    }

    #[test]
    fn a_holed_pad_meets_its_printed_depths() {
        let ring = pass(62.5, 15.625);
        assert!((ring.depth_beside(mm(15.625)).get::<nanometer>() - 92.154_18).abs() < 5.1e-6);
        assert!((ring.depth_beside(mm(31.25)).get::<nanometer>() - 100.389_70).abs() < 5.1e-6);
    }

    #[test]
    fn the_feed_makes_one_side_of_the_line_deeper() {
        let full = pass(62.5, 0.0);
        assert!(
            (full.depth_beside_with_feed(mm(31.25)).get::<nanometer>() - 93.847_29).abs() < 5.1e-6
        );
        assert!(
            (full.depth_beside_with_feed(mm(-31.25)).get::<nanometer>() - 94.383_87).abs() < 5.1e-6
        );
    }

    #[test]
    fn the_mean_of_a_pass_meets_the_printed_micrometres() {
        // s = R, V 25.4: k 1e-12 .165, 4e-12 .66 and 3e-11 4.95 µm.
        for (k, expected, half_digit) in [
            (1e-12, 0.165, 5e-4),
            (4e-12, 0.66, 5e-3),
            (3e-11, 4.95, 5e-3),
        ] {
            let pass = RotaryPass {
                cut_rate_per_pa: k,
                ..pass(62.5, 0.0)
            };
            assert!((pass.mean_depth(mm(62.5)).get::<micrometer>() - expected).abs() < half_digit);
        }
    }

    #[test]
    fn a_stalled_orbital_cuts_in_proportion_to_the_chord() {
        let speeds = (
            Velocity::new::<millimeter_per_second>(1885.0),
            Velocity::new::<millimeter_per_second>(25.4),
        );
        let at = |beside| {
            stalled_orbital_depth(
                (1e-12, Force::new::<newton>(40.0)),
                speeds,
                mm(62.5),
                mm(beside),
            )
            .value
        };
        // By hand: 1e-12 · 3259.493 · 1885/25.4 · 2 · 0.0625 = 3.0237e-8 m.
        assert!((at(0.0) - 3.023_7e-8).abs() < 5e-13);
        assert!((at(37.5) / at(0.0) - 0.8).abs() < 1e-12);
        assert_eq!(at(70.0), 0.0);
    }
}
