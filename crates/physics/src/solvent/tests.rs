//! Tests of vapour in the bay: printed conversions, mixtures, the balance.

use super::*;
use uom::si::mass::gram;
use uom::si::time::{minute, second};
use uom::si::volume::cubic_meter;

const IPA_G_MOL: f64 = 60.1;

fn mg(ppm: f64, molar: f64) -> f64 {
    density_from_ppm(ppm, molar)
        .expect("usable")
        .get::<milligram_per_cubic_meter>()
}

fn density(mg_m3: f64) -> MassDensity {
    MassDensity::new::<milligram_per_cubic_meter>(mg_m3)
}

/// Isopropyl alcohol of 0.785 g/mL.
fn alcohol(millilitres: f64, minutes: f64) -> (Mass, Time) {
    (
        Mass::new::<gram>(0.785 * millilitres),
        Time::new::<minute>(minutes),
    )
}

#[test]
fn conversions_meet_the_printed_values() {
    // SV7, SV8, SV11 (ACGIH), SV12, SV13, SV14: ppm, g/mol, mg/m³, tolerance of the print.
    let printed = [
        (100.0, 92.14, 377.0, 0.5),
        (5000.0, 44.0, 9000.0, 5.0),
        (400.0, IPA_G_MOL, 983.0, 0.5),
        (500.0, IPA_G_MOL, 1230.0, 5.0),
        (1.0, 100.2, 4.0, 0.6),
        (5.0, 100.2, 20.0, 0.6),
        (100.0, 100.2, 410.0, 0.6),
        (1.0, 58.08, 2.38, 0.005),
        (1.0, 106.17, 4.34, 0.005),
        (1.0, 92.14, 3.77, 0.005),
        (1.0, IPA_G_MOL, 2.46, 0.005),
    ];
    for (ppm, molar, expected, half_digit) in printed {
        assert!(
            (mg(ppm, molar) - expected).abs() <= half_digit,
            "{ppm} {molar}: {}",
            mg(ppm, molar)
        );
    }
    // SV9, SV10.
    assert!((ppm_from_density(density(30.0), 78.0).expect("usable") - 9.4).abs() < 0.05);
    assert!((ppm_from_density(density(50.0), 17.03).expect("usable") - 71.785).abs() < 0.005);
    assert!((mg(100.0, 17.03) - 69.65).abs() < 0.0051);
}

#[test]
fn the_general_conversion_meets_the_convention_at_its_own_temperature() {
    let air = Temperature::new::<degree_celsius>(25.0);
    let general = density_from_ppm_at(
        100.0,
        92.14,
        air,
        Pressure::new::<millimeter_of_mercury>(760.0),
    )
    .expect("usable");
    // 24.465 against the conventional 24.45 litres.
    assert!((general.get::<milligram_per_cubic_meter>() / mg(100.0, 92.14) - 1.0).abs() < 0.002);
}

#[test]
fn day_means_and_mixtures_meet_the_regulation() {
    // SV3, SV4, SV5, SV6.
    let hours = |value| Time::new::<hour>(value);
    let mean =
        day_mean(&[(150.0, hours(2.0)), (75.0, hours(2.0)), (50.0, hours(4.0))]).expect("usable");
    assert!((mean - 81.25).abs() < 1e-12);
    let index = |pairs: &[(f64, f64)]| {
        let vapours: Vec<_> = pairs
            .iter()
            .map(|&(found, limit)| AgainstLimit { found, limit })
            .collect();
        mixture_index(&vapours).expect("usable")
    };
    assert!((index(&[(500.0, 1000.0), (45.0, 200.0), (40.0, 200.0)]) - 0.925).abs() < 1e-12);
    assert!((index(&[(150.0, 200.0), (300.0, 400.0)]) - 1.5).abs() < 1e-12);
    let three = index(&[(5.0, 10.0), (20.0, 50.0), (10.0, 20.0)]);
    assert!((three - 1.4).abs() < 1e-12 && (35.0 / three - 25.0).abs() < 1e-9);
}

#[test]
fn the_ventilation_example_is_met() {
    // SV1: 1.5 US pints (0.473176 L each) of 1.32 kg/L in an hour, 133.4 g/mol,
    // 350 ppm, K 5: 1425 ft³/min. The customary constant 403 stands for 70 °F,
    // so the level is converted there too; the constant itself is rounded to 1/403.
    let mass = Mass::new::<gram>(1.5 * 473.176 * 1.32 * 0.998);
    let at_70f = Temperature::new::<degree_celsius>(21.11);
    let level = density_from_ppm_at(
        350.0,
        133.4,
        at_70f,
        Pressure::new::<millimeter_of_mercury>(760.0),
    )
    .expect("usable");
    let flow_m3_h =
        airflow_to_keep_m3_h((mass, Time::new::<hour>(1.0)), level, 5.0).expect("usable");
    let cubic_feet_a_minute = flow_m3_h / 60.0 / 0.028_316_846_592;
    assert!(
        (cubic_feet_a_minute / 1425.0 - 1.0).abs() < 1.0 / 403.0,
        "{cubic_feet_a_minute}"
    );
}

#[test]
fn a_wipe_down_needs_the_printed_airflow() {
    // SV15.
    let level = density(mg(400.0, IPA_G_MOL));
    for (mixing, expected) in [(1.0, 239.5), (3.0, 718.5)] {
        let flow = airflow_to_keep_m3_h(alcohol(50.0, 10.0), level, mixing).expect("usable");
        assert!((flow / expected - 1.0).abs() < 0.005, "{flow}");
    }
}

#[test]
fn a_shut_garage_keeps_everything() {
    // SV16: 100 mL in 60 m³.
    let shut = Bay {
        volume: Volume::new::<cubic_meter>(60.0),
        air_changes_per_hour: 0.0,
        mixing: 1.0,
    };
    let found = shut
        .vapour_after(alcohol(100.0, 10.0), density(0.0), Time::new::<hour>(3.0))
        .expect("usable");
    assert!((found.get::<milligram_per_cubic_meter>() / 1308.0 - 1.0).abs() < 0.005);
    assert!((ppm_from_density(found, IPA_G_MOL).expect("usable") / 532.0 - 1.0).abs() < 0.005);
}

#[test]
fn steady_wiping_builds_up_as_printed() {
    // SV17: 100 mL/h, 60 m³, two changes an hour.
    let bay = Bay {
        volume: Volume::new::<cubic_meter>(60.0),
        air_changes_per_hour: 2.0,
        mixing: 1.0,
    };
    let day = alcohol(1000.0, 600.0);
    for (minutes, expected) in [
        (15.0, 257.4),
        (30.0, 413.5),
        (60.0, 565.6),
        (120.0, 642.2),
        (599.0, 654.0),
    ] {
        let found = bay
            .vapour_after(day, density(0.0), Time::new::<minute>(minutes))
            .expect("usable");
        assert!(
            (found.get::<milligram_per_cubic_meter>() / expected - 1.0).abs() < 0.005,
            "{minutes}"
        );
    }
}

#[test]
fn after_the_last_wipe_the_air_clears() {
    let bay = Bay {
        volume: Volume::new::<cubic_meter>(60.0),
        air_changes_per_hour: 2.0,
        mixing: 1.0,
    };
    let at = |minutes| {
        bay.vapour_after(
            alcohol(50.0, 10.0),
            density(0.0),
            Time::new::<minute>(minutes),
        )
        .expect("usable")
        .value
    };
    // One hour of two changes leaves e^-2 of what was there.
    assert!((at(70.0) / at(10.0) - (-2.0_f64).exp()).abs() < 1e-9);
    let old = bay
        .vapour_after(alcohol(0.0, 10.0), density(100.0), Time::new::<hour>(0.5))
        .expect("usable");
    assert!((old.get::<milligram_per_cubic_meter>() - 100.0 * (-1.0_f64).exp()).abs() < 1e-9);
}

#[test]
fn nonsense_is_refused() {
    assert!(density_from_ppm(f64::NAN, 60.0).is_err());
    assert!(density_from_ppm(100.0, 0.0).is_err());
    assert!(
        mixture_index(&[AgainstLimit {
            found: 1.0,
            limit: 0.0
        }])
        .is_err()
    );
    assert!(day_mean(&[(10.0, Time::new::<hour>(25.0))]).is_err());
    let instant = (Mass::new::<gram>(10.0), Time::new::<second>(0.0));
    assert!(airflow_to_keep_m3_h(instant, density(900.0), 1.0).is_err());
    let cupboard = Bay {
        volume: Volume::new::<cubic_meter>(0.0),
        air_changes_per_hour: 1.0,
        mixing: 1.0,
    };
    assert!(
        cupboard
            .vapour_after(alcohol(1.0, 1.0), density(0.0), Time::new::<hour>(1.0))
            .is_err()
    );
}
