//! Puts into sentences what the readings of a panel give away.
//!
//! Law: none; limits in µm of total film.
//! Source: the bands (60 critical, 80 thin, 180 repaint, 500 filler) are common
//! practice drawn from trade texts and inspection guides that disagree with
//! one another; so are the 15 µm of a thin edge and the 12 µm of spread.
//! Holds: for metal panels. Plastic parts carry less film by nature, so a
//! panel far *below* the others is pointed out, but not called a repaint.
//! Left out: which layer is missing or extra; a total does not tell.
//! Checked by: the unit tests of the module above, at both sides of each limit.

use lapwing_measure::statistics::summary;

use super::PanelFilm;
use super::oddities::{ODD_SCORE, score};
use super::spots::Panel;
use crate::record::{Caution, Place, panel_names};

const CRITICAL_UM: f64 = 60.0;
const THIN_UM: f64 = 80.0;
const REPAINT_UM: f64 = 180.0;
const FILLER_UM: f64 = 500.0;
const OTHER_PAINT_UM: f64 = 30.0;
const THIN_EDGE_UM: f64 = 15.0;
const SPREAD_UM: f64 = 12.0;
const FEW_SPOTS: usize = 5;
const SPELLED_OUT: usize = 10;

/// What one panel by itself gives away. `odd_um` are its odd field spots.
pub(super) fn of_panel(film: &PanelFilm, panel: &Panel, odd_um: &[f64]) -> Vec<String> {
    let mut found = Vec::new();
    if let Some(median_um) = film.median_um {
        found.extend(odd_um.iter().take(SPELLED_OUT).map(|x| odd(*x, median_um)));
    }
    found.extend(panel.unrepeated.iter().take(SPELLED_OUT).map(|u| {
        format!(
            "{} µm did not repeat, the other readings of its spot are about {:.0} µm; left out of \
             the mean",
            shown(u.film_um),
            u.others_um
        )
    }));
    let rest = odd_um.len().saturating_sub(SPELLED_OUT)
        + panel.unrepeated.len().saturating_sub(SPELLED_OUT);
    if rest > 0 {
        found.push(format!(
            "{rest} more odd readings were left out of the mean"
        ));
    }
    let all = panel.means_um(&[Place::Field, Place::Edge, Place::Crease, Place::Hidden]);
    let highest = all.iter().copied().reduce(f64::max);
    if let Some(highest_um) = highest.filter(|um| *um > FILLER_UM) {
        let highest_um = shown(highest_um);
        found.push(format!(
            "{highest_um} µm is over {FILLER_UM} µm: filler probable"
        ));
    }
    let outside = panel.means_um(&[Place::Field, Place::Edge, Place::Crease]);
    found.extend(outside.iter().copied().reduce(f64::min).and_then(thin));
    found.extend(
        film.edge_um
            .zip(film.mean_um)
            .and_then(|(edge, mean)| thin_edge(edge, mean)),
    );
    if let Some(sd_um) = film.sd_um.filter(|sd| *sd > SPREAD_UM) {
        found.push(format!(
            "the film spreads by {} µm inside the panel, more than {SPREAD_UM} µm: read more spots",
            shown(sd_um)
        ));
    }
    found
}

fn odd(film_um: f64, median_um: f64) -> String {
    let what = if film_um >= median_um + OTHER_PAINT_UM {
        "filler or repaint suspected"
    } else if film_um > median_um {
        "raised, read the spot again"
    } else {
        "thin spot, sanded or polished before"
    };
    format!(
        "{} µm among {median_um:.0}: {what}; left out of the mean",
        shown(film_um)
    )
}

fn thin(lowest_um: f64) -> Option<String> {
    let came = shown(lowest_um);
    if lowest_um < CRITICAL_UM {
        Some(format!(
            "the lowest spot, {came} µm, is under {CRITICAL_UM} µm: critically thin"
        ))
    } else if lowest_um < THIN_UM {
        Some(format!(
            "the lowest spot, {came} µm, is under {THIN_UM} µm: thin"
        ))
    } else {
        None
    }
}

fn thin_edge(edge_um: f64, mean_um: f64) -> Option<String> {
    let under_um = mean_um - edge_um;
    (under_um > THIN_EDGE_UM).then(|| {
        format!(
            "thin edge: {} µm at an edge or crease, {} µm under the mean of the field",
            shown(edge_um),
            shown(under_um)
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
        let came = shown(median_um);
        if median_um > REPAINT_UM {
            panel.is_suspected_repaint = true;
            panel.findings.push(format!(
                "the median, {came} µm, is over {REPAINT_UM} µm: repaint suspected",
            ));
        }
        let Some((others_um, mad_um)) = self.others(&panel.name) else {
            return;
        };
        let off_um = (median_um - others_um).abs();
        if score(median_um, others_um, mad_um) <= ODD_SCORE || off_um <= OTHER_PAINT_UM {
            return;
        }
        let (side, what) = if median_um > others_um {
            panel.is_suspected_repaint = true;
            ("over", "repaint suspected")
        } else {
            ("under", "worked down before, plastic, or another paint")
        };
        panel.findings.push(format!(
            "the median, {came} µm, is {} µm {side} that of the other panels: {what}",
            shown(off_um)
        ));
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
    let thin = panel
        .findings
        .iter()
        .filter(|f| f.starts_with("the lowest spot"));
    let mut found: Vec<Caution> = thin
        .map(|finding| Caution::new(place.as_str(), format!("{finding}.")))
        .collect();
    if panel.count < FEW_SPOTS {
        found.push(Caution::new(
            place.as_str(),
            format!(
                "{} on this panel; take {FEW_SPOTS} or more, spread over it.",
                if panel.count == 1 {
                    "one reading".to_owned()
                } else {
                    format!("{} readings", panel.count)
                }
            ),
        ));
    }
    found
}

/// A worked-out value for a sentence: whole from 20 µm, one decimal below.
fn shown(value_um: f64) -> String {
    if value_um.abs() >= 20.0 {
        format!("{value_um:.0}")
    } else {
        format!("{value_um:.1}")
    }
}
