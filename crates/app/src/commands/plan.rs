//! `lapwing plan DIR`: the whole job, from readings to price and sheet.

use std::io::IsTerminal;
use std::path::{Path, PathBuf};

use clap::Args;
use lapwing_job::inspect::{CarFilm, Known, inspect_knowing, map};
use lapwing_job::intake::intake;
use lapwing_job::plan::{Planned, plan};
use lapwing_job::record::calibration::read_history;
use lapwing_job::record::job::{Job, Units};
use lapwing_job::record::read::read_job;
use lapwing_job::record::readings;
use lapwing_report::briefing::{Style, briefing};
use lapwing_report::{pictures, sheet_words};
use lapwing_sheet::{Paper, SheetInput, Template, set_pdf};
use serde_json::{Value, json};
use uom::si::thermodynamic_temperature::degree_celsius;

use super::film::MOST_READINGS_MB;
use super::{print, print_json, read_text};
use crate::failure::Failure;
use crate::progress::Progress;

/// Which job, and where the answer goes.
#[derive(Args)]
pub(crate) struct Arguments {
    /// Job folder with job.toml and readings.csv
    folder: PathBuf,
    /// Also write plan.json, plan.pdf and the pictures here
    #[arg(long)]
    out: Option<PathBuf>,
    /// Set the sheet for US Letter instead of A4 (as always for a job in US units)
    #[arg(long, requires = "out")]
    letter: bool,
    /// Print one JSON document
    #[arg(long)]
    json: bool,
}

pub(crate) fn run(arguments: &Arguments) -> Result<(), Failure> {
    let (job, film, maps) = read_folder(&arguments.folder)?;
    let progress = Progress::new("working out heat and removal");
    let mut planned = plan(&job, &film, &|done| progress.at(done))?;
    planned.ask_for_readings(&job, &film, &maps);
    progress.done();
    let document = serde_json::to_value(&planned.plan).map_err(|e| Failure::Ours(e.to_string()))?;
    if let Some(out) = &arguments.out {
        write_out(
            out,
            &job,
            &planned,
            &document,
            arguments.letter || job.units == Units::Us,
        )?;
    }
    if arguments.json {
        return print_json(&document);
    }
    let style = Style {
        units: job.units,
        is_coloured: wants_colour(),
    };
    print(&briefing(&planned.plan, style));
    if let Some(out) = &arguments.out {
        print(&format!(
            "\nWritten to {}: plan.json, plan.pdf and the pictures.\n",
            out.display()
        ));
    }
    Ok(())
}

fn wants_colour() -> bool {
    std::io::stdout().is_terminal() && std::env::var_os("NO_COLOR").is_none()
}

/// Reads `job.toml` and, if it is there, `readings.csv`.
pub(crate) fn read_folder(folder: &Path) -> Result<(Job, CarFilm, Vec<map::PanelMap>), Failure> {
    let folder = &folder_of(folder);
    if !folder.is_dir() {
        if folder.is_file() {
            return Err(Failure::Input(format!(
                "{}: this is a file. `lapwing plan` wants the folder that holds job.toml, or job.toml itself; for readings alone type `lapwing film {}`.",
                folder.display(),
                folder.display()
            )));
        }
        return Err(Failure::Input(format!(
            "{}: there is no such folder. Name a job folder that holds job.toml, such as examples/harbour-estate.",
            folder.display()
        )));
    }
    let job_path = folder.join("job.toml");
    let text = read_text(&job_path)?;
    let (mut job, mut cautions) = read_job(&job_path.display().to_string(), &text)?;
    if let Some(name) = &job.calibration.history_file {
        let history = folder.join(name);
        job.calibration.history =
            read_history(&history.display().to_string(), &read_text(&history)?)?;
    }
    let path = folder.join("readings.csv");
    let names: Vec<String> = job.panels.iter().map(|p| p.name.clone()).collect();
    let bytes = lapwing_store::read_file(&path, MOST_READINGS_MB)?;
    let read = readings::read(&path.display().to_string(), &bytes, Some(&names))?;
    cautions.extend(read.cautions.iter().cloned());
    let mut film = inspect_knowing(&read, &Known::of(&job));
    let sizes = map::sizes(&job, &intake(&job));
    let maps = map::film_maps(&read, &mut film, &sizes, job.rules.confidence);
    cautions.append(&mut film.cautions);
    film.cautions = cautions;
    Ok((job, film, maps))
}

/// The folder of a job whose `job.toml` was named instead.
fn folder_of(named: &Path) -> PathBuf {
    let is_job_file = named.is_file() && named.file_name().is_some_and(|n| n == "job.toml");
    match named.parent() {
        Some(parent) if is_job_file && parent.as_os_str().is_empty() => PathBuf::from("."),
        Some(parent) if is_job_file => parent.to_owned(),
        _ => named.to_owned(),
    }
}

fn write_out(
    out: &Path,
    job: &Job,
    planned: &Planned,
    document: &Value,
    is_letter: bool,
) -> Result<(), Failure> {
    let told = planned.telling_step();
    let mut svgs: Vec<(&str, String)> = vec![("car.svg", pictures::budget_car(job, &planned.plan))];
    if let Some((_, step)) = told {
        let maps = planned.maps(job, step)?;
        let celsius = |t: &lapwing_measure::quantity::Temperature| t.get::<degree_celsius>();
        let limits = (celsius(&job.rules.heat_warn), celsius(&job.rules.heat_stop));
        let (removal, heat) = pictures::step_maps(&maps, job, limits).map_err(Failure::Ours)?;
        svgs.push(("removal.svg", removal));
        svgs.push(("heat.svg", heat));
    }
    let data = json!({ "sheet": sheet_words::sheet(job, &planned.plan, told) });
    let named: Vec<(&str, &str)> = svgs.iter().map(|(n, s)| (*n, s.as_str())).collect();
    let pdf = set_pdf(&SheetInput {
        template: Template::Plan,
        data: &data,
        pictures: &named,
        paper: if is_letter { Paper::Letter } else { Paper::A4 },
    })?;
    let text = serde_json::to_vec_pretty(document).map_err(|e| Failure::Ours(e.to_string()))?;
    let mut files: Vec<(&str, &[u8])> = vec![("plan.json", &text), ("plan.pdf", &pdf)];
    files.extend(svgs.iter().map(|(n, s)| (*n, s.as_bytes())));
    lapwing_store::write_all(out, &files)?;
    Ok(())
}
