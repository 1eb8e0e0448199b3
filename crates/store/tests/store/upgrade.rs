//! A database of an older program is copied and then brought forward.
//!
//! Checked by: itself; each check runs on both databases.

use std::borrow::Cow;

use lapwing_store::Change;
use sqlx::SqlSafeStr as _;
use sqlx::migrate::{Migration, MigrationType, Migrator};

use crate::servers::{Home, author, edit};

on_both!(an_old_database_is_copied_and_brought_forward);

const FIRST: &str = include_str!("../../migrations/0001_first.sql");

/// The database as the program's first version left it.
async fn old(home: &Home) {
    const SHOP: &str = "INSERT INTO shops VALUES ('s', 'Old bay', '11', '22', 1)";
    let name = Cow::Borrowed("first");
    let step = Migration::new(1, name, MigrationType::Simple, FIRST.into_sql_str(), false);
    let first = Migrator::with_migrations(vec![step]);
    let database = &home.places.database;
    if let Some(file) = database.strip_prefix("sqlite:") {
        let options = sqlx::sqlite::SqliteConnectOptions::new().filename(file);
        let pool = sqlx::SqlitePool::connect_with(options.create_if_missing(true));
        let pool = pool.await.expect("lines");
        first.run(&pool).await.expect("made");
        sqlx::query(SHOP).execute(&pool).await.expect("filled");
        pool.close().await;
    } else {
        let pool = sqlx::PgPool::connect(database).await.expect("lines");
        first.run(&pool).await.expect("made");
        sqlx::query(SHOP).execute(&pool).await.expect("filled");
        pool.close().await;
    }
}

async fn an_old_database_is_copied_and_brought_forward(home: &Home) {
    old(home).await;
    let store = home.open().await;
    assert!(store.tables_version().await >= 3);
    let copy = store.copy_before_upgrade().expect("a copy").to_owned();
    assert!(copy.starts_with(&home.places.backups));
    let kept = if copy.is_dir() {
        std::fs::read_to_string(copy.join("shops.jsonl")).expect("text")
    } else {
        let bytes = std::fs::read(&copy).expect("bytes");
        String::from_utf8_lossy(&bytes).into_owned()
    };
    assert!(kept.contains("Old bay"));
    let shop = store.shop("s").await.expect("the shop is still there");
    let open = edit(0, vec![Change::put("/a", 1)]);
    shop.append("j", &author("t"), &open).await.expect("kept");
    let again = home.open().await;
    assert_eq!(again.copy_before_upgrade(), None, "once is enough");
}
