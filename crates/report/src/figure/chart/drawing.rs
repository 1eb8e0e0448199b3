//! Drawing a chart: axes, bands, lines, walls, names.
//!
//! Law: none; a picture.
//! Source: ours.
//! Holds: for a chart that was checked by the room's front page.
//! Left out: nothing beyond it.
//! Checked by: the tests of the chart.

use super::{Axis, Band, Chart, Dash, Series};
use crate::figure::colour::Rgb;
use crate::figure::geometry::{Point, Rect};
use crate::figure::legend::{SMALL_PX, draw_wall};
use crate::figure::lettering::{width_px, wrapped};
use crate::figure::scale::Wall;
use crate::figure::svg::{Anchor, Ink, Span, Svg, number, run};
use crate::figure::theme::Theme;
use crate::figure::ticks;

pub(super) struct Drawn<'a> {
    chart: &'a Chart,
    theme: &'a Theme,
    pub(super) width: f64,
    pub(super) frame: Rect,
}

impl<'a> Drawn<'a> {
    pub(super) fn new(chart: &'a Chart) -> Self {
        let bound = |px: f64, least: f64, usual: f64| {
            if px.is_finite() {
                px.clamp(least, 2400.0)
            } else {
                usual
            }
        };
        let (width, height) = (
            bound(chart.width_px, 240.0, 640.0),
            bound(chart.height_px, 160.0, 320.0),
        );
        let (_, decimals) = ticks::ticks(chart.y.low, chart.y.high, 5);
        let widest = [chart.y.low, chart.y.high]
            .map(|value| width_px(&ticks::written(value, decimals), SMALL_PX, false))
            .into_iter()
            .fold(0.0, f64::max);
        let names = chart
            .series
            .iter()
            .map(|s| width_px(&s.name, SMALL_PX + 1.0, true));
        let right = names.fold(0.0, f64::max).min(width * 0.3);
        let frame = Rect {
            left: widest + 14.0,
            top: if chart.x_walls.is_empty() { 50.0 } else { 66.0 },
            right: width - right - 12.0,
            bottom: height - 40.0,
        };
        Self {
            chart,
            theme: &chart.theme,
            width,
            frame,
        }
    }

    pub(super) fn at(&self, x: f64, y: f64) -> Point {
        let share =
            |axis: &Axis, value: f64| ((value - axis.low) / (axis.high - axis.low)).clamp(0.0, 1.0);
        Point::new(
            self.frame.left + self.frame.width() * share(&self.chart.x, x),
            self.frame.bottom - self.frame.height() * share(&self.chart.y, y),
        )
    }

    pub(super) fn draw(&self) -> String {
        let lines = wrapped(&self.chart.caption, SMALL_PX + 1.0, self.width - 12.0);
        let under: f64 = lines.iter().map(|_| 18.0).sum();
        let height = self.frame.bottom + 42.0 + under;
        let mut svg = Svg::open(self.width, height, &self.chart.title, &self.description());
        self.draw_words(&mut svg);
        self.draw_grid(&mut svg);
        for band in &self.chart.bands {
            self.draw_band(&mut svg, band);
        }
        self.draw_walls(&mut svg);
        for (index, series) in self.chart.series.iter().enumerate() {
            self.draw_series(&mut svg, series, index);
        }
        self.name_y_walls(&mut svg);
        self.draw_names(&mut svg);
        self.draw_here(&mut svg);
        let mut y = self.frame.bottom + 54.0;
        for line in lines {
            let ink = Ink::new(self.theme.ink2, Anchor::Start);
            svg.text(
                Point::new(6.0, y),
                &[Span::plain(line, SMALL_PX + 1.0)],
                ink,
            );
            y += 18.0;
        }
        svg.close()
    }

    fn description(&self) -> String {
        let (x, y) = (&self.chart.x, &self.chart.y);
        let names: Vec<&str> = self.chart.series.iter().map(|s| s.name.as_str()).collect();
        format!(
            "{} ({}) over {} ({}): {}. {}",
            y.name,
            y.unit,
            x.name,
            x.unit,
            names.join(", "),
            self.chart.caption
        )
    }

    fn draw_words(&self, svg: &mut Svg) {
        let strong = Ink::new(self.theme.ink, Anchor::Start);
        let quiet = Ink::new(self.theme.ink2, Anchor::Start);
        let named = |axis: &Axis| {
            if axis.unit.is_empty() {
                axis.name.clone()
            } else {
                format!("{}, {}", axis.name, axis.unit)
            }
        };
        svg.text(
            Point::new(6.0, 17.0),
            &[Span::bold(self.chart.title.clone(), 14.5)],
            strong,
        );
        svg.text(
            Point::new(6.0, 35.0),
            &[Span::plain(named(&self.chart.y), SMALL_PX + 0.5)],
            quiet,
        );
        let foot = Point::new(self.frame.right, self.frame.bottom + 34.0);
        let words = [Span::plain(named(&self.chart.x), SMALL_PX + 0.5)];
        svg.text(
            foot,
            &words,
            Ink {
                anchor: Anchor::End,
                ..quiet
            },
        );
    }

    fn draw_grid(&self, svg: &mut Svg) {
        let theme = self.theme;
        let (x, y) = (&self.chart.x, &self.chart.y);
        let most = if self.frame.width() < 300.0 { 4 } else { 7 };
        let (places, decimals) = ticks::ticks(y.low, y.high, 5);
        for value in places {
            let left = self.at(x.low, value);
            svg.stroke(left, self.at(x.high, value), theme.hair, 0.8);
            let words = ticks::written(value, decimals);
            let ink = Ink::new(theme.ink2, Anchor::End);
            svg.text(
                Point::new(left.x - 6.0, left.y + 4.0),
                &[Span::plain(words, SMALL_PX)],
                ink,
            );
        }
        let (places, decimals) = ticks::ticks(x.low, x.high, most);
        for value in places {
            let foot = self.at(value, y.low);
            svg.stroke(foot, Point::new(foot.x, foot.y + 5.0), theme.ink2, 1.0);
            let words = ticks::written(value, decimals);
            let ink = Ink::new(theme.ink2, Anchor::Middle);
            svg.text(
                Point::new(foot.x, foot.y + 18.0),
                &[Span::plain(words, SMALL_PX)],
                ink,
            );
        }
        svg.stroke(
            self.at(x.low, y.low),
            self.at(x.high, y.low),
            theme.ink,
            1.2,
        );
    }

    /// Full over the middle half of the interval, paler out to its ends.
    fn draw_band(&self, svg: &mut Svg, band: &Band) {
        for share in [1.0, 0.75, 0.5] {
            let edge = |up: bool| {
                band.points.iter().map(move |(x, low, high)| {
                    let (middle, half) = (f64::midpoint(*low, *high), (high - low) / 2.0 * share);
                    self.at(*x, if up { middle + half } else { middle - half })
                })
            };
            let mut shape: Vec<Point> = edge(true).collect();
            shape.extend(edge(false).rev());
            if shape.len() > 2 {
                let attributes = format!("fill=\"{}\" fill-opacity=\"0.13\"", self.theme.act);
                svg.path(&run(&shape, true), &attributes);
            }
        }
    }

    fn draw_series(&self, svg: &mut Svg, series: &Series, index: usize) {
        let points: Vec<Point> = series.points.iter().map(|(x, y)| self.at(*x, *y)).collect();
        let colour = self.colour(index);
        let dash = match series.dash {
            Dash::Solid | Dash::Hidden => "",
            Dash::Dashed => " stroke-dasharray=\"8 5\"",
            Dash::Dotted => " stroke-dasharray=\"2 4\"",
        };
        let width = if index == 0 { 3.0 } else { 2.2 };
        if points.len() > 1 && series.dash != Dash::Hidden {
            let attributes = format!(
                "fill=\"none\" stroke=\"{colour}\" stroke-width=\"{width}\" stroke-linejoin=\"round\"{dash}"
            );
            svg.path(&run(&points, false), &attributes);
        }
        if series.has_dots || series.dash == Dash::Hidden || points.len() == 1 {
            for point in points {
                svg.dot(point, 3.6, colour, self.theme.paper);
            }
        }
    }

    fn draw_walls(&self, svg: &mut Svg) {
        let (x, y) = (&self.chart.x, &self.chart.y);
        let inside = |axis: &Axis, wall: &&Wall| (axis.low..=axis.high).contains(&wall.at);
        let mut free_from = 0.0;
        for wall in self.chart.x_walls.iter().filter(|wall| inside(x, wall)) {
            let foot = self.at(wall.at, y.low);
            draw_wall(
                svg,
                Point::new(foot.x, self.frame.top - 4.0),
                foot,
                self.theme,
            );
            let wide = width_px(&wall.label, SMALL_PX, true);
            let left = (foot.x - wide / 2.0)
                .min(self.width - wide - 4.0)
                .max(free_from);
            free_from = left + wide + 8.0;
            let ink = Ink::new(self.theme.limit, Anchor::Start);
            let place = Point::new(left, self.frame.top - 9.0);
            svg.text(place, &[Span::bold(wall.label.clone(), SMALL_PX)], ink);
        }
        for wall in self.chart.y_walls.iter().filter(|wall| inside(y, wall)) {
            let left = self.at(x.low, wall.at);
            draw_wall(svg, left, Point::new(self.frame.right, left.y), self.theme);
        }
    }

    /// Names of the lying walls, over the curves and with a rim of paper.
    fn name_y_walls(&self, svg: &mut Svg) {
        let (x, y) = (&self.chart.x, &self.chart.y);
        for wall in &self.chart.y_walls {
            if !(y.low..=y.high).contains(&wall.at) {
                continue;
            }
            let left = self.at(x.low, wall.at);
            let ink = Ink::new(self.theme.limit, Anchor::Start).with_halo(self.theme.paper);
            let up = if left.y - self.frame.top < 20.0 {
                16.0
            } else {
                -7.0
            };
            let place = Point::new(left.x + 8.0, left.y + up);
            svg.text(place, &[Span::bold(wall.label.clone(), SMALL_PX)], ink);
        }
    }

    /// Names at the ends of the lines, pushed apart, never over the frame.
    fn draw_names(&self, svg: &mut Svg) {
        for (index, name, at) in self.names() {
            let ink = Ink::new(self.colour(index), Anchor::Start).with_halo(self.theme.paper);
            svg.text(
                Point::new(at.x, at.y + 4.3),
                &[Span::bold(name, SMALL_PX + 1.0)],
                ink,
            );
        }
    }

    pub(super) fn names(&self) -> Vec<(usize, String, Point)> {
        let mut names: Vec<(usize, String, Point)> = Vec::new();
        for (index, series) in self.chart.series.iter().enumerate() {
            if let (Some((x, y)), false) = (series.points.last(), series.name.is_empty()) {
                let end = self.at(*x, *y);
                names.push((index, series.name.clone(), Point::new(end.x + 8.0, end.y)));
            }
        }
        names.sort_by(|a, b| a.2.y.total_cmp(&b.2.y));
        let mut floor = self.frame.top;
        for name in &mut names {
            name.2.y = name.2.y.max(floor);
            floor = name.2.y + 16.0;
        }
        let mut ceiling = self.frame.bottom - 2.0;
        for name in names.iter_mut().rev() {
            name.2.y = name.2.y.min(ceiling);
            ceiling = name.2.y - 16.0;
        }
        names
    }

    fn draw_here(&self, svg: &mut Svg) {
        let Some((x, y, words)) = &self.chart.here else {
            return;
        };
        if !(x + y).is_finite() {
            return;
        }
        let (at, colour) = (self.at(*x, *y), self.theme.here);
        svg.raw(&format!(
            "<circle cx=\"{}\" cy=\"{}\" r=\"7\" fill=\"{}\" stroke=\"{colour}\" stroke-width=\"4\"/>\n",
            number(at.x),
            number(at.y),
            self.theme.paper
        ));
        let wide = width_px(words, SMALL_PX + 1.0, true);
        let is_right = at.x + 14.0 + wide < self.width;
        let (dx, anchor) = if is_right {
            (14.0, Anchor::Start)
        } else {
            (-14.0, Anchor::End)
        };
        let up = if at.y - self.frame.top < 24.0 {
            20.0
        } else {
            -10.0
        };
        let ink = Ink::new(colour, anchor).with_halo(self.theme.paper);
        let span = Span::bold(words.clone(), SMALL_PX + 1.0);
        svg.text(Point::new(at.x + dx, at.y + up), &[span], ink);
    }

    fn colour(&self, index: usize) -> Rgb {
        if index == 0 {
            self.theme.act
        } else {
            self.theme.ink2
        }
    }
}
