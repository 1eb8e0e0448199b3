//! The gentlest recipe that reaches the wish inside the limits, or why not.
//!
//! Law: a candidate is safe when its removal at the 95 % upper end in the place
//! that gets most is within the budget, and every step stays under the stop
//! temperature at the upper end of the friction share. The gentlest class of
//! abrasive and pad that safely reaches the wished share of scratch length is
//! taken; inside it, the quickest of those that take off at most a quarter more
//! than the least. If none reaches the wish, the quickest within two points and
//! a tenth of the best share, and the plan names the limit that stopped it. A
//! panel of which less than 1 % would go is left alone: nobody sees that.
//! Source: own rule. Holds: panel by panel.
//! Left out: trading one panel against another.
//! Checked by: the tests of the station.

use uom::si::angular_velocity::revolution_per_minute;
use uom::si::thermodynamic_temperature::degree_celsius;

use super::candidates::{Candidate, CandidateStep, Candidates, candidates};
use super::{CutRateTold, Interval, PlanStep};
use crate::budget::{Budget, FilmVerdict};
use crate::forecast::step::{ScratchDepths, share_gone};
use crate::forecast::{ARM_SPEEDS_MM_S, Forecast, scratch_depths};
use crate::record::job::{AbrasiveClass, Job, PadClass, Panel};
use crate::record::{Part, Said, Sentence};

/// Share of scratch length under which nothing visible goes (assumed).
const LEAST_VISIBLE: f64 = 0.01;

/// What was chosen for a panel.
#[derive(Clone, Debug)]
pub(super) struct Chosen {
    pub(super) verdict: &'static str,
    pub(super) reason: Said,
    pub(super) steps: Vec<PlanStep>,
    pub(super) removal: Option<Interval>,
    pub(super) share_gone: Option<Interval>,
}

/// What one panel allows.
struct Limits {
    depths: ScratchDepths,
    budget_um: f64,
    wish: f64,
    finishing_only: bool,
}

impl Limits {
    fn gone(&self, candidate: &Candidate) -> f64 {
        share_gone(
            &self.depths,
            candidate.removal_um(),
            candidate.steps[0].rate.number.ln_sd,
        )
    }

    fn is_safe_film(&self, candidate: &Candidate) -> bool {
        candidate.worst_um() <= self.budget_um && self.is_gentle_enough(candidate)
    }

    /// Where little may go, every step has to be a finishing one.
    fn is_gentle_enough(&self, candidate: &Candidate) -> bool {
        !self.finishing_only || candidate.steps.iter().all(|s| s.is_finishing)
    }

    fn best(&self, list: &[Candidate], is_allowed: impl Fn(&Candidate) -> bool) -> f64 {
        list.iter()
            .filter(|c| is_allowed(c))
            .map(|c| self.gone(c))
            .fold(0.0, f64::max)
    }
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
        return leave(budget.said.clone());
    };
    let start_c = job.rules.start_temperature.get::<degree_celsius>();
    let stop_k = job.rules.heat_stop.get::<degree_celsius>() - start_c;
    let limits = Limits {
        depths: scratch_depths(job, panel.defects),
        budget_um,
        wish: job.wish.in_zone(panel.zone),
        finishing_only: budget.verdict == FilmVerdict::FinishOnly,
    };
    let Candidates { any_heat, cool } = candidates(job, panel, (laws, section), stop_k);
    if any_heat.is_empty() {
        if job.kit.machines.is_empty() || job.kit.pads.is_empty() || job.kit.abrasives.is_empty() {
            return leave(Sentence::NoKit);
        }
        return leave(Sentence::NothingFits);
    }
    let safe: Vec<&Candidate> = cool.iter().filter(|c| limits.is_safe_film(c)).collect();
    match pick(&limits, &safe) {
        Some(candidate) => {
            let why = stopped_by(&limits, candidate, &any_heat, &cool);
            let is_seen = limits.gone(candidate) >= LEAST_VISIBLE;
            match why {
                Some(why) if !is_seen => leave(nothing_visible(candidate, why)),
                why => described(job, &limits, candidate, why),
            }
        }
        None => leave(why_nothing_is_safe(&limits, &any_heat, &cool, stop_k)),
    }
}

fn pick<'c>(limits: &Limits, safe: &[&'c Candidate]) -> Option<&'c Candidate> {
    let reaching: Vec<&Candidate> = safe
        .iter()
        .copied()
        .filter(|c| limits.gone(c) >= limits.wish)
        .collect();
    let pool: Vec<&Candidate> =
        if let Some(gentlest) = reaching.iter().map(|c| c.aggression()).min() {
            let class: Vec<&Candidate> = reaching
                .into_iter()
                .filter(|c| c.aggression() == gentlest)
                .collect();
            let least = class
                .iter()
                .map(|c| c.removal_um())
                .fold(f64::INFINITY, f64::min);
            class
                .into_iter()
                .filter(|c| c.removal_um() <= 1.25 * least)
                .collect()
        } else {
            let best = safe.iter().map(|c| limits.gone(c)).fold(0.0, f64::max);
            safe.iter()
                .copied()
                .filter(|c| limits.gone(c) >= (best - 0.02).max(0.9 * best))
                .collect()
        };
    pool.into_iter().min_by(|a, b| {
        a.seconds_per_m2()
            .total_cmp(&b.seconds_per_m2())
            .then(a.removal_um().total_cmp(&b.removal_um()))
    })
}

/// Why a recipe that would correct nothing is not worked.
fn nothing_visible(candidate: &Candidate, why: Said) -> Said {
    let takes = Part::Film(candidate.removal_um(), 2);
    if why.sentence == Sentence::HeldByFinishing {
        Said::new(Sentence::NothingVisible, [takes])
    } else {
        Said::new(Sentence::NothingVisibleSafe, [takes, Part::Said(why)])
    }
}

fn leave(reason: impl Into<Said>) -> Chosen {
    Chosen {
        verdict: "leave",
        reason: reason.into(),
        steps: Vec::new(),
        removal: None,
        share_gone: None,
    }
}

/// The limit that stopped every recipe: looked for in the order kind of step,
/// heat, film, each among those that the one before lets through.
fn why_nothing_is_safe(
    limits: &Limits,
    all: &[Candidate],
    cool: &[Candidate],
    stop_k: f64,
) -> Said {
    let gentle = |list: &[Candidate]| -> Vec<(f64, f64)> {
        list.iter()
            .filter(|c| limits.is_gentle_enough(c))
            .map(|c| (c.worst_um(), c.peak_upper_k()))
            .collect()
    };
    let (gentle, cool) = (gentle(all), gentle(cool));
    let least = |of: &mut dyn Iterator<Item = f64>| of.fold(f64::INFINITY, f64::min);
    let may_go = Part::Film(limits.budget_um, 1);
    if gentle.is_empty() {
        return Said::new(Sentence::NoFinishingInKit, [may_go]);
    }
    if cool.is_empty() {
        let coolest_k = least(&mut gentle.iter().map(|c| c.1));
        let sentence = if limits.finishing_only {
            Sentence::FinishingTooHot
        } else {
            Sentence::AllTooHot
        };
        return Said::new(sentence, [Part::Rise(coolest_k), Part::Rise(stop_k)]);
    }
    // Among the cool ones film decides; a gentler one that is too hot is named.
    let (least_um, least_hot_um) = (
        least(&mut cool.iter().map(|c| c.0)),
        least(&mut gentle.iter().map(|c| c.0)),
    );
    if least_hot_um <= limits.budget_um {
        return Said::new(
            Sentence::GentleTooHotCoolTooMuch,
            [Part::Film(least_hot_um, 1), Part::Film(least_um, 1), may_go],
        );
    }
    Said::new(Sentence::GentlestTooMuch, [Part::Film(least_um, 1), may_go])
}

/// The limit that kept the plan from the wish; none when it is met.
fn stopped_by(
    limits: &Limits,
    chosen: &Candidate,
    any_heat: &[Candidate],
    cool: &[Candidate],
) -> Option<Said> {
    if limits.gone(chosen) >= limits.wish {
        return None;
    }
    let gain = limits.gone(chosen) + 0.02;
    let is_open = |c: &Candidate| limits.is_gentle_enough(c);
    let without_film = limits.best(cool, is_open) > gain;
    let without_heat = limits.best(any_heat, |c| limits.is_safe_film(c)) > gain;
    let may_go = || [Part::Film(limits.budget_um, 1)];
    Some(match (without_film, without_heat) {
        (true, true) => Said::new(Sentence::HeldByBoth, may_go()),
        (true, false) => Said::new(Sentence::HeldByFilm, may_go()),
        (false, true) => Sentence::HeldByHeat.into(),
        (false, false) if limits.best(cool, |_| true) > gain => Sentence::HeldByFinishing.into(),
        (false, false) => Sentence::HeldByKit.into(),
    })
}

fn described(
    job: &Job,
    limits: &Limits,
    candidate: &Candidate,
    stopped_by: Option<Said>,
) -> Chosen {
    let share = |um: f64| share_gone(&limits.depths, um, 0.0);
    let mean = limits.gone(candidate);
    let provenance = candidate.steps[0].rate.provenance;
    let percent = |share: f64| Part::Number(100.0 * share, 0);
    let reason = match stopped_by {
        None => Said::new(
            Sentence::Gentlest,
            [percent(limits.wish), Part::Film(limits.budget_um, 1)],
        ),
        Some(why) => Said::new(
            Sentence::Reaches,
            [percent(mean), percent(limits.wish), Part::Said(why)],
        ),
    };
    Chosen {
        verdict: if limits.finishing_only {
            "finish-only"
        } else {
            "polish"
        },
        reason,
        steps: candidate
            .steps
            .iter()
            .enumerate()
            .map(|(at, s)| plan_step(job, s, at))
            .collect(),
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
            provenance: provenance.weaker(limits.depths.provenance),
        }),
    }
}

fn step_name(abrasive: AbrasiveClass, pad: PadClass, at: usize) -> &'static str {
    match abrasive {
        AbrasiveClass::Heavy => "cut",
        AbrasiveClass::Medium if pad >= PadClass::FoamCutting => "cut",
        AbrasiveClass::Fine if at == 0 && pad >= PadClass::FoamPolishing => "polish",
        AbrasiveClass::Medium => "polish",
        AbrasiveClass::Fine | AbrasiveClass::Finishing => "finish",
    }
}

fn plan_step(job: &Job, step: &CandidateStep, at: usize) -> PlanStep {
    let start_c = job.rules.start_temperature.get::<degree_celsius>();
    let abrasive = &job.kit.abrasives[step.abrasive];
    let pad = &job.kit.pads[step.key.pad];
    let speeds = &job.kit.machines[step.key.machine].speeds;
    let top_speed = speeds[speeds.len() - 1];
    PlanStep {
        step: step_name(abrasive.class, pad.class, at).to_owned(),
        machine: job.kit.machines[step.key.machine].name.clone(),
        speed_rpm: speeds[step.speed].get::<revolution_per_minute>(),
        pad: pad.name.clone(),
        abrasive: abrasive.name.clone(),
        passes: step.setup.passes,
        arm_speed_mm_s: ARM_SPEEDS_MM_S[step.key.arm],
        removal_um: Interval {
            mean: step.does.removal_um,
            lower_95: step.does.lower_95_um,
            upper_95: step.does.upper_95_um,
            provenance: step.rate.provenance,
        },
        cut_rate: CutRateTold::of(&step.rate),
        peak_c: start_c + step.does.peak_rise_k,
        peak_upper_c: start_c + step.does.peak_rise_upper_k,
        minutes: 0.0,
        trigger_minutes: step.does.section_s / 60.0,
        kit: (step.key.machine, step.key.pad, step.abrasive),
        law: (
            step.key,
            (step.setup.speed / top_speed).value,
            step.rate.number.median,
        ),
    }
}
