//! Turns the bytes of a readings file into text.
//!
//! Law: none; UTF-8 and UTF-16 as the byte order mark says, without a mark UTF-8.
//! Source: The Unicode Standard, section 23.8 (byte order mark).
//! Holds: for files up to 64 MB (64,000,000 bytes); larger ones are refused.
//! Left out: the old one-byte code pages, which cannot be told apart.
//! Checked by: the unit tests of the module above.

use std::borrow::Cow;

use super::InputError;

const LARGEST_BYTES: usize = 64_000_000;

/// The text without its mark, every line ending in a line feed.
pub(super) fn text<'a>(file: &str, bytes: &'a [u8]) -> Result<Cow<'a, str>, InputError> {
    if bytes.len() > LARGEST_BYTES {
        #[allow(
            clippy::cast_precision_loss,
            reason = "a file size in MB, one decimal shown"
        )]
        let size_mb = bytes.len() as f64 / 1e6;
        return Err(InputError::in_file(
            file,
            format!(
                "the file is {size_mb:.1} MB. Readings are taken from files up to 64 MB; leave out \
                 what is not a reading of this car.",
            ),
        ));
    }
    let text = match bytes {
        [0xFF, 0xFE, rest @ ..] => Cow::Owned(utf16(file, rest, u16::from_le_bytes)?),
        [0xFE, 0xFF, rest @ ..] => Cow::Owned(utf16(file, rest, u16::from_be_bytes)?),
        [0xEF, 0xBB, 0xBF, rest @ ..] => Cow::Borrowed(utf8(file, rest, 3)?),
        all => Cow::Borrowed(utf8(file, all, 0)?),
    };
    if let Some(at) = text.find('\0') {
        return Err(InputError::at_offset(
            file,
            &text,
            at,
            "a zero byte came where text is allowed: this is not a table, or UTF-16 without its \
             mark. Save it again as \"CSV UTF-8\".",
        ));
    }
    if text.trim().is_empty() {
        return Err(InputError::in_file(
            file,
            "the file is empty. A header line with at least panel and thickness_um is needed, then \
             one reading a line.",
        ));
    }
    Ok(if text.contains('\r') {
        Cow::Owned(text.replace("\r\n", "\n").replace('\r', "\n"))
    } else {
        text
    })
}

fn utf8<'a>(file: &str, bytes: &'a [u8], skipped: usize) -> Result<&'a str, InputError> {
    std::str::from_utf8(bytes).map_err(|fault| {
        let at = fault.valid_up_to();
        let line = bytes[..at].iter().filter(|b| **b == b'\n').count() + 1;
        let sentence = format!(
            "byte {} of the file (value {:#04X}) is not UTF-8. UTF-8 and marked UTF-16 are read; \
             save the table again as \"CSV UTF-8\".",
            at + skipped,
            bytes[at]
        );
        InputError::at(file, line, None, sentence)
    })
}

fn utf16(file: &str, bytes: &[u8], join: fn([u8; 2]) -> u16) -> Result<String, InputError> {
    let (pairs, odd) = bytes.as_chunks::<2>();
    let broken = |byte: usize| {
        InputError::in_file(
            file,
            format!(
                "byte {byte} of the file is not UTF-16, though the file is marked as such. UTF-8 \
                 and marked UTF-16 are read; save the table again as \"CSV UTF-8\".",
            ),
        )
    };
    let mut text = String::with_capacity(pairs.len());
    let mut byte = 2;
    for letter in char::decode_utf16(pairs.iter().map(|pair| join(*pair))) {
        let letter = letter.map_err(|_| broken(byte))?;
        byte += 2 * letter.len_utf16();
        text.push(letter);
    }
    if odd.is_empty() {
        Ok(text)
    } else {
        Err(broken(byte))
    }
}
