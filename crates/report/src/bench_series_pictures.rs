//! The pictures of a series of passes: curves over one key, grids over two.
//!
//! Law: none; values are placed and coloured as they come. Three charts stand
//! one below the other on one page, each with its own axis.
//! Holds: for one or two keys.
//! Left out: three keys; fix one and draw again.
//! Checked by: the test below, and by looking.

use lapwing_job::bench::vary::{Span, VaryRow};
use lapwing_job::record::job::Units;

use crate::bench_measures::{Kind, picture_units, short_number};
use crate::bench_pictures::{CHART_PX, Picture, WALLS_C, above, axis, plain_chart, tens};
use crate::figure::{
    Axis, Band, Chart, Dash, FigureError, Scale, Series, Theme, ValueGrid, Wall, chart, value_grid,
};

/// Height of one of the three charts, px.
const EACH_PX: f64 = 250.0;
/// Most places of a curve that get a dot.
const MOST_DOTS: usize = 40;

/// The pictures of a series.
///
/// # Errors
/// A sentence when a picture has no shape, which is our fault.
pub fn series(keys: &[Span], rows: &[VaryRow], units: Units) -> Result<Vec<Picture>, String> {
    let drawn = match keys {
        [key] => vec![("vary.svg", stacked(&curves(key, rows, units)))],
        [first, second] => grids((first, second), rows, units),
        _ => Vec::new(),
    };
    drawn
        .into_iter()
        .map(|(name, svg)| Ok((name.to_owned(), svg.map_err(|e| e.to_string())?)))
        .collect()
}

fn curves(key: &Span, rows: &[VaryRow], units: Units) -> Vec<Chart> {
    let x = || {
        let ends = (key.from.min(key.to), key.from.max(key.to));
        axis(&key.key, &key.unit, ends)
    };
    let over = |of: &dyn Fn(&VaryRow) -> f64| -> Vec<(f64, f64)> {
        let mut points: Vec<(f64, f64)> = rows.iter().map(|r| (r.values[0], of(r))).collect();
        points.sort_by(|a, b| a.0.total_cmp(&b.0));
        points
    };
    let depth = |um: f64| Kind::Depth.shown(um, units);
    let mean = over(&|r| depth(r.removal.interior_mean_um));
    let deepest = over(&|r| depth(r.removal.max_um));
    let uneven = over(&|r| 100.0 * r.removal.interior_cv);
    let top = |points: &[(f64, f64)]| above(points.iter().map(|p| p.1).fold(0.0, f64::max));
    let range = band(rows, |r| {
        let ends = (r.removal.interior_lower_um, r.removal.interior_upper_um);
        (depth(ends.0), depth(ends.1))
    });
    let upper = range.iter().flat_map(|b| &b.points).map(|p| p.2);
    let most = upper.fold(top(&deepest), f64::max);
    let caption = if range.is_empty() {
        ""
    } else {
        "Soft band: the mean over the range of the cut rate, known by class only."
    };
    let removal = Chart {
        bands: range,
        caption: caption.to_owned(),
        ..plain_chart(
            "Taken off",
            x(),
            axis("Taken off", Kind::Depth.sign(units), (0.0, most)),
            vec![
                line("mean", mean, Dash::Solid),
                line("deepest", deepest, Dash::Dotted),
            ],
        )
    };
    let uneven = plain_chart(
        "Unevenness",
        x(),
        axis("Deviation over mean", "%", (0.0, top(&uneven))),
        vec![line("", uneven, Dash::Solid)],
    );
    let mut charts = vec![removal, peak(x(), rows, units)];
    // A pad that stands still has no unevenness of its path.
    if rows.iter().any(|row| row.path_m > 0.0) {
        charts.push(uneven);
    }
    charts
        .into_iter()
        .map(|chart| Chart {
            height_px: EACH_PX,
            ..chart
        })
        .collect()
}

/// The range of a number known by class, as a soft band; empty without one.
fn band(rows: &[VaryRow], ends: impl Fn(&VaryRow) -> (f64, f64)) -> Vec<Band> {
    let mut points: Vec<(f64, f64, f64)> = rows
        .iter()
        .map(|row| (row.values[0], ends(row).0, ends(row).1))
        .collect();
    if points.iter().all(|(_, low, high)| high <= low) {
        return Vec::new();
    }
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    vec![Band { points }]
}

fn line(name: &str, points: Vec<(f64, f64)>, dash: Dash) -> Series {
    Series {
        name: name.to_owned(),
        has_dots: points.len() <= MOST_DOTS && dash == Dash::Solid,
        points,
        dash,
    }
}

/// Hottest surface; as a soft band the range of the friction share, or the
/// stated error where it was given as a number.
fn peak(x: Axis, rows: &[VaryRow], units: Units) -> Chart {
    let shown = |c: f64| Kind::Temperature.shown(c, units);
    let is_ranged = |r: &VaryRow| r.heat.peak_rise_upper_k > r.heat.peak_rise_lower_k;
    let ends_c = |r: &VaryRow| {
        let (peak_c, start_c) = (r.heat.peak_c, r.heat.peak_c - r.heat.peak_rise_k);
        match (r.heat.peak_rise_lower_k, r.heat.peak_rise_upper_k) {
            (Some(lower), Some(upper)) if upper > lower => (start_c + lower, start_c + upper),
            _ => {
                let error_k = r.heat.peak_error_k.unwrap_or(0.0);
                (peak_c - error_k, peak_c + error_k)
            }
        }
    };
    let coolest_c = rows
        .iter()
        .map(|r| ends_c(r).0)
        .fold(f64::INFINITY, f64::min);
    let warmest_c = rows
        .iter()
        .map(|r| ends_c(r).1)
        .fold(f64::NEG_INFINITY, f64::max);
    let (low_c, high_c) = tens(coolest_c - 1.0, warmest_c + 1.0, units);
    let walls = WALLS_C.iter().filter(|(at, _)| *at < high_c && *at > low_c);
    let mut points: Vec<(f64, f64)> = rows
        .iter()
        .map(|r| (r.values[0], shown(r.heat.peak_c)))
        .collect();
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    let caption = if rows.iter().any(is_ranged) {
        "Soft band: the range of the friction share, known by class only."
    } else {
        "Soft band: the error of reckoning."
    };
    Chart {
        caption: caption.to_owned(),
        bands: band(rows, |r| (shown(ends_c(r).0), shown(ends_c(r).1))),
        y_walls: walls
            .map(|(at, label)| Wall {
                at: shown(*at),
                label: (*label).to_owned(),
            })
            .collect(),
        ..plain_chart(
            "Hottest surface",
            x,
            axis(
                "Surface",
                Kind::Temperature.sign(units),
                (shown(low_c), shown(high_c)),
            ),
            vec![line("", points, Dash::Solid)],
        )
    }
}

/// Charts one below the other as one picture.
fn stacked(charts: &[Chart]) -> Result<String, FigureError> {
    let mut body = String::new();
    let mut top_px = 0.0;
    for one in charts {
        let svg = chart(one)?;
        let placed = svg.replacen("<svg ", &format!("<svg y=\"{top_px}\" "), 1);
        body.push_str(&placed);
        top_px += one.height_px + 30.0;
    }
    Ok(format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{CHART_PX}\" height=\"{top_px}\" viewBox=\"0 0 {CHART_PX} {top_px}\">\n{body}</svg>\n"
    ))
}

fn grids(
    (first, second): (&Span, &Span),
    rows: &[VaryRow],
    units: Units,
) -> Vec<(&'static str, Result<String, FigureError>)> {
    let named = |key: &Span| {
        if key.unit.is_empty() {
            key.key.clone()
        } else {
            format!("{}, {}", key.key, key.unit)
        }
    };
    let labels = |key: &Span| -> Vec<String> {
        (0..key.count)
            .map(|i| short_number(key.written(i).split(' ').next().unwrap_or("")))
            .collect()
    };
    let (x_labels, y_labels) = (labels(second), labels(first));
    let (x_name, y_name) = (named(second), named(first));
    let walls = WALLS_C.map(|(at, label)| Wall {
        at,
        label: label.to_owned(),
    });
    let bare = ValueGrid {
        title: "",
        caption: "",
        x_name: &x_name,
        x_labels: &x_labels,
        y_name: &y_name,
        y_labels: &y_labels,
        values: &[],
        scale: None,
        walls: &[],
        units: picture_units(units),
        decimals: 1,
        theme: Theme::PRINT,
        width_px: CHART_PX,
    };
    three_grids(&bare, rows, &walls)
}

/// Removal, heat and unevenness on the same rows and columns.
fn three_grids(
    bare: &ValueGrid<'_>,
    rows: &[VaryRow],
    walls: &[Wall],
) -> Vec<(&'static str, Result<String, FigureError>)> {
    let values = |of: fn(&VaryRow) -> f64| -> Vec<f64> { rows.iter().map(of).collect() };
    let removal = values(|r| r.removal.interior_mean_um);
    let heat = values(|r| r.heat.peak_c);
    let uneven = values(|r| 100.0 * r.removal.interior_cv);
    let most_um = removal.iter().copied().fold(0.0, f64::max);
    let ends_c = heat.iter().fold((20.0_f64, 20.0_f64), |(low, high), c| {
        (low.min(*c), high.max(*c))
    });
    let is_metric = bare.units == crate::figure::Units::Metric;
    let removal = ValueGrid {
        title: if is_metric {
            "Takes off, µm"
        } else {
            "Takes off, mil"
        },
        values: &removal,
        scale: Some(Scale::removal_in(most_um, bare.units)),
        decimals: if is_metric { 2 } else { 3 },
        ..bare.clone()
    };
    let heat = ValueGrid {
        title: if is_metric {
            "Hottest surface, °C"
        } else {
            "Hottest surface, °F"
        },
        values: &heat,
        scale: Some(Scale::temperature_of(ends_c, bare.units)),
        walls,
        decimals: 0,
        ..bare.clone()
    };
    let uneven = ValueGrid {
        title: "Unevenness, %",
        values: &uneven,
        ..bare.clone()
    };
    let mut grids = vec![
        ("vary-removal.svg", value_grid(&removal)),
        ("vary-heat.svg", value_grid(&heat)),
    ];
    if rows.iter().any(|row| row.path_m > 0.0) {
        grids.push(("vary-unevenness.svg", value_grid(&uneven)));
    }
    grids
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::figure::svg::reading::assert_well_formed;
    use lapwing_job::bench::HeatWatch;
    use lapwing_job::bench::vary::{points, read_span, vary};

    const SETUP: &str = "[panel]\nsize = [\"0.3 m\", \"0.3 m\"]\n\
        [machine]\nkind = \"rotary\"\nspeed = \"1500 rpm\"\n[pad]\ndiameter = \"125 mm\"\n\
        [touch]\nforce = \"40 N\"\n[stroke]\npattern = \"still\"\nduration = \"5 s\"\n[heat]\ndetail = \"quick\"\n";

    fn drawn(spans: &[&str]) -> Vec<Picture> {
        let keys: Vec<Span> = spans.iter().map(|s| read_span(s).expect("good")).collect();
        let points = points("s.toml", SETUP, &|_| Err(String::new()), &keys).expect("good");
        let rows = vary(&points, HeatWatch::default()).expect("works");
        series(&keys, &rows, Units::Metric).expect("drawn")
    }

    #[test]
    fn one_key_gives_charts_on_one_page_and_two_keys_grids() {
        // Downward values are drawn from left to right all the same.
        let curves = drawn(&["touch.force=60N..20N/3"]);
        assert_eq!(curves.len(), 1);
        assert_well_formed(&curves[0].1);
        // The pad stands still: removal and heat, nothing to be uneven.
        assert_eq!(curves[0].1.matches("<svg ").count(), 3);
        let grids = drawn(&["touch.force=20N..60N/3", "stroke.duration=1s..5s/2"]);
        let names: Vec<&str> = grids.iter().map(|(name, _)| name.as_str()).collect();
        assert_eq!(names, ["vary-removal.svg", "vary-heat.svg"]);
        grids.iter().for_each(|(_, svg)| assert_well_formed(svg));
    }
}
