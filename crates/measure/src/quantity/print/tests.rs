//! Prints by hand-worked examples, and reads back what was printed.

use proptest::prelude::*;

use super::super::parse;
use super::*;

const METRIC: UnitSystem = UnitSystem::Metric;
const US: UnitSystem = UnitSystem::UsCustomary;

fn metres(m: f64) -> Length {
    Length::new::<meter>(m)
}

fn kelvins(k: f64) -> Temperature {
    Temperature::new::<thermodynamic_temperature::kelvin>(k)
}

fn difference(k: f64) -> TemperatureDifference {
    TemperatureDifference::new::<temperature_interval::kelvin>(k)
}

/// With plain blanks, for reading.
fn plain(text: &str) -> String {
    text.replace(GAP, " ").replace(THIN_GAP, "_")
}

#[test]
fn an_uncertain_film_shows_what_its_deviation_justifies() {
    let rows = [
        (2.68, 0.83, "2.7 ± 0.8 µm"),
        (2.68, 0.14, "2.68 ± 0.14 µm"),
        (115.7, 12.3, "116 ± 12 µm"),
        (347.0, 46.0, "350 ± 50 µm"),
        (-0.46, 0.3, "−0.5 ± 0.3 µm"),
        (2.0, 0.097, "2.0 ± 0.1 µm"),
        (2.0, 0.96, "2 ± 1 µm"),
        (-0.01, 0.3, "0.0 ± 0.3 µm"),
        (2.724, 0.0, "2.72 µm"),
        (2.724, f64::NAN, "2.72 µm"),
    ];
    for (value_um, sd_um, expected) in rows {
        let text =
            print_with_uncertainty(Film(metres(value_um * 1e-6)), metres(sd_um * 1e-6), METRIC);
        assert_eq!(plain(&text), expected);
    }
}

#[test]
fn the_gap_before_a_unit_does_not_break_and_the_minus_is_true() {
    let text = print(Film(metres(-2.5e-6)), METRIC, Digits::Decimals(1));
    assert_eq!(text, "\u{2212}2.5\u{a0}µm");
    let text = print(Dimension(metres(12_345.6)), METRIC, Digits::Decimals(1));
    assert_eq!(text, "12\u{202f}345.6\u{a0}m");
}

#[test]
fn each_kind_is_shown_in_the_units_of_the_reader() {
    let three = Digits::Significant(3);
    let rows = [
        (print(Film(metres(12.7e-6)), US, three), "0.500 mil"),
        (print(Dimension(metres(0.127)), METRIC, three), "127 mm"),
        (print(Dimension(metres(0.127)), US, three), "5.00 in"),
        (print(Dimension(metres(1.5)), METRIC, three), "1.50 m"),
        (print(Dimension(metres(1.524)), US, three), "5.00 ft"),
        (
            print(Velocity::new::<meter_per_second>(0.0254), METRIC, three),
            "25.4 mm/s",
        ),
        (
            print(Velocity::new::<meter_per_second>(0.0254), US, three),
            "1.00 in/s",
        ),
        (print(kelvins(333.15), METRIC, three), "60.0 °C"),
        (print(kelvins(333.15), US, three), "140 °F"),
        (print(difference(5.0), US, three), "9.00 °F"),
        (print(difference(5.0), METRIC, three), "5.00 K"),
        (
            print(Force::new::<newton>(44.482_216_152_605), US, three),
            "10.0 lbf",
        ),
        (
            print(Area::new::<square_meter>(0.092_903_04), US, three),
            "1.00 ft²",
        ),
        (
            print(Volume::new::<cubic_meter>(250e-6), METRIC, three),
            "250 ml",
        ),
        (
            print(Volume::new::<cubic_meter>(29.573_529_562_5e-6), US, three),
            "1.00 fl oz",
        ),
        (
            print(Mass::new::<kilogram>(0.453_592_37), US, three),
            "1.00 lb",
        ),
        (print(Mass::new::<kilogram>(0.03), METRIC, three), "30.0 g"),
        (
            print(Pressure::new::<pascal>(6_894.757_293_168), US, three),
            "1.00 psi",
        ),
    ];
    for (came, expected) in rows {
        assert_eq!(plain(&came), expected);
    }
}

#[test]
fn a_deviation_of_a_temperature_has_no_zero_shift() {
    let text = print_with_uncertainty(kelvins(333.15), difference(2.5), US);
    assert_eq!(plain(&text), "140 ± 4 °F");
    let text = print_with_uncertainty(kelvins(333.15), difference(2.5), METRIC);
    // 2.5 lies halfway; the format rounds a tie to the even digit.
    assert_eq!(plain(&text), "60 ± 2 °C");
}

#[test]
fn an_interval_is_shown_with_its_ends() {
    let film = |um: f64| Film(metres(um * 1e-6));
    let text = print_interval(film(2.71), film(2.04), film(3.63), METRIC);
    assert_eq!(plain(&text), "2.7 (2.0 to 3.6) µm");
}

#[test]
fn a_value_that_is_no_number_is_not_printed_as_one() {
    for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        let film = Film(metres(bad));
        assert_eq!(print(film, METRIC, Digits::Decimals(1)), "not stated");
        assert_eq!(print_with_uncertainty(film, metres(1e-6), US), "not stated");
        assert_eq!(
            print_interval(Film(metres(1e-6)), film, film, METRIC),
            "not stated"
        );
    }
}

#[test]
fn rounding_up_to_the_next_ten_does_not_add_a_digit() {
    let text = print(Film(metres(9.996e-6)), METRIC, Digits::Significant(3));
    assert_eq!(plain(&text), "10.0 µm");
    let text = print(Film(metres(0.0)), METRIC, Digits::Significant(2));
    assert_eq!(plain(&text), "0.0 µm");
    let text = print(Film(metres(1234.0e-6)), METRIC, Digits::Significant(2));
    assert_eq!(plain(&text), "1200 µm");
}

/// Printing to `digits` and reading back loses at most half of the last digit.
fn lost(came: f64, sent: f64, digits: i32) -> bool {
    (came - sent).abs() > 0.5001 * sent.abs() * 10.0 / 10_f64.powi(digits) + f64::MIN_POSITIVE
}

proptest! {
    #[test]
    fn what_is_printed_is_read_back(si in prop_oneof![-1e5..1e5_f64, -1.0..1.0_f64, -1e-4..1e-4_f64], metric: bool) {
        let system = if metric { METRIC } else { US };
        let nine = Digits::Significant(9);
        let film = parse::length(&print(Film(metres(si)), system, nine)).expect("a printed film reads");
        prop_assert!(!lost(film.get::<meter>(), si, 9));
        let dimension = parse::length(&print(Dimension(metres(si)), system, nine)).expect("a printed dimension reads");
        prop_assert!(!lost(dimension.get::<meter>(), si, 9));
        let speed = Velocity::new::<meter_per_second>(si);
        let speed = parse::velocity(&print(speed, system, nine)).expect("a printed speed reads");
        prop_assert!(!lost(speed.get::<meter_per_second>(), si, 9));
        let area = parse::area(&print(Area::new::<square_meter>(si), system, nine)).expect("a printed area reads");
        prop_assert!(!lost(area.get::<square_meter>(), si, 9));
        let volume = parse::volume(&print(Volume::new::<cubic_meter>(si), system, nine)).expect("a printed volume reads");
        prop_assert!(!lost(volume.get::<cubic_meter>(), si, 9));
        let mass = parse::mass(&print(Mass::new::<kilogram>(si), system, nine)).expect("a printed mass reads");
        prop_assert!(!lost(mass.get::<kilogram>(), si, 9));
        let force = parse::force(&print(Force::new::<newton>(si), system, nine)).expect("a printed force reads");
        prop_assert!(!lost(force.get::<newton>(), si, 9));
        let step = parse::temperature_difference(&print(difference(si), system, nine)).expect("a printed difference reads");
        prop_assert!(!lost(step.get::<temperature_interval::kelvin>(), si, 9));
    }

    #[test]
    fn a_printed_temperature_is_read_back(k in 200.0..500.0_f64, metric: bool) {
        let system = if metric { METRIC } else { US };
        let back = parse::temperature(&print(kelvins(k), system, Digits::Decimals(6))).expect("a printed temperature reads");
        prop_assert!((back.get::<thermodynamic_temperature::kelvin>() - k).abs() < 1e-6);
    }

    #[test]
    fn no_text_makes_the_reader_panic_or_give_a_value_that_is_no_number(text in "[-+0-9.,eE x×'\"µ°/a-zA-Z\u{a0}\u{202f}\u{2212}²³⁻]{0,24}|\\PC{0,24}") {
        if let Ok(q) = parse::length(&text) {
            prop_assert!(q.get::<meter>().is_finite());
        }
        if let Ok((a, b)) = parse::size(&text) {
            prop_assert!(a.get::<meter>().is_finite() && b.get::<meter>().is_finite());
        }
        if let Ok(v) = parse::share(&text) {
            prop_assert!(v.is_finite());
        }
        if let Ok(q) = parse::angular_velocity(&text) {
            prop_assert!(q.value.is_finite());
        }
    }
}
