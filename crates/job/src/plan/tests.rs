//! The whole plan on a small invented job, and its limits.

use super::*;
use crate::record::read::read_job;
use crate::record::{Part, Sentence};

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

/// The kit without its finishing abrasive.
fn without_finishing() -> String {
    let at = SMALL.rfind("[[kit.abrasive]]").expect("the last abrasive");
    let end = SMALL.find("[[person]]").expect("people");
    format!("{}{}", &SMALL[..at], &SMALL[end..])
}

/// A panel is left by the limit that really stopped every recipe: no sentence
/// names two numbers that do not forbid anything.
#[test]
fn a_panel_is_left_by_the_limit_that_stopped_it() {
    let film = [112.0, 113.0, 111.0, 112.0, 113.0];
    let plan = planned(&without_finishing(), &film);
    let bumper = &plan.panels[1];
    // Plastic without a reading: finishing only, and this kit cannot finish.
    assert_eq!(bumper.verdict, "leave");
    assert_eq!(
        bumper.said.sentence,
        Sentence::NoFinishingInKit,
        "{}",
        bumper.reason
    );
    for kit in [SMALL.to_owned(), without_finishing()] {
        for stop_c in ["26 °C", "30 °C", "33 °C", "36 °C", "60 °C"] {
            let rules = format!(
                "{kit}\n[rules]\nheat_stop = \"{stop_c}\"\nheat_warn = \"25 °C\"\nstart_temperature = \"20 °C\"\n"
            );
            for film in [film, [96.0; 5], [90.0; 5]] {
                for panel in planned(&rules, &film).panels {
                    let um = |at: usize| match panel.said.parts[at] {
                        Part::Film(um, _) => um,
                        _ => f64::NAN,
                    };
                    match panel.said.sentence {
                        Sentence::GentlestTooMuch => assert!(um(0) > um(1), "{}", panel.reason),
                        Sentence::GentleTooHotCoolTooMuch => {
                            assert!(um(0) <= um(2) && um(1) > um(2), "{}", panel.reason);
                        }
                        _ => {}
                    }
                }
            }
        }
    }
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

const TRIED: &str = r#"
[[trial]]
pad = "foam-polishing"
abrasive = "medium"
cut_rate = "3.0e-12 1/Pa"
cut_rate_factor = 1.2
friction_share = 0.28
friction_factor = 1.15
scratch_median = "0.9 um"
scratch_spread = 0.6
deep_share = 0.05
[[trial]]
pad = "foam-polishing"
abrasive = "finishing"
cut_rate = "0.8e-12 1/Pa"
cut_rate_factor = 1.2
"#;

const ROOF_UM: [f64; 5] = [128.0, 129.0, 127.0, 130.0, 128.0];

#[test]
fn a_test_spot_on_the_car_narrows_film_and_heat_and_says_so() {
    let before = planned(SMALL, &ROOF_UM);
    let after = planned(&(SMALL.to_owned() + TRIED), &ROOF_UM);
    let step = |plan: &Plan| plan.panels[0].recipe[0].clone();
    assert_eq!(step(&before).cut_rate.origin, "assumed");
    assert_eq!(step(&after).cut_rate.origin, "calibrated on this car");
    let width = |s: &PlanStep| s.removal_um.upper_95 / s.removal_um.lower_95;
    assert!((width(&step(&before)) - 4.0).abs() < 1e-9);
    assert!((width(&step(&after)) - 1.44).abs() < 1e-9);
    assert_eq!(after.friction_share.origin, "calibrated on this car");
    let heat = |p: &Plan| p.friction_share.upper_95 / p.friction_share.per_pa;
    assert!(heat(&after) < heat(&before));
    assert!(
        before.still_assumed.contains("the friction share"),
        "{}",
        before.still_assumed
    );
    assert_eq!(after.still_assumed, "");
    let gone = after.panels[0].share_gone.expect("polished");
    assert_eq!(gone.provenance, Provenance::Calibrated);
}

#[test]
fn a_test_spot_that_carries_nothing_leaves_the_price_provisional_and_says_why() {
    let empty = |seen: &str| {
        format!(
            "{SMALL}[[trial]]\npad = \"foam-polishing\"\nabrasive = \"fine\"\ncut_rate = \"2e-12 1/Pa\"\ncut_rate_factor = 2\n{seen}"
        )
    };
    let spot = |p: &Plan| p.hours.stages.iter().any(|s| s.what == "test spot");
    for text in [empty(""), empty("cut_rate_seen = \"nothing\"\n")] {
        let plan = planned(&text, &ROOF_UM);
        assert!(plan.price.is_provisional && spot(&plan));
        let said = plan.cautions.iter().find(|c| c.place == "trial");
        assert!(said.is_some_and(|c| c.text.contains("taught next to nothing")));
        assert_eq!(plan.panels[0].recipe[0].cut_rate.origin, "assumed");
        assert_eq!(plan.hours.mean, planned(SMALL, &ROOF_UM).hours.mean);
    }
    let tried = planned(&(SMALL.to_owned() + TRIED), &ROOF_UM);
    assert!(!tried.price.is_provisional && !spot(&tried));
    assert!(tried.cautions.iter().all(|c| c.place != "trial"));
}

#[test]
fn the_shops_history_stands_between_the_class_and_the_car() {
    let (mut job, _) = read_job(
        "job.toml",
        &SMALL.replace("[wish]", "[calibration]\nhistory = \"h.toml\"\n[wish]"),
    )
    .expect("good");
    assert_eq!(job.calibration.history_file.as_deref(), Some("h.toml"));
    let (tried, _) = read_job("job.toml", &(SMALL.to_owned() + TRIED)).expect("good");
    job.calibration.history = tried.calibration.on_car;
    let plan = plan(&job, &film(&ROOF_UM), &|_| {}).expect("plans").plan;
    let rate = plan.panels[0].recipe[0].cut_rate;
    assert_eq!(rate.origin, "shop history");
    assert!(rate.per_pa < 3.2e-12 && rate.upper_95 / rate.per_pa < 2.0);
}

#[test]
fn what_is_not_known_adds_up_to_the_whole_of_each_answer() {
    let plan = planned(SMALL, &ROOF_UM);
    for answer in ["film", "heat", "time"] {
        let whole: f64 = plan
            .unknowns
            .iter()
            .filter(|u| u.of == answer)
            .map(|u| u.variance_share)
            .sum();
        assert!((whole - 1.0).abs() < 1e-9, "{answer}: {whole}");
    }
    assert!(
        plan.unknowns
            .windows(2)
            .all(|u| u[0].would_go >= u[1].would_go)
    );
    assert!(plan.unknowns.iter().all(|u| u.would_go >= 0.0));
}

#[test]
fn the_next_measurement_is_a_test_spot_until_one_was_done() {
    let text = SMALL.replace("[[panel]]\nname = \"front bumper\"\n", "");
    let before = planned(&text, &ROOF_UM);
    assert!(
        before.measure_next.contains("test spot"),
        "{}",
        before.measure_next
    );
    let after = planned(&(text + TRIED), &ROOF_UM);
    assert!(
        !after.measure_next.contains("test spot"),
        "{}",
        after.measure_next
    );
}

/// A kit that cuts and finishes, on hard paint.
fn cutting_kit() -> String {
    SMALL
        .replacen(
            "[[kit.abrasive]]\nname = \"medium\"\nclass = \"medium\"\nwith = [\"polish foam\"]\n",
            "[[kit.pad]]\nname = \"cut foam\"\nclass = \"foam-cutting\"\ndiameter = \"140 mm\"\nfits = [\"orbital\"]\n[[kit.pad]]\nname = \"soft\"\nclass = \"foam-finishing\"\ndiameter = \"140 mm\"\nfits = [\"orbital\"]\n[[kit.abrasive]]\nname = \"heavy\"\nclass = \"heavy\"\nwith = [\"cut foam\"]\n",
            1,
        )
        .replacen("with = [\"polish foam\"]", "with = [\"soft\"]", 1)
        .replacen("class = \"saloon\"", "class = \"saloon\"\nbehaviour = \"hard\"", 1)
}

#[test]
fn the_finish_behind_a_cut_is_two_or_four_passes_and_quicker_than_the_cut() {
    let plan = planned(&cutting_kit(), &[130.0, 133.0, 128.0, 131.0, 134.0]);
    let [cut, finish] = &plan.panels[0].recipe[..] else {
        panic!("a cut and a finish: {:?}", plan.panels[0].recipe);
    };
    assert_eq!((cut.step.as_str(), finish.step.as_str()), ("cut", "finish"));
    assert!(matches!(finish.passes, 2 | 4), "{}", finish.passes);
    assert!(finish.minutes <= cut.minutes, "{finish:?}");
}

// Unread plastic may only be finished; this kit's finishing takes hardly
// anything off hard paint, so no minutes are spent on it.
#[test]
fn a_recipe_that_corrects_nothing_is_not_worked_and_the_reason_is_true() {
    let plan = planned(&cutting_kit(), &[130.0, 133.0, 128.0, 131.0, 134.0]);
    let bumper = &plan.panels[1];
    assert_eq!(bumper.verdict, "leave", "{}", bumper.reason);
    assert_eq!(bumper.said.sentence, Sentence::NothingVisible);
    assert!(bumper.minutes == 0.0 && bumper.recipe.is_empty());
    for panel in plan.panels.iter().filter(|p| !p.recipe.is_empty()) {
        assert!(panel.share_gone.is_some_and(|s| s.mean >= 0.01));
    }
}

#[test]
fn a_coating_is_never_laid_before_the_panels_are_wiped() {
    let coated = SMALL.replacen("zone_a = 0.85", "zone_a = 0.85\ncoating_layers = 2", 1);
    for film in [[112.0, 116.0, 109.0, 113.0, 118.0], [70.0; 5]] {
        let plan = planned(&coated, &film);
        let at = |what: &str| plan.hours.stages.iter().position(|s| s.what == what);
        let (wiped, laid) = (at("panel wipe and inspection"), at("coating"));
        assert!(wiped.is_some() && wiped < laid, "{:?}", plan.hours.stages);
        let wipe = plan.materials.iter().find(|m| m.what == "panel wipe");
        assert!(
            wipe.is_some_and(|m| m.amount > 10.0),
            "{:?}",
            plan.materials
        );
    }
}

#[test]
fn a_price_for_some_of_the_panels_says_for_how_many() {
    let two = SMALL.replacen("name = \"front bumper\"", "name = \"hood\"", 1);
    let plan = planned(&two, &[112.0, 116.0, 109.0, 113.0, 118.0]);
    let counted = plan.price.panels_counted.expect("a plan counts its panels");
    assert_eq!((counted.counted, counted.all), (1, 2));
    let said = plan
        .cautions
        .iter()
        .find(|c| c.place == "price")
        .expect("told");
    assert!(
        said.text
            .contains("for 1 of 2 panels: those without a reading (1)"),
        "{said:?}"
    );
    let all = planned(SMALL, &[112.0, 116.0, 109.0, 113.0, 118.0]);
    assert!(
        all.price
            .panels_counted
            .is_some_and(PanelsCounted::is_whole)
    );
    assert!(all.cautions.iter().all(|c| c.place != "price"));
}
