//! Starts a real PostgreSQL and a real S3-compatible server for the tests.
//!
//! Law: a server lives in a temporary folder and dies with the test process,
//! however that ends: a shell holds it and waits for the end of our pipe.
//! Holds: on Debian with `postgresql-15`, as root (it then runs as `postgres`)
//! or as anyone else; `s3s-fs` is looked for under `LAPWING_S3S_FS`, in
//! `target/tools/bin` and in the search path.
//! Left out: a missing server is said loudly and its tests pass unrun, unless
//! `LAPWING_MUST_TEST` names it (`postgresql,s3`): then they fail.

#![allow(dead_code, reason = "each test program uses a part of it")]

use std::io::Write as _;
use std::net::{TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::atomic::{AtomicI64, AtomicU32, Ordering};
use std::sync::{Arc, OnceLock};
use std::time::{Duration, Instant};

use lapwing_store::{Author, Change, Edit, Places, Shop, Store, new_id};

/// A PostgreSQL of our own.
pub(crate) struct Postgres {
    folder: tempfile::TempDir,
    bin: PathBuf,
    port: u16,
    child: Option<Child>,
}

/// An S3-compatible server of our own.
pub(crate) struct S3 {
    folder: tempfile::TempDir,
    program: PathBuf,
    port: u16,
    child: Option<Child>,
}

/// Places for one test: a folder that vanishes afterwards.
pub(crate) struct Home {
    pub(crate) folder: tempfile::TempDir,
    pub(crate) places: Places,
}

impl Home {
    /// SQLite and a folder.
    pub(crate) fn on_sqlite() -> Self {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let places = Places::in_folder(folder.path());
        Self { folder, places }
    }

    /// A new database on the shared PostgreSQL, and a folder.
    pub(crate) fn on_postgresql() -> Option<Self> {
        let mut home = Self::on_sqlite();
        home.places.database = shared_postgres()?.new_database();
        Some(home)
    }

    pub(crate) async fn open(&self) -> Store {
        Store::open(&self.places).await.expect("the store opens")
    }

    /// A store with one shop.
    pub(crate) async fn shop(&self) -> Shop {
        let store = self.open().await;
        store.found_shop("North bay").await.expect("a shop")
    }

    /// A store with a clock that the test turns.
    pub(crate) async fn open_at(&self, clock: &Arc<AtomicI64>) -> Store {
        let clock = Arc::clone(clock);
        let read = Arc::new(move || clock.load(Ordering::SeqCst));
        Store::open_with_clock(&self.places, read)
            .await
            .expect("the store opens")
    }
}

/// Runs one check on both databases.
macro_rules! on_both {
    ($($name:ident),+ $(,)?) => {
        mod on_sqlite {
            $(#[test]
            fn $name() {
                let home = crate::servers::Home::on_sqlite();
                crate::servers::run(super::$name(&home));
            })+
        }
        mod on_postgresql {
            $(#[test]
            fn $name() {
                if let Some(home) = crate::servers::Home::on_postgresql() {
                    crate::servers::run(super::$name(&home));
                }
            })+
        }
    };
}

/// Runs a test on a small runtime.
pub(crate) fn run<T>(work: impl Future<Output = T>) -> T {
    tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .enable_all()
        .build()
        .expect("a runtime")
        .block_on(work)
}

/// An author at a device.
pub(crate) fn author(device: &str) -> Author {
    Author {
        who: "mika".into(),
        device: device.into(),
    }
}

/// An edit with a new id.
pub(crate) fn edit(saw: i64, changes: Vec<Change>) -> Edit {
    Edit {
        id: new_id(),
        kind: "note".into(),
        saw,
        changes,
        said_ms: 1,
        undoes: None,
        settles: None,
    }
}

/// Says that tests were not run, or fails when they must be.
pub(crate) fn missing(what: &str, how: &str) {
    let must = std::env::var("LAPWING_MUST_TEST").unwrap_or_default();
    assert!(
        !must.split(',').any(|word| word == what),
        "{what} must be tested here, but {how}"
    );
    // Straight to the screen: the test runner swallows what passing tests print.
    let _ = writeln!(
        std::io::stderr(),
        "\n*** NOT TESTED on {what}: {how}. ./check installs it. ***"
    );
}

/// The PostgreSQL that all tests of one program share.
pub(crate) fn shared_postgres() -> Option<&'static Postgres> {
    static SHARED: OnceLock<Option<Postgres>> = OnceLock::new();
    SHARED.get_or_init(Postgres::start).as_ref()
}

impl Postgres {
    /// Starts one, if it is installed.
    pub(crate) fn start() -> Option<Self> {
        let Some(bin) = postgres_programs() else {
            missing("postgresql", "its programs are not installed");
            return None;
        };
        let folder = tempfile::Builder::new()
            .prefix("lapwing-pg-")
            .tempdir_in("/tmp")
            .expect("a temporary folder");
        let mut server = Self {
            port: free_port(),
            child: None,
            bin,
            folder,
        };
        server.make_cluster();
        server.raise();
        Some(server)
    }

    /// Starts it again after `fell`, with what it had.
    pub(crate) fn raise(&mut self) {
        let data = self.folder.path().join("data");
        let line = format!(
            "{bin}/postgres -D {data} -p {port} -c listen_addresses=127.0.0.1 \
             -c unix_socket_directories= -c fsync=off -c full_page_writes=off \
             -c max_connections=200 >{log} 2>&1",
            bin = self.bin.display(),
            data = data.display(),
            port = self.port,
            log = self.folder.path().join("log").display(),
        );
        self.child = Some(held(&line, "QUIT", is_root()));
        wait_for_port(self.port);
        wait_until_it_answers(&self.bin, self.port);
    }

    /// Stops it at once, as a fault would.
    pub(crate) fn fell(&mut self) {
        if let Some(child) = self.child.take() {
            let_go(child);
        }
    }

    /// The address of a new, empty database.
    pub(crate) fn new_database(&self) -> String {
        static NUMBER: AtomicU32 = AtomicU32::new(1);
        let name = format!("t_{}", NUMBER.fetch_add(1, Ordering::Relaxed));
        let made = Command::new(self.bin.join("createdb"))
            .args(["-h", "127.0.0.1", "-U", "postgres", "-T", "template0"])
            .args(["-p", &self.port.to_string(), &name])
            .output()
            .expect("createdb runs");
        assert!(made.status.success(), "{made:?}");
        self.address(&name)
    }

    /// The address of a database.
    pub(crate) fn address(&self, name: &str) -> String {
        format!("postgres://postgres@127.0.0.1:{}/{name}", self.port)
    }

    fn make_cluster(&self) {
        let data = self.folder.path().join("data");
        if is_root() {
            let folder = self.folder.path().as_os_str();
            let given = Command::new("chown").arg("postgres").arg(folder).status();
            assert!(given.is_ok_and(|s| s.success()), "chown");
        }
        let line = format!(
            "{bin}/initdb -D {data} -A trust -U postgres -E UTF8 --locale=C.UTF-8 --no-sync",
            bin = self.bin.display(),
            data = data.display(),
        );
        let made = shell(&line, is_root()).output().expect("initdb runs");
        assert!(made.status.success(), "{made:?}");
    }
}

impl Drop for Postgres {
    fn drop(&mut self) {
        self.fell();
    }
}

impl S3 {
    /// Starts one, if it is installed.
    pub(crate) fn start() -> Option<Self> {
        let Some(program) = s3_program() else {
            missing("s3", "`s3s-fs` is not installed");
            return None;
        };
        let folder = tempfile::tempdir().expect("a temporary folder");
        std::fs::create_dir(folder.path().join("bay")).expect("a bucket");
        let mut server = Self {
            port: free_port(),
            child: None,
            program,
            folder,
        };
        server.raise();
        Some(server)
    }

    /// Starts it again after `fell`, with what it had.
    pub(crate) fn raise(&mut self) {
        let line = format!(
            "{} --host 127.0.0.1 --port {} --access-key KEY --secret-key SECRET {} >/dev/null 2>&1",
            self.program.display(),
            self.port,
            self.folder.path().display(),
        );
        self.child = Some(held(&line, "TERM", false));
        wait_for_port(self.port);
    }

    /// The address of its bucket, with the keys.
    pub(crate) fn address(&self) -> String {
        format!(
            "s3://bay/photos?endpoint=http://127.0.0.1:{}&region=here&key=KEY&secret=SECRET",
            self.port
        )
    }

    /// Stops it at once.
    pub(crate) fn fell(&mut self) {
        if let Some(child) = self.child.take() {
            let_go(child);
        }
    }
}

impl Drop for S3 {
    fn drop(&mut self) {
        self.fell();
    }
}

/// Runs a line in a shell that stops it when our end of the pipe closes.
fn held(line: &str, signal: &str, as_postgres: bool) -> Child {
    let script = format!("{line} & server=$!; read _; kill -{signal} $server; wait $server");
    shell(&script, as_postgres)
        .stdin(Stdio::piped())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .expect("the server starts")
}

fn shell(script: &str, as_postgres: bool) -> Command {
    let mut command = if as_postgres {
        let mut command = Command::new("runuser");
        command.args(["-u", "postgres", "--", "sh", "-c", script]);
        command
    } else {
        let mut command = Command::new("sh");
        command.args(["-c", script]);
        command
    };
    command.current_dir("/tmp");
    command
}

fn let_go(mut child: Child) {
    drop(child.stdin.take());
    let _ = child.wait();
}

fn is_root() -> bool {
    let id = Command::new("id").arg("-u").output();
    id.is_ok_and(|out| out.stdout.trim_ascii() == b"0")
}

fn postgres_programs() -> Option<PathBuf> {
    let mut found: Vec<PathBuf> = std::fs::read_dir("/usr/lib/postgresql")
        .into_iter()
        .flatten()
        .flatten()
        .map(|entry| entry.path().join("bin"))
        .filter(|bin| bin.join("initdb").is_file())
        .collect();
    found.sort();
    found.pop()
}

fn s3_program() -> Option<PathBuf> {
    let named = std::env::var("LAPWING_S3S_FS").ok().map(PathBuf::from);
    let house = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../target/tools/bin/s3s-fs");
    let paths = std::env::var_os("PATH").unwrap_or_default();
    let in_paths = std::env::split_paths(&paths).map(|folder| folder.join("s3s-fs"));
    named
        .into_iter()
        .chain([house])
        .chain(in_paths)
        .find(|program| program.is_file())
}

fn free_port() -> u16 {
    let listener = TcpListener::bind("127.0.0.1:0").expect("a port");
    listener.local_addr().expect("its number").port()
}

fn wait_for_port(port: u16) {
    let until = Instant::now() + Duration::from_secs(60);
    while TcpStream::connect(("127.0.0.1", port)).is_err() {
        assert!(Instant::now() < until, "nothing listens at {port}");
        std::thread::sleep(Duration::from_millis(50));
    }
}

fn wait_until_it_answers(bin: &Path, port: u16) {
    let until = Instant::now() + Duration::from_secs(60);
    loop {
        let ready = Command::new(bin.join("pg_isready"))
            .args(["-q", "-h", "127.0.0.1", "-p", &port.to_string()])
            .status();
        if ready.is_ok_and(|status| status.success()) {
            return;
        }
        assert!(Instant::now() < until, "PostgreSQL does not get ready");
        std::thread::sleep(Duration::from_millis(50));
    }
}
