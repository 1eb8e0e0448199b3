//! `lapwing trial TRIAL.toml`: what one spot taught, and what correction costs.

use std::path::{Path, PathBuf};

use clap::Args;
use lapwing_job::record::calibration::written_history;
use lapwing_job::record::job::Units;
use lapwing_job::trial::{Trial, TrialResult, read_trial, trial};
use lapwing_report::{trial_pictures, trial_words};
use lapwing_sheet::{Paper, SheetInput, Template, set_pdf};
use serde_json::{Value, json};

use super::{print, print_json, read_text};
use crate::failure::Failure;

/// Which trial, and where the answer goes.
#[derive(Args)]
pub(crate) struct Arguments {
    /// The test spot: gauge, setup, pairs of readings and, where taken, photos
    trial: PathBuf,
    /// Also write trial.json, curve.svg, trial.pdf and history.toml here
    #[arg(long)]
    out: Option<PathBuf>,
    /// Set the sheet for US Letter instead of A4
    #[arg(long)]
    letter: bool,
    /// Print mil and °F instead of µm and °C (JSON always carries µm and °C)
    #[arg(long)]
    us: bool,
    /// Print one JSON document
    #[arg(long)]
    json: bool,
}

pub(crate) fn run(arguments: &Arguments) -> Result<(), Failure> {
    let input = read(&arguments.trial)?;
    let units = if arguments.us {
        Units::Us
    } else {
        Units::Metric
    };
    let result = trial(&input)?;
    let document = serde_json::to_value(&result).map_err(|e| Failure::Ours(e.to_string()))?;
    if let Some(out) = &arguments.out {
        let paper = if arguments.letter || arguments.us {
            Paper::Letter
        } else {
            Paper::A4
        };
        write_out(out, (&input, &result), &document, (units, paper))?;
    }
    if arguments.json {
        return print_json(&document);
    }
    print(&trial_words::trial(&result, units));
    if let Some(out) = &arguments.out {
        print(&format!(
            "\nWritten to {}: trial.json, curve.svg, trial.pdf and history.toml.{}\n",
            out.display(),
            if result.calibration.is_learnt {
                ""
            } else {
                " The history holds nothing new: this spot taught next to nothing."
            }
        ));
    }
    Ok(())
}

/// A test spot from its text, worked out; both doors answer with this.
pub(crate) fn answer(name: &str, text: &str) -> Result<TrialResult, Failure> {
    let none = |file: &str| {
        Err(format!(
            "the page sends no file \"{file}\" along; the shop's trials come with the job."
        ))
    };
    Ok(trial(&read_trial(name, text, &none)?)?)
}

fn read(path: &Path) -> Result<Trial, Failure> {
    let text = read_text(path)?;
    let beside = |name: &str| {
        let file = path.parent().unwrap_or(Path::new("")).join(name);
        read_text(&file).map_err(|failure| failure.to_string())
    };
    Ok(read_trial(&path.display().to_string(), &text, &beside)?)
}

fn write_out(
    out: &Path,
    (input, result): (&Trial, &TrialResult),
    document: &Value,
    (units, paper): (Units, Paper),
) -> Result<(), Failure> {
    let text = serde_json::to_vec_pretty(document).map_err(|e| Failure::Ours(e.to_string()))?;
    let curve = trial_pictures::curve(result, units).map_err(Failure::Ours)?;
    let data = json!({ "sheet": trial_pictures::sheet(result, units) });
    let pdf = set_pdf(&SheetInput {
        template: Template::Trial,
        data: &data,
        pictures: &[("curve.svg", &curve)],
        photos: &[],
        paper,
    })?;
    let mut trials = input.history.clone();
    if result.calibration.is_learnt {
        trials.push(result.calibration.trial.clone());
    }
    let history = written_history(&trials);
    let files: [(&str, &[u8]); 4] = [
        ("trial.json", &text),
        ("curve.svg", curve.as_bytes()),
        ("trial.pdf", &pdf),
        ("history.toml", history.as_bytes()),
    ];
    lapwing_store::write_all(out, &files)?;
    Ok(())
}
