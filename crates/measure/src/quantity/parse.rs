//! Reads quantities the way people write them: "5 in", "12,5 mm", "1 500 rpm".
//!
//! Law: none; the factors are in the table of units.
//! Source: NIST SP 811 for the factors.
//! Holds: a number and a unit, in this order; µ in both its characters,
//! superscripts, the true minus and decimal commas are understood, and letter
//! case is forgiven where it does not change the size. Outside: refused with a
//! sentence that says what to write.
//! Left out: whether the value makes sense (a negative thickness, a
//! temperature below absolute zero); the caller knows that.
//! Checked by: the exact definitions of the units, and reading back what was
//! printed.

use uom::si::{
    acceleration::meter_per_second_squared, angle::radian, angular_velocity::radian_per_second,
    area::square_meter, energy::joule, force::newton, heat_transfer::watt_per_square_meter_kelvin,
    length::meter, mass::kilogram, mass_density::kilogram_per_cubic_meter, pressure::pascal,
    specific_heat_capacity::joule_per_kilogram_kelvin, temperature_interval, thermal_conductivity,
    thermodynamic_temperature, time::second as a_second, torque::newton_meter,
    velocity::meter_per_second, volume::cubic_meter,
};

use crate::source::Source;

use super::error::{Fault, QuantityError, quoted};
use super::units::{self, Kind};
use super::{
    Acceleration, Angle, AngularVelocity, Area, Energy, Force, HeatTransfer, Length, Mass,
    MassDensity, Pressure, SpecificHeatCapacity, Temperature, TemperatureDifference,
    ThermalConductivity, Time, Torque, Velocity, Volume, number,
};

/// Where the factors between units are printed.
pub const SOURCE: Source = Source::NistSp811;

/// A quantity that can be read from what a person writes.
pub trait Written: Sized {
    /// Reads one, such as "125 mm".
    ///
    /// # Errors
    /// A sentence when the text is not a number with a unit of this kind.
    fn read(text: &str) -> Result<Self, QuantityError>;
}

macro_rules! written {
    ($($(#[$doc:meta])* $name:ident: $quantity:ident, $kind:ident, $si:path;)*) => {$(
        impl Written for $quantity {
            fn read(text: &str) -> Result<Self, QuantityError> {
                read_si(text, &units::$kind).map(Self::new::<$si>)
            }
        }

        $(#[$doc])*
        ///
        /// # Errors
        /// A sentence when there is no number, no unit or another unit.
        pub fn $name(text: &str) -> Result<$quantity, QuantityError> {
            Written::read(text)
        }
    )*};
}

written! {
    /// Reads a length: "125 mm", "5 in", "0.5 mil", "95 µm".
    length: Length, LENGTH, meter;
    /// Reads an area: "1.2 m2", "13 sq ft".
    area: Area, AREA, square_meter;
    /// Reads a volume: "250 ml", "8 fl oz" (US).
    volume: Volume, VOLUME, cubic_meter;
    /// Reads a speed: "1 in/s", "25 mm/s".
    velocity: Velocity, VELOCITY, meter_per_second;
    /// Reads a turning speed: "1500 rpm", "4500 opm", "25 Hz", "157 rad/s".
    angular_velocity: AngularVelocity, TURNING, radian_per_second;
    /// Reads a time: "2.5 h", "90 min", "40 s", "500 ms", "2 d".
    time: Time, TIME, a_second;
    /// Reads a force: "40 N", "10 lbf", "4 kgf".
    force: Force, FORCE, newton;
    /// Reads a pressure: "3 kPa", "0.5 psi".
    pressure: Pressure, PRESSURE, pascal;
    /// Reads a temperature on a scale: "140 °F", "60 °C", "333 K".
    temperature: Temperature, TEMPERATURE, thermodynamic_temperature::kelvin;
    /// Reads a difference of temperatures: "3 K", "5 °F".
    temperature_difference: TemperatureDifference, TEMPERATURE_DIFFERENCE, temperature_interval::kelvin;
    /// Reads an angle: "1 deg", "1°", "0.02 rad".
    angle: Angle, ANGLE, radian;
    /// Reads a turning moment: "0.5 N m", "4 lbf in".
    torque: Torque, TORQUE, newton_meter;
    /// Reads an energy: "20 kJ", "500 J".
    energy: Energy, ENERGY, joule;
    /// Reads an acceleration: "4 m/s2", "4 m/s²".
    acceleration: Acceleration, ACCELERATION, meter_per_second_squared;
    /// Reads a thermal conductivity: "0.2 W/mK".
    conductivity: ThermalConductivity, CONDUCTIVITY, thermal_conductivity::watt_per_meter_kelvin;
    /// Reads a density: "1200 kg/m3".
    density: MassDensity, DENSITY, kilogram_per_cubic_meter;
    /// Reads a heat capacity per mass: "1500 J/kgK".
    specific_heat: SpecificHeatCapacity, SPECIFIC_HEAT, joule_per_kilogram_kelvin;
    /// Reads a heat transfer coefficient: "10 W/m2K".
    heat_transfer: HeatTransfer, HEAT_TRANSFER, watt_per_square_meter_kelvin;
    /// Reads a mass: "30 g", "8 oz".
    mass: Mass, MASS, kilogram;
}

/// Reads a sound level in decibels: "86 dB", "86 dB(A)", "86 dBA".
///
/// # Errors
/// A sentence when there is no number or the unit is not dB.
pub fn sound_level_db(text: &str) -> Result<f64, QuantityError> {
    read_si(text, &units::SOUND_LEVEL)
}

/// Reads a cut rate (film removed per pressure and rubbed path) per pascal:
/// "4e-12 1/Pa", "4e-12 m2/N".
///
/// # Errors
/// A sentence when there is no number, no unit or another unit.
pub fn cut_rate(text: &str) -> Result<f64, QuantityError> {
    read_si(text, &units::CUT_RATE)
}

/// Reads a share as a fraction of one: "55 %" is 0.55, and so is "0.55".
///
/// # Errors
/// A sentence when there is no number, another unit, or a bare number outside
/// 0 to 1.
pub fn share(text: &str) -> Result<f64, QuantityError> {
    match read_si(text, &units::SHARE) {
        Err(QuantityError {
            fault: Fault::NoUnit,
            ..
        }) => {
            let fail = |fault| error(text, &units::SHARE, fault);
            let head = number::split(text).map_err(fail)?;
            let bare = number::value(&head, false).map_err(fail)?;
            if (0.0..=1.0).contains(&bare) {
                Ok(bare)
            } else {
                Err(fail(Fault::PercentMissing))
            }
        }
        other => other,
    }
}

/// Reads a size of two lengths: "2x2 ft", "0.61 m x 0.61 m", "60 × 40 cm". A
/// unit behind the second length alone counts for both.
///
/// # Errors
/// A sentence when it is not two lengths.
pub fn size(text: &str) -> Result<(Length, Length), QuantityError> {
    let plain = text
        .replace(['×', 'X', '*', '✕'], "x")
        .replace(" by ", " x ");
    let refused = |fault| QuantityError {
        expected: "a size",
        example: "60 x 40 cm",
        ..error(text, &units::LENGTH, fault)
    };
    if plain.trim().is_empty() {
        return Err(refused(Fault::Empty));
    }
    let Some((first, second)) = plain.split_once('x') else {
        return Err(refused(Fault::NotTwoLengths));
    };
    let second_m = length(second).map_err(|e| refused(e.fault))?;
    let first_m = match length(first) {
        Err(QuantityError {
            fault: Fault::NoUnit,
            ..
        }) => {
            let unit = number::split(second).map_err(refused)?.rest;
            length(&format!("{first} {unit}"))
        }
        other => other,
    };
    Ok((first_m.map_err(|e| refused(e.fault))?, second_m))
}

/// A number with a unit of this kind, in SI units; always finite.
fn read_si(text: &str, kind: &'static Kind) -> Result<f64, QuantityError> {
    let fail = |fault| error(text, kind, fault);
    let head = number::split(text).map_err(fail)?;
    let written = units::normalised(head.rest);
    if written.is_empty() {
        return Err(fail(Fault::NoUnit));
    }
    let Some(unit) = kind.find(&written) else {
        let measures = units::measured_by(&written);
        let unit = quoted(head.rest);
        return Err(fail(Fault::UnknownUnit { unit, measures }));
    };
    let number = number::value(&head, kind.is_counted).map_err(fail)?;
    let si = (number + unit.shift) * unit.factor;
    if !si.is_finite() || (si == 0.0 && number + unit.shift != 0.0) {
        return Err(fail(Fault::OutOfRange));
    }
    Ok(si)
}

/// The error of a kind.
fn error(text: &str, kind: &'static Kind, fault: Fault) -> QuantityError {
    QuantityError {
        came: quoted(text),
        fault,
        expected: kind.name,
        allowed: kind.allowed,
        example: kind.example,
    }
}

#[cfg(test)]
mod tests;
