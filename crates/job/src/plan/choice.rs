//! The gentlest recipe that reaches the wish inside the limits, or why not.
//!
//! Law: a candidate is safe when its removal at the 95 % upper end in the place
//! that gets most is within the budget, and its surface stays under the stop
//! temperature at the upper end of the friction share. Among the safe ones the
//! first, gentlest first, that reaches the wished share of scratch length is
//! taken; if none reaches it, the one that comes nearest, and the plan says so.
//! Source: own rule. Holds: panel by panel.
//! Left out: trading one panel against another.
//! Checked by: the tests of the station.

use lapwing_measure::Provenance;
use uom::si::angular_velocity::revolution_per_minute;
use uom::si::thermodynamic_temperature::degree_celsius;

use super::candidates::{Candidate, CandidateStep, candidates};
use super::{Interval, PlanStep};
use crate::budget::{Budget, FilmVerdict};
use crate::forecast::{ARM_SPEEDS_MM_S, Forecast};
use crate::forecast::step::share_gone;
use crate::record::job::{AbrasiveClass, Job, Panel};
use crate::record::{Caution, panel_names};

/// What was chosen for a panel.
#[derive(Clone, Debug)]
pub(super) struct Chosen {
    pub(super) verdict: &'static str,
    pub(super) reason: String,
    pub(super) steps: Vec<PlanStep>,
    pub(super) removal: Option<Interval>,
    pub(super) share_gone: Option<Interval>,
    pub(super) cautions: Vec<Caution>,
}

/// Chooses for one panel.
pub(super) fn choose(
    job: &Job,
    panel: &Panel,
    budget: &Budget,
    laws: &Forecast,
    section: usize,
) -> Chosen {
    let (Some(budget_um), true) = (budget.budget_um, budget.verdict != FilmVerdict::Leave) else {
        return leave(budget.reason.clone());
    };
    let all = candidates(job, panel, laws, section);
    if all.is_empty() {
        return leave("No machine, pad and abrasive of the kit go together on a panel this small.".to_owned());
    }
    let start_c = job.rules.start_temperature.get::<degree_celsius>();
    let stop_k = job.rules.heat_stop.get::<degree_celsius>() - start_c;
    let within_film = |c: &&Candidate| c.worst_um() <= budget_um;
    let within_heat = |c: &&Candidate| c.peak_upper_k() <= stop_k;
    let within_verdict = |c: &&Candidate| {
        budget.verdict == FilmVerdict::Polish || c.steps.iter().all(|s| s.is_finishing)
    };
    let safe: Vec<&Candidate> = all
        .iter()
        .filter(within_film)
        .filter(within_heat)
        .filter(within_verdict)
        .collect();
    if safe.is_empty() {
        return leave(why_nothing_is_safe(&all, budget_um, stop_k));
    }
    let wish = job.wish.in_zone(panel.zone);
    let gone = |c: &Candidate| share_gone(panel.defects, c.removal_um(), c.steps[0].rate.ln_sd);
    let reaching = safe.iter().find(|c| gone(c) >= wish);
    let nearest = safe.iter().max_by(|a, b| gone(a).total_cmp(&gone(b)));
    let Some(candidate) = reaching.or(nearest) else {
        return leave(budget.reason.clone());
    };
    described(job, panel, budget, candidate, reaching.is_some())
}

fn leave(reason: String) -> Chosen {
    Chosen {
        verdict: "leave",
        reason,
        steps: Vec::new(),
        removal: None,
        share_gone: None,
        cautions: Vec::new(),
    }
}

fn why_nothing_is_safe(all: &[Candidate], budget_um: f64, stop_k: f64) -> String {
    let least_um = all.iter().map(Candidate::worst_um).fold(f64::INFINITY, f64::min);
    let coolest_k = all.iter().map(Candidate::peak_upper_k).fold(f64::INFINITY, f64::min);
    if coolest_k > stop_k {
        return format!(
            "Every recipe of the kit may run over the stop temperature here (least rise {coolest_k:.0} K, room {stop_k:.0} K)."
        );
    }
    format!(
        "The gentlest recipe may take {least_um:.1} µm in places; only {budget_um:.1} µm may go."
    )
}

fn described(
    job: &Job,
    panel: &Panel,
    budget: &Budget,
    candidate: &Candidate,
    reaches_wish: bool,
) -> Chosen {
    let wish = job.wish.in_zone(panel.zone);
    let share = |um: f64| share_gone(panel.defects, um, 0.0);
    let mean = share_gone(panel.defects, candidate.removal_um(), candidate.steps[0].rate.ln_sd);
    let provenance = candidate.steps[0].rate.provenance;
    let budget_um = budget.budget_um.unwrap_or(0.0);
    let reason = if reaches_wish {
        format!("Gentlest recipe that reaches {:.0} % with {budget_um:.1} µm to go.", 100.0 * wish)
    } else {
        format!(
            "Reaches {:.0} % of the {:.0} % wished; more would not be safe within {budget_um:.1} µm and the heat limit.",
            100.0 * mean,
            100.0 * wish
        )
    };
    let is_finish_only = candidate.steps.iter().all(|s| s.is_finishing);
    Chosen {
        verdict: if is_finish_only { "finish-only" } else { "polish" },
        reason,
        steps: candidate.steps.iter().map(|s| plan_step(job, s)).collect(),
        removal: Some(Interval {
            mean: candidate.removal_um(),
            lower_95: candidate.lower_um(),
            upper_95: candidate.upper_um(),
            provenance,
        }),
        share_gone: Some(Interval {
            mean,
            lower_95: share(candidate.lower_um()),
            upper_95: share(candidate.upper_um()),
            provenance: Provenance::Assumed,
        }),
        cautions: heat_caution(job, panel, candidate),
    }
}

fn heat_caution(job: &Job, panel: &Panel, candidate: &Candidate) -> Vec<Caution> {
    let start_c = job.rules.start_temperature.get::<degree_celsius>();
    let warn_c = job.rules.heat_warn.get::<degree_celsius>();
    let peak_c = start_c + candidate.peak_upper_k();
    if peak_c < warn_c {
        return Vec::new();
    }
    vec![Caution::new(
        panel_names::spoken(&panel.name),
        format!("The surface may reach {peak_c:.0} °C, over the warning at {warn_c:.0} °C. Feel it, keep the pad moving, let it cool between sets."),
    )]
}

fn plan_step(job: &Job, step: &CandidateStep) -> PlanStep {
    let start_c = job.rules.start_temperature.get::<degree_celsius>();
    let abrasive = &job.kit.abrasives[step.abrasive];
    let speeds = &job.kit.machines[step.key.machine].speeds;
    let top_speed = speeds[speeds.len() - 1];
    let name = match (step.is_finishing, abrasive.class) {
        (true, _) => "finish",
        (false, AbrasiveClass::Heavy | AbrasiveClass::Medium) => "cut",
        (false, _) => "polish",
    };
    PlanStep {
        step: name.to_owned(),
        machine: job.kit.machines[step.key.machine].name.clone(),
        speed_rpm: job.kit.machines[step.key.machine].speeds[step.speed].get::<revolution_per_minute>(),
        pad: job.kit.pads[step.key.pad].name.clone(),
        abrasive: abrasive.name.clone(),
        passes: step.setup.passes,
        arm_speed_mm_s: ARM_SPEEDS_MM_S[step.key.arm],
        removal_um: Interval {
            mean: step.does.removal_um,
            lower_95: step.does.lower_95_um,
            upper_95: step.does.upper_95_um,
            provenance: step.rate.provenance,
        },
        peak_c: start_c + step.does.peak_rise_k,
        peak_upper_c: start_c + step.does.peak_rise_upper_k,
        minutes: 0.0,
        trigger_minutes: step.does.section_s / 60.0,
        kit: (step.key.machine, step.key.pad, step.abrasive),
        law: (step.key, (step.setup.speed / top_speed).value, step.rate.per_pa),
    }
}
