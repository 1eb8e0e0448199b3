//! Times the store's everyday questions on a data folder that is filled.
//!
//! Holds: for `measure DATA`, on the first shop of its SQLite file. Adds 500
//! events to a job called `measured`.
//! Left out: several processes; the crash tests have them.
//! Checked by: not validated: it prints what this machine needs.

#![allow(clippy::disallowed_methods, reason = "it measures time")]

use std::path::Path;
use std::time::Instant;

use lapwing_store::{Author, Change, Edit, JobQuery, Places, Store, StoreError, new_id};

#[tokio::main]
async fn main() -> Result<(), StoreError> {
    let data = std::env::args().nth(1).unwrap_or_else(|| "data".to_owned());
    let store = Store::open(&Places::in_folder(Path::new(&data))).await?;
    let card = store.shops().await?.into_iter().next();
    let shop = match card {
        Some(card) => store.shop(&card.id).await?,
        None => store.found_shop("Measured").await?,
    };
    let author = Author {
        who: "clock".to_owned(),
        device: "clock".to_owned(),
    };
    let began = Instant::now();
    for n in 0..500 {
        let edit = Edit {
            id: new_id(),
            kind: "reading-taken".to_owned(),
            saw: 0,
            changes: vec![Change::put(format!("/readings/{}", new_id()), n)],
            said_ms: 0,
            undoes: None,
            settles: None,
        };
        shop.append("measured", &author, &edit).await?;
    }
    println!("one event: {:.2} ms", began.elapsed().as_secs_f64() * 2.0);
    for (what, query) in [
        ("list", JobQuery::default()),
        (
            "stage",
            JobQuery {
                stage: Some("work".to_owned()),
                ..JobQuery::default()
            },
        ),
        (
            "search for nothing",
            JobQuery {
                search: Some("no such car".to_owned()),
                ..JobQuery::default()
            },
        ),
    ] {
        let began = Instant::now();
        let count = shop.jobs(&query).await?.len();
        let ms = began.elapsed().as_secs_f64() * 1000.0;
        println!("{what}: {ms:.1} ms, {count} lines");
    }
    let began = Instant::now();
    shop.state("measured").await?;
    println!(
        "one state: {:.2} ms",
        began.elapsed().as_secs_f64() * 1000.0
    );
    Ok(())
}
