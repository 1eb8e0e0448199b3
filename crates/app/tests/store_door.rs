//! Backup, restore, verify, export and import at the command line.
//!
//! Checked here: there and back without loss, refusals with exit code 2, and
//! zips that play tricks.

#![allow(
    clippy::disallowed_methods,
    reason = "these tests write input files and run the program"
)]

mod program;

use std::io::Write as _;
use std::path::Path;
use std::process::Output;

use program::lapwing;

const HARBOUR: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples/harbour-estate");

fn said(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

fn told(output: &Output) -> String {
    assert!(output.status.success(), "{}", said(output));
    String::from_utf8_lossy(&output.stdout).into_owned()
}

fn refused(arguments: &[&str], expected: &str) {
    let output = lapwing(arguments);
    assert_eq!(output.status.code(), Some(2), "{}", said(&output));
    assert!(said(&output).contains(expected), "{}", said(&output));
    assert!(!said(&output).contains("panicked"));
}

fn place(folder: &Path, name: &str) -> String {
    folder.join(name).display().to_string()
}

/// A zip of these files.
fn zip(path: &str, files: &[(&str, &[u8])]) {
    let mut zip = zip::ZipWriter::new(std::fs::File::create(path).expect("made"));
    for (name, bytes) in files {
        zip.start_file(*name, zip::write::SimpleFileOptions::default())
            .expect("started");
        zip.write_all(bytes).expect("written");
    }
    zip.finish().expect("finished");
}

fn job_zip(folder: &Path) -> String {
    let path = place(folder, "in.zip");
    let read = |name: &str| std::fs::read(format!("{HARBOUR}/{name}")).expect("read");
    zip(
        &path,
        &[
            ("harbour/job.toml", &read("job.toml")),
            ("harbour/readings.csv", &read("readings.csv")),
            ("harbour/after.csv", &read("after.csv")),
            ("harbour/work.toml", &read("work.toml")),
        ],
    );
    path
}

/// The id in "Imported as job ID: …".
fn imported(zip: &str, data: &str) -> String {
    let words = told(&lapwing(&["import", zip, "--data", data]));
    let rest = words.split("as job ").nth(1).expect("an id");
    rest.split(':').next().expect("an id").to_owned()
}

#[test]
fn a_job_goes_out_and_comes_in_without_loss() {
    let folder = tempfile::tempdir().expect("a folder");
    let (first, second) = (place(folder.path(), "a"), place(folder.path(), "b"));
    let job = imported(&job_zip(folder.path()), &first);
    let (out, again) = (
        place(folder.path(), "out.zip"),
        place(folder.path(), "again.zip"),
    );
    told(&lapwing(&["export", &job, &out, "--data", &first]));
    assert_eq!(imported(&out, &second), job);
    told(&lapwing(&["export", &job, &again, "--data", &second]));
    assert_eq!(
        std::fs::read(&out).expect("read"),
        std::fs::read(&again).expect("read"),
        "the same job is the same bytes"
    );
    let mut zip = zip::ZipArchive::new(std::fs::File::open(&out).expect("open")).expect("a zip");
    for name in ["job.toml", "readings.csv", "after.csv", "work.toml"] {
        let mut text = String::new();
        std::io::Read::read_to_string(&mut zip.by_name(name).expect(name), &mut text)
            .expect("text");
        assert_eq!(
            text,
            std::fs::read_to_string(format!("{HARBOUR}/{name}")).expect("read"),
            "{name}"
        );
    }
    refused(&["export", &job, &out, "--data", &first], "exists");
    refused(
        &[
            "export",
            "nobody",
            &place(folder.path(), "n.zip"),
            "--data",
            &first,
        ],
        "no job \"nobody\"",
    );
}

#[test]
fn a_backup_is_restored_into_an_empty_place_and_nowhere_else() {
    let folder = tempfile::tempdir().expect("a folder");
    let (data, copy, back) = (
        place(folder.path(), "data"),
        place(folder.path(), "copy"),
        place(folder.path(), "back"),
    );
    let job = imported(&job_zip(folder.path()), &data);
    assert!(told(&lapwing(&["verify", "--data", &data])).contains("All is well"));
    let words = told(&lapwing(&["backup", &copy, "--data", &data]));
    assert!(
        words.contains("1 job") && words.contains("lapwing restore"),
        "{words}"
    );
    refused(&["backup", &copy, "--data", &data], "exists");
    let words = told(&lapwing(&["restore", &copy, "--data", &back]));
    assert!(
        words.contains("all of it was found again: 1 shop, 1 job"),
        "{words}"
    );
    refused(&["restore", &copy, "--data", &back], "holds a shop already");
    let (a, b) = (place(folder.path(), "a.zip"), place(folder.path(), "b.zip"));
    told(&lapwing(&["export", &job, &a, "--data", &data]));
    told(&lapwing(&["export", &job, &b, "--data", &back]));
    assert_eq!(
        std::fs::read(&a).expect("read"),
        std::fs::read(&b).expect("read")
    );
}

#[test]
fn a_damaged_backup_is_not_restored() {
    let folder = tempfile::tempdir().expect("a folder");
    let (data, copy) = (place(folder.path(), "data"), place(folder.path(), "copy"));
    imported(&job_zip(folder.path()), &data);
    told(&lapwing(&["backup", &copy, "--data", &data]));
    let events = format!("{copy}/tables/events.jsonl");
    let text = std::fs::read_to_string(&events).expect("read");
    std::fs::write(&events, text.replacen("Harbour", "Harbor", 1)).expect("written");
    refused(
        &["restore", &copy, "--data", &place(folder.path(), "new")],
        "changed after the backup",
    );
}

#[test]
fn where_nothing_is_nothing_is_made() {
    let folder = tempfile::tempdir().expect("a folder");
    let nowhere = place(folder.path(), "nowhere");
    let file = place(folder.path(), "x");
    refused(&["verify", "--data", &nowhere], "no shop's data here");
    refused(
        &["backup", &file, "--data", &nowhere],
        "no shop's data here",
    );
    refused(
        &["export", "j", &file, "--data", &nowhere],
        "no shop's data here",
    );
    refused(&["restore", &file, "--data", &nowhere], "this is no backup");
    refused(&["import", &file, "--data", &nowhere], "cannot be read");
    assert!(!Path::new(&nowhere).exists() && !Path::new(&file).exists());
}

#[test]
fn zips_that_play_tricks_are_turned_away_and_leave_nothing() {
    let folder = tempfile::tempdir().expect("a folder");
    let data = place(folder.path(), "data");
    let bad = place(folder.path(), "bad.zip");
    zip(
        &bad,
        &[("job.toml", b"schema = 1"), ("../../evil.toml", b"x")],
    );
    refused(&["import", &bad, "--data", &data], "evil.toml");
    assert!(!folder.path().join("evil.toml").exists());
    zip(&bad, &[("notes.txt", b"hello")]);
    refused(&["import", &bad, "--data", &data], "job.toml");
    // A bomb: 200 MB of nothing in a few hundred kB.
    zip(&bad, &[("job.toml", &vec![0; 200 << 20])]);
    assert!(std::fs::metadata(&bad).expect("there").len() < 1 << 20);
    refused(&["import", &bad, "--data", &data], "");
    std::fs::write(&bad, b"PK\x03\x04 nonsense").expect("written");
    refused(&["import", &bad, "--data", &data], "");
    assert!(told(&lapwing(&["verify", "--data", &data])).contains("0 jobs"));
}

#[test]
fn on_a_terminal_a_copy_tells_how_far_it_is_and_elsewhere_it_is_quiet() {
    let folder = tempfile::tempdir().expect("a folder");
    let (data, copy) = (place(folder.path(), "data"), place(folder.path(), "copy"));
    told(&lapwing(&[
        "import",
        &job_zip(folder.path()),
        "--data",
        &data,
    ]));
    let program = env!("CARGO_BIN_EXE_lapwing");
    // script(1) gives the program a terminal and writes down what it draws.
    let drawn = |line: &str| {
        let seen = std::process::Command::new("script")
            .args(["-qec", line, "/dev/null"])
            .env("TERM", "xterm")
            .output()
            .expect("script runs");
        told(&seen)
    };
    let seen = drawn(&format!("{program} backup {copy} --data {data}"));
    assert!(seen.contains("copying") && seen.contains(" rows"), "{seen}");
    assert!(seen.contains(" 100 %"), "{seen}");
    assert!(seen.contains("Backed up"), "{seen}");
    let other = place(folder.path(), "other");
    let seen = drawn(&format!("{program} restore {copy} --data {other}"));
    assert!(seen.contains("bringing back"), "{seen}");
    assert!(seen.contains("jobs and photos"), "{seen}");
    let quiet = lapwing(&["verify", "--data", &other]);
    assert_eq!(said(&quiet), "", "nobody watches");
}
