//! The pictures of a pass on the bench: what comes off, how hot, and when.
//!
//! Law: none; values are placed and coloured as they come.
//! Holds: in the units of the answer.
//! Left out: nothing that the answer holds.
//! Checked by: the figure tests, the test below, and by looking.

use lapwing_job::bench::BenchResult;
use lapwing_job::record::job::Units;

use crate::bench_measures::{Kind, picture_units};
use crate::figure::{
    Axis, Chart, Dash, Scale, SectionMap, Series, Theme, Wall, chart, pair_of_maps, section_map,
};
use crate::pictures::{heat_map, removal_map};

/// Where the trade warns and stops, °C (trade texts disagree).
pub(crate) const WALLS_C: [(f64, &str); 2] = [(43.0, "warn"), (60.0, "stop")];
/// Width of a single map and of a chart, px.
const MAP_PX: f64 = 480.0;
pub(crate) const CHART_PX: f64 = 640.0;

/// A picture: its file name and its SVG text.
pub type Picture = (String, String);

/// The pictures of one pass.
///
/// # Errors
/// A sentence when a map has no shape, which is our fault.
pub fn bench(result: &BenchResult) -> Result<Vec<Picture>, String> {
    let walls = walls();
    let removal = removal(result, ("Takes off", result.removal.max_um));
    let heat = heat(result, "Surface peak", &walls);
    let drawn = [
        ("removal.svg", section_map(&removal)),
        ("heat.svg", section_map(&heat)),
        ("profile.svg", chart(&profile(&[("", result)]))),
        ("history.svg", chart(&history(&[("", result)]))),
    ];
    drawn
        .into_iter()
        .map(|(name, svg)| Ok((name.to_owned(), svg.map_err(|e| e.to_string())?)))
        .collect()
}

/// The pictures of two passes side by side, on the same scales.
///
/// # Errors
/// As [`bench()`].
pub fn pair(
    first: (&str, &BenchResult),
    second: (&str, &BenchResult),
) -> Result<Vec<Picture>, String> {
    let walls = walls();
    let most_um = first.1.removal.max_um.max(second.1.removal.max_um);
    let named = |what: &str, name: &str| format!("{what}: {name}");
    let titles = [first.0, second.0].map(|name| named("Takes off", name));
    let removals = pair_of_maps(
        &wide(removal(first.1, (&titles[0], most_um))),
        &wide(removal(second.1, (&titles[1], most_um))),
    );
    let titles = [first.0, second.0].map(|name| named("Surface peak", name));
    let scale = Scale::temperature_of(both_ends_c(first.1, second.1), look_of(first.1));
    let heats = [(first.1, &titles[0]), (second.1, &titles[1])].map(|(result, title)| SectionMap {
        scale,
        ..wide(heat(result, title, &walls))
    });
    let heats = pair_of_maps(&heats[0], &heats[1]);
    let drawn = [
        ("removal-both.svg", removals),
        ("heat-both.svg", heats),
        ("profile-both.svg", chart(&profile(&[first, second]))),
        ("history-both.svg", chart(&history(&[first, second]))),
    ];
    drawn
        .into_iter()
        .map(|(name, svg)| Ok((name.to_owned(), svg.map_err(|e| e.to_string())?)))
        .collect()
}

/// The coldest and the hottest of both surfaces.
fn both_ends_c(first: &BenchResult, second: &BenchResult) -> (f64, f64) {
    let all = || first.maps.peak_c.iter().chain(&second.maps.peak_c).copied();
    let start_c = first.maps.start_c.min(second.maps.start_c);
    (start_c, all().fold(start_c, f64::max))
}

fn look_of(result: &BenchResult) -> crate::figure::Units {
    picture_units(result.units)
}

/// As wide as two maps, for both of a pair.
fn wide(map: SectionMap<'_>) -> SectionMap<'_> {
    SectionMap {
        width_px: 2.0 * MAP_PX,
        ..map
    }
}

fn walls() -> Vec<Wall> {
    WALLS_C
        .map(|(at, label)| Wall {
            at,
            label: label.to_owned(),
        })
        .to_vec()
}

fn removal<'a>(result: &'a BenchResult, what: (&'a str, f64)) -> SectionMap<'a> {
    removal_map(&result.maps, what, (picture_units(result.units), MAP_PX))
}

fn heat<'a>(result: &'a BenchResult, title: &'a str, walls: &'a [Wall]) -> SectionMap<'a> {
    let look = (picture_units(result.units), MAP_PX);
    heat_map(&result.maps, (title, walls), look)
}

type Passes<'a> = [(&'a str, &'a BenchResult)];

fn units_of(passes: &Passes<'_>) -> Units {
    passes.first().map_or(Units::Metric, |(_, r)| r.units)
}

pub(crate) fn axis(name: &str, unit: &str, (low, high): (f64, f64)) -> Axis {
    Axis {
        name: name.to_owned(),
        unit: unit.to_owned(),
        low,
        high,
    }
}

fn series(name: String, points: Vec<(f64, f64)>, dash: Dash) -> Series {
    Series {
        name,
        points,
        dash,
        has_dots: false,
    }
}

pub(crate) fn plain_chart(title: &str, x: Axis, y: Axis, series: Vec<Series>) -> Chart {
    Chart {
        title: title.to_owned(),
        caption: String::new(),
        x,
        y,
        series,
        bands: Vec::new(),
        x_walls: Vec::new(),
        y_walls: Vec::new(),
        here: None,
        theme: Theme::PRINT,
        width_px: CHART_PX,
        height_px: 360.0,
    }
}

/// Depths along both middle lines, or along x of two passes.
fn profile(passes: &Passes<'_>) -> Chart {
    let units = units_of(passes);
    let points = |result: &BenchResult, axis: &str| -> Vec<(f64, f64)> {
        let shown =
            |(at_m, um): (f64, f64)| (Kind::Place.shown(at_m, units), Kind::Depth.shown(um, units));
        result.profile_along(axis).into_iter().map(shown).collect()
    };
    let mut lines = Vec::new();
    for (index, (name, result)) in passes.iter().enumerate() {
        let gap = if name.is_empty() { "" } else { ", " };
        let dash = if index == 0 {
            Dash::Solid
        } else {
            Dash::Dashed
        };
        let (along_x, along_y) = (points(result, "x"), points(result, "y"));
        let is_single = passes.len() == 1;
        if is_single && are_alike(&along_x, &along_y) {
            lines.push(series("along x and along y".to_owned(), along_y, dash));
            continue;
        }
        lines.push(series(format!("along y{gap}{name}"), along_y, dash));
        if is_single {
            lines.push(series("along x".to_owned(), along_x, Dash::Dotted));
        }
    }
    let ends = lines.iter().flat_map(|line| &line.points);
    let (far, most) = ends.fold((0.0_f64, 0.0_f64), |(far, most), (x, y)| {
        (far.max(*x), most.max(*y))
    });
    plain_chart(
        "Taken off across the section, through its middle",
        axis(
            "From the rim",
            Kind::Place.sign(units),
            (0.0, far.max(1e-9)),
        ),
        axis("Taken off", Kind::Depth.sign(units), (0.0, above(most))),
        lines,
    )
}

/// Whether one line would lie under the other.
fn are_alike(a: &[(f64, f64)], b: &[(f64, f64)]) -> bool {
    let most = a.iter().chain(b).fold(0.0_f64, |most, (_, y)| most.max(*y));
    let is_near = |((ax, ay), (bx, by)): (&(f64, f64), &(f64, f64))| {
        (ax - bx).abs() <= 1e-6 * ax.abs() && (ay - by).abs() <= 0.01 * most
    };
    a.len() == b.len() && a.iter().zip(b).all(is_near)
}

/// A little more than the most, so that a line does not touch the top.
pub(crate) fn above(most: f64) -> f64 {
    if most > 0.0 { 1.08 * most } else { 1.0 }
}

fn history(passes: &Passes<'_>) -> Chart {
    let units = units_of(passes);
    let shown = |c: f64| Kind::Temperature.shown(c, units);
    let mut lines = Vec::new();
    for (index, (name, result)) in passes.iter().enumerate() {
        let gap = if name.is_empty() { "" } else { ", " };
        let moments = &result.history;
        let hottest = moments
            .iter()
            .map(|m| (m.t_s, shown(m.hottest_c)))
            .collect();
        let dash = if index == 0 {
            Dash::Solid
        } else {
            Dash::Dashed
        };
        lines.push(series(format!("hottest{gap}{name}"), hottest, dash));
        if passes.len() == 1 {
            let under = moments
                .iter()
                .filter_map(|m| m.under_pad_c.map(|c| (m.t_s, shown(c))))
                .collect();
            lines.push(series("under the pad".to_owned(), under, Dash::Dotted));
        }
    }
    let time_s = passes.iter().map(|(_, r)| r.time_s).fold(0.0, f64::max);
    let start_c = passes
        .iter()
        .map(|(_, r)| r.maps.start_c)
        .fold(f64::INFINITY, f64::min);
    let peak_c = passes
        .iter()
        .map(|(_, r)| r.heat.peak_c)
        .fold(start_c + 5.0, f64::max);
    let (low_c, high_c) = tens(start_c, peak_c, units);
    let walls = WALLS_C.iter().filter(|(at, _)| *at < high_c && *at > low_c);
    let y_walls = walls
        .map(|(at, label)| Wall {
            at: shown(*at),
            label: (*label).to_owned(),
        })
        .collect();
    Chart {
        y_walls,
        ..plain_chart(
            "Surface temperature over time",
            axis("Time", "s", (0.0, time_s)),
            axis(
                "Surface",
                Kind::Temperature.sign(units),
                (shown(low_c), shown(high_c)),
            ),
            lines,
        )
    }
}

/// The tens, of the unit that is read, that enclose two temperatures; in °C.
pub(crate) fn tens(low_c: f64, high_c: f64, units: Units) -> (f64, f64) {
    let shown = |c: f64| Kind::Temperature.shown(c, units) / 10.0;
    let meant = |tens: f64| Kind::Temperature.meant(10.0 * tens, units);
    (meant(shown(low_c).floor()), meant(shown(high_c).ceil()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::figure::svg::reading::assert_well_formed;
    use lapwing_job::bench::{HeatWatch, bench as work, read_setup};

    fn worked(force: &str) -> BenchResult {
        let text = format!(
            "units = \"us\"\n[panel]\nsize = [\"0.3 m\", \"0.25 m\"]\n\
             [machine]\nkind = \"rotary\"\nspeed = \"1500 rpm\"\n[pad]\ndiameter = \"125 mm\"\n\
             [touch]\nforce = \"{force}\"\n[stroke]\npattern = \"cross-hatch\"\narm_speed = \"100 mm/s\"\n[heat]\ndetail = \"quick\"\n"
        );
        let setup = read_setup("s.toml", &text, &|_| Err(String::new())).expect("good");
        work(&setup, HeatWatch::default()).expect("works")
    }

    #[test]
    fn every_picture_is_well_formed_and_in_the_users_units() {
        let (one, other) = (worked("20 N"), worked("40 N"));
        let pictures = bench(&one).expect("drawn");
        let names: Vec<&str> = pictures.iter().map(|(name, _)| name.as_str()).collect();
        assert_eq!(
            names,
            ["removal.svg", "heat.svg", "profile.svg", "history.svg"]
        );
        let both = pair(("soft", &one), ("firm", &other)).expect("drawn");
        for (name, svg) in pictures.iter().chain(&both) {
            assert_well_formed(svg);
            assert!(!svg.contains("°C") && !svg.contains("\u{3bc}m"), "{name}");
        }
        assert!(both[0].1.contains("Takes off: soft") && both[0].1.contains("Takes off: firm"));
    }
}
