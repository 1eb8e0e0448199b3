//! Reads `[stroke]`: where the pad goes, and when.
//!
//! Source: habits of the trade for what is left out.
//! Left out: slowing down at the turns.
//! Checked by: the reader's tests.

use lapwing_measure::Provenance;
use lapwing_measure::quantity::{Length, Time, Velocity, Written};
use lapwing_physics::contact::Pad;
use lapwing_physics::stroke::{Along, Coverage, Margin, Section, Waypoint};
use uom::si::length::{meter, millimeter};
use uom::si::time::second;
use uom::si::velocity::{meter_per_second, millimeter_per_second};

use super::{Files, Notes};
use crate::bench::setup::Route;
use crate::bench::written::WrittenStroke;
use crate::record::InputError;
use crate::record::read::field::Reader;
use crate::record::written::Text;

#[derive(Clone, Copy, PartialEq)]
enum Pattern {
    Still,
    Line,
    Parallel,
    CrossHatch,
    Path,
}

const PATTERNS: [(&str, Pattern); 5] = [
    ("still", Pattern::Still),
    ("line", Pattern::Line),
    ("parallel", Pattern::Parallel),
    ("cross-hatch", Pattern::CrossHatch),
    ("path", Pattern::Path),
];

pub(super) fn route(
    reader: &Reader<'_>,
    written: &WrittenStroke,
    (section, pad): (&Section, &Pad),
    (files, notes): (Files<'_>, &mut Notes),
) -> Result<Route, InputError> {
    let pattern = reader.word(&written.pattern, "stroke.pattern", &PATTERNS)?;
    if let (Some(text), false) = (&written.duration, pattern == Pattern::Still) {
        return Err(reader.fault(&text.0, "stroke.duration is for pattern \"still\" only; a moving pad takes what its path and arm speed ask for. Remove it."));
    }
    let along = reader.word_or(
        written.along.as_ref(),
        "stroke.along",
        &[("x", Along::X), ("y", Along::Y)],
        Along::X,
    )?;
    match pattern {
        Pattern::Still => Ok(Route::Still(duration(reader, written)?)),
        Pattern::Path => points(reader, written, (section, files)),
        Pattern::Line => Ok(Route::Line(
            coverage(reader, written, (section, pad), notes)?,
            along,
        )),
        Pattern::Parallel => Ok(Route::Parallel(
            coverage(reader, written, (section, pad), notes)?,
            along,
        )),
        Pattern::CrossHatch => Ok(Route::CrossHatch(coverage(
            reader,
            written,
            (section, pad),
            notes,
        )?)),
    }
}

fn duration(reader: &Reader<'_>, written: &WrittenStroke) -> Result<Time, InputError> {
    let Some(text) = &written.duration else {
        return Err(reader.fault(&written.pattern.0, "stroke.duration is missing: a still pad needs to know how long, such as duration = \"5 s\"."));
    };
    let lasts: Time = reader.quantity(text, "stroke.duration")?;
    reader.within(
        text,
        "stroke.duration",
        (lasts.get::<second>(), "s"),
        (0.05, 7200.0),
    )?;
    Ok(lasts)
}

fn coverage(
    reader: &Reader<'_>,
    written: &WrittenStroke,
    (section, pad): (&Section, &Pad),
    notes: &mut Notes,
) -> Result<Coverage, InputError> {
    if let Some(text) = &written.file {
        return Err(reader.fault(
            &text.0,
            "stroke.file is for pattern \"path\" only. Remove it, or use that pattern.",
        ));
    }
    let arm_speed = arm_speed(reader, written)?;
    notes.if_absent(
        "stroke.arm_speed",
        written.arm_speed.as_ref(),
        ("1 in/s", Provenance::CommonPractice),
    );
    let passes = passes(reader, written)?;
    let wait: Time = reader.quantity_or(
        written.wait.as_ref(),
        "stroke.wait",
        Time::new::<second>(0.0),
    )?;
    if let Some(text) = &written.wait {
        reader.within(
            text,
            "stroke.wait",
            (wait.get::<second>(), "s"),
            (0.0, 7200.0),
        )?;
    }
    let overlap_key = "stroke.overlap (share of the pad diameter; at 1 the pad never moves on)";
    Ok(Coverage {
        section: *section,
        pad_radius: pad.radius,
        overlap_frac: reader.number_or(written.overlap.as_ref(), overlap_key, (0.0, 0.95), 0.5)?,
        margin: margin(reader, written.margin.as_ref(), (section, pad))?,
        arm_speed,
        passes,
        shift_frac: reader.number_or(
            written.shift.as_ref(),
            "stroke.shift (share of the line spacing)",
            (0.0, 1.0),
            0.0,
        )?,
        wait,
    })
}

fn arm_speed(reader: &Reader<'_>, written: &WrittenStroke) -> Result<Velocity, InputError> {
    Ok(match &written.arm_speed {
        Some(text) => {
            let speed: Velocity = reader.quantity(text, "stroke.arm_speed")?;
            reader.within(
                text,
                "stroke.arm_speed",
                (
                    speed.get::<millimeter_per_second>(),
                    "mm/s, because an arm moves 10 to 150",
                ),
                (1.0, 1000.0),
            )?;
            speed
        }
        None => Velocity::new::<meter_per_second>(0.0254),
    })
}

fn passes(reader: &Reader<'_>, written: &WrittenStroke) -> Result<u32, InputError> {
    Ok(match &written.passes {
        Some(count) if (1..=100).contains(count.get_ref()) => *count.get_ref() as u32,
        Some(count) => return Err(reader.fault(count, format!("stroke.passes is {}; allowed is 1 to 100, because after a few passes one measures again.", count.get_ref()))),
        None => 1,
    })
}

fn margin(
    reader: &Reader<'_>,
    text: Option<&Text>,
    (section, pad): (&Section, &Pad),
) -> Result<Margin, InputError> {
    let Some(text) = text else {
        return Ok(Margin::PadInside);
    };
    match text.0.get_ref().as_str() {
        "pad-inside" => return Ok(Margin::PadInside),
        "centre-to-rim" => return Ok(Margin::CentreToRim),
        _ => {}
    }
    let inset: Length = Written::read(text.0.get_ref()).map_err(|e| {
        reader.fault(
            &text.0,
            format!("stroke.margin: {e} Or a word: pad-inside, centre-to-rim."),
        )
    })?;
    let most_mm = 0.49 * section.width.min(section.height).get::<millimeter>();
    reader.within(
        text,
        "stroke.margin",
        (
            inset.get::<millimeter>(),
            "mm, from the rim to the pad's centre; below zero it starts outside",
        ),
        (-pad.radius.get::<millimeter>(), most_mm),
    )?;
    Ok(Margin::Inset(inset))
}

/// Most points of a path.
const MOST_POINTS: usize = 20_000;

fn points(
    reader: &Reader<'_>,
    written: &WrittenStroke,
    (section, files): (&Section, Files<'_>),
) -> Result<Route, InputError> {
    let Some(text) = &written.file else {
        return Err(reader.fault(&written.pattern.0, "stroke.file is missing: pattern \"path\" needs a CSV file with the columns x_m, y_m, t_s."));
    };
    let name = text.0.get_ref();
    let content = files(name)
        .map_err(|sentence| reader.fault(&text.0, format!("stroke.file: {sentence}")))?;
    let mut table = csv::ReaderBuilder::new()
        .trim(csv::Trim::All)
        .from_reader(content.as_bytes());
    let headers: Vec<String> = table
        .headers()
        .map(|h| h.iter().map(str::to_owned).collect())
        .unwrap_or_default();
    let column = |wanted: &str, short: &str| {
        headers.iter().position(|h| h == wanted || h == short).ok_or_else(|| {
            InputError::at(name.as_str(), 1, None, format!("the column {wanted} is missing; the first line must name x_m, y_m and t_s (metres and seconds)."))
        })
    };
    let columns = [
        column("x_m", "x")?,
        column("y_m", "y")?,
        column("t_s", "t")?,
    ];
    let mut points: Vec<Waypoint> = Vec::new();
    for (index, row) in table.records().enumerate() {
        let line = index + 2;
        let refuse = |sentence: String| InputError::at(name.as_str(), line, None, sentence);
        let row = row.map_err(|e| refuse(format!("{e}. Write one point a line: x, y, t.")))?;
        let [x_m, y_m, t_s] = columns.map(|c| {
            row.get(c)
                .and_then(|cell| cell.parse::<f64>().ok())
                .unwrap_or(f64::NAN)
        });
        let point = waypoint((x_m, y_m, t_s), (section, points.last())).map_err(refuse)?;
        points.push(point);
        if points.len() > MOST_POINTS {
            return Err(refuse(format!(
                "more than {MOST_POINTS} points came in. Leave out points on straight stretches."
            )));
        }
    }
    if points.len() < 2 {
        return Err(InputError::in_file(
            name.as_str(),
            format!("{} point came in; a path needs at least two.", points.len()),
        ));
    }
    Ok(Route::Points(points))
}

fn waypoint(
    (x_m, y_m, t_s): (f64, f64, f64),
    (section, before): (&Section, Option<&Waypoint>),
) -> Result<Waypoint, String> {
    let (width_m, height_m) = (section.width.get::<meter>(), section.height.get::<meter>());
    if !(x_m.is_finite() && y_m.is_finite() && t_s.is_finite()) {
        return Err(
            "x, y or t is not a number. Write metres and seconds with a decimal point.".to_owned(),
        );
    }
    if !(0.0..=width_m).contains(&x_m) || !(0.0..=height_m).contains(&y_m) {
        return Err(format!(
            "the path leaves the panel: ({x_m}, {y_m}) m came in, allowed is 0 to {width_m} by 0 to {height_m} m. Move the point or enlarge panel.size."
        ));
    }
    if before.is_some_and(|b| t_s <= b.at.get::<second>()) {
        return Err(format!(
            "t is {t_s} s, not later than the point before. Times must grow along the path."
        ));
    }
    if let Some(b) = before {
        let far_m = (x_m - b.x.value).hypot(y_m - b.y.value);
        let speed_m_s = far_m / (t_s - b.at.value);
        if speed_m_s > 2.0 {
            return Err(format!(
                "from the point before the arm would move at {speed_m_s:.1} m/s; allowed is up to 2 m/s. Check the times."
            ));
        }
    }
    let length = |m: f64| Length::new::<meter>(m);
    Ok(Waypoint {
        x: length(x_m),
        y: length(y_m),
        at: Time::new::<second>(t_s),
    })
}
