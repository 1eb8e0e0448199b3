//! The history of jobs, on SQLite and on a running PostgreSQL.
//!
//! Checked by: itself; each check runs on both databases.

use crate::servers::{Home, author, edit};
use lapwing_store::{Change, JobQuery, Outcome, Shop, Standing, StoreError};
use serde_json::json;

on_both!(
    an_edit_is_kept_and_read_back,
    the_same_id_twice_is_one_event,
    an_id_with_other_content_is_refused,
    two_devices_at_one_place_conflict_and_lose_nothing,
    two_devices_at_different_places_do_not_conflict,
    a_queue_of_one_device_does_not_conflict_with_itself,
    undo_restores_and_can_be_undone,
    undo_under_later_work_is_refused,
    old_states_can_be_read,
    a_queue_with_a_fault_in_it_changes_nothing,
    many_writers_at_once_leave_no_gap,
    the_list_finds_by_stage_and_text,
    nonsense_is_refused_with_a_sentence,
);

/// A shop with job `j` at version 1, `/car` being red.
async fn shop_with_job(home: &Home) -> Shop {
    let shop = home.shop().await;
    let open = edit(0, vec![Change::put("/car", "red")]);
    shop.append("j", &author("tablet"), &open)
        .await
        .expect("opened");
    shop
}

async fn put(shop: &Shop, device: &str, saw: i64, place: &str, value: &str) -> Outcome {
    let edit = edit(saw, vec![Change::put(place, value)]);
    shop.append("j", &author(device), &edit)
        .await
        .expect("taken")
}

async fn an_edit_is_kept_and_read_back(home: &Home) {
    let shop = shop_with_job(home).await;
    let strange = json!({"text": "Öl <b>'; DROP TABLE jobs; -- \u{0}\u{1f600}", "x": 0.1, "big": 9007199254740993_i64});
    let outcome = put(&shop, "tablet", 1, "/note", "new").await;
    assert_eq!(outcome.event().version, 2);
    let more = edit(2, vec![Change::put("/strange", strange.clone())]);
    shop.append("j", &author("tablet"), &more)
        .await
        .expect("kept");
    shop.store().close().await;
    let again = home.open().await.shop(shop.id()).await.expect("the shop");
    let state = again.state("j").await.expect("state");
    assert_eq!(
        state.document,
        json!({"car": "red", "note": "new", "strange": strange})
    );
    let events = again.changes_since("j", 0, 10).await.expect("history");
    assert_eq!(events.len(), 3);
    let mut previous = String::new();
    for event in events {
        assert_eq!(event.right_hash().expect("hash"), event.hash);
        assert_eq!(event.previous, previous);
        previous = event.hash;
    }
}

async fn the_same_id_twice_is_one_event(home: &Home) {
    let shop = shop_with_job(home).await;
    let edit = edit(1, vec![Change::put("/note", "once")]);
    let first = shop.append("j", &author("a"), &edit).await.expect("kept");
    let again = shop.append("j", &author("a"), &edit).await.expect("again");
    assert!(matches!(first, Outcome::Kept(_)));
    assert_eq!(again, Outcome::Again(first.event().clone()));
    assert_eq!(shop.state("j").await.expect("state").version, 2);
}

async fn an_id_with_other_content_is_refused(home: &Home) {
    let shop = shop_with_job(home).await;
    let mut edit = edit(1, vec![Change::put("/note", "once")]);
    shop.append("j", &author("a"), &edit).await.expect("kept");
    edit.changes = vec![Change::put("/note", "other")];
    let error = shop.append("j", &author("a"), &edit).await.expect_err("no");
    assert!(error.to_string().contains("already belongs"), "{error}");
}

async fn two_devices_at_one_place_conflict_and_lose_nothing(home: &Home) {
    let shop = shop_with_job(home).await;
    put(&shop, "phone", 1, "/car", "blue").await;
    let Outcome::Aside(conflict) = put(&shop, "tablet", 1, "/car/paint", "green").await else {
        panic!("the later edit should be set aside");
    };
    assert_eq!(conflict.theirs.len(), 1);
    assert_eq!(conflict.theirs[0].changes[0].was(), Some(&json!("red")));
    assert_eq!(conflict.mine.standing, Standing::Aside);
    let state = shop.state("j").await.expect("state");
    assert_eq!(state.document["car"], "blue", "nothing was overwritten");
    assert_eq!(
        state.open_conflicts,
        std::slice::from_ref(&conflict.mine.id)
    );
    let open = shop.conflicts("j").await.expect("listed");
    assert_eq!(open, [*conflict.clone()], "both sides stay readable");
    let list = shop.jobs(&JobQuery::default()).await.expect("list");
    assert_eq!(list[0].open_conflicts, 1);

    let mut settle = edit(3, vec![Change::put("/car", json!({"paint": "green"}))]);
    settle.settles = Some(conflict.mine.id.clone());
    let outcome = shop.append("j", &author("tablet"), &settle).await;
    assert!(matches!(outcome.expect("settled"), Outcome::Kept(_)));
    let state = shop.state("j").await.expect("state");
    assert!(state.open_conflicts.is_empty());
    assert_eq!(state.document["car"]["paint"], "green");
}

async fn two_devices_at_different_places_do_not_conflict(home: &Home) {
    let shop = shop_with_job(home).await;
    put(&shop, "phone", 1, "/readings/a", "101").await;
    let outcome = put(&shop, "tablet", 1, "/readings/b", "99").await;
    assert!(matches!(outcome, Outcome::Kept(_)));
    // The same deed twice is no quarrel.
    put(&shop, "phone", 3, "/done", "yes").await;
    let outcome = put(&shop, "tablet", 3, "/done", "yes").await;
    assert!(matches!(outcome, Outcome::Kept(_)));
}

async fn a_queue_of_one_device_does_not_conflict_with_itself(home: &Home) {
    let shop = shop_with_job(home).await;
    put(&shop, "tablet", 1, "/other", "work").await;
    let queue = [
        edit(1, vec![Change::put("/note", "first")]),
        edit(1, vec![Change::put("/note", "second")]),
        edit(1, vec![Change::put("/other", "clash")]),
    ];
    let outcomes = shop
        .append_all("j", &author("phone"), &queue)
        .await
        .expect("taken");
    assert!(matches!(
        outcomes[..],
        [Outcome::Kept(_), Outcome::Kept(_), Outcome::Aside(_)]
    ));
    let again = shop
        .append_all("j", &author("phone"), &queue)
        .await
        .expect("taken");
    assert!(matches!(
        again[..],
        [Outcome::Again(_), Outcome::Again(_), Outcome::Aside(_)]
    ));
    let state = shop.state("j").await.expect("state");
    assert_eq!(state.document["note"], "second");
    assert_eq!(state.version, 5);
}

async fn undo_restores_and_can_be_undone(home: &Home) {
    let shop = shop_with_job(home).await;
    let paint = put(&shop, "phone", 1, "/car", "blue").await.event().clone();
    let undo = shop
        .undo(&paint.id, "undo-1", &author("tablet"))
        .await
        .expect("undone");
    assert_eq!(
        shop.state("j").await.expect("state").document,
        json!({"car": "red"})
    );
    let again = shop
        .undo(&paint.id, "undo-1", &author("tablet"))
        .await
        .expect("again");
    assert_eq!(again, Outcome::Again(undo.event().clone()));
    let error = shop
        .undo(&paint.id, "undo-2", &author("phone"))
        .await
        .expect_err("no");
    assert!(error.to_string().contains("already taken back"), "{error}");
    let redo = shop
        .undo("undo-1", "redo-1", &author("phone"))
        .await
        .expect("redone");
    assert_eq!(redo.event().undoes.as_deref(), Some("undo-1"));
    assert_eq!(
        shop.state("j").await.expect("state").document,
        json!({"car": "blue"})
    );
    assert_eq!(
        shop.changes_since("j", 0, 10).await.expect("history").len(),
        4
    );
}

async fn undo_under_later_work_is_refused(home: &Home) {
    let shop = shop_with_job(home).await;
    let paint = put(&shop, "phone", 1, "/car", "blue").await.event().clone();
    put(&shop, "phone", 2, "/car", "green").await;
    let error = shop
        .undo(&paint.id, "u", &author("phone"))
        .await
        .expect_err("no");
    assert!(error.to_string().contains("event 3"), "{error}");
    assert_eq!(
        shop.state("j").await.expect("state").document["car"],
        "green"
    );
}

async fn old_states_can_be_read(home: &Home) {
    let shop = shop_with_job(home).await;
    for n in 2..=50 {
        put(&shop, "tablet", n - 1, "/n", &n.to_string()).await;
    }
    for n in [2, 15, 16, 17, 33, 50] {
        let state = shop.state_at("j", n).await.expect("state");
        assert_eq!(state.document, json!({"car": "red", "n": n.to_string()}));
    }
    let error = shop.state_at("j", 51).await.expect_err("no");
    assert!(matches!(error, StoreError::NotThere { .. }), "{error}");
}

async fn a_queue_with_a_fault_in_it_changes_nothing(home: &Home) {
    let shop = shop_with_job(home).await;
    let queue = [
        edit(1, vec![Change::put("/note", "good")]),
        edit(1, vec![Change::put("/car/paint", "red is no folder")]),
    ];
    let error = shop
        .append_all("j", &author("phone"), &queue)
        .await
        .expect_err("no");
    assert!(matches!(error, StoreError::Refused(_)), "{error}");
    assert_eq!(shop.state("j").await.expect("state").version, 1);
}

async fn many_writers_at_once_leave_no_gap(home: &Home) {
    let shop = shop_with_job(home).await;
    let writers: Vec<_> = (0..8)
        .map(|writer| {
            let shop = shop.clone();
            tokio::spawn(async move {
                for n in 0..10 {
                    let device = format!("d{writer}");
                    put(&shop, &device, 1, &format!("/r/{writer}-{n}"), "x").await;
                }
            })
        })
        .collect();
    for writer in writers {
        writer.await.expect("wrote");
    }
    let events = shop.changes_since("j", 0, 1000).await.expect("history");
    let versions: Vec<i64> = events.iter().map(|e| e.version).collect();
    assert_eq!(versions, (1..=81).collect::<Vec<_>>());
    let state = shop.state("j").await.expect("state");
    assert_eq!(state.document["r"].as_object().expect("readings").len(), 80);
}

async fn the_list_finds_by_stage_and_text(home: &Home) {
    let shop = home.shop().await;
    for (job, title, stage) in [
        ("a", "Ärmelkanal 100%", "intake"),
        ("b", "Grey estate", "work"),
        ("c", "Red_van", "work"),
    ] {
        let glance = json!({"title": title, "stage": stage});
        let open = edit(0, vec![Change::put("/glance", glance)]);
        shop.append(job, &author("t"), &open).await.expect("opened");
    }
    let found = async |stage: Option<&str>, search: Option<&str>| {
        let query = JobQuery {
            stage: stage.map(str::to_owned),
            search: search.map(str::to_owned),
            ..JobQuery::default()
        };
        let mut ids: Vec<_> = (shop.jobs(&query).await.expect("list").into_iter())
            .map(|job| job.id)
            .collect();
        ids.sort();
        ids.concat()
    };
    assert_eq!(found(None, None).await, "abc");
    assert_eq!(found(Some("work"), None).await, "bc");
    assert_eq!(found(None, Some("ÄRMEL")).await, "a");
    assert_eq!(found(None, Some("100%")).await, "a");
    assert_eq!(
        found(None, Some("%")).await,
        "a",
        "a percent sign is a sign"
    );
    assert_eq!(found(None, Some("_")).await, "c");
    assert_eq!(found(None, Some("' OR 1=1 --")).await, "");
    assert_eq!(
        shop.stages().await.expect("counted"),
        [("intake".to_owned(), 1), ("work".to_owned(), 2)]
    );
    // Page by page, nothing twice and nothing left out.
    let mut seen = String::new();
    let mut query = JobQuery {
        most: 1,
        ..JobQuery::default()
    };
    while let Some(job) = shop.jobs(&query).await.expect("page").pop() {
        query.after = Some((job.changed_ms, job.id.clone()));
        seen += &job.id;
    }
    assert_eq!(seen, "cba");
}

async fn nonsense_is_refused_with_a_sentence(home: &Home) {
    let shop = shop_with_job(home).await;
    let refuse = async |job: &str, edit: lapwing_store::Edit| {
        shop.append(job, &author("t"), &edit)
            .await
            .expect_err("refused")
            .to_string()
    };
    assert!(refuse("none", edit(1, vec![])).await.contains("no job"));
    assert!(refuse("a b", edit(0, vec![])).await.contains("job's id"));
    assert!(refuse("j", edit(9, vec![])).await.contains("saw version 9"));
    assert!(refuse("j", edit(-1, vec![])).await.contains("0 or more"));
    let many = vec![Change::remove("/x"); 1001];
    assert!(refuse("j", edit(1, many)).await.contains("1001 changes"));
    let large = vec![Change::put("/x", "y".repeat(2 << 20))];
    assert!(refuse("j", edit(1, large)).await.contains("in parts"));
    let mut bad = edit(1, vec![]);
    bad.id = "'; DROP TABLE events".into();
    assert!(refuse("j", bad).await.contains("edit's id"));
    assert!(shop.state("none").await.is_err());
}
