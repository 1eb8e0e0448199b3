//! What the terminal says of a test spot: what went, what was learnt, the curve
//! in a hundred columns, what wishes cost, and what to do.
//!
//! Law: none; a column or a row of the screen stands for a stretch of film or
//! of correction.
//! Holds: metric or US units; the JSON holds micrometres.
//! Checked by: the tests below.

use std::fmt::Write as _;

use lapwing_job::trial::TrialResult;
use lapwing_job::trial::curve::{Gone, Target};

use crate::figure::correction::around;
use crate::trial_pictures::{minutes_per_um, most_um};
use crate::words::{film_unit, heat_number, heat_unit, in_units, wrapped};
use lapwing_job::record::job::Units;

/// Widest line.
const WIDTH: usize = 100;
/// Columns of the curve.
const COLUMNS: usize = 84;
/// Rows of the curve: 0 to 100 % by fives.
const ROWS: usize = 21;

/// A trial, top to bottom.
#[must_use]
pub fn trial(result: &TrialResult, units: Units) -> String {
    let mut text = String::new();
    for (name, words) in lines(result, units) {
        for (at, line) in wrapped(&words, WIDTH - 16).iter().enumerate() {
            let head = if at == 0 { name } else { "" };
            let _ = writeln!(text, "{head:<16}{line}");
        }
    }
    text.push('\n');
    text.push_str(&curve(result, units));
    text.push('\n');
    text.push_str(&wishes(&result.targets, units));
    text.push('\n');
    for sentence in &result.advice {
        say(&mut text, &in_units(sentence, units));
    }
    for caution in &result.cautions {
        say(
            &mut text,
            &in_units(
                &format!("Caution, {}: {}", caution.place, caution.text),
                units,
            ),
        );
    }
    text
}

fn say(text: &mut String, sentence: &str) {
    for line in wrapped(sentence, WIDTH) {
        let _ = writeln!(text, "{line}");
    }
}

fn lines(result: &TrialResult, units: Units) -> Vec<(&'static str, String)> {
    let mut lines = worked_with(result);
    let (fine, unit) = (|um: f64| fine(um, units), film_unit(units));
    match &result.removed_um {
        Some(removed) => lines.push((
            "Took off",
            format!(
                "{} {unit} ({} to {}, 19 times in 20) from {} {}, measured{}",
                fine(removed.mean),
                fine(removed.lower_95),
                fine(removed.upper_95),
                removed.pairs,
                if removed.pairs == 1 { "pair" } else { "pairs" },
                if result.detectable {
                    ""
                } else {
                    "; not told apart from nothing"
                }
            ),
        )),
        None => lines.push(("Took off", "not measured".to_owned())),
    }
    let inferred = &result.removed_inferred_um;
    lines.push((
        "",
        format!(
            "all readings together: {} {unit} ({} to {})",
            fine(inferred.mean),
            fine(inferred.lower_95),
            fine(inferred.upper_95)
        ),
    ));
    lines.push(("Cuts", cuts(result, units)));
    lines.push(("Scratches", scratches(result, units)));
    let friction = &result.friction_share;
    lines.push((
        "Friction",
        format!(
            "{:.2} ({:.2} to {:.2}) of the rubbing work heats the panel, {}",
            friction.mean, friction.lower_95, friction.upper_95, friction.origin
        ),
    ));
    lines.push((
        "A pass",
        format!(
            "{} {unit} ({} to {}) in {:.0} s",
            fine(result.pass_um.mean),
            fine(result.pass_um.lower_95),
            fine(result.pass_um.upper_95),
            result.pass_s
        ),
    ));
    lines
}

/// The cut rate with its ends, before and after.
fn cuts(result: &TrialResult, units: Units) -> String {
    let rate = &result.cut_rate_per_pa;
    format!(
        "{} {} in a pass as on this spot, which is a cut rate of {:.2} ({:.2} to {:.2}) ×10⁻¹² 1/Pa, {}; believed before: {:.2} to {:.2}, {}; the history keeps the median, {:.2}",
        fine(result.pass_um.mean, units),
        film_unit(units),
        rate.mean * 1e12,
        rate.lower_95 * 1e12,
        rate.upper_95 * 1e12,
        rate.origin,
        rate.prior_lower_95 * 1e12,
        rate.prior_upper_95 * 1e12,
        rate.prior_origin,
        rate.median * 1e12
    )
}

/// Film to a tenth of a micrometre, under one to a hundredth; mil to match.
pub(crate) fn fine(um: f64, units: Units) -> String {
    match units {
        _ if !um.is_finite() => "not stated".to_owned(),
        Units::Metric if um.abs() < 1.0 => format!("{um:.2}"),
        Units::Metric => format!("{um:.1}"),
        Units::Us if um.abs() < 25.0 => format!("{:.3}", um / 25.4),
        Units::Us => format!("{:.2}", um / 25.4),
    }
}

/// Which car, when, with what; nothing where nothing was said.
fn worked_with(result: &TrialResult) -> Vec<(&'static str, String)> {
    let about = &result.about;
    let mut lines = Vec::new();
    let car: Vec<&str> = [&result.name, &about.car, &about.date]
        .into_iter()
        .filter(|words| !words.is_empty())
        .map(String::as_str)
        .collect();
    if !car.is_empty() {
        lines.push(("Test spot", car.join("; ")));
    }
    lines.push((
        "Worked with",
        format!(
            "{}; {}; {} abrasive; {}; {} paint",
            about.machine, about.pad, about.abrasive, about.pass, about.paint
        ),
    ));
    lines
}

fn scratches(result: &TrialResult, units: Units) -> String {
    let depth = &result.scratch_depth_um;
    let um = |value: Option<f64>| value.map_or_else(|| over(units), |um| fine(um, units));
    let unit = film_unit(units);
    format!(
        "half gone at {} {unit} ({} to {}), 80 % at {}, 95 % at {}, {}",
        um(depth.p50),
        um(depth.p50_lower_95),
        um(depth.p50_upper_95),
        um(depth.p80),
        um(depth.p95),
        depth.provenance.word()
    )
}

/// Film beyond what the table reaches.
fn over(units: Units) -> String {
    match units {
        Units::Metric => "over 60".to_owned(),
        Units::Us => "over 2.4".to_owned(),
    }
}

/// The curve in a hundred columns, without colour.
#[must_use]
pub fn curve(result: &TrialResult, units: Units) -> String {
    let most = most_um(result);
    let film_at = |column: usize| most * (column as f64 + 0.5) / COLUMNS as f64;
    let mut grid = vec![vec![' '; COLUMNS]; ROWS];
    for column in 0..COLUMNS {
        let Some(gone) = on_curve(&result.smooth, film_at(column)) else {
            continue;
        };
        let (low, high) = (row_of(gone.lower_frac), row_of(gone.upper_frac));
        for row in grid.iter_mut().take(low + 1).skip(high) {
            row[column] = '░';
        }
    }
    let column_of = |um: f64| ((um / most) * COLUMNS as f64) as usize;
    if let Some(um) = result.safe_um.filter(|um| *um <= most) {
        let column = column_of(um).min(COLUMNS - 1);
        for row in &mut grid {
            row[column] = '┃';
        }
    }
    // Where the line climbs more than a row in a column, the rows between are
    // filled too.
    let mut last = ROWS;
    for column in 0..COLUMNS {
        if let Some(gone) = on_curve(&result.smooth, film_at(column)) {
            let row = row_of(gone.mean_frac);
            for line in grid.iter_mut().take(last.max(row + 1)).skip(row) {
                line[column] = '━';
            }
            last = row;
        }
    }
    let mut mark = |um: f64, share: f64, sign: char| {
        if (0.0..=most).contains(&um) {
            grid[row_of(share)][column_of(um).min(COLUMNS - 1)] = sign;
        }
    };
    if let Some(knee) = result.knee {
        mark(knee.removal_um, knee.correction_pct / 100.0, '◆');
    }
    let spot_um = result.removed_inferred_um.mean;
    if let Some(gone) = on_curve(&result.smooth, spot_um) {
        mark(spot_um, gone.mean_frac, '●');
    }
    framed(&grid, most, result, units)
}

fn framed(grid: &[Vec<char>], most: f64, result: &TrialResult, units: Units) -> String {
    let mut text = String::new();
    let each = minutes_per_um(result);
    let _ = writeln!(text, "       {}", scale_line(most * each, "min"));
    for (at, row) in grid.iter().enumerate() {
        let pct = 100 - 5 * at;
        let head = if pct.is_multiple_of(20) {
            format!("{pct:>4} % ┤")
        } else {
            "       │".to_owned()
        };
        let line: String = row.iter().collect();
        let _ = writeln!(text, "{head}{}", line.trim_end());
    }
    let _ = writeln!(text, "       └{}", "─".repeat(COLUMNS));
    let _ = writeln!(
        text,
        "       {}",
        scale_line(shown(most, units), film_unit(units))
    );
    let mut key = vec!["━ scratch length gone", "░ 19 times in 20", "● this spot"];
    if result.safe_um.is_some_and(|um| um <= most) {
        key.push("┃ may go, at upper end");
    }
    if result.knee.is_some_and(|k| k.removal_um <= most) {
        key.push("◆ knee");
    }
    let _ = writeln!(text, "        {}", key.join("   "));
    text
}

/// Film in the unit shown.
fn shown(um: f64, units: Units) -> f64 {
    match units {
        Units::Metric => um,
        Units::Us => um / 25.4,
    }
}

/// Five round numbers along a line of the curve's width.
fn scale_line(most: f64, unit: &str) -> String {
    let mut line = vec![' '; COLUMNS + 8];
    for part in 0..=4 {
        let value = most * f64::from(part) / 4.0;
        let mut words = if most >= 20.0 {
            format!("{value:.0}")
        } else if most < 2.0 {
            format!("{value:.2}")
        } else {
            format!("{value:.1}")
        };
        if part == 4 {
            words = format!("{words} {unit}");
        }
        let middle = 1 + COLUMNS * part as usize / 4;
        let start = middle.saturating_sub(words.chars().count() / 2);
        for (at, sign) in words.chars().enumerate() {
            if let Some(slot) = line.get_mut(start + at) {
                *slot = sign;
            }
        }
    }
    line.into_iter().collect::<String>().trim_end().to_owned()
}

fn row_of(share: f64) -> usize {
    ((1.0 - share.clamp(0.0, 1.0)) * (ROWS - 1) as f64).round() as usize
}

/// The smooth curve at a film, between its places by a line.
pub(crate) fn on_curve(smooth: &[Gone], film_um: f64) -> Option<Gone> {
    let (a, b, part) = around(smooth, film_um, |g| g.film_um)?;
    let mix = |a: f64, b: f64| a + part * (b - a);
    Some(Gone {
        film_um,
        mean_frac: mix(a.mean_frac, b.mean_frac),
        lower_frac: mix(a.lower_frac, b.lower_frac),
        upper_frac: mix(a.upper_frac, b.upper_frac),
    })
}

fn wishes(targets: &[Target], units: Units) -> String {
    let (film_head, clear_head, heat_head) = (
        format!("film, {}", film_unit(units)),
        format!("clear left, {}", film_unit(units)),
        format!("peak, {}", heat_unit(units)),
    );
    let mut text = format!(
        "{:>9}{:>21}{:>8}{:>9}{:>21}{:>10}  {}\n",
        "gone", film_head, "passes", "minutes", clear_head, heat_head, "may go, at upper end"
    );
    let told = |value: Option<f64>, digits: usize| {
        value.map_or_else(|| "-".to_owned(), |v| format!("{v:.digits$}"))
    };
    for t in targets {
        let film = match (t.removal_um, t.removal_lower_95_um, t.removal_upper_95_um) {
            (Some(um), Some(low), Some(high)) => {
                format!(
                    "{} ({}–{})",
                    fine(um, units),
                    fine(low, units),
                    fine(high, units)
                )
            }
            (Some(um), low, _) => format!(
                "{} ({}–)",
                fine(um, units),
                low.map_or_else(|| "-".to_owned(), |um| fine(um, units))
            ),
            (None, _, _) => over(units),
        };
        let clear = match (t.clear_left_um, t.clear_left_lower_95_um) {
            (Some(left), Some(low)) => {
                let whole = |um: f64| crate::words::film_number(um, units);
                format!("{}, at least {}", whole(left), whole(low))
            }
            _ => "-".to_owned(),
        };
        let within = match t.is_within_budget {
            Some(true) => "yes",
            Some(false) => "no",
            None => "-",
        };
        let _ = writeln!(
            text,
            "{:>7.0} %{film:>21}{:>8}{:>9}{clear:>21}{:>10}  {within}",
            t.correction_pct,
            told(t.passes, 1),
            told(t.minutes, 0),
            t.peak_c
                .map_or_else(|| "-".to_owned(), |c| heat_number(c, units)),
        );
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trial_pictures::sample::result;

    #[test]
    fn no_line_is_wider_than_a_hundred_columns() {
        let text = trial(&result(), Units::Metric);
        let widest = text.lines().map(|l| l.chars().count()).max();
        assert!(widest.is_some_and(|w| w <= WIDTH), "{widest:?}\n{text}");
    }

    #[test]
    fn the_curve_shows_line_band_wall_knee_and_spot() {
        let text = curve(&result(), Units::Metric);
        for sign in ['━', '░', '┃', '◆', '●'] {
            assert!(text.contains(sign), "{sign}\n{text}");
        }
        assert!(text.lines().count() == ROWS + 4);
        let bare = lapwing_job::trial::TrialResult {
            budget_um: None,
            safe_um: None,
            knee: None,
            ..result()
        };
        assert!(
            !curve(&bare, Units::Metric).contains('┃')
                && !curve(&bare, Units::Metric).contains('◆')
        );
    }

    #[test]
    fn a_scale_names_its_ends_and_its_unit() {
        let line = scale_line(8.0, "µm");
        assert!(
            line.starts_with(" 0.0") || line.starts_with("0.0"),
            "{line}"
        );
        assert!(line.contains("4.0") && line.ends_with("8.0 µm"), "{line}");
        assert!(line.chars().count() <= WIDTH - 8);
    }

    #[test]
    fn a_us_shop_reads_mil_and_fahrenheit_alone() {
        let text = trial(&result(), Units::Us);
        assert!(text.contains("mil") && text.contains("°F"), "{text}");
        assert!(!text.contains("µm") && !text.contains("°C"), "{text}");
        let rows = text.lines().filter(|l| l.contains(" (0."));
        let rows: Vec<&str> = rows
            .filter(|l| l.trim_start().starts_with(|c: char| c.is_ascii_digit()))
            .collect();
        assert!(rows.len() >= 4, "{text}");
        assert!(
            rows.iter().all(|l| l.contains("% ") && !l.contains("%0")),
            "{rows:?}"
        );
        let widest = text.lines().map(|l| l.chars().count()).max();
        assert!(widest.is_some_and(|w| w <= WIDTH), "{widest:?}\n{text}");
    }
}
