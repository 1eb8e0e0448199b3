//! Smaller views of photographs, for paper.
//!
//! Law: none; a photo is turned as its camera held it, made to fit a square of
//! 1,000 px (300 dots an inch on the width it is printed at, ISO 216 A4 in
//! three columns) and written as JPEG without anything else a file may carry.
//! Holds: for JPEG, PNG and WebP of up to 40 million pixels; others are listed
//! by name and not printed.
//! Left out: colour profiles; a photo in a wide gamut prints a little paler.
//! Checked by: the tests below.

use std::io::Cursor;

use image::codecs::jpeg::JpegEncoder;
use image::{DynamicImage, ImageDecoder, ImageReader};
use lapwing_sheet::MOST_PHOTOS;

/// Longest side of a view, px.
const SIDE_PX: u32 = 1000;
/// Largest photo that is opened.
const MOST_PIXELS: u64 = 40_000_000;
/// Most memory a decoder may take, bytes.
const MOST_ALLOC: u64 = 256 << 20;
/// Quality of the JPEG written: no loss is seen on paper.
const QUALITY: u8 = 84;

/// Views with the names of their files, as many as a sheet takes.
#[derive(Debug, Default)]
pub(crate) struct Views {
    /// Names of the photographs.
    pub(crate) names: Vec<String>,
    /// Their views, in the same order.
    pub(crate) jpegs: Vec<Vec<u8>>,
}

impl Views {
    /// Whether a sheet takes no more.
    pub(crate) fn is_full(&self) -> bool {
        self.names.len() == MOST_PHOTOS
    }

    /// Adds the view of a photo; a file that cannot be read as one adds nothing.
    pub(crate) fn add(&mut self, name: &str, photo: &[u8]) {
        if self.is_full() {
            return;
        }
        if let Some(jpeg) = view(photo) {
            self.names.push(name.to_owned());
            self.jpegs.push(jpeg);
        }
    }
}

/// The smaller view of a photo; nothing where it is none or too large.
fn view(photo: &[u8]) -> Option<Vec<u8>> {
    let mut reader = ImageReader::new(Cursor::new(photo))
        .with_guessed_format()
        .ok()?;
    let mut limits = image::Limits::default();
    limits.max_alloc = Some(MOST_ALLOC);
    reader.limits(limits);
    let mut decoder = reader.into_decoder().ok()?;
    let (width_px, height_px) = decoder.dimensions();
    if u64::from(width_px) * u64::from(height_px) > MOST_PIXELS {
        return None;
    }
    let held = decoder.orientation().ok()?;
    let whole = DynamicImage::from_decoder(decoder).ok()?;
    let mut small = if width_px.max(height_px) > SIDE_PX {
        whole.thumbnail(SIDE_PX, SIDE_PX)
    } else {
        whole
    };
    small.apply_orientation(held);
    let mut jpeg = Vec::new();
    let encoder = JpegEncoder::new_with_quality(&mut jpeg, QUALITY);
    small.into_rgb8().write_with_encoder(encoder).ok()?;
    Some(jpeg)
}

#[cfg(test)]
mod tests {
    use super::*;
    use image::{ImageFormat, Rgb, RgbImage};

    /// A picture of two halves, left red and right blue.
    fn halves(width_px: u32, height_px: u32, format: ImageFormat) -> Vec<u8> {
        let picture = RgbImage::from_fn(width_px, height_px, |x, _| {
            if x < width_px / 2 {
                Rgb([200, 10, 10])
            } else {
                Rgb([10, 10, 200])
            }
        });
        let mut file = Cursor::new(Vec::new());
        picture.write_to(&mut file, format).expect("written");
        file.into_inner()
    }

    fn size(jpeg: &[u8]) -> (u32, u32) {
        let read = image::load_from_memory_with_format(jpeg, ImageFormat::Jpeg).expect("a JPEG");
        (read.width(), read.height())
    }

    #[test]
    fn a_large_photo_is_made_to_fit_and_a_small_one_keeps_its_size() {
        let large = view(&halves(3000, 1500, ImageFormat::Jpeg)).expect("a view");
        assert_eq!(size(&large), (1000, 500));
        let small = view(&halves(300, 200, ImageFormat::Png)).expect("a view");
        assert_eq!(size(&small), (300, 200));
    }

    #[test]
    fn a_photo_held_upright_is_turned_upright() {
        // EXIF 2.32, tag 0x0112 Orientation = 6: the top is at the right of what was stored.
        let stored = halves(40, 20, ImageFormat::Jpeg);
        let mut exif = b"Exif\0\0MM\0\x2a\0\0\0\x08\0\x01".to_vec();
        exif.extend([1, 0x12, 0, 3, 0, 0, 0, 1, 0, 6, 0, 0, 0, 0, 0, 0]);
        let length = u16::try_from(exif.len() + 2).expect("short");
        let mut file = stored[..2].to_vec();
        file.extend([0xff, 0xe1]);
        file.extend(length.to_be_bytes());
        file.extend(exif);
        file.extend(&stored[2..]);
        let turned = view(&file).expect("a view");
        assert_eq!(size(&turned), (20, 40));
        // Turned a quarter to the right, what was left is on top.
        let read = image::load_from_memory(&turned).expect("a JPEG").to_rgb8();
        assert!(read.get_pixel(10, 5)[0] > 150 && read.get_pixel(10, 35)[2] > 150);
    }

    #[test]
    fn what_is_no_photo_or_far_too_large_adds_nothing() {
        let mut views = Views::default();
        views.add("a.jpg", b"abc");
        views.add("b.jpg", b"");
        // A PNG that says it is 100,000 px square (ISO/IEC 15948, 11.2.2) and holds nothing.
        let mut vast = halves(4, 4, ImageFormat::Png);
        vast[16..24].copy_from_slice(&[0, 1, 0x86, 0xa0, 0, 1, 0x86, 0xa0]);
        views.add("c.png", &vast);
        assert!(views.names.is_empty() && views.jpegs.is_empty());
        for number in 0..MOST_PHOTOS + 3 {
            views.add(&number.to_string(), &halves(8, 8, ImageFormat::Png));
        }
        assert!(views.is_full() && views.jpegs.len() == MOST_PHOTOS);
    }
}
