//! The colour bar with its ticks and walls, and the keys of hatch and dots.
//!
//! Law: none. A wall is the same thick upright stroke here as on a curve.
//! Source: ours.
//! Holds: for every [`Scale`]. A wall outside the scale is left out.
//! Left out: the number itself, which always stands on the picture.
//! Checked by: the tests of the pictures that carry a legend.

use super::flatcar::Labels;
use super::geometry::{Point, Rect};
use super::hatch;
use super::lettering::width_px;
use super::scale::{Quantity, Scale, Units, Wall};
use super::svg::{Anchor, Ink, Span, Svg, number, place};
use super::theme::Theme;
use super::ticks;

/// Smallest letters on any picture, px.
pub(crate) const SMALL_PX: f64 = 12.0;
/// Room right of the strip, px.
const RIM_PX: f64 = 8.0;
/// Height of the colour strip, px.
const STRIP_PX: f64 = 12.0;
/// Room for the names of walls above the strip, px.
const WALL_ROOM_PX: f64 = 25.0;
/// Room for ticks and their numbers under the strip, px.
const TICK_ROOM_PX: f64 = 20.0;

/// A colour bar and what stands on it.
pub(crate) struct Bar<'a> {
    pub(crate) scale: Scale,
    pub(crate) units: Units,
    pub(crate) theme: &'a Theme,
    pub(crate) walls: &'a [Wall],
    /// A value pointed at from above, with its name, e.g. the mean.
    pub(crate) pointer: Option<f64>,
}

impl Bar<'_> {
    /// The height the bar takes, px.
    pub(crate) fn height(&self) -> f64 {
        let above = if self.visible_walls().next().is_some() {
            WALL_ROOM_PX
        } else if self.pointer.is_some() {
            8.0
        } else {
            0.0
        };
        above + STRIP_PX + TICK_ROOM_PX
    }

    /// Draws the bar with its upper left corner at `at`.
    pub(crate) fn draw(&self, svg: &mut Svg, at: Point, width: f64) {
        let top = at.y + self.height() - STRIP_PX - TICK_ROOM_PX;
        let strip = Rect {
            left: at.x,
            top,
            right: at.x + width,
            bottom: top + STRIP_PX,
        };
        self.draw_bands(svg, strip);
        self.draw_ticks(svg, strip);
        self.draw_walls(svg, strip);
        if let Some(value) = self.pointer {
            let x = self.along(strip, value);
            let tip = Point::new(x, strip.top);
            let data = format!("M{}l-4-7h8z", place(tip));
            svg.path(&data, &format!("fill=\"{}\"", self.theme.ink));
        }
    }

    fn along(&self, strip: Rect, value: f64) -> f64 {
        let span = self.scale.high() - self.scale.low();
        let share = ((value - self.scale.low()) / span).clamp(0.0, 1.0);
        strip.left + strip.width() * share
    }

    fn draw_bands(&self, svg: &mut Svg, strip: Rect) {
        let mut borders = vec![self.scale.low()];
        borders.extend(self.scale.borders());
        borders.push(self.scale.high());
        for pair in borders.windows(2) {
            let colour = self.scale.banded(f64::midpoint(pair[0], pair[1]));
            let cell = Rect {
                left: self.along(strip, pair[0]),
                right: self.along(strip, pair[1]),
                ..strip
            };
            svg.rect(
                cell,
                &format!("fill=\"{colour}\" stroke=\"{colour}\" stroke-width=\"0.4\""),
            );
        }
        svg.rect(
            strip,
            &format!("fill=\"none\" stroke=\"{}\"", self.theme.rule),
        );
    }

    fn draw_ticks(&self, svg: &mut Svg, strip: Rect) {
        let ink = Ink::new(self.theme.ink, Anchor::Middle);
        let most = if strip.width() < 180.0 { 4 } else { 7 };
        for (value, label) in self.scale.ticks(self.units, most) {
            let x = self.along(strip, value);
            let foot = Point::new(x, strip.bottom + 4.0);
            svg.stroke(Point::new(x, strip.bottom), foot, self.theme.ink2, 1.0);
            // The last number stays on the picture.
            let far = strip.right + RIM_PX - 0.5 * width_px(&label, SMALL_PX, false);
            svg.text(
                Point::new(x.min(far), strip.bottom + 16.0),
                &[Span::plain(label, SMALL_PX)],
                ink,
            );
        }
    }

    fn draw_walls(&self, svg: &mut Svg, strip: Rect) {
        let mut free_from = f64::NEG_INFINITY;
        for wall in self.visible_walls() {
            let x = self.along(strip, wall.at);
            let (top, bottom) = (strip.top - 4.0, strip.bottom + 4.0);
            draw_wall(svg, Point::new(x, top), Point::new(x, bottom), self.theme);
            let words = wall_words(wall, &self.scale, self.units);
            let width = width_px(&words, SMALL_PX, false);
            let left = (x - width / 2.0).min(strip.right - width).max(free_from);
            free_from = left + width + 6.0;
            let ink = Ink::new(self.theme.ink, Anchor::Start);
            svg.text(
                Point::new(left, strip.top - 12.0),
                &[Span::plain(words, SMALL_PX)],
                ink,
            );
        }
    }

    fn visible_walls(&self) -> impl Iterator<Item = &Wall> {
        let inside = |wall: &&Wall| {
            wall.at.is_finite() && !self.scale.is_below(wall.at) && !self.scale.is_above(wall.at)
        };
        self.walls.iter().filter(inside)
    }
}

/// "warn 45", in the unit of the page.
pub(crate) fn wall_words(wall: &Wall, scale: &Scale, units: Units) -> String {
    let shown = scale.shown(wall.at, units);
    // Nobody reads a surface to a tenth of a degree.
    let most = if scale.quantity() == Quantity::Temperature {
        0
    } else {
        2
    };
    let places = ticks::decimals((shown * 100.0).round() / 100.0).min(most);
    format!("{} {}", wall.label, ticks::written(shown, places))
}

/// The wall: one thick stroke in ink with a casing of paper.
pub(crate) fn draw_wall(svg: &mut Svg, from: Point, to: Point, theme: &Theme) {
    svg.stroke(from, to, theme.paper, 7.0);
    svg.stroke(from, to, theme.ink, 4.0);
}

/// What a key shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Key {
    NotMeasured,
    Unsure,
    LittleKnown,
    Repaint,
    Leave,
    BelowScale,
    AboveScale,
}

impl Key {
    pub(crate) fn words(self) -> &'static str {
        match self {
            Self::NotMeasured => "not measured",
            Self::Unsure => "unsure",
            Self::LittleKnown => "little known",
            Self::Repaint => "repaint?",
            Self::Leave => "leave",
            Self::BelowScale => "under the scale",
            Self::AboveScale => "over the scale",
        }
    }
}

/// Draws keys in rows no wider than `room_px`; returns the height taken.
pub(crate) fn draw_keys(
    svg: &mut Svg,
    at: Point,
    room_px: f64,
    (keys, labels): (&[Key], Labels),
    theme: &Theme,
) -> f64 {
    let (mut x, mut y) = (at.x, at.y);
    for key in keys {
        let words = labels.say(key.words());
        let width = 28.0 + width_px(words, SMALL_PX, false) + 14.0;
        if x > at.x && x + width - 14.0 > at.x + room_px {
            x = at.x;
            y += 20.0;
        }
        let swatch = Rect {
            left: x,
            top: y,
            right: x + 22.0,
            bottom: y + 13.0,
        };
        draw_swatch(svg, swatch, *key, theme);
        let ink = Ink::new(theme.ink2, Anchor::Start);
        svg.text(
            Point::new(x + 28.0, y + 11.0),
            &[Span::plain(words, SMALL_PX)],
            ink,
        );
        x += width;
    }
    if keys.is_empty() {
        0.0
    } else {
        y + 20.0 - at.y
    }
}

fn draw_swatch(svg: &mut Svg, area: Rect, key: Key, theme: &Theme) {
    let corners = corners(area);
    let sample = Scale::film().banded(108.0);
    let ground = match key {
        Key::Unsure | Key::LittleKnown => sample,
        Key::Leave => theme.ink,
        _ => theme.sheet,
    };
    svg.rect(area, &format!("fill=\"{ground}\""));
    match key {
        Key::NotMeasured => draw_hatch(svg, &corners, 6.0, (theme.rule, 0.9)),
        Key::Unsure => draw_hatch(svg, &corners, UNSURE.0, (theme.paper, UNSURE.1)),
        Key::LittleKnown => {
            draw_hatch(svg, &corners, LITTLE_KNOWN.0, (theme.paper, LITTLE_KNOWN.1))
        }
        Key::Repaint | Key::AboveScale => draw_dots(svg, &corners, theme),
        Key::BelowScale => {
            svg.rect(
                area.grown(-3.0),
                &format!("fill=\"none\" stroke=\"{}\"", theme.ink),
            );
        }
        Key::Leave => {}
    }
    svg.rect(area, &format!("fill=\"none\" stroke=\"{}\"", theme.rule));
}

/// Distance of rows of dots, px; along a row they stand twice as far apart.
const DOT_PITCH_PX: f64 = 4.0;
/// Pitch and stroke of the hatch that says "unsure", px.
pub(crate) const UNSURE: (f64, f64) = (7.0, 2.0);
/// Pitch and stroke of the hatch that says "little known", px.
pub(crate) const LITTLE_KNOWN: (f64, f64) = (7.0, 4.2);

/// The corners of a rectangle as an outline.
pub(crate) fn corners(area: Rect) -> [Point; 4] {
    [
        Point::new(area.left, area.top),
        Point::new(area.right, area.top),
        Point::new(area.right, area.bottom),
        Point::new(area.left, area.bottom),
    ]
}

/// Hatch lines as one path: colour and stroke width in `pen`.
pub(crate) fn draw_hatch(
    svg: &mut Svg,
    outline: &[Point],
    pitch: f64,
    pen: (super::colour::Rgb, f64),
) {
    let data: String = hatch::lines(outline, pitch)
        .iter()
        .map(|(a, b)| format!("M{}L{}", place(*a), place(*b)))
        .collect();
    if !data.is_empty() {
        let attributes = format!(
            "fill=\"none\" stroke=\"{}\" stroke-width=\"{}\"",
            pen.0, pen.1
        );
        svg.path(&data, &attributes);
    }
}

/// Dots as one path: each row a line of very short round dashes.
pub(crate) fn draw_dots(svg: &mut Svg, outline: &[Point], theme: &Theme) {
    let data: String = hatch::dot_rows(outline, DOT_PITCH_PX, 2.2)
        .iter()
        .map(|(a, b)| format!("M{}H{}", place(*a), number(b.x)))
        .collect();
    if !data.is_empty() {
        let attributes = format!(
            "fill=\"none\" stroke=\"{}\" stroke-width=\"2\" stroke-linecap=\"round\" stroke-dasharray=\"0.1 {}\"",
            theme.rule,
            number(2.0 * DOT_PITCH_PX - 0.1)
        );
        svg.path(&data, &attributes);
    }
}
