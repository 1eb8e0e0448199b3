//! Setups fed nonsense: each refusal names the key, what came and what is allowed.

use super::read_setup;

const GOOD: &str = r#"[panel]
size = ["0.61 m", "0.61 m"]
substrate = "steel"
[machine]
kind = "rotary"
speed = "1500 rpm"
[pad]
diameter = "125 mm"
[touch]
force = "40 N"
eccentricity = 0.0
[abrasive]
cut_rate = "4e-12 1/Pa"
friction_share = 0.3
[stroke]
pattern = "cross-hatch"
arm_speed = "1 in/s"
overlap = 0.5
passes = 4
"#;

fn refused(from: &str, to: &str, expected: &[&str]) {
    let text = GOOD.replace(from, to);
    assert_ne!(text, GOOD, "{from} is in the setup");
    let way = |_: &str| Ok("x_m,y_m,t_s\n0.3,0.3,0\n0.9,0.3,10\n".to_owned());
    let error = read_setup("s.toml", &text, &way)
        .expect_err("refused")
        .to_string();
    for part in expected {
        assert!(error.contains(part), "{error}\nmisses {part}");
    }
}

#[test]
fn the_contracts_setup_reads_and_marks_what_was_left_out() {
    let setup = read_setup("s.toml", GOOD, &|_| Err(String::new())).expect("reads");
    assert!(setup.panel.is_wide);
    assert!(
        setup
            .origins
            .iter()
            .any(|o| o.key == "pad.stiffness" && o.provenance.word() == "assumed")
    );
}

#[test]
fn a_rotary_given_an_orbit_is_a_caution_and_not_an_error() {
    let text = GOOD.replace(
        "speed = \"1500 rpm\"",
        "speed = \"1500 rpm\"\norbit = \"15 mm\"\nspin = \"300 rpm\"",
    );
    let setup = read_setup("s.toml", &text, &|_| Err(String::new())).expect("reads");
    assert_eq!(setup.cautions.len(), 2);
}

#[test]
fn a_direction_in_which_nothing_leans_is_said() {
    let said = |keys: &str| {
        let text = GOOD.replace("eccentricity = 0.0", keys);
        let setup = read_setup("s.toml", &text, &|_| Err(String::new())).expect("reads");
        setup
            .cautions
            .iter()
            .map(|c| c.place.clone())
            .collect::<Vec<_>>()
    };
    let both = "direction = \"90 deg\"\ndirection_from = \"travel\"";
    assert_eq!(said(both), ["touch.direction", "touch.direction_from"]);
    assert!(said("direction = \"90 deg\"\ntilt = \"1 deg\"").is_empty());
}

#[test]
fn a_probe_under_the_panel_and_a_layer_that_conducts_nothing_are_refused_with_reasons() {
    refused(
        "passes = 4",
        "passes = 4\n[[probe]]\nx = \"1 mm\"\ny = \"1 mm\"\ndepth = \"3 mm\"",
        &["probe.depth is \"3 mm\"", "0 to 815 µm, because"],
    );
    refused(
        "substrate = \"steel\"",
        "layers = [{ name = \"clear\", conductivity = \"0 W/mK\" }, { name = \"steel\" }]",
        &[
            "panel.layers, layer \"clear\", conductivity is \"0 W/mK\"",
            "0.005 to 3000 W/mK, because",
        ],
    );
}

#[test]
fn numbers_out_of_range_name_key_value_and_range() {
    refused(
        "\"40 N\"",
        "\"0 N\"",
        &["line 10", "touch.force is \"0 N\"", "1 to 500 N", "because"],
    );
    refused(
        "\"40 N\"",
        "\"5 kN\"",
        &["touch.force is \"5 kN\"", "1 to 500 N"],
    );
    refused(
        "overlap = 0.5",
        "overlap = 1.0",
        &["stroke.overlap", "is 1", "0 to 0.95"],
    );
    refused(
        "overlap = 0.5",
        "overlap = 1.5",
        &["stroke.overlap", "is 1.5", "0 to 0.95"],
    );
    refused(
        "eccentricity = 0.0",
        "eccentricity = 1.2",
        &["touch.eccentricity", "1.2", "0 to 0.95"],
    );
    refused(
        "\"125 mm\"",
        "\"390 mm\"\nhole = \"380 mm\"",
        &["pad.hole is \"380 mm\""],
    );
    refused(
        "friction_share = 0.3",
        "friction_share = 1.3",
        &["friction_share", "1.3", "0 to 1"],
    );
    refused(
        "passes = 4",
        "passes = 0",
        &["stroke.passes is 0", "1 to 100"],
    );
    refused(
        "\"1 in/s\"",
        "\"10 m/s\"",
        &["stroke.arm_speed is \"10 m/s\"", "1 to 1000 mm/s"],
    );
    refused(
        "\"1500 rpm\"",
        "\"90000 rpm\"",
        &["machine.speed is \"90000 rpm\""],
    );
    refused(
        "\"4e-12 1/Pa\"",
        "\"1 1/Pa\"",
        &["abrasive.cut_rate is \"1 1/Pa\""],
    );
    refused(
        "\"0.61 m\", \"0.61 m\"",
        "\"0.61 m\", \"61 m\"",
        &["panel.size is \"61 m\"", "0.05 to 5 m"],
    );
}

#[test]
fn a_pad_larger_than_the_section_is_refused() {
    refused(
        "\"0.61 m\", \"0.61 m\"",
        "\"0.61 m\", \"0.1 m\"",
        &["pad.diameter is \"125 mm\"", "100 mm"],
    );
}

#[test]
fn unknown_words_and_keys_are_refused_with_a_hint() {
    refused(
        "\"rotary\"",
        "\"rotory\"",
        &[
            "machine.kind \"rotory\" is not known",
            "did you mean \"rotary\"",
            "random-orbital",
        ],
    );
    refused(
        "force = \"40 N\"",
        "forse = \"40 N\"",
        &["the key \"forse\" is not known; did you mean \"force\"?"],
    );
    refused(
        "\"4e-12 1/Pa\"",
        "\"savage\"",
        &["abrasive.cut_rate", "finishing, fine, medium, heavy"],
    );
    refused("\"40 N\"", "\"40 mm\"", &["touch.force"]);
}

#[test]
fn contradictions_are_refused() {
    refused(
        "eccentricity = 0.0",
        "eccentricity = 0.0\ntilt = \"1 deg\"",
        &["line 12", "contradict"],
    );
    refused(
        "eccentricity = 0.0",
        "tilt = \"1 deg\"\nmoment = \"0.5 N m\"",
        &["contradict"],
    );
    refused(
        "substrate = \"steel\"",
        "substrate = \"steel\"\nlayers = [{ name = \"clear\" }]",
        &["contradict"],
    );
    refused(
        "passes = 4",
        "passes = 4\nduration = \"3 s\"",
        &["stroke.duration is for pattern \"still\" only"],
    );
    refused(
        "passes = 4",
        "passes = 4\n[heat]\nstep = \"1 s\"",
        &["heat.step came without heat.cells"],
    );
}

#[test]
fn what_a_kind_or_pattern_needs_must_be_there() {
    refused(
        "\"rotary\"",
        "\"random-orbital\"",
        &["machine.orbit is missing"],
    );
    refused(
        "\"cross-hatch\"",
        "\"still\"",
        &["stroke.duration is missing"],
    );
    refused("\"cross-hatch\"", "\"path\"", &["stroke.file is missing"]);
    refused(
        "substrate = \"steel\"",
        "layers = [{ name = \"goo\", thickness = \"40 um\" }]",
        &["layer \"goo\" has no conductivity"],
    );
}

#[test]
fn a_layer_of_zero_thickness_is_refused() {
    refused(
        "substrate = \"steel\"",
        "film = [{ name = \"clear\", thickness = \"0 um\" }]",
        &[
            "layer \"clear\", thickness is \"0 um\"",
            "0.1 to 1000000 µm",
        ],
    );
    refused(
        "substrate = \"steel\"",
        "layers = []",
        &["panel.layers has 0 layers"],
    );
}

fn read_path(csv: &str) -> Result<super::Setup, String> {
    let text = GOOD.replace("\"cross-hatch\"", "\"path\"\nfile = \"way.csv\"");
    read_setup("s.toml", &text, &|_| Ok(csv.to_owned())).map_err(|e| e.to_string())
}

#[test]
fn a_path_is_read_in_the_units_of_its_first_line() {
    let tables = [
        "x_m,y_m,t_s\n0.1,0.2,0\n0.4,0.2,10\n",
        "# across\nx_mm, y_mm, t_s\n100,200,0\n# on\n400,200,10\n",
        "t (s);x [cm];y (mm)\n0;10;200\n10;40,0;200\n",
        "x_in\ty_in\tt_min\n3.937007874\t7.874015748\t0\n15.748031496\t7.874015748\t0.1666666667\n",
    ];
    for table in tables {
        let setup = read_path(table).expect(table);
        let super::super::setup::Route::Points(points) = &setup.route else {
            panic!("points")
        };
        let last = points[1];
        assert!((last.x.value - 0.4).abs() < 1e-9 && (last.y.value - 0.2).abs() < 1e-9);
        assert!((last.at.value - 10.0).abs() < 1e-8, "{table}");
    }
}

#[test]
fn a_path_without_units_columns_or_numbers_is_refused_with_its_line() {
    for (table, expected) in [
        (
            "x,y,t\n0,0,0\n",
            "way.csv, line 1: the column x has no unit",
        ),
        ("x_m,y_m\n0,0\n", "line 1: the column t is missing"),
        ("x_m,y_m,t_m\n0,0,0\n", "line 1: the unit of the column t"),
        (
            "x_m,y_m,t_s\n0,0,0\n0,zero,1\n",
            "line 3: y is \"zero\", which is not a number",
        ),
        (
            "x_m,y_m,t_s\n# no\n0,0,0\n0.1,0,0\n",
            "line 4: t is 0 s, not later than 0 s",
        ),
        (
            "x_m,y_m,t_s\n0,0,0\n0.5,0,0.1\n",
            "line 3: from the point before the arm would move at 5.0 m/s",
        ),
        ("x_m,y_m,t_s\n0,0,0\n", "1 point came in"),
        ("x_m,y_m,t_s\n", "0 points came in"),
        ("", "the column x is missing"),
        (
            "x_mm,y_mm,t_s\n100,5,100,0,0,0\n",
            "line 2: 6 cells came in, but the first line names 3 columns",
        ),
        (
            "x_mm,y_mm,t_s,x_mm\n0,0,0,0\n",
            "line 1: the column x came twice",
        ),
    ] {
        let error = read_path(table).expect_err(table);
        assert!(error.contains(expected), "{error}\nmisses {expected}");
    }
}

#[test]
fn keys_a_pattern_has_no_use_for_are_cautions() {
    let text = GOOD.replace("\"cross-hatch\"", "\"still\"\nduration = \"5 s\"");
    let setup = read_setup("s.toml", &text, &|_| Err(String::new())).expect("reads");
    let places: Vec<&str> = setup.cautions.iter().map(|c| c.place.as_str()).collect();
    assert_eq!(
        places,
        ["stroke.arm_speed", "stroke.overlap", "stroke.passes"]
    );
}

#[test]
fn what_was_given_is_not_called_assumed() {
    let setup = read_setup("s.toml", GOOD, &|_| Err(String::new())).expect("reads");
    let keys: Vec<&str> = setup.origins.iter().map(|o| o.key.as_str()).collect();
    assert!(
        !keys.contains(&"panel.substrate") && keys.contains(&"panel.film"),
        "{keys:?}"
    );
    let bare = GOOD.replace("substrate = \"steel\"\n", "");
    let setup = read_setup("s.toml", &bare, &|_| Err(String::new())).expect("reads");
    assert!(setup.origins.iter().any(|o| o.key == "panel.substrate"));
}

#[test]
fn strokes_out_of_range_say_what_is_allowed_and_why() {
    refused(
        "passes = 4",
        "wait = \"3 h\"",
        &["stroke.wait is \"3 h\"", "0 to 7200 s, because"],
    );
    refused(
        "passes = 4",
        "shift = 1.5",
        &["stroke.shift", "is 1.5", "0 to 1"],
    );
    refused(
        "passes = 4",
        "margin = \"-80 mm\"",
        &["stroke.margin is \"-80 mm\"", "-62.5 to", "because"],
    );
    refused(
        "passes = 4",
        "margin = \"inside\"",
        &["stroke.margin", "pad-inside, centre-to-rim, pad-outside"],
    );
    refused(
        "passes = 4",
        "spread = { machine_speed = \"1800 rpm\" }",
        &[
            "stroke.spread.machine_speed is \"1800 rpm\"",
            "50 to 1500 turns",
            "because",
        ],
    );
    refused(
        "passes = 4",
        "spread = { arm_speed = \"3 m/s\" }",
        &[
            "stroke.spread.arm_speed is \"3 m/s\"",
            "1 to 1000 mm/s, because",
        ],
    );
    refused(
        "\"cross-hatch\"",
        "\"still\"\nduration = \"0 s\"",
        &["stroke.duration is \"0 s\"", "0.01 to 7200 s, because"],
    );
    let text = format!("units = \"imperial\"\n{GOOD}");
    let error = read_setup("s.toml", &text, &|_| Err(String::new())).expect_err("refused");
    assert!(error.to_string().contains("metric, us"), "{error}");
}

#[test]
fn a_path_that_leaves_the_panel_is_refused_with_its_line() {
    refused(
        "\"cross-hatch\"",
        "\"path\"\nfile = \"way.csv\"",
        &["way.csv, line 3", "leaves the panel", "(0.9, 0.3) m"],
    );
}
