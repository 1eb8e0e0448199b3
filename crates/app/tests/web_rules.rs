//! Every address of the program, tried as nobody, as each role and as the
//! owner of another shop, against the running program. The list is the one
//! that the program itself is built from.

#![allow(clippy::disallowed_methods, reason = "these tests run the program")]

mod bay;

use std::process::Command;

use bay::shop::{Device, Running};
use serde_json::Value;

struct Door {
    method: String,
    path: String,
    may: usize,
}

const RANKS: [&str; 4] = ["anyone", "viewer", "technician", "owner"];

fn doors() -> Vec<Door> {
    let output = Command::new(env!("CARGO_BIN_EXE_lapwing"))
        .args(["schema", "routes"])
        .output()
        .expect("it runs");
    let lines: Vec<Value> = serde_json::from_slice(&output.stdout).expect("JSON");
    let text = |line: &Value, key: &str| line[key].as_str().expect("a text").to_owned();
    let doors: Vec<Door> = lines
        .iter()
        .map(|line| Door {
            method: text(line, "method"),
            path: text(line, "path"),
            may: RANKS
                .iter()
                .position(|r| *r == text(line, "may"))
                .unwrap_or_else(|| panic!("{line} has no rule")),
        })
        .collect();
    assert!(doors.len() > 50, "only {} addresses", doors.len());
    doors
}

/// Real things of the shop for the places of an address.
struct Things {
    job: String,
    person: String,
    link: String,
    token: String,
}

impl Things {
    fn of(running: &Running, owner: &Device) -> Self {
        let opened = running.post(
            owner,
            "/jobs",
            "edit=first-0001&saw=0&name=Secret+job&car=Secret+car&class=estate",
        );
        assert_eq!(opened.status, 303, "{}", opened.text());
        let job = opened.header("location").expect("a job");
        let job = job.rsplit('/').next().expect("an id").to_owned();
        let spare = running.post(
            owner,
            "/people",
            "name=Spare&login=spare&role=viewer&password=",
        );
        assert_eq!(spare.status, 303);
        let people = running.get(owner, "/people").text();
        let mark = people.split("Spare").nth(1).expect("the spare person");
        let person = between(mark, "/people/", "/role");
        let made = running.post(owner, &format!("/jobs/{job}/links"), "days=7");
        let token = between(&made.text(), "/r/", "<");
        Self {
            job,
            person,
            link: token.split('.').next().expect("an id").to_owned(),
            token,
        }
    }

    fn fill(&self, path: &str) -> String {
        let path = path
            .replace("{job}", &self.job)
            .replace("{person}", &self.person)
            .replace("{link}", &self.link)
            .replace("{token}", &self.token)
            .replace("{hash}", &"a".repeat(64))
            .replace("{panel}", "roof")
            .replace("{code}", &"a".repeat(64))
            .replace("{name}", "nothing-here")
            .replace("{*name}", "x/bay.css")
            .replace("{file}", "plan.pdf");
        assert!(!path.contains('{'), "an unknown place in {path}");
        path
    }
}

fn between(text: &str, from: &str, to: &str) -> String {
    let (_, rest) = text.split_once(from).unwrap_or_else(|| panic!("no {from}"));
    rest.split(to).next().expect("an end").to_owned()
}

#[test]
fn every_address_keeps_its_rule_for_every_role() {
    let (running, owner) = Running::owned();
    let things = Things::of(&running, &owner);
    let viewer = running.person(&owner, "vera", "viewer");
    let technician = running.person(&owner, "theo", "technician");
    let callers = [&Device::default(), &viewer, &technician, &owner];
    for door in doors() {
        let path = things.fill(&door.path);
        for (rank, device) in callers.iter().enumerate() {
            // Signing out would end the session that the next lines need.
            let device = if door.path == "/sign-out" && rank > 0 {
                &running.signed_in(["", "vera", "theo", "mika"][rank])
            } else {
                *device
            };
            let (status, to) = running.status(device, (&door.method, &path), b"");
            let what = format!("{} {} as {}: {status} {to}", door.method, path, RANKS[rank]);
            assert!(status < 500, "{what}");
            let is_sent_away = status == 401 || (status == 303 && to.starts_with("/sign-in?"));
            let is_root = door.path == "/" && rank == 0;
            if door.may == 0 {
                assert!(!is_sent_away && status != 403, "{what}");
            } else if rank == 0 {
                assert!(is_sent_away || is_root && to == "/sign-in", "{what}");
            } else if rank < door.may {
                assert_eq!(status, 403, "{what}");
            } else {
                assert!(!is_sent_away && status != 403, "{what}");
            }
        }
    }
}

#[test]
fn another_shops_owner_finds_nothing_and_changes_nothing() {
    let (running, owner) = Running::owned();
    let things = Things::of(&running, &owner);
    let path = format!("/jobs/{}", things.job);
    let version = |text: &str| between(text, "name=\"saw\" value=\"", "\"");
    let before = version(&running.get(&owner, &path).text());
    let toni = running.other_shop();
    for door in doors() {
        let is_theirs = ["{job}", "{person}", "{link}"]
            .iter()
            .any(|place| door.path.contains(place));
        if !is_theirs {
            continue;
        }
        let path = things.fill(&door.path);
        let fields: &[u8] = if door.method == "POST" {
            b"edit=foreign-01&saw=1&panel=roof&kind=dent&extent=spot&item=clay&film=110&take=mine&event=first-0001&settles=first-0001&role=owner&password=four+plain+words+here&days=7&section=bonnet-1&deed=begin&minutes=3"
        } else {
            b""
        };
        let (status, _) = running.status(&toni, (&door.method, &path), fields);
        let what = format!("{} {path}: {status}", door.method);
        assert!(
            status == 404 || (door.method == "POST" && [400, 422].contains(&status)),
            "{what}"
        );
    }
    for path in ["/jobs", "/people", "/", "/operator", "/account"] {
        let text = running.get(&toni, path).text();
        assert!(
            !text.contains("Secret") && !text.contains("Spare"),
            "{path}"
        );
        assert!(!text.contains("Mika"), "{path}");
    }
    assert_eq!(version(&running.get(&owner, &path).text()), before);
    assert!(running.get(&owner, "/people").text().contains("Spare"));
}

#[test]
fn an_address_that_is_not_in_the_table_is_not_there() {
    let (running, owner) = Running::owned();
    for path in [
        "/admin",
        "/jobs/x/y/z",
        "/people/x",
        "/.env",
        "/r/",
        "/pair/a/b",
    ] {
        assert_eq!(running.get(&owner, path).status, 404, "{path}");
    }
    for method in ["PUT", "DELETE", "PATCH"] {
        let origin = ("origin", &*format!("https://{}", running.host));
        let answer = running.send(&owner, (method, "/jobs"), &[origin], b"");
        assert_eq!(answer.status, 405, "{method}");
    }
}
