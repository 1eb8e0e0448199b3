//! Kills writing processes without warning and looks for what was lost.
//!
//! Law: after any number of kills, whatever was acknowledged is there exactly
//! once and whole; whatever is there was sent; a task has one result.
//! Holds: two processes write on one database and one folder of photos; in
//! turn one is killed (SIGKILL) in the middle of its work and replaced, and
//! hands in again what had no answer. 20 kills on SQLite and 5 on PostgreSQL,
//! 200 and 50 when `LAPWING_KILLS` is set.
//! Left out: a machine that loses power; SQLite syncs every commit for that.
//! Checked by: itself; `a_lie_about_an_event_is_found` shows that it can fail.

use std::collections::{BTreeMap, BTreeSet};
use std::io::{BufRead as _, BufReader, Write as _};
use std::process::{Child, Command, Stdio};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use lapwing_store::{Event, Shop};
use serde_json::json;

use crate::servers::{Home, run};

/// What the writers said, all together.
#[derive(Default)]
struct Said {
    sent: BTreeMap<String, String>,
    kept: BTreeMap<String, (String, i64)>,
    queued: BTreeSet<String>,
    done: BTreeMap<String, String>,
    photos: BTreeSet<String>,
    faults: Vec<String>,
}

struct Writer {
    child: Child,
    said: Arc<Mutex<Said>>,
    listener: std::thread::JoinHandle<()>,
}

#[test]
fn killed_writers_lose_nothing_on_sqlite() {
    storm(&Home::on_sqlite(), kills(20, 200));
}

#[test]
fn killed_writers_lose_nothing_on_postgresql() {
    if let Some(home) = Home::on_postgresql() {
        storm(&home, kills(5, 50));
    }
}

#[test]
fn a_lie_about_an_event_is_found() {
    let home = Home::on_sqlite();
    run(async {
        let shop = home.shop().await;
        let edit = crate::servers::edit(0, vec![]);
        let author = crate::servers::author("load");
        shop.append("job-0", &author, &edit).await.expect("kept");
        let mut said = Said::default();
        said.hear("kept job-0 never-sent 1");
        let faults = compare(&shop, &said).await;
        assert!(faults.iter().any(|f| f.contains("lost")), "{faults:?}");
        assert!(
            faults.iter().any(|f| f.contains("nobody sent")),
            "{faults:?}"
        );
    });
}

fn kills(few: u32, many: u32) -> u32 {
    match std::env::var_os("LAPWING_KILLS") {
        Some(_) => many,
        None => few,
    }
}

fn storm(home: &Home, kills: u32) {
    let shop = run(home.shop());
    let id = shop.id().to_owned();
    let mut all = Said::default();
    let mut writers = [start(home, &id, "a", &[]), start(home, &id, "b", &[])];
    for kill in 0..kills {
        let turn = (kill % 2) as usize;
        wait_for_word(&writers[turn], 1 + (kill as usize * 7) % 12);
        // Between hardly begun and well under way, never the same.
        let pause = 5 + u64::from(kill.wrapping_mul(2_654_435_761) >> 25);
        std::thread::sleep(Duration::from_millis(pause));
        let open = stop(&mut writers[turn], &mut all);
        let name = format!("r{kill}");
        writers[turn] = start(home, &id, &name, &open);
    }
    for writer in &mut writers {
        wait_for_word(writer, 3);
        stop(writer, &mut all);
    }
    let faults = run(async {
        let shop = home.open().await.shop(&id).await.expect("the shop");
        let mut faults = compare(&shop, &all).await;
        let report = shop.store().verify().await.expect("verified");
        assert!(report.pictures >= all.photos.len() as u64);
        faults.extend(report.faults);
        faults
    });
    let _ = writeln!(
        std::io::stderr(),
        "\n{} kills on {}: {} events acknowledged of {} sent, {} tasks, {} photos, {} faults",
        kills + 2,
        if home.places.database.starts_with("sqlite") {
            "SQLite"
        } else {
            "PostgreSQL"
        },
        all.kept.len(),
        all.sent.len(),
        all.done.len(),
        all.photos.len(),
        faults.len() + all.faults.len(),
    );
    assert!(faults.is_empty(), "{faults:#?}");
    assert!(all.faults.is_empty(), "{:#?}", all.faults);
    assert!(all.kept.len() > kills as usize * 3, "hardly any load");
    assert!(!all.done.is_empty() && !all.photos.is_empty(), "no load");
}

/// Compares what was said with what is there.
async fn compare(shop: &Shop, said: &Said) -> Vec<String> {
    let mut faults = Vec::new();
    let mut there: BTreeMap<String, Event> = BTreeMap::new();
    for job in ["job-0", "job-1"] {
        let mut after = 0;
        loop {
            let events = shop.changes_since(job, after, 5000).await.expect("read");
            let Some(last) = events.last() else { break };
            after = last.version;
            for event in events {
                let id = event.id.clone();
                let text = format!("{id} ").repeat(20);
                let whole = event.changes.first().is_some_and(|change| {
                    *change == lapwing_store::Change::put(format!("/r/{id}"), json!(text))
                });
                if said.sent.get(&id).map(String::as_str) != Some(job) {
                    faults.push(format!("{id} is there, but nobody sent it to {job}"));
                } else if !whole {
                    faults.push(format!("{id} is torn"));
                }
                if there.insert(id.clone(), event).is_some() {
                    faults.push(format!("{id} is there twice"));
                }
            }
        }
    }
    for (id, (job, version)) in &said.kept {
        match there.get(id) {
            None => faults.push(format!("{id} was acknowledged and is lost")),
            Some(event) if event.version != *version || event.job != *job => {
                faults.push(format!("{id} has moved"));
            }
            Some(_) => {}
        }
    }
    for id in &said.queued {
        if shop.task(id).await.is_err() {
            faults.push(format!("{id} was queued and is lost"));
        }
    }
    for (id, by) in &said.done {
        let result = shop.result(id).await.expect("read");
        if result != Some(json!({ "of": id, "by": by })) {
            faults.push(format!(
                "{id} was done by {by}, but its result is {result:?}"
            ));
        }
    }
    for hash in &said.photos {
        if shop.picture(hash).await.is_err() {
            faults.push(format!("photo {hash} is lost"));
        }
    }
    faults
}

impl Said {
    fn hear(&mut self, line: &str) {
        let words: Vec<&str> = line.split(' ').collect();
        match words[..] {
            ["sent", job, id] => {
                self.sent.insert(id.to_owned(), job.to_owned());
            }
            ["kept", job, id, version] => {
                let version = version.parse().expect("a number");
                let told = (job.to_owned(), version);
                if let Some(before) = self.kept.insert(id.to_owned(), told.clone())
                    && before != told
                {
                    self.faults.push(format!(
                        "{id} was acknowledged twice, as {before:?} and {told:?}"
                    ));
                }
            }
            ["queued", id] => {
                self.queued.insert(id.to_owned());
            }
            ["done", id, by] => {
                if self.done.insert(id.to_owned(), by.to_owned()).is_some() {
                    self.faults.push(format!("{id} was done twice"));
                }
            }
            ["photo", hash] => {
                self.photos.insert(hash.to_owned());
            }
            _ => self.faults.push(format!("not understood: {line}")),
        }
    }

    fn swallow(&mut self, other: Self) {
        for (id, job) in other.sent {
            self.hear(&format!("sent {job} {id}"));
        }
        for (id, (job, version)) in other.kept {
            self.hear(&format!("kept {job} {id} {version}"));
        }
        for (id, by) in other.done {
            self.hear(&format!("done {id} {by}"));
        }
        self.queued.extend(other.queued);
        self.photos.extend(other.photos);
        self.faults.extend(other.faults);
    }
}

fn start(home: &Home, shop: &str, name: &str, again: &[String]) -> Writer {
    let mut child = Command::new(env!("CARGO_BIN_EXE_store_load"))
        .arg(home.folder.path())
        .args([&home.places.database, shop, name])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("the writer starts");
    let mut to = child.stdin.take().expect("its input");
    for line in again {
        writeln!(to, "{line}").expect("told");
    }
    drop(to);
    let from = child.stdout.take().expect("its output");
    let said = Arc::new(Mutex::new(Said::default()));
    let hears = Arc::clone(&said);
    let listener = std::thread::spawn(move || {
        let mut from = BufReader::new(from);
        let mut line = String::new();
        // A line without its end was cut by the kill and says nothing.
        while from.read_line(&mut line).is_ok_and(|n| n > 0) && line.ends_with('\n') {
            hears.lock().expect("unbroken").hear(line.trim_end());
            line.clear();
        }
    });
    Writer {
        child,
        said,
        listener,
    }
}

/// Waits until the writer is at work and so many writes are acknowledged.
fn wait_for_word(writer: &Writer, acknowledged: usize) {
    let until = Instant::now() + Duration::from_secs(60);
    while writer.said.lock().expect("unbroken").kept.len() < acknowledged {
        assert!(Instant::now() < until, "the writer does not get going");
        std::thread::sleep(Duration::from_millis(2));
    }
}

/// Kills the writer and collects what it said; answers with the writes that
/// had no answer.
fn stop(writer: &mut Writer, all: &mut Said) -> Vec<String> {
    writer.child.kill().expect("killed");
    let status = writer.child.wait().expect("gone");
    let listener = std::mem::replace(&mut writer.listener, std::thread::spawn(|| {}));
    listener.join().expect("heard out");
    let said = std::mem::take(&mut *writer.said.lock().expect("unbroken"));
    if status.code().is_some() {
        all.faults
            .push(format!("the writer ended by itself: {status}"));
    }
    let open = (said.sent.iter())
        .filter(|(id, _)| !said.kept.contains_key(*id))
        .map(|(id, job)| format!("{job} {id}"))
        .collect();
    all.swallow(said);
    open
}
