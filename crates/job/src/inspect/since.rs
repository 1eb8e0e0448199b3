//! What went between two visits: the film read now against the film that the
//! record of the visit before says was left.
//!
//! Law: d = left then − read now; it counts when d exceeds 1.645·s with
//! s² = s1²/n1 + s2²/n2 + 2 g², g = 1.5 µm what two gauges, or one zeroed
//! twice, differ by. Then d ± s is debited as removed.
//! Source: the difference of two means; g is assumed.
//! Holds: for a panel with two spots or more both times that was not painted since.
//! Left out: film that grew; paint under the gauge's zero drift cannot be told.
//! Checked by: the test below, worked by hand.

use lapwing_measure::estimate::NORMAL_95;
use lapwing_measure::quantity::Length;
use uom::si::length::micrometer;

use super::CarFilm;
use crate::record::Caution;
use crate::record::earlier::Earlier;
use crate::record::job::Job;
use crate::record::panel_names::spoken;

/// What two gauges differ by, one standard deviation, µm.
const BETWEEN_GAUGES_UM: f64 = 1.5;

/// Debits the film that is missing since the visit before.
pub fn debit_since(job: &mut Job, film: &CarFilm, earlier: &Earlier) -> Vec<Caution> {
    let painted = job
        .record
        .as_ref()
        .map(|r| r.painted_since.clone())
        .unwrap_or_default();
    let mut found = Vec::new();
    for panel in &mut job.panels {
        let now = film.panels.iter().find(|f| f.name == panel.name);
        let then = earlier.panel(&panel.name).and_then(|p| p.film_after_um);
        let Some(((now, mean_um), then)) = now.and_then(|n| n.mean_um.map(|m| (n, m))).zip(then)
        else {
            continue;
        };
        if painted.contains(&panel.name) || now.spots < 2 || then.count < 2 {
            continue;
        }
        let square = |sd: f64, count: usize| sd * sd / count as f64;
        let variance = square(now.sd_um.unwrap_or(0.0), now.spots)
            + square(then.sd, then.count)
            + 2.0 * BETWEEN_GAUGES_UM * BETWEEN_GAUGES_UM;
        let (missing_um, sd_um) = (then.mean - mean_um, variance.sqrt());
        if missing_um <= NORMAL_95 * sd_um {
            continue;
        }
        panel.removed_before += Length::new::<micrometer>(missing_um);
        let known_um = panel.removed_before_sd.get::<micrometer>();
        panel.removed_before_sd = Length::new::<micrometer>(known_um.hypot(sd_um));
        found.push(Caution::new(
            spoken(&panel.name),
            format!("{missing_um:.1} µm less film than when the car left the visit before ({:.0} then, {mean_um:.0} now): somebody polished since. It is debited.", then.mean),
        ));
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::inspect::{Known, inspect_knowing};
    use crate::record::read::read_job;
    use crate::record::readings;
    use serde_json::json;

    // s² = 2/4 + 1/4 + 4.5 = 5.25, 1.645·s = 3.77. Bonnet 118 − 112 = 6 counts,
    // roof 118 − 115 = 3 does not.
    #[test]
    fn only_what_two_gauges_cannot_explain_is_debited() {
        let text = "schema = 1\nname = \"x\"\n[car]\nclass = \"estate\"\n[[panel]]\nname = \"bonnet\"\n[[panel]]\nname = \"roof\"\n";
        let (mut job, _) = read_job("job.toml", text).expect("a job");
        let rows = |name: &str, mean: f64| -> String {
            [-1.0_f64, -1.0, 1.0, 1.0]
                .map(|d| format!("{name},{}\n", mean + d * 0.75_f64.sqrt()))
                .concat()
        };
        let csv = format!(
            "panel,thickness_um\n{}{}",
            rows("bonnet", 112.0),
            rows("roof", 115.0)
        );
        let read = readings::read("r.csv", csv.as_bytes(), None).expect("readings");
        let film = inspect_knowing(&read, &Known::of(&job));
        let then = json!({"mean": 118.0, "sd": 2.0_f64.sqrt(), "count": 4});
        let panel = |name: &str| json!({"name": name, "is_repainted": false, "removed_ever_um": {"mean": 0, "sd": 0}, "film_after_um": then});
        let record = json!({"kind": "paint-record", "schema": 1, "date": null,
            "car": {"description": "", "class": "estate"}, "panels": [panel("bonnet"), panel("roof")]});
        let earlier = Earlier::read("r.json", &record).expect("a record");
        let cautions = debit_since(&mut job, &film, &earlier);
        let um = |l: Length| l.get::<micrometer>();
        assert!((um(job.panels[0].removed_before) - 6.0).abs() < 1e-9);
        assert!((um(job.panels[0].removed_before_sd) - 5.25_f64.sqrt()).abs() < 1e-9);
        assert_eq!(um(job.panels[1].removed_before), 0.0);
        assert_eq!(cautions.len(), 1);
        assert!(cautions[0].text.contains("somebody polished since"));
    }
}
