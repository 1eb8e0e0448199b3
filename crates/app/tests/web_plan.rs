//! The plan at both doors: the example in the binary and files sent in.

#![allow(
    clippy::disallowed_methods,
    reason = "the test sends the example's files"
)]

mod bay;

use std::process::Command;

use bay::{Server, multipart};
use serde_json::Value;

const FOLDER: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples/harbour-estate");

#[test]
fn the_example_is_the_same_plan_at_every_door() {
    let output = Command::new(env!("CARGO_BIN_EXE_lapwing"))
        .args(["plan", FOLDER, "--json"])
        .output()
        .expect("it runs");
    let of_line = strip(serde_json::from_slice(&output.stdout).expect("one document"));
    let server = Server::start();
    let built_in = server.get("/plan/harbour-estate/plan.json");
    let built_in: Value = serde_json::from_slice(&built_in.body).expect("one document");
    assert_eq!(strip(built_in), of_line);
    let job = std::fs::read(format!("{FOLDER}/job.toml")).expect("read");
    let readings = std::fs::read(format!("{FOLDER}/readings.csv")).expect("read");
    let (kind, body) = multipart(&[
        ("job", Some("job.toml"), &job),
        ("readings", Some("readings.csv"), &readings),
    ]);
    let sent = server.send("POST", "/api/plan", &[("content-type", &kind)], &body);
    let sent: Value = serde_json::from_slice(&sent.body).expect("one document");
    assert_eq!(strip(sent), of_line);
    let led = server.send("POST", "/plan", &[("content-type", &kind)], &body);
    assert_eq!(led.status, 303);
    let page = server.get(led.header("location").expect("a page"));
    assert_eq!(page.status, 200);
    let gross = of_line["price"]["gross"].as_f64().expect("a price");
    let shown = format!("{gross:.2}");
    let bare = page.text().replace('\u{202f}', "");
    assert!(bare.contains(&shown), "{shown}");
}

/// Files have other names at the doors; that is all that may differ.
fn strip(mut document: Value) -> Value {
    let name = |text: &str| text.rsplit('/').next().unwrap_or(text).to_owned();
    for caution in document["cautions"].as_array_mut().expect("cautions") {
        let place = caution["place"].as_str().map(name);
        caution["place"] = place.into();
    }
    document
}

#[test]
fn the_sheet_is_a_pdf_and_the_page_shows_the_car() {
    let server = Server::start();
    let pdf = server.get("/plan/harbour-estate/plan.pdf");
    assert_eq!(
        (pdf.status, pdf.header("content-type")),
        (200, Some("application/pdf"))
    );
    assert!(pdf.body.starts_with(b"%PDF-"));
    let text = server.get("/plan/harbour-estate").text();
    for word in [
        "data-panel=\"bonnet\"",
        "What stays, and why",
        "To pay",
        "8 times in 10",
        "Materials",
    ] {
        assert!(text.contains(word), "{word}");
    }
}

#[test]
fn missing_broken_and_unknown_plans_get_sentences() {
    let server = Server::start();
    assert_eq!(server.get("/plan/0123456789abcdef").status, 404);
    assert_eq!(server.get("/plan/harbour-estate/plan.exe").status, 404);
    assert_eq!(server.get("/plan/..%2F..%2Fetc/passwd").status, 404);
    let (kind, body) = multipart(&[("job", Some("job.toml"), b"schema = 1\n")]);
    let answer = server.send("POST", "/plan", &[("content-type", &kind)], &body);
    assert_eq!(answer.status, 422);
    assert!(answer.text().contains("Two files are needed"));
    let (kind, body) = multipart(&[
        ("job", Some("job.toml"), b"schema = \"one\"\n"),
        (
            "readings",
            Some("readings.csv"),
            b"panel,thickness_um\nroof,100\n",
        ),
    ]);
    let answer = server.send("POST", "/plan", &[("content-type", &kind)], &body);
    assert_eq!(answer.status, 422);
    assert!(
        answer.text().contains("job.toml, line 1"),
        "{}",
        answer.text()
    );
}
