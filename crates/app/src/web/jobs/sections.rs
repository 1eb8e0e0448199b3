//! The sections of a plan in the order they are worked: panel by panel, step
//! by step, one after the other.
//!
//! Checked by: `tests/web_jobs.rs`.

use lapwing_job::plan::{PanelPlan, Plan, PlanStep};

/// One section of one step on one panel.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Section<'a> {
    /// The panel.
    pub(crate) panel: &'a PanelPlan,
    /// The step.
    pub(crate) step: &'a PlanStep,
    /// Which step of the recipe, from 1.
    pub(crate) step_no: usize,
    /// Which section of the panel, from 1.
    pub(crate) number: u32,
}

impl Section<'_> {
    /// Its name in the job's document.
    pub(crate) fn key(&self) -> String {
        format!("{}-{}-{}", self.panel.name, self.step_no, self.number)
    }

    /// Its share of the step's minutes.
    pub(crate) fn minutes(&self) -> f64 {
        self.step.minutes / f64::from(self.panel.sections.max(1))
    }
}

/// Every section of a plan.
pub(crate) fn sections(plan: &Plan) -> Vec<Section<'_>> {
    plan.panels
        .iter()
        .flat_map(|panel| {
            panel.recipe.iter().enumerate().flat_map(move |(at, step)| {
                (1..=panel.sections).map(move |number| Section {
                    panel,
                    step,
                    step_no: at + 1,
                    number,
                })
            })
        })
        .collect()
}
