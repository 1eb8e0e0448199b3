//! The machine's page, a backup at the press of a button, and a log that
//! tells nothing about people.

#![allow(
    clippy::disallowed_methods,
    reason = "these tests run the program and wait for it"
)]

mod bay;

use std::time::{Duration, Instant};

use bay::shop::{Device, Running};
use serde_json::Value;

#[test]
fn the_page_tells_how_the_machine_is_and_makes_a_whole_backup() {
    let (running, owner) = Running::owned();
    let before = running.get(&owner, "/operator").text();
    for word in [
        "answers in",
        "none yet",
        "GB",
        "0 waiting, 0 under way, 0 given up",
    ] {
        assert!(before.contains(word), "{word}: {before}");
    }
    assert!(before.contains(env!("CARGO_PKG_VERSION")), "{before}");
    let asked = running.post(&owner, "/operator/backup", "edit=copy-0001");
    assert_eq!(asked.header("location"), Some("/operator?task=copy-0001"));
    // A double tap is the same errand.
    let twice = running.post(&owner, "/operator/backup", "edit=copy-0001");
    assert_eq!(twice.status, 303);
    let since = Instant::now();
    while running.get(&owner, "/operator").text().contains("none yet") {
        assert!(since.elapsed() < Duration::from_secs(30), "no backup");
        std::thread::sleep(Duration::from_millis(50));
    }
    assert!(running.get(&owner, "/operator").text().contains("0 h ago"));
    let followed = running.get(&owner, "/operator?task=copy-0001").text();
    assert!(
        followed.contains("0 waiting, 0 under way, 0 given up"),
        "{followed}"
    );
    let backups = running.data().join("backups");
    let made: Vec<_> = std::fs::read_dir(backups)
        .expect("a folder")
        .flatten()
        .collect();
    assert_eq!(made.len(), 1);
    let people = made[0].path().join("tables/people.jsonl");
    assert!(
        std::fs::read_to_string(people)
            .expect("a table")
            .contains("mika")
    );
}

#[test]
fn the_queue_is_counted() {
    let (running, owner) = Running::owned();
    running.sql("INSERT INTO tasks SELECT id, 't1', 'k', '{}', 'given_up', 3, 3, 0, NULL, NULL, 'why', 0 FROM shops");
    running.sql("INSERT INTO tasks SELECT id, 't2', 'k', '{}', 'waiting', 0, 3, 0, NULL, NULL, NULL, 0 FROM shops");
    let page = running.get(&owner, "/operator").text();
    assert!(
        page.contains("1 waiting, 0 under way, 1 given up"),
        "{page}"
    );
    assert!(page.contains("failed too often"), "{page}");
}

#[test]
fn the_log_has_a_line_of_json_for_each_answer_and_no_person_in_it() {
    let (running, owner) = Running::owned();
    running.person(&owner, "vera", "viewer");
    let opened = running.post(
        &owner,
        "/jobs",
        "edit=first-0001&saw=0&name=Plate+AB123&car=Green+saloon&class=saloon",
    );
    let job = opened.header("location").expect("a job").to_owned();
    running.get(&owner, &job);
    running.get(&Device::default(), "/r/some-secret-token");
    running.get(&owner, "/jobs?search=Plate");
    running.get(&owner, "/no-such-page/vera");
    running.send(&owner, ("BREW", "/jobs"), &[], b"");
    let since = Instant::now();
    let log = loop {
        let log = running.logged.lock().expect("the log").clone();
        if log.contains("other") || since.elapsed() > Duration::from_secs(10) {
            break log;
        }
        std::thread::sleep(Duration::from_millis(20));
    };
    let lines: Vec<Value> = log
        .lines()
        .map(|line| serde_json::from_str(line).unwrap_or_else(|_| panic!("no JSON: {line}")))
        .collect();
    assert!(lines.len() >= 9, "{log}");
    for line in &lines {
        let keys: Vec<&String> = line.as_object().expect("an object").keys().collect();
        assert_eq!(
            keys,
            ["at_ms", "method", "route", "status", "ms", "bytes"],
            "{line}"
        );
    }
    let has = |route: &str, status: u16| {
        lines
            .iter()
            .any(|l| l["route"] == route && l["status"] == status)
    };
    assert!(has("/jobs/{job}", 200), "{log}");
    assert!(has("/r/{token}", 404), "{log}");
    assert!(has("none", 404), "{log}");
    let id = job.rsplit('/').next().expect("an id");
    for secret in [
        "vera",
        "mika",
        "Mika",
        "Plate",
        "Green",
        "secret-token",
        "127.0.0.1",
        "BREW",
        id,
    ] {
        assert!(!log.contains(secret), "{secret} in {log}");
    }
}
