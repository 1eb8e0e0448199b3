//! Correction against film spent: the curve with its band, the budget as a
//! wall, minutes along the top, the knee and the spot that was tried.
//!
//! Law: none; a picture. Minutes follow film in proportion, as they come.
//! Source: ours.
//! Holds: for finite points, film rising. Beyond the wall the ground is sunk
//! and the line dashed: that film is not there to spend.
//! Checked by: places worked by hand, label boxes, nonsense.

mod flags;
mod places;

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
        let lines = wrapped(&self.under(), SMALL_PX + 1.0, self.width - 12.0);
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
        for (line, place, anchor) in self.wall_words(um, words) {
            let ink = Ink::new(self.theme.limit, anchor).with_halo(self.theme.paper);
            svg.text(place, &[Span::bold(line, SMALL_PX + 1.0)], ink);
        }
    }

    /// The words of the wall: at its foot, on the side with room, in as many
    /// lines as that takes.
    fn wall_words(&self, um: f64, words: &str) -> Vec<(String, Point, Anchor)> {
        let foot = self.at(um, 0.0);
        let before = foot.x - 9.0 - self.frame.left - 4.0;
        let behind = self.frame.right - foot.x - 10.0;
        let wide = width_px(words, SMALL_PX + 1.0, true);
        let is_behind = wide <= behind || behind > before;
        let (dx, anchor, room) = if is_behind {
            (9.0, Anchor::Start, behind)
        } else {
            (-9.0, Anchor::End, before)
        };
        let mut most = room.max(60.0);
        let mut lines = wrapped(words, SMALL_PX + 1.0, most);
        // Lines are broken as plain letters; bold ones are wider.
        let is_wide = |lines: &[String]| {
            let mut wides = lines.iter().map(|l| width_px(l, SMALL_PX + 1.0, true));
            wides.any(|wide| wide > room)
        };
        while is_wide(&lines) && most > 60.0 {
            most -= 6.0;
            lines = wrapped(words, SMALL_PX + 1.0, most);
        }
        let count = lines.len();
        let lift = |k: usize| 10.0 + 16.0 * (count - 1 - k) as f64;
        let placed = lines.into_iter().enumerate();
        placed
            .map(|(k, line)| (line, Point::new(foot.x + dx, foot.y - lift(k)), anchor))
            .collect()
    }

    fn holds(&self, flag: &Flag) -> bool {
        (0.0..=self.figure.most_um).contains(&flag.film_um)
            && (0.0..=100.0).contains(&flag.gone_pct)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::figure::svg::reading::assert_well_formed;

    fn figure() -> CorrectionFigure {
        let place = |k: u32| {
            let film_um = 0.5 * f64::from(k);
            let gone_pct = 100.0 * (1.0 - (-film_um / 2.0).exp());
            CorrectionPlace {
                film_um,
                gone_pct,
                lower_pct: gone_pct * 0.9,
                upper_pct: f64::midpoint(gone_pct, 100.0),
            }
        };
        CorrectionFigure {
            title: "Correction <for> film".to_owned(),
            caption: "The band holds 19 times in 20.".to_owned(),
            places: (0..40).map(place).collect(),
            most_um: 10.0,
            minutes_per_um: 2.0,
            wall: Some((8.0, "may go 8.0 μm".to_owned())),
            knee: Some(Flag {
                film_um: 6.0,
                gone_pct: 95.0,
                words: "the next 5 % cost as much film as the first 95 %".to_owned(),
            }),
            spot: Some(Flag {
                film_um: 3.0,
                gone_pct: 78.0,
                words: "this spot".to_owned(),
            }),
            units: Units::Metric,
            theme: Theme::LIGHT,
            width_px: 720.0,
            height_px: 430.0,
            axes: AxisWords::default(),
        }
    }

    #[test]
    fn ends_of_the_axes_lie_on_the_frame() {
        let input = figure();
        let drawn = Drawn::new(&input);
        let corner = drawn.at(10.0, 100.0);
        assert!((corner.x - drawn.frame.right).abs() < 1e-9);
        assert!((corner.y - drawn.frame.top).abs() < 1e-9);
        assert!((drawn.at(5.0, 50.0).x - f64::midpoint(42.0, 704.0)).abs() < 1e-9);
    }

    #[test]
    fn wall_knee_spot_and_minutes_stand_in_the_picture() {
        let text = correction_figure(&figure()).expect("a picture");
        assert_well_formed(&text);
        for words in [
            "may go 8.0 μm",
            "this spot",
            "Minutes on one section",
            "stroke-dasharray",
        ] {
            assert!(text.contains(words), "{words}");
        }
        let bare = CorrectionFigure {
            wall: None,
            knee: None,
            spot: None,
            minutes_per_um: 0.0,
            ..figure()
        };
        let text = correction_figure(&bare).expect("a picture");
        assert!(!text.contains("stroke-dasharray") && !text.contains("Minutes"));
    }

    // A phone's and a tablet's picture, in both languages, wherever the knee is.
    #[test]
    fn words_lie_off_the_curve_its_band_the_wall_and_each_other() {
        let knees = [
            "the next 5 % cost as much film as the first 93 %",
            "die nächsten 5 % kosten so viel Schicht wie die ersten 93 %",
        ];
        for (size, wall_um, words) in [(358.0, 330.0), (640.0, 400.0), (720.0, 430.0)]
            .into_iter()
            .flat_map(|size| [3.0, 5.6, 8.0].map(|wall| (size, wall)))
            .flat_map(|(size, wall)| knees.map(|words| (size, wall, words)))
        {
            let mut input = figure();
            (input.width_px, input.height_px) = size;
            input.wall = Some((wall_um, "darf ab 12.4 μm, am oberen Ende".to_owned()));
            input.knee.as_mut().expect("a knee").words = words.to_owned();
            let drawn = Drawn::new(&input);
            let sets = drawn.set_flags();
            let boxes: Vec<Rect> = sets.iter().filter_map(|s| s.place).collect();
            assert_no_line_crosses_words(&drawn, &sets);
            for (line, place, anchor) in
                drawn.wall_words(wall_um, "darf ab 12.4 μm, am oberen Ende")
            {
                let wide = width_px(&line, SMALL_PX + 1.0, true);
                let left = place.x - if anchor == Anchor::End { wide } else { 0.0 };
                assert!(
                    left >= drawn.frame.left && left + wide <= drawn.frame.right,
                    "{line}"
                );
            }
            let wall_x = drawn.at(wall_um, 0.0).x;
            for at in &boxes {
                for place in &input.places {
                    let x = drawn.at(place.film_um, 0.0).x;
                    let (top, bottom) = (
                        drawn.at(0.0, place.upper_pct).y,
                        drawn.at(0.0, place.lower_pct).y,
                    );
                    let is_over = (at.left..=at.right).contains(&x);
                    assert!(!is_over || at.bottom < top || at.top > bottom, "{at:?}");
                }
                assert!(
                    !(at.left..=at.right).contains(&wall_x),
                    "{at:?} on {wall_x}"
                );
                assert!(at.left >= drawn.frame.left && at.right <= drawn.frame.right);
            }
            if let [a, b] = &boxes[..] {
                let is_apart =
                    a.right < b.left || b.right < a.left || a.bottom < b.top || b.bottom < a.top;
                assert!(is_apart, "{a:?} {b:?}");
            }
            // Words without room stand under the picture, none is lost.
            let text = correction_figure(&input).expect("a picture");
            assert!(text.contains("93") && text.contains("this"), "{text}");
        }
    }

    fn assert_no_line_crosses_words(drawn: &Drawn<'_>, sets: &[flags::SetFlag<'_>]) {
        for (k, set) in sets.iter().enumerate() {
            let Some(own) = set.place else { continue };
            let mark = drawn.at(set.flag.film_um, set.flag.gone_pct);
            let foot = places::nearest(&own, mark);
            let others = sets.iter().enumerate().filter(|(other, _)| *other != k);
            for words in others.filter_map(|(_, other)| other.place) {
                for step in 0..=200_u32 {
                    let at = mark.toward(foot, f64::from(step) / 200.0);
                    let is_in = (words.left..=words.right).contains(&at.x)
                        && (words.top..=words.bottom).contains(&at.y);
                    assert!(!is_in, "{at:?} in {words:?}");
                }
            }
        }
    }

    #[test]
    fn nonsense_is_refused() {
        let mut broken = figure();
        broken.places[3].lower_pct = f64::NAN;
        assert!(matches!(
            correction_figure(&broken),
            Err(FigureError::NotANumber { place: 3, .. })
        ));
        let few = CorrectionFigure {
            places: Vec::new(),
            ..figure()
        };
        assert!(matches!(
            correction_figure(&few),
            Err(FigureError::NoRoom { .. })
        ));
        let flat = CorrectionFigure {
            most_um: 0.0,
            ..figure()
        };
        assert!(matches!(
            correction_figure(&flat),
            Err(FigureError::NoRoom { .. })
        ));
        let far = CorrectionFigure {
            wall: Some((f64::NAN, String::new())),
            ..figure()
        };
        assert_well_formed(&correction_figure(&far).expect("a picture without a wall"));
    }
}
