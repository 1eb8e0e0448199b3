//! A browser driven over the W3C WebDriver protocol, without a library: a
//! dozen calls of JSON over HTTP.
//!
//! Source: W3C, WebDriver, sections 8 to 17; the vendor command for device
//! emulation is the driver's own.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use serde_json::{Value, json};

use super::{Answer, exchange};

/// A driver and one window.
pub(crate) struct Browser {
    driver: Child,
    host: String,
    session: String,
    /// Kept open: a driver that cannot speak dies.
    _output: BufReader<std::process::ChildStdout>,
}

impl Browser {
    /// Opens a window of a size; nothing when no browser is installed.
    pub(crate) fn open(width: u32, height: u32) -> Option<Self> {
        let started = Command::new("chromedriver")
            .arg("--port=0")
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn();
        let Ok(mut driver) = started else {
            let must = std::env::var("LAPWING_MUST_TEST").unwrap_or_default();
            assert!(
                !must.split(',').any(|word| word == "browser"),
                "the browser must be tested here, but chromedriver is not installed"
            );
            eprintln!("NOT RUN: chromedriver is not installed. ./check installs it.");
            return None;
        };
        let mut output = BufReader::new(driver.stdout.take().expect("its output"));
        let port = (&mut output)
            .lines()
            .map_while(Result::ok)
            .find_map(|line| {
                let (_, after) = line.split_once("successfully on port ")?;
                after.trim_end_matches('.').parse::<u16>().ok()
            });
        let host = format!("127.0.0.1:{}", port.expect("the driver tells its port"));
        let mut browser = Self {
            driver,
            host,
            session: String::new(),
            _output: output,
        };
        let arguments = [
            "--headless=new",
            "--no-sandbox",
            "--disable-dev-shm-usage",
            "--hide-scrollbars",
        ];
        let wishes = json!({ "capabilities": { "alwaysMatch": {
            "browserName": "chrome",
            "goog:loggingPrefs": { "browser": "ALL" },
            "goog:chromeOptions": { "args": arguments, "mobileEmulation": {
                "deviceMetrics": { "width": width, "height": height, "pixelRatio": 1, "mobile": width < 700 } } },
        } } });
        browser.session = browser.begin(&wishes);
        Some(browser)
    }

    fn call(&self, method: &str, path: &str, body: &Value) -> Value {
        let (status, answer) = self.ask(method, path, body);
        assert_eq!(status, 200, "{method} {path}: {answer}");
        answer["value"].clone()
    }

    fn ask(&self, method: &str, path: &str, body: &Value) -> (u16, Value) {
        let body = if method == "POST" {
            body.to_string()
        } else {
            String::new()
        };
        let head = format!(
            "{method} {path} HTTP/1.1\r\nhost: {}\r\nconnection: close\r\ncontent-type: application/json\r\ncontent-length: {}\r\n\r\n",
            self.host,
            body.len()
        );
        let Answer { status, body, .. } = exchange(&self.host, head.as_bytes(), body.as_bytes());
        let answer = serde_json::from_slice(&body).expect("the driver answers JSON");
        (status, answer)
    }

    /// Opens a window; a browser that does not start on a busy machine gets
    /// two more tries.
    fn begin(&self, wishes: &Value) -> String {
        for _ in 0..2 {
            let (status, answer) = self.ask("POST", "/session", wishes);
            if status == 200 {
                return answer["value"]["sessionId"]
                    .as_str()
                    .expect("a session")
                    .to_owned();
            }
            std::thread::sleep(Duration::from_secs(2));
        }
        let answer = self.call("POST", "/session", wishes);
        answer["sessionId"].as_str().expect("a session").to_owned()
    }

    fn here(&self, method: &str, path: &str, body: &Value) -> Value {
        self.call(method, &format!("/session/{}{path}", self.session), body)
    }

    pub(crate) fn go(&self, address: &str) {
        self.here("POST", "/url", &json!({ "url": address }));
    }

    /// Runs a script in the page and gives what it returns.
    pub(crate) fn run(&self, script: &str) -> Value {
        self.here(
            "POST",
            "/execute/sync",
            &json!({ "script": script, "args": [] }),
        )
    }

    /// Runs a script that says later what it returns, to its last argument.
    pub(crate) fn run_later(&self, script: &str) -> Value {
        self.here(
            "POST",
            "/execute/async",
            &json!({ "script": script, "args": [] }),
        )
    }

    /// Waits until a script returns true.
    pub(crate) fn wait_for(&self, what: &str, script: &str) {
        let since = Instant::now();
        while self.run(script) != Value::Bool(true) {
            assert!(
                since.elapsed() < Duration::from_secs(30),
                "waited in vain: {what}"
            );
            std::thread::sleep(Duration::from_millis(40));
        }
    }

    fn find(&self, selector: &str) -> String {
        let found = self.here(
            "POST",
            "/element",
            &json!({ "using": "css selector", "value": selector }),
        );
        let id = found
            .as_object()
            .and_then(|o| o.values().next())
            .and_then(Value::as_str);
        id.expect("an element").to_owned()
    }

    /// Presses at the middle of an element, as a finger would.
    pub(crate) fn press(&self, selector: &str) {
        let id = self.find(selector);
        self.here("POST", &format!("/element/{id}/click"), &json!({}));
    }

    /// Presses twice, faster than the page can answer.
    pub(crate) fn press_twice(&self, selector: &str) {
        self.run(&format!(
            "const it = document.querySelector({}); it.click(); it.click();",
            json!(selector)
        ));
    }

    /// Types into a field what stands there from then on; of a field for
    /// files, the path of one.
    pub(crate) fn type_in(&self, selector: &str, text: &str) {
        let id = self.find(selector);
        if !text.starts_with('/') {
            self.here("POST", &format!("/element/{id}/clear"), &json!({}));
        }
        self.here(
            "POST",
            &format!("/element/{id}/value"),
            &json!({ "text": text }),
        );
    }

    /// Presses a key while an element has the focus.
    pub(crate) fn key(&self, selector: &str, key: char) {
        let id = self.find(selector);
        self.here(
            "POST",
            &format!("/element/{id}/value"),
            &json!({ "text": key.to_string() }),
        );
    }

    /// Touches an element at a share of its width and height.
    pub(crate) fn touch(&self, selector: &str, (across, down): (f64, f64)) {
        let place = self.run(&format!(
            "const it = document.querySelector({}); it.scrollIntoView({{ block: 'center' }}); const r = it.getBoundingClientRect(); return [r.left + r.width * {across}, r.top + r.height * {down}];",
            json!(selector)
        ));
        for kind in ["mousePressed", "mouseReleased"] {
            self.own(
                "Input.dispatchMouseEvent",
                &json!({ "type": kind, "x": place[0], "y": place[1], "button": "left", "clickCount": 1 }),
            );
        }
    }

    /// A command of the browser's own protocol.
    pub(crate) fn own(&self, command: &str, parameters: &Value) -> Value {
        self.here(
            "POST",
            "/goog/cdp/execute",
            &json!({ "cmd": command, "params": parameters }),
        )
    }

    /// Errors the page wrote to its console, policy violations among them.
    pub(crate) fn complaints(&self) -> Vec<String> {
        let log = self.here("POST", "/se/log", &json!({ "type": "browser" }));
        let entries = log.as_array().cloned().unwrap_or_default();
        let severe = entries.iter().filter(|e| e["level"] == "SEVERE");
        severe.map(|e| e["message"].to_string()).collect()
    }

    /// Keeps a picture of the window under `target/screenshots`.
    pub(crate) fn picture(&self, name: &str) {
        let whole = self.own(
            "Page.captureScreenshot",
            &json!({ "captureBeyondViewport": true, "format": "png" }),
        );
        let bytes = from_base64(whole["data"].as_str().expect("a picture"));
        assert!(bytes.starts_with(b"\x89PNG"), "not a picture");
        super::keep(&format!("{name}.png"), &bytes);
    }

    /// Keeps the page as it is printed under `target/screenshots`; how many bytes.
    pub(crate) fn print(&self, name: &str) -> usize {
        let a4 = json!({ "background": true, "shrinkToFit": false, "page": { "width": 21.0, "height": 29.7 },
            "margin": { "top": 1.4, "bottom": 1.4, "left": 1.4, "right": 1.4 } });
        let printed = self.here("POST", "/print", &a4);
        let bytes = from_base64(printed.as_str().expect("a paper"));
        assert!(bytes.starts_with(b"%PDF"), "no paper");
        super::keep(&format!("{name}.pdf"), &bytes);
        bytes.len()
    }
}

/// Draws a photo of 12 megapixels on `canvas`, with so many scratches; grain as
/// a camera's.
pub(crate) fn drawn_photo(lines: u32) -> String {
    DRAW_PHOTO.replace("LINES", &lines.to_string())
}

const DRAW_PHOTO: &str = "
  const canvas = document.createElement('canvas'); canvas.width = 4000; canvas.height = 3000;
  const pen = canvas.getContext('2d');
  const glow = pen.createRadialGradient(2000, 1400, 60, 2000, 1400, 1900);
  glow.addColorStop(0, '#e8eef4'); glow.addColorStop(0.25, '#31567c'); glow.addColorStop(1, '#0b1d33');
  pen.fillStyle = glow; pen.fillRect(0, 0, 4000, 3000);
  let seed = 7; const next = () => (seed = (seed * 16807) % 2147483647) / 2147483647;
  pen.lineWidth = 3; pen.strokeStyle = 'rgba(235,240,248,0.65)';
  for (let i = 0; i < LINES; i++) { const a = next() * 6.283, r = 120 + next() * 1500; pen.beginPath(); pen.arc(2000, 1400, r, a, a + 0.05 + next() * 0.22); pen.stroke(); }
  const grain = pen.getImageData(0, 0, 4000, 3000);
  for (let i = 0; i < grain.data.length; i += 4) { const g = (next() - 0.5) * 22; grain.data[i] += g; grain.data[i + 1] += g; grain.data[i + 2] += g; }
  pen.putImageData(grain, 0, 0);
";

impl Drop for Browser {
    fn drop(&mut self) {
        // Also after a failed test the window is closed, or it would stay.
        if let Ok(mut stream) = TcpStream::connect(&self.host) {
            let head = format!(
                "DELETE /session/{} HTTP/1.1\r\nhost: {}\r\nconnection: close\r\n\r\n",
                self.session, self.host
            );
            let _ = stream.set_read_timeout(Some(Duration::from_secs(10)));
            let _ = stream.write_all(head.as_bytes());
            let _ = stream.read(&mut [0; 64]);
        }
        let _ = self.driver.kill();
        let _ = self.driver.wait();
    }
}

/// Base64 as in RFC 4648, section 4.
pub(crate) fn from_base64(text: &str) -> Vec<u8> {
    const SIGNS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut bytes = Vec::with_capacity(text.len() * 3 / 4);
    let (mut held, mut bits) = (0_u32, 0);
    for sign in text.bytes() {
        let Some(value) = SIGNS.iter().position(|s| *s == sign) else {
            continue;
        };
        held = (held << 6) | u32::try_from(value).unwrap_or(0);
        bits += 6;
        if bits >= 8 {
            bits -= 8;
            bytes.push(u8::try_from((held >> bits) & 0xff).unwrap_or(0));
        }
    }
    bytes
}
