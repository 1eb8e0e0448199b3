//! Points and weights that sum a smooth curve to many digits.
//!
//! Law: Gauss–Legendre rule of n points, exact for polynomials up to degree
//! 2n − 1; the points are the zeros of the Legendre polynomial Pₙ, found by
//! Newton's method from cos(π(i − ¼)/(n + ½)), the weights are
//! 2/((1 − x²)·Pₙ′(x)²).
//! Source: `AbramowitzStegun1964`, 25.4.29 and 22.16.6.
//! Holds: for curves smooth over the stretch. Outside: cut the stretch there.
//! Left out: an error estimate.
//! Checked by: the area of a circle, and a polynomial of the highest degree.

/// Points and weights on −1…1.
pub(crate) fn nodes(count: usize) -> Vec<(f64, f64)> {
    (0..count)
        .map(|i| {
            let mut x = (std::f64::consts::PI * (i as f64 + 0.75) / (count as f64 + 0.5)).cos();
            let mut slope = 1.0;
            for _ in 0..100 {
                let (value, derivative) = legendre(count, x);
                slope = derivative;
                let step = value / derivative;
                x -= step;
                if step.abs() < 1e-15 {
                    break;
                }
            }
            (-x, 2.0 / ((1.0 - x * x) * slope * slope))
        })
        .collect()
}

/// The same points and weights carried to another stretch.
pub(crate) fn on(nodes: &[(f64, f64)], from: f64, to: f64) -> impl Iterator<Item = (f64, f64)> {
    let (middle, half) = (0.5 * (from + to), 0.5 * (to - from));
    nodes
        .iter()
        .map(move |(x, weight)| (middle + half * x, half * weight))
}

/// Value and slope of the Legendre polynomial of a degree.
fn legendre(degree: usize, x: f64) -> (f64, f64) {
    let (mut before, mut here) = (1.0, x);
    for k in 2..=degree {
        let k = k as f64;
        (before, here) = (here, ((2.0 * k - 1.0) * x * here - (k - 1.0) * before) / k);
    }
    (here, degree as f64 * (x * here - before) / (x * x - 1.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_polynomial_of_the_highest_degree_is_summed_exactly() {
        let rule = nodes(6);
        let sum: f64 = on(&rule, 0.0, 2.0).map(|(x, w)| w * x.powi(11)).sum();
        assert!((sum / (4096.0 / 12.0) - 1.0).abs() < 1e-13);
    }

    #[test]
    fn many_points_add_up_to_the_length_and_to_a_circle() {
        let rule = nodes(80);
        let length: f64 = on(&rule, -1.0, 3.0).map(|(_, w)| w).sum();
        assert!((length - 4.0).abs() < 1e-12);
        let half_pi = std::f64::consts::FRAC_PI_2;
        let area: f64 = on(&rule, -half_pi, half_pi)
            .map(|(t, w)| 2.0 * w * t.cos().powi(2))
            .sum();
        assert!((area - std::f64::consts::PI).abs() < 1e-13);
    }
}
