//! `lapwing handover DIR`: the record of a finished job, signed, with paper,
//! calendar and label.
//!
//! Everything that is printed is made from the record that was signed.

use std::path::{Path, PathBuf};

use clap::Args;
use lapwing_job::handover::log::{Log, read_log};
use lapwing_job::handover::record::{Handed, HandedPanel, Picture, Said};
use lapwing_job::handover::{Visit, handover};
use lapwing_job::inspect::{CarFilm, Known, inspect_knowing, map};
use lapwing_job::intake::intake;
use lapwing_job::plan::{Plan, plan};
use lapwing_job::prove::PanelBeforeAfter;
use lapwing_job::record::job::{Job, Units};
use lapwing_job::record::{Readings, readings};
use lapwing_report::record_sheet::printed_car;
use lapwing_report::record_words;
use lapwing_store::{RecordKey, sign_record};
use serde_json::Value;

use super::job_film::{Table, read_tables};
use super::plan::{Folder, read_started, read_whole_folder};
use super::sealed::{Look, Sealed, file_of};
use super::store::{Where, first_shop, runtime};
use super::{print, print_json, read_text};
use crate::failure::Failure;
use crate::progress::Progress;
use crate::views::Views;

/// Largest photograph that is hashed, MB.
const MOST_PHOTO_MB: u64 = 64;

/// Which job, and where the answer goes.
#[derive(Args)]
pub(crate) struct Arguments {
    /// Job folder: job.toml, readings.csv and, where there are, after.csv, work.toml, photos
    folder: PathBuf,
    /// Also write record.json, record.pdf, care.ics, label.svg, label.pdf and car.svg here
    #[arg(long)]
    out: Option<PathBuf>,
    /// File of the signing key; one is made where there is none. Else the shop's own key signs
    #[arg(long)]
    key: Option<PathBuf>,
    #[command(flatten)]
    place: Where,
    /// Address that the square code opens
    #[arg(long)]
    link: Option<String>,
    /// Set the paper for US Letter instead of A4 (as always for a job in US units)
    #[arg(long)]
    letter: bool,
    /// mil instead of µm on the paper
    #[arg(long)]
    us: bool,
    /// Sign although readings after show film that grew, or clear coat that is through
    /// or under the limit; the record says so
    #[arg(long)]
    doubt: bool,
    /// Print one JSON document: the signed record
    #[arg(long)]
    json: bool,
}

pub(crate) fn run(arguments: &Arguments) -> Result<(), Failure> {
    if let Some(told) = key_to_come(arguments) {
        eprintln!("{told}");
    }
    let mut handed = of_folder(&arguments.folder)?;
    doubted(&mut handed, arguments.doubt)?;
    let record = serde_json::to_value(&handed).map_err(|e| Failure::Ours(e.to_string()))?;
    let (signed, told) = sign(arguments, &record)?;
    if let Some(told) = told {
        eprintln!("{told}");
    }
    let units = if arguments.us || handed.units == Units::Us.word() {
        Units::Us
    } else {
        Units::Metric
    };
    let look = Look {
        units,
        is_letter: arguments.letter || units == Units::Us,
        link: arguments.link.as_deref(),
    };
    if let Some(out) = &arguments.out {
        let views = views(&arguments.folder.join("photos"), &handed.pictures);
        write_out(out, &signed, (&look, &views))?;
    }
    if arguments.json {
        return print_json(&signed);
    }
    print(&record_words::record(&handed, units));
    let text = |key: &str| signed[key].as_str().unwrap_or_default().to_owned();
    print(&format!(
        "\nseal  {}\nkey   {}\n",
        text("sha256"),
        text("key")
    ));
    if let Some(out) = &arguments.out {
        print(&format!(
            "\nWritten to {}: record.json, record.pdf, care.ics, label.svg, label.pdf and car.svg.\n",
            out.display()
        ));
    }
    Ok(())
}

/// Says beforehand which key will be made and where.
fn key_to_come(arguments: &Arguments) -> Option<String> {
    match &arguments.key {
        Some(path) if path.exists() => None,
        Some(path) => Some(format!("A signing key will be made in {}.", path.display())),
        None if arguments.place.is_there() => None,
        None => Some(format!(
            "No --key is given, so the shop's own key signs. There is no shop in {} yet: one will be made there, with its key. Give --key FILE to sign with another.",
            arguments.place.name()
        )),
    }
}

/// Readings after that cannot be right hold the signing back, unless it is
/// signed with that doubt noted.
fn doubted(handed: &mut Handed, is_noted: bool) -> Result<(), Failure> {
    let (names, far) = (impossible(handed), too_far(handed));
    if names.is_empty() && far.is_empty() {
        return Ok(());
    }
    if is_noted {
        note_doubt(handed);
        return Ok(());
    }
    let grown = (!names.is_empty()).then(|| format!(
        "after.csv cannot be right on {names}: clearly more film after than before, and paint does not grow. Read there again, take those lines out, or sign with --doubt, which the record will say."
    ));
    let gone = (!far.is_empty()).then(|| {
        let panels = far.join(". ");
        format!("By after.csv more went than may have. {panels}. Read again, or sign with the doubt noted: --doubt, which the record will say.")
    });
    let said: Vec<String> = grown.into_iter().chain(gone).collect();
    Err(Failure::Input(said.join(" ")))
}

/// What went on panels of which more went than may have.
fn too_far(handed: &Handed) -> Vec<String> {
    let far = |p: &HandedPanel| Some(format!("{}: {}", p.spoken, p.too_far.as_ref()?.words()));
    handed.panels.iter().filter_map(far).collect()
}

/// The panels whose readings after cannot be right, by name.
pub(crate) fn impossible(handed: &Handed) -> String {
    let grown = handed.panels.iter().filter(|p| p.after_cannot_be);
    let names: Vec<&str> = grown.map(|p| p.spoken.as_str()).collect();
    names.join(", ")
}

/// Writes into the record that it was signed with a doubt.
pub(crate) fn note_doubt(handed: &mut Handed) {
    let far = too_far(handed);
    if !far.is_empty() {
        let panels = far.join(". ");
        note(handed, format!("Signed with a doubt noted. {panels}."));
    }
    let names = impossible(handed);
    if !names.is_empty() {
        note(
            handed,
            format!(
                "Signed with a doubt noted: the readings after on {names} cannot be right. They count for nothing here."
            ),
        );
    }
}

/// Writes into the record what its signer knew of the whole car.
pub(crate) fn note(handed: &mut Handed, text: String) {
    let place = "Car".to_owned();
    handed.cautions.insert(0, Said { place, text });
}

/// The record of a job folder.
pub(crate) fn of_folder(folder: &Path) -> Result<Handed, Failure> {
    let (root, read) = read_whole_folder(folder)?;
    let beside = |name: &str| {
        let path = root.join(name);
        path.exists()
            .then(|| Ok::<_, Failure>((path.display().to_string(), read_text(&path)?)))
            .transpose()
    };
    let after = beside("after.csv")?;
    let log = beside("work.toml")?;
    let mut pictures = photos(&root.join("photos"))?;
    let log = log
        .map(|(name, text)| log_of(&read.job, &name, &text))
        .transpose()?;
    if let Some(log) = &log {
        captions(&mut pictures, log)?;
    }
    let progress = Progress::new("working out heat and removal");
    let planned = plan(&read.job, &read.film, &|done| progress.at(done))?;
    progress.done();
    let after = after.map(|(name, text)| (name, text.into_bytes()));
    let noted = Noted {
        after: after.as_ref(),
        same_places: &[],
        log: log.as_ref(),
        pictures,
    };
    of_read(&read, &planned.plan, noted)
}

/// What was noted beside the plan.
pub(crate) struct Noted<'a> {
    after: Option<&'a (String, Vec<u8>)>,
    same_places: &'a [PanelBeforeAfter],
    log: Option<&'a Log>,
    pictures: Vec<Picture>,
}

/// The record of a job whose files are read and whose plan is worked out.
pub(crate) fn of_read(read: &Folder, plan: &Plan, noted: Noted<'_>) -> Result<Handed, Failure> {
    let after = noted
        .after
        .map(|(name, bytes)| after_of(&read.job, name, bytes))
        .transpose()?;
    Ok(handover(&Visit {
        job: &read.job,
        before: (&read.readings, &read.film),
        after: after.as_ref().map(|(r, f)| (r, f)),
        plan,
        log: noted.log,
        same_places: noted.same_places,
        pictures: noted.pictures,
        earlier: read.earlier.clone(),
    }))
}

/// A job's files as texts, from a place that is no folder.
#[derive(Clone, Debug, Default)]
pub(crate) struct Texts {
    /// `job.toml`.
    pub(crate) job: String,
    /// The tables of readings before.
    pub(crate) readings: Vec<Table>,
    /// The readings after, where there are any.
    pub(crate) after: Option<Vec<u8>>,
    /// Other files of the job, such as `record.json`.
    pub(crate) others: Vec<(String, String)>,
    /// Readings after at places known to be those of before.
    pub(crate) same_places: Vec<PanelBeforeAfter>,
    /// What was noted.
    pub(crate) log: Log,
    /// `work.toml`, where somebody wrote one; it counts where nothing else was noted.
    pub(crate) work: Option<String>,
    /// Photographs.
    pub(crate) pictures: Vec<Picture>,
}

/// The record of a job that is kept as texts.
pub(crate) fn of_texts(texts: &Texts) -> Result<Handed, Failure> {
    let beside = |name: &str| {
        let found = texts.others.iter().find(|(n, _)| n == name);
        found.cloned().ok_or_else(|| {
            Failure::Input(format!(
                "job.toml names the file \"{name}\", which this job does not have. Bring it in with the job folder as a zip, or take that line out."
            ))
        })
    };
    let started = read_started("job.toml", &texts.job, &beside)?;
    let read = started.with(read_tables(&texts.readings)?);
    let planned = plan(&read.job, &read.film, &|_| {})?;
    let written = texts
        .work
        .as_ref()
        .filter(|_| texts.log.done.is_empty())
        .map(|text| log_of(&read.job, "work.toml", text))
        .transpose()?;
    let log = written.as_ref().unwrap_or(&texts.log);
    let after = texts
        .after
        .as_ref()
        .map(|bytes| ("after.csv".to_owned(), bytes.clone()));
    let noted = Noted {
        after: after.as_ref(),
        same_places: &texts.same_places,
        log: Some(log),
        pictures: texts.pictures.clone(),
    };
    of_read(&read, &planned.plan, noted)
}

/// Reads a work log against a job.
pub(crate) fn log_of(job: &Job, name: &str, text: &str) -> Result<Log, Failure> {
    let names: Vec<String> = job.panels.iter().map(|p| p.name.clone()).collect();
    Ok(read_log(name, text, &names)?)
}

fn after_of(job: &Job, name: &str, bytes: &[u8]) -> Result<(Readings, CarFilm), Failure> {
    let names: Vec<String> = job.panels.iter().map(|p| p.name.clone()).collect();
    let read = readings::read(name, bytes, Some(&names))?;
    let mut film = inspect_knowing(&read, &Known::of(job));
    let sizes = map::sizes(job, &intake(job));
    let _not_drawn = map::film_maps(&read, &mut film, &sizes, job.rules.confidence);
    Ok((read, film))
}

/// Every photograph of the folder, by name.
fn photos(folder: &Path) -> Result<Vec<Picture>, Failure> {
    let Ok(entries) = std::fs::read_dir(folder) else {
        return Ok(Vec::new());
    };
    let mut found = Vec::new();
    for path in entries.filter_map(|e| Some(e.ok()?.path())) {
        let name = path
            .file_name()
            .and_then(|n| n.to_str())
            .unwrap_or_default();
        if !path.is_file() || name.is_empty() || name.starts_with('.') {
            continue;
        }
        let bytes = lapwing_store::read_file(&path, MOST_PHOTO_MB)?;
        found.push(Picture {
            file: name.to_owned(),
            sha256: lapwing_store::sha256_hex(&bytes),
            says: String::new(),
        });
    }
    found.sort_by(|a, b| a.file.cmp(&b.file));
    Ok(found)
}

fn captions(pictures: &mut [Picture], log: &Log) -> Result<(), Failure> {
    for (file, says) in &log.captions {
        let Some(picture) = pictures.iter_mut().find(|p| p.file == *file) else {
            return Err(Failure::Input(format!(
                "work.toml: [[picture]] names \"{file}\", which is not in the folder photos. Put it there, or take the entry out."
            )));
        };
        picture.says.clone_from(says);
    }
    Ok(())
}

/// Signs with the named key, else with that of the shop in the data folder.
fn sign(arguments: &Arguments, record: &Value) -> Result<(Value, Option<String>), Failure> {
    let refused = |e: lapwing_store::StoreError| Failure::Input(e.to_string());
    if let Some(path) = &arguments.key {
        let key = RecordKey::read_or_make(path).map_err(refused)?;
        let told = key.is_new.then(|| {
            format!(
                "A signing key was made and kept in {}. Keep that file safe and to yourself; give others only the public key {}.",
                path.display(),
                key.public()
            )
        });
        return Ok((sign_record(record, key.secret()).map_err(refused)?, told));
    }
    runtime()?.block_on(async {
        let (store, is_new) = arguments.place.open_or_make().await?;
        let shop = first_shop(&store).await?;
        let signed = shop.sign_record(record).await.map_err(refused)?;
        let told = if is_new {
            let key = shop.public_key().await.map_err(refused)?;
            Some(format!(
                "A shop with a signing key was made and kept in {}. Back that folder up; give others only the public key {key}.",
                arguments.place.name()
            ))
        } else {
            None
        };
        store.close().await;
        Ok((signed, told))
    })
}

/// Views of the photographs as they lie in the folder, until the paper is full.
fn views(folder: &Path, pictures: &[Picture]) -> Views {
    let mut views = Views::default();
    for picture in pictures {
        if views.is_full() {
            break;
        }
        if let Ok(photo) = lapwing_store::read_file(&folder.join(&picture.file), MOST_PHOTO_MB) {
            views.add(&picture.file, &photo);
        }
    }
    views
}

fn write_out(
    out: &Path,
    signed: &Value,
    (look, views): (&Look<'_>, &Views),
) -> Result<(), Failure> {
    let sealed = Sealed::of(signed)?;
    let text = file_of(signed)?;
    let paper = sealed.paper(look, views)?;
    let label_svg = sealed.label_svg(look)?;
    let label_pdf = sealed.label_pdf(look)?;
    let calendar = sealed.calendar();
    let car = printed_car(&sealed.handed, look.units);
    let files: [(&str, &[u8]); 6] = [
        ("record.json", &text),
        ("record.pdf", &paper),
        ("care.ics", calendar.as_bytes()),
        ("label.svg", label_svg.as_bytes()),
        ("label.pdf", &label_pdf),
        ("car.svg", car.as_bytes()),
    ];
    lapwing_store::write_all(out, &files)?;
    Ok(())
}
