//! The day's dose at both doors.

#![allow(
    clippy::disallowed_methods,
    reason = "the test sends the example's file"
)]

mod bay;

use std::process::Command;

use bay::Server;
use serde_json::Value;

const DAY: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples/day.toml");

#[test]
fn both_doors_give_the_same_document() {
    let output = Command::new(env!("CARGO_BIN_EXE_lapwing"))
        .args(["exposure", DAY, "--json"])
        .output()
        .expect("it runs");
    let of_line: Value = serde_json::from_slice(&output.stdout).expect("one document");
    let server = Server::start();
    let text = std::fs::read(DAY).expect("read");
    let answer = server.send("POST", "/api/exposure", &[], &text);
    let of_web: Value = serde_json::from_slice(&answer.body).expect("one document");
    assert_eq!(of_web, of_line);
}

#[test]
fn a_day_typed_in_adds_up_as_the_health_and_safety_table_does() {
    let server = Server::start();
    // HSE ready-reckoner: 4 m/s² for 2 h and 6 m/s² for 1 h are 64 and 72 points,
    // together 136.
    let text = server
        .get("/exposure?rule=as-it-stands&what=a&vibration_m_s2=4&unsure_m_s2=0&noise_db=80&minutes=120&what=b&vibration_m_s2=6&unsure_m_s2=0&noise_db=80&minutes=60")
        .text();
    assert!(text.contains("136 points"), "{text}");
    assert!(text.contains("The action value is reached"));
}

#[test]
fn a_day_that_cannot_be_is_refused_in_words() {
    let server = Server::start();
    for (query, words) in [
        ("vibration_m_s2=abc&minutes=10", "which is not a number"),
        (
            "vibration_m_s2=4&noise_db=80&minutes=1500",
            "allowed is 0 to 1",
        ),
        (
            "vibration_m_s2=&noise_db=80&minutes=10",
            "\"Vibration\" is empty",
        ),
        (
            "vibration_m_s2=4&noise_db=&minutes=10",
            "\"At the ear\" is empty",
        ),
        (
            "vibration_m_s2=4&noise_db=80&minutes=",
            "\"Finger on the switch\" is empty",
        ),
        ("vibration_m_s2=-4&minutes=10", "allowed is 0 to 60"),
    ] {
        let answer = server.get(&format!("/exposure?what=x&{query}"));
        assert_eq!(answer.status, 422, "{query}");
        let text = answer.text().replace("&quot;", "\"");
        assert!(text.contains(words), "{text}");
        // In place: what was typed stands there again.
        assert!(text.contains("name=\"what\" value=\"x\""), "{text}");
    }
    let german = [("accept-language", "de")];
    let path = "/exposure?what=x&vibration_m_s2=&noise_db=80&minutes=10";
    let answer = server.send("GET", path, &german, b"");
    assert!(
        answer.text().contains("leer ist nicht 0"),
        "{}",
        answer.text()
    );
}

#[test]
fn an_uncertainty_left_empty_is_the_command_lines_usual_one() {
    let server = Server::start();
    let day = b"[[use]]\nvibration = \"4 m/s2\"\nnoise = \"80 dB\"\ntime = \"120 min\"\n";
    let answer = server.send("POST", "/api/exposure", &[], day);
    let line: Value = serde_json::from_slice(&answer.body).expect("one document");
    let points = line["points"].as_f64().expect("points");
    let page = server.get("/exposure?what=x&vibration_m_s2=4&noise_db=80&minutes=120");
    let wanted = format!("{points:.0} points");
    assert!(page.text().contains(&wanted), "{wanted}: {}", page.text());
}
