//! Times the film map: likelihood with slope and prediction on one thread, a
//! car, and a panel with very many readings.
//!
//! The readings are made by a rule that `benches/field_sklearn.py` follows to
//! the letter, so that scikit-learn answers the same question.
//! Run: `cargo run --release -p lapwing-job --example field_reference`; with
//! `whole` it only maps and budgets the car of 20 panels with 400 readings.

#![allow(
    clippy::disallowed_methods,
    reason = "a benchmark has to read the clock and what the system counted"
)]

use std::time::Instant;

use lapwing_job::budget::budget;
use lapwing_job::inspect::inspect;
use lapwing_job::inspect::map::{PanelMap, Size, film_maps};
use lapwing_job::inspect::next_reading::next_readings;
use lapwing_job::record::job::{Defects, Paint, Panel, Rules, Substrate};
use lapwing_job::record::{Place, Reading, Readings, Zone};
use lapwing_measure::quantity::Length;
use lapwing_measure::statistics::field::{
    Kernel, Lattice, Level, Likelihood, Observations, Process, Repeated, Shape, Site,
};
use uom::si::length::{micrometer, millimeter};

const WIDE_MM: f64 = 1420.0;
const TALL_MM: f64 = 1250.0;

/// As in the film map.
const FILLED_WITHIN_UM: f64 = 0.002;

fn main() {
    if std::env::args().nth(1).is_some_and(|word| word == "whole") {
        car(20, 400);
        return;
    }
    for count in [20, 100, 200, 400] {
        kernel_work(count);
    }
    for (panels, each) in [(20, 20), (20, 400), (1, 2000), (1, 20_000)] {
        car(panels, each);
    }
}

/// Places and films by a fixed rule.
fn made(count: u32) -> (Vec<Site>, Vec<f64>) {
    let mix = |k: u32| f64::from(k.wrapping_mul(2_654_435_761)) / 4_294_967_296.0;
    let sites: Vec<Site> = (0..count)
        .map(|k| [mix(2 * k + 1) * WIDE_MM, mix(3 * k + 500_009) * TALL_MM])
        .collect();
    let films = sites.iter().zip(0..count).map(|([u, v], k)| {
        115.0 + 4.0 * (u / 210.0).sin() + 3.0 * (v / 160.0).cos() + 2.0 * (mix(7 * k + 11) - 0.5)
    });
    let films = films.collect();
    (sites, films)
}

/// Mean processor time of a deed, seconds, looked at after every `many`; other
/// work on the machine hardly moves it.
fn timed(many: f64, mut deed: impl FnMut()) -> f64 {
    deed();
    let (start, used_s) = (Instant::now(), processor_s());
    let mut turns = 0.0;
    while processor_s() - used_s < 0.5 && start.elapsed().as_secs_f64() < 20.0 {
        let mut left = many;
        while left > 0.5 {
            deed();
            left -= 1.0;
        }
        turns += many;
    }
    (processor_s() - used_s) / turns
}

/// Processor time of all threads so far, in the system's hundredths of a second.
fn processor_s() -> f64 {
    let text = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    let after_name = text.rsplit(')').next().unwrap_or("");
    let ticks = |place: usize| {
        let word = after_name.split_whitespace().nth(place);
        word.and_then(|t| t.parse::<f64>().ok()).unwrap_or(f64::NAN)
    };
    0.01 * (ticks(11) + ticks(12))
}

fn kernel_work(count: u32) {
    let (sites, films) = made(count);
    let off: Vec<f64> = films.iter().map(|um| um - 115.0).collect();
    let repeats = vec![1.0; films.len()];
    let kernel = Kernel::isotropic(Shape::Matern32, 4.0, 450.0);
    let seen = Repeated {
        sites: &sites,
        values: &off,
        repeats: &repeats,
        level: Level::Known(0.0),
    };
    let mut known = Likelihood::of(seen);
    let (likelihood, _) = known.at(kernel, 1.0).expect("a kernel");
    let slope_s = timed(8.0, || {
        let _ = known.at(kernel, 1.0);
    });
    let cells: Vec<Site> = (0..10_000_u32)
        .map(|k| {
            [
                f64::from(k % 100) * 14.0 + 10.0,
                f64::from(k / 100) * 12.0 + 10.0,
            ]
        })
        .collect();
    let mut sum = 0.0;
    let predict_s = timed(2.0, || {
        let field = Process::condition(
            kernel,
            Level::Known(0.0),
            Observations {
                sites: &sites,
                values: &off,
                noise_variances: &repeats,
            },
        )
        .expect("a field");
        let found = field.predict_all(&cells);
        sum = found.iter().map(|p| p.mean + p.sd).sum();
    });
    let (map_s, map_sum, off_um) = map_work(&kernel, &sites, &off);
    println!(
        "ours {count} {likelihood:.12e} {sum:.12e} {slope_s:.3e} {predict_s:.3e} \
         {map_sum:.12e} {map_s:.3e} {off_um:.1e}"
    );
}

/// The whole panel at 5 mm: time, sum of means and deviations, and by how much
/// a cell that was filled in is off at most.
fn map_work(kernel: &Kernel, sites: &[Site], off: &[f64]) -> (f64, f64, f64) {
    let lattice = Lattice {
        first: [2.5, 2.5],
        step: 5.0,
        columns: 284,
        rows: 250,
    };
    let noises = vec![1.0; off.len()];
    let field = || {
        let seen = Observations {
            sites,
            values: off,
            noise_variances: &noises,
        };
        Process::condition(*kernel, Level::Known(0.0), seen).expect("a field")
    };
    let mut found = Vec::new();
    let map_s = timed(1.0, || {
        let field = field();
        found = lattice.fill(FILLED_WITHIN_UM, |sites| field.predict_all(sites));
    });
    let cells: Vec<Site> = (0..71_000_u32)
        .map(|k| {
            [
                f64::from(k % 284) * 5.0 + 2.5,
                f64::from(k / 284) * 5.0 + 2.5,
            ]
        })
        .collect();
    let exact = field().predict_all(&cells);
    let pairs = exact.iter().zip(&found);
    let off_um = pairs.fold(0.0_f64, |most, (a, b)| {
        most.max((a.mean - b.mean).abs()).max((a.sd - b.sd).abs())
    });
    (map_s, found.iter().map(|p| p.mean + p.sd).sum(), off_um)
}

fn car(panels: u32, each: u32) {
    let (sites, films) = made(panels * each);
    let name = |k: u32| format!("panel-{k}");
    let readings = sites
        .iter()
        .zip(&films)
        .zip(0..panels * each)
        .map(|((at, um), k)| Reading {
            panel: name(k % panels),
            film_um: *um,
            u_mm: Some(at[0]),
            v_mm: Some(at[1]),
            spot: None,
            repeat: None,
            operator: None,
            place: Place::Field,
            line: 2,
        });
    let readings = Readings {
        readings: readings.collect(),
        ..Readings::default()
    };
    let mm = Length::new::<millimeter>;
    let sizes: Vec<(String, Size)> = (0..panels)
        .map(|k| (name(k), Size::Measured(mm(WIDE_MM), mm(TALL_MM))))
        .collect();
    let rules = Rules::default();
    let (start, used_s) = (Instant::now(), processor_s());
    let mut film = inspect(&readings);
    let maps = film_maps(&readings, &mut film, &sizes, 0.95);
    let mapped_s = start.elapsed().as_secs_f64();
    let least_um = film
        .panels
        .iter()
        .filter_map(|one| {
            budget(
                &bare(&one.name),
                Some(one),
                film.gauge_repeatability_um,
                &rules,
            )
            .budget_um
        })
        .fold(f64::INFINITY, f64::min);
    let budgeted_s = start.elapsed().as_secs_f64();
    if (panels, each) == (20, 400) {
        first_panel(&maps);
    }
    let advice = next_readings(&maps, &|_| Some(100.0), 0.95);
    println!(
        "car {panels} {each} {mapped_s:.3} {budgeted_s:.3} {:.3} {:.2} (least budget {least_um:.1} um, {} next readings)",
        start.elapsed().as_secs_f64(),
        processor_s() - used_s,
        advice.readings.len()
    );
}

/// Every thousandth cell of the first panel, to be held against scikit-learn's.
fn first_panel(maps: &[PanelMap]) {
    let drawn = maps.iter().find_map(|map| match map {
        PanelMap::Drawn(map) if map.panel == "panel-0" => Some(map),
        _ => None,
    });
    let Some(map) = drawn else { return };
    for cell in (500..map.grid.cells()).step_by(1000) {
        let [u, v] = map.grid.middle_mm(cell);
        let (film_um, sd_um) = (map.face_um[cell], map.face_sd_um[cell]);
        println!("cell {cell} {u:.3} {v:.3} {film_um:.6} {sd_um:.6}");
    }
}

fn bare(name: &str) -> Panel {
    Panel {
        name: name.to_owned(),
        substrate: Substrate::Steel,
        size: None,
        paint: Paint::BaseClear,
        defects: Defects::WashSwirls,
        removed_before: Length::new::<micrometer>(0.0),
        removed_before_sd: Length::new::<micrometer>(0.0),
        zone: Zone::C,
        is_repainted: false,
        looks_repainted: false,
        said: None,
        outline_mm: Vec::new(),
    }
}
