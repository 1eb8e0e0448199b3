//! Reads the points of a path from a table of x, y and t.
//!
//! Law: none. Columns are found by their first letter; the unit stands behind
//! it in the first line: `x_mm`, `y (in)`, `t [s]`. Lines with `#` are remarks.
//! Holds: for tables separated by commas, semicolons or tabs.
//! Left out: lifting the pad on the way; use waits between passes.
//! Checked by: the reader's tests.

use lapwing_measure::quantity::{Length, Time, length, time};
use lapwing_physics::stroke::{Section, Waypoint};
use uom::si::length::meter;
use uom::si::time::second;

use crate::record::InputError;

/// Most points of a path.
const MOST_POINTS: usize = 20_000;
/// Fastest an arm moves, m/s.
const FASTEST_M_S: f64 = 2.0;

/// The points of a table, each on the panel and later than the one before.
pub(super) fn points(
    name: &str,
    content: &str,
    section: &Section,
) -> Result<Vec<Waypoint>, InputError> {
    let first = content
        .lines()
        .find(|line| !line.trim_start().starts_with('#'));
    let separator = [b';', b'\t']
        .into_iter()
        .find(|mark| first.is_some_and(|line| line.as_bytes().contains(mark)))
        .unwrap_or(b',');
    let mut table = csv::ReaderBuilder::new()
        .trim(csv::Trim::All)
        .delimiter(separator)
        .comment(Some(b'#'))
        .flexible(true)
        .from_reader(content.as_bytes());
    let headers = table.headers().cloned().unwrap_or_default();
    let columns = columns(name, &headers)?;
    let mut points: Vec<Waypoint> = Vec::new();
    for row in table.records() {
        let at = |line: u64, sentence: String| {
            InputError::at(name, usize::try_from(line).unwrap_or(0), None, sentence)
        };
        let row = row.map_err(|e| {
            at(
                e.position().map_or(1, csv::Position::line),
                "the line is not text. Write one point a line: x, y, t.".to_owned(),
            )
        })?;
        let line = row.position().map_or(1, csv::Position::line);
        let point = numbers(&row, &columns, separator)
            .and_then(|place| waypoint(place, (section, points.last())))
            .map_err(|sentence| at(line, sentence))?;
        points.push(point);
        if points.len() > MOST_POINTS {
            return Err(at(
                line,
                format!(
                    "more than {MOST_POINTS} points came in. Leave out points on straight stretches."
                ),
            ));
        }
    }
    if points.len() < 2 {
        return Err(InputError::in_file(
            name,
            format!(
                "{} came in; a path needs at least two.",
                if points.len() == 1 {
                    "1 point".to_owned()
                } else {
                    "no point".to_owned()
                }
            ),
        ));
    }
    Ok(points)
}

/// A column: where it stands and what one of its unit is in SI units.
struct Column {
    name: char,
    at: usize,
    si_per_unit: f64,
}

fn columns(name: &str, headers: &csv::StringRecord) -> Result<[Column; 3], InputError> {
    let refuse = |sentence: String| InputError::at(name, 1, None, sentence);
    let column = |letter: char| {
        let found = headers.iter().enumerate().find_map(|(at, header)| {
            let rest = header.strip_prefix([letter, letter.to_ascii_uppercase()])?;
            let is_word = rest.starts_with(|c: char| c.is_alphanumeric());
            (!is_word).then_some((at, rest))
        });
        let (at, rest) = found.ok_or_else(|| {
            refuse(format!("the column {letter} is missing; the first line must name x, y and t with their units, such as x_mm,y_mm,t_s."))
        })?;
        let unit: String = rest.chars().filter(|c| !"_ ()[],".contains(*c)).collect();
        if unit.is_empty() {
            return Err(refuse(format!(
                "the column {letter} has no unit. Write it behind the letter: x_mm, y_mm (or _m, _in) and t_s."
            )));
        }
        let one = format!("1 {unit}");
        let si_per_unit = if letter == 't' {
            time(&one).map(|t| t.get::<second>())
        } else {
            length(&one).map(|l| l.get::<meter>())
        };
        si_per_unit
            .map(|si_per_unit| Column {
                name: letter,
                at,
                si_per_unit,
            })
            .map_err(|e| refuse(format!("the unit of the column {letter}: {e}.")))
    };
    Ok([column('x')?, column('y')?, column('t')?])
}

/// x, y and t of a row in SI units.
fn numbers(
    row: &csv::StringRecord,
    columns: &[Column; 3],
    separator: u8,
) -> Result<(f64, f64, f64), String> {
    let mut place = [0.0; 3];
    for (value, column) in place.iter_mut().zip(columns) {
        let cell = row.get(column.at).unwrap_or("");
        // A decimal comma cannot be mistaken where columns are not cut by commas.
        let plain = if separator == b',' {
            cell.to_owned()
        } else {
            cell.replace(',', ".")
        };
        let number = plain.parse::<f64>().ok().filter(|n| n.is_finite());
        *value = column.si_per_unit
            * number.ok_or_else(|| {
                format!(
                    "{} is \"{cell}\", which is not a number. Write one point a line, with decimal points.",
                    column.name
                )
            })?;
    }
    let [x_m, y_m, t_s] = place;
    Ok((x_m, y_m, t_s))
}

fn waypoint(
    (x_m, y_m, t_s): (f64, f64, f64),
    (section, before): (&Section, Option<&Waypoint>),
) -> Result<Waypoint, String> {
    let (width_m, height_m) = (section.width.get::<meter>(), section.height.get::<meter>());
    if !(0.0..=width_m).contains(&x_m) || !(0.0..=height_m).contains(&y_m) {
        return Err(format!(
            "the path leaves the panel: ({x_m}, {y_m}) m came in, allowed is 0 to {width_m} by 0 to {height_m} m, counted from the lower left corner. Move the point or enlarge panel.size."
        ));
    }
    if let Some(b) = before {
        let before_s = b.at.get::<second>();
        if t_s <= before_s {
            return Err(format!(
                "t is {t_s} s, not later than {before_s} s of the point before. Times must grow along the path."
            ));
        }
        let far_m = (x_m - b.x.value).hypot(y_m - b.y.value);
        let speed_m_s = far_m / (t_s - before_s);
        if speed_m_s > FASTEST_M_S {
            return Err(format!(
                "from the point before the arm would move at {speed_m_s:.1} m/s; allowed is up to {FASTEST_M_S} m/s, because no arm is faster. Check the times."
            ));
        }
    }
    let metres = Length::new::<meter>;
    Ok(Waypoint {
        x: metres(x_m),
        y: metres(y_m),
        at: Time::new::<second>(t_s),
    })
}
