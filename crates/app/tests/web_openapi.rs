//! The description of the JSON interface, and a generator of hostile requests
//! that reads it: no answer may be our fault.

#![allow(clippy::disallowed_methods, reason = "these tests run the program")]

mod bay;

use std::path::Path;
use std::process::Command;

use bay::Server;
use serde_json::Value;

#[test]
fn every_json_address_is_described_and_the_description_is_whole() {
    let server = Server::start();
    let answer = server.get("/api/openapi.json");
    assert_eq!(answer.status, 200);
    let document: Value = serde_json::from_slice(&answer.body).expect("JSON");
    assert_eq!(document["openapi"], "3.1.0");
    let output = Command::new(env!("CARGO_BIN_EXE_lapwing"))
        .args(["schema", "routes"])
        .output()
        .expect("it runs");
    let doors: Vec<Value> = serde_json::from_slice(&output.stdout).expect("JSON");
    let of_api = doors.iter().filter(|door| {
        let path = door["path"].as_str().unwrap_or_default();
        path.starts_with("/api/") && path != "/api/openapi.json"
    });
    let mut count = 0;
    for door in of_api {
        let path = door["path"].as_str().expect("a path");
        let method = door["method"].as_str().expect("a method").to_lowercase();
        let operation = &document["paths"][path][&method];
        assert!(operation["summary"].is_string(), "{door} is not described");
        assert!(operation["responses"]["4XX"].is_object(), "{door}");
        count += 1;
    }
    assert!(count >= 5, "{count}");
}

/// Runs where `./check` has put the pinned generator into `target/venv`.
#[test]
fn hostile_requests_of_a_generator_never_meet_a_fault() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    let own = std::env::var("LAPWING_SCHEMATHESIS").ok();
    let program = own.map_or_else(|| root.join("target/venv/bin/schemathesis"), Into::into);
    if !program.exists() {
        assert!(
            std::env::var("CI").is_err(),
            "{} is not there",
            program.display()
        );
        eprintln!(
            "NOT RUN: {} is not there; ./check installs it.",
            program.display()
        );
        return;
    }
    let server = Server::start();
    // The job that the description names as an example.
    let opened = server.post("/jobs/example", "edit=example-0001&saw=0");
    assert_eq!(opened.header("location"), Some("/jobs/j-example-0001"));
    let address = format!("http://{}/api/openapi.json", server.host);
    let output = Command::new(program)
        .args(["run", &address])
        .args(["--checks", "not_a_server_error"])
        .args(["--phases", "examples,coverage,fuzzing"])
        .args(["--max-examples", "25", "--seed", "20261125"])
        .args([
            "--request-timeout",
            "60",
            "--header",
            "Accept: application/json",
        ])
        .current_dir(std::env::temp_dir())
        .output()
        .expect("it runs");
    let said = String::from_utf8_lossy(&output.stdout).into_owned();
    assert!(output.status.success(), "{said}");
    assert!(
        said.contains("passed") && !said.contains("0 passed"),
        "{said}"
    );
    assert_eq!(server.get("/healthz").status, 200);
}
