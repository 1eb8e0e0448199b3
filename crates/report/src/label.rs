//! The small label for the door shut or the service book: a square code that
//! leads to the record, the car, the day and the seal.
//!
//! Law: none; 62 mm by 29 mm, a common size of label printers.
//! Holds: long names are cut with an ellipsis.
//! Checked by: the test below; the code itself by an independent decoder.

use std::fmt::Write as _;

use lapwing_job::handover::record::Handed;
use serde_json::{Value, json};

use crate::figure::qr::{modules, path};
use crate::figure::svg::escaped;
use crate::record_sheet::Seal;
use crate::record_words::grouped;

/// Most letters of a line.
const MOST_LETTERS: usize = 25;

/// The label as SVG text.
///
/// # Errors
/// A sentence when the link is too long for a square code.
pub fn label(handed: &Handed, seal: &Seal<'_>) -> Result<String, String> {
    let modules = modules(&seal.code())?;
    let scale = 25.0 / (modules.len() + 8) as f64;
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 62 29\" width=\"62mm\" height=\"29mm\" role=\"img\"><title>Label of a paint record</title><rect width=\"62\" height=\"29\" fill=\"#ffffff\"/><g transform=\"translate(2 2) scale({scale:.5})\" shape-rendering=\"crispEdges\"><path fill=\"#000000\" d=\"{}\"/></g>",
        path(&modules, 4.0, 4.0)
    );
    let font =
        "font-family=\"'Atkinson Hyperlegible Next','DejaVu Sans',sans-serif\" fill=\"#0f2429\"";
    for (y, size, weight, line) in lines(handed, seal) {
        let _ = write!(
            out,
            "<text x=\"29\" y=\"{y}\" font-size=\"{size}\" font-weight=\"{weight}\" {font}>{}</text>",
            escaped(&line)
        );
    }
    out.push_str("</svg>");
    Ok(out)
}

/// What the label's page is set from.
#[must_use]
pub fn label_sheet(handed: &Handed, seal: &Seal<'_>) -> Value {
    let [title, car, job, date, hash] = texts(handed, seal);
    json!({"title": title, "car": car, "job": job, "date": date, "hash": hash})
}

fn texts(handed: &Handed, seal: &Seal<'_>) -> [String; 5] {
    [
        "Paint record".to_owned(),
        handed.car.description.clone(),
        handed.job.clone(),
        handed.date.clone().unwrap_or_default(),
        grouped(seal.sha256, 16),
    ]
}

/// Height, size, weight and words of each line.
fn lines(handed: &Handed, seal: &Seal<'_>) -> Vec<(f64, f64, u32, String)> {
    let [title, car, job, date, hash] = texts(handed, seal);
    let (first, second) = two_lines(&car);
    vec![
        (6.2, 4.4, 700, title),
        (11.0, 2.6, 400, first),
        (14.2, 2.6, 400, second),
        (18.0, 2.6, 400, cut(&job)),
        (21.2, 2.6, 400, cut(&date)),
        (25.4, 2.6, 600, hash),
    ]
}

fn two_lines(text: &str) -> (String, String) {
    let lines = crate::words::wrapped(text, MOST_LETTERS);
    let rest = lines.get(1..).unwrap_or_default().join(" ");
    (cut(lines.first().map_or("", String::as_str)), cut(&rest))
}

fn cut(text: &str) -> String {
    if text.chars().count() <= MOST_LETTERS {
        return text.to_owned();
    }
    text.chars().take(MOST_LETTERS - 1).collect::<String>() + "…"
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_names_are_cut_and_short_ones_are_not() {
        assert_eq!(cut("Harbour estate"), "Harbour estate");
        assert_eq!(cut(&"x".repeat(40)).chars().count(), MOST_LETTERS);
        let (first, second) = two_lines("Nine-year-old dark blue estate, kept by the sea");
        assert!(first.chars().count() <= MOST_LETTERS && second.chars().count() <= MOST_LETTERS);
    }
}
