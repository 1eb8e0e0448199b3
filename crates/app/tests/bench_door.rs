//! `lapwing bench` as a person uses it: good and bad setups, maps, two passes.
//!
//! Checked here: exit codes, one sentence on standard error, the agreed keys,
//! and that nothing half-written stays behind.

#![allow(
    clippy::disallowed_methods,
    reason = "these tests write input files and run the program"
)]

mod program;

use std::process::Command;

use program::lapwing;

const SETUPS: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples/bench");

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
    let moment = &answer["history"][0];
    let point = &answer["profile"][0];
    let above = &answer["heat"]["seconds_above"][0];
    for number in [
        &moment["t_s"],
        &moment["under_pad_c"],
        &moment["hottest_c"],
        &point["across_m"],
        &point["removal_um"],
        &above["limit_c"],
        &above["max_s"],
        &above["at"]["x_m"],
        &answer["heat"]["convection"][0]["panel_c"],
    ] {
        assert!(number.is_number(), "{number}");
    }
}

fn said(arguments: &[&str]) -> String {
    let output = lapwing(arguments);
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    String::from_utf8_lossy(&output.stdout).into_owned()
}

fn refused(arguments: &[&str], expected: &[&str]) {
    let output = lapwing(arguments);
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!(output.status.code(), Some(2), "{said}");
    for part in expected {
        assert!(said.contains(part), "{said}\nmisses {part}");
    }
    assert!(
        !said.contains("panicked") && output.stdout.is_empty(),
        "{said}"
    );
}

#[test]
fn a_key_varied_gives_a_table_rows_and_a_chart() {
    let folder = tempfile::tempdir().expect("a folder");
    let out = folder.path().join("out").display().to_string();
    let setup = format!("{SETUPS}/rotary-on-steel.toml");
    let tilt = [
        "bench",
        &setup,
        "--quick",
        "--vary",
        "touch.tilt=0deg..6deg/4",
    ];
    let table = said(&[&tilt[..], &["--out", &out]].concat());
    assert!(table.starts_with("touch.tilt, deg"), "{table}");
    assert!(folder.path().join("out/vary.svg").is_file());
    let answer: serde_json::Value =
        serde_json::from_str(&said(&[&tilt[..], &["--json"]].concat())).expect("one document");
    let vary = &answer["vary"];
    assert_eq!(vary["keys"][0]["key"], "touch.tilt");
    let rows = vary["rows"].as_array().expect("rows");
    let peaks: Vec<f64> = rows
        .iter()
        .filter_map(|r| r["heat"]["peak_c"].as_f64())
        .collect();
    assert!(
        peaks.len() == 4 && peaks.windows(2).all(|pair| pair[0] < pair[1]),
        "{peaks:?}"
    );
    assert_eq!(rows[1]["values"][0], 2.0);
    // The flat pad of the series is the single pass itself, but for the way the
    // balance of the leaning pad is found.
    let single = answer["heat"]["peak_c"].as_f64().expect("a number");
    assert!((peaks[0] - single).abs() < 0.01, "{} {single}", peaks[0]);
}

#[test]
fn two_keys_give_grids_and_heat_maps() {
    let folder = tempfile::tempdir().expect("a folder");
    let out = folder.path().join("out").display().to_string();
    let setup = format!("{SETUPS}/bonnet-standing-still.toml");
    let told = said(&[
        "bench",
        &setup,
        "--quick",
        "--vary",
        "touch.force=20N..60N/3",
        "--vary",
        "stroke.duration=2s..8s/2",
        "--us",
        "--out",
        &out,
    ]);
    assert!(
        told.contains("Hottest, °F") && !told.contains("°C"),
        "{told}"
    );
    for name in ["vary-removal.svg", "vary-heat.svg"] {
        assert!(folder.path().join("out").join(name).is_file(), "{name}");
    }
    // A pad that stands still has no unevenness of its path.
    assert!(!folder.path().join("out/vary-unevenness.svg").exists());
}

#[test]
fn what_cannot_be_varied_is_refused_and_says_why() {
    let setup = format!("{SETUPS}/rotary-on-steel.toml");
    for (asked, expected) in [
        ("touch.tild=0deg..6deg/13", "did you mean touch.tilt?"),
        ("machine.kind=1..2/2", "is a word and not a number"),
        ("touch.tilt=0..6/13", "the ends have no unit"),
        ("touch.tilt=0deg..6deg/1", "2 to 200"),
        ("touch.tilt=0deg..6deg/500", "2 to 200"),
        ("touch.tilt=6deg..6deg/5", "one value only"),
        ("stroke.overlap=0.5..1.2/8", "with stroke.overlap = 1, "),
    ] {
        refused(&["bench", &setup, "--vary", asked], &[expected]);
    }
    let other = format!("{SETUPS}/leaned.toml");
    refused(
        &[
            "bench",
            &setup,
            "--compare",
            &other,
            "--vary",
            "touch.tilt=0deg..6deg/3",
        ],
        &["cannot be used with"],
    );
}

#[test]
fn every_example_is_worked_out_and_begins_with_a_remark() {
    for name in [
        "rotary-on-steel",
        "leaned",
        "bumper-plastic",
        "bonnet-standing-still",
        "hurried-arm",
        "by-hand",
    ] {
        let setup = format!("{SETUPS}/{name}.toml");
        let told = said(&["bench", &setup, "--quick"]);
        assert!(
            told.starts_with("Takes off") && told.contains("Gets hot"),
            "{told}"
        );
        let text = std::fs::read_to_string(&setup).expect("read");
        assert!(
            text.starts_with("# ") && text.contains("Invented."),
            "{name}"
        );
    }
    let hurried = said(&["bench", &format!("{SETUPS}/hurried-arm.toml"), "--quick"]);
    assert!(
        hurried.contains(" mil") && hurried.contains("°F") && !hurried.contains("µm"),
        "{hurried}"
    );
}

/// A signal in the middle of long work: nothing is left behind.
#[cfg(unix)]
#[test]
fn being_stopped_leaves_nothing_half_written() {
    let folder = tempfile::tempdir().expect("a folder");
    let out = folder.path().join("out");
    for extra in [&["--vary", "touch.force=20N..60N/200"][..], &[]] {
        // Hours of work, if nobody stops it.
        let text = std::fs::read_to_string(format!("{SETUPS}/rotary-on-steel.toml"))
            .expect("read")
            .replace(
                "passes = 4",
                "passes = 100\n[heat]\ncells = [200, 200, 12]\nstep = \"0.02 s\"",
            );
        let setup = folder.path().join("long.toml");
        std::fs::write(&setup, text).expect("written");
        let child = Command::new(env!("CARGO_BIN_EXE_lapwing"))
            .args([
                "bench",
                &setup.display().to_string(),
                "--out",
                &out.display().to_string(),
            ])
            .args(extra)
            .stdout(std::process::Stdio::piped())
            .stderr(std::process::Stdio::piped())
            .spawn()
            .expect("the program starts");
        std::thread::sleep(std::time::Duration::from_secs(1));
        let signalled = Command::new("kill")
            .args(["-INT", &child.id().to_string()])
            .status()
            .expect("kill is there");
        assert!(signalled.success());
        let output = child.wait_with_output().expect("it ends");
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(130), "{said}");
        assert!(said.contains("nothing was written"), "{said}");
        assert!(!out.exists() && output.stdout.is_empty());
    }
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
        said.contains("Set differently in the second: touch.eccentricity 0.5 instead of 0.0."),
        "{said}"
    );
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
    for name in [
        "bench.json",
        "removal.svg",
        "heat.svg",
        "profile.svg",
        "history.svg",
    ] {
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
