//! How much hand-arm vibration a day adds up to, and how long it may go on.
//!
//! Law: A(8) = √(Σaᵢ²·Tᵢ/8 h), aᵢ the vibration of a tool in m/s², Tᵢ the time
//! the hand grips it running; points = (A(8)/2.5)²·100, they add up; time to a
//! level L on one tool from P0 points already used: T = (P_L − P0)/(2a²) h.
//! Years of daily exposure until 10 % of a group show white fingers:
//! D = 31.8·A(8)^(−1.06), indicative only.
//! Source: `Directive2002_44` (A(8), action 2.5, limit 5 m/s²),
//! `HseReadyReckoner` (points), `BgBauVibration` (declared values under 2.5),
//! `Iso5349Part1` (years).
//! Holds: for vibration weighted for the hand and declared or measured as a
//! three-axis total. The years hold for about 1 to 10 years of near-daily use;
//! below A(8) = 2 nothing is given.
//! Left out: gloves (no credit), cold, grip strength, shocks.
//! Checked by: the worked examples HV1 to HV11 and the printed ready-reckoner.

use lapwing_measure::Source;
use lapwing_measure::quantity::{Acceleration, Time};
use uom::si::acceleration::meter_per_second_squared;
use uom::si::time::hour;

use crate::error::{Given, PhysicsError};

/// Where A(8) and its limits come from.
pub const LIMITS_SOURCE: Source = Source::Directive2002_44;
/// Where the points come from.
pub const POINTS_SOURCE: Source = Source::HseReadyReckoner;
/// Where the rule for low declared values comes from.
pub const LOW_DECLARED_SOURCE: Source = Source::BgBauVibration;
/// Where the years come from.
pub const YEARS_SOURCE: Source = Source::Iso5349Part1;

/// Action value A(8) in m/s²: from here on the exposure has to be managed.
pub const ACTION_M_S2: f64 = 2.5;
/// Limit value A(8) in m/s²: never to be passed.
pub const LIMIT_M_S2: f64 = 5.0;
/// Points at the action value.
pub const ACTION_POINTS: f64 = 100.0;
/// Points at the limit value.
pub const LIMIT_POINTS: f64 = 400.0;

/// How a declared vibration value is turned into one to assess with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DeclaredRule {
    /// Use the number as it stands (a measurement at this work).
    AsItStands,
    /// Add the declared uncertainty, and never use less than 2.5 m/s².
    Cautious,
}

/// One tool and the time the hand grips it while it runs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Exposure {
    vibration_m_s2: f64,
    hours: f64,
}

impl Exposure {
    /// A tool of a vibration, its declared uncertainty, and a trigger time.
    ///
    /// # Errors
    /// Refuses vibration outside 0…100 m/s², uncertainty outside 0…50 m/s² and
    /// times outside 0…24 h.
    pub fn of(
        vibration: Acceleration,
        uncertainty: Acceleration,
        trigger_time: Time,
        rule: DeclaredRule,
    ) -> Result<Self, PhysicsError> {
        let given = |place, value, unit, remedy| Given {
            place,
            value,
            unit,
            remedy,
        };
        let declared = given(
            "vibration of the tool",
            vibration.value,
            "m/s2",
            "It is printed in the machine's manual.",
        )
        .within(0.0, 100.0)?;
        let spread = given(
            "uncertainty of the vibration",
            uncertainty.value,
            "m/s2",
            "It is printed beside the value as K.",
        )
        .within(0.0, 50.0)?;
        let hours = given(
            "trigger time",
            trigger_time.get::<hour>(),
            "h",
            "Count only the time the hand grips the running tool.",
        )
        .within(0.0, 24.0)?;
        let vibration_m_s2 = match rule {
            DeclaredRule::AsItStands => declared,
            DeclaredRule::Cautious => (declared + spread).max(ACTION_M_S2),
        };
        Ok(Self {
            vibration_m_s2,
            hours,
        })
    }

    /// Vibration the assessment uses.
    #[must_use]
    pub fn vibration(&self) -> Acceleration {
        Acceleration::new::<meter_per_second_squared>(self.vibration_m_s2)
    }

    /// What this tool alone would give as A(8).
    #[must_use]
    pub fn partial_a8(&self) -> Acceleration {
        Acceleration::new::<meter_per_second_squared>(
            self.vibration_m_s2 * (self.hours / 8.0).sqrt(),
        )
    }

    /// Points this tool adds to the day.
    #[must_use]
    pub fn points(&self) -> f64 {
        2.0 * self.vibration_m_s2.powi(2) * self.hours
    }
}

/// Points of a day; 100 is the action value, 400 the limit.
#[must_use]
pub fn day_points(exposures: &[Exposure]) -> f64 {
    exposures.iter().map(Exposure::points).sum()
}

/// Daily exposure A(8).
#[must_use]
pub fn day_a8(exposures: &[Exposure]) -> Acceleration {
    let energy: f64 = exposures
        .iter()
        .map(|e| e.vibration_m_s2.powi(2) * e.hours)
        .sum();
    Acceleration::new::<meter_per_second_squared>((energy / 8.0).sqrt())
}

/// Time a tool may still run until the day holds `level_points`, when
/// `used_points` are already used; zero when they are used up.
///
/// # Errors
/// Refuses a tool without vibration (it could run forever) and points that are
/// not numbers.
pub fn time_left(
    vibration: Acceleration,
    level_points: f64,
    used_points: f64,
) -> Result<Time, PhysicsError> {
    let a = Given {
        place: "vibration of the tool",
        value: vibration.value,
        unit: "m/s2",
        remedy: "A still tool needs no time limit.",
    }
    .within(1e-3, 100.0)?;
    for (place, value) in [
        ("points to reach", level_points),
        ("points already used", used_points),
    ] {
        Given {
            place,
            value,
            unit: "points",
            remedy: "100 is the action value, 400 the limit.",
        }
        .within(0.0, 1e6)?;
    }
    Ok(Time::new::<hour>(
        (level_points - used_points).max(0.0) / (2.0 * a * a),
    ))
}

/// Group-mean years of such days until 10 % of the group may show white
/// fingers; indicative. `None` below A(8) = 2 m/s², where there are no data.
#[must_use]
pub fn years_to_white_fingers(a8: Acceleration) -> Option<f64> {
    (a8.value >= 2.0 && a8.value.is_finite()).then(|| 31.8 * a8.value.powf(-1.06))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn m_s2(value: f64) -> Acceleration {
        Acceleration::new::<meter_per_second_squared>(value)
    }

    fn tool(a: f64, hours: f64) -> Exposure {
        Exposure::of(
            m_s2(a),
            m_s2(0.0),
            Time::new::<hour>(hours),
            DeclaredRule::AsItStands,
        )
        .expect("a usable tool")
    }

    #[test]
    fn five_for_three_hours_is_150_points() {
        // HV1, HseReadyReckoner worked illustration.
        assert!((day_points(&[tool(5.0, 3.0)]) - 150.0).abs() < 1e-9);
    }

    #[test]
    fn the_two_limits_are_100_and_400_points() {
        // HV2.
        assert!((day_points(&[tool(2.5, 8.0)]) - ACTION_POINTS).abs() < 1e-9);
        assert!((day_points(&[tool(5.0, 8.0)]) - LIMIT_POINTS).abs() < 1e-9);
    }

    #[test]
    fn the_worked_days_are_met() {
        // HV3, HV6a-e, HV7, HV8, HV10: value, hours, printed A(8), half digit.
        let printed = [
            (4.0, 4.5, 3.0, 0.05),
            (2.5, 8.0, 2.5, 0.03),
            (3.5, 4.0, 2.5, 0.03),
            (5.0, 2.0, 2.5, 0.03),
            (7.0, 1.0, 2.5, 0.03),
            (10.0, 0.5, 2.5, 0.03),
            (13.0, 2.0, 6.5, 1e-9),
            (4.0, 6.0, 3.46, 0.005),
            (12.0, 1.5, 5.196, 0.001),
        ];
        for (a, hours, expected, half_digit) in printed {
            assert!(
                (day_a8(&[tool(a, hours)]).value - expected).abs() <= half_digit,
                "{a} {hours}"
            );
        }
    }

    #[test]
    fn several_tools_add_up_by_both_routes() {
        // HV9 and HV11.
        let fettler = [tool(4.0, 2.5), tool(3.0, 1.0), tool(20.0, 0.25)];
        for (exposure, partial) in fettler.iter().zip([2.2, 1.1, 3.5]) {
            assert!((exposure.partial_a8().value - partial).abs() <= 0.05);
        }
        assert!((day_a8(&fettler).value - 4.3).abs() <= 0.05);
        let pair = [tool(4.5, 3.0), tool(6.0, 2.5)];
        assert!(
            (pair[0].partial_a8().value - 2.756).abs() < 0.001
                && (pair[1].partial_a8().value - 3.354).abs() < 0.001
        );
        assert!(
            (day_a8(&pair).value - 4.341).abs() < 0.001 && (day_points(&pair) - 301.5).abs() < 1e-9
        );
        let by_points = ACTION_M_S2 * (day_points(&pair) / 100.0).sqrt();
        assert!((by_points - day_a8(&pair).value).abs() < 1e-9);
    }

    #[test]
    fn the_ready_reckoner_times_are_met() {
        // HV4, HV5 and the printed grid; minutes to action and limit, printed to the minute.
        let minutes = |a, level| {
            time_left(m_s2(a), level, 0.0)
                .expect("a running tool")
                .get::<hour>()
                * 60.0
        };
        let printed = [
            (2.5, 480.0, 1920.0),
            (3.0, 333.0, 1333.0),
            (4.0, 187.5, 750.0),
            (5.0, 120.0, 480.0),
            (6.0, 83.0, 333.0),
            (7.0, 61.0, 245.0),
            (8.0, 47.0, 187.5),
            (10.0, 30.0, 120.0),
            (12.0, 20.8, 83.0),
        ];
        for (a, action, limit) in printed {
            assert!((minutes(a, ACTION_POINTS) - action).abs() <= 0.5, "{a}");
            assert!((minutes(a, LIMIT_POINTS) - limit).abs() <= 0.5, "{a}");
        }
        assert!(
            (minutes(5.0, ACTION_POINTS) - 120.0).abs() < 1e-9
                && (minutes(10.0, LIMIT_POINTS) - 120.0).abs() < 1e-9
        );
    }

    #[test]
    fn points_already_used_shorten_the_time_left() {
        let left = time_left(m_s2(5.0), ACTION_POINTS, 50.0).expect("a running tool");
        assert!((left.get::<hour>() - 1.0).abs() < 1e-12);
        assert_eq!(
            time_left(m_s2(5.0), ACTION_POINTS, 150.0)
                .expect("used up")
                .value,
            0.0
        );
    }

    #[test]
    fn the_cautious_rule_adds_the_uncertainty_and_never_goes_under_two_and_a_half() {
        let cautious = |a, k| {
            Exposure::of(
                m_s2(a),
                m_s2(k),
                Time::new::<hour>(1.0),
                DeclaredRule::Cautious,
            )
            .expect("usable")
            .vibration()
            .value
        };
        assert_eq!(cautious(4.0, 1.5), 5.5);
        assert_eq!(cautious(0.5, 1.5), 2.5);
    }

    #[test]
    fn years_meet_the_printed_table_and_stop_where_the_data_stop() {
        for (a8, years, half_digit) in [
            (26.0, 1.006, 5e-4),
            (14.0, 1.939, 5e-4),
            (7.0, 4.042, 5e-4),
            (3.7, 7.946, 5e-4),
            (5.0, 5.775, 5e-4),
            (2.5, 12.04, 5e-3),
            (10.0, 2.770, 5e-4),
        ] {
            let got = years_to_white_fingers(m_s2(a8)).expect("inside the data");
            assert!((got - years).abs() <= half_digit * 1.02, "{a8}: {got}");
        }
        assert_eq!(years_to_white_fingers(m_s2(1.0)), None);
        assert_eq!(years_to_white_fingers(m_s2(f64::INFINITY)), None);
    }

    #[test]
    fn nonsense_is_refused() {
        let refused = |a, k, hours| {
            Exposure::of(
                m_s2(a),
                m_s2(k),
                Time::new::<hour>(hours),
                DeclaredRule::Cautious,
            )
            .is_err()
        };
        assert!(refused(f64::NAN, 0.0, 1.0) && refused(-1.0, 0.0, 1.0) && refused(4.0, 1.0, 25.0));
        assert!(time_left(m_s2(0.0), 100.0, 0.0).is_err());
        assert_eq!(day_a8(&[]).value, 0.0);
    }

    proptest! {
        #[test]
        fn splitting_a_stint_changes_nothing(a in 0.5_f64..20.0, hours in 0.1_f64..8.0, share in 0.0_f64..1.0) {
            let whole = day_points(&[tool(a, hours)]);
            let split = day_points(&[tool(a, hours * share), tool(a, hours * (1.0 - share))]);
            prop_assert!((whole - split).abs() < 1e-9 * whole);
        }
    }
}
