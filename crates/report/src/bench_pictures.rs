//! The pictures of a pass on the bench: what comes off, how hot, and when.
//!
//! Law: none; values are placed and coloured as they come.
//! Checked by: the figure tests, and by looking.

use lapwing_job::bench::BenchResult;

use crate::figure::{
    Axis, Chart, Dash, Scale, SectionMap, Series, Theme, Units, Wall, chart, section_map,
};

/// Where the trade warns and stops, °C (trade texts disagree).
const WALLS_C: [(f64, &str); 2] = [(43.0, "warn"), (60.0, "stop")];

/// File names with their SVG text.
///
/// # Errors
/// A sentence when a map has no shape, which is our fault.
pub fn bench(result: &BenchResult) -> Result<Vec<(&'static str, String)>, String> {
    Ok(vec![
        ("removal.svg", removal(result)?),
        ("heat.svg", heat(result)?),
        ("history.svg", history(result)?),
    ])
}

fn removal(result: &BenchResult) -> Result<String, String> {
    let maps = &result.maps;
    let map = SectionMap {
        title: "Takes off",
        caption: "",
        values: &maps.removal_um,
        columns: maps.removal_cells.0,
        rows: maps.removal_cells.1,
        width_m: maps.size_m.0,
        height_m: maps.size_m.1,
        scale: Scale::removal(result.removal.max_um),
        walls: &[],
        units: Units::Metric,
        theme: Theme::PRINT,
        width_px: 480.0,
    };
    section_map(&map).map_err(|e| e.to_string())
}

fn heat(result: &BenchResult) -> Result<String, String> {
    let maps = &result.maps;
    let walls = WALLS_C.map(|(at, label)| Wall {
        at,
        label: label.to_owned(),
    });
    let map = SectionMap {
        title: "Surface peak",
        caption: "",
        values: &maps.peak_c,
        columns: maps.heat_cells.0,
        rows: maps.heat_cells.1,
        width_m: maps.size_m.0,
        height_m: maps.size_m.1,
        scale: Scale::temperature(),
        walls: &walls,
        units: Units::Metric,
        theme: Theme::PRINT,
        width_px: 480.0,
    };
    section_map(&map).map_err(|e| e.to_string())
}

fn history(result: &BenchResult) -> Result<String, String> {
    let start_c = result.maps.start_c;
    let hottest = result
        .heat
        .history
        .iter()
        .map(|m| (m.t_s, start_c + m.hottest_rise_k))
        .collect();
    let under_pad = result
        .heat
        .history
        .iter()
        .filter_map(|m| m.under_pad_rise_k.map(|k| (m.t_s, start_c + k)))
        .collect();
    let axis = |name: &str, unit: &str, low: f64, high: f64| Axis {
        name: name.to_owned(),
        unit: unit.to_owned(),
        low,
        high,
    };
    let series = |name: &str, points: Vec<(f64, f64)>, dash| Series {
        name: name.to_owned(),
        points,
        dash,
        has_dots: false,
    };
    let top_c = (result.heat.peak_c.max(start_c + 5.0) / 10.0).ceil() * 10.0;
    let walls = WALLS_C
        .iter()
        .filter(|(at, _)| *at < top_c && *at > start_c);
    chart(&Chart {
        title: "Surface temperature over time".to_owned(),
        caption: String::new(),
        x: axis("Time", "s", 0.0, result.time_s),
        y: axis("Surface", "°C", (start_c / 10.0).floor() * 10.0, top_c),
        series: vec![
            series("hottest place", hottest, Dash::Solid),
            series("under the pad's centre", under_pad, Dash::Dotted),
        ],
        bands: Vec::new(),
        x_walls: Vec::new(),
        y_walls: walls
            .map(|(at, label)| Wall {
                at: *at,
                label: (*label).to_owned(),
            })
            .collect(),
        here: None,
        theme: Theme::PRINT,
        width_px: 640.0,
        height_px: 360.0,
    })
    .map_err(|e| e.to_string())
}
