//! A thin progress bar on standard error for anything over a second.
//!
//! It appears only on a terminal and only after one second, and is gone when
//! the work is done.

use std::io::IsTerminal;
use std::sync::Mutex;
use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

/// Progress of one long piece of work.
pub(crate) struct Progress {
    bar: ProgressBar,
    since: Instant,
    is_shown: Mutex<bool>,
}

impl Progress {
    pub(crate) fn new(what: &str) -> Self {
        let bar = ProgressBar::with_draw_target(Some(100), ProgressDrawTarget::hidden());
        if let Ok(style) = ProgressStyle::with_template("{msg} {bar:40} {percent} %") {
            bar.set_style(style);
        }
        bar.set_message(what.to_owned());
        Self {
            bar,
            since: Instant::now(),
            is_shown: Mutex::new(false),
        }
    }

    /// Takes the share done, 0 to 1.
    pub(crate) fn at(&self, done_frac: f64) {
        if self.since.elapsed() < Duration::from_secs(1) || !std::io::stderr().is_terminal() {
            return;
        }
        if let Ok(mut is_shown) = self.is_shown.lock()
            && !*is_shown
        {
            self.bar.set_draw_target(ProgressDrawTarget::stderr());
            *is_shown = true;
        }
        self.bar.set_position((done_frac * 100.0) as u64);
    }

    pub(crate) fn done(&self) {
        self.bar.finish_and_clear();
    }
}

/// A sign of life for work whose length is not known.
pub(crate) struct Waiting {
    bar: ProgressBar,
}

impl Waiting {
    pub(crate) fn new(what: &str) -> Self {
        let bar = ProgressBar::with_draw_target(None, ProgressDrawTarget::stderr());
        if let Ok(style) = ProgressStyle::with_template("{spinner} {msg}, {elapsed}") {
            bar.set_style(style);
        }
        bar.set_message(what.to_owned());
        if std::io::stderr().is_terminal() {
            bar.enable_steady_tick(Duration::from_millis(200));
        } else {
            bar.set_draw_target(ProgressDrawTarget::hidden());
        }
        Self { bar }
    }

    pub(crate) fn done(&self) {
        self.bar.finish_and_clear();
    }
}
