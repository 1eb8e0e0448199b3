//! Tests of the chart as a whole.

use super::drawing::Drawn;
use super::*;
use crate::figure::legend::SMALL_PX;
use crate::figure::lettering::width_px;
use crate::figure::svg::reading::assert_well_formed;

fn axis(name: &str, low: f64, high: f64) -> Axis {
    Axis {
        name: name.to_owned(),
        unit: "μm".to_owned(),
        low,
        high,
    }
}

fn sample() -> Chart {
    let line = |name: &str, slope: f64| Series {
        name: name.to_owned(),
        points: (0..=10)
            .map(|k| (f64::from(k), slope * f64::from(k)))
            .collect(),
        ..Series::default()
    };
    Chart {
        title: "Correction <for> film".to_owned(),
        caption: "Bands hold 8 times in 10.".to_owned(),
        x: axis("Taken off", 0.0, 10.0),
        y: axis("Gone", 0.0, 100.0),
        series: vec![line("cut", 9.0), line("finish", 8.8), line("once", 0.1)],
        bands: vec![Band {
            points: vec![(0.0, 0.0, 10.0), (10.0, 80.0, 95.0)],
        }],
        x_walls: vec![Wall {
            at: 6.0,
            label: "may go 6".to_owned(),
        }],
        y_walls: vec![Wall {
            at: 90.0,
            label: "wish 90".to_owned(),
        }],
        here: Some((5.0, 45.0, "now".to_owned())),
        theme: Theme::LIGHT,
        width_px: 640.0,
        height_px: 320.0,
    }
}

#[test]
fn ends_of_the_axes_lie_on_the_frame() {
    let input = sample();
    let drawn = Drawn::new(&input);
    let corner = drawn.at(0.0, 0.0);
    assert!((corner.x - drawn.frame.left).abs() < 1e-9);
    assert!((corner.y - drawn.frame.bottom).abs() < 1e-9);
    let beyond = drawn.at(99.0, 999.0);
    assert!((beyond.x - drawn.frame.right).abs() < 1e-9);
    assert!((beyond.y - drawn.frame.top).abs() < 1e-9);
}

#[test]
fn names_of_close_lines_do_not_touch() {
    let input = sample();
    let drawn = Drawn::new(&input);
    let names = drawn.names();
    assert_eq!(names.len(), 3);
    assert!(
        names
            .windows(2)
            .all(|pair| pair[1].2.y - pair[0].2.y >= 15.9)
    );
    assert!(names.iter().all(|name| name.2.y <= drawn.frame.bottom));
    for (_, name, at) in &names {
        assert!(at.x + width_px(name, SMALL_PX + 1.0, true) <= drawn.width);
    }
}

#[test]
fn the_chart_is_well_formed_and_the_same_twice() {
    let text = chart(&sample()).expect("a good chart");
    assert_well_formed(&text);
    assert_eq!(text, chart(&sample()).expect("a good chart"));
    assert!(text.contains("may go 6") && text.contains("wish 90") && text.contains(">now<"));
}

#[test]
fn refuses_an_axis_without_length_and_a_point_without_number() {
    let flat = Chart {
        x: axis("x", 1.0, 1.0),
        ..sample()
    };
    assert!(matches!(chart(&flat), Err(FigureError::NoRoom { .. })));
    let mut broken = sample();
    broken.series[1].points[2].1 = f64::INFINITY;
    let error = chart(&broken).expect_err("a broken point");
    assert_eq!(
        error,
        FigureError::NotANumber {
            what: "chart point",
            place: 13
        }
    );
    let mut odd = sample();
    odd.bands[0].points[0].2 = f64::NAN;
    assert!(chart(&odd).is_err());
}
