//! `lapwing bench SETUP.toml`: what a pass takes off and how hot it gets.

use std::path::{Path, PathBuf};
use std::sync::atomic::AtomicBool;

use clap::Args;
use lapwing_job::bench::{BenchResult, HeatWatch, bench, read_setup};
use lapwing_report::{bench_pictures, bench_words};
use serde_json::{Value, json};

use super::{print, print_json, read_text};
use crate::failure::Failure;
use crate::progress::Progress;

/// Which setup, and where the answer goes.
#[derive(Args)]
pub(crate) struct Arguments {
    /// The pass: tables panel, machine, pad, touch, abrasive and stroke
    setup: PathBuf,
    /// A second pass to set beside the first
    #[arg(long)]
    compare: Option<PathBuf>,
    /// Also write bench.json and the maps here
    #[arg(long)]
    out: Option<PathBuf>,
    /// Print one JSON document
    #[arg(long)]
    json: bool,
}

pub(crate) fn run(arguments: &Arguments) -> Result<(), Failure> {
    let first = worked(&arguments.setup)?;
    let second = arguments.compare.as_deref().map(worked).transpose()?;
    let mut document = document(&first)?;
    if let Some(second) = &second {
        let other = self::document(second)?;
        document["compare"] =
            json!({ "other": other, "differences": bench_words::differences(&first, second) });
    }
    if let Some(out) = &arguments.out {
        write_out(out, &first, second.as_ref(), &document)?;
    }
    if arguments.json {
        return print_json(&document);
    }
    match (&second, &arguments.compare) {
        (Some(second), Some(other)) => {
            print(&bench_words::comparison(
                (&name(&arguments.setup), &first),
                (&name(other), second),
            ));
        }
        _ => print(&bench_words::bench(&first)),
    }
    if let Some(out) = &arguments.out {
        print(&format!(
            "\nWritten to {}: bench.json and the maps.\n",
            out.display()
        ));
    }
    Ok(())
}

fn name(path: &Path) -> String {
    path.file_stem().map_or_else(
        || path.display().to_string(),
        |stem| stem.to_string_lossy().into_owned(),
    )
}

fn worked(path: &Path) -> Result<BenchResult, Failure> {
    let text = read_text(path)?;
    let beside = |name: &str| {
        let file = path.parent().unwrap_or(Path::new("")).join(name);
        read_text(&file).map_err(|failure| failure.to_string())
    };
    let setup = read_setup(&path.display().to_string(), &text, &beside)?;
    let progress = Progress::new("working out heat and removal");
    let report = |done: f64| progress.at(done);
    let result = bench(
        &setup,
        HeatWatch {
            progress: Some(&report),
            cancel: None,
        },
    )?;
    progress.done();
    Ok(result)
}

/// A pass from the text of its setup, for whoever brings no folder; files
/// beside it are not read. `cancel` stops it.
pub(crate) fn answer(text: &str, cancel: &AtomicBool) -> Result<BenchResult, Failure> {
    let beside = |name: &str| {
        Err(format!(
            "the file \"{name}\" cannot be read here. Use another pattern, or `lapwing bench` on a folder."
        ))
    };
    let setup = read_setup("setup", text, &beside)?;
    let watch = HeatWatch {
        progress: None,
        cancel: Some(cancel),
    };
    Ok(bench(&setup, watch)?)
}

/// The answer as the one JSON document of both doors.
pub(crate) fn document(result: &BenchResult) -> Result<Value, Failure> {
    serde_json::to_value(result).map_err(|e| Failure::Ours(e.to_string()))
}

fn write_out(
    out: &Path,
    first: &BenchResult,
    second: Option<&BenchResult>,
    document: &serde_json::Value,
) -> Result<(), Failure> {
    let text = serde_json::to_vec_pretty(document).map_err(|e| Failure::Ours(e.to_string()))?;
    let mut files: Vec<(String, Vec<u8>)> = vec![("bench.json".to_owned(), text)];
    for (prefix, result) in [("", Some(first)), ("other-", second)] {
        let Some(result) = result else { continue };
        let pictures = bench_pictures::bench(result).map_err(Failure::Ours)?;
        files.extend(
            pictures
                .into_iter()
                .map(|(name, svg)| (format!("{prefix}{name}"), svg.into_bytes())),
        );
    }
    let named: Vec<(&str, &[u8])> = files
        .iter()
        .map(|(name, bytes)| (name.as_str(), bytes.as_slice()))
        .collect();
    lapwing_store::write_all(out, &named)?;
    Ok(())
}
