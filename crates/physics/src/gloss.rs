//! What a finish shows a glossmeter: gloss, the loss to roughness, and haze.
//!
//! Law: unpolarised Fresnel reflectance of a smooth surface of refractive index
//! n at the angle θ, R = ½[((cos θ − g)/(cos θ + g))² +
//! ((n²cos θ − g)/(n²cos θ + g))²], g = √(n² − sin²θ); gloss = 100·R(n)/R(1.567).
//! Roughness σ lowers it by e^(−(4πσ·cos θ/λ)²). Haze H = G60 − G20.
//! Source: `Iso2813` for the scale, `BennettPorteus1961` for roughness,
//! `AstmD4039` for haze.
//! Holds: index 1.3 to 2; σ well under the wavelength. The roughness factor is
//! a lower bound: a glossmeter also collects light scattered near the mirror
//! direction. Haze holds for G60 > 70; a smooth film of n = 1.5 has H = 7.1.
//! Left out: waviness (orange peel), colour, the meter's aperture.
//! Checked by: the printed table of seven indices and of seven roughnesses.

use lapwing_measure::Source;
use lapwing_measure::quantity::Length;

use crate::error::{Given, PhysicsError};

/// Where the gloss scale comes from.
pub const GLOSS_SOURCE: Source = Source::Iso2813;
/// Where the roughness factor comes from.
pub const ROUGHNESS_SOURCE: Source = Source::BennettPorteus1961;
/// Where the haze formula comes from.
pub const HAZE_SOURCE: Source = Source::AstmD4039;

/// Refractive index of the glass that reads 100.
pub const STANDARD_INDEX: f64 = 1.567;

/// The three angles of a glossmeter.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Geometry {
    /// 20 degrees, for high gloss.
    Deg20,
    /// 60 degrees.
    Deg60,
    /// 85 degrees, for matt surfaces.
    Deg85,
}

impl Geometry {
    fn angle_rad(self) -> f64 {
        match self {
            Self::Deg20 => 20.0_f64,
            Self::Deg60 => 60.0,
            Self::Deg85 => 85.0,
        }
        .to_radians()
    }
}

/// Share of light a smooth surface mirrors.
///
/// # Errors
/// Refuses refractive indices outside 1 to 3.
pub fn mirrored_frac(index: f64, geometry: Geometry) -> Result<f64, PhysicsError> {
    let n = Given {
        place: "refractive index",
        value: index,
        unit: "",
        remedy: "Clear coats lie near 1.5.",
    }
    .within(1.0, 3.0)?;
    let (sine, cosine) = geometry.angle_rad().sin_cos();
    let g = (n * n - sine * sine).sqrt();
    let across = (cosine - g) / (cosine + g);
    let along = (n * n * cosine - g) / (n * n * cosine + g);
    Ok(0.5 * (across * across + along * along))
}

/// Gloss units of a smooth surface.
///
/// # Errors
/// As [`mirrored_frac`].
pub fn smooth_gloss(index: f64, geometry: Geometry) -> Result<f64, PhysicsError> {
    Ok(100.0 * mirrored_frac(index, geometry)? / mirrored_frac(STANDARD_INDEX, geometry)?)
}

/// Share of the mirror light that is left on a slightly rough surface of root
/// mean square height `roughness` at a wavelength.
///
/// # Errors
/// Refuses roughness outside 0…1 µm and wavelengths outside 300…1100 nm.
pub fn roughness_factor(
    roughness: Length,
    wavelength: Length,
    geometry: Geometry,
) -> Result<f64, PhysicsError> {
    let sigma_m = Given {
        place: "roughness",
        value: roughness.value,
        unit: "m",
        remedy: "Polished clear coat has 5e-9 to 1e-7 m.",
    }
    .within(0.0, 1e-6)?;
    let lambda_m = Given {
        place: "wavelength",
        value: wavelength.value,
        unit: "m",
        remedy: "Green light has 5.5e-7 m.",
    }
    .within(3e-7, 1.1e-6)?;
    let phase = 4.0 * std::f64::consts::PI * sigma_m * geometry.angle_rad().cos() / lambda_m;
    Ok((-phase * phase).exp())
}

/// Haze from two gloss readings; `None` when the surface is too dull for the
/// method (60° gloss of 70 or less).
#[must_use]
pub fn haze(gloss_60: f64, gloss_20: f64) -> Option<f64> {
    let is_valid = gloss_60 > 70.0 && gloss_60.is_finite() && gloss_20.is_finite();
    is_valid.then_some(gloss_60 - gloss_20)
}

#[cfg(test)]
mod tests {
    use super::*;
    use uom::si::length::nanometer;

    const ALL: [Geometry; 3] = [Geometry::Deg20, Geometry::Deg60, Geometry::Deg85];

    #[test]
    fn the_standard_glass_mirrors_the_printed_shares() {
        for (geometry, percent) in ALL.into_iter().zip([4.907_81, 10.005_60, 61.914_82]) {
            let share = mirrored_frac(1.567, geometry).expect("glass");
            assert!((100.0 * share - percent).abs() < 5.1e-6);
        }
    }

    #[test]
    fn gloss_meets_the_printed_table_of_indices() {
        let printed = [
            (1.400, [57.05, 71.94, 96.64]),
            (1.460, [71.75, 82.41, 98.18]),
            (1.500, [82.05, 89.14, 98.97]),
            (1.520, [87.32, 92.43, 99.32]),
            (1.540, [92.67, 95.68, 99.63]),
            (1.567, [100.0, 100.0, 100.0]),
            (1.600, [109.12, 105.18, 100.39]),
        ];
        for (index, row) in printed {
            for (geometry, expected) in ALL.into_iter().zip(row) {
                let gloss = smooth_gloss(index, geometry).expect("in range");
                assert!(
                    (gloss - expected).abs() < 5.1e-3,
                    "{index} {geometry:?}: {gloss}"
                );
            }
        }
    }

    #[test]
    fn roughness_meets_the_printed_table() {
        let printed = [
            (5.0, [0.98854, 0.99674, 0.99990]),
            (10.0, [0.95495, 0.98703, 0.99960]),
            (20.0, [0.83162, 0.94914, 0.99842]),
            (30.0, [0.66043, 0.88918, 0.99644]),
            (50.0, [0.31588, 0.72161, 0.99014]),
            (80.0, [0.05233, 0.43377, 0.97494]),
            (100.0, [0.00996, 0.27115, 0.96112]),
        ];
        let green = Length::new::<nanometer>(550.0);
        for (sigma_nm, row) in printed {
            for (geometry, expected) in ALL.into_iter().zip(row) {
                let left = roughness_factor(Length::new::<nanometer>(sigma_nm), green, geometry)
                    .expect("in range");
                assert!(
                    (left - expected).abs() < 5.1e-6,
                    "{sigma_nm} {geometry:?}: {left}"
                );
            }
        }
    }

    #[test]
    fn a_perfect_film_still_has_a_haze_of_seven() {
        let gloss = |geometry| smooth_gloss(1.5, geometry).expect("in range");
        let haze = haze(gloss(Geometry::Deg60), gloss(Geometry::Deg20)).expect("glossy");
        assert!((haze - 7.1).abs() < 0.05);
    }

    #[test]
    fn a_dull_surface_and_nonsense_have_no_haze_and_no_gloss() {
        assert_eq!(super::haze(65.0, 30.0), None);
        assert_eq!(super::haze(f64::NAN, 30.0), None);
        assert!(smooth_gloss(0.5, Geometry::Deg20).is_err());
        let green = Length::new::<nanometer>(550.0);
        assert!(roughness_factor(Length::new::<nanometer>(-1.0), green, Geometry::Deg60).is_err());
    }

    #[test]
    fn a_smooth_surface_keeps_all_its_light() {
        let green = Length::new::<nanometer>(550.0);
        for geometry in ALL {
            assert_eq!(
                roughness_factor(Length::new::<nanometer>(0.0), green, geometry),
                Ok(1.0)
            );
        }
    }
}
