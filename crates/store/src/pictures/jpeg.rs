//! Takes everything out of a JPEG that is not picture: place, phone, previews.
//!
//! Law: only the segments that a decoder needs pass (tables, frame, scans,
//! JFIF without its preview, ICC profile, Adobe's colour mark). Of the EXIF
//! block only the orientation is written again, and the time it was taken is
//! told to the store. Nothing after the end mark passes.
//! Source: segments and marks, ITU-T T.81 annex B; EXIF in APP1, CIPA DC-008
//! section 4.5.4.
//! Holds: byte by byte as they come; at most one segment (64 kB) is in memory.
//! Left out: checking the compressed data itself; the decoder does.
//! Checked by: files made with a general library, decoded before and after,
//! and read with an EXIF library.

use super::{Facts, Limits, PictureFault};

const MOST_SCANS: u32 = 64;

/// A JPEG on its way through.
pub(super) struct Jpeg {
    state: State,
    segment: Vec<u8>,
    facts: Facts,
    scans: u32,
    has_exif: bool,
}

enum State {
    Start,
    StartSecond,
    Mark,
    MarkCode,
    Length(u8),
    LengthSecond(u8, u8),
    Segment(u8, usize),
    Scan,
    ScanMark,
    Done,
}

impl Jpeg {
    pub(super) fn new() -> Self {
        Self {
            state: State::Start,
            segment: Vec::new(),
            facts: Facts::new("image/jpeg"),
            scans: 0,
            has_exif: false,
        }
    }

    pub(super) fn feed(
        &mut self,
        input: &[u8],
        limits: &Limits,
        out: &mut Vec<u8>,
    ) -> Result<(), PictureFault> {
        let mut rest = input;
        while let Some((&byte, after)) = rest.split_first() {
            match self.state {
                State::Done => return Ok(()),
                State::Segment(mark, wanted) => {
                    let take = rest.len().min(wanted - self.segment.len());
                    self.segment.extend_from_slice(&rest[..take]);
                    rest = &rest[take..];
                    if self.segment.len() == wanted {
                        self.end_segment(mark, limits, out)?;
                    }
                }
                State::Scan => {
                    let plain = rest.iter().position(|b| *b == 0xff).unwrap_or(rest.len());
                    out.extend_from_slice(&rest[..plain]);
                    rest = &rest[plain..];
                    if let Some((_, after)) = rest.split_first() {
                        self.state = State::ScanMark;
                        rest = after;
                    }
                }
                _ => {
                    self.step(byte, out)?;
                    rest = after;
                }
            }
        }
        Ok(())
    }

    pub(super) fn finish(self) -> Result<Facts, PictureFault> {
        match self.state {
            State::Done if self.facts.width_px > 0 && self.scans > 0 => Ok(self.facts),
            _ => Err(PictureFault::CutOff),
        }
    }

    fn step(&mut self, byte: u8, out: &mut Vec<u8>) -> Result<(), PictureFault> {
        self.state = match (&self.state, byte) {
            (State::Start, 0xff) => State::StartSecond,
            (State::StartSecond, 0xd8) => {
                out.extend_from_slice(&[0xff, 0xd8]);
                State::Mark
            }
            (State::Mark, 0xff) => State::MarkCode,
            // Fill bytes may stand before a mark.
            (State::MarkCode, 0xff) => State::MarkCode,
            (State::MarkCode, 0xd9) => {
                out.extend_from_slice(&[0xff, 0xd9]);
                State::Done
            }
            (State::MarkCode, 0x00 | 0x01 | 0xd0..=0xd8) => return Err(PictureFault::Broken),
            (State::MarkCode, mark) => State::Length(mark),
            (State::Length(mark), high) => State::LengthSecond(*mark, high),
            (State::LengthSecond(mark, high), low) => {
                let length = usize::from(u16::from_be_bytes([*high, low]));
                if length <= 2 {
                    return Err(PictureFault::Broken);
                }
                self.segment.clear();
                State::Segment(*mark, length - 2)
            }
            // Within a scan: a stuffed zero or a restart belongs to the data.
            (State::ScanMark, 0x00 | 0xd0..=0xd7) => {
                out.extend_from_slice(&[0xff, byte]);
                State::Scan
            }
            (State::ScanMark, 0xff) => State::ScanMark,
            (State::ScanMark, 0xd9) => {
                out.extend_from_slice(&[0xff, 0xd9]);
                State::Done
            }
            (State::ScanMark, 0x01 | 0xd8) => return Err(PictureFault::Broken),
            (State::ScanMark, mark) => State::Length(mark),
            _ => return Err(PictureFault::Broken),
        };
        Ok(())
    }

    fn end_segment(
        &mut self,
        mark: u8,
        limits: &Limits,
        out: &mut Vec<u8>,
    ) -> Result<(), PictureFault> {
        self.state = State::Mark;
        match mark {
            0xc4 | 0xcc | 0xdb | 0xdc | 0xdd => emit(mark, &self.segment, out),
            0xc0..=0xcf => {
                self.read_frame(limits)?;
                emit(mark, &self.segment, out);
            }
            0xda => {
                self.scans += 1;
                if self.scans > MOST_SCANS {
                    return Err(PictureFault::Broken);
                }
                emit(mark, &self.segment, out);
                self.state = State::Scan;
            }
            0xe0 if self.segment.starts_with(b"JFIF\0") && self.segment.len() >= 14 => {
                // The preview's sides, and the preview, are left out.
                let mut jfif = self.segment[..14].to_vec();
                jfif[12..14].fill(0);
                emit(mark, &jfif, out);
            }
            0xe1 => self.read_exif(out),
            0xe2 if self.segment.starts_with(b"ICC_PROFILE\0") => emit(mark, &self.segment, out),
            0xee if self.segment.starts_with(b"Adobe") => emit(mark, &self.segment, out),
            _ => {}
        }
        Ok(())
    }

    fn read_frame(&mut self, limits: &Limits) -> Result<(), PictureFault> {
        let &[_, h1, h0, w1, w0, ..] = self.segment.as_slice() else {
            return Err(PictureFault::Broken);
        };
        if self.facts.width_px > 0 {
            return Err(PictureFault::Broken);
        }
        self.facts.width_px = u32::from(u16::from_be_bytes([w1, w0]));
        self.facts.height_px = u32::from(u16::from_be_bytes([h1, h0]));
        limits.check_sides(&self.facts)
    }

    fn read_exif(&mut self, out: &mut Vec<u8>) {
        let Some(block) = self.segment.strip_prefix(b"Exif\0\0") else {
            return;
        };
        if std::mem::replace(&mut self.has_exif, true) {
            return;
        }
        let Ok(exif) = exif::Reader::new().read_raw(block.to_vec()) else {
            return;
        };
        let field = |tag| exif.get_field(tag, exif::In::PRIMARY);
        self.facts.taken = field(exif::Tag::DateTimeOriginal).and_then(taken);
        let turn = field(exif::Tag::Orientation).and_then(|f| f.value.get_uint(0));
        if let Some(turn @ 2..=8) = turn {
            emit(0xe1, &orientation_only(turn as u8), out);
        }
    }
}

fn emit(mark: u8, payload: &[u8], out: &mut Vec<u8>) {
    // A payload came out of one segment, so its length fits.
    let length = u16::try_from(payload.len() + 2).unwrap_or(u16::MAX);
    out.extend_from_slice(&[0xff, mark]);
    out.extend_from_slice(&length.to_be_bytes());
    out.extend_from_slice(payload);
}

/// `YYYY:MM:DD HH:MM:SS` as the camera wrote it, if it did.
fn taken(field: &exif::Field) -> Option<String> {
    let exif::Value::Ascii(lines) = &field.value else {
        return None;
    };
    let text = std::str::from_utf8(lines.first()?).ok()?;
    let is_time = |c: char| c.is_ascii_digit() || c == ':' || c == ' ';
    (text.len() == 19 && text.chars().all(is_time)).then(|| text.to_owned())
}

/// An EXIF block that says how the picture is turned, and nothing else.
fn orientation_only(turn: u8) -> Vec<u8> {
    let mut block = b"Exif\0\0MM\0\x2a\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0".to_vec();
    block.extend_from_slice(&[turn, 0, 0, 0, 0, 0, 0]);
    block
}
