//! Backup, restore and verify.
//!
//! Checked by: itself; each check runs on both databases.

use std::sync::Mutex;

use lapwing_store::{Change, Limits, NewPerson, NewTask, Pace, Part, Role, Shop};
use serde_json::json;
use sqlx::Connection as _;

use crate::pictures::phone_photo;
use crate::servers::{Home, author, edit};

on_both!(
    a_backup_restores_all_of_it,
    a_copy_tells_how_far_it_is,
    a_damaged_backup_is_refused,
    every_kind_of_damage_is_found,
    a_backup_moves_a_shop_to_the_other_database,
);

async fn filled(home: &Home) -> Shop {
    let shop = home.shop().await;
    let mut upload = shop.start_picture(Limits::default()).expect("begun");
    upload.write(&phone_photo()).await.expect("taken");
    let photo = upload.finish().await.expect("kept").hash;
    for n in 0..40 {
        let put = Change::put(
            format!("/r/{n}"),
            json!({"um": 0.1 * f64::from(n), "text": "Öl \u{0}"}),
        );
        shop.append("j", &author("t"), &edit(0, vec![put]))
            .await
            .expect("kept");
    }
    let glance = Change::put(
        "/glance",
        json!({"title": "Grey", "stage": "work", "photo": photo}),
    );
    shop.append("j", &author("t"), &edit(0, vec![glance]))
        .await
        .expect("kept");
    let new = NewPerson {
        login: "mika",
        name: "Mika",
        role: Role::Owner,
        password: Some("four plain words"),
    };
    shop.add_person(&new).await.expect("added");
    let task = NewTask {
        id: "t".into(),
        kind: "k".into(),
        body: json!(null),
        most_attempts: 1,
    };
    shop.enqueue(&task).await.expect("queued");
    shop.make_link("j", 1000).await.expect("made");
    shop
}

async fn same(a: &Shop, b: &Shop) {
    assert_eq!(
        a.state("j").await.expect("state"),
        b.state("j").await.expect("state")
    );
    let history = a.changes_since("j", 0, 100).await.expect("history");
    assert_eq!(
        history,
        b.changes_since("j", 0, 100).await.expect("history")
    );
    assert_eq!(
        a.people().await.expect("people"),
        b.people().await.expect("people")
    );
    assert_eq!(
        a.links("j").await.expect("links"),
        b.links("j").await.expect("links")
    );
    assert_eq!(
        a.jobs(&Default::default()).await.expect("list"),
        b.jobs(&Default::default()).await.expect("list")
    );
    assert_eq!(
        a.public_key().await.expect("key"),
        b.public_key().await.expect("key")
    );
    let signed_in = b
        .store()
        .sign_in("mika", "four plain words", "t")
        .await
        .expect("asked");
    assert!(signed_in.is_some());
}

/// What was told of one part: rising by one to the whole, bytes with it.
fn told_of(part: Part, told: &Mutex<Vec<Pace>>) -> Pace {
    let told = told.lock().expect("told");
    let of_part: Vec<Pace> = told.iter().filter(|p| p.part == part).copied().collect();
    for (n, pace) in of_part.iter().enumerate() {
        assert_eq!((pace.done, pace.of), (n as u64 + 1, of_part.len() as u64));
    }
    *of_part.last().expect("something was told")
}

async fn a_copy_tells_how_far_it_is(home: &Home) {
    let shop = filled(home).await;
    let to = home.folder.path().join("copy");
    let heard = Mutex::new(Vec::new());
    let hear = |pace| heard.lock().expect("heard").push(pace);
    let copied = shop.store().backup_telling(&to, &hear).await;
    let card = copied.expect("copied");
    let rows: u64 = card.tables.values().map(|table| table.rows).sum();
    assert_eq!(told_of(Part::Rows, &heard).done, rows);
    let photos = told_of(Part::Photos, &heard);
    let picture = std::fs::read_dir(to.join("pictures").join(shop.id()));
    let file = picture.expect("photos").next().expect("one").expect("it");
    let bytes = file.metadata().expect("its size").len();
    assert!(bytes > 0);
    assert_eq!((photos.bytes, photos.of_bytes), (bytes, bytes));
    heard.lock().expect("heard").clear();
    let empty_home = empty_like(home);
    let empty = empty_home.open().await;
    let hear = |pace| heard.lock().expect("heard").push(pace);
    let restored = empty.restore_telling(&to, &hear).await;
    assert_eq!(restored.expect("restored").faults, [""; 0]);
    assert_eq!(told_of(Part::Rows, &heard).done, rows);
    assert_eq!(told_of(Part::Photos, &heard).bytes, bytes);
    assert_eq!(told_of(Part::Looking, &heard).done, 2, "a job and a photo");
}

async fn a_backup_restores_all_of_it(home: &Home) {
    let shop = filled(home).await;
    let to = home.folder.path().join("copy");
    let card = shop.store().backup(&to).await.expect("copied");
    assert_eq!((card.tables["events"].rows, card.pictures), (41, 1));
    let error = shop.store().backup(&to).await.expect_err("it is there");
    assert!(error.to_string().contains("exists"), "{error}");
    let empty_home = empty_like(home);
    let empty = empty_home.open().await;
    let report = empty.restore(&to).await.expect("restored");
    assert_eq!(report.faults, [""; 0]);
    assert_eq!((report.jobs, report.events, report.pictures), (1, 41, 1));
    let restored = empty.shop(shop.id()).await.expect("the shop");
    same(&shop, &restored).await;
    let error = empty.restore(&to).await.expect_err("it is full");
    assert!(
        error.to_string().contains("holds a shop already"),
        "{error}"
    );
    // Work goes on in it.
    let more = edit(41, vec![Change::put("/more", 1)]);
    restored
        .append("j", &author("t"), &more)
        .await
        .expect("kept");
}

fn empty_like(home: &Home) -> Home {
    if home.places.database.starts_with("sqlite") {
        Home::on_sqlite()
    } else {
        Home::on_postgresql().expect("it runs already")
    }
}

async fn a_backup_moves_a_shop_to_the_other_database(home: &Home) {
    let shop = filled(home).await;
    let to = home.folder.path().join("copy");
    shop.store().backup(&to).await.expect("copied");
    let other_home = if home.places.database.starts_with("sqlite") {
        match Home::on_postgresql() {
            Some(home) => home,
            None => return,
        }
    } else {
        Home::on_sqlite()
    };
    let other = other_home.open().await;
    assert_eq!(other.restore(&to).await.expect("restored").faults, [""; 0]);
    same(&shop, &other.shop(shop.id()).await.expect("the shop")).await;
}

async fn a_damaged_backup_is_refused(home: &Home) {
    let shop = filled(home).await;
    let to = home.folder.path().join("copy");
    shop.store().backup(&to).await.expect("copied");
    let photo = std::fs::read_dir(to.join("pictures").join(shop.id()))
        .expect("listed")
        .next()
        .expect("one")
        .expect("read")
        .path();
    for file in [
        to.join("tables/events.jsonl"),
        to.join("manifest.json"),
        photo,
    ] {
        let good = std::fs::read(&file).expect("read");
        let mut bad = good.clone();
        let middle = bad.len() / 2;
        bad[middle] ^= 1;
        std::fs::write(&file, &bad).expect("written");
        let empty_home = empty_like(home);
        let store = empty_home.open().await;
        // A changed list may still read, but then no longer fits its files.
        assert!(store.restore(&to).await.is_err(), "{}", file.display());
        assert!(
            store.shops().await.expect("asked").is_empty(),
            "nothing came in"
        );
        std::fs::write(&file, &good).expect("written");
    }
    std::fs::remove_file(to.join("tables/links.jsonl")).expect("removed");
    let empty_home = empty_like(home);
    let error = empty_home.open().await.restore(&to).await.expect_err("no");
    assert!(error.to_string().contains("links.jsonl"), "{error}");
}

/// What is done, how it is repaired, and what verifying says. What comes first
/// in a history hides what comes after it, so the last events come first.
const DAMAGES: [(&str, Option<&str>, &str); 8] = [
    (
        "UPDATE jobs SET version = 40",
        Some("UPDATE jobs SET version = 41"),
        "its head says version 40",
    ),
    (
        "UPDATE jobs SET open_conflicts = 1",
        Some("UPDATE jobs SET open_conflicts = 0"),
        "its line in the list",
    ),
    (
        "UPDATE snapshots SET state = REPLACE(state, '0.1', '0.2')",
        None,
        "its saved state",
    ),
    (
        "UPDATE pictures SET size_bytes = size_bytes + 1",
        Some("UPDATE pictures SET size_bytes = size_bytes - 1"),
        "its bytes are not those",
    ),
    (
        "UPDATE events SET body = '[]' WHERE version = 7",
        None,
        "event 7: it was changed",
    ),
    (
        "UPDATE events SET who = 'x' WHERE version = 6",
        None,
        "event 6: it was changed",
    ),
    (
        "UPDATE events SET previous = 'x' WHERE version = 5",
        None,
        "event 5: it does not follow",
    ),
    (
        "DELETE FROM events WHERE version = 3",
        None,
        "event 4: it does not follow",
    ),
];

async fn every_kind_of_damage_is_found(home: &Home) {
    let shop = filled(home).await;
    assert_eq!(
        shop.store().verify().await.expect("verified").faults,
        [""; 0]
    );
    for (damage, repair, sentence) in DAMAGES {
        meddle(home, damage).await;
        let report = shop.store().verify().await.expect("verified");
        assert!(
            report.faults.iter().any(|f| f.contains(sentence)),
            "{damage}: {report:?}"
        );
        if let Some(repair) = repair {
            meddle(home, repair).await;
        }
    }
    let photos = home.folder.path().join("pictures");
    std::fs::remove_dir_all(photos).expect("removed");
    let report = shop.store().verify().await.expect("verified");
    assert!(
        report.faults.iter().any(|f| f.contains("it is missing")),
        "{report:?}"
    );
}

/// Changes the database behind the store's back.
async fn meddle(home: &Home, text: &'static str) {
    let database = &home.places.database;
    if let Some(file) = database.strip_prefix("sqlite:") {
        let options = sqlx::sqlite::SqliteConnectOptions::new().filename(file);
        let mut line = sqlx::SqliteConnection::connect_with(&options)
            .await
            .expect("line");
        sqlx::query(text).execute(&mut line).await.expect("changed");
    } else {
        let mut line = sqlx::PgConnection::connect(database).await.expect("line");
        sqlx::query(text).execute(&mut line).await.expect("changed");
    }
}
