//! Walks every case folder: compares, writes what it found, then judges.
//!
//! Holds: for all folders of `validation/cases`; none can be forgotten.
//! Left out: whether the written page is the committed one; `./check` asks git.
//! Checked by: a law broken on purpose makes it fail.

use std::fs;
use std::path::{Path, PathBuf};

use lapwing_validation::case::{Case, all_in};
use lapwing_validation::compare::{Difference, compare, csv};
use lapwing_validation::judge::judge;
use lapwing_validation::laws;
use lapwing_validation::table::page;

#[test]
fn every_case_is_compared_written_down_and_judged() {
    let cases = all_in(&validation().join("cases")).expect("the cases can be read");
    let mut faults = Vec::new();
    let mut compared: Vec<(Case, Vec<Difference>)> = Vec::new();
    for case in cases {
        match compare(&case) {
            Ok(differences) => compared.push((case, differences)),
            Err(fault) => faults.push(fault),
        }
    }
    write(&differences_csv(), &csv(&compared));
    write(&validation().join("README.md"), &page(&compared));
    faults.extend(
        compared
            .iter()
            .flat_map(|(case, differences)| judge(case, differences)),
    );
    assert!(
        faults.is_empty(),
        "{} faults:\n- {}",
        faults.len(),
        faults.join("\n- ")
    );
}

#[test]
fn every_law_that_can_be_asked_has_a_case() {
    let cases = all_in(&validation().join("cases")).expect("the cases can be read");
    let forgotten: Vec<&str> = laws::names()
        .filter(|law| !cases.iter().any(|case| case.law == *law))
        .collect();
    assert!(forgotten.is_empty(), "laws without a case: {forgotten:?}");
}

fn validation() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../validation")
}

/// `target/validation/differences.csv`, wherever the target directory is.
fn differences_csv() -> PathBuf {
    Path::new(env!("CARGO_TARGET_TMPDIR")).join("../validation/differences.csv")
}

#[allow(
    clippy::disallowed_methods,
    reason = "the run writes the page that the repository keeps"
)]
fn write(path: &Path, text: &str) {
    if let Some(folder) = path.parent() {
        fs::create_dir_all(folder).expect("the folder can be made");
    }
    fs::write(path, text).expect("the file can be written");
}
