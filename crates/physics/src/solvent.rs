//! How much solvent vapour a wipe-down puts into the bay, and how much air
//! takes it out again.
//!
//! Law: V·dC = G·dt − Q′·C·dt, so C(t) = (G/Q′)·(1 − e^(−Q′t/V)) + C0·e^(−Q′t/V),
//! G evaporation in mg/s, Q′ = Q/K the airflow that really mixes (K 1…10), V
//! the room. mg/m³ = ppm·MW/24.45 at 25 °C and one atmosphere, generally
//! P·MW·ppm/[62.4·(273.2 + t)] with P in mmHg. Mixture: Σ Cᵢ/Lᵢ, over the limit
//! above 1. Day mean: Σ Cᵢ·Tᵢ/8 h.
//! Source: `IndustrialVentilation`, `CcohsConversion`, `Osha1910_1000`.
//! Holds: vapour well mixed, released steadily, of low toxicity (limits from
//! about 100 ppm), nobody bent over the source. Outside: not a safe guide; near
//! the panel the level is higher.
//! Left out: isocyanates and anything sprayed (this law must not be used for
//! them), uptake by surfaces, the explosion limit (see `MIXING_REMARK`).
//! Checked by: the worked values SV1, SV3 to SV17.

use lapwing_measure::Source;
use lapwing_measure::quantity::{Mass, MassDensity, Pressure, Temperature, Time, Volume};
use uom::si::mass_density::milligram_per_cubic_meter;
use uom::si::pressure::millimeter_of_mercury;
use uom::si::thermodynamic_temperature::degree_celsius;
use uom::si::time::hour;

use crate::error::{Given, PhysicsError};

/// Where the balance comes from.
pub const BALANCE_SOURCE: Source = Source::IndustrialVentilation;
/// Where the conversion comes from.
pub const CONVERSION_SOURCE: Source = Source::CcohsConversion;
/// Where day mean and mixture come from.
pub const MIXTURE_SOURCE: Source = Source::Osha1910_1000;

/// Litres a mole of vapour fills at 25 °C and one atmosphere, as the limits
/// are converted by convention.
pub const MOLAR_LITRES: f64 = 24.45;

/// What to say beside every result of the well-mixed room.
pub const MIXING_REMARK: &str = "The room is taken as well mixed; close to the wet panel the vapour is denser. Keep flames and sparks away.";

/// Density of a vapour of a share in parts per million, at 25 °C and one
/// atmosphere. `molar_mass` in g/mol.
///
/// # Errors
/// Refuses molar masses outside 2…1000 g/mol and shares outside 0…10⁶ ppm.
pub fn density_from_ppm(ppm: f64, molar_mass_g_mol: f64) -> Result<MassDensity, PhysicsError> {
    let (ppm, molar) = (checked_ppm(ppm)?, checked_molar(molar_mass_g_mol)?);
    Ok(MassDensity::new::<milligram_per_cubic_meter>(
        ppm * molar / MOLAR_LITRES,
    ))
}

/// Parts per million of a vapour of a density, at 25 °C and one atmosphere.
///
/// # Errors
/// Refuses molar masses outside 2…1000 g/mol.
pub fn ppm_from_density(density: MassDensity, molar_mass_g_mol: f64) -> Result<f64, PhysicsError> {
    Ok(
        density.get::<milligram_per_cubic_meter>() * MOLAR_LITRES
            / checked_molar(molar_mass_g_mol)?,
    )
}

/// Density of a vapour at another temperature and air pressure.
///
/// # Errors
/// Refuses temperatures outside −40…80 °C, pressures outside 300…900 mmHg, and
/// what [`density_from_ppm`] refuses.
pub fn density_from_ppm_at(
    ppm: f64,
    molar_mass_g_mol: f64,
    air: Temperature,
    pressure: Pressure,
) -> Result<MassDensity, PhysicsError> {
    let (ppm, molar) = (checked_ppm(ppm)?, checked_molar(molar_mass_g_mol)?);
    let temp_c = Given {
        place: "air temperature",
        value: air.get::<degree_celsius>(),
        unit: "°C",
        remedy: "Check the unit.",
    }
    .within(-40.0, 80.0)?;
    let mmhg = Given {
        place: "air pressure",
        value: pressure.get::<millimeter_of_mercury>(),
        unit: "mmHg",
        remedy: "At sea level it is 760 mmHg.",
    }
    .within(300.0, 900.0)?;
    Ok(MassDensity::new::<milligram_per_cubic_meter>(
        mmhg * molar * ppm / (62.4 * (273.2 + temp_c)),
    ))
}

/// A vapour beside its limit, both in the same unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AgainstLimit {
    /// How much is in the air.
    pub found: f64,
    /// How much may be, over the same time.
    pub limit: f64,
}

/// Sum of shares of the limits of vapours that act on the same organ; over 1
/// is over the limit.
///
/// # Errors
/// Refuses limits that are not positive and amounts below zero.
pub fn mixture_index(vapours: &[AgainstLimit]) -> Result<f64, PhysicsError> {
    let mut index = 0.0;
    for vapour in vapours {
        let limit = Given {
            place: "vapour limit",
            value: vapour.limit,
            unit: "",
            remedy: "Take it from the safety data sheet.",
        }
        .within(1e-9, 1e9)?;
        let found = Given {
            place: "vapour in the air",
            value: vapour.found,
            unit: "",
            remedy: "Give it in the unit of the limit.",
        }
        .within(0.0, 1e9)?;
        index += found / limit;
    }
    Ok(index)
}

/// Mean over eight hours of stints at a level; hours not listed count as clean.
///
/// # Errors
/// Refuses negative levels and more than 24 hours.
pub fn day_mean(stints: &[(f64, Time)]) -> Result<f64, PhysicsError> {
    let mut sum = 0.0;
    for (level, lasts) in stints {
        let level = Given {
            place: "vapour level",
            value: *level,
            unit: "",
            remedy: "Levels are not below zero.",
        }
        .within(0.0, 1e9)?;
        let hours = Given {
            place: "time in the vapour",
            value: lasts.get::<hour>(),
            unit: "h",
            remedy: "A day has 24 hours.",
        }
        .within(0.0, 24.0)?;
        sum += level * hours;
    }
    Ok(sum / 8.0)
}

/// A bay with air going through it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bay {
    /// Air in the room.
    pub volume: Volume,
    /// Times the air is changed in an hour; 0 for a shut room.
    pub air_changes_per_hour: f64,
    /// How badly the air mixes, 1 (perfect) to 10.
    pub mixing: f64,
}

impl Bay {
    /// Vapour after some time of steady evaporation of `mass` spread over
    /// `evaporation_time`, starting from `start`.
    ///
    /// # Errors
    /// Refuses rooms outside 1…10⁶ m³, more than 100 air changes an hour, mixing
    /// outside 1…10, negative masses, and evaporation that takes no time.
    pub fn vapour_after(
        &self,
        (mass, evaporation_time): (Mass, Time),
        start: MassDensity,
        moment: Time,
    ) -> Result<MassDensity, PhysicsError> {
        let (volume_m3, effective_per_s) = self.checked()?;
        let rate_mg_s = evaporation_mg_s(mass, evaporation_time)?;
        let given = |place, value, unit| Given {
            place,
            value,
            unit,
            remedy: "Neither time nor vapour is below zero.",
        };
        let t_s = given("moment", moment.value, "s").within(0.0, 1e7)?;
        let start_mg = given(
            "vapour at the start",
            start.get::<milligram_per_cubic_meter>(),
            "mg/m3",
        )
        .within(0.0, 1e9)?;
        let (wet_s, after_s) = (
            t_s.min(evaporation_time.value),
            (t_s - evaporation_time.value).max(0.0),
        );
        // While it evaporates, then while it is only carried away.
        let built_mg = if effective_per_s > 0.0 {
            rate_mg_s / (effective_per_s * volume_m3) * -(-effective_per_s * wet_s).exp_m1()
        } else {
            rate_mg_s * wet_s / volume_m3
        };
        let left_mg = (built_mg + start_mg * (-effective_per_s * wet_s).exp())
            * (-effective_per_s * after_s).exp();
        Ok(MassDensity::new::<milligram_per_cubic_meter>(left_mg))
    }

    fn checked(&self) -> Result<(f64, f64), PhysicsError> {
        let given = |place, value, unit, remedy| Given {
            place,
            value,
            unit,
            remedy,
        };
        let volume_m3 = given(
            "room volume",
            self.volume.value,
            "m3",
            "A double garage holds about 90 m3.",
        )
        .within(1.0, 1e6)?;
        let changes = given(
            "air changes",
            self.air_changes_per_hour,
            "per hour",
            "A shut garage has about 0.5.",
        )
        .within(0.0, 100.0)?;
        let mixing = given(
            "mixing factor",
            self.mixing,
            "",
            "1 is perfect mixing, 3 is usual, 10 is bad.",
        )
        .within(1.0, 10.0)?;
        Ok((volume_m3, changes / 3600.0 / mixing))
    }
}

/// Airflow in m³/h that keeps a steady evaporation at a level.
///
/// # Errors
/// Refuses levels that are not positive, mixing outside 1…10, negative masses
/// and evaporation that takes no time.
pub fn airflow_to_keep_m3_h(
    (mass, evaporation_time): (Mass, Time),
    level: MassDensity,
    mixing: f64,
) -> Result<f64, PhysicsError> {
    let rate_mg_s = evaporation_mg_s(mass, evaporation_time)?;
    let level_mg = Given {
        place: "vapour level to keep",
        value: level.get::<milligram_per_cubic_meter>(),
        unit: "mg/m3",
        remedy: "Take the limit of the safety data sheet, or half of it.",
    }
    .within(1e-6, 1e9)?;
    let mixing = Given {
        place: "mixing factor",
        value: mixing,
        unit: "",
        remedy: "1 is perfect mixing, 3 is usual, 10 is bad.",
    }
    .within(1.0, 10.0)?;
    Ok(3600.0 * mixing * rate_mg_s / level_mg)
}

fn evaporation_mg_s(mass: Mass, evaporation_time: Time) -> Result<f64, PhysicsError> {
    let mass_kg = Given {
        place: "mass of solvent",
        value: mass.value,
        unit: "kg",
        remedy: "50 mL of alcohol weigh 0.04 kg.",
    }
    .within(0.0, 1000.0)?;
    let seconds = Given {
        place: "time to evaporate",
        value: evaporation_time.value,
        unit: "s",
        remedy: "A wipe dries in minutes; give that time.",
    }
    .within(1.0, 1e7)?;
    Ok(mass_kg * 1e6 / seconds)
}

fn checked_ppm(ppm: f64) -> Result<f64, PhysicsError> {
    Given {
        place: "vapour",
        value: ppm,
        unit: "ppm",
        remedy: "A million parts is all vapour.",
    }
    .within(0.0, 1e6)
}

fn checked_molar(molar_mass_g_mol: f64) -> Result<f64, PhysicsError> {
    Given {
        place: "molar mass",
        value: molar_mass_g_mol,
        unit: "g/mol",
        remedy: "Isopropyl alcohol has 60.1 g/mol.",
    }
    .within(2.0, 1000.0)
}

#[cfg(test)]
mod tests;
