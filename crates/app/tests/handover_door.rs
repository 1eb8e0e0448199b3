//! The record at the command line: made, checked, spoilt in every way, and
//! taken up by the next visit.
//!
//! Checked here: the example's record is the same bytes on any number of
//! threads; every way to spoil a file has a sentence of its own; the next visit
//! debits what the record says, by a number worked by hand.

#![allow(
    clippy::disallowed_methods,
    reason = "these tests write input files and run the program"
)]

mod program;

use std::path::Path;
use std::process::{Command, Output};

use program::lapwing;
use serde_json::{Value, json};

const HARBOUR: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples/harbour-estate");
const SECOND: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples/second-visit");
const RECORD: &[u8] = include_bytes!("../../../examples/second-visit/record.json");

/// The key that signed the example: everybody knows it, so it proves nothing.
const EXAMPLE_KEY: &str = "0707070707070707070707070707070707070707070707070707070707070707";

fn said(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

fn verify(file: &Path, more: &[&str]) -> Output {
    let mut arguments = vec!["verify-record", file.to_str().expect("a path")];
    arguments.extend(more);
    lapwing(&arguments)
}

/// Exit code 2 and a sentence on standard error, nothing on standard output.
fn refused(bytes: &[u8], more: &[&str], expected: &str) {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("record.json");
    std::fs::write(&file, bytes).expect("written");
    let output = verify(&file, more);
    assert_eq!(output.status.code(), Some(2), "{}", said(&output));
    assert!(said(&output).contains(expected), "{}", said(&output));
    assert!(output.stdout.is_empty());
}

fn signed() -> Value {
    serde_json::from_slice(RECORD).expect("JSON")
}

fn key_file(folder: &Path) -> String {
    let path = folder.join("example.key");
    std::fs::write(&path, EXAMPLE_KEY).expect("written");
    path.display().to_string()
}

#[test]
fn the_example_is_the_same_bytes_on_any_number_of_threads() {
    for threads in ["1", "3"] {
        let folder = tempfile::tempdir().expect("a folder");
        let out = folder.path().join("out");
        let output = Command::new(env!("CARGO_BIN_EXE_lapwing"))
            .args(["handover", HARBOUR, "--key", &key_file(folder.path())])
            .args(["--out", out.to_str().expect("a path")])
            .env("RAYON_NUM_THREADS", threads)
            .output()
            .expect("the program starts");
        assert!(output.status.success(), "{}", said(&output));
        let came = std::fs::read(out.join("record.json")).expect("written");
        assert_eq!(came, RECORD, "with {threads} threads");
        for name in ["record.pdf", "label.pdf"] {
            let pdf = std::fs::read(out.join(name)).expect("written");
            assert!(pdf.starts_with(b"%PDF-"), "{name}");
        }
        let calendar = std::fs::read_to_string(out.join("care.ics")).expect("written");
        assert!(calendar.starts_with("BEGIN:VCALENDAR\r\n"));
        // Four of five: the example was not coated.
        assert_eq!(calendar.matches("BEGIN:VEVENT").count(), 4 + 1);
    }
}

#[test]
fn json_is_the_signed_record_and_nothing_else() {
    let folder = tempfile::tempdir().expect("a folder");
    let output = lapwing(&[
        "handover",
        HARBOUR,
        "--key",
        &key_file(folder.path()),
        "--json",
    ]);
    assert!(output.status.success(), "{}", said(&output));
    let came: Value = serde_json::from_slice(&output.stdout).expect("one document");
    let canonical = |value: &Value| lapwing_store::canonical_json(value).expect("canonical");
    assert!(canonical(&came) == canonical(&signed()));
}

#[test]
fn a_key_is_made_where_there_is_none_and_said() {
    let folder = tempfile::tempdir().expect("a folder");
    let key = folder.path().join("signing.key");
    let key = key.to_str().expect("a path");
    let one = concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples/one-panel");
    let first = lapwing(&["handover", one, "--key", key, "--json"]);
    assert!(
        said(&first).contains("A signing key was made"),
        "{}",
        said(&first)
    );
    let again = lapwing(&["handover", one, "--key", key, "--json"]);
    assert_eq!(said(&again), "");
    let public =
        |o: &Output| serde_json::from_slice::<Value>(&o.stdout).expect("JSON")["key"].clone();
    assert_eq!(public(&first), public(&again));
}

#[test]
fn without_a_key_file_the_shop_of_the_data_folder_signs() {
    let folder = tempfile::tempdir().expect("a folder");
    let data = folder.path().join("data");
    let data = data.to_str().expect("a path");
    let one = concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples/one-panel");
    let first = lapwing(&["handover", one, "--data", data, "--json"]);
    assert!(first.status.success(), "{}", said(&first));
    assert!(
        said(&first).contains("was made and kept in"),
        "{}",
        said(&first)
    );
    let again = lapwing(&["handover", one, "--data", data, "--json"]);
    assert_eq!(said(&again), "");
    assert_eq!(first.stdout, again.stdout);
}

/// Film that grew holds the signing back, and its key is told beforehand.
#[test]
fn film_that_grew_is_not_signed_unless_the_doubt_is_noted() {
    let folder = tempfile::tempdir().expect("a folder");
    let one = concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples/one-panel");
    for name in ["job.toml", "readings.csv"] {
        std::fs::copy(format!("{one}/{name}"), folder.path().join(name)).expect("copied");
    }
    // Before it read 4.5 to 4.7 mil.
    let grown = "panel,thickness_mil\nhood,6.8\nhood,6.7\nhood,6.8\nhood,6.7\n";
    std::fs::write(folder.path().join("after.csv"), grown).expect("written");
    let job = folder.path().to_str().expect("a path");
    let key = folder.path().join("key");
    let key = key.to_str().expect("a path");
    let held = lapwing(&["handover", job, "--key", key]);
    assert_eq!(held.status.code(), Some(2));
    assert!(said(&held).contains("will be made in"), "{}", said(&held));
    assert!(
        said(&held).contains("cannot be right on"),
        "{}",
        said(&held)
    );
    assert!(!Path::new(key).exists(), "nothing was signed");
    let signed = lapwing(&["handover", job, "--key", key, "--doubt", "--json"]);
    assert!(signed.status.success(), "{}", said(&signed));
    let record: Value = serde_json::from_slice(&signed.stdout).expect("JSON");
    let cautions = record["record"]["cautions"].to_string();
    assert!(cautions.contains("Signed with a doubt noted"), "{cautions}");
    let panel = &record["record"]["panels"][0];
    assert_eq!(panel["after_cannot_be"], true);
    let schema = lapwing(&["schema", "work"]);
    let schema: Value = serde_json::from_slice(&schema.stdout).expect("a schema");
    for key in [
        "schema", "date", "minutes", "coated", "done", "mark", "remains", "picture",
    ] {
        assert!(
            schema["properties"][key]["description"].is_string(),
            "{key}"
        );
    }
}

/// Readings after that mean through the clear hold the signing back as well.
#[test]
fn a_clear_coat_that_is_through_is_not_signed_unless_the_doubt_is_noted() {
    let folder = tempfile::tempdir().expect("a folder");
    let one = concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples/one-panel");
    for name in ["job.toml", "readings.csv"] {
        std::fs::copy(format!("{one}/{name}"), folder.path().join(name)).expect("copied");
    }
    // Before it read 4.5 to 4.7 mil, of which a whole clear coat is under 2.
    let deep = "panel,thickness_mil\nhood,2.1\nhood,2.2\nhood,2.1\nhood,2.2\n";
    std::fs::write(folder.path().join("after.csv"), deep).expect("written");
    let job = folder.path().to_str().expect("a path");
    let key = folder.path().join("key");
    let key = key.to_str().expect("a path");
    let held = lapwing(&["handover", job, "--key", key]);
    assert_eq!(held.status.code(), Some(2));
    for words in [
        "more went than may have",
        "µm of clear coat: the clear coat may be through",
        "Read again, or sign with the doubt noted",
    ] {
        assert!(said(&held).contains(words), "{words}: {}", said(&held));
    }
    assert!(!Path::new(key).exists(), "nothing was signed");
    let signed = lapwing(&["handover", job, "--key", key, "--doubt", "--json"]);
    assert!(signed.status.success(), "{}", said(&signed));
    let record: Value = serde_json::from_slice(&signed.stdout).expect("JSON");
    assert_eq!(record["record"]["panels"][0]["too_far"]["kind"], "through");
    let cautions = record["record"]["cautions"].to_string();
    assert!(cautions.contains("Signed with a doubt noted"), "{cautions}");
    assert!(!cautions.contains(job), "{cautions}");
}

#[test]
fn a_genuine_record_is_told_with_and_without_its_key() {
    let file = Path::new(SECOND).join("record.json");
    let plain = verify(&file, &[]);
    assert!(plain.status.success(), "{}", said(&plain));
    let words = String::from_utf8_lossy(&plain.stdout).into_owned();
    assert!(words.contains("nobody vouches"), "{words}");
    let key = signed()["key"].as_str().expect("a key").to_owned();
    let known = verify(&file, &["--known-key", &key]);
    let words = String::from_utf8_lossy(&known.stdout).into_owned();
    assert!(words.starts_with("Genuine: unchanged"), "{words}");
    assert!(
        words.contains("Harbour estate") && words.contains(&key),
        "{words}"
    );
}

#[test]
fn another_layout_of_the_same_record_is_genuine_and_said() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("pretty.json");
    std::fs::write(&file, serde_json::to_vec_pretty(&signed()).expect("text")).expect("written");
    let output = verify(&file, &[]);
    assert!(output.status.success(), "{}", said(&output));
    let words = String::from_utf8_lossy(&output.stdout).into_owned();
    assert!(words.contains("what it says is unchanged"), "{words}");
}

#[test]
fn every_way_to_spoil_a_record_has_its_own_sentence() {
    let whole = signed();
    let with = |place: &str, value: Value| {
        let mut other = whole.clone();
        *other.pointer_mut(place).expect("there") = value;
        other.to_string().into_bytes()
    };
    let other_sign = |word: &str| {
        let text = whole[word].as_str().expect("text");
        let first = if text.starts_with('a') { "b" } else { "a" };
        json!(format!("{first}{}", &text[1..]))
    };
    refused(
        &with("/record/panels/0/removed_ever_um/mean", json!(0.1)),
        &[],
        "Changed:",
    );
    refused(
        &with("/record/job", json!("Harbour estat\u{435}")),
        &[],
        "Changed:",
    );
    refused(&with("/sha256", other_sign("sha256")), &[], "Changed:");
    refused(
        &with("/signature", other_sign("signature")),
        &[],
        "Forged or damaged:",
    );
    refused(&with("/key", other_sign("key")), &[], "Forged or damaged:");
    let half = &RECORD[..RECORD.len() / 2];
    refused(half, &[], "Cut off:");
    refused(b" \n", &[], "Empty:");
    refused(b"{\"lapwing_record\": 1}", &[], "Not a record:");
    refused(b"<html>", &[], "Not a record:");
    let text = String::from_utf8(RECORD.to_vec()).expect("text");
    let twice = text.replacen("\"job\":", "\"job\":\"mine\",\"job\":", 1);
    refused(twice.as_bytes(), &[], "Two meanings:");
    let large = text.replacen("\"schema\":1", "\"schema\":9007199254740993", 1);
    refused(large.as_bytes(), &[], "Not canonical:");
    let another = "ab".repeat(32);
    refused(RECORD, &["--known-key", &another], "Another key:");
    refused(RECORD, &["--known-key", "nonsense"], "is no key");
}

#[test]
fn a_forger_with_a_key_of_his_own_is_found_by_the_key() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut record = signed()["record"].clone();
    record["panels"][0]["removed_ever_um"]["mean"] = json!(0.0);
    let forged = lapwing_store::sign_record(&record, &[9; 32]).expect("signed");
    let file = folder.path().join("forged.json");
    std::fs::write(&file, forged.to_string()).expect("written");
    assert!(verify(&file, &[]).status.success(), "nobody named a key");
    let key = signed()["key"].as_str().expect("a key").to_owned();
    refused(
        forged.to_string().as_bytes(),
        &["--known-key", &key],
        "Another key:",
    );
}

/// A copy of the example's second visit with one of its files changed.
fn second_visit_with(name: &str, from: &str, to: &str) -> (tempfile::TempDir, String) {
    let folder = tempfile::tempdir().expect("a folder");
    for file in ["job.toml", "readings.csv", "record.json"] {
        std::fs::copy(Path::new(SECOND).join(file), folder.path().join(file)).expect("copied");
    }
    let path = folder.path().join(name);
    let text = std::fs::read_to_string(&path).expect("read");
    assert!(text.contains(from), "{from}");
    std::fs::write(&path, text.replacen(from, to, 1)).expect("written");
    let named = folder.path().display().to_string();
    (folder, named)
}

fn plan_of(folder: &str) -> Value {
    let output = lapwing(&["plan", folder, "--json"]);
    assert!(output.status.success(), "{}", said(&output));
    serde_json::from_slice(&output.stdout).expect("one document")
}

/// 12.7 µm may ever go. The record says what went with its deviation; the rule
/// counts the upper end, 1.645 deviations up, so 12.7 − (m + 1.645·s) may still
/// go by that rule. The budget's own test holds its upper end to 0.4 deviations;
/// where hidden places were read it counts more as gone, never less.
#[test]
fn the_next_visit_debits_the_record_by_hand() {
    let plan = plan_of(SECOND);
    // The second visit's readings miss 5 µm on the bonnet: somebody polished since.
    let cautions = plan["cautions"].to_string();
    assert!(cautions.contains("somebody polished since"), "{cautions}");
    let readings = std::fs::read_to_string(Path::new(SECOND).join("readings.csv")).expect("read");
    let mut checked = 0;
    for panel in signed()["record"]["panels"].as_array().expect("panels") {
        if panel["name"] == "bonnet" {
            continue;
        }
        let ever = &panel["removed_ever_um"];
        let (mean, sd) = (
            ever["mean"].as_f64().expect("m"),
            ever["sd"].as_f64().expect("s"),
        );
        let now = plan["panels"]
            .as_array()
            .expect("panels")
            .iter()
            .find(|p| p["name"] == panel["name"]);
        let rule = now.and_then(|p| {
            p["rules"]
                .as_array()?
                .iter()
                .find(|r| r["name"] == "removed-ever")
        });
        let (Some(rule), true) = (rule, sd > 0.0 && mean > 3.0 * sd) else {
            continue;
        };
        let allows = rule["allows_um"].as_f64().expect("a number");
        let by_hand = 12.7 - (mean + 1.645 * sd);
        let told = format!("{}: {allows}, by hand {by_hand}", panel["name"]);
        assert!(allows <= by_hand + 0.4 * sd, "{told}");
        let spoken = panel["spoken"].as_str().unwrap_or_default().to_lowercase();
        let has_hidden = readings
            .lines()
            .any(|l| l.starts_with(&format!("{spoken},")) && l.contains(",hidden,"));
        if has_hidden {
            continue;
        }
        assert!(allows >= by_hand - 0.4 * sd, "{told}");
        checked += 1;
    }
    assert!(checked >= 4, "{checked}");
}

#[test]
fn a_record_that_is_not_genuine_stops_the_next_visit() {
    let (_kept, folder) = second_visit_with("record.json", "\"mean\":", "\"mean\":1");
    let output = lapwing(&["plan", &folder]);
    assert_eq!(output.status.code(), Some(2));
    assert!(
        said(&output).contains("record.json: Changed:"),
        "{}",
        said(&output)
    );
    let key = signed()["key"].as_str().expect("a key").to_owned();
    let (_kept, folder) = second_visit_with("job.toml", &key, &"cd".repeat(32));
    let output = lapwing(&["plan", &folder]);
    assert!(said(&output).contains("Another key:"), "{}", said(&output));
    let (_kept, folder) = second_visit_with("job.toml", &key, "cd");
    let output = lapwing(&["plan", &folder]);
    assert!(
        said(&output).contains("64 signs") && said(&output).contains("line "),
        "{}",
        said(&output)
    );
}

#[test]
fn a_second_visit_chains_to_the_first() {
    let folder = tempfile::tempdir().expect("a folder");
    let output = lapwing(&[
        "handover",
        SECOND,
        "--key",
        &key_file(folder.path()),
        "--json",
    ]);
    assert!(output.status.success(), "{}", said(&output));
    let came: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    assert_eq!(came["record"]["earlier"]["sha256"], signed()["sha256"]);
    assert_eq!(came["record"]["earlier"]["key"], signed()["key"]);
}

#[test]
fn pictures_are_named_by_the_hash_of_their_file() {
    let (_kept, folder) = second_visit_with("readings.csv", "", "");
    let photos = Path::new(&folder).join("photos");
    std::fs::create_dir(&photos).expect("made");
    // FIPS 180-4's first example: SHA-256 of "abc".
    std::fs::write(photos.join("a.jpg"), "abc").expect("written");
    let log = "schema = 1\n[[picture]]\nfile = \"a.jpg\"\nsays = \"bonnet before\"\n";
    std::fs::write(Path::new(&folder).join("work.toml"), log).expect("written");
    let key = key_file(Path::new(&folder));
    let output = lapwing(&["handover", &folder, "--key", &key, "--json"]);
    assert!(output.status.success(), "{}", said(&output));
    let came: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    let picture = &came["record"]["pictures"][0];
    assert_eq!(
        picture["sha256"],
        "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    );
    assert_eq!(picture["says"], "bonnet before");
    let other = log.replace("a.jpg", "../job.toml");
    std::fs::write(Path::new(&folder).join("work.toml"), other).expect("written");
    let output = lapwing(&["handover", &folder, "--key", &key]);
    assert!(
        said(&output).contains("not in the folder photos"),
        "{}",
        said(&output)
    );
}

#[test]
fn photographs_are_printed_on_the_paper_and_a_broken_one_is_listed() {
    let (_kept, folder) = second_visit_with("readings.csv", "", "");
    let folder = Path::new(&folder);
    let photos = folder.join("photos");
    std::fs::create_dir(&photos).expect("made");
    std::fs::write(photos.join("broken.jpg"), "abc").expect("written");
    let shade = |x: u32| u8::try_from(x * 255 / 2400).unwrap_or(255);
    for (name, height) in [("roof.jpg", 1600), ("wing.png", 2400)] {
        let picture = image::RgbImage::from_fn(2400, height, |x, _| {
            image::Rgb([shade(x), 80, 255 - shade(x)])
        });
        picture.save(photos.join(name)).expect("written");
    }
    let out = folder.join("out");
    let output = lapwing(&[
        "handover",
        &folder.display().to_string(),
        "--key",
        &key_file(folder),
        "--out",
        &out.display().to_string(),
    ]);
    assert!(output.status.success(), "{}", said(&output));
    let pdf = std::fs::read(out.join("record.pdf")).expect("a paper");
    // Photographs are the only JPEG streams of a sheet (ISO 32000-2, 7.4.8).
    let pictures = pdf.windows(10).filter(|w| w == b"/DCTDecode").count();
    assert_eq!(pictures, 2);
}

/// One way to spoil a byte: another of its class, one more, one less, the end.
fn spoilt(bytes: &[u8], at: usize, how: u8, with: u8) -> Vec<u8> {
    let mut other = bytes.to_vec();
    let same_class = match other[at] {
        b'0'..=b'9' => b'0' + (other[at] - b'0' + 1 + with % 9) % 10,
        b'a'..=b'z' => b'a' + (other[at] - b'a' + 1 + with % 25) % 26,
        b'A'..=b'Z' => b'A' + (other[at] - b'A' + 1 + with % 25) % 26,
        b'{' => b'[',
        b'}' => b']',
        b',' => b':',
        b':' => b',',
        b'"' => b'\'',
        sign => sign ^ 1,
    };
    match how {
        0 => other[at] = same_class,
        1 => other[at] ^= 1 << (with % 8),
        2 => other.insert(at, with),
        3 => {
            other.remove(at);
        }
        _ => other.truncate(at),
    }
    other
}

proptest::proptest! {
    #![proptest_config(proptest::test_runner::Config {
        cases: 400,
        failure_persistence: None,
        ..proptest::test_runner::Config::default()
    })]

    /// Whatever is spoilt: a record that is still called genuine says what was signed.
    #[test]
    fn no_spoilt_byte_makes_another_genuine_record(
        at in 0..RECORD.len() - 1,
        how in 0_u8..5,
        with: u8,
    ) {
        let other = spoilt(RECORD, at, how, with);
        if let lapwing_store::RecordVerdict::Genuine { record, key, .. } =
            lapwing_store::verify_record(&other, &[])
        {
            let whole = signed();
            proptest::prop_assert_eq!(&record, &whole["record"], "byte {} way {}", at, how);
            proptest::prop_assert_eq!(key, whole["key"].as_str().unwrap_or_default());
        }
    }
}
