//! Lets a hot loop use the widest registers the machine has, with the same numbers.
//!
//! Law: none. The loop is compiled twice, once for any machine and once for
//! machines with 256-bit registers, and the machine is asked once which it is.
//! Both do the same roundings in the same order lane by lane (nothing is fused
//! or reordered), so the bits do not depend on the machine.
//! Source: `fearless_simd` for the question and the call.
//! Holds: for loops over fixed lanes that the compiler can widen.
//! Left out: 512-bit registers, which were no faster here.
//! Checked by: equal bits of both ways, below.

/// Runs `work` on the widest registers there are; it should be inlined.
#[inline]
pub(crate) fn widest<R>(work: impl FnOnce() -> R) -> R {
    #[cfg(target_arch = "x86_64")]
    if let Some(wide) = fearless_simd::Level::new().as_avx2() {
        return fearless_simd::Simd::vectorize(wide, work);
    }
    work()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wide_and_plain_give_the_same_bits() {
        #[inline(always)]
        fn chain(values: &mut [f32; 64]) {
            for round in 0..50_u16 {
                for value in values.iter_mut() {
                    *value = *value * 1.000_123 + 0.37 * (f32::from(round) - *value);
                }
            }
        }
        let start: [f32; 64] = std::array::from_fn(|i| 0.1 + i as f32 / 7.0);
        let (mut plain, mut wide) = (start, start);
        chain(&mut plain);
        widest(
            #[inline(always)]
            || chain(&mut wide),
        );
        assert_eq!(plain.map(f32::to_bits), wide.map(f32::to_bits));
    }
}
