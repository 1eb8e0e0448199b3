//! Words and pictures: what a person sees of a job.
//!
//! This crate computes no physical value. It takes finished numbers and makes
//! text and pictures of them; it reads no file and no clock.

pub mod figure;
