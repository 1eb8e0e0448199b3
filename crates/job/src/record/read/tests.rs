//! Whole sentences for whole files: what comes in, and what is said about it.

use super::read_job;

const GOOD: &str = r#"schema = 1
name = "One panel"
[car]
class = "estate"
[[panel]]
name = "hood"
substrate = "aluminium"
[[panel]]
name = "left front wing"
like = "bonnet"
[kit]
[[kit.machine]]
name = "rotary"
kind = "rotary"
speeds = ["1200 rpm"]
force = "9 lbf"
vibration = "4 m/s2"
noise = "86 dB"
[[kit.pad]]
name = "foam"
class = "foam-polishing"
diameter = "5 in"
fits = ["rotary"]
"#;

fn says(from: &str, to: &str, expected: &str) {
    assert!(GOOD.contains(from), "{from}");
    let error = read_job("job.toml", &GOOD.replacen(from, to, 1))
        .expect_err("this must be refused")
        .to_string();
    assert!(error.contains(expected), "{error}");
}

#[test]
fn a_good_job_reads_with_trade_names_and_likeness() {
    let (job, _) = read_job("job.toml", GOOD).expect("good");
    assert_eq!(job.panels[0].name, "bonnet");
    assert_eq!(job.panels[1].substrate.word(), "aluminium");
    assert!((job.kit.pads[0].diameter.value - 0.127).abs() < 1e-12);
    assert!((job.kit.machines[0].force.value - 40.034).abs() < 1e-3);
}

#[test]
fn a_slip_is_answered_with_place_and_nearest_word() {
    says(
        "\"estate\"",
        "\"estat\"",
        "line 4, column 9: class \"estat\" is not known; did you mean \"estate\"?",
    );
    says(
        "kind = \"rotary\"",
        "kind = \"rotari\"",
        "Allowed: rotary, random-orbital, forced-rotation",
    );
    says("[\"rotary\"]", "[\"rotory\"]", "did you mean \"rotary\"?");
}

#[test]
fn a_speed_without_a_unit_is_refused() {
    says("\"1200 rpm\"", "\"1200\"", "no unit");
}

#[test]
fn a_force_of_nothing_or_of_a_lorry_is_refused() {
    says(
        "\"9 lbf\"",
        "\"0 N\"",
        "force is \"0 N\"; allowed is 1 to 200 N",
    );
    says("\"9 lbf\"", "\"5 kN\"", "allowed is 1 to 200 N");
}

#[test]
fn a_panel_twice_or_in_a_circle_is_refused() {
    says("\"left front wing\"", "\"bonnet\"", "stands twice");
    says(
        "substrate = \"aluminium\"",
        "like = \"LF fender\"",
        "in a circle",
    );
    says(
        "like = \"bonnet\"",
        "like = \"bonet\"",
        "did you mean \"bonnet\"?",
    );
}

#[test]
fn an_unknown_key_or_broken_line_points_at_its_place() {
    says(
        "substrate =",
        "substrat =",
        "line 7, column 1: the key \"substrat\" is not known; did you mean \"substrate\"?",
    );
    says("[car]", "[car", "line 3");
}

#[test]
fn numbers_that_are_no_numbers_are_refused() {
    for bad in ["NaN mm", "1e400 mm", "-5 in", "inf mm"] {
        says("\"5 in\"", &format!("\"{bad}\""), "diameter");
    }
}

#[test]
fn an_overlap_that_never_ends_and_a_pad_beyond_the_section_are_refused() {
    for bad in ["1.0", "1.5", "-0.1"] {
        says(
            "[kit]\n",
            &format!("[wish]\noverlap = {bad}\n[kit]\n"),
            "allowed is 0 to 0.9",
        );
    }
    let small = GOOD
        .replacen("[kit]\n", "[wish]\nsection = \"0.2 m\"\n[kit]\n", 1)
        .replacen("\"5 in\"", "\"240 mm\"", 1);
    let error = read_job("job.toml", &small)
        .expect_err("refused")
        .to_string();
    assert!(
        error.contains("larger than the section of 200 mm"),
        "{error}"
    );
}

#[test]
fn earlier_visits_are_debited_and_a_respray_starts_anew() {
    let with = |visits: &str| {
        let text = GOOD.replacen("[kit]\n", &format!("{visits}\n[kit]\n"), 1);
        read_job("job.toml", &text).expect("good").0.panels
    };
    let um = |length: lapwing_measure::quantity::Length| length.value * 1e6;
    let two = "[[visit]]\nremoved = \"2 um\"\nuncertainty = \"0.3 um\"\n[[visit]]\npanels = [\"hood\"]\nremoved = \"1 um\"\nuncertainty = \"0.4 um\"\n";
    let panels = with(two);
    assert!((um(panels[0].removed_before) - 3.0).abs() < 1e-9);
    assert!((um(panels[0].removed_before_sd) - 0.5).abs() < 1e-9);
    assert!((um(panels[1].removed_before) - 2.0).abs() < 1e-9);
    let painted = with(&format!(
        "{two}[[visit]]\npanels = [\"hood\"]\nrefinished = true\n"
    ));
    assert!(painted[0].is_repainted && painted[0].removed_before.value == 0.0);
    assert!(!painted[1].is_repainted);
}

#[test]
fn the_shop_edits_its_layers_and_slips_are_told() {
    let layers = "[layers.metal]\nclear = [\"40 um\", \"4 um\"]\n[gauge]\nrepeatability = \"0.6 um\"\n[kit]\n";
    let (job, _) = read_job("job.toml", &GOOD.replacen("[kit]\n", layers, 1)).expect("good");
    assert!((job.rules.layers.metal.top.mean_um - 40.0).abs() < 1e-9);
    assert!((job.rules.layers.metal.base.mean_um - 15.0).abs() < 1e-12);
    assert!(
        job.gauge_repeatability
            .is_some_and(|r| (r.value - 6e-7).abs() < 1e-15)
    );
    for (bad, said) in [
        (
            "clear = [\"40 um\"]",
            "clear has 1 entries; it is a mean and a standard deviation",
        ),
        ("clear = [\"40\", \"4 um\"]", "no unit"),
        ("clear = [\"-4 um\", \"4 um\"]", "allowed is 0 to 1000 µm"),
        ("cleer = [\"40 um\", \"4 um\"]", "did you mean \"clear\"?"),
    ] {
        says("[kit]\n", &format!("[layers.metal]\n{bad}\n[kit]\n"), said);
    }
    says(
        "[kit]\n",
        "[[visit]]\npanels = [\"bonet\"]\n[kit]\n",
        "did you mean \"bonnet\"?",
    );
    says(
        "[kit]\n",
        "[gauge]\nrepeatability = \"0 um\"\n[kit]\n",
        "allowed is 0.05 to 20 µm",
    );
}

#[test]
fn limits_that_cannot_be_meant_are_refused_in_words() {
    let said = |rules: &str| {
        let text = GOOD.replacen("[kit]\n", &format!("[rules]\n{rules}\n[kit]\n"), 1);
        read_job("job.toml", &text).map(|(job, _)| job.rules)
    };
    for (rules, expected) in [
        (
            "heat_stop = \"30 C\"\nheat_warn = \"45 C\"",
            "heat_warn is 45 °C and heat_stop is 30 °C",
        ),
        (
            "heat_warn = \"70 C\"",
            "the warning would come after the stop",
        ),
        (
            "heat_stop = \"60 F\"",
            "allowed is 25 to 120 °C. Check the number and its unit",
        ),
        ("clear_left = \"0 um\"", "allowed is 5 to 200 µm"),
        (
            "start_temperature = \"65 C\"",
            "the panel starts at 65 °C and heat_stop is 60 °C, so no pass could be made",
        ),
    ] {
        let error = said(rules).expect_err(rules).to_string();
        assert!(
            error.contains(expected) && error.contains("line "),
            "{error}"
        );
    }
    // A stop under the usual warning takes the warning with it.
    let rules = said("heat_stop = \"40 C\"").expect("a strict shop");
    assert!(rules.heat_warn == rules.heat_stop);
    assert!(said("heat_stop = \"60 C\"\nheat_warn = \"60 C\"").is_ok());
}
