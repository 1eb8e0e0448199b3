//! The sections of a plan in the order they are worked, as work mode keeps
//! them: panel by panel, step by step, one after the other.
//!
//! Law: none; every number is the plan's own. Running time of a section is its
//! share of the step's; the machine runs for a share of it.
//! Checked by: the tests below and `tests/web_work.rs`.

use lapwing_job::plan::{PanelPlan, Plan, PlanStep};
use lapwing_job::record::job::Job;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use uom::si::acceleration::meter_per_second_squared;
use uom::si::thermodynamic_temperature::degree_celsius;

/// What work mode needs of a plan.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(crate) struct WorkPlan {
    /// Never over this surface temperature.
    pub(crate) stop_c: f64,
    /// Steps on panels, in order.
    pub(crate) steps: Vec<WorkStep>,
}

/// One step on one panel.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(crate) struct WorkStep {
    /// Our name of the panel.
    pub(crate) panel: String,
    /// Its name for people.
    pub(crate) spoken: String,
    /// Which step of the recipe, from 1.
    pub(crate) step_no: usize,
    /// How many steps the recipe has.
    pub(crate) steps: usize,
    /// "cut", "polish" or "finish".
    pub(crate) step: String,
    /// By name.
    pub(crate) machine: String,
    /// Turns or orbits a minute.
    pub(crate) speed_rpm: f64,
    /// By name.
    pub(crate) pad: String,
    /// Sections before that pad is swapped.
    pub(crate) pad_sections: f64,
    /// By name.
    pub(crate) abrasive: String,
    /// Passes, cross-hatched.
    pub(crate) passes: u32,
    /// Arm speed.
    pub(crate) arm_mm_s: f64,
    /// Sections on the panel.
    pub(crate) sections: u32,
    /// Minutes for one section.
    pub(crate) minutes: f64,
    /// Share of them with the machine running, 0 to 1.
    pub(crate) trigger_frac: f64,
    /// Upper end of the hottest place.
    pub(crate) peak_upper_c: f64,
    /// Film this step takes, upper end.
    pub(crate) takes_upper_um: f64,
    /// Film that the steps before took, upper end.
    pub(crate) before_upper_um: f64,
    /// What may go.
    pub(crate) budget_um: Option<f64>,
    /// Declared vibration of the machine.
    pub(crate) vibration_m_s2: f64,
    /// Its uncertainty.
    pub(crate) vibration_sd_m_s2: f64,
    /// Declared noise at the ear.
    pub(crate) noise_dba: f64,
}

/// One section of one step.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Section<'a> {
    /// The step.
    pub(crate) step: &'a WorkStep,
    /// Which section of the panel, from 1.
    pub(crate) number: u32,
}

impl Section<'_> {
    /// Its name in the job's document.
    pub(crate) fn key(&self) -> String {
        format!("{}-{}-{}", self.step.panel, self.step.step_no, self.number)
    }
}

impl WorkPlan {
    /// Takes from a plan what work needs.
    pub(crate) fn of(plan: &Plan, job: &Job) -> Self {
        Self {
            stop_c: job.rules.heat_stop.get::<degree_celsius>(),
            steps: plan
                .panels
                .iter()
                .flat_map(|panel| steps(panel, job))
                .collect(),
        }
    }

    /// As an event holds it.
    pub(crate) fn to_json(&self) -> Value {
        serde_json::to_value(self).unwrap_or_default()
    }

    /// The plan that a job holds to.
    pub(crate) fn of_document(document: &Value) -> Option<Self> {
        let kept = document.pointer("/work/plan")?;
        serde_json::from_value(kept.clone()).ok()
    }

    /// Every section, in order.
    pub(crate) fn sections(&self) -> Vec<Section<'_>> {
        let of = |step| (1..=step_sections(step)).map(move |number| Section { step, number });
        self.steps.iter().flat_map(of).collect()
    }

    /// The step that a section's name belongs to.
    pub(crate) fn step_of(&self, key: &str) -> Option<&WorkStep> {
        self.sections()
            .iter()
            .find(|s| s.key() == key)
            .map(|s| s.step)
    }
}

fn step_sections(step: &WorkStep) -> u32 {
    step.sections.clamp(1, 500)
}

fn steps<'a>(panel: &'a PanelPlan, job: &'a Job) -> impl Iterator<Item = WorkStep> + use<'a> {
    let mut before_upper_um = 0.0;
    panel.recipe.iter().enumerate().map(move |(at, step)| {
        let made = one(panel, (at, step), job, before_upper_um);
        before_upper_um += step.removal_um.upper_95;
        made
    })
}

fn one(
    panel: &PanelPlan,
    (at, step): (usize, &PlanStep),
    job: &Job,
    before_upper_um: f64,
) -> WorkStep {
    let machine = job.kit.machines.iter().find(|m| m.name == step.machine);
    let pad = job.kit.pads.iter().find(|p| p.name == step.pad);
    let sections = panel.sections.max(1);
    let shaking = |of: fn(&lapwing_job::record::job::Machine) -> f64| machine.map_or(0.0, of);
    WorkStep {
        panel: panel.name.clone(),
        spoken: panel.spoken.clone(),
        step_no: at + 1,
        steps: panel.recipe.len(),
        step: step.step.clone(),
        machine: step.machine.clone(),
        speed_rpm: step.speed_rpm,
        pad: step.pad.clone(),
        pad_sections: pad.map_or(0.0, |p| p.sections),
        abrasive: step.abrasive.clone(),
        passes: step.passes,
        arm_mm_s: step.arm_speed_mm_s,
        sections,
        minutes: step.minutes / f64::from(sections),
        trigger_frac: (step.trigger_minutes / step.minutes.max(1e-9)).clamp(0.0, 1.0),
        peak_upper_c: step.peak_upper_c,
        takes_upper_um: step.removal_um.upper_95,
        before_upper_um,
        budget_um: panel.budget_um,
        vibration_m_s2: shaking(|m| m.vibration.get::<meter_per_second_squared>()),
        vibration_sd_m_s2: shaking(|m| m.vibration_uncertainty.get::<meter_per_second_squared>()),
        noise_dba: shaking(|m| m.noise_dba),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sections_come_step_by_step_and_go_there_and_back() {
        let step = |panel: &str, step_no, sections| WorkStep {
            panel: panel.to_owned(),
            step_no,
            sections,
            ..WorkStep::default()
        };
        let plan = WorkPlan {
            stop_c: 60.0,
            steps: vec![step("roof", 1, 2), step("roof", 2, 2), step("bonnet", 1, 1)],
        };
        let document = serde_json::json!({ "work": { "plan": plan.to_json() } });
        let back = WorkPlan::of_document(&document).expect("reads what it wrote");
        let keys: Vec<String> = back.sections().iter().map(Section::key).collect();
        assert_eq!(
            keys,
            ["roof-1-1", "roof-1-2", "roof-2-1", "roof-2-2", "bonnet-1-1"]
        );
        assert_eq!(back.step_of("roof-2-2").map(|s| s.step_no), Some(2));
        assert!(back.step_of("nothing").is_none());
    }
}
