//! When a surface in the bay gets wet by itself: dew point and margin.
//!
//! Law: dew point 243.12·γ/(17.62−γ) °C, γ = ln U + 17.62·t/(243.12+t), U the
//! relative humidity as a share, t in °C. Saturation pressure over water
//! e(t) = 6.116441·10^(7.591386·t/(t+240.7263)) hPa; water in the air
//! U·e/(461.5·T) kg/m³; from a wet bulb U·e(t) =
//! e(tw) − 0.00066·(1+0.00115·tw)·(t−tw)·p. The dew-point law has a pressure of
//! its own; it is true in ratios but 0.3 % low at 35 °C, so pressures use the
//! second law (0.083 % at most). Both give the same dew point to 0.03 K.
//! Source: `WmoNo8` for the dew point, `VapourPressureFit` for pressures,
//! `Iso8502_4` for the margin of 3 K (its clause from memory),
//! `ArizonaDewPoint` for the wet bulb.
//! Holds: −20…50 °C over liquid water. Below 0 °C frost forms a little before
//! this dew point is reached; the value then is still over water.
//! Left out: heights far above the sea in the dew point (no pressure enters).
//! Checked by: a printed dew-point table of 71 cells, its decision examples, a
//! climate table of water contents, and two libraries' dew points.

use lapwing_measure::Source;
use lapwing_measure::quantity::{MassDensity, Pressure, Temperature, TemperatureDifference};
use uom::si::mass_density::kilogram_per_cubic_meter;
use uom::si::pressure::hectopascal;
use uom::si::temperature_interval::kelvin as kelvins_apart;
use uom::si::thermodynamic_temperature::degree_celsius;

use crate::error::{Given, PhysicsError};

/// Where the pressure of water vapour comes from.
pub const VAPOUR_SOURCE: Source = Source::VapourPressureFit;
/// Where the dew point comes from.
pub const DEW_POINT_SOURCE: Source = Source::WmoNo8;
/// Where the margin over the dew point comes from.
pub const MARGIN_SOURCE: Source = Source::Iso8502_4;
/// Where the wet-bulb equation comes from.
pub const WET_BULB_SOURCE: Source = Source::ArizonaDewPoint;

/// Least distance of a surface above the dew point, in kelvin.
pub const LEAST_MARGIN_K: f64 = 3.0;

/// Gas constant of water vapour in J/(kg·K).
const VAPOUR_GAS_J_KG_K: f64 = 461.5;

/// The air in the bay.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Air {
    temp_c: f64,
    humidity_frac: f64,
}

impl Air {
    /// Air of a temperature and a relative humidity as a share.
    ///
    /// # Errors
    /// Refuses temperatures outside −20…50 °C and shares outside 0.01…1.
    pub fn of(temperature: Temperature, humidity_frac: f64) -> Result<Self, PhysicsError> {
        let temp_c = checked_temp_c("air temperature", temperature)?;
        let humidity_frac = Given {
            place: "relative humidity",
            value: humidity_frac,
            unit: "(share)",
            remedy: "65 % is written 0.65 here.",
        }
        .within(0.01, 1.0)?;
        Ok(Self {
            temp_c,
            humidity_frac,
        })
    }

    /// Air from a dry and a wet thermometer at an air pressure.
    ///
    /// # Errors
    /// Refuses a wet thermometer that reads more than the dry one, or so little
    /// that no vapour would be left, and pressures outside 500…1100 hPa.
    pub fn from_wet_bulb(
        dry: Temperature,
        wet: Temperature,
        pressure: Pressure,
    ) -> Result<Self, PhysicsError> {
        let temp_c = checked_temp_c("dry thermometer", dry)?;
        let wet_c = Given {
            place: "wet thermometer",
            value: wet.get::<degree_celsius>(),
            unit: "°C",
            remedy: "The wet thermometer never reads more than the dry one.",
        }
        .within(-20.0, temp_c)?;
        let pressure_hpa = Given {
            place: "air pressure",
            value: pressure.get::<hectopascal>(),
            unit: "hPa",
            remedy: "At sea level it is about 1013 hPa.",
        }
        .within(500.0, 1100.0)?;
        let taken_hpa = 0.00066 * (1.0 + 0.00115 * wet_c) * (temp_c - wet_c) * pressure_hpa;
        let left_hpa = saturation_hpa(wet_c) - taken_hpa;
        let humidity_frac = Given {
            place: "humidity from the two thermometers",
            value: left_hpa / saturation_hpa(temp_c),
            unit: "(share)",
            remedy: "The two readings do not belong together; wet the wick and read again.",
        }
        .within(0.01, 1.0)?;
        Ok(Self {
            temp_c,
            humidity_frac,
        })
    }

    /// Relative humidity as a share.
    #[must_use]
    pub fn humidity_frac(&self) -> f64 {
        self.humidity_frac
    }

    /// Temperature at which this air begins to wet a surface.
    #[must_use]
    pub fn dew_point(&self) -> Temperature {
        let gamma = self.humidity_frac.ln() + 17.62 * self.temp_c / (243.12 + self.temp_c);
        Temperature::new::<degree_celsius>(243.12 * gamma / (17.62 - gamma))
    }

    /// Pressure of the water vapour.
    #[must_use]
    pub fn vapour_pressure(&self) -> Pressure {
        Pressure::new::<hectopascal>(self.humidity_frac * saturation_hpa(self.temp_c))
    }

    /// Water in the air.
    #[must_use]
    pub fn water_content(&self) -> MassDensity {
        let pascal = self.vapour_pressure().value;
        MassDensity::new::<kilogram_per_cubic_meter>(
            pascal / (VAPOUR_GAS_J_KG_K * (self.temp_c + 273.15)),
        )
    }

    /// How far a surface is above the dew point; negative when it is wet.
    ///
    /// # Errors
    /// Refuses surfaces outside −20…50 °C.
    pub fn margin_of(&self, surface: Temperature) -> Result<TemperatureDifference, PhysicsError> {
        let surface_c = checked_temp_c("surface temperature", surface)?;
        let dew_c = self.dew_point().get::<degree_celsius>();
        Ok(TemperatureDifference::new::<kelvins_apart>(
            surface_c - dew_c,
        ))
    }

    /// Coldest surface that keeps the margin of 3 K.
    #[must_use]
    pub fn coldest_allowed_surface(&self) -> Temperature {
        Temperature::new::<degree_celsius>(
            self.dew_point().get::<degree_celsius>() + LEAST_MARGIN_K,
        )
    }
}

/// Pressure of water vapour over water at saturation.
///
/// # Errors
/// Refuses temperatures outside −20…50 °C.
pub fn saturation_pressure(temperature: Temperature) -> Result<Pressure, PhysicsError> {
    Ok(Pressure::new::<hectopascal>(saturation_hpa(
        checked_temp_c("temperature", temperature)?,
    )))
}

fn checked_temp_c(place: &'static str, temperature: Temperature) -> Result<f64, PhysicsError> {
    Given {
        place,
        value: temperature.get::<degree_celsius>(),
        unit: "°C",
        remedy: "Check the unit: 70 °F are 21 °C.",
    }
    .within(-20.0, 50.0)
}

fn saturation_hpa(temp_c: f64) -> f64 {
    6.116_441 * 10.0_f64.powf(7.591_386 * temp_c / (temp_c + 240.7263))
}

#[cfg(test)]
mod tests;
