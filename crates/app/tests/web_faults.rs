//! The disk full and the database gone, as people at the pages see it:
//! reading goes on or a sentence says what is wrong, nothing that was
//! acknowledged is lost, and all works again without a restart.
//!
//! Holds: the full disk is a small one in memory, mounted where only the
//! program sees it (Linux, mount_namespaces(7)); where that is not allowed the
//! test says so loudly, and fails when `LAPWING_MUST_TEST` names `mount`.

#![allow(
    clippy::disallowed_methods,
    reason = "these tests run the program, fill a disk and measure time"
)]

mod bay;
#[allow(unused_macros, reason = "the store's tests use the rest of it")]
#[path = "../../store/tests/store/servers.rs"]
mod servers;

use std::collections::BTreeMap;
use std::io::{BufRead, BufReader, Read as _, Write as _};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use bay::shop::{Device, Running};
use bay::{Answer, PIXEL, encoded, multipart};
use lapwing_store::{Places, Store};

const FORM: (&str, &str) = ("content-type", "application/x-www-form-urlencoded");
const JSON: (&str, &str) = ("accept", "application/json");

/// The program on a disk of a few megabytes that only it sees.
struct SmallDisk {
    child: Child,
    host: String,
    folder: tempfile::TempDir,
}

impl SmallDisk {
    fn start(mb: u32) -> Option<Self> {
        let folder = tempfile::tempdir().expect("a folder");
        let script = format!(
            "mount -t tmpfs -o size={mb}m tmpfs {at} && exec {program} serve --listen 127.0.0.1:0 --data {at}/data",
            at = folder.path().display(),
            program = env!("CARGO_BIN_EXE_lapwing"),
        );
        // As root, else as root of a namespace of one's own.
        for flags in [["-m"].as_slice(), &["-U", "-r", "-m"]] {
            let mut child = Command::new("unshare")
                .args(flags)
                .args(["sh", "-c", &script])
                .stdout(Stdio::piped())
                .stderr(Stdio::null())
                .spawn()
                .ok()?;
            let mut line = String::new();
            let output = child.stdout.take().expect("its output");
            let _ = BufReader::new(output).read_line(&mut line);
            if let Some((_, host)) = line.trim().rsplit_once("http://") {
                return Some(Self {
                    child,
                    host: host.to_owned(),
                    folder,
                });
            }
            let _ = child.wait();
        }
        servers::missing("mount", "no disk of one's own may be mounted");
        None
    }

    /// The disk as it is seen from outside.
    fn inside(&self, name: &str) -> PathBuf {
        let root = PathBuf::from(format!("/proc/{}/root", self.child.id()));
        let at = self.folder.path().strip_prefix("/").expect("a whole path");
        root.join(at).join(name)
    }

    /// Fills the disk to its last byte.
    fn fill(&self) {
        let mut ballast = std::fs::File::create(self.inside("ballast")).expect("made");
        for piece in [1 << 16, 1 << 10, 1] {
            while ballast.write_all(&vec![7; piece]).is_ok() {}
        }
    }

    fn free(&self) {
        std::fs::remove_file(self.inside("ballast")).expect("removed");
    }

    fn send(&self, method: &str, path: &str, headers: &[(&str, &str)], body: &[u8]) -> Answer {
        let mut head = format!(
            "{method} {path} HTTP/1.1\r\nhost: {}\r\nconnection: close\r\ncontent-length: {}\r\n",
            self.host,
            body.len()
        );
        for (name, value) in headers {
            head += &format!("{name}: {value}\r\n");
        }
        bay::exchange(&self.host, (head + "\r\n").as_bytes(), body)
    }

    fn reading(&self, job: &str, id: &str) -> Answer {
        let fields = format!("edit={id}&saw=1&panel=roof&thickness=118");
        let path = format!("{job}/readings");
        self.send("POST", &path, &[FORM, JSON], fields.as_bytes())
    }

    fn photo(&self, job: &str, id: &str) -> Answer {
        let parts: [bay::Part<'_>; 3] = [
            ("edit", None, id.as_bytes()),
            ("panel", None, b"bonnet"),
            ("photo", Some("a.png"), &PIXEL),
        ];
        let (kind, body) = multipart(&parts);
        let path = format!("{job}/photos");
        self.send("POST", &path, &[("content-type", &kind), JSON], &body)
    }
}

impl Drop for SmallDisk {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// How often each id stands in a job, as the store has it.
fn ids(places: &Places, job: &str) -> BTreeMap<String, usize> {
    let mut ids = BTreeMap::new();
    servers::run(async {
        let store = Store::open(places).await.expect("opens");
        for card in store.shops().await.expect("shops") {
            let shop = store.shop(&card.id).await.expect("the shop");
            for event in shop.changes_since(job, 0, 10_000).await.expect("read") {
                *ids.entry(event.id).or_default() += 1;
            }
        }
        let report = store.verify().await.expect("verified");
        assert_eq!(report.faults, [""; 0]);
        store.close().await;
    });
    ids
}

#[test]
fn on_a_full_disk_pages_are_read_a_change_says_so_and_nothing_is_lost() {
    let Some(disk) = SmallDisk::start(12) else {
        return;
    };
    let opened = disk.send(
        "POST",
        "/jobs",
        &[FORM],
        b"edit=first-0001&saw=0&name=Grey+hatch&class=hatchback",
    );
    let job = opened.header("location").expect("a job").to_owned();
    assert_eq!(disk.reading(&job, "before-0001").status, 200);
    disk.fill();
    let mut kept = vec!["before-0001".to_owned()];
    let lost = until_full(&disk, &job, &mut kept);
    read_and_refused(&disk, &job);
    disk.free();
    for id in [&lost, "after-00001"] {
        let answer = disk.reading(&job, id);
        assert_eq!(answer.status, 200, "{}", answer.text());
        kept.push((*id).to_owned());
    }
    let photo = disk.photo(&job, "photo-0001");
    assert_eq!(photo.status, 200, "{}", photo.text());
    kept.push("photo-0001".to_owned());
    // The program rests; what is on its disk is looked through as a copy.
    let copy = tempfile::tempdir().expect("a folder");
    copy_all(&disk.inside("data"), copy.path());
    let ids = ids(&Places::in_folder(copy.path()), job_id(&job));
    for id in &kept {
        assert_eq!(ids.get(id), Some(&1), "{id}");
    }
    assert_eq!(ids.len(), kept.len() + 1, "the opening, and what was kept");
}

/// Takes readings until one finds no room; the one that was refused.
fn until_full(disk: &SmallDisk, job: &str, kept: &mut Vec<String>) -> String {
    let (lost, refused) = (0..3000)
        .find_map(|n| {
            let id = format!("while-{n:05}");
            let answer = disk.reading(job, &id);
            if answer.status == 200 {
                kept.push(id);
                return None;
            }
            Some((id, answer))
        })
        .expect("the disk is full at last");
    assert_eq!(refused.status, 507, "{}", refused.text());
    for words in ["no room left", "nothing was lost", "free some space"] {
        assert!(refused.text().contains(words), "{}", refused.text());
    }
    lost
}

/// While the disk is full, pages are shown and changes say so.
fn read_and_refused(disk: &SmallDisk, job: &str) {
    for path in [
        "/jobs",
        job,
        &format!("{job}/readings"),
        "/healthz",
        "/operator",
    ] {
        let answer = disk.send("GET", path, &[("accept", "text/html")], b"");
        assert_eq!(answer.status, 200, "{path}: {}", answer.text());
    }
    let photo = disk.photo(job, "photo-0001");
    assert_eq!(photo.status, 507, "{}", photo.text());
    let page = disk.send(
        "POST",
        &format!("{job}/readings"),
        &[FORM],
        b"edit=page-00001&saw=1&panel=roof&thickness=118",
    );
    assert_eq!(page.status, 507);
    assert!(
        page.text().contains("class=\"fault\""),
        "a page says it too"
    );
}

/// Copies a folder, without the index that only running programs share.
fn copy_all(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).expect("made");
    for entry in std::fs::read_dir(from).expect("a folder") {
        let path = entry.expect("an entry").path();
        let target = to.join(path.file_name().expect("a name"));
        if path.is_dir() {
            copy_all(&path, &target);
        } else if path.extension().is_none_or(|e| e != "sqlite-shm") {
            std::fs::copy(&path, &target).expect("copied");
        }
    }
}

fn job_id(job: &str) -> &str {
    job.rsplit('/').next().expect("an id")
}

#[test]
fn a_database_that_is_gone_is_told_and_all_works_when_it_is_back() {
    let Some(mut server) = servers::Postgres::start() else {
        return;
    };
    let address = server.new_database();
    let running = Running::with(&["--listen", "127.0.0.1:0", "--database", &address]);
    let me = Device::default();
    let ask = |method: &str, path: &str, body: &str| {
        let origin = ("origin", &*format!("http://{}", running.host));
        let accept = ("accept", "application/json");
        running.send(
            &me,
            (method, path),
            &[FORM, origin, accept],
            body.as_bytes(),
        )
    };
    let name = encoded("Grey hatch");
    let open = format!("edit=first-0001&saw=0&name={name}&class=hatchback");
    let kept = ask("POST", "/jobs", &open);
    assert_eq!(kept.status, 200, "{}", kept.text());
    let job = "/jobs/j-first-0001";
    let reading = |n: u32| format!("edit=read-{n:04}&saw=1&panel=roof&thickness=118");
    let readings = format!("{job}/readings");
    assert_eq!(ask("POST", &readings, &reading(1)).status, 200);
    assert_eq!(ask("GET", "/healthz", "").text(), "ok\n");
    server.fell();
    told_away(&ask, &readings, &reading(2));
    let page = running.get(&me, "/jobs");
    assert_eq!(page.status, 503);
    assert!(
        page.text().contains("<h1>"),
        "a page of ours: {}",
        page.text()
    );
    server.raise();
    let since = Instant::now();
    while ask("GET", "/healthz", "").status != 200 {
        assert!(since.elapsed() < Duration::from_secs(30), "it stays away");
        std::thread::sleep(Duration::from_millis(100));
    }
    assert_eq!(ask("GET", "/jobs", "").status, 200);
    // The same reading again, as a phone's queue sends it.
    assert_eq!(ask("POST", &readings, &reading(2)).status, 200);
    let told = heard(&running, job, || {
        assert_eq!(ask("POST", &readings, &reading(3)).status, 200);
    });
    assert!(told < Duration::from_secs(5), "{told:?}");
    let page = ask("GET", &readings, "").text();
    assert!(page.contains("3 readings"), "{page}");
    let mut places = Places::in_folder(running.folder.path());
    places.database.clone_from(&address);
    let ids = ids(&places, "j-first-0001");
    assert!(ids.len() == 4 && ids.values().all(|n| *n == 1), "{ids:?}");
}

/// Every kind of request says that the database is away, and for how long.
fn told_away(ask: &dyn Fn(&str, &str, &str) -> Answer, readings: &str, reading: &str) {
    for (method, path, body) in [
        ("GET", "/healthz", String::new()),
        ("GET", "/jobs", String::new()),
        ("GET", readings, String::new()),
        ("POST", readings, reading.to_owned()),
    ] {
        let begin = Instant::now();
        let answer = ask(method, path, &body);
        assert_eq!(answer.status, 503, "{method} {path}: {}", answer.text());
        let wait = answer
            .header("retry-after")
            .and_then(|s| s.parse::<u64>().ok());
        assert!(wait.is_some_and(|s| (1..=60).contains(&s)), "{wait:?}");
        let text = answer.text();
        assert!(text.contains("database does not answer"), "{text}");
        assert!(text.contains("Nothing was lost"), "{text}");
        let took = begin.elapsed();
        assert!(took < Duration::from_secs(20), "{method} {path}: {took:?}");
    }
}

/// How long after a deed a page that follows the job hears of it.
fn heard(running: &Running, job: &str, deed: impl FnOnce()) -> Duration {
    let mut stream = std::net::TcpStream::connect(&running.host).expect("it listens");
    let limit = Some(Duration::from_secs(20));
    stream.set_read_timeout(limit).expect("a limit");
    let head = format!(
        "GET {job}/events HTTP/1.1\r\nhost: {}\r\n\r\n",
        running.host
    );
    stream.write_all(head.as_bytes()).expect("asked");
    let mut came = [0; 4096];
    let head = stream.read(&mut came).expect("a head");
    assert!(came[..head].starts_with(b"HTTP/1.1 200"));
    deed();
    let since = Instant::now();
    let mut all = String::new();
    while !all.contains("event: changed") {
        let count = stream.read(&mut came).expect("it hears");
        assert!(count > 0, "the line ended: {all}");
        all += &String::from_utf8_lossy(&came[..count]);
    }
    since.elapsed()
}
