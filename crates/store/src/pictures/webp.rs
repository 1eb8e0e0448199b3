//! Blanks everything in a WebP that is not picture: EXIF, XMP, unknown chunks.
//!
//! Law: only the chunks that a decoder needs pass; any other keeps its length,
//! but its name becomes `JUNK` and its bytes zero, so that the sizes written
//! at the front stay true. Nothing after the stated end passes.
//! Source: RFC 9649 sections 2.3 to 2.7 (chunks, headers, flags).
//! Holds: byte by byte as they come; at most 64 kB are in memory.
//! Left out: moving pictures, which are refused; the orientation in EXIF.
//! Checked by: files made with a general library, decoded before and after.

use super::png::gather;
use super::{Facts, Limits, PictureFault};

const HEAD_BYTES: usize = 12;
/// Enough of a chunk's body to know the sides of the picture.
const PEEK_BYTES: usize = 10;
/// EXIF and XMP in the first byte of the extended header.
const FLAGS_OF_METADATA: u8 = 0x08 | 0x04;
const FLAG_OF_MOTION: u8 = 0x02;

/// A WebP on its way through.
pub(super) struct Webp {
    state: State,
    held: Vec<u8>,
    /// Bytes left of the file as its front states.
    left: u64,
    facts: Facts,
    has_data: bool,
}

#[derive(Clone, Copy)]
enum State {
    Front,
    ChunkHead,
    /// Name and length of a chunk whose first bytes are being gathered.
    Peek([u8; 4], u64),
    /// How many bytes are left, and whether they pass.
    Body(u64, bool),
    Done,
}

impl Webp {
    pub(super) fn new() -> Self {
        Self {
            state: State::Front,
            held: Vec::new(),
            left: 0,
            facts: Facts::new("image/webp"),
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
                State::Front => {
                    if gather(&mut self.held, &mut rest, HEAD_BYTES) {
                        self.end_front(out)?;
                    }
                }
                State::ChunkHead => {
                    if gather(&mut self.held, &mut rest, 8) {
                        self.end_chunk_head(out)?;
                    }
                }
                State::Peek(name, length) => {
                    let wanted = PEEK_BYTES.min(usize::try_from(length).unwrap_or(PEEK_BYTES));
                    if gather(&mut self.held, &mut rest, wanted) {
                        self.end_peek(name, length, limits, out)?;
                    }
                }
                State::Body(left, passes) => {
                    let take = rest.len().min(usize::try_from(left).unwrap_or(usize::MAX));
                    if passes {
                        out.extend_from_slice(&rest[..take]);
                    } else {
                        out.resize(out.len() + take, 0);
                    }
                    rest = &rest[take..];
                    self.body_state(left - take as u64, passes);
                }
            }
        }
        Ok(())
    }

    pub(super) fn finish(self) -> Result<Facts, PictureFault> {
        match self.state {
            State::Done if self.has_data && self.facts.width_px > 0 => Ok(self.facts),
            _ => Err(PictureFault::CutOff),
        }
    }

    fn end_front(&mut self, out: &mut Vec<u8>) -> Result<(), PictureFault> {
        let size = u64::from(little(&self.held[4..8]));
        if !self.held.starts_with(b"RIFF") || &self.held[8..12] != b"WEBP" || size < 12 {
            return Err(PictureFault::Broken);
        }
        self.left = size - 4;
        out.append(&mut self.held);
        self.state = State::ChunkHead;
        Ok(())
    }

    fn end_chunk_head(&mut self, out: &mut Vec<u8>) -> Result<(), PictureFault> {
        let held = std::mem::take(&mut self.held);
        let length = u64::from(little(&held[4..8]));
        // Bodies are padded to an even length.
        let padded = length + length % 2;
        self.left = self
            .left
            .checked_sub(8 + padded)
            .ok_or(PictureFault::Broken)?;
        let name = [held[0], held[1], held[2], held[3]];
        match &name {
            b"ANIM" | b"ANMF" => return Err(PictureFault::Moving),
            b"VP8 " | b"VP8L" | b"VP8X" => {
                out.extend_from_slice(&held);
                self.state = State::Peek(name, padded);
            }
            b"ALPH" | b"ICCP" => {
                out.extend_from_slice(&held);
                self.body_state(padded, true);
            }
            _ => {
                out.extend_from_slice(b"JUNK");
                out.extend_from_slice(&held[4..8]);
                self.body_state(padded, false);
            }
        }
        Ok(())
    }

    fn end_peek(
        &mut self,
        name: [u8; 4],
        length: u64,
        limits: &Limits,
        out: &mut Vec<u8>,
    ) -> Result<(), PictureFault> {
        let mut held = std::mem::take(&mut self.held);
        let (width_px, height_px) = match &name {
            b"VP8X" => {
                if held[0] & FLAG_OF_MOTION != 0 {
                    return Err(PictureFault::Moving);
                }
                held[0] &= !FLAGS_OF_METADATA;
                extended_sides(&held)
            }
            b"VP8 " => lossy_sides(&held),
            _ => lossless_sides(&held),
        }
        .ok_or(PictureFault::Broken)?;
        self.has_data |= &name != b"VP8X";
        self.facts.width_px = self.facts.width_px.max(width_px);
        self.facts.height_px = self.facts.height_px.max(height_px);
        limits.check_sides(&self.facts)?;
        let left = length - held.len() as u64;
        out.append(&mut held);
        self.body_state(left, true);
        Ok(())
    }

    fn body_state(&mut self, left: u64, passes: bool) {
        self.state = match (left, self.left) {
            (0, 0) => State::Done,
            (0, _) => State::ChunkHead,
            _ => State::Body(left, passes),
        };
    }
}

fn extended_sides(b: &[u8]) -> Option<(u32, u32)> {
    let &[_, _, _, _, w0, w1, w2, h0, h1, h2] = b else {
        return None;
    };
    Some((little(&[w0, w1, w2]) + 1, little(&[h0, h1, h2]) + 1))
}

fn lossy_sides(b: &[u8]) -> Option<(u32, u32)> {
    let &[_, _, _, 0x9d, 0x01, 0x2a, w0, w1, h0, h1] = b else {
        return None;
    };
    Some((little(&[w0, w1]) & 0x3fff, little(&[h0, h1]) & 0x3fff))
}

fn lossless_sides(b: &[u8]) -> Option<(u32, u32)> {
    let &[0x2f, b0, b1, b2, b3, ..] = b else {
        return None;
    };
    let bits = little(&[b0, b1, b2, b3]);
    Some(((bits & 0x3fff) + 1, ((bits >> 14) & 0x3fff) + 1))
}

fn little(bytes: &[u8]) -> u32 {
    bytes
        .iter()
        .rev()
        .fold(0, |sum, byte| (sum << 8) | u32::from(*byte))
}
