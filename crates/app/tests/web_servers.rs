//! Two servers on one PostgreSQL and one S3 store, through the pages: one
//! writes and the other shows it, one is killed under load, long work is done
//! once, and one shop's people find nothing of the other's on either.

#![allow(
    clippy::disallowed_methods,
    reason = "these tests run programs, kill one and measure time"
)]

mod bay;
#[allow(unused_macros, reason = "the store's tests use the rest of it")]
#[path = "../../store/tests/store/servers.rs"]
mod servers;

use std::collections::BTreeMap;
use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::net::TcpStream;
use std::process::{Child, Command, Stdio};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::{Duration, Instant};

use bay::shop::{Device, PASSWORD, head};
use bay::{PIXEL, Part, encoded, multipart};
use lapwing_store::{Places, Store, TaskState};

/// One of several servers.
struct One {
    child: Child,
    host: String,
    code: Option<String>,
    folder: tempfile::TempDir,
}

/// Two servers on the same places.
struct Two {
    database: String,
    photos: String,
    ours: [One; 2],
    owner: Device,
}

impl One {
    fn start(database: &str, photos: &str) -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        let mut child = Command::new(env!("CARGO_BIN_EXE_lapwing"))
            .args([
                "serve",
                "--listen",
                "127.0.0.1:0",
                "--behind-proxy",
                "--log",
                "none",
            ])
            .args(["--database", database, "--photos", photos])
            .current_dir(folder.path())
            .stdout(Stdio::piped())
            .spawn()
            .expect("it starts");
        let mut output = BufReader::new(child.stdout.take().expect("its output"));
        let mut first = String::new();
        output.read_line(&mut first).expect("a line");
        let rest = String::from_utf8_lossy(output.buffer()).into_owned();
        let code = rest.lines().find(|line| line.contains("setup code"));
        let code = code
            .and_then(|line| line.rsplit(' ').next())
            .map(str::to_owned);
        let (_, host) = first.trim().rsplit_once("://").expect("an address");
        Self {
            child,
            host: host.to_owned(),
            code,
            folder,
        }
    }

    /// Status, place to go and body; nothing when the server is gone.
    fn ask(
        &self,
        device: &Device,
        (method, path): (&str, &str),
        headers: &[(&str, &str)],
        body: &[u8],
    ) -> Option<bay::Answer> {
        let mut stream = TcpStream::connect(&self.host).ok()?;
        let limit = Some(Duration::from_secs(60));
        stream.set_read_timeout(limit).ok()?;
        stream
            .write_all(
                self.head(device, (method, path), headers, body.len())
                    .as_bytes(),
            )
            .ok()?;
        stream.write_all(body).ok()?;
        let mut all = Vec::new();
        stream.read_to_end(&mut all).ok()?;
        answer(&all)
    }

    fn head(
        &self,
        device: &Device,
        (method, path): (&str, &str),
        headers: &[(&str, &str)],
        length: usize,
    ) -> String {
        let origin = format!("https://{}", self.host);
        let mut all = vec![("origin", origin.as_str())];
        all.extend_from_slice(headers);
        head((&self.host, device), (method, path), &all, length)
    }

    fn get(&self, device: &Device, path: &str) -> bay::Answer {
        let page = [("accept", "text/html")];
        self.ask(device, ("GET", path), &page, b"")
            .expect("an answer")
    }

    fn post(&self, device: &Device, path: &str, fields: &str) -> Option<bay::Answer> {
        let kind = ("content-type", "application/x-www-form-urlencoded");
        let accept = ("accept", "application/json");
        self.ask(device, ("POST", path), &[kind, accept], fields.as_bytes())
    }
}

/// A whole answer; one that was cut off is none.
fn answer(all: &[u8]) -> Option<bay::Answer> {
    let end = all.windows(4).position(|w| w == b"\r\n\r\n")?;
    let head = String::from_utf8_lossy(&all[..end]).into_owned();
    let mut lines = head.lines();
    let status = lines.next()?.split(' ').nth(1)?.parse().ok()?;
    let headers: Vec<(String, String)> = lines
        .filter_map(|line| line.split_once(": "))
        .map(|(name, value)| (name.to_owned(), value.to_owned()))
        .collect();
    let answer = bay::Answer {
        status,
        headers,
        body: all[end + 4..].to_vec(),
    };
    match answer.header("content-length") {
        Some(length) => (length.parse().ok() == Some(answer.body.len())).then_some(answer),
        None => (all.ends_with(b"0\r\n\r\n") || answer.body.is_empty()).then_some(answer),
    }
}

impl Drop for One {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

impl Two {
    fn start(photos: &str) -> Option<Self> {
        let database = servers::shared_postgres()?.new_database();
        let first = One::start(&database, photos);
        let second = One::start(&database, photos);
        let fields = format!(
            "code={}&shop=North+bay&name=Mika+Example&login=mika&password={}",
            first.code.as_ref().expect("a code"),
            encoded(PASSWORD)
        );
        let made = first
            .post(&Device::default(), "/first", &fields)
            .expect("an answer");
        assert_eq!(made.status, 303, "{}", made.text());
        let owner = Device::from(&made);
        Some(Self {
            database,
            photos: photos.to_owned(),
            ours: [first, second],
            owner,
        })
    }

    fn open(&self, device: &Device, id: &str) -> String {
        let fields = format!("edit={id}&saw=0&name=Grey+{id}&class=hatchback");
        let opened = self.ours[0]
            .post(device, "/jobs", &fields)
            .expect("an answer");
        assert_eq!(opened.status, 200, "{}", opened.text());
        format!("/jobs/j-{id}")
    }

    /// Founds another shop at the command line and signs its owner in.
    fn other_shop(&self) -> Device {
        let mut child = Command::new(env!("CARGO_BIN_EXE_lapwing"))
            .args([
                "found",
                "South bay",
                "--owner",
                "toni",
                "--owner-name",
                "Toni",
            ])
            .args(["--database", &self.database, "--photos", &self.photos])
            .current_dir(self.ours[0].folder.path())
            .stdin(Stdio::piped())
            .stdout(Stdio::null())
            .spawn()
            .expect("it runs");
        let mut input = child.stdin.take().expect("its input");
        writeln!(input, "{PASSWORD}").expect("told");
        drop(input);
        assert!(child.wait().expect("it ends").success());
        let fields = format!("login=toni&password={}", encoded(PASSWORD));
        let signed = self.ours[1].post(&Device::default(), "/sign-in", &fields);
        Device::from(&signed.expect("an answer"))
    }
}

/// Statuses of the same photo under the same id, sent by many at once to both.
fn photo_at_once(two: &Two, job: &str, round: u8) -> Vec<u16> {
    const PHONES: usize = 6;
    let edit = format!("round-{round:04}");
    let mut picture = PIXEL.to_vec();
    picture[43] = round;
    let parts: [Part<'_>; 4] = [
        ("edit", None, edit.as_bytes()),
        ("panel", None, b"roof"),
        ("photo", Some("a.png"), &picture),
        ("view", Some("v.png"), &picture),
    ];
    let (kind, body) = multipart(&parts);
    let path = format!("{job}/photos");
    let start = std::sync::Barrier::new(PHONES);
    std::thread::scope(|scope| {
        let (start, kind, path, body) = (&start, &*kind, &path, &body);
        let send = move |at: usize| {
            let headers = [("content-type", kind), ("accept", "application/json")];
            start.wait();
            let answer = two.ours[at % 2].ask(&two.owner, ("POST", path), &headers, body);
            answer.expect("an answer").status
        };
        let phones: Vec<_> = (0..PHONES)
            .map(|at| scope.spawn(move || send(at)))
            .collect();
        phones
            .into_iter()
            .map(|p| p.join().expect("a status"))
            .collect()
    })
}

/// Adds a photo; the pixel has no content of a person.
fn photo(server: &One, device: &Device, job: &str) -> u16 {
    let parts: [Part<'_>; 3] = [
        ("edit", None, b"photo-0001"),
        ("panel", None, b"bonnet"),
        ("photo", Some("a.png"), &PIXEL),
    ];
    let (kind, body) = multipart(&parts);
    let headers = [("content-type", &*kind), ("accept", "application/json")];
    let path = format!("{job}/photos");
    let answer = server.ask(device, ("POST", &path), &headers, &body);
    answer.expect("an answer").status
}

#[test]
fn the_same_photo_at_both_servers_at_once_is_one_deed() {
    let Some(store) = servers::S3::start() else {
        return;
    };
    let Some(two) = Two::start(&store.address()) else {
        return;
    };
    let job = two.open(&two.owner, "same-0001");
    for round in 0..25 {
        let statuses = photo_at_once(&two, &job, round);
        assert!(statuses.iter().all(|s| *s == 200), "{round}: {statuses:?}");
    }
    let page = two.ours[1].get(&two.owner, &job).text();
    assert_eq!(page.matches("<img").count(), 25);
}

#[test]
fn what_one_server_takes_the_other_shows_within_a_second() {
    let Some(store) = servers::S3::start() else {
        return;
    };
    let Some(two) = Two::start(&store.address()) else {
        return;
    };
    let [here, there] = &two.ours;
    let job = two.open(&two.owner, "seen-0001");
    assert_eq!(there.get(&two.owner, &job).status, 200, "the session too");
    let mut stream = TcpStream::connect(&there.host).expect("it listens");
    stream
        .set_read_timeout(Some(Duration::from_secs(20)))
        .expect("a limit");
    let head = there.head(
        &two.owner,
        ("GET", &format!("{job}/events?after=1")),
        &[],
        0,
    );
    stream.write_all(head.as_bytes()).expect("asked");
    let mut lines = BufReader::new(stream).lines().map_while(Result::ok);
    assert!(lines.next().is_some_and(|line| line.contains(" 200 ")));
    let mut quickest = Duration::MAX;
    for n in 0..3 {
        let since = Instant::now();
        let fields = format!("edit=read-{n:04}&saw=1&panel=roof&thickness=11{n}");
        let answer = here.post(&two.owner, &format!("{job}/readings"), &fields);
        assert_eq!(answer.expect("an answer").status, 200);
        assert!(
            lines.any(|line| line.contains("event: changed")),
            "the line ended"
        );
        quickest = quickest.min(since.elapsed());
        let page = there.get(&two.owner, &format!("{job}/readings")).text();
        assert!(page.contains(&format!("11{n}.0")), "{page}");
    }
    assert!(quickest < Duration::from_secs(1), "{quickest:?}");
    assert_eq!(photo(here, &two.owner, &job), 200);
    let page = there.get(&two.owner, &job).text();
    let (_, after) = page.split_once("<img src=\"").expect("a photo");
    let shown = there.get(&two.owner, after.split('"').next().expect("its address"));
    assert_eq!((shown.status, shown.body == PIXEL), (200, true));
}

/// Readings that one device sends, each until it is acknowledged, to the
/// server it knows and to the other when that one is gone.
fn device_at_work(two: &Two, job: &str, device: usize, acknowledged: &AtomicUsize) {
    const READINGS: usize = 60;
    let mut at = device % 2;
    for n in 0..READINGS {
        let fields = format!("edit=load-{device}-{n:04}&saw=1&panel=roof&thickness=118");
        let until = Instant::now() + Duration::from_secs(40);
        loop {
            let came = two.ours[at].post(&two.owner, &format!("{job}/readings"), &fields);
            match came.map(|answer| answer.status) {
                Some(200) => break,
                _ => at = 1 - at,
            }
            assert!(
                Instant::now() < until,
                "reading {n} of device {device} is not taken"
            );
            std::thread::sleep(Duration::from_millis(20));
        }
        acknowledged.fetch_add(1, Ordering::Relaxed);
    }
}

#[test]
fn one_is_killed_under_load_and_nothing_is_lost_doubled_or_left_undone() {
    const DEVICES: usize = 6;
    const COPIES: usize = 6;
    let Some(store) = servers::S3::start() else {
        return;
    };
    let Some(mut two) = Two::start(&store.address()) else {
        return;
    };
    let job = two.open(&two.owner, "load-job1");
    assert_eq!(photo(&two.ours[0], &two.owner, &job), 200);
    let acknowledged = AtomicUsize::new(0);
    let killed = std::thread::scope(|scope| {
        for device in 0..DEVICES {
            let (two, job, acknowledged) = (&two, &job, &acknowledged);
            scope.spawn(move || device_at_work(two, job, device, acknowledged));
        }
        for n in 0..COPIES {
            let fields = format!("edit=copy-{n:04}");
            let asked = two.ours[n % 2].post(&two.owner, "/operator/backup", &fields);
            assert_eq!(asked.expect("an answer").status, 303);
        }
        while acknowledged.load(Ordering::Relaxed) < DEVICES * 12 {
            std::thread::sleep(Duration::from_millis(2));
        }
        let process = two.ours[0].child.id().to_string();
        let done = Command::new("kill").args(["-KILL", &process]).status();
        assert!(done.is_ok_and(|s| s.success()));
        acknowledged.load(Ordering::Relaxed)
    });
    two.ours[0].child.wait().expect("it is gone");
    let whole = acknowledged.load(Ordering::Relaxed);
    assert_eq!(whole, DEVICES * 60);
    assert!(killed < whole, "killed while they worked, after {killed}");
    let page = two.ours[1]
        .get(&two.owner, &format!("{job}/readings"))
        .text();
    assert!(page.contains(&format!("{whole} readings")), "{page}");
    servers::run(kept_once(&two, &job, whole, COPIES));
}

/// Each reading is one event, each copy has one result, and the store agrees
/// with itself.
async fn kept_once(two: &Two, job: &str, whole: usize, copies: usize) {
    let mut places = Places::in_folder(two.ours[1].folder.path());
    places.database.clone_from(&two.database);
    places.pictures.clone_from(&two.photos);
    let store = Store::open(&places).await.expect("opens");
    let card = store.shops().await.expect("shops").remove(0);
    let shop = store.shop(&card.id).await.expect("the shop");
    let job = job.rsplit('/').next().expect("an id");
    let mut ids: BTreeMap<String, usize> = BTreeMap::new();
    for event in shop.changes_since(job, 0, 10_000).await.expect("read") {
        *ids.entry(event.id).or_default() += 1;
    }
    assert!(ids.values().all(|n| *n == 1), "{ids:?}");
    assert_eq!(
        ids.keys().filter(|id| id.starts_with("load-")).count(),
        whole + 1
    );
    let until = Instant::now() + Duration::from_secs(90);
    for n in 0..copies {
        let id = format!("copy-{n:04}");
        // A lease of the killed server runs out first.
        while shop.task(&id).await.expect("known").state != TaskState::Done {
            assert!(Instant::now() < until, "{id} is left undone");
            tokio::time::sleep(Duration::from_millis(200)).await;
        }
        let result = shop.result(&id).await.expect("read").expect("a result");
        let folder = result["folder"].as_str().expect("a folder").to_owned();
        let made = two.ours.iter().filter(|one| {
            let backups = one.folder.path().join("lapwing-data/backups");
            backups.join(&folder).join("manifest.json").is_file()
        });
        assert!(made.count() >= 1, "{id}: {folder} is nowhere");
    }
    let report = store.verify().await.expect("verified");
    assert_eq!((report.faults, report.pictures), (Vec::new(), 1));
}

#[test]
fn one_shops_people_find_nothing_of_the_other_on_either_server() {
    let Some(store) = servers::S3::start() else {
        return;
    };
    let Some(two) = Two::start(&store.address()) else {
        return;
    };
    let job = two.open(&two.owner, "ours-0001");
    assert_eq!(photo(&two.ours[0], &two.owner, &job), 200);
    let page = two.ours[0].get(&two.owner, &job).text();
    let (_, after) = page.split_once("<img src=\"").expect("a photo");
    let picture = after.split('"').next().expect("its address").to_owned();
    let toni = two.other_shop();
    for server in &two.ours {
        assert_eq!(server.get(&toni, "/jobs").status, 200, "signed in");
        for path in [
            &job,
            &format!("{job}/readings"),
            &format!("{job}/job.zip"),
            &format!("{job}/events"),
            &picture,
        ] {
            assert_eq!(server.get(&toni, path).status, 404, "{path}");
            assert_eq!(server.get(&two.owner, &job).status, 200);
        }
        for list in ["/jobs", "/jobs?search=Grey"] {
            assert!(!server.get(&toni, list).text().contains("ours-0001"));
            assert!(server.get(&two.owner, list).text().contains("ours-0001"));
        }
        let fields = "edit=evil-0001&saw=1&panel=roof&thickness=118";
        let written = server.post(&toni, &format!("{job}/readings"), fields);
        assert_eq!(written.expect("an answer").status, 404);
        let operator = server.get(&toni, "/operator?task=copy-0001").text();
        assert!(!operator.contains("ours-0001") && !operator.contains("North bay"));
    }
    let readings = two.ours[1]
        .get(&two.owner, &format!("{job}/readings"))
        .text();
    assert!(readings.contains("0 readings"), "{readings}");
}
