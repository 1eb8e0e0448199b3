//! What stands between the network and the pages: headers, limits, foreign
//! hosts and origins, a clean stop.

#![allow(
    clippy::disallowed_methods,
    reason = "these tests run the program and measure time"
)]

mod bay;

use std::process::Command;
use std::time::{Duration, Instant};

use bay::Server;

#[test]
fn health_is_told_in_a_word() {
    let server = Server::start();
    let answer = server.get("/healthz");
    assert_eq!((answer.status, answer.text().as_str()), (200, "ok\n"));
}

#[test]
fn every_answer_carries_the_headers() {
    let server = Server::start();
    for (method, path) in [
        ("GET", "/"),
        ("GET", "/bench"),
        ("GET", "/no-such-page"),
        ("POST", "/"),
        ("GET", "/assets/x/bay.css"),
        ("GET", "/healthz"),
    ] {
        let answer = server.send(method, path, &[], b"");
        let policy = answer.header("content-security-policy").expect("a policy");
        for word in [
            "default-src 'none'",
            "script-src 'self'",
            "style-src 'self'",
            "frame-ancestors 'none'",
            "base-uri 'none'",
            "form-action 'self'",
        ] {
            assert!(policy.contains(word), "{method} {path}: {policy}");
        }
        assert!(!policy.contains("unsafe"), "{policy}");
        assert_eq!(answer.header("x-content-type-options"), Some("nosniff"));
        assert_eq!(answer.header("referrer-policy"), Some("same-origin"));
        assert!(answer.header("cache-control").is_some());
    }
}

#[test]
fn refusals_are_sentences_on_a_page_or_in_json() {
    let server = Server::start();
    let page = server.get("/no-such-page");
    assert_eq!(page.status, 404);
    assert!(
        page.text().contains("There is no such page."),
        "{}",
        page.text()
    );
    let json = server.send("GET", "/api/nothing", &[], b"");
    assert_eq!(json.status, 404);
    let document: serde_json::Value = serde_json::from_slice(&json.body).expect("JSON");
    assert!(document["error"].as_str().is_some_and(|e| e.ends_with('.')));
    let method = server.send("DELETE", "/bench", &[], b"");
    assert_eq!(method.status, 405);
    assert!(method.header("allow").is_some());
}

#[test]
fn a_foreign_host_and_a_foreign_origin_are_turned_down() {
    let server = Server::start();
    for host in ["example.org", "bay.example.org:8017", "10.1.2.3"] {
        assert_eq!(
            server.send("GET", "/", &[("host", host)], b"").status,
            421,
            "{host}"
        );
    }
    let fields = b"language=de";
    let form = ("content-type", "application/x-www-form-urlencoded");
    for foreign in [
        ("origin", "http://example.org"),
        ("origin", "null"),
        ("sec-fetch-site", "cross-site"),
    ] {
        let answer = server.send("POST", "/choose", &[form, foreign], fields);
        assert_eq!(answer.status, 403, "{foreign:?}");
        assert!(answer.header("set-cookie").is_none());
    }
    let own = format!("http://{}", server.host);
    let answer = server.send("POST", "/choose", &[form, ("origin", &own)], fields);
    assert_eq!(answer.status, 303);
}

#[test]
fn a_body_over_the_limit_is_refused_before_it_is_read() {
    let server = Server::start();
    let head = format!(
        "POST /api/bench HTTP/1.1\r\nhost: {}\r\nconnection: close\r\ncontent-length: 99999999999\r\n\r\n",
        server.host
    );
    let answer = bay::exchange(&server.host, head.as_bytes(), b"");
    assert_eq!(answer.status, 413);
    assert!(answer.text().contains("At most 24 MB"), "{}", answer.text());
}

#[test]
fn sigterm_ends_it_with_nought() {
    let mut server = Server::start();
    assert_eq!(server.get("/healthz").status, 200);
    let sent = Command::new("kill")
        .args(["-TERM", &server.child.id().to_string()])
        .status()
        .expect("kill runs");
    assert!(sent.success());
    let since = Instant::now();
    loop {
        if let Some(status) = server.child.try_wait().expect("its state") {
            assert_eq!(status.code(), Some(0));
            return;
        }
        assert!(
            since.elapsed() < Duration::from_secs(20),
            "it does not stop"
        );
        std::thread::sleep(Duration::from_millis(20));
    }
}
