//! What the terminal says of a series of passes: a table, or a grid for two keys.
//!
//! Law: none; finished numbers in rows.
//! Holds: for one or two keys. Of a grid too large for the screen evenly chosen
//! rows and columns are shown, and the words say so.
//! Left out: a search for the best value.
//! Checked by: the tests below.

use std::fmt::Write as _;

use lapwing_job::bench::vary::{Span, VaryRow};
use lapwing_job::record::Caution;
use lapwing_job::record::job::Units;

use crate::bench_measures::{Kind, duration, in_words, short_number};
use crate::bench_words::WIDTH;
use crate::words::wrapped;

/// Where the trade stops, °C (trade texts disagree).
pub(crate) const STOP_C: f64 = 60.0;
/// Most rows and columns of a grid on the screen.
const MOST_SHOWN: (usize, usize) = (40, 10);

/// A series of passes.
#[must_use]
pub fn series(keys: &[Span], rows: &[VaryRow], units: Units) -> String {
    let mut text = match keys {
        [key] => table(key, rows, units),
        [first, second] => grids((first, second), rows, units),
        _ => String::new(),
    };
    let mut said: Vec<String> = Vec::new();
    for row in rows {
        // The remarks say where the limit is passed.
        let told = |caution: &&Caution| caution.place != "heat";
        for caution in row.cautions.iter().filter(told) {
            let place = format!("Caution, {}: {}", caution.place, caution.text);
            // Of cautions that differ by a number only, the first stands for all.
            let head = |s: &str| {
                s.chars()
                    .take_while(|c| !c.is_ascii_digit())
                    .collect::<String>()
            };
            if !said.iter().any(|s| head(s) == head(&place)) {
                said.push(place);
            }
        }
    }
    if !said.is_empty() {
        let _ = writeln!(text);
    }
    for sentence in said {
        for line in wrapped(&in_words(&sentence, units), WIDTH) {
            let _ = writeln!(text, "{line}");
        }
    }
    text
}

fn named(key: &Span) -> String {
    if key.unit.is_empty() {
        key.key.clone()
    } else {
        format!("{}, {}", key.key, key.unit)
    }
}

fn table(key: &Span, rows: &[VaryRow], units: Units) -> String {
    let mut text = String::new();
    let name = named(key);
    let width = name.chars().count().max(10);
    let (depth, hot) = (Kind::Depth.sign(units), Kind::Temperature.sign(units));
    let heads = [
        format!("takes off {depth}"),
        format!("deepest {depth}"),
        "uneven %".to_owned(),
        format!("hottest {hot}"),
        "time".to_owned(),
    ];
    let lines: Vec<[String; 5]> = rows.iter().map(|row| cells(row, units)).collect();
    // A pad that stands still has no unevenness of its path.
    let shown = |column: usize| column != UNEVEN || rows.iter().any(moves);
    let wide = |column: usize| {
        let longest = lines.iter().map(|line| line[column].chars().count()).max();
        longest.unwrap_or(0).max(heads[column].chars().count())
    };
    let line = |text: &mut String, first: &str, cells: &[String; 5]| {
        let _ = write!(text, "{first:<width$}");
        for (column, cell) in cells.iter().enumerate().filter(|(c, _)| shown(*c)) {
            let width = wide(column);
            let _ = write!(text, "  {cell:>width$}");
        }
        let _ = writeln!(text);
    };
    let mut table = String::new();
    line(&mut table, &name, &heads);
    for (row, cells) in rows.iter().zip(&lines) {
        line(&mut table, &value_only(row, 0), cells);
    }
    text.push_str(&table);
    for sentence in remarks(key, rows, units).into_iter().chain(ranges(rows)) {
        let _ = writeln!(text);
        for line in wrapped(&sentence, WIDTH) {
            let _ = writeln!(text, "{line}");
        }
    }
    text
}

/// Which cell of a line is the unevenness.
const UNEVEN: usize = 2;

fn moves(row: &VaryRow) -> bool {
    row.path_m > 0.0
}

/// A pass of the series as cells, with the ranges of what was assumed.
fn cells(row: &VaryRow, units: Units) -> [String; 5] {
    let (removal, heat) = (&row.removal, &row.heat);
    let range = |(lower, upper): (f64, f64), number: &dyn Fn(f64) -> String| {
        if upper > lower {
            format!(" ({} to {})", number(lower), number(upper))
        } else {
            String::new()
        }
    };
    let depth = |um: f64| Kind::Depth.number(um, units);
    let warm = |c: f64| Kind::Temperature.number(c, units);
    let start_c = heat.peak_c - heat.peak_rise_k;
    let rises = (
        start_c + heat.peak_rise_lower_k.unwrap_or(0.0),
        start_c + heat.peak_rise_upper_k.unwrap_or(0.0),
    );
    [
        depth(removal.interior_mean_um)
            + &range(
                (removal.interior_lower_um, removal.interior_upper_um),
                &depth,
            ),
        depth(removal.max_um),
        if moves(row) {
            format!("{:.1}", 100.0 * removal.interior_cv)
        } else {
            "still".to_owned()
        },
        warm(heat.peak_c) + &range(rises, &warm),
        duration(row.time_s),
    ]
}

/// What the numbers leave open where cut rate or friction were only named.
fn ranges(rows: &[VaryRow]) -> Option<String> {
    let row = rows.first()?;
    let (removal, heat) = (&row.removal, &row.heat);
    let mut named = Vec::new();
    if removal.interior_upper_um > removal.interior_lower_um {
        named.push("cut rate (what comes off)");
    }
    if heat.peak_rise_upper_k > heat.peak_rise_lower_k {
        named.push("friction share (how hot)");
    }
    (!named.is_empty()).then(|| {
        format!(
            "The ranges in brackets are those of the {}, known by class only; they move all values together. Give numbers of your own to narrow them.",
            named.join(" and the ")
        )
    })
}

/// The value without its unit, as it was set.
fn value_only(row: &VaryRow, key: usize) -> String {
    let written = row.written.get(key).map_or("", String::as_str);
    short_number(written.split(' ').next().unwrap_or(""))
}

/// The value in few digits, with its unit.
fn after_value(row: &VaryRow) -> String {
    let written = row.written.first().map_or("", String::as_str);
    let unit = written.split_once(' ').map_or("", |(_, unit)| unit);
    format!("{} {unit}", value_only(row, 0))
        .trim_end()
        .to_owned()
}

/// Where the surface begins to pass the limit, or ceases to.
fn remarks(key: &Span, rows: &[VaryRow], units: Units) -> Vec<String> {
    let limit = Kind::Temperature.told(STOP_C, units);
    let is_over = |row: &VaryRow| row.heat.peak_c > STOP_C;
    let mut told = Vec::new();
    if rows.iter().all(is_over) {
        told.push(format!("All of them pass {limit}, where the trade stops."));
    }
    for pair in rows.windows(2) {
        let (before, after) = (&pair[0], &pair[1]);
        let between = format!(
            "Between {} = {} and {}",
            key.key,
            value_only(before, 0),
            after_value(after)
        );
        match (is_over(before), is_over(after)) {
            (false, true) => told.push(format!(
                "{between} the surface begins to pass {limit}, where the trade stops."
            )),
            (true, false) => told.push(format!(
                "{between} the surface comes to stay under {limit}, where the trade stops."
            )),
            _ => {}
        }
    }
    told.truncate(3);
    told
}

/// The same for a grid, where a range has no room.
fn shares(rows: &[VaryRow]) -> Option<String> {
    let row = rows.first()?;
    let (removal, heat) = (&row.removal, &row.heat);
    let mut named = Vec::new();
    let mut name = |what: &str, (lower, middle, upper): (f64, f64, f64)| {
        if upper > lower && middle > 0.0 {
            let (low, high) = (lower / middle, upper / middle);
            named.push(format!("{what} {low:.2} to {high:.2} times as much"));
        }
    };
    let removed = (
        removal.interior_lower_um,
        removal.interior_mean_um,
        removal.interior_upper_um,
    );
    name("what comes off may be", removed);
    let lower_k = heat.peak_rise_lower_k.unwrap_or(0.0);
    let upper_k = heat.peak_rise_upper_k.unwrap_or(0.0);
    name(
        "the rise over the start",
        (lower_k, heat.peak_rise_k, upper_k),
    );
    (!named.is_empty()).then(|| {
        format!(
            "Without the ranges of what is known by class only: {}.",
            named.join(", ")
        )
    })
}

/// What stands over the grids: how many pass the limit, and the ranges.
fn above_the_grids(rows: &[VaryRow], units: Units) -> String {
    let mut text = String::new();
    let over = rows.iter().filter(|row| row.heat.peak_c > STOP_C).count();
    if over > 0 {
        let _ = writeln!(
            text,
            "{over} of {} pass {}, where the trade stops.",
            rows.len(),
            Kind::Temperature.told(STOP_C, units)
        );
    }
    if let Some(shares) = shares(rows) {
        for line in wrapped(&shares, WIDTH) {
            let _ = writeln!(text, "{line}");
        }
    }
    text
}

fn grids((first, second): (&Span, &Span), rows: &[VaryRow], units: Units) -> String {
    let mut text = String::new();
    let depth = Kind::Depth.sign(units);
    let hot = Kind::Temperature.sign(units);
    let _ = writeln!(text, "Down: {}. Across: {}.", named(first), named(second));
    let columns = second.count;
    let every = |count: usize, most: usize| count.div_ceil(most).max(1);
    let (down, across) = (
        every(first.count, MOST_SHOWN.0),
        every(columns, MOST_SHOWN.1),
    );
    if down > 1 || across > 1 {
        let _ = writeln!(
            text,
            "Shown: one value in {down} down, one in {across} across; --json and --out have all."
        );
    }
    text.push_str(&above_the_grids(rows, units));
    type Cell<'a> = (String, &'a dyn Fn(&VaryRow) -> String);
    let cells: [Cell<'_>; 3] = [
        (format!("Takes off away from the rim, {depth}"), &|r| {
            Kind::Depth.number(r.removal.interior_mean_um, units)
        }),
        (format!("Hottest, {hot}"), &|r| {
            Kind::Temperature.number(r.heat.peak_c, units)
        }),
        ("Unevenness, %".to_owned(), &|r| {
            format!("{:.1}", 100.0 * r.removal.interior_cv)
        }),
    ];
    let shown = if rows.iter().any(moves) { 3 } else { UNEVEN };
    for (title, cell) in &cells[..shown] {
        let _ = write!(text, "\n{title}\n{:<10}", "");
        for column in (0..columns).step_by(across) {
            let head = rows.get(column).map_or(String::new(), |r| value_only(r, 1));
            let _ = write!(text, "{head:>8}");
        }
        let _ = writeln!(text);
        for line in rows.chunks(columns).step_by(down) {
            let _ = write!(
                text,
                "{:<10}",
                line.first().map_or(String::new(), |r| value_only(r, 0))
            );
            for row in line.iter().step_by(across) {
                let _ = write!(text, "{:>8}", cell(row));
            }
            let _ = writeln!(text);
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use lapwing_job::bench::HeatWatch;
    use lapwing_job::bench::vary::{points, read_span, vary};

    const SETUP: &str = "[panel]\nsize = [\"0.3 m\", \"0.3 m\"]\nsubstrate = \"plastic\"\n\
        [machine]\nkind = \"rotary\"\nspeed = \"1500 rpm\"\n[pad]\ndiameter = \"125 mm\"\n\
        [touch]\nforce = \"40 N\"\n[stroke]\npattern = \"still\"\nduration = \"10 s\"\n[heat]\ndetail = \"quick\"\n";

    fn said(spans: &[&str], units: Units) -> String {
        let keys: Vec<Span> = spans.iter().map(|s| read_span(s).expect("good")).collect();
        let points = points("s.toml", SETUP, &|_| Err(String::new()), &keys).expect("good");
        series(
            &keys,
            &vary(&points, HeatWatch::default()).expect("works"),
            units,
        )
    }

    #[test]
    fn one_key_is_a_table_that_says_where_the_limit_is_passed() {
        let told = said(&["touch.force=10N..60N/6"], Units::Metric);
        assert!(told.starts_with("touch.force, N"), "{told}");
        assert_eq!(
            told.lines().take_while(|l| !l.is_empty()).count(),
            7,
            "{told}"
        );
        assert!(told.contains("the surface begins to pass 60 °C"), "{told}");
        assert!(told.lines().all(|l| l.chars().count() <= WIDTH), "{told}");
    }

    #[test]
    fn two_keys_are_three_grids_in_the_users_units() {
        let told = said(
            &["touch.force=20N..40N/2", "stroke.duration=2s..6s/3"],
            Units::Us,
        );
        for title in ["Takes off away from the rim, mil", "Hottest, °F"] {
            assert!(told.contains(title), "{told}");
        }
        // The pad stands, so there is nothing to be uneven; the ranges are told.
        assert!(!told.contains("Unevenness"), "{told}");
        assert!(told.contains("0.50 to 2.00 times"), "{told}");
        assert!(
            !told.contains("°C") && told.contains("Down: touch.force, N."),
            "{told}"
        );
    }

    #[test]
    fn a_wide_grid_is_thinned_and_says_so() {
        let told = said(
            &["touch.force=20N..40N/2", "stroke.duration=1s..3s/21"],
            Units::Metric,
        );
        assert!(told.contains("one in 3 across"), "{told}");
        assert!(told.lines().all(|l| l.chars().count() <= WIDTH), "{told}");
    }
}
