//! Tests of the noise of a day: the printed tables of four bodies.

use super::*;

fn stint(level_dba: f64, hours: f64) -> Stint {
    Stint::of(level_dba, Time::new::<hour>(hours)).expect("a usable stint")
}

fn minutes_to(level_dba: f64, daily_dba: f64) -> f64 {
    time_to_level(level_dba, daily_dba)
        .expect("usable")
        .get::<hour>()
        * 60.0
}

#[test]
fn niosh_times_are_met_exactly() {
    for (level, hours) in [
        (85.0, 8.0),
        (88.0, 4.0),
        (91.0, 2.0),
        (94.0, 1.0),
        (97.0, 0.5),
        (100.0, 0.25),
    ] {
        let allowed = DoseBook::Niosh
            .allowed_time(level)
            .expect("usable")
            .get::<hour>();
        assert!((allowed - hours).abs() < 1e-12);
    }
}

#[test]
fn european_times_are_met_to_their_printing() {
    // NV2 to NV4, minutes; printed to the minute by halving per 3 dB, which the
    // equal-energy form leaves by 0.3 % per 3 dB.
    let lower = [
        (83.0, 240.0),
        (86.0, 120.0),
        (89.0, 60.0),
        (92.0, 30.0),
        (95.0, 15.0),
        (98.0, 8.0),
        (101.0, 4.0),
        (104.0, 2.0),
        (107.0, 1.0),
    ];
    let upper = [
        (88.0, 240.0),
        (91.0, 120.0),
        (94.0, 60.0),
        (97.0, 30.0),
        (100.0, 15.0),
        (105.0, 5.0),
        (111.0, 1.0),
    ];
    let limit = [
        (90.0, 240.0),
        (93.0, 120.0),
        (96.0, 60.0),
        (99.0, 30.0),
        (102.0, 15.0),
    ];
    for (rows, daily, half_digit) in [
        (&lower[..], LOWER_ACTION_DBA, 0.6),
        (&upper[..], UPPER_ACTION_DBA, 0.3),
        (&limit[..], LIMIT_DBA, 0.3),
    ] {
        for (level, minutes) in rows {
            let steps = (level - daily) / 3.0;
            let form = minutes * 0.003 * steps;
            assert!(
                (minutes_to(*level, daily) - minutes).abs() <= half_digit + form,
                "{level}"
            );
        }
    }
}

#[test]
fn the_canadian_table_is_met_to_half_its_last_digit() {
    let printed = [
        (83.0, 20.0, 0.5),
        (84.0, 16.0, 0.5),
        (85.0, 13.0, 0.5),
        (86.0, 10.0, 0.5),
        (87.0, 8.0, 0.05),
        (88.0, 6.4, 0.05),
        (89.0, 5.0, 0.05),
        (90.0, 4.0, 0.05),
        (91.0, 3.2, 0.05),
        (92.0, 2.5, 0.05),
        (93.0, 2.0, 0.05),
        (94.0, 1.6, 0.05),
        (95.0, 1.3, 0.05),
        (96.0, 1.0, 0.05),
        (97.0, 0.80, 0.005),
        (98.0, 0.64, 0.005),
        (99.0, 0.50, 0.005),
        (100.0, 0.40, 0.005),
        (101.0, 0.32, 0.005),
    ];
    for (level, hours, half_digit) in printed {
        let got = time_to_level(level, 87.0).expect("usable").get::<hour>();
        assert!((got - hours).abs() <= half_digit, "{level}: {got}");
    }
}

#[test]
fn three_equal_doses_reach_85() {
    for (level, minutes, exact) in [
        (105.0, 5.0, 85.18),
        (94.0, 60.0, 84.97),
        (88.0, 240.0, 84.99),
        (95.0, 45.0, 84.7),
        (100.0, 15.0, 84.95),
    ] {
        let daily = daily_level_dba(&[stint(level, minutes / 60.0)]).expect("some noise");
        assert!(
            (daily - 85.0).abs() < 0.31 && (daily - exact).abs() < 0.051,
            "{level}: {daily}"
        );
    }
}

#[test]
fn mixed_days_are_met() {
    // NV15, NV16.
    let mixed =
        daily_level_dba(&[stint(84.0, 5.0), stint(78.0, 2.0), stint(70.0, 1.0)]).expect("noise");
    assert!((mixed - 82.41).abs() < 0.01);
    assert_eq!(
        european_verdict(mixed, 0.0),
        Ok(EuropeanVerdict::LowerAction)
    );
    assert!((daily_level_dba(&[stint(97.0, 0.5)]).expect("noise") - 84.96).abs() < 0.01);
    assert!((daily_level_dba(&[stint(97.0, 0.25)]).expect("noise") - 81.95).abs() < 0.01);
}

#[test]
fn day_and_week_points_meet_the_printed_reckoner() {
    let printed = [
        1000.0, 790.0, 630.0, 500.0, 400.0, 315.0, 250.0, 200.0, 160.0, 125.0, 100.0, 80.0, 65.0,
        50.0, 40.0, 32.0, 26.0, 20.0,
    ];
    for (step, points) in printed.into_iter().enumerate() {
        let level = 95.0 - step as f64;
        assert!((day_points(level) / points - 1.0).abs() < 0.04, "{level}");
    }
    let weekly = [
        5000.0, 4000.0, 3200.0, 2500.0, 2000.0, 1600.0, 1250.0, 1000.0, 790.0, 630.0, 500.0, 395.0,
        315.0, 250.0, 200.0, 160.0,
    ];
    for (step, points) in weekly.into_iter().enumerate() {
        // A week of equal days with that many points in all.
        let each = 85.0 + 10.0 * (points / 500.0_f64).log10();
        let level = weekly_level_dba(&[each; 5]).expect("noise");
        assert!((level - (95.0 - step as f64)).abs() <= 0.1);
    }
}

#[test]
fn the_osha_table_is_met_to_half_its_last_digit() {
    let printed = [
        (80.0, 32.0, 0.5),
        (82.0, 24.3, 0.05),
        (85.0, 16.0, 0.5),
        (88.0, 10.6, 0.05),
        (90.0, 8.0, 0.05),
        (92.0, 6.1, 0.05),
        (95.0, 4.0, 0.05),
        (97.0, 3.0, 0.05),
        (100.0, 2.0, 0.05),
        (102.0, 1.5, 0.05),
        (105.0, 1.0, 0.05),
        (110.0, 0.5, 0.005),
        (115.0, 0.25, 0.005),
        (120.0, 0.125, 0.0005),
        (130.0, 0.031, 0.0005),
        (83.0, 21.1, 0.05),
    ];
    for (level, hours, half_digit) in printed {
        let got = DoseBook::Osha
            .allowed_time(level)
            .expect("usable")
            .get::<hour>();
        assert!((got - hours).abs() <= half_digit, "{level}: {got}");
    }
}

#[test]
fn osha_doses_and_levels_are_met() {
    let dose = DoseBook::Osha.dose_pct(&[stint(92.0, 8.0)]);
    assert!((dose - 131.0).abs() <= 1.31);
    let rows = [
        (10.0, 73.4),
        (15.0, 76.3),
        (20.0, 78.4),
        (25.0, 80.0),
        (50.0, 85.0),
        (91.0, 89.3),
        (100.0, 90.0),
        (150.0, 92.9),
        (200.0, 95.0),
        (400.0, 100.0),
    ];
    for (dose, level) in rows {
        let got = DoseBook::Osha
            .eight_hour_level_dba(dose)
            .expect("some dose");
        assert!((got - level).abs() <= 0.05, "{dose}: {got}");
    }
}

#[test]
fn niosh_dose_and_level_go_there_and_back() {
    let dose = DoseBook::Niosh.dose_pct(&[stint(94.0, 2.0)]);
    assert!((dose - 200.0).abs() < 1e-9);
    assert!(
        (DoseBook::Niosh
            .eight_hour_level_dba(dose)
            .expect("some dose")
            - 88.01)
            .abs()
            < 0.005
    );
}

#[test]
fn a_protector_counts_for_the_limit_only() {
    assert_eq!(european_verdict(90.0, 0.0), Ok(EuropeanVerdict::OverLimit));
    assert_eq!(
        european_verdict(90.0, 20.0),
        Ok(EuropeanVerdict::UpperAction)
    );
    assert_eq!(european_verdict(79.9, 0.0), Ok(EuropeanVerdict::Quiet));
}

#[test]
fn silence_and_nonsense_have_no_level() {
    assert_eq!(daily_level_dba(&[]), None);
    assert_eq!(weekly_level_dba(&[f64::NAN]), None);
    assert_eq!(DoseBook::Osha.eight_hour_level_dba(0.0), None);
    assert!(Stint::of(f64::NAN, Time::new::<hour>(1.0)).is_err());
    assert!(Stint::of(85.0, Time::new::<hour>(-1.0)).is_err());
    assert!(european_verdict(85.0, f64::NAN).is_err());
}
