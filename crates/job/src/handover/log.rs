//! What the shop noted while it worked: `work.toml` beside the job.
//!
//! ```toml
//! schema = 1
//! date = "27 November 2026"
//! minutes = 540                  # in all; left out: the sum of the panels
//! coated = true
//! [[done]]
//! panel = "bonnet"
//! step = 1                       # of the plan's recipe; left out: every step
//! sections = 9                   # left out: all of them
//! minutes = 64
//! [[mark]]
//! panel = "left front door"
//! kind = "scratch"
//! extent = "a hand wide"
//! note = "from a key"
//! [[remains]]
//! panel = "tailgate"
//! what = "two stone chips"
//! why = "the paint is through; touch up, do not polish"
//! [[picture]]
//! file = "bonnet-before.jpg"     # in the folder photos
//! says = "Bonnet before, lamp at 30 degrees"
//! ```
//!
//! Holds: for schema 1. Outside: refused with line and column.
//! Left out: who did it and when each section began; the app's history has it.
//! Checked by: the tests below.

use schemars::JsonSchema;
use serde::Deserialize;
use toml::Spanned;

use super::record::{Mark, Remaining};
use crate::record::InputError;
use crate::record::file_kind::FileKind;
use crate::record::panel_names::name_of;
use crate::record::read::field::{Reader, listed, suggestion};
use crate::record::toml_fault::toml_fault;
use crate::record::written::{Number, Text};

/// What was noted.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Log {
    /// The day of the hand-over, as written; the job's when left out.
    pub date: Option<String>,
    /// Minutes in all.
    pub minutes: Option<f64>,
    /// Whether a coating was laid.
    pub is_coated: bool,
    /// Sections done.
    pub done: Vec<Done>,
    /// What the walk round found.
    pub marks: Vec<Mark>,
    /// What remains beside what the plan says.
    pub remains: Vec<Remaining>,
    /// What photographs show, by file name.
    pub captions: Vec<(String, String)>,
}

/// Sections of a panel that were done.
#[derive(Clone, Debug, PartialEq)]
pub struct Done {
    /// Our name of the panel.
    pub panel: String,
    /// Which step of the recipe, from 1; none: every step.
    pub step: Option<usize>,
    /// How many sections; none: all of them.
    pub sections: Option<u32>,
    /// Minutes.
    pub minutes: Option<f64>,
}

/// What was noted while working: `work.toml`.
#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct WrittenLog {
    /// Always 1.
    schema: Number,
    /// The day of the hand-over, as people write it; left out, the job's.
    date: Option<Text>,
    /// Minutes in all; left out, the sum of the panels.
    minutes: Option<Number>,
    /// Whether a coating was laid.
    coated: Option<bool>,
    /// One for each panel, or step of it, that was worked.
    #[serde(default)]
    done: Vec<WrittenDone>,
    /// What the walk round found.
    #[serde(default)]
    mark: Vec<WrittenMark>,
    /// What stays beside what the plan says.
    #[serde(default)]
    remains: Vec<WrittenRemains>,
    /// What photographs of the folder photos show.
    #[serde(default)]
    picture: Vec<WrittenPicture>,
}

/// Work on a panel.
#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct WrittenDone {
    /// A panel of the job.
    panel: Text,
    /// Which step of the plan's recipe, from 1; left out, every step.
    #[schemars(with = "Option<i64>")]
    step: Option<Spanned<i64>>,
    /// How many sections; left out, all of them.
    #[schemars(with = "Option<i64>")]
    sections: Option<Spanned<i64>>,
    /// Minutes it took.
    minutes: Option<Number>,
}

/// Something found on a panel.
#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct WrittenMark {
    /// A panel of the job.
    panel: Text,
    /// What it is, such as "scratch".
    kind: Text,
    /// How far, such as "a hand wide".
    extent: Option<Text>,
    /// Anything more.
    note: Option<Text>,
}

/// Something that stays.
#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct WrittenRemains {
    /// A panel of the job; left out, the whole car.
    panel: Option<Text>,
    /// What stays.
    what: Text,
    /// Why.
    why: Option<Text>,
}

/// A photograph.
#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct WrittenPicture {
    /// Its file in the folder photos.
    file: Text,
    /// What it shows.
    says: Text,
}

/// JSON Schema of `work.toml`.
#[must_use]
pub fn schema() -> serde_json::Value {
    schemars::schema_for!(WrittenLog).to_value()
}

/// Longest text of one line.
const MOST_LETTERS: usize = 400;
/// Most minutes of a visit: a month day and night.
const MOST_MINUTES: f64 = 44_640.0;

/// Reads `work.toml`; `panels` are our names of the job's panels.
///
/// # Errors
/// One sentence with line and column.
pub fn read_log(file: &str, text: &str, panels: &[String]) -> Result<Log, InputError> {
    let hint = "A work log has \"schema = 1\" and any number of [[done]], [[mark]], [[remains]] and [[picture]].";
    let written: WrittenLog =
        toml::from_str(text).map_err(|e| toml_fault((file, text), &e, FileKind::Log, hint))?;
    let reader = Reader { file, text };
    if *written.schema.0.get_ref() != 1.0 {
        return Err(reader.fault(
            &written.schema.0,
            "this work log names a schema other than 1, the only one understood; write \"schema = 1\".",
        ));
    }
    let log = Desk { reader, panels };
    Ok(Log {
        date: log.maybe(written.date.as_ref())?,
        minutes: log.minutes(written.minutes.as_ref())?,
        is_coated: written.coated.unwrap_or(false),
        done: written
            .done
            .iter()
            .map(|d| log.done(d))
            .collect::<Result<_, _>>()?,
        marks: written
            .mark
            .iter()
            .map(|m| log.mark(m))
            .collect::<Result<_, _>>()?,
        remains: written
            .remains
            .iter()
            .map(|r| log.remaining(r))
            .collect::<Result<_, _>>()?,
        captions: written
            .picture
            .iter()
            .map(|p| Ok((log.line(&p.file)?, log.line(&p.says)?)))
            .collect::<Result<_, InputError>>()?,
    })
}

struct Desk<'a> {
    reader: Reader<'a>,
    panels: &'a [String],
}

impl Desk<'_> {
    fn done(&self, written: &WrittenDone) -> Result<Done, InputError> {
        Ok(Done {
            panel: self.panel(&written.panel)?,
            step: self
                .count(written.step.as_ref(), "step", (1, 9))?
                .and_then(|n| usize::try_from(n).ok()),
            sections: self.count(written.sections.as_ref(), "sections", (0, 10_000))?,
            minutes: self.minutes(written.minutes.as_ref())?,
        })
    }

    fn mark(&self, written: &WrittenMark) -> Result<Mark, InputError> {
        Ok(Mark {
            panel: self.panel(&written.panel)?,
            kind: self.line(&written.kind)?,
            extent: self.maybe(written.extent.as_ref())?.unwrap_or_default(),
            note: self.maybe(written.note.as_ref())?.unwrap_or_default(),
        })
    }

    fn remaining(&self, written: &WrittenRemains) -> Result<Remaining, InputError> {
        let panel = written.panel.as_ref().map(|p| self.panel(p)).transpose()?;
        Ok(Remaining {
            panel: panel.unwrap_or_else(|| "car".to_owned()),
            what: self.line(&written.what)?,
            why: self.maybe(written.why.as_ref())?.unwrap_or_default(),
        })
    }

    fn panel(&self, text: &Text) -> Result<String, InputError> {
        let wanted = name_of(text.0.get_ref());
        if self.panels.contains(&wanted) {
            return Ok(wanted);
        }
        let known: Vec<&str> = self.panels.iter().map(String::as_str).collect();
        Err(self.reader.fault(
            &text.0,
            format!(
                "the job has no panel \"{}\"{} Known: {}.",
                text.0.get_ref(),
                suggestion(&wanted, &known),
                listed(&known)
            ),
        ))
    }

    fn line(&self, text: &Text) -> Result<String, InputError> {
        let came = text.0.get_ref();
        if came.chars().count() > MOST_LETTERS || came.chars().any(char::is_control) {
            return Err(self.reader.fault(
                &text.0,
                format!("this text is longer than {MOST_LETTERS} signs or holds a line break. Say it in one line."),
            ));
        }
        Ok(came.clone())
    }

    fn maybe(&self, text: Option<&Text>) -> Result<Option<String>, InputError> {
        text.map(|t| self.line(t)).transpose()
    }

    fn minutes(&self, number: Option<&Number>) -> Result<Option<f64>, InputError> {
        number
            .map(|n| self.reader.number_within(n, "minutes", (0.0, MOST_MINUTES)))
            .transpose()
    }

    fn count(
        &self,
        number: Option<&Spanned<i64>>,
        key: &str,
        (least, most): (i64, i64),
    ) -> Result<Option<u32>, InputError> {
        let Some(number) = number else {
            return Ok(None);
        };
        let came = *number.get_ref();
        if !(least..=most).contains(&came) {
            return Err(self.reader.fault(
                number,
                format!("{key} is {came}; allowed is {least} to {most}."),
            ));
        }
        Ok(u32::try_from(came).ok())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const GOOD: &str = "schema = 1\nminutes = 90\n[[done]]\npanel = \"hood\"\nsections = 3\n[[mark]]\npanel = \"bonnet\"\nkind = \"chip\"\n[[remains]]\nwhat = \"a dent\"\n[[picture]]\nfile = \"a.jpg\"\nsays = \"before\"\n";

    fn panels() -> Vec<String> {
        vec!["bonnet".to_owned(), "roof".to_owned()]
    }

    #[test]
    fn a_log_is_understood() {
        let log = read_log("work.toml", GOOD, &panels()).expect("a log");
        assert_eq!(log.done[0].panel, "bonnet");
        assert_eq!((log.done[0].step, log.done[0].sections), (None, Some(3)));
        assert_eq!(log.remains[0].panel, "car");
        assert_eq!(log.minutes, Some(90.0));
    }

    #[test]
    fn refuses_what_it_does_not_understand_with_its_place() {
        for (came, instead, says) in [
            ("schema = 1", "schema = 3", "schema other than 1"),
            ("\"hood\"", "\"bonet\"", "did you mean \"bonnet\"?"),
            ("sections = 3", "sections = -1", "0 to 10000"),
            ("sections = 3", "sections = 3.5", "line 5"),
            ("minutes = 90", "minutes = nan", "minutes is NaN"),
            ("a dent", "a\\ndent", "line break"),
            ("says", "sayz", "sayz"),
        ] {
            let text = GOOD.replace(came, instead);
            let error = read_log("work.toml", &text, &panels()).expect_err(came);
            assert!(error.line.is_some(), "{error}");
            assert!(error.to_string().contains(says), "{error}");
        }
    }
}
