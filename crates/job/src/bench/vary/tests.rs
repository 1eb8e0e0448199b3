//! Series of passes: what is varied, what is refused, and equal bits.

use std::sync::atomic::AtomicBool;

use super::keys::{Shape, known};
use super::*;
use crate::bench::setup::Route;

const SETUP: &str = r#"[panel]
size = ["0.4 m", "0.3 m"]
substrate = "steel"
[machine]
kind = "rotary"
speed = "1500 rpm"
[pad]
diameter = "125 mm"
[touch]
force = "40 N"
eccentricity = 0.0
[stroke]
pattern = "cross-hatch"
arm_speed = "100 mm/s"
[heat]
detail = "quick"
"#;

fn no_files(_: &str) -> Result<String, String> {
    Err("there is no file".to_owned())
}

fn made(spans: &[&str]) -> Result<Vec<Point>, InputError> {
    let spans = spans
        .iter()
        .map(|text| read_span(text))
        .collect::<Result<Vec<_>, _>>()?;
    points("s.toml", SETUP, &no_files, &spans)
}

fn refused(spans: &[&str], expected: &[&str]) {
    let error = made(spans).expect_err("refused").to_string();
    for part in expected {
        assert!(error.contains(part), "{error}\nmisses {part}");
    }
}

#[test]
fn the_values_stand_evenly_between_the_ends_and_push_other_leans_out() {
    let points = made(&["touch.tilt=0deg..6deg/13"]).expect("good");
    let written: Vec<&str> = points.iter().map(|p| p.written[0].as_str()).collect();
    assert_eq!(written[..3], ["0 deg", "0.5 deg", "1 deg"]);
    assert_eq!((written[12], points.len()), ("6 deg", 13));
    let Some(last) = points.last() else {
        panic!("13 points")
    };
    assert!(matches!(
        last.setup.touch.lean,
        lapwing_physics::contact::Lean::Tilt(_)
    ));
}

#[test]
fn units_with_a_slash_small_numbers_counts_and_lists_are_read() {
    let span = read_span("stroke.arm_speed=1 in/s..4 in/s/7").expect("good");
    assert_eq!((span.unit.as_str(), span.count), ("in/s", 7));
    assert_eq!(span.written(1), "1.5 in/s");
    let span = read_span("stroke.arm_speed = 25 .. 100mm/s / 4").expect("one unit for both");
    assert_eq!(span.written(3), "100 mm/s");
    let span = read_span("abrasive.cut_rate=1e-12 1/Pa..8e-12 1/Pa/8").expect("good");
    assert_eq!(span.written(3), "4e-12 1/Pa");
    let points = made(&["stroke.passes=1..4/4"]).expect("good");
    let passes: Vec<u32> = points
        .iter()
        .map(|point| match &point.setup.route {
            Route::Lines(lines) => lines.coverage.passes,
            _ => 0,
        })
        .collect();
    assert_eq!(passes, [1, 2, 3, 4]);
    let points = made(&["panel.size[1]=300mm..500mm/3"]).expect("good");
    assert!((points[2].setup.panel.section.height.value - 0.5).abs() < 1e-12);
    let points = made(&["panel.start_temperature=-5°C..35°C/5"]).expect("good");
    assert_eq!(points[0].written[0], "-5 °C");
}

#[test]
fn thirds_are_written_short() {
    let span = read_span("stroke.overlap=0..0.3/4").expect("good");
    assert_eq!(
        [0, 1, 2, 3].map(|i| span.written(i)),
        ["0", "0.1", "0.2", "0.3"]
    );
}

#[test]
fn what_cannot_be_varied_is_refused_with_what_to_do() {
    refused(
        &["touch.tild=0deg..6deg/13"],
        &[
            "the key touch.tild is not known",
            "did you mean touch.tilt?",
        ],
    );
    refused(
        &["arm_speed=1in/s..2in/s/3"],
        &["did you mean stroke.arm_speed?"],
    );
    refused(
        &["machine.kind=0..1/3"],
        &["machine.kind is a word and not a number"],
    );
    refused(&["panel.pad_wind=0..1/2"], &["is a word and not a number"]);
    refused(
        &["panel.size=1m..2m/3"],
        &["holds several values", "panel.size[0]"],
    );
    refused(&["touch=1..2/3"], &["holds several values"]);
    refused(
        &["touch.tilt=0..6/13"],
        &["the ends have no unit", "0deg..6deg"],
    );
    refused(
        &["stroke.overlap=0%..50%/3"],
        &["the unit \"%\"", "Leave the unit out"],
    );
}

#[test]
fn ends_and_counts_that_make_no_series_are_refused() {
    refused(
        &["touch.tilt=0deg..6deg/1"],
        &["\"1\" values came in", "2 to 200"],
    );
    refused(&["touch.tilt=0deg..6deg/201"], &["\"201\" values came in"]);
    refused(
        &["touch.tilt=0deg..6deg"],
        &["does not say how many values"],
    );
    refused(&["touch.tilt=6deg/13"], &["no \"..\""]);
    refused(&["touch.tilt"], &["no \"=\""]);
    refused(
        &["touch.tilt=3deg..3deg/4"],
        &["from 3 to 3, which is one value only"],
    );
    refused(
        &["stroke.arm_speed=1in/s..100mm/s/4"],
        &["two units, \"in/s\" and \"mm/s\""],
    );
    refused(&["touch.force=2,5N..4N/3"], &["has a comma"]);
    refused(
        &["touch.force=lots..4N/3"],
        &["does not begin with a number"],
    );
    refused(&["stroke.passes=1..4/3"], &["whole numbers", "2.5"]);
    refused(
        &["panel.size[7]=1m..2m/3"],
        &["entry 7", "the setup's list has 2"],
    );
    refused(
        &["heat.above[0]=50°C..60°C/3"],
        &["a list that the setup does not have"],
    );
}

#[test]
fn a_value_the_setup_refuses_along_the_way_is_named() {
    refused(
        &["stroke.overlap=0.5..1.0/6"],
        &["s.toml: with stroke.overlap = 1, ", "0 to 0.95"],
    );
    refused(
        &["touch.force=20mm..60mm/3"],
        &["with touch.force = 20 mm", "measures"],
    );
}

#[test]
fn two_keys_make_a_grid_the_second_fastest_and_more_are_refused() {
    let points = made(&["touch.force=20N..60N/3", "stroke.overlap=0.4..0.6/2"]).expect("good");
    let written: Vec<[&str; 2]> = points
        .iter()
        .map(|p| [p.written[0].as_str(), p.written[1].as_str()])
        .collect();
    assert_eq!(written.len(), 6);
    assert_eq!(written[1], ["20 N", "0.6"]);
    assert_eq!(written[2], ["40 N", "0.4"]);
    refused(
        &["touch.force=20N..60N/3", "touch.force=20N..60N/3"],
        &["came twice"],
    );
    refused(
        &["touch.tilt=0deg..3deg/4", "touch.moment=0Nm..1Nm/3"],
        &["touch.tilt and touch.moment contradict each other"],
    );
    refused(
        &["touch.force=20N..60N/200", "stroke.overlap=0.1..0.6/200"],
        &["40000 passes", "1000"],
    );
    refused(&[], &["0 keys"]);
}

#[test]
fn rows_equal_single_passes_to_the_last_bit_on_any_number_of_threads() {
    let points = made(&["touch.force=20N..60N/3"]).expect("good");
    let on = |threads: usize| {
        rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .expect("a pool")
            .install(|| vary(&points, HeatWatch::default()).expect("works"))
    };
    let (one, four) = (on(1), on(4));
    for (row, (other, point)) in one.iter().zip(four.iter().zip(&points)) {
        let single = bench(&point.setup, HeatWatch::default()).expect("works");
        let bits = |a: f64, b: f64, c: f64| [a, b, c].map(f64::to_bits);
        let of = |r: &VaryRow| bits(r.removal.mean_um, r.removal.cv, r.heat.peak_c);
        assert_eq!(of(row), of(other));
        assert_eq!(
            of(row),
            bits(
                single.removal.mean_um,
                single.removal.cv,
                single.heat.peak_c
            )
        );
    }
    // Removal and rise grow in step with the force of a flat pad.
    let ratio = one[2].removal.mean_um / one[0].removal.mean_um;
    assert!((ratio - 3.0).abs() < 1e-6, "{ratio}");
}

#[test]
fn a_stopped_series_says_so_and_progress_runs_to_one() {
    let points = made(&["touch.force=20N..60N/2"]).expect("good");
    let stop = AtomicBool::new(true);
    let watch = HeatWatch {
        progress: None,
        cancel: Some(&stop),
    };
    assert!(
        vary(&points, watch)
            .expect_err("stopped")
            .sentence
            .contains("stopped")
    );
    let most = AtomicU64::new(0);
    let report = |done: f64| {
        most.fetch_max((done * 1e6) as u64, Ordering::Relaxed);
    };
    let watch = HeatWatch {
        progress: Some(&report),
        cancel: None,
    };
    vary(&points, watch).expect("works");
    assert_eq!(most.load(Ordering::Relaxed), 1_000_000);
}

#[test]
fn every_kind_of_key_is_known() {
    let known = known();
    let shape = |key: &str| known.iter().find(|(k, _)| k == key).map(|(_, s)| *s);
    for (key, expected) in [
        ("units", Shape::Word),
        ("panel.size[]", Shape::Quantity),
        ("panel.layers[].thickness", Shape::Quantity),
        ("panel.layers[].name", Shape::Word),
        ("panel.pad_wind", Shape::Word),
        ("abrasive.cut_rate", Shape::Quantity),
        ("abrasive.friction_share", Shape::Number),
        ("stroke.passes", Shape::Count),
        ("stroke.spread.arm_speed", Shape::Quantity),
        ("heat.cells[]", Shape::Count),
        ("heat.above[]", Shape::Quantity),
        ("stroke.file", Shape::Word),
    ] {
        assert_eq!(shape(key), Some(expected), "{key}");
    }
}

#[test]
fn two_setups_are_told_apart_key_by_key() {
    let other = SETUP
        .replace("eccentricity = 0.0", "tilt = \"2 deg\"")
        .replace("100 mm/s", "50 mm/s");
    let told = differing(SETUP, &other).expect("both are setups");
    let lines: Vec<(&str, Option<&str>, Option<&str>)> = told
        .iter()
        .map(|d| (d.key.as_str(), d.first.as_deref(), d.second.as_deref()))
        .collect();
    assert_eq!(
        lines,
        [
            ("stroke.arm_speed", Some("100 mm/s"), Some("50 mm/s")),
            ("touch.eccentricity", Some("0.0"), None),
            ("touch.tilt", None, Some("2 deg")),
        ]
    );
    assert!(differing(SETUP, SETUP).expect("both").is_empty());
}
