//! Colours as the eye orders them, and how far two of them stand apart.
//!
//! Law: sRGB transfer c = ((s + 0.055)/1.055)^2.4 above s = 0.04045, else
//! s/12.92; relative luminance Y = 0.2126 R + 0.7152 G + 0.0722 B; contrast
//! (Y1 + 0.05)/(Y2 + 0.05), from 1 to 21; OKLab as two matrices around a cube
//! root.
//! Source: IEC 61966-2-1 (transfer); W3C, Web Content Accessibility Guidelines
//! 2.2, "relative luminance" and "contrast ratio"; Ottosson 2020, "A perceptual
//! color space for image processing" (OKLab).
//! Holds: for the sRGB gamut. A mixture outside it is pulled to the nearest
//! channel limit.
//! Left out: colour-vision simulation; the scales were chosen with it
//! (Machado and others 2009) and stand as fixed numbers.
//! Checked by: W3C's own end points (21 and 1), the published OKLab value of
//! white, and grey 119 as the last grey that reads on white at 4.5.

use std::fmt;

/// One sRGB colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Rgb {
    /// Red, 0 to 255.
    pub red: u8,
    /// Green, 0 to 255.
    pub green: u8,
    /// Blue, 0 to 255.
    pub blue: u8,
}

impl Rgb {
    /// Black.
    pub const BLACK: Self = Self::hex(0x0000_0000);
    /// White.
    pub const WHITE: Self = Self::hex(0x00ff_ffff);

    /// A colour from its six hexadecimal digits, `0xRRGGBB`.
    #[must_use]
    pub const fn hex(digits: u32) -> Self {
        let [_, red, green, blue] = digits.to_be_bytes();
        Self { red, green, blue }
    }

    /// Relative luminance, 0 for black and 1 for white.
    #[must_use]
    pub fn luminance(self) -> f64 {
        let [r, g, b] = self.linear();
        0.2126 * r + 0.7152 * g + 0.0722 * b
    }

    /// Contrast ratio of two colours, 1 (none) to 21 (black on white).
    #[must_use]
    pub fn contrast(self, other: Self) -> f64 {
        let (a, b) = (self.luminance(), other.luminance());
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    /// Black or white, whichever reads better on this colour.
    #[must_use]
    pub fn text(self) -> Self {
        if self.contrast(Self::BLACK) >= self.contrast(Self::WHITE) {
            Self::BLACK
        } else {
            Self::WHITE
        }
    }

    /// Lightness, green to red, blue to yellow in OKLab.
    #[must_use]
    pub fn oklab(self) -> [f64; 3] {
        let [r, g, b] = self.linear();
        let l = (0.412_221_470_8 * r + 0.536_332_536_3 * g + 0.051_445_992_9 * b).cbrt();
        let m = (0.211_903_498_2 * r + 0.680_699_545_1 * g + 0.107_396_956_6 * b).cbrt();
        let s = (0.088_302_461_9 * r + 0.281_718_837_6 * g + 0.629_978_700_5 * b).cbrt();
        [
            0.210_454_255_3 * l + 0.793_617_785_0 * m - 0.004_072_046_8 * s,
            1.977_998_495_1 * l - 2.428_592_205_0 * m + 0.450_593_709_9 * s,
            0.025_904_037_1 * l + 0.782_771_766_2 * m - 0.808_675_766_0 * s,
        ]
    }

    /// The colour `share_frac` of the way to another one, along a straight
    /// line in OKLab.
    #[must_use]
    pub fn mix(self, other: Self, share_frac: f64) -> Self {
        let share_frac = share_frac.clamp(0.0, 1.0);
        let (from, to) = (self.oklab(), other.oklab());
        let at = |i: usize| from[i] + (to[i] - from[i]) * share_frac;
        from_oklab([at(0), at(1), at(2)])
    }

    fn linear(self) -> [f64; 3] {
        [self.red, self.green, self.blue].map(|channel| {
            let s = f64::from(channel) / 255.0;
            if s <= 0.040_45 {
                s / 12.92
            } else {
                ((s + 0.055) / 1.055).powf(2.4)
            }
        })
    }
}

impl fmt::Display for Rgb {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "#{:02x}{:02x}{:02x}", self.red, self.green, self.blue)
    }
}

fn from_oklab([lightness, a, b]: [f64; 3]) -> Rgb {
    let l = (lightness + 0.396_337_777_4 * a + 0.215_803_757_3 * b).powi(3);
    let m = (lightness - 0.105_561_345_8 * a - 0.063_854_172_8 * b).powi(3);
    let s = (lightness - 0.089_484_177_5 * a - 1.291_485_548_0 * b).powi(3);
    Rgb {
        red: encoded(4.076_741_662_1 * l - 3.307_711_591_3 * m + 0.230_969_929_2 * s),
        green: encoded(-1.268_438_004_6 * l + 2.609_757_401_1 * m - 0.341_319_396_5 * s),
        blue: encoded(-0.004_196_086_3 * l - 0.703_418_614_7 * m + 1.707_614_701_0 * s),
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "the value is clamped to 0..=255 first"
)]
fn encoded(linear: f64) -> u8 {
    let c = linear.clamp(0.0, 1.0);
    let s = if c <= 0.003_130_8 {
        12.92 * c
    } else {
        1.055 * c.powf(1.0 / 2.4) - 0.055
    };
    (s * 255.0).round().clamp(0.0, 255.0) as u8
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn black_on_white_has_the_greatest_contrast_and_a_colour_on_itself_the_least() {
        assert!((Rgb::BLACK.contrast(Rgb::WHITE) - 21.0).abs() < 1e-12);
        let straw = Rgb::hex(0x00f6_ebb1);
        assert!((straw.contrast(straw) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn grey_118_reads_on_white_and_grey_119_just_fails() {
        // W3C's understanding document names #767676 as the lightest grey that
        // passes 4.5:1 on white.
        assert!(Rgb::hex(0x0076_7676).contrast(Rgb::WHITE) >= 4.5);
        assert!(Rgb::hex(0x0077_7777).contrast(Rgb::WHITE) < 4.5);
    }

    #[test]
    fn white_is_one_in_oklab_as_published() {
        let [l, a, b] = Rgb::WHITE.oklab();
        assert!((l - 1.0).abs() < 1e-6 && a.abs() < 1e-6 && b.abs() < 1e-6);
    }

    #[test]
    fn every_channel_goes_to_oklab_and_back() {
        for value in 0..=255_u32 {
            let colour = Rgb::hex((value << 16) | ((255 - value) << 8) | ((value * 7) % 256));
            assert_eq!(colour.mix(Rgb::BLACK, 0.0), colour);
            assert_eq!(Rgb::BLACK.mix(colour, 1.0), colour);
        }
    }

    #[test]
    fn prints_six_digits() {
        assert_eq!(Rgb::hex(0x0006_697a).to_string(), "#06697a");
    }
}
