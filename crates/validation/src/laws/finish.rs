//! Gloss and haze, as the cases ask for them.
//!
//! Law: `lapwing_physics::gloss`.
//! Source: named in each case.
//! Holds: at the three angles of a glossmeter.
//! Left out: light scattered near the mirror angle.
//! Checked by: the cases.

use lapwing_physics::gloss::{self, Geometry};
use uom::si::f64::Length;
use uom::si::length::nanometer;

use super::{Inputs, Law, told, unknown};

/// The laws of this room.
pub(crate) const LAWS: &[(&str, Law)] = &[
    ("mirrored_pct", |i| {
        Ok(100.0 * told(gloss::mirrored_frac(i.number("index")?, geometry(i)?))?)
    }),
    ("smooth_gloss", |i| {
        told(gloss::smooth_gloss(i.number("index")?, geometry(i)?))
    }),
    ("roughness_factor", roughness_factor),
];

fn geometry(i: &Inputs<'_>) -> Result<Geometry, String> {
    match i.count("angle_deg")? {
        20 => Ok(Geometry::Deg20),
        60 => Ok(Geometry::Deg60),
        85 => Ok(Geometry::Deg85),
        other => unknown("angle", &other.to_string()),
    }
}

fn roughness_factor(i: &Inputs<'_>) -> Result<f64, String> {
    let nanometres = |name| i.number(name).map(Length::new::<nanometer>);
    told(gloss::roughness_factor(
        nanometres("roughness_nm")?,
        nanometres("wavelength_nm")?,
        geometry(i)?,
    ))
}
