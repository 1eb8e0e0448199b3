//! Lines, soft bands and walls over two axes, for histories, what-if curves and
//! the curve of correction against film.
//!
//! Law: none; a picture. Axes are straight; ticks are round.
//! Source: ours.
//! Holds: for finite points. What lies outside the axes is cut at them.
//! Left out: logarithmic axes; points without a line.
//! Checked by: places worked by hand, label boxes, nonsense.

use super::FigureError;
use super::geometry::{Point, Rect};
use super::legend::{SMALL_PX, draw_wall};
use super::lettering::{width_px, wrapped};
use super::scale::Wall;
use super::svg::{Anchor, Ink, Span, Svg, number, run};
use super::theme::Theme;
use super::ticks;

/// One axis.
#[derive(Clone, Debug, PartialEq)]
pub struct Axis {
    /// What runs along it: "Taken off".
    pub name: String,
    /// Its unit: "μm"; may be empty.
    pub unit: String,
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

/// How a line is drawn: what was is solid, what is planned is dashed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Dash {
    /// Measured or done.
    #[default]
    Solid,
    /// Planned or supposed.
    Dashed,
    /// For comparison, e.g. "your usual".
    Dotted,
}

/// One line.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Series {
    /// Its name, printed at its end.
    pub name: String,
    /// Places in the units of the axes, in drawing order.
    pub points: Vec<(f64, f64)>,
    /// How it is drawn.
    pub dash: Dash,
    /// Whether each place gets a dot: a reading rather than a curve.
    pub has_dots: bool,
}

/// A soft band: how sure a line is.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Band {
    /// x, lower end, upper end, from left to right.
    pub points: Vec<(f64, f64, f64)>,
}

/// A chart.
#[derive(Clone, Debug, PartialEq)]
pub struct Chart {
    /// Name over the chart.
    pub title: String,
    /// A sentence under it; may be empty.
    pub caption: String,
    /// The axis along the bottom.
    pub x: Axis,
    /// The upright axis.
    pub y: Axis,
    /// Lines, the first drawn strongest.
    pub series: Vec<Series>,
    /// Soft bands behind the lines.
    pub bands: Vec<Band>,
    /// Limits on x: upright walls.
    pub x_walls: Vec<Wall>,
    /// Limits on y: level walls.
    pub y_walls: Vec<Wall>,
    /// "You are here": a ringed place with its words.
    pub here: Option<(f64, f64, String)>,
    /// The colours of the page.
    pub theme: Theme,
    /// Width of the picture, px.
    pub width_px: f64,
    /// Height of the picture without its caption, px.
    pub height_px: f64,
}

/// The chart as SVG text.
///
/// # Errors
/// [`FigureError`] when an axis has no length or a point is not a number.
pub fn chart(chart: &Chart) -> Result<String, FigureError> {
    check(chart)?;
    Ok(Drawn::new(chart).draw())
}

fn check(chart: &Chart) -> Result<(), FigureError> {
    for (what, axis) in [("length of the x axis", &chart.x), ("length of the y axis", &chart.y)] {
        let came = axis.high - axis.low;
        if !came.is_finite() || came <= 0.0 {
            return Err(FigureError::NoRoom { what, came });
        }
    }
    let points = chart.series.iter().flat_map(|s| s.points.iter().map(|(x, y)| x + y));
    if let Some(place) = points.into_iter().position(|sum| !sum.is_finite()) {
        return Err(FigureError::NotANumber { what: "chart point", place });
    }
    let ends = chart.bands.iter().flat_map(|b| b.points.iter().map(|(x, low, high)| x + low + high));
    match ends.into_iter().position(|sum| !sum.is_finite()) {
        Some(place) => Err(FigureError::NotANumber { what: "band point", place }),
        None => Ok(()),
    }
}

struct Drawn<'a> {
    chart: &'a Chart,
    theme: &'a Theme,
    width: f64,
    frame: Rect,
}

impl<'a> Drawn<'a> {
    fn new(chart: &'a Chart) -> Self {
        let bound = |px: f64, least: f64, usual: f64| {
            if px.is_finite() { px.clamp(least, 2400.0) } else { usual }
        };
        let (width, height) = (bound(chart.width_px, 240.0, 640.0), bound(chart.height_px, 160.0, 320.0));
        let (_, decimals) = ticks::ticks(chart.y.low, chart.y.high, 5);
        let widest = [chart.y.low, chart.y.high]
            .map(|value| width_px(&ticks::written(value, decimals), SMALL_PX, false))
            .into_iter()
            .fold(0.0, f64::max);
        let names = chart.series.iter().map(|s| width_px(&s.name, SMALL_PX + 1.0, true));
        let right = names.fold(0.0, f64::max).min(width * 0.3);
        let frame = Rect {
            left: widest + 14.0,
            top: if chart.x_walls.is_empty() { 50.0 } else { 66.0 },
            right: width - right - 12.0,
            bottom: height - 40.0,
        };
        Self { chart, theme: &chart.theme, width, frame }
    }

    fn at(&self, x: f64, y: f64) -> Point {
        let share = |axis: &Axis, value: f64| {
            ((value - axis.low) / (axis.high - axis.low)).clamp(0.0, 1.0)
        };
        Point::new(
            self.frame.left + self.frame.width() * share(&self.chart.x, x),
            self.frame.bottom - self.frame.height() * share(&self.chart.y, y),
        )
    }

    fn draw(&self) -> String {
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
        self.draw_names(&mut svg);
        self.draw_here(&mut svg);
        let mut y = self.frame.bottom + 54.0;
        for line in lines {
            let ink = Ink::new(self.theme.ink2, Anchor::Start);
            svg.text(Point::new(6.0, y), &[Span::plain(line, SMALL_PX + 1.0)], ink);
            y += 18.0;
        }
        svg.close()
    }

    fn description(&self) -> String {
        let (x, y) = (&self.chart.x, &self.chart.y);
        let names: Vec<&str> = self.chart.series.iter().map(|s| s.name.as_str()).collect();
        format!("{} ({}) over {} ({}): {}. {}", y.name, y.unit, x.name, x.unit, names.join(", "), self.chart.caption)
    }

    fn draw_words(&self, svg: &mut Svg) {
        let strong = Ink::new(self.theme.ink, Anchor::Start);
        let quiet = Ink::new(self.theme.ink2, Anchor::Start);
        let named = |axis: &Axis| {
            if axis.unit.is_empty() { axis.name.clone() } else { format!("{}, {}", axis.name, axis.unit) }
        };
        svg.text(Point::new(6.0, 17.0), &[Span::bold(self.chart.title.clone(), 14.5)], strong);
        svg.text(Point::new(6.0, 35.0), &[Span::plain(named(&self.chart.y), SMALL_PX + 0.5)], quiet);
        let foot = Point::new(self.frame.right, self.frame.bottom + 34.0);
        let words = [Span::plain(named(&self.chart.x), SMALL_PX + 0.5)];
        svg.text(foot, &words, Ink { anchor: Anchor::End, ..quiet });
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
            svg.text(Point::new(left.x - 6.0, left.y + 4.0), &[Span::plain(words, SMALL_PX)], ink);
        }
        let (places, decimals) = ticks::ticks(x.low, x.high, most);
        for value in places {
            let foot = self.at(value, y.low);
            svg.stroke(foot, Point::new(foot.x, foot.y + 5.0), theme.ink2, 1.0);
            let words = ticks::written(value, decimals);
            let ink = Ink::new(theme.ink2, Anchor::Middle);
            svg.text(Point::new(foot.x, foot.y + 18.0), &[Span::plain(words, SMALL_PX)], ink);
        }
        svg.stroke(self.at(x.low, y.low), self.at(x.high, y.low), theme.ink, 1.2);
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
            Dash::Solid => "",
            Dash::Dashed => " stroke-dasharray=\"8 5\"",
            Dash::Dotted => " stroke-dasharray=\"2 4\"",
        };
        let width = if index == 0 { 3.0 } else { 2.2 };
        if points.len() > 1 {
            let attributes = format!(
                "fill=\"none\" stroke=\"{colour}\" stroke-width=\"{width}\" stroke-linejoin=\"round\"{dash}"
            );
            svg.path(&run(&points, false), &attributes);
        }
        if series.has_dots || points.len() == 1 {
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
            draw_wall(svg, Point::new(foot.x, self.frame.top - 4.0), foot, self.theme);
            let wide = width_px(&wall.label, SMALL_PX, true);
            let left = (foot.x - wide / 2.0).min(self.width - wide - 4.0).max(free_from);
            free_from = left + wide + 8.0;
            let ink = Ink::new(self.theme.limit, Anchor::Start);
            let place = Point::new(left, self.frame.top - 9.0);
            svg.text(place, &[Span::bold(wall.label.clone(), SMALL_PX)], ink);
        }
        for wall in self.chart.y_walls.iter().filter(|wall| inside(y, wall)) {
            let left = self.at(x.low, wall.at);
            draw_wall(svg, left, Point::new(self.frame.right, left.y), self.theme);
            let ink = Ink::new(self.theme.limit, Anchor::Start).with_halo(self.theme.paper);
            let up = if left.y - self.frame.top < 20.0 { 16.0 } else { -7.0 };
            let place = Point::new(left.x + 8.0, left.y + up);
            svg.text(place, &[Span::bold(wall.label.clone(), SMALL_PX)], ink);
        }
    }

    /// Names at the ends of the lines, pushed apart, never over the frame.
    fn draw_names(&self, svg: &mut Svg) {
        for (index, name, at) in self.names() {
            let ink = Ink::new(self.colour(index), Anchor::Start).with_halo(self.theme.paper);
            svg.text(Point::new(at.x, at.y + 4.3), &[Span::bold(name, SMALL_PX + 1.0)], ink);
        }
    }

    fn names(&self) -> Vec<(usize, String, Point)> {
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
        let (dx, anchor) = if is_right { (14.0, Anchor::Start) } else { (-14.0, Anchor::End) };
        let up = if at.y - self.frame.top < 24.0 { 20.0 } else { -10.0 };
        let ink = Ink::new(colour, anchor).with_halo(self.theme.paper);
        let span = Span::bold(words.clone(), SMALL_PX + 1.0);
        svg.text(Point::new(at.x + dx, at.y + up), &[span], ink);
    }

    fn colour(&self, index: usize) -> super::colour::Rgb {
        if index == 0 { self.theme.act } else { self.theme.ink2 }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::figure::svg::reading::assert_well_formed;

    fn axis(name: &str, low: f64, high: f64) -> Axis {
        Axis { name: name.to_owned(), unit: "μm".to_owned(), low, high }
    }

    fn sample() -> Chart {
        let line = |name: &str, slope: f64| Series {
            name: name.to_owned(),
            points: (0..=10).map(|k| (f64::from(k), slope * f64::from(k))).collect(),
            ..Series::default()
        };
        Chart {
            title: "Correction <for> film".to_owned(),
            caption: "Bands hold 8 times in 10.".to_owned(),
            x: axis("Taken off", 0.0, 10.0),
            y: axis("Gone", 0.0, 100.0),
            series: vec![line("cut", 9.0), line("finish", 8.8), line("once", 0.1)],
            bands: vec![Band { points: vec![(0.0, 0.0, 10.0), (10.0, 80.0, 95.0)] }],
            x_walls: vec![Wall { at: 6.0, label: "may go 6".to_owned() }],
            y_walls: vec![Wall { at: 90.0, label: "wish 90".to_owned() }],
            here: Some((5.0, 45.0, "now".to_owned())),
            theme: Theme::LIGHT,
            width_px: 640.0,
            height_px: 320.0,
        }
    }

    #[test]
    fn ends_of_the_axes_lie_on_the_frame() {
        let input = sample();
        let drawn = Drawn::new(&input);
        let corner = drawn.at(0.0, 0.0);
        assert!((corner.x - drawn.frame.left).abs() < 1e-9);
        assert!((corner.y - drawn.frame.bottom).abs() < 1e-9);
        let beyond = drawn.at(99.0, 999.0);
        assert!((beyond.x - drawn.frame.right).abs() < 1e-9);
        assert!((beyond.y - drawn.frame.top).abs() < 1e-9);
    }

    #[test]
    fn names_of_close_lines_do_not_touch() {
        let input = sample();
        let drawn = Drawn::new(&input);
        let names = drawn.names();
        assert_eq!(names.len(), 3);
        assert!(names.windows(2).all(|pair| pair[1].2.y - pair[0].2.y >= 15.9));
        assert!(names.iter().all(|name| name.2.y <= drawn.frame.bottom));
        for (_, name, at) in &names {
            assert!(at.x + width_px(name, SMALL_PX + 1.0, true) <= drawn.width);
        }
    }

    #[test]
    fn the_chart_is_well_formed_and_the_same_twice() {
        let text = chart(&sample()).expect("a good chart");
        assert_well_formed(&text);
        assert_eq!(text, chart(&sample()).expect("a good chart"));
        assert!(text.contains("may go 6") && text.contains("wish 90") && text.contains(">now<"));
    }

    #[test]
    fn refuses_an_axis_without_length_and_a_point_without_number() {
        let flat = Chart { x: axis("x", 1.0, 1.0), ..sample() };
        assert!(matches!(chart(&flat), Err(FigureError::NoRoom { .. })));
        let mut broken = sample();
        broken.series[1].points[2].1 = f64::INFINITY;
        let error = chart(&broken).expect_err("a broken point");
        assert_eq!(error, FigureError::NotANumber { what: "chart point", place: 13 });
        let mut odd = sample();
        odd.bands[0].points[0].2 = f64::NAN;
        assert!(chart(&odd).is_err());
    }
}
