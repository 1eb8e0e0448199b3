//! What the readings before and after prove.

use lapwing_job::inspect::inspect;
use lapwing_job::prove::{PanelBeforeAfter, PanelProof, prove};
use lapwing_job::record::readings;

use super::job_film::{Table, read_tables};
use crate::failure::Failure;

/// The gauge's spread where there are no readings to learn it from, µm
/// (common practice).
const USUAL_GAUGE_UM: f64 = 1.0;

/// One reading before the work: where it is kept, on what, and what it was.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Place {
    /// The table and the line, or the id of a reading taken in the bay.
    pub(crate) key: String,
    /// Our name.
    pub(crate) panel: String,
    /// Film.
    pub(crate) um: f64,
}

/// The readings of one table as places, named after the table and their line.
pub(crate) fn places_of(id: &str, file: &str, text: &str) -> Result<Vec<Place>, Failure> {
    if text.trim().is_empty() {
        return Ok(Vec::new());
    }
    let read = readings::read(file, text.as_bytes(), None)?;
    let place = |r: readings::Reading| Place {
        key: format!("{id}-{}", r.line),
        panel: r.panel,
        um: r.film_um,
    };
    Ok(read.readings.into_iter().map(place).collect())
}

/// The proof of every panel, and the gauge's spread it was judged by, µm.
pub(crate) fn answer(
    panels: &[PanelBeforeAfter],
    tables: &[Table],
) -> Result<(Vec<PanelProof>, f64), Failure> {
    let read = read_tables(tables)?;
    let gauge_um = if read.readings.is_empty() {
        USUAL_GAUGE_UM
    } else {
        inspect(&read).gauge.reading_sd_um
    };
    Ok((prove(panels, gauge_um), gauge_um))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_rows_of_a_table_are_places_by_their_line() {
        let all = places_of("csv", "r.csv", "panel,thickness_um\nbonnet,112\n");
        let all = all.expect("places");
        assert_eq!((all[0].key.as_str(), all[0].um), ("csv-2", 112.0));
        assert!(places_of("csv", "r.csv", " ").is_ok_and(|p| p.is_empty()));
    }
}
