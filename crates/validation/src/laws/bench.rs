//! Whole passes through the bench, from a setup file to a number of its answer.
//!
//! Law: `lapwing_job::bench`, as `lapwing bench` runs it. The setup stands in the
//! case or lies beside it as `setup.toml`; a row may fill in words for `<name>`,
//! set keys, and names what it reads: one place of the answer's JSON, or factor
//! times the mean of several, less the mean of some, over the mean of others.
//! Source: named in each case.
//! Holds: for every number of the answer, and for the rise under the pad's
//! centre at a moment, straight between the moments of the history.
//! Left out: maps.
//! Checked by: the cases.

use lapwing_job::bench::vary::with_key;
use lapwing_job::bench::{BenchResult, HeatWatch, bench, read_setup};

use serde_json::Value;

use super::{Inputs, Law, told, unknown};

/// The laws of this room.
pub(crate) const LAWS: &[(&str, Law)] = &[("bench_answer", bench_answer)];

/// A number of the answer: `read` is its place, such as "/heat/peak_rise_k", or
/// "under the pad", the rise there after `at_s` seconds; or `of`, `less`, `over`
/// and `factor` say how several places make one number.
fn bench_answer(i: &Inputs<'_>) -> Result<f64, String> {
    let mut text = i.word("setup")?.to_owned();
    for pair in i.words_or_none("fill")? {
        let (name, value) = pair
            .split_once('=')
            .ok_or_else(|| format!("`{pair}` is not name=value."))?;
        let marker = format!("<{name}>");
        if !text.contains(&marker) {
            return Err(format!("the setup has no {marker}."));
        }
        text = text.replace(&marker, value);
    }
    for (key, written) in i.named_words("set")? {
        text = with_key(&text, key, written)?;
    }
    let result = run(&text)?;
    let of = i.words_or_none("of")?;
    if !of.is_empty() {
        return several(i, &told(serde_json::to_value(&result))?, &of);
    }
    match i.word("read")? {
        "under the pad" => under_pad_k(&result, i.number("at_s")?),
        place if place.starts_with('/') => {
            let answer = told(serde_json::to_value(&result))?;
            let number = answer.pointer(place).and_then(Value::as_f64);
            number.ok_or_else(|| format!("the answer has no number at `{place}`."))
        }
        other => unknown("place", other),
    }
}

/// Factor times the mean of some places, less that of others, over that of yet
/// others, where there are any.
fn several(i: &Inputs<'_>, answer: &Value, of: &[&str]) -> Result<f64, String> {
    let over = i.words("over")?;
    let below = if over.is_empty() {
        1.0
    } else {
        mean_at(answer, &over)?
    };
    let less = i.words_or_none("less")?;
    let taken = if less.is_empty() {
        0.0
    } else {
        mean_at(answer, &less)?
    };
    Ok(i.number("factor")? * (mean_at(answer, of)? - taken) / below)
}

fn mean_at(answer: &Value, places: &[&str]) -> Result<f64, String> {
    let number = |place: &&str| {
        let number = answer.pointer(place).and_then(Value::as_f64);
        number.ok_or_else(|| format!("{place} is no number in the answer."))
    };
    let numbers = places
        .iter()
        .map(number)
        .collect::<Result<Vec<f64>, String>>()?;
    Ok(numbers.iter().sum::<f64>() / numbers.len() as f64)
}

/// The bench's answer to the text of a setup file.
fn run(text: &str) -> Result<BenchResult, String> {
    let no_files = |name: &str| Err(format!("{name}: a case has no further files."));
    let setup = told(read_setup("setup.toml", text, &no_files))?;
    told(bench(&setup, HeatWatch::default()))
}

fn under_pad_k(result: &BenchResult, at_s: f64) -> Result<f64, String> {
    let start_c = result.maps.start_c;
    let after = result.history.iter().position(|m| m.t_s >= at_s);
    let pair = after.and_then(|at| {
        let (before, after) = (&result.history[at.checked_sub(1)?], &result.history[at]);
        let share = (at_s - before.t_s) / (after.t_s - before.t_s);
        let (low, high) = (before.under_pad_c?, after.under_pad_c?);
        Some(low + share * (high - low) - start_c)
    });
    pair.ok_or_else(|| format!("the pad is not on the panel at {at_s} s."))
}
