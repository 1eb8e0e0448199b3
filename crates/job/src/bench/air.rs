//! How fast the panel gives its heat to the air, where the setup does not say.
//!
//! Law: the laws of still air, the pad's wind and radiation, read at the panel's
//! own temperature: a rough run gives how warm the panel is where and when it
//! loses heat, the laws give the loss at that temperature, and so on until the
//! loss changes by less than [`SETTLED_FRAC`] (quickly: [`SETTLED_QUICKLY_FRAC`]).
//! Source: `Source::Incropera`, `Source::CobbSaunders1956`.
//! Holds: the loss moves little with the temperature, so a few rounds settle it.
//! Left out: a loss that differs from place to place and over time; the inner
//! face of plastic, which stays cooler than the outer.
//! Checked by: the loss stated is that of the laws at the temperature stated.

use lapwing_measure::quantity::{HeatTransfer, TemperatureDifference};
use lapwing_measure::{Provenance, Source};
use lapwing_physics::convection::{self, Face, Losses, PadWind};
use lapwing_physics::heat::AirContact;
use lapwing_physics::motion::Motion;
use uom::si::heat_transfer::watt_per_square_meter_kelvin;
use uom::si::temperature_interval::kelvin as kelvins;
use uom::si::thermodynamic_temperature::{degree_celsius, kelvin};

use super::result::FaceLoss;
use super::setup::{Origin, Setup};

/// How warm over the air the panel is taken to be at first, K.
const FIRST_GUESS_K: f64 = 15.0;
/// Change of the loss from round to round at which it has settled.
const SETTLED_FRAC: f64 = 0.002;
/// The same where the answer is to be quick.
const SETTLED_QUICKLY_FRAC: f64 = 0.02;
const MOST_ROUNDS: usize = 12;

/// What takes heat from both faces.
pub(super) struct Air {
    pub(super) contact: AirContact,
    /// The parts of what was left out of the setup.
    pub(super) laws: Vec<FaceLoss>,
}

/// The air as given, or from the laws. `warmth_k` answers how warm over the
/// air the panel is where it loses heat, for a given loss.
pub(super) fn air(
    setup: &Setup,
    warmth_k: &dyn Fn(AirContact) -> Result<f64, String>,
) -> Result<Air, String> {
    let mut over_air_k = FIRST_GUESS_K;
    let mut air = at(setup, over_air_k)?;
    if air.laws.is_empty() {
        return Ok(air);
    }
    let settled_frac = if setup.is_quick {
        SETTLED_QUICKLY_FRAC
    } else {
        SETTLED_FRAC
    };
    for _ in 0..MOST_ROUNDS {
        over_air_k = warmth_k(air.contact)?;
        let next = at(setup, over_air_k)?;
        let change = (whole(&next) - whole(&air)).abs();
        let has_settled = change <= settled_frac * whole(&next);
        air = next;
        if has_settled {
            break;
        }
    }
    Ok(air)
}

fn whole(air: &Air) -> f64 {
    (air.contact.outside + air.contact.inside).get::<watt_per_square_meter_kelvin>()
}

/// Both faces with the panel at a temperature over the air.
fn at(setup: &Setup, over_air_k: f64) -> Result<Air, String> {
    let panel = &setup.panel;
    let face = Face {
        surface: panel.air + TemperatureDifference::new::<kelvins>(over_air_k),
        air: panel.air,
        width: panel.section.width,
        height: panel.section.height,
        facing: panel.facing,
    };
    let wind = panel.has_pad_wind.then_some(PadWind {
        spin: match setup.motion {
            Motion::Rotary { spin } | Motion::RandomOrbital { spin, .. } => spin,
            Motion::ForcedRotation {
                orbit,
                turns_per_orbit,
                ..
            } => orbit * turns_per_orbit,
        },
        pad_radius: setup.pad.radius,
    });
    let mut laws = Vec::new();
    let mut or_law = |name, given: Option<HeatTransfer>, losses: &dyn Fn() -> Law| {
        if let Some(given) = given {
            return Ok(given);
        }
        let losses = losses().map_err(|e| e.to_string())?;
        laws.push(told(name, &losses, &face));
        Ok::<_, String>(losses.whole())
    };
    let outside = or_law("outside", panel.convection_outside, &|| {
        convection::outside(&face, wind)
    })?;
    let inside = or_law("inside", panel.convection_inside, &|| {
        convection::inside(&face)
    })?;
    Ok(Air {
        contact: AirContact {
            outside,
            inside,
            start_over_air: TemperatureDifference::new::<kelvins>(
                panel.start.get::<kelvin>() - panel.air.get::<kelvin>(),
            ),
        },
        laws,
    })
}

type Law = Result<Losses, lapwing_physics::PhysicsError>;

fn told(name: &'static str, losses: &Losses, face: &Face) -> FaceLoss {
    let number = |h: HeatTransfer| h.get::<watt_per_square_meter_kelvin>();
    FaceLoss {
        face: name,
        whole_w_m2k: number(losses.whole()),
        still_air_w_m2k: number(losses.still_air),
        pad_wind_w_m2k: number(losses.pad_wind),
        radiation_w_m2k: number(losses.radiation),
        panel_c: face.surface.get::<degree_celsius>(),
        provenance: Provenance::Sourced(convection::STILL_AIR_SOURCE),
    }
}

/// What the answer says about the loss of each face that was left out.
pub(super) fn origins(laws: &[FaceLoss]) -> Vec<Origin> {
    let mut origins = Vec::new();
    for loss in laws {
        origins.push(Origin {
            key: format!("panel.convection_{}", loss.face),
            value: format!(
                "{:.1} W/m2K from the laws of still air ({:.1}) and radiation ({:.1}) with the panel at {:.0} °C, and the pad's wind ({:.1})",
                loss.whole_w_m2k,
                loss.still_air_w_m2k,
                loss.radiation_w_m2k,
                loss.panel_c,
                loss.pad_wind_w_m2k
            ),
            provenance: loss.provenance,
        });
        if loss.pad_wind_w_m2k > 0.0 {
            origins.push(Origin {
                key: "panel.pad_wind".to_owned(),
                value: format!(
                    "the air is stirred {:.0} pad radii around the pad's centre",
                    convection::WIND_REACH_RADII
                ),
                provenance: Provenance::Sourced(Source::CobbSaunders1956),
            });
        }
    }
    origins
}
