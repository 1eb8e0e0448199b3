//! `lapwing plan DIR`: the whole job, from readings to price and sheet.

use std::io::IsTerminal;
use std::path::{Path, PathBuf};

use clap::Args;
use lapwing_job::handover::record::EarlierTold;
use lapwing_job::inspect::{CarFilm, Known, debit_since, inspect_knowing, map};
use lapwing_job::intake::intake;
use lapwing_job::plan::{Planned, plan};
use lapwing_job::record::calibration::read_history;
use lapwing_job::record::earlier::Earlier;
use lapwing_job::record::file_kind::FileKind;
use lapwing_job::record::job::{Job, Units};
use lapwing_job::record::read::read_job;
use lapwing_job::record::{Caution, Readings, readings};
use lapwing_report::briefing::{Style, briefing};
use lapwing_report::{pictures, sheet_words};
use lapwing_sheet::{Paper, SheetInput, Template, set_pdf};
use serde_json::{Value, json};
use uom::si::thermodynamic_temperature::degree_celsius;

use super::film::MOST_READINGS_MB;
use super::{print, print_json, read_text, record_file};
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
    let document = document(&planned)?;
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

/// A job folder, read and understood.
pub(crate) struct Folder {
    /// The job, with what earlier visits took debited.
    pub(crate) job: Job,
    /// What the gauge says.
    pub(crate) film: CarFilm,
    /// Its maps, panel by panel.
    pub(crate) maps: Vec<map::PanelMap>,
    /// The readings themselves.
    pub(crate) readings: Readings,
    /// The record of the visit before, when the job starts from one.
    pub(crate) earlier: Option<EarlierTold>,
}

/// Reads `job.toml` and, if it is there, `readings.csv`.
pub(crate) fn read_folder(folder: &Path) -> Result<(Job, CarFilm, Vec<map::PanelMap>), Failure> {
    read_whole_folder(folder).map(|(_, read)| (read.job, read.film, read.maps))
}

/// The folder that was meant, and what is in it.
pub(crate) fn read_whole_folder(folder: &Path) -> Result<(PathBuf, Folder), Failure> {
    let folder = &folder_of(folder);
    if !folder.is_dir() {
        if folder.is_file() {
            let kind = read_text(folder).ok().and_then(|text| FileKind::of(&text));
            let looks = match kind {
                Some(FileKind::Readings) => format!(
                    "this is a file, and looks like a table of readings; for readings alone type `lapwing film {}`.",
                    folder.display()
                ),
                Some(kind) => format!("this is a file; {}", kind.instead()),
                None => "this is a file.".to_owned(),
            };
            return Err(Failure::Input(format!(
                "{}: {looks} What is wanted here is the folder that holds job.toml, or job.toml itself.",
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
    let path = folder.join("readings.csv");
    let bytes = || Ok(lapwing_store::read_file(&path, MOST_READINGS_MB)?);
    let read = read_whole(
        (&job_path.display().to_string(), &text),
        (&path.display().to_string(), &bytes),
        &|name| {
            let history = folder.join(name);
            Ok((history.display().to_string(), read_text(&history)?))
        },
    )?;
    Ok((folder.clone(), read))
}

/// Gives the bytes of a table when they are asked for.
type Bytes<'a> = &'a dyn Fn() -> Result<Vec<u8>, Failure>;

/// Gives the full name and the text of a file that the job names.
pub(crate) type Beside<'a> = &'a dyn Fn(&str) -> Result<(String, String), Failure>;

/// Reads a job from the text of `job.toml` and the bytes of `readings.csv`,
/// each with the name that errors carry.
pub(crate) fn read_whole(
    (job_name, text): (&str, &str),
    (readings_name, bytes): (&str, Bytes<'_>),
    beside: Beside<'_>,
) -> Result<Folder, Failure> {
    let started = read_started(job_name, text, beside)?;
    let names: Vec<String> = started.job.panels.iter().map(|p| p.name.clone()).collect();
    let readings = readings::read(readings_name, &bytes()?, Some(&names))?;
    Ok(started.with(readings))
}

impl Started {
    /// The job with its readings.
    pub(crate) fn with(mut self, readings: Readings) -> Folder {
        let (film, maps) = film_of(&mut self, &readings);
        Folder {
            job: self.job,
            film,
            maps,
            readings,
            earlier: self.earlier.map(|(_, told)| told),
        }
    }
}

/// A job before its readings, with the history and the record it starts from.
pub(crate) struct Started {
    /// The job, with what earlier visits took debited.
    pub(crate) job: Job,
    cautions: Vec<Caution>,
    earlier: Option<(Earlier, EarlierTold)>,
}

/// Reads a job from its text, with the files that it names.
pub(crate) fn read_started(name: &str, text: &str, beside: Beside<'_>) -> Result<Started, Failure> {
    let (mut job, mut cautions) = read_job(name, text)?;
    if let Some(name) = &job.calibration.history_file {
        let (name, text) = beside(name)?;
        job.calibration.history = read_history(&name, &text)?;
    }
    let earlier = visit_before(&mut job, beside, &mut cautions)?;
    Ok(Started {
        job,
        cautions,
        earlier,
    })
}

/// Starts from the record of the visit before: its signature is checked, its
/// removals are debited.
fn visit_before(
    job: &mut Job,
    beside: Beside<'_>,
    cautions: &mut Vec<Caution>,
) -> Result<Option<(Earlier, EarlierTold)>, Failure> {
    let Some(named) = job.record.clone() else {
        return Ok(None);
    };
    let (name, text) = beside(&named.file)?;
    let genuine = record_file::read(&name, &text, named.key.as_deref())?;
    let earlier = Earlier::read(&name, &genuine.record)?;
    cautions.extend(earlier.debit(job, &name)?);
    if !genuine.is_known_key {
        cautions.push(Caution::new(
            "record",
            format!("The record of the visit before is unchanged since it was signed, but nobody vouches for its key. Ask that shop to read its key to you, and write it as key = \"{}\" under [history].", genuine.key),
        ));
    }
    let told = EarlierTold {
        sha256: genuine.sha256,
        key: genuine.key,
        date: earlier.date.clone(),
    };
    Ok(Some((earlier, told)))
}

/// Puts what the customer chose at the test spot over the wish of the job:
/// panels that lie flat get it, the others never more than it.
pub(crate) fn wish(job: &mut Job, chosen_frac: f64) {
    let [_, upright, rest] = job.wish.share_gone;
    job.wish.share_gone = [chosen_frac, upright.min(chosen_frac), rest.min(chosen_frac)];
}

/// What the readings of a job say, behind the doubts about the job itself;
/// film that is missing since the last record is debited.
pub(crate) fn film_of(started: &mut Started, read: &Readings) -> (CarFilm, Vec<map::PanelMap>) {
    let job = &mut started.job;
    let mut cautions = std::mem::take(&mut started.cautions);
    cautions.extend(read.cautions.iter().cloned());
    let mut film = inspect_knowing(read, &Known::of(job));
    if let Some((earlier, _)) = &started.earlier {
        cautions.extend(debit_since(job, &film, earlier));
    }
    let sizes = map::sizes(job, &intake(job));
    let maps = map::film_maps(read, &mut film, &sizes, job.rules.confidence);
    cautions.append(&mut film.cautions);
    film.cautions = cautions;
    (film, maps)
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

/// The plan as the one JSON document of both doors.
pub(crate) fn document(planned: &Planned) -> Result<Value, Failure> {
    serde_json::to_value(&planned.plan).map_err(|e| Failure::Ours(e.to_string()))
}

fn write_out(
    out: &Path,
    job: &Job,
    planned: &Planned,
    document: &Value,
    is_letter: bool,
) -> Result<(), Failure> {
    let (pdf, svgs) = sheet(job, planned, is_letter)?;
    let text = serde_json::to_vec_pretty(document).map_err(|e| Failure::Ours(e.to_string()))?;
    let mut files: Vec<(&str, &[u8])> = vec![("plan.json", &text), ("plan.pdf", &pdf)];
    files.extend(svgs.iter().map(|(n, s)| (*n, s.as_bytes())));
    lapwing_store::write_all(out, &files)?;
    Ok(())
}

/// Pictures with their file names.
pub(crate) type Pictures = Vec<(&'static str, String)>;

/// The sheet as PDF, and the pictures on it.
pub(crate) fn sheet(
    job: &Job,
    planned: &Planned,
    is_letter: bool,
) -> Result<(Vec<u8>, Pictures), Failure> {
    let told = planned.telling_step();
    let mut svgs: Pictures = vec![("car.svg", pictures::budget_car(job, &planned.plan))];
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
        photos: &[],
        paper: if is_letter { Paper::Letter } else { Paper::A4 },
    })?;
    Ok((pdf, svgs))
}
