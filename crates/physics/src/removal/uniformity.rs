//! How even parallel lines leave the film, by the overlap alone.
//!
//! Law: the depths of lines at spacing s add up; over one spacing the least,
//! the most and the coefficient of variation (root mean square deviation over
//! mean) are set against the mean.
//! Source: the straight-pass laws beside this file, summed.
//! Holds: many lines, even pressure, one direction; for cross-hatch the
//! coefficient of variation falls by √2.
//! Left out: the rim of the section.
//! Checked by: a table of seven overlaps from a separate program, two of its
//! entries closed forms (3/2π for a rotary, 2/π for a stalled orbital at half overlap).

use super::straight::chord_integral_m2;
use crate::error::{Given, PhysicsError};

/// Kind of machine, as far as the evenness of lines goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LineKind {
    /// A rotary: most under a ring, least under the centre.
    Rotary,
    /// A random orbital that does not spin: in proportion to the chord.
    StalledOrbital,
}

/// Depths over one spacing, against their mean.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Uniformity {
    /// Least depth over mean depth.
    pub min_over_mean: f64,
    /// Most depth over mean depth.
    pub max_over_mean: f64,
    /// Coefficient of variation.
    pub variation: f64,
}

/// Evenness of lines whose neighbours overlap by a share of the pad diameter.
///
/// # Errors
/// Refuses overlaps below 0 or above 0.95.
pub fn of_lines(kind: LineKind, overlap_frac: f64) -> Result<Uniformity, PhysicsError> {
    const SAMPLES: u32 = 8192;
    let overlap = Given {
        place: "overlap",
        value: overlap_frac,
        unit: "of the pad diameter",
        remedy: "0.5 is half the pad.",
    }
    .within(0.0, 0.95)?;
    let spacing = 2.0 * (1.0 - overlap);
    let mean = match kind {
        LineKind::Rotary => 2.0 * std::f64::consts::PI / 3.0,
        LineKind::StalledOrbital => std::f64::consts::FRAC_PI_2,
    } / spacing;
    let at = |y: f64| lines_sum(kind, spacing, y) / mean;
    // The least can sit in a cusp where the rim of a neighbouring line ends.
    let rims = (-20..=20)
        .map(|line| (1.0 - f64::from(line) * spacing).abs())
        .filter(|y| *y <= 0.5 * spacing);
    let mut least = rims.map(at).fold(at(0.0).min(at(0.5 * spacing)), f64::min);
    let (mut most, mut squares) = (0.0_f64, 0.0);
    for i in 0..SAMPLES {
        let depth = at(0.5 * spacing * (f64::from(i) + 0.5) / f64::from(SAMPLES));
        least = least.min(depth);
        most = most.max(depth);
        squares += (depth - 1.0).powi(2);
    }
    Ok(Uniformity {
        min_over_mean: least,
        max_over_mean: most,
        variation: (squares / f64::from(SAMPLES)).sqrt(),
    })
}

fn lines_sum(kind: LineKind, spacing: f64, y: f64) -> f64 {
    let reach = (1.0 / spacing).ceil() as i32 + 1;
    (-reach..=reach)
        .map(|line| y - f64::from(line) * spacing)
        .map(|beside| match kind {
            LineKind::Rotary => chord_integral_m2(1.0, beside),
            LineKind::StalledOrbital => (1.0 - beside * beside).max(0.0).sqrt(),
        })
        .sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    use std::f64::consts::FRAC_2_PI;

    type Row = (f64, [f64; 3], [f64; 3]);

    #[test]
    fn the_table_of_seven_overlaps_is_met() {
        // COMPUTED by a separate program (plain sums at 100 000 places); the
        // design's own table has the same values to three digits.
        let printed: [Row; 7] = [
            (
                0.25,
                [0.80943, 1.05331, 0.05492],
                [0.86964, 1.03749, 0.03825],
            ),
            (
                1.0 / 3.0,
                [0.72490, 1.06513, 0.07386],
                [0.80028, 1.05709, 0.05838],
            ),
            (
                0.40,
                [0.86593, 1.17923, 0.12647],
                [0.90644, 1.12045, 0.08261],
            ),
            (
                0.50,
                [0.47746, 1.14139, 0.14738],
                [FRAC_2_PI, 1.10266, 0.10544],
            ),
            (
                2.0 / 3.0,
                [FRAC_2_PI, 1.49364, 0.34858],
                [0.80028, 1.26536, 0.18250],
            ),
            (
                0.75,
                [0.71620, 1.58828, 0.32029],
                [0.82699, 1.26325, 0.13757],
            ),
            (1.0, [0.0, 1.14561, 0.18156], [0.0, 1.27324, 0.28418]),
        ];
        let half_digit = 1.5e-5;
        for (spacing_over_diameter, rotary, orbital) in printed {
            for (kind, row) in [
                (LineKind::Rotary, rotary),
                (LineKind::StalledOrbital, orbital),
            ] {
                let got = of_lines(kind, 1.0 - spacing_over_diameter).expect("inside the table");
                let pairs = [got.min_over_mean, got.max_over_mean, got.variation]
                    .into_iter()
                    .zip(row);
                for (value, expected) in pairs {
                    assert!(
                        (value - expected).abs() < half_digit,
                        "{kind:?} {spacing_over_diameter}: {value} {expected}"
                    );
                }
            }
        }
    }

    #[test]
    fn half_overlap_leaves_the_closed_share_under_the_line() {
        let rotary = of_lines(LineKind::Rotary, 0.5).expect("half");
        assert!((rotary.min_over_mean - 3.0 / (2.0 * std::f64::consts::PI)).abs() < 1e-9);
        let orbital = of_lines(LineKind::StalledOrbital, 0.5).expect("half");
        assert!((orbital.min_over_mean - FRAC_2_PI).abs() < 1e-9);
    }

    #[test]
    fn overlaps_that_are_none_are_refused() {
        assert!(of_lines(LineKind::Rotary, 1.0).is_err());
        assert!(of_lines(LineKind::Rotary, f64::NAN).is_err());
    }
}
