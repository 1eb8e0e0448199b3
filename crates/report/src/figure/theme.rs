//! The named colours of a page: light for the office, bay for the dark, print
//! for paper.
//!
//! Law: none; a table. Text colours keep 4.5 to 1 on every ground, outlines
//! keep 3 to 1.
//! Source: ours; computed in OKLab. Contrast rule: W3C, Web Content
//! Accessibility Guidelines 2.2, success criteria 1.4.3 and 1.4.11.
//! Holds: for SVG drawn on the theme's own paper.
//! Left out: map colours, which are the same in every theme (see `scale`).
//! Checked by: the contrast tests below.

use super::colour::Rgb;

/// The colours that belong to the page, not to a number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Theme {
    /// The ground of the page.
    pub paper: Rgb,
    /// A panel without colour, a chosen row.
    pub sheet: Rgb,
    /// Glass and the track of a bar.
    pub sunk: Rgb,
    /// Decoration only.
    pub hair: Rgb,
    /// Outlines and ticks.
    pub rule: Rgb,
    /// Text.
    pub ink: Rgb,
    /// Second text.
    pub ink2: Rgb,
    /// A limit.
    pub limit: Rgb,
    /// A caution's edge.
    pub warn: Rgb,
    /// "You are here", "do this next".
    pub here: Rgb,
    /// Anything to press; data in charts.
    pub act: Rgb,
}

impl Theme {
    /// The page by day.
    pub const LIGHT: Self = Self {
        paper: Rgb::hex(0x00f1_f5f2),
        sheet: Rgb::hex(0x00fa_fcfb),
        sunk: Rgb::hex(0x00e4_eae7),
        hair: Rgb::hex(0x00c4_cfcc),
        rule: Rgb::hex(0x0076_8384),
        ink: Rgb::hex(0x000f_2429),
        ink2: Rgb::hex(0x003e_5257),
        limit: Rgb::hex(0x0092_2022),
        warn: Rgb::hex(0x008a_560c),
        here: Rgb::hex(0x00ab_4b16),
        act: Rgb::hex(0x0003_5868),
    };

    /// The page in a dark bay.
    pub const BAY: Self = Self {
        paper: Rgb::hex(0x000c_1417),
        sheet: Rgb::hex(0x0015_2024),
        sunk: Rgb::hex(0x0006_0c0f),
        hair: Rgb::hex(0x0034_4346),
        rule: Rgb::hex(0x0073_8487),
        ink: Rgb::hex(0x00f0_f1e9),
        ink2: Rgb::hex(0x00b7_c1b8),
        limit: Rgb::hex(0x00fe_8977),
        warn: Rgb::hex(0x00f4_c466),
        here: Rgb::hex(0x00fa_9c4e),
        act: Rgb::hex(0x0082_dadf),
    };

    /// White paper.
    pub const PRINT: Self = Self {
        paper: Rgb::WHITE,
        sheet: Rgb::WHITE,
        ..Self::LIGHT
    };
}

#[cfg(test)]
mod tests {
    use super::*;

    const ALL: [Theme; 3] = [Theme::LIGHT, Theme::BAY, Theme::PRINT];

    #[test]
    fn every_text_colour_reads_on_every_ground() {
        for theme in ALL {
            let texts = [theme.ink, theme.ink2, theme.limit, theme.warn, theme.here];
            for text in texts.into_iter().chain([theme.act]) {
                for ground in [theme.paper, theme.sheet, theme.sunk] {
                    assert!(text.contrast(ground) >= 4.5, "{text} on {ground}");
                }
            }
        }
    }

    #[test]
    fn an_outline_stands_off_its_ground() {
        for theme in ALL {
            assert!(theme.rule.contrast(theme.paper) >= 3.0);
            assert!(theme.rule.contrast(theme.sheet) >= 3.0);
        }
    }
}
