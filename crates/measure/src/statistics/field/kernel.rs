//! How alike the field is at two places: alike when near, strangers when far.
//!
//! Law: k = s²·ρ(d), d² = (Δu/ℓu)² + (Δv/ℓv)²; s standard deviation of the
//! field, ℓ its ranges. With a = √3·d or √5·d: Matérn 3/2 ρ = (1 + a)e^(−a),
//! Matérn 5/2 ρ = (1 + a + a²/3)e^(−a); squared exponential ρ = e^(−d²/2);
//! spherical ρ = 1 − 1.5d + 0.5d³ up to d = 1, then 0.
//! Source: [`Source::RasmussenWilliams2006`] eq. 4.17, 4.9; spherical
//! [`Source::Cressie1993`] p. 61.
//! Holds: in the plane for all four shapes; ranges and s above zero.
//! Left out: ranges that run neither along u nor along v.
//! Checked by: values worked by hand, and slopes against differences.

use crate::source::Source;
use crate::statistics::StatisticsError;
use crate::statistics::error::inside;

use super::Site;

/// Where the shapes are printed.
pub const SOURCES: [Source; 2] = [Source::RasmussenWilliams2006, Source::Cressie1993];

/// How the likeness falls off with distance.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Shape {
    /// Once differentiable: bumpy.
    Matern32,
    /// Twice differentiable: smooth.
    Matern52,
    /// Endlessly differentiable: too smooth for most measured fields.
    SquaredExponential,
    /// Straight at the origin, nothing beyond the range; of mining.
    Spherical,
}

/// Covariance between places.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Kernel {
    /// How it falls off.
    pub shape: Shape,
    /// Standard deviation of the field, in the unit of the readings.
    pub sd: f64,
    /// Range along u, in the unit of the places.
    pub range_u: f64,
    /// Range along v.
    pub range_v: f64,
}

impl Kernel {
    /// A kernel with the same range in every direction.
    #[must_use]
    pub fn isotropic(shape: Shape, sd: f64, range: f64) -> Self {
        Self {
            shape,
            sd,
            range_u: range,
            range_v: range,
        }
    }

    /// Covariance of the field between two places.
    #[must_use]
    pub fn covariance(&self, a: Site, b: Site) -> f64 {
        let [x, y] = self.scaled(a, b);
        self.sd * self.sd * self.shape.correlation((x + y).sqrt())
    }

    /// Refuses what is not above zero.
    pub(super) fn checked(self) -> Result<Self, StatisticsError> {
        for (what, came) in [
            ("standard deviation of the field", self.sd),
            ("range along u", self.range_u),
            ("range along v", self.range_v),
        ] {
            inside(came, what, (0.0, f64::INFINITY))?;
        }
        Ok(self)
    }

    /// Squared distances along u and v in ranges.
    fn scaled(&self, a: Site, b: Site) -> [f64; 2] {
        let u = (a[0] - b[0]) / self.range_u;
        let v = (a[1] - b[1]) / self.range_v;
        [u * u, v * v]
    }
}

const ROOT_3: f64 = 1.732_050_807_568_877_2;
const ROOT_5: f64 = 2.236_067_977_499_79;

impl Shape {
    /// Likeness at a distance in ranges: 1 at 0, falling to 0.
    #[must_use]
    #[inline]
    pub fn correlation(self, distance: f64) -> f64 {
        self.correlation_and_slope(distance).0
    }

    /// Likeness ρ, and q with dρ/d ln ℓu = q·(Δu/ℓu)²: how it grows with a
    /// range.
    #[inline]
    pub(super) fn correlation_and_slope(self, distance: f64) -> (f64, f64) {
        match self {
            Self::Matern32 => {
                let a = ROOT_3 * distance;
                let fall = (-a).exp();
                ((1.0 + a) * fall, 3.0 * fall)
            }
            Self::Matern52 => {
                let a = ROOT_5 * distance;
                let fall = (-a).exp();
                ((1.0 + a + a * a / 3.0) * fall, 5.0 / 3.0 * (1.0 + a) * fall)
            }
            Self::SquaredExponential => {
                let fall = (-0.5 * distance * distance).exp();
                (fall, fall)
            }
            Self::Spherical if distance < 1.0 => {
                let square = distance * distance;
                let slope = if distance > 0.0 {
                    1.5 * (1.0 - square) / distance
                } else {
                    0.0
                };
                (1.0 - 1.5 * distance + 0.5 * distance * square, slope)
            }
            Self::Spherical => (0.0, 0.0),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const ALL: [Shape; 4] = [
        Shape::Matern32,
        Shape::Matern52,
        Shape::SquaredExponential,
        Shape::Spherical,
    ];

    #[test]
    fn one_range_away_the_likeness_is_as_worked_by_hand() {
        // (1 + 1.7320508)·e^−1.7320508; (1 + 2.2360680 + 5/3)·e^−2.2360680; e^−1/2.
        for (shape, expected) in
            ALL.into_iter()
                .zip([0.483_357_72, 0.523_994_11, 0.606_530_66, 0.0])
        {
            assert!(
                (shape.correlation(1.0) - expected).abs() < 1e-7,
                "{shape:?}"
            );
        }
        assert!((Shape::Spherical.correlation(0.5) - 0.3125).abs() < 1e-15);
    }

    #[test]
    fn a_place_is_itself_and_a_far_one_a_stranger() {
        for shape in ALL {
            assert!((shape.correlation(0.0) - 1.0).abs() < 1e-15);
            assert!(shape.correlation(60.0) < 1e-30);
        }
        let kernel = Kernel::isotropic(Shape::Matern32, 3.0, 100.0);
        assert!((kernel.covariance([5.0, 6.0], [5.0, 6.0]) - 9.0).abs() < 1e-12);
    }

    #[test]
    fn the_slope_is_what_a_small_change_of_the_range_does() {
        for shape in ALL {
            let likeness = |stretch: f64| shape.correlation((0.5_f64 / stretch).hypot(0.3));
            let step = 1e-6;
            let measured = (likeness(1.0 + step) - likeness(1.0 - step)) / (2.0 * step);
            let stated = shape.correlation_and_slope(0.5_f64.hypot(0.3)).1 * 0.25;
            assert!((measured - stated).abs() < 1e-8, "{shape:?}");
        }
    }

    #[test]
    fn a_range_of_nothing_is_refused() {
        for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert!(
                Kernel::isotropic(Shape::Matern52, 1.0, bad)
                    .checked()
                    .is_err()
            );
            assert!(
                Kernel::isotropic(Shape::Matern52, bad, 1.0)
                    .checked()
                    .is_err()
            );
        }
    }
}
