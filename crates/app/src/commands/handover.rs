//! `lapwing handover DIR`: the record of a finished job, signed, with paper,
//! calendar and label.
//!
//! Everything that is printed is made from the record that was signed.

use std::path::{Path, PathBuf};
use std::time::{SystemTime, UNIX_EPOCH};

use clap::Args;
use lapwing_job::handover::log::{Log, read_log};
use lapwing_job::handover::record::{Handed, Picture};
use lapwing_job::handover::{Visit, handover};
use lapwing_job::inspect::{CarFilm, Known, inspect_knowing, map};
use lapwing_job::intake::intake;
use lapwing_job::plan::{Plan, plan};
use lapwing_job::record::job::{Job, Units};
use lapwing_job::record::{Readings, readings};
use lapwing_report::calendar::{Day, care_calendar};
use lapwing_report::figure::qr;
use lapwing_report::label::{label, label_sheet};
use lapwing_report::record_sheet::{Seal, printed_car, sheet};
use lapwing_report::record_words;
use lapwing_sheet::{Paper, SheetInput, Template, set_pdf};
use lapwing_store::{RecordKey, canonical_json, sign_record};
use serde_json::{Value, json};

use super::plan::{Folder, read_whole_folder};
use super::store::{Where, first_shop, runtime};
use super::{print, print_json, read_text};
use crate::failure::Failure;
use crate::progress::Progress;

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
    /// Print one JSON document: the signed record
    #[arg(long)]
    json: bool,
}

pub(crate) fn run(arguments: &Arguments) -> Result<(), Failure> {
    let handed = of_folder(&arguments.folder)?;
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
        write_out(out, &signed, &look)?;
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
    of_read(&read, &planned.plan, after.as_ref(), log.as_ref(), pictures)
}

/// The record of a job whose files are read and whose plan is worked out.
pub(crate) fn of_read(
    read: &Folder,
    plan: &Plan,
    after: Option<&(String, Vec<u8>)>,
    log: Option<&Log>,
    pictures: Vec<Picture>,
) -> Result<Handed, Failure> {
    let after = after
        .map(|(name, bytes)| after_of(&read.job, name, bytes))
        .transpose()?;
    Ok(handover(&Visit {
        job: &read.job,
        before: (&read.readings, &read.film),
        after: after.as_ref().map(|(r, f)| (r, f)),
        plan,
        log,
        pictures,
        earlier: read.earlier.clone(),
    }))
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

/// How papers of a record look.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Look<'a> {
    /// µm or mil.
    pub(crate) units: Units,
    /// Letter instead of A4.
    pub(crate) is_letter: bool,
    /// What the square code opens.
    pub(crate) link: Option<&'a str>,
}

/// A signed record, understood.
pub(crate) struct Sealed {
    /// The record.
    pub(crate) handed: Handed,
    sha256: String,
    key: String,
}

impl Sealed {
    /// From a file that was found genuine, or that was just signed.
    pub(crate) fn of(signed: &Value) -> Result<Self, Failure> {
        let text = |key: &str| signed[key].as_str().unwrap_or_default().to_owned();
        let handed = serde_json::from_value(signed["record"].clone())
            .map_err(|e| Failure::Input(format!("the record cannot be shown: {e}.")))?;
        Ok(Self {
            handed,
            sha256: text("sha256"),
            key: text("key"),
        })
    }

    pub(crate) fn seal<'a>(&'a self, link: Option<&'a str>) -> Seal<'a> {
        Seal {
            sha256: &self.sha256,
            key: &self.key,
            link,
        }
    }

    /// The day of the hand-over, where its words are a day.
    pub(crate) fn day(&self) -> Option<Day> {
        self.handed.date.as_deref().and_then(Day::read)
    }

    /// The owner's paper.
    pub(crate) fn paper(&self, look: &Look<'_>) -> Result<Vec<u8>, Failure> {
        let seal = self.seal(look.link);
        let car = printed_car(&self.handed, look.units);
        let code = qr(&seal.code(), 200.0, "Seal of the record").map_err(Failure::Input)?;
        let data = json!({ "sheet": sheet(&self.handed, &seal, self.day(), look.units) });
        Ok(set_pdf(&SheetInput {
            template: Template::Record,
            data: &data,
            pictures: &[("car.svg", &car), ("qr.svg", &code)],
            paper: if look.is_letter {
                Paper::Letter
            } else {
                Paper::A4
            },
        })?)
    }

    /// The label as PDF.
    pub(crate) fn label_pdf(&self, look: &Look<'_>) -> Result<Vec<u8>, Failure> {
        let seal = self.seal(look.link);
        let code = qr(&seal.code(), 200.0, "Seal of the record").map_err(Failure::Input)?;
        let data = json!({ "sheet": label_sheet(&self.handed, &seal) });
        Ok(set_pdf(&SheetInput {
            template: Template::Label,
            data: &data,
            pictures: &[("qr.svg", &code)],
            paper: Paper::A4,
        })?)
    }

    /// The label as SVG.
    pub(crate) fn label_svg(&self, look: &Look<'_>) -> Result<String, Failure> {
        label(&self.handed, &self.seal(look.link)).map_err(Failure::Input)
    }

    /// The calendar; from today where the record's date is no day.
    pub(crate) fn calendar(&self) -> String {
        let since = SystemTime::now().duration_since(UNIX_EPOCH);
        let seconds = since.map_or(0, |t| i64::try_from(t.as_secs()).unwrap_or(0));
        let today = Day::since_1970(seconds.div_euclid(86_400));
        let (Some(from), Some(today)) = (self.day().or(today), today) else {
            return String::new();
        };
        let second = seconds.rem_euclid(86_400);
        let stamp = format!(
            "{}T{:02}{:02}{:02}Z",
            today.basic(),
            second / 3600,
            second / 60 % 60,
            second % 60
        );
        care_calendar(&self.handed, from, (&self.sha256, &stamp))
    }
}

fn write_out(out: &Path, signed: &Value, look: &Look<'_>) -> Result<(), Failure> {
    let sealed = Sealed::of(signed)?;
    let text = file_of(signed)?;
    let paper = sealed.paper(look)?;
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

/// The file of a signed record: canonical text and a line end.
pub(crate) fn file_of(signed: &Value) -> Result<Vec<u8>, Failure> {
    let mut text = canonical_json(signed).map_err(|e| Failure::Ours(e.to_string()))?;
    text.push(b'\n');
    Ok(text)
}
