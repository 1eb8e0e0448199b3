//! What a hostile or clumsy person can send: wrong types, huge and slow
//! bodies, broken multipart, SQL and HTML in every field, half a head, many
//! connections. No answer is our fault, and the bay goes on.

#![allow(
    clippy::disallowed_methods,
    reason = "these tests run the program and measure time"
)]

mod bay;

use std::io::Write;
use std::net::TcpStream;
use std::process::Command;
use std::time::{Duration, Instant};

use bay::shop::{Device, FORM, Running, until_closed};
use bay::{Server, encoded, exchange};
use serde_json::Value;

const NASTY: [&str; 12] = [
    "'; DROP TABLE jobs; --",
    "\" OR 1=1 --",
    "<script>alert(1)</script>",
    "\"><img src=x onerror=alert(1)>",
    "{{7*7}} ${7*7} %s %n",
    "../../../../etc/passwd",
    "\0\u{1}\u{7f}",
    "\u{202e}gnp.exe",
    "9e999",
    "-1",
    "NaN",
    "🦆ЖÄ\r\nset-cookie: x=1",
];

/// Every field that any form of ours has.
const FIELDS: [&str; 36] = [
    "edit",
    "saw",
    "said_ms",
    "name",
    "car",
    "class",
    "panel",
    "kind",
    "extent",
    "note",
    "remove",
    "item",
    "minutes",
    "amount",
    "film",
    "place",
    "x",
    "y",
    "deed",
    "section",
    "event",
    "back",
    "settles",
    "take",
    "search",
    "login",
    "password",
    "role",
    "active",
    "person",
    "days",
    "to",
    "language",
    "units",
    "theme",
    "thickness",
];

fn doors() -> Vec<(String, String)> {
    let output = Command::new(env!("CARGO_BIN_EXE_lapwing"))
        .args(["schema", "routes"])
        .output()
        .expect("it runs");
    let lines: Vec<Value> = serde_json::from_slice(&output.stdout).expect("JSON");
    let text = |line: &Value, key: &str| line[key].as_str().expect("a text").to_owned();
    let all = lines.iter().map(|l| (text(l, "method"), text(l, "path")));
    // Signing out and leaving would end the test's own session.
    all.filter(|(_, path)| path != "/sign-out").collect()
}

fn filled(path: &str, with: &str) -> String {
    let parts = path.split('/').map(|part| {
        if part.starts_with('{') {
            encoded(with)
        } else {
            part.to_owned()
        }
    });
    parts.collect::<Vec<_>>().join("/")
}

/// Asks again for a while when the answer is that too much was asked; doors
/// where passwords and codes are tried stay shut for longer.
fn patiently(ask: impl Fn() -> (u16, String)) -> (u16, String) {
    for _ in 0..4 {
        let answer = ask();
        if answer.0 != 429 {
            return answer;
        }
        std::thread::sleep(std::time::Duration::from_millis(300));
    }
    ask()
}

#[test]
fn sql_html_and_control_signs_in_every_field_and_place_are_never_our_fault() {
    let (running, owner) = Running::owned();
    let real = "edit=first-0001&saw=0&name=Real&car=Real&class=estate";
    let job = running.post(&owner, "/jobs", real);
    let job = job
        .header("location")
        .expect("a job")
        .trim_start_matches("/jobs/")
        .to_owned();
    let (mut asked, mut shut) = (0, 0);
    for (method, path) in doors() {
        for (i, nasty) in NASTY.iter().enumerate() {
            let fields: Vec<String> = FIELDS
                .iter()
                .map(|field| format!("{field}={}", encoded(nasty)))
                .collect();
            let fields = fields.join("&");
            let place = if i % 2 == 0 { nasty } else { job.as_str() };
            let mut path = filled(&path, place);
            if method == "GET" {
                path = format!("{path}?{fields}");
            }
            let body = if method == "POST" {
                fields.as_bytes()
            } else {
                b""
            };
            let (status, to) = patiently(|| running.status(&owner, (&method, &path), body));
            assert!(status < 500, "{method} {path} {nasty}: {status}");
            asked += 1;
            shut += u32::from(status == 429);
            assert!(!to.contains("//evil"), "{to}");
        }
    }
    assert!(10 * shut < asked, "{shut} of {asked} were turned away");
    let (kept, _) = patiently(|| running.status(&owner, ("GET", &format!("/jobs/{job}")), b""));
    assert_eq!(kept, 200);
    assert_eq!(running.sql("SELECT COUNT(*) > 0 FROM jobs"), "1");
}

#[test]
fn html_that_was_kept_comes_back_as_text() {
    let (running, owner) = Running::owned();
    let script = "<script>alert(1)</script>";
    let open = format!(
        "edit=first-0001&saw=0&name={0}&car={0}&class=estate",
        encoded(script)
    );
    let job = running.post(&owner, "/jobs", &open);
    let job = job.header("location").expect("a job").to_owned();
    let mark = format!(
        "edit=mark-00001&saw=1&panel=roof&kind=dent&extent=spot&note={}",
        encoded(script)
    );
    assert_eq!(
        running
            .post(&owner, &format!("{job}/defects"), &mark)
            .status,
        303
    );
    running.post(
        &owner,
        "/people",
        &format!("name={}&login=x&role=viewer&password=", encoded(script)),
    );
    for path in [
        &*job,
        "/jobs",
        "/people",
        &format!("{job}/links"),
        "/jobs?search=%3Cscript%3Ealert",
    ] {
        let text = running.get(&owner, path).text();
        assert!(!text.contains("<script>alert"), "{path}");
    }
    assert!(
        running
            .get(&owner, &job)
            .text()
            .contains("&lt;script&gt;alert(1)")
    );
}

#[test]
fn broken_multipart_and_wrong_kinds_are_refused() {
    let server = Server::start();
    let multipart = "multipart/form-data; boundary=x";
    let bodies: [(&str, &[u8]); 9] = [
        ("multipart/form-data", b"--x\r\n"),
        (multipart, b""),
        (multipart, b"--x\r\ncontent-disposition: form-data; name=\"job\"\r\n\r\nabc"),
        (multipart, b"--y\r\n\r\n--y--\r\n"),
        (multipart, b"--x\r\nno header at all\r\n\r\n\r\n--x--\r\n"),
        (multipart, b"--x\r\ncontent-disposition: form-data; name=\"job\"; filename=\"../../etc/passwd\"\r\n\r\n\xff\xfe\r\n--x--\r\n"),
        ("application/json", b"{\"job\": [1, 2"),
        ("text/plain", b"\xff\xff\xff"),
        ("application/x-www-form-urlencoded", b"%zz=%&&&===&\xff"),
    ];
    for path in [
        "/plan",
        "/film",
        "/api/plan",
        "/api/film",
        "/api/bench",
        "/api/exposure",
        "/jobs",
        "/choose",
        "/exposure",
    ] {
        for (kind, body) in bodies {
            let answer = server.send("POST", path, &[("content-type", kind)], body);
            assert!(
                answer.status < 500,
                "{path} {kind} {:?}: {}",
                body,
                answer.text()
            );
            if path.starts_with("/api/") {
                assert!(
                    (400..500).contains(&answer.status),
                    "{path} {kind}: {}",
                    answer.status
                );
                let document: Value = serde_json::from_slice(&answer.body).expect("JSON");
                assert!(document["error"].is_string(), "{path}");
            }
        }
    }
}

#[test]
fn whoever_is_not_signed_in_may_send_little_and_heads_have_an_end() {
    let (running, owner) = Running::owned();
    let large = vec![b'a'; 200_000];
    for path in ["/sign-in", "/first", "/choose", "/pair/x"] {
        let (status, _) = running.status(&Device::default(), ("POST", path), &large);
        assert!((400..500).contains(&status), "{path}: {status}");
    }
    let huge = format!("a={}", "b".repeat(25 << 20));
    let (status, _) = running.status(&owner, ("POST", "/jobs"), huge.as_bytes());
    assert_eq!(status, 413);
    let mut head = format!("GET / HTTP/1.1\r\nhost: {}\r\n", running.host);
    for i in 0..500 {
        head += &format!("x-{i}: {}\r\n", "v".repeat(100));
    }
    let answer = exchange(&running.host, (head + "\r\n").as_bytes(), b"");
    assert_eq!(answer.status, 431);
    let long = format!(
        "GET /{} HTTP/1.1\r\nhost: {}\r\nconnection: close\r\n\r\n",
        "a".repeat(60_000),
        running.host
    );
    let answer = exchange(&running.host, long.as_bytes(), b"");
    assert!((400..500).contains(&answer.status), "{}", answer.status);
    assert_eq!(running.get(&owner, "/jobs").status, 200);
}

#[test]
fn half_a_head_and_a_dripping_body_are_not_waited_for_for_ever() {
    let running = Running::empty();
    let since = Instant::now();
    let mut half = TcpStream::connect(&running.host).expect("it listens");
    half.write_all(b"GET / HTTP/1.1\r\nhost:").expect("sent");
    let mut slow = TcpStream::connect(&running.host).expect("it listens");
    let head = format!(
        "POST /sign-in HTTP/1.1\r\nhost: {}\r\ncontent-type: {}\r\ncontent-length: 60000\r\n\r\na",
        running.host, FORM.1
    );
    slow.write_all(head.as_bytes()).expect("sent");
    let dripping = std::thread::spawn(move || {
        for _ in 0..80 {
            if slow.write_all(b"a").is_err() {
                break;
            }
            std::thread::sleep(Duration::from_secs(1));
            slow.set_read_timeout(Some(Duration::from_millis(1)))
                .expect("a limit");
            let mut some = [0; 64];
            if let Ok(n) = std::io::Read::read(&mut slow, &mut some) {
                return (n, String::from_utf8_lossy(&some).into_owned());
            }
        }
        (1, "never".to_owned())
    });
    // Meanwhile others are answered.
    assert_eq!(running.get(&Device::default(), "/healthz").status, 200);
    assert!(until_closed(&mut half, Duration::from_secs(30)).is_some());
    assert!(
        since.elapsed() < Duration::from_secs(25),
        "{:?}",
        since.elapsed()
    );
    let (n, said) = dripping.join().expect("no panic");
    assert!(n == 0 || said.contains("408"), "{said}");
    assert!(
        since.elapsed() < Duration::from_secs(75),
        "{:?}",
        since.elapsed()
    );
}

#[test]
fn one_sender_may_not_take_all_the_room() {
    const ASKED: usize = 2000;
    let (running, owner) = Running::owned();
    let ask = |close: &str| {
        format!(
            "GET /healthz HTTP/1.1\r\nhost: {}\r\nx-forwarded-for: 203.0.113.77\r\n{close}\r\n",
            running.host
        )
    };
    let all = ask("").repeat(ASKED - 1) + &ask("connection: close\r\n");
    let mut stream = TcpStream::connect(&running.host).expect("it listens");
    let mut reading = stream.try_clone().expect("a second end");
    let since = Instant::now();
    let sent = std::thread::spawn(move || stream.write_all(all.as_bytes()).is_ok());
    let answers = until_closed(&mut reading, Duration::from_secs(60)).expect("answers");
    let more = usize::try_from(since.elapsed().as_millis()).expect("short") / 10;
    assert!(sent.join().expect("no panic"));
    let text = String::from_utf8_lossy(&answers).into_owned();
    let good = text.matches("HTTP/1.1 200").count();
    let waiting = text.matches("HTTP/1.1 429").count();
    assert_eq!(good + waiting, ASKED);
    // 600 at once, and one more each 10 ms.
    assert!(
        (600..=600 + more + 1).contains(&good),
        "{good} in {more}0 ms"
    );
    assert_eq!(running.get(&owner, "/jobs").status, 200);
}
