//! Which car, which panels, how large: the first station.
//!
//! Law: a panel measured with a tape has area = length × width × fill factor;
//! otherwise the area comes from the body class and is scaled with the outer
//! dimensions: bonnet, roof and lid with L·W; wings, doors, quarters and sills
//! with L·H; bumpers and tailgate with W·H.
//! Source: own estimates per class (developed length × width × fill factor);
//! no published table per panel was found. Fill factors are common practice.
//! Holds: ±25 % on one panel, ±15 % on the total; a typical roof is 1.7 to
//! 2 m² (conference abstract, EU PVSEC 2020), which the saloon row meets.
//! Left out: sunroof glass and contrasting parts.
//! Checked by: the totals of the table and the published roof area.

mod area_table;

use lapwing_measure::quantity::{Area, Length};
use lapwing_measure::{Estimate, Provenance};
use uom::si::{
    area::{square_meter, square_millimeter},
    length::meter,
};

use crate::record::corners::area as corners_area;
use crate::record::job::{BodyClass, Car, Job, Panel};
use crate::record::{Caution, Zone, panel_names};

use self::area_table::class_row;

/// Relative standard deviation of one area from the table (±25 % taken as a
/// 95 % interval).
const TABLE_SD_FRAC: f64 = 0.25 / 1.96;

/// The same of a whole car (±15 % as a 95 % interval).
const WHOLE_SD_FRAC: f64 = 0.15 / 1.96;

/// Relative standard deviation of a tape measurement with a fill factor.
const TAPE_SD_FRAC: f64 = 0.05;

/// Area of a panel of which nothing is known (assumed), m².
const UNKNOWN_M2: f64 = 0.3;

/// What the intake found.
#[derive(Clone, Debug)]
pub struct Intake {
    /// Area of each panel of the job, in its order.
    pub areas: Vec<Estimate<Area>>,
    /// Doubts.
    pub cautions: Vec<Caution>,
}

/// Takes a car in: the area of every panel.
#[must_use]
pub fn intake(job: &Job) -> Intake {
    intake_seen(job, &|_| None)
}

/// The same with readings: a panel whose name says no size is no smaller than
/// its readings reach, across and up in mm, as `reach_mm` says by its name.
#[must_use]
pub fn intake_seen(job: &Job, reach_mm: &dyn Fn(&str) -> Option<[f64; 2]>) -> Intake {
    let mut cautions = Vec::new();
    let areas = job
        .panels
        .iter()
        .map(|panel| {
            cautions.extend(side_missing(panel));
            area(&job.car, panel, reach_mm(&panel.name), &mut cautions)
        })
        .collect();
    if job.panels.iter().any(|p| p.size.is_none()) {
        cautions.push(Caution::new(
            "areas",
            "Panel areas come from the body class: within 25 % for one panel. A tape measure on the large panels sharpens the hours.",
        ));
    }
    Intake { areas, cautions }
}

/// Outer painted area of a whole car of a class, before anyone measured it.
#[must_use]
pub fn usual_area(class: BodyClass) -> Estimate<Area> {
    let area = Area::new::<square_meter>(class_row(class).total_m2());
    Estimate::with_deviation(area, area * WHOLE_SD_FRAC, Provenance::Assumed)
}

/// Whether cars of a class have the panel: `rear-door-left` on a two-door has
/// no area.
#[must_use]
pub fn has_panel(class: BodyClass, panel: &str) -> bool {
    let stem = panel_names::stem(panel).0;
    class_row(class).panel_m2(stem).is_some()
}

/// Largest area that the panel may be of, where its name says nothing of its
/// size: that of the largest panel of the class.
#[must_use]
pub fn most_area(class: BodyClass, panel: &str) -> Option<Area> {
    let largest = || Area::new::<square_meter>(class_row(class).largest_m2());
    (!has_panel(class, panel)).then(largest)
}

fn side_missing(panel: &Panel) -> Option<Caution> {
    let name = &panel.name;
    let is_known = panel_names::zone(name) != Zone::C || panel_names::stem(name).0 == "sill";
    let has_side = panel_names::stem(name).1.is_some();
    let meant = panel_names::nearly(name).filter(|_| is_known && !has_side)?;
    Some(Caution::new(
        panel.spoken(),
        format!("The side of this panel is not named. Did you mean {meant}? Name the side."),
    ))
}

fn area(
    car: &Car,
    panel: &Panel,
    reach_mm: Option<[f64; 2]>,
    cautions: &mut Vec<Caution>,
) -> Estimate<Area> {
    let stem = panel_names::stem(&panel.name).0;
    if !panel.outline_mm.is_empty() {
        let mm2 = Area::new::<square_millimeter>(corners_area(&panel.outline_mm));
        return Estimate::with_deviation(mm2, mm2 * TAPE_SD_FRAC, Provenance::Measured);
    }
    if let Some((u, v)) = panel.size {
        let area = u * v * fill_frac(stem);
        return Estimate::with_deviation(area, area * TAPE_SD_FRAC, Provenance::Measured);
    }
    let known_m2 = class_row(car.class).panel_m2(stem);
    let table_m2 = known_m2.unwrap_or_else(|| {
        let reach_m2 = reach_mm.map_or(0.0, |[u, v]| u * v / 1e6);
        let assumed_m2 = reach_m2.max(UNKNOWN_M2);
        cautions.push(no_usual_size(panel, assumed_m2));
        assumed_m2
    });
    let times = known_m2.map_or(1.0, |_| scale(car, stem));
    let area = Area::new::<square_meter>(table_m2 * times);
    Estimate::with_deviation(area, area * TABLE_SD_FRAC, Provenance::Assumed)
}

fn no_usual_size(panel: &Panel, assumed_m2: f64) -> Caution {
    let size = if assumed_m2 > UNKNOWN_M2 {
        format!("{assumed_m2:.2} m² is assumed, as far as its readings reach")
    } else {
        format!("{UNKNOWN_M2} m² is assumed")
    };
    let written = panel.said.as_ref().unwrap_or(&panel.name);
    let asked = panel_names::nearly(written).map_or_else(
        || "Give size and zone".to_owned(),
        |meant| format!("Did you mean {meant}? Correct the name, or give size and zone"),
    );
    let zone = panel.zone.letter();
    let text = format!(
        "No usual size is known for this panel; {size}, and it counts as zone {zone}. {asked}."
    );
    Caution::new(panel.spoken(), text)
}

/// Share of the length × width rectangle that a panel fills (common practice).
fn fill_frac(stem: &str) -> f64 {
    match stem {
        "bonnet" | "front-door" | "rear-door" | "boot-lid" | "tailgate" => 0.90,
        "roof" => 0.95,
        _ => 0.75,
    }
}

fn scale(car: &Car, stem: &str) -> f64 {
    let Some(size) = car.size else { return 1.0 };
    let usual = class_row(car.class).size_m;
    let ratio = |i: usize| size[i].get::<meter>() / usual[i];
    match stem {
        "bonnet" | "roof" | "boot-lid" => ratio(0) * ratio(1),
        "front-bumper" | "rear-bumper" | "tailgate" => ratio(1) * ratio(2),
        _ => ratio(0) * ratio(2),
    }
}

/// Edge of the square a panel would be, for laying sections.
#[must_use]
pub fn square_edge(area: Area) -> Length {
    Length::new::<meter>(area.get::<square_meter>().sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_saloon_roof_is_as_large_as_published() {
        let roof = class_row(BodyClass::Saloon).panel_m2("roof").expect("roof");
        assert!((1.7..=2.0).contains(&roof), "EU PVSEC 2020: 1.7 to 2 m²");
    }

    fn job_of(names: &[&str]) -> Job {
        let panels: String = names
            .iter()
            .map(|n| format!("[[panel]]\nname = \"{n}\"\n"))
            .collect();
        let text = format!("schema = 1\nname = \"t\"\n[car]\nclass = \"saloon\"\n{panels}");
        crate::record::read::read_job("t", &text).expect("a job").0
    }

    #[test]
    fn a_panel_nobody_knows_is_no_smaller_than_its_readings_reach() {
        let job = job_of(&["bonet"]);
        let reach_mm = |name: &str| (name == "bonet").then_some([1200.0, 900.0]);
        let m2 = |found: &Intake| found.areas[0].value.get::<square_meter>();
        let (blind, seen) = (intake(&job), intake_seen(&job, &reach_mm));
        assert!((m2(&blind) - 0.3).abs() < 1e-9);
        assert!((m2(&seen) - 1.08).abs() < 1e-9, "{}", m2(&seen));
        let said = &seen.cautions[0].text;
        assert!(said.contains("Did you mean bonnet?"), "{said}");
        assert!(most_area(BodyClass::Saloon, "bonet") > Some(blind.areas[0].value));
        assert_eq!(most_area(BodyClass::Saloon, "bonnet"), None);
    }

    #[test]
    fn a_fender_without_its_side_has_the_area_of_one_and_is_asked_for_it() {
        let found = intake(&job_of(&["fender", "bootlid", "boot lid 2"]));
        let m2 = |at: usize| found.areas[at].value.get::<square_meter>();
        assert!((m2(0) - 0.55).abs() < 1e-9 && (m2(1) - 1.05).abs() < 1e-9);
        let told: Vec<&str> = found.cautions.iter().map(|c| c.place.as_str()).collect();
        assert_eq!(told, ["Fender", "Boot lid 2", "areas"]);
        let asked = &found.cautions[0].text;
        assert!(
            asked.contains("front-wing-left or front-wing-right"),
            "{asked}"
        );
    }

    #[test]
    fn a_two_door_has_no_rear_doors_and_a_whole_saloon_13_22_m2() {
        assert!(!has_panel(BodyClass::TwoDoorSports, "rear-door-left"));
        assert!(has_panel(BodyClass::Saloon, "rear-door-left"));
        assert!(!has_panel(BodyClass::Saloon, "bonnet-scoop"));
        // 1.6 + 1.7 + 1.05 + 1.0 + 1.35 + 2·(0.55 + 0.77 + 0.62 + 0.84 + 0.27 +
        // 0.16 + 0.05) of the table's row.
        let whole = usual_area(BodyClass::Saloon);
        assert!((whole.value.get::<square_meter>() - 13.22).abs() < 1e-9);
    }

    #[test]
    fn panels_of_a_class_add_up_to_its_printed_total() {
        for (class, total_m2) in [
            (BodyClass::CityCar, 9.5),
            (BodyClass::Saloon, 13.2),
            (BodyClass::Estate, 14.1),
            (BodyClass::LargeSuv, 17.4),
            (BodyClass::PanelVan, 21.2),
        ] {
            let sum = class_row(class).total_m2();
            assert!(
                (sum - total_m2).abs() < 0.26,
                "{class:?}: {sum} against {total_m2}"
            );
        }
    }
}
