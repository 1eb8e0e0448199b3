//! Keeps the stations of a job in the order in which the technician works.
//!
//! Holds: for `crate::x` and `crate::{x, y}` in `crates/job/src`; a station may
//! name the record, itself and earlier stations. Names reached by `super::` are
//! not followed.
//! Left out: loops such as re-planning; they close in `app`, as data.
//! Checked by: made-up front pages and stations that break the order.

use crate::house::Page;
use crate::scan::{code_only, leading_name};

/// The record first, then the stations in the trade's order.
pub const ORDER: &[&str] = &[
    "record", "intake", "inspect", "budget", "bench", "trial", "forecast", "exposure", "plan",
    "work", "coat", "prove", "handover",
];

/// The closed list of `measure`.
pub const MEASURE: &[&str] = &["estimate", "quantity", "source", "statistics"];

/// What the front page of `job` breaks.
#[must_use]
pub fn faults_in_front_page(text: &str) -> Vec<String> {
    let mut faults = Vec::new();
    let mut latest = 0;
    for name in public_rooms(text) {
        match ORDER.iter().position(|s| *s == name) {
            None => faults.push(format!(
                "`job` shows a public module `{name}` that is not a station."
            )),
            Some(place) if place < latest => faults.push(format!(
                "`job` lists station `{name}` after `{}`; the technician works the other way round.",
                ORDER[latest]
            )),
            Some(place) => latest = place,
        }
    }
    faults
}

/// What the front page of `measure` breaks.
#[must_use]
pub fn faults_in_measure(text: &str) -> Vec<String> {
    public_rooms(text)
        .into_iter()
        .filter(|name| !MEASURE.contains(&name.as_str()))
        .map(|name| format!("`measure` shows a module `{name}`, but its list is closed."))
        .collect()
}

/// Where a station names a later one.
#[must_use]
pub fn faults_in_station(page: &Page) -> Vec<String> {
    let Some(own) = station_of(&page.path) else {
        return Vec::new();
    };
    let code = code_only(&page.text);
    let mut faults = Vec::new();
    for (index, _) in code.match_indices("crate::") {
        let line = code[..index].matches('\n').count() + 1;
        for name in named_after(&code[index + "crate::".len()..]) {
            let place = ORDER.iter().position(|s| *s == name);
            if place.is_some_and(|place| place > own) {
                faults.push(format!(
                    "{}:{line}: station `{}` names the later station `{name}`; a station knows only the record and earlier stations.",
                    page.path, ORDER[own]
                ));
            }
        }
    }
    faults
}

fn public_rooms(text: &str) -> Vec<String> {
    code_only(text)
        .lines()
        .filter_map(|line| line.trim().strip_prefix("pub mod "))
        .map(|rest| leading_name(rest).to_owned())
        .collect()
}

fn station_of(path: &str) -> Option<usize> {
    let inside = path.strip_prefix("crates/job/src/")?;
    let first = inside.split('/').next()?;
    let name = first.strip_suffix(".rs").unwrap_or(first);
    ORDER.iter().position(|s| *s == name)
}

/// The first names after `crate::`, with or without braces.
fn named_after(rest: &str) -> Vec<&str> {
    let Some(group) = rest.strip_prefix('{') else {
        return vec![leading_name(rest)];
    };
    let mut depth = 0_usize;
    let mut names = vec![leading_name(group.trim_start())];
    for (at, mark) in group.char_indices() {
        match mark {
            '{' => depth += 1,
            '}' if depth == 0 => break,
            '}' => depth -= 1,
            ',' if depth == 0 => names.push(leading_name(group[at + 1..].trim_start())),
            _ => {}
        }
    }
    names
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_trades_order_passes_and_a_swap_fails() {
        assert!(
            faults_in_front_page("pub mod record;\npub mod inspect;\npub mod plan;\n").is_empty()
        );
        assert_eq!(
            faults_in_front_page("pub mod plan;\npub mod budget;\n").len(),
            1
        );
    }

    #[test]
    fn a_module_that_is_no_station_is_refused() {
        assert_eq!(
            faults_in_front_page("pub mod record;\npub mod attic;\n").len(),
            1
        );
        assert_eq!(
            faults_in_measure("pub mod quantity;\npub mod money;\n").len(),
            1
        );
    }

    #[test]
    fn a_station_may_name_the_record_itself_and_earlier_ones() {
        let page = Page::new(
            "crates/job/src/plan/choice.rs",
            "use crate::record::Panel;\nuse crate::{budget::Budget, plan::Choice};\n",
        );
        assert!(faults_in_station(&page).is_empty());
    }

    #[test]
    fn a_station_may_not_name_a_later_one() {
        let page = Page::new(
            "crates/job/src/budget/mod.rs",
            "use crate::record::{Panel, Car};\nuse crate::{inspect::{A, B}, plan::Choice};\n",
        );
        let faults = faults_in_station(&page);
        assert_eq!(faults.len(), 1);
        assert!(faults[0].starts_with("crates/job/src/budget/mod.rs:2:"));
        let record = Page::new(
            "crates/job/src/record/mod.rs",
            "fn f(x: crate::intake::Y) {}",
        );
        assert_eq!(faults_in_station(&record).len(), 1);
    }

    #[test]
    fn comments_and_other_rooms_do_not_count() {
        let talk = Page::new(
            "crates/job/src/budget/mod.rs",
            "// see crate::plan\n\"crate::plan\";",
        );
        assert!(faults_in_station(&talk).is_empty());
        let other = Page::new("crates/app/src/lib.rs", "use crate::plan;");
        assert!(faults_in_station(&other).is_empty());
    }
}
