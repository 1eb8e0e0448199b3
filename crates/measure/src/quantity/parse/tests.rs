//! Reads what people write, and refuses what they did not mean.

use super::*;

/// Whether two numbers agree to the last few bits.
fn agrees(came: f64, expected: f64) -> bool {
    (came - expected).abs() <= 4.0 * f64::EPSILON * expected.abs()
}

#[track_caller]
fn reads_as<Q: Written>(text: &str, expected_si: f64, si: impl Fn(Q) -> f64) {
    match Q::read(text) {
        Ok(q) => {
            let came = si(q);
            assert!(
                agrees(came, expected_si),
                "{text}: {came} instead of {expected_si}"
            );
        }
        Err(e) => panic!("{text} was refused: {e}"),
    }
}

#[track_caller]
fn metres(text: &str, expected: f64) {
    reads_as::<Length>(text, expected, |q| q.get::<meter>());
}

#[track_caller]
fn turns(text: &str, expected_rpm: f64) {
    let rad_s = expected_rpm * std::f64::consts::PI / 30.0;
    reads_as::<AngularVelocity>(text, rad_s, |q| q.get::<radian_per_second>());
}

#[track_caller]
fn refused<Q: Written + std::fmt::Debug>(text: &str) -> QuantityError {
    match Q::read(text) {
        Ok(q) => panic!("{text} was read as {q:?}"),
        Err(e) => e,
    }
}

// Source of the factors: NIST SP 811, Appendix B (inch, foot, pound-force,
// pound, fluid ounce and gallon exact; psi to ten digits).
#[test]
fn lengths_are_read_as_people_write_them() {
    for text in [
        "5 in",
        "5\"",
        "5 inches",
        "5″",
        "5IN",
        "5.0 in",
        "+5 in",
        "5\u{a0}in",
    ] {
        metres(text, 0.127);
    }
    for text in ["95 µm", "95 μm", "95um", "95 UM", "95 microns", "95.0 µm "] {
        metres(text, 95e-6);
    }
    metres("0.5 mil", 12.7e-6);
    metres("12,5 mm", 12.5e-3);
    metres("12.5mm", 12.5e-3);
    metres("0,125 in", 0.125 * 0.0254);
    metres("1.4 mil", 35.56e-6);
    metres("2'", 0.6096);
    metres("−3 µm", -3e-6);
    metres("0.61 m", 0.61);
    metres("125 MM", 0.125);
}

// U1: 0.3 … 12 mil, exact by the definition of the inch.
#[test]
fn mils_are_exactly_25_4_micrometres() {
    let rows = [
        (0.3, 7.62),
        (0.5, 12.70),
        (1.4, 35.56),
        (1.5, 38.10),
        (2.0, 50.80),
        (12.0, 304.80),
    ];
    for (mil, um) in rows {
        metres(&format!("{mil} mil"), um * 1e-6);
    }
}

#[test]
fn thousands_are_read_when_they_cannot_be_decimals() {
    for text in [
        "1500 rpm",
        "1 500 rpm",
        "1\u{a0}500 rpm",
        "1\u{202f}500rpm",
        "1,500.0 rpm",
        "1.500,0 rpm",
    ] {
        turns(text, 1500.0);
    }
    turns("12 500 rpm", 12_500.0);
    turns("1,234,567 rpm", 1_234_567.0);
    turns("0.5 rpm", 0.5);
    turns("104.167 rpm", 104.167);
    metres("1 500,25 mm", 1.50025);
}

#[test]
fn a_comma_that_can_be_read_in_two_ways_is_refused_with_both_readings() {
    let e = refused::<AngularVelocity>("1,500 rpm");
    let sentence = e.to_string();
    assert!(sentence.contains("\"1500\""), "{sentence}");
    assert!(sentence.contains("\"1.5\""), "{sentence}");
    for text in ["1.500 opm", "4,500 opm", "1,500 rpm"] {
        let e = refused::<AngularVelocity>(text);
        assert!(
            matches!(e.fault, Fault::AmbiguousSeparator { .. }),
            "{text}: {e}"
        );
    }
    let e = refused::<Length>("1,250 mm");
    assert!(matches!(e.fault, Fault::AmbiguousSeparator { .. }), "{e}");
}

#[test]
fn groups_that_are_no_number_are_refused() {
    for text in [
        "1 50 rpm",
        "1,23,456 rpm",
        "0 500 rpm",
        "1.2.3 rpm",
        "1,234 567,8 rpm",
        "12,34.5 rpm",
        "1 2 rpm",
    ] {
        let e = refused::<AngularVelocity>(text);
        assert_eq!(e.fault, Fault::BrokenGroups, "{text}: {e}");
    }
}

#[test]
fn turning_speeds_are_read_in_every_unit() {
    turns("4500 opm", 4500.0);
    turns("25 Hz", 1500.0);
    turns("25 hz", 1500.0);
    turns("1500 1/min", 1500.0);
    turns("1500 RPM", 1500.0);
    reads_as::<AngularVelocity>("157 rad/s", 157.0, |q| q.get::<radian_per_second>());
}

#[test]
fn speeds_forces_and_pressures_are_read_in_both_systems() {
    let speed = |q: Velocity| q.get::<meter_per_second>();
    reads_as("1 in/s", 0.0254, speed);
    reads_as("50 mm/s", 0.05, speed);
    reads_as("3 m/min", 0.05, speed);
    let newtons = |q: Force| q.get::<newton>();
    reads_as("40 N", 40.0, newtons);
    reads_as("10 lbf", 44.482_216_152_605, newtons);
    reads_as("4 kgf", 39.2266, newtons);
    reads_as("0.04 kN", 40.0, newtons);
    let pascals = |q: Pressure| q.get::<pascal>();
    reads_as("3 kPa", 3000.0, pascals);
    reads_as("1 psi", 6_894.757_293_168, pascals);
    reads_as("2 MPa", 2e6, pascals);
    reads_as("1.013 bar", 101_300.0, pascals);
}

#[test]
fn times_areas_volumes_and_masses_are_read() {
    let seconds = |q: Time| q.get::<a_second>();
    for (text, s) in [
        ("2.5 h", 9000.0),
        ("40 s", 40.0),
        ("90 min", 5400.0),
        ("500 ms", 0.5),
        ("2 d", 172_800.0),
    ] {
        reads_as(text, s, seconds);
    }
    let area = |q: Area| q.get::<square_meter>();
    reads_as("1 ft²", 0.092_903_04, area);
    reads_as("10 sq. ft.", 0.929_030_4, area);
    reads_as("1,2 m^2", 1.2, area);
    let volume = |q: Volume| q.get::<cubic_meter>();
    reads_as("1 fl oz", 29.573_529_562_5e-6, volume);
    reads_as("250 mL", 250e-6, volume);
    reads_as("1 gal", 231.0 * 0.0254 * 0.0254 * 0.0254, volume);
    let mass = |q: Mass| q.get::<kilogram>();
    reads_as("16 oz", 0.453_592_37, mass);
    reads_as("2 lb", 0.907_184_74, mass);
    reads_as("30 g", 0.03, mass);
}

#[test]
fn a_temperature_and_a_difference_of_temperatures_have_different_zeros() {
    let kelvin = |q: Temperature| q.get::<thermodynamic_temperature::kelvin>();
    reads_as("140 °F", 333.15, kelvin);
    reads_as("60 °C", 333.15, kelvin);
    reads_as("60 ℃", 333.15, kelvin);
    reads_as("60C", 333.15, kelvin);
    reads_as("-40 deg F", 233.15, kelvin);
    reads_as("333 K", 333.0, kelvin);
    let difference = |q: TemperatureDifference| q.get::<temperature_interval::kelvin>();
    reads_as("3 K", 3.0, difference);
    reads_as("9 °F", 5.0, difference);
    reads_as("5 °C", 5.0, difference);
}

#[test]
fn angles_moments_and_accelerations_are_read() {
    let radians = |q: Angle| q.get::<radian>();
    reads_as("180 deg", std::f64::consts::PI, radians);
    reads_as("180°", std::f64::consts::PI, radians);
    reads_as("0.02 rad", 0.02, radians);
    let moment = |q: Torque| q.get::<newton_meter>();
    for text in ["0.5 N m", "0.5 Nm", "0.5 N·m", "0.5 N*m", "50 N cm"] {
        reads_as(text, 0.5, moment);
    }
    reads_as("1 lbf in", 4.448_221_615_260_5 * 0.0254, moment);
    let acceleration = |q: Acceleration| q.get::<meter_per_second_squared>();
    for text in ["4 m/s2", "4 m/s²", "4 m/s^2", "4 m s⁻²", "4 m·s-2"] {
        reads_as(text, 4.0, acceleration);
    }
}

#[test]
fn material_values_are_read() {
    let conductivity_si =
        |q: ThermalConductivity| q.get::<thermal_conductivity::watt_per_meter_kelvin>();
    for text in [
        "0.2 W/mK",
        "0.2 W/(m K)",
        "0.2 W/m·K",
        "0.2 W/(m·K)",
        "0.2 w/mk",
    ] {
        reads_as(text, 0.2, conductivity_si);
    }
    reads_as("1200 kg/m3", 1200.0, |q: MassDensity| {
        q.get::<kilogram_per_cubic_meter>()
    });
    reads_as("1.2 g/cm³", 1200.0, |q: MassDensity| {
        q.get::<kilogram_per_cubic_meter>()
    });
    let heat = |q: SpecificHeatCapacity| q.get::<joule_per_kilogram_kelvin>();
    reads_as("1500 J/kgK", 1500.0, heat);
    reads_as("1.5 kJ/(kg K)", 1500.0, heat);
    reads_as("10 W/m2K", 10.0, |q: HeatTransfer| {
        q.get::<watt_per_square_meter_kelvin>()
    });
    reads_as("10 W/(m² K)", 10.0, |q: HeatTransfer| {
        q.get::<watt_per_square_meter_kelvin>()
    });
}

#[test]
fn bare_numbers_with_units_are_read() {
    for text in [
        "4e-12 1/Pa",
        "4E-12 1/Pa",
        "4e−12 1/Pa",
        "4e-12 m2/N",
        "4e-12 m²/N",
        "4 × 10^-12 1/Pa",
        "4·10⁻¹² 1/Pa",
        "4e-6 1/MPa",
    ] {
        let came = cut_rate(text).unwrap_or_else(|e| panic!("{e}"));
        assert!(agrees(came, 4e-12), "{text}: {came}");
    }
    for text in ["86 dB", "86 dB(A)", "86 dBA", "86 db a"] {
        assert_eq!(sound_level_db(text), Ok(86.0), "{text}");
    }
    for text in ["55 %", "55%", "0.55", "0,55", "55 percent"] {
        let came = share(text).unwrap_or_else(|e| panic!("{e}"));
        assert!(agrees(came, 0.55), "{text}: {came}");
    }
    assert_eq!(share("55").map_err(|e| e.fault), Err(Fault::PercentMissing));
    assert_eq!((share("0"), share("1")), (Ok(0.0), Ok(1.0)));
}

#[test]
fn sizes_share_the_last_unit() {
    let rows = [
        ("2x2 ft", 0.6096, 0.6096),
        ("0.61 m x 0.61 m", 0.61, 0.61),
        ("60 × 40 cm", 0.6, 0.4),
        ("60 X 40 cm", 0.6, 0.4),
        ("24 in by 50 cm", 0.6096, 0.5),
        ("2' x 3'", 0.6096, 0.9144),
    ];
    for (text, first, second) in rows {
        let (a, b) = size(text).unwrap_or_else(|e| panic!("{e}"));
        assert!(
            agrees(a.get::<meter>(), first) && agrees(b.get::<meter>(), second),
            "{text}"
        );
    }
    for text in [
        "",
        "60 cm",
        "60 x 40",
        "60 cm x 40",
        "x",
        "a x b",
        "60 cm x 40 cm x 2 cm",
        "60 N x 40 cm",
    ] {
        let e = size(text)
            .err()
            .unwrap_or_else(|| panic!("{text} was read"));
        assert!(e.to_string().contains("60 x 40 cm"), "{e}");
    }
}

#[test]
fn a_number_without_a_unit_is_refused_in_one_clear_sentence() {
    let e = refused::<AngularVelocity>("1500");
    assert_eq!(
        e.to_string(),
        "\"1500\" has no unit; a turning speed is written like \"1500 rpm\" (allowed: rpm, opm, Hz, rad/s)"
    );
}

#[test]
fn nonsense_is_refused_and_never_read_as_a_number() {
    let rows = [
        "",
        "   ",
        "\u{a0}",
        "1500",
        "NaN mm",
        "inf mm",
        "-inf mm",
        "1e400 mm",
        "1e-400 mm",
        "1e99999999999 mm",
        "mm",
        "- mm",
        ". mm",
        "5 furlongs",
        "five mm",
        "5 mm 3",
        "--5 mm",
        "5 mm mm",
        "٣ mm",
        "1/2 in",
        "5e mm",
        "0x10 mm",
        "1e308 ft m",
        "5\u{0} mm",
        "1_000 mm",
    ];
    for text in rows {
        refused::<Length>(text);
    }
    assert_eq!(refused::<Length>("1e400 mm").fault, Fault::OutOfRange);
    assert_eq!(refused::<Length>(" ").fault, Fault::Empty);
    assert_eq!(refused::<Length>("NaN mm").fault, Fault::NoNumber);
    assert!(
        refused::<Length>(&"9".repeat(10_000))
            .to_string()
            .chars()
            .count()
            < 250
    );
    assert_eq!(
        refused::<Volume>(&format!("{}0 gal", "9".repeat(309))).fault,
        Fault::OutOfRange
    );
}

#[test]
fn a_unit_of_another_kind_is_named() {
    let e = refused::<AngularVelocity>("1500 mm");
    assert!(e.to_string().contains("measures a length"), "{e}");
    let e = refused::<Time>("9 years");
    assert!(e.to_string().contains("ms, s, min, h, d"), "{e}");
}

#[test]
fn letter_case_is_not_forgiven_where_it_changes_the_size() {
    refused::<Length>("5 Mm");
    refused::<Length>("5 Nm");
    refused::<Time>("5 Ms");
    refused::<Pressure>("5 mPa");
    refused::<Torque>("5 mNm");
    refused::<Mass>("5 Mg");
    assert!(cut_rate("5 1/mPa").is_err());
}
