//! `lapwing schema NAME`: the JSON Schema of a file we read.

use clap::Args;

use super::print_json;
use crate::failure::Failure;

/// Which schema.
#[derive(Args)]
pub(crate) struct Arguments {
    /// "job", "bench", "trial" or "day"; "rules" for the names of the film rules
    name: String,
}

pub(crate) fn run(arguments: &Arguments) -> Result<(), Failure> {
    match arguments.name.as_str() {
        "job" => print_json(&lapwing_job::record::written::schema()),
        "bench" => print_json(&lapwing_job::bench::setup_schema()),
        "trial" => print_json(&lapwing_job::trial::trial_schema()),
        "day" => print_json(&lapwing_job::exposure::schema()),
        "rules" => print_json(&serde_json::json!(lapwing_job::record::read::RULE_NAMES)),
        other => Err(Failure::Input(format!(
            "There is no schema \"{other}\". Allowed: job, bench, trial, day, rules."
        ))),
    }
}
