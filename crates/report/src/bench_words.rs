//! What the terminal says of a pass on the bench, alone or beside another.
//!
//! Law: none; ratios of two finished numbers are put into words.
//! Left out: US units; the JSON holds SI numbers.
//! Checked by: the tests below.

use std::fmt::Write as _;

use lapwing_job::bench::BenchResult;

use crate::words::wrapped;

/// Widest line.
const WIDTH: usize = 96;

/// A pass, top to bottom: what comes off, how warm, how long, and the doubts.
#[must_use]
pub fn bench(result: &BenchResult) -> String {
    let mut text = String::new();
    for (name, words) in removal_lines(result)
        .into_iter()
        .chain(heat_lines(result))
        .chain(touch_lines(result))
    {
        let _ = writeln!(text, "{name:<14}{words}");
    }
    text.push_str(&doubts(result));
    text
}

type Line = (&'static str, String);

fn removal_lines(result: &BenchResult) -> Vec<Line> {
    let removal = &result.removal;
    let range = ranged(removal.interior_lower_um, removal.interior_upper_um, |um| {
        format!("{um:.2}")
    });
    let place = if removal.interior_is_swept_area {
        "where the pad went"
    } else {
        "away from the rim"
    };
    let (mean, whole) = (removal.interior_mean_um, removal.mean_um);
    let (least, most) = (removal.interior_min_um, removal.max_um);
    let uneven = 100.0 * removal.interior_cv;
    vec![
        (
            "Takes off",
            format!("{mean:.2} µm {place}{range}; whole section {whole:.2} µm"),
        ),
        (
            "",
            format!("thinnest cut {least:.2} µm, deepest {most:.2} µm, unevenness {uneven:.0} %"),
        ),
    ]
}

fn heat_lines(result: &BenchResult) -> Vec<Line> {
    let heat = &result.heat;
    let range = match (heat.peak_rise_lower_k, heat.peak_rise_upper_k) {
        (Some(lower), Some(upper)) => ranged(lower, upper, |k| {
            format!("{:.0}", heat.peak_c - heat.peak_rise_k + k)
        }),
        _ => String::new(),
    };
    let (peak_c, rise_k) = (heat.peak_c, heat.peak_rise_k);
    let (x_mm, y_mm, t_s) = (
        heat.peak_at.x_m * 1e3,
        heat.peak_at.y_m * 1e3,
        heat.peak_at.t_s,
    );
    let mut lines = vec![
        (
            "Gets hot",
            format!("{peak_c:.0} °C at most{range}, {rise_k:.1} K over the start"),
        ),
        (
            "",
            format!("at {x_mm:.0} mm from the left, {y_mm:.0} mm from below, after {t_s:.0} s"),
        ),
    ];
    for above in heat.seconds_above.iter().filter(|a| a.longest_s > 0.0) {
        let (over_c, longest_s) = (above.temperature_c, above.longest_s);
        lines.push((
            "",
            format!("over {over_c:.0} °C for up to {longest_s:.0} s"),
        ));
    }
    let (put_in, kept, lost) = (heat.energy_in_j, heat.energy_stored_j, heat.energy_lost_j);
    lines.push((
        "Heat",
        format!("{put_in:.0} J in, {kept:.0} J still in the panel, {lost:.0} J to the air"),
    ));
    lines
}

fn touch_lines(result: &BenchResult) -> Vec<Line> {
    let (pressure, speed) = (&result.pressure, &result.speed);
    let (lasts, path_m) = (duration(result.time_s), result.path_m);
    let (mean_kpa, max_kpa) = (pressure.mean_kpa, pressure.max_kpa);
    let touching = 100.0 * pressure.contact_frac;
    let (mean_m_s, max_m_s) = (speed.mean_m_s, speed.max_m_s);
    vec![
        ("Takes", format!("{lasts} for {path_m:.2} m of path")),
        (
            "Presses",
            format!(
                "{mean_kpa:.2} kPa on average, {max_kpa:.2} kPa at most, {touching:.0} % of the face touches"
            ),
        ),
        (
            "Rubs",
            format!("{mean_m_s:.2} m/s on average, {max_m_s:.2} m/s at most"),
        ),
    ]
}

fn ranged(lower: f64, upper: f64, words: impl Fn(f64) -> String) -> String {
    if upper > lower {
        format!(" ({} to {})", words(lower), words(upper))
    } else {
        String::new()
    }
}

fn duration(seconds: f64) -> String {
    if seconds < 120.0 {
        format!("{seconds:.0} s")
    } else {
        format!(
            "{:.0} min {:.0} s",
            (seconds / 60.0).floor(),
            seconds % 60.0
        )
    }
}

fn doubts(result: &BenchResult) -> String {
    let mut text = String::new();
    let assumed: Vec<&str> = result
        .provenance
        .iter()
        .filter(|o| o.provenance.word() == "assumed")
        .map(|o| o.key.as_str())
        .collect();
    if !assumed.is_empty() {
        let sentence = format!("Assumed, not measured: {}.", assumed.join(", "));
        for line in wrapped(&sentence, WIDTH) {
            let _ = writeln!(text, "{line}");
        }
    }
    for caution in &result.cautions {
        for line in wrapped(
            &format!("Caution, {}: {}", caution.place, caution.text),
            WIDTH,
        ) {
            let _ = writeln!(text, "{line}");
        }
    }
    text
}

/// Two passes side by side, and what the second changes.
#[must_use]
pub fn comparison(
    (first_name, first): (&str, &BenchResult),
    (second_name, second): (&str, &BenchResult),
) -> String {
    let mut text = String::new();
    let _ = writeln!(
        text,
        "{:<26}{:>16}{:>16}",
        "",
        short(first_name),
        short(second_name)
    );
    for (name, of) in ROWS {
        let _ = writeln!(
            text,
            "{name:<26}{:>16}{:>16}",
            number(of(first)),
            number(of(second))
        );
    }
    let _ = writeln!(text);
    for sentence in differences(first, second) {
        for line in wrapped(&sentence, WIDTH) {
            let _ = writeln!(text, "{line}");
        }
    }
    text
}

/// A number of a pass.
type Of = fn(&BenchResult) -> f64;

const ROWS: [(&str, Of); 9] = [
    ("takes off, µm", |r| r.removal.interior_mean_um),
    ("deepest, µm", |r| r.removal.max_um),
    ("unevenness, %", |r| 100.0 * r.removal.interior_cv),
    ("hottest, °C", |r| r.heat.peak_c),
    ("heat into the panel, J", |r| r.heat.energy_in_j),
    ("time, s", |r| r.time_s),
    ("path, m", |r| r.path_m),
    ("highest pressure, kPa", |r| r.pressure.max_kpa),
    ("mean rubbing speed, m/s", |r| r.speed.mean_m_s),
];

fn short(name: &str) -> String {
    name.chars().take(15).collect()
}

fn number(value: f64) -> String {
    if value.abs() >= 100.0 {
        format!("{value:.0}")
    } else {
        format!("{value:.2}")
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
    let hotter_k = second.heat.peak_c - first.heat.peak_c;
    if hotter_k.abs() >= 0.5 {
        let word = if hotter_k > 0.0 { "hotter" } else { "cooler" };
        told.push(format!(
            "The paint gets {:.0} K {word} at its hottest: {:.0} °C instead of {:.0} °C.",
            hotter_k.abs(),
            second.heat.peak_c,
            first.heat.peak_c
        ));
    }
    if told.is_empty() {
        told.push("The two do the same, within a hundredth.".to_owned());
    }
    told
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
    fn long_times_are_minutes() {
        assert_eq!(duration(191.0), "3 min 11 s");
        assert_eq!(duration(5.0), "5 s");
    }
}
