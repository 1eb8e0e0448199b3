//! `lapwing serve`: the bay's pages, on this machine, until it is stopped.

use std::net::SocketAddr;
use std::path::PathBuf;

use clap::Args;
use lapwing_store::Places;

use crate::failure::Failure;
use crate::web;

/// Where things are kept, and where to listen.
#[derive(Args)]
pub(crate) struct Arguments {
    /// Folder that holds all the shop keeps
    #[arg(long, default_value = "lapwing-data")]
    data: PathBuf,
    /// Database, as sqlite:FILE or postgres://USER@HOST/NAME; else in the folder
    #[arg(long)]
    database: Option<String>,
    /// Photo store, as file:///FOLDER or s3://BUCKET?endpoint=URL; else in the folder
    #[arg(long)]
    photos: Option<String>,
    /// Address and port; only this machine itself while there are no accounts
    #[arg(long, default_value = "127.0.0.1:8017")]
    listen: SocketAddr,
}

pub(crate) fn run(arguments: &Arguments) -> Result<(), Failure> {
    if !arguments.listen.ip().is_loopback() {
        return Err(Failure::Input(format!(
            "--listen is {}: without accounts the pages are for this machine alone, because anyone on the network could change a job. Allowed: a loopback address such as 127.0.0.1:8017.",
            arguments.listen
        )));
    }
    std::fs::create_dir_all(&arguments.data).map_err(|e| {
        Failure::Input(format!(
            "--data {}: the folder cannot be made ({e}). Name a folder you may write to.",
            arguments.data.display()
        ))
    })?;
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()
        .map_err(|e| Failure::Ours(format!("the runtime does not start ({e})")))?;
    let outcome = runtime.block_on(web::serve(arguments.listen, &arguments.places()));
    runtime.shutdown_timeout(std::time::Duration::from_secs(2));
    outcome
}

impl Arguments {
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
}
