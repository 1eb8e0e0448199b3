//! The laws a case may name, each answered by a function of our own crates.
//!
//! Law: none of its own. Numbers come in with the unit in the key, become
//! typed quantities, and the answer goes out as one bare number in the unit the
//! case states. Nothing is computed here that our crates would compute.
//! Holds: for the inputs a law names; a missing, misspelt or spare input is
//! refused, so a typing mistake in a case cannot pass unseen.
//! Left out: answers that are not numbers; a verdict is given as 1 or 0.
//! Checked by: the cases themselves, and refusals below.

mod air;
mod bench;
mod contact;
mod exposure;
mod field;
mod film;
mod finish;
mod gauge;
mod heat;
mod inputs;
mod motion;
mod removal;
mod spread;
mod statistics;
mod trial;

pub use inputs::Inputs;
use serde_json::{Map, Value};

/// A law: inputs in, one number out.
pub type Law = fn(&Inputs<'_>) -> Result<f64, String>;

/// The laws of each room, by name.
const ROOMS: &[&[(&str, Law)]] = &[
    statistics::LAWS,
    spread::LAWS,
    field::LAWS,
    film::LAWS,
    gauge::LAWS,
    contact::LAWS,
    motion::LAWS,
    removal::LAWS,
    heat::LAWS,
    bench::LAWS,
    finish::LAWS,
    air::LAWS,
    exposure::LAWS,
    trial::LAWS,
];

/// Names of all laws.
pub fn names() -> impl Iterator<Item = &'static str> {
    ROOMS
        .iter()
        .flat_map(|room| room.iter().map(|(name, _)| *name))
}

/// Our answer to a question.
///
/// # Errors
/// A sentence when the law is unknown, an input is missing, of the wrong kind
/// or left over, or our own code refuses.
pub fn answer(law: &str, inputs: &Map<String, Value>) -> Result<f64, String> {
    let found = ROOMS
        .iter()
        .flat_map(|room| room.iter())
        .find(|(name, _)| *name == law);
    let (_, function) = found.ok_or_else(|| format!("the law `{law}` is not known."))?;
    let inputs = Inputs::of(inputs);
    let number = function(&inputs)?;
    inputs.all_used()?;
    if number.is_finite() {
        Ok(number)
    } else {
        Err(format!("the law `{law}` answered {number}."))
    }
}

/// Turns a refusal of our code into the sentence of this room.
pub(crate) fn told<T, E: std::fmt::Display>(result: Result<T, E>) -> Result<T, String> {
    result.map_err(|e| e.to_string())
}

/// The sentence for an output or a word that a law does not know.
pub(crate) fn unknown<T>(what: &str, came: &str) -> Result<T, String> {
    Err(format!("{what} `{came}` is not known."))
}

/// A verdict as a number.
pub(crate) fn truth(holds: bool) -> f64 {
    if holds { 1.0 } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn no_name_is_given_twice() {
        let unique: BTreeSet<&str> = names().collect();
        assert_eq!(unique.len(), names().count());
    }

    #[test]
    fn an_unknown_law_is_named_in_the_refusal() {
        assert!(answer("nothing", &Map::new()).is_err_and(|e| e.contains("nothing")));
    }
}
