//! Whether the bay suits a coating now; the command comes with the sequence of
//! laying.

use lapwing_job::coat::{BayClimate, CoatDay, Windows, coat_day};
use lapwing_measure::quantity::Temperature;
use uom::si::thermodynamic_temperature::degree_celsius;

use crate::failure::Failure;

/// From air in °C, relative humidity in per cent, surface in °C.
pub(crate) fn judge(
    (air_c, humidity_pct, surface_c): (f64, f64, f64),
    windows: &Windows,
) -> Result<CoatDay, Failure> {
    let bay = BayClimate {
        air: Temperature::new::<degree_celsius>(air_c),
        humidity_frac: humidity_pct / 100.0,
        surface: Temperature::new::<degree_celsius>(surface_c),
    };
    coat_day(&bay, windows).map_err(|e| Failure::Input(e.to_string()))
}
