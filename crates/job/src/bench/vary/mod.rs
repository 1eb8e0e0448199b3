//! The same pass many times, one or two keys varied: what would change?
//!
//! Law: none of its own; every row is [`super::bench`] of its own setup.
//! Holds: for one or two numeric keys, each from 2 to 200 values, at most
//! [`MOST_RUNS`] passes in all. Outside: refused.
//! Left out: searching for the best value; the table shows it.
//! Checked by: the tests beside it; rows equal single passes to the last bit.

mod keys;
mod place;
mod span;

use std::sync::atomic::{AtomicU64, Ordering};

use rayon::prelude::*;
use serde::Serialize;

use super::result::PadPressure;
use super::{BenchResult, Files, HeatWatch, Setup, bench, read_setup};
use crate::record::{Caution, InputError};

use self::place::is_lean;
pub use self::place::{Difference, differing, with_key};
pub use self::span::{Span, read_span};

/// Most passes of a series.
pub const MOST_RUNS: usize = 1000;

/// A setup of the series, with the values that make it.
#[derive(Clone, Debug)]
pub struct Point {
    /// Values in the units they were asked in, one for each key.
    pub values: Vec<f64>,
    /// The same as they stand in the setup: "4.5 deg".
    pub written: Vec<String>,
    /// "touch.tilt = 4.5 deg".
    pub words: String,
    /// The setup.
    pub setup: Setup,
}

/// What a pass of the series does; names as in a single answer.
#[derive(Clone, Debug, Serialize)]
pub struct VaryRow {
    /// Values in the units of `keys`, one for each key.
    pub values: Vec<f64>,
    /// The same as they stand in the setup.
    pub written: Vec<String>,
    /// Time from first touch to last.
    pub time_s: f64,
    /// Length walked with the pad on the panel.
    pub path_m: f64,
    /// What comes off.
    pub removal: RowRemoval,
    /// How warm the surface gets.
    pub heat: RowHeat,
    /// Pressure under the pad.
    pub pressure: PadPressure,
    /// Doubts about this pass.
    pub cautions: Vec<Caution>,
}

/// What comes off in a pass of the series.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct RowRemoval {
    /// Mean over the whole section.
    pub mean_um: f64,
    /// Mean over the interior.
    pub interior_mean_um: f64,
    /// The same at the lower end of the cut rate's range.
    pub interior_lower_um: f64,
    /// The same at its upper end.
    pub interior_upper_um: f64,
    /// Least of any place of the section.
    pub min_um: f64,
    /// Most of any place.
    pub max_um: f64,
    /// Deviation over mean, whole section.
    pub cv: f64,
    /// Deviation over mean in the interior.
    pub interior_cv: f64,
}

/// How warm a pass of the series gets.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct RowHeat {
    /// Highest surface temperature.
    pub peak_c: f64,
    /// Highest rise over the start.
    pub peak_rise_k: f64,
    /// The same at the lower end of the friction share's range.
    pub peak_rise_lower_k: Option<f64>,
    /// The same at its upper end.
    pub peak_rise_upper_k: Option<f64>,
    /// Stated error of the rise.
    pub peak_error_k: Option<f64>,
}

impl VaryRow {
    fn of(point: &Point, result: BenchResult) -> Self {
        let (removal, heat) = (&result.removal, &result.heat);
        Self {
            values: point.values.clone(),
            written: point.written.clone(),
            time_s: result.time_s,
            path_m: result.path_m,
            removal: RowRemoval {
                mean_um: removal.mean_um,
                interior_mean_um: removal.interior_mean_um,
                interior_lower_um: removal.interior_lower_um,
                interior_upper_um: removal.interior_upper_um,
                min_um: removal.min_um,
                max_um: removal.max_um,
                cv: removal.cv,
                interior_cv: removal.interior_cv,
            },
            heat: RowHeat {
                peak_c: heat.peak_c,
                peak_rise_k: heat.peak_rise_k,
                peak_rise_lower_k: heat.peak_rise_lower_k,
                peak_rise_upper_k: heat.peak_rise_upper_k,
                peak_error_k: heat.peak_error_k,
            },
            pressure: result.pressure,
            cautions: result.cautions,
        }
    }
}

/// All setups of a series, the last key fastest. Every one is read before any
/// is worked out, so that a value the setup refuses is named at once.
///
/// # Errors
/// Refuses no key, more than two, the same key twice, two that contradict each
/// other, more than [`MOST_RUNS`]
/// passes, and every value that the setup refuses, saying which.
pub fn points(
    file: &str,
    text: &str,
    files: Files<'_>,
    spans: &[Span],
) -> Result<Vec<Point>, InputError> {
    let refuse = |sentence: String| InputError::in_file("--vary", sentence);
    let indexes: Vec<Vec<usize>> = match spans {
        [only] => (0..only.count).map(|i| vec![i]).collect(),
        [first, second] if first.key == second.key => {
            return Err(refuse(format!(
                "{} came twice. Vary two different keys.",
                first.key
            )));
        }
        [first, second] if is_lean(&first.key) && is_lean(&second.key) => {
            return Err(refuse(format!(
                "{} and {} contradict each other, because each says how the pad leans. Vary one of them.",
                first.key, second.key
            )));
        }
        [first, second] => (0..first.count)
            .flat_map(|i| (0..second.count).map(move |j| vec![i, j]))
            .collect(),
        _ => {
            return Err(refuse(format!(
                "{} keys came in; allowed are one or two, because a table has two sides.",
                spans.len()
            )));
        }
    };
    if indexes.len() > MOST_RUNS {
        return Err(refuse(format!(
            "{} passes would have to be worked out; allowed are {MOST_RUNS}. Use fewer values.",
            indexes.len()
        )));
    }
    let point = |at: &Vec<usize>| point((file, text, files), spans, at);
    indexes.iter().map(point).collect()
}

fn point(
    (file, text, files): (&str, &str, Files<'_>),
    spans: &[Span],
    at: &[usize],
) -> Result<Point, InputError> {
    let set = || spans.iter().zip(at);
    let written: Vec<String> = set().map(|(span, i)| span.written(*i)).collect();
    let words: Vec<String> = spans
        .iter()
        .zip(&written)
        .map(|(span, written)| format!("{} = {written}", span.key))
        .collect();
    let words = words.join(", ");
    let mut changed = text.to_owned();
    for (span, i) in set() {
        changed = place::with_value(&changed, &span.key, span.toml_value(*i))
            .map_err(|sentence| InputError::in_file("--vary", sentence))?;
    }
    let setup = read_setup(file, &changed, files)
        .map_err(|e| InputError::in_file(file, format!("with {words}, {}", e.sentence)))?;
    Ok(Point {
        values: set().map(|(span, i)| span.value(*i)).collect(),
        written,
        words,
        setup,
    })
}

/// Works out a series on all threads, in the order of the points.
///
/// # Errors
/// The first point, in their order, that a law refuses; or a sentence when it
/// was stopped.
pub fn vary(points: &[Point], watch: HeatWatch<'_>) -> Result<Vec<VaryRow>, InputError> {
    let whole = AtomicU64::new(0);
    let one = |point: &Point| {
        let own = AtomicU64::new(0);
        let report = |done_frac: f64| {
            let now = (done_frac.clamp(0.0, 1.0) * 1e3) as u64;
            let before = own.fetch_max(now, Ordering::Relaxed);
            whole.fetch_add(now.saturating_sub(before), Ordering::Relaxed);
            if let Some(progress) = watch.progress {
                progress(whole.load(Ordering::Relaxed) as f64 / (1e3 * points.len() as f64));
            }
        };
        let watch = HeatWatch {
            progress: Some(&report),
            cancel: watch.cancel,
        };
        if watch
            .cancel
            .is_some_and(|stop| stop.load(Ordering::Relaxed))
        {
            return Err(InputError::in_file(
                point.setup.file.as_str(),
                "stopped, as asked.",
            ));
        }
        bench(&point.setup, watch)
            .map(|result| VaryRow::of(point, result))
            .map_err(|e| {
                InputError::in_file(e.file, format!("with {}, {}", point.words, e.sentence))
            })
    };
    let rows: Vec<Result<VaryRow, InputError>> = points.par_iter().map(one).collect();
    rows.into_iter().collect()
}

#[cfg(test)]
mod tests;
