//! Work mode: minutes measured, pads, the wipe check, budgets that grow, and
//! a plan that holds once work has begun.

#![allow(clippy::disallowed_methods, reason = "these tests measure time")]

mod bay;

use std::time::{SystemTime, UNIX_EPOCH};

use bay::Server;

fn now_ms() -> i64 {
    let since = SystemTime::now()
        .duration_since(UNIX_EPOCH)
        .expect("a clock");
    i64::try_from(since.as_millis()).expect("a time")
}

fn key_of(page: &str) -> String {
    let (_, after) = page.split_once("name=\"key\" value=\"").expect("a section");
    after.split('"').next().expect("its key").to_owned()
}

/// Begins and ends the section that is next, `minutes` apart.
fn work_one(server: &Server, path: &str, (no, minutes): (usize, i64)) -> String {
    let key = key_of(&server.get(path).text());
    let end = now_ms();
    for (deed, at) in [("begin", end - minutes * 60_000), ("done", end)] {
        let fields = format!("edit={deed}-{no:05}&key={key}&deed={deed}&said_ms={at}");
        let answer = server.post(path, &fields);
        assert_eq!(answer.status, 303, "{}", answer.text());
    }
    key
}

#[test]
fn minutes_are_measured_over_a_stop_and_counted_once() {
    let server = Server::start();
    let job = bay::example(&server);
    let path = format!("{job}/work");
    let key = key_of(&server.get(&path).text());
    let end = now_ms();
    for (edit, deed, ago_min) in [
        ("begin-0001", "begin", 20),
        ("pause-0001", "pause", 15),
        ("begin-0002", "begin", 3),
        ("done-00001", "done", 0),
        ("done-00001", "done", 0),
        ("done-00002", "done", 0),
    ] {
        let fields = format!(
            "edit={edit}&key={key}&deed={deed}&said_ms={}",
            end - ago_min * 60_000
        );
        assert_eq!(server.post(&path, &fields).status, 303, "{edit}");
    }
    // Five minutes before the stop and three after it, the stop left out.
    let page = server.get(&path).text();
    assert_ne!(key_of(&page), key);
    assert!(server.get(&job).text().contains("1 section"));
    assert!(
        page.contains("Sections since clean: 1; since new: 1 of"),
        "{page}"
    );
    // Nothing was lost by a second delivery: the event is still 8 minutes long.
    let undone = server.post(
        &format!("{job}/undo"),
        "edit=undo-00001&event=done-00001&back=",
    );
    assert_eq!(undone.status, 303, "{}", undone.text());
    let again = server.get(&path).text();
    assert_eq!(key_of(&again), key, "the section is open again");
}

#[test]
fn a_time_from_a_wrong_clock_is_put_into_what_can_be() {
    let server = Server::start();
    let job = bay::example(&server);
    let path = format!("{job}/work");
    let key = key_of(&server.get(&path).text());
    let far = now_ms() + 86_400_000_000;
    server.post(
        &path,
        &format!("edit=begin-0001&key={key}&deed=begin&said_ms={far}"),
    );
    let page = server.get(&path).text();
    let (_, after) = page.split_once("data-since=\"").expect("it runs");
    let since: i64 = after
        .split('"')
        .next()
        .and_then(|t| t.parse().ok())
        .expect("a time");
    assert!((now_ms() - since).abs() < 60_000, "{since}");
}

#[test]
fn pads_are_counted_and_the_dose_of_the_day_grows() {
    let server = Server::start();
    let job = bay::example(&server);
    let path = format!("{job}/work");
    let fresh = server.get(&path).text();
    assert!(fresh.contains("Hands, this day") && fresh.contains("Ears, this day"));
    assert!(
        !fresh.contains("so far"),
        "nothing was worked yet but the film before"
    );
    for no in 0..3 {
        work_one(&server, &path, (no, 10));
    }
    let page = server.get(&path).text();
    assert!(
        page.contains("Sections since clean: 3; since new: 3 of") && page.contains("so far"),
        "{page}"
    );
    let key = key_of(&page);
    server.post(&path, &format!("edit=pad-000001&key={key}&deed=pad"));
    let cleaned = server.get(&path).text();
    assert!(
        cleaned.contains("Sections since clean: 0; since new: 3 of"),
        "{cleaned}"
    );
    server.post(&path, &format!("edit=swap-00001&key={key}&deed=swap"));
    assert!(
        server
            .get(&path)
            .text()
            .contains("Sections since clean: 0; since new: 0 of")
    );
}

#[test]
fn the_plan_holds_once_work_has_begun_and_a_panel_is_wiped_before_the_next() {
    let mut server = Server::start();
    let job = bay::example(&server);
    let path = format!("{job}/work");
    let first = work_one(&server, &path, (0, 4));
    let panel = first.rsplitn(3, '-').last().expect("a panel").to_owned();
    // More readings would make another plan; the sections stay as they were.
    server.post(
        &format!("{job}/readings"),
        "edit=reading-1&panel=bonnet&thickness=95&u_mm=700&v_mm=600",
    );
    server.restart();
    let mut no = 1;
    loop {
        let page = server.get(&path).text();
        if page.contains("wipe and look") {
            break;
        }
        assert!(
            key_of(&page).starts_with(&panel),
            "the panel is finished first"
        );
        work_one(&server, &path, (no, 4));
        no += 1;
        assert!(no < 80);
    }
    server.post(&path, &format!("edit=again-0001&key={panel}&deed=again"));
    let again = server.get(&path).text();
    assert!(key_of(&again).starts_with(&panel) && !again.contains("wipe and look"));
    let undone = server.post(&format!("{job}/undo"), "edit=undo-00001&event=again-0001");
    assert_eq!(undone.status, 303, "{}", undone.text());
    server.post(&path, &format!("edit=wiped-0001&key={panel}&deed=wiped"));
    let next = server.get(&path).text();
    assert!(!key_of(&next).starts_with(&panel), "the next panel comes");
}
