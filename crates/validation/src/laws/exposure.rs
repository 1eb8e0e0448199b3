//! Vibration, noise and solvent vapour of a day, as the cases ask for them.
//!
//! Law: `lapwing_physics::vibration`, `noise` and `solvent`.
//! Source: named in each case.
//! Holds: for the ranges those functions allow.
//! Left out: nothing is computed here.
//! Checked by: the cases.

use lapwing_measure::quantity::{Acceleration, Mass, MassDensity, Time, Volume};
use lapwing_physics::noise::{self, DoseBook, Stint};
use lapwing_physics::solvent::{self, AgainstLimit, Bay};
use lapwing_physics::vibration::{self, DeclaredRule, Exposure};
use uom::si::acceleration::meter_per_second_squared;
use uom::si::mass::gram;
use uom::si::mass_density::{kilogram_per_cubic_meter, milligram_per_cubic_meter};
use uom::si::time::{hour, minute};
use uom::si::volume::cubic_meter;

use super::{Inputs, Law, told, unknown};

/// The laws of this room.
pub(crate) const LAWS: &[(&str, Law)] = &[
    ("vibration_points", |i| {
        Ok(vibration::day_points(&tools(i)?))
    }),
    ("vibration_a8", |i| Ok(vibration::day_a8(&tools(i)?).value)),
    ("vibration_partial_a8", |i| {
        Ok(tool(i.number("vibration_m_s2")?, i.number("hours")?)?
            .partial_a8()
            .value)
    }),
    ("vibration_minutes_to", vibration_minutes_to),
    ("white_finger_years", white_finger_years),
    ("noise_allowed_hours", |i| {
        Ok(told(book(i)?.allowed_time(i.number("level_dba")?))?.get::<hour>())
    }),
    ("noise_dose_pct", |i| Ok(book(i)?.dose_pct(&stints(i)?))),
    ("noise_eight_hour_level", noise_eight_hour_level),
    ("noise_daily_level", |i| {
        noise::daily_level_dba(&stints(i)?).ok_or_else(|| "no noise.".to_owned())
    }),
    ("noise_points", |i| {
        Ok(noise::day_points(i.number("level_dba")?))
    }),
    ("noise_minutes_to", noise_minutes_to),
    ("vapour_mg_m3", |i| {
        Ok(told(solvent::density_from_ppm(
            i.number("ppm")?,
            i.number("molar_mass_g_mol")?,
        ))?
        .get::<milligram_per_cubic_meter>())
    }),
    ("vapour_ppm", |i| {
        told(solvent::ppm_from_density(
            milligrams(i.number("mg_m3")?),
            i.number("molar_mass_g_mol")?,
        ))
    }),
    ("vapour_mixture_index", vapour_mixture_index),
    ("vapour_day_mean", vapour_day_mean),
    ("vapour_airflow_m3_h", vapour_airflow_m3_h),
    ("vapour_in_bay_mg_m3", vapour_in_bay_mg_m3),
];

fn m_s2(value: f64) -> Acceleration {
    Acceleration::new::<meter_per_second_squared>(value)
}

fn tool(vibration_m_s2: f64, hours: f64) -> Result<Exposure, String> {
    told(Exposure::of(
        m_s2(vibration_m_s2),
        m_s2(0.0),
        Time::new::<hour>(hours),
        DeclaredRule::AsItStands,
    ))
}

fn tools(i: &Inputs<'_>) -> Result<Vec<Exposure>, String> {
    pairs(i, "vibrations_m_s2", "hours")?
        .into_iter()
        .map(|(a, hours)| tool(a, hours))
        .collect()
}

fn pairs(i: &Inputs<'_>, first: &str, second: &str) -> Result<Vec<(f64, f64)>, String> {
    let (a, b) = (i.list(first)?, i.list(second)?);
    if a.len() != b.len() {
        return Err(format!("`{first}` and `{second}` are not of one length."));
    }
    Ok(a.into_iter().zip(b).collect())
}

fn vibration_minutes_to(i: &Inputs<'_>) -> Result<f64, String> {
    let left = vibration::time_left(
        m_s2(i.number("vibration_m_s2")?),
        i.number("level_points")?,
        i.number("used_points")?,
    );
    Ok(told(left)?.get::<minute>())
}

fn white_finger_years(i: &Inputs<'_>) -> Result<f64, String> {
    vibration::years_to_white_fingers(m_s2(i.number("a8_m_s2")?))
        .ok_or_else(|| "outside the data.".to_owned())
}

fn book(i: &Inputs<'_>) -> Result<DoseBook, String> {
    match i.word("book")? {
        "niosh" => Ok(DoseBook::Niosh),
        "osha" => Ok(DoseBook::Osha),
        other => unknown("book", other),
    }
}

fn stints(i: &Inputs<'_>) -> Result<Vec<Stint>, String> {
    pairs(i, "levels_dba", "hours")?
        .into_iter()
        .map(|(level, hours)| told(Stint::of(level, Time::new::<hour>(hours))))
        .collect()
}

fn noise_eight_hour_level(i: &Inputs<'_>) -> Result<f64, String> {
    book(i)?
        .eight_hour_level_dba(i.number("dose_pct")?)
        .ok_or_else(|| "no dose.".to_owned())
}

fn noise_minutes_to(i: &Inputs<'_>) -> Result<f64, String> {
    Ok(told(noise::time_to_level(
        i.number("level_dba")?,
        i.number("daily_dba")?,
    ))?
    .get::<minute>())
}

fn milligrams(value: f64) -> MassDensity {
    MassDensity::new::<milligram_per_cubic_meter>(value)
}

fn vapour_mixture_index(i: &Inputs<'_>) -> Result<f64, String> {
    let vapours: Vec<AgainstLimit> = pairs(i, "found", "limits")?
        .into_iter()
        .map(|(found, limit)| AgainstLimit { found, limit })
        .collect();
    told(solvent::mixture_index(&vapours))
}

fn vapour_day_mean(i: &Inputs<'_>) -> Result<f64, String> {
    let stints: Vec<(f64, Time)> = pairs(i, "levels", "hours")?
        .into_iter()
        .map(|(level, h)| (level, Time::new::<hour>(h)))
        .collect();
    told(solvent::day_mean(&stints))
}

fn release(i: &Inputs<'_>) -> Result<(Mass, Time), String> {
    let grams = i.number("volume_ml")? * i.number("density_g_ml")?;
    Ok((
        Mass::new::<gram>(grams),
        Time::new::<minute>(i.number("evaporation_min")?),
    ))
}

fn vapour_airflow_m3_h(i: &Inputs<'_>) -> Result<f64, String> {
    let level = told(solvent::density_from_ppm(
        i.number("keep_ppm")?,
        i.number("molar_mass_g_mol")?,
    ))?;
    told(solvent::airflow_to_keep_m3_h(
        release(i)?,
        level,
        i.number("mixing")?,
    ))
}

fn vapour_in_bay_mg_m3(i: &Inputs<'_>) -> Result<f64, String> {
    let bay = Bay {
        volume: Volume::new::<cubic_meter>(i.number("bay_m3")?),
        air_changes_per_hour: i.number("air_changes_per_hour")?,
        mixing: i.number("mixing")?,
    };
    let clean = MassDensity::new::<kilogram_per_cubic_meter>(0.0);
    let after = bay.vapour_after(
        release(i)?,
        clean,
        Time::new::<minute>(i.number("after_min")?),
    );
    Ok(told(after)?.get::<milligram_per_cubic_meter>())
}
