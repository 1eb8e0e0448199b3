//! Reads one field of a job file: a word, a quantity, a number in a range.
//!
//! Every refusal says where it stands, what came, what is allowed and what to
//! do, and suggests the nearest word.
//! Checked by: `read/tests.rs`.

use lapwing_measure::quantity::Written;
use toml::Spanned;

use crate::record::InputError;
use crate::record::written::{Number, Text};

/// The file being read: its name and its text.
pub(crate) struct Reader<'a> {
    pub(crate) file: &'a str,
    pub(crate) text: &'a str,
}

impl Reader<'_> {
    pub(crate) fn fault<T>(&self, at: &Spanned<T>, sentence: impl Into<String>) -> InputError {
        InputError::at_offset(self.file, self.text, at.span().start, sentence)
    }

    pub(crate) fn quantity<Q: Written>(&self, text: &Text, key: &str) -> Result<Q, InputError> {
        Q::read(text.0.get_ref()).map_err(|e| self.fault(&text.0, format!("{key}: {e}")))
    }

    pub(crate) fn quantity_or<Q: Written>(
        &self,
        text: Option<&Text>,
        key: &str,
        default: Q,
    ) -> Result<Q, InputError> {
        text.map_or(Ok(default), |t| self.quantity(t, key))
    }

    pub(crate) fn within(
        &self,
        text: &Text,
        key: &str,
        (value, unit): (f64, &str),
        (least, most): (f64, f64),
    ) -> Result<(), InputError> {
        if value >= least && value <= most {
            return Ok(());
        }
        Err(self.fault(
            &text.0,
            format!(
                "{key} is \"{}\"; allowed is {} to {} {unit}. Check the number and its unit.",
                text.0.get_ref(),
                plain(least),
                plain(most)
            ),
        ))
    }

    pub(crate) fn number_within(
        &self,
        number: &Number,
        key: &str,
        (least, most): (f64, f64),
    ) -> Result<f64, InputError> {
        let value = *number.0.get_ref();
        if value >= least && value <= most {
            return Ok(value);
        }
        let came = if value.is_nan() {
            "NaN (no number)".to_owned()
        } else {
            value.to_string()
        };
        Err(self.fault(
            &number.0,
            format!(
                "{key} is {came}; allowed is {least} to {most}. Write a number between the two."
            ),
        ))
    }

    pub(crate) fn number_or(
        &self,
        number: Option<&Number>,
        key: &str,
        range: (f64, f64),
        default: f64,
    ) -> Result<f64, InputError> {
        number.map_or(Ok(default), |n| self.number_within(n, key, range))
    }

    pub(crate) fn word<T: Copy>(
        &self,
        text: &Text,
        key: &str,
        words: &[(&str, T)],
    ) -> Result<T, InputError> {
        let came = text.0.get_ref();
        if let Some((_, value)) = words.iter().find(|(w, _)| w == came) {
            return Ok(*value);
        }
        let allowed: Vec<&str> = words.iter().map(|(w, _)| *w).collect();
        Err(self.fault(
            &text.0,
            format!(
                "{key} \"{came}\" is not known{} Allowed: {}.",
                suggestion(came, &allowed),
                listed(&allowed)
            ),
        ))
    }

    pub(crate) fn word_or<T: Copy>(
        &self,
        text: Option<&Text>,
        key: &str,
        words: &[(&str, T)],
        default: T,
    ) -> Result<T, InputError> {
        text.map_or(Ok(default), |t| self.word(t, key, words))
    }

    /// Position of a name in a list of names, for references inside the kit.
    pub(crate) fn reference(
        &self,
        text: &Text,
        what: &str,
        names: &[String],
    ) -> Result<usize, InputError> {
        let known: Vec<(&str, usize)> = names
            .iter()
            .enumerate()
            .map(|(i, n)| (n.as_str(), i))
            .collect();
        self.word(text, what, &known)
    }

    pub(crate) fn refuse_duplicates<'t>(
        &self,
        what: &str,
        names: impl Iterator<Item = (&'t Text, String)>,
    ) -> Result<Vec<String>, InputError> {
        let mut seen: Vec<String> = Vec::new();
        for (text, name) in names {
            if seen.contains(&name) {
                return Err(self.fault(
                    &text.0,
                    format!(
                        "the {what} \"{name}\" stands twice; give each its own name or remove one."
                    ),
                ));
            }
            seen.push(name);
        }
        Ok(seen)
    }
}

/// The first names of a list, and how many more there are.
pub(crate) fn listed(names: &[&str]) -> String {
    const MOST: usize = 20;
    let more = names.len().saturating_sub(MOST);
    let said = names[..names.len().min(MOST)].join(", ");
    if more == 0 {
        said
    } else {
        format!("{said} and {more} more")
    }
}

/// "; did you mean ...?" when a known word is near.
pub(crate) fn suggestion(came: &str, known: &[&str]) -> String {
    known
        .iter()
        .map(|k| (strsim::normalized_damerau_levenshtein(came, k), k))
        .filter(|(score, _)| *score > 0.5)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map_or_else(
            || ".".to_owned(),
            |(_, k)| format!("; did you mean \"{k}\"?"),
        )
}

/// A number as people write it: very small and very large ones with an exponent.
fn plain(number: f64) -> String {
    if number != 0.0 && !(1e-4..1e12).contains(&number.abs()) {
        format!("{number:e}")
    } else {
        number.to_string()
    }
}
