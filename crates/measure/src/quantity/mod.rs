//! Lengths, speeds, temperatures and their relatives as types.
//!
//! Quantities are those of the `uom` crate in SI units and `f64`. A
//! temperature ([`Temperature`]) and a difference of temperatures
//! ([`TemperatureDifference`]) are different types and cannot be added by
//! mistake. They are read from what people write by the functions of
//! [`parse`] and printed by those of [`print`](mod@print).

pub mod error;
mod number;
pub mod parse;
pub mod print;
mod units;

pub use error::{Fault, QuantityError};
pub use parse::{
    Written, acceleration, angle, angular_velocity, area, conductivity, cut_rate, density, energy,
    force, heat_transfer, length, mass, pressure, share, size, sound_level_db, specific_heat,
    temperature, temperature_difference, time, torque, velocity, volume,
};
pub use print::{Digits, UnitSystem, print, print_interval, print_with_uncertainty};
pub use uom::si::f64::{
    Acceleration, Angle, AngularVelocity, Area, AvailableEnergy, Energy, Force, HeatTransfer,
    Length, Mass, MassDensity, Power, Pressure, SpecificHeatCapacity,
    TemperatureInterval as TemperatureDifference, ThermalConductivity,
    ThermodynamicTemperature as Temperature, Time, Torque, Velocity, Volume,
};
