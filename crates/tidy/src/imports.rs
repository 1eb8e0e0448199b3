//! Which room may import which: the arrows of the house go one way only.
//!
//! Holds: for normal and build dependencies; a test may also borrow a room for
//! its own use, but never `app`, `validation` or `tidy`.
//! Left out: libraries from outside; they are a matter for review.
//! Checked by: made-up manifests and maps that break the table.

use serde_json::Value;

/// The import table: each room, and the rooms of ours it may import.
pub const TABLE: &[(&str, &[&str])] = &[
    ("measure", &[]),
    ("physics", &["measure"]),
    ("photo", &["measure"]),
    ("job", &["measure", "physics"]),
    ("report", &["measure", "job"]),
    ("sheet", &[]),
    ("store", &["measure", "job"]),
    (
        "app",
        &[
            "measure", "physics", "photo", "job", "report", "sheet", "store",
        ],
    ),
    ("validation", &["measure", "physics", "photo", "job"]),
    ("tidy", &[]),
];

/// Rooms that nobody may import, not even for a test.
pub const NEVER_IMPORTED: &[&str] = &["app", "validation", "tidy"];

const PREFIX: &str = "lapwing-";

/// What the manifests break, from the JSON that `cargo metadata` prints.
#[must_use]
pub fn faults_in_manifests(metadata: &Value) -> Vec<String> {
    let packages = list(&metadata["packages"]);
    let mut faults: Vec<String> = TABLE
        .iter()
        .filter(|(room, _)| !packages.iter().any(|p| room_name(p) == Some(room)))
        .map(|(room, _)| {
            format!("The import table has a room `{room}`, but the workspace has none.")
        })
        .collect();
    for package in packages {
        faults.extend(faults_of_package(package));
    }
    faults
}

/// Where the map (ARCHITECTURE.md) and the table disagree. The map's rows are
/// the lines between `<!-- imports -->` and `<!-- end of imports -->`.
#[must_use]
pub fn faults_in_map(map: &str) -> Vec<String> {
    let rows = rows_of_map(map);
    let mut faults = Vec::new();
    for (room, allowed) in TABLE {
        match rows.iter().find(|(name, _)| name == room) {
            None => faults.push(format!("ARCHITECTURE.md has no import row for `{room}`.")),
            Some((_, drawn)) if drawn != allowed => faults.push(format!(
                "ARCHITECTURE.md says `{room}` may import [{}], but the tested table says [{}].",
                drawn.join(", "),
                allowed.join(", ")
            )),
            Some(_) => {}
        }
    }
    for (name, _) in &rows {
        if !TABLE.iter().any(|(room, _)| room == name) {
            faults.push(format!(
                "ARCHITECTURE.md draws a room `{name}` that the table does not have."
            ));
        }
    }
    faults
}

fn faults_of_package(package: &Value) -> Vec<String> {
    let Some(room) = room_name(package) else {
        return vec![format!(
            "Package {} does not begin with `{PREFIX}`.",
            package["name"]
        )];
    };
    let Some((_, allowed)) = TABLE.iter().find(|(name, _)| *name == room) else {
        return vec![format!(
            "Room `{room}` is not in the import table; add a row and a reason."
        )];
    };
    list(&package["dependencies"])
        .iter()
        .filter_map(|dependency| {
            let target = room_name(dependency)?;
            let only_for_tests = dependency["kind"] == "dev";
            let is_closed = NEVER_IMPORTED.contains(&target);
            let is_allowed = only_for_tests || allowed.contains(&target);
            (is_closed || !is_allowed).then(|| {
                format!(
                    "Room `{room}` imports `{target}`; it may import only [{}].",
                    allowed.join(", ")
                )
            })
        })
        .collect()
}

fn room_name(package: &Value) -> Option<&str> {
    package["name"].as_str()?.strip_prefix(PREFIX)
}

fn list(value: &Value) -> &[Value] {
    value.as_array().map_or(&[], Vec::as_slice)
}

fn rows_of_map(map: &str) -> Vec<(&str, Vec<&str>)> {
    map.lines()
        .skip_while(|line| line.trim() != "<!-- imports -->")
        .take_while(|line| line.trim() != "<!-- end of imports -->")
        .filter_map(|line| {
            let mut cells = line.strip_prefix('|')?.split('|');
            let room = names_in(cells.next()?).first().copied()?;
            Some((room, names_in(cells.next()?)))
        })
        .collect()
}

/// The names between backticks in a cell.
fn names_in(cell: &str) -> Vec<&str> {
    cell.split('`').skip(1).step_by(2).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    fn house_with(room: &str, target: &str, kind: Option<&str>) -> Value {
        let packages: Vec<Value> = TABLE
            .iter()
            .map(|(name, _)| {
                let borrowed = json!([{ "name": format!("{PREFIX}{target}"), "kind": kind }]);
                let none = json!([]);
                let dependencies = if *name == room { borrowed } else { none };
                json!({ "name": format!("{PREFIX}{name}"), "dependencies": dependencies })
            })
            .collect();
        json!({ "packages": packages })
    }

    fn drawn_map() -> String {
        let mut map = String::from("<!-- imports -->\n| Room | May import |\n|---|---|\n");
        for (room, allowed) in TABLE {
            let cells: Vec<String> = allowed.iter().map(|a| format!("`{a}`")).collect();
            map.push_str(&format!("| `{room}` | {} |\n", cells.join(", ")));
        }
        map + "<!-- end of imports -->\n| `attic` | `job` |\n"
    }

    #[test]
    fn an_allowed_arrow_passes_and_the_reverse_fails() {
        assert!(faults_in_manifests(&house_with("physics", "measure", None)).is_empty());
        let faults = faults_in_manifests(&house_with("measure", "physics", None));
        assert_eq!(
            faults,
            ["Room `measure` imports `physics`; it may import only []."]
        );
    }

    #[test]
    fn a_report_may_not_reach_for_physics() {
        assert_eq!(
            faults_in_manifests(&house_with("report", "physics", None)).len(),
            1
        );
    }

    #[test]
    fn a_test_may_borrow_a_room_but_never_a_closed_one() {
        assert!(faults_in_manifests(&house_with("report", "physics", Some("dev"))).is_empty());
        assert_eq!(
            faults_in_manifests(&house_with("job", "tidy", Some("dev"))).len(),
            1
        );
    }

    #[test]
    fn nonsense_metadata_misses_every_room() {
        assert_eq!(faults_in_manifests(&json!(null)).len(), TABLE.len());
    }

    #[test]
    fn an_unknown_room_is_refused() {
        let mut house = house_with("physics", "measure", None);
        let attic = json!({ "name": "lapwing-attic", "dependencies": [] });
        house["packages"]
            .as_array_mut()
            .expect("packages are a list")
            .push(attic);
        assert_eq!(faults_in_manifests(&house).len(), 1);
    }

    #[test]
    fn a_true_map_passes_and_a_drifted_one_fails() {
        assert_eq!(faults_in_map(&drawn_map()), Vec::<String>::new());
        let drifted = drawn_map().replace("| `photo` | `measure` |", "| `photo` | `job` |");
        assert_eq!(faults_in_map(&drifted).len(), 1);
        let attic = drawn_map().replace("| `tidy` |  |", "| `tidy` |  |\n| `attic` | `job` |");
        assert_eq!(faults_in_map(&attic).len(), 1);
        assert_eq!(faults_in_map("").len(), TABLE.len());
    }
}
