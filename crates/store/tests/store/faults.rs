//! The database is gone and comes back; the disk is full.
//!
//! Checked by: itself, with a PostgreSQL that is stopped and started, and with
//! an SQLite file that may not grow.

use std::time::Duration;

use lapwing_store::{Change, Outcome, Store, StoreError};

use crate::servers::{Home, Postgres, author, edit, run};

#[test]
fn a_database_that_is_gone_says_so_and_comes_back() {
    let Some(mut server) = Postgres::start() else {
        return;
    };
    let mut home = Home::on_sqlite();
    home.places.database = server.new_database();
    run(async {
        let shop = home.shop().await;
        let open = edit(0, vec![Change::put("/a", 1)]);
        shop.append("j", &author("t"), &open).await.expect("kept");
        let mut watch = shop.watch("j", 1);
        server.fell();
        let late = edit(1, vec![Change::put("/a", 2)]);
        let error = shop
            .append("j", &author("t"), &late)
            .await
            .expect_err("away");
        assert!(error.may_pass(), "{error}");
        assert!(error.to_string().contains("does not answer"), "{error}");
        let error = shop.state("j").await.expect_err("away");
        assert!(error.may_pass(), "{error}");
        let error = Store::open(&home.places).await.err().expect("away");
        assert!(error.may_pass(), "{error}");
        // While it is still down an edit is sent; the store goes on trying.
        let trying = tokio::spawn({
            let (shop, late) = (shop.clone(), late.clone());
            async move { shop.append("j", &author("t"), &late).await }
        });
        tokio::time::sleep(Duration::from_millis(200)).await;
        server.raise();
        // Whatever became of the first tries, sending again is safe.
        let _ = trying.await.expect("ran");
        let outcome = shop.append("j", &author("t"), &late).await.expect("back");
        assert!(matches!(outcome, Outcome::Kept(_) | Outcome::Again(_)));
        assert_eq!(shop.state("j").await.expect("state").version, 2);
        let events = tokio::time::timeout(Duration::from_secs(10), watch.next()).await;
        assert_eq!(events.expect("heard").expect("read").len(), 1);
    });
}

#[test]
fn a_full_disk_says_so_and_reading_goes_on() {
    let mut home = Home::on_sqlite();
    home.places.most_mb = Some(1);
    run(async {
        let shop = home.shop().await;
        let mut kept = 0;
        let full = loop {
            let long = Change::put(format!("/r/{kept}"), "x".repeat(20_000));
            match shop.append("j", &author("t"), &edit(0, vec![long])).await {
                Ok(_) => kept += 1,
                Err(error) => break error,
            }
            assert!(kept < 1000, "the file should not grow so far");
        };
        assert!(matches!(full, StoreError::Full { .. }), "{full}");
        assert!(full.to_string().contains("no room left"), "{full}");
        assert!(kept > 5);
        let state = shop.state("j").await.expect("reading goes on");
        assert_eq!(state.version, kept);
        assert_eq!(
            shop.changes_since("j", 0, 1000).await.expect("read").len() as i64,
            kept
        );
        assert_eq!(
            shop.store().verify().await.expect("verified").faults,
            [""; 0]
        );
        // A small change still finds room, and the line is not broken by the
        // work that SQLite took back by itself.
        for n in 0..3 {
            let small = edit(kept, vec![Change::put(format!("/small/{n}"), 1)]);
            match shop.append("j", &author("t"), &small).await {
                Ok(_) => kept += 1,
                Err(error) => assert!(matches!(error, StoreError::Full { .. }), "{error}"),
            }
        }
        // Room is made: the store goes on writing.
        shop.store().close().await;
        home.places.most_mb = None;
        let shop = home.open().await.shop(shop.id()).await.expect("the shop");
        let more = edit(kept, vec![Change::put("/more", 1)]);
        let outcome = shop.append("j", &author("t"), &more).await.expect("kept");
        assert_eq!(outcome.event().version, kept + 1);
    });
}

#[test]
fn a_place_that_is_no_place_is_refused_with_a_sentence() {
    run(async {
        for (database, sentence) in [("mysql://x", "sqlite:FILE"), ("", "sqlite:FILE")] {
            let mut home = Home::on_sqlite();
            home.places.database = database.into();
            let error = Store::open(&home.places).await.err().expect("refused");
            assert!(error.to_string().contains(sentence), "{error}");
        }
        for photos in ["", "ftp://x", "/photos", "s3:///x"] {
            let mut home = Home::on_sqlite();
            home.places.pictures = photos.into();
            let error = Store::open(&home.places).await.err().expect("refused");
            assert!(error.to_string().contains("place for photos"), "{error}");
        }
    });
}
