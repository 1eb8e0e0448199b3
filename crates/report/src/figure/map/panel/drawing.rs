//! Drawing a panel's map: bands, doubt, contours, readings, axes, colour bar.
//!
//! Law: none; a picture.
//! Source: ours.
//! Holds: for a map that was checked by the front page of this folder.
//! Left out: nothing beyond it.
//! Checked by: the tests of the panel's map.

mod figures;

use self::figures::crossings;
use super::PanelMap;
use crate::figure::colour::Rgb;
use crate::figure::geometry::{Point, Rect, signed_area};
use crate::figure::hatch;
use crate::figure::legend::{Bar, Key, LITTLE_KNOWN, SMALL_PX, UNSURE, corners, draw_keys};
use crate::figure::lettering::wrapped;
use crate::figure::map::contour::{Field, thinned};
use crate::figure::scale::{Scale, Units};
use crate::figure::svg::{Anchor, Ink, Span, Svg, outline, place, run};
use crate::figure::ticks;

/// Half-width of an 80 % interval in standard deviations.
const HALF_WIDTH_80: f64 = 1.281_551_565_544_6;

/// Steps of the lines beyond the scale, µm, and how many there may be.
const BEYOND_UM: [f64; 6] = [5.0, 10.0, 20.0, 50.0, 100.0, 200.0];
const MOST_BEYOND: f64 = 8.0;

/// Half-widths from which the film is unsure, and little known, µm.
const DOUBT_UM: [f64; 2] = [4.0, 6.0];

/// Up to so many readings carry their figure; up to so many are drawn.
const WITH_FIGURE: usize = 40;
const MOST_DOTS: usize = 1500;

/// Size of a reading's figure.
const FIGURE_PX: f64 = SMALL_PX + 0.5;

/// Smaller islands of doubt are not hatched, px².
const LEAST_HATCHED_PX2: f64 = 250.0;

const LEFT_PX: f64 = 44.0;
const TOP_PX: f64 = 28.0;

/// A map laid out on the page.
pub(super) struct Drawn<'a> {
    map: &'a PanelMap<'a>,
    pub(super) width: f64,
    frame: Rect,
    film: Field,
    doubt: Field,
    inside: Field,
    corners: Vec<Point>,
    scale: Scale,
    ends: [f64; 2],
}

impl<'a> Drawn<'a> {
    pub(super) fn new(map: &'a PanelMap<'a>) -> Self {
        let width = if map.width_px.is_finite() {
            map.width_px.clamp(260.0, 2000.0)
        } else {
            560.0
        };
        let inner = width - LEFT_PX - 10.0;
        let shape = map.size_m[1] / map.size_m[0];
        let tall = (inner * shape).clamp(inner * 0.12, inner * 1.6);
        let frame = Rect {
            left: LEFT_PX,
            top: TOP_PX,
            right: LEFT_PX + inner,
            bottom: TOP_PX + tall,
        };
        let half_widths: Vec<f64> = map.sd_um.iter().map(|sd| sd * HALF_WIDTH_80).collect();
        let on_panel = map.mean_um.iter().zip(map.inside_m);
        let ends = on_panel
            .filter(|(_, inside)| **inside >= 0.0)
            .map(|(um, _)| um)
            .fold([f64::INFINITY, f64::NEG_INFINITY], |[a, b], x| {
                [a.min(*x), b.max(*x)]
            });
        let corners = if map.outline_m.is_empty() {
            corners(frame).to_vec()
        } else {
            let put = |[u, v]: &[f64; 2]| placed(frame, map.size_m, *u, *v);
            map.outline_m.iter().map(put).collect()
        };
        Self {
            map,
            width,
            frame,
            corners,
            inside: Field::of_cells(map.inside_m, map.columns, map.rows, frame),
            film: Field::of_cells(map.mean_um, map.columns, map.rows, frame),
            doubt: Field::of_cells(&half_widths, map.columns, map.rows, frame),
            scale: Scale::film(),
            ends,
        }
    }

    fn at(&self, u_m: f64, v_m: f64) -> Point {
        placed(self.frame, self.map.size_m, u_m, v_m)
    }

    fn decimals(&self) -> usize {
        match self.map.units {
            Units::Metric => 0,
            Units::Customary => 1,
        }
    }

    fn written(&self, um: f64) -> String {
        ticks::written(self.scale.shown(um, self.map.units), self.decimals())
    }

    pub(super) fn summary(&self) -> String {
        let [low, high] = self.ends.map(|um| self.written(um));
        let unit = self.scale.unit(self.map.units);
        let count = self.map.readings.len();
        let beyond = self.beyond();
        let english = format!(
            "Film {low} to {high}\u{a0}{unit} on {count} places.{}{beyond}{} {}",
            self.drawn_of(),
            self.doubt_words(),
            self.map.caption
        );
        (self.map.telling.0)(&english)
    }

    /// Of so many readings one is drawn.
    fn stride(&self) -> usize {
        self.map.readings.len().div_ceil(MOST_DOTS).max(1)
    }

    /// Says so where not every reading is drawn.
    fn drawn_of(&self) -> String {
        match self.stride() {
            1 => String::new(),
            stride => format!(" One in {stride} is drawn as a dot; the map rests on all."),
        }
    }

    /// What the hatches mean, where there are some.
    fn doubt_words(&self) -> String {
        let decimals = 2 * self.decimals();
        let [unsure, little] =
            DOUBT_UM.map(|um| ticks::written(self.scale.shown(um, self.map.units), decimals));
        let unit = self.scale.unit(self.map.units);
        match self.keys().as_slice() {
            [Key::Unsure, Key::LittleKnown, ..] => format!(
                " Unsure: off by more than {unsure}\u{a0}{unit} one time in five; little known: by \
                 more than {little}\u{a0}{unit}."
            ),
            [Key::Unsure, ..] => {
                format!(" Unsure: off by more than {unsure}\u{a0}{unit} one time in five.")
            }
            _ => String::new(),
        }
    }

    /// Says so where film lies off the scale.
    fn beyond(&self) -> String {
        let unit = self.scale.unit(self.map.units);
        let mut said = String::new();
        if self.scale.is_below(self.ends[0]) {
            let end = self.written(self.scale.low());
            said += &format!(" The palest colour is {end}\u{a0}{unit} or less.");
        }
        if self.scale.is_above(self.ends[1]) {
            let end = self.written(self.scale.high());
            said += &format!(" The darkest colour is {end}\u{a0}{unit} or more.");
        }
        said
    }

    fn words_under(&self) -> Vec<String> {
        wrapped(
            &self.summary(),
            SMALL_PX + 1.0,
            self.width - self.frame.left,
        )
    }

    fn bar(&self) -> Bar<'_> {
        Bar {
            scale: self.scale,
            units: self.map.units,
            theme: &self.map.theme,
            walls: &[],
            pointer: None,
        }
    }

    /// Keys of the hatches that occur.
    fn keys(&self) -> Vec<Key> {
        let most = self.map.sd_um.iter().copied().fold(0.0, f64::max) * HALF_WIDTH_80;
        let mut keys = Vec::new();
        if most > DOUBT_UM[0] {
            keys.push(Key::Unsure);
        }
        if most > DOUBT_UM[1] {
            keys.push(Key::LittleKnown);
        }
        if !self.inner().is_empty() {
            keys.push(Key::NotMeasured);
        }
        keys
    }

    pub(super) fn height(&self) -> f64 {
        let lines: f64 = self.words_under().iter().map(|_| 18.0).sum();
        let keys = if self.keys().is_empty() { 0.0 } else { 22.0 };
        self.frame.bottom + 26.0 + self.bar().height() + 8.0 + keys + lines + 6.0
    }

    pub(super) fn draw(&self, svg: &mut Svg) {
        let theme = &self.map.theme;
        let title = format!(
            "{}, {}",
            self.map.title,
            self.scale.words_in(self.map.units, self.map.labels)
        );
        svg.text(
            Point::new(self.frame.left, TOP_PX - 10.0),
            &[Span::bold(title, 14.5)],
            Ink::new(theme.ink, Anchor::Start),
        );
        let clip = clip_name(self.map.title);
        svg.raw(&format!(
            "<clipPath id=\"{clip}\"><path d=\"{}\"/></clipPath><g clip-path=\"url(#{clip})\">",
            run(&self.corners, true)
        ));
        self.draw_bands(svg);
        for (level, pen) in DOUBT_UM.into_iter().zip([UNSURE, LITTLE_KNOWN]) {
            self.draw_doubt(svg, level, pen);
        }
        let mut boxes = Vec::new();
        self.draw_contours(svg);
        self.draw_crease(svg);
        self.draw_edge(svg);
        svg.raw("</g>");
        self.draw_odd(svg, &mut boxes);
        self.draw_readings(svg, &mut boxes);
        self.draw_levels(svg, &mut boxes);
        self.draw_next(svg);
        svg.path(&run(&self.corners, true), &outline(theme, 1.6));
        self.draw_axes(svg);
        let top = self.frame.bottom + 26.0;
        let bar = self.bar();
        bar.draw(svg, Point::new(self.frame.left, top), self.frame.width());
        let mut y = top + bar.height() + 8.0;
        y += draw_keys(
            svg,
            Point::new(self.frame.left, y),
            self.frame.width(),
            (&self.keys(), self.map.labels),
            theme,
        );
        for words in self.words_under() {
            svg.text(
                Point::new(self.frame.left, y + 12.0),
                &[Span::plain(words, SMALL_PX + 1.0)],
                Ink::new(theme.ink2, Anchor::Start),
            );
            y += 18.0;
        }
    }

    fn draw_bands(&self, svg: &mut Svg) {
        let scale = &self.scale;
        svg.rect(
            self.frame,
            &format!("fill=\"{}\"", scale.banded(self.ends[0])),
        );
        for border in scale.borders() {
            if border <= self.ends[0] || border > self.ends[1] {
                continue;
            }
            let data = self.data(&self.film, border);
            if !data.is_empty() {
                let colour = scale.banded(border + scale.band() / 2.0);
                svg.path(&data, &format!("fill=\"{colour}\" fill-rule=\"evenodd\""));
            }
        }
    }

    fn data(&self, field: &Field, level: f64) -> String {
        let thin = |line: &Vec<Point>| run(&thinned(line, 0.35, 6.0), true);
        field.lines(level).iter().map(thin).collect()
    }

    fn draw_doubt(&self, svg: &mut Svg, level: f64, (pitch, stroke): (f64, f64)) {
        let mut areas = self.doubt.lines(level);
        areas.retain(|line| signed_area(line).abs() > LEAST_HATCHED_PX2);
        let data = hatched(&areas, pitch);
        if !data.is_empty() {
            let paper = self.map.theme.paper;
            svg.path(
                &data,
                &format!("fill=\"none\" stroke=\"{paper}\" stroke-width=\"{stroke}\""),
            );
        }
    }

    /// The borders of bands that run across the panel; beyond the scale, where
    /// all has one colour, a few lines at round values.
    fn borders(&self) -> Vec<f64> {
        let mut borders = self.scale.borders();
        let [low, high] = [self.scale.high().max(self.ends[0]), self.ends[1]];
        let step = BEYOND_UM
            .into_iter()
            .find(|s| (high - low) / s <= MOST_BEYOND);
        if let Some(step) = step.filter(|_| high > low) {
            let mut level = (low / step).floor() * step + step;
            while level < high {
                borders.push(level);
                level += step;
            }
        }
        borders.retain(|b| *b > self.ends[0] && *b <= self.ends[1]);
        borders
    }

    fn draw_contours(&self, svg: &mut Svg) {
        for border in self.borders() {
            let text = self.scale.banded(border + 0.1).text();
            svg.path(
                &self.data(&self.film, border),
                &format!("fill=\"none\" stroke=\"{text}\" stroke-width=\"0.8\" stroke-opacity=\"0.55\" stroke-linejoin=\"round\""),
            );
        }
    }

    /// The contours' figures, where there is room.
    fn draw_levels(&self, svg: &mut Svg, boxes: &mut Vec<Rect>) {
        for border in self.borders() {
            let ground = self.scale.banded(border + 0.1);
            let span = Span::plain(self.written(border), SMALL_PX);
            if let Some(area) = self.room_on_line(border, span.width(), boxes) {
                boxes.push(area);
                let base = Point::new((area.left + area.right) / 2.0, area.bottom - 2.8);
                let ink = Ink::new(ground.text(), Anchor::Middle).with_halo(ground);
                svg.text(base, &[span], ink);
            }
        }
    }

    fn room_on_line(&self, level: f64, width: f64, boxes: &[Rect]) -> Option<Rect> {
        let mut lines = self.film.lines(level);
        lines.sort_by_key(|line| std::cmp::Reverse(line.len()));
        let inner = self.frame.grown(-14.0);
        lines
            .iter()
            .take(2)
            .filter(|line| line.len() >= 12)
            .find_map(|line| {
                line.iter()
                    .step_by((line.len() / 80).max(1))
                    .map(|p| Rect::around(*p, width + 6.0, 14.0))
                    .find(|area| {
                        inner.holds(*area)
                            && !boxes.iter().any(|other| area.grown(4.0).overlaps(*other))
                    })
            })
    }

    fn draw_readings(&self, svg: &mut Svg, boxes: &mut Vec<Rect>) {
        let readings = self.map.readings;
        let stride = self.stride();
        let radius = if readings.len() > 300 { 1.3 } else { 3.0 };
        for reading in readings.iter().step_by(stride) {
            let at = self.at(reading.u_m, reading.v_m);
            let ground = self.ground(reading.film_um);
            svg.dot(at, radius, ground.text(), ground);
            boxes.push(Rect::around(at, 2.0 * radius + 2.0, 2.0 * radius + 2.0));
        }
        let crossed = self.crossed();
        for (reading, area) in self.placed_figures(boxes, &crossed) {
            let ground = self.ground(reading.film_um);
            let span = Span::bold(self.written(reading.film_um), FIGURE_PX);
            // On a rim or a contour the figure stands on a plate of its band.
            if crossings(area, &crossed) > 0 {
                svg.rect(area, &format!("rx=\"2\" fill=\"{ground}\""));
            }
            let base = Point::new((area.left + area.right) / 2.0, area.bottom - 2.2);
            let ink = Ink::new(ground.text(), Anchor::Middle).with_halo(ground);
            svg.text(base, &[span], ink);
        }
    }

    /// Crosses on plates, with the film read there.
    fn draw_odd(&self, svg: &mut Svg, boxes: &mut Vec<Rect>) {
        let theme = &self.map.theme;
        for reading in self.map.odd.iter().take(WITH_FIGURE) {
            let at = self.at(reading.u_m, reading.v_m);
            let span = Span::bold(self.written(reading.film_um), FIGURE_PX);
            let wide = span.width() + 22.0;
            let left = (at.x - 9.0)
                .min(self.frame.right - wide)
                .max(self.frame.left);
            let plate = Rect {
                left,
                top: at.y - 9.0,
                right: left + wide,
                bottom: at.y + 9.0,
            };
            svg.rect(
                plate,
                &format!("rx=\"3\" fill=\"{}\" stroke=\"{}\"", theme.paper, theme.ink),
            );
            let middle = Point::new(left + 9.0, at.y);
            for slant in [1.0, -1.0] {
                svg.stroke(
                    Point::new(middle.x - 4.0, middle.y - 4.0 * slant),
                    Point::new(middle.x + 4.0, middle.y + 4.0 * slant),
                    theme.ink,
                    1.6,
                );
            }
            let base = Point::new(left + 17.0, at.y + 4.2);
            svg.text(base, &[span], Ink::new(theme.ink, Anchor::Start));
            boxes.push(plate);
        }
    }

    fn ground(&self, um: f64) -> Rgb {
        self.scale.banded(um)
    }

    /// The crease, as a line with a paper line beside it.
    fn draw_crease(&self, svg: &mut Svg) {
        let theme = &self.map.theme;
        let places: Vec<Point> = self
            .map
            .crease_m
            .iter()
            .map(|[u, v]| self.at(*u, *v))
            .collect();
        if let [only] = places.as_slice() {
            svg.dot(*only, 4.0, theme.paper, theme.ink);
        }
        if places.len() < 2 {
            return;
        }
        for (colour, wide) in [(theme.paper, 4.0), (theme.ink, 1.2)] {
            svg.path(
                &run(&places, false),
                &format!("fill=\"none\" stroke=\"{colour}\" stroke-width=\"{wide}\" stroke-dasharray=\"9 4\""),
            );
        }
    }

    /// The strip along the edges, which is nobody's measurement: no colour,
    /// thin hatch.
    fn draw_edge(&self, svg: &mut Svg) {
        let inner = self.inner();
        if inner.is_empty() {
            return;
        }
        let theme = &self.map.theme;
        let mut outlines = vec![self.corners.clone()];
        outlines.extend(inner.iter().cloned());
        let ring: String = outlines.iter().map(|o| run(o, true)).collect();
        svg.path(
            &ring,
            &format!("fill=\"{}\" fill-rule=\"evenodd\"", theme.sheet),
        );
        let thin = format!(
            "fill=\"none\" stroke=\"{}\" stroke-width=\"0.9\"",
            theme.rule
        );
        svg.path(&hatched(&outlines, 6.0), &thin);
        let rims: String = inner.iter().map(|o| run(o, true)).collect();
        svg.path(&rims, &thin);
    }

    /// What lies inside the strip along the edges, where there is one.
    fn inner(&self) -> Vec<Vec<Point>> {
        let edge = self.map.edge_m;
        let [wide, tall] = self.map.size_m;
        if edge <= 0.0 || 2.0 * edge >= wide.min(tall) {
            return Vec::new();
        }
        if self.map.outline_m.is_empty() {
            let (low, high) = (self.at(edge, edge), self.at(wide - edge, tall - edge));
            let inner = Rect {
                left: low.x,
                top: high.y,
                right: high.x,
                bottom: low.y,
            };
            return vec![corners(inner).to_vec()];
        }
        let lines = self.inside.lines(edge);
        lines.iter().map(|line| thinned(line, 0.5, 9.0)).collect()
    }

    /// Rings with their rank.
    fn draw_next(&self, svg: &mut Svg) {
        let theme = &self.map.theme;
        for (rank, [u_m, v_m]) in self.map.next_m.iter().enumerate() {
            let at = self.at(*u_m, *v_m);
            for (colour, wide) in [(theme.paper, 6.0), (theme.here, 3.0)] {
                let disc = Rect::around(at, 21.0, 21.0);
                svg.rect(
                    disc,
                    &format!(
                        "rx=\"10.5\" fill=\"{}\" stroke=\"{colour}\" stroke-width=\"{wide}\"",
                        theme.paper
                    ),
                );
            }
            svg.text(
                Point::new(at.x, at.y + 4.6),
                &[Span::bold((rank + 1).to_string(), 13.0)],
                Ink::new(theme.here, Anchor::Middle),
            );
        }
    }

    fn draw_axes(&self, svg: &mut Svg) {
        let theme = &self.map.theme;
        let (per_m, unit) = match self.map.units {
            Units::Metric => (1000.0, "mm"),
            Units::Customary => (1000.0 / 25.4, "in"),
        };
        let [left, low] = self.map.origin_m.map(|m| m * per_m);
        let [wide, tall] = self.map.size_m.map(|m| m * per_m);
        let (places, decimals) = ticks::ticks(left, left + wide, 7);
        let last = places.len().saturating_sub(1);
        for (i, at) in places.iter().enumerate() {
            let x = self.frame.left + self.frame.width() * (at - left) / wide;
            svg.stroke(
                Point::new(x, self.frame.bottom),
                Point::new(x, self.frame.bottom + 4.0),
                theme.ink2,
                1.0,
            );
            let end = if i == last {
                format!("\u{a0}{unit}")
            } else {
                String::new()
            };
            let (x, anchor) = if x > self.frame.right - 26.0 {
                (self.width - 2.0, Anchor::End)
            } else {
                (x, Anchor::Middle)
            };
            let words = format!("{}{end}", ticks::written(*at, decimals));
            svg.text(
                Point::new(x, self.frame.bottom + 16.0),
                &[Span::plain(words, SMALL_PX)],
                Ink::new(theme.ink2, anchor),
            );
        }
        let most = if self.frame.height() < 120.0 { 2 } else { 6 };
        let (places, decimals) = ticks::ticks(low, low + tall, most);
        for at in places {
            let y = self.frame.bottom - self.frame.height() * (at - low) / tall;
            if y > self.frame.bottom - 6.0 {
                continue;
            }
            svg.stroke(
                Point::new(self.frame.left, y),
                Point::new(self.frame.left - 4.0, y),
                theme.ink2,
                1.0,
            );
            svg.text(
                Point::new(self.frame.left - 6.0, (y + 4.0).max(TOP_PX + 8.0)),
                &[Span::plain(ticks::written(at, decimals), SMALL_PX)],
                Ink::new(theme.ink2, Anchor::End),
            );
        }
    }
}

/// A name for the clip that no other panel's picture on a page has.
fn clip_name(title: &str) -> String {
    let plain = |c: char| if c.is_ascii_alphanumeric() { c } else { '-' };
    format!("panel-{}", title.chars().map(plain).collect::<String>())
}

fn placed(frame: Rect, size_m: [f64; 2], u_m: f64, v_m: f64) -> Point {
    Point::new(
        frame.left + frame.width() * u_m / size_m[0],
        frame.bottom - frame.height() * v_m / size_m[1],
    )
}

fn hatched<O: AsRef<[Point]>>(outlines: &[O], pitch_px: f64) -> String {
    hatch::lines_in(outlines, pitch_px)
        .iter()
        .map(|(a, b)| format!("M{}L{}", place(*a), place(*b)))
        .collect()
}
