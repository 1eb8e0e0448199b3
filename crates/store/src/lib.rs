//! Where jobs are kept: a database with their history, and folders of files.
//!
//! This room touches the disk and knows no formula.

#![allow(
    clippy::disallowed_methods,
    reason = "the disk and the clock are what this room is for"
)]

pub mod folder;

mod accounts;
mod archive;
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
pub use document::{Change, JobState};
pub use error::StoreError;
pub use event::{Author, Edit, Event, Standing};
pub use folder::{FolderError, read_file, write_all};
pub use journal::{
    Conflict, JobGlance, JobQuery, MOST_BODY_BYTES, MOST_CHANGES, MOST_DOCUMENT_BYTES, Outcome,
};
pub use live::{Notice, ShopWatch, Watch};
pub use pictures::{Limits, Picture, PictureStream, PictureUpload};
pub use queue::{Finish, LeasedTask, MOST_TASK_BYTES, NewTask, TaskCard, TaskState};
pub use record::{MOST_RECORD_BYTES, RecordVerdict, canonical_json, sign_record, verify_record};
pub use shop::{Clock, Places, Shop, ShopCard, Store};
pub use token::{Secret, new_id};
