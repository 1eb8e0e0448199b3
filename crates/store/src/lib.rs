//! Where jobs are kept: folders that anyone can read.
//!
//! This room touches the disk and knows no formula. Today it reads the files
//! of a job folder with a size limit and writes an output folder so that a
//! failure leaves nothing half-written; the database moves in later.

#![allow(
    clippy::disallowed_methods,
    reason = "reading and writing files is what this room is for"
)]

pub mod folder;

pub use folder::{FolderError, read_file, write_all};
