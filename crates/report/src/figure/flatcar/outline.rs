//! The cut panels of each body class, read from the drawings beside this file
//! and stretched to the car's outer dimensions.
//!
//! Law: one straight stretch for each axis: along by length, across the middle
//! by width, the flanks upward by height.
//! Source: our own drawings, designed once per class in millimetres.
//! Holds: for pictures within about a fifth of the class's usual size; beyond
//! that the stretch is limited to 0.8 to 1.25.
//! Left out: real areas. A drawn panel is a projection; hours and areas never
//! come from a picture.
//! Checked by: every class reads without loss, panels have area, and the usual
//! size changes nothing.

use super::BodyClass;
use crate::figure::geometry::Point;

/// What a shape is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Kind {
    Panel,
    Glass,
    Lamp,
    /// The side of a bumper.
    Return,
    /// Grille, load bed.
    Void,
    /// Number plate.
    Plate,
    /// Crease or handle: an open line.
    Line,
}

/// One shape on the page.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Shape {
    pub(crate) kind: Kind,
    /// Panel identifier, e.g. `front-door-left`; empty for decoration.
    pub(crate) id: String,
    pub(crate) points: Vec<Point>,
}

/// One tyre or rim: centre and half-axes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Ring {
    pub(crate) centre: Point,
    pub(crate) along: f64,
    pub(crate) across: f64,
}

/// A whole car, unfolded: x from the nose, y to the car's left, in metres.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Outline {
    pub(crate) shapes: Vec<Shape>,
    pub(crate) rings: Vec<Ring>,
    /// Lowest x, highest x and half the height of the drawing.
    pub(crate) nose: f64,
    pub(crate) tail: f64,
    pub(crate) half: f64,
}

/// The unfolded car of a class; `size_m` is length, width and height.
pub(crate) fn outline(class: BodyClass, size_m: Option<[f64; 3]>) -> Outline {
    let drawing = Drawing::read(class.drawing());
    let stretch = drawing.stretch(size_m);
    let mut car = Outline {
        shapes: Vec::new(),
        rings: Vec::new(),
        nose: 0.0,
        tail: 0.0,
        half: 0.0,
    };
    for line in &drawing.lines {
        car.add(line, &stretch);
    }
    car.measure();
    car
}

/// The identifiers of a class's panels, left before right.
pub(crate) fn ids(class: BodyClass) -> Vec<String> {
    let car = outline(class, None);
    let panels = car
        .shapes
        .into_iter()
        .filter(|shape| shape.kind == Kind::Panel);
    panels.map(|shape| shape.id).collect()
}

impl Outline {
    fn add(&mut self, line: &Line<'_>, stretch: &Stretch) {
        let on_flank = line.place == "flank";
        let sides: &[(f64, &str)] = match (line.place, line.kind) {
            ("spine", _) => &[(1.0, "")],
            _ => &[(1.0, "-left"), (-1.0, "-right")],
        };
        for (side, ending) in sides {
            let put = |p: &Point| stretch.put(*p, on_flank, *side);
            let points: Vec<Point> = line.points.iter().map(put).collect();
            match line.kind {
                Some(kind) => self.shapes.push(Shape {
                    kind,
                    id: if line.name.is_empty() {
                        String::new()
                    } else {
                        format!("{}{ending}", line.name)
                    },
                    points,
                }),
                None => self.rings.extend(points.first().map(|centre| Ring {
                    centre: *centre,
                    along: line.radius_mm / 1000.0 * stretch.along,
                    across: line.radius_mm / 1000.0 * stretch.up,
                })),
            }
        }
    }

    fn measure(&mut self) {
        let all = || self.shapes.iter().flat_map(|shape| &shape.points);
        self.nose = all().map(|p| p.x).fold(f64::INFINITY, f64::min);
        self.tail = all().map(|p| p.x).fold(f64::NEG_INFINITY, f64::max);
        let wheels = self.rings.iter().map(|ring| ring.centre.y + ring.across);
        self.half = all().map(|p| p.y).chain(wheels).fold(0.0, f64::max);
    }
}

struct Line<'a> {
    place: &'a str,
    /// `None` for a wheel.
    kind: Option<Kind>,
    name: &'a str,
    points: Vec<Point>,
    radius_mm: f64,
}

struct Drawing<'a> {
    size_m: [f64; 3],
    fold_m: f64,
    lines: Vec<Line<'a>>,
}

struct Stretch {
    along: f64,
    across: f64,
    up: f64,
    fold_m: f64,
}

impl Stretch {
    fn put(&self, p: Point, on_flank: bool, side: f64) -> Point {
        let y = if on_flank {
            self.fold_m * self.across + (p.y - self.fold_m) * self.up
        } else {
            p.y * self.across
        };
        Point::new(p.x * self.along, y * side)
    }
}

impl<'a> Drawing<'a> {
    fn read(text: &'a str) -> Self {
        let mut drawing = Self {
            size_m: [4.8, 1.85, 1.48],
            fold_m: 0.72,
            lines: Vec::new(),
        };
        for line in text.lines().filter(|line| !line.starts_with('#')) {
            match line.split_once(' ') {
                Some(("size", rest)) => {
                    let mut numbers = rest.split(' ').filter_map(millimetres);
                    drawing.size_m = drawing.size_m.map(|usual| numbers.next().unwrap_or(usual));
                }
                Some(("fold", rest)) => {
                    drawing.fold_m = millimetres(rest).unwrap_or(drawing.fold_m);
                }
                Some((place @ ("spine" | "pair" | "flank"), rest)) => {
                    drawing.lines.extend(shape_line(place, rest));
                }
                _ => {}
            }
        }
        drawing
    }

    fn stretch(&self, size_m: Option<[f64; 3]>) -> Stretch {
        let wished = size_m.unwrap_or(self.size_m);
        let by = |i: usize| {
            let ratio = wished[i] / self.size_m[i];
            if ratio.is_finite() {
                ratio.clamp(0.8, 1.25)
            } else {
                1.0
            }
        };
        Stretch {
            along: by(0),
            across: by(1),
            up: by(2),
            fold_m: self.fold_m,
        }
    }
}

fn shape_line<'a>(place: &'a str, rest: &'a str) -> Option<Line<'a>> {
    let (word, rest) = rest.split_once(' ')?;
    let mut line = Line {
        place,
        kind: None,
        name: "",
        points: Vec::new(),
        radius_mm: 0.0,
    };
    let mut rest = rest;
    line.kind = match word {
        "panel" => {
            (line.name, rest) = rest.split_once(' ')?;
            Some(Kind::Panel)
        }
        "glass" => Some(Kind::Glass),
        "lamp" => Some(Kind::Lamp),
        "return" => Some(Kind::Return),
        "void" => Some(Kind::Void),
        "plate" => Some(Kind::Plate),
        "line" => Some(Kind::Line),
        "wheel" => {
            let (place, radius) = rest.split_once(' ')?;
            line.radius_mm = radius.parse().ok()?;
            rest = place;
            None
        }
        _ => return None,
    };
    line.points = rest.split(' ').filter_map(point).collect();
    Some(line)
}

fn point(text: &str) -> Option<Point> {
    let (x, y) = text.split_once(',')?;
    Some(Point::new(millimetres(x)?, millimetres(y)?))
}

fn millimetres(text: &str) -> Option<f64> {
    text.parse::<f64>().ok().map(|mm| mm / 1000.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::figure::geometry::signed_area;

    #[test]
    fn every_line_and_point_of_every_drawing_is_read() {
        for class in BodyClass::ALL {
            let text = class.drawing();
            let drawing = Drawing::read(text);
            let shapes = text.lines().filter(|line| {
                ["spine ", "pair ", "flank "]
                    .iter()
                    .any(|place| line.starts_with(place))
            });
            let (mut lines, mut points) = (0, 0);
            for line in shapes {
                lines += 1;
                points += line.matches(',').count();
            }
            assert_eq!(drawing.lines.len(), lines, "{class:?}");
            let read: usize = drawing.lines.iter().map(|line| line.points.len()).sum();
            assert_eq!(read, points, "{class:?}");
            assert!(drawing.lines.iter().all(|line| !line.points.is_empty()));
        }
    }

    #[test]
    fn every_panel_has_area_and_its_twin_the_same() {
        for class in BodyClass::ALL {
            let car = outline(class, None);
            let area = |id: &str| {
                let found = car.shapes.iter().find(|shape| shape.id == id);
                found.map(|shape| signed_area(&shape.points).abs())
            };
            for id in ids(class) {
                let own = area(&id).expect("a panel has its shape");
                assert!(own > 0.01, "{class:?} {id} {own} m2");
                if let Some(stem) = id.strip_suffix("-left") {
                    let twin = area(&format!("{stem}-right")).expect("a twin");
                    assert!((own - twin).abs() < 1e-9);
                }
            }
        }
    }

    #[test]
    fn the_usual_size_changes_nothing_and_a_longer_car_is_longer() {
        let usual = outline(BodyClass::Estate, None);
        assert_eq!(usual, outline(BodyClass::Estate, Some([4.80, 1.85, 1.48])));
        let long = outline(BodyClass::Estate, Some([5.04, 1.85, 1.48]));
        let ratio = (long.tail - long.nose) / (usual.tail - usual.nose);
        assert!((ratio - 1.05).abs() < 1e-9);
        assert!((long.half - usual.half).abs() < 1e-9);
    }

    #[test]
    fn nonsense_dimensions_are_held_to_a_quarter() {
        let odd = outline(BodyClass::Saloon, Some([f64::NAN, 0.0, 99.0]));
        assert!(
            odd.shapes
                .iter()
                .flat_map(|s| &s.points)
                .all(|p| p.x.is_finite())
        );
        let usual = outline(BodyClass::Saloon, None);
        assert!(odd.half < usual.half * 1.26);
    }
}
