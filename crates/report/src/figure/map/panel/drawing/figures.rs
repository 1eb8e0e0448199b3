//! Where the figures of a panel's readings stand: beside their dots, off rims and
//! contours where there is room.
//!
//! Law: none; of eight places beside a dot the free one that fewest lines cross.
//! Source: ours.
//! Holds: for up to forty readings; of more none carries a figure.
//! Left out: figures further away with a pointer.
//! Checked by: the tests of the panel's map.

use super::{Drawn, FIGURE_PX, WITH_FIGURE};
use crate::figure::geometry::{Point, Rect};
use crate::figure::map::panel::PanelReading;
use crate::figure::svg::Span;

impl Drawn<'_> {
    /// Where each reading's figure finds room, of not too many readings.
    pub(super) fn placed_figures(
        &self,
        boxes: &mut Vec<Rect>,
        crossed: &[Point],
    ) -> Vec<(PanelReading, Rect)> {
        let readings = self.map.readings;
        let shown = if readings.len() > WITH_FIGURE {
            &[]
        } else {
            readings
        };
        let mut found = Vec::new();
        for reading in shown {
            let at = self.at(reading.u_m, reading.v_m);
            let wide = Span::bold(self.written(reading.film_um), FIGURE_PX).width() + 2.0;
            if let Some(area) = self.room_beside(at, wide, boxes, crossed) {
                boxes.push(area);
                found.push((*reading, area));
            }
        }
        found
    }

    /// Points of the lines a figure had better not stand on: contours, rim and
    /// outline.
    pub(super) fn crossed(&self) -> Vec<Point> {
        let borders = self.borders().into_iter();
        let lines = borders.flat_map(|border| self.film.lines(border));
        let rims = self.inner().into_iter().chain([self.corners.clone()]);
        lines.chain(rims).flat_map(|line| dense(&line)).collect()
    }

    /// A free place for a figure beside a dot: the one that fewest lines cross,
    /// of equal ones the first.
    fn room_beside(&self, at: Point, wide: f64, boxes: &[Rect], crossed: &[Point]) -> Option<Rect> {
        let side = wide / 2.0 + 6.0;
        [
            (0.0, -11.0),
            (0.0, 12.0),
            (side, 0.0),
            (-side, 0.0),
            (side, -9.0),
            (-side, -9.0),
            (side, 9.0),
            (-side, 9.0),
        ]
        .map(|(dx, dy)| Rect::around(Point::new(at.x + dx, at.y + dy), wide, 13.0))
        .into_iter()
        .filter(|area| self.frame.holds(*area) && !boxes.iter().any(|other| area.overlaps(*other)))
        .min_by_key(|area| crossings(*area, crossed))
    }
}

#[cfg(test)]
impl Drawn<'_> {
    /// The areas of the figures beside the dots.
    pub(in crate::figure::map::panel) fn figures(&self) -> Vec<Rect> {
        let placed = self.placed_figures(&mut Vec::new(), &self.crossed());
        placed.into_iter().map(|(_, area)| area).collect()
    }

    /// Points of contours, rim and outline under an area.
    pub(in crate::figure::map::panel) fn lines_under(&self, area: Rect) -> usize {
        crossings(area, &self.crossed())
    }
}

/// A closed line with a point at least every few px.
fn dense(line: &[Point]) -> Vec<Point> {
    let next = line.iter().cycle().skip(1);
    let sides = line.iter().zip(next);
    sides
        .flat_map(|(a, b)| {
            let steps = ((b.x - a.x).hypot(b.y - a.y) / 3.0).ceil().max(1.0);
            (0..steps as u32).map(move |k| {
                let part = f64::from(k) / steps;
                Point::new(a.x + part * (b.x - a.x), a.y + part * (b.y - a.y))
            })
        })
        .collect()
}

/// Points of lines inside an area.
pub(super) fn crossings(area: Rect, lines: &[Point]) -> usize {
    let holds = |p: &&Point| {
        (area.left..=area.right).contains(&p.x) && (area.top..=area.bottom).contains(&p.y)
    };
    lines.iter().filter(holds).count()
}
