//! Puts into sentences what the readings of a panel give away, and how likely.
//!
//! Law: none; limits in µm of total film. The chances are those of [`likely`]
//! and of the mixture of the car's panels.
//! Source: the bands (60 critical, 80 thin, 180 repaint, 500 filler) are common
//! practice drawn from trade texts and inspection guides that disagree with
//! one another; so are the 15 µm of a thin edge and the 12 µm of spread.
//! Holds: for metal panels. Plastic parts carry less film by nature, so a
//! panel far *below* the others is pointed out, but not called a repaint.
//! Left out: which layer is missing or extra; a total does not tell.
//! Checked by: the unit tests of the module above, at both sides of each limit.

use lapwing_measure::statistics::summary;
use serde::Serialize;

use super::PanelFilm;
use super::likely;
use super::oddities::{ODD_SCORE, score};
use super::spots::Panel;
use crate::record::{Caution, Part, Place, Said, Sentence, panel_names};

const CRITICAL_UM: f64 = 60.0;
const THIN_UM: f64 = 80.0;
const REPAINT_UM: f64 = 180.0;
const FILLER_UM: f64 = 500.0;
const UNIT_SLIP_UM: f64 = 1000.0;
const OTHER_PAINT_UM: f64 = 30.0;
const THIN_EDGE_UM: f64 = 15.0;
const SPREAD_UM: f64 = 12.0;
const FEW_SPOTS: usize = 5;
const SPELLED_OUT: usize = 10;
/// From here on the mixture is told, and from there on it decides.
const POSSIBLE_FRAC: f64 = 0.5;
const LIKELY_FRAC: f64 = 0.9;

/// What a finding is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum FindingKind {
    /// A spot above the others: filler or other paint.
    FillerOrRepaint,
    /// A spot a little above, or below, the others.
    OddSpot,
    /// A reading its own spot contradicts.
    Unrepeated,
    /// Film over all paint.
    Filler,
    /// A millimetre or more: perhaps a slipped unit.
    UnitSlip,
    /// Thin.
    Thin,
    /// An edge or crease far under the field.
    ThinEdge,
    /// More spread than a panel should have.
    Uneven,
    /// The whole panel over paint's usual film or the other panels.
    Repaint,
    /// Part of the panel.
    Step,
    /// Far under the other panels.
    UnderOthers,
    /// Far under any factory film of this car: sanded, stripped, or one coat.
    UnderFactory,
}

/// One finding.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Finding {
    /// What it is about.
    pub kind: FindingKind,
    /// How likely it is true, 0 to 1; `None` where that cannot be stated.
    pub probability: Option<f64>,
    /// The sentence.
    pub reason: String,
    /// The same with its parts apart.
    #[serde(skip)]
    pub said: Said,
}

/// So many odd spots may be an area of another paint.
const AREA_FROM: usize = 3;

pub(super) fn finding(kind: FindingKind, probability: Option<f64>, said: Said) -> Finding {
    Finding {
        kind,
        probability,
        reason: said.english(),
        said,
    }
}

/// What one panel by itself gives away. `odd_um` are its odd field spots;
/// `gauge_um` is the standard deviation of one reading.
pub(super) fn of_panel(
    film: &PanelFilm,
    panel: &Panel<'_>,
    odd_um: &[f64],
    gauge_um: f64,
) -> Vec<Finding> {
    // Several odd spots side by side are an area, not slips.
    let area = (odd_um.len() >= AREA_FROM)
        .then(|| super::areas::stepped(panel, &[]))
        .flatten();
    let step = super::areas::stepped(panel, odd_um).filter(|_| area.is_none());
    let mut found: Vec<Finding> = area.into_iter().collect();
    // What an area of more film explains is not told again; a thin spot is.
    let is_told = |um: &f64| found.is_empty() || film.median_um.is_some_and(|median| *um < median);
    let told: Vec<f64> = odd_um.iter().copied().filter(is_told).collect();
    found.extend(left_out(film, panel, &told));
    let all = panel.means_um(&[Place::Field, Place::Edge, Place::Crease, Place::Hidden]);
    let highest = all.iter().copied().reduce(f64::max);
    if let Some(highest_um) = highest.filter(|um| *um > FILLER_UM) {
        let usual_um = film
            .median_um
            .filter(|um| *um < REPAINT_UM)
            .unwrap_or(115.0);
        found.push(finding(
            FindingKind::Filler,
            Some(likely::filler_not_paint(highest_um, usual_um)),
            Said::new(
                Sentence::Filler,
                [Part::film(highest_um), Part::Film(FILLER_UM, 0)],
            ),
        ));
        if highest_um >= UNIT_SLIP_UM {
            found.push(finding(
                FindingKind::UnitSlip,
                Some(likely::unit_slip(highest_um)),
                Said::new(Sentence::UnitSlip, [Part::film(highest_um)]),
            ));
        }
    }
    let outside = panel.spots.iter().filter(|s| s.place != Place::Hidden);
    let lowest = outside.min_by(|a, b| a.mean_um.total_cmp(&b.mean_um));
    found.extend(lowest.and_then(|s| thin(s.mean_um, gauge_um / (s.count as f64).sqrt())));
    found.extend(thin_edge(film, gauge_um));
    if let Some(sd_um) = film.sd_um.filter(|sd| *sd > SPREAD_UM) {
        found.push(finding(
            FindingKind::Uneven,
            likely::spread_over(SPREAD_UM, sd_um, film.spots),
            Said::new(
                Sentence::Uneven,
                [Part::film(sd_um), Part::Film(SPREAD_UM, 0)],
            ),
        ));
    }
    found.extend(step);
    found
}

fn left_out(film: &PanelFilm, panel: &Panel<'_>, odd_um: &[f64]) -> Vec<Finding> {
    let mut found = Vec::new();
    if let Some(median_um) = film.median_um {
        let spread_um = film.sd_um.unwrap_or(0.0);
        let told = odd_um.iter().take(SPELLED_OUT);
        found.extend(told.map(|x| odd(*x, median_um, spread_um)));
    }
    found.extend(panel.unrepeated.iter().take(SPELLED_OUT).map(|u| {
        let parts = [Part::film(u.film_um), Part::Film(u.others_um, 0)];
        finding(
            FindingKind::Unrepeated,
            None,
            Said::new(Sentence::Unrepeated, parts),
        )
    }));
    let rest = odd_um.len().saturating_sub(SPELLED_OUT)
        + panel.unrepeated.len().saturating_sub(SPELLED_OUT);
    if rest > 0 {
        let said = Said::new(Sentence::MoreOdd, [Part::Number(rest as f64, 0)]);
        found.push(finding(FindingKind::OddSpot, None, said));
    }
    found
}

fn odd(film_um: f64, median_um: f64, spread_um: f64) -> Finding {
    let chance = likely::other_paint(film_um, median_um, spread_um);
    let (kind, chance, sentence) = if film_um >= median_um + OTHER_PAINT_UM {
        (
            FindingKind::FillerOrRepaint,
            Some(chance),
            Sentence::OddFiller,
        )
    } else if film_um > median_um {
        (FindingKind::OddSpot, None, Sentence::OddRaised)
    } else {
        (FindingKind::OddSpot, None, Sentence::OddThin)
    };
    let parts = [Part::film(film_um), Part::FilmBare(median_um, 0)];
    finding(kind, chance, Said::new(sentence, parts))
}

fn thin(lowest_um: f64, sd_um: f64) -> Option<Finding> {
    let (limit_um, sentence) = if lowest_um < CRITICAL_UM {
        (CRITICAL_UM, Sentence::LowestCritical)
    } else if lowest_um < THIN_UM {
        (THIN_UM, Sentence::LowestThin)
    } else {
        return None;
    };
    Some(finding(
        FindingKind::Thin,
        Some(likely::under(limit_um, lowest_um, sd_um)),
        Said::new(sentence, [Part::film(lowest_um), Part::Film(limit_um, 0)]),
    ))
}

fn thin_edge(film: &PanelFilm, gauge_um: f64) -> Option<Finding> {
    let (edge_um, mean_um) = film.edge_um.zip(film.mean_um)?;
    let under_um = mean_um - edge_um;
    let field_um = film.sd_um.unwrap_or(0.0) / (film.spots.max(1) as f64).sqrt();
    (under_um > THIN_EDGE_UM).then(|| {
        finding(
            FindingKind::ThinEdge,
            Some(likely::under(
                -THIN_EDGE_UM,
                -under_um,
                gauge_um.hypot(field_um),
            )),
            Said::new(
                Sentence::ThinEdge,
                [Part::film(edge_um), Part::film(under_um)],
            ),
        )
    })
}

/// A panel far under the car's factory film, whose middle is known to `sd_um`.
/// A repair adds paint, so it is none.
pub(super) fn under_factory(film_um: f64, (factory_um, sd_um): (f64, f64)) -> Option<Finding> {
    let limit_um = factory_um - OTHER_PAINT_UM;
    let chance = likely::under(limit_um, film_um, sd_um);
    (film_um < limit_um && chance >= LIKELY_FRAC).then(|| {
        finding(
            FindingKind::UnderFactory,
            Some(chance),
            Said::new(
                Sentence::UnderFactory,
                [Part::film(film_um), Part::film(factory_um - film_um)],
            ),
        )
    })
}

/// The medians of the car's panels, to see which one stands apart.
pub(super) struct Across {
    medians_um: Vec<(String, f64)>,
}

impl Across {
    pub(super) fn of(panels: &[PanelFilm]) -> Self {
        let median = |p: &PanelFilm| p.median_um.map(|um| (p.name.clone(), um));
        Self {
            medians_um: panels.iter().filter_map(median).collect(),
        }
    }

    /// Adds the findings that need the other panels.
    pub(super) fn judge(&self, panel: &mut PanelFilm) {
        let Some(median_um) = panel.median_um else {
            return;
        };
        let chance = panel.repaint_probability;
        let before = panel.found.len();
        if median_um > REPAINT_UM {
            panel.is_suspected_repaint = true;
            panel.found.push(finding(
                FindingKind::Repaint,
                chance,
                Said::new(
                    Sentence::MedianRepaint,
                    [Part::film(median_um), Part::Film(REPAINT_UM, 0)],
                ),
            ));
        }
        let apart = self.apart(panel, median_um, chance);
        panel.found.extend(apart);
        let is_told = panel.found[before..]
            .iter()
            .any(|f| f.kind == FindingKind::Repaint);
        if let Some(chance) = chance.filter(|c| *c >= POSSIBLE_FRAC && !is_told && *c < 1.0) {
            let percent = Part::Number((100.0 * chance).floor(), 0);
            panel.found.push(finding(
                FindingKind::Repaint,
                Some(chance),
                Said::new(Sentence::RepaintLikely, [Part::film(median_um), percent]),
            ));
        }
        let decides = |f: &Finding| match f.kind {
            FindingKind::Repaint => is_told || f.probability >= Some(LIKELY_FRAC),
            FindingKind::Step => f.probability >= Some(LIKELY_FRAC),
            _ => false,
        };
        panel.is_suspected_repaint |= panel.found.iter().any(decides);
    }

    /// A panel that stands apart from the others.
    fn apart(&self, panel: &PanelFilm, median_um: f64, chance: Option<f64>) -> Option<Finding> {
        let (others_um, mad_um) = self.others(&panel.name)?;
        let off_um = (median_um - others_um).abs();
        let is_told = |f: &Finding| f.kind == FindingKind::UnderFactory;
        if median_um < others_um && panel.found.iter().any(is_told) {
            return None;
        }
        if score(median_um, others_um, mad_um) <= ODD_SCORE || off_um <= OTHER_PAINT_UM {
            return None;
        }
        let (kind, sentence) = if median_um > others_um {
            (FindingKind::Repaint, Sentence::OverOthers)
        } else {
            (FindingKind::UnderOthers, Sentence::UnderOthers)
        };
        let chance = chance.filter(|_| kind == FindingKind::Repaint);
        let parts = [Part::film(median_um), Part::film(off_um)];
        Some(finding(kind, chance, Said::new(sentence, parts)))
    }

    /// Median and MAD of the other panels' medians. No car has over 200 panels:
    /// there the comparison is left out.
    fn others(&self, name: &str) -> Option<(f64, f64)> {
        const MANY: usize = 200;
        const LEAST_OTHERS: usize = 3;
        if self.medians_um.len() > MANY {
            return None;
        }
        let others: Vec<f64> = self
            .medians_um
            .iter()
            .filter(|(n, _)| n != name)
            .map(|(_, um)| *um)
            .collect();
        if others.len() < LEAST_OTHERS {
            return None;
        }
        summary::median(&others)
            .ok()
            .zip(summary::mad(&others).ok())
    }
}

/// The doubts a panel leaves.
pub(super) fn cautions(panel: &PanelFilm) -> Vec<Caution> {
    let place = panel_names::spoken(&panel.name);
    let thin = panel.found.iter().filter(|f| f.kind == FindingKind::Thin);
    let mut found: Vec<Caution> = thin
        .map(|finding| {
            let inside = Part::Said(finding.said.clone());
            Caution::of(place.as_str(), Said::new(Sentence::Full, [inside]))
        })
        .collect();
    if panel.mean_um.is_none() && panel.count > 0 {
        found.push(Caution::of(place.as_str(), Sentence::NoOpenFace));
    }
    if panel.count < FEW_SPOTS {
        let number = |count: usize| Part::Number(count as f64, 0);
        let said = if panel.count == 1 {
            Said::new(Sentence::OneReading, [number(FEW_SPOTS)])
        } else {
            Said::new(
                Sentence::FewReadings,
                [number(panel.count), number(FEW_SPOTS)],
            )
        };
        found.push(Caution::of(place.as_str(), said));
    }
    if panel.one_place > 1 {
        let parts = [Part::Number(panel.one_place as f64, 0)];
        found.push(Caution::of(
            place.as_str(),
            Said::new(Sentence::OnePlaceAssumed, parts),
        ));
    }
    found
}
