//! The store as its users see it, on SQLite and on a running PostgreSQL.
//!
//! Checked by: itself; one program, so that its servers start once.

#![allow(
    clippy::disallowed_methods,
    reason = "tests of the store read the clock, the disk and the environment"
)]

#[macro_use]
mod servers;

mod accounts;
mod archive;
mod backup;
mod crash;
mod faults;
mod journal;
mod live;
mod pictures;
mod queue;
mod shops;
mod together;
mod upgrade;
