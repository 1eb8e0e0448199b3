//! Where the gauge goes next before the plan is worked, panel by panel, while
//! the decision is still open.
//!
//! Law: the decision is whether what the plan takes off, at its upper end, may
//! go at the thinnest place; where the plan takes nothing for want of film,
//! whether a usual polish of 3 µm may. Worth of a reading: see
//! [`crate::inspect::next_reading`]. A panel without a map is open while its
//! thinnest plausible place lies under the film needed and its mean above it.
//! Source: the same; 3 µm is common practice.
//! Holds: for the budget law of the plan itself, with the job's rules.
//! Left out: what a walk to the panel costs; edges.
//! Checked by: the tests of the station.

use super::{PanelPlan, Planned};
use crate::budget::total_needed_um;
use crate::inspect::map::PanelMap;
use crate::inspect::next_reading::{Advice, PanelWords, next_readings};
use crate::inspect::{CarFilm, PanelFilm};
use crate::record::Sentence;
use crate::record::job::{Job, Panel};

/// What a usual polish takes off, µm.
const USUAL_UM: f64 = 3.0;

impl Planned {
    /// Adds where the gauge goes next to the plan.
    pub fn ask_for_readings(&mut self, job: &Job, film: &CarFilm, maps: &[PanelMap]) {
        let needed_um = |name: &str| {
            let (panel, read, planned) = self.about(job, film, name)?;
            let takes_um = planned.removal_um.map_or(USUAL_UM, |r| r.upper_95);
            total_needed_um(panel, read, film.gauge.reading_sd_um, &job.rules, takes_um)
        };
        let mut advice = next_readings(maps, &needed_um, job.rules.confidence);
        for words in &mut advice.words {
            let without = maps
                .iter()
                .any(|m| m.panel() == words.panel && m.drawn().is_none());
            if without && let Some(needed_um) = needed_um(&words.panel) {
                let read = film.panels.iter().find(|p| p.name == words.panel);
                let said = read.map_or(Sentence::Enough, |p| without_map(p, needed_um));
                *words = PanelWords::of(words.panel.clone(), said);
            }
        }
        self.plan.next_words = spoken(job, &advice);
        self.plan.next_readings = advice.readings;
    }

    fn about<'a>(
        &'a self,
        job: &'a Job,
        film: &'a CarFilm,
        name: &str,
    ) -> Option<(&'a Panel, &'a PanelFilm, &'a PanelPlan)> {
        Some((
            job.panels.iter().find(|p| p.name == name)?,
            film.panels.iter().find(|p| p.name == name)?,
            self.plan.panels.iter().find(|p| p.name == name)?,
        ))
    }
}

fn without_map(read: &PanelFilm, needed_um: f64) -> Sentence {
    let thin_um = read.thin_um.unwrap_or(0.0);
    if thin_um < needed_um && read.mean_um.is_some_and(|um| um > needed_um) {
        Sentence::ReadSpread
    } else {
        Sentence::Enough
    }
}

/// A sentence for every panel whose decision is open, and one for all others.
fn spoken(job: &Job, advice: &Advice) -> Vec<PanelWords> {
    let is_open = |w: &&PanelWords| !w.is_enough();
    let named = |w: &PanelWords| PanelWords {
        panel: job
            .panels
            .iter()
            .find(|p| p.name == w.panel)
            .map_or_else(|| w.panel.clone(), Panel::spoken),
        ..w.clone()
    };
    let decided = advice.words.len() - advice.words.iter().filter(is_open).count();
    let is_about_film = |w: &&PanelWords| w.said.sentence != Sentence::NotDecisive;
    let mut found: Vec<PanelWords> = advice
        .words
        .iter()
        .filter(is_open)
        .filter(is_about_film)
        .map(named)
        .collect();
    if decided > 0 {
        let panel = if found.is_empty() {
            "All panels"
        } else {
            "Other panels"
        };
        found.push(PanelWords::of(panel, Sentence::Enough));
    }
    found
}
