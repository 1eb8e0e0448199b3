//! Film budgets through the whole station, as the cases ask for them.
//!
//! Law: `lapwing_job::budget::budget` on a steel panel read by a perfect gauge.
//! A known clear coat is handed in as the total reading whose inferred clear is
//! just that: total = µ + (clear + removed − µc)/gain − removed, gain the share
//! of a total's surprise that the prior gives to the clear. Confidence is 50 %,
//! at which the lower bound of a bell-shaped value is its mean.
//! Source: the bulletins named in the cases.
//! Holds: for clear coats over base coat.
//! Left out: etch depth (no station decides on it yet).
//! Checked by: the cases.

use lapwing_job::budget::{self, Budget, LayerPrior};
use lapwing_job::inspect::PanelFilm;
use lapwing_job::record::job::Substrate;
use lapwing_job::record::read::read_job;

use super::{Inputs, Law, told, truth, unknown};

/// The laws of this room.
pub(crate) const LAWS: &[(&str, Law)] = &[
    ("film_budget", film_budget),
    ("clear_left_inferred", clear_left_inferred),
];

fn film_budget(i: &Inputs<'_>) -> Result<f64, String> {
    let found = budget_of(i)?;
    match i.word("output")? {
        "budget_um" => found.budget_um.ok_or_else(|| found.reason.clone()),
        "binds" => Ok(truth(
            found.binding_rule.as_deref() == Some(i.word("rule")?),
        )),
        other => unknown("output", other),
    }
}

fn budget_of(i: &Inputs<'_>) -> Result<Budget, String> {
    let removed_um = i.number("removed_before_um")?;
    let rules: Vec<String> = i
        .words("in_force")?
        .iter()
        .map(|rule| format!("\"{rule}\""))
        .collect();
    let text = format!(
        "schema = 1\nname = \"check\"\n[car]\nclass = \"estate\"\n[rules]\nin_force = [{}]\nconfidence = 0.5\n\
         [[panel]]\nname = \"roof\"\nsubstrate = \"steel\"\nremoved_before = \"{removed_um} um\"\n",
        rules.join(", ")
    );
    let (job, _) = told(read_job("job.toml", &text))?;
    let film = film_of_total(total_with_clear_um(i.number("clear_left_um")?, removed_um));
    Ok(budget::budget(&job.panels[0], Some(&film), 0.0, &job.rules))
}

fn total_with_clear_um(clear_um: f64, removed_um: f64) -> f64 {
    let prior = LayerPrior::factory(Substrate::Steel);
    let gain = prior.clear_sd_um.powi(2) / (prior.clear_sd_um.powi(2) + prior.rest_sd_um.powi(2));
    prior.clear_um + prior.rest_um + (clear_um + removed_um - prior.clear_um) / gain - removed_um
}

fn film_of_total(total_um: f64) -> PanelFilm {
    PanelFilm {
        name: "roof".to_owned(),
        count: 5,
        median_um: Some(total_um),
        thin_um: Some(total_um),
        ..PanelFilm::default()
    }
}

fn clear_left_inferred(i: &Inputs<'_>) -> Result<f64, String> {
    let prior = LayerPrior {
        clear_um: i.number("clear_um")?,
        clear_sd_um: i.number("clear_sd_um")?,
        rest_um: i.number("rest_um")?,
        rest_sd_um: i.number("rest_sd_um")?,
    };
    let left = prior.clear_left(
        Some(i.number("total_um")?),
        i.number("gauge_um")?,
        i.number("removed_before_um")?,
        i.number("confidence_frac")?,
    );
    match i.word("output")? {
        "mean" => Ok(left.mean),
        "sd" => Ok(left.sd),
        "lower" => Ok(left.lower_95),
        other => unknown("output", other),
    }
}
