//! Tests of the fold: by hand, there and back, fed nonsense.

use proptest::prelude::*;
use serde_json::json;

use super::*;

fn event(version: i64, changes: Vec<Change>) -> Event {
    Event {
        job: "j".into(),
        version,
        id: format!("e{version}"),
        kind: "test".into(),
        saw: version - 1,
        changes,
        who: "w".into(),
        device: "d".into(),
        said_ms: 0,
        at_ms: 0,
        standing: Standing::Kept,
        undoes: None,
        settles: None,
        previous: String::new(),
        hash: String::new(),
    }
}

#[test]
fn puts_and_removals_fold_by_hand() {
    let mut state = JobState::empty();
    let first = vec![Change::put("/car/colour", "red"), Change::put("/n", 1)];
    state.fold(&event(1, first)).expect("folded");
    state
        .fold(&event(2, vec![Change::remove("/n")]))
        .expect("folded");
    assert_eq!(state.document, json!({"car": {"colour": "red"}}));
    assert_eq!(state.version, 2);
}

#[test]
fn an_event_out_of_turn_is_damage() {
    let mut state = JobState::empty();
    let error = state.fold(&event(2, vec![])).expect_err("refused");
    assert!(error.to_string().contains("event 2 follows event 0"));
}

/// The document and places of RFC 6901 section 5 that name object members.
#[test]
fn names_are_escaped_as_in_rfc_6901() {
    for (place, name) in [
        ("/a~1b", "a/b"),
        ("/c%d", "c%d"),
        ("/e^f", "e^f"),
        ("/g|h", "g|h"),
        ("/i\\j", "i\\j"),
        ("/k\"l", "k\"l"),
        ("/ ", " "),
        ("/m~0n", "m~n"),
    ] {
        let mut document = json!({});
        apply(&mut document, &Change::put(place, 7)).expect("put");
        assert_eq!(document, json!({ name: 7 }));
        assert_eq!(document.pointer(place), Some(&json!(7)));
    }
}

#[test]
fn nonsense_places_are_refused() {
    let deep = "/a".repeat(17);
    let long = format!("/{}", "x".repeat(600));
    for place in ["", "a", "/", "/a//b", "/a\0", &deep, &long] {
        let outcome = apply(&mut json!({}), &Change::put(place, 1));
        assert!(outcome.is_err(), "{place:?}");
    }
    let outcome = apply(&mut json!({"a": [1]}), &Change::put("/a/0", 1));
    assert!(outcome.is_err(), "an array is one value");
}

#[test]
fn edits_are_in_the_way_when_one_place_holds_the_other() {
    let clash = |a: Change, b: Change| a.is_in_the_way_of(&b) && b.is_in_the_way_of(&a);
    assert!(clash(Change::put("/a", 1), Change::put("/a", 2)));
    assert!(clash(Change::put("/a/b", 1), Change::remove("/a")));
    assert!(
        !clash(Change::put("/a", 1), Change::put("/a", 1)),
        "same deed"
    );
    assert!(!clash(Change::put("/a/b", 1), Change::put("/a/c", 2)));
    assert!(!clash(Change::put("/ab", 1), Change::put("/a", 2)));
}

#[test]
fn changes_read_back_as_written_with_null_before() {
    let mut changes = vec![Change::put("/a", Value::Null), Change::remove("/b")];
    apply_noting(&mut json!({"a": null}), &mut changes).expect("applied");
    let text = serde_json::to_string(&changes).expect("text");
    assert_eq!(
        text,
        r#"[{"put":"/a","value":null,"was":[null]},{"remove":"/b"}]"#
    );
    let back: Vec<Change> = serde_json::from_str(&text).expect("read");
    assert_eq!(back, changes);
    assert!(serde_json::from_str::<Change>(r#"{"put":"/a"}"#).is_err());
    assert!(serde_json::from_str::<Change>(r#"{"put":"/a","value":1,"x":2}"#).is_err());
}

/// Empty objects that an undo leaves behind mean nothing.
fn without_empty(value: &Value) -> Value {
    match value {
        Value::Object(map) => map
            .iter()
            .map(|(name, inner)| (name.clone(), without_empty(inner)))
            .filter(|(_, inner)| inner.as_object().is_none_or(|map| !map.is_empty()))
            .collect::<Map<_, _>>()
            .into(),
        other => other.clone(),
    }
}

proptest! {
    #[test]
    fn random_edits_undo_themselves(
        steps in prop::collection::vec(("/[ab](/[ab]){0,2}", prop::option::of(0..5)), 1..12)
    ) {
        let mut document = json!({"a": {"a": 1}, "b": {"b": {"a": 2}}});
        let before = document.clone();
        let mut changes = Vec::new();
        for (place, value) in steps {
            let mut change = [match value {
                Some(value) => Change::put(place, value),
                None => Change::remove(place),
            }];
            if apply_noting(&mut document, &mut change).is_ok() {
                changes.extend(change);
            }
        }
        for change in changes.iter().rev() {
            apply(&mut document, &change.inverse()).expect("undone");
        }
        prop_assert_eq!(without_empty(&document), without_empty(&before));
    }
}
