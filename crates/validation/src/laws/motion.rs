//! How fast a pad rubs, as the cases ask for it.
//!
//! Law: `lapwing_physics::motion`.
//! Source: named in each case.
//! Holds: for rotary, random orbital and forced rotation.
//! Left out: how fast a free pad spins; it is an input.
//! Checked by: the cases.

use lapwing_measure::quantity::{AngularVelocity, Length};
use lapwing_physics::motion::{Motion, elliptic_e, mean_of_turning_pair};
use uom::si::angular_velocity::revolution_per_minute;
use uom::si::length::millimeter;

use super::{Inputs, Law, told, unknown};

/// The laws of this room.
pub(crate) const LAWS: &[(&str, Law)] = &[
    ("turning_pair_mean", |i| {
        Ok(mean_of_turning_pair(i.number("a_m_s")?, i.number("b_m_s")?))
    }),
    ("elliptic_e", |i| Ok(elliptic_e(i.number("parameter")?))),
    ("pad_speed", pad_speed),
    ("rub_speed_at", rub_speed_at),
];

/// A length from millimetres.
pub(crate) fn millimetres(value: f64) -> Length {
    Length::new::<millimeter>(value)
}

/// A rate from turns a minute.
pub(crate) fn turns(value: f64) -> AngularVelocity {
    AngularVelocity::new::<revolution_per_minute>(value)
}

fn motion(i: &Inputs<'_>) -> Result<Motion, String> {
    match i.word("machine")? {
        "rotary" => Ok(Motion::Rotary {
            spin: turns(i.number("spin_rpm")?),
        }),
        "random_orbital" => Ok(Motion::RandomOrbital {
            orbit_radius: millimetres(i.number("orbit_radius_mm")?),
            orbit: turns(i.number("orbit_opm")?),
            spin: turns(i.number("spin_rpm")?),
        }),
        "forced" => Ok(Motion::ForcedRotation {
            orbit_radius: millimetres(i.number("orbit_radius_mm")?),
            orbit: turns(i.number("orbit_opm")?),
            turns_per_orbit: i.number("turns_per_orbit")?,
        }),
        other => unknown("machine", other),
    }
}

fn pad_speed(i: &Inputs<'_>) -> Result<f64, String> {
    let (motion, radius) = (
        told(motion(i)?.checked())?,
        millimetres(i.number("pad_radius_mm")?),
    );
    match i.word("output")? {
        "mean" => Ok(told(motion.mean_speed_of_pad(radius, millimetres(0.0)))?.value),
        "rms" => Ok(motion.rms_speed_of_pad(radius).value),
        "rim" => Ok(motion.highest_speed_on_pad(radius).value),
        other => unknown("output", other),
    }
}

fn rub_speed_at(i: &Inputs<'_>) -> Result<f64, String> {
    let (motion, distance) = (
        told(motion(i)?.checked())?,
        millimetres(i.number("distance_mm")?),
    );
    match i.word("seen_from")? {
        "pad" => Ok(motion.mean_speed_on_pad(distance).value),
        "panel" => Ok(motion.mean_speed_on_panel(distance).value),
        other => unknown("seen_from", other),
    }
}
