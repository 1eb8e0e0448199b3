//! Drawing the flat car: shapes, hatch, labels, legend.
//!
//! Law: none; a picture. Text on a colour is black or white, whichever reads
//! better.
//! Source: ours.
//! Holds: for any list of panels; see the room's front page.
//! Left out: nothing beyond it.
//! Checked by: the tests of the flat car.

use super::labels::{self, Line, Page, Placed, Request};
use super::outline::{self, Kind, Shape};
use super::view::View;
use super::{BodyClass, CarOptions, Doubt, Fill, PanelPaint};
use crate::figure::colour::Rgb;
use crate::figure::geometry::{Point, Rect};
use crate::figure::legend::{self, Bar, Key, LITTLE_KNOWN, SMALL_PX, UNSURE};
use crate::figure::lettering::{width_px, wrapped};
use crate::figure::svg::{Anchor, Ink, Span, Svg, escaped, number, run};
use crate::figure::theme::Theme;

/// Air around the car, px.
const MARGIN_PX: f64 = 6.0;

/// A car about to be drawn.
pub(super) struct Picture<'a> {
    pub(super) class: BodyClass,
    pub(super) options: &'a CarOptions,
    pub(super) theme: &'a Theme,
    /// Shapes in page coordinates, in drawing order.
    pub(super) shapes: Vec<Shape>,
    pub(super) rings: Vec<(Point, f64, f64)>,
    /// What each shape shows; blank for decoration.
    pub(super) paints: Vec<PanelPaint>,
    pub(super) strangers: Vec<&'a PanelPaint>,
    pub(super) width: f64,
    pub(super) car_height: f64,
    pub(super) name_px: f64,
    pub(super) figure_px: f64,
}

impl<'a> Picture<'a> {
    pub(super) fn new(class: BodyClass, panels: &'a [PanelPaint], options: &'a CarOptions) -> Self {
        let car = outline::outline(class, options.size_m);
        let wished = options.width_px;
        let width = if wished.is_finite() {
            wished.clamp(240.0, 2400.0)
        } else {
            700.0
        };
        let view = View::new(&car, options.is_portrait, width);
        let shapes: Vec<Shape> = car.shapes.iter().map(|shape| view.shape(shape)).collect();
        let paint_of = |shape: &Shape| {
            let found = panels
                .iter()
                .find(|p| !shape.id.is_empty() && p.id == shape.id);
            found.cloned().unwrap_or_default()
        };
        let is_stranger = |p: &&PanelPaint| shapes.iter().all(|shape| shape.id != p.id);
        let rings = car.rings.iter().map(|ring| view.ring(ring)).collect();
        Self {
            class,
            options,
            theme: &options.theme,
            paints: shapes.iter().map(paint_of).collect(),
            strangers: panels.iter().filter(is_stranger).collect(),
            shapes,
            rings,
            width,
            car_height: view.height,
            name_px: SMALL_PX,
            figure_px: if width < 480.0 { 15.0 } else { 16.5 },
        }
    }

    pub(super) fn draw(&self) -> String {
        let (placed, missing) = labels::place(&self.page(), &self.requests());
        let mut under = Svg::fragment();
        let height = self.draw_under(&mut under, &missing);
        let mut svg = Svg::open(self.width, height, &self.options.title, &self.description());
        self.draw_wheels(&mut svg);
        for (shape, paint) in self.shapes.iter().zip(&self.paints) {
            self.draw_shape(&mut svg, shape, paint);
        }
        self.draw_here(&mut svg);
        for label in &placed {
            self.draw_label(&mut svg, label);
        }
        svg.raw(&under.into_markup());
        svg.close()
    }

    fn draw_wheels(&self, svg: &mut Svg) {
        for (centre, rx, ry) in &self.rings {
            svg.raw(&format!(
                "<ellipse cx=\"{}\" cy=\"{}\" rx=\"{}\" ry=\"{}\" fill=\"none\" stroke=\"{}\" stroke-width=\"0.8\"/>\n",
                number(centre.x),
                number(centre.y),
                number(*rx),
                number(*ry),
                self.theme.rule
            ));
        }
    }

    fn draw_shape(&self, svg: &mut Svg, shape: &Shape, paint: &PanelPaint) {
        let t = self.theme;
        let (fill, edge) = match shape.kind {
            Kind::Panel => return self.draw_panel(svg, shape, paint),
            Kind::Glass => (t.sunk.to_string(), t.hair),
            Kind::Void => (t.sunk.to_string(), t.rule),
            Kind::Return => (t.sheet.to_string(), t.rule),
            Kind::Lamp => ("none".to_owned(), t.rule),
            Kind::Plate => ("none".to_owned(), t.hair),
            Kind::Line => ("none".to_owned(), t.hair),
        };
        let hidden = shape.kind == Kind::Line && self.options.scale.is_some();
        if !hidden {
            let data = run(&shape.points, shape.kind != Kind::Line);
            svg.path(
                &data,
                &format!("fill=\"{fill}\" stroke=\"{edge}\" stroke-width=\"0.8\""),
            );
        }
    }

    fn draw_panel(&self, svg: &mut Svg, shape: &Shape, paint: &PanelPaint) {
        let t = self.theme;
        let data = run(&shape.points, true);
        let title = escaped(&self.sentence(shape, paint));
        svg.raw(&format!(
            "<g data-panel=\"{}\"><title>{title}</title>\n",
            escaped(&shape.id)
        ));
        svg.path(&data, &format!("fill=\"{}\"", self.ground(paint)));
        match self.look(paint) {
            Look::Fine => legend::draw_hatch(svg, &shape.points, UNSURE.0, (t.paper, UNSURE.1)),
            Look::Wide => {
                legend::draw_hatch(
                    svg,
                    &shape.points,
                    LITTLE_KNOWN.0,
                    (t.paper, LITTLE_KNOWN.1),
                );
            }
            Look::Thin => legend::draw_hatch(svg, &shape.points, 6.0, (t.rule, 0.9)),
            Look::Dots => legend::draw_dots(svg, &shape.points, t),
            Look::Plain | Look::Double | Look::Heavy => {}
        }
        let edge = |width: f64, colour: Rgb| {
            format!(
                "fill=\"none\" stroke=\"{colour}\" stroke-width=\"{width}\" stroke-linejoin=\"round\""
            )
        };
        match self.look(paint) {
            Look::Double => {
                svg.path(&data, &edge(4.2, t.ink));
                svg.path(&data, &edge(2.0, t.sheet));
            }
            Look::Heavy => svg.path(&data, &edge(3.0, t.ink)),
            _ => svg.path(&data, &edge(1.0, t.ink)),
        }
        svg.raw("</g>\n");
    }

    fn draw_here(&self, svg: &mut Svg) {
        let here = self.options.here.as_deref().unwrap_or("");
        if let Some(shape) = self
            .shapes
            .iter()
            .find(|s| !here.is_empty() && s.id == here)
        {
            let data = run(&shape.points, true);
            let attributes = format!(
                "fill=\"none\" stroke=\"{}\" stroke-width=\"3.4\" stroke-linejoin=\"round\"",
                self.theme.here
            );
            svg.path(&data, &attributes);
        }
    }

    fn draw_label(&self, svg: &mut Svg, label: &Placed) {
        let paint = &self.paints[label.panel];
        let mut fill = self.theme.ink;
        if let Some((foot, head)) = label.leader {
            svg.stroke(foot, head, self.theme.ink2, 0.9);
        } else {
            let ground = self.ground(paint);
            fill = if ground == self.theme.sheet {
                self.theme.ink
            } else {
                ground.text()
            };
            if matches!(
                self.look(paint),
                Look::Fine | Look::Wide | Look::Thin | Look::Dots
            ) {
                svg.rect(
                    label.area.grown(0.5),
                    &format!("rx=\"2\" fill=\"{ground}\""),
                );
            }
        }
        let tall: f64 = label.lines.iter().map(Line::height).sum();
        let mut top = label.centre.y - tall / 2.0;
        if let (true, [line]) = (label.is_turned, label.lines.as_slice()) {
            let base = Point::new(label.centre.x + self.name_px * 0.35, label.centre.y);
            if line.is_plate {
                svg.rect(label.area, &format!("rx=\"2\" fill=\"{}\"", self.theme.ink));
                fill = self.theme.paper;
            }
            let ink = Ink {
                is_turned: true,
                ..Ink::new(fill, Anchor::Middle)
            };
            svg.text(base, &line.spans, ink);
            return;
        }
        for line in &label.lines {
            let size = line.spans.iter().map(|span| span.size).fold(0.0, f64::max);
            let base = Point::new(label.centre.x, top + line.height() / 2.0 + size * 0.35);
            let mut ink = Ink::new(fill, Anchor::Middle);
            if line.is_plate {
                let wide = line.spans.iter().map(Span::width).sum::<f64>() + 10.0;
                let middle = Point::new(base.x, top + line.height() / 2.0);
                let plate = Rect::around(middle, wide, line.height() - 1.0);
                svg.rect(plate, &format!("rx=\"2\" fill=\"{}\"", self.theme.ink));
                ink = Ink::new(self.theme.paper, Anchor::Middle);
            }
            svg.text(base, &line.spans, ink);
            top += line.height();
        }
    }

    /// Legend, keys, what found no place, caption. Returns the page's height.
    fn draw_under(&self, svg: &mut Svg, missing: &[usize]) -> f64 {
        let t = self.theme;
        let left = MARGIN_PX + 6.0;
        let room = self.width - 2.0 * left;
        let mut y = self.car_height + 8.0;
        if let Some(scale) = self.options.scale {
            let units = self.options.units;
            let words = scale.words_in(units, self.options.labels);
            let beside = width_px(&words, SMALL_PX, false) + 14.0;
            let bar = Bar {
                scale,
                units,
                theme: t,
                walls: &[],
                pointer: None,
            };
            let width = (room - beside).min(360.0);
            bar.draw(svg, Point::new(left + 4.0, y), width);
            let at = Point::new(left + width + 14.0, y + 11.0);
            svg.text(
                at,
                &[Span::plain(words, SMALL_PX)],
                Ink::new(t.ink2, Anchor::Start),
            );
            y += bar.height() + 8.0;
        }
        let keys = (self.keys(), self.options.labels);
        y += legend::draw_keys(svg, Point::new(left, y), room, (&keys.0, keys.1), t);
        for line in wrapped(&self.notes(missing), SMALL_PX + 1.0, room) {
            let span = Span::plain(line, SMALL_PX + 1.0);
            svg.text(
                Point::new(left, y + 12.0),
                &[span],
                Ink::new(t.ink2, Anchor::Start),
            );
            y += 18.0;
        }
        y + 4.0
    }

    fn keys(&self) -> Vec<Key> {
        let looks: Vec<(Look, Fill)> = self.paints.iter().map(|p| (self.look(p), p.fill)).collect();
        let any = |look: Look| looks.iter().any(|(l, _)| *l == look);
        let dots = |repaint: bool| {
            looks
                .iter()
                .any(|(l, f)| *l == Look::Dots && (*f == Fill::Repaint) == repaint)
        };
        [
            (any(Look::Thin), Key::NotMeasured),
            (any(Look::Fine), Key::Unsure),
            (any(Look::Wide), Key::LittleKnown),
            (any(Look::Heavy), Key::Leave),
            (dots(true), Key::Repaint),
            (dots(false) && !dots(true), Key::AboveScale),
            (any(Look::Double), Key::BelowScale),
        ]
        .into_iter()
        .filter_map(|(shown, key)| shown.then_some(key))
        .collect()
    }

    fn look(&self, paint: &PanelPaint) -> Look {
        match (paint.fill, self.options.scale) {
            (Fill::Blank, _) | (Fill::Value(..), None) => Look::Plain,
            (Fill::NotMeasured, _) => Look::Thin,
            (Fill::Repaint, _) => Look::Dots,
            (Fill::Leave, _) => Look::Heavy,
            (Fill::Value(value, _), _) if !value.is_finite() => Look::Thin,
            (Fill::Value(value, _), Some(scale)) if scale.is_below(value) => Look::Double,
            (Fill::Value(value, _), Some(scale)) if scale.is_above(value) => Look::Dots,
            (Fill::Value(_, Doubt::Plain), _) => Look::Plain,
            (Fill::Value(_, Doubt::Unsure), _) => Look::Fine,
            (Fill::Value(_, Doubt::LittleKnown), _) => Look::Wide,
        }
    }

    fn ground(&self, paint: &PanelPaint) -> Rgb {
        let coloured = matches!(self.look(paint), Look::Plain | Look::Fine | Look::Wide);
        match (paint.fill, self.options.scale) {
            (Fill::Value(value, _), Some(scale)) if coloured => scale.banded(value),
            _ => self.theme.sheet,
        }
    }

    fn page(&self) -> Page {
        let points = |kinds: &[Kind]| -> Vec<Vec<Point>> {
            let chosen = self
                .shapes
                .iter()
                .filter(|shape| kinds.contains(&shape.kind));
            chosen.map(|shape| shape.points.clone()).collect()
        };
        let mut solid = points(&[
            Kind::Panel,
            Kind::Glass,
            Kind::Lamp,
            Kind::Return,
            Kind::Void,
            Kind::Plate,
        ]);
        solid.extend(self.rings.iter().map(|ring| ellipse(*ring)));
        let upright = self.options.is_portrait;
        Page {
            width: self.width,
            height: self.car_height,
            mirror: if upright { mirror_x } else { mirror_y },
            axis: if upright {
                self.width / 2.0
            } else {
                self.car_height / 2.0
            },
            solid,
            recesses: points(&[Kind::Plate, Kind::Void, Kind::Glass]),
        }
    }

    fn requests(&self) -> Vec<Request> {
        let mut requests = Vec::new();
        for (i, shape) in self.shapes.iter().enumerate() {
            let is_first = shape.kind == Kind::Panel && !shape.id.ends_with("-right");
            if is_first {
                let twin = shape.id.strip_suffix("-left").and_then(|stem| {
                    let other = format!("{stem}-right");
                    self.shapes.iter().position(|s| s.id == other)
                });
                requests.push(Request {
                    panel: i,
                    twin,
                    outline: shape.points.clone(),
                    words: self.words(i),
                    twin_words: twin.map_or(Default::default(), |t| self.words(t)),
                });
            }
        }
        requests
    }
}

/// How a panel is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Look {
    Plain,
    Fine,
    Wide,
    Thin,
    Dots,
    Double,
    Heavy,
}

fn mirror_x(p: Point, axis: f64) -> Point {
    Point::new(2.0 * axis - p.x, p.y)
}

fn mirror_y(p: Point, axis: f64) -> Point {
    Point::new(p.x, 2.0 * axis - p.y)
}

fn ellipse((centre, rx, ry): (Point, f64, f64)) -> Vec<Point> {
    (0..24)
        .map(|k| {
            let angle = f64::from(k) * std::f64::consts::TAU / 24.0;
            Point::new(centre.x + rx * angle.cos(), centre.y + ry * angle.sin())
        })
        .collect()
}

#[cfg(test)]
impl Picture<'_> {
    /// The boxes of all labels that found a place, and how many found none.
    pub(super) fn label_boxes(&self) -> (Vec<Rect>, usize) {
        let (placed, missing) = labels::place(&self.page(), &self.requests());
        (
            placed.into_iter().map(|label| label.area).collect(),
            missing.len(),
        )
    }

    /// Whether a box lies on the part of the page the car has.
    pub(super) fn page_holds(&self, area: Rect) -> bool {
        let page = Rect {
            left: 0.0,
            top: 0.0,
            right: self.width,
            bottom: self.car_height,
        };
        page.holds(area)
    }
}
