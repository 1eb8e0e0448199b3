//! The area under a smooth curve, by weighted points inside equal panels.
//!
//! Law: Gauss–Legendre rule of ten points in each panel, exact for
//! polynomials up to degree 19.
//! Source: Abramowitz, Stegun: Handbook of Mathematical Functions, table 25.4,
//! n = 10.
//! Holds: for curves smooth across a panel. Outside: the caller uses more panels.
//! Left out: an error estimate.
//! Checked by: polynomials and the error function, in the tests below.

use crate::source::Source;

/// Where points and weights are printed.
pub const SOURCE: Source = Source::AbramowitzStegun1964;

/// Points on one side of a panel's middle, in half widths.
const NODES: [f64; 5] = [
    0.148_874_338_981_631_22,
    0.433_395_394_129_247_2,
    0.679_409_568_299_024_4,
    0.865_063_366_688_984_5,
    0.973_906_528_517_171_7,
];

/// Their weights.
const WEIGHTS: [f64; 5] = [
    0.295_524_224_714_752_87,
    0.269_266_719_309_996_35,
    0.219_086_362_515_982_04,
    0.149_451_349_150_580_6,
    0.066_671_344_308_688_14,
];

/// Every point and weight over `from..to` cut into equal panels.
#[must_use]
pub fn points(from: f64, to: f64, panels: u32) -> Vec<(f64, f64)> {
    let half = (to - from) / f64::from(panels) / 2.0;
    let mut out = Vec::new();
    for panel in 0..panels {
        let middle = from + half * f64::from(2 * panel + 1);
        for (node, weight) in NODES.iter().zip(WEIGHTS) {
            out.push((middle - half * node, half * weight));
            out.push((middle + half * node, half * weight));
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_panel_is_exact_up_to_degree_19() {
        for degree in 0..=19 {
            let area: f64 = points(0.0, 1.0, 1)
                .iter()
                .map(|(x, w)| w * x.powi(degree))
                .sum();
            assert!(
                (area - 1.0 / f64::from(degree + 1)).abs() < 1e-15,
                "degree {degree}: {area}"
            );
        }
    }

    #[test]
    fn the_bell_curve_has_the_area_one() {
        let norm = (2.0 * std::f64::consts::PI).sqrt();
        let area: f64 = points(-9.0, 9.0, 20)
            .iter()
            .map(|(x, w)| w * (-x * x / 2.0).exp() / norm)
            .sum();
        assert!((area - 1.0).abs() < 1e-13, "{area}");
    }
}
