//! Drawing a section map: bands, lines, marks, axes, colour bar.
//!
//! Law: none; a picture.
//! Source: ours.
//! Holds: for a map that was checked by the room's front page.
//! Left out: nothing beyond it.
//! Checked by: the tests of the map.

use super::SectionMap;
use super::contour::{Field, calmed, thinned};
use crate::figure::colour::Rgb;
use crate::figure::geometry::{Point, Rect};
use crate::figure::legend::{Bar, SMALL_PX, wall_words};
use crate::figure::lettering::wrapped;
use crate::figure::scale::{Quantity, Units};
use crate::figure::svg::{Anchor, Ink, Span, Svg, outline, run};
use crate::figure::ticks;

/// Room left of the frame for the numbers of the upright axis, px.
const LEFT_PX: f64 = 34.0;
/// Room over the frame for the title, px.
const TOP_PX: f64 = 26.0;
/// Most bytes the lines of one map may take.
const MOST_BYTES: usize = 45_000;

/// One map as a picture of its own.
pub(super) fn alone(map: &SectionMap<'_>) -> String {
    let drawn = Drawn::new(map, map.width_px);
    let mut svg = Svg::open(drawn.width, drawn.height(), map.title, &drawn.description());
    drawn.draw(&mut svg, MOST_BYTES);
    svg.close()
}

/// Two maps as one picture.
pub(super) fn pair(left: &SectionMap<'_>, right: &SectionMap<'_>) -> String {
    let gap = 20.0;
    let is_beside = left.width_px >= 520.0;
    let each = if is_beside {
        (left.width_px - gap) / 2.0
    } else {
        left.width_px
    };
    let (first, second) = (Drawn::new(left, each), Drawn::new(right, each));
    let (dx, dy) = if is_beside {
        (each + gap, 0.0)
    } else {
        (0.0, first.height() + gap)
    };
    let (width, height) = (
        second.width + dx,
        (second.height() + dy).max(first.height()),
    );
    let title = format!("{}; {}", left.title, right.title);
    let description = format!("{} {}", first.description(), second.description());
    let mut svg = Svg::open(width, height, &title, &description);
    first.draw(&mut svg, MOST_BYTES / 2);
    svg.raw(&format!("<g transform=\"translate({dx:.1} {dy:.1})\">\n"));
    second.draw(&mut svg, MOST_BYTES / 2);
    svg.raw("</g>\n");
    svg.close()
}

/// A map laid out on the page.
struct Drawn<'a> {
    map: &'a SectionMap<'a>,
    width: f64,
    frame: Rect,
    field: Field,
    least: (f64, Point),
    most: (f64, Point),
    mean: f64,
    decimals: usize,
}

impl<'a> Drawn<'a> {
    fn new(map: &'a SectionMap<'a>, width_px: f64) -> Self {
        let width = if width_px.is_finite() {
            width_px.clamp(200.0, 2000.0)
        } else {
            320.0
        };
        let inner = width - LEFT_PX - 8.0;
        let tall = (inner * map.height_m / map.width_m).clamp(inner * 0.2, inner * 2.0);
        let frame = Rect {
            left: LEFT_PX,
            top: TOP_PX,
            right: LEFT_PX + inner,
            bottom: TOP_PX + tall,
        };
        let calm = (map.scale.quantity() == Quantity::Temperature)
            .then(|| calmed(map.values, map.columns, map.rows));
        let drawn = calm.as_deref().unwrap_or(map.values);
        let field = Field::of_cells(drawn, map.columns, map.rows, frame);
        let at = |index: usize| {
            let (column, row) = (index % map.columns, index / map.columns);
            Point::new(field.xs[column + 2], field.ys[row + 2])
        };
        let extreme = |sign: f64| {
            let best = map
                .values
                .iter()
                .enumerate()
                .max_by(|a, b| (sign * a.1).total_cmp(&(sign * b.1)));
            best.map_or((0.0, Point::new(0.0, 0.0)), |(i, value)| (*value, at(i)))
        };
        let (least, most) = (extreme(-1.0), extreme(1.0));
        let shown = |value: f64| map.scale.shown(value, map.units);
        let span = (shown(map.scale.high()) - shown(map.scale.low())).abs();
        let step = ticks::round_step(span, 20).unwrap_or(1.0);
        let count = u32::try_from(map.values.len()).unwrap_or(u32::MAX);
        Self {
            map,
            width,
            frame,
            least,
            most,
            mean: map.values.iter().sum::<f64>() / f64::from(count),
            decimals: ticks::decimals(step),
            field,
        }
    }

    fn written(&self, value: f64) -> String {
        ticks::written(self.map.scale.shown(value, self.map.units), self.decimals)
    }

    /// The same, with as many digits more as show that it is not nothing.
    fn written_finely(&self, value: f64) -> String {
        let shown = self.map.scale.shown(value, self.map.units);
        let is_seen = |decimals: &usize| {
            let digits = i32::try_from(*decimals).unwrap_or(0);
            (shown.abs() * 10_f64.powi(digits)).round() >= 1.0
        };
        let decimals = (self.decimals..self.decimals + 3).find(is_seen);
        ticks::written(shown, decimals.unwrap_or(self.decimals))
    }

    /// "Least 0.8, mean 1.2, most 1.7 μm."
    fn summary(&self) -> String {
        if !self.map.summary.is_empty() {
            return self.map.summary.to_owned();
        }
        let unit = self.map.scale.unit(self.map.units);
        let [least, mean, most] =
            [self.least.0, self.mean, self.most.0].map(|v| self.written_finely(v));
        format!("Least {least}, mean {mean}, most {most}\u{a0}{unit}.")
    }

    fn description(&self) -> String {
        format!(
            "{}: {} {}",
            self.map.title,
            self.summary(),
            self.map.caption
        )
    }

    fn bar(&self) -> Bar<'_> {
        Bar {
            scale: self.map.scale,
            units: self.map.units,
            theme: &self.map.theme,
            walls: self.map.walls,
            pointer: Some(self.mean),
        }
    }

    fn words_under(&self) -> Vec<String> {
        let room = self.width - self.frame.left;
        let mut lines = wrapped(&self.summary(), SMALL_PX + 1.0, room);
        lines.extend(wrapped(self.map.caption, SMALL_PX + 1.0, room));
        lines
    }

    fn height(&self) -> f64 {
        let lines: f64 = self.words_under().iter().map(|_| 18.0).sum();
        self.frame.bottom + 24.0 + self.bar().height() + 6.0 + lines + 4.0
    }

    fn draw(&self, svg: &mut Svg, most_bytes: usize) {
        let theme = &self.map.theme;
        let title = format!(
            "{}, {}",
            self.map.title,
            self.map.scale.unit(self.map.units)
        );
        let ink = Ink::new(theme.ink, Anchor::Start);
        svg.text(
            Point::new(self.frame.left, TOP_PX - 9.0),
            &[Span::bold(title, 14.5)],
            ink,
        );
        svg.raw(&self.thinned_to(most_bytes));
        self.draw_walls(svg);
        svg.rect(self.frame, &outline(theme, 1.6));
        self.draw_axes(svg);
        self.draw_figures(svg);
        let top = self.frame.bottom + 24.0;
        let bar = self.bar();
        bar.draw(svg, Point::new(self.frame.left, top), self.frame.width());
        let mut y = top + bar.height() + 6.0;
        for words in self.words_under() {
            let span = Span::plain(words, SMALL_PX + 1.0);
            svg.text(
                Point::new(self.frame.left, y + 12.0),
                &[span],
                Ink::new(theme.ink2, Anchor::Start),
            );
            y += 18.0;
        }
    }

    /// The bands and contours, thinned until they fit.
    fn thinned_to(&self, most_bytes: usize) -> String {
        let mut slack = 0.3;
        loop {
            let markup = self.bands(slack) + &self.contours(slack);
            if markup.len() <= most_bytes || slack > 20.0 {
                return markup;
            }
            slack *= 1.6;
        }
    }

    fn bands(&self, slack: f64) -> String {
        let scale = &self.map.scale;
        let mut svg = Svg::fragment();
        svg.rect(
            self.frame,
            &format!("fill=\"{}\"", scale.banded(self.least.0)),
        );
        for border in scale.borders() {
            if border <= self.least.0 || border > self.most.0 {
                continue;
            }
            let data = self.data(border, slack);
            if !data.is_empty() {
                let colour = scale.banded(border + scale.band() / 2.0);
                svg.path(&data, &format!("fill=\"{colour}\" fill-rule=\"evenodd\""));
            }
        }
        svg.into_markup()
    }

    /// Thin lines at the levels that carry a figure.
    fn contours(&self, slack: f64) -> String {
        let mut svg = Svg::fragment();
        for (value, _) in self.levels() {
            let data = self.data(value, slack);
            if !data.is_empty() {
                let (text, _) = self.colours_at(value);
                let attributes = format!(
                    "fill=\"none\" stroke=\"{text}\" stroke-width=\"0.9\" stroke-opacity=\"0.7\" stroke-linejoin=\"round\""
                );
                svg.path(&data, &attributes);
            }
        }
        svg.into_markup()
    }

    fn data(&self, level: f64, slack: f64) -> String {
        let lines = self.field.lines(level);
        let thin = |line: &Vec<Point>| run(&thinned(line, slack, 40.0 * slack * slack), true);
        lines.iter().map(thin).collect()
    }

    /// Round levels with their figures, without those a wall stands on.
    fn levels(&self) -> Vec<(f64, String)> {
        let (scale, units) = (&self.map.scale, self.map.units);
        let [low, high] = [self.least.0, self.most.0].map(|value| scale.shown(value, units));
        let (levels, decimals) = ticks::ticks(low, high, 6);
        levels
            .into_iter()
            .filter(|level| *level > low)
            .map(|level| (scale.meant(level, units), ticks::written(level, decimals)))
            .filter(|(value, _)| {
                self.map
                    .walls
                    .iter()
                    .all(|wall| (wall.at - value).abs() > 1e-6)
            })
            .collect()
    }

    fn draw_walls(&self, svg: &mut Svg) {
        let theme = &self.map.theme;
        for wall in self.map.walls.iter().filter(|wall| wall.at.is_finite()) {
            let lines = self.field.lines(wall.at);
            let data: String = lines
                .iter()
                .map(|line| run(&thinned(line, 0.25, 6.0), true))
                .collect();
            if !data.is_empty() {
                for (colour, width) in [(theme.paper, 5.0), (theme.ink, 2.6)] {
                    svg.path(
                        &data,
                        &format!("fill=\"none\" stroke=\"{colour}\" stroke-width=\"{width}\""),
                    );
                }
            }
        }
    }

    fn draw_axes(&self, svg: &mut Svg) {
        let theme = &self.map.theme;
        let (per_m, unit) = match self.map.units {
            Units::Metric => (1000.0, "mm"),
            Units::Customary => (1000.0 / 25.4, "in"),
        };
        let ink = |anchor| Ink::new(theme.ink2, anchor);
        let most = if self.frame.width() < 220.0 { 3 } else { 5 };
        let (places, decimals) = ticks::ticks(0.0, self.map.width_m * per_m, most);
        let last = places.len().saturating_sub(1);
        for (i, at) in places.iter().enumerate() {
            let x = self.frame.left + self.frame.width() * at / (self.map.width_m * per_m);
            let foot = Point::new(x, self.frame.bottom + 4.0);
            svg.stroke(Point::new(x, self.frame.bottom), foot, theme.ink2, 1.0);
            let end = if i == last {
                format!("\u{a0}{unit}")
            } else {
                String::new()
            };
            let words = format!("{}{end}", ticks::written(*at, decimals));
            let anchor = if x > self.frame.right - 22.0 {
                Anchor::End
            } else {
                Anchor::Middle
            };
            let x = if anchor == Anchor::End {
                self.width - 1.0
            } else {
                x
            };
            svg.text(
                Point::new(x, self.frame.bottom + 16.0),
                &[Span::plain(words, SMALL_PX)],
                ink(anchor),
            );
        }
        let (places, decimals) = ticks::ticks(0.0, self.map.height_m * per_m, most);
        for at in places.iter().skip(1) {
            let y = self.frame.bottom - self.frame.height() * at / (self.map.height_m * per_m);
            let head = Point::new(self.frame.left - 4.0, y);
            svg.stroke(Point::new(self.frame.left, y), head, theme.ink2, 1.0);
            let words = ticks::written(*at, decimals);
            let place = Point::new(self.frame.left - 6.0, (y + 4.0).max(TOP_PX + 8.0));
            svg.text(place, &[Span::plain(words, SMALL_PX)], ink(Anchor::End));
        }
    }

    /// The least and the most where they are, the walls' names, then as many
    /// contour figures as find room.
    fn draw_figures(&self, svg: &mut Svg) {
        let mut boxes = Vec::new();
        for (value, at) in [self.most, self.least] {
            self.draw_mark(svg, value, at, &mut boxes);
        }
        for wall in self.map.walls.iter().filter(|wall| wall.at.is_finite()) {
            let words = wall_words(wall, &self.map.scale, self.map.units);
            let theme = &self.map.theme;
            let span = Span::bold(words, SMALL_PX);
            if let Some(at) = self.room_on_line(wall.at, span.width(), &mut boxes) {
                let plate = Rect::around(Point::new(at.x, at.y - 4.2), span.width() + 6.0, 15.0);
                svg.rect(plate, &format!("rx=\"2\" fill=\"{}\"", theme.paper));
                svg.text(at, &[span], Ink::new(theme.ink, Anchor::Middle));
            }
        }
        for (value, words) in self.levels() {
            let span = Span::plain(words, SMALL_PX);
            if let Some(at) = self.room_on_line(value, span.width(), &mut boxes) {
                let (text, ground) = self.colours_at(value);
                svg.text(
                    at,
                    &[span],
                    Ink::new(text, Anchor::Middle).with_halo(ground),
                );
            }
        }
    }

    fn draw_mark(&self, svg: &mut Svg, value: f64, at: Point, boxes: &mut Vec<Rect>) {
        let (text, ground) = self.colours_at(value);
        let span = Span::bold(self.written(value), 15.0);
        let wide = span.width() + 4.0;
        let keep = |x: f64| x.clamp(self.frame.left + wide / 2.0, self.frame.right - wide / 2.0);
        let place = |dy: f64| Point::new(keep(at.x), at.y + dy);
        let is_good = |centre: Point| {
            let area = Rect::around(centre, wide, 16.0);
            self.frame.holds(area) && !boxes.iter().any(|other: &Rect| area.overlaps(*other))
        };
        let dot = Point::new(
            at.x.clamp(self.frame.left + 5.0, self.frame.right - 5.0),
            at.y.clamp(self.frame.top + 5.0, self.frame.bottom - 5.0),
        );
        svg.dot(dot, 3.4, text, ground);
        if let Some(centre) = [-13.0, 14.0, -28.0, 29.0]
            .map(place)
            .into_iter()
            .find(|c| is_good(*c))
        {
            boxes.push(Rect::around(centre, wide, 16.0));
            let base = Point::new(centre.x, centre.y + 5.3);
            svg.text(
                base,
                &[span],
                Ink::new(text, Anchor::Middle).with_halo(ground),
            );
        }
        boxes.push(Rect::around(dot, 9.0, 9.0));
    }

    /// A place on a contour for a figure of a width: the longest line first,
    /// where it lies flattest; the baseline's middle.
    fn room_on_line(&self, level: f64, width: f64, boxes: &mut Vec<Rect>) -> Option<Point> {
        let mut lines = self.field.lines(level);
        lines.sort_by_key(|line| std::cmp::Reverse(line.len()));
        let inner = self.frame.grown(-3.0);
        for line in lines.iter().take(3).filter(|line| line.len() >= 12) {
            let count = line.len();
            let mut places: Vec<(f64, Point)> = (0..count)
                .step_by((count / 60).max(1))
                .map(|k| {
                    (
                        steepness(line[k], line[(k + 4) % count]),
                        line[(k + 2) % count],
                    )
                })
                .collect();
            places.sort_by(|a, b| a.0.total_cmp(&b.0));
            let found = places
                .iter()
                .map(|(_, p)| Rect::around(*p, width + 4.0, 14.0))
                .find(|area| {
                    inner.holds(*area)
                        && !boxes.iter().any(|other| area.grown(5.0).overlaps(*other))
                });
            if let Some(area) = found {
                boxes.push(area);
                return Some(Point::new(
                    (area.left + area.right) / 2.0,
                    area.bottom - 2.8,
                ));
            }
        }
        None
    }

    fn colours_at(&self, value: f64) -> (Rgb, Rgb) {
        let ground = self.map.scale.banded(value);
        (ground.text(), ground)
    }
}

/// How far a piece of line is from level: 0 flat, 1 upright.
fn steepness(a: Point, b: Point) -> f64 {
    let length = a.distance(b);
    if length < 1e-9 {
        1.0
    } else {
        (a.y - b.y).abs() / length
    }
}
