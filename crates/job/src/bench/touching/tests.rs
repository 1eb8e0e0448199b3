//! What touches the paint, reached through setup files.

mod refusals;

use crate::bench::finish::Finish;
use crate::bench::{BenchResult, HeatWatch, bench, read_setup};
use proptest::prelude::*;

/// A setup in pieces; every table may get more keys.
#[derive(Clone, Copy, Default)]
struct Keys<'a> {
    panel: &'a str,
    machine: &'a str,
    pad: &'a str,
    touch: &'a str,
    abrasive: &'a str,
    stroke: &'a str,
    more: &'a str,
}

impl Keys<'_> {
    fn text(&self) -> String {
        let machine = if self.machine.is_empty() {
            "kind = \"rotary\"\nspeed = \"1500 rpm\""
        } else {
            self.machine
        };
        let stroke = if self.stroke.is_empty() {
            "pattern = \"parallel\"\narm_speed = \"100 mm/s\""
        } else {
            self.stroke
        };
        format!(
            "[panel]\nsize = [\"0.5 m\", \"0.4 m\"]\nin_plane = \"insulated\"\nconvection_outside = \"10 W/m2K\"\n\
             convection_inside = \"5 W/m2K\"\n{}\n[machine]\n{machine}\n[pad]\ndiameter = \"125 mm\"\n{}\n\
             [touch]\nforce = \"40 N\"\n{}\n[abrasive]\n{}\n[stroke]\n{stroke}\n[heat]\ndetail = \"quick\"\n{}\n",
            self.panel, self.pad, self.touch, self.abrasive, self.more
        )
    }

    fn worked(&self) -> BenchResult {
        let setup = read_setup("s.toml", &self.text(), &|_| Err(String::new())).expect("a setup");
        bench(&setup, HeatWatch::default()).expect("it works")
    }

    fn refused(&self) -> String {
        match read_setup("s.toml", &self.text(), &|_| Err(String::new())) {
            Err(error) => error.to_string(),
            Ok(setup) => bench(&setup, HeatWatch::default())
                .map(|_| ())
                .expect_err("refused")
                .to_string(),
        }
    }
}

fn near(came: f64, expected: f64, share: f64) {
    assert!(
        (came - expected).abs() <= share * expected.abs(),
        "{came} is not {expected} to {share}"
    );
}

#[test]
fn centre_to_rim_at_a_free_edge_presses_twice_as_hard_and_shows_in_film_and_heat() {
    let stroke = "pattern = \"parallel\"\narm_speed = \"50 mm/s\"\nmargin = \"centre-to-rim\"\nalong = \"x\"";
    let goes_on = Keys {
        stroke,
        ..Keys::default()
    }
    .worked();
    let ends = Keys {
        stroke,
        panel: "free_edges = [\"far\", \"near\"]",
        ..Keys::default()
    }
    .worked();
    near(ends.pressure.max_kpa, 2.0 * goes_on.pressure.max_kpa, 1e-6);
    near(ends.pressure.contact_frac, 0.5, 1e-6);
    // The line along the edge leaves there what it would leave beside it.
    assert!(ends.removal.mean_um > 1.1 * goes_on.removal.mean_um);
    assert!(ends.heat.energy_in_j > 1.1 * goes_on.heat.energy_in_j);
    assert!(ends.heat.peak_c > goes_on.heat.peak_c);
    assert!(ends.along_path.len() > 2 && goes_on.along_path.len() == 1);
    assert!(ends.cautions.iter().any(|c| c.text.contains("hangs over")));
    // Half a pad with all the force rubs 40 N · mean speed, as a whole one does.
    let half = |place: f64| {
        let at = ends.profile_along("y");
        at.iter().find(|(y, _)| *y > place).map_or(0.0, |p| p.1)
    };
    assert!(half(0.39) > 1.3 * half(0.2));
}

#[test]
fn a_body_line_is_cut_deeper_where_it_lies() {
    let stroke = "pattern = \"parallel\"\narm_speed = \"100 mm/s\"";
    let plain = Keys {
        stroke,
        ..Keys::default()
    }
    .worked();
    let creased = Keys {
        stroke,
        panel: "[[panel.crease]]\nalong = \"y\"\nat = \"0.25 m\"\nradius = \"5 mm\"\nfold = \"12 deg\"",
        ..Keys::default()
    }
    .worked();
    assert!(creased.pressure.max_kpa > 1.5 * plain.pressure.max_kpa);
    assert!((creased.pressure.x_m - 0.25).abs() < 0.004);
    let along = creased.profile_along("x");
    let at = |x: f64| {
        along
            .iter()
            .find(|(place, _)| *place >= x)
            .map_or(0.0, |p| p.1)
    };
    assert!(at(0.249) > 1.2 * at(0.12), "{} {}", at(0.249), at(0.12));
    // Force and speed are the same, so the whole section loses about as much.
    near(creased.removal.mean_um, plain.removal.mean_um, 0.03);
    assert!(creased.heat.peak_c >= plain.heat.peak_c);
}

#[test]
fn a_doubly_curved_panel_touches_as_a_paraboloid() {
    // Same radius both ways: F = π·K·ρ·d², peak K·d, contact 2ρd/R² (Winkler bed).
    let r = Keys {
        panel: "radius = [\"0.2 m\", \"0.2 m\"]",
        pad: "stiffness = \"50 kPa\"\nthickness = \"25 mm\"",
        ..Keys::default()
    }
    .worked();
    let modulus = 50e3 / 0.025;
    let depth_m = (40.0 / (std::f64::consts::PI * modulus * 0.2)).sqrt();
    near(r.pressure.max_kpa, modulus * depth_m / 1e3, 1e-3);
    near(
        r.pressure.contact_frac,
        2.0 * 0.2 * depth_m / 0.0625_f64.powi(2),
        5e-3,
    );
    // One way only: a cylinder of radius ρ, contact half width a = √(2ρd).
    let single = Keys {
        panel: "radius = [\"0.2 m\", \"flat\"]",
        ..Keys::default()
    }
    .worked();
    assert!(single.pressure.contact_frac > r.pressure.contact_frac);
    assert!(single.pressure.max_kpa < r.pressure.max_kpa);
}

#[test]
fn a_pad_class_gives_a_range_of_pressures_where_stiffness_counts() {
    let curved = "radius = [\"0.5 m\", \"0.5 m\"]";
    let of = |pad| {
        Keys {
            panel: curved,
            pad,
            ..Keys::default()
        }
        .worked()
        .pressure
    };
    let known = of("stiffness = \"50 kPa\"");
    assert_eq!(
        (known.max_lower_kpa, known.max_upper_kpa),
        (known.max_kpa, known.max_kpa)
    );
    let class = of("class = \"foam-polishing\"");
    assert!(class.max_lower_kpa < class.max_kpa && class.max_kpa < class.max_upper_kpa);
    assert!(of("class = \"foam-cutting\"").max_kpa > class.max_kpa);
    let level = Keys {
        pad: "class = \"foam-cutting\"",
        ..Keys::default()
    }
    .worked()
    .pressure;
    near(level.max_upper_kpa, level.max_lower_kpa, 1e-9);
}

#[test]
fn a_diminishing_abrasive_takes_off_what_the_integral_says_and_a_fresh_charge_more() {
    let of = |abrasive: &str| {
        Keys {
            abrasive,
            stroke: "pattern = \"cross-hatch\"\npasses = 2\narm_speed = \"50 mm/s\"",
            ..Keys::default()
        }
        .worked()
    };
    let constant = of("cut_rate = \"4e-12 1/Pa\"");
    let work_kj = constant.abrasive.work_per_charge_j / 1e3;
    let with = |extra: &str| {
        let text = format!(
            "cut_rate = \"4e-12 1/Pa\"\nfloor_share = 0.3\nbreakdown_work = \"{} kJ\"\n{extra}",
            work_kj / 2.0
        );
        of(&text)
    };
    // W = 2·w0: .6026 of the fresh cut (printed mean of the exponential); two
    // charges of w0 each: .7425.
    let (once, twice) = (with(""), with("charges = 2"));
    near(
        once.removal.mean_um,
        0.6026 * constant.removal.mean_um,
        1e-4,
    );
    near(
        twice.removal.mean_um,
        0.7425 * constant.removal.mean_um,
        1e-4,
    );
    near(once.abrasive.mean_cut_rate_per_pa, 0.6026 * 4e-12, 1e-4);
    // Work heats the panel whether it cuts or not.
    near(once.heat.energy_in_j, constant.heat.energy_in_j, 1e-6);
}

#[test]
fn a_loaded_pad_cuts_less_and_runs_hotter() {
    let of = |pad| {
        Keys {
            pad,
            abrasive: "cut_rate = \"4e-12 1/Pa\"\nfriction_share = 0.3",
            ..Keys::default()
        }
        .worked()
    };
    let clean = of("");
    let loaded = of(
        "sections_since_clean = 4\ncut_loss_per_section = 0.1\nfriction_gain_per_section = 0.05",
    );
    near(
        loaded.removal.mean_um,
        0.9_f64.powi(4) * clean.removal.mean_um,
        1e-9,
    );
    near(
        loaded.heat.energy_in_j,
        1.05_f64.powi(4) * clean.heat.energy_in_j,
        1e-6,
    );
    assert!(loaded.heat.peak_rise_k > clean.heat.peak_rise_k);
    near(loaded.abrasive.loaded_cut_frac, 0.6561, 1e-12);
    let usual = of("sections_since_clean = 4");
    assert!(
        usual
            .provenance
            .iter()
            .any(|o| o.key == "pad.cut_loss_per_section" && o.provenance.word() == "assumed")
    );
}

#[test]
fn a_one_way_rotary_risks_holograms_and_crossing_or_an_orbit_does_not() {
    let of = |machine, stroke| {
        Keys {
            machine,
            stroke,
            ..Keys::default()
        }
        .worked()
        .finish
    };
    let one_way = of(
        "",
        "pattern = \"line\"\narm_speed = \"50 mm/s\"\nmargin = \"pad-inside\"",
    );
    let crossed = of(
        "",
        "pattern = \"cross-hatch\"\narm_speed = \"50 mm/s\"\npasses = 2",
    );
    let orbit = of(
        "kind = \"random-orbital\"\nspeed = \"4500 opm\"\norbit = \"15 mm\"\nspin = \"0 rpm\"",
        "pattern = \"parallel\"\narm_speed = \"50 mm/s\"",
    );
    let risk = |finish: &Finish| finish.hologram_risk_frac.expect("stated");
    assert!(risk(&one_way) > risk(&crossed));
    assert!(risk(&crossed) > 3.0 * risk(&orbit));
    let worst = one_way.hologram_worst_frac.expect("stated");
    assert!(worst > 0.95, "{worst}");
    assert!(risk(&orbit) < 0.05, "{}", risk(&orbit));
}

#[test]
fn a_rougher_abrasive_leaves_less_gloss_and_the_range_holds_the_value() {
    let of = |abrasive| {
        Keys {
            abrasive,
            ..Keys::default()
        }
        .worked()
        .finish
    };
    let (fine, heavy) = (of("cut_rate = \"finishing\""), of("cut_rate = \"heavy\""));
    assert!(heavy.roughness_nm > fine.roughness_nm && heavy.gloss_20_gu < fine.gloss_20_gu);
    for finish in [&fine, &heavy] {
        assert!(finish.gloss_20_lower_gu.is_some());
        assert!(finish.gloss_20_lower_gu < finish.gloss_20_gu);
        assert!(finish.gloss_20_gu < finish.gloss_20_upper_gu);
    }
    assert!(fine.haze_hu.is_some_and(|haze| haze > 7.0));
    let marks: Vec<&str> = fine
        .provenance
        .iter()
        .map(|o| o.provenance.word())
        .collect();
    assert!(
        marks.contains(&"sourced")
            && marks.contains(&"assumed")
            && marks.contains(&"common practice")
    );
}

#[test]
fn turning_the_other_way_swaps_the_deeper_side_of_a_line() {
    let of = |turns: &str| {
        let machine = format!("kind = \"rotary\"\nspeed = \"1500 rpm\"\nturns = \"{turns}\"");
        Keys {
            machine: &machine,
            stroke: "pattern = \"line\"\narm_speed = \"25.4 mm/s\"",
            abrasive: "cut_rate = \"1e-12 1/Pa\"",
            more: "[[probe]]\nx = \"0.25 m\"\ny = \"0.23125 m\"\n[[probe]]\nx = \"0.25 m\"\ny = \"0.16875 m\"",
            ..Keys::default()
        }
        .worked()
    };
    // R4: 93.84729 and 94.38387 nm half a radius beside the line.
    let (here, there) = (of("anticlockwise"), of("clockwise"));
    near(here.probes[0].removal_um, 0.093_847_29, 1e-7);
    near(here.probes[1].removal_um, 0.094_383_87, 1e-7);
    near(there.probes[0].removal_um, here.probes[1].removal_um, 1e-9);
    // The map shows it as well: the two sides differ by the same 0.57 %.
    let profile = here.profile_along("y");
    let at = |y: f64| {
        profile
            .iter()
            .min_by(|a, b| (a.0 - y).abs().total_cmp(&(b.0 - y).abs()))
            .map_or(0.0, |p| p.1)
    };
    near(at(0.16875) / at(0.23125), 94.383_87 / 93.847_29, 3e-4);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(6))]

    #[test]
    fn more_force_or_more_speed_never_removes_less(force in 5.0_f64..80.0, rpm in 300.0_f64..2000.0, more in 1.0_f64..2.0, e in 0.0_f64..0.8) {
        let of = |force: f64, rpm: f64| {
            let machine = format!("kind = \"rotary\"\nspeed = \"{rpm} rpm\"");
            let touch = format!("eccentricity = {e}");
            let text = Keys { machine: &machine, touch: &touch, ..Keys::default() }
                .text()
                .replace("\"40 N\"", &format!("\"{force} N\""));
            let setup = read_setup("s.toml", &text, &|_| Err(String::new())).expect("a setup");
            bench(&setup, HeatWatch::default()).expect("it works").removal
        };
        let base = of(force, rpm);
        for other in [of(force * more, rpm), of(force, rpm * more)] {
            prop_assert!(other.mean_um >= base.mean_um * (1.0 - 1e-9));
            prop_assert!(other.interior_min_um >= base.interior_min_um * (1.0 - 2e-3));
        }
    }

    #[test]
    fn a_mirrored_setup_gives_a_mirrored_map(e in 0.05_f64..0.8, direction in 0.0_f64..90.0) {
        let of = |direction: f64, turns: &str, side: &str, at: &str| {
            let machine = format!("kind = \"rotary\"\nspeed = \"1500 rpm\"\nturns = \"{turns}\"");
            let touch = format!("eccentricity = {e}\ndirection = \"{direction} deg\"");
            let panel = format!("free_edges = [\"{side}\"]\n[[panel.crease]]\nalong = \"y\"\nat = \"{at}\"\nradius = \"20 mm\"\nfold = \"2 deg\"");
            Keys {
                machine: &machine,
                touch: &touch,
                panel: &panel,
                stroke: "pattern = \"line\"\nalong = \"y\"\narm_speed = \"100 mm/s\"",
                ..Keys::default()
            }
            .worked()
        };
        let here = of(direction, "anticlockwise", "left", "0.2 m");
        let there = of(180.0 - direction, "clockwise", "right", "0.3 m");
        let columns = here.maps.removal_cells.0;
        let most = here.removal.max_um;
        for (row, mirrored) in here.maps.removal_um.chunks(columns).zip(there.maps.removal_um.chunks(columns)) {
            for (a, b) in row.iter().zip(mirrored.iter().rev()) {
                prop_assert!((a - b).abs() < 1e-5 * most, "{a} {b}");
            }
        }
        prop_assert!((here.removal.max_um - there.removal.max_um).abs() < 1e-4 * most);
    }
}
