//! Where and how hard the pad presses along its path.
//!
//! Law: see `lapwing_physics::course`; the numbers stated are those of the place
//! where the pad presses hardest. A stiffness known by class is pressed again at
//! both ends of its range there.
//! Source: `Source::RoarkEccentric` for the leaning pad; balance for the rest.
//! Holds: for foam pressed to less than two thirds of its thickness; a caution
//! says when it is not.
//! Left out: the machine's own weight shifting as it tips.
//! Checked by: the tests of the station and of the course.

use lapwing_measure::quantity::{Length, Pressure};
use lapwing_physics::contact::disc::ECCENTRICITY;
use lapwing_physics::contact::{Contact, Pad, press};
use lapwing_physics::course::{Course, Placed, Tool};
use lapwing_physics::error::PhysicsError;
use lapwing_physics::stroke::Stroke;
use uom::si::pressure::kilopascal;

use super::result::{PadPressure, TouchAt};
use super::setup::Setup;
use crate::record::{Caution, Part, Said, Sentence};

/// Compression beyond which foam hardens, as a share of its thickness.
const HARDENS_FRAC: f64 = 0.67;
/// Compression beyond which the law says nothing of any pad.
const CRUSHED_FRAC: f64 = 1.0;
/// Most places of the path that are told.
const MOST_PLACES: usize = 400;

/// The touch in numbers, with its doubts.
pub(super) struct Pressed {
    pub(super) pressure: PadPressure,
    pub(super) along_path: Vec<TouchAt>,
    pub(super) doubts: Vec<Caution>,
}

/// The path with what the pad does at every place; `known` is a course of the
/// same tool over the same ground.
pub(super) fn course(
    setup: &Setup,
    stroke: &Stroke,
    known: Option<&Course>,
) -> Result<Course, String> {
    let tool = tool(setup);
    let abrasive = setup.wearing.abrasive(setup.cut_rate_per_pa.value);
    let ground = &setup.panel.ground;
    known
        .filter(|course| course.tool == tool)
        .map_or_else(
            || {
                if setup.is_quick {
                    Course::roughly_over(ground, tool, stroke)
                } else {
                    Course::over(ground, tool, stroke)
                }
            },
            |course| course.onward(ground, stroke),
        )
        .and_then(|course| course.tired(&abrasive, setup.wearing.charges))
        .map_err(|e| by_key(&e))
}

/// The lean of a moment is only known once force and pad are.
fn by_key(error: &PhysicsError) -> String {
    match error {
        PhysicsError::OutOfRange {
            place: ECCENTRICITY,
            came,
            allowed,
            remedy,
        } => format!(
            "touch.moment: over force and pad radius it is an eccentricity of {came} came in, allowed is {allowed}. {remedy} Use a smaller moment."
        ),
        other => other.to_string(),
    }
}

/// The same on rougher tables, with fresh product, to be handed on as known.
pub(super) fn rough_course(setup: &Setup, stroke: &Stroke) -> Result<Course, String> {
    Course::roughly_over(&setup.panel.ground, tool(setup), stroke).map_err(|e| e.to_string())
}

fn tool(setup: &Setup) -> Tool {
    Tool {
        pad: setup.pad,
        touch: setup.touch,
        motion: setup.motion,
        leans_with_travel: setup.leans_with_travel,
    }
}

pub(super) fn pressed(setup: &Setup, course: &Course) -> Result<Pressed, String> {
    let Some(hardest) = course.hardest() else {
        return Err(
            "touch: the pad never works on the panel. Give the stroke some time.".to_owned(),
        );
    };
    let ends = [setup.stiffness_kpa.lower, setup.stiffness_kpa.upper];
    let [softest, stiffest] = ends.map(|kpa| at_stiffness(setup, hardest, kpa));
    let (softest, stiffest) = (softest?, stiffest?);
    let stride = course.contacts.len().div_ceil(MOST_PLACES).max(1);
    Ok(Pressed {
        pressure: numbers(hardest, softest.min(stiffest), softest.max(stiffest)),
        along_path: course.contacts.iter().step_by(stride).map(told).collect(),
        doubts: doubts(course, &hardest.contact),
    })
}

/// Highest pressure in kPa of the same touch on a bed of another stiffness.
fn at_stiffness(setup: &Setup, hardest: &Placed, kpa: f64) -> Result<f64, String> {
    let stiffness = Pressure::new::<kilopascal>(kpa);
    if stiffness == setup.pad.stiffness {
        return Ok(hardest.contact.max_pa / 1e3);
    }
    let pad = Pad {
        stiffness,
        ..setup.pad
    };
    let surface = setup
        .panel
        .ground
        .under(&setup.panel.section, hardest.at_m, pad.radius);
    let cell: Length = pad.radius / 10.0;
    press(pad, hardest.touch, surface, cell)
        .map(|contact| contact.max_pa / 1e3)
        .map_err(|e| e.to_string())
}

fn numbers(hardest: &Placed, max_lower_kpa: f64, max_upper_kpa: f64) -> PadPressure {
    let contact = &hardest.contact;
    PadPressure {
        mean_kpa: contact.mean_pa / 1e3,
        max_kpa: contact.max_pa / 1e3,
        contact_frac: contact.contact_frac,
        eccentricity_frac: contact.eccentricity_frac,
        tilt_deg: contact.tilt_rad.to_degrees(),
        touching_depth_radii: contact.touching_depth_radii(),
        compression_frac: contact.compression_frac,
        max_lower_kpa,
        max_upper_kpa,
        x_m: hardest.at_m.0,
        y_m: hardest.at_m.1,
    }
}

fn told(placed: &Placed) -> TouchAt {
    let contact = &placed.contact;
    TouchAt {
        x_m: placed.at_m.0,
        y_m: placed.at_m.1,
        max_kpa: contact.max_pa / 1e3,
        max_over_mean: contact.max_pa / contact.mean_pa,
        contact_frac: contact.contact_frac,
        eccentricity_frac: contact.eccentricity_frac,
    }
}

fn doubts(course: &Course, hardest: &Contact) -> Vec<Caution> {
    let mut doubts = Vec::new();
    if hardest.compression_frac > CRUSHED_FRAC {
        let times = Part::Number(hardest.compression_frac, 1);
        doubts.push(Caution::of(
            "pad",
            Said::new(Sentence::FoamCrushed, [times]),
        ));
    } else if hardest.compression_frac > HARDENS_FRAC {
        let percent = Part::Number(100.0 * hardest.compression_frac, 0);
        doubts.push(Caution::of(
            "pad",
            Said::new(Sentence::FoamPressed, [percent]),
        ));
    }
    let least = course
        .contacts
        .iter()
        .map(|placed| placed.contact.contact_frac)
        .fold(1.0, f64::min);
    if least < 0.995 {
        let percent = Part::Number(100.0 * least, 0);
        doubts.push(Caution::of(
            "touch",
            Said::new(Sentence::LiftsOff, [percent]),
        ));
    }
    if course.beside_s > 0.0 {
        let seconds = Part::Seconds(course.beside_s, 1);
        doubts.push(Caution::of(
            "touch",
            Said::new(Sentence::BesidePanel, [seconds]),
        ));
    }
    doubts
}

#[cfg(test)]
mod tests;
