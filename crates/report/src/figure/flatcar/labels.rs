//! Where each panel's name and figure stand: inside the panel when they fit,
//! else outside on a short line; never on top of one another.
//!
//! Law: inside, the free box nearest the panel's centre of mass; outside, the
//! free box with the shortest line to the panel; a line across a neighbour
//! counts as 60 px more and one across a label as 400. Left and right twins share one place, mirrored.
//! Source: ours.
//! Holds: for any class and any words. What finds no place is handed back and
//! goes under the picture, so no figure is ever lost.
//! Left out: words along a slope.
//! Checked by: no two boxes overlap and no box leaves the page, for all
//! classes, both ways up, with short and long words.

use super::occupancy::Occupancy;
use crate::figure::geometry::{Point, Rect, centroid, nearest_on, sides};
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
    /// Running upward, inside or beside an upright panel; one line each.
    pub(crate) turned: Vec<Vec<Line>>,
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
    /// Whether the words run upward.
    pub(crate) is_turned: bool,
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
/// Cost from which a label is better listed under the picture.
const TOO_DEAR: f64 = 130.0;
/// Cost from which the figure alone, inside, is better than a line.
const DEAR: f64 = 45.0;
/// What words that run upward cost more than level ones.
const TURNED: f64 = 25.0;

/// Gives every request a place; returns the places and what found none.
pub(crate) fn place(page: &Page, requests: &[Request]) -> (Vec<Placed>, Vec<usize>) {
    let mut work = Work {
        page,
        placed: Vec::new(),
        boxes: Vec::new(),
        leaders: Vec::new(),
        bounds: page.solid.iter().map(|shape| Rect::of(shape)).collect(),
    };
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
        let has_place = work.elsewhere(request, &solid);
        if !has_place {
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
    leaders: Vec<(Point, Point)>,
    /// The bounds of each solid shape.
    bounds: Vec<Rect>,
}

/// What a search outside a panel needs at every place.
struct Search<'a> {
    free: &'a Occupancy,
    middle: Point,
    bounds: Rect,
    limit: f64,
}

/// A form of the words chosen for both twins, and the box that holds either.
struct Form {
    own: Vec<Line>,
    twin: Vec<Line>,
    width: f64,
    height: f64,
    is_turned: bool,
}

impl Work<'_> {
    fn inside(&mut self, request: &Request) -> bool {
        let (own, twin) = (&request.words, &request.twin_words);
        let mut forms = forms(&own.inside, &twin.inside, false);
        forms.extend(self::forms(&own.turned, &twin.turned, true));
        [true, false].into_iter().any(|mind| {
            let room = self.room(request, mind);
            forms
                .iter()
                .any(|form| self.put_inside(request, form, &room))
        })
    }

    fn last(&mut self, request: &Request) -> bool {
        let room = self.room(request, false);
        let (own, twin) = (&request.words.last, &request.twin_words.last);
        let mut forms = forms(own, twin, false);
        if !request.words.turned.is_empty() {
            forms.extend(self::forms(own, twin, true));
        }
        forms
            .iter()
            .any(|form| self.put_inside(request, form, &room))
    }

    /// The panel's own ground, minus labels and, if minded, recesses; its
    /// upper left corner is that of the panel's bounds.
    fn room(&self, request: &Request, mind_recesses: bool) -> Occupancy {
        let bounds = Rect::of(&request.outline);
        let moved = |outline: &[Point]| -> Vec<Point> {
            outline
                .iter()
                .map(|p| Point::new(p.x - bounds.left, p.y - bounds.top))
                .collect()
        };
        let own = moved(&request.outline);
        let mut room = Occupancy::new(bounds.width(), bounds.height(), true);
        room.mark_inside(&own, false);
        room.mark_sides(&own);
        let recesses = self.page.recesses.iter().filter(|_| mind_recesses);
        for recess in recesses.filter(|recess| Rect::of(recess).overlaps(bounds)) {
            room.mark_inside(&moved(recess), true);
            room.mark_sides(&moved(recess));
        }
        for area in self
            .boxes
            .iter()
            .filter(|area| area.grown(AIR_PX).overlaps(bounds))
        {
            room.mark_box(area.grown(AIR_PX).moved(-bounds.left, -bounds.top));
        }
        room.settle();
        room
    }

    fn put_inside(&mut self, request: &Request, form: &Form, room: &Occupancy) -> bool {
        let middle = centroid(&request.outline);
        let bounds = Rect::of(&request.outline);
        let (w, h) = (form.width + 2.0, form.height);
        let fits =
            |p: &Point| room.is_free(Rect::around(*p, w, h).moved(-bounds.left, -bounds.top));
        let best = grid(bounds, 2.0)
            .filter(fits)
            .min_by(|p, q| p.distance(middle).total_cmp(&q.distance(middle)));
        match best {
            Some(centre) => {
                self.keep(request, form, centre, None);
                true
            }
            None => false,
        }
    }

    /// Outside near by, else the figure alone inside, else outside farther off.
    fn elsewhere(&mut self, request: &Request, solid: &Occupancy) -> bool {
        let mut forms = forms(&request.words.outside, &request.twin_words.outside, false);
        forms.extend(self::forms(
            &request.words.turned,
            &request.twin_words.turned,
            true,
        ));
        let best = self.best_outside(request, &forms, solid);
        if best.is_none_or(|(cost, ..)| cost > DEAR) && self.last(request) {
            return true;
        }
        let Some((_, centre, form)) = best else {
            return false;
        };
        let form = &forms[form];
        let area = Rect::around(centre, form.width, form.height);
        let foot = nearest_on(&request.outline, area.nearest(centroid(&request.outline)));
        let head = area.grown(1.0).nearest(foot);
        let foot = foot.toward(
            centroid(&request.outline),
            1.5 / foot.distance(head).max(10.0),
        );
        self.keep(request, form, centre, Some((foot, head)));
        true
    }

    /// Cost, place and form of the best label outside, if any is worth it.
    fn best_outside(
        &self,
        request: &Request,
        forms: &[Form],
        solid: &Occupancy,
    ) -> Option<(f64, Point, usize)> {
        let mut free = solid.clone();
        for area in &self.boxes {
            free.mark_box(area.grown(AIR_PX + 1.0));
        }
        for (foot, head) in &self.leaders {
            free.mark_sides(&[*foot, *head]);
        }
        free.settle();
        let (middle, bounds) = (centroid(&request.outline), Rect::of(&request.outline));
        let mut best: Option<(f64, Point, usize)> = None;
        for (rank, form) in forms.iter().enumerate() {
            let turned = if form.is_turned { TURNED } else { 0.0 };
            let extra = turned + f64::from(u8::try_from(rank).unwrap_or(u8::MAX)) * 8.0;
            let near = Rect::of(&request.outline).grown(REACH_PX + form.width / 2.0);
            for centre in grid(near, 3.0) {
                let limit = best.map_or(TOO_DEAR, |(cost, ..)| cost) - extra;
                let search = Search {
                    free: &free,
                    middle,
                    bounds,
                    limit,
                };
                if let Some(cost) = self.cost_outside(request, form, centre, &search) {
                    best = Some((cost + extra, centre, rank));
                }
            }
        }
        best
    }

    /// What a label outside costs at a place, when it is free and less than
    /// the limit.
    fn cost_outside(
        &self,
        request: &Request,
        form: &Form,
        centre: Point,
        search: &Search<'_>,
    ) -> Option<f64> {
        let (free, most) = (search.free, search.limit.min(REACH_PX));
        let area = Rect::around(centre, form.width + 4.0, form.height + 2.0);
        if area.gap(search.bounds) > most || !free.is_free(area) {
            return None;
        }
        let other = self.mirrored(area);
        if request.twin.is_some() && (area.overlaps(other) || !free.is_free(other)) {
            return None;
        }
        let foot = nearest_on(&request.outline, area.nearest(search.middle));
        let head = area.nearest(foot);
        let reach = foot.distance(head);
        if !(2.0..most).contains(&reach) {
            return None;
        }
        let cost = reach + self.crossings(request, foot, head);
        (cost < search.limit).then_some(cost)
    }

    /// What a line costs beyond its length: see the law above.
    fn crossings(&self, request: &Request, foot: Point, head: Point) -> f64 {
        let line = Rect::of(&[foot, head]);
        let steps = || (1..16).map(|k| foot.toward(head, f64::from(k) / 16.0));
        let labels = self.boxes.iter().filter(|area| {
            area.overlaps(line.grown(0.1)) && steps().any(|p| area.holds(Rect::of(&[p])))
        });
        let shapes = self
            .page
            .solid
            .iter()
            .zip(&self.bounds)
            .filter(|(shape, bounds)| {
                bounds.overlaps(line.grown(0.1))
                    && **shape != request.outline
                    && steps().any(|p| is_inside(shape, p))
            });
        let cost =
            |count: usize, each: f64| each * f64::from(u8::try_from(count).unwrap_or(u8::MAX));
        cost(labels.count(), 400.0) + cost(shapes.count(), 60.0)
    }

    fn keep(
        &mut self,
        request: &Request,
        form: &Form,
        centre: Point,
        leader: Option<(Point, Point)>,
    ) {
        let is_turned = form.is_turned;
        let mut put =
            |panel: usize, lines: &[Line], centre: Point, leader: Option<(Point, Point)>| {
                let area = Rect::around(centre, form.width, form.height);
                self.boxes.push(area);
                self.leaders.extend(leader);
                let lines = lines.to_vec();
                self.placed.push(Placed {
                    panel,
                    lines,
                    centre,
                    area,
                    leader,
                    is_turned,
                });
            };
        put(request.panel, &form.own, centre, leader);
        if let Some(twin) = request.twin {
            let over = |p| (self.page.mirror)(p, self.page.axis);
            let leader = leader.map(|(a, b)| (over(a), over(b)));
            put(twin, &form.twin, over(centre), leader);
        }
    }

    fn mirrored(&self, area: Rect) -> Rect {
        let corners = [
            Point::new(area.left, area.top),
            Point::new(area.right, area.bottom),
        ];
        Rect::of(&corners.map(|p| (self.page.mirror)(p, self.page.axis)))
    }
}

/// Pairs the forms of both twins; a shorter list repeats its last form.
fn forms(own: &[Vec<Line>], twin: &[Vec<Line>], is_turned: bool) -> Vec<Form> {
    let at =
        |list: &[Vec<Line>], i: usize| list.get(i).or(list.last()).cloned().unwrap_or_default();
    (0..own.len().max(twin.len()))
        .map(|i| {
            let (own, twin) = (at(own, i), at(twin, i));
            let width = own.iter().chain(&twin).map(Line::width).fold(0.0, f64::max);
            let tall = |lines: &[Line]| lines.iter().map(Line::height).sum::<f64>();
            let height = tall(&own).max(tall(&twin));
            let (width, height) = if is_turned {
                (height, width)
            } else {
                (width, height)
            };
            Form {
                own,
                twin,
                width,
                height,
                is_turned,
            }
        })
        .filter(|form| form.width > 0.0)
        .collect()
}

fn is_inside(outline: &[Point], p: Point) -> bool {
    let crosses = |(a, b): &(Point, Point)| {
        (a.y <= p.y) != (b.y <= p.y) && a.x + (b.x - a.x) * (p.y - a.y) / (b.y - a.y) < p.x
    };
    sides(outline).filter(crosses).count() % 2 == 1
}

fn size(outline: &[Point]) -> f64 {
    crate::figure::geometry::signed_area(outline).abs()
}

/// The places of a grid over an area, row by row.
fn grid(area: Rect, step: f64) -> impl Iterator<Item = Point> {
    let count = move |span: f64| (0..=10_000).take_while(move |k| f64::from(*k) * step <= span);
    count(area.height()).flat_map(move |row| {
        count(area.width()).map(move |column| {
            Point::new(
                area.left + f64::from(column) * step,
                area.top + f64::from(row) * step,
            )
        })
    })
}
