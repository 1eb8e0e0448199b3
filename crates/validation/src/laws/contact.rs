//! Pressure under a leaning pad, as the cases ask for it.
//!
//! Law: `lapwing_physics::contact`.
//! Source: named in each case.
//! Holds: for full round pads on a flat panel.
//! Left out: creases and edges; no public number was found.
//! Checked by: the cases.

use lapwing_measure::quantity::{Angle, Force};
use lapwing_physics::contact::disc::leaning_disc;
use lapwing_physics::contact::{Lean, Pad, Surface, Touch, press};
use uom::si::angle::degree;
use uom::si::force::newton;

use super::motion::millimetres;
use super::{Inputs, Law, told, unknown};

/// The laws of this room.
pub(crate) const LAWS: &[(&str, Law)] =
    &[("leaning_disc", closed_form), ("pressed_pad", pressed_pad)];

fn closed_form(i: &Inputs<'_>) -> Result<f64, String> {
    let disc = told(leaning_disc(i.number("eccentricity_frac")?))?;
    match i.word("output")? {
        "max_over_mean" => Ok(disc.max_over_mean),
        "depth_radii" => Ok(disc.depth_radii),
        "contact_frac" => Ok(disc.contact_frac),
        other => unknown("output", other),
    }
}

/// The same through the pad the stations use, with its table of pressures.
fn pressed_pad(i: &Inputs<'_>) -> Result<f64, String> {
    let touch = Touch {
        force: Force::new::<newton>(40.0),
        lean: Lean::Eccentricity(i.number("eccentricity_frac")?),
        direction: Angle::new::<degree>(i.number("direction_deg")?),
    };
    let pad = Pad::of_medium_foam(millimetres(62.5));
    let contact = told(press(
        pad,
        touch,
        Surface::default(),
        millimetres(i.number("cell_mm")?),
    ))?;
    match i.word("output")? {
        "max_over_mean" => Ok(contact.max_pa / contact.mean_pa),
        "force_n" => Ok(contact.pressure.integral()),
        "eccentricity_frac" => Ok(contact.eccentricity_frac),
        other => unknown("output", other),
    }
}
