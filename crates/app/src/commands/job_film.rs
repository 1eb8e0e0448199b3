//! The film of a whole job: every table of readings together, panel by panel
//! what is there, what may go by the rules of the job, the map, and where to
//! put the gauge next.
//!
//! Law: none; the stations are called one after the other, as by `lapwing film`.
//! Holds: also for a job without `job.toml`, by the usual rules over steel.
//! Checked by: `tests/web_gauge.rs`.

use lapwing_job::budget::{FilmVerdict, budget};
use lapwing_job::inspect::map::PanelMap;
use lapwing_job::inspect::next_reading::{Advice, NextReading};
use lapwing_job::inspect::{PanelFilm, inspect_knowing};
use lapwing_job::record::job::{Job, Units};
use lapwing_job::record::{Caution, Readings, Said, Sentence, readings};
use lapwing_report::figure::{Labels, Telling};
use lapwing_report::film_pictures::film_map;
use serde_json::{Value, json};

use super::film::{Found, Ground, Spoken};
use crate::failure::Failure;

/// A table of readings with the name that sentences use.
pub(crate) type Table = (String, Vec<u8>);

/// What the readings of a job say.
pub(crate) struct JobFilm {
    /// The document of `lapwing film`, by the rules of the job.
    pub(crate) document: Value,
    maps: Vec<PanelMap>,
    advice: Advice,
    spoken: Spoken,
}

/// Reads every table; panels the job does not know keep their names.
pub(crate) fn read_tables(tables: &[Table]) -> Result<Readings, Failure> {
    let mut all = Readings::default();
    for (name, bytes) in tables {
        all.join(readings::read(name, bytes, None)?);
    }
    Ok(all)
}

/// Works the film of a job out.
pub(crate) fn film_of_job(tables: &[Table], job: Option<&Job>) -> Result<JobFilm, Failure> {
    let read = read_tables(tables)?;
    let found = Found::of(read, Ground::of(job));
    Ok(JobFilm {
        spoken: found.spoken(),
        document: found.document(),
        maps: found.maps,
        advice: found.advice,
    })
}

/// What is there panel by panel, without maps and budgets: quick enough to
/// follow every single reading.
pub(crate) fn at_a_glance(tables: &[Table], job: Option<&Job>) -> Result<Value, Failure> {
    let read = read_tables(tables)?;
    let film = inspect_knowing(&read, &Ground::of(job).known());
    let one = |panel: &PanelFilm| {
        json!({ "name": panel.name, "count": panel.count, "mean_um": panel.mean_um,
            "findings": panel.findings })
    };
    Ok(json!({ "panels": film.panels.iter().map(one).collect::<Vec<_>>() }))
}

/// What the film asks a person to decide.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Decisions {
    /// Panels too thin to polish.
    pub(crate) thin: usize,
    /// Panels that were probably painted again.
    pub(crate) repainted: usize,
    /// Panels that are left for another reason.
    pub(crate) left: usize,
    /// Panels with a finding that is no budget's.
    pub(crate) doubts: usize,
}

/// Counts what waits for a decision, without maps: quick enough for a list.
pub(crate) fn decisions(tables: &[Table], job: Option<&Job>) -> Result<Decisions, Failure> {
    let read = read_tables(tables)?;
    let ground = Ground::of(job);
    let (rules, film) = (ground.rules(), inspect_knowing(&read, &ground.known()));
    let gauge_um = film.gauge.reading_sd_um;
    let mut found = Decisions::default();
    for one in &film.panels {
        let may_go = budget(&ground.panel(&one.name), Some(one), gauge_um, &rules);
        if may_go.verdict == FilmVerdict::Leave {
            match may_go.said.sentence {
                Sentence::PaintedBefore | Sentence::MarkedRepainted => found.repainted += 1,
                Sentence::NothingMayGo => found.thin += 1,
                _ => found.left += 1,
            }
        } else if !one.found.is_empty() {
            found.doubts += 1;
        }
    }
    Ok(found)
}

/// The clear coat left on a panel, mean in µm, without maps; nothing where the
/// readings do not say.
pub(crate) fn clear_left(
    tables: &[Table],
    job: Option<&Job>,
    panel: &str,
) -> Result<Option<f64>, Failure> {
    let read = read_tables(tables)?;
    let ground = Ground::of(job);
    let film = inspect_knowing(&read, &ground.known());
    let gauge_um = film.gauge.reading_sd_um;
    let Some(one) = film.panels.iter().find(|p| p.name == panel) else {
        return Ok(None);
    };
    let may_go = budget(&ground.panel(panel), Some(one), gauge_um, &ground.rules());
    Ok(may_go.clear_left.map(|c| c.mean))
}

impl JobFilm {
    /// The document's part about a panel.
    pub(crate) fn panel(&self, name: &str) -> Option<&Value> {
        let panels = self.document["panels"].as_array()?;
        panels.iter().find(|p| p["name"] == name)
    }

    /// Places worth reading, the most worthwhile of the car first.
    pub(crate) fn next(&self) -> &[NextReading] {
        &self.advice.readings
    }

    /// What is said of further readings on a panel.
    pub(crate) fn next_said(&self, name: &str) -> Option<&Said> {
        let found = self.advice.words.iter().find(|w| w.panel == name);
        found.map(|w| &w.said)
    }

    /// Why so much may go on a panel, or nothing.
    pub(crate) fn reason(&self, name: &str) -> Option<&Said> {
        self.spoken.panel(name).map(|panel| &panel.reason)
    }

    /// Why a panel has no map.
    pub(crate) fn no_map(&self, name: &str) -> Option<&Said> {
        let map = self.maps.iter().find(|m| m.panel() == name)?;
        match map {
            PanelMap::Level { reason, .. } => Some(reason),
            PanelMap::Drawn(_) => None,
        }
    }

    /// Doubts about readings, film and budgets.
    pub(crate) fn cautions(&self) -> &[Caution] {
        &self.spoken.cautions
    }

    /// The map of a panel as a picture; nothing where it has none.
    pub(crate) fn picture(
        &self,
        name: &str,
        title: &str,
        spoken: (Units, Labels, Telling<'_>),
    ) -> Result<Option<String>, Failure> {
        let map = self.maps.iter().find(|m| m.panel() == name);
        let Some(drawn) = map.and_then(PanelMap::drawn) else {
            return Ok(None);
        };
        let svg = film_map(drawn, title, &self.advice.readings, spoken);
        svg.map(Some).map_err(Failure::Ours)
    }
}
