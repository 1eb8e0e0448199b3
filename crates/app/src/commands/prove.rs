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
    /// What its repeats share: the name of the spot.
    pub(crate) spot: Option<String>,
    /// Across and up the panel, mm.
    pub(crate) at_mm: Option<(f64, f64)>,
}

/// A spot with all its repeats before the work.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Spot {
    /// The key of the first reading, which keeps the reading after.
    pub(crate) key: String,
    /// Every reading's key.
    pub(crate) keys: Vec<String>,
    /// Our name.
    pub(crate) panel: String,
    /// Mean of its readings.
    pub(crate) um: f64,
    /// What the table calls it.
    pub(crate) name: Option<String>,
    /// Across and up the panel, mm.
    pub(crate) at_mm: Option<(f64, f64)>,
}

/// One spot for all repeats of a name, or of a position where there is no
/// name; a reading with neither is a spot by itself.
pub(crate) fn spots(places: &[Place]) -> Vec<Spot> {
    let mut groups: Vec<Vec<&Place>> = Vec::new();
    for place in places {
        let same = groups.iter_mut().find(|group| is_same(group[0], place));
        match same {
            Some(group) => group.push(place),
            None => groups.push(vec![place]),
        }
    }
    let pooled = |group: Vec<&Place>| Spot {
        key: group[0].key.clone(),
        keys: group.iter().map(|place| place.key.clone()).collect(),
        panel: group[0].panel.clone(),
        um: group.iter().map(|place| place.um).sum::<f64>() / group.len() as f64,
        name: group[0].spot.clone(),
        at_mm: group[0].at_mm,
    };
    groups.into_iter().map(pooled).collect()
}

fn is_same(a: &Place, b: &Place) -> bool {
    // A table numbers its spots for itself.
    let table = |place: &Place| place.key.rsplit_once('-').map(|(id, _)| id.to_owned());
    a.panel == b.panel
        && match (&a.spot, &b.spot) {
            (Some(one), Some(other)) => one == other && table(a) == table(b),
            (None, None) => a.at_mm.is_some() && a.at_mm == b.at_mm,
            _ => false,
        }
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
        spot: r.spot,
        at_mm: r.u_mm.zip(r.v_mm),
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
        assert_eq!(spots(&all).len(), 1);
        assert!(places_of("csv", "r.csv", " ").is_ok_and(|p| p.is_empty()));
    }

    #[test]
    fn repeats_of_a_spot_are_one_with_their_mean() {
        let table = "panel,spot,u_mm,v_mm,thickness_um\nbonnet,B1,10,20,111\nbonnet,B1,10,20,114\nbonnet,B2,10,20,120\nroof,B1,,,99\nroof,,30,40,90\nroof,,30,40,92\nroof,,,,80\nroof,,,,80\n";
        let all = places_of("t", "r.csv", table).expect("places");
        let found: Vec<(String, f64, usize)> = spots(&all)
            .into_iter()
            .map(|spot| (spot.key, spot.um, spot.keys.len()))
            .collect();
        let wanted = [
            ("t-2", 112.5, 2),
            ("t-4", 120.0, 1),
            ("t-5", 99.0, 1),
            ("t-6", 91.0, 2),
            ("t-8", 80.0, 1),
            ("t-9", 80.0, 1),
        ];
        assert_eq!(found, wanted.map(|(key, um, n)| (key.to_owned(), um, n)));
    }
}
