//! Two passes side by side: what was set differently, and what that changes.
//!
//! Law: none; ratios of two finished numbers are put into words.
//! Holds: for two answers of the bench; told in the units of the first.
//! Left out: which of the two is better; that depends on what is wished.
//! Checked by: the tests below.

use std::fmt::Write as _;

use lapwing_job::bench::BenchResult;
use lapwing_job::bench::vary::Difference;

use crate::bench_measures::{Kind, duration};
use crate::bench_words::WIDTH;
use crate::words::wrapped;

/// A named answer.
pub type Named<'a> = (&'a str, &'a BenchResult);

/// Two passes as a table, then in sentences.
#[must_use]
pub fn comparison(first: Named<'_>, second: Named<'_>, changed: &[Difference]) -> String {
    let mut text = String::new();
    let row = |text: &mut String, name: &str, one: &str, other: &str| {
        let _ = writeln!(text, "{name:<34}{one:>18}{other:>18}");
    };
    row(&mut text, "", &short(first.0), &short(second.0));
    let units = first.1.units;
    for (name, kind, of) in ROWS {
        let name = format!("{name}, {}", kind.sign(units));
        let [one, other] = [first.1, second.1].map(|r| kind.number(of(r), units));
        row(&mut text, &name, &one, &other);
    }
    let percent = |r: &BenchResult| {
        if r.path_m > 0.0 {
            format!("{:.0}", 100.0 * r.removal.interior_cv)
        } else {
            "stands still".to_owned()
        }
    };
    if first.1.path_m > 0.0 || second.1.path_m > 0.0 {
        let [one, other] = [first.1, second.1].map(percent);
        row(&mut text, "unevenness, %", &one, &other);
    }
    let time = |r: &BenchResult| duration(r.time_s);
    row(&mut text, "time", &time(first.1), &time(second.1));
    let _ = writeln!(text);
    let sentences = settings(changed)
        .into_iter()
        .chain(differences(first.1, second.1));
    for sentence in sentences {
        for line in wrapped(&sentence, WIDTH) {
            let _ = writeln!(text, "{line}");
        }
    }
    text
}

/// A number of a pass.
type Of = fn(&BenchResult) -> f64;

const ROWS: [(&str, Kind, Of); 8] = [
    ("takes off away from the rim", Kind::Depth, |r| {
        r.removal.interior_mean_um
    }),
    ("deepest", Kind::Depth, |r| r.removal.max_um),
    ("hottest", Kind::Temperature, |r| r.heat.peak_c),
    ("rise over the start", Kind::Warmth, |r| r.heat.peak_rise_k),
    ("path", Kind::Path, |r| r.path_m),
    ("mean pressure", Kind::Pressure, |r| r.pressure.mean_kpa),
    ("highest pressure", Kind::Pressure, |r| r.pressure.max_kpa),
    ("mean rubbing speed", Kind::Speed, |r| r.speed.mean_m_s),
];

fn short(name: &str) -> String {
    name.chars().take(17).collect()
}

/// What was set differently.
fn settings(changed: &[Difference]) -> Vec<String> {
    const MOST: usize = 12;
    let of = |value: &Option<String>| value.clone().unwrap_or_else(|| "left out".to_owned());
    let told: Vec<String> = changed
        .iter()
        .take(MOST)
        .map(|d| format!("{} {} instead of {}", d.key, of(&d.second), of(&d.first)))
        .collect();
    match (told.len(), changed.len()) {
        (0, _) => Vec::new(),
        (shown, all) if shown < all => vec![format!(
            "Set differently in the second: {}, and {} more.",
            told.join(", "),
            all - shown
        )],
        _ => vec![format!(
            "Set differently in the second: {}.",
            told.join(", ")
        )],
    }
}

/// The second pass against the first, in sentences.
#[must_use]
pub fn differences(first: &BenchResult, second: &BenchResult) -> Vec<String> {
    let mut told = Vec::new();
    let mut tell = |subject: &str, of: Of| {
        if let Some(words) = against(of(first), of(second)) {
            told.push(format!("{subject}: {words} in the second."));
        }
    };
    tell("Taken off", |r| r.removal.interior_mean_um);
    tell("Deepest place", |r| r.removal.max_um);
    tell("Hardest pressed place", |r| r.pressure.max_kpa);
    tell("Heat into the panel", |r| r.heat.energy_in_j);
    tell("Time", |r| r.time_s);
    told.extend(evenness(first, second));
    told.extend(lift(first, second));
    told.extend(warmth(first, second));
    if told.is_empty() {
        told.push("The two do the same, within a hundredth.".to_owned());
    }
    told
}

fn evenness(first: &BenchResult, second: &BenchResult) -> Option<String> {
    let [one, other] = [first, second].map(|r| (100.0 * r.removal.interior_cv).round());
    let both_move = first.path_m > 0.0 && second.path_m > 0.0;
    let can_tell = both_move && one.is_finite() && other.is_finite();
    if !can_tell || (one - other).abs() < 1.0 {
        return None;
    }
    let word = if other > one { "less" } else { "more" };
    Some(format!(
        "It cuts {word} evenly in the second: unevenness {other:.0} % instead of {one:.0} %."
    ))
}

fn lift(first: &BenchResult, second: &BenchResult) -> Option<String> {
    let [one, other] = [first, second].map(|r| (100.0 * r.pressure.contact_frac).round());
    ((one - other).abs() >= 1.0).then(|| {
        format!("Of the pad's face {other:.0} % touches in the second, instead of {one:.0} %.")
    })
}

fn warmth(first: &BenchResult, second: &BenchResult) -> Option<String> {
    let units = first.units;
    let hotter_k = second.heat.peak_c - first.heat.peak_c;
    if hotter_k.abs() < 0.5 {
        return None;
    }
    let word = if hotter_k > 0.0 { "hotter" } else { "cooler" };
    let told = |c: f64| Kind::Temperature.told(c, units);
    Some(format!(
        "The paint gets {} {word} at its hottest: {} instead of {}.",
        Kind::Warmth.told(hotter_k.abs(), units),
        told(second.heat.peak_c),
        told(first.heat.peak_c)
    ))
}

/// "twice as much", "a third less"; nothing within a hundredth.
fn against(first: f64, second: f64) -> Option<String> {
    if first <= 0.0 || second <= 0.0 || !(first.is_finite() && second.is_finite()) {
        return None;
    }
    let ratio = second / first;
    if (ratio - 1.0).abs() < 0.01 {
        return None;
    }
    Some(match ratio {
        r if (r - 2.0).abs() < 0.02 => "twice as much".to_owned(),
        r if (r - 0.5).abs() < 0.005 => "half as much".to_owned(),
        r if r >= 1.8 => format!("{r:.1} times as much"),
        r if r > 1.0 => format!("{:.0} % more", 100.0 * (r - 1.0)),
        r => format!("{:.0} % less", 100.0 * (1.0 - r)),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ratios_become_words() {
        assert_eq!(against(1.0, 2.0).as_deref(), Some("twice as much"));
        assert_eq!(against(2.0, 1.0).as_deref(), Some("half as much"));
        assert_eq!(against(1.0, 1.25).as_deref(), Some("25 % more"));
        assert_eq!(against(1.0, 0.8).as_deref(), Some("20 % less"));
        assert_eq!(against(1.0, 1.005), None);
        assert_eq!(against(0.0, 1.0), None);
    }

    #[test]
    fn what_was_set_differently_is_said_with_what_was_left_out() {
        let difference = |key: &str, first: Option<&str>, second: Option<&str>| Difference {
            key: key.to_owned(),
            first: first.map(str::to_owned),
            second: second.map(str::to_owned),
        };
        let said = settings(&[
            difference("touch.tilt", None, Some("2 deg")),
            difference("stroke.passes", Some("4"), Some("2")),
        ]);
        assert_eq!(
            said,
            [
                "Set differently in the second: touch.tilt 2 deg instead of left out, stroke.passes 2 instead of 4."
            ]
        );
        assert!(settings(&[]).is_empty());
        let many = vec![difference("a", None, None); 20];
        assert!(settings(&many)[0].ends_with("and 8 more."));
    }
}
