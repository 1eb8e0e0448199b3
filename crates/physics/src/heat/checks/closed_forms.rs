//! Special functions and closed forms of conduction, evaluated here by series
//! and quadrature.
//!
//! Law: see each function. Source: Carslaw and Jaeger 1959 chapters II, III, X
//! (MEMORY of the places); Abramowitz and Stegun 7.1, 9.6 for the functions.
//! Holds: for the arguments the checks use.
//! Left out: extremes of the arguments.
//! Checked by: the printed values of the physics notes (scipy), below.

use std::f64::consts::PI;

/// erfc by its series below 2 and its continued fraction above.
pub(super) fn erfc(x: f64) -> f64 {
    if x < 0.0 {
        return 2.0 - erfc(-x);
    }
    if x < 2.0 {
        let (mut term, mut sum, mut n) = (x, x, 0.0);
        while f64::abs(term) > 1e-18 {
            n += 1.0;
            term *= -x * x / n;
            sum += term / (2.0 * n + 1.0);
        }
        return 1.0 - 2.0 / PI.sqrt() * sum;
    }
    let mut tail = 0.0;
    for n in (1..200).rev() {
        tail = 0.5 * f64::from(n) / (x + tail);
    }
    (-x * x).exp() / (PI.sqrt() * (x + tail))
}

/// First integral of erfc.
pub(super) fn ierfc(x: f64) -> f64 {
    (-x * x).exp() / PI.sqrt() - x * erfc(x)
}

/// ∫ f over a..b by the midpoint rule on n cells, ends left out.
pub(super) fn integral(a: f64, b: f64, n: usize, f: impl Fn(f64) -> f64) -> f64 {
    let h = (b - a) / n as f64;
    h * (0..n).map(|i| f(a + (i as f64 + 0.5) * h)).sum::<f64>()
}

/// I₀ and I₁ by their angular integrals.
pub(super) fn bessel_i(order: u8, x: f64) -> f64 {
    integral(0.0, PI, 200, |a| {
        (x * a.cos()).exp() * (f64::from(order) * a).cos()
    }) / PI
}

/// K₀ and K₁ by their exponential integrals.
pub(super) fn bessel_k(order: u8, x: f64) -> f64 {
    integral(0.0, 12.0, 4000, |t| {
        (-x * t.cosh()).exp() * (f64::from(order) * t).cosh()
    })
}

/// Surface (depth 0) and inside of a half space under steady flux.
pub(super) fn half_space(q: f64, k: f64, alpha: f64, t: f64, depth: f64) -> f64 {
    let reach = (alpha * t).sqrt();
    2.0 * q * reach / k * ierfc(depth / (2.0 * reach))
}

/// Slab under steady flux, insulated back, `x` from the back.
pub(super) fn slab(q: f64, material: (f64, f64), thick: f64, t: f64, x: f64) -> f64 {
    let (k, alpha) = material;
    let sign = |n: i32| if n % 2 == 0 { 1.0 } else { -1.0 };
    let mode = |n: i32| {
        let w = f64::from(n) * PI;
        sign(n) / f64::from(n * n)
            * (-w * w * alpha * t / (thick * thick)).exp()
            * (w * x / thick).cos()
    };
    let series: f64 = (1..2000).map(mode).sum();
    let still = (3.0 * x * x - thick * thick) / (6.0 * thick * thick) - 2.0 / (PI * PI) * series;
    q * alpha * t / (k * thick) + q * thick / k * still
}

/// Surface of a film (k₁, α₁, thickness) on a half space (k₂, α₂).
pub(super) fn film_on_half_space(q: f64, film: (f64, f64, f64), base: (f64, f64), t: f64) -> f64 {
    let (k, alpha, thick) = film;
    let (e1, e2) = (k / alpha.sqrt(), base.0 / base.1.sqrt());
    let beta = (e1 - e2) / (e1 + e2);
    let reach = (alpha * t).sqrt();
    let images: f64 = (1..400)
        .map(|n| beta.powi(n) * ierfc(f64::from(n) * thick / reach))
        .sum();
    2.0 * q * reach / k * (1.0 / PI.sqrt() + 2.0 * images)
}

/// A thin sheet under a disc: conductance κδ, capacity ρcδ, loss h.
#[derive(Clone, Copy)]
pub(super) struct Sheet {
    pub(super) conductance: f64,
    pub(super) capacity: f64,
    pub(super) loss: f64,
}

impl Sheet {
    /// Steady rise at r under and beside a disc of radius a.
    pub(super) fn steady(self, q: f64, a: f64, r: f64) -> f64 {
        let m = (self.loss / self.conductance).sqrt();
        if r < a {
            return q / self.loss * (1.0 - m * a * bessel_k(1, m * a) * bessel_i(0, m * r));
        }
        q / self.loss * m * a * bessel_i(1, m * a) * bessel_k(0, m * r)
    }

    /// Rise in the middle of a disc after t.
    pub(super) fn centre(self, q: f64, a: f64, t: f64) -> f64 {
        let alpha = self.conductance / self.capacity;
        let f = |s: f64| {
            (1.0 - (-a * a / (4.0 * alpha * s)).exp()) * (-self.loss * s / self.capacity).exp()
        };
        q / self.capacity * integral(0.0, t, 20_000, f)
    }

    /// Rise at a place `ahead` of the middle of a disc that has long been
    /// moving with `speed`.
    pub(super) fn moving(self, q: f64, a: f64, speed: f64, ahead: f64) -> f64 {
        let alpha = self.conductance / self.capacity;
        let f = |s: f64| {
            share_of_disc(a, ahead + speed * s, 4.0 * alpha * s)
                * (-self.loss * s / self.capacity).exp()
        };
        // s = u² takes the steep start away.
        q / self.capacity * integral(0.0, 11.0, 12_000, |u| 2.0 * u * f(u * u))
    }
}

/// What is left at distance d from the middle of a disc of radius a after its
/// heat has spread with width w = 4αs: P = (2/w)∫₀ᵃ ρ e^{−(d−ρ)²/w} Î₀(2dρ/w) dρ,
/// Î₀(x) = e^{−x}I₀(x).
fn share_of_disc(a: f64, d: f64, w: f64) -> f64 {
    let d = d.abs();
    let reach = 7.0 * w.sqrt();
    let (low, high) = ((d - reach).max(0.0), a.min(d + reach));
    if high <= low {
        return 0.0;
    }
    2.0 / w
        * integral(low, high, 200, |p| {
            p * (-(d - p) * (d - p) / w).exp() * scaled_i0(2.0 * d * p / w)
        })
}

/// e^{−x}·I₀(x): Abramowitz and Stegun 9.8.1 and 9.8.2 (error under 2e-7).
fn scaled_i0(x: f64) -> f64 {
    let horner =
        |coefficients: &[f64], t: f64| coefficients.iter().rev().fold(0.0, |sum, c| sum * t + c);
    if x < 3.75 {
        let t = (x / 3.75).powi(2);
        let c = [
            1.0, 3.5156229, 3.0899424, 1.2067492, 0.2659732, 0.0360768, 0.0045813,
        ];
        return horner(&c, t) * (-x).exp();
    }
    let c = [
        0.39894228,
        0.01328592,
        0.00225319,
        -0.00157565,
        0.00916281,
        -0.02057706,
        0.02635537,
        -0.01647633,
        0.00392377,
    ];
    horner(&c, 3.75 / x) / x.sqrt()
}

/// Centre of a disc on a half space after t.
pub(super) fn disc_on_half_space(q: f64, a: f64, k: f64, alpha: f64, t: f64) -> f64 {
    let reach = (alpha * t).sqrt();
    2.0 * q * reach / k * (1.0 / PI.sqrt() - ierfc(a / (2.0 * reach)))
}

#[cfg(test)]
mod tests {
    use super::*;

    const STEEL: Sheet = Sheet {
        conductance: 50.0 * 7e-4,
        capacity: 7850.0 * 470.0 * 7e-4,
        loss: 15.0,
    };

    fn agrees(value: f64, printed: f64, decimals: i32) {
        assert!(
            (value - printed).abs() <= 0.51 * 10.0_f64.powi(-decimals),
            "{value} against {printed}"
        );
    }

    #[test]
    fn the_closed_forms_give_the_values_printed_from_scipy() {
        agrees(
            20.0 + half_space(3e5, 401.0, 117e-6, 120.0, 0.0),
            120.027,
            3,
        );
        agrees(
            20.0 + half_space(3e5, 401.0, 117e-6, 120.0, 0.15),
            45.406,
            3,
        );
        let plastic = 0.25 / (1050.0 * 1800.0);
        agrees(
            slab(6000.0, (0.25, plastic), 0.003, 60.0, 0.003),
            87.4896,
            4,
        );
        agrees(slab(6000.0, (0.25, plastic), 0.003, 60.0, 0.0), 51.4945, 4);
        let film = (0.2, 0.2 / (1200.0 * 1500.0), 120e-6);
        agrees(
            film_on_half_space(6000.0, film, (50.0, 50.0 / (7850.0 * 470.0)), 1.0),
            4.05763,
            5,
        );
        agrees(
            disc_on_half_space(6000.0, 0.0625, 0.25, plastic, 10.0),
            31.14622,
            5,
        );
    }

    #[test]
    fn the_disc_on_a_sheet_gives_the_values_printed_from_scipy() {
        agrees(STEEL.steady(6000.0, 0.0625, 0.0), 205.3872, 4);
        agrees(STEEL.steady(6000.0, 0.0625, 0.0625), 115.0074, 4);
        agrees(STEEL.steady(6000.0, 0.0625, 0.125), 23.0409, 4);
        agrees(STEEL.centre(6000.0, 0.0625, 10.0), 22.56836, 5);
        agrees(STEEL.centre(6000.0, 0.0625, 1e4), 205.387, 2);
        agrees(STEEL.moving(6000.0, 0.0625, 0.0254, 0.0), 5.6750, 3);
        agrees(STEEL.moving(6000.0, 0.0625, 0.0254, -0.0625), 11.1719, 3);
        agrees(STEEL.moving(6000.0, 0.0625, 0.0254, -0.078), 11.1079, 3);
    }
}
