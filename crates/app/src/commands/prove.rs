//! What the readings before and after prove.

use lapwing_job::inspect::inspect;
use lapwing_job::prove::{PanelBeforeAfter, PanelProof, prove};
use lapwing_job::record::readings;
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

/// Every reading before the work: the rows of the folder, then those taken
/// in the bay.
pub(crate) fn places(csv: &str, taken: Option<&Value>) -> Result<Vec<Place>, Failure> {
    let mut all = Vec::new();
    if !csv.trim().is_empty() {
        let read = readings::read("readings.csv", csv.as_bytes(), None)?;
        all.extend(read.readings.into_iter().map(|r| Place {
            key: format!("csv-{}", r.line),
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
pub(crate) fn answer(
    panels: &[PanelBeforeAfter],
    table: &str,
) -> Result<(Vec<PanelProof>, f64), Failure> {
    let has_rows = table.lines().filter(|l| !l.trim().is_empty()).count() > 1;
    let gauge_um = if has_rows {
        let read = readings::read("readings.csv", table.as_bytes(), None)?;
        inspect(&read).gauge.reading_sd_um
    } else {
        USUAL_GAUGE_UM
    };
    Ok((prove(panels, gauge_um), gauge_um))
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn rows_of_the_folder_and_readings_of_the_bay_are_places() {
        let taken = json!({ "r1": { "panel": "roof", "um": 101.5 }, "bad": { "um": 3 } });
        let all = places("panel,thickness_um\nbonnet,112\n", Some(&taken)).expect("places");
        let told: Vec<(&str, &str, f64)> = all
            .iter()
            .map(|p| (p.key.as_str(), p.panel.as_str(), p.um))
            .collect();
        assert_eq!(told, [("csv-2", "bonnet", 112.0), ("r1", "roof", 101.5)]);
        assert!(places("", None).is_ok_and(|p| p.is_empty()));
    }
}
