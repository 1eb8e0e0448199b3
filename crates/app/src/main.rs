//! The `lapwing` binary: reads files, calls the stations, prints.
//!
//! Exit codes: 0 done, 2 input at fault (one sentence on standard error), 1
//! our fault, 130 stopped by the user. With `--json` standard output holds one JSON document and
//! nothing else.

#![allow(
    clippy::disallowed_methods,
    reason = "files, the clock and the environment belong to this room"
)]

mod commands;
mod failure;
mod progress;
mod stop;
mod views;
mod web;

use std::process::ExitCode;

use clap::{Parser, Subcommand};

/// Numbers for paint correction: film, heat, time, dose and price.
#[derive(Parser)]
#[command(
    name = "lapwing",
    version,
    about = "Numbers for paint correction: film, heat, time, dose and price.",
    max_term_width = 100
)]
struct Line {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    /// Plan a job folder: what may go, what to do, how long, how much.
    Plan(commands::plan::Arguments),
    /// Film statistics, clear left and budget from a table of readings.
    Film(commands::film::Arguments),
    /// A pass on paper: what it takes off, how hot it gets, and where.
    Bench(commands::bench::Arguments),
    /// A test spot: what went, how fast it cuts, what correction will cost.
    Trial(commands::trial::Arguments),
    /// Vibration and noise dose of a working day.
    Exposure(commands::exposure::Arguments),
    /// The record of a finished job: signed file, paper, calendar, label.
    Handover(commands::handover::Arguments),
    /// Is this record what its shop signed?
    VerifyRecord(commands::verify_record::Arguments),
    /// Copy all that the shop keeps into a new folder.
    Backup(commands::store::Backup),
    /// Bring a backup back into an empty place.
    Restore(commands::store::Restore),
    /// Look whether all that the shop keeps is as it was written.
    Verify(commands::store::Verify),
    /// One job as a zip, with its history and photographs.
    Export(commands::store::Export),
    /// Take a job in from a zip.
    Import(commands::store::Import),
    /// The bay's pages, for a browser on this machine or on the shop's network.
    Serve(Box<commands::serve::Arguments>),
    /// Another shop in the same database; its owner's password on standard input.
    Found(commands::found::Arguments),
    /// Print the JSON Schema of a file we read.
    Schema(commands::schema::Arguments),
}

fn main() -> ExitCode {
    let line = match Line::try_parse() {
        Ok(line) => line,
        Err(error) => {
            let _ = error.print();
            return ExitCode::from(if error.use_stderr() { 2 } else { 0 });
        }
    };
    let outcome = match &line.command {
        Command::Plan(arguments) => commands::plan::run(arguments),
        Command::Film(arguments) => commands::film::run(arguments),
        Command::Bench(arguments) => commands::bench::run(arguments),
        Command::Trial(arguments) => commands::trial::run(arguments),
        Command::Exposure(arguments) => commands::exposure::run(arguments),
        Command::Handover(arguments) => commands::handover::run(arguments),
        Command::VerifyRecord(arguments) => commands::verify_record::run(arguments),
        Command::Backup(arguments) => commands::store::backup(arguments),
        Command::Restore(arguments) => commands::store::restore(arguments),
        Command::Verify(arguments) => commands::store::verify(arguments),
        Command::Export(arguments) => commands::store::export(arguments),
        Command::Import(arguments) => commands::store::import(arguments),
        Command::Serve(arguments) => commands::serve::run(arguments),
        Command::Found(arguments) => commands::found::run(arguments),
        Command::Schema(arguments) => commands::schema::run(arguments),
    };
    match outcome {
        Ok(()) if commands::output_is_lost() => {
            eprintln!(
                "The answer could not be written out: is the disk full? Free some space and run the command again."
            );
            ExitCode::from(2)
        }
        Ok(()) => ExitCode::SUCCESS,
        Err(failure) => {
            eprintln!("{failure}");
            failure.code()
        }
    }
}
