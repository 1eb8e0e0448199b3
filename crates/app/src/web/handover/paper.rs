//! The owner's paper in the language of who asks for it: the same record, its
//! fixed words, sentences, panels, figures and dates told again.
//!
//! Law: none; no figure is worked out anew, only its decimal sign changes.
//! Holds: for the sheet that the report makes. A sentence that is not known
//! stays English, and so do words of the shop's own.
//! Checked by: the tests below and `tests/web_paper.rs`.

use lapwing_job::handover::record::Handed;
use lapwing_report::calendar::Day;
use lapwing_report::figure::{CarOptions, Scale, Theme};
use lapwing_report::record_sheet::car;
use serde_json::{Map, Value, json};

use super::super::days;
use super::super::record_page::{care_words, when};
use super::super::visitor::Visitor;
use super::super::words::{Language, handover as say, paper};

/// The car of the paper, its labels in the visitor's language.
pub(super) fn printed_car(visitor: &Visitor, handed: &Handed) -> String {
    let options = CarOptions {
        units: visitor.figure_units(),
        theme: Theme::PRINT,
        title: visitor.say(say::CAR).to_owned(),
        labels: visitor.labels(),
        ..CarOptions::landscape(Some(Scale::film()))
    };
    car(handed, &options, visitor.units)
}

/// Tells a sheet again; in English it stays as it is.
pub(super) fn told(visitor: &Visitor, handed: &Handed, sheet: &mut Value) {
    if visitor.language == Language::English {
        return;
    }
    let Some(all) = sheet.as_object_mut() else {
        return;
    };
    let date = handed.date.as_deref();
    let day = date.and_then(Day::read);
    for key in ["title", "caption"] {
        tell(visitor, all, key);
    }
    all.insert("lang".to_owned(), json!(visitor.language.code()));
    all.insert("words".to_owned(), words(visitor));
    if let Some(day) = day {
        all.insert("date".to_owned(), json!(days::of_day(visitor, day)));
    }
    figures(visitor, all, "wall_words");
    for line in list(all, "lead") {
        figures(visitor, line, "figure");
        tell(visitor, line, "text");
        let of = line.get("unit").and_then(Value::as_str);
        if let Some(all) = of.and_then(|unit| unit.strip_prefix("of ")) {
            let told = visitor.fill(paper::OF, &[all]);
            line.insert("unit".to_owned(), json!(told));
        }
    }
    let ids = handed.panels.iter().map(|p| &p.name);
    for (row, id) in list(all, "panels").into_iter().zip(ids) {
        let name = row.get("name").and_then(Value::as_str).unwrap_or_default();
        let name = visitor.panel_named(id, name);
        row.insert("name".to_owned(), json!(name));
        for key in ["before", "after", "ever", "may_go"] {
            figures(visitor, row, key);
        }
        for key in ["verdict", "taken", "clear"] {
            tell(visitor, row, key);
        }
    }
    for key in ["remains", "found", "done", "cautions"] {
        for item in list(all, key) {
            places(visitor, item);
            for key in ["what", "why", "text"] {
                tell(visitor, item, key);
            }
        }
    }
    keep(visitor, handed, all);
    for picture in list(all, "pictures") {
        tell(visitor, picture, "says");
    }
}

/// How to keep the finish, as the pages say it.
fn keep(visitor: &Visitor, handed: &Handed, all: &mut Map<String, Value>) {
    let day = handed.date.as_deref().and_then(Day::read);
    let care: Vec<Value> = handed
        .care
        .iter()
        .map(|care| {
            // The template ends what to do with a full stop of its own.
            let what = care_words(visitor, care);
            json!({ "when": when(visitor, care, day), "what": what.trim_end_matches('.'), "why": "" })
        })
        .collect();
    all.insert("care".to_owned(), json!(care));
    let nots = [say::NOT_BRUSH, say::NOT_DRY, say::NOT_WAIT, say::NOT_POLISH];
    all.insert(
        "do_nots".to_owned(),
        json!(nots.map(|not| visitor.say(not))),
    );
}

fn words(visitor: &Visitor) -> Value {
    let pairs = paper::FIXED.iter();
    let pairs = pairs.map(|(key, words)| ((*key).to_owned(), json!(visitor.say(*words))));
    Value::Object(pairs.collect())
}

fn list<'a>(of: &'a mut Map<String, Value>, key: &str) -> Vec<&'a mut Map<String, Value>> {
    let found = of.get_mut(key).and_then(Value::as_array_mut);
    let items = found.into_iter().flatten();
    items.filter_map(Value::as_object_mut).collect()
}

fn tell(visitor: &Visitor, of: &mut Map<String, Value>, key: &str) {
    if let Some(Value::String(text)) = of.get_mut(key) {
        *text = visitor
            .retold(text)
            .unwrap_or_else(|| visitor.figures(text));
    }
}

fn figures(visitor: &Visitor, of: &mut Map<String, Value>, key: &str) {
    if let Some(Value::String(text)) = of.get_mut(key) {
        *text = visitor.figures(text);
    }
}

/// Panels of which the same is said stand together, parted by commas.
fn places(visitor: &Visitor, of: &mut Map<String, Value>) {
    if let Some(Value::String(place)) = of.get_mut("place") {
        *place = visitor.places_called(place);
    }
}
