//! Every way the kit can work a panel, gentlest first.
//!
//! A candidate is one step, or a cutting step followed by a finishing step when
//! the cut leaves marks. Passes come in pairs (cross-hatched).
//! Source: which pairings leave marks, and two to four passes to finish behind a
//! cut, are common practice.
//! Holds: for the kit given. Left out: three-step recipes.
//! Checked by: the order (each candidate takes off no less than the one before
//! by class) in the tests of the station.

use crate::forecast::step::leaves_marring;
use crate::forecast::{
    ARM_SPEEDS_MM_S, Forecast, LawKey, StepForecast, StepSetup, cut_rate, friction_share,
    step_forecast,
};
use crate::record::job::{AbrasiveClass, Job, PadClass, Panel};
use crate::trial::prior::Believed;

/// Passes of one set.
const PASSES: [u32; 4] = [2, 4, 6, 8];

/// Most passes of a finishing step: it takes away the marks of the step before
/// and is no means of correction (common practice). A kit that has nothing
/// stronger may do more.
const MOST_FINISHING_PASSES: u32 = 4;

/// One step that could be done.
#[derive(Clone, Copy, Debug)]
pub(super) struct CandidateStep {
    pub(super) key: LawKey,
    pub(super) abrasive: usize,
    pub(super) speed: usize,
    pub(super) setup: StepSetup,
    pub(super) rate: Believed,
    pub(super) does: StepForecast,
    pub(super) leaves_marring: bool,
    pub(super) is_finishing: bool,
    pub(super) section_m2: f64,
    aggression: u32,
}

/// One recipe that could be done.
#[derive(Clone, Debug)]
pub(super) struct Candidate {
    pub(super) steps: Vec<CandidateStep>,
}

impl Candidate {
    pub(super) fn removal_um(&self) -> f64 {
        self.steps.iter().map(|s| s.does.removal_um).sum()
    }

    pub(super) fn upper_um(&self) -> f64 {
        self.steps.iter().map(|s| s.does.upper_95_um).sum()
    }

    pub(super) fn lower_um(&self) -> f64 {
        self.steps.iter().map(|s| s.does.lower_95_um).sum()
    }

    /// What goes at the place that gets most, at the upper end.
    pub(super) fn worst_um(&self) -> f64 {
        self.steps.iter().map(|s| s.does.worst_place_um).sum()
    }

    /// Time for the same area, so that small pads and small sections compare.
    pub(super) fn seconds_per_m2(&self) -> f64 {
        self.steps
            .iter()
            .map(|s| s.does.section_s / s.section_m2)
            .sum()
    }

    pub(super) fn peak_upper_k(&self) -> f64 {
        self.steps
            .iter()
            .map(|s| s.does.peak_rise_upper_k)
            .fold(0.0, f64::max)
    }

    pub(super) fn aggression(&self) -> u32 {
        self.steps.iter().map(|s| s.aggression).max().unwrap_or(0)
    }
}

/// Every candidate for a panel, with and without the heat limit.
pub(super) struct Candidates {
    /// All, however hot.
    pub(super) any_heat: Vec<Candidate>,
    /// Those whose steps all stay under the limit.
    pub(super) cool: Vec<Candidate>,
}

/// Every candidate for a panel; `most_rise_k` is the heat limit.
pub(super) fn candidates(
    job: &Job,
    panel: &Panel,
    (laws, section): (&Forecast, usize),
    most_rise_k: f64,
) -> Candidates {
    let mut steps = steps(job, panel, laws, section);
    let any_heat = recipes(&steps);
    steps.retain(|s| s.does.peak_rise_upper_k <= most_rise_k);
    Candidates {
        any_heat,
        cool: recipes(&steps),
    }
}

/// Recipes of these steps, gentlest first: by class of the strongest step, then
/// by what it takes off, then by time.
fn recipes(steps: &[CandidateStep]) -> Vec<Candidate> {
    let finishing = finishing_step(steps);
    let mut list: Vec<Candidate> = Vec::new();
    for step in steps {
        if !step.leaves_marring {
            list.push(Candidate { steps: vec![*step] });
        } else if let Some(finish) = finishing {
            list.push(Candidate {
                steps: vec![*step, finish],
            });
        }
    }
    list.sort_by(|a, b| {
        a.aggression()
            .cmp(&b.aggression())
            .then(a.removal_um().total_cmp(&b.removal_um()))
            .then(a.seconds_per_m2().total_cmp(&b.seconds_per_m2()))
    });
    list
}

fn steps(job: &Job, panel: &Panel, laws: &Forecast, section: usize) -> Vec<CandidateStep> {
    let friction = friction_share(job);
    let mut steps = Vec::new();
    let all = || job.kit.abrasives.iter();
    let has_stronger = all().any(|a| a.class > AbrasiveClass::Finishing);
    for (abrasive_index, abrasive) in all().enumerate() {
        let most_passes = if has_stronger && abrasive.class == AbrasiveClass::Finishing {
            MOST_FINISHING_PASSES
        } else {
            PASSES[PASSES.len() - 1]
        };
        for pad_index in &abrasive.with {
            let pad = &job.kit.pads[*pad_index];
            let rate = cut_rate(job, abrasive, pad);
            for machine_index in &pad.fits {
                let machine = &job.kit.machines[*machine_index];
                for arm in 0..ARM_SPEEDS_MM_S.len() {
                    let key = LawKey {
                        machine: *machine_index,
                        pad: *pad_index,
                        arm,
                        substrate: panel.substrate,
                        section,
                    };
                    let Some(law) = laws.law(&key) else { continue };
                    for (speed_index, speed) in machine.speeds.iter().enumerate() {
                        for passes in PASSES.into_iter().filter(|n| *n <= most_passes) {
                            let setup = StepSetup {
                                speed: *speed,
                                passes,
                            };
                            steps.push(CandidateStep {
                                key,
                                abrasive: abrasive_index,
                                speed: speed_index,
                                setup,
                                rate,
                                does: step_forecast(law, machine, setup, (&rate, &friction)),
                                leaves_marring: leaves_marring(
                                    machine.kind,
                                    pad.class,
                                    abrasive.class,
                                ),
                                section_m2: law.section.value * law.section.value,
                                is_finishing: abrasive.class <= AbrasiveClass::Fine
                                    && pad.class <= PadClass::FoamPolishing,
                                aggression: abrasive.class as u32 * 2
                                    + u32::from(pad.class >= PadClass::FoamCutting),
                            });
                        }
                    }
                }
            }
        }
    }
    steps
}

/// The finishing step that follows a cut, two or four passes: the quickest that
/// still takes off 0.2 µm (assumed depth of machine marks), or the most that so
/// many passes do.
fn finishing_step(steps: &[CandidateStep]) -> Option<CandidateStep> {
    const MARKS_UM: f64 = 0.2;
    let able = || {
        let few = steps
            .iter()
            .filter(|s| s.setup.passes <= MOST_FINISHING_PASSES);
        few.filter(|s| s.is_finishing && !s.leaves_marring)
    };
    able()
        .filter(|s| s.does.removal_um >= MARKS_UM)
        .min_by(|a, b| {
            (a.does.section_s / a.section_m2)
                .total_cmp(&(b.does.section_s / b.section_m2))
                .then(a.does.removal_um.total_cmp(&b.does.removal_um))
        })
        .or_else(|| able().max_by(|a, b| a.does.removal_um.total_cmp(&b.does.removal_um)))
        .copied()
}
