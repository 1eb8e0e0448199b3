//! Dew point and water in the air, as the cases ask for them.
//!
//! Law: `lapwing_physics::moist_air`.
//! Source: named in each case.
//! Holds: from −20 to 50 °C over liquid water.
//! Left out: frost.
//! Checked by: the cases.

use lapwing_measure::quantity::{Pressure, Temperature};
use lapwing_physics::moist_air::Air;
use uom::si::mass_density::gram_per_cubic_meter;
use uom::si::pressure::pascal;
use uom::si::temperature_interval::kelvin;
use uom::si::thermodynamic_temperature::degree_celsius;

use super::{Inputs, Law, told};

/// The laws of this room.
pub(crate) const LAWS: &[(&str, Law)] = &[
    ("dew_point_c", |i| {
        Ok(air(i)?.dew_point().get::<degree_celsius>())
    }),
    ("coldest_surface_c", |i| {
        Ok(air(i)?.coldest_allowed_surface().get::<degree_celsius>())
    }),
    ("dew_margin_k", |i| {
        Ok(told(air(i)?.margin_of(celsius(i.number("surface_c")?)))?.get::<kelvin>())
    }),
    ("dew_point_from_wet_bulb_c", |i| {
        Ok(from_wet_bulb(i)?.dew_point().get::<degree_celsius>())
    }),
    ("water_g_m3", |i| {
        Ok(air(i)?.water_content().get::<gram_per_cubic_meter>())
    }),
];

fn celsius(value: f64) -> Temperature {
    Temperature::new::<degree_celsius>(value)
}

fn air(i: &Inputs<'_>) -> Result<Air, String> {
    told(Air::of(
        celsius(i.number("air_c")?),
        i.number("humidity_pct")? / 100.0,
    ))
}

fn from_wet_bulb(i: &Inputs<'_>) -> Result<Air, String> {
    let pressure = Pressure::new::<pascal>(i.number("pressure_pa")?);
    told(Air::from_wet_bulb(
        celsius(i.number("dry_c")?),
        celsius(i.number("wet_c")?),
        pressure,
    ))
}
