//! What a working day does to hands and ears.
//!
//! Law: A(8) = √(Σ a²·T / 8 h); points = 2·a²·T; L_EX,8h = 10·lg(Σ T·10^(L/10) /
//! 8 h); NIOSH and OSHA doses with their exchange rates.
//! Source: [`Source::Directive2002_44`], [`Source::HseReadyReckoner`],
//! [`Source::Directive2003_10`], [`Source::Osha1910_95`],
//! [`Source::NioshNoise`]; rule "add the declared uncertainty; never below 2.5
//! m/s²" after [`Source::BgBauVibration`], switchable with `rule =
//! "as-it-stands"`.
//! Holds: trigger time, not job time. Below the action value is not "safe".
//! Left out: peaks, hearing protectors, gloves (no credit is given).
//! Checked by: rows HV1 to HV9 and the noise rows in `validation`.

mod read;

use lapwing_measure::Source;
use lapwing_measure::quantity::{Acceleration, Time};
use lapwing_physics::noise::{DoseBook, Stint, daily_level_dba};
use lapwing_physics::vibration::{DeclaredRule, Exposure, day_a8, day_points, time_left};
use serde::Serialize;
use uom::si::acceleration::meter_per_second_squared;
use uom::si::time::{hour, minute};

use crate::record::{Caution, InputError, Part, Said, Sentence};

pub use self::read::{read_day, schema};

/// Publications behind the limits.
pub const LIMIT_SOURCES: [Source; 3] = [
    Source::HseReadyReckoner,
    Source::Directive2003_10,
    Source::BgBauVibration,
];

/// One machine in a day.
#[derive(Clone, Debug)]
pub struct Use {
    /// What is done.
    pub what: String,
    /// Declared vibration.
    pub vibration: Acceleration,
    /// Its uncertainty.
    pub vibration_uncertainty: Acceleration,
    /// Whether nobody gave that uncertainty.
    pub is_uncertainty_assumed: bool,
    /// Level at the ear, dB(A).
    pub noise_dba: f64,
    /// Trigger time.
    pub time: Time,
}

/// A day.
#[derive(Clone, Debug)]
pub struct Day {
    /// Its uses, in order.
    pub uses: Vec<Use>,
    /// Whether declared values are raised to the cautious side.
    pub is_cautious: bool,
}

/// What the day comes to.
#[derive(Clone, Debug, Serialize)]
pub struct DayExposure {
    /// Daily vibration exposure, m/s².
    pub a8_m_s2: f64,
    /// Exposure points; 100 action value, 400 limit value.
    pub points: f64,
    /// At or over 2.5 m/s².
    pub action_value_reached: bool,
    /// At or over 5 m/s².
    pub limit_value_reached: bool,
    /// Minutes of the last machine from zero to the action value.
    pub minutes_to_action_value: Option<f64>,
    /// Minutes of the last machine from zero to the limit value.
    pub minutes_to_limit_value: Option<f64>,
    /// Minutes the last machine may run, after the others, to the action value.
    pub minutes_left_to_action_value: Option<f64>,
    /// Daily noise exposure level.
    pub noise_lex8h_db: Option<f64>,
    /// NIOSH dose, per cent.
    pub noise_dose_niosh_pct: f64,
    /// OSHA dose, per cent.
    pub noise_dose_osha_pct: f64,
    /// The rule for declared values that was used.
    pub rule: &'static str,
    /// Doubts and warnings.
    pub cautions: Vec<Caution>,
}

/// Adds up a day.
///
/// # Errors
/// A sentence when a value is impossible.
pub fn exposure(day: &Day) -> Result<DayExposure, InputError> {
    let rule = if day.is_cautious {
        DeclaredRule::Cautious
    } else {
        DeclaredRule::AsItStands
    };
    let mut hands = Vec::new();
    for one in &day.uses {
        hands.push(
            Exposure::of(one.vibration, one.vibration_uncertainty, one.time, rule)
                .map_err(|e| InputError::in_file(one.what.clone(), e.to_string()))?,
        );
    }
    let points = day_points(&hands);
    let last = hands.last().map(Exposure::vibration);
    let minutes = |level: f64| {
        last.and_then(|a| time_left(a, level, 0.0).ok())
            .map(|t| t.get::<minute>())
    };
    let ears: Vec<Stint> = day
        .uses
        .iter()
        .map(|u| {
            Stint::of(u.noise_dba, u.time)
                .map_err(|e| InputError::in_file(u.what.clone(), e.to_string()))
        })
        .collect::<Result<_, _>>()?;
    let mut result = DayExposure {
        a8_m_s2: day_a8(&hands).value,
        points,
        action_value_reached: points >= 100.0 * (1.0 - 1e-12),
        limit_value_reached: points >= 400.0 * (1.0 - 1e-12),
        minutes_to_action_value: minutes(100.0),
        minutes_to_limit_value: minutes(400.0),
        minutes_left_to_action_value: last
            .and_then(|a| time_left(a, 100.0, day_points(&hands[..hands.len() - 1])).ok())
            .map(|t| t.get::<minute>()),
        noise_lex8h_db: daily_level_dba(&ears),
        noise_dose_niosh_pct: DoseBook::Niosh.dose_pct(&ears),
        noise_dose_osha_pct: DoseBook::Osha.dose_pct(&ears),
        rule: if day.is_cautious {
            "declared value plus its uncertainty, never below 2.5 m/s²"
        } else {
            "declared value as it stands"
        },
        cautions: Vec::new(),
    };
    result.cautions = cautions(&result, day);
    Ok(result)
}

fn cautions(result: &DayExposure, day: &Day) -> Vec<Caution> {
    let mut list = Vec::new();
    let mut say = |place: &str, said: Sentence| list.push(Caution::of(place, said));
    if result.limit_value_reached {
        say("hands", Sentence::HandsOver);
    } else if result.action_value_reached {
        say("hands", Sentence::HandsAction);
    } else {
        say("hands", Sentence::HandsUnder);
    }
    if day.is_cautious {
        for one in day.uses.iter().filter(|u| u.is_uncertainty_assumed) {
            let added = one.vibration_uncertainty.get::<meter_per_second_squared>();
            let parts = [Part::Text(one.what.clone()), Part::Number(added, 1)];
            list.push(Caution::of(
                "hands",
                Said::new(Sentence::UncertaintyAssumed, parts),
            ));
        }
    }
    let mut say = |place: &str, said: Sentence| list.push(Caution::of(place, said));
    match result.noise_lex8h_db {
        Some(db) if db >= 87.0 => say("ears", Sentence::EarsOver),
        Some(db) if db >= 85.0 => say("ears", Sentence::EarsUpper),
        Some(db) if db >= 80.0 => say("ears", Sentence::EarsLower),
        _ => {}
    }
    let hours: f64 = day.uses.iter().map(|u| u.time.get::<hour>()).sum();
    if hours > 24.0 {
        say("day", Sentence::OverADay);
    }
    list
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> DayExposure {
        exposure(&read_day("day.toml", text).expect("reads")).expect("adds up")
    }

    fn entry(a: f64, hours: f64) -> String {
        format!(
            "[[use]]\nwhat = \"x\"\nvibration = \"{a} m/s2\"\nvibration_uncertainty = \"0 m/s2\"\nnoise = \"60 dB\"\ntime = \"{hours} h\"\n"
        )
    }

    /// HV9: EU good-practice guide, steel fettler.
    #[test]
    fn three_tools_of_the_guide_give_4_3() {
        let text = [entry(4.0, 2.5), entry(3.0, 1.0), entry(20.0, 0.25)].concat();
        let result = day(&text);
        assert!((result.a8_m_s2 - 4.3).abs() < 0.05);
        assert!(result.action_value_reached && !result.limit_value_reached);
    }

    /// HV1 and HV4: HSE ready-reckoner, 5 m/s² for 3 h is 150 points, action
    /// value after 2 h.
    #[test]
    fn five_for_three_hours_is_150_points() {
        let result = day(&entry(5.0, 3.0));
        assert!((result.points - 150.0).abs() < 1e-9);
        assert!((result.minutes_to_action_value.expect("minutes") - 120.0).abs() < 1e-9);
    }

    // √((5 + 1.5)²·1 h/8 h) = 2.298.
    #[test]
    fn an_uncertainty_that_nobody_gave_is_said_to_be_assumed() {
        let text = "[[use]]\nwhat=\"DA\"\nvibration=\"5 m/s2\"\nnoise=\"84 dB\"\ntime=\"1 h\"\n";
        let result = day(text);
        assert!((result.a8_m_s2 - 2.298).abs() < 0.001);
        let said = |result: &DayExposure| {
            let mut cautions = result.cautions.iter();
            cautions.any(|c| c.text.contains("for DA: 1.5 m/s² were added, assumed"))
        };
        assert!(said(&result), "{:?}", result.cautions);
        let given = text.replace("noise", "vibration_uncertainty=\"1.5 m/s2\"\nnoise");
        assert!(!said(&day(&given)));
        assert!(!said(&day(&format!("rule = \"as-it-stands\"\n{text}"))));
    }

    #[test]
    fn the_uncertainty_is_added_and_little_is_raised_to_2_5() {
        let cautious = day(
            "[[use]]\nwhat=\"x\"\nvibration=\"1 m/s2\"\nvibration_uncertainty=\"0.5 m/s2\"\nnoise=\"86 dB\"\ntime=\"8 h\"\n",
        );
        assert!((cautious.a8_m_s2 - 2.5).abs() < 1e-12);
        let plain = day(
            "rule = \"as-it-stands\"\n[[use]]\nwhat=\"x\"\nvibration=\"1 m/s2\"\nvibration_uncertainty=\"0.5 m/s2\"\nnoise=\"86 dB\"\ntime=\"8 h\"\n",
        );
        assert!((plain.a8_m_s2 - 1.0).abs() < 1e-12);
    }
}
