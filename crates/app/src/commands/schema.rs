//! `lapwing schema NAME`: the JSON Schema of a file we read.

use clap::Args;

use super::print_json;
use crate::failure::Failure;

/// Which schema.
#[derive(Args)]
pub(crate) struct Arguments {
    /// "job", "work", "bench", "trial" or "day"; "rules" for the names of the film rules, "routes" for the addresses of the pages
    name: String,
}

pub(crate) fn run(arguments: &Arguments) -> Result<(), Failure> {
    match arguments.name.as_str() {
        "job" => print_json(&lapwing_job::record::written::schema()),
        "work" => print_json(&lapwing_job::handover::log::schema()),
        "bench" => print_json(&lapwing_job::bench::setup_schema()),
        "trial" => print_json(&lapwing_job::trial::trial_schema()),
        "day" => print_json(&lapwing_job::exposure::schema()),
        "rules" => print_json(&serde_json::json!(lapwing_job::record::read::RULE_NAMES)),
        "routes" => print_json(&routes()),
        other => Err(Failure::Input(format!(
            "There is no schema \"{other}\". Allowed: job, work, bench, trial, day, rules, routes."
        ))),
    }
}

/// Every address of the pages, and who may use it.
fn routes() -> serde_json::Value {
    let doors = crate::web::pages().doors();
    let line = |door: &crate::web::routes::Door| serde_json::json!({ "method": door.method, "path": door.path, "may": door.may.word() });
    doors.iter().map(line).collect()
}
