//! `lapwing bench SETUP.toml`: what a pass takes off and how hot it gets, alone,
//! beside another, or with keys varied.

use std::path::{Path, PathBuf};

use clap::Args;
use lapwing_job::bench::vary::{Difference, Span, VaryRow, differing, points, read_span, vary};
use lapwing_job::bench::{BenchResult, HeatWatch, Setup, bench, read_setup};
use lapwing_job::record::InputError;
use lapwing_job::record::job::Units;
use lapwing_report::{
    bench_compare, bench_pictures, bench_series, bench_series_pictures, bench_words,
};
use serde_json::{Value, json};

use super::{print, print_json, read_text};
use crate::failure::Failure;
use crate::progress::Progress;
use crate::stop;

/// Which setup, and where the answer goes.
#[derive(Args)]
pub(crate) struct Arguments {
    /// The pass: tables panel, machine, pad, touch, abrasive and stroke
    setup: PathBuf,
    /// A second pass to set beside the first
    #[arg(long)]
    compare: Option<PathBuf>,
    /// Vary a key, such as touch.tilt=0deg..6deg/13; give it twice for a grid
    #[arg(long, conflicts_with = "compare")]
    vary: Vec<String>,
    /// Work the heat out faster and more roughly; the answer states its error
    #[arg(long)]
    quick: bool,
    /// Speak of mil, °F and inches (as for a setup with units = "us")
    #[arg(long)]
    us: bool,
    /// Also write bench.json and the pictures here
    #[arg(long)]
    out: Option<PathBuf>,
    /// Print one JSON document
    #[arg(long)]
    json: bool,
}

/// What was asked beside the single pass.
enum Beside {
    Nothing,
    Pass(Box<BenchResult>, Vec<Difference>),
    Series(Vec<Span>, Vec<VaryRow>),
}

pub(crate) fn run(arguments: &Arguments) -> Result<(), Failure> {
    stop::flag();
    let keys = spans(&arguments.vary)?;
    let first = Input::read(&arguments.setup, arguments)?;
    let beside = match &arguments.compare {
        Some(other) => Some(Input::read(other, arguments)?),
        None => None,
    };
    let series = if keys.is_empty() {
        Vec::new()
    } else {
        first.points(&keys, arguments.quick)?
    };
    let result = first.worked()?;
    let beside = match beside {
        Some(other) => {
            let changed = differing(&first.text, &other.text).map_err(Failure::Ours)?;
            Beside::Pass(Box::new(other.worked()?), changed)
        }
        None if keys.is_empty() => Beside::Nothing,
        None => Beside::Series(
            keys,
            watched("working out the series", |watch| vary(&series, watch))?,
        ),
    };
    let document = document(&result, &beside)?;
    stop::heed()?;
    if let Some(out) = &arguments.out {
        write_out(out, arguments, (&result, &beside), &document)?;
    }
    if arguments.json {
        return print_json(&document);
    }
    print(&words(arguments, &result, &beside));
    if let Some(out) = &arguments.out {
        print(&format!(
            "\nWritten to {}: bench.json and the pictures.\n",
            out.display()
        ));
    }
    Ok(())
}

fn spans(asked: &[String]) -> Result<Vec<Span>, Failure> {
    asked
        .iter()
        .map(|text| read_span(text).map_err(Failure::from))
        .collect()
}

/// A setup with the text it was read from.
struct Input<'a> {
    path: &'a Path,
    text: String,
    setup: Setup,
}

impl<'a> Input<'a> {
    fn read(path: &'a Path, arguments: &Arguments) -> Result<Self, Failure> {
        let text = read_text(path)?;
        let setup = read_setup(&path.display().to_string(), &text, &beside(path))?;
        let mut setup = if arguments.quick {
            setup.quickened()
        } else {
            setup
        };
        if arguments.us {
            setup.units = Units::Us;
        }
        Ok(Self { path, text, setup })
    }

    fn worked(&self) -> Result<BenchResult, Failure> {
        watched("working out heat and removal", |watch| {
            bench(&self.setup, watch)
        })
    }

    fn points(
        &self,
        keys: &[Span],
        is_quick: bool,
    ) -> Result<Vec<lapwing_job::bench::vary::Point>, Failure> {
        let name = self.path.display().to_string();
        let mut points = points(&name, &self.text, &beside(self.path), keys)?;
        if is_quick {
            for point in &mut points {
                point.setup = point.setup.clone().quickened();
            }
        }
        Ok(points)
    }
}

/// Reads a file that stands beside the setup.
fn beside(path: &Path) -> impl Fn(&str) -> Result<String, String> {
    let folder = path.parent().unwrap_or(Path::new("")).to_owned();
    move |name: &str| read_text(&folder.join(name)).map_err(|failure| failure.to_string())
}

/// Runs work with a progress bar; Ctrl-C ends it.
fn watched<T>(
    what: &str,
    work: impl Fn(HeatWatch<'_>) -> Result<T, InputError>,
) -> Result<T, Failure> {
    let progress = Progress::new(what);
    let report = |done: f64| progress.at(done);
    let outcome = work(HeatWatch {
        progress: Some(&report),
        cancel: Some(stop::flag()),
    });
    progress.done();
    stop::heed()?;
    Ok(outcome?)
}

fn name(path: &Path) -> String {
    path.file_stem().map_or_else(
        || path.display().to_string(),
        |stem| stem.to_string_lossy().into_owned(),
    )
}

fn document(result: &BenchResult, beside: &Beside) -> Result<Value, Failure> {
    let ours = |e: serde_json::Error| Failure::Ours(e.to_string());
    let mut document = serde_json::to_value(result).map_err(ours)?;
    match beside {
        Beside::Nothing => {}
        Beside::Pass(other, changed) => {
            document["compare"] = json!({
                "changed": changed,
                "differences": bench_compare::differences(result, other),
                "other": serde_json::to_value(other).map_err(ours)?,
            });
        }
        Beside::Series(keys, rows) => {
            document["vary"] = json!({ "keys": keys, "rows": rows });
        }
    }
    Ok(document)
}

fn words(arguments: &Arguments, result: &BenchResult, beside: &Beside) -> String {
    match (beside, &arguments.compare) {
        (Beside::Pass(other, changed), Some(path)) => bench_compare::comparison(
            (&name(&arguments.setup), result),
            (&name(path), other),
            changed,
        ),
        (Beside::Series(keys, rows), _) => bench_series::series(keys, rows, result.units),
        _ => bench_words::bench(result),
    }
}

fn write_out(
    out: &Path,
    arguments: &Arguments,
    (result, beside): (&BenchResult, &Beside),
    document: &Value,
) -> Result<(), Failure> {
    let text = serde_json::to_vec_pretty(document).map_err(|e| Failure::Ours(e.to_string()))?;
    let mut files: Vec<(String, Vec<u8>)> = vec![("bench.json".to_owned(), text)];
    let mut add = |prefix: &str, pictures: Result<Vec<bench_pictures::Picture>, String>| {
        let pictures = pictures.map_err(Failure::Ours)?;
        files.extend(
            pictures
                .into_iter()
                .map(|(name, svg)| (format!("{prefix}{name}"), svg.into_bytes())),
        );
        Ok::<(), Failure>(())
    };
    add("", bench_pictures::bench(result))?;
    match (beside, &arguments.compare) {
        (Beside::Pass(other, _), Some(path)) => {
            add("other-", bench_pictures::bench(other))?;
            let names = (name(&arguments.setup), name(path));
            add(
                "",
                bench_pictures::pair((&names.0, result), (&names.1, other)),
            )?;
        }
        (Beside::Series(keys, rows), _) => {
            add("", bench_series_pictures::series(keys, rows, result.units))?;
        }
        _ => {}
    }
    let named: Vec<(&str, &[u8])> = files
        .iter()
        .map(|(name, bytes)| (name.as_str(), bytes.as_slice()))
        .collect();
    lapwing_store::write_all(out, &named)?;
    Ok(())
}
