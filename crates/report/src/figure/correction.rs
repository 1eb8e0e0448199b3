//! Correction against film spent: the curve with its band, the budget as a
//! wall, minutes along the top, the knee and the spot that was tried.
//!
//! Law: none; a picture. Minutes follow film in proportion, as they come.
//! Source: ours.
//! Holds: for finite points, film rising. Beyond the wall the ground is sunk
//! and the line dashed: that film is not there to spend.
//! Checked by: places worked by hand, label boxes, nonsense.

use super::FigureError;
use super::geometry::{Point, Rect};
use super::legend::{SMALL_PX, draw_wall};
use super::lettering::{width_px, wrapped};
use super::scale::Units;
use super::svg::{Anchor, Ink, Span, Svg, number, run};
use super::theme::Theme;
use super::ticks;

/// A place on the curve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CorrectionPlace {
    /// Film taken off, µm.
    pub film_um: f64,
    /// Scratch length gone, %.
    pub gone_pct: f64,
    /// Lower end, 95 %.
    pub lower_pct: f64,
    /// Upper end, 95 %.
    pub upper_pct: f64,
}

/// The two places of a rising curve around a film, and how far between them it
/// lies; `None` beyond the last.
pub(crate) fn around<T: Copy>(
    places: &[T],
    film_um: f64,
    film_of: impl Fn(&T) -> f64,
) -> Option<(T, T, f64)> {
    let after = places.iter().position(|p| film_of(p) >= film_um)?;
    let (a, b) = (places[after.saturating_sub(1)], places[after]);
    let width_um = film_of(&b) - film_of(&a);
    let part = if width_um > 0.0 {
        (film_um - film_of(&a)) / width_um
    } else {
        1.0
    };
    Some((a, b, part))
}

/// A place with its words.
#[derive(Clone, Debug, PartialEq)]
pub struct Flag {
    /// Film taken off, µm.
    pub film_um: f64,
    /// Scratch length gone, %.
    pub gone_pct: f64,
    /// What stands beside it.
    pub words: String,
}

/// What is drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct CorrectionFigure {
    /// Name over the picture.
    pub title: String,
    /// A sentence under it; may be empty.
    pub caption: String,
    /// The curve, film rising.
    pub places: Vec<CorrectionPlace>,
    /// Film at the right end, µm.
    pub most_um: f64,
    /// Minutes for a micrometre; 0 leaves the upper axis out.
    pub minutes_per_um: f64,
    /// What may go: film and words.
    pub wall: Option<(f64, String)>,
    /// Where a little more costs a lot.
    pub knee: Option<Flag>,
    /// The spot that was tried.
    pub spot: Option<Flag>,
    /// µm or mil on the film axis.
    pub units: Units,
    /// The colours of the page.
    pub theme: Theme,
    /// Width, px.
    pub width_px: f64,
    /// Height without caption, px.
    pub height_px: f64,
    /// What stands along the axes.
    pub axes: AxisWords,
}

/// Words along the axes of the curve.
#[derive(Clone, Debug, PartialEq)]
pub struct AxisWords {
    /// Below: film, with its unit in `{0}`.
    pub film: String,
    /// At the left: scratch length gone in %.
    pub gone: String,
    /// Above: minutes.
    pub minutes: String,
}

impl Default for AxisWords {
    fn default() -> Self {
        Self {
            film: "Film taken off, {0}".to_owned(),
            gone: "Scratch length gone, %".to_owned(),
            minutes: "Minutes on one section".to_owned(),
        }
    }
}

/// The picture as SVG text.
///
/// # Errors
/// [`FigureError`] when the axis has no length, there are fewer than two
/// places, or one is not a number.
pub fn correction_figure(figure: &CorrectionFigure) -> Result<String, FigureError> {
    if !figure.most_um.is_finite() || figure.most_um <= 0.0 {
        return Err(FigureError::NoRoom {
            what: "length of the film axis",
            came: figure.most_um,
        });
    }
    let sum = |p: &CorrectionPlace| p.film_um + p.gone_pct + p.lower_pct + p.upper_pct;
    if let Some(place) = figure.places.iter().position(|p| !sum(p).is_finite()) {
        return Err(FigureError::NotANumber {
            what: "place on the curve",
            place,
        });
    }
    if figure.places.len() < 2 {
        return Err(FigureError::NoRoom {
            what: "number of places on the curve less one",
            came: figure.places.len() as f64 - 1.0,
        });
    }
    Ok(Drawn::new(figure).draw())
}

/// How far under their places the words of the spot and of the knee stand, px.
const SPOT_DOWN: f64 = 26.0;
const KNEE_DOWN: f64 = 30.0;

/// Words are broken at this width, px.
const MOST_WORDS_PX: f64 = 215.0;

fn bold_px(words: &str) -> f64 {
    width_px(words, SMALL_PX + 1.0, true)
}

struct Drawn<'a> {
    figure: &'a CorrectionFigure,
    theme: &'a Theme,
    frame: Rect,
    width: f64,
}

impl<'a> Drawn<'a> {
    fn new(figure: &'a CorrectionFigure) -> Self {
        let bound = |px: f64, usual: f64| {
            if px.is_finite() {
                px.clamp(260.0, 2400.0)
            } else {
                usual
            }
        };
        let width = bound(figure.width_px, 720.0);
        Self {
            figure,
            theme: &figure.theme,
            frame: Rect {
                left: 42.0,
                top: 76.0,
                right: width - 16.0,
                bottom: bound(figure.height_px, 430.0) - 42.0,
            },
            width,
        }
    }

    fn at(&self, film_um: f64, pct: f64) -> Point {
        let share = |value: f64, most: f64| (value / most).clamp(0.0, 1.0);
        Point::new(
            self.frame.left + self.frame.width() * share(film_um, self.figure.most_um),
            self.frame.bottom - self.frame.height() * share(pct, 100.0),
        )
    }

    fn draw(&self) -> String {
        let lines = wrapped(&self.figure.caption, SMALL_PX + 1.0, self.width - 12.0);
        let under: f64 = lines.iter().map(|_| 18.0).sum();
        let height = self.frame.bottom + 46.0 + under;
        let mut svg = Svg::open(self.width, height, &self.figure.title, &self.figure.caption);
        self.draw_ground(&mut svg);
        self.draw_axes(&mut svg);
        self.draw_minutes(&mut svg);
        self.draw_band(&mut svg);
        self.draw_wall(&mut svg);
        self.draw_line(&mut svg);
        self.draw_flags(&mut svg);
        let ink = Ink::new(self.theme.ink2, Anchor::Start);
        let mut y = self.frame.bottom + 56.0;
        for line in lines {
            let span = Span::plain(line, SMALL_PX + 1.0);
            svg.text(Point::new(6.0, y), &[span], ink);
            y += 18.0;
        }
        svg.close()
    }

    fn wall_um(&self) -> Option<f64> {
        let (um, _) = self.figure.wall.as_ref()?;
        (um.is_finite() && (0.0..=self.figure.most_um).contains(um)).then_some(*um)
    }

    fn draw_ground(&self, svg: &mut Svg) {
        if let Some(um) = self.wall_um() {
            let beyond = Rect {
                left: self.at(um, 0.0).x,
                ..self.frame
            };
            svg.rect(beyond, &format!("fill=\"{}\"", self.theme.sunk));
        }
    }

    fn draw_axes(&self, svg: &mut Svg) {
        let theme = self.theme;
        let quiet = Ink::new(theme.ink2, Anchor::End);
        let title = Span::bold(self.figure.title.clone(), 14.5);
        svg.text(
            Point::new(6.0, 17.0),
            &[title],
            Ink::new(theme.ink, Anchor::Start),
        );
        for pct in [0.0, 20.0, 40.0, 60.0, 80.0, 100.0] {
            let left = self.at(0.0, pct);
            svg.stroke(left, Point::new(self.frame.right, left.y), theme.hair, 0.8);
            let place = Point::new(left.x - 6.0, left.y + 4.0);
            svg.text(place, &[Span::plain(number(pct), SMALL_PX)], quiet);
        }
        let (each_um, unit) = match self.figure.units {
            Units::Metric => (1.0, "μm"),
            Units::Customary => (25.4, "mil"),
        };
        let (places, decimals) = ticks::ticks(0.0, self.figure.most_um / each_um, 8);
        for film in places {
            let foot = self.at(film * each_um, 0.0);
            svg.stroke(foot, Point::new(foot.x, foot.y + 5.0), theme.ink2, 1.0);
            let span = Span::plain(ticks::written(film, decimals), SMALL_PX);
            let ink = Ink::new(theme.ink2, Anchor::Middle);
            svg.text(Point::new(foot.x, foot.y + 18.0), &[span], ink);
        }
        svg.stroke(
            self.at(0.0, 0.0),
            self.at(self.figure.most_um, 0.0),
            theme.ink,
            1.2,
        );
        let words = Span::plain(self.figure.axes.film.replace("{0}", unit), SMALL_PX + 0.5);
        let foot = Point::new(self.frame.right, self.frame.bottom + 35.0);
        svg.text(foot, &[words], quiet);
        let words = Span::plain(&self.figure.axes.gone, SMALL_PX + 0.5);
        let start = Ink::new(theme.ink2, Anchor::Start);
        svg.text(Point::new(6.0, self.frame.top - 38.0), &[words], start);
    }

    fn draw_minutes(&self, svg: &mut Svg) {
        let each = self.figure.minutes_per_um;
        if !each.is_finite() || each <= 0.0 {
            return;
        }
        let theme = self.theme;
        let (places, decimals) = ticks::ticks(0.0, self.figure.most_um * each, 8);
        for minutes in places {
            let head = Point::new(self.at(minutes / each, 0.0).x, self.frame.top);
            svg.stroke(head, Point::new(head.x, head.y - 5.0), theme.ink2, 1.0);
            let span = Span::plain(ticks::written(minutes, decimals), SMALL_PX);
            let ink = Ink::new(theme.ink2, Anchor::Middle);
            svg.text(Point::new(head.x, head.y - 10.0), &[span], ink);
        }
        svg.stroke(
            Point::new(self.frame.left, self.frame.top),
            Point::new(self.frame.right, self.frame.top),
            theme.hair,
            0.8,
        );
        let words = Span::plain(&self.figure.axes.minutes, SMALL_PX + 0.5);
        let ink = Ink::new(theme.ink2, Anchor::End);
        let place = Point::new(self.frame.right, self.frame.top - 38.0);
        svg.text(place, &[words], ink);
    }

    /// Places on the axis, with the cut at its right end.
    fn shown(&self) -> Vec<CorrectionPlace> {
        let most = self.figure.most_um;
        let inside = self.figure.places.iter().take_while(|p| p.film_um < most);
        let mut shown: Vec<CorrectionPlace> = inside.copied().collect();
        shown.extend(self.on_curve(most));
        shown
    }

    /// The curve at a film, between its places by a line.
    fn on_curve(&self, film_um: f64) -> Option<CorrectionPlace> {
        let (a, b, part) = around(&self.figure.places, film_um, |p| p.film_um)?;
        let mix = |a: f64, b: f64| a + part * (b - a);
        Some(CorrectionPlace {
            film_um,
            gone_pct: mix(a.gone_pct, b.gone_pct),
            lower_pct: mix(a.lower_pct, b.lower_pct),
            upper_pct: mix(a.upper_pct, b.upper_pct),
        })
    }

    /// Full over the middle half of the interval, paler out to its ends.
    fn draw_band(&self, svg: &mut Svg) {
        let shown = self.shown();
        for share in [1.0, 0.75, 0.5] {
            let edge = |p: &CorrectionPlace, end: f64| {
                self.at(p.film_um, p.gone_pct + share * (end - p.gone_pct))
            };
            let mut shape: Vec<Point> = shown.iter().map(|p| edge(p, p.upper_pct)).collect();
            shape.extend(shown.iter().rev().map(|p| edge(p, p.lower_pct)));
            let attributes = format!("fill=\"{}\" fill-opacity=\"0.13\"", self.theme.act);
            svg.path(&run(&shape, true), &attributes);
        }
    }

    fn draw_line(&self, svg: &mut Svg) {
        let wall_um = self.wall_um().unwrap_or(f64::INFINITY);
        let turn = self.on_curve(wall_um);
        let shown = self.shown();
        let before: Vec<CorrectionPlace> = shown
            .iter()
            .copied()
            .filter(|p| p.film_um < wall_um)
            .chain(turn)
            .collect();
        let beyond: Vec<CorrectionPlace> = turn
            .into_iter()
            .chain(shown.iter().copied().filter(|p| p.film_um > wall_um))
            .collect();
        for (part, dash) in [(before, ""), (beyond, " stroke-dasharray=\"8 5\"")] {
            let points: Vec<Point> = part
                .iter()
                .map(|p| self.at(p.film_um, p.gone_pct))
                .collect();
            if points.len() > 1 {
                let attributes = format!(
                    "fill=\"none\" stroke=\"{}\" stroke-width=\"3\" stroke-linejoin=\"round\"{dash}",
                    self.theme.act
                );
                svg.path(&run(&points, false), &attributes);
            }
        }
    }

    fn draw_wall(&self, svg: &mut Svg) {
        let (Some(um), Some((_, words))) = (self.wall_um(), &self.figure.wall) else {
            return;
        };
        let foot = self.at(um, 0.0);
        draw_wall(svg, Point::new(foot.x, self.frame.top), foot, self.theme);
        let wide = width_px(words, SMALL_PX + 1.0, true);
        let is_left = foot.x + 10.0 + wide > self.frame.right;
        let (dx, anchor) = if is_left {
            (-9.0, Anchor::End)
        } else {
            (9.0, Anchor::Start)
        };
        let ink = Ink::new(self.theme.limit, anchor).with_halo(self.theme.paper);
        let place = Point::new(foot.x + dx, foot.y - 10.0);
        svg.text(place, &[Span::bold(words.clone(), SMALL_PX + 1.0)], ink);
    }

    fn draw_flags(&self, svg: &mut Svg) {
        if let Some(spot) = self.figure.spot.as_ref().filter(|f| self.holds(f)) {
            let at = self.at(spot.film_um, spot.gone_pct);
            svg.dot(at, 5.0, self.theme.ink, self.theme.paper);
            self.draw_flag_words(svg, spot, self.spot_down(spot));
        }
        if let Some(knee) = self.figure.knee.as_ref().filter(|f| self.holds(f)) {
            let at = self.at(knee.film_um, knee.gone_pct);
            svg.raw(&format!(
                "<circle cx=\"{}\" cy=\"{}\" r=\"6.5\" fill=\"{}\" stroke=\"{}\" stroke-width=\"2.6\"/>\n",
                number(at.x),
                number(at.y),
                self.theme.paper,
                self.theme.ink
            ));
            self.draw_flag_words(svg, knee, self.knee_down(knee));
        }
    }

    fn holds(&self, flag: &Flag) -> bool {
        (0.0..=self.figure.most_um).contains(&flag.film_um)
            && (0.0..=100.0).contains(&flag.gone_pct)
    }

    /// Words under the place, to its right, or to its left near the rim.
    fn draw_flag_words(&self, svg: &mut Svg, flag: &Flag, down: f64) {
        let at = self.at(flag.film_um, flag.gone_pct);
        for (line, place, anchor) in self.flag_lines(flag, down) {
            let ink = Ink::new(self.theme.ink, anchor).with_halo(self.theme.paper);
            svg.text(place, &[Span::bold(line, SMALL_PX + 1.0)], ink);
        }
        let foot = Point::new(at.x, at.y + down - 13.0);
        svg.stroke(Point::new(at.x, at.y + 7.0), foot, self.theme.ink2, 1.0);
    }

    /// How far under its place the words of the knee stand: under the curve.
    fn knee_down(&self, knee: &Flag) -> f64 {
        let is_free = |down: &f64| {
            let own = self.words_box(knee, *down);
            let share = (own.left - self.frame.left) / self.frame.width();
            let curve = self.on_curve(share.max(0.0) * self.figure.most_um);
            let is_under = curve.is_none_or(|p| self.at(p.film_um, p.gone_pct).y + 8.0 <= own.top);
            is_under && own.bottom + 24.0 <= self.frame.bottom
        };
        let mut steps = (0..40_u32).map(|k| KNEE_DOWN + 6.0 * f64::from(k));
        steps.find(is_free).unwrap_or(KNEE_DOWN)
    }

    /// How far under its place the words of the spot stand: below those of the
    /// knee where the two would meet.
    fn spot_down(&self, spot: &Flag) -> f64 {
        let knee = self.figure.knee.as_ref().filter(|f| self.holds(f));
        let knee = knee.map(|flag| self.words_box(flag, self.knee_down(flag)));
        let is_free = |down: &f64| {
            let own = self.words_box(spot, *down);
            knee.is_none_or(|knee| !own.overlaps(knee))
        };
        let steps = (0..20_u32).map(|k| SPOT_DOWN + 6.0 * f64::from(k));
        steps.into_iter().find(is_free).unwrap_or(SPOT_DOWN)
    }

    fn words_box(&self, flag: &Flag, down: f64) -> Rect {
        let lines = self.flag_lines(flag, down);
        let nothing = Rect {
            left: f64::INFINITY,
            top: f64::INFINITY,
            right: f64::NEG_INFINITY,
            bottom: f64::NEG_INFINITY,
        };
        lines.iter().fold(nothing, |all, (line, place, anchor)| {
            let wide = bold_px(line);
            let left = if *anchor == Anchor::End {
                place.x - wide
            } else {
                place.x
            };
            Rect {
                left: all.left.min(left),
                top: all.top.min(place.y - 12.0),
                right: all.right.max(left + wide),
                bottom: all.bottom.max(place.y + 4.0),
            }
        })
    }

    fn flag_lines(&self, flag: &Flag, down: f64) -> Vec<(String, Point, Anchor)> {
        let at = self.at(flag.film_um, flag.gone_pct);
        // The words stay off the numbers beside the picture, and off the wall.
        let wall = self.wall_um().map(|um| self.at(um, 0.0).x - 6.0);
        let end = wall.filter(|x| *x > at.x).unwrap_or(self.frame.right);
        let rooms = [at.x + 2.0 - self.frame.left, end - at.x + 2.0];
        let whole = bold_px(&flag.words).min(MOST_WORDS_PX);
        let is_left = rooms[1] < whole && rooms[0] > rooms[1];
        let room = rooms[usize::from(!is_left)].min(MOST_WORDS_PX);
        let mut break_px = room;
        let mut lines = wrapped(&flag.words, SMALL_PX + 1.0, break_px);
        // Lines are broken as plain letters; bold ones are wider.
        while lines.iter().any(|line| bold_px(line) > room) && break_px > 40.0 {
            break_px -= 6.0;
            lines = wrapped(&flag.words, SMALL_PX + 1.0, break_px);
        }
        let anchor = if is_left { Anchor::End } else { Anchor::Start };
        let x = if is_left { end } else { at.x - 6.0 };
        lines
            .into_iter()
            .enumerate()
            .map(|(k, line)| (line, Point::new(x, at.y + down + 16.0 * k as f64), anchor))
            .collect()
    }
}

#[cfg(test)]
mod tests;
