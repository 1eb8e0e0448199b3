//! What is handed over: the car, each panel's film before and after, what was
//! found, done, spent and left, what remains and why, and how to keep it.
//!
//! Law: removed ever = removed before + removed now, deviations as squares;
//! clear left and what may go later come from the budget station, with the
//! readings after and all removals debited; without readings after, from the
//! plan, in the share of its sections that were done. Film never grows: where
//! the readings after would leave more than there was, what is left is that of
//! before less what went, and readings that cannot be right count as none.
//! Source: own arithmetic over earlier stations; see [`removed`].
//! Holds: for any job that can be planned. What nobody noted is said to be not
//! noted and debits nothing but what the gauge shows.
//! Left out: signing and hashing, which the store does; gloss and photographs
//! beyond their hashes.
//! Checked by: the tests in `tests.rs`, worked by hand, and there and back
//! through [`crate::record::earlier`].

pub mod care;
pub mod log;
mod panel;
pub mod record;
pub mod removed;
#[cfg(test)]
mod tests;
mod too_far;

use uom::si::length::micrometer;

use self::care::{DO_NOTS, care};
use self::log::Log;
use self::panel::panels;
use self::record::{
    DoneStep, EarlierTold, Handed, HandedCar, HandedPanel, KIND, Limits, Picture, Remaining,
    SCHEMA, Said, Spent, Taught, TaughtDepths, TaughtSeen, four_figures, thousandth,
};
use crate::inspect::CarFilm;
use crate::plan::{PanelPlan, Plan};
use crate::prove::PanelBeforeAfter;
use crate::record::calibration::KnownTrial;
use crate::record::job::Job;
use crate::record::seen::Seen;
use crate::record::{Readings, panel_names};
use crate::trial::pooling;

/// All that a visit leaves behind.
#[derive(Clone, Debug)]
pub struct Visit<'a> {
    /// The job.
    pub job: &'a Job,
    /// What the gauge said before.
    pub before: (&'a Readings, &'a CarFilm),
    /// What the gauge said after, where it was read.
    pub after: Option<(&'a Readings, &'a CarFilm)>,
    /// The plan.
    pub plan: &'a Plan,
    /// What was noted while working.
    pub log: Option<&'a Log>,
    /// Readings that are known to be of the same places before and after; they
    /// go before what the tables show of the panel.
    pub same_places: &'a [PanelBeforeAfter],
    /// Photographs.
    pub pictures: Vec<Picture>,
    /// The record this visit started from.
    pub earlier: Option<EarlierTold>,
}

/// Puts the record of a visit together.
#[must_use]
pub fn handover(visit: &Visit<'_>) -> Handed {
    let job = visit.job;
    let (panels, doubts) = panels(visit);
    let is_coated = visit
        .log
        .map_or(job.wish.coating_layers > 0, |l| l.is_coated);
    let mut cautions: Vec<Said> = visit
        .plan
        .cautions
        .iter()
        .filter(|c| concerns_the_car(&c.place, &panels))
        .map(|c| said(&c.place, &c.text))
        .chain(doubts)
        .collect();
    cautions.sort_by(|a, b| (&a.place, &a.text).cmp(&(&b.place, &b.text)));
    cautions.dedup();
    Handed {
        kind: KIND.to_owned(),
        schema: SCHEMA,
        job: job.name.clone(),
        date: visit
            .log
            .and_then(|l| l.date.clone())
            .or_else(|| job.date.clone()),
        units: job.units.word().to_owned(),
        car: HandedCar {
            description: job.car.description.clone(),
            class: job.car.class.word().to_owned(),
            colour: job.car.colour.word().to_owned(),
            behaviour: job.car.behaviour.word().to_owned(),
        },
        found: visit.log.map(|l| l.marks.clone()).unwrap_or_default(),
        remains: remains(visit, &panels),
        spent: spent(visit, &panels),
        limits: limits(job),
        trials: job
            .calibration
            .on_car
            .iter()
            .filter(|t| pooling::has_taught(t))
            .map(taught)
            .collect(),
        care: care(is_coated),
        do_nots: DO_NOTS.map(str::to_owned).to_vec(),
        cautions,
        pictures: visit.pictures.clone(),
        earlier: visit.earlier.clone(),
        panels,
    }
}

/// Whether a doubt of the plan is the owner's too: one about a panel, the gauge
/// or the record before. Prices, people and kit are the shop's alone.
fn concerns_the_car(place: &str, panels: &[HandedPanel]) -> bool {
    matches!(place, "gauge" | "zero check" | "record")
        || panels.iter().any(|p| p.spoken == place || p.name == place)
}

fn said(place: &str, text: &str) -> Said {
    Said {
        place: place.to_owned(),
        text: text.to_owned(),
    }
}

fn limits(job: &Job) -> Limits {
    let um = |length: lapwing_measure::quantity::Length| {
        thousandth(length.get::<micrometer>()).unwrap_or(0.0)
    };
    Limits {
        in_force: job.rules.in_force.clone(),
        clear_left_um: um(job.rules.clear_left),
        removed_ever_um: um(job.rules.removed_ever),
        confidence: job.rules.confidence,
    }
}

fn taught(trial: &KnownTrial) -> Taught {
    let factor = |f: f64| thousandth(f).unwrap_or(1.0);
    Taught {
        pad: trial.pad.word().to_owned(),
        abrasive: trial.abrasive.word().to_owned(),
        behaviour: trial.behaviour.word().to_owned(),
        cut_rate_per_pa: four_figures(trial.cut_rate.median),
        cut_rate_factor: factor(trial.cut_rate.factor()),
        friction_share: trial.friction.and_then(|f| thousandth(f.median)),
        friction_factor: trial.friction.and_then(|f| thousandth(f.factor())),
        seen: seen(trial),
        depths: trial.depths.map(|d| TaughtDepths {
            defects: d.defects.word().to_owned(),
            median_um: factor(d.median_um),
            ln_spread: factor(d.ln_spread),
            deep_frac: factor(d.deep_frac),
        }),
    }
}

/// What the readings alone said, where that was written down.
fn seen(trial: &KnownTrial) -> Option<TaughtSeen> {
    let said = |seen: Seen| match seen {
        Seen::Said(said) => Some(said),
        Seen::Unsaid | Seen::Nothing => None,
    };
    let (rate, friction) = (said(trial.cut_rate_seen), said(trial.friction_seen));
    (trial.cut_rate_seen != Seen::Unsaid).then(|| TaughtSeen {
        cut_rate_per_pa: rate.map(|r| four_figures(r.median)),
        cut_rate_factor: rate.and_then(|r| thousandth(r.factor())),
        friction_share: friction.and_then(|f| thousandth(f.median)),
        friction_factor: friction.and_then(|f| thousandth(f.factor())),
    })
}

/// Minutes by the log; film as the mean over the worked area.
fn spent(visit: &Visit<'_>, panels: &[HandedPanel]) -> Spent {
    let worked = || {
        panels
            .iter()
            .filter(|p| matches!(p.verdict.as_str(), "polished" | "part" | "not noted"))
            .filter_map(|p| p.removed_um.as_ref().map(|r| (p.area_m2, r.mean)))
    };
    let area: f64 = worked().map(|(m2, _)| m2).sum();
    let film: f64 = worked().map(|(m2, um)| m2 * um).sum();
    let by_panel: Vec<f64> = panels.iter().filter_map(|p| p.minutes).collect();
    let summed = (!by_panel.is_empty()).then(|| by_panel.iter().sum());
    Spent {
        minutes: visit
            .log
            .and_then(|l| l.minutes)
            .or(summed)
            .and_then(thousandth),
        planned_hours: thousandth(visit.plan.hours.mean).unwrap_or(0.0),
        film_um: (area > 0.0).then(|| film / area).and_then(thousandth),
        worked_m2: thousandth(area).unwrap_or(0.0),
    }
}

/// What the plan left alone or could not reach, what was not finished, and
/// what the shop noted.
fn remains(visit: &Visit<'_>, panels: &[HandedPanel]) -> Vec<Remaining> {
    let mut list = Vec::new();
    for (planned, handed) in visit.plan.panels.iter().zip(panels) {
        list.extend(of_panel(planned, handed, visit.log));
    }
    list.extend(visit.log.into_iter().flat_map(|l| l.remains.clone()));
    list
}

fn of_panel(planned: &PanelPlan, handed: &HandedPanel, log: Option<&Log>) -> Vec<Remaining> {
    let one = |what: String, why: String| Remaining {
        panel: handed.name.clone(),
        what,
        why,
    };
    let went = handed.removed_um.as_ref().filter(|r| r.mean > 0.0);
    let is_told = log.is_some() || planned.verdict == "leave";
    if let Some(went) = went.filter(|_| handed.verdict == "not noted" && is_told) {
        let what = if planned.verdict == "leave" {
            "To be left, and nobody noted work."
        } else {
            "Planned, and nobody noted work."
        };
        let why = format!(
            "Yet the readings say that {:.1} µm went, and that is debited.",
            went.mean
        );
        return vec![one(what.to_owned(), why)];
    }
    if planned.verdict == "leave" {
        return vec![one("Left as it was.".to_owned(), planned.reason.clone())];
    }
    let mut list = Vec::new();
    if log.is_some() && handed.verdict != "polished" {
        let what = if handed.verdict == "part" {
            unfinished(&handed.done)
        } else {
            "Planned, but not worked.".to_owned()
        };
        list.push(one(what, "Not noted as done.".to_owned()));
    }
    if let Some(gone) = handed
        .share_gone
        .as_ref()
        .filter(|g| handed.verdict == "polished" && g.mean < planned.wish_frac)
    {
        list.push(one(
            format!(
                "About {:.0} % of the scratch length stays; {:.0} % was wished to go.",
                100.0 * (1.0 - gone.mean),
                100.0 * planned.wish_frac
            ),
            planned.reason.clone(),
        ));
    }
    list
}

/// "Not finished: 2 of 5 sections were not worked.": a section counts once,
/// however many steps it wants.
fn unfinished(steps: &[DoneStep]) -> String {
    let all = steps.iter().map(|s| s.sections).max().unwrap_or(0);
    let begun = steps.iter().map(|s| s.sections_done).max().unwrap_or(0);
    let finished = steps.iter().map(|s| s.sections_done).min().unwrap_or(0);
    let mut parts = Vec::new();
    if all > begun {
        let open = all - begun;
        let was = if open == 1 { "was" } else { "were" };
        let sections = if all == 1 { "section" } else { "sections" };
        parts.push(format!("{open} of {all} {sections} {was} not worked"));
    }
    if begun > finished {
        let lacking = begun - finished;
        let lack = if lacking == 1 {
            "section lacks"
        } else {
            "sections lack"
        };
        parts.push(format!("{lacking} {lack} a step"));
    }
    format!("Not finished: {}.", parts.join("; "))
}

/// The panel's name for people; "Car" for the whole.
#[must_use]
pub fn spoken(panel: &str) -> String {
    if panel == "car" {
        "Car".to_owned()
    } else {
        panel_names::spoken(panel)
    }
}
