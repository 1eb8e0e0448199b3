//! A running program with accounts, as behind a proxy, and people signed in.
//!
//! Each request says with `X-Forwarded-For` where it comes from, so that a
//! test can be many senders.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::PathBuf;
use std::process::{Child, Command, Stdio};
use std::sync::{Arc, Mutex};
use std::time::Duration;

use super::{Answer, encoded, exchange};

/// A password that the store takes.
pub(crate) const PASSWORD: &str = "four plain words here";
pub(crate) const FORM: (&str, &str) = ("content-type", "application/x-www-form-urlencoded");

/// The program, what it printed, what it logged.
pub(crate) struct Running {
    child: Child,
    pub(crate) host: String,
    pub(crate) printed: Vec<String>,
    pub(crate) logged: Arc<Mutex<String>>,
    pub(crate) folder: tempfile::TempDir,
}

/// Someone who asks: the cookies of a browser.
#[derive(Clone, Default)]
pub(crate) struct Device {
    pub(crate) cookie: String,
}

impl Running {
    /// Behind a proxy, with nobody in it.
    pub(crate) fn empty() -> Self {
        Self::with(&["--listen", "127.0.0.1:0", "--behind-proxy"])
    }

    pub(crate) fn with(arguments: &[&str]) -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        Self::in_folder(folder, arguments)
    }

    pub(crate) fn in_folder(folder: tempfile::TempDir, arguments: &[&str]) -> Self {
        let mut child = Command::new(env!("CARGO_BIN_EXE_lapwing"))
            .arg("serve")
            .args(arguments)
            .current_dir(folder.path())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the program starts");
        let mut output = BufReader::new(child.stdout.take().expect("its output"));
        let mut first = String::new();
        output.read_line(&mut first).expect("a first line");
        let host = first.trim().rsplit_once("://").expect("an address").1;
        let host = host.replace("0.0.0.0", "127.0.0.1");
        let mut printed = vec![first.clone()];
        // The rest of the greeting comes at once; then nothing more.
        printed.extend(rest_of(output.buffer()));
        let logged = Arc::new(Mutex::new(String::new()));
        let kept = Arc::clone(&logged);
        let errors = child.stderr.take().expect("its errors");
        std::thread::spawn(move || {
            for line in BufReader::new(errors).lines().map_while(Result::ok) {
                kept.lock().expect("the log").push_str(&(line + "\n"));
            }
        });
        std::thread::spawn(move || std::io::copy(&mut output, &mut std::io::sink()));
        Self {
            child,
            host,
            printed,
            logged,
            folder,
        }
    }

    pub(crate) fn setup_code(&self) -> Option<String> {
        let line = self.printed.iter().find(|l| l.contains("setup code"))?;
        line.trim().rsplit(' ').next().map(str::to_owned)
    }

    pub(crate) fn data(&self) -> PathBuf {
        self.folder.path().join("lapwing-data")
    }

    /// Makes the first owner, `mika`.
    pub(crate) fn owned() -> (Self, Device) {
        let running = Self::empty();
        let code = running.setup_code().expect("a setup code");
        let fields = format!(
            "code={code}&shop=North+bay&name=Mika+Example&login=mika&password={}",
            encoded(PASSWORD)
        );
        let answer = running.post(&Device::default(), "/first", &fields);
        assert_eq!(answer.status, 303, "{}", answer.text());
        let mika = Device::from(&answer);
        (running, mika)
    }

    /// Adds a person to a shop and signs them in.
    pub(crate) fn person(&self, owner: &Device, login: &str, role: &str) -> Device {
        let fields = format!(
            "name=Someone+{login}&login={login}&role={role}&password={}",
            encoded(PASSWORD)
        );
        let answer = self.post(owner, "/people", &fields);
        assert_eq!(answer.status, 303, "{}", answer.text());
        self.signed_in(login)
    }

    pub(crate) fn signed_in(&self, login: &str) -> Device {
        let fields = format!("login={login}&password={}", encoded(PASSWORD));
        let answer = self.post(&Device::default(), "/sign-in", &fields);
        assert_eq!(answer.status, 303, "{}", answer.text());
        Device::from(&answer)
    }

    /// Founds another shop with the command, and signs its owner in.
    pub(crate) fn other_shop(&self) -> Device {
        let mut child = Command::new(env!("CARGO_BIN_EXE_lapwing"))
            .args([
                "found",
                "South bay",
                "--owner",
                "toni",
                "--owner-name",
                "Toni",
            ])
            .current_dir(self.folder.path())
            .stdin(Stdio::piped())
            .stdout(Stdio::null())
            .spawn()
            .expect("it runs");
        let mut input = child.stdin.take().expect("its input");
        writeln!(input, "{PASSWORD}").expect("told");
        drop(input);
        assert!(child.wait().expect("it ends").success());
        self.signed_in("toni")
    }

    pub(crate) fn get(&self, device: &Device, path: &str) -> Answer {
        self.send(device, ("GET", path), &[("accept", "text/html")], b"")
    }

    pub(crate) fn post(&self, device: &Device, path: &str, fields: &str) -> Answer {
        let origin = ("origin", &*format!("https://{}", self.host));
        self.send(device, ("POST", path), &[FORM, origin], fields.as_bytes())
    }

    /// Sends a request as a proxy that ends TLS would pass it on.
    pub(crate) fn send(
        &self,
        device: &Device,
        (method, path): (&str, &str),
        headers: &[(&str, &str)],
        body: &[u8],
    ) -> Answer {
        let head = head((&self.host, device), (method, path), headers, body.len());
        exchange(&self.host, head.as_bytes(), body)
    }

    /// Status and place to go of an answer that may never end.
    pub(crate) fn status(
        &self,
        device: &Device,
        (method, path): (&str, &str),
        body: &[u8],
    ) -> (u16, String) {
        let origin = ("origin", &*format!("https://{}", self.host));
        let headers = [FORM, origin, ("accept", "text/html")];
        let head = head((&self.host, device), (method, path), &headers, body.len());
        let mut stream = TcpStream::connect(&self.host).expect("it listens");
        let limit = Some(Duration::from_secs(60));
        stream.set_read_timeout(limit).expect("a limit");
        stream.write_all(head.as_bytes()).expect("sent");
        let _ = stream.write_all(body);
        let mut lines = BufReader::new(stream).lines().map_while(Result::ok);
        let first = lines.next().unwrap_or_default();
        let status = first.split(' ').nth(1).and_then(|s| s.parse().ok());
        let location = lines
            .take_while(|line| !line.is_empty())
            .find_map(|line| line.strip_prefix("location: ").map(str::to_owned));
        (
            status.unwrap_or_else(|| panic!("no status: {method} {path}")),
            location.unwrap_or_default(),
        )
    }

    /// Asks or changes rows behind the program's back.
    pub(crate) fn sql(&self, statement: &str) -> String {
        let script = "import sqlite3,sys\nc=sqlite3.connect(sys.argv[1],timeout=20)\nr=c.execute(sys.argv[2]).fetchone()\nc.commit()\nprint(r[0] if r else '')";
        let done = Command::new("python3")
            .args(["-c", script])
            .arg(self.data().join("lapwing.sqlite"))
            .arg(statement)
            .output()
            .expect("python3 runs");
        assert!(done.status.success(), "{statement}");
        String::from_utf8_lossy(&done.stdout).trim().to_owned()
    }
}

/// Whole lines that were printed together with the first one.
fn rest_of(buffer: &[u8]) -> Vec<String> {
    let text = String::from_utf8_lossy(buffer).into_owned();
    text.lines().map(str::to_owned).collect()
}

impl Device {
    /// Keeps the cookies of an answer.
    pub(crate) fn from(answer: &Answer) -> Self {
        let set = answer
            .headers
            .iter()
            .filter(|(name, _)| name == "set-cookie");
        let pairs: Vec<&str> = set
            .filter_map(|(_, value)| value.split(';').next())
            .filter(|pair| !pair.ends_with('='))
            .collect();
        Self {
            cookie: pairs.join("; "),
        }
    }
}

/// The head of a request as a proxy that ends TLS would pass it on.
pub(crate) fn head(
    (host, device): (&str, &Device),
    (method, path): (&str, &str),
    headers: &[(&str, &str)],
    length: usize,
) -> String {
    let mut head = format!(
        "{method} {path} HTTP/1.1\r\nhost: {host}\r\nconnection: close\r\nx-forwarded-proto: https\r\ncontent-length: {length}\r\n"
    );
    if !device.cookie.is_empty() {
        head += &format!("cookie: {}\r\n", device.cookie);
    }
    for (name, value) in headers {
        head += &format!("{name}: {value}\r\n");
    }
    head + "\r\n"
}

impl Drop for Running {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// Reads what is left of a stream, at most so long.
pub(crate) fn until_closed(stream: &mut TcpStream, longest: Duration) -> Option<Vec<u8>> {
    stream.set_read_timeout(Some(longest)).expect("a limit");
    let mut all = Vec::new();
    stream.read_to_end(&mut all).ok().map(|_| all)
}
