//! `lapwing exposure DAY.toml`: what a day does to hands and ears.

use std::path::PathBuf;

use clap::Args;
use lapwing_job::exposure::{exposure, read_day};

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
    let day = read_day(&arguments.day.display().to_string(), &text)?;
    let dose = exposure(&day)?;
    if arguments.json {
        let document = serde_json::to_value(&dose).map_err(|e| Failure::Ours(e.to_string()))?;
        return print_json(&document);
    }
    print(&lapwing_report::tables::day(&dose));
    Ok(())
}
