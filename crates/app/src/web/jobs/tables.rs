//! The files of a job as the stations read them: its text with what the test
//! spot taught, and every table of readings.
//!
//! Left out: lines of a table that the gauge reader refuses; it says so.
//! Checked by: the tests below and `tests/web_gauge.rs`.

use std::fmt::Write as _;

use serde_json::Value;

use super::Kept;
use super::given::into_text::marked;
use crate::commands::job_film::Table;

/// The name of the table of readings taken on these pages.
const TAKEN: &str = "readings taken here";

/// Words of the place column, and whether a position belongs to them.
pub(crate) const PLACES: [&str; 5] = ["field", "edge", "crease", "hidden", "zero"];

impl Kept {
    /// The text of `job.toml`, with the repaints of the walk-round and the test
    /// spot behind it.
    pub(crate) fn job_text(&self) -> String {
        let text = self.with_repaints(self.text("/folder/job.toml").to_owned());
        let taught = self.text("/trial/choice/toml");
        if taught.is_empty() {
            return text;
        }
        format!("{}\n\n{taught}", text.trim_end())
    }

    /// The text of a job with the repaints of the walk-round behind it; nothing
    /// where there is no text.
    pub(crate) fn with_repaints(&self, text: String) -> String {
        let repainted = self.repainted();
        if text.is_empty() || repainted.is_empty() {
            return text;
        }
        // A file that is no TOML is refused by its reader, in its own words.
        marked(&text, &repainted).unwrap_or(text)
    }

    /// Whether the walk-round marked a panel as repainted.
    pub(crate) fn has_repaints(&self) -> bool {
        !self.repainted().is_empty()
    }

    fn repainted(&self) -> Vec<&str> {
        let marks = self.entries("/defects").into_iter();
        let repaints = marks.filter(|(_, mark)| mark["kind"] == "repaint");
        repaints
            .filter_map(|(_, mark)| mark["panel"].as_str())
            .collect()
    }

    /// Every table of readings: the folder's, the imported ones, and those
    /// taken on these pages.
    pub(crate) fn tables(&self) -> Vec<Table> {
        let mut tables = Vec::new();
        let folder = self.text("/folder/readings.csv");
        if !folder.trim().is_empty() {
            tables.push(("readings.csv".to_owned(), folder.as_bytes().to_vec()));
        }
        for (_, table) in self.entries("/tables") {
            let text = |key: &str| table[key].as_str().unwrap_or_default().to_owned();
            tables.push((text("file"), text("text").into_bytes()));
        }
        let taken = self.entries("/readings");
        if taken.iter().any(|(_, r)| r["place"] != "zero") {
            tables.push((TAKEN.to_owned(), taken_table(&taken).into_bytes()));
        }
        tables
    }

    /// How many readings the job has.
    pub(crate) fn count_readings(&self) -> usize {
        let folder = self.text("/folder/readings.csv").lines();
        let lines = folder.filter(|line| !line.trim().is_empty() && !line.starts_with('#'));
        let imported: u64 = self
            .entries("/tables")
            .iter()
            .filter_map(|(_, t)| t["count"].as_u64())
            .sum();
        lines.count().saturating_sub(1)
            + usize::try_from(imported).unwrap_or(usize::MAX)
            + self.entries("/readings").len()
    }
}

fn taken_table(taken: &[(&String, &Value)]) -> String {
    let mut table = "panel,thickness_um,place,u_mm,v_mm\n".to_owned();
    for (_, reading) in taken {
        let number = |key: &str| {
            reading[key]
                .as_f64()
                .map_or_else(String::new, |v| format!("{v}"))
        };
        let word = |key: &str| reading[key].as_str().unwrap_or_default();
        let _ = writeln!(
            table,
            "{},{},{},{},{}",
            word("panel"),
            number("um"),
            word("place"),
            number("u_mm"),
            number("v_mm")
        );
    }
    table
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::commands::job_film::read_tables;
    use serde_json::json;

    fn kept(folder: &str) -> Kept {
        Kept {
            id: "j".to_owned(),
            version: 1,
            document: json!({
                "folder": { "readings.csv": folder, "job.toml": "schema = 1\n" },
                "tables": { "t": { "file": "gauge.csv", "text": "panel;thickness_mil\nhood;4\n", "count": 1 } },
                "readings": { "a": { "panel": "roof", "um": 101.6, "place": "edge", "u_mm": 30.0, "v_mm": 40.0 } },
                "trial": { "choice": { "toml": "[[trial]]\n" } },
            })
            .into(),
            conflicts: Vec::new(),
            latest: Vec::new(),
        }
    }

    #[test]
    fn every_table_is_read_in_its_own_columns_and_units() {
        let kept = kept("spot;panel;thickness_mm\n1;bonnet;0.1\n");
        let read = read_tables(&kept.tables()).expect("reads");
        let found: Vec<(&str, f64, Option<f64>)> = read
            .readings
            .iter()
            .map(|r| (r.panel.as_str(), r.film_um, r.u_mm))
            .collect();
        assert_eq!(found[0], ("bonnet", 100.0, None));
        assert!((found[1].1 - 101.6).abs() < 1e-9 && found[1].0 == "bonnet");
        assert_eq!(found[2], ("roof", 101.6, Some(30.0)));
        assert_eq!(kept.count_readings(), 4 - 1);
    }

    #[test]
    fn a_repaint_marked_at_the_walk_round_reaches_the_plans_panel() {
        let kept = Kept {
            document: json!({
                "folder": { "job.toml": "schema = 1\nname = \"t\"\n[car]\nclass = \"saloon\"\n[[panel]]\nname = \"hood\"\n[[panel]]\nname = \"roof\"\n" },
                "defects": {
                    "a": { "panel": "bonnet", "kind": "repaint", "extent": "whole" },
                    "b": { "panel": "roof", "kind": "scratch", "extent": "spot" },
                    "c": { "panel": "sill-left", "kind": "repaint", "extent": "spot" },
                },
            })
            .into(),
            ..kept("")
        };
        let (job, cautions) =
            lapwing_job::record::read::read_job("job.toml", &kept.job_text()).expect("a job");
        let marked: Vec<bool> = job.panels.iter().map(|p| p.looks_repainted).collect();
        assert_eq!(marked, [true, false]);
        assert!(cautions.iter().any(|c| c.text.contains("sill-left")));
    }

    #[test]
    fn what_the_spot_taught_stands_behind_the_job() {
        assert_eq!(kept("").job_text(), "schema = 1\n\n[[trial]]\n");
    }
}
