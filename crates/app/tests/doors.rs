//! The command line as a person uses it: whole commands, good and bad input.
//!
//! Checked here: exit codes 0 and 2, one sentence on standard error, one JSON
//! document on standard output, and that nothing half-written stays behind.

#![allow(
    clippy::disallowed_methods,
    reason = "these tests write input files and run the program"
)]

mod program;

use std::path::{Path, PathBuf};

use program::lapwing;

const HARBOUR: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples/harbour-estate");

fn refused(arguments: &[&str], expected: &str) {
    let output = lapwing(arguments);
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!(output.status.code(), Some(2), "{said}");
    assert!(said.contains(expected), "{said}");
    assert!(!said.contains("panicked"), "{said}");
    assert!(output.stdout.is_empty());
}

fn file(folder: &Path, name: &str, bytes: &[u8]) -> PathBuf {
    let path = folder.join(name);
    std::fs::write(&path, bytes).expect("written");
    path
}

fn harbour_with(folder: &Path, from: &str, to: &str) -> String {
    let text = std::fs::read_to_string(format!("{HARBOUR}/job.toml")).expect("read");
    assert!(text.contains(from), "{from}");
    file(folder, "job.toml", text.replacen(from, to, 1).as_bytes());
    std::fs::copy(
        format!("{HARBOUR}/readings.csv"),
        folder.join("readings.csv"),
    )
    .expect("copied");
    folder.display().to_string()
}

#[test]
fn the_plan_of_the_example_is_one_json_document_with_the_agreed_keys() {
    let output = lapwing(&["plan", HARBOUR, "--json"]);
    assert!(output.status.success());
    let plan: serde_json::Value = serde_json::from_slice(&output.stdout).expect("one document");
    let panel = &plan["panels"][0];
    for key in [
        "name",
        "substrate",
        "area_m2",
        "zone",
        "readings",
        "budget_um",
        "binding_rule",
        "clear_left_um",
        "verdict",
        "reason",
        "recipe",
        "sections",
        "minutes",
    ] {
        assert!(panel.get(key).is_some(), "{key}");
    }
    let step = &panel["recipe"][0];
    for key in [
        "step",
        "machine",
        "pad",
        "abrasive",
        "passes",
        "removal_um",
        "peak_c",
        "minutes",
    ] {
        assert!(step.get(key).is_some(), "{key}");
    }
    assert!(plan["hours"]["lower_80"].as_f64() < plan["hours"]["upper_80"].as_f64());
    for key in ["currency", "net", "tax", "gross", "floor"] {
        assert!(plan["price"].get(key).is_some(), "{key}");
    }
    for key in ["name", "day", "a8_m_s2", "points", "noise_lex8h_db"] {
        assert!(plan["people"][0].get(key).is_some(), "{key}");
    }
}

#[test]
fn the_repainted_wing_is_left_and_no_safe_limit_is_passed() {
    let output = lapwing(&["plan", HARBOUR, "--json"]);
    let plan: serde_json::Value = serde_json::from_slice(&output.stdout).expect("one document");
    let mut left = 0;
    for panel in plan["panels"].as_array().expect("panels") {
        if panel["verdict"] == "leave" {
            left += 1;
            assert!(panel["recipe"].as_array().expect("recipe").is_empty());
            continue;
        }
        let upper = panel["removal_um"]["upper_95"].as_f64().expect("removal");
        assert!(
            upper <= panel["budget_um"].as_f64().expect("budget"),
            "{}",
            panel["name"]
        );
        for step in panel["recipe"].as_array().expect("recipe") {
            assert!(step["peak_upper_c"].as_f64().expect("peak") <= 60.0);
        }
    }
    assert!(left >= 1);
}

#[test]
fn the_briefing_fits_a_hundred_columns() {
    let output = lapwing(&["plan", HARBOUR]);
    let text = String::from_utf8(output.stdout).expect("text");
    for line in text.lines() {
        assert!(line.chars().count() <= 100, "{line}");
    }
    assert!(!text.contains('\u{1b}'), "no colour into a pipe");
}

#[test]
fn out_writes_every_file_and_the_sheet_opens() {
    let place = tempfile::tempdir().expect("a folder");
    let out = place.path().join("out");
    let output = lapwing(&["plan", HARBOUR, "--out", &out.display().to_string()]);
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    for name in [
        "plan.json",
        "plan.pdf",
        "car.svg",
        "removal.svg",
        "heat.svg",
    ] {
        assert!(out.join(name).metadata().expect(name).len() > 500, "{name}");
    }
    assert!(
        std::fs::read(out.join("plan.pdf"))
            .expect("sheet")
            .starts_with(b"%PDF")
    );
}

#[test]
fn slips_in_the_job_get_a_sentence_with_place_and_remedy() {
    for (from, to, expected) in [
        ("speeds = [\"1000 rpm\"", "speeds = [\"1000\"", "no unit"),
        (
            "class = \"estate\"",
            "class = \"estaet\"",
            "did you mean \"estate\"?",
        ),
        ("kind = \"rotary\"", "kind = \"sander\"", "Allowed: rotary"),
    ] {
        let place = tempfile::tempdir().expect("a folder");
        let folder = harbour_with(place.path(), from, to);
        refused(&["plan", &folder], expected);
        refused(&["plan", &folder], "job.toml, line");
    }
}

#[test]
fn the_job_file_may_be_named_instead_of_its_folder() {
    let output = lapwing(&["plan", &format!("{HARBOUR}/job.toml"), "--json"]);
    assert!(output.status.success());
    let plan: serde_json::Value = serde_json::from_slice(&output.stdout).expect("one document");
    for key in [
        "repeatability_um",
        "pairs_for_1um",
        "change_seen_um",
        "provenance",
    ] {
        assert!(!plan["gauge"][key].is_null(), "{key}");
    }
    refused(
        &["plan", &format!("{HARBOUR}/readings.csv")],
        "this is a file",
    );
}

#[test]
fn every_panel_carries_the_chance_of_a_repaint() {
    let place = tempfile::tempdir().expect("a folder");
    let rows: String = [
        ("roof", 112),
        ("bonnet", 115),
        ("tailgate", 114),
        ("left sill", 240),
    ]
    .iter()
    .flat_map(|(panel, um)| (0..4).map(move |i| format!("{panel},{}\n", um + i)))
    .collect();
    let path = file(
        place.path(),
        "r.csv",
        format!("panel,thickness_um\n{rows}").as_bytes(),
    );
    let output = lapwing(&["film", &path.display().to_string(), "--json"]);
    let film: serde_json::Value = serde_json::from_slice(&output.stdout).expect("one document");
    let chance = |at: usize| film["panels"][at]["repaint_probability"].as_f64();
    assert!(chance(0) < Some(0.1) && chance(3) > Some(0.9));
    let found = &film["panels"][3]["found"][0];
    assert_eq!(found["kind"], "repaint");
    assert!(found["reason"].is_string() && found["probability"].is_number());
}

#[test]
fn a_plastic_panel_with_layer_readings_alone_gets_its_clear() {
    let place = tempfile::tempdir().expect("a folder");
    let rows =
        "panel,thickness_um,layer\nroof,112,\nfront bumper,31,clear\nfront bumper,33,clear\n";
    let path = file(place.path(), "r.csv", rows.as_bytes());
    let path = path.display().to_string();
    let output = lapwing(&["film", &path, "--substrate", "plastic", "--json"]);
    let film: serde_json::Value = serde_json::from_slice(&output.stdout).expect("one document");
    let bumper = &film["panels"][1];
    assert_eq!(bumper["name"], "front-bumper");
    assert_eq!(bumper["clear_left_um"]["provenance"], "measured");
    let mean_um = bumper["clear_left_um"]["mean"].as_f64().expect("stated");
    assert!((30.0..35.0).contains(&mean_um), "{mean_um}");
}

#[test]
fn missing_and_foreign_files_are_refused() {
    refused(&["plan", "/nowhere"], "there is no such folder");
    refused(&["film", "/nowhere.csv"], "cannot be read");
    let place = tempfile::tempdir().expect("a folder");
    for (bytes, expected) in [
        (&b""[..], "empty"),
        (&b"panel,thickness_um\n"[..], "reading"),
        (&b"panel,thickness_um\nroof,0.12\n"[..], "line 2"),
        (&b"panel,thickness_um\nroof,-5\n"[..], "line 2"),
        (&b"panel,thickness_um\nroof,NaN\n"[..], "line 2"),
        (&b"panel,thickness_um\nroof,1e400\n"[..], "line 2"),
        (&b"panel|thickness_um\nroof|100\n"[..], "column"),
        (&b"panel,thickness_um\nroof,\xff\xfe100\n"[..], "UTF-8"),
    ] {
        let path = file(place.path(), "r.csv", bytes);
        refused(&["film", &path.display().to_string()], expected);
    }
}

#[test]
fn a_panel_the_job_does_not_know_gets_the_nearest_name() {
    let place = tempfile::tempdir().expect("a folder");
    let folder = harbour_with(place.path(), "schema = 1", "schema = 1");
    file(
        place.path(),
        "readings.csv",
        b"panel,thickness_um\nrof,100\n",
    );
    refused(&["plan", &folder], "roof");
}

#[test]
fn a_folder_that_cannot_be_written_stays_as_it_was() {
    let place = tempfile::tempdir().expect("a folder");
    let out = file(place.path(), "taken", b"mine");
    refused(
        &["plan", HARBOUR, "--out", &out.display().to_string()],
        "cannot be written",
    );
    assert_eq!(std::fs::read(&out).expect("still there"), b"mine");
}

#[test]
fn fifty_thousand_readings_are_read_and_a_vast_file_is_refused() {
    let place = tempfile::tempdir().expect("a folder");
    let mut text = String::from("panel,thickness_um\n");
    for at in 0..50_000 {
        text += &format!("roof,{}\n", 100 + at % 7);
    }
    let path = file(place.path(), "many.csv", text.as_bytes());
    let output = lapwing(&["film", &path.display().to_string(), "--json"]);
    let film: serde_json::Value = serde_json::from_slice(&output.stdout).expect("one document");
    assert_eq!(film["panels"][0]["count"], 50_000);
    let vast = place.path().join("vast.csv");
    std::fs::File::create(&vast)
        .expect("made")
        .set_len(200 << 20)
        .expect("sized");
    refused(&["film", &vast.display().to_string()], "200 MB");
}

#[test]
fn the_310_among_116_is_a_finding_and_not_in_the_mean() {
    let place = tempfile::tempdir().expect("a folder");
    let path = file(place.path(), "r.csv", b"panel,thickness_um\nroof,112\nroof,115\nroof,118\nroof,117\nroof,116\nroof,114\nroof,119\nroof,113\nroof,310\nroof,116\n");
    let output = lapwing(&["film", &path.display().to_string(), "--json"]);
    let film: serde_json::Value = serde_json::from_slice(&output.stdout).expect("one document");
    let roof = &film["panels"][0];
    assert!((roof["mean_um"].as_f64().expect("mean") - 1040.0 / 9.0).abs() < 1e-9);
    assert_eq!(roof["outliers_um"][0], 310.0);
    assert_eq!(roof["count"], 10);
}

#[test]
fn a_panel_with_places_gets_a_map_and_its_owner_s_name() {
    let place = tempfile::tempdir().expect("a folder");
    let path = file(place.path(), "r.csv", b"panel,u_mm,v_mm,thickness_um\nHood,100,100,112\nHood,900,120,117\nHood,500,400,115\nHood,120,700,111\nHood,880,690,116\nroof,,,120\n");
    let out = place.path().join("maps");
    let command = [
        "film",
        &path.display().to_string(),
        "--map",
        &out.display().to_string(),
    ];
    let output = lapwing(&[&command[..], &["--json"]].concat());
    let film: serde_json::Value = serde_json::from_slice(&output.stdout).expect("one document");
    let hood = &film["panels"][0];
    assert_eq!(
        (&hood["name"], &hood["written"]),
        (&"bonnet".into(), &"Hood".into())
    );
    let grid = &hood["map"]["grid"];
    let cells = grid["columns"]
        .as_u64()
        .zip(grid["rows"].as_u64())
        .map(|(c, r)| c * r);
    let mean_um = hood["map"]["mean_um"].as_array().expect("cells");
    assert_eq!(cells, Some(mean_um.len() as u64));
    assert!(mean_um.iter().any(serde_json::Value::is_number));
    assert!(
        film["panels"][1]["no_map"]
            .as_str()
            .expect("why")
            .contains("u_mm and v_mm")
    );
    assert!(film["next_readings"].is_array());
    let svg = std::fs::read_to_string(out.join("bonnet.svg")).expect("a picture");
    assert!(svg.starts_with("<svg") && svg.contains("Hood (bonnet)"));
    assert!(!out.join("roof.svg").exists());
    let text = String::from_utf8(lapwing(&command).stdout).expect("text");
    assert!(text.contains("Hood (bonnet)") && text.contains("map on 5 places"));
}

#[test]
fn a_plastic_panel_s_line_says_that_its_build_is_assumed() {
    let place = tempfile::tempdir().expect("a folder");
    let path = file(place.path(), "r.csv", b"panel,thickness_um\nfront bumper,72\nfront bumper,75\nfront bumper,73\nfront bumper,74\nfront bumper,71\n");
    let output = lapwing(&[
        "film",
        &path.display().to_string(),
        "--substrate",
        "plastic",
    ]);
    let text = String::from_utf8(output.stdout).expect("text");
    let line = text
        .lines()
        .skip_while(|l| !l.starts_with("front bumper"))
        .nth(1);
    assert!(
        line.expect("a line").contains("assumed build for plastic"),
        "{text}"
    );
}

#[test]
fn the_schema_is_json_and_a_wrong_name_is_refused() {
    let output = lapwing(&["schema", "job"]);
    let schema: serde_json::Value = serde_json::from_slice(&output.stdout).expect("one document");
    assert!(schema["properties"]["panel"].is_object());
    refused(&["schema", "jobs"], "Allowed: job");
}

#[test]
fn a_day_adds_up_as_the_guide_says() {
    let place = tempfile::tempdir().expect("a folder");
    let path = file(place.path(), "day.toml", b"[[use]]\nwhat = \"polisher\"\nvibration = \"4 m/s2\"\nvibration_uncertainty = \"0 m/s2\"\nnoise = \"86 dB\"\ntime = \"4.5 h\"\n");
    let output = lapwing(&["exposure", &path.display().to_string(), "--json"]);
    let dose: serde_json::Value = serde_json::from_slice(&output.stdout).expect("one document");
    assert!(
        (dose["a8_m_s2"].as_f64().expect("a8") - 3.0).abs() < 0.05,
        "EU guide E.1"
    );
    assert_eq!(dose["action_value_reached"], true);
}

#[test]
fn a_map_with_nothing_to_draw_says_why_and_leaves_no_folder() {
    let folder = tempfile::tempdir().expect("a folder");
    let readings = file(
        folder.path(),
        "r.csv",
        b"panel,thickness_um\nroof,110\nroof,112\n",
    );
    let maps = folder.path().join("maps");
    let output = lapwing(&[
        "film",
        &readings.display().to_string(),
        "--map",
        &maps.display().to_string(),
    ]);
    assert!(output.status.success());
    let said = String::from_utf8_lossy(&output.stdout).replace('\n', " ");
    assert!(said.contains("nothing to draw"), "{said}");
    assert!(!maps.exists());
}

#[test]
fn film_with_the_job_has_the_budgets_of_the_plan() {
    let number = |arguments: &[&str]| -> Vec<(String, serde_json::Value)> {
        let output = lapwing(arguments);
        let said: serde_json::Value = serde_json::from_slice(&output.stdout).expect("one document");
        let panels = said["panels"].as_array().expect("panels").iter();
        panels
            .map(|p| (p["name"].to_string(), p["budget_um"].clone()))
            .collect()
    };
    let readings = format!("{HARBOUR}/readings.csv");
    let job = format!("{HARBOUR}/job.toml");
    let film = number(&["film", &readings, "--job", &job, "--json"]);
    let plan = number(&["plan", HARBOUR, "--json"]);
    let mut compared = 0;
    for (name, budget) in &film {
        let (_, planned) = plan.iter().find(|(n, _)| n == name).expect("planned");
        assert_eq!(budget, planned, "{name}");
        compared += 1;
    }
    assert!(compared > 10);
}

#[test]
fn the_plan_says_where_the_gauge_goes_next_or_that_nothing_would_change() {
    let output = lapwing(&["plan", HARBOUR, "--json"]);
    let plan: serde_json::Value = serde_json::from_slice(&output.stdout).expect("one document");
    let words = plan["next_words"].as_array().expect("sentences");
    assert!(!words.is_empty() && plan["next_readings"].is_array());
    let us = lapwing(&["plan", &format!("{HARBOUR}/../one-panel"), "--json"]);
    let us: serde_json::Value = serde_json::from_slice(&us.stdout).expect("one document");
    assert_eq!(us["panels"][0]["name"], "bonnet");
    assert_eq!(us["panels"][0]["spoken"], "Hood");
}
