//! Where each panel's name and figure stand: inside the panel when they fit,
//! else outside on a short line; never on top of one another.
//!
//! Law: inside, the free box nearest the panel's centre of mass; outside, the
//! free box with the shortest line to the panel, a line across a neighbour
//! counting as 60 px. Left and right twins share one place, mirrored.
//! Source: ours.
//! Holds: for any class and any words. What finds no place is handed back and
//! goes under the picture, so no figure is ever lost.
//! Left out: words along a slope.
//! Checked by: no two boxes overlap and no box leaves the page, for all
//! classes, both ways up, with short and long words.

use super::occupancy::Occupancy;
use crate::figure::geometry::{Point, Rect, centroid, nearest_on};
use crate::figure::svg::Span;

/// One line of a label.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Line {
    pub(crate) spans: Vec<Span>,
    /// Reversed plate: paper on ink.
    pub(crate) is_plate: bool,
}

impl Line {
    fn width(&self) -> f64 {
        let gap = if self.is_plate { 10.0 } else { 0.0 };
        self.spans.iter().map(Span::width).sum::<f64>() + gap
    }

    pub(crate) fn height(&self) -> f64 {
        let tallest = self.spans.iter().map(|span| span.size).fold(0.0, f64::max);
        tallest * 1.16 + if self.is_plate { 4.0 } else { 0.0 }
    }
}

/// The words of one panel, shortest form last.
#[derive(Clone, Debug, Default)]
pub(crate) struct Words {
    pub(crate) inside: Vec<Vec<Line>>,
    pub(crate) outside: Vec<Vec<Line>>,
    /// Inside again, when nothing else fits: the figure alone.
    pub(crate) last: Vec<Vec<Line>>,
}

/// One panel to be named, or a left panel with its right twin.
pub(crate) struct Request {
    pub(crate) panel: usize,
    pub(crate) twin: Option<usize>,
    pub(crate) outline: Vec<Point>,
    pub(crate) words: Words,
    pub(crate) twin_words: Words,
}

/// A label that has its place.
#[derive(Clone, Debug)]
pub(crate) struct Placed {
    pub(crate) panel: usize,
    pub(crate) lines: Vec<Line>,
    pub(crate) centre: Point,
    pub(crate) area: Rect,
    /// From the panel to the label.
    pub(crate) leader: Option<(Point, Point)>,
}

/// The page the labels go on.
pub(crate) struct Page {
    pub(crate) width: f64,
    pub(crate) height: f64,
    /// Mirrors a place to the other flank.
    pub(crate) mirror: fn(Point, f64) -> Point,
    /// Where the middle line is.
    pub(crate) axis: f64,
    /// Everything drawn: panels, glass, lamps, wheels.
    pub(crate) solid: Vec<Vec<Point>>,
    /// Recesses on panels, better left free.
    pub(crate) recesses: Vec<Vec<Point>>,
}

/// Air around each label, px.
const AIR_PX: f64 = 2.0;
/// Longest line from a label to its panel, px.
const REACH_PX: f64 = 90.0;

/// Gives every request a place; returns the places and what found none.
pub(crate) fn place(page: &Page, requests: &[Request]) -> (Vec<Placed>, Vec<usize>) {
    let mut work = Work { page, placed: Vec::new(), boxes: Vec::new() };
    let mut order: Vec<&Request> = requests.iter().collect();
    order.sort_by(|a, b| size(&b.outline).total_cmp(&size(&a.outline)));
    let outside: Vec<&Request> = order.iter().filter(|r| !work.inside(r)).copied().collect();
    let mut solid = Occupancy::new(page.width, page.height, false);
    for outline in &page.solid {
        solid.mark_inside(outline, true);
        solid.mark_sides(outline);
    }
    let mut missing = Vec::new();
    for request in outside.iter().rev() {
        if !work.outside(request, &solid) && !work.last(request) {
            missing.push(request.panel);
            missing.extend(request.twin);
        }
    }
    missing.sort_unstable();
    (work.placed, missing)
}

struct Work<'a> {
    page: &'a Page,
    placed: Vec<Placed>,
    boxes: Vec<Rect>,
}

/// A form of the words chosen for both twins, and the box that holds either.
struct Form {
    own: Vec<Line>,
    twin: Vec<Line>,
    width: f64,
    height: f64,
}

impl Work<'_> {
    fn inside(&mut self, request: &Request) -> bool {
        let forms = forms(&request.words.inside, &request.twin_words.inside);
        [true, false].into_iter().any(|mind| {
            let room = self.room(request, mind);
            forms.iter().any(|form| self.put_inside(request, form, &room))
        })
    }

    fn last(&mut self, request: &Request) -> bool {
        let room = self.room(request, false);
        forms(&request.words.last, &request.twin_words.last)
            .iter()
            .any(|form| self.put_inside(request, form, &room))
    }

    /// The panel's own ground, minus labels and, if minded, recesses.
    fn room(&self, request: &Request, mind_recesses: bool) -> Occupancy {
        let mut room = Occupancy::new(self.page.width, self.page.height, true);
        room.mark_inside(&request.outline, false);
        room.mark_sides(&request.outline);
        if mind_recesses {
            for recess in &self.page.recesses {
                room.mark_inside(recess, true);
                room.mark_sides(recess);
            }
        }
        for area in &self.boxes {
            room.mark_box(area.grown(AIR_PX));
        }
        room.settle();
        room
    }

    fn put_inside(&mut self, request: &Request, form: &Form, room: &Occupancy) -> bool {
        let middle = centroid(&request.outline);
        let (w, h) = (form.width + 2.0, form.height);
        let places = grid(Rect::of(&request.outline), 2.0);
        let best = places
            .filter(|p| room.is_free(Rect::around(*p, w, h)))
            .min_by(|p, q| p.distance(middle).total_cmp(&q.distance(middle)));
        match best {
            Some(centre) => {
                self.keep(request, form, centre, None);
                true
            }
            None => false,
        }
    }

    fn outside(&mut self, request: &Request, solid: &Occupancy) -> bool {
        let mut free = solid.clone();
        for area in &self.boxes {
            free.mark_box(area.grown(AIR_PX + 1.0));
        }
        free.settle();
        let forms = forms(&request.words.outside, &request.twin_words.outside);
        let best = forms
            .iter()
            .zip(0..)
            .filter_map(|(form, rank)| {
                let (cost, centre) = self.best_outside(request, form, &free)?;
                Some((cost + f64::from(rank) * 8.0, centre, form))
            })
            .min_by(|a, b| a.0.total_cmp(&b.0));
        let Some((_, centre, form)) = best else {
            return false;
        };
        let area = Rect::around(centre, form.width, form.height);
        let foot = nearest_on(&request.outline, area.nearest(centroid(&request.outline)));
        let head = area.grown(1.0).nearest(foot);
        let foot = foot.toward(centroid(&request.outline), 1.5 / foot.distance(head).max(10.0));
        self.keep(request, form, centre, Some((foot, head)));
        true
    }

    fn best_outside(&self, request: &Request, form: &Form, free: &Occupancy) -> Option<(f64, Point)> {
        let reach = REACH_PX + form.width / 2.0;
        let near = Rect::of(&request.outline).grown(reach);
        grid(near, 3.0)
            .filter_map(|centre| {
                let area = Rect::around(centre, form.width + 4.0, form.height + 2.0);
                let is_alone = request.twin.is_none() || !area.overlaps(self.mirrored(area));
                if !is_alone || !free.is_free(area) {
                    return None;
                }
                let anchor = area.nearest(centroid(&request.outline));
                let foot = nearest_on(&request.outline, anchor);
                let head = area.nearest(foot);
                let reach = foot.distance(head);
                let cost = reach + self.crossings(request, foot, head);
                (2.0..REACH_PX).contains(&reach).then_some((cost, centre))
            })
            .min_by(|a, b| a.0.total_cmp(&b.0))
    }

    /// 60 px for each label, and for each other solid shape, the line crosses.
    fn crossings(&self, request: &Request, foot: Point, head: Point) -> f64 {
        let steps: Vec<Point> = (1..16).map(|k| foot.toward(head, f64::from(k) / 16.0)).collect();
        let is_hit = |area: &Rect| steps.iter().any(|p| area.holds(Rect::of(&[*p])));
        let labels = self.boxes.iter().filter(|area| is_hit(area)).count();
        let shapes = self.page.solid.iter().filter(|shape| {
            **shape != request.outline
                && is_hit(&Rect::of(shape))
                && steps.iter().any(|p| is_inside(shape, *p))
        });
        60.0 * f64::from(u8::try_from(labels + shapes.count()).unwrap_or(u8::MAX))
    }

    fn keep(&mut self, request: &Request, form: &Form, centre: Point, leader: Option<(Point, Point)>) {
        let mut put = |panel: usize, lines: &[Line], centre: Point, leader| {
            let area = Rect::around(centre, form.width, form.height);
            self.boxes.push(area);
            self.placed.push(Placed { panel, lines: lines.to_vec(), centre, area, leader });
        };
        put(request.panel, &form.own, centre, leader);
        if let Some(twin) = request.twin {
            let over = |p| (self.page.mirror)(p, self.page.axis);
            let leader = leader.map(|(a, b)| (over(a), over(b)));
            put(twin, &form.twin, over(centre), leader);
        }
    }

    fn mirrored(&self, area: Rect) -> Rect {
        let corners = [Point::new(area.left, area.top), Point::new(area.right, area.bottom)];
        Rect::of(&corners.map(|p| (self.page.mirror)(p, self.page.axis)))
    }
}

/// Pairs the forms of both twins; a shorter list repeats its last form.
fn forms(own: &[Vec<Line>], twin: &[Vec<Line>]) -> Vec<Form> {
    let at = |list: &[Vec<Line>], i: usize| list.get(i).or(list.last()).cloned().unwrap_or_default();
    (0..own.len().max(twin.len()))
        .map(|i| {
            let (own, twin) = (at(own, i), at(twin, i));
            let width = own.iter().chain(&twin).map(Line::width).fold(0.0, f64::max);
            let tall = |lines: &[Line]| lines.iter().map(Line::height).sum::<f64>();
            let height = tall(&own).max(tall(&twin));
            Form { own, twin, width, height }
        })
        .filter(|form| form.width > 0.0)
        .collect()
}

fn is_inside(outline: &[Point], p: Point) -> bool {
    let left_of = crate::figure::geometry::crossings(outline, p.y);
    left_of.iter().filter(|x| **x < p.x).count() % 2 == 1
}

fn size(outline: &[Point]) -> f64 {
    crate::figure::geometry::signed_area(outline).abs()
}

/// The places of a grid over an area, row by row.
fn grid(area: Rect, step: f64) -> impl Iterator<Item = Point> {
    let count = |span: f64| (0..=10_000).take_while(move |k| f64::from(*k) * step <= span);
    count(area.height()).flat_map(move |row| {
        count(area.width()).map(move |column| {
            Point::new(area.left + f64::from(column) * step, area.top + f64::from(row) * step)
        })
    })
}
