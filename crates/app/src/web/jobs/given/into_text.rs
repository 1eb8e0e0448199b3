//! What was given of panels and gauge, written into a job file where a person
//! would write it, with every other line and comment left as it is.
//!
//! Law: none. A panel is found by our name for it; one that the file does not
//! list is added at its end.
//! Source: TOML 1.0, through a general library that keeps what it does not
//! touch.
//! Holds: for lists of panels as `[[panel]]` and as `panel = [{ … }]`.
//! Left out: a file that is no TOML; it is refused with the library's reason.
//! Checked by: the tests below, against the job file's own reader.

use super::super::super::shop::practice::written_name;
use lapwing_job::record::panel_names::name_of;
use toml_edit::{
    ArrayOfTables, DocumentMut, InlineTable, Item, Table, TableLike, Value as TomlValue, value,
};

/// What is given of one panel; what is not given is left out of the file.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct GivenPanel {
    pub(crate) substrate: Option<String>,
    pub(crate) size_mm: Option<[f64; 2]>,
}

/// The file with these panels and, where it is said, another gauge.
pub(crate) fn written(
    text: &str,
    panels: &[(String, GivenPanel)],
    gauge_um: Option<Option<f64>>,
) -> Result<String, String> {
    let mut file: DocumentMut = text
        .parse()
        .map_err(|e: toml_edit::TomlError| e.message().to_owned())?;
    for (id, given) in panels {
        panel(&mut file, id, given);
    }
    match gauge_um {
        Some(Some(um)) => {
            let gauge = file.entry("gauge").or_insert(Item::Table(Table::new()));
            if let Some(table) = gauge.as_table_like_mut() {
                put(table, "repeatability", Some(format!("{um} um")));
            }
        }
        Some(None) => {
            if let Some(table) = file.get_mut("gauge").and_then(Item::as_table_like_mut) {
                table.remove("repeatability");
            }
        }
        None => {}
    }
    Ok(file.to_string())
}

/// The file with these panels marked as repainted behind it; nothing where it
/// cannot be read.
pub(crate) fn marked(text: &str, repainted: &[&str]) -> Option<String> {
    let mut file: DocumentMut = text.parse().ok()?;
    let marks = file
        .entry("mark")
        .or_insert(Item::ArrayOfTables(ArrayOfTables::new()));
    for panel in repainted {
        match marks {
            Item::ArrayOfTables(list) => {
                let mut table = Table::new();
                table.insert("panel", value(*panel));
                table.insert("kind", value("repaint"));
                list.push(table);
            }
            Item::Value(TomlValue::Array(list)) => {
                let mut table = InlineTable::new();
                table.insert("panel", (*panel).into());
                table.insert("kind", "repaint".into());
                list.push(table);
            }
            _ => return None,
        }
    }
    Some(file.to_string())
}

fn panel(file: &mut DocumentMut, id: &str, given: &GivenPanel) {
    let list = file
        .entry("panel")
        .or_insert(Item::ArrayOfTables(ArrayOfTables::new()));
    match list {
        Item::ArrayOfTables(list) => {
            if let Some(table) = list.iter_mut().find(|t| is_of(*t, id)) {
                return fill(table, given);
            }
            let mut table = Table::new();
            table.insert("name", value(written_name(id)));
            fill(&mut table, given);
            list.push(table);
        }
        Item::Value(TomlValue::Array(list)) => {
            let is_it = |t: &InlineTable| is_of(t, id);
            let at = (0..list.len()).find(|at| {
                let found = list.get(*at).and_then(TomlValue::as_inline_table);
                found.is_some_and(is_it)
            });
            let found = at.and_then(|at| list.get_mut(at)?.as_inline_table_mut());
            if let Some(table) = found {
                return fill(table, given);
            }
            let mut table = InlineTable::new();
            table.insert("name", written_name(id).into());
            fill(&mut table, given);
            list.push(table);
        }
        _ => {}
    }
}

fn is_of(table: &dyn TableLike, id: &str) -> bool {
    let name = table.get("name").and_then(Item::as_str);
    name.is_some_and(|name| name == id || name_of(name) == id)
}

fn fill(table: &mut dyn TableLike, given: &GivenPanel) {
    put(table, "substrate", given.substrate.clone());
    let size = given
        .size_mm
        .map(|[wide, tall]| format!("{wide} x {tall} mm"));
    put(table, "size", size);
}

/// A value beside its comment, if it has one.
fn put(table: &mut dyn TableLike, key: &str, text: Option<String>) {
    let Some(text) = text else {
        table.remove(key);
        return;
    };
    let mut fresh = value(text);
    let old = table.get(key).and_then(Item::as_value);
    if let (Some(old), Some(new)) = (old.map(|v| v.decor().clone()), fresh.as_value_mut()) {
        *new.decor_mut() = old;
    }
    table.insert(key, fresh);
}

#[cfg(test)]
mod tests {
    use super::*;
    use lapwing_job::record::job::{Job, Substrate};
    use lapwing_job::record::read::read_job;
    use uom::si::length::{micrometer, millimeter};

    const FILE: &str = "schema = 1\nname = \"A car\"\n[car]\nclass = \"estate\"\n# Read twice.\n[[panel]]\nname = \"left front wing\"\nsize = \"30 x 20 cm\" # by hand\n[[panel]]\nname = \"roof\"\n";

    fn job(text: &str) -> Job {
        read_job("job.toml", text).expect("a good file").0
    }

    fn given(substrate: Option<&str>, size_mm: Option<[f64; 2]>) -> GivenPanel {
        GivenPanel {
            substrate: substrate.map(str::to_owned),
            size_mm,
        }
    }

    #[test]
    fn a_mark_joins_a_list_on_one_line_and_one_of_tables() {
        let one_line = "schema = 1\nname = \"A car\"\nmark = [{ panel = \"roof\", kind = \"repaint\" }]\n[car]\nclass = \"estate\"\n[[panel]]\nname = \"roof\"\n[[panel]]\nname = \"bonnet\"\n";
        for text in [one_line, FILE] {
            let marked = marked(text, &["roof", "bonnet"]).expect("TOML");
            read_job("job.toml", &marked).expect("a good file");
            assert_eq!(
                marked.matches("bonnet\"").count(),
                1 + text.matches("bonnet\"").count()
            );
        }
        assert_eq!(marked("mark = 3", &["roof"]), None);
    }

    #[test]
    fn a_panel_without_its_full_name_is_found_again() {
        let text = FILE.replace("\"roof\"", "\"fender\"");
        let panels = [("front-wing".to_owned(), given(Some("aluminium"), None))];
        let job = job(&written(&text, &panels, None).expect("TOML"));
        assert_eq!(job.panels.len(), 2);
        assert_eq!(job.panels[1].substrate, Substrate::Aluminium);
    }

    #[test]
    fn what_was_given_is_what_the_reader_reads_and_the_rest_stays() {
        let panels = [
            (
                "front-wing-left".to_owned(),
                given(Some("aluminium"), Some([810.0, 620.5])),
            ),
            ("bonnet".to_owned(), given(Some("laminate"), None)),
        ];
        let text = written(FILE, &panels, Some(Some(1.5))).expect("TOML");
        assert!(text.contains("# Read twice.") && text.contains("\"810 x 620.5 mm\" # by hand"));
        let job = job(&text);
        assert_eq!(job.panels.len(), 3);
        let wing = &job.panels[0];
        assert_eq!(wing.substrate, Substrate::Aluminium);
        let (u, v) = wing.size.expect("a size");
        assert!((u.get::<millimeter>() - 810.0).abs() < 1e-9);
        assert!((v.get::<millimeter>() - 620.5).abs() < 1e-9);
        assert_eq!(job.panels[2].substrate, Substrate::Laminate);
        let gauge = job.gauge_repeatability.expect("a gauge");
        assert!((gauge.get::<micrometer>() - 1.5).abs() < 1e-9);
    }

    #[test]
    fn what_is_taken_back_is_gone_and_nothing_else_is_touched() {
        let there = [(
            "roof".to_owned(),
            given(Some("steel"), Some([900.0, 1500.0])),
        )];
        let text = written(FILE, &there, Some(Some(2.0))).expect("TOML");
        let back = [("roof".to_owned(), given(None, None))];
        let again = written(&text, &back, Some(None)).expect("TOML");
        let job = job(&again);
        assert!(job.panels[1].size.is_none() && job.gauge_repeatability.is_none());
        assert!(job.panels[0].size.is_some());
        assert_eq!(written(FILE, &[], None).expect("TOML"), FILE);
    }

    #[test]
    fn panels_in_one_line_are_filled_too_and_nonsense_is_refused() {
        let text = "schema = 1\nname = \"A car\"\ncar = { class = \"estate\" }\npanel = [{ name = \"hood\" }]\n";
        let panels = [
            ("bonnet".to_owned(), given(None, Some([1400.0, 1100.0]))),
            ("roof".to_owned(), given(Some("aluminium"), None)),
        ];
        let text = written(text, &panels, None).expect("TOML");
        let job = job(&text);
        assert!(job.panels[0].size.is_some());
        assert_eq!(job.panels[1].substrate, Substrate::Aluminium);
        assert!(written("schema = = 1", &[], None).is_err());
    }
}
