//! Which kind of file a text looks like, so that a command that was given the
//! wrong one can say which command takes it.
//!
//! Law: none; the names of the tables of a TOML text, and the first line of any.
//! Holds: for the files this program reads and writes. A text that looks like
//! several kinds, or like none, is not named.
//! Checked by: the tests below.

use std::collections::BTreeSet;

/// A kind of file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FileKind {
    /// `job.toml`.
    Job,
    /// A test spot.
    Trial,
    /// A bench setup.
    Setup,
    /// A working day.
    Day,
    /// `work.toml`.
    Log,
    /// What a shop's trials taught, `history.toml`.
    History,
    /// A table of readings.
    Readings,
    /// A signed record.
    Record,
}

impl FileKind {
    /// What it is, by what it is known, and what takes it.
    const WORDS: [(Self, &'static str, &'static str, &'static str); 8] = [
        (
            Self::Job,
            "a job",
            "it has [car] and [[panel]]",
            "`lapwing plan DIR`, with the folder it lies in, takes it",
        ),
        (
            Self::Trial,
            "a test spot",
            "it has [gauge] and [setup]",
            "`lapwing trial` takes it",
        ),
        (
            Self::Setup,
            "a bench setup",
            "it has [machine] and [stroke]",
            "`lapwing bench` takes it",
        ),
        (
            Self::Day,
            "a working day",
            "it has [[use]]",
            "`lapwing exposure` takes it",
        ),
        (
            Self::Log,
            "a work log",
            "it has [[done]]",
            "it lies as work.toml in a job folder, and `lapwing handover DIR` takes that",
        ),
        (
            Self::History,
            "a shop's history of trials",
            "it has [[trial]] alone",
            "a job names it under [calibration], a trial under [shop]",
        ),
        (
            Self::Readings,
            "a table of readings",
            "its first line names columns",
            "`lapwing film` takes it; in a job folder it is readings.csv",
        ),
        (
            Self::Record,
            "a signed record",
            "it has a seal",
            "`lapwing verify-record` takes it",
        ),
    ];

    /// What a text looks like; nothing where that is not clear.
    #[must_use]
    pub fn of(text: &str) -> Option<Self> {
        let text = text.trim_start_matches('\u{feff}').trim_start();
        if text.starts_with('{') {
            let is_record = text.contains("\"paint-record\"") && text.contains("\"signature\"");
            return is_record.then_some(Self::Record);
        }
        let first = text.lines().next().unwrap_or_default().to_lowercase();
        let is_columns = first.contains("panel") && first.contains("thickness");
        if is_columns && !first.contains(['=', '[']) {
            return Some(Self::Readings);
        }
        let tables = tables(text);
        let has = |names: &[&str]| names.iter().all(|name| tables.contains(*name));
        let mut kinds = Vec::new();
        if has(&["[car]", "[[panel]]"]) {
            kinds.push(Self::Job);
        }
        if has(&["[gauge]", "[setup]"]) || has(&["[setup]", "[[reading]]"]) {
            kinds.push(Self::Trial);
        }
        if has(&["[machine]", "[stroke]"]) {
            kinds.push(Self::Setup);
        }
        if has(&["[[use]]"]) {
            kinds.push(Self::Day);
        }
        if has(&["[[done]]"]) {
            kinds.push(Self::Log);
        }
        if tables.len() == 1 && has(&["[[trial]]"]) {
            kinds.push(Self::History);
        }
        match kinds[..] {
            [only] => Some(only),
            _ => None,
        }
    }

    /// "this looks like a job (it has `[car]` and `[[panel]]`); `lapwing plan DIR` …".
    #[must_use]
    pub fn instead(self) -> String {
        let found = Self::WORDS.iter().find(|(kind, ..)| *kind == self);
        let (_, what, sign, taker) = found.copied().unwrap_or(Self::WORDS[0]);
        format!("this looks like {what} ({sign}); {taker}.")
    }

    /// The sentence for a text that is of another kind than this.
    #[must_use]
    pub fn other(self, text: &str) -> Option<String> {
        let came = Self::of(text).filter(|came| *came != self)?;
        Some(came.instead())
    }
}

/// The tables of a TOML text by their outermost name, as they are written.
fn tables(text: &str) -> BTreeSet<String> {
    let name = |line: &str| {
        let line = line.trim();
        let (open, close) = if line.starts_with("[[") {
            ("[[", "]]")
        } else {
            ("[", "]")
        };
        let inner = line.strip_prefix(open)?.split(close).next()?.trim();
        let (outer, is_nested) = inner
            .split_once('.')
            .map_or((inner, false), |(outer, _)| (outer, true));
        let is_plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '_' | '-');
        let is_name = !outer.is_empty() && outer.chars().all(is_plain);
        is_name.then(|| {
            if is_nested {
                format!("[{outer}]")
            } else {
                format!("{open}{outer}{close}")
            }
        })
    };
    text.lines().filter_map(name).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_kind_of_file_is_known_by_its_tables() {
        for (text, kind) in [
            (
                "schema = 1\n[car]\nclass = \"estate\"\n[[panel]]\nname = \"roof\"\n[[kit.pad]]\n",
                FileKind::Job,
            ),
            (
                "[gauge]\nrepeatability = \"1 um\"\n[setup]\npasses = 4\n[[reading]]\n",
                FileKind::Trial,
            ),
            (
                "# A pass\n[panel]\n[machine]\n[pad]\n[stroke]\n",
                FileKind::Setup,
            ),
            (
                "rule = \"cautious\"\n[[use]]\nwhat = \"x\"\n",
                FileKind::Day,
            ),
            (
                "schema = 1\n[[done]]\npanel = \"bonnet\"\n[[mark]]\n",
                FileKind::Log,
            ),
            ("[[trial]]\npad = \"foam-cutting\"\n", FileKind::History),
            ("\u{feff}panel;thickness_um\nroof;112\n", FileKind::Readings),
            (
                "{\"record\":{\"kind\":\"paint-record\"},\"signature\":\"00\"}",
                FileKind::Record,
            ),
        ] {
            assert_eq!(FileKind::of(text), Some(kind), "{text}");
        }
    }

    #[test]
    fn a_text_of_no_kind_or_of_several_is_not_named() {
        for text in [
            "",
            "hello",
            "[panel]\n",
            "{}",
            "[[use]]\n[[done]]\n",
            "[",
            "[[\n[]\n",
        ] {
            assert_eq!(FileKind::of(text), None, "{text}");
        }
    }

    #[test]
    fn the_right_kind_is_not_told_off() {
        let job = "[car]\n[[panel]]\n";
        assert_eq!(FileKind::Job.other(job), None);
        assert_eq!(
            FileKind::Trial.other(job).expect("another kind"),
            "this looks like a job (it has [car] and [[panel]]); `lapwing plan DIR`, with the folder it lies in, takes it."
        );
    }
}
