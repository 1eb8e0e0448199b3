//! Writes into a store as fast as it can, until it is killed: for crash tests.
//!
//! Law: a line `sent …` comes before a write is handed in, a line `kept …`
//! after the store has acknowledged it. Whoever kills this program compares
//! the lines with what the store holds.
//! Holds: for `store_load DATA DATABASE SHOP RUN`; lines on standard input
//! name writes of an earlier run, which are handed in again first.
//! Left out: reading; the test reads.
//! Checked by: `tests/store/crash.rs`.

use std::io::Write as _;
use std::path::Path;
use std::time::Duration;

use lapwing_store::{
    Author, Change, Edit, Finish, Limits, NewTask, Outcome, Places, Shop, Store, StoreError,
};
use serde_json::{Value, json};

const WRITERS: usize = 3;
const LEASE: Duration = Duration::from_millis(400);

#[tokio::main]
async fn main() {
    if let Err(error) = run().await {
        eprintln!("{error}");
        std::process::exit(1);
    }
}

async fn run() -> Result<(), StoreError> {
    let told: Vec<String> = std::env::args().skip(1).collect();
    let [data, database, shop, run] = told.as_slice() else {
        return Err(StoreError::Refused(
            "Say DATA DATABASE SHOP RUN.".to_owned(),
        ));
    };
    let mut places = Places::in_folder(Path::new(data));
    places.database.clone_from(database);
    let store = Store::open(&places).await?;
    let shop = store.shop(shop).await?;
    for line in std::io::stdin().lines() {
        let line = line?;
        if let Some((job, id)) = line.split_once(' ') {
            send(&shop, job, id).await?;
        }
    }
    let mut work = tokio::task::JoinSet::new();
    for writer in 0..WRITERS {
        work.spawn(write(shop.clone(), run.clone(), writer));
    }
    work.spawn(toil(shop.clone(), run.clone()));
    work.spawn(photograph(shop.clone(), run.clone()));
    while let Some(outcome) = work.join_next().await {
        outcome??;
    }
    Ok(())
}

async fn write(shop: Shop, run: String, writer: usize) -> Result<(), StoreError> {
    for n in 0_u64.. {
        // All writers meet on two jobs.
        let job = format!("job-{}", n % 2);
        let id = format!("{run}-{writer}-{n}");
        say(&format!("sent {job} {id}"));
        send(&shop, &job, &id).await?;
    }
    Ok(())
}

async fn send(shop: &Shop, job: &str, id: &str) -> Result<(), StoreError> {
    let edit = Edit {
        id: id.to_owned(),
        kind: "load".to_owned(),
        saw: 0,
        changes: vec![Change::put(format!("/r/{id}"), text_of(id))],
        said_ms: 0,
        undoes: None,
        settles: None,
    };
    let author = Author {
        who: "load".to_owned(),
        device: "load".to_owned(),
    };
    match shop.append(job, &author, &edit).await? {
        Outcome::Kept(event) | Outcome::Again(event) => {
            say(&format!("kept {job} {id} {}", event.version));
            Ok(())
        }
        Outcome::Aside(_) => Err(StoreError::Fault(format!("{id} was set aside"))),
    }
}

/// Long enough to be torn.
fn text_of(id: &str) -> Value {
    json!(format!("{id} ").repeat(20))
}

async fn toil(shop: Shop, run: String) -> Result<(), StoreError> {
    for n in 0_u64.. {
        let id = format!("task-{run}-{n}");
        let task = NewTask {
            id: id.clone(),
            kind: "load".to_owned(),
            body: json!({ "of": id }),
            most_attempts: 1000,
        };
        shop.enqueue(&task).await?;
        say(&format!("queued {id}"));
        let Some(task) = shop.store().take_task(&["load"], LEASE).await? else {
            continue;
        };
        let by = format!("{run}-{n}");
        let result = json!({ "of": task.body["of"], "by": by });
        if shop.store().finish(&task, &result).await? == Finish::First {
            say(&format!("done {} {by}", task.id));
        }
    }
    Ok(())
}

async fn photograph(shop: Shop, run: String) -> Result<(), StoreError> {
    for n in 0_u64.. {
        let mut upload = shop.start_picture(Limits::default())?;
        upload.write(&small_png(&format!("{run}-{n}"))).await?;
        let picture = upload.finish().await?;
        say(&format!("photo {}", picture.hash));
        tokio::time::sleep(Duration::from_millis(5)).await;
    }
    Ok(())
}

/// A PNG as far as the store looks into it; the name makes it unique.
fn small_png(name: &str) -> Vec<u8> {
    let mut png = b"\x89PNG\r\n\x1a\n".to_vec();
    let mut chunk = |kind: &[u8], body: &[u8]| {
        png.extend_from_slice(&(body.len() as u32).to_be_bytes());
        png.extend_from_slice(kind);
        png.extend_from_slice(body);
        png.extend_from_slice(&[0; 4]);
    };
    chunk(b"IHDR", &[0, 0, 0, 1, 0, 0, 0, 1, 8, 0, 0, 0, 0]);
    chunk(b"IDAT", name.repeat(3000).as_bytes());
    chunk(b"IEND", b"");
    png
}

/// One whole line at once, or none.
fn say(line: &str) {
    let mut out = std::io::stdout().lock();
    let outcome = writeln!(out, "{line}").and_then(|()| out.flush());
    if outcome.is_err() {
        // Nobody listens any more.
        std::process::exit(0);
    }
}
