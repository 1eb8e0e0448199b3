//! Laws as the bench reaches them, from the text of a setup file.
//!
//! Law: the case gives a setup, words to fill in for `<name>`, and the places of
//! the answer's JSON; the answer is factor × mean of these, over the mean of
//! others when there are any.
//! Source: named in each case.
//! Holds: for setups without files beside them.
//! Left out: what the terminal says.
//! Checked by: the cases.

use serde_json::Value;

use super::{Inputs, Law, bench, told};

/// The laws of this room.
pub(crate) const LAWS: &[(&str, Law)] = &[("bench_filled", bench_filled)];

fn bench_filled(i: &Inputs<'_>) -> Result<f64, String> {
    let mut text = i.word("setup")?.to_owned();
    for pair in i.words("fill")? {
        let (name, value) = pair
            .split_once('=')
            .ok_or_else(|| format!("`{pair}` is not name=value."))?;
        let marker = format!("<{name}>");
        if !text.contains(&marker) {
            return Err(format!("the setup has no {marker}."));
        }
        text = text.replace(&marker, value);
    }
    let answer = told(serde_json::to_value(bench::run(&text)?))?;
    let of = mean_at(&answer, &i.words("of")?)?;
    let over = i.words("over")?;
    let below = if over.is_empty() {
        1.0
    } else {
        mean_at(&answer, &over)?
    };
    Ok(i.number("factor")? * of / below)
}

fn mean_at(answer: &Value, places: &[&str]) -> Result<f64, String> {
    let numbers = places
        .iter()
        .map(|place| {
            answer
                .pointer(place)
                .and_then(Value::as_f64)
                .ok_or_else(|| format!("{place} is no number in the answer."))
        })
        .collect::<Result<Vec<f64>, String>>()?;
    if numbers.is_empty() {
        return Err("no place of the answer is asked for.".to_owned());
    }
    Ok(numbers.iter().sum::<f64>() / numbers.len() as f64)
}
