//! `lapwing backup`, `restore`, `verify`, `export` and `import`: what keeps the
//! shop's data safe and lets a job travel.
//!
//! Each opens the places that `serve` uses and says in a sentence what was done.

use std::fs::File;
use std::path::{Path, PathBuf};

use clap::Args;
use lapwing_store::{
    ArchiveLimits, Author, JobQuery, Places, Shop, Store, StoreError, VerifyReport,
};
use tokio::runtime::Runtime;

use super::next_visit::introduce;
use super::print;
use crate::failure::Failure;
use crate::progress::Copying;

/// Where the shop's data are.
#[derive(Args)]
pub(crate) struct Where {
    /// Folder that holds all the shop keeps
    #[arg(long, default_value = "lapwing-data")]
    data: PathBuf,
    /// Database, as sqlite:FILE or postgres://USER@HOST/NAME; else in the folder
    #[arg(long)]
    database: Option<String>,
    /// Photo store, as file:///FOLDER or s3://BUCKET?endpoint=URL; else in the folder
    #[arg(long)]
    photos: Option<String>,
}

impl Where {
    /// Whether anything was ever kept there, as far as can be seen without
    /// opening it; of a database elsewhere that is not asked.
    pub(crate) fn is_there(&self) -> bool {
        self.database.is_some() || self.data.exists()
    }
}

/// Copies everything into a new folder.
#[derive(Args)]
pub(crate) struct Backup {
    /// New folder for the copy
    to: PathBuf,
    #[command(flatten)]
    place: Where,
}

/// Brings a copy back into an empty place.
#[derive(Args)]
pub(crate) struct Restore {
    /// Folder that `lapwing backup` wrote
    from: PathBuf,
    #[command(flatten)]
    place: Where,
}

/// Looks whether everything still is as it was written.
#[derive(Args)]
pub(crate) struct Verify {
    #[command(flatten)]
    place: Where,
}

/// Writes one job with its history and photographs into a zip.
#[derive(Args)]
pub(crate) struct Export {
    /// The job: its id (as in the page's address) or its name
    job: String,
    /// New zip file
    file: PathBuf,
    #[command(flatten)]
    place: Where,
}

/// Takes a job in from a zip.
#[derive(Args)]
pub(crate) struct Import {
    /// Zip that `lapwing export` wrote, or a zipped job folder
    file: PathBuf,
    #[command(flatten)]
    place: Where,
}

pub(crate) fn backup(arguments: &Backup) -> Result<(), Failure> {
    runtime()?.block_on(async {
        let store = arguments.place.open().await?;
        let copying = Copying::new(["copying", "copying", "looking through"]);
        let told = |pace| copying.at(pace);
        let made = store.backup_telling(&arguments.to, &told);
        let card = made.await.map_err(refused);
        copying.done();
        let card = card?;
        store.close().await;
        let rows = |table: &str| card.tables.get(table).map_or(0, |t| t.rows);
        print(&format!(
            "Backed up {} to {}: {}, {} and {}.\nTry it once: `lapwing restore {} --data NEW-FOLDER`.\n",
            arguments.place.name(),
            arguments.to.display(),
            counted(rows("jobs"), "job"),
            counted(rows("events"), "event"),
            counted(card.pictures, "photo"),
            arguments.to.display(),
        ));
        Ok(())
    })
}

pub(crate) fn restore(arguments: &Restore) -> Result<(), Failure> {
    if !arguments.from.join("manifest.json").is_file() {
        return Err(Failure::Input(format!(
            "{}: this is no backup; it has no manifest.json. Name a folder that `lapwing backup` wrote.",
            arguments.from.display()
        )));
    }
    runtime()?.block_on(async {
        let (store, _) = arguments.place.open_or_make().await?;
        let copying = Copying::new(["bringing back", "bringing back", "looking through"]);
        let told = |pace| copying.at(pace);
        let restored = store.restore_telling(&arguments.from, &told);
        let outcome = restored.await;
        copying.done();
        store.close().await;
        let report = outcome.map_err(refused)?;
        faultless(&report)?;
        print(&format!(
            "Restored {} into {}, and all of it was found again: {}.\n",
            arguments.from.display(),
            arguments.place.name(),
            counts(&report)
        ));
        Ok(())
    })
}

pub(crate) fn verify(arguments: &Verify) -> Result<(), Failure> {
    runtime()?.block_on(async {
        let store = arguments.place.open().await?;
        let copying = Copying::new(["looking through"; 3]);
        let outcome = store.verify_telling(&|pace| copying.at(pace)).await;
        copying.done();
        store.close().await;
        let report = outcome.map_err(refused)?;
        faultless(&report)?;
        print(&format!(
            "All is well in {}: {}, each as it was written.\n",
            arguments.place.name(),
            counts(&report)
        ));
        Ok(())
    })
}

pub(crate) fn export(arguments: &Export) -> Result<(), Failure> {
    if arguments.file.exists() {
        return Err(Failure::Input(format!(
            "{} exists. Name a new file for the zip.",
            arguments.file.display()
        )));
    }
    runtime()?.block_on(async {
        let store = arguments.place.open().await?;
        let shop = first_shop(&store).await?;
        let outcome = export_to(&shop, &arguments.job, &arguments.file).await;
        store.close().await;
        let size_bytes = outcome?;
        print(&format!(
            "Exported \"{}\" to {}: {} kB, with its history and photographs.\n",
            arguments.job,
            arguments.file.display(),
            size_bytes.div_ceil(1024)
        ));
        Ok(())
    })
}

async fn export_to(shop: &Shop, named: &str, file: &Path) -> Result<u64, Failure> {
    let job = job_named(shop, named).await?;
    let mut zip = shop.export_job(&job).await.map_err(refused)?;
    let written = (|| {
        let mut out = File::create_new(file)?;
        std::io::copy(&mut zip.file, &mut out)?;
        out.sync_all()
    })();
    written.map_err(|e| {
        let _ = std::fs::remove_file(file);
        Failure::Input(format!(
            "{}: cannot be written ({e}). Name a file in a folder you may write to.",
            file.display()
        ))
    })?;
    Ok(zip.size_bytes)
}

/// The job of this id, else the only one of this name.
async fn job_named(shop: &Shop, named: &str) -> Result<String, Failure> {
    if shop.state(named).await.is_ok() {
        return Ok(named.to_owned());
    }
    let query = JobQuery {
        search: Some(named.to_owned()),
        most: 50,
        ..JobQuery::default()
    };
    let jobs = shop.jobs(&query).await.map_err(refused)?;
    let same: Vec<&str> = jobs
        .iter()
        .filter(|j| j.glance["name"].as_str() == Some(named))
        .map(|j| j.id.as_str())
        .collect();
    match same[..] {
        [one] => Ok(one.to_owned()),
        [] => Err(Failure::Input(format!(
            "There is no job \"{named}\" here. Name it by its id, as in the page's address, or by its whole name."
        ))),
        _ => Err(Failure::Input(format!(
            "{} jobs are called \"{named}\". Name the one you mean by its id: {}.",
            same.len(),
            same.join(", ")
        ))),
    }
}

pub(crate) fn import(arguments: &Import) -> Result<(), Failure> {
    let file = File::open(&arguments.file).map_err(|e| {
        Failure::Input(format!(
            "{}: cannot be read ({e}). Check the name.",
            arguments.file.display()
        ))
    })?;
    runtime()?.block_on(async {
        let (store, _) = arguments.place.open_or_make().await?;
        let shop = first_shop(&store).await?;
        let author = Author {
            who: "command line".to_owned(),
            device: "command-line".to_owned(),
        };
        let outcome = shop
            .import_job(file, &author, ArchiveLimits::default())
            .await;
        let introduced = match &outcome {
            Ok(taken) => introduce(&shop, &taken.job, &author).await,
            Err(_) => Ok(()),
        };
        store.close().await;
        let taken = outcome.map_err(refused)?;
        introduced.map_err(refused)?;
        let left_out = if taken.left_out.is_empty() {
            String::new()
        } else {
            format!(
                "Left out, because they are none of ours: {}.\n",
                taken.left_out.join(", ")
            )
        };
        print(&format!(
            "Imported as job {}: {} new, {}.\n{left_out}",
            taken.job,
            counted(taken.new_events as u64, "event"),
            counted(taken.photos as u64, "photo"),
        ));
        Ok(())
    })
}

impl Where {
    /// What to call it in a sentence.
    pub(crate) fn name(&self) -> String {
        match &self.database {
            Some(database) if database.starts_with("postgres") => "the database".to_owned(),
            Some(database) => database.clone(),
            None => self.data.display().to_string(),
        }
    }

    fn places(&self) -> Places {
        let mut places = Places::in_folder(&self.data);
        if let Some(database) = &self.database {
            places.database.clone_from(database);
        }
        if let Some(photos) = &self.photos {
            places.pictures.clone_from(photos);
        }
        places
    }

    /// The file of the database, where it is a file.
    fn database_file(&self) -> Option<PathBuf> {
        match &self.database {
            None => Some(self.data.join("lapwing.sqlite")),
            Some(database) => database
                .strip_prefix("sqlite:")
                .map(|rest| PathBuf::from(rest.trim_start_matches("//"))),
        }
    }

    /// Opens what is there already.
    pub(crate) async fn open(&self) -> Result<Store, Failure> {
        if let Some(file) = self.database_file().filter(|f| !f.is_file()) {
            return Err(Failure::Input(format!(
                "{}: there is no shop's data here. Name the folder that `lapwing serve` uses with --data.",
                file.display()
            )));
        }
        Store::open(&self.places()).await.map_err(refused)
    }

    /// Opens what is there, or makes it; says whether it holds no shop yet.
    pub(crate) async fn open_or_make(&self) -> Result<(Store, bool), Failure> {
        std::fs::create_dir_all(&self.data).map_err(|e| {
            Failure::Input(format!(
                "--data {}: the folder cannot be made ({e}). Name a folder you may write to.",
                self.data.display()
            ))
        })?;
        let store = Store::open(&self.places()).await.map_err(refused)?;
        let is_new = store.shops().await.map_err(refused)?.is_empty();
        Ok((store, is_new))
    }
}

/// The shop of a data folder; the first use founds it.
pub(crate) async fn first_shop(store: &Store) -> Result<Shop, Failure> {
    let shops = store.shops().await.map_err(refused)?;
    let shop = match shops.first() {
        Some(card) => store.shop(&card.id).await,
        None => store.found_shop("The shop").await,
    };
    shop.map_err(refused)
}

pub(crate) fn runtime() -> Result<Runtime, Failure> {
    tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()
        .map_err(|e| Failure::Ours(format!("the runtime does not start ({e})")))
}

fn refused(error: StoreError) -> Failure {
    match error {
        StoreError::Fault(_) => Failure::Ours(error.to_string()),
        other => Failure::Input(other.to_string()),
    }
}

fn faultless(report: &VerifyReport) -> Result<(), Failure> {
    const SHOWN: usize = 20;
    if report.faults.is_empty() {
        return Ok(());
    }
    let mut said: Vec<String> = report
        .faults
        .iter()
        .take(SHOWN)
        .map(|f| format!("- {f}"))
        .collect();
    if report.faults.len() > SHOWN {
        said.push(format!("- and {} more", report.faults.len() - SHOWN));
    }
    Err(Failure::Input(format!(
        "{} found among {}:\n{}\nKeep this place as it is, and restore the latest backup into a new one.",
        counted(report.faults.len() as u64, "fault"),
        counts(report),
        said.join("\n")
    )))
}

fn counts(report: &VerifyReport) -> String {
    format!(
        "{}, {}, {}, {}",
        counted(report.shops, "shop"),
        counted(report.jobs, "job"),
        counted(report.events, "event"),
        counted(report.pictures, "photo")
    )
}

fn counted(count: u64, what: &str) -> String {
    let s = if count == 1 { "" } else { "s" };
    format!("{count} {what}{s}")
}
