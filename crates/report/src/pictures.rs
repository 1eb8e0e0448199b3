//! The pictures that go with a plan: the flat car by budget, one step's
//! removal and temperature maps, and the film map of a panel.
//!
//! Law: none; values are placed and coloured as they come.
//! Checked by: the figure tests, and by looking.

use lapwing_job::bench::result::BenchMaps;
use lapwing_job::plan::{PanelPlan, Plan};
use lapwing_job::record::job::{BodyClass as Body, Job, Units as JobUnits};

use crate::figure::{
    BodyClass, CarOptions, Doubt, Fill, PanelPaint, Scale, SectionMap, Theme, Units, Wall,
    flat_car, section_map,
};
use crate::words;

/// The picture's units for the job's.
#[must_use]
pub fn units(units: JobUnits) -> Units {
    match units {
        JobUnits::Metric => Units::Metric,
        JobUnits::Us => Units::Customary,
    }
}

/// The car drawn flat, panels coloured and labelled by what may go.
#[must_use]
pub fn budget_car(job: &Job, plan: &Plan) -> String {
    let options = CarOptions {
        units: units(job.units),
        theme: Theme::PRINT,
        title: "What may go, panel by panel".to_owned(),
        ..CarOptions::landscape(Some(Scale::budget()))
    };
    budget_car_on(job, plan, &options)
}

/// The same on a page: its width, theme, units and title as the options say.
#[must_use]
pub fn budget_car_on(job: &Job, plan: &Plan, options: &CarOptions) -> String {
    let shown = match options.units {
        Units::Metric => JobUnits::Metric,
        Units::Customary => JobUnits::Us,
    };
    let panels: Vec<PanelPaint> = plan.panels.iter().map(|p| paint(p, shown)).collect();
    let options = CarOptions {
        size_m: job.car.size.map(|s| s.map(|l| l.value)),
        ..options.clone()
    };
    flat_car(outline(job.car.class), &panels, &options)
}

fn paint(panel: &PanelPlan, units: JobUnits) -> PanelPaint {
    let figure = panel.budget_um.map(|um| words::film_number(um, units));
    let is_repaint = panel
        .findings
        .iter()
        .any(|f| f.to_lowercase().contains("repaint"))
        && panel.budget_um.is_none();
    let doubt = if panel.readings == 0 {
        Doubt::Unsure
    } else {
        Doubt::Plain
    };
    let (fill, figure, finding) = match (panel.verdict, panel.budget_um) {
        ("leave", _) if is_repaint => (
            Fill::Repaint,
            Some("leave".to_owned()),
            Some("repaint?".to_owned()),
        ),
        ("leave", None) if panel.readings == 0 => (Fill::NotMeasured, None, None),
        ("leave", _) => (
            Fill::Leave,
            Some(figure.unwrap_or_else(|| "leave".to_owned())),
            None,
        ),
        (_, Some(um)) => (Fill::Value(um, doubt), figure, None),
        (_, None) => (Fill::NotMeasured, None, None),
    };
    PanelPaint {
        id: outline_id(&panel.name),
        label: None,
        figure,
        finding,
        fill,
    }
}

/// The outline's id where it differs from the panel's name (van sides).
pub(crate) fn outline_id(name: &str) -> String {
    match name.strip_prefix("side-") {
        Some(side) => format!("side-panel-{side}"),
        None => name.to_owned(),
    }
}

/// The drawing of a body class.
#[must_use]
pub fn outline(class: Body) -> BodyClass {
    match class {
        Body::CityCar | Body::SmallHatch | Body::CompactHatch => BodyClass::Hatchback,
        Body::Saloon | Body::TwoDoorSports => BodyClass::Saloon,
        Body::Estate => BodyClass::Estate,
        Body::CompactSuv | Body::LargeSuv | Body::Mpv => BodyClass::LargeSuv,
        Body::PickUp | Body::FullSizePickUp => BodyClass::PickUp,
        Body::PanelVan => BodyClass::PanelVan,
    }
}

/// Removal and temperature maps of a step, as two pictures.
///
/// # Errors
/// A sentence when a map has no shape, which is our fault.
pub fn step_maps(
    maps: &BenchMaps,
    job: &Job,
    limits_c: (f64, f64),
) -> Result<(String, String), String> {
    const MAP_PX: f64 = 360.0;
    let most_um = maps.removal_um.iter().copied().fold(0.0, f64::max);
    let look = (units(job.units), MAP_PX);
    let removal = removal_map(maps, ("Takes off", most_um), look);
    let walls = [
        Wall {
            at: limits_c.0,
            label: "warn".to_owned(),
        },
        Wall {
            at: limits_c.1,
            label: "stop".to_owned(),
        },
    ];
    let heat = heat_map(maps, ("Surface peak", &walls), look);
    Ok((
        section_map(&removal).map_err(|e| e.to_string())?,
        section_map(&heat).map_err(|e| e.to_string())?,
    ))
}

/// What comes off a section, on a scale up to `most_um`.
pub(crate) fn removal_map<'a>(
    maps: &'a BenchMaps,
    (title, most_um): (&'a str, f64),
    (units, width_px): (Units, f64),
) -> SectionMap<'a> {
    SectionMap {
        title,
        caption: "",
        summary: "",
        values: &maps.removal_um,
        columns: maps.removal_cells.0,
        rows: maps.removal_cells.1,
        width_m: maps.size_m.0,
        height_m: maps.size_m.1,
        scale: Scale::removal_in(most_um, units),
        walls: &[],
        units,
        theme: Theme::PRINT,
        width_px,
    }
}

/// How hot a section gets, with walls where the trade warns and stops.
pub(crate) fn heat_map<'a>(
    maps: &'a BenchMaps,
    (title, walls): (&'a str, &'a [Wall]),
    look: (Units, f64),
) -> SectionMap<'a> {
    let hottest_c = maps.peak_c.iter().copied().fold(maps.start_c, f64::max);
    SectionMap {
        values: &maps.peak_c,
        columns: maps.heat_cells.0,
        rows: maps.heat_cells.1,
        scale: Scale::temperature_of((maps.start_c, hottest_c), look.0),
        walls,
        ..removal_map(maps, (title, 0.0), look)
    }
}
