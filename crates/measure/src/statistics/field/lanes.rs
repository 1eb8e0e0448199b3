//! The kernel for many places at once, in the widest registers there are.
//!
//! Law: as in `kernel`. e^x for x ≤ 0: x = k·ln 2 + r with |r| ≤ ½·ln 2, the
//! series of e^r up to r¹³/13! (the next term is below 4e-18), times 2^k. Below
//! −700 it counts as e^−700. Nothing is fused and every lane goes its own way,
//! so the bits are the same on any machine.
//! Source: the split of ln 2 in two is textbook (Cody and Waite 1980, MEMORY);
//! `fearless_simd` for the lanes.
//! Holds: for x ≤ 0.
//! Left out: exponents above zero.
//! Checked by: e^x against the standard library, the shapes against `kernel`,
//! equal bits of every kind of registers.

use fearless_simd::prelude::*;
use fearless_simd::{f64x8, i64x8};

use super::{Kernel, Shape, Site};

/// Places in a register.
pub(super) const LANES: usize = 8;

/// Places side by side in a panel.
pub(super) const PANEL: usize = 2 * LANES;

/// 3/2 · 2⁵²: adding it rounds to a whole number, which is left in the low bits.
const ROUNDS: f64 = 6_755_399_441_055_744.0;
/// ln 2 in 33 bits, so that a whole number of times it is exact, and the rest.
const LN_2_HIGH: f64 = 6.931_471_803_691_238e-1;
const LN_2_LOW: f64 = 1.908_214_929_270_587_7e-10;

/// 1/0!, 1/1! … 1/13!.
const SERIES: [f64; 14] = [
    1.0,
    1.0,
    0.5,
    1.666_666_666_666_666_6e-1,
    4.166_666_666_666_666_4e-2,
    8.333_333_333_333_333e-3,
    1.388_888_888_888_889e-3,
    1.984_126_984_126_984e-4,
    2.480_158_730_158_73e-5,
    2.755_731_922_398_589_3e-6,
    2.755_731_922_398_589e-7,
    2.505_210_838_544_172e-8,
    2.087_675_698_786_81e-9,
    1.605_904_383_682_161_3e-10,
];

/// e^x for x ≤ 0.
#[inline(always)]
pub(super) fn exp<S: Simd>(simd: S, x: f64x8<S>) -> f64x8<S> {
    let x = x.max(f64x8::splat(simd, -700.0));
    let shifted = x * std::f64::consts::LOG2_E + ROUNDS;
    let k = shifted - ROUNDS;
    let r = x - k * LN_2_HIGH - k * LN_2_LOW;
    // In pairs of pairs: a long chain of terms would keep the machine waiting.
    let pair = |k: usize| r * SERIES[2 * k + 1] + SERIES[2 * k];
    let two = r * r;
    let four = two * two;
    let low = (pair(0) + pair(1) * two) + (pair(2) + pair(3) * two) * four;
    let high = (pair(4) + pair(5) * two) + pair(6) * four;
    let sum = low + high * (four * four);
    let bias = i64x8::splat(simd, 1023);
    let power: f64x8<S> = ((shifted.bitcast::<i64x8<S>>() + bias) << 52_u32).bitcast();
    sum * power
}

/// Likeness at squared distances, and q as `Shape::correlation_and_slope`.
#[inline(always)]
fn likeness<S: Simd>(simd: S, shape: Shape, square: f64x8<S>) -> [f64x8<S>; 2] {
    let a = match shape {
        Shape::Matern32 => (square * 3.0).sqrt(),
        Shape::Matern52 => (square * 5.0).sqrt(),
        Shape::SquaredExponential => square * 0.5,
        Shape::Spherical => return spherical(simd, square),
    };
    let fall = exp(simd, -a);
    match shape {
        Shape::Matern32 => [(a + 1.0) * fall, fall * 3.0],
        Shape::Matern52 => [
            (a + 1.0 + a * a * (1.0 / 3.0)) * fall,
            (a + 1.0) * fall * (5.0 / 3.0),
        ],
        _ => [fall, fall],
    }
}

#[inline(always)]
fn spherical<S: Simd>(simd: S, square: f64x8<S>) -> [f64x8<S>; 2] {
    let nothing = f64x8::splat(simd, 0.0);
    let distance = square.sqrt();
    let inside = distance.simd_lt(1.0);
    let rho = -(distance * 1.5) + distance * square * 0.5 + 1.0;
    let slope = (-square + 1.0) * 1.5 / distance;
    let is_apart = distance.simd_gt(nothing) & inside;
    [inside.select(rho, nothing), is_apart.select(slope, nothing)]
}

/// Places in ranges of a kernel, one list a direction, the last place repeated
/// until panels are full.
#[derive(Clone, Debug)]
pub(super) struct Spots {
    pub(super) u: Vec<f64>,
    pub(super) v: Vec<f64>,
}

impl Spots {
    pub(super) fn of(kernel: &Kernel, sites: &[Site]) -> Self {
        let (per_u, per_v) = (kernel.range_u.recip(), kernel.range_v.recip());
        let list = |axis: usize, per: f64| -> Vec<f64> {
            let mut list: Vec<f64> = sites.iter().map(|site| site[axis] * per).collect();
            let last = list.last().copied().unwrap_or(0.0);
            list.resize(sites.len().next_multiple_of(PANEL), last);
            list
        };
        Self {
            u: list(0, per_u),
            v: list(1, per_v),
        }
    }
}

/// A kernel ready for lanes.
#[derive(Clone, Copy)]
pub(super) struct Likeness {
    pub(super) shape: Shape,
    pub(super) variance: f64,
}

impl Likeness {
    pub(super) fn of(kernel: &Kernel) -> Self {
        Self {
            shape: kernel.shape,
            variance: kernel.sd * kernel.sd,
        }
    }

    /// Squared distances of a register of places from one along u and v,
    /// covariances with it, and q.
    #[inline(always)]
    pub(super) fn with<S: Simd>(
        self,
        simd: S,
        (u, v): (&[f64; LANES], &[f64; LANES]),
        at: [f64; 2],
    ) -> ([f64x8<S>; 2], [f64x8<S>; 2]) {
        let u = f64x8::load_array_ref(simd, u) - at[0];
        let v = f64x8::load_array_ref(simd, v) - at[1];
        let (u, v) = (u * u, v * v);
        let [rho, q] = likeness(simd, self.shape, u + v);
        ([u, v], [rho * self.variance, q])
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use fearless_simd::{Level, dispatch};

    fn all(values: &[f64; LANES]) -> [f64; LANES] {
        dispatch!(Level::new(), simd => exp(simd, f64x8::load_array_ref(simd, values)).to_array())
    }

    #[test]
    fn the_exponential_is_that_of_the_standard_library() {
        for step in 0..40_000 {
            let base = -f64::from(step) * 0.0172;
            let values: [f64; LANES] = std::array::from_fn(|k| {
                base - f64::from(u32::try_from(k).expect("small")) * 0.001_37
            });
            for (x, found) in values.iter().zip(all(&values)) {
                let expected = x.max(-700.0).exp();
                assert!(
                    (found / expected - 1.0).abs() < 1e-15,
                    "{x}: {found} {expected}"
                );
            }
        }
    }

    #[test]
    fn every_shape_in_lanes_is_the_shape_alone() {
        for shape in [
            Shape::Matern32,
            Shape::Matern52,
            Shape::SquaredExponential,
            Shape::Spherical,
        ] {
            for step in 0..200 {
                let distance = f64::from(step) * 0.0171;
                let [rho, q] = dispatch!(Level::new(), simd => {
                    let square = f64x8::splat(simd, distance * distance);
                    likeness(simd, shape, square).map(|lanes| lanes.to_array()[3])
                });
                let alone = shape.correlation_and_slope(distance);
                assert!((rho - alone.0).abs() < 2e-15, "{shape:?} at {distance}");
                assert!(
                    (q - alone.1).abs() < 1e-13 * (1.0 + alone.1.abs()),
                    "{shape:?}"
                );
            }
        }
    }

    #[cfg(target_arch = "x86_64")]
    #[test]
    fn every_kind_of_registers_gives_the_same_bits() {
        let values: [f64; LANES] = [-0.0, -1e-9, -0.3, -1.7, -33.3, -250.0, -699.0, -1e4];
        let level = Level::new();
        let run = |found: [f64; LANES]| found.map(f64::to_bits);
        let wide = run(all(&values));
        if let Some(simd) = level.as_sse2() {
            let kind = simd.vectorize(
                #[inline(always)]
                || exp(simd, f64x8::load_array_ref(simd, &values)).to_array(),
            );
            assert_eq!(run(kind), wide);
        }
        if let Some(simd) = level.as_avx2() {
            let kind = simd.vectorize(
                #[inline(always)]
                || exp(simd, f64x8::load_array_ref(simd, &values)).to_array(),
            );
            assert_eq!(run(kind), wide);
        }
    }
}
