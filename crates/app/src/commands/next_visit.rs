//! The job file of the next visit, written from the record of the visit before,
//! and the line in the list of a job that came as a folder.
//!
//! Law: none; the record's panels become the job's, and `[history]` names the
//! record with its key, so that reading the job checks and debits it.
//! Left out: kit, people and prices, which are the shop's own.
//! Checked by: the test below.

use std::fmt::Write as _;

use lapwing_job::handover::record::Handed;
use lapwing_job::record::read::read_job;
use lapwing_report::pictures::outline;
use lapwing_store::{Author, Change, Edit, Shop, StoreError, new_id};
use serde_json::json;

/// The text of `job.toml`.
pub(crate) fn job_of_record(handed: &Handed, key: &str) -> String {
    let said = |text: &str| quoted(text);
    let mut out = format!(
        "# Made from the record of the visit before. Add kit, people and prices.\nschema = 1\nname = {}\nunits = {}\n\n[car]\ndescription = {}\nclass = {}\ncolour = {}\nbehaviour = {}\n\n# Its signature is checked, and what it took off is debited.\n[history]\nrecord = \"record.json\"\nkey = \"{key}\"\n",
        said(&format!("{}, next visit", handed.job)),
        said(&handed.units),
        said(&handed.car.description),
        said(&handed.car.class),
        said(&handed.car.colour),
        said(&handed.car.behaviour),
    );
    for panel in &handed.panels {
        let _ = write!(
            out,
            "\n[[panel]]\nname = {}\nsubstrate = {}\npaint = {}\n",
            said(&panel.name),
            said(&panel.substrate),
            said(&panel.paint)
        );
    }
    out
}

/// Gives a job that came as a bare folder its line in the list: the name, car
/// and body that its `job.toml` says.
pub(crate) async fn introduce(shop: &Shop, job: &str, author: &Author) -> Result<(), StoreError> {
    let state = shop.state(job).await?;
    let text = state.at("/folder/job.toml").and_then(|v| v.as_str());
    let (Some(text), None) = (text, state.at("/glance")) else {
        return Ok(());
    };
    let read = read_job("job.toml", text).ok().map(|(read, _)| read);
    let (name, car, class) = read.map_or_else(
        || (job.to_owned(), String::new(), "estate"),
        |read| {
            let class = outline(read.car.class).name();
            (read.name, read.car.description, class)
        },
    );
    let edit = Edit {
        id: new_id(),
        kind: "job-opened".to_owned(),
        saw: state.version,
        changes: vec![
            Change::put(
                "/glance",
                json!({"name": name, "car": car, "stage": "intake"}),
            ),
            Change::put("/class", class),
        ],
        said_ms: 0,
        undoes: None,
        settles: None,
    };
    shop.append(job, author, &edit).await.map(|_| ())
}

/// A TOML string; JSON's escapes are TOML's too, but for the delete sign.
fn quoted(text: &str) -> String {
    let plain: String = text.chars().filter(|c| !c.is_control()).collect();
    serde_json::Value::from(plain).to_string()
}

#[cfg(test)]
mod tests {
    use super::*;
    use lapwing_job::record::read::read_job;

    #[test]
    fn the_next_job_is_read_and_names_the_record() {
        let record = include_str!("../../../../examples/second-visit/record.json");
        let signed: serde_json::Value = serde_json::from_str(record).expect("JSON");
        let mut handed: Handed =
            serde_json::from_value(signed["record"].clone()).expect("a record");
        handed.car.description = "a \"blue\" one\\ \u{7f}\n".to_owned();
        let key = "ab".repeat(32);
        let text = job_of_record(&handed, &key);
        let (job, _) = read_job("job.toml", &text).expect("a job");
        assert_eq!(job.panels.len(), handed.panels.len());
        assert_eq!(job.car.description, "a \"blue\" one\\ ");
        let named = job.record.expect("a record is named");
        assert_eq!((named.file.as_str(), named.key), ("record.json", Some(key)));
    }
}
