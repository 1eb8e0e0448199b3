//! The owner's paper in German: its words, figures, dates and sentences, from
//! the same signed record as the English one.
//!
//! The text is read back with `pdftotext` (poppler), where it is installed.

#![allow(clippy::disallowed_methods, reason = "these tests run a program")]

mod bay;

use std::io::Write as _;
use std::process::{Command, Stdio};

use bay::Server;

/// The words of a paper, each line's gaps made one.
fn text_of(pdf: &[u8]) -> Option<String> {
    let mut child = Command::new("pdftotext")
        .args(["-layout", "-", "-"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .ok()?;
    let mut input = child.stdin.take()?;
    let bytes = pdf.to_vec();
    let writer = std::thread::spawn(move || drop(input.write_all(&bytes)));
    let output = child.wait_with_output().ok()?;
    writer.join().ok()?;
    let text = String::from_utf8_lossy(&output.stdout).into_owned();
    Some(text.split_whitespace().collect::<Vec<_>>().join(" "))
}

fn signed() -> (Server, String) {
    let server = Server::start();
    let job = bay::example(&server);
    bay::try_spot(&server, &job);
    let answer = server.post(
        &format!("{job}/defects"),
        "edit=mark-00001&panel=bonnet&kind=chip&extent=hand&note=",
    );
    assert_eq!(answer.status, 303);
    let answer = server.post(
        &format!("{job}/handover"),
        "edit=sign-00001&nothing=yes&doubt=yes",
    );
    assert_eq!(answer.status, 303, "{}", answer.text());
    (server, job)
}

#[test]
fn the_german_paper_speaks_german() {
    let (server, job) = signed();
    let paper = |language: &str| {
        let path = format!("{job}/handover/record.pdf?language={language}");
        let answer = server.get(&path);
        assert_eq!(answer.status, 200, "{}", answer.text());
        bay::keep(&format!("record-{language}.pdf"), &answer.body);
        answer.body
    };
    let (german, english) = (paper("de"), paper("en"));
    let (Some(german), Some(english)) = (text_of(&german), text_of(&english)) else {
        eprintln!("NOT RUN: pdftotext is not installed, so the paper was only looked at.");
        return;
    };
    for word in [
        "Lackprotokoll",
        "Motorhaube",
        "Was bleibt, und warum",
        "Gelassen, wie es war.",
        "Steinschlag, handbreit.",
        "Pflege",
        "Numbers after"
            .replace("Numbers after", "Zahlen nach ±")
            .as_str(),
        "Seite 1 von",
        "Halter",
    ] {
        assert!(german.contains(word), "{word} is missing: {german}");
    }
    for word in [
        "What remains",
        "Bonnet",
        "taken off",
        "Left as it was",
        "may go",
        "How to keep",
        "Caution",
        "page 1",
        "The median",
        "not noted",
        "panels polished",
    ] {
        assert!(!german.contains(word), "{word} in German: {german}");
        assert!(
            word == "Bonnet" || word == "may go" || word == "The median" || english.contains(word),
            "{word} is not in the English one"
        );
    }
    // The same figures, each with the decimal sign of its language.
    let figures = |text: &str, sign: char| -> Vec<String> {
        let is_digits = |part: &str| !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit());
        let is_figure = |word: &&str| {
            let parts = word.split_once(sign);
            parts.is_some_and(|(whole, rest)| is_digits(whole) && is_digits(rest))
        };
        let words = text.split(' ').filter(is_figure);
        words.map(|w| w.replace(sign, ".")).collect()
    };
    let (comma, point) = (figures(&german, ','), figures(&english, '.'));
    assert!(comma.len() > 10, "{comma:?}");
    assert_eq!(comma, point);
}

#[test]
fn who_reads_german_gets_the_german_paper_and_the_way_to_the_other() {
    let (server, job) = signed();
    let german = [("accept-language", "de")];
    let page = server.send("GET", &format!("{job}/handover"), &german, b"");
    let page = page.text();
    assert!(
        page.contains("record.pdf?language=en") && page.contains("auf Englisch"),
        "{page}"
    );
    let own = server.send("GET", &format!("{job}/handover/record.pdf"), &german, b"");
    let asked = server.get(&format!("{job}/handover/record.pdf?language=de"));
    assert_eq!(own.body.len(), asked.body.len());
    assert_eq!(
        server
            .get(&format!("{job}/handover/record.pdf?language=xx"))
            .status,
        200
    );
}
