//! `lapwing bench` as a person uses it: good and bad setups, maps, two passes.
//!
//! Checked here: exit codes, one sentence on standard error, the agreed keys,
//! and that nothing half-written stays behind.

#![allow(
    clippy::disallowed_methods,
    reason = "these tests write input files and run the program"
)]

use std::process::{Command, Output};

const SETUPS: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples/bench");

fn lapwing(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_lapwing"))
        .args(arguments)
        .output()
        .expect("the program starts")
}

#[test]
fn the_answer_is_one_json_document_with_the_agreed_keys() {
    let output = lapwing(&["bench", &format!("{SETUPS}/rotary-on-steel.toml"), "--json"]);
    assert!(output.status.success());
    let answer: serde_json::Value = serde_json::from_slice(&output.stdout).expect("one document");
    for key in [
        "/time_s",
        "/path_m",
        "/removal/mean_um",
        "/removal/interior_mean_um",
        "/removal/min_um",
        "/removal/max_um",
        "/removal/cv",
        "/heat/peak_c",
        "/heat/peak_rise_k",
        "/heat/peak_at/x_m",
        "/heat/peak_at/y_m",
        "/heat/peak_at/t_s",
        "/heat/energy_in_j",
        "/heat/energy_stored_j",
        "/heat/energy_lost_j",
        "/pressure/mean_kpa",
        "/pressure/max_kpa",
        "/pressure/contact_frac",
        "/speed/mean_m_s",
        "/speed/max_m_s",
    ] {
        assert!(
            answer
                .pointer(key)
                .is_some_and(serde_json::Value::is_number),
            "{key}"
        );
    }
    assert!(answer["cautions"].is_array());
}

#[test]
fn two_passes_are_told_apart_in_words() {
    let other = format!("{SETUPS}/leaned.toml");
    let output = lapwing(&[
        "bench",
        &format!("{SETUPS}/rotary-on-steel.toml"),
        "--compare",
        &other,
    ]);
    let said = String::from_utf8_lossy(&output.stdout).into_owned();
    assert!(
        said.contains("Hardest pressed place: 3.6 times as much"),
        "{said}"
    );
    assert!(said.contains("hotter at its hottest"), "{said}");
    assert!(
        said.lines().all(|line| line.chars().count() <= 100),
        "{said}"
    );
}

#[test]
fn out_writes_the_maps_and_a_refusal_writes_nothing() {
    let folder = tempfile::tempdir().expect("a folder");
    let out = folder.path().join("out");
    let good = format!("{SETUPS}/rotary-on-steel.toml");
    let written = out.display().to_string();
    assert!(
        lapwing(&["bench", &good, "--out", &written])
            .status
            .success()
    );
    for name in ["bench.json", "removal.svg", "heat.svg", "history.svg"] {
        assert!(out.join(name).is_file(), "{name}");
    }
    let text = std::fs::read_to_string(&good)
        .expect("read")
        .replace("40 N", "5 kN");
    let bad = folder.path().join("bad.toml");
    std::fs::write(&bad, text).expect("written");
    let never = folder.path().join("never");
    let output = lapwing(&[
        "bench",
        &bad.display().to_string(),
        "--out",
        &never.display().to_string(),
    ]);
    assert_eq!(output.status.code(), Some(2));
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(
        said.contains("touch.force is \"5 kN\"; allowed is 1 to 500 N"),
        "{said}"
    );
    assert!(!never.exists() && output.stdout.is_empty());
}
