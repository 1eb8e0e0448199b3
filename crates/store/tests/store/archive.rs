//! A job as a zip: there and back, and zips that play tricks.
//!
//! Checked by: itself; each check runs on both databases. The bomb's ratio is
//! that of a real deflate stream.

use std::fs::File;
use std::io::{Read as _, Seek as _, SeekFrom, Write as _};

use lapwing_store::{ArchiveLimits, Change, Imported, Limits, Shop, StoreError};
use serde_json::json;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipWriter};

use crate::pictures::{phone_photo, plain_png};
use crate::servers::{Home, author, edit};

on_both!(
    a_job_comes_back_without_loss,
    a_history_goes_on_where_it_ended,
    a_history_that_went_another_way_is_refused,
    a_changed_history_is_refused,
    a_folder_made_by_hand_becomes_a_job,
    a_folder_edited_by_hand_becomes_one_more_event,
    tricks_in_zips_are_refused,
);

const TOML: &str = "# by hand: Öl\n[car]\nname = \"grey estate\"\r\n";
/// Name and bytes of a file in a zip.
type Inside<'a> = (&'a str, &'a [u8]);

const CSV: &str = "panel,thickness_um\nbonnet,118.4\n";

async fn filled(home: &Home) -> Shop {
    let shop = home.shop().await;
    let mut upload = shop.start_picture(Limits::default()).expect("begun");
    upload.write(&phone_photo()).await.expect("taken");
    let photo = upload.finish().await.expect("kept");
    let mut upload = shop.start_picture(Limits::default()).expect("begun");
    upload.write(&plain_png("replaced")).await.expect("taken");
    let old = upload.finish().await.expect("kept");
    let edits = [
        edit(
            0,
            vec![Change::put(
                "/folder",
                json!({"job.toml": TOML, "readings.csv": CSV}),
            )],
        ),
        edit(
            0,
            vec![Change::put(
                "/photos/bonnet left.jpg",
                json!({"picture": old.hash}),
            )],
        ),
        edit(
            0,
            vec![Change::put(
                "/photos/bonnet left.jpg",
                json!({"picture": photo.hash, "note": "left"}),
            )],
        ),
        edit(
            0,
            vec![
                Change::put("/n", 0.1),
                Change::put("/long", 1e-300),
                Change::put("/big", 9007199254740993_i64),
            ],
        ),
        edit(0, vec![Change::remove("/n")]),
    ];
    shop.append_all("j", &author("t"), &edits)
        .await
        .expect("kept");
    // An edit that was set aside travels too.
    let late = edit(1, vec![Change::put("/folder/job.toml", "late")]);
    shop.append(
        "j",
        &author("u"),
        &edit(5, vec![Change::put("/folder/job.toml", TOML)]),
    )
    .await
    .expect("kept");
    shop.append("j", &author("v"), &late).await.expect("aside");
    shop
}

async fn import(shop: &Shop, file: File) -> Result<Imported, StoreError> {
    shop.import_job(file, &author("import"), ArchiveLimits::default())
        .await
}

async fn a_job_comes_back_without_loss(home: &Home) {
    let shop = filled(home).await;
    let mut zip = shop.export_job("j").await.expect("exported").file;
    let other_home = Home::on_sqlite();
    let other = other_home.shop().await;
    let imported = import(&other, zip.try_clone().expect("a file"))
        .await
        .expect("imported");
    assert_eq!(imported.job, "j");
    assert_eq!((imported.new_events, imported.photos), (7, 2));
    assert!(!imported.has_folder_changes && imported.left_out.is_empty());
    let (before, after) = (
        shop.state("j").await.expect("state"),
        other.state("j").await.expect("state"),
    );
    assert_eq!(before, after);
    assert_eq!(after.open_conflicts.len(), 1);
    let ours = shop.changes_since("j", 0, 100).await.expect("history");
    assert_eq!(
        ours,
        other.changes_since("j", 0, 100).await.expect("history")
    );
    let mut again = other.export_job("j").await.expect("exported").file;
    assert_eq!(bytes_of(&mut zip), bytes_of(&mut again), "byte for byte");
    assert_eq!(
        other.store().verify().await.expect("verified").faults,
        [""; 0]
    );
    // What is in it, as anyone can read it.
    let mut archive = zip::ZipArchive::new(zip).expect("a zip");
    let mut text = String::new();
    archive
        .by_name("job.toml")
        .expect("there")
        .read_to_string(&mut text)
        .expect("text");
    assert_eq!(text, TOML);
    assert!(archive.by_name("photos/bonnet left.jpg").is_ok());
}

async fn a_history_goes_on_where_it_ended(home: &Home) {
    let shop = filled(home).await;
    let other_home = Home::on_sqlite();
    let other = other_home.shop().await;
    let first = shop.export_job("j").await.expect("exported").file;
    import(&other, first).await.expect("imported");
    let more = edit(7, vec![Change::put("/more", true)]);
    shop.append("j", &author("t"), &more).await.expect("kept");
    let second = shop.export_job("j").await.expect("exported").file;
    let twice = second.try_clone().expect("a file");
    assert_eq!(
        import(&other, second).await.expect("imported").new_events,
        1
    );
    assert_eq!(import(&other, twice).await.expect("imported").new_events, 0);
    assert_eq!(
        other.state("j").await.expect("state").at("/more"),
        Some(&json!(true))
    );
}

async fn a_history_that_went_another_way_is_refused(home: &Home) {
    let shop = filled(home).await;
    let other_home = Home::on_sqlite();
    let other = other_home.shop().await;
    let zip = shop.export_job("j").await.expect("exported").file;
    import(&other, zip).await.expect("imported");
    for shop in [&shop, &other] {
        let own = edit(7, vec![Change::put("/own", shop.id())]);
        shop.append("j", &author("t"), &own).await.expect("kept");
    }
    let zip = shop.export_job("j").await.expect("exported").file;
    let error = import(&other, zip).await.expect_err("refused");
    assert!(error.to_string().contains("another way"), "{error}");
    let state = other.state("j").await.expect("state");
    assert_eq!(state.at("/own"), Some(&json!(other.id())));
}

async fn a_changed_history_is_refused(home: &Home) {
    let shop = filled(home).await;
    let zip = shop.export_job("j").await.expect("exported").file;
    let mut archive = zip::ZipArchive::new(zip).expect("a zip");
    let mut text = String::new();
    archive
        .by_name("history.json")
        .expect("there")
        .read_to_string(&mut text)
        .expect("text");
    for (from, to) in [
        ("\"who\":\"mika\"", "\"who\":\"mira\""),
        ("grey estate", "blue estate"),
        ("\"standing\":\"aside\"", "\"standing\":\"kept\""),
        ("\"version\":3", "\"version\":4"),
        ("\"lapwing_history\":1", "\"lapwing_history\":2"),
        ("\"job\":\"j\"", "\"job\":\"../j\""),
        ("\"events\":[", "\"events\":[],\"other\":["),
    ] {
        assert!(text.contains(from), "{from}");
        let changed = text.replacen(from, to, 1);
        let zip = zipped(&[("history.json", changed.as_bytes())]);
        let other_home = Home::on_sqlite();
        let other = other_home.shop().await;
        let error = import(&other, zip).await.expect_err("refused");
        assert!(matches!(error, StoreError::Refused(_)), "{error}");
        assert!(
            other
                .jobs(&Default::default())
                .await
                .expect("list")
                .is_empty()
        );
    }
    // Whole, but without its photos.
    let zip = zipped(&[("history.json", text.as_bytes())]);
    let other_home = Home::on_sqlite();
    let error = import(&other_home.shop().await, zip)
        .await
        .expect_err("refused");
    assert!(error.to_string().contains("names the photo"), "{error}");
}

async fn a_folder_made_by_hand_becomes_a_job(home: &Home) {
    let shop = home.shop().await;
    let photo = phone_photo();
    let zip = zipped(&[
        ("estate/job.toml", TOML.as_bytes()),
        ("estate/readings.csv", CSV.as_bytes()),
        ("estate/photos/Tür.jpg", &photo),
        ("__MACOSX/estate/._job.toml", b"x"),
    ]);
    let imported = import(&shop, zip).await.expect("imported");
    assert_eq!(imported.left_out, ["__MACOSX/estate/._job.toml"]);
    assert!(imported.has_folder_changes);
    let state = shop.state(&imported.job).await.expect("state");
    assert_eq!(
        state.document["folder"],
        json!({"job.toml": TOML, "readings.csv": CSV})
    );
    let hash = state.document["photos"]["Tür.jpg"]["picture"]
        .as_str()
        .expect("a hash");
    assert_eq!(shop.picture(hash).await.expect("kept").width_px, 64);
}

async fn a_folder_edited_by_hand_becomes_one_more_event(home: &Home) {
    let shop = filled(home).await;
    let zip = shop.export_job("j").await.expect("exported").file;
    let mut archive = zip::ZipArchive::new(zip).expect("a zip");
    let mut files = Vec::new();
    for index in 0..archive.len() {
        let mut file = archive.by_index(index).expect("a file");
        let mut bytes = Vec::new();
        file.read_to_end(&mut bytes).expect("bytes");
        files.push((file.name().expect("a name").into_owned(), bytes));
    }
    for (name, bytes) in &mut files {
        if name == "readings.csv" {
            bytes.extend_from_slice(b"boot,97\n");
        }
    }
    let files: Vec<_> = files
        .iter()
        .map(|(n, b)| (n.as_str(), b.as_slice()))
        .collect();
    let imported = import(&shop, zipped(&files)).await.expect("imported");
    assert!(imported.has_folder_changes);
    assert_eq!(imported.new_events, 0);
    let state = shop.state("j").await.expect("state");
    assert_eq!(state.version, 8);
    let csv = state.document["folder"]["readings.csv"]
        .as_str()
        .expect("text");
    assert!(csv.ends_with("boot,97\n"));
}

async fn tricks_in_zips_are_refused(home: &Home) {
    let shop = home.shop().await;
    let toml = ("job.toml", TOML.as_bytes());
    let zeros = vec![0; 9 << 20];
    let photo = phone_photo();
    let photo_bomb = [b"\xff\xd8\xff".to_vec(), vec![0; 30 << 20]].concat();
    let cases: Vec<(Vec<Inside>, &str)> = vec![
        (vec![], "no job.toml"),
        (vec![("readings.csv", b"x")], "no job.toml"),
        (
            vec![toml, ("../../etc/passwd", b"x")],
            "leads out of the folder",
        ),
        (vec![toml, ("/etc/passwd", b"x")], "leads out of the folder"),
        (
            vec![toml, ("photos\\..\\x.jpg", b"x")],
            "leads out of the folder",
        ),
        (vec![toml, ("estate/job.toml", b"x")], "in it twice"),
        (
            vec![toml, ("photos/A.jpg", &photo), ("photos/a.jpg", b"x")],
            "in it twice",
        ),
        (
            vec![toml, ("readings.csv", &zeros)],
            "unpacks to more than 8192 kB",
        ),
        (
            vec![toml, ("photos/a.jpg", &photo_bomb)],
            "unpacks to more than 25600 kB",
        ),
        (vec![("job.toml", b"\xff\xfe")], "not UTF-8"),
        (
            vec![toml, ("photos/a.jpg", b"<script>")],
            "no JPEG, PNG or WebP",
        ),
        (
            vec![toml, ("history.json", b"{}")],
            "history.json is damaged",
        ),
    ];
    for (files, sentence) in cases {
        let error = import(&shop, zipped(&files)).await.expect_err(sentence);
        assert!(error.to_string().contains(sentence), "{sentence}: {error}");
    }
    far_too_many_files_are_refused(&shop).await;
    cut_zips_are_refused(&shop).await;
    let list = shop.jobs(&Default::default()).await.expect("list");
    assert!(list.is_empty());
    let left = std::fs::read_dir(&home.places.waiting)
        .expect("listed")
        .count();
    assert_eq!(left, 0, "nothing is left behind");
}

async fn far_too_many_files_are_refused(shop: &Shop) {
    let names: Vec<String> = (0..5001).map(|n| format!("x{n}")).collect();
    let many: Vec<Inside> = names.iter().map(|n| (n.as_str(), &b""[..])).collect();
    let error = import(shop, zipped(&many)).await.expect_err("many");
    assert!(
        error.to_string().contains("more than 5000 files"),
        "{error}"
    );
    let mut nothing = tempfile::tempfile().expect("a file");
    nothing.write_all(b"PK no zip at all").expect("written");
    let error = import(shop, nothing).await.expect_err("no zip");
    assert!(error.to_string().contains("no zip"), "{error}");
}

/// Cut at many places.
async fn cut_zips_are_refused(shop: &Shop) {
    let mut zip = zipped(&[
        ("job.toml", TOML.as_bytes()),
        ("photos/a.jpg", &phone_photo()),
    ]);
    let bytes = bytes_of(&mut zip);
    for at in (0..bytes.len()).step_by(bytes.len() / 40) {
        let mut cut = tempfile::tempfile().expect("a file");
        cut.write_all(&bytes[..at]).expect("written");
        import(shop, cut).await.expect_err("cut");
    }
}

fn zipped(files: &[Inside]) -> File {
    let mut zip = ZipWriter::new(tempfile::tempfile().expect("a file"));
    let how = SimpleFileOptions::default().compression_method(CompressionMethod::Deflated);
    for (name, bytes) in files {
        zip.start_file(*name, how).expect("begun");
        zip.write_all(bytes).expect("written");
    }
    let mut file = zip.finish().expect("whole");
    file.seek(SeekFrom::Start(0)).expect("rewound");
    file
}

fn bytes_of(file: &mut File) -> Vec<u8> {
    let mut bytes = Vec::new();
    file.seek(SeekFrom::Start(0)).expect("rewound");
    file.read_to_end(&mut bytes).expect("read");
    file.seek(SeekFrom::Start(0)).expect("rewound");
    bytes
}
