//! What the gauge says about every panel of the car: how thick, how even, what
//! is odd, and how thin the thinnest place may plausibly be.
//!
//! Law: t = x̄ − k·s, the one-sided lower tolerance bound that 95 % of the panel
//! stays above with 95 % confidence; x̄ mean and s standard deviation of the
//! field spots in µm, k the exact factor for their number.
//! Source: tolerance factor [`Source::NistHandbook`] 7.2.6.3; odd readings
//! [`Source::Rosner1983`]; repeats averaged to a spot first after
//! [`Source::SspcPa2`]; the bands of the findings are common practice.
//! Holds: for total film on one substrate per panel. With one spot there is no
//! spread and no bound; with two or three the bound is very low, which is
//! honest. The bound is held at 0 and never lies above the lowest spot read,
//! a low odd one included, as a safe limit takes the pessimistic end.
//! Left out: correction by the zero check; clear coat, which no reading of the
//! total shows (the budget station infers it, a layer-resolving gauge reads it).
//! The map over the panel is a page of its own ([`map`]), and so is where the
//! gauge is worth putting next ([`next_reading`]).
//! Checked by: the unit tests beside; the bound against the printed example
//! (n 10, mean 115, s 4: 103.356 µm).

mod areas;
mod findings;
mod gauge;
mod known;
mod likely;
pub mod map;
pub mod next_reading;
mod oddities;
mod repaint;
mod since;
mod single_layers;
mod spots;
mod thinnest;

use lapwing_measure::statistics::summary;
use lapwing_measure::{Provenance, Source};
use serde::Serialize;

use crate::record::{Caution, Place, Readings};
use spots::Panel;

pub use findings::{Finding, FindingKind};
pub use gauge::{ChangeSeen, GaugeStudy};
pub use known::{Known, KnownPanel};
pub use repaint::RepaintStudy;
pub use since::debit_since;
pub use single_layers::LayerRead;

/// Where the method for odd readings and the tolerance factor come from.
pub const SOURCES: [Source; 3] = [Source::Rosner1983, Source::NistHandbook, Source::SspcPa2];

/// What the readings say about one panel. Values in µm; `None` cannot be stated.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct PanelFilm {
    /// Our name of the panel.
    pub name: String,
    /// Readings taken on it, every place and every odd one included.
    pub count: usize,
    /// Mean of the field spots without the odd ones.
    pub mean_um: Option<f64>,
    /// Their standard deviation.
    pub sd_um: Option<f64>,
    /// Field spots behind the mean.
    pub spots: usize,
    /// Median of all field spots.
    pub median_um: Option<f64>,
    /// 1.4826 times their median distance from the median.
    pub robust_sd_um: Option<f64>,
    /// What was left out of the mean: odd field spots, then field readings
    /// that did not repeat.
    pub outliers_um: Vec<f64>,
    /// What a technician should know, in sentences.
    pub findings: Vec<String>,
    /// The same with kind and probability.
    pub found: Vec<Finding>,
    /// Chance that the panel was painted again, 0 to 1.
    pub repaint_probability: Option<f64>,
    /// Clear coat, or top coat, read by a gauge that resolves layers.
    pub top_layer: Option<LayerRead>,
    /// Thinnest plausible place of the field.
    pub thin_um: Option<f64>,
    /// The same from the film map, where there is one.
    pub map_lower_um: Option<f64>,
    /// Thinnest spot on an edge or crease.
    pub edge_um: Option<f64>,
    /// Mean of the spots where nobody polishes.
    pub hidden_um: Option<f64>,
    /// Spread between repeats of a spot, pooled over the panel.
    pub repeatability_um: Option<f64>,
    /// Whether the panel was probably painted again.
    pub is_suspected_repaint: bool,
    /// Readings without spot or position that probably were taken at one place,
    /// and count as one; 0 where there are none.
    pub one_place: usize,
    /// How far from the panel's lower left corner its readings reach, across and
    /// up, mm, a gauge's way to the edge included.
    pub reach_mm: Option<[f64; 2]>,
}

/// What the readings say about the car.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CarFilm {
    /// In the order in which the panels were read.
    pub panels: Vec<PanelFilm>,
    /// Standard deviation of repeated readings of a spot, µm.
    pub gauge_repeatability_um: f64,
    /// Where that comes from.
    pub gauge_provenance: Provenance,
    /// What the gauge and the hands can see.
    pub gauge: GaugeStudy,
    /// What the panels say together about repaint.
    pub repaint: RepaintStudy,
    /// Doubts of this station; those of the reader stay with the readings.
    pub cautions: Vec<Caution>,
}

/// Turns the readings of a car into what they say about its panels, all of
/// them taken for steel under base coat and clear coat.
#[must_use]
pub fn inspect(readings: &Readings) -> CarFilm {
    inspect_knowing(readings, &Known::default())
}

/// The same with what is known of the car before.
#[must_use]
pub fn inspect_knowing(readings: &Readings, known: &Known) -> CarFilm {
    let (grouped, mut cautions) = spots::by_panel(&readings.readings);
    let (gauge, doubt) = gauge::study(&grouped, readings, known.stated_repeatability_um);
    let mut factors = thinnest::Factors::default();
    let mut panels: Vec<PanelFilm> = grouped
        .iter()
        .map(|p| film(p, &mut factors, &gauge))
        .collect();
    cautions.extend(single_layers::add(&mut panels, readings));
    let repaint = repaint::judge(&mut panels, known);
    let across = findings::Across::of(&panels);
    for panel in &mut panels {
        across.judge(panel);
        panel.findings = panel.found.iter().map(|f| f.reason.clone()).collect();
        cautions.extend(findings::cautions(panel));
    }
    cautions.extend(doubt);
    CarFilm {
        panels,
        gauge_repeatability_um: gauge.repeatability_um,
        gauge_provenance: gauge.provenance,
        gauge,
        repaint,
        cautions,
    }
}

fn film(panel: &Panel<'_>, factors: &mut thinnest::Factors, gauge: &GaugeStudy) -> PanelFilm {
    let field = panel.means_um(&[Place::Field]);
    let (odd, kept) = oddities::split(&field, gauge.repeatability_um);
    let whole = summary::summary(&field).ok();
    let mean_um = summary::mean(&kept).ok();
    let sd_um = summary::sd(&kept).ok();
    let apart = thinnest::Placeless::of(panel, &kept, gauge.reading_sd_um);
    let unrepeated = panel.unrepeated.iter().filter(|u| u.place == Place::Field);
    let mut film = PanelFilm {
        name: panel.name.to_owned(),
        count: panel.count,
        mean_um,
        sd_um,
        spots: kept.len(),
        median_um: whole.map(|s| s.median),
        robust_sd_um: whole.filter(|s| s.count > 1).map(|s| s.robust_sd),
        outliers_um: odd
            .iter()
            .copied()
            .chain(unrepeated.map(|u| u.film_um))
            .collect(),
        thin_um: mean_um
            .and_then(|mean| factors.thinnest_um(kept.len(), mean, sd_um))
            .map(|bound| apart.bound_um(bound, factors))
            .map(|bound| field.iter().copied().fold(bound, f64::min)),
        one_place: apart.told(),
        reach_mm: panel.reach_mm(),
        edge_um: panel
            .means_um(&[Place::Edge, Place::Crease])
            .into_iter()
            .reduce(f64::min),
        hidden_um: summary::mean(&panel.means_um(&[Place::Hidden])).ok(),
        repeatability_um: gauge::pooled_um(panel),
        ..PanelFilm::default()
    };
    film.found = findings::of_panel(&film, panel, &odd, gauge.reading_sd_um);
    film
}

#[cfg(test)]
mod tests;
