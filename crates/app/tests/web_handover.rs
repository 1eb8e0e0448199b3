//! The hand-over of a job in the browser's words: draft, signing, what there is
//! to take along, and the next visit from the record.

#![allow(
    clippy::disallowed_methods,
    reason = "these tests read the example's files"
)]

mod bay;

use bay::{Answer, Server, multipart};
use serde_json::Value;

const HARBOUR: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples/harbour-estate");
const RECORD: &[u8] = include_bytes!("../../../examples/second-visit/record.json");

fn zip_of_example() -> Vec<u8> {
    use std::io::Write as _;
    let mut zip = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    for name in ["job.toml", "readings.csv", "after.csv", "work.toml"] {
        let bytes = std::fs::read(format!("{HARBOUR}/{name}")).expect("read");
        zip.start_file(name, zip::write::SimpleFileOptions::default())
            .expect("started");
        zip.write_all(&bytes).expect("written");
    }
    zip.finish().expect("finished").into_inner()
}

/// Sends a file as a browser's form does.
fn bring(server: &Server, name: &str, bytes: &[u8]) -> Answer {
    let mut body = format!("--b\r\ncontent-disposition: form-data; name=\"file\"; filename=\"{name}\"\r\ncontent-type: application/octet-stream\r\n\r\n").into_bytes();
    body.extend_from_slice(bytes);
    body.extend_from_slice(b"\r\n--b--\r\n");
    let kind = ("content-type", "multipart/form-data; boundary=b");
    server.send("POST", "/jobs/bring", &[kind], &body)
}

/// The job that the answer leads to.
fn job_of(answer: &Answer) -> String {
    assert_eq!(answer.status, 303, "{}", answer.text());
    answer.header("location").expect("a way").to_owned()
}

#[test]
fn a_job_is_drafted_signed_and_taken_along() {
    let server = Server::start();
    let job = job_of(&bring(&server, "job.zip", &zip_of_example()));
    let draft = server.get(&format!("{job}/handover"));
    assert_eq!(draft.status, 200);
    let page = draft.text();
    assert!(page.contains("Nothing is signed yet") && page.contains("Harbour estate"));
    assert!(
        page.contains("3.1 ± 0.2") && page.contains("under 0.7"),
        "what went"
    );
    let early = server.get(&format!("{job}/handover/record.json"));
    assert_eq!(early.status, 404);
    let edit = "edit=11111111-aaaa&saw=2";
    let signed = server.post(&format!("{job}/handover"), edit);
    assert_eq!(signed.status, 303, "{}", signed.text());
    // A double tap is one signature.
    assert_eq!(server.post(&format!("{job}/handover"), edit).status, 303);
    let file = server.get(&format!("{job}/handover/record.json"));
    let record: Value = serde_json::from_slice(&file.body).expect("JSON");
    let example: Value = serde_json::from_slice(RECORD).expect("JSON");
    // The same visit, but for the day's clock and what only the app knows.
    assert_eq!(record["record"]["panels"], example["record"]["panels"]);
    assert_eq!(record["record"]["spent"], example["record"]["spent"]);
    let verdict = lapwing_store::verify_record(&file.body, &[]);
    assert!(matches!(
        verdict,
        lapwing_store::RecordVerdict::Genuine { .. }
    ));
    for (name, begins) in [
        ("record.pdf", "%PDF-"),
        ("label.pdf", "%PDF-"),
        ("label.svg", "<svg"),
        ("care.ics", "BEGIN:VCALENDAR\r\n"),
    ] {
        let answer = server.get(&format!("{job}/handover/{name}"));
        assert_eq!(answer.status, 200, "{name}");
        assert!(answer.body.starts_with(begins.as_bytes()), "{name}");
    }
    assert_eq!(server.get(&format!("{job}/handover/other")).status, 404);
    let seal = record["sha256"].as_str().expect("a seal");
    let page = server.get(&format!("{job}/handover")).text();
    assert!(page.contains(&seal[..4]) && page.contains("To take along"));
}

#[test]
fn photographs_of_the_job_are_on_the_owners_paper() {
    let server = Server::start();
    let job = job_of(&bring(&server, "job.zip", &zip_of_example()));
    for (side, blue) in [("before", 90), ("after", 200)] {
        let mut file = std::io::Cursor::new(Vec::new());
        let picture = image::RgbImage::from_fn(1600, 1200, |x, _| {
            image::Rgb([u8::try_from(x / 7).unwrap_or(255), 60, blue])
        });
        picture
            .write_to(&mut file, image::ImageFormat::Jpeg)
            .expect("written");
        let edit = format!("photo-{side}-1");
        let (kind, body) = multipart(&[
            ("edit", None, edit.as_bytes()),
            ("panel", None, b"bonnet"),
            ("side", None, side.as_bytes()),
            ("photo", Some("p.jpg"), file.get_ref()),
        ]);
        let headers = [("content-type", kind.as_str())];
        let answer = server.send("POST", &format!("{job}/photos"), &headers, &body);
        assert_eq!(answer.status, 303, "{}", answer.text());
    }
    let page = server.get(&format!("{job}/handover")).text();
    let (_, saw) = page.split_once("name=\"saw\" value=\"").expect("a version");
    let saw = saw.split('"').next().expect("its end");
    let edit = format!("edit=22222222-aaaa&saw={saw}");
    let signed = server.post(&format!("{job}/handover"), &edit);
    assert_eq!(signed.status, 303, "{}", signed.text());
    let file = server.get(&format!("{job}/handover/record.json"));
    let record: Value = serde_json::from_slice(&file.body).expect("JSON");
    let said: Vec<&str> = record["record"]["pictures"]
        .as_array()
        .expect("pictures")
        .iter()
        .filter_map(|p| p["says"].as_str())
        .collect();
    assert_eq!(said, ["Bonnet, before", "Bonnet, after"]);
    let pdf = server.get(&format!("{job}/handover/record.pdf"));
    assert_eq!(pdf.status, 200);
    // Photographs are the only JPEG streams of a sheet (ISO 32000-2, 7.4.8).
    let pictures = pdf.body.windows(10).filter(|w| w == b"/DCTDecode").count();
    assert_eq!(pictures, 2);
    bay::keep("record-with-photos.pdf", &pdf.body);
}

#[test]
fn the_zip_of_a_job_makes_the_same_job_elsewhere() {
    let (first, second) = (Server::start(), Server::start());
    let job = job_of(&bring(&first, "job.zip", &zip_of_example()));
    let zip = first.get(&format!("{job}/job.zip"));
    assert_eq!(zip.header("content-type"), Some("application/zip"));
    assert_eq!(job_of(&bring(&second, "again.zip", &zip.body)), job);
    assert_eq!(second.get(&format!("{job}/job.zip")).body, zip.body);
}

#[test]
fn the_record_of_an_earlier_visit_opens_the_next_one() {
    let server = Server::start();
    let job = job_of(&bring(&server, "record.json", RECORD));
    let page = server.get(&job);
    assert_eq!(page.status, 200);
    assert!(page.text().contains("Harbour estate"));
    let zip = server.get(&format!("{job}/job.zip")).body;
    let mut zip = zip::ZipArchive::new(std::io::Cursor::new(zip)).expect("a zip");
    let mut kept = Vec::new();
    std::io::Read::read_to_end(&mut zip.by_name("record.json").expect("there"), &mut kept)
        .expect("read");
    assert_eq!(kept, RECORD, "the record travels unchanged");
}

#[test]
fn what_is_no_record_and_no_zip_is_turned_away_in_a_sentence() {
    let server = Server::start();
    let spoilt = String::from_utf8_lossy(RECORD).replacen("\"mean\":", "\"mean\":1", 1);
    for (name, bytes, says) in [
        ("record.json", spoilt.as_bytes(), "Changed:"),
        ("record.json", &RECORD[..200], "Cut off:"),
        ("photo.jpg", b"\xff\xd8\xff\xe0".as_slice(), "Not a record:"),
        ("bad.zip", b"PK\x03\x04 nonsense", ""),
        ("empty", b"", "No file came along"),
    ] {
        let answer = bring(&server, name, bytes);
        assert_eq!(answer.status, 422, "{name}: {}", answer.text());
        assert!(answer.text().contains(says), "{name}: {}", answer.text());
    }
    assert!(!server.get("/jobs").text().contains("/jobs/j-"));
    let plain = server.post("/jobs/bring", "file=x");
    assert!((400..500).contains(&plain.status), "{}", plain.status);
}

#[test]
fn a_job_without_a_plan_says_what_is_missing() {
    let server = Server::start();
    let opened = server.post("/jobs", "edit=22222222-bbbb&saw=0&name=Bare&class=estate");
    let job = job_of(&opened);
    let page = server.get(&format!("{job}/handover"));
    assert_eq!(page.status, 200);
    // The shop has no kit either: its page is where it is given.
    let text = page.text();
    assert!(
        text.contains("the plan needs the shop&#39;s kit")
            || text.contains("the plan needs the shop's kit"),
        "{text}"
    );
    assert!(text.contains("main-deed\" href=\"/shop\""), "{text}");
    server.post("/shop", "edit=start-0001&saw=0&what=starter");
    let text = server.get(&format!("{job}/handover")).text();
    assert!(
        text.contains(&format!("main-deed\" href=\"{job}/plan\"")),
        "{text}"
    );
    assert_eq!(
        server
            .post(&format!("{job}/handover"), "edit=33333333-cccc")
            .status,
        422
    );
}
