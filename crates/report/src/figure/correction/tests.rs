//! Tests of the correction curve: axes, wall, knee, spot, and what is refused.

use super::*;
use crate::figure::svg::reading::assert_well_formed;

fn figure() -> CorrectionFigure {
    let place = |k: u32| {
        let film_um = 0.5 * f64::from(k);
        let gone_pct = 100.0 * (1.0 - (-film_um / 2.0).exp());
        CorrectionPlace {
            film_um,
            gone_pct,
            lower_pct: gone_pct * 0.9,
            upper_pct: f64::midpoint(gone_pct, 100.0),
        }
    };
    CorrectionFigure {
        title: "Correction <for> film".to_owned(),
        caption: "The band holds 19 times in 20.".to_owned(),
        places: (0..40).map(place).collect(),
        most_um: 10.0,
        minutes_per_um: 2.0,
        wall: Some((8.0, "may go 8.0 μm".to_owned())),
        knee: Some(Flag {
            film_um: 6.0,
            gone_pct: 95.0,
            words: "the next 5 % cost as much film as the first 95 %".to_owned(),
        }),
        spot: Some(Flag {
            film_um: 3.0,
            gone_pct: 78.0,
            words: "this spot".to_owned(),
        }),
        units: Units::Metric,
        theme: Theme::LIGHT,
        width_px: 720.0,
        height_px: 430.0,
        axes: AxisWords::default(),
    }
}

#[test]
fn ends_of_the_axes_lie_on_the_frame() {
    let input = figure();
    let drawn = Drawn::new(&input);
    let corner = drawn.at(10.0, 100.0);
    assert!((corner.x - drawn.frame.right).abs() < 1e-9);
    assert!((corner.y - drawn.frame.top).abs() < 1e-9);
    assert!((drawn.at(5.0, 50.0).x - f64::midpoint(42.0, 704.0)).abs() < 1e-9);
}

#[test]
fn wall_knee_spot_and_minutes_stand_in_the_picture() {
    let text = correction_figure(&figure()).expect("a picture");
    assert_well_formed(&text);
    for words in [
        "may go 8.0 μm",
        "this spot",
        "Minutes on one section",
        "stroke-dasharray",
    ] {
        assert!(text.contains(words), "{words}");
    }
    let bare = CorrectionFigure {
        wall: None,
        knee: None,
        spot: None,
        minutes_per_um: 0.0,
        ..figure()
    };
    let text = correction_figure(&bare).expect("a picture");
    assert!(!text.contains("stroke-dasharray") && !text.contains("Minutes"));
}

#[test]
fn words_stay_inside_the_frame_wherever_the_knee_is() {
    for film_um in [0.1, 3.0, 9.9] {
        let mut input = figure();
        let mut flag = input.knee.take().expect("a knee");
        flag.film_um = film_um;
        let drawn = Drawn::new(&input);
        for (line, place, anchor) in drawn.flag_lines(&flag, 30.0) {
            let wide = width_px(&line, SMALL_PX + 1.0, true);
            let left = if anchor == Anchor::End {
                place.x - wide
            } else {
                place.x
            };
            assert!(
                left >= 0.0 && left + wide <= drawn.width,
                "{line} at {film_um}"
            );
        }
    }
}

#[test]
fn on_a_phone_the_words_of_spot_and_knee_keep_off_each_other_and_the_axis() {
    for knee_um in [3.0, 4.0, 5.0, 6.0, 7.5] {
        let mut input = CorrectionFigure {
            width_px: 358.0,
            height_px: 330.0,
            ..figure()
        };
        if let Some(knee) = &mut input.knee {
            knee.film_um = knee_um;
        }
        let drawn = Drawn::new(&input);
        let (spot, knee) = input.spot.as_ref().zip(input.knee.as_ref()).expect("both");
        let knee = drawn.words_box(knee, drawn.knee_down(knee));
        let spot = drawn.words_box(spot, drawn.spot_down(spot));
        assert!(!spot.overlaps(knee), "{knee_um}: {spot:?} {knee:?}");
        assert!(knee.left >= drawn.frame.left, "{knee_um}: {knee:?}");
        assert!(knee.right <= drawn.width, "{knee_um}: {knee:?}");
    }
}

#[test]
fn nonsense_is_refused() {
    let mut broken = figure();
    broken.places[3].lower_pct = f64::NAN;
    assert!(matches!(
        correction_figure(&broken),
        Err(FigureError::NotANumber { place: 3, .. })
    ));
    let few = CorrectionFigure {
        places: Vec::new(),
        ..figure()
    };
    assert!(matches!(
        correction_figure(&few),
        Err(FigureError::NoRoom { .. })
    ));
    let flat = CorrectionFigure {
        most_um: 0.0,
        ..figure()
    };
    assert!(matches!(
        correction_figure(&flat),
        Err(FigureError::NoRoom { .. })
    ));
    let far = CorrectionFigure {
        wall: Some((f64::NAN, String::new())),
        ..figure()
    };
    assert_well_formed(&correction_figure(&far).expect("a picture without a wall"));
}
