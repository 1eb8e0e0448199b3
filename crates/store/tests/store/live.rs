//! Two devices see each other's changes.
//!
//! Checked by: itself; each check runs on both databases. Within a second is
//! what the pages promise; on a busy test machine five are allowed.

use std::time::Duration;

use lapwing_store::{Change, Watch};

use crate::servers::{Home, author, edit};

on_both!(
    two_devices_of_one_process_hear_each_other,
    two_processes_hear_each_other,
    a_watch_gives_each_event_once_and_in_order,
    the_list_hears_of_its_own_shop_only,
);

const PATIENCE: Duration = Duration::from_secs(5);

async fn next_versions(watch: &mut Watch) -> Vec<i64> {
    let events = tokio::time::timeout(PATIENCE, watch.next()).await;
    let events = events.expect("heard in time").expect("read");
    events.iter().map(|event| event.version).collect()
}

async fn two_devices_of_one_process_hear_each_other(home: &Home) {
    let shop = home.shop().await;
    let mut watch = shop.watch("j", 0);
    let writer = shop.clone();
    let write = tokio::spawn(async move {
        tokio::time::sleep(Duration::from_millis(100)).await;
        let edit = edit(0, vec![Change::put("/a", 1)]);
        writer
            .append("j", &author("phone"), &edit)
            .await
            .expect("kept");
    });
    assert_eq!(next_versions(&mut watch).await, [1]);
    write.await.expect("written");
}

async fn two_processes_hear_each_other(home: &Home) {
    // Two stores on one database are to each other as two processes are.
    let shop = home.shop().await;
    let other = home.open().await.shop(shop.id()).await.expect("the shop");
    let open = edit(0, vec![Change::put("/a", 1)]);
    shop.append("j", &author("phone"), &open)
        .await
        .expect("kept");
    let mut watch = other.watch("j", 1);
    let mut list = other.watch_all();
    let started = std::time::Instant::now();
    let change = edit(1, vec![Change::put("/a", 2)]);
    shop.append("j", &author("phone"), &change)
        .await
        .expect("kept");
    assert_eq!(next_versions(&mut watch).await, [2]);
    let took = started.elapsed();
    let notice = tokio::time::timeout(PATIENCE, list.next())
        .await
        .expect("heard");
    assert_eq!(notice.job, "j");
    assert!(took < PATIENCE, "{took:?}");
}

async fn a_watch_gives_each_event_once_and_in_order(home: &Home) {
    let shop = home.shop().await;
    let writer = shop.clone();
    let write = tokio::spawn(async move {
        for n in 0..100 {
            let edit = edit(0, vec![Change::put(format!("/r/{n}"), n)]);
            writer
                .append("j", &author("phone"), &edit)
                .await
                .expect("kept");
        }
    });
    let mut watch = shop.watch("j", 0);
    let mut seen = Vec::new();
    while seen.len() < 100 {
        seen.extend(next_versions(&mut watch).await);
    }
    assert_eq!(seen, (1..=100).collect::<Vec<_>>());
    write.await.expect("written");
}

async fn the_list_hears_of_its_own_shop_only(home: &Home) {
    let shop = home.shop().await;
    let other = shop.store().found_shop("South bay").await.expect("a shop");
    let mut list = shop.watch_all();
    for shop in [&other, &shop] {
        let edit = edit(0, vec![Change::put("/a", 1)]);
        let job = if shop.id() == other.id() {
            "theirs"
        } else {
            "ours"
        };
        shop.append(job, &author("phone"), &edit)
            .await
            .expect("kept");
    }
    let notice = tokio::time::timeout(PATIENCE, list.next())
        .await
        .expect("heard");
    assert_eq!(notice.job, "ours");
}
