//! One job as its user lives it: every step presses what a person presses.

#![allow(
    clippy::disallowed_methods,
    reason = "the tests measure time and keep files to upload"
)]

pub(crate) mod first_half;
pub(crate) mod second_half;

use std::path::PathBuf;
use std::time::Duration;

use crate::bay::browser::{Browser, drawn_photo, from_base64};
use crate::bay::shop::PASSWORD;
use crate::bay::{self, Server};

/// Someone at one screen.
pub(crate) struct Person {
    pub(crate) server: Server,
    pub(crate) browser: Browser,
    /// The job's address, once there is one.
    pub(crate) job: String,
    width: u32,
    files: tempfile::TempDir,
}

impl Person {
    /// A new shop, its owner in front of a screen; nothing without a browser.
    pub(crate) fn new((width, height): (u32, u32), language: &str, theme: &str) -> Option<Self> {
        let browser = Browser::open(width, height)?;
        let person = Self {
            server: Server::start(),
            browser,
            job: String::new(),
            width,
            files: tempfile::tempdir().expect("a folder"),
        };
        person.open("/first");
        for (field, text) in [
            ("shop", "North bay"),
            ("name", "Mika Example"),
            ("login", "mika"),
            ("password", PASSWORD),
        ] {
            person
                .browser
                .type_in(&format!("main [name={field}]"), text);
        }
        person.go(
            "main button.main-deed",
            "paired or not",
            "return location.pathname !== '/first'",
        );
        person.choose(language, theme);
        Some(person)
    }

    /// Language and colours, by the menu.
    fn choose(&self, language: &str, theme: &str) {
        self.open("/");
        self.browser.press(".menu summary");
        for (name, word) in [("language", language), ("theme", theme)] {
            self.browser
                .press(&format!(".choices [name={name}] option[value={word}]"));
        }
        self.go(
            ".choices button",
            "the page as chosen",
            &format!(
                "const d = document.documentElement; return d.lang === '{language}' && d.dataset.theme === '{theme}'"
            ),
        );
    }

    pub(crate) fn open(&self, path: &str) {
        self.browser
            .go(&format!("http://{}{path}", self.server.host));
        self.browser
            .wait_for(path, "return document.readyState === 'complete'");
    }

    /// Presses and waits for what must follow.
    pub(crate) fn go(&self, selector: &str, what: &str, script: &str) {
        self.browser.press(selector);
        self.follow(what, script);
    }

    /// Waits for what must follow, the page complete.
    pub(crate) fn follow(&self, what: &str, script: &str) {
        let script = format!("if (document.readyState !== 'complete') return false; {script}");
        self.browser.wait_for(what, &script);
    }

    /// Waits until nothing on the page is being worked out or sent.
    pub(crate) fn settle(&self) {
        self.follow(
            "the page to settle",
            "return !document.querySelector('.stale, .working') && (document.documentElement.dataset.waiting ?? '0') === '0'",
        );
    }

    /// Looks at the page: it fits, complains of nothing, and is kept as a picture.
    pub(crate) fn look(&self, name: &str) {
        self.settle();
        bay::fits(&self.browser, &format!("whole-{name}-{}", self.width));
    }

    /// Follows a link of the page into a room of the job.
    pub(crate) fn enter(&self, room: &str) {
        let to = format!("{}{room}", self.job);
        self.browser.run(
            "for (const d of document.querySelectorAll('details.menu[open]')) d.open = false;",
        );
        self.go(
            &format!("nav a[href='{to}']"),
            &to,
            &format!("return location.pathname === '{to}'"),
        );
        self.settle();
    }

    pub(crate) fn is_phone(&self) -> bool {
        self.width < 700
    }

    /// The half of the flat car that this screen shows.
    pub(crate) fn car(&self) -> &'static str {
        if self.is_phone() {
            ".upright"
        } else {
            ".lying"
        }
    }

    pub(crate) fn number(&self, script: &str) -> f64 {
        let told = self.browser.run(script);
        told.as_f64().unwrap_or_else(|| panic!("{script}: {told}"))
    }

    pub(crate) fn text(&self, selector: &str) -> String {
        let script = format!("return document.querySelector({selector:?})?.textContent ?? ''");
        let told = self.browser.run(&script);
        told.as_str().unwrap_or_default().to_owned()
    }

    /// The session ends as if its time had run out.
    pub(crate) fn lose_session(&self) {
        self.browser
            .own("Network.clearBrowserCookies", &serde_json::json!({}));
    }

    /// What the console says of a session that ended is no fault of the page.
    pub(crate) fn forgive_the_end(&self) {
        for complaint in self.browser.complaints() {
            assert!(complaint.contains("401"), "{complaint}");
        }
    }

    /// Signs in where the page asks for it.
    pub(crate) fn sign_in(&self, what: &str, then: &str) {
        self.follow("the way in", "return location.pathname === '/sign-in'");
        self.browser.type_in("main [name=login]", "mika");
        self.browser.type_in("main [name=password]", PASSWORD);
        self.go("main .main-deed", what, then);
    }

    /// Two taps of a shaking finger in work mode are kept apart by so much.
    pub(crate) fn breathe(&self) {
        self.settle();
        std::thread::sleep(Duration::from_millis(560));
    }

    /// A photo of 12 megapixels as a camera makes it, as a file to choose.
    pub(crate) fn photo(&self, name: &str, lines: u32) -> PathBuf {
        let made = self.browser.run_later(&format!(
            "const done = arguments[arguments.length - 1];{}{READ_BACK}",
            drawn_photo(lines)
        ));
        let bytes = from_base64(made.as_str().expect("a photo"));
        assert!(bytes.len() > 1_500_000, "{} bytes", bytes.len());
        self.file(name, &bytes)
    }

    pub(crate) fn file(&self, name: &str, bytes: &[u8]) -> PathBuf {
        let path = self.files.path().join(name);
        std::fs::write(&path, bytes).expect("written");
        path
    }
}

/// The canvas as the text of a JPEG.
const READ_BACK: &str = "canvas.toBlob((blob) => { const reader = new FileReader(); reader.onload = () => done(reader.result.split(',')[1]); reader.readAsDataURL(blob); }, 'image/jpeg', 0.9);";
