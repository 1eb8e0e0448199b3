//! What the readings before and after prove.

use lapwing_job::inspect::inspect;
use lapwing_job::prove::{PanelBeforeAfter, PanelProof, prove};
use lapwing_job::record::{Readings, readings};
use serde_json::Value;

use crate::failure::Failure;

/// The gauge's spread where there are no readings to learn it from, µm
/// (common practice).
const USUAL_GAUGE_UM: f64 = 1.0;

/// One reading before the work: where it is kept, on what, and what it was.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Place {
    /// `csv-LINE` for a row of the folder, else the id of the reading.
    pub(crate) key: String,
    /// Our name.
    pub(crate) panel: String,
    /// Film.
    pub(crate) um: f64,
}

/// Every reading before the work: the rows of the tables, each with the word
/// that its keys begin with, then those taken in the bay.
pub(crate) fn places(
    tables: &[(&str, &str)],
    taken: Option<&Value>,
) -> Result<Vec<Place>, Failure> {
    let mut all = Vec::new();
    for (word, csv) in tables {
        if csv.trim().is_empty() {
            continue;
        }
        let read = readings::read("readings.csv", csv.as_bytes(), None)?;
        all.extend(read.readings.into_iter().map(|r| Place {
            key: format!("{word}-{}", r.line),
            panel: r.panel,
            um: r.film_um,
        }));
    }
    let taken = taken.and_then(Value::as_object).into_iter().flatten();
    all.extend(taken.filter_map(|(key, reading)| {
        Some(Place {
            key: key.clone(),
            panel: reading["panel"].as_str()?.to_owned(),
            um: reading["um"].as_f64()?,
        })
    }));
    Ok(all)
}

/// The proof of every panel, and the gauge's spread it was judged by, µm.
pub(crate) fn answer(panels: &[PanelBeforeAfter], before: &Readings) -> (Vec<PanelProof>, f64) {
    let gauge_um = if before.readings.is_empty() {
        USUAL_GAUGE_UM
    } else {
        inspect(before).gauge.reading_sd_um
    };
    (prove(panels, gauge_um), gauge_um)
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn rows_of_the_folder_and_readings_of_the_bay_are_places() {
        let taken = json!({ "r1": { "panel": "roof", "um": 101.5 }, "bad": { "um": 3 } });
        let all =
            places(&[("csv", "panel,thickness_um\nbonnet,112\n")], Some(&taken)).expect("places");
        let told: Vec<(&str, &str, f64)> = all
            .iter()
            .map(|p| (p.key.as_str(), p.panel.as_str(), p.um))
            .collect();
        assert_eq!(told, [("csv-2", "bonnet", 112.0), ("r1", "roof", 101.5)]);
        assert!(places(&[("csv", "")], None).is_ok_and(|p| p.is_empty()));
    }
}
