//! Tests of the flat car as a whole.

use super::*;
use crate::figure::svg::reading::assert_well_formed;

fn painted(class: BodyClass, figure: &str) -> Vec<PanelPaint> {
    panel_ids(class)
        .into_iter()
        .zip(0..)
        .map(|(id, k)| PanelPaint {
            id,
            figure: Some(figure.to_owned()),
            fill: Fill::Value(60.0 + 8.0 * f64::from(k), Doubt::Plain),
            ..PanelPaint::default()
        })
        .collect()
}

fn both_ways() -> [CarOptions; 3] {
    let scale = Some(Scale::film());
    let wide = CarOptions {
        width_px: 980.0,
        ..CarOptions::landscape(scale)
    };
    [
        CarOptions::landscape(scale),
        CarOptions::portrait(scale),
        wide,
    ]
}

#[test]
fn labels_never_overlap_nor_leave_the_page() {
    for class in BodyClass::ALL {
        for options in both_ways() {
            for figure in ["94", "12.7 \u{b1} 1.4"] {
                let panels = painted(class, figure);
                let picture = picture::Picture::new(class, &panels, &options);
                let (boxes, missing) = picture.label_boxes();
                assert_eq!(boxes.len() + missing, panels.len(), "{class:?}");
                if figure.len() < 4 {
                    assert!(missing <= 4, "{class:?} {figure}: {missing} found no place");
                }
                for (i, a) in boxes.iter().enumerate() {
                    assert!(picture.page_holds(*a), "{class:?} {a:?}");
                    for b in &boxes[i + 1..] {
                        assert!(!a.overlaps(*b), "{class:?} {figure}: {a:?} {b:?}");
                    }
                }
            }
        }
    }
}

#[test]
fn every_figure_is_on_the_picture_or_under_it() {
    for class in BodyClass::ALL {
        for options in both_ways() {
            let mut panels = painted(class, "");
            for (k, panel) in panels.iter_mut().enumerate() {
                panel.figure = Some(format!("{}", 700 + k));
            }
            let text = flat_car(class, &panels, &options);
            for k in 0..panels.len() {
                let shown = format!("{}</t", 700 + k);
                let listed = format!("{}\u{a0}\u{3bc}m", 700 + k);
                let under = text
                    .rsplit("</g>")
                    .next()
                    .is_some_and(|rest| rest.contains(&listed));
                assert!(text.contains(&shown) || under, "{class:?} {k}");
            }
        }
    }
}

#[test]
fn names_and_figures_cannot_break_the_markup() {
    let nasty = "<&\"'>".to_owned();
    let panels = [PanelPaint {
        id: "bonnet".to_owned(),
        label: Some(nasty.clone()),
        figure: Some(nasty.clone()),
        finding: Some(nasty.clone()),
        fill: Fill::Repaint,
    }];
    let options = CarOptions {
        title: nasty.clone(),
        caption: nasty,
        ..CarOptions::landscape(Some(Scale::film()))
    };
    assert_well_formed(&flat_car(BodyClass::Estate, &panels, &options));
}

#[test]
fn every_class_is_small_well_formed_and_the_same_twice() {
    for class in BodyClass::ALL {
        for options in both_ways() {
            let panels = painted(class, "115");
            let text = flat_car(class, &panels, &options);
            assert_well_formed(&text);
            if options.is_portrait {
                assert_eq!(text, flat_car(class, &panels, &options));
            }
            assert!(text.len() < 45_000, "{class:?}: {} bytes", text.len());
        }
    }
}

#[test]
fn a_value_that_is_not_a_number_is_drawn_as_not_measured() {
    let panels = [PanelPaint {
        id: "roof".to_owned(),
        fill: Fill::Value(f64::NAN, Doubt::Plain),
        ..PanelPaint::default()
    }];
    let options = CarOptions::landscape(Some(Scale::film()));
    let text = flat_car(BodyClass::Saloon, &panels, &options);
    assert!(text.contains("not measured"));
    assert_well_formed(&text);
}

#[test]
fn a_panel_the_class_lacks_is_listed_under_the_picture() {
    let panels = [PanelPaint {
        id: "rear-wing".to_owned(),
        figure: Some("88".to_owned()),
        ..PanelPaint::default()
    }];
    let text = flat_car(BodyClass::PickUp, &panels, &CarOptions::landscape(None));
    assert!(text.contains("Also: rear wing 88."));
}

#[test]
fn keys_appear_only_for_what_is_shown() {
    let paint = |id: &str, fill: Fill| PanelPaint {
        id: id.to_owned(),
        fill,
        ..PanelPaint::default()
    };
    let options = CarOptions::landscape(Some(Scale::film()));
    let plain = [paint("roof", Fill::Value(94.0, Doubt::Plain))];
    let text = flat_car(BodyClass::Estate, &plain, &options);
    assert!(!text.contains("unsure") && !text.contains("not measured"));
    let mixed = [
        paint("roof", Fill::Value(94.0, Doubt::Unsure)),
        paint("bonnet", Fill::Leave),
        paint("tailgate", Fill::Value(40.0, Doubt::Plain)),
        paint("quarter-left", Fill::Value(190.0, Doubt::Plain)),
    ];
    let text = flat_car(BodyClass::Estate, &mixed, &options);
    for key in ["unsure", ">leave<", "under the scale", "over the scale"] {
        assert!(text.contains(key), "{key}");
    }
}

#[test]
fn panel_names_and_classes_read_as_people_write_them() {
    assert_eq!(panel_name("front-door-left"), "Front door");
    assert_eq!(panel_name("pillars-cant-rail-right"), "Pillars, cant rail");
    assert_eq!(panel_name(""), "");
    assert_eq!(
        BodyClass::from_name(" Large SUV "),
        Some(BodyClass::LargeSuv)
    );
    assert_eq!(BodyClass::from_name("tank"), None);
    let ids = panel_ids(BodyClass::Saloon);
    assert!(ids.contains(&"boot-lid".to_owned()) && ids.contains(&"quarter-right".to_owned()));
    assert_eq!(ids.len(), 19);
}

#[test]
fn doubt_follows_the_half_width() {
    for (half, doubt) in [
        (4.0, Doubt::Plain),
        (4.1, Doubt::Unsure),
        (6.1, Doubt::LittleKnown),
        (f64::NAN, Doubt::LittleKnown),
    ] {
        assert_eq!(Doubt::from_half_width_um(half), doubt);
    }
}
