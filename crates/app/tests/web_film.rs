//! Film at both doors, and uploads of every bad kind.

#![allow(
    clippy::disallowed_methods,
    reason = "the test sends the example's files"
)]

mod bay;

use std::process::Command;

use bay::{Server, multipart};
use serde_json::Value;

const READINGS: &str = concat!(
    env!("CARGO_MANIFEST_DIR"),
    "/../../examples/harbour-estate/readings.csv"
);

#[test]
fn both_doors_give_the_same_document() {
    // Away from its job, which the web door does not see either.
    let folder = tempfile::tempdir().expect("a folder");
    let alone = folder.path().join("readings.csv").display().to_string();
    std::fs::copy(READINGS, &alone).expect("copied");
    let output = Command::new(env!("CARGO_BIN_EXE_lapwing"))
        .args(["film", &alone, "--json"])
        .output()
        .expect("it runs");
    let of_line: Value = serde_json::from_slice(&output.stdout).expect("one document");
    let server = Server::start();
    let bytes = std::fs::read(READINGS).expect("read");
    let answer = server.send("POST", "/api/film", &[], &bytes);
    assert_eq!(answer.status, 200, "{}", answer.text());
    let of_web: Value = serde_json::from_slice(&answer.body).expect("one document");
    assert_eq!(of_web, of_line);
}

#[test]
fn readings_come_pasted_or_as_a_file_and_show_on_the_car() {
    let server = Server::start();
    let table = "panel,thickness_um\nbonnet,112\nbonnet,108\nbonnet,110\n";
    for parts in [
        vec![
            ("readings", None, table.as_bytes()),
            ("class", None, b"saloon"),
        ],
        vec![("file", Some("mine.csv"), table.as_bytes())],
    ] {
        let (kind, body) = multipart(&parts);
        let answer = server.send("POST", "/film", &[("content-type", &kind)], &body);
        assert_eq!(answer.status, 200, "{}", answer.text());
        let text = answer.text();
        assert!(text.contains("data-panel=\"bonnet\""));
        assert!(text.contains("Rule that binds"));
    }
}

#[test]
fn a_bad_upload_gets_a_sentence_that_names_its_line() {
    let server = Server::start();
    let send = |name: Option<&str>, bytes: &[u8]| {
        let (kind, body) = multipart(&[("file", name, bytes)]);
        server.send("POST", "/film", &[("content-type", &kind)], &body)
    };
    for (bytes, expected) in [
        (b"panel,thickness_um\nbonnet,abc\n".as_slice(), "line 2"),
        (b"\xff\x00\xfe\x01 not a table", "<script>.csv"),
        (b"panel,thickness_um\n", "<script>.csv"),
        (b"", "No readings came"),
    ] {
        let answer = send(Some("<script>.csv"), bytes);
        assert_eq!(answer.status, 422, "{}", answer.text());
        let text = answer.text().replace("&lt;", "<").replace("&gt;", ">");
        assert!(text.contains(expected), "{expected}: {text}");
        assert!(!answer.text().contains("<script>.csv"));
    }
    let broken = b"--x\r\ncontent-disposition: form-data; name=\"file\"\r\n\r\nno end";
    let kind = ("content-type", "multipart/form-data; boundary=x");
    assert_eq!(server.send("POST", "/film", &[kind], broken).status, 400);
    let kind = ("content-type", "multipart/form-data");
    assert_eq!(server.send("POST", "/film", &[kind], broken).status, 400);
}
