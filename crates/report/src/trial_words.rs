//! What the terminal says of a test spot: what went, what was learnt, the curve
//! in a hundred columns, what wishes cost, and what to do.
//!
//! Law: none; a column or a row of the screen stands for a stretch of film or
//! of correction.
//! Left out: US units; the JSON holds micrometres.
//! Checked by: the tests below.

use std::fmt::Write as _;

use lapwing_job::trial::TrialResult;
use lapwing_job::trial::curve::{Gone, Target};

use crate::figure::correction::around;
use crate::trial_pictures::{minutes_per_um, most_um};
use crate::words::wrapped;

/// Widest line.
const WIDTH: usize = 100;
/// Columns of the curve.
const COLUMNS: usize = 84;
/// Rows of the curve: 0 to 100 % by fives.
const ROWS: usize = 21;

/// A trial, top to bottom.
#[must_use]
pub fn trial(result: &TrialResult) -> String {
    let mut text = String::new();
    for (name, words) in lines(result) {
        for (at, line) in wrapped(&words, WIDTH - 16).iter().enumerate() {
            let head = if at == 0 { name } else { "" };
            let _ = writeln!(text, "{head:<16}{line}");
        }
    }
    text.push('\n');
    text.push_str(&curve(result));
    text.push('\n');
    text.push_str(&wishes(&result.targets));
    text.push('\n');
    for sentence in &result.advice {
        say(&mut text, sentence);
    }
    for caution in &result.cautions {
        say(
            &mut text,
            &format!("Caution, {}: {}", caution.place, caution.text),
        );
    }
    text
}

fn say(text: &mut String, sentence: &str) {
    for line in wrapped(sentence, WIDTH) {
        let _ = writeln!(text, "{line}");
    }
}

fn lines(result: &TrialResult) -> Vec<(&'static str, String)> {
    let mut lines = Vec::new();
    match &result.removed_um {
        Some(removed) => lines.push((
            "Took off",
            format!(
                "{:.1} µm ({:.1} to {:.1}, 19 times in 20) from {} {}, measured{}",
                removed.mean,
                removed.lower_95,
                removed.upper_95,
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
            "all readings together: {:.1} µm ({:.1} to {:.1})",
            inferred.mean, inferred.lower_95, inferred.upper_95
        ),
    ));
    let rate = &result.cut_rate_per_pa;
    lines.push((
        "Cuts",
        format!(
            "{:.2} ({:.2} to {:.2}) ×10⁻¹² 1/Pa, {}; believed before: {:.2} to {:.2}, {}",
            rate.mean * 1e12,
            rate.lower_95 * 1e12,
            rate.upper_95 * 1e12,
            rate.origin,
            rate.prior_lower_95 * 1e12,
            rate.prior_upper_95 * 1e12,
            rate.prior_origin
        ),
    ));
    lines.push(("Scratches", scratches(result)));
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
            "{:.2} µm ({:.2} to {:.2}) in {:.0} s",
            result.pass_um.mean, result.pass_um.lower_95, result.pass_um.upper_95, result.pass_s
        ),
    ));
    lines
}

fn scratches(result: &TrialResult) -> String {
    let depth = &result.scratch_depth_um;
    let um =
        |value: Option<f64>| value.map_or_else(|| "over 60".to_owned(), |um| format!("{um:.1}"));
    format!(
        "half gone at {} µm ({} to {}), 80 % at {}, 95 % at {}, {}",
        um(depth.p50),
        um(depth.p50_lower_95),
        um(depth.p50_upper_95),
        um(depth.p80),
        um(depth.p95),
        depth.provenance.word()
    )
}

/// The curve in a hundred columns, without colour.
#[must_use]
pub fn curve(result: &TrialResult) -> String {
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
    if let Some(um) = result.budget_um.filter(|um| *um <= most) {
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
    framed(&grid, most, result)
}

fn framed(grid: &[Vec<char>], most: f64, result: &TrialResult) -> String {
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
    let _ = writeln!(text, "       {}", scale_line(most, "µm"));
    let mut key = vec!["━ scratch length gone", "░ 19 times in 20", "● this spot"];
    if result.budget_um.is_some_and(|um| um <= most) {
        key.push("┃ what may go");
    }
    if result.knee.is_some_and(|k| k.removal_um <= most) {
        key.push("◆ knee");
    }
    let _ = writeln!(text, "        {}", key.join("   "));
    text
}

/// Five round numbers along a line of the curve's width.
fn scale_line(most: f64, unit: &str) -> String {
    let mut line = vec![' '; COLUMNS + 8];
    for part in 0..=4 {
        let value = most * f64::from(part) / 4.0;
        let mut words = if most >= 20.0 {
            format!("{value:.0}")
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

fn wishes(targets: &[Target]) -> String {
    let mut text = format!(
        "{:>9}{:>18}{:>9}{:>10}{:>20}{:>10}  {}\n",
        "gone", "film, µm", "passes", "minutes", "clear left, µm", "peak, °C", "within what may go"
    );
    let told = |value: Option<f64>, digits: usize| {
        value.map_or_else(|| "-".to_owned(), |v| format!("{v:.digits$}"))
    };
    for t in targets {
        let film = match (t.removal_um, t.removal_lower_95_um, t.removal_upper_95_um) {
            (Some(um), Some(low), Some(high)) => format!("{um:.1} ({low:.1}–{high:.1})"),
            (Some(um), low, _) => format!("{um:.1} ({}–)", told(low, 1)),
            (None, _, _) => "over 60".to_owned(),
        };
        let clear = match (t.clear_left_um, t.clear_left_lower_95_um) {
            (Some(left), Some(low)) => format!("{left:.0}, at least {low:.0}"),
            _ => "-".to_owned(),
        };
        let within = match t.is_within_budget {
            Some(true) => "yes",
            Some(false) => "no",
            None => "-",
        };
        let _ = writeln!(
            text,
            "{:>7.0} %{film:>18}{:>9}{:>10}{clear:>20}{:>10}  {within}",
            t.correction_pct,
            told(t.passes, 1),
            told(t.minutes, 0),
            told(t.peak_c, 0),
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
        let text = trial(&result());
        let widest = text.lines().map(|l| l.chars().count()).max();
        assert!(widest.is_some_and(|w| w <= WIDTH), "{widest:?}\n{text}");
    }

    #[test]
    fn the_curve_shows_line_band_wall_knee_and_spot() {
        let text = curve(&result());
        for sign in ['━', '░', '┃', '◆', '●'] {
            assert!(text.contains(sign), "{sign}\n{text}");
        }
        assert!(text.lines().count() == ROWS + 4);
        let bare = lapwing_job::trial::TrialResult {
            budget_um: None,
            knee: None,
            ..result()
        };
        assert!(!curve(&bare).contains('┃') && !curve(&bare).contains('◆'));
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
}
