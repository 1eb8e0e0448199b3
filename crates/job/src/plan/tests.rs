//! The whole plan on a small invented job, and its limits.

use super::*;
use crate::record::read::read_job;

const SMALL: &str = r#"schema = 1
name = "Small"
[car]
class = "saloon"
[wish]
zone_a = 0.85
[[panel]]
name = "roof"
[[panel]]
name = "front bumper"
[kit]
[[kit.machine]]
name = "orbital"
kind = "random-orbital"
speeds = ["3000 opm", "4500 opm"]
orbit = "15 mm"
spin = "200 rpm"
force = "35 N"
vibration = "4 m/s2"
noise = "80 dB"
[[kit.pad]]
name = "polish foam"
class = "foam-polishing"
diameter = "140 mm"
fits = ["orbital"]
[[kit.abrasive]]
name = "medium"
class = "medium"
with = ["polish foam"]
[[kit.abrasive]]
name = "finishing"
class = "finishing"
with = ["polish foam"]
[[person]]
name = "Ada"
[prices]
currency = "GBP"
labour_per_hour = 50
cost_per_hour = 20
tax = 0.2
"#;

fn film(roof_um: &[f64]) -> CarFilm {
    let mut text = String::from("panel,thickness_um\n");
    for um in roof_um {
        text += &format!("roof,{um}\n");
    }
    let readings = crate::record::readings::read("r.csv", text.as_bytes(), None).expect("reads");
    crate::inspect::inspect(&readings)
}

fn planned(text: &str, roof_um: &[f64]) -> Plan {
    let (job, _) = read_job("job.toml", text).expect("good");
    plan(&job, &film(roof_um), &|_| {}).expect("plans").plan
}

#[test]
fn a_sound_roof_is_polished_inside_its_budget() {
    let plan = planned(SMALL, &[118.0, 121.0, 119.0, 120.0, 122.0, 117.0]);
    let roof = &plan.panels[0];
    let removal = roof.removal_um.expect("a recipe");
    assert!(removal.upper_95 <= roof.budget_um.expect("a budget"));
    assert!(removal.lower_95 < removal.mean && removal.mean < removal.upper_95);
    assert!(roof.recipe.iter().all(|s| s.peak_upper_c <= 60.0));
    assert!(roof.minutes > 0.0 && plan.hours.lower_80 < plan.hours.upper_80);
}

#[test]
fn a_thin_roof_is_not_cut() {
    let plan = planned(SMALL, &[62.0, 60.0, 61.0, 63.0, 60.0, 61.0]);
    assert_ne!(plan.panels[0].verdict, "polish");
}

#[test]
fn nobody_goes_over_the_action_value() {
    let plan = planned(SMALL, &[118.0, 121.0, 119.0, 120.0, 122.0, 117.0]);
    assert!(!plan.people.is_empty());
    assert!(plan.people.iter().all(|d| d.points <= 100.0 + 1e-6));
    let handed_out: f64 = plan.people.iter().map(|d| d.trigger_minutes).sum();
    let asked: f64 = plan
        .panels
        .iter()
        .flat_map(|p| &p.recipe)
        .map(|s| s.trigger_minutes)
        .sum();
    assert!((handed_out - asked).abs() < 1e-6);
}

#[test]
fn the_lines_of_the_price_add_up() {
    let plan = planned(SMALL, &[118.0, 121.0, 119.0, 120.0, 122.0, 117.0]);
    let lines: f64 = plan.price.lines.iter().map(|l| l.amount).sum();
    let stated = |amount: Option<f64>| amount.expect("the job gives prices");
    let (net, tax) = (stated(plan.price.net), stated(plan.price.tax));
    assert!((lines - net).abs() < 0.005);
    assert!((net + tax - stated(plan.price.gross)).abs() < 0.005);
    assert!(stated(plan.price.floor) < net);
}

#[test]
fn the_same_job_gives_the_same_bytes_on_one_thread_and_two() {
    let run = |threads: usize| {
        rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .expect("a pool")
            .install(|| {
                serde_json::to_string(&planned(SMALL, &[118.0, 121.0, 119.0, 120.0])).expect("json")
            })
    };
    assert_eq!(run(1), run(2));
}

#[test]
fn a_stricter_stop_temperature_is_never_hotter() {
    let strict = SMALL.replace(
        "[[panel]]\nname = \"roof\"",
        "[rules]\nheat_stop = \"40 °C\"\n[[panel]]\nname = \"roof\"",
    );
    let plan = planned(&strict, &[118.0, 121.0, 119.0, 120.0, 122.0, 117.0]);
    for step in plan.panels.iter().flat_map(|p| &p.recipe) {
        assert!(step.peak_upper_c <= 40.0);
    }
}
