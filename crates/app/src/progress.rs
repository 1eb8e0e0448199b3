//! A thin progress bar on standard error for anything over a second.
//!
//! It appears only on a terminal and only after one second, and is gone when
//! the work is done.

use std::io::IsTerminal;
use std::sync::Mutex;
use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use lapwing_store::{Pace, Part};

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

/// How far a long copy is, in rows, photos and bytes.
pub(crate) struct Copying {
    bar: ProgressBar,
    what: [&'static str; 3],
    drawn: Mutex<(Option<Part>, Instant)>,
}

impl Copying {
    /// Names what is gone through: rows, photos, and what is looked through.
    pub(crate) fn new(what: [&'static str; 3]) -> Self {
        let target = if std::io::stderr().is_terminal() {
            ProgressDrawTarget::stderr()
        } else {
            ProgressDrawTarget::hidden()
        };
        let bar = ProgressBar::with_draw_target(Some(0), target);
        if let Ok(style) = ProgressStyle::with_template("{prefix} {bar:30} {percent:>3} %, {msg}") {
            bar.set_style(style);
        }
        Self {
            bar,
            what,
            drawn: Mutex::new((None, Instant::now())),
        }
    }

    /// Takes how far it is. Drawn at the first and last step of a part and ten
    /// times a second.
    pub(crate) fn at(&self, pace: Pace) {
        let Ok(mut drawn) = self.drawn.lock() else {
            return;
        };
        let is_new = drawn.0 != Some(pace.part);
        let is_due = drawn.1.elapsed() > Duration::from_millis(100);
        if !is_new && !is_due && pace.done < pace.of {
            return;
        }
        *drawn = (Some(pace.part), Instant::now());
        let [rows, photos, looking] = self.what;
        self.bar.set_prefix(match pace.part {
            Part::Rows => rows,
            Part::Photos => photos,
            Part::Looking => looking,
        });
        self.bar.set_message(count(pace));
        // Photos differ in size: their bytes tell better how far it is.
        let (done, of) = if pace.part == Part::Photos && pace.of_bytes > 0 {
            (pace.bytes, pace.of_bytes)
        } else {
            (pace.done, pace.of)
        };
        self.bar.set_length(of);
        self.bar.set_position(done);
    }

    pub(crate) fn done(&self) {
        self.bar.finish_and_clear();
    }
}

fn count(pace: Pace) -> String {
    let mb = |bytes: u64| format!("{:.1}", bytes as f64 / 1e6);
    let Pace { done, of, .. } = pace;
    match pace.part {
        Part::Rows => format!("{done} of {of} rows"),
        Part::Photos => format!(
            "{done} of {of} photos, {} of {} MB",
            mb(pace.bytes),
            mb(pace.of_bytes)
        ),
        Part::Looking => format!("{done} of {of} jobs and photos"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_copy_says_how_many_files_and_bytes_are_done_of_how_many() {
        let pace = Pace {
            part: Part::Photos,
            done: 12,
            of: 340,
            bytes: 34_140_000,
            of_bytes: 980_000_000,
        };
        assert_eq!(count(pace), "12 of 340 photos, 34.1 of 980.0 MB");
        let rows = Pace {
            part: Part::Rows,
            ..pace
        };
        assert_eq!(count(rows), "12 of 340 rows");
    }
}
