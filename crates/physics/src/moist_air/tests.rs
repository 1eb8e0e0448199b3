//! Tests of dew point and margin: printed tables, examples, nonsense.

use super::*;
use uom::si::mass_density::gram_per_cubic_meter;

fn celsius(value: f64) -> Temperature {
    Temperature::new::<degree_celsius>(value)
}

fn air(temp_c: f64, humidity_pct: f64) -> Air {
    Air::of(celsius(temp_c), humidity_pct / 100.0).expect("ordinary air")
}

fn dew_c(temp_c: f64, humidity_pct: f64) -> f64 {
    air(temp_c, humidity_pct)
        .dew_point()
        .get::<degree_celsius>()
}

#[test]
fn the_printed_dew_point_table_is_met() {
    // German dew-point table, printed to 0.1 °C. Its tolerance of 0.15 °C covers
    // the rounding and the table's own vapour formula. Its cell 30 °C/65 %
    // prints 23.7 for 22.7: a misprint, left out and asserted below.
    let printed: [(f64, [f64; 9]); 8] = [
        (10.0, [0.0, 1.3, 2.5, 3.7, 4.8, 5.8, 6.8, 7.7, 8.5]),
        (15.0, [4.7, 6.1, 7.4, 8.5, 9.6, 10.7, 11.7, 12.6, 13.5]),
        (18.0, [7.4, 8.8, 10.1, 11.3, 12.4, 13.5, 14.6, 15.4, 16.3]),
        (20.0, [9.3, 10.7, 12.0, 13.2, 14.4, 15.5, 16.5, 17.4, 18.4]),
        (22.0, [11.2, 12.5, 13.9, 15.2, 16.3, 17.4, 18.4, 19.4, 20.3]),
        (25.0, [13.8, 15.4, 16.7, 18.0, 19.1, 20.2, 21.4, 22.3, 23.3]),
        (28.0, [16.6, 18.1, 19.4, 20.9, 22.0, 23.2, 24.2, 25.3, 26.2]),
        (
            30.0,
            [18.4, 20.0, 21.4, f64::NAN, 23.9, 25.1, 26.1, 27.2, 28.2],
        ),
    ];
    for (temp_c, row) in printed {
        for (step, expected) in row
            .into_iter()
            .enumerate()
            .filter(|(_, cell)| cell.is_finite())
        {
            let humidity_pct = 50.0 + 5.0 * step as f64;
            let got = dew_c(temp_c, humidity_pct);
            assert!(
                (got - expected).abs() <= 0.15,
                "{temp_c} {humidity_pct}: {got} {expected}"
            );
        }
    }
    assert!((dew_c(30.0, 65.0) - 22.7).abs() < 0.05);
}

#[test]
fn the_printed_decisions_are_met() {
    let cases = [(20.0, 70.0, 14.4, 17.4), (10.0, 90.0, 8.4, 11.4)];
    for (temp_c, humidity, dew, coldest) in cases {
        assert!((dew_c(temp_c, humidity) - dew).abs() < 0.1);
        let allowed = air(temp_c, humidity)
            .coldest_allowed_surface()
            .get::<degree_celsius>();
        assert!((allowed - coldest).abs() < 0.1);
    }
    let rejected = air(16.0, 71.0)
        .margin_of(celsius(13.0))
        .expect("in range")
        .get::<kelvins_apart>();
    assert!((rejected - 2.2).abs() < 0.1 && rejected < LEAST_MARGIN_K);
    assert!((dew_c(22.0, 70.0) - 16.3).abs() < 0.05 && (dew_c(22.0, 45.0) - 9.5).abs() < 0.05);
    assert!((dew_c(24.0, 35.0) - 7.0).abs() < 0.7);
    assert!((dew_c(15.0, 50.0) - 5.0).abs() < 0.5 && (dew_c(15.0, 80.0) - 12.0).abs() < 0.5);
}

#[test]
fn fahrenheit_examples_are_met_to_their_printing() {
    let fahrenheit_dew =
        |temp_f: f64, humidity| dew_c((temp_f - 32.0) / 1.8, humidity) * 1.8 + 32.0;
    assert!((fahrenheit_dew(70.0, 65.0) - 57.0).abs() < 1.0);
    let chart = [
        (60.0, 50.0, 40.0),
        (50.0, 80.0, 44.0),
        (80.0, 60.0, 64.0),
        (60.0, 70.0, 50.0),
        (90.0, 80.0, 82.0),
        (80.0, 90.0, 77.0),
    ];
    for (temp_f, humidity, dew_f) in chart {
        assert!((fahrenheit_dew(temp_f, humidity) - dew_f).abs() <= 1.5);
    }
}

#[test]
fn two_libraries_dew_points_are_met() {
    // Temperature, humidity, two libraries of meteorology; they differ by up to 0.05.
    let printed = [
        (5.0, 80.0, 1.84, 1.83),
        (10.0, 85.0, 7.60, 7.59),
        (15.0, 60.0, 7.31, 7.29),
        (20.0, 50.0, 9.27, 9.26),
        (20.0, 65.0, 13.23, 13.21),
        (20.0, 85.0, 17.40, 17.39),
        (25.0, 60.0, 16.70, 16.68),
        (30.0, 80.0, 26.17, 26.13),
        (35.0, 50.0, 23.02, 22.98),
        (40.0, 20.0, 12.78, 12.73),
    ];
    for (temp_c, humidity, upper, lower) in printed {
        let got = dew_c(temp_c, humidity);
        assert!(
            got > lower - 0.01 && got < upper + 0.01,
            "{temp_c} {humidity}: {got}"
        );
    }
}

#[test]
fn water_content_meets_the_climate_table() {
    let printed = [
        (20.0, 50.0, 8.7),
        (30.0, 60.0, 18.2),
        (10.0, 70.0, 6.6),
        (25.0, 80.0, 18.4),
        (0.0, 100.0, 4.8),
        (10.0, 100.0, 9.4),
        (20.0, 100.0, 17.3),
        (25.0, 100.0, 23.0),
        (30.0, 100.0, 30.4),
        (35.0, 100.0, 39.6),
    ];
    for (temp_c, humidity, grams) in printed {
        let got = air(temp_c, humidity)
            .water_content()
            .get::<gram_per_cubic_meter>();
        // The table's own tolerance and the 0.083 % of the pressure fit.
        assert!(
            (got - grams).abs() < 0.06 + 0.000_83 * grams,
            "{temp_c} {humidity}: {got}"
        );
    }
}

#[test]
fn a_wet_thermometer_gives_the_same_dew_point_as_a_library() {
    let pressure = Pressure::new::<hectopascal>(1013.25);
    for (dry, wet, dew) in [
        (21.0, 17.0, 14.73),
        (25.0, 20.0, 17.59),
        (20.0, 15.0, 11.73),
    ] {
        let got = Air::from_wet_bulb(celsius(dry), celsius(wet), pressure)
            .expect("readings that belong together");
        // The printed example carries half a degree: a ventilated wet thermometer
        // (0.00066 per kelvin) stands a little over the library's ideal one.
        let dew_point = got.dew_point().get::<degree_celsius>();
        assert!((dew_point - dew).abs() < 0.5, "{dry} {wet}: {dew_point}");
    }
    let example = Air::from_wet_bulb(celsius(21.0), celsius(17.0), pressure).expect("usable");
    let margin = example
        .margin_of(celsius(19.0))
        .expect("in range")
        .get::<kelvins_apart>();
    assert!((margin - 4.0).abs() < 0.5 && margin > LEAST_MARGIN_K);
}

#[test]
fn humidity_goes_there_and_back_through_the_dew_point() {
    for (temp_c, dew, humidity_pct) in [(20.0, 10.0, 52.5), (15.0, 12.0, 82.2), (30.0, 24.0, 70.3)]
    {
        let share = saturation_hpa(dew) / saturation_hpa(temp_c);
        assert!((100.0 * share - humidity_pct).abs() < 0.1);
        // Two vapour laws that agree to 0.03 K.
        assert!((dew_c(temp_c, 100.0 * share) - dew).abs() < 0.03);
    }
    // Steam tables: 6.11 hPa at the ice point, 23.39 hPa at 20 °C (fit good to 0.083 %).
    for (temp_c, hpa) in [(0.0, 6.11), (20.0, 23.39)] {
        let got = saturation_pressure(celsius(temp_c))
            .expect("in range")
            .get::<hectopascal>();
        assert!(
            (got - hpa).abs() < 0.005 + 0.000_83 * hpa,
            "{temp_c}: {got}"
        );
    }
}

#[test]
fn saturated_air_has_its_dew_point_at_its_temperature() {
    assert!((dew_c(17.0, 100.0) - 17.0).abs() < 1e-12);
}

#[test]
fn nonsense_is_refused() {
    assert!(Air::of(celsius(20.0), 65.0).is_err());
    assert!(Air::of(celsius(f64::NAN), 0.5).is_err());
    assert!(Air::of(celsius(140.0), 0.5).is_err());
    let pressure = Pressure::new::<hectopascal>(1013.0);
    assert!(Air::from_wet_bulb(celsius(20.0), celsius(22.0), pressure).is_err());
    assert!(Air::from_wet_bulb(celsius(40.0), celsius(5.0), pressure).is_err());
}
