//! `lapwing trial` as a person uses it: good and bad spots, files, history.
//!
//! Checked here: exit codes, one sentence on standard error, the agreed keys,
//! and that what is written can be read again.

#![allow(
    clippy::disallowed_methods,
    reason = "these tests write input files and run the program"
)]

mod program;

use std::fs;

use program::lapwing;

const SPOT: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples/trial.toml");

#[test]
fn the_answer_is_one_json_document_with_the_agreed_keys() {
    let output = lapwing(&["trial", SPOT, "--json"]);
    assert!(output.status.success());
    let answer: serde_json::Value = serde_json::from_slice(&output.stdout).expect("one document");
    for key in [
        "/removed_um/mean",
        "/removed_um/sd",
        "/removed_um/lower_95",
        "/removed_um/upper_95",
        "/pairs_needed_for_1um",
        "/cut_rate_per_pa/mean",
        "/cut_rate_per_pa/lower_95",
        "/cut_rate_per_pa/upper_95",
        "/scratch_depth_um/p50",
        "/scratch_depth_um/p80",
        "/scratch_depth_um/p95",
        "/curve/0/correction_pct",
        "/curve/0/correction_lower_pct",
        "/curve/0/correction_upper_pct",
        "/curve/0/removal_um",
        "/curve/0/passes",
        "/curve/0/minutes",
        "/curve/0/clear_left_um",
        "/curve/0/clear_left_lower_95_um",
        "/curve/0/peak_c",
    ] {
        let number = answer.pointer(key);
        assert!(number.is_some_and(serde_json::Value::is_number), "{key}");
    }
    assert!(answer["detectable"].is_boolean() && answer["advice"].is_array());
}

#[test]
fn what_is_written_holds_the_curve_the_sheet_and_a_history_that_reads_back() {
    let folder = tempfile::tempdir().expect("a folder");
    let out = folder.path().join("first");
    let output = lapwing(&["trial", SPOT, "--out", &out.display().to_string()]);
    assert!(output.status.success());
    let said = String::from_utf8_lossy(&output.stdout).into_owned();
    assert!(said.contains('━') && said.contains("Took off"), "{said}");
    assert!(fs::read(out.join("trial.pdf")).is_ok_and(|pdf| pdf.starts_with(b"%PDF-")));
    assert!(fs::read_to_string(out.join("curve.svg")).is_ok_and(|svg| svg.contains("may go")));
    // The next car starts from what this one taught.
    let next =
        fs::read_to_string(SPOT).expect("the example") + "\n[shop]\nhistory = \"history.toml\"\n";
    fs::write(out.join("next.toml"), next).expect("written");
    let second = lapwing(&[
        "trial",
        &out.join("next.toml").display().to_string(),
        "--json",
    ]);
    let answer: serde_json::Value = serde_json::from_slice(&second.stdout).expect("one document");
    assert_eq!(answer["cut_rate_per_pa"]["prior_origin"], "shop history");
}

#[test]
fn a_spot_that_cannot_be_true_ends_with_2_and_one_sentence() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("trial.toml");
    let text = fs::read_to_string(SPOT).expect("the example");
    fs::write(&path, text.replacen("115.4 um", "128.4 um", 1)).expect("written");
    let output = lapwing(&["trial", &path.display().to_string(), "--json"]);
    assert_eq!(output.status.code(), Some(2));
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(
        said.contains("paint does not grow") && said.lines().count() == 1,
        "{said}"
    );
    assert!(output.stdout.is_empty());
}

#[test]
fn mil_and_the_schema_come_when_asked_for() {
    let output = lapwing(&["trial", SPOT, "--us"]);
    let said = String::from_utf8_lossy(&output.stdout).into_owned();
    assert!(said.contains("mil") && said.contains("°F"), "{said}");
    assert!(!said.contains("µm") && !said.contains("°C"), "{said}");
    let schema = lapwing(&["schema", "trial"]);
    let schema: serde_json::Value = serde_json::from_slice(&schema.stdout).expect("one document");
    for key in ["gauge", "setup", "reading", "photo", "measured", "date"] {
        assert!(schema["properties"][key].is_object(), "{key}");
    }
}

#[test]
fn a_time_longer_than_the_way_is_said_and_a_good_spot_raises_no_other_alarm() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("trial.toml");
    let text = fs::read_to_string(SPOT).expect("the example");
    fs::write(&path, text.replacen("350 s", "900 s", 1)).expect("written");
    let output = lapwing(&["trial", &path.display().to_string()]);
    let said = String::from_utf8_lossy(&output.stdout).into_owned();
    assert!(said.contains("counted as pauses"), "{said}");
    assert!(!said.contains("guesses"), "{said}");
}

#[test]
fn a_spot_that_read_nothing_adds_nothing_to_the_history_and_says_so() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("trial.toml");
    let text = fs::read_to_string(SPOT).expect("the example");
    let head = text.split("[[reading]]").next().expect("a head");
    let blind = head
        .replace("time = \"350 s\"\n", "")
        .replace("surface_temperature = \"45 °C\"\n", "")
        .replace("thermometer = \"2 K\"\n", "");
    fs::write(&path, blind).expect("written");
    let out = folder.path().join("out");
    let [path, out_dir] = [&path, &out].map(|p| p.display().to_string());
    let output = lapwing(&["trial", &path, "--out", &out_dir]);
    assert!(output.status.success());
    let said = String::from_utf8_lossy(&output.stdout).into_owned();
    assert!(said.contains("taught next to nothing"), "{said}");
    let history = fs::read_to_string(out.join("history.toml")).expect("a history");
    assert!(!history.contains("[[trial]]"), "{history}");
}
