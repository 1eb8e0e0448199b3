//! How loud a day was, by the European, the NIOSH and the OSHA book.
//!
//! Law: daily level `L_EX` = 10·lg[(1/8 h)·Σtᵢ·10^(Lᵢ/10)] dB(A). Dose in per cent
//! D = 100·Σtᵢ/Tᵢ with the allowed time T = 8/2^((L−85)/3) h (NIOSH) or
//! 8/2^((L−90)/5) h (OSHA); the equivalent eight-hour level is 10·lg(D/100) + 85
//! or 16.61·lg(D/100) + 90. Time to a European level L0:
//! 8·10^(−(L−L0)/10) h, the equal-energy form, not the halving per 3 dB (they
//! differ by 0.3 % per 3 dB).
//! Source: `Iso9612`, `Directive2003_10`, `NioshNoise`, `Osha1910_95`,
//! `Scenihr2008`.
//! Holds: A-weighted levels at the ear, 40…140 dB. Outside: refused.
//! Left out: peaks, impulses, and the OSHA threshold that drops quiet stints
//! (leave them out of the list to apply it).
//! Checked by: the printed tables NV1 to NV9, NV11 to NV13, NV15 and NV16.

use lapwing_measure::Source;
use lapwing_measure::quantity::Time;
use uom::si::time::hour;

use crate::error::{Given, PhysicsError};

/// Where the daily level comes from.
pub const LEVEL_SOURCE: Source = Source::Iso9612;
/// Where the European levels come from.
pub const EUROPEAN_SOURCE: Source = Source::Directive2003_10;
/// Where the NIOSH dose comes from.
pub const NIOSH_SOURCE: Source = Source::NioshNoise;
/// Where the OSHA dose comes from.
pub const OSHA_SOURCE: Source = Source::Osha1910_95;
/// Where the printed times to the European levels come from.
pub const TIMES_SOURCE: Source = Source::Scenihr2008;

/// Lower European action value, dB(A) over eight hours.
pub const LOWER_ACTION_DBA: f64 = 80.0;
/// Upper European action value.
pub const UPPER_ACTION_DBA: f64 = 85.0;
/// European limit, at the ear under the protector.
pub const LIMIT_DBA: f64 = 87.0;

/// A stint at one level.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stint {
    level_dba: f64,
    hours: f64,
}

impl Stint {
    /// A stint of a level and a time.
    ///
    /// # Errors
    /// Refuses levels outside 40…140 dB(A) and times outside 0…24 h.
    pub fn of(level_dba: f64, lasts: Time) -> Result<Self, PhysicsError> {
        let level_dba = checked_level(level_dba)?;
        let hours = Given {
            place: "time in the noise",
            value: lasts.get::<hour>(),
            unit: "h",
            remedy: "A day has 24 hours.",
        }
        .within(0.0, 24.0)?;
        Ok(Self { level_dba, hours })
    }
}

/// What the European directive asks for at a daily level.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum EuropeanVerdict {
    /// Under the lower action value.
    Quiet,
    /// From 80 dB(A): protectors on offer, information.
    LowerAction,
    /// From 85 dB(A): protectors worn, a programme to get quieter.
    UpperAction,
    /// Over 87 dB(A) under the protector: not allowed.
    OverLimit,
}

/// The two American ways to count a dose.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DoseBook {
    /// 85 dB(A) for eight hours, half the time per 3 dB.
    Niosh,
    /// 90 dB(A) for eight hours, half the time per 5 dB.
    Osha,
}

impl DoseBook {
    fn criterion_dba(self) -> f64 {
        match self {
            Self::Niosh => 85.0,
            Self::Osha => 90.0,
        }
    }

    fn halving_db(self) -> f64 {
        match self {
            Self::Niosh => 3.0,
            Self::Osha => 5.0,
        }
    }

    /// Decibel per tenfold dose, as each book prints it.
    fn per_decade_db(self) -> f64 {
        match self {
            Self::Niosh => 10.0,
            Self::Osha => 16.61,
        }
    }

    /// Time a level may last.
    ///
    /// # Errors
    /// Refuses levels outside 40…140 dB(A).
    pub fn allowed_time(self, level_dba: f64) -> Result<Time, PhysicsError> {
        Ok(Time::new::<hour>(
            self.allowed_hours(checked_level(level_dba)?),
        ))
    }

    /// Dose of a day in per cent.
    #[must_use]
    pub fn dose_pct(self, stints: &[Stint]) -> f64 {
        stints
            .iter()
            .map(|stint| 100.0 * stint.hours / self.allowed_hours(stint.level_dba))
            .sum()
    }

    /// Eight-hour level of a dose; `None` for a dose that is not positive.
    #[must_use]
    pub fn eight_hour_level_dba(self, dose_pct: f64) -> Option<f64> {
        (dose_pct > 0.0 && dose_pct.is_finite())
            .then(|| self.per_decade_db() * (dose_pct / 100.0).log10() + self.criterion_dba())
    }

    fn allowed_hours(self, level_dba: f64) -> f64 {
        8.0 / 2.0_f64.powf((level_dba - self.criterion_dba()) / self.halving_db())
    }
}

/// Daily noise exposure level in dB(A); `None` when no stint has any time.
#[must_use]
pub fn daily_level_dba(stints: &[Stint]) -> Option<f64> {
    let energy: f64 = stints
        .iter()
        .map(|stint| stint.hours * 10.0_f64.powf(0.1 * stint.level_dba))
        .sum();
    (energy > 0.0).then(|| 10.0 * (energy / 8.0).log10())
}

/// Weekly level of five nominal days, from the levels of the days worked.
#[must_use]
pub fn weekly_level_dba(days_dba: &[f64]) -> Option<f64> {
    let energy: f64 = days_dba
        .iter()
        .map(|level| 10.0_f64.powf(0.1 * level))
        .sum();
    (energy > 0.0 && energy.is_finite()).then(|| 10.0 * (energy / 5.0).log10())
}

/// Noise points of a day: 100 at 85 dB(A), 32 at 80 dB(A).
#[must_use]
pub fn day_points(daily_level_dba: f64) -> f64 {
    100.0 * 10.0_f64.powf(0.1 * (daily_level_dba - UPPER_ACTION_DBA))
}

/// Time a level may last until it alone makes a daily level.
///
/// # Errors
/// Refuses levels outside 40…140 dB(A).
pub fn time_to_level(level_dba: f64, daily_dba: f64) -> Result<Time, PhysicsError> {
    let (level, daily) = (checked_level(level_dba)?, checked_level(daily_dba)?);
    Ok(Time::new::<hour>(
        8.0 * 10.0_f64.powf(-0.1 * (level - daily)),
    ))
}

/// What the European directive says; the protector counts for the limit only.
///
/// # Errors
/// Refuses levels outside 0…150 dB(A) and protectors outside 0…50 dB.
pub fn european_verdict(
    daily_dba: f64,
    protector_db: f64,
) -> Result<EuropeanVerdict, PhysicsError> {
    let daily = Given {
        place: "daily noise level",
        value: daily_dba,
        unit: "dB(A)",
        remedy: "Levels lie between 40 and 140.",
    }
    .within(0.0, 150.0)?;
    let protector = Given {
        place: "hearing protector",
        value: protector_db,
        unit: "dB",
        remedy: "Protectors take off 10 to 35 dB.",
    }
    .within(0.0, 50.0)?;
    Ok(if daily - protector > LIMIT_DBA {
        EuropeanVerdict::OverLimit
    } else if daily >= UPPER_ACTION_DBA {
        EuropeanVerdict::UpperAction
    } else if daily >= LOWER_ACTION_DBA {
        EuropeanVerdict::LowerAction
    } else {
        EuropeanVerdict::Quiet
    })
}

fn checked_level(level_dba: f64) -> Result<f64, PhysicsError> {
    Given {
        place: "noise level",
        value: level_dba,
        unit: "dB(A)",
        remedy: "Polishers give 75 to 97, blow-guns up to 110.",
    }
    .within(40.0, 140.0)
}

#[cfg(test)]
mod tests;
