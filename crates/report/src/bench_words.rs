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
    let mut line = |name: &str, words: String| {
        let _ = writeln!(text, "{name:<14}{words}");
    };
    let (removal, heat) = (&result.removal, &result.heat);
    let range = ranged(removal.interior_lower_um, removal.interior_upper_um, |um| {
        format!("{um:.2}")
    });
    let place = if removal.interior_is_swept_area {
        "where the pad went"
    } else {
        "away from the rim"
    };
    line(
        "Takes off",
        format!(
            "{:.2} µm {place}{range}; whole section {:.2} µm",
            removal.interior_mean_um, removal.mean_um
        ),
    );
    line(
        "",
        format!(
            "thinnest cut {:.2} µm, deepest {:.2} µm, unevenness {:.0} %",
            removal.interior_min_um,
            removal.max_um,
            100.0 * removal.interior_cv
        ),
    );
    let range = match (heat.peak_rise_lower_k, heat.peak_rise_upper_k) {
        (Some(lower), Some(upper)) => ranged(lower, upper, |k| {
            format!("{:.0}", heat.peak_c - heat.peak_rise_k + k)
        }),
        _ => String::new(),
    };
    line(
        "Gets hot",
        format!(
            "{:.0} °C at most{range}, {:.1} K over the start",
            heat.peak_c, heat.peak_rise_k
        ),
    );
    line(
        "",
        format!(
            "at {:.0} mm from the left, {:.0} mm from below, after {:.0} s",
            heat.peak_at.x_m * 1e3,
            heat.peak_at.y_m * 1e3,
            heat.peak_at.t_s
        ),
    );
    for above in heat
        .seconds_above
        .iter()
        .filter(|above| above.longest_s > 0.0)
    {
        line(
            "",
            format!(
                "over {:.0} °C for up to {:.0} s",
                above.temperature_c, above.longest_s
            ),
        );
    }
    line(
        "Heat",
        format!(
            "{:.0} J in, {:.0} J still in the panel, {:.0} J to the air",
            heat.energy_in_j, heat.energy_stored_j, heat.energy_lost_j
        ),
    );
    line(
        "Takes",
        format!(
            "{} for {:.2} m of path",
            duration(result.time_s),
            result.path_m
        ),
    );
    line(
        "Presses",
        format!(
            "{:.2} kPa on average, {:.2} kPa at most, {:.0} % of the face touches",
            result.pressure.mean_kpa,
            result.pressure.max_kpa,
            100.0 * result.pressure.contact_frac
        ),
    );
    line(
        "Rubs",
        format!(
            "{:.2} m/s on average, {:.2} m/s at most",
            result.speed.mean_m_s, result.speed.max_m_s
        ),
    );
    text.push_str(&doubts(result));
    text
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
