//! The pictures of a pass on a page: theme, width and words as the reader has
//! them.
//!
//! Law: none; values are placed and coloured as they come.
//! Left out: two passes side by side.
//! Checked by: the figure tests, and by looking.

use lapwing_job::bench::BenchResult;

use crate::figure::{
    Axis, Chart, Dash, Scale, SectionMap, Series, Theme, Units, Wall, chart, section_map,
};

/// The words on the pictures, in the reader's language.
#[derive(Clone, Copy, Debug)]
pub struct Words<'a> {
    /// Over the removal map.
    pub takes_off: &'a str,
    /// Over the temperature map.
    pub surface_peak: &'a str,
    /// Over the history.
    pub over_time: &'a str,
    /// Over the profile.
    pub across: &'a str,
    /// Name of the time axis.
    pub time: &'a str,
    /// Name of the temperature axis.
    pub surface: &'a str,
    /// The hottest place's line.
    pub hottest: &'a str,
    /// The pad centre's line.
    pub under_pad: &'a str,
    /// Name of the place axis.
    pub place: &'a str,
    /// The profile from left to right.
    pub left_to_right: &'a str,
    /// The profile from below to above.
    pub upwards: &'a str,
    /// The wall where the trade warns.
    pub warn: &'a str,
    /// The wall where the trade stops.
    pub stop: &'a str,
}

/// How the pictures are set.
#[derive(Clone, Copy, Debug)]
pub struct Look<'a> {
    /// Colours of the page.
    pub theme: Theme,
    /// µm and °C, or mil and °F.
    pub units: Units,
    /// Width of a map, px.
    pub map_px: f64,
    /// Width and height of a chart, px.
    pub chart_px: (f64, f64),
    /// Where the job warns and where it stops, °C.
    pub walls_c: [f64; 2],
    /// Under the removal map and under the temperature map: what it shows in
    /// figures; empty for the map's own.
    pub summaries: [&'a str; 2],
    /// The words.
    pub words: Words<'a>,
}

/// What comes off, seen from above.
///
/// # Errors
/// A sentence when a map has no shape, which is our fault.
pub fn removal_map(result: &BenchResult, look: &Look<'_>) -> Result<String, String> {
    let maps = &result.maps;
    let map = SectionMap {
        title: look.words.takes_off,
        caption: "",
        summary: look.summaries[0],
        values: &maps.removal_um,
        columns: maps.removal_cells.0,
        rows: maps.removal_cells.1,
        width_m: maps.size_m.0,
        height_m: maps.size_m.1,
        scale: Scale::removal(result.removal.max_um),
        walls: &[],
        units: look.units,
        theme: look.theme,
        width_px: look.map_px,
    };
    section_map(&map).map_err(|e| e.to_string())
}

/// How hot the surface gets, seen from above.
///
/// # Errors
/// A sentence when a map has no shape, which is our fault.
pub fn heat_map(result: &BenchResult, look: &Look<'_>) -> Result<String, String> {
    let maps = &result.maps;
    let walls = walls(look);
    let map = SectionMap {
        title: look.words.surface_peak,
        caption: "",
        summary: look.summaries[1],
        values: &maps.peak_c,
        columns: maps.heat_cells.0,
        rows: maps.heat_cells.1,
        width_m: maps.size_m.0,
        height_m: maps.size_m.1,
        scale: Scale::temperature(),
        walls: &walls,
        units: look.units,
        theme: look.theme,
        width_px: look.map_px,
    };
    section_map(&map).map_err(|e| e.to_string())
}

fn walls(look: &Look<'_>) -> Vec<Wall> {
    let words = [look.words.warn, look.words.stop];
    let walls = look.walls_c.iter().zip(words);
    walls
        .map(|(at, label)| Wall {
            at: *at,
            label: label.to_owned(),
        })
        .collect()
}

/// The surface over time.
///
/// # Errors
/// A sentence when a map has no shape, which is our fault.
pub fn history(result: &BenchResult, look: &Look<'_>) -> Result<String, String> {
    let scale = Scale::temperature();
    let shown = |celsius: f64| scale.shown(celsius, look.units);
    let start_c = result.maps.start_c;
    let moments = &result.history;
    let hottest = moments
        .iter()
        .map(|m| (m.t_s, shown(m.hottest_c)))
        .collect();
    let under_pad = moments
        .iter()
        .filter_map(|m| m.under_pad_c.map(|c| (m.t_s, shown(c))))
        .collect();
    let top = (shown(result.heat.peak_c.max(start_c + 5.0)) / 10.0).ceil() * 10.0;
    let walls = walls(look).into_iter().map(|wall| Wall {
        at: shown(wall.at),
        ..wall
    });
    chart(&Chart {
        x: axis(look.words.time, "s", (0.0, result.time_s)),
        y: axis(
            look.words.surface,
            scale.unit(look.units),
            ((shown(start_c) / 10.0).floor() * 10.0, top),
        ),
        series: vec![
            series(look.words.hottest, hottest, Dash::Solid),
            series(look.words.under_pad, under_pad, Dash::Dotted),
        ],
        y_walls: walls
            .filter(|w| w.at < top && w.at > shown(start_c))
            .collect(),
        ..empty(look.words.over_time, look)
    })
    .map_err(|e| e.to_string())
}

/// What comes off along both middle lines of the section.
///
/// # Errors
/// A sentence when a map has no shape, which is our fault.
pub fn profile(result: &BenchResult, look: &Look<'_>) -> Result<String, String> {
    let scale = Scale::removal(result.removal.max_um);
    let (mm_per, unit) = match look.units {
        Units::Metric => (1.0, "mm"),
        Units::Customary => (25.4, "in"),
    };
    let along = |axis: &str| -> Vec<(f64, f64)> {
        let shown = |(at_m, um): (f64, f64)| (at_m * 1e3 / mm_per, scale.shown(um, look.units));
        result.profile_along(axis).into_iter().map(shown).collect()
    };
    let size_m = result.maps.size_m.0.max(result.maps.size_m.1);
    let most = scale.shown(result.removal.max_um.max(1e-3) * 1.05, look.units);
    chart(&Chart {
        x: axis(look.words.place, unit, (0.0, size_m * 1e3 / mm_per)),
        y: axis(look.words.takes_off, scale.unit(look.units), (0.0, most)),
        series: vec![
            series(look.words.left_to_right, along("x"), Dash::Solid),
            series(look.words.upwards, along("y"), Dash::Dotted),
        ],
        ..empty(look.words.across, look)
    })
    .map_err(|e| e.to_string())
}

fn axis(name: &str, unit: &str, (low, high): (f64, f64)) -> Axis {
    Axis {
        name: name.to_owned(),
        unit: unit.to_owned(),
        low,
        high,
    }
}

fn series(name: &str, points: Vec<(f64, f64)>, dash: Dash) -> Series {
    Series {
        name: name.to_owned(),
        points,
        dash,
        has_dots: false,
    }
}

/// A chart without lines, to be filled in.
fn empty(title: &str, look: &Look<'_>) -> Chart {
    Chart {
        title: title.to_owned(),
        caption: String::new(),
        x: axis("", "", (0.0, 1.0)),
        y: axis("", "", (0.0, 1.0)),
        series: Vec::new(),
        bands: Vec::new(),
        x_walls: Vec::new(),
        y_walls: Vec::new(),
        here: None,
        theme: look.theme,
        width_px: look.chart_px.0,
        height_px: look.chart_px.1,
    }
}
