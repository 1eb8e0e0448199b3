//! One shop asks for everything of another's, and gets nothing.
//!
//! Holds: for every public method of `Shop` that names a thing; the list below
//! is compared with the source, so a new method cannot be forgotten.
//! Checked by: itself; each check runs on both databases.

use lapwing_store::{
    ArchiveLimits, Change, JobQuery, Limits, NewPerson, NewTask, Role, Shop, StoreError,
};
use serde_json::json;

use crate::pictures::plain_png;
use crate::servers::{Home, author, edit};

on_both!(one_shop_never_sees_anothers);

/// Asked below of the wrong shop.
const ASKED: &[&str] = &[
    "append",
    "append_all",
    "undo",
    "state",
    "state_at",
    "changes_since",
    "latest_deeds",
    "event",
    "conflicts",
    "jobs",
    "stages",
    "watch",
    "picture",
    "read_picture",
    "task",
    "result",
    "person",
    "people",
    "set_role",
    "set_password",
    "set_settings",
    "rename",
    "make_pairing",
    "make_link",
    "links",
    "withdraw_link",
    "export_job",
    "sign_record",
    "public_key",
];
/// They name nothing of another shop.
const HARMLESS: &[&str] = &[
    "id",
    "store",
    "name",
    "watch_all",
    "start_picture",
    "keep_picture_file",
    "enqueue",
    "add_person",
    "import_job",
];

#[test]
fn every_method_of_a_shop_is_thought_of() {
    let mut found = Vec::new();
    let source = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    read_methods(&source, &mut found);
    assert!(found.len() > 30, "{found:?}");
    for name in found {
        let is_known = ASKED.contains(&name.as_str()) || HARMLESS.contains(&name.as_str());
        assert!(is_known, "ask `Shop::{name}` of the wrong shop, below");
    }
}

/// The names of public methods within `impl Shop`.
fn read_methods(folder: &std::path::Path, found: &mut Vec<String>) {
    for entry in std::fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            read_methods(&path, found);
            continue;
        }
        let text = std::fs::read_to_string(&path).expect("text");
        for block in text.split("\nimpl Shop {").skip(1) {
            let block = block.split("\n}").next().unwrap_or_default();
            for line in block.lines() {
                let line = line.trim();
                let name = (line.strip_prefix("pub async fn ")).or(line.strip_prefix("pub fn "));
                found.extend(
                    name.and_then(|n| n.split(['(', '<']).next())
                        .map(str::to_owned),
                );
            }
        }
    }
}

async fn one_shop_never_sees_anothers(home: &Home) {
    let ours = home.shop().await;
    let theirs = ours.store().found_shop("South bay").await.expect("a shop");
    let open = edit(0, vec![Change::put("/glance", json!({"title": "secret"}))]);
    let event = ours.append("j", &author("t"), &open).await.expect("kept");
    let event = event.event().id.clone();
    let mut upload = ours.start_picture(Limits::default()).expect("begun");
    upload.write(&plain_png("secret")).await.expect("taken");
    let photo = upload.finish().await.expect("kept").hash;
    let new = NewPerson {
        login: "mika",
        name: "Mika",
        role: Role::Owner,
        password: None,
    };
    let person = ours.add_person(&new).await.expect("added").id;
    let task = NewTask {
        id: "task".into(),
        kind: "sheet".into(),
        body: json!(1),
        most_attempts: 1,
    };
    ours.enqueue(&task).await.expect("queued");
    let link = ours.make_link("j", 1000).await.expect("made");
    let link = link.split('.').next().expect("its id").to_owned();

    ask_for_jobs(&theirs, &event).await;
    no(theirs.picture(&photo).await);
    no(theirs.read_picture(&photo).await.map(|_| ()));
    no(theirs.task("task").await);
    assert_eq!(theirs.result("task").await.expect("asked"), None);
    no(theirs.person(&person).await);
    assert!(theirs.people().await.expect("asked").is_empty());
    no(theirs.set_role(&person, Role::Viewer, true).await);
    no(theirs.set_password(&person, "four plain words").await);
    no(theirs.set_settings(&person, &json!({})).await);
    theirs.rename("East bay").await.expect("renamed");
    assert_ne!(ours.name().await.expect("a name"), "East bay");
    no(theirs.make_pairing(&person).await);
    no(theirs.make_link("j", 1000).await);
    assert!(theirs.links("j").await.expect("asked").is_empty());
    no(theirs.withdraw_link(&link).await);
    let key = theirs.public_key().await.expect("a key");
    assert_ne!(key, ours.public_key().await.expect("a key"));
    let record = theirs.sign_record(&json!({})).await.expect("signed");
    assert_eq!(record["key"], key, "with its own key");

    // The same ids mean other things in another shop.
    let exported = ours.export_job("j").await.expect("exported");
    let author = author("t");
    let imported = theirs.import_job(exported.file, &author, ArchiveLimits::default());
    assert_eq!(imported.await.expect("imported").job, "j");
    let note = edit(1, vec![Change::put("/note", "theirs")]);
    theirs.append("j", &author, &note).await.expect("kept");
    assert_eq!(ours.state("j").await.expect("state").version, 1);
}

async fn ask_for_jobs(theirs: &Shop, event: &str) {
    no(theirs.append("j", &author("t"), &edit(1, vec![])).await);
    no(theirs
        .append_all("j", &author("t"), &[edit(1, vec![])])
        .await);
    no(theirs.undo(event, "undo", &author("t")).await);
    no(theirs.state("j").await);
    no(theirs.state_at("j", 1).await);
    no(theirs.event(event).await);
    no(theirs.conflicts("j").await);
    no(theirs.export_job("j").await);
    assert!(
        theirs
            .changes_since("j", 0, 10)
            .await
            .expect("asked")
            .is_empty()
    );
    let deeds = theirs.latest_deeds("j", 9).await;
    assert!(deeds.expect("asked").is_empty());
    assert!(
        theirs
            .jobs(&JobQuery::default())
            .await
            .expect("asked")
            .is_empty()
    );
    assert!(theirs.stages().await.expect("asked").is_empty());
    let mut watch = theirs.watch("j", 0);
    let heard = tokio::time::timeout(std::time::Duration::from_millis(300), watch.next()).await;
    assert!(heard.is_err(), "nothing to hear");
}

fn no<T: std::fmt::Debug>(outcome: Result<T, StoreError>) {
    let error = outcome.expect_err("it is another shop's");
    assert!(matches!(error, StoreError::NotThere { .. }), "{error}");
}
