//! What a law is given, read by name, with nothing left over.
//!
//! Law: none.
//! Holds: for numbers, words, lists of numbers and lists of lists.
//! Left out: units; they are in the keys.
//! Checked by: refusals below.

use std::cell::RefCell;
use std::collections::BTreeSet;

use serde_json::{Map, Value};

/// Inputs of one question.
pub struct Inputs<'a> {
    values: &'a Map<String, Value>,
    used: RefCell<BTreeSet<&'a str>>,
}

impl<'a> Inputs<'a> {
    /// The inputs of a table.
    #[must_use]
    pub fn of(values: &'a Map<String, Value>) -> Self {
        Self {
            values,
            used: RefCell::new(BTreeSet::new()),
        }
    }

    /// A number.
    ///
    /// # Errors
    /// When it is missing or no number.
    pub fn number(&self, name: &str) -> Result<f64, String> {
        self.value(name)?
            .as_f64()
            .ok_or_else(|| format!("`{name}` is not a number."))
    }

    /// A count.
    ///
    /// # Errors
    /// When it is missing or no whole number from 0 up.
    pub fn count(&self, name: &str) -> Result<usize, String> {
        let count = self
            .value(name)?
            .as_u64()
            .and_then(|n| usize::try_from(n).ok());
        count.ok_or_else(|| format!("`{name}` is not a whole number."))
    }

    /// A word.
    ///
    /// # Errors
    /// When it is missing or no word.
    pub fn word(&self, name: &str) -> Result<&'a str, String> {
        self.value(name)?
            .as_str()
            .ok_or_else(|| format!("`{name}` is not a word."))
    }

    /// A list of numbers.
    ///
    /// # Errors
    /// When it is missing or not all numbers.
    pub fn list(&self, name: &str) -> Result<Vec<f64>, String> {
        numbers(self.value(name)?).ok_or_else(|| format!("`{name}` is not a list of numbers."))
    }

    /// A list of words.
    ///
    /// # Errors
    /// When it is missing or not all words.
    pub fn words(&self, name: &str) -> Result<Vec<&'a str>, String> {
        let list = self.value(name)?.as_array();
        let words = list.and_then(|items| items.iter().map(Value::as_str).collect());
        words.ok_or_else(|| format!("`{name}` is not a list of words."))
    }

    /// A list of words; empty when it is missing.
    ///
    /// # Errors
    /// When it is anything else.
    pub fn words_or_none(&self, name: &str) -> Result<Vec<&'a str>, String> {
        if self.values.contains_key(name) {
            self.words(name)
        } else {
            Ok(Vec::new())
        }
    }

    /// A table of words, by name; empty when it is missing.
    ///
    /// # Errors
    /// When it is anything else.
    pub fn named_words(&self, name: &str) -> Result<Vec<(&'a str, &'a str)>, String> {
        if !self.values.contains_key(name) {
            return Ok(Vec::new());
        }
        let table = self.value(name)?.as_object();
        let words = table.and_then(|items| {
            let word =
                |(key, value): (&'a String, &'a Value)| Some((key.as_str(), value.as_str()?));
            items.iter().map(word).collect()
        });
        words.ok_or_else(|| format!("`{name}` is not a table of words."))
    }

    /// A list of lists of numbers.
    ///
    /// # Errors
    /// When it is missing or anything else.
    pub fn lists(&self, name: &str) -> Result<Vec<Vec<f64>>, String> {
        let list = self.value(name)?.as_array();
        let lists = list.and_then(|items| items.iter().map(numbers).collect());
        lists.ok_or_else(|| format!("`{name}` is not a list of lists."))
    }

    /// Whether everything given was asked for.
    ///
    /// # Errors
    /// Names what was not.
    pub fn all_used(&self) -> Result<(), String> {
        let used = self.used.borrow();
        let spare: Vec<&str> = self
            .values
            .keys()
            .map(String::as_str)
            .filter(|name| !used.contains(name))
            .collect();
        if spare.is_empty() {
            Ok(())
        } else {
            Err(format!("the law has no use for {spare:?}."))
        }
    }

    fn value(&self, name: &str) -> Result<&'a Value, String> {
        let (key, value) = self
            .values
            .get_key_value(name)
            .ok_or_else(|| format!("`{name}` is missing."))?;
        self.used.borrow_mut().insert(key);
        Ok(value)
    }
}

fn numbers(value: &Value) -> Option<Vec<f64>> {
    value.as_array()?.iter().map(Value::as_f64).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn table(text: &str) -> Map<String, Value> {
        serde_json::from_str(text).expect("a table")
    }

    #[test]
    fn each_kind_is_read() {
        let values = table(
            r#"{"n": 2, "w": "x", "l": [1, 2.5], "ls": [[1], [2, 3]], "ws": ["a"], "t": {"k": "v"}}"#,
        );
        let inputs = Inputs::of(&values);
        assert_eq!((inputs.number("n"), inputs.count("n")), (Ok(2.0), Ok(2)));
        assert_eq!(
            (inputs.word("w"), inputs.list("l")),
            (Ok("x"), Ok(vec![1.0, 2.5]))
        );
        assert_eq!(inputs.lists("ls").expect("lists").len(), 2);
        assert!(inputs.all_used().is_err_and(|e| e.contains("ws")));
        assert_eq!(inputs.words("ws"), Ok(vec!["a"]));
        assert_eq!(inputs.named_words("t"), Ok(vec![("k", "v")]));
        assert_eq!(inputs.named_words("absent"), Ok(Vec::new()));
        assert!(inputs.named_words("l").is_err());
        assert_eq!(inputs.all_used(), Ok(()));
    }

    #[test]
    fn the_wrong_kind_is_refused_by_name() {
        let values = table(r#"{"n": "2", "l": [1, "x"], "c": 1.5}"#);
        let inputs = Inputs::of(&values);
        for refused in [inputs.number("n"), inputs.number("absent")] {
            assert!(refused.is_err_and(|e| e.starts_with('`')));
        }
        assert!(
            inputs.list("l").is_err() && inputs.count("c").is_err() && inputs.words("l").is_err()
        );
    }
}
