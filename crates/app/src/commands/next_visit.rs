//! The job file of the next visit, written from the record of the visit before.
//!
//! Law: none; the record's panels become the job's, and `[history]` names the
//! record with its key, so that reading the job checks and debits it.
//! Left out: kit, people and prices, which are the shop's own.
//! Checked by: the test below.

use std::fmt::Write as _;

use lapwing_job::handover::record::Handed;

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
