//! The fields of a form, from the address or from the body.
//!
//! Holds: for what a browser sends and for anything else; a field that cannot
//! be used is refused with its name, what came and what is allowed.
//! Checked by: the tests below and `tests/web_pages.rs`.

use axum::extract::{FromRequest, Request};
use axum::http::{Method, StatusCode};

use super::numbers::{Measure, typed};
use super::refusal::Refusal;
use super::visitor::Visitor;
use super::words::{Message, frame};

/// Most fields of a form.
const MOST_FIELDS: usize = 400;

/// The fields in the order they came.
#[derive(Clone, Debug, Default)]
pub(crate) struct Fields {
    pairs: Vec<(String, String)>,
}

/// A field that holds a number.
#[derive(Clone, Copy)]
pub(crate) struct NumberField {
    /// Its name in the form.
    pub(crate) key: &'static str,
    /// Its name for people.
    pub(crate) label: Message,
    /// What it measures.
    pub(crate) measure: Measure,
    /// Least and most, in the metric unit.
    pub(crate) range: (f64, f64),
}

impl Fields {
    /// From "a=1&b=2".
    pub(crate) fn parse(raw: &[u8], visitor: &Visitor) -> Result<Self, Refusal> {
        let pairs: Vec<(String, String)> = form_urlencoded::parse(raw)
            .take(MOST_FIELDS + 1)
            .map(|(key, value)| (key.into_owned(), value.into_owned()))
            .collect();
        if pairs.len() > MOST_FIELDS {
            let most = MOST_FIELDS.to_string();
            return Err(Refusal::input(
                visitor.fill(frame::TOO_MANY_FIELDS, &[&most]),
            ));
        }
        Ok(Self { pairs })
    }

    /// Adds a field that came another way.
    pub(crate) fn push(&mut self, key: String, value: String) {
        self.pairs.push((key, value));
    }

    /// The last value of a field; an empty one counts as left out.
    pub(crate) fn text(&self, key: &str) -> Option<&str> {
        let found = self.pairs.iter().rev().find(|(k, _)| k == key);
        found.map(|(_, v)| v.trim()).filter(|v| !v.is_empty())
    }

    /// Every value of a field, empty ones too.
    pub(crate) fn all<'a>(&'a self, key: &'a str) -> impl Iterator<Item = &'a str> {
        let of_key = self.pairs.iter().filter(move |(k, _)| k == key);
        of_key.map(|(_, v)| v.trim())
    }

    /// Every field with its value, as they came.
    pub(crate) fn pairs(&self) -> &[(String, String)] {
        &self.pairs
    }

    /// A number in its range, or what it is when left out.
    pub(crate) fn number(
        &self,
        field: &NumberField,
        otherwise: f64,
        visitor: &Visitor,
    ) -> Result<f64, Refusal> {
        match self.text(field.key) {
            None => Ok(otherwise),
            Some(text) => number(text, field, visitor),
        }
    }

    /// A word of a table, or what it is when left out.
    pub(crate) fn word<T: Copy>(
        &self,
        (key, label): (&str, Message),
        words: &[(&str, T)],
        otherwise: T,
        visitor: &Visitor,
    ) -> Result<T, Refusal> {
        let Some(came) = self.text(key) else {
            return Ok(otherwise);
        };
        super::visitor::one_of(words, came).ok_or_else(|| {
            let allowed: Vec<&str> = words.iter().map(|(w, _)| *w).collect();
            Refusal::input(visitor.fill(
                frame::NOT_A_WORD,
                &[visitor.say(label), &short(came), &allowed.join(", ")],
            ))
        })
    }
}

/// One number of a field.
pub(crate) fn number(text: &str, field: &NumberField, visitor: &Visitor) -> Result<f64, Refusal> {
    let shown = field.measure.shown(lapwing_job::record::job::Units::Metric);
    let end = |value: f64| visitor.number(value, if value.fract() == 0.0 { 0 } else { 2 });
    let (low, high) = (end(field.range.0), end(field.range.1));
    let label = visitor.say(field.label);
    let refuse = |message: Message| {
        let parts = [label, &short(text), &low, &high, shown.unit];
        let sentence = visitor.fill(message, &parts).replace(" .", ".");
        Refusal::input(sentence)
    };
    let value = typed(text).ok_or_else(|| refuse(frame::NOT_A_NUMBER))?;
    if value < field.range.0 || value > field.range.1 {
        return Err(refuse(frame::OUT_OF_RANGE));
    }
    Ok(value)
}

/// What came, cut to a length that fits into a sentence.
pub(crate) fn short(came: &str) -> String {
    const MOST: usize = 40;
    let mut out: String = came.chars().take(MOST).collect();
    if came.chars().count() > MOST {
        out.push('…');
    }
    out
}

impl<S: Send + Sync> FromRequest<S> for Fields {
    type Rejection = Refusal;

    async fn from_request(request: Request, state: &S) -> Result<Self, Refusal> {
        let visitor = Visitor::of_request(request.headers(), request.extensions());
        if matches!(*request.method(), Method::GET | Method::HEAD) {
            return Self::parse(request.uri().query().unwrap_or("").as_bytes(), &visitor);
        }
        let body = axum::body::Bytes::from_request(request, state)
            .await
            .map_err(|rejected| Refusal {
                wait_s: None,
                status: rejected.status(),
                sentence: match rejected.status() {
                    StatusCode::PAYLOAD_TOO_LARGE => visitor.say(frame::TOO_LARGE),
                    _ => visitor.say(frame::NOT_UNDERSTOOD),
                }
                .to_owned(),
            })?;
        Self::parse(&body, &visitor)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use axum::http::HeaderMap;

    const FORCE: NumberField = NumberField {
        key: "force_n",
        label: Message {
            en: "Force",
            de: "Kraft",
        },
        measure: Measure::Force,
        range: (1.0, 500.0),
    };

    fn force(raw: &str) -> Result<f64, String> {
        let visitor = Visitor::of(&HeaderMap::new());
        Fields::parse(raw.as_bytes(), &visitor)
            .and_then(|f| f.number(&FORCE, 40.0, &visitor))
            .map_err(|r| r.sentence)
    }

    #[test]
    fn a_number_is_taken_left_out_or_refused_in_words() {
        assert_eq!(force("force_n=52,5"), Ok(52.5));
        assert_eq!(force("force_n="), Ok(40.0));
        assert_eq!(
            force("force_n=900"),
            Err("Force is 900; allowed is 1 to 500 N.".to_owned())
        );
        assert_eq!(
            force("force_n=%3Cscript%3E"),
            Err("Force is \"<script>\", which is not a number. Allowed is 1 to 500 N.".to_owned())
        );
        assert!(force(&format!("force_n={}", "9".repeat(5000))).is_err());
        assert!(force(&"a&".repeat(401)).is_err());
    }
}
