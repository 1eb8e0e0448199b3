//! Reads `[machine]`, `[pad]` and `[touch]`.
//!
//! Source: stiffness of pad foam is assumed; ranges of machines are habits of
//! the trade.
//! Left out: machines whose pad does not turn or orbit.
//! Checked by: the reader's tests.

use std::ops::Range;

use lapwing_measure::Provenance;
use lapwing_measure::quantity::{Angle, AngularVelocity, Force, Length, Pressure, Torque};
use lapwing_physics::contact::{Lean, Pad, Touch};
use lapwing_physics::motion::Motion;
use uom::si::angle::degree;
use uom::si::angular_velocity::{radian_per_second, revolution_per_minute};
use uom::si::force::newton;
use uom::si::length::millimeter;
use uom::si::pressure::kilopascal;
use uom::si::torque::newton_meter;

use super::Notes;
use crate::bench::classes;
use crate::bench::setup::Spread;
use crate::bench::written::{WrittenMachine, WrittenPad, WrittenTouch};
use crate::record::InputError;
use crate::record::job::PadClass;
use crate::record::read::field::Reader;
use crate::record::written::Text;

#[derive(Clone, Copy, PartialEq)]
enum Kind {
    Rotary,
    Random,
    Forced,
}

pub(super) fn motion(
    reader: &Reader<'_>,
    written: &WrittenMachine,
    notes: &mut Notes,
) -> Result<Motion, InputError> {
    let kinds = [
        ("rotary", Kind::Rotary),
        ("random-orbital", Kind::Random),
        ("forced-rotation", Kind::Forced),
    ];
    let kind = reader.word(&written.kind, "machine.kind", &kinds)?;
    let speed = speed(reader, written, kind, notes)?;
    if kind == Kind::Rotary {
        for (text, key) in [
            (&written.orbit, "machine.orbit"),
            (&written.spin, "machine.spin"),
        ] {
            if text.is_some() {
                notes.caution(key, "A rotary has no orbit: the key was not used.");
            }
        }
        return Ok(Motion::Rotary { spin: speed });
    }
    let Some(orbit) = &written.orbit else {
        return Err(reader.fault(&written.kind.0, "machine.orbit is missing: an orbital machine needs its orbit diameter, such as orbit = \"15 mm\"."));
    };
    let diameter: Length = reader.quantity(orbit, "machine.orbit")?;
    reader.within(
        orbit,
        "machine.orbit",
        (
            diameter.get::<millimeter>(),
            "mm, because orbits of hand machines are 3 to 25 mm across",
        ),
        (0.01, 60.0),
    )?;
    let spin = spin(reader, written, notes)? * speed.value.signum();
    let orbit_radius = diameter / 2.0;
    Ok(match kind {
        Kind::Forced => Motion::ForcedRotation {
            orbit_radius,
            orbit: speed,
            turns_per_orbit: (spin / speed).value,
        },
        Kind::Rotary | Kind::Random => Motion::RandomOrbital {
            orbit_radius,
            orbit: speed,
            spin,
        },
    })
}

/// Speed of the machine, less than zero where it turns clockwise.
fn speed(
    reader: &Reader<'_>,
    written: &WrittenMachine,
    kind: Kind,
    notes: &mut Notes,
) -> Result<AngularVelocity, InputError> {
    let turns = rpm(
        reader,
        &written.speed,
        "machine.speed",
        (
            50.0,
            20_000.0,
            "turns or orbits a minute, because no hand machine runs outside that",
        ),
    )?;
    matching_unit(reader, &written.speed, kind, notes)?;
    if let Some(text) = written.spin.as_ref().filter(|text| is_orbits(text)) {
        return Err(reader.fault(&text.0, format!("machine.spin is \"{}\"; allowed are turns of the pad in rpm, because opm counts orbits. Write it like \"300 rpm\".", text.0.get_ref())));
    }
    let senses = [("anticlockwise", 1.0), ("clockwise", -1.0)];
    let sense = reader.word_or(written.turns.as_ref(), "machine.turns", &senses, 1.0)?;
    if written.turns.is_none() {
        notes.origin("machine.turns", "anticlockwise", Provenance::Assumed);
    }
    Ok(turns * sense)
}

fn is_orbits(text: &Text) -> bool {
    text.0
        .get_ref()
        .trim()
        .to_ascii_lowercase()
        .ends_with("opm")
}

/// A rotary turns, an orbital machine orbits.
fn matching_unit(
    reader: &Reader<'_>,
    speed: &Text,
    kind: Kind,
    notes: &mut Notes,
) -> Result<(), InputError> {
    let came = speed.0.get_ref();
    match (kind, is_orbits(speed)) {
        (Kind::Rotary, true) => Err(reader.fault(&speed.0, format!("machine.speed is \"{came}\"; allowed are turns a minute (rpm), because a rotary does not orbit. Write rpm, or set kind = \"random-orbital\" with its orbit."))),
        (Kind::Random | Kind::Forced, false) => {
            notes.caution("machine.speed", format!("\"{came}\" was read as orbits a minute, because that is the speed of an orbital machine. Write opm to make it plain; the pad's own turns go into machine.spin."));
            Ok(())
        }
        _ => Ok(()),
    }
}

fn rpm(
    reader: &Reader<'_>,
    text: &Text,
    key: &str,
    (least, most, why): (f64, f64, &str),
) -> Result<AngularVelocity, InputError> {
    let value: AngularVelocity = reader.quantity(text, key)?;
    let came = value.get::<revolution_per_minute>();
    reader.within(text, key, (came, why), (least, most))?;
    Ok(value)
}

/// Spin of an orbital machine's pad; none when it is not given.
fn spin(
    reader: &Reader<'_>,
    written: &WrittenMachine,
    notes: &mut Notes,
) -> Result<AngularVelocity, InputError> {
    Ok(match &written.spin {
        Some(text) => rpm(
            reader,
            text,
            "machine.spin",
            (
                -5000.0,
                5000.0,
                "turns a minute, because a pad turns slower than it orbits",
            ),
        )?,
        None => {
            notes.origin(
                "machine.spin",
                "0 rpm: the pad orbits without turning",
                Provenance::Assumed,
            );
            notes.caution("machine.spin", "No spin was given; the pad is taken to orbit without turning, which cuts least at its rim. Count the turns of a mark on the backing plate.");
            AngularVelocity::new::<radian_per_second>(0.0)
        }
    })
}

/// A pad with the range of its stiffness and its class.
pub(super) struct ReadPad {
    pub(super) bed: Pad,
    pub(super) stiffness_kpa: Spread,
    pub(super) class: Option<PadClass>,
}

pub(super) fn pad(
    reader: &Reader<'_>,
    written: &WrittenPad,
    notes: &mut Notes,
) -> Result<ReadPad, InputError> {
    let millimetres =
        |text: &Text, key: &str, range: (f64, f64), why: &str| -> Result<Length, InputError> {
            let value: Length = reader.quantity(text, key)?;
            reader.within(text, key, (value.get::<millimeter>(), why), range)?;
            Ok(value)
        };
    let diameter = millimetres(
        &written.diameter,
        "pad.diameter",
        (20.0, 400.0),
        "mm, because pads are made between those",
    )?;
    let class = match &written.class {
        Some(text) => Some(reader.word(text, "pad.class", PadClass::WORDS)?),
        None => None,
    };
    let (mut stiffness_kpa, thickness_mm) =
        classes::pad_bed(class.unwrap_or(PadClass::FoamPolishing));
    let mut bed = Pad::of_medium_foam(diameter / 2.0);
    bed.thickness = Length::new::<millimeter>(thickness_mm);
    if let Some(text) = &written.hole {
        let widest_mm = 0.9 * diameter.get::<millimeter>();
        let why = "mm, because a hole must leave face to work with";
        bed.hole_radius = millimetres(text, "pad.hole", (0.0, widest_mm), why)? / 2.0;
    }
    if let Some(text) = &written.thickness {
        let why = "mm, because pads are made between those";
        bed.thickness = millimetres(text, "pad.thickness", (1.0, 100.0), why)?;
    }
    if let Some(text) = &written.stiffness {
        let stiffness: Pressure = reader.quantity(text, "pad.stiffness")?;
        let came = stiffness.get::<kilopascal>();
        let why = "kPa, because foam has 20 to 200";
        reader.within(text, "pad.stiffness", (came, why), (1.0, 1e6))?;
        stiffness_kpa = Spread::given(came);
    }
    bed.stiffness = Pressure::new::<kilopascal>(stiffness_kpa.value);
    note_bed(written, (stiffness_kpa, thickness_mm), notes);
    Ok(ReadPad {
        bed,
        stiffness_kpa,
        class,
    })
}

fn note_bed(written: &WrittenPad, (stiffness_kpa, thickness_mm): (Spread, f64), notes: &mut Notes) {
    let Spread {
        value,
        lower,
        upper,
    } = stiffness_kpa;
    let (thickness, stiffness) = (
        format!("{thickness_mm} mm"),
        if lower < upper {
            format!("{value} kPa, {lower} kPa to {upper} kPa")
        } else {
            format!("{value} kPa")
        },
    );
    for (key, text, otherwise) in [
        ("pad.thickness", &written.thickness, thickness),
        ("pad.stiffness", &written.stiffness, stiffness),
    ] {
        notes.if_absent(key, text.as_ref(), (&otherwise, Provenance::Assumed));
    }
}

pub(super) fn touch(
    reader: &Reader<'_>,
    written: &WrittenTouch,
    notes: &mut Notes,
) -> Result<Touch, InputError> {
    let force: Force = reader.quantity(&written.force, "touch.force")?;
    reader.within(
        &written.force,
        "touch.force",
        (
            force.get::<newton>(),
            "N, because the machine alone weighs 15 to 30 and a firm push is 60",
        ),
        (1.0, 500.0),
    )?;
    let direction = match &written.direction {
        Some(text) => {
            let angle: Angle = reader.quantity(text, "touch.direction")?;
            let why = "deg, because it is counted from x towards y";
            reader.within(
                text,
                "touch.direction",
                (angle.get::<degree>(), why),
                (-360.0, 360.0),
            )?;
            angle
        }
        None => Angle::new::<degree>(0.0),
    };
    refuse_two_leans(reader, written)?;
    note_idle_direction(written, notes);
    Ok(Touch {
        force,
        lean: lean(reader, written, notes)?,
        direction,
    })
}

/// Is the side it leans to counted from the way it travels?
pub(super) fn leans_with_travel(
    reader: &Reader<'_>,
    written: &WrittenTouch,
) -> Result<bool, InputError> {
    let words = [("panel", false), ("travel", true)];
    let from = written.direction_from.as_ref();
    reader.word_or(from, "touch.direction_from", &words, false)
}

/// Keys that each say how the pad leans, with their places.
fn leans(written: &WrittenTouch) -> Vec<(&'static str, Range<usize>)> {
    [
        (
            "touch.eccentricity",
            written.eccentricity.as_ref().map(|n| n.0.span()),
        ),
        ("touch.tilt", written.tilt.as_ref().map(|t| t.0.span())),
        ("touch.moment", written.moment.as_ref().map(|t| t.0.span())),
    ]
    .into_iter()
    .filter_map(|(key, span)| span.map(|span| (key, span)))
    .collect()
}

fn refuse_two_leans(reader: &Reader<'_>, written: &WrittenTouch) -> Result<(), InputError> {
    let mut given = leans(written);
    given.sort_by_key(|(_, span)| span.start);
    let [(first, _), (second, span), ..] = &given[..] else {
        return Ok(());
    };
    Err(InputError::at_offset(
        reader.file,
        reader.text,
        span.start,
        format!(
            "{first} and {second} contradict each other, because each says how the pad leans. Keep one."
        ),
    ))
}

/// Says so where a direction is given and nothing leans that way.
fn note_idle_direction(written: &WrittenTouch, notes: &mut Notes) {
    if !leans(written).is_empty() {
        return;
    }
    for (key, is_given) in [
        ("touch.direction", written.direction.is_some()),
        ("touch.direction_from", written.direction_from.is_some()),
    ] {
        if is_given {
            notes.caution(key, "Nothing leans: the key was not used. Add touch.tilt, touch.eccentricity or touch.moment to lean the pad that way.");
        }
    }
}

/// How the hand holds the pad where nothing else says so.
fn held(
    reader: &Reader<'_>,
    written: &WrittenTouch,
    notes: &mut Notes,
) -> Result<Option<bool>, InputError> {
    let Some(text) = &written.hold else {
        if leans(written).is_empty() {
            notes.origin(
                "touch.hold",
                "level: parallel to what lies under the pad",
                Provenance::Assumed,
            );
        }
        return Ok(None);
    };
    let is_free = reader.word(text, "touch.hold", &[("level", false), ("free", true)])?;
    let other = leans(written)
        .into_iter()
        .find(|(key, _)| (*key == "touch.tilt") == is_free);
    if let Some((key, _)) = other {
        let why = if is_free {
            "a free pad finds its own tilt"
        } else {
            "a level pad takes any moment"
        };
        return Err(reader.fault(
            &text.0,
            format!(
                "touch.hold = \"{}\" and {key} contradict each other, because {why}. Keep one.",
                text.0.get_ref()
            ),
        ));
    }
    Ok(Some(is_free))
}

fn lean(
    reader: &Reader<'_>,
    written: &WrittenTouch,
    notes: &mut Notes,
) -> Result<Lean, InputError> {
    let is_free = held(reader, written, notes)?;
    if let Some(share) = &written.eccentricity {
        let share = reader.number_within(
            share,
            "touch.eccentricity (of the pad radius; at 1 the pad stands on its rim)",
            (0.0, 0.95),
        )?;
        return Ok(Lean::Eccentricity(share));
    }
    if let Some(text) = &written.tilt {
        let tilt: Angle = reader.quantity(text, "touch.tilt")?;
        reader.within(text, "touch.tilt", (tilt.get::<degree>(), "deg, because a pad leaned further stands on edge; turn the lean with touch.direction"), (0.0, 25.0))?;
        return Ok(Lean::Tilt(tilt));
    }
    if let Some(text) = &written.moment {
        let moment: Torque = reader.quantity(text, "touch.moment")?;
        reader.within(
            text,
            "touch.moment",
            (
                moment.get::<newton_meter>(),
                "N m, because a hand leans no harder; turn the lean with touch.direction",
            ),
            (0.0, 50.0),
        )?;
        return Ok(Lean::Moment(moment));
    }
    Ok(if is_free == Some(true) {
        Lean::Eccentricity(0.0)
    } else {
        Lean::Level
    })
}
