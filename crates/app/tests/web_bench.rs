//! The bench: one answer at both doors, and sliders that do what they say.

mod bay;

use std::process::Command;

use bay::Server;
use serde_json::Value;

fn numbers(server: &Server, query: &str) -> Value {
    let answer = server.get(&format!("/bench/answer?{query}"));
    assert_eq!(answer.status, 200, "{}", answer.text());
    let document: Value = serde_json::from_slice(&answer.body).expect("JSON");
    document["answer"].clone()
}

#[test]
fn both_doors_give_the_same_document() {
    let setup = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/../../examples/bench/leaned.toml"
    );
    let output = Command::new(env!("CARGO_BIN_EXE_lapwing"))
        .args(["bench", setup, "--json"])
        .output()
        .expect("it runs");
    let of_line: Value = serde_json::from_slice(&output.stdout).expect("one document");
    #[expect(clippy::disallowed_methods, reason = "the test sends the file's text")]
    let text = std::fs::read(setup).expect("read");
    let server = Server::start();
    let answer = server.send("POST", "/api/bench", &[], &text);
    assert_eq!(answer.status, 200);
    let of_web: Value = serde_json::from_slice(&answer.body).expect("one document");
    assert_eq!(of_web, of_line);
}

#[test]
fn tilting_hurrying_and_stopping_show_at_once() {
    let server = Server::start();
    let flat = numbers(&server, "kind=rotary");
    let at = |document: &Value, pointer: &str| {
        document
            .pointer(pointer)
            .and_then(Value::as_f64)
            .expect("a number")
    };
    let tilted = numbers(&server, "kind=rotary&tilt_deg=5");
    assert!(at(&tilted, "/pressure/max_kpa") > 2.0 * at(&flat, "/pressure/max_kpa"));
    let hurried = numbers(&server, "kind=rotary&arm_speed_mm_s=100");
    assert!(
        at(&hurried, "/removal/interior_mean_um") < 0.5 * at(&flat, "/removal/interior_mean_um")
    );
    assert!(at(&hurried, "/time_s") < 0.5 * at(&flat, "/time_s"));
    let stopped =
        [5, 20].map(|s| numbers(&server, &format!("kind=rotary&pattern=still&stay_s={s}")));
    let [short, long] = &stopped;
    assert!(at(long, "/heat/peak_c") > at(short, "/heat/peak_c") + 5.0);
    // Preston: four times as long takes off four times as much, to the last digits.
    let ratio = at(long, "/removal/max_um") / at(short, "/removal/max_um");
    assert!((ratio - 4.0).abs() < 1e-6, "{ratio}");
}

#[test]
fn a_lean_said_twice_is_refused_by_the_reader() {
    let server = Server::start();
    let answer = server.get("/bench?tilt_deg=2&off_centre_pct=30");
    assert_eq!(answer.status, 422);
    assert!(answer.text().contains("contradict"), "{}", answer.text());
}

#[test]
fn the_page_without_a_script_shows_the_answer_to_its_fields() {
    let server = Server::start();
    let text = server.get("/bench?kind=rotary&passes=2&force_n=55").text();
    for word in [
        "Against your usual: takes",
        "value=\"55\"",
        "Takes off",
        "Where the numbers come from",
        "Caution",
    ] {
        assert!(text.contains(word), "{word}");
    }
}

#[test]
fn a_setup_that_is_no_setup_gets_the_readers_sentence() {
    let server = Server::start();
    for (body, expected) in [
        (b"nonsense".as_slice(), 422),
        (b"\xff\xfe\x00", 400),
        (b"[panel]\nsize = [\"1 mm\", \"1 mm\"]\n", 422),
    ] {
        let answer = server.send("POST", "/api/bench", &[], body);
        assert_eq!(answer.status, expected, "{}", answer.text());
        let document: Value = serde_json::from_slice(&answer.body).expect("JSON");
        assert!(document["error"].as_str().is_some_and(|e| e.len() > 20));
    }
}
