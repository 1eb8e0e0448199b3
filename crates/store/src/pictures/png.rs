//! Takes everything out of a PNG that is not picture: texts, EXIF, times.
//!
//! Law: only the chunks that a decoder needs pass; nothing after IEND passes.
//! Source: chunk layout and names, PNG (third edition) sections 5.3 and 11.
//! Holds: byte by byte as they come; at most 64 kB are in memory.
//! Left out: animation, whose chunks are dropped, so that the still picture
//! stays; checking the checksums, which the decoder does.
//! Checked by: files made with a general library, decoded before and after.

use super::{Facts, Limits, PictureFault};

const KEPT: [&[u8; 4]; 13] = [
    b"IHDR", b"PLTE", b"IDAT", b"IEND", b"tRNS", b"gAMA", b"cHRM", b"sRGB", b"iCCP", b"sBIT",
    b"pHYs", b"bKGD", b"cICP",
];
const SIGNATURE: &[u8] = b"\x89PNG\r\n\x1a\n";
const MOST_CHUNK_BYTES: u32 = 1 << 31;

/// A PNG on its way through.
pub(super) struct Png {
    state: State,
    head: Vec<u8>,
    facts: Facts,
    has_data: bool,
}

enum State {
    Signature,
    Head,
    /// How many bytes are left, whether they pass, whether it is the last chunk.
    Body(u64, bool, bool),
    Done,
}

impl Png {
    pub(super) fn new() -> Self {
        Self {
            state: State::Signature,
            head: Vec::new(),
            facts: Facts::new("image/png"),
            has_data: false,
        }
    }

    pub(super) fn feed(
        &mut self,
        input: &[u8],
        limits: &Limits,
        out: &mut Vec<u8>,
    ) -> Result<(), PictureFault> {
        let mut rest = input;
        while !rest.is_empty() {
            match self.state {
                State::Done => return Ok(()),
                State::Body(left, passes, is_last) => {
                    let take = rest.len().min(usize::try_from(left).unwrap_or(usize::MAX));
                    if passes {
                        out.extend_from_slice(&rest[..take]);
                    }
                    rest = &rest[take..];
                    let left = left - take as u64;
                    self.state = match (left, is_last) {
                        (0, true) => State::Done,
                        (0, false) => State::Head,
                        _ => State::Body(left, passes, is_last),
                    };
                }
                State::Signature => {
                    if gather(&mut self.head, &mut rest, SIGNATURE.len()) {
                        if self.head != SIGNATURE {
                            return Err(PictureFault::Broken);
                        }
                        out.append(&mut self.head);
                        self.state = State::Head;
                    }
                }
                // The first chunk's head is gathered with its sides.
                State::Head => {
                    let wanted = if self.facts.width_px == 0 { 16 } else { 8 };
                    if gather(&mut self.head, &mut rest, wanted) {
                        self.end_head(limits, out)?;
                    }
                }
            }
        }
        Ok(())
    }

    pub(super) fn finish(self) -> Result<Facts, PictureFault> {
        match self.state {
            State::Done if self.has_data => Ok(self.facts),
            _ => Err(PictureFault::CutOff),
        }
    }

    fn end_head(&mut self, limits: &Limits, out: &mut Vec<u8>) -> Result<(), PictureFault> {
        let head = std::mem::take(&mut self.head);
        let length = number(&head[..4]);
        let name = &head[4..8];
        if length >= MOST_CHUNK_BYTES {
            return Err(PictureFault::Broken);
        }
        // The body is followed by a checksum of four bytes.
        let mut left = u64::from(length) + 4;
        if head.len() == 16 {
            if name != b"IHDR" || length != 13 {
                return Err(PictureFault::Broken);
            }
            self.facts.width_px = number(&head[8..12]);
            self.facts.height_px = number(&head[12..16]);
            limits.check_sides(&self.facts)?;
            left -= 8;
        } else if name == b"IHDR" {
            return Err(PictureFault::Broken);
        }
        let passes = KEPT.iter().any(|kept| kept.as_slice() == name);
        self.has_data |= name == b"IDAT";
        if passes {
            out.extend_from_slice(&head);
        }
        self.state = State::Body(left, passes, name == b"IEND");
        Ok(())
    }
}

/// Collects until `wanted` bytes are there; true when they are.
pub(super) fn gather(held: &mut Vec<u8>, rest: &mut &[u8], wanted: usize) -> bool {
    let take = rest.len().min(wanted.saturating_sub(held.len()));
    held.extend_from_slice(&rest[..take]);
    *rest = &rest[take..];
    held.len() >= wanted
}

fn number(bytes: &[u8]) -> u32 {
    bytes
        .iter()
        .fold(0, |sum, byte| (sum << 8) | u32::from(*byte))
}
