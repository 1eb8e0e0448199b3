//! What the terminal says of a pass on the bench.
//!
//! Law: none; shares of two finished numbers are put into words.
//! Holds: for metric and US units, as the setup asks.
//! Left out: heat transfer in US units; the JSON has it in W/m²K.
//! Checked by: the tests below.

use std::fmt::Write as _;

use lapwing_job::bench::BenchResult;
use lapwing_job::bench::result::PadSpeed;
use lapwing_job::record::job::Units;

use crate::bench_finish_words;
use crate::bench_measures::{Kind, bars, duration, in_words};
use crate::words::wrapped;

/// Widest line.
pub(crate) const WIDTH: usize = 96;
/// Width of the names before the lines.
const NAME: usize = 14;
/// Widest row of bars.
const BARS: usize = 44;

/// A pass, top to bottom: what comes off, how warm, how long, and the doubts.
#[must_use]
pub fn bench(result: &BenchResult) -> String {
    let mut text = String::new();
    for (name, words) in beyond_lines(result)
        .into_iter()
        .chain(removal_lines(result))
        .chain(profile_lines(result))
        .chain(heat_lines(result))
        .chain(time_lines(result))
        .chain(touch_lines(result))
        .chain(bench_finish_words::lines(result))
    {
        for (index, line) in wrapped(&words, WIDTH - NAME).iter().enumerate() {
            let name = if index == 0 { name } else { "" };
            let _ = writeln!(text, "{name:<NAME$}{line}");
        }
    }
    text.push_str(&doubts(result));
    text
}

type Line = (&'static str, String);

/// From when on the figures below mean nothing.
fn beyond_lines(result: &BenchResult) -> Vec<Line> {
    let doubts = result.beyond.doubts();
    let told = doubts.iter().enumerate().map(|(at, doubt)| {
        let name = if at == 0 { "Too far" } else { "" };
        (name, in_words(&doubt.text, result.units))
    });
    told.collect()
}

fn removal_lines(result: &BenchResult) -> Vec<Line> {
    let (removal, units) = (&result.removal, result.units);
    let depth = |um: f64| Kind::Depth.told(um, units);
    if result.path_m <= 0.0 {
        let (deepest, mean) = (depth(removal.max_um), depth(removal.mean_um));
        let words = format!("{deepest} where it cuts deepest, {mean} over the whole section");
        return vec![("Takes off", words)];
    }
    let range = ranged(removal.interior_lower_um, removal.interior_upper_um, |um| {
        Kind::Depth.number(um, units)
    });
    let place = if removal.interior_is_swept_area {
        "where the pad went"
    } else {
        "away from the rim"
    };
    let uneven = 100.0 * removal.interior_cv;
    vec![
        (
            "Takes off",
            format!(
                "{} {place}{range}, {} over the whole section",
                depth(removal.interior_mean_um),
                depth(removal.mean_um)
            ),
        ),
        (
            "",
            format!(
                "there from {} to {}, unevenness {uneven:.0} %; deepest place of all {}",
                depth(removal.interior_min_um),
                depth(removal.interior_max_um),
                depth(removal.max_um)
            ),
        ),
    ]
}

/// Both middle lines of the section as rows of bars.
fn profile_lines(result: &BenchResult) -> Vec<Line> {
    let most_um = result.removal.max_um;
    let line = |axis: &str| -> String {
        let depths: Vec<f64> = result.profile_along(axis).iter().map(|p| p.1).collect();
        bars(&depths, (0.0, most_um), BARS)
    };
    vec![
        (
            "Across",
            format!("|{}| left to right, at half the height", line("x")),
        ),
        (
            "",
            format!("|{}| bottom to top, at half the width", line("y")),
        ),
    ]
}

fn heat_lines(result: &BenchResult) -> Vec<Line> {
    let (heat, units) = (&result.heat, result.units);
    let start_c = heat.peak_c - heat.peak_rise_k;
    let range = match (heat.peak_rise_lower_k, heat.peak_rise_upper_k) {
        (Some(lower), Some(upper)) => ranged(lower, upper, |k| {
            Kind::Temperature.number(start_c + k, units)
        }),
        _ => String::new(),
    };
    let error = heat.peak_error_k.map_or(String::new(), |k| {
        format!(
            ", give or take {} of reckoning",
            Kind::Warmth.told(k, units)
        )
    });
    let mut lines = vec![
        (
            "Gets hot",
            format!(
                "{} at most{range}, {} over the start{error}",
                Kind::Temperature.told(heat.peak_c, units),
                Kind::Warmth.told(heat.peak_rise_k, units)
            ),
        ),
        (
            "",
            format!(
                "{} after {}",
                place(heat.peak_at.x_m, heat.peak_at.y_m, units),
                duration(heat.peak_at.t_s)
            ),
        ),
    ];
    lines.extend(above_lines(result));
    // A panel that starts warmer than the air loses heat that no pad put in.
    let starts_like_air = heat.peak_rise_upper_k.is_some();
    let share = 100.0 * heat.energy_stored_j / heat.energy_in_j;
    let rest = if starts_like_air && share.is_finite() {
        format!("; {share:.0} % of it is still there at the end, the rest went to the air")
    } else {
        String::new()
    };
    let power = format!(
        "{:.0} W go into the panel on average{rest}",
        heat.mean_power_w
    );
    lines.push(("Heat", power));
    lines.extend(air_line(result));
    lines
}

fn place(x_m: f64, y_m: f64, units: Units) -> String {
    format!(
        "{} from the left, {} from below",
        Kind::Place.told(x_m, units),
        Kind::Place.told(y_m, units)
    )
}

/// How long over each limit, and the first limit that is not reached.
fn above_lines(result: &BenchResult) -> Vec<Line> {
    let units = result.units;
    let mut lines = Vec::new();
    for above in &result.heat.seconds_above {
        let limit = Kind::Temperature.told(above.limit_c, units);
        match above.at {
            Some(at) => lines.push((
                "",
                format!(
                    "over {limit} for up to {}, longest {}",
                    duration(above.max_s),
                    place(at.x_m, at.y_m, units)
                ),
            )),
            None => {
                lines.push(("", format!("never over {limit}")));
                break;
            }
        }
    }
    lines
}

/// Where the loss to the air comes from, when it was not given.
fn air_line(result: &BenchResult) -> Option<Line> {
    let face = result.heat.convection.first()?;
    let faces = match &result.heat.convection[..] {
        [only] => only.face.to_owned(),
        _ => "on both faces".to_owned(),
    };
    let wind = if face.pad_wind_w_m2k > 0.0 {
        ", radiation and the pad's wind"
    } else {
        " and radiation"
    };
    Some((
        "Cools",
        format!(
            "{faces} as the laws of still air{wind} say, with the panel at {}",
            Kind::Temperature.told(face.panel_c, result.units)
        ),
    ))
}

/// The hottest place over time as a row of bars.
fn time_lines(result: &BenchResult) -> Vec<Line> {
    let units = result.units;
    let start_c = result.maps.start_c;
    let hottest: Vec<f64> = result.history.iter().map(|m| m.hottest_c).collect();
    let lasts = duration(result.time_s);
    let takes = if result.path_m > 0.0 {
        format!(
            "{lasts} for {} of path",
            Kind::Path.told(result.path_m, units)
        )
    } else {
        format!("{lasts} on one spot")
    };
    let history = format!(
        "|{}| hottest place over time, {} to {}",
        bars(&hottest, (start_c, result.heat.peak_c), BARS),
        Kind::Temperature.number(start_c, units),
        Kind::Temperature.told(result.heat.peak_c, units)
    );
    vec![("Takes", takes), ("", history)]
}

fn touch_lines(result: &BenchResult) -> Vec<Line> {
    let (pressure, speed, units) = (&result.pressure, &result.speed, result.units);
    let touching = 100.0 * pressure.contact_frac;
    vec![
        (
            "Presses",
            format!(
                "{} on average, {} at most, {touching:.0} % of the face touches",
                Kind::Pressure.told(pressure.mean_kpa, units),
                Kind::Pressure.told(pressure.max_kpa, units)
            ),
        ),
        (
            "Rubs",
            format!(
                "{} on average, {} at most{}",
                Kind::Speed.told(speed.mean_m_s, units),
                Kind::Speed.told(speed.max_m_s, units),
                across_pad(speed, units)
            ),
        ),
    ]
}

/// "; 0.0 in the middle of the pad, 9.8 m/s at its rim".
fn across_pad(speed: &PadSpeed, units: Units) -> String {
    let (Some(first), Some(last)) = (speed.across_pad.first(), speed.across_pad.last()) else {
        return String::new();
    };
    let inner = if first.radius_m > 0.0 {
        "at the hole's rim"
    } else {
        "in the middle of the pad"
    };
    format!(
        "; over a turn {} {inner}, {} at its rim",
        Kind::Speed.number(first.mean_m_s, units),
        Kind::Speed.told(last.mean_m_s, units)
    )
}

fn ranged(lower: f64, upper: f64, words: impl Fn(f64) -> String) -> String {
    if upper > lower {
        format!(" ({} to {})", words(lower), words(upper))
    } else {
        String::new()
    }
}

fn doubts(result: &BenchResult) -> String {
    let mut sentences = Vec::new();
    let assumed: Vec<String> = result
        .provenance
        .iter()
        .filter(|o| o.provenance.word() == "assumed")
        .map(|o| format!("{} ({})", o.key, o.value))
        .collect();
    if !assumed.is_empty() {
        sentences.push(format!("Assumed, not measured: {}.", assumed.join("; ")));
    }
    let told_above = result.beyond.doubts();
    for caution in result.cautions.iter().filter(|c| !told_above.contains(c)) {
        sentences.push(format!("Caution, {}: {}", caution.place, caution.text));
    }
    let mut text = String::new();
    for sentence in sentences {
        for line in wrapped(&in_words(&sentence, result.units), WIDTH) {
            let _ = writeln!(text, "{line}");
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use lapwing_job::bench::{HeatWatch, bench as work, read_setup};

    fn said(units: &str) -> String {
        let text = format!(
            "units = \"{units}\"\n[panel]\nsize = [\"0.3 m\", \"0.3 m\"]\nsubstrate = \"plastic\"\n\
             [machine]\nkind = \"rotary\"\nspeed = \"1500 rpm\"\n[pad]\ndiameter = \"125 mm\"\n\
             [touch]\nforce = \"40 N\"\n[stroke]\npattern = \"still\"\nduration = \"10 s\"\n[heat]\ndetail = \"quick\"\n"
        );
        let setup = read_setup("s.toml", &text, &|_| Err(String::new())).expect("good");
        bench(&work(&setup, HeatWatch::default()).expect("works"))
    }

    #[test]
    fn a_us_setup_is_told_in_us_units_throughout() {
        let told = said("us");
        for sign in [" mil", "°F", " in ", " psi", " ft/s"] {
            assert!(told.contains(sign), "{sign} is missing:\n{told}");
        }
        for sign in ["µm", "°C", " mm ", "kPa", " m/s"] {
            assert!(!told.contains(sign), "{sign} is there:\n{told}");
        }
    }

    #[test]
    fn a_metric_setup_speaks_of_no_joules_and_fits_the_screen() {
        let told = said("metric");
        assert!(
            told.contains("µm") && told.contains("°C") && !told.contains(" J"),
            "{told}"
        );
        assert!(
            told.lines().all(|line| line.chars().count() <= WIDTH),
            "{told}"
        );
        assert!(
            told.contains("over 43 °C for up to") && told.contains('█'),
            "{told}"
        );
        assert!(!told.contains("panel.substrate"), "{told}");
    }
}
