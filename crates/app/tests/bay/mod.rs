//! The running program and a small client, for tests of the bay's pages.
//!
//! The client speaks just enough HTTP/1.1 to send what a browser would and
//! what it never would.

#![allow(
    dead_code,
    clippy::disallowed_methods,
    reason = "each test file uses its part; the tests start a program and measure time"
)]

pub(crate) mod browser;
pub(crate) mod markup;
pub(crate) mod shop;

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::Duration;

/// A server on a free port, stopped at the end of the test.
pub(crate) struct Server {
    pub(crate) child: Child,
    pub(crate) host: String,
    data: tempfile::TempDir,
}

/// What came back.
#[derive(Debug)]
pub(crate) struct Answer {
    pub(crate) status: u16,
    pub(crate) headers: Vec<(String, String)>,
    pub(crate) body: Vec<u8>,
}

impl Answer {
    pub(crate) fn header(&self, name: &str) -> Option<&str> {
        let found = self
            .headers
            .iter()
            .find(|(n, _)| n.eq_ignore_ascii_case(name));
        found.map(|(_, v)| v.as_str())
    }

    pub(crate) fn text(&self) -> String {
        String::from_utf8_lossy(&self.body).into_owned()
    }
}

impl Server {
    pub(crate) fn start() -> Self {
        let data = tempfile::tempdir().expect("a folder");
        let (child, host) = started(data.path());
        Self { child, host, data }
    }

    /// Kills the program and starts it anew on the same data.
    pub(crate) fn restart(&mut self) {
        self.child.kill().expect("killed");
        self.child.wait().expect("gone");
        (self.child, self.host) = started(self.data.path());
    }

    /// Stops the program as a power cut would; its address stays its own.
    pub(crate) fn stop(&mut self) {
        self.child.kill().expect("killed");
        self.child.wait().expect("gone");
    }

    /// Starts a stopped program at the address it had.
    pub(crate) fn start_again(&mut self) {
        (self.child, self.host) = started_at(self.data.path(), &self.host);
    }

    pub(crate) fn get(&self, path: &str) -> Answer {
        self.send("GET", path, &[], b"")
    }

    pub(crate) fn post(&self, path: &str, fields: &str) -> Answer {
        let kind = ("content-type", "application/x-www-form-urlencoded");
        self.send("POST", path, &[kind], fields.as_bytes())
    }

    /// Sends a request with this server's own name as its host.
    pub(crate) fn send(
        &self,
        method: &str,
        path: &str,
        headers: &[(&str, &str)],
        body: &[u8],
    ) -> Answer {
        let mut head = format!("{method} {path} HTTP/1.1\r\nconnection: close\r\n");
        if !headers.iter().any(|(name, _)| *name == "host") {
            head += &format!("host: {}\r\n", self.host);
        }
        for (name, value) in headers {
            head += &format!("{name}: {value}\r\n");
        }
        head += &format!("content-length: {}\r\n\r\n", body.len());
        exchange(&self.host, head.as_bytes(), body)
    }
}

fn started(data: &Path) -> (Child, String) {
    started_at(data, "127.0.0.1:0")
}

fn started_at(data: &Path, listen: &str) -> (Child, String) {
    let mut child = Command::new(env!("CARGO_BIN_EXE_lapwing"))
        .args(["serve", "--listen", listen])
        .current_dir(data)
        .stdout(Stdio::piped())
        .spawn()
        .expect("the program starts");
    let mut line = String::new();
    BufReader::new(child.stdout.take().expect("its output"))
        .read_line(&mut line)
        .expect("a first line");
    let (_, host) = line
        .trim()
        .rsplit_once("http://")
        .expect("it prints its address");
    (child, host.to_owned())
}

impl Drop for Server {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// Sends bytes as they are and reads one answer.
pub(crate) fn exchange(host: &str, head: &[u8], body: &[u8]) -> Answer {
    let mut stream = TcpStream::connect(host).expect("it listens");
    stream
        .set_read_timeout(Some(Duration::from_secs(90)))
        .expect("a time limit");
    stream.write_all(head).expect("sent");
    // A server that refuses early may close while we still send.
    let _ = stream.write_all(body);
    read_answer(&mut stream)
}

pub(crate) fn read_answer(stream: &mut TcpStream) -> Answer {
    let mut reader = BufReader::new(stream);
    let mut line = String::new();
    reader.read_line(&mut line).expect("a status line");
    let status = line
        .split(' ')
        .nth(1)
        .and_then(|s| s.parse().ok())
        .unwrap_or_else(|| panic!("no status in {line:?}"));
    let mut headers = Vec::new();
    loop {
        line.clear();
        reader.read_line(&mut line).expect("a header");
        match line.trim().split_once(':') {
            Some((name, value)) => headers.push((name.to_owned(), value.trim().to_owned())),
            None => break,
        }
    }
    let mut answer = Answer {
        status,
        headers,
        body: Vec::new(),
    };
    match answer.header("content-length").and_then(|l| l.parse().ok()) {
        Some(length) => {
            let mut body = vec![0; length];
            reader.read_exact(&mut body).expect("the whole body");
            answer.body = body;
        }
        None if answer.header("transfer-encoding") == Some("chunked") => {
            answer.body = chunks(&mut reader);
        }
        None => {
            let _ = reader.read_to_end(&mut answer.body);
        }
    }
    answer
}

fn chunks(reader: &mut impl BufRead) -> Vec<u8> {
    let mut whole = Vec::new();
    loop {
        let mut line = String::new();
        reader.read_line(&mut line).expect("a chunk's length");
        let length = usize::from_str_radix(line.trim(), 16).expect("a number");
        let mut chunk = vec![0; length + 2];
        reader.read_exact(&mut chunk).expect("a chunk");
        if length == 0 {
            return whole;
        }
        whole.extend_from_slice(&chunk[..length]);
    }
}

/// A field's value as a form sends it.
pub(crate) fn encoded(value: &str) -> String {
    let mut out = String::new();
    for byte in value.bytes() {
        if byte.is_ascii_alphanumeric() {
            out.push(char::from(byte));
        } else {
            out += &format!("%{byte:02X}");
        }
    }
    out
}

/// A part of a body: its field, its file name if it is a file, what is in it.
pub(crate) type Part<'a> = (&'a str, Option<&'a str>, &'a [u8]);

/// A multipart body with its content type.
pub(crate) fn multipart(parts: &[Part<'_>]) -> (String, Vec<u8>) {
    let mut body = Vec::new();
    for (key, file, bytes) in parts {
        let file = file.map_or(String::new(), |name| format!("; filename=\"{name}\""));
        body.extend(
            format!("--lapwing\r\ncontent-disposition: form-data; name=\"{key}\"{file}\r\n\r\n")
                .bytes(),
        );
        body.extend_from_slice(bytes);
        body.extend(b"\r\n");
    }
    body.extend(b"--lapwing--\r\n");
    ("multipart/form-data; boundary=lapwing".to_owned(), body)
}

/// A white pixel as PNG.
pub(crate) const PIXEL: [u8; 67] = *b"\x89PNG\r\n\x1a\n\0\0\0\x0dIHDR\0\0\0\x01\0\0\0\x01\x08\0\0\0\0\x3a\x7e\x9b\x55\0\0\0\x0aIDAT\x78\x9c\x63\xf8\x0f\0\x01\x01\x01\0\x1b\xb6\xee\x56\0\0\0\0IEND\xae\x42\x60\x82";

/// Pairs of a test spot as in `examples/trial.toml`: 2.8 to 3.5 µm off, 3.0 on
/// average.
pub(crate) const PAIRS: [(&str, &str); 6] = [
    ("118.2", "115.4"),
    ("121.5", "118.0"),
    ("119.8", "117.3"),
    ("124.1", "120.6"),
    ("117.6", "115.1"),
    ("120.3", "117.2"),
];

/// A spot on the bonnet with the first three pairs.
pub(crate) fn try_spot(server: &Server, job: &str) {
    server.post(&format!("{job}/trial"), "edit=setup-0001&deed=setup&panel=bonnet&machine=long+orbital&pad=cutting+foam&abrasive=medium+polish&speed_rpm=4500");
    for (i, (before, after)) in PAIRS.iter().take(3).enumerate() {
        server.post(
            &format!("{job}/trial"),
            &format!("edit=pair-0000{i}&deed=pair&before={before}&after={after}"),
        );
    }
}

/// Keeps a picture or a paper under `target/screenshots`, for people to look at.
pub(crate) fn keep(name: &str, bytes: &[u8]) {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("../screenshots");
    std::fs::create_dir_all(&folder).expect("a folder");
    std::fs::write(folder.join(name), bytes).expect("written");
}

/// A phone and a tablet.
pub(crate) const SIZES: [(u32, u32); 2] = [(390, 844), (1024, 768)];

/// Nothing is wider than the screen, every target is 48 px, nothing complains;
/// keeps a picture.
pub(crate) fn fits(browser: &browser::Browser, name: &str) {
    const MEASURE: &str = "
      const wide = document.documentElement.scrollWidth - (screen.width < 700 ? screen.width : innerWidth);
      const seen = (e) => e.getClientRects().length > 0 && !e.closest('p, td, small, .skip, .origins');
      const small = [...document.querySelectorAll('button, a, summary, select, input:not([type=hidden])')]
        .filter(seen).filter((e) => e.getBoundingClientRect().height < 47.5 && !e.matches('.line a'))
        .map((e) => e.outerHTML.slice(0, 90));
      return JSON.stringify({ wide, small });";
    browser.picture(name);
    let measured = browser.run(MEASURE);
    assert_eq!(
        measured.as_str(),
        Some("{\"wide\":0,\"small\":[]}"),
        "{name}"
    );
    assert_eq!(browser.complaints(), Vec::<String>::new(), "{name}");
}

/// Opens an empty job; its address.
pub(crate) fn opened(server: &Server) -> String {
    let answer = server.post(
        "/jobs",
        "edit=first-0001&saw=0&name=Grey+hatch&class=hatchback",
    );
    answer.header("location").expect("a job").to_owned()
}

/// Opens the example car as a job; its address.
pub(crate) fn example(server: &Server) -> String {
    let answer = server.post("/jobs/example", "edit=demo-00001&saw=0");
    answer.header("location").expect("a job").to_owned()
}

/// Cuts the page's network; a worker's falls with the server.
pub(crate) fn cut(browser: &browser::Browser, is_cut: bool) {
    browser.own("Network.enable", &serde_json::json!({}));
    browser.own(
        "Network.emulateNetworkConditions",
        &serde_json::json!({ "offline": is_cut, "latency": 0, "downloadThroughput": -1, "uploadThroughput": -1 }),
    );
}

/// Types a reading on the pad and takes it.
pub(crate) fn take(browser: &browser::Browser, um: &str) {
    for key in um.chars() {
        browser.press(&format!(".pad-keys [data-key='{key}']"));
    }
    browser.press(".reading-form .main-deed");
}
