//! Reads `[stroke]`: where the pad goes, and when.
//!
//! Source: habits of the trade for what is left out.
//! Left out: slowing down at the turns.
//! Checked by: the reader's tests.

use lapwing_measure::Provenance;
use lapwing_measure::quantity::{AngularVelocity, Length, Time, Velocity, Written};
use lapwing_physics::contact::Pad;
use lapwing_physics::motion::Motion;
use lapwing_physics::stroke::{Along, Coverage, Margin, Section, SpreadPass, Way};
use uom::si::angular_velocity::revolution_per_minute;
use uom::si::length::millimeter;
use uom::si::time::second;
use uom::si::velocity::{meter_per_second, millimeter_per_second};

use super::{Files, Notes, path};
use crate::bench::setup::{Lines, Route};
use crate::bench::written::{WrittenSpread, WrittenStroke};
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

/// What is known before the stroke is read.
pub(super) struct Held<'a> {
    pub(super) section: &'a Section,
    pub(super) pad: &'a Pad,
    pub(super) motion: &'a Motion,
}

pub(super) fn route(
    reader: &Reader<'_>,
    written: &WrittenStroke,
    held: &Held<'_>,
    (files, notes): (Files<'_>, &mut Notes),
) -> Result<Route, InputError> {
    let pattern = reader.word(&written.pattern, "stroke.pattern", &PATTERNS)?;
    refuse_strangers(reader, written, pattern)?;
    note_unused(written, pattern, notes);
    let along = reader.word_or(
        written.along.as_ref(),
        "stroke.along",
        &[("x", Along::X), ("y", Along::Y)],
        Along::X,
    )?;
    let way = match pattern {
        Pattern::Still => return Ok(Route::Still(duration(reader, written)?)),
        Pattern::Path => return points(reader, written, (held.section, files)),
        Pattern::Line => Way::Line(along),
        Pattern::Parallel => Way::Parallel(along),
        Pattern::CrossHatch => Way::CrossHatch,
    };
    let spread = match &written.spread {
        Some(spread) => Some(spread_pass(reader, spread, (held.motion, notes))?),
        None => None,
    };
    Ok(Route::Lines(Lines {
        coverage: coverage(reader, written, held, notes)?,
        way,
        spread,
        has_own_margin: written.margin.is_some(),
    }))
}

/// A duration for a moving pad and a table for anything but a path contradict
/// the pattern.
fn refuse_strangers(
    reader: &Reader<'_>,
    written: &WrittenStroke,
    pattern: Pattern,
) -> Result<(), InputError> {
    if let (Some(text), false) = (&written.duration, pattern == Pattern::Still) {
        return Err(reader.fault(&text.0, "stroke.duration is for pattern \"still\" only; a moving pad takes what its path and arm speed ask for. Remove it."));
    }
    if let (Some(text), false) = (&written.file, pattern == Pattern::Path) {
        return Err(reader.fault(
            &text.0,
            "stroke.file is for pattern \"path\" only. Remove it, or use that pattern.",
        ));
    }
    Ok(())
}

/// Says which keys the pattern has no use for.
fn note_unused(written: &WrittenStroke, pattern: Pattern, notes: &mut Notes) {
    let is_standing = matches!(pattern, Pattern::Still | Pattern::Path);
    let is_single = is_standing || pattern == Pattern::Line;
    let why = match pattern {
        Pattern::Still => "A still pad does not move",
        Pattern::Path => "The points of the path say where and how fast",
        Pattern::Line => "One line has no neighbours",
        Pattern::Parallel | Pattern::CrossHatch => "Passes run along x and along y in turn",
    };
    let is_crossed = pattern == Pattern::CrossHatch;
    let unused = [
        (
            "stroke.arm_speed",
            written.arm_speed.is_some() && is_standing,
        ),
        ("stroke.overlap", written.overlap.is_some() && is_single),
        ("stroke.passes", written.passes.is_some() && is_standing),
        ("stroke.shift", written.shift.is_some() && is_single),
        ("stroke.wait", written.wait.is_some() && is_standing),
        ("stroke.margin", written.margin.is_some() && is_standing),
        ("stroke.spread", written.spread.is_some() && is_standing),
        (
            "stroke.along",
            written.along.is_some() && (is_standing || is_crossed),
        ),
    ];
    for (key, is_unused) in unused {
        if is_unused {
            notes.caution(key, format!("{why}: the key was not used."));
        }
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
        (
            lasts.get::<second>(),
            "s, because no touch is shorter and nobody stands two hours",
        ),
        (0.01, 7200.0),
    )?;
    Ok(lasts)
}

fn coverage(
    reader: &Reader<'_>,
    written: &WrittenStroke,
    held: &Held<'_>,
    notes: &mut Notes,
) -> Result<Coverage, InputError> {
    notes.if_absent(
        "stroke.arm_speed",
        written.arm_speed.as_ref(),
        ("1 in/s", Provenance::CommonPractice),
    );
    let inch_a_second = Velocity::new::<meter_per_second>(0.0254);
    let overlap_key = "stroke.overlap (share of the pad diameter; at 1 the pad never moves on)";
    let shift_key = "stroke.shift (share of the line spacing; 0.5 puts lines between lines, and at 1 they lie on the old ones again)";
    Ok(Coverage {
        section: *held.section,
        pad_radius: held.pad.radius,
        overlap_frac: reader.number_or(written.overlap.as_ref(), overlap_key, (0.0, 0.95), 0.5)?,
        margin: margin(reader, written.margin.as_ref(), held)?,
        arm_speed: arm_speed(
            reader,
            written.arm_speed.as_ref(),
            ("stroke.arm_speed", inch_a_second),
        )?,
        passes: passes(reader, written)?,
        shift_frac: reader.number_or(written.shift.as_ref(), shift_key, (0.0, 1.0), 0.0)?,
        wait: wait(reader, written.wait.as_ref())?,
    })
}

fn arm_speed(
    reader: &Reader<'_>,
    text: Option<&Text>,
    (key, otherwise): (&str, Velocity),
) -> Result<Velocity, InputError> {
    let Some(text) = text else {
        return Ok(otherwise);
    };
    let speed: Velocity = reader.quantity(text, key)?;
    reader.within(
        text,
        key,
        (
            speed.get::<millimeter_per_second>(),
            "mm/s, because an arm moves 10 to 150",
        ),
        (1.0, 1000.0),
    )?;
    Ok(speed)
}

fn passes(reader: &Reader<'_>, written: &WrittenStroke) -> Result<u32, InputError> {
    let refuse = |count| {
        Err(reader.fault(count, format!("stroke.passes is {}; allowed is 1 to 100, because after a few passes one measures again.", count.get_ref())))
    };
    match &written.passes {
        Some(count) => match u32::try_from(*count.get_ref()) {
            Ok(passes @ 1..=100) => Ok(passes),
            _ => refuse(count),
        },
        None => Ok(1),
    }
}

fn wait(reader: &Reader<'_>, text: Option<&Text>) -> Result<Time, InputError> {
    let wait: Time = reader.quantity_or(text, "stroke.wait", Time::new::<second>(0.0))?;
    if let Some(text) = text {
        reader.within(
            text,
            "stroke.wait",
            (
                wait.get::<second>(),
                "s, because after two hours a panel is at the air's temperature again",
            ),
            (0.0, 7200.0),
        )?;
    }
    Ok(wait)
}

fn margin(reader: &Reader<'_>, text: Option<&Text>, held: &Held<'_>) -> Result<Margin, InputError> {
    let Some(text) = text else {
        return Ok(Margin::PadInside);
    };
    match text.0.get_ref().as_str() {
        "pad-inside" => return Ok(Margin::PadInside),
        "centre-to-rim" => return Ok(Margin::CentreToRim),
        "pad-outside" => return Ok(Margin::Inset(-held.pad.radius)),
        _ => {}
    }
    let inset: Length = Written::read(text.0.get_ref()).map_err(|e| {
        reader.fault(
            &text.0,
            format!("stroke.margin: {e}. Or a word: pad-inside, centre-to-rim, pad-outside."),
        )
    })?;
    let most_mm = 0.49
        * held
            .section
            .width
            .min(held.section.height)
            .get::<millimeter>();
    reader.within(
        text,
        "stroke.margin",
        (
            inset.get::<millimeter>(),
            "mm from the rim to the pad's centre, because beyond its radius the pad misses the panel and beyond the middle there is no line",
        ),
        (-held.pad.radius.get::<millimeter>(), most_mm),
    )?;
    Ok(Margin::Inset(inset))
}

fn spread_pass(
    reader: &Reader<'_>,
    written: &WrittenSpread,
    (motion, notes): (&Motion, &mut Notes),
) -> Result<SpreadPass, InputError> {
    notes.if_absent(
        "stroke.spread.arm_speed",
        written.arm_speed.as_ref(),
        ("150 mm/s", Provenance::CommonPractice),
    );
    let usual = Velocity::new::<meter_per_second>(0.15);
    let working = match *motion {
        Motion::Rotary { spin } => spin,
        Motion::RandomOrbital { orbit, .. } | Motion::ForcedRotation { orbit, .. } => orbit,
    };
    let turns = |speed: AngularVelocity| {
        let exact = speed.get::<revolution_per_minute>();
        (exact * 1e6).round() / 1e6
    };
    let mut strength_frac = 1.0;
    if let Some(text) = &written.machine_speed {
        let key = "stroke.spread.machine_speed";
        let speed: AngularVelocity = reader.quantity(text, key)?;
        reader.within(
            text,
            key,
            (
                turns(speed),
                "turns or orbits a minute, because one spreads no faster than one works",
            ),
            (50.0, turns(working)),
        )?;
        strength_frac = (speed / working).value.min(1.0);
    }
    Ok(SpreadPass {
        arm_speed: arm_speed(
            reader,
            written.arm_speed.as_ref(),
            ("stroke.spread.arm_speed", usual),
        )?,
        strength_frac,
    })
}

fn points(
    reader: &Reader<'_>,
    written: &WrittenStroke,
    (section, files): (&Section, Files<'_>),
) -> Result<Route, InputError> {
    let Some(text) = &written.file else {
        return Err(reader.fault(&written.pattern.0, "stroke.file is missing: pattern \"path\" needs a table with the columns x, y and t, such as file = \"way.csv\" with a first line x_mm,y_mm,t_s."));
    };
    let name = text.0.get_ref();
    let content = files(name)
        .map_err(|sentence| reader.fault(&text.0, format!("stroke.file: {sentence}")))?;
    path::points(name, &content, section).map(Route::Points)
}
