//! Sets whole sheets and looks at what came out: pages, remarks of the page setter, and refusals.
//!
//! Law: none.
//! Source: the PDF header `%PDF-` is from ISO 32000-2, 7.5.2.
//! Holds: any remark of the page setter (missing font, missing sign, no convergence) fails a test.
//! Left out: the look, which is judged by eye with `cargo run --example draw_plan`.
//! Checked by: page counts reasoned from the layout; other values by hand.

use serde_json::{Value, json};

use super::*;

const BOX: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 60 40"><rect width="60" height="40" fill="#60a981"/><text x="30" y="24" font-family="Atkinson Hyperlegible Next" text-anchor="middle" font-size="8">106</text></svg>"##;

fn sample() -> Value {
    serde_json::from_str(include_str!("../tests/plan-sample.json")).expect("the sample is JSON")
}

fn input<'a>(data: &'a Value, pictures: &'a [(&'a str, &'a str)]) -> SheetInput<'a> {
    SheetInput {
        template: Template::Plan,
        data,
        pictures,
        photos: &[],
        paper: Paper::A4,
    }
}

/// Lays the sheet out, fails on any warning, and counts the pages.
fn pages(input: &SheetInput<'_>) -> usize {
    let _forget = ForgetAfterwards;
    let laid = lay_out(input).expect("the sheet can be laid out");
    assert_eq!(laid.warnings, "", "the page setter must have no remarks");
    laid.document.pages().len()
}

fn with(key: &str, value: Value) -> Value {
    let mut data = sample();
    data["sheet"][key] = value;
    data
}

fn panel(name: &str) -> Value {
    let mut panel = sample()["sheet"]["panels"][0].clone();
    panel["name"] = json!(name);
    panel
}

#[test]
fn the_sample_is_two_or_three_pages_on_both_papers() {
    let data = sample();
    let pictures = ["car.svg", "removal.svg", "heat.svg"].map(|name| (name, BOX));
    for paper in [Paper::A4, Paper::Letter] {
        let count = pages(&SheetInput {
            paper,
            ..input(&data, &pictures)
        });
        assert!((2..=3).contains(&count), "{paper:?} has {count} pages");
    }
}

#[test]
fn the_bytes_are_a_pdf_and_the_same_twice() {
    let data = sample();
    let pictures = [("car.svg", BOX)];
    let first = set_pdf(&input(&data, &pictures)).expect("the sample sets");
    assert!(first.starts_with(b"%PDF-"));
    let again = set_pdf(&input(&data, &pictures)).expect("the sample sets again");
    assert_eq!(first, again);
}

#[test]
fn sixty_panels_run_over_more_pages_than_thirteen() {
    let many: Vec<Value> = (1..=60).map(|n| panel(&format!("Panel {n}"))).collect();
    let few = pages(&input(&sample(), &[]));
    let more = pages(&input(&with("panels", json!(many)), &[]));
    // Sixty rows of at least two lines (8 mm) fill more than one page of 259 mm.
    assert!(more > few, "{more} against {few}");
}

#[test]
fn an_empty_sheet_is_one_page() {
    assert_eq!(pages(&input(&json!({"sheet": {}}), &[])), 1);
}

#[test]
fn each_list_may_be_empty_or_missing() {
    let keys: Vec<String> = sample()["sheet"]
        .as_object()
        .expect("the sheet is an object")
        .keys()
        .cloned()
        .collect();
    for key in keys {
        let mut data = sample();
        data["sheet"]
            .as_object_mut()
            .expect("the sheet is an object")
            .remove(&key);
        assert!(pages(&input(&data, &[])) >= 2, "without {key}");
        if sample()["sheet"][&key].is_array() {
            assert!(
                pages(&input(&with(&key, json!([])), &[])) >= 2,
                "{key} empty"
            );
        }
        assert!(
            pages(&input(&with(&key, Value::Null), &[])) >= 2,
            "{key} null"
        );
    }
}

#[test]
fn hostile_text_prints_as_it_stands_and_takes_no_more_pages() {
    let nasty =
        "<#set page(height: 1cm)> #panic(\"x\") \"quote\" 'q' $x$ *b* _i_ @ref `raw` // \\ ]) }";
    let data = with("subtitle", json!(nasty));
    assert_eq!(pages(&input(&data, &[])), pages(&input(&sample(), &[])));
    let mut data = with("cautions", json!([{"place": nasty, "text": nasty}]));
    data["sheet"]["panels"][0]["recipe"] = json!(nasty);
    data["sheet"]["title"] = json!(nasty);
    assert!(set_pdf(&input(&data, &[])).is_ok());
}

#[test]
fn a_very_long_word_does_not_widen_the_page() {
    let word = "Donaudampfschifffahrtsgesellschaft".repeat(8);
    let mut data = with("subtitle", json!(word));
    data["sheet"]["panels"][2] = panel(&word);
    data["sheet"]["people"][0]["name"] = json!(word);
    data["sheet"]["lead"][0]["figure"] = json!(word);
    assert!(pages(&input(&data, &[])) >= 2);
}

#[test]
fn names_in_other_alphabets_and_signs_outside_the_first_font_set_without_remarks() {
    let data = with("subtitle", json!("Ünal Şahin, Ольга, Ελένη, ≥ → ✓ µ μ CO₂"));
    assert!(pages(&input(&data, &[])) >= 2);
}

#[test]
fn the_floor_prints_only_when_asked_for() {
    let _forget = ForgetAfterwards;
    let hidden = set_pdf(&input(&sample(), &[])).expect("sets");
    let mut bare = sample();
    let rows = bare["sheet"]["price"].as_array_mut().expect("a list");
    rows.retain(|row| row.get("internal").is_none());
    assert_eq!(hidden, set_pdf(&input(&bare, &[])).expect("sets"));
    let shown = set_pdf(&input(&with("show_floor", json!(true)), &[])).expect("sets");
    assert_ne!(hidden, shown);
}

#[test]
fn the_date_inside_the_file_is_the_callers_or_none() {
    let has_date = |data: &Value| {
        let pdf = set_pdf(&input(data, &[])).expect("sets");
        pdf.windows(11).any(|bytes| bytes == b"(D:20260514")
    };
    assert!(has_date(&sample()));
    assert!(!has_date(&with("date_iso", json!("2026-02-30"))));
    assert!(!has_date(&with("date_iso", json!("soon"))));
}

#[test]
fn refuses_data_without_a_sheet_and_pictures_it_cannot_place() {
    let none = json!({"panels": []});
    assert_eq!(set_pdf(&input(&none, &[])), Err(SheetError::NoSheet));
    let text = json!({"sheet": "text"});
    assert_eq!(set_pdf(&input(&text, &[])), Err(SheetError::NoSheet));
    let name = || "boat.svg".to_owned();
    assert_eq!(
        set_pdf(&input(&sample(), &[("boat.svg", BOX)])),
        Err(SheetError::UnknownPicture { name: name() })
    );
    let twice = [("car.svg", BOX), ("car.svg", BOX)];
    let name = "car.svg".to_owned();
    assert_eq!(
        set_pdf(&input(&sample(), &twice)),
        Err(SheetError::PictureTwice { name })
    );
}

#[test]
fn refuses_a_picture_that_is_no_svg_and_a_list_that_is_none() {
    let broken = set_pdf(&input(&sample(), &[("car.svg", "not a picture")]));
    assert!(
        matches!(broken, Err(SheetError::Layout { .. })),
        "{broken:?}"
    );
    let data = with("panels", json!("none"));
    let odd = set_pdf(&input(&data, &[]));
    assert!(matches!(odd, Err(SheetError::Layout { .. })), "{odd:?}");
}

fn trial_sample() -> Value {
    serde_json::from_str(include_str!("../tests/trial-sample.json")).expect("the sample is JSON")
}

fn trial_input<'a>(data: &'a Value, pictures: &'a [(&'a str, &'a str)]) -> SheetInput<'a> {
    SheetInput {
        template: Template::Trial,
        ..input(data, pictures)
    }
}

#[test]
fn a_trial_is_one_page_and_still_sets_when_every_part_is_missing() {
    let data = trial_sample();
    let pictures = [("curve.svg", BOX)];
    for paper in [Paper::A4, Paper::Letter] {
        let sheet = SheetInput {
            paper,
            ..trial_input(&data, &pictures)
        };
        assert_eq!(pages(&sheet), 1, "{paper:?}");
    }
    for key in ["lead", "targets", "advice", "cautions", "marks", "title"] {
        let mut bare = trial_sample();
        let sheet = bare["sheet"].as_object_mut().expect("an object");
        sheet.remove(key);
        assert_eq!(pages(&trial_input(&bare, &[])), 1, "without {key}");
    }
    assert_eq!(pages(&trial_input(&json!({"sheet": {}}), &[])), 1);
}

#[test]
fn hostile_words_in_a_trial_print_as_they_stand() {
    let mut data = trial_sample();
    data["sheet"]["advice"] = json!(["#panic(\"x\") $x$ *b* ]) }"]);
    data["sheet"]["targets"][0]["film"] = json!("<#set page(height: 1cm)>");
    assert!(set_pdf(&trial_input(&data, &[])).is_ok());
}

fn record_sample() -> Value {
    serde_json::from_str(include_str!("../tests/record-sample.json")).expect("the sample is JSON")
}

#[test]
fn a_record_is_two_pages_and_still_sets_when_every_part_is_missing() {
    let data = record_sample();
    let pictures = [("car.svg", BOX), ("qr.svg", BOX)];
    let set = |data: &Value, paper| {
        pages(&SheetInput {
            template: Template::Record,
            paper,
            ..input(data, &pictures)
        })
    };
    for paper in [Paper::A4, Paper::Letter] {
        assert_eq!(set(&data, paper), 2, "{paper:?}");
    }
    let keys: Vec<String> = data["sheet"]
        .as_object()
        .expect("an object")
        .keys()
        .cloned()
        .collect();
    for key in keys {
        let mut bare = record_sample();
        bare["sheet"]
            .as_object_mut()
            .expect("an object")
            .remove(&key);
        assert!((1..=2).contains(&set(&bare, Paper::A4)), "without {key}");
    }
    assert_eq!(set(&json!({"sheet": {}}), Paper::A4), 1);
}

#[test]
fn a_label_is_one_small_page_however_long_its_words() {
    for words in ["Harbour estate", &"a very long name ".repeat(40)] {
        let data = json!({"sheet": {"title": "Paint record", "car": words, "job": words,
            "date": "27 November 2026", "hash": "66f5 c5c5 6354 bd8b"}});
        let sheet = SheetInput {
            template: Template::Label,
            ..input(&data, &[("qr.svg", BOX)])
        };
        let _forget = ForgetAfterwards;
        let laid = lay_out(&sheet).expect("the label can be laid out");
        assert_eq!(laid.warnings, "");
        let pages = laid.document.pages();
        assert_eq!(pages.len(), 1);
        let size = pages[0].frame.size();
        // 62 mm by 29 mm.
        assert!((size.x.to_mm() - 62.0).abs() < 0.01 && (size.y.to_mm() - 29.0).abs() < 0.01);
    }
}
