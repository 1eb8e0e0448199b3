//! The queue of long work.
//!
//! Checked by: itself; each check runs on both databases.

use std::collections::BTreeSet;
use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};
use std::time::Duration;

use lapwing_store::{Finish, NewTask, TaskState};
use serde_json::json;

use crate::servers::Home;

on_both!(
    many_workers_do_each_task_once,
    a_task_of_a_vanished_worker_is_taken_again,
    a_failing_task_waits_longer_and_is_given_up,
    a_task_enqueued_twice_is_one,
);

const LEASE: Duration = Duration::from_secs(10);

fn task(id: &str, most_attempts: u32) -> NewTask {
    NewTask {
        id: id.into(),
        kind: "sheet".into(),
        body: json!({ "job": id }),
        most_attempts,
    }
}

async fn many_workers_do_each_task_once(home: &Home) {
    let shop = home.shop().await;
    for n in 0..40 {
        shop.enqueue(&task(&format!("t{n}"), 3))
            .await
            .expect("queued");
    }
    let workers: Vec<_> = (0..8)
        .map(|_| {
            let store = shop.store().clone();
            tokio::spawn(async move {
                let mut mine = Vec::new();
                while let Some(task) = store.take_task(&["sheet"], LEASE).await.expect("taken") {
                    store
                        .finish(&task, &json!(task.id))
                        .await
                        .expect("finished");
                    mine.push(task.id);
                }
                mine
            })
        })
        .collect();
    let mut done = Vec::new();
    for worker in workers {
        done.extend(worker.await.expect("worked"));
    }
    assert_eq!(done.len(), 40, "each once");
    assert_eq!(done.iter().collect::<BTreeSet<_>>().len(), 40);
    assert_eq!(shop.result("t7").await.expect("read"), Some(json!("t7")));
    let lengths = shop.store().queue_lengths().await.expect("counted");
    assert_eq!(lengths, [(TaskState::Done, 40)]);
    let other = shop
        .store()
        .take_task(&["other"], LEASE)
        .await
        .expect("asked");
    assert!(other.is_none());
}

async fn a_task_of_a_vanished_worker_is_taken_again(home: &Home) {
    let clock = Arc::new(AtomicI64::new(1_000_000));
    let store = home.open_at(&clock).await;
    let shop = store.found_shop("North bay").await.expect("a shop");
    shop.enqueue(&task("t", 2)).await.expect("queued");
    let slow = store
        .take_task(&["sheet"], LEASE)
        .await
        .expect("asked")
        .expect("taken");
    assert!(
        store
            .take_task(&["sheet"], LEASE)
            .await
            .expect("asked")
            .is_none()
    );
    assert!(store.renew(&slow, LEASE).await.expect("renewed"));
    clock.fetch_add(10_001, Ordering::SeqCst);
    let fast = store
        .take_task(&["sheet"], LEASE)
        .await
        .expect("asked")
        .expect("taken");
    assert_eq!(fast.attempt, 2);
    assert!(
        !store.renew(&slow, LEASE).await.expect("asked"),
        "it is another's"
    );
    store.fail(&slow, "late").await.expect("said");
    assert_eq!(shop.task("t").await.expect("card").state, TaskState::Leased);
    assert_eq!(
        store.finish(&slow, &json!("slow")).await.expect("in"),
        Finish::First
    );
    assert_eq!(
        store.finish(&fast, &json!("fast")).await.expect("in"),
        Finish::AlreadyThere
    );
    assert_eq!(shop.result("t").await.expect("read"), Some(json!("slow")));
    assert_eq!(shop.task("t").await.expect("card").state, TaskState::Done);
}

async fn a_failing_task_waits_longer_and_is_given_up(home: &Home) {
    let clock = Arc::new(AtomicI64::new(1_000_000));
    let store = home.open_at(&clock).await;
    let shop = store.found_shop("North bay").await.expect("a shop");
    shop.enqueue(&task("t", 3)).await.expect("queued");
    for pause_ms in [2000, 4000] {
        let task = store
            .take_task(&["sheet"], LEASE)
            .await
            .expect("asked")
            .expect("taken");
        store.fail(&task, "no paper\0").await.expect("said");
        clock.fetch_add(pause_ms - 1, Ordering::SeqCst);
        assert!(
            store
                .take_task(&["sheet"], LEASE)
                .await
                .expect("asked")
                .is_none()
        );
        clock.fetch_add(1, Ordering::SeqCst);
    }
    // The last worker vanishes without a word.
    store
        .take_task(&["sheet"], LEASE)
        .await
        .expect("asked")
        .expect("taken");
    clock.fetch_add(60_000, Ordering::SeqCst);
    assert!(
        store
            .take_task(&["sheet"], LEASE)
            .await
            .expect("asked")
            .is_none()
    );
    let card = shop.task("t").await.expect("card");
    assert_eq!(card.state, TaskState::GivenUp);
    assert_eq!(card.attempts, 3);
    assert_eq!(card.complaint.as_deref(), Some("its worker vanished"));
    assert_eq!(shop.result("t").await.expect("read"), None);
}

async fn a_task_enqueued_twice_is_one(home: &Home) {
    let shop = home.shop().await;
    assert!(shop.enqueue(&task("t", 1)).await.expect("queued"));
    assert!(!shop.enqueue(&task("t", 1)).await.expect("again"));
    assert!(shop.enqueue(&task("t t", 1)).await.is_err());
    let mut large = task("u", 1);
    large.body = json!("x".repeat(2 << 20));
    assert!(shop.enqueue(&large).await.is_err());
}
