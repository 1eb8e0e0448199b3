//! Long errands of a shop, taken from the store's queue by whichever server
//! has time: the copy that the operator asked for.
//!
//! Law: an errand has one id, so asked for twice it is one. A server leases it
//! and renews the lease while it works; when a server falls, the lease runs
//! out and another begins anew. At most one result is kept.
//! Holds: a copy appears under its name only when it is whole, so what a
//! fallen server left half done is no copy.
//! Left out: choosing the server; the copy lies on the machine that made it.
//! Checked by: `tests/web_operator.rs`, `tests/web_servers.rs`.

use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;

use lapwing_store::{LeasedTask, NewTask, Shop, StoreError};
use serde_json::{Value, json};

use super::house::House;
use super::jobs::now_ms;

/// The errand that copies everything.
const BACKUP: &str = "backup";
const LEASE: Duration = Duration::from_secs(15);
/// Looks into the queue at least so often; errands asked for here at once.
const LOOK_EVERY: Duration = Duration::from_secs(3);
const MOST_ATTEMPTS: u32 = 3;

/// Asks for a copy of everything.
pub(crate) async fn ask_for_backup(house: &House, shop: &Shop, id: &str) -> Result<(), StoreError> {
    let task = NewTask {
        id: id.to_owned(),
        kind: BACKUP.to_owned(),
        body: json!({ "asked_ms": now_ms() }),
        most_attempts: MOST_ATTEMPTS,
    };
    shop.enqueue(&task).await?;
    house.errand_asked.notify_one();
    Ok(())
}

/// Does errands as long as the server runs.
pub(crate) async fn run(house: Arc<House>) {
    loop {
        match house.store.take_task(&[BACKUP], LEASE).await {
            Ok(Some(task)) => attend(&house, &task).await,
            // Nothing to do, or the database is away for a while.
            Ok(None) | Err(_) => {
                let asked = house.errand_asked.notified();
                let _ = tokio::time::timeout(LOOK_EVERY, asked).await;
            }
        }
    }
}

/// Works on one errand for as long as it is this server's.
async fn attend(house: &House, task: &LeasedTask) {
    let outcome = tokio::select! {
        outcome = back_up(house, task) => outcome,
        // Another server has it: what was begun here is dropped.
        () = until_lost(house, task) => return,
    };
    // When the database is away now, the lease runs out and it is done again.
    let _ = match outcome {
        Ok(result) => house.store.finish(task, &result).await.map(|_| ()),
        Err(error) => house.store.fail(task, &error.to_string()).await,
    };
}

async fn until_lost(house: &House, task: &LeasedTask) {
    loop {
        tokio::time::sleep(LEASE / 3).await;
        if matches!(house.store.renew(task, LEASE).await, Ok(false)) {
            return;
        }
    }
}

async fn back_up(house: &House, task: &LeasedTask) -> Result<Value, StoreError> {
    let name = format!("backup-{}-{}", task.body["asked_ms"], task.id);
    let to: PathBuf = house.backups.join(&name);
    let told = json!({ "folder": name, "attempt": task.attempt });
    // Made by an attempt that fell before it could say so.
    if to.join("manifest.json").is_file() {
        return Ok(told);
    }
    std::fs::create_dir_all(&house.backups)?;
    house.store.backup(&to).await?;
    Ok(told)
}
