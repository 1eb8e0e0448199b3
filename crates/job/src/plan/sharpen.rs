//! What the plan does not know, and which one measurement would tell most.
//!
//! Law: variances of independent unknowns add. Film: Σ over pad and abrasive of
//! (Σ area·removal)²·(e^(s²) − 1), s the spread of ln k. Heat: e^(s²) − 1 of the
//! friction share. Time: areas, pace and fixed stages. Each counts as a share
//! of its answer's variance. A measurement is worth the relative variance it
//! takes away: a test spot of ten pairs leaves 1/s'² = 1/s² + n·h²/(2σ²); a
//! thermometer good to 3 K leaves 1/s'² = 1/s² + (rise/3 K)²; a stopwatch on
//! one section halves the pace's spread; a tape leaves no area.
//! Source: own rules; delta method.
//! Holds: while every unknown is small enough to add as a variance.
//! Left out: that clear coat is worked out, which the budget already counts at
//! its lower end; errors of the laws themselves.
//! Checked by: shares add up to one, and what is calibrated falls, in the tests
//! below and of the station.

use std::collections::BTreeMap;

use serde::Serialize;

use super::{Hours, PanelPlan, PlanStep};
use crate::forecast::{friction_share, scratch_depths};
use crate::record::job::{Job, Substrate};
use crate::record::{Part, Said, Sentence};
use crate::trial::prior::ASSUMED;

/// One thing the plan does not know.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Unknown {
    /// "film", "heat" or "time".
    pub of: &'static str,
    /// Which number.
    pub what: String,
    /// Where it comes from.
    pub origin: &'static str,
    /// Share of the answer's variance that is due to it, 0 to 1.
    pub variance_share: f64,
    /// Relative variance of the answer that one measurement would take away.
    pub would_go: f64,
    /// The measurement, as a sentence.
    pub measurement: String,
    /// The same with its parts apart, where it is one of our sentences.
    #[serde(skip)]
    pub said: Option<Said>,
}

/// What is not known.
pub(super) struct Sharpening {
    pub(super) unknowns: Vec<Unknown>,
}

/// Pairs of a test spot, and error of a thermometer.
const PAIRS: f64 = 10.0;
const THERMOMETER_K: f64 = 3.0;

pub(super) fn sharpening(
    job: &Job,
    panels: &[PanelPlan],
    hours: &Hours,
    gauge_um: f64,
) -> Sharpening {
    let mut unknowns = film(panels, gauge_um);
    unknowns.extend(heat(job, panels));
    unknowns.extend(time(hours));
    unknowns.sort_by(|a, b| b.would_go.total_cmp(&a.would_go));
    Sharpening { unknowns }
}

/// What is summed for one pad and abrasive.
#[derive(Clone, Copy, Default)]
struct Pairing {
    film: f64,
    largest_um: f64,
    ln_sd: f64,
    origin: &'static str,
}

fn film(panels: &[PanelPlan], gauge_um: f64) -> Vec<Unknown> {
    let mut pairings: BTreeMap<(&str, &str), Pairing> = BTreeMap::new();
    for (panel, step) in steps(panels) {
        let pairing = pairings.entry((&step.pad, &step.abrasive)).or_default();
        pairing.film += panel.area_m2 * step.removal_um.mean;
        pairing.largest_um = pairing.largest_um.max(step.removal_um.mean);
        pairing.ln_sd = ln_sd(step);
        pairing.origin = step.cut_rate.origin;
    }
    let whole_film: f64 = pairings.values().map(|p| p.film).sum();
    let variance =
        |p: &Pairing, ln_sd: f64| (p.film / whole_film).powi(2) * (ln_sd * ln_sd).exp_m1();
    let whole: f64 = pairings.values().map(|p| variance(p, p.ln_sd)).sum();
    pairings
        .iter()
        .map(|((pad, abrasive), p)| {
            let seen = PAIRS * p.largest_um.powi(2) / (2.0 * gauge_um * gauge_um);
            let after = 1.0 / (1.0 / (p.ln_sd * p.ln_sd) + seen).sqrt();
            let share = variance(p, p.ln_sd) / whole;
            let parts = [
                Part::Text((*abrasive).to_owned()),
                Part::Text((*pad).to_owned()),
                Part::Number((1.96 * p.ln_sd).exp(), 1),
                Part::Number((1.96 * after).exp(), 2),
                Part::Number(100.0 * share, 0),
            ];
            let said = Said::new(Sentence::DoTestSpot, parts);
            Unknown {
                of: "film",
                what: format!("cut rate of {abrasive} on {pad}"),
                origin: p.origin,
                variance_share: share,
                would_go: variance(p, p.ln_sd) - variance(p, after),
                measurement: said.english(),
                said: Some(said),
            }
        })
        .filter(|u| u.variance_share.is_finite())
        .collect()
}

fn ln_sd(step: &PlanStep) -> f64 {
    (step.cut_rate.upper_95 / step.cut_rate.per_pa).ln() / 1.96
}

fn heat(job: &Job, panels: &[PanelPlan]) -> Option<Unknown> {
    let start_c = job.rules.start_temperature.value - 273.15;
    let rise_k = steps(panels)
        .map(|(_, s)| s.peak_c - start_c)
        .fold(0.0, f64::max);
    if rise_k <= 0.0 {
        return None;
    }
    let friction = friction_share(job);
    let ln_sd = friction.number.ln_sd;
    let after = 1.0 / (1.0 / (ln_sd * ln_sd) + (rise_k / THERMOMETER_K).powi(2)).sqrt();
    let factors = [ln_sd, after].map(|sd| Part::Number((1.96 * sd).exp(), 2));
    let said = Said::new(Sentence::PointThermometer, factors);
    Some(Unknown {
        of: "heat",
        what: "friction share".to_owned(),
        origin: friction.origin,
        variance_share: 1.0,
        would_go: (ln_sd * ln_sd).exp_m1() - (after * after).exp_m1(),
        measurement: said.english(),
        said: Some(said),
    })
}

fn time(hours: &Hours) -> Vec<Unknown> {
    let spreads = hours.spreads;
    let parts = [
        (
            "areas of the panels",
            "worked out from the car's size",
            spreads.area_h,
            0.0,
            "Measure the panels with a tape",
        ),
        (
            "pace of the work",
            "common practice",
            spreads.pace_h,
            0.5,
            "Time one section with a stopwatch",
        ),
        (
            "stages that do not depend on the recipe",
            "common practice",
            spreads.fixed_h,
            0.5,
            "Write down how long wash, masking and inspection take",
        ),
    ];
    let whole: f64 = parts.iter().map(|p| p.2 * p.2).sum();
    if whole <= 0.0 || hours.mean <= 0.0 {
        return Vec::new();
    }
    parts
        .into_iter()
        .map(|(what, origin, sd_h, stays, deed)| {
            let share = sd_h * sd_h / whole;
            Unknown {
                of: "time",
                what: what.to_owned(),
                origin,
                variance_share: share,
                would_go: (sd_h / hours.mean).powi(2) * (1.0 - stays * stays),
                measurement: format!(
                    "{deed}: {:.0} % of what the hours are unsure by hangs on it.",
                    100.0 * share
                ),
                said: None,
            }
        })
        .collect()
}

fn steps(panels: &[PanelPlan]) -> impl Iterator<Item = (&PanelPlan, &PlanStep)> {
    panels
        .iter()
        .flat_map(|panel| panel.recipe.iter().map(move |step| (panel, step)))
}

/// The one measurement that would sharpen the plan most.
pub(super) fn measure_next(
    panels: &[PanelPlan],
    sharpening: &Sharpening,
) -> (String, Option<Said>) {
    let ours = |said: Said| (said.english(), Some(said));
    let unread = panels
        .iter()
        .find(|p| p.readings == 0 && p.substrate != Substrate::Plastic);
    if let Some(panel) = unread {
        let name = Part::Panel(panel.spoken.clone());
        return ours(Said::new(Sentence::ReadFilmOf, [name]));
    }
    if panels.iter().all(|p| p.recipe.is_empty()) {
        return ours(Sentence::NothingToPolish.into());
    }
    sharpening
        .unknowns
        .first()
        .map_or_else(Default::default, |u| {
            (u.measurement.clone(), u.said.clone())
        })
}

/// What stays assumed, in a sentence; empty when nothing does.
pub(super) fn still_assumed(job: &Job, panels: &[PanelPlan]) -> String {
    let mut assumed: Vec<String> = Vec::new();
    let mut add = |what: String| {
        if !assumed.contains(&what) {
            assumed.push(what);
        }
    };
    for (_, step) in steps(panels) {
        if step.cut_rate.origin == ASSUMED {
            add(format!("the cut rate of {} on {}", step.abrasive, step.pad));
        }
    }
    let worked: Vec<&PanelPlan> = panels.iter().filter(|p| !p.recipe.is_empty()).collect();
    if !worked.is_empty() && friction_share(job).origin == ASSUMED {
        add("the friction share".to_owned());
    }
    let is_deep_assumed = worked.iter().any(|p| {
        let defects = job.panels.iter().find(|j| j.name == p.name);
        defects.is_some_and(|j| scratch_depths(job, j.defects).origin == ASSUMED)
    });
    if is_deep_assumed {
        add("how deep the scratches are".to_owned());
    }
    if assumed.is_empty() {
        return String::new();
    }
    format!("Assumed until measured: {}.", assumed.join(", "))
}
