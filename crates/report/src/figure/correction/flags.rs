//! The spot and the knee on the curve, with their words where there is room.
//!
//! Law: none; places are found by [`super::places`].
//! Source: ours.
//! Holds: as the picture. Words without room beside their mark stand under the
//! picture behind its sign.
//! Left out: more than two flags.
//! Checked by: the tests of the picture.

use super::super::geometry::{Point, Rect};
use super::super::legend::SMALL_PX;
use super::super::lettering::{width_px, wrapped};
use super::super::svg::{Anchor, Ink, Span, Svg, number};
use super::places::{Column, Room, nearest};
use super::{Drawn, Flag};

/// A flag with the place that its words found.
pub(super) struct SetFlag<'a> {
    pub(super) flag: &'a Flag,
    is_knee: bool,
    pub(super) place: Option<Rect>,
    lines: Vec<String>,
}

/// Distance of lines of words, px.
const LINE_PX: f64 = 16.0;

fn size_px(lines: &[String]) -> (f64, f64) {
    let wide = lines
        .iter()
        .map(|l| width_px(l, SMALL_PX + 1.0, true))
        .fold(0.0, f64::max);
    (wide, LINE_PX * lines.len() as f64)
}

impl Drawn<'_> {
    pub(super) fn draw_flags(&self, svg: &mut Svg) {
        for set in self.set_flags() {
            let at = self.at(set.flag.film_um, set.flag.gone_pct);
            if let Some(words) = set.place {
                let foot = nearest(&words, at);
                let from = at.toward(foot, (7.0 / at.distance(foot).max(7.0)).min(1.0));
                svg.stroke(from, foot, self.theme.ink2, 1.0);
                let ink = Ink::new(self.theme.ink, Anchor::Start).with_halo(self.theme.paper);
                for (k, line) in set.lines.into_iter().enumerate() {
                    let place = Point::new(words.left, words.top + 12.0 + LINE_PX * k as f64);
                    svg.text(place, &[Span::bold(line, SMALL_PX + 1.0)], ink);
                }
            }
            if set.is_knee {
                svg.raw(&format!(
                    "<circle cx=\"{}\" cy=\"{}\" r=\"6.5\" fill=\"{}\" stroke=\"{}\" stroke-width=\"2.6\"/>\n",
                    number(at.x),
                    number(at.y),
                    self.theme.paper,
                    self.theme.ink
                ));
            } else {
                svg.dot(at, 5.0, self.theme.ink, self.theme.paper);
            }
        }
    }

    /// The spot and the knee, each with its words where there is room for them.
    pub(super) fn set_flags(&self) -> Vec<SetFlag<'_>> {
        let flags = [(&self.figure.spot, false), (&self.figure.knee, true)];
        let flags: Vec<(&Flag, bool)> = flags
            .into_iter()
            .filter_map(|(flag, is_knee)| Some((flag.as_ref().filter(|f| self.holds(f))?, is_knee)))
            .collect();
        let mut room = self.room(&flags);
        let mut set = Vec::new();
        for (flag, is_knee) in flags {
            let at = self.at(flag.film_um, flag.gone_pct);
            let narrower = [190.0, 150.0, 120.0, 95.0].into_iter();
            let found = narrower
                .map(|most| wrapped(&flag.words, SMALL_PX + 1.0, most))
                .find_map(|lines| Some((room.place(at, size_px(&lines))?, lines)));
            let (place, lines) = found.map_or((None, Vec::new()), |(at, l)| (Some(at), l));
            room.taken.extend(place);
            room.leaders
                .extend(place.map(|words| [at, nearest(&words, at)]));
            set.push(SetFlag {
                flag,
                is_knee,
                place,
                lines,
            });
        }
        set
    }

    /// The frame with band, wall, its words and the marks taken out.
    fn room(&self, flags: &[(&Flag, bool)]) -> Room {
        let column = |x: f64| {
            let share = (x - self.frame.left) / self.frame.width();
            let place = self.on_curve(share * self.figure.most_um)?;
            let y = |pct: f64| self.at(0.0, pct).y;
            Some(Column {
                x,
                top: y(place.upper_pct.max(place.gone_pct)),
                bottom: y(place.lower_pct.min(place.gone_pct)),
            })
        };
        let count = (self.frame.width() / 2.0) as usize;
        let across = (0..=count).map(|k| self.frame.left + 2.0 * k as f64);
        let mut taken: Vec<Rect> = flags
            .iter()
            .map(|(f, _)| Rect::around(self.at(f.film_um, f.gone_pct), 18.0, 18.0))
            .collect();
        if let (Some(um), Some((_, words))) = (self.wall_um(), &self.figure.wall) {
            let foot = self.at(um, 0.0);
            let middle = Point::new(foot.x, f64::midpoint(self.frame.top, foot.y));
            taken.push(Rect::around(middle, 8.0, self.frame.height()));
            for (line, place, anchor) in self.wall_words(um, words) {
                let wide = width_px(&line, SMALL_PX + 1.0, true);
                let left = place.x - if anchor == Anchor::End { wide } else { 0.0 };
                taken.push(Rect {
                    left,
                    top: place.y - 12.0,
                    right: left + wide,
                    bottom: place.y + 4.0,
                });
            }
        }
        Room {
            frame: self.frame,
            band: across.filter_map(column).collect(),
            taken,
            leaders: Vec::new(),
        }
    }

    /// What found no room beside its mark, for the lines under the picture.
    pub(super) fn under(&self) -> String {
        let mut words = self.figure.caption.clone();
        for set in self.set_flags().iter().filter(|s| s.place.is_none()) {
            let sign = if set.is_knee { "○" } else { "●" };
            words = format!("{sign} {}. {words}", set.flag.words);
        }
        words
    }
}
