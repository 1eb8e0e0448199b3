//! The soft bar: how sure a number is, as a shape for a table cell.
//!
//! Law: full ink over the middle half of the interval, fading in steps to its
//! ends; a hard tick at the value; a wall where a limit stands.
//! Source: ours.
//! Holds: for low <= value <= high inside the axis; ends beyond the axis are
//! cut at it. Anything that is not a number leaves the track empty.
//! Left out: numbers, which stand in the cell beside it.
//! Checked by: places worked by hand, and nonsense.

use super::geometry::{Point, Rect};
use super::legend::draw_wall;
use super::svg::Svg;
use super::theme::Theme;

/// One interval to draw. All values share one unit.
#[derive(Clone, Debug, PartialEq)]
pub struct SoftBar {
    /// Lower end of the interval.
    pub low: f64,
    /// The value itself.
    pub value: f64,
    /// Upper end of the interval.
    pub high: f64,
    /// A limit, drawn as a wall.
    pub limit: Option<f64>,
    /// What the left end of the track means.
    pub from: f64,
    /// What the right end of the track means.
    pub to: f64,
    /// What a screen reader says: "32 ± 5 μm".
    pub words: String,
}

/// Steps of the fade on either side.
const FADE_STEPS: u32 = 5;

/// A soft bar, `width_px` by `height_px`, on the theme's track.
#[must_use]
pub fn soft_bar(bar: &SoftBar, width_px: f64, height_px: f64, theme: &Theme) -> String {
    let mut svg = Svg::open(width_px, height_px, &bar.words, "");
    let middle = height_px / 2.0;
    let track = (Point::new(2.0, middle), Point::new(width_px - 2.0, middle));
    svg.stroke(track.0, track.1, theme.hair, 2.0);
    let along = |value: f64| 2.0 + (width_px - 4.0) * bar.share(value);
    if bar.is_drawable() {
        let (top, bottom) = (height_px * 0.22, height_px * 0.78);
        for (from, to, opacity) in bar.pieces() {
            let piece = Rect {
                left: along(from),
                top,
                right: along(to),
                bottom,
            };
            if piece.width() > 0.01 {
                svg.rect(
                    piece,
                    &format!("fill=\"{}\" fill-opacity=\"{opacity:.2}\"", theme.act),
                );
            }
        }
        let x = along(bar.value);
        let (head, foot) = (Point::new(x, 1.0), Point::new(x, height_px - 1.0));
        svg.stroke(head, foot, theme.ink, 2.2);
    }
    if let Some(limit) = bar
        .limit
        .filter(|limit| limit.is_finite() && bar.has_axis())
    {
        let x = along(limit);
        draw_wall(
            &mut svg,
            Point::new(x, 0.5),
            Point::new(x, height_px - 0.5),
            theme,
        );
    }
    svg.close()
}

impl SoftBar {
    fn has_axis(&self) -> bool {
        self.from.is_finite() && self.to.is_finite() && self.from < self.to
    }

    fn is_drawable(&self) -> bool {
        let ordered = self.low <= self.value && self.value <= self.high;
        self.has_axis() && ordered && self.low.is_finite() && self.high.is_finite()
    }

    fn share(&self, value: f64) -> f64 {
        ((value - self.from) / (self.to - self.from)).clamp(0.0, 1.0)
    }

    /// From, to and opacity of each piece, left to right. The middle half lies
    /// between the points halfway from the value to either end.
    fn pieces(&self) -> Vec<(f64, f64, f64)> {
        let inner_low = f64::midpoint(self.low, self.value);
        let inner_high = f64::midpoint(self.value, self.high);
        let mut pieces = Vec::new();
        for step in 0..FADE_STEPS {
            let (a, b) = (share_of(step), share_of(step + 1));
            let opacity = 0.85 * (a + b) / 2.0;
            let up = |s: f64| self.low + (inner_low - self.low) * s;
            let down = |s: f64| self.high + (inner_high - self.high) * s;
            pieces.push((up(a), up(b), opacity));
            pieces.push((down(b), down(a), opacity));
        }
        pieces.push((inner_low, inner_high, 0.85));
        pieces.sort_by(|p, q| p.0.total_cmp(&q.0));
        pieces
    }
}

fn share_of(step: u32) -> f64 {
    f64::from(step) / f64::from(FADE_STEPS)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::figure::svg::reading::assert_well_formed;

    fn bar() -> SoftBar {
        SoftBar {
            low: 20.0,
            value: 30.0,
            high: 40.0,
            limit: Some(15.0),
            from: 0.0,
            to: 60.0,
            words: "30 ± 10 µm".to_owned(),
        }
    }

    #[test]
    fn the_middle_half_is_full_and_the_ends_fade() {
        let pieces = bar().pieces();
        let full: Vec<_> = pieces.iter().filter(|piece| piece.2 > 0.84).collect();
        assert_eq!(full.len(), 1);
        assert!((full[0].0 - 25.0).abs() < 1e-9 && (full[0].1 - 35.0).abs() < 1e-9);
        assert!(pieces[0].2 < 0.1 && (pieces[0].0 - 20.0).abs() < 1e-9);
        assert!(
            pieces
                .windows(2)
                .all(|pair| (pair[0].1 - pair[1].0).abs() < 1e-9)
        );
    }

    #[test]
    fn the_tick_stands_halfway_when_the_value_does() {
        let text = soft_bar(&bar(), 124.0, 16.0, &Theme::LIGHT);
        assert_well_formed(&text);
        assert!(text.contains("M62 1L62 15"), "{text}");
        assert!(text.contains("M32 0.5L32 15.5"), "{text}");
        assert!(text.len() < 2500, "{}", text.len());
    }

    #[test]
    fn nonsense_leaves_the_track_empty() {
        for broken in [
            SoftBar {
                value: f64::NAN,
                ..bar()
            },
            SoftBar { low: 50.0, ..bar() },
            SoftBar {
                from: 1.0,
                to: 1.0,
                ..bar()
            },
        ] {
            let text = soft_bar(&broken, 124.0, 16.0, &Theme::LIGHT);
            assert_well_formed(&text);
            assert!(!text.contains("fill-opacity"));
        }
    }
}
