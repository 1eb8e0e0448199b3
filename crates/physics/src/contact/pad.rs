//! The pad and how the hand holds it.
//!
//! Law: bed modulus K = E/t, Pa/m; face π(R² − Ri²).
//! Source: Winkler bed; the stiffness of the default foam is assumed.
//! Holds: pads of 20 to 400 mm. Outside: refused.
//! Left out: foam that stiffens as it is pressed.
//! Checked by: the tests of the parent module. Stiffness of pad foam: not
//! validated, no public data found.

use std::f64::consts::PI;

use lapwing_measure::Provenance;
use lapwing_measure::quantity::{Angle, Force, Length, Pressure, Torque};
use uom::si::length::{meter, millimeter};
use uom::si::pressure::kilopascal;

use crate::error::{Given, PhysicsError};

/// A round pad with an optional centre hole on a bed of foam or wool.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pad {
    /// Half the pad diameter.
    pub radius: Length,
    /// Half the hole diameter; zero for none.
    pub hole_radius: Length,
    /// Stiffness of the bed as a solid.
    pub stiffness: Pressure,
    /// Thickness of the bed.
    pub thickness: Length,
}

impl Pad {
    /// A full pad of 25 mm foam of 50 kPa. The stiffness is assumed
    /// ([`Pad::STIFFNESS_PROVENANCE`]): no published pad value was found.
    #[must_use]
    pub fn of_medium_foam(radius: Length) -> Self {
        Self {
            radius,
            hole_radius: Length::new::<meter>(0.0),
            stiffness: Pressure::new::<kilopascal>(50.0),
            thickness: Length::new::<millimeter>(25.0),
        }
    }

    /// How sure the stiffness of [`Pad::of_medium_foam`] is.
    pub const STIFFNESS_PROVENANCE: Provenance = Provenance::Assumed;

    /// Whole face, hole taken out, in square metres.
    #[must_use]
    pub fn face_m2(&self) -> f64 {
        PI * (self.radius.value.powi(2) - self.hole_radius.value.powi(2))
    }

    /// Half the diameters of pad and hole, in metres.
    pub(crate) fn radii_m(&self) -> (f64, f64) {
        (self.radius.value, self.hole_radius.value)
    }

    pub(crate) fn checked(&self) -> Result<(), PhysicsError> {
        let given = |place, value, unit, remedy| Given {
            place,
            value,
            unit,
            remedy,
        };
        let radius_m = given(
            "pad radius",
            self.radius.value,
            "m",
            "Pads are between 20 and 400 mm across.",
        )
        .within(0.01, 0.2)?;
        given(
            "pad hole radius",
            self.hole_radius.value,
            "m",
            "The hole must leave most of the face.",
        )
        .within(0.0, 0.9 * radius_m)?;
        given(
            "pad stiffness",
            self.stiffness.value,
            "Pa",
            "Foam has 20 000 to 200 000 Pa.",
        )
        .within(1e3, 1e9)?;
        given(
            "pad thickness",
            self.thickness.value,
            "m",
            "Pads are 3 to 100 mm thick.",
        )
        .within(0.001, 0.2)?;
        Ok(())
    }

    pub(crate) fn modulus_pa_m(&self) -> f64 {
        self.stiffness.value / self.thickness.value
    }
}

/// How the hand holds the pad against the panel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Lean {
    /// Held parallel to the panel whatever happens under it.
    Level,
    /// The force acts off the pad centre by this share of the radius and the
    /// pad rocks until it balances.
    Eccentricity(f64),
    /// A moment as well as the force, and the pad rocks until it balances.
    Moment(Torque),
    /// Held at this tilt.
    Tilt(Angle),
}

/// The pad's touch: force, lean, and the side the pad is leaned towards.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Touch {
    /// Force square to the panel, machine weight included.
    pub force: Force,
    /// How the pad leans.
    pub lean: Lean,
    /// Side that is pressed harder, counted from +x towards +y.
    pub direction: Angle,
}
