//! Where jobs are kept: a database with their history, photos, people, and
//! folders of files.
//!
//! This room touches the disk and the clock and knows no formula.
//!
//! # How a page uses it
//!
//! ```no_run
//! # use lapwing_store::*;
//! # async fn show() -> Result<(), StoreError> {
//! let store = Store::open(&Places::in_folder("data".as_ref())).await?;
//! let shop = store.found_shop("North bay").await?; // or store.resume(cookie)
//! let author = Author { who: "mika".into(), device: "tablet".into() };
//! let edit = Edit {
//!     id: new_id(),               // made by the device: sending twice is safe
//!     kind: "reading-taken".into(),
//!     saw: 0,                     // the version on the screen; 0 opens a job
//!     changes: vec![Change::put("/readings/r1", 118.4)],
//!     said_ms: 0,
//!     undoes: None,
//!     settles: None,
//! };
//! match shop.append("job-1", &author, &edit).await? {
//!     Outcome::Kept(event) | Outcome::Again(event) => println!("at {}", event.version),
//!     Outcome::Aside(conflict) => println!("{} others came first", conflict.theirs.len()),
//! }
//! let state = shop.state("job-1").await?;
//! let mut watch = shop.watch("job-1", state.version);
//! for event in watch.next().await? {
//!     println!("{} by {}", event.kind, event.who);
//! }
//! # Ok(())
//! # }
//! ```
//!
//! # What is where
//!
//! | Question | Ask |
//! |---|---|
//! | open, found or find a shop | [`Store::open`], [`Store::found_shop`], [`Store::shop`], [`Store::shops`] |
//! | change a job, take a change back | [`Shop::append`], [`Shop::append_all`], [`Shop::undo`] |
//! | read a job, its past, its open conflicts | [`Shop::state`], [`Shop::state_at`], [`Shop::changes_since`], [`Shop::latest_deeds`], [`Shop::conflicts`] |
//! | list and search jobs | [`Shop::jobs`], [`Shop::stages`] (what stands in the document's `/glance`) |
//! | hear of changes | [`Shop::watch`] for one job, [`Shop::watch_all`] for the list |
//! | keep and show photos | [`Shop::start_picture`], [`Shop::read_picture`] |
//! | long work | [`Shop::enqueue`], [`Store::take_task`], [`Store::finish`], [`Store::fail`], [`Shop::result`] |
//! | people and devices | [`Shop::add_person`], [`Store::sign_in`], [`Store::resume`], [`Shop::make_pairing`], [`Store::pair`] |
//! | a customer's link | [`Shop::make_link`], [`Store::open_link`], [`Shop::withdraw_link`] |
//! | the job as a zip | [`Shop::export_job`], [`Shop::import_job`] (texts in `/folder`, photos in `/photos`) |
//! | the signed record | [`Shop::sign_record`], [`verify_record`] |
//! | copies | [`Store::backup`], [`Store::restore`], [`Store::verify`] |
//! | files of a folder | [`read_file`], [`write_all`] |
//!
//! # What a job's document looks like
//!
//! One JSON object; the pages choose what is in it. Three places have a
//! meaning here: `/glance` (an object of short texts: what the list shows and
//! searches; its `stage` sorts jobs), `/folder` (file name to text:
//! `job.toml`, `readings.csv`) and `/photos` (file name to an object whose
//! `picture` is the hash). A list that several devices add to, such as
//! readings, is an object with an id of the device's making for each entry, so
//! that two devices never touch the same place.

#![allow(
    clippy::disallowed_methods,
    reason = "the disk and the clock are what this room is for"
)]

pub mod folder;

mod accounts;
mod archive;
mod backup;
mod database;
mod document;
mod error;
mod event;
mod journal;
mod live;
mod pictures;
mod queue;
mod record;
mod shop;
mod token;

pub use accounts::{LinkCard, LinkVerdict, NewPerson, Person, Role, Session, SignedIn};
pub use archive::{ArchiveLimits, ExportedFolder, Imported};
pub use backup::{BackupCard, Pace, Part, TableCard, Told, VerifyReport};
pub use document::{Change, JobState};
pub use error::StoreError;
pub use event::{Author, Edit, Event, Standing};
pub use folder::{FolderError, read_file, write_all};
pub use journal::{
    Conflict, JobGlance, JobQuery, MOST_BODY_BYTES, MOST_CHANGES, MOST_DOCUMENT_BYTES, Outcome,
    PastDeed,
};
pub use live::{Notice, ShopWatch, Watch};
pub use pictures::{Limits, Picture, PictureStream, PictureUpload};
pub use queue::{Finish, LeasedTask, MOST_TASK_BYTES, NewTask, TaskCard, TaskState};
pub use record::{
    MOST_RECORD_BYTES, RecordKey, RecordVerdict, canonical_json, sha256_hex, sign_record,
    verify_record,
};
pub use shop::{Clock, Places, Shop, ShopCard, Store};
pub use token::{Secret, new_id};
