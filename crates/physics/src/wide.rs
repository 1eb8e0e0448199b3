//! Lets a hot loop use the widest registers the machine has, with the same numbers.
//!
//! Law: none. A loop is compiled once for each kind of registers, and the
//! machine is asked which it has. All do the same roundings in the same order
//! lane by lane (nothing is fused or reordered), so the bits do not depend on
//! the machine.
//! Source: `fearless_simd` for the question, the call and the lanes.
//! Holds: for loops over fixed lanes.
//! Left out: 512-bit registers for the loops that the compiler widens by itself.
//! Checked by: equal bits of both ways, below; the heat kernel on every kind.

use std::ops::{Deref, DerefMut};

/// Runs `work` on the widest registers there are; it should be inlined.
#[inline]
pub(crate) fn widest<R>(work: impl FnOnce() -> R) -> R {
    #[cfg(target_arch = "x86_64")]
    if let Some(wide) = fearless_simd::Level::new().as_avx2() {
        return fearless_simd::Simd::vectorize(wide, work);
    }
    work()
}

/// Numbers that start where a line of the cache starts, so that no register
/// full of them lies across two lines.
#[derive(Debug)]
pub(crate) struct Aligned {
    room: Vec<f32>,
    start: usize,
    length: usize,
}

/// Bytes of a line of the cache.
const LINE_BYTES: usize = 64;

impl Aligned {
    pub(crate) fn new(length: usize, value: f32) -> Self {
        let spare = LINE_BYTES / size_of::<f32>();
        let room = vec![value; length + spare];
        let start = room.as_ptr().align_offset(LINE_BYTES).min(spare);
        Self {
            room,
            start,
            length,
        }
    }
}

impl Deref for Aligned {
    type Target = [f32];

    #[inline]
    fn deref(&self) -> &[f32] {
        &self.room[self.start..self.start + self.length]
    }
}

impl DerefMut for Aligned {
    #[inline]
    fn deref_mut(&mut self) -> &mut [f32] {
        &mut self.room[self.start..self.start + self.length]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn aligned_numbers_start_a_line_of_the_cache() {
        for length in [0, 1, 17, 4096] {
            let numbers = Aligned::new(length, 1.5);
            assert_eq!(numbers.as_ptr().align_offset(LINE_BYTES), 0);
            assert!(numbers.len() == length && numbers.iter().all(|x| *x == 1.5));
        }
    }

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
