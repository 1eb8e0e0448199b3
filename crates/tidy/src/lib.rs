//! The house rules, so that a rule which matters is a test and not a hope.
//!
//! Every rule is a function from text to a list of sentences. An empty list
//! means that the rule is kept. The rules read no files themselves, so each
//! one is shown beside its code to fail on a small made-up page. The test
//! `tests/house_rules.rs` reads the real house with [`house`] and runs them all.
//!
//! - [`imports`]: which room may import which, in the manifests and on the map;
//! - [`stations`]: the trade's order inside `job`, and the closed list of `measure`;
//! - [`pages`]: headers, sizes and names of files;
//! - [`words`]: words that must not appear;
//! - [`purity`]: no clock, file or print in the pure rooms;
//! - [`literature`]: every publication in the list is used;
//! - [`skipped`]: no test is switched off.
//!
//! Left out: what the compiler and clippy already refuse.
#![allow(
    clippy::disallowed_methods,
    reason = "the rules are about files, so this room has to read them"
)]

pub mod house;
pub mod imports;
pub mod literature;
pub mod pages;
pub mod purity;
pub mod scan;
pub mod skipped;
pub mod stations;
pub mod words;
