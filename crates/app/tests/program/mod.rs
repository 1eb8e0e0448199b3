//! The built program, run as a person runs it; shared by the tests of its doors.

use std::process::{Command, Output};

/// Runs `lapwing` with these arguments to its end.
pub(crate) fn lapwing(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_lapwing"))
        .args(arguments)
        .output()
        .expect("the program starts")
}
