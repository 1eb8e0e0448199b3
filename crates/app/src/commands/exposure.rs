//! `lapwing exposure DAY.toml`: what a day does to hands and ears.

use std::path::PathBuf;

use clap::Args;
use lapwing_job::exposure::{DayExposure, exposure, read_day};
use serde_json::Value;

use super::{print, print_json, read_text};
use crate::failure::Failure;

/// Which day.
#[derive(Args)]
pub(crate) struct Arguments {
    /// The day: one entry of the list `use` for each machine
    day: PathBuf,
    /// Print one JSON document
    #[arg(long)]
    json: bool,
}

pub(crate) fn run(arguments: &Arguments) -> Result<(), Failure> {
    let text = read_text(&arguments.day)?;
    let dose = answer(&arguments.day.display().to_string(), &text)?;
    if arguments.json {
        return print_json(&document(&dose)?);
    }
    print(&lapwing_report::tables::day(&dose));
    Ok(())
}

/// A day from its text; the one way of both doors.
pub(crate) fn answer(file: &str, text: &str) -> Result<DayExposure, Failure> {
    Ok(exposure(&read_day(file, text)?)?)
}

/// The answer as JSON.
pub(crate) fn document(dose: &DayExposure) -> Result<Value, Failure> {
    serde_json::to_value(dose).map_err(|e| Failure::Ours(e.to_string()))
}
