//! Devices that write at the same time share a piece of work and still hear
//! their own answers; states kept in memory are never out of date.
//!
//! Checked by: itself; each check runs on both databases, but for the full
//! disk, which is SQLite's.

use std::collections::BTreeMap;

use lapwing_store::{Change, Outcome, Shop, StoreError};

use crate::servers::{Home, author, edit, run};

on_both!(
    many_at_once_are_each_answered_and_kept_once,
    a_state_in_memory_is_never_older_than_the_history,
);

/// How many events of each id a job has.
async fn counts(shop: &Shop, job: &str) -> BTreeMap<String, usize> {
    let mut counts = BTreeMap::new();
    for event in shop.changes_since(job, 0, 10_000).await.expect("read") {
        *counts.entry(event.id).or_default() += 1;
    }
    counts
}

async fn many_at_once_are_each_answered_and_kept_once(home: &Home) {
    let shop = home.shop().await;
    for job in ["j0", "j1", "j2"] {
        let open = edit(0, vec![Change::put("/n", 0)]);
        shop.append(job, &author("t"), &open).await.expect("opened");
    }
    let tasks: Vec<_> = (0..90)
        .map(|n: usize| {
            let shop = shop.clone();
            tokio::spawn(async move {
                // Every sixth claims to have seen what is not there yet, every
                // seventh names a job that is none.
                let saw = if n.is_multiple_of(6) { 5000 } else { 1 };
                let job = match n {
                    n if n % 7 == 3 => "none".to_owned(),
                    n => format!("j{}", n % 3),
                };
                let device = author(&format!("d{n}"));
                let mine = edit(saw, vec![Change::put(format!("/r/{n}"), n as i64)]);
                let outcome = shop.append(&job, &device, &mine).await;
                (n, job, mine.id, outcome)
            })
        })
        .collect();
    let mut kept = Vec::new();
    for task in tasks {
        let (n, job, id, outcome) = task.await.expect("ran");
        match (n, outcome) {
            (n, Err(StoreError::NotThere { .. })) => assert_eq!(n % 7, 3, "{n}"),
            (n, Err(StoreError::Refused(_))) => assert!(n.is_multiple_of(6), "{n}"),
            (n, Ok(Outcome::Kept(event))) => {
                assert!(n % 7 != 3 && !n.is_multiple_of(6), "{n}");
                assert_eq!((&event.id, &event.job), (&id, &job));
                kept.push((job, id));
            }
            (n, other) => panic!("{n}: {other:?}"),
        }
    }
    assert_eq!(kept.len(), 64, "90 less 15 too early, 13 astray, both 2");
    for job in ["j0", "j1", "j2"] {
        let counts = counts(&shop, job).await;
        let mine = kept.iter().filter(|(of, _)| of == job);
        assert!(mine.clone().all(|(_, id)| counts.get(id) == Some(&1)));
        assert_eq!(counts.len(), mine.count() + 1);
    }
    let report = shop.store().verify().await.expect("verified");
    assert_eq!(report.faults, [""; 0]);
}

async fn a_state_in_memory_is_never_older_than_the_history(home: &Home) {
    let here = home.shop().await;
    // Two stores on one database are to each other as two processes are.
    let there = home.open().await.shop(here.id()).await.expect("the shop");
    for n in 1..=40 {
        let (writer, reader) = if n % 2 == 0 {
            (&here, &there)
        } else {
            (&there, &here)
        };
        let change = edit(n - 1, vec![Change::put(format!("/r/{n}"), n)]);
        writer
            .append("j", &author("t"), &change)
            .await
            .expect("kept");
        let state = reader.state("j").await.expect("read");
        assert_eq!(state.version, n);
        assert_eq!(
            state.document["r"].as_object().map(|r| r.len() as i64),
            Some(n)
        );
        assert_eq!(*state, *writer.state("j").await.expect("read"));
        let whole = reader.state_at("j", n).await.expect("folded");
        assert_eq!(*state, whole, "memory and history agree");
    }
}

#[test]
fn many_at_once_on_a_full_disk_each_hear_the_truth() {
    let mut home = Home::on_sqlite();
    home.places.most_mb = Some(2);
    run(async {
        let shop = home.shop().await;
        let open = edit(0, vec![Change::put("/a", 1)]);
        shop.append("j", &author("t"), &open).await.expect("kept");
        let (mut kept, mut full) = (Vec::new(), 0);
        for round in 0..40 {
            let tasks: Vec<_> = (0..16)
                .map(|n| {
                    let shop = shop.clone();
                    tokio::spawn(async move {
                        let long = Change::put(format!("/r/{round}-{n}"), "x".repeat(9000));
                        let mine = edit(1, vec![long]);
                        (mine.id.clone(), shop.append("j", &author("t"), &mine).await)
                    })
                })
                .collect();
            for task in tasks {
                match task.await.expect("ran") {
                    (id, Ok(Outcome::Kept(_))) => kept.push(id),
                    (_, Err(StoreError::Full { .. })) => full += 1,
                    (id, other) => panic!("{id}: {other:?}"),
                }
            }
            if full > 20 {
                break;
            }
        }
        assert!(
            full > 20 && kept.len() > 20,
            "{} kept, {full} full",
            kept.len()
        );
        let counts = counts(&shop, "j").await;
        assert!(kept.iter().all(|id| counts.get(id) == Some(&1)));
        assert_eq!(counts.len(), kept.len() + 1);
        let report = shop.store().verify().await.expect("verified");
        assert_eq!(report.faults, [""; 0]);
    });
}
