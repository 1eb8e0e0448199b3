//! Reads what lies under the pad: curvature, free edges, body lines, and the
//! places whose depth is asked for.
//!
//! Source: none; the fold of a body line is assumed where it is left out.
//! Left out: body lines at an angle.
//! Checked by: the reader's tests.

use lapwing_measure::Provenance;
use lapwing_measure::quantity::{Angle, Length};
use lapwing_physics::contact::Pad;
use lapwing_physics::course::{BodyLine, Ground, Side};
use lapwing_physics::heat::Layer;
use lapwing_physics::stroke::{Along, Section};
use toml::Spanned;
use uom::si::angle::degree;
use uom::si::length::{meter, micrometer, millimeter};

use super::Notes;
use crate::bench::setup::{BenchPanel, Probe};
use crate::bench::written::{WrittenCrease, WrittenPanel, WrittenProbe};
use crate::record::InputError;
use crate::record::read::field::Reader;
use crate::record::written::Text;

const SIDES: [(&str, Side); 4] = [
    ("left", Side::Left),
    ("right", Side::Right),
    ("near", Side::Near),
    ("far", Side::Far),
];

/// Fold of a body line where none is given, degrees; assumed.
const USUAL_FOLD_DEG: f64 = 15.0;
/// Most probes.
const MOST_PROBES: usize = 1000;

pub(super) fn ground(
    reader: &Reader<'_>,
    written: &WrittenPanel,
    section: &Section,
    notes: &mut Notes,
) -> Result<Ground, InputError> {
    let (radius_x, radius_y) = curvature(reader, written)?;
    let mut free_sides: Vec<Side> = Vec::new();
    for text in &written.free_edges {
        let side = reader.word(text, "panel.free_edges", &SIDES)?;
        if free_sides.contains(&side) {
            return Err(reader.fault(
                &text.0,
                format!(
                    "panel.free_edges names \"{}\" twice. Name each side once.",
                    text.0.get_ref()
                ),
            ));
        }
        free_sides.push(side);
    }
    let body_lines = written
        .crease
        .iter()
        .map(|crease| body_line(reader, crease, section, notes))
        .collect::<Result<Vec<_>, _>>()?;
    refuse_twice(reader, written, &body_lines)?;
    Ok(Ground {
        radius_x,
        radius_y,
        free_sides,
        body_lines,
    })
}

/// Two body lines in one place would add their heights.
fn refuse_twice(
    reader: &Reader<'_>,
    written: &WrittenPanel,
    lines: &[BodyLine],
) -> Result<(), InputError> {
    for (index, line) in lines.iter().enumerate() {
        let half_width = |line: &BodyLine| line.radius * (0.5 * line.fold.value).sin();
        let overlaps = |other: &&BodyLine| {
            let room = half_width(line) + half_width(other);
            other.along == line.along && (other.at - line.at).abs() <= room
        };
        let Some(other) = lines[..index].iter().find(overlaps) else {
            continue;
        };
        return Err(reader.fault(
            &written.crease[index].at.0,
            format!(
                "panel.crease.at is \"{}\"; another crease runs the same way at {:.0} mm, and their roundings meet; allowed is a place of its own for each. Remove one, or move it.",
                written.crease[index].at.0.get_ref(),
                other.at.get::<millimeter>()
            ),
        ));
    }
    Ok(())
}

/// `panel.radius` holds both, or each stands by itself.
fn curvature(
    reader: &Reader<'_>,
    written: &WrittenPanel,
) -> Result<(Option<Length>, Option<Length>), InputError> {
    let Some(both) = &written.radius else {
        return Ok((
            radius(reader, written.radius_x.as_ref(), "panel.radius_x")?,
            radius(reader, written.radius_y.as_ref(), "panel.radius_y")?,
        ));
    };
    for (text, key) in [
        (&written.radius_x, "panel.radius_x"),
        (&written.radius_y, "panel.radius_y"),
    ] {
        if let Some(text) = text {
            return Err(reader.fault(
                &text.0,
                format!("panel.radius and {key} contradict each other, because radius holds both directions. Keep one."),
            ));
        }
    }
    let [along_x, along_y] = &both.get_ref()[..] else {
        return Err(reader.fault(
            both,
            format!(
                "panel.radius has {} lengths; give two, along x and along y, such as [\"2 m\", \"flat\"].",
                both.get_ref().len()
            ),
        ));
    };
    Ok((
        radius(reader, Some(along_x), "panel.radius")?,
        radius(reader, Some(along_y), "panel.radius")?,
    ))
}

fn radius(
    reader: &Reader<'_>,
    text: Option<&Text>,
    key: &str,
) -> Result<Option<Length>, InputError> {
    let Some(text) = text else { return Ok(None) };
    if text.0.get_ref().trim() == "flat" {
        return Ok(None);
    }
    let value: Length = reader.quantity(text, key)?;
    let magnitude = value.get::<meter>().abs();
    if !(0.05..=1e5).contains(&magnitude) {
        return Err(reader.fault(&text.0, format!("{key} is \"{}\"; allowed is 0.05 to 100000 m, less than zero for a hollow, or \"flat\", because a tighter bend is a crease.", text.0.get_ref())));
    }
    Ok(Some(value))
}

fn body_line(
    reader: &Reader<'_>,
    written: &WrittenCrease,
    section: &Section,
    notes: &mut Notes,
) -> Result<BodyLine, InputError> {
    let along = reader.word(
        &written.along,
        "panel.crease.along",
        &[("x", Along::X), ("y", Along::Y)],
    )?;
    let size_mm = match along {
        Along::X => section.height,
        Along::Y => section.width,
    }
    .get::<millimeter>();
    let millimetres = |text: &Text, key: &str, range: (f64, f64), why: &str| {
        let value: Length = reader.quantity(text, key)?;
        reader.within(text, key, (value.get::<millimeter>(), why), range)?;
        Ok(value)
    };
    let at = millimetres(
        &written.at,
        "panel.crease.at",
        (0.0, size_mm),
        "mm, because it must lie on the section",
    )?;
    let radius = millimetres(
        &written.radius,
        "panel.crease.radius",
        (0.5, 2000.0),
        "mm, because paint covers no sharper line and a wider one is a curve",
    )?;
    let fold = match &written.fold {
        None => {
            notes.origin(
                "panel.crease.fold",
                format!("{USUAL_FOLD_DEG} deg"),
                Provenance::Assumed,
            );
            Angle::new::<degree>(USUAL_FOLD_DEG)
        }
        Some(text) => {
            let fold: Angle = reader.quantity(text, "panel.crease.fold")?;
            let why = "deg, because a panel that turns farther is two panels";
            reader.within(
                text,
                "panel.crease.fold",
                (fold.get::<degree>(), why),
                (0.0, 90.0),
            )?;
            fold
        }
    };
    Ok(BodyLine {
        along,
        at,
        radius,
        fold,
    })
}

/// A curve tighter than the pad is described as a crease.
pub(super) fn refuse_tight(
    reader: &Reader<'_>,
    written: &WrittenPanel,
    ground: &Ground,
    pad: &Pad,
) -> Result<(), InputError> {
    let both = written.radius.as_ref().map(Spanned::span);
    for (radius, text, key) in [
        (ground.radius_x, &written.radius_x, "panel.radius_x"),
        (ground.radius_y, &written.radius_y, "panel.radius_y"),
    ] {
        let Some(radius) = radius.filter(|radius| radius.abs() < pad.radius) else {
            continue;
        };
        let span = text.as_ref().map(|t| t.0.span()).or_else(|| both.clone());
        let key = if both.is_some() { "panel.radius" } else { key };
        return Err(InputError::at_offset(
            reader.file,
            reader.text,
            span.map_or(0, |span| span.start),
            format!(
                "{key} is {:.0} mm; allowed is at least the pad's radius, {:.0} mm, because a pad cannot lie on a tighter bend. Use a smaller pad, or describe the spot as a [[panel.crease]].",
                radius.get::<millimeter>(),
                pad.radius.get::<millimeter>()
            ),
        ));
    }
    Ok(())
}

/// Places whose depth and rise are asked for.
pub(super) fn probes(
    reader: &Reader<'_>,
    written: &[WrittenProbe],
    panel: &BenchPanel,
) -> Result<Vec<Probe>, InputError> {
    if let Some(extra) = written.get(MOST_PROBES) {
        return Err(reader.fault(
            &extra.x.0,
            format!(
                "{} probes came in; allowed is 0 to {MOST_PROBES}, because the map shows the rest.",
                written.len()
            ),
        ));
    }
    let place = |text: &Text, key: &str, size: Length| {
        let value: Length = reader.quantity(text, key)?;
        reader.within(
            text,
            key,
            (
                value.get::<meter>(),
                "m, because it must lie on the section",
            ),
            (0.0, size.get::<meter>()),
        )?;
        Ok(value)
    };
    written
        .iter()
        .map(|probe| {
            Ok(Probe {
                x: place(&probe.x, "probe.x", panel.section.width)?,
                y: place(&probe.y, "probe.y", panel.section.height)?,
                depth: probe_depth(reader, probe, &panel.layers)?,
            })
        })
        .collect()
}

/// How deep a probe lies; on the surface when nothing is said.
fn probe_depth(
    reader: &Reader<'_>,
    written: &WrittenProbe,
    layers: &[Layer],
) -> Result<Length, InputError> {
    let Some(text) = &written.depth else {
        return Ok(Length::new::<meter>(0.0));
    };
    let depth: Length = reader.quantity(text, "probe.depth")?;
    let whole: f64 = layers.iter().map(|l| l.thickness.get::<micrometer>()).sum();
    // The sum of thicknesses is not exact in its last digit.
    let deepest_um = (whole * 1e6).round() / 1e6;
    let why = "µm, because under its last layer the panel has ended";
    let came_um = (depth.get::<micrometer>() * 1e6).round() / 1e6;
    reader.within(text, "probe.depth", (came_um, why), (0.0, deepest_um))?;
    Ok(depth)
}
