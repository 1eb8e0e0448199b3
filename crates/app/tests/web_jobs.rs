//! A job from opening to work: each change one event, undone, told to others,
//! set aside when it came too late, and there again after a restart.

#![allow(
    clippy::disallowed_methods,
    reason = "these tests measure time and start the program twice"
)]

mod bay;

use std::io::{BufRead, BufReader, Write};
use std::net::TcpStream;
use std::time::{Duration, Instant};

use bay::{Answer, Server, encoded};
use serde_json::Value;

const FORM: (&str, &str) = ("content-type", "application/x-www-form-urlencoded");

/// Opens a job and gives its path.
fn opened(server: &Server) -> String {
    let answer = server.post(
        "/jobs",
        "edit=first-0001&saw=0&name=Grey+hatch&car=invented&class=hatchback",
    );
    assert_eq!(answer.status, 303, "{}", answer.text());
    answer.header("location").expect("a job").to_owned()
}

fn by_device(server: &Server, device: &str, path: &str, fields: &str) -> Value {
    let cookie = format!("lapwing_device={device}");
    let answer = server.send(
        "POST",
        path,
        &[FORM, ("accept", "application/json"), ("cookie", &cookie)],
        fields.as_bytes(),
    );
    assert_eq!(answer.status, 200, "{}", answer.text());
    serde_json::from_slice(&answer.body).expect("JSON")
}

#[test]
fn a_double_tap_opens_one_job_and_makes_one_mark() {
    let server = Server::start();
    let job = opened(&server);
    assert_eq!(opened(&server), job);
    for _ in 0..2 {
        let mark = server.post(
            &format!("{job}/defects"),
            "edit=mark-00001&saw=1&panel=bonnet&kind=chip&extent=spot&note=by+the+badge",
        );
        assert_eq!(mark.status, 303, "{}", mark.text());
    }
    let text = server.get(&job).text();
    // Once among the marks, once in the list of what was done.
    assert_eq!(text.matches("by the badge").count(), 2);
    assert_eq!(server.get("/jobs").text().matches("Grey hatch").count(), 1);
}

#[test]
fn a_mark_is_undone_and_the_undo_is_undone() {
    let server = Server::start();
    let job = opened(&server);
    let made = by_device(
        &server,
        "phone-one",
        &format!("{job}/defects"),
        "edit=mark-00001&saw=1&panel=roof&kind=dent&note=hail",
    );
    assert_eq!(made["outcome"], "kept");
    let undone = by_device(
        &server,
        "phone-one",
        &format!("{job}/undo"),
        "edit=undo-0001&event=mark-00001",
    );
    let marks = |page: &str| {
        page.split("id=\"past\"")
            .next()
            .is_some_and(|m| m.contains("hail"))
    };
    assert!(!marks(&server.get(&job).text()));
    let again = format!(
        "edit=undo-0002&event={}",
        undone["event"].as_str().expect("an id")
    );
    by_device(&server, "phone-one", &format!("{job}/undo"), &again);
    assert!(marks(&server.get(&job).text()));
}

#[test]
fn two_devices_at_one_place_lose_nothing_and_a_person_decides() {
    let server = Server::start();
    let job = opened(&server);
    let path = format!("{job}/wash");
    let one = by_device(
        &server,
        "phone-one",
        &path,
        "edit=wash-00001&saw=1&item=clay&minutes=40",
    );
    let two = by_device(
        &server,
        "tablet-two",
        &path,
        "edit=wash-00002&saw=1&item=clay&minutes=55",
    );
    assert_eq!(
        (&one["outcome"], &two["outcome"]),
        (&Value::from("kept"), &Value::from("aside"))
    );
    let text = server.get(&job).text();
    assert!(
        text.contains("Two devices changed the same place"),
        "{text}"
    );
    assert!(server.get("/jobs").text().contains("needs a decision"));
    let settled = server.post(
        &format!("{job}/settle"),
        "edit=settle-001&settles=wash-00002&take=mine",
    );
    assert_eq!(settled.status, 303, "{}", settled.text());
    let wash = server.get(&path).text();
    assert!(wash.contains("value=\"55\""));
    assert!(!server.get(&job).text().contains("Two devices changed"));
}

#[test]
fn another_device_hears_of_a_change_within_a_second() {
    let server = Server::start();
    let job = opened(&server);
    let mut stream = TcpStream::connect(&server.host).expect("it listens");
    let head = format!("GET {job}/events HTTP/1.1\r\nhost: {}\r\n\r\n", server.host);
    stream.write_all(head.as_bytes()).expect("sent");
    stream
        .set_read_timeout(Some(Duration::from_secs(20)))
        .expect("a limit");
    let mut lines = BufReader::new(stream).lines().map_while(Result::ok);
    assert!(lines.by_ref().any(|line| line.is_empty()), "the head ends");
    let since = Instant::now();
    server.post(
        &format!("{job}/defects"),
        "edit=mark-00001&saw=1&panel=roof&kind=dent",
    );
    assert!(lines.any(|line| line == "event: changed"));
    assert!(
        since.elapsed() < Duration::from_secs(1),
        "{:?}",
        since.elapsed()
    );
}

#[test]
fn readings_join_the_map_and_bad_ones_are_refused() {
    let server = Server::start();
    let job = opened(&server);
    let path = format!("{job}/readings");
    for (i, um) in ["112", "108,5", "110"].iter().enumerate() {
        let fields = format!(
            "edit=reading-{i}a&panel=bonnet&thickness={}&u_mm=500&v_mm=250",
            encoded(um)
        );
        assert_eq!(server.post(&path, &fields).status, 303);
    }
    let text = server.get(&path).text();
    for word in ["3 readings", "108.5"] {
        assert!(text.contains(word), "{word}");
    }
    let car = server.get(&format!("{path}/car")).text();
    assert!(
        car.contains("data-panel=\"bonnet\"") && car.contains(">110<"),
        "{car}"
    );
    for (fields, words) in [
        ("panel=bonnet&thickness=5", "allowed is 20.0"),
        ("panel=bonnet&thickness=abc", "allowed is 20.0"),
        ("panel=wheel&thickness=110", "no panel"),
        ("panel=bonnet&thickness=110&u_mm=70000&v_mm=5", "allowed is"),
        ("panel=bonnet&thickness=110&edit=%3Cb%3E", "letters, digits"),
    ] {
        let answer = server.post(&path, fields);
        assert_eq!(answer.status, 422, "{fields}");
        assert!(answer.text().contains(words), "{}", answer.text());
    }
}

#[test]
fn work_goes_on_after_a_restart_where_it_stopped() {
    let mut server = Server::start();
    let answer = server.post("/jobs/example", "edit=demo-00001&saw=0");
    let job = answer.header("location").expect("a job").to_owned();
    let path = format!("{job}/work");
    let page = server.get(&path);
    assert_eq!(page.status, 200, "{}", page.text());
    let key = key_of(&page);
    assert!(page.text().contains(">Begin<"));
    server.post(&path, &format!("edit=begin-0001&key={key}&deed=begin"));
    let running = server.get(&path).text();
    assert!(running.contains("Section done") && running.contains("data-since="));
    server.restart();
    let after = server.get(&path);
    assert!(after.text().contains("Section done"), "the timer was lost");
    assert_eq!(key_of(&after), key);
    server.post(
        &path,
        &format!("edit=done-00001&key={key}&deed=done&asked=yes"),
    );
    assert_ne!(key_of(&server.get(&path)), key, "the next section comes");
    assert!(server.get(&job).text().contains("1 section"));
}

fn key_of(page: &Answer) -> String {
    let text = page.text();
    let (_, after) = text.split_once("name=\"key\" value=\"").expect("a section");
    after.split('"').next().expect("its key").to_owned()
}

#[test]
fn a_job_without_kit_says_what_a_plan_needs() {
    let server = Server::start();
    let job = opened(&server);
    for page in ["plan", "work"] {
        let answer = server.get(&format!("{job}/{page}"));
        assert_eq!(answer.status, 200);
        assert!(answer.text().contains("The shop has none yet"));
    }
    for unknown in [
        "/jobs/nothing",
        "/jobs/nothing/work",
        "/jobs/nothing/events",
    ] {
        assert_eq!(server.get(unknown).status, 404, "{unknown}");
    }
}
