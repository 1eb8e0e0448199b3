//! Where jobs are kept: a database with their history, and folders of files.
//!
//! This room touches the disk and knows no formula.

#![allow(
    clippy::disallowed_methods,
    reason = "the disk and the clock are what this room is for"
)]

pub mod folder;

mod database;
mod document;
mod error;
mod event;
mod journal;
mod live;
mod pictures;
mod shop;
mod token;

pub use document::{Change, JobState};
pub use error::StoreError;
pub use event::{Author, Edit, Event, Standing};
pub use folder::{FolderError, read_file, write_all};
pub use journal::{
    Conflict, JobGlance, JobQuery, MOST_BODY_BYTES, MOST_CHANGES, MOST_DOCUMENT_BYTES, Outcome,
};
pub use live::{Notice, ShopWatch, Watch};
pub use pictures::{Limits, Picture, PictureStream, PictureUpload};
pub use shop::{Clock, Places, Shop, ShopCard, Store};
pub use token::{Secret, new_id};
