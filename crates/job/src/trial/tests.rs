//! A trial file from reading to curve, and what it refuses.

mod learning;

use super::*;
use crate::bench::setup::Setup;
use lapwing_measure::statistics::quantile::normal;

const SPOT: &str = r#"[gauge]
repeatability = "1 um"
[setup]
substrate = "steel"
machine = "rotary"
speed = "1500 rpm"
pad = "125 mm"
force = "40 N"
arm_speed = "50 mm/s"
overlap = 0.5
passes = 4
section = ["0.5 m", "0.5 m"]
[film]
budget = "8 um"
clear_left = "42 um"
clear_left_sd = "4 um"
[[reading]]
before = "118.2 um"
after = "115.4 um"
[[reading]]
before = "121.5 um"
after = "118.0 um"
[[reading]]
before = "119.8 um"
after = "117.3 um"
[[reading]]
before = "124.1 um"
after = "120.6 um"
[[reading]]
before = "117.6 um"
after = "115.1 um"
[[photo]]
passes = 4
density_before = 1.8
density_after = 0.5
"#;

fn read(text: &str) -> Result<Trial, InputError> {
    read_trial("trial.toml", text, &|name| {
        Err(format!("there is no {name}"))
    })
}

fn done(text: &str) -> TrialResult {
    trial(&read(text).expect("reads")).expect("is worked out")
}

fn refusal(text: &str) -> String {
    match read(text) {
        Err(error) => error.to_string(),
        Ok(read) => trial(&read).expect_err("is refused").to_string(),
    }
}

/// The file without its pairs and photos.
fn bare() -> &'static str {
    SPOT.split("[[reading]]").next().expect("a head")
}

#[test]
fn a_spot_tells_removal_cut_rate_depth_and_cost() {
    let result = done(SPOT);
    let removed = result.removed_um.expect("pairs");
    assert!((removed.mean - 2.96).abs() < 1e-9 && result.detectable);
    assert_eq!(result.pairs_needed_for_1um, Some(24));
    let rate = result.cut_rate_per_pa;
    assert!(rate.lower_95 < rate.mean && rate.mean < rate.upper_95);
    assert!(rate.spread_over_prior < 0.8, "{}", rate.spread_over_prior);
    assert_eq!(rate.origin, prior::ON_THIS_CAR);
    let inferred = result.removed_inferred_um;
    assert!(inferred.lower_95 < removed.mean && removed.mean < inferred.upper_95);
    let depth = result.scratch_depth_um;
    let (p50, p80, p95) = (
        depth.p50.expect("p50"),
        depth.p80.expect("p80"),
        depth.p95.expect("p95"),
    );
    assert!(p50 < p80 && p80 < p95);
    // The photo says 72 % went with 3 µm, so that depth lies between.
    assert!(p50 < inferred.mean && inferred.mean < p95, "{p50} {p95}");
}

#[test]
fn the_curve_rises_in_everything_and_stays_inside_its_band() {
    let result = done(SPOT);
    assert!(result.curve.len() >= 4 && result.curve.len() <= 24);
    for pair in result.curve.windows(2) {
        assert!(pair[0].correction_pct < pair[1].correction_pct);
        assert!(pair[0].removal_um < pair[1].removal_um && pair[0].passes < pair[1].passes);
        assert!(pair[0].minutes < pair[1].minutes);
        assert!(pair[0].clear_left_um > pair[1].clear_left_um);
        assert!(pair[0].peak_c <= pair[1].peak_c || pair[1].peak_c.is_none());
    }
    for point in &result.curve {
        assert!(point.correction_lower_pct <= point.correction_pct);
        assert!(point.correction_pct <= point.correction_upper_pct);
        assert!((0.0..=100.0).contains(&point.correction_upper_pct));
        assert!(point.clear_left_lower_95_um < point.clear_left_um);
    }
    let wall: Vec<bool> = result
        .curve
        .iter()
        .filter_map(|p| p.is_within_budget)
        .collect();
    assert!(wall[0] && !wall[wall.len() - 1]);
}

#[test]
fn four_medium_passes_take_off_2_5_to_3_um_on_paper() {
    // Common practice: "4 passes at 1500–1800 rpm", 2.5 to 3 µm; the class rate
    // was inferred at 1 in/s, 1650 rpm, 40 N, half overlap.
    let text = bare()
        .replace("50 mm/s", "25.4 mm/s")
        .replace("1500 rpm", "1650 rpm");
    let read = read(&text).expect("reads");
    let paper = repeated(&read.setup, 4).expect("a pass");
    let taken_um = 4.0 * paper.pass_um * 4.0;
    assert!((2.4..=3.2).contains(&taken_um), "{taken_um}");
}

#[test]
fn a_pass_on_paper_is_that_of_the_bench() {
    let read = read(SPOT).expect("reads");
    let paper = repeated(&read.setup, 4).expect("a pass");
    let setup = Setup {
        friction_frac: crate::bench::setup::Spread::given(1.0),
        cut_rate_per_pa: crate::bench::setup::Spread::given(UNIT_CUT_RATE),
        ..read.setup.clone()
    };
    let bench = crate::bench::bench(&setup, crate::bench::HeatWatch::default()).expect("a pass");
    let mean_um = bench.removal.interior_mean_um;
    assert!(
        (4.0 * paper.pass_um / mean_um - 1.0).abs() < 0.01,
        "{mean_um}"
    );
    // The trial's heat grid is the interactive one: within a tenth.
    let ratio = paper.unit_rise_k[3] / bench.heat.peak_rise_k;
    assert!((ratio - 1.0).abs() < 0.1, "{ratio}");
    assert!((4.0 * paper.pass_s / bench.time_s - 1.0).abs() < 1e-9);
}

#[test]
fn without_readings_the_answer_is_what_was_believed() {
    let result = done(bare());
    let rate = result.cut_rate_per_pa;
    assert!(result.removed_um.is_none() && !result.detectable);
    assert!((rate.median / 4e-12 - 1.0).abs() < 1e-6, "{}", rate.median);
    assert!(
        (rate.lower_95 / 2e-12 - 1.0).abs() < 1e-5 && (rate.upper_95 / 8e-12 - 1.0).abs() < 1e-5
    );
    assert!((rate.spread_over_prior - 1.0).abs() < 1e-6);
    assert_eq!(
        (rate.origin, rate.provenance),
        ("assumed", Provenance::Assumed)
    );
    assert!((result.posterior.effective_sample_size - 4000.0).abs() < 1.0);
    assert!(result.posterior.cut_rate_bits < 1e-6);
    assert!(result.advice.iter().any(|a| a.contains("next to nothing")));
}

#[test]
fn a_thermometer_teaches_the_friction_and_a_stopwatch_the_pace() {
    let warm = SPOT.to_owned() + "[measured]\ntime = \"400 s\"\nsurface_temperature = \"36 °C\"\n";
    let result = done(&warm);
    assert!(result.friction_share.spread_over_prior < 0.95);
    assert_eq!(result.friction_share.origin, prior::ON_THIS_CAR);
    assert!((result.pass_s - 100.0).abs() < 1e-9);
    assert_eq!(done(SPOT).friction_share.origin, prior::ASSUMED);
}

#[test]
fn the_shops_history_moves_the_belief() {
    let entry = |rate: &str| {
        format!(
            "[[trial]]\npad = \"foam-cutting\"\nabrasive = \"medium\"\ncut_rate = \"{rate}\"\ncut_rate_factor = 1.1\n"
        )
    };
    let history = format!(
        "schema = 1\n{}{}",
        entry("6e-12 1/Pa"),
        entry("6.2e-12 1/Pa")
    );
    let text = bare().to_owned() + "[shop]\nhistory = \"history.toml\"\n";
    let read = read_trial("trial.toml", &text, &|_| Ok(history.clone())).expect("reads");
    let rate = trial(&read).expect("is worked out").cut_rate_per_pa;
    assert!(
        rate.median > 4.6e-12 && rate.median < 6.1e-12,
        "{}",
        rate.median
    );
    assert_eq!(rate.origin, prior::SHOP_HISTORY);
    assert!(rate.upper_95 / rate.lower_95 < 4.0);
}

#[test]
fn what_a_trial_teaches_can_be_read_back() {
    let result = done(SPOT);
    let text = format!("schema = 1\n{}", result.calibration.toml);
    let back = crate::record::calibration::read_history("history.toml", &text).expect("reads");
    let taught = &result.calibration.trial;
    assert!((back[0].cut_rate.median / taught.cut_rate.median - 1.0).abs() < 1e-3);
    assert!(back[0].depths.is_some() && back[0].friction.is_none());
}

#[test]
fn a_prior_that_excludes_the_data_is_said() {
    let text = SPOT.to_owned() + "[prior]\ncut_rate = \"0.2e-12 1/Pa\"\ncut_rate_factor = 1.2\n";
    let result = done(&text);
    let said = result
        .cautions
        .iter()
        .find(|c| c.place == "prior")
        .expect("a caution");
    assert!(
        said.text.contains("all but excludes the data"),
        "{}",
        said.text
    );
    assert!(result.cut_rate_per_pa.mean.is_finite());
    assert!(!done(SPOT).cautions.iter().any(|c| c.place == "prior"));
}

/// The last pair of the spot.
const LAST: &str = "before = \"117.6 um\"\nafter = \"115.1 um\"";

/// What is written instead of what, and what the refusal says.
const REFUSED: [(&str, &str, &str); 16] = [
    (LAST, "before = \"117.6 um\"", "has no \"after\""),
    (LAST, "after = \"117.6 um\"", "has no \"before\""),
    (
        LAST,
        "before = \"115.1 um\"\nafter = \"125.1 um\"",
        "paint does not grow",
    ),
    (
        LAST,
        "before = \"117.6 um\"\nafter = \"61 um\"",
        "do not pair",
    ),
    (
        LAST,
        "before = \"4.6 um\"\nafter = \"4.5 um\"",
        "20 to 3000",
    ),
    (
        "passes = 4\nsection",
        "passes = 0\nsection",
        "setup.passes is 0",
    ),
    ("passes = 4\ndensity", "passes = 0\ndensity", "photo.passes"),
    (
        "passes = 4\ndensity",
        "passes = 2.5\ndensity",
        "whole number",
    ),
    (
        "density_after = 0.5",
        "density_after = 2.9",
        "passes do not add scratches",
    ),
    (
        "density_before = 1.8",
        "density_before = 0",
        "photo.density_before",
    ),
    (
        "repeatability = \"1 um\"",
        "repeatability = \"0 um\"",
        "gauge.repeatability",
    ),
    (
        "machine = \"rotary\"",
        "machine = \"rotery\"",
        "did you mean \"rotary\"?",
    ),
    ("machine = \"rotary\"\n", "", "setup.machine is missing"),
    (
        "overlap = 0.5",
        "overlapp = 0.5",
        "setup.overlapp is not known",
    ),
    ("overlap = 0.5", "pattern = \"still\"", "not made of passes"),
    (
        "budget = \"8 um\"\n",
        "clear_left_sdd = 1\n",
        "clear_left_sdd",
    ),
];

#[test]
fn pairs_and_photos_that_cannot_belong_together_are_refused() {
    for (came, instead, says) in REFUSED {
        assert!(SPOT.contains(came), "{came}");
        let said = refusal(&SPOT.replacen(came, instead, 1));
        assert!(said.contains(says), "{came}: {said}");
    }
}

#[test]
fn a_refused_key_is_pointed_at_in_the_trials_own_lines() {
    let error = read(&SPOT.replace("force = \"40 N\"", "force = \"4000 N\"")).expect_err("refused");
    assert_eq!((error.line, error.column), (Some(8), Some(9)));
    assert!(error.sentence.starts_with("setup.force"), "{error}");
}

#[test]
fn times_and_wishes_outside_sense_are_refused() {
    for (extra, says) in [
        ("[measured]\ntime = \"-300 s\"\n", "measured.time"),
        (
            "[measured]\nsurface_temperature = \"5 °C\"\n",
            "warms the panel",
        ),
        ("[wish]\ncorrection = 1.0\n", "never promised"),
        ("[shop]\nhistory = \"none.toml\"\n", "there is no none.toml"),
        ("[prior]\nfriction_share = 2\n", "prior.friction_share"),
    ] {
        let said = refusal(&(SPOT.to_owned() + extra));
        assert!(said.contains(says), "{extra}: {said}");
    }
}

#[test]
fn film_that_grows_on_the_whole_is_refused() {
    let mut text = bare().to_owned();
    for _ in 0..9 {
        text += "[[reading]]\nbefore = \"110 um\"\nafter = \"112 um\"\n";
    }
    assert!(refusal(&text).contains("thicker than before by 2.0 µm"));
}

#[test]
fn doubtful_input_is_a_value_with_a_caution() {
    let one = bare().to_owned() + "[[reading]]\nbefore = \"112.4 um\"\nafter = \"109.8 um\"\n";
    let result = done(&one);
    assert!((result.removed_um.expect("a pair").mean - 2.6).abs() < 1e-9 && !result.detectable);
    assert!(
        result
            .cautions
            .iter()
            .any(|c| c.text.contains("One pair only"))
    );
    assert!(
        result.advice[0].contains("23 more pairs"),
        "{}",
        result.advice[0]
    );
    let clean = done(&SPOT.replace("density_after = 0.5", "density_after = 0"));
    assert!(
        clean
            .cautions
            .iter()
            .any(|c| c.text.contains("claims 100 %"))
    );
    let equal = done(&SPOT.replace("density_after = 0.5", "density_after = 1.8"));
    assert!(
        equal
            .cautions
            .iter()
            .any(|c| c.text.contains("shows no correction"))
    );
}

// Passes add no scratches: such a photo may not bend the answer.
#[test]
fn a_photo_that_shows_more_scratches_after_is_left_out_and_said() {
    let with = done(&SPOT.replace("density_after = 0.5", "density_after = 1.9"));
    let caution = with.cautions.iter().find(|c| c.place == "photo");
    assert!(
        caution.is_some_and(|c| c.text.contains("was left out")),
        "{:?}",
        with.cautions
    );
    let without = done(SPOT.split("[[photo]]").next().expect("a head"));
    assert_eq!(with.targets, without.targets);
    assert_eq!(with.scratch_depth_um, without.scratch_depth_um);
}

#[test]
fn no_answer_holds_anything_that_is_not_a_number() {
    let edge = [
        SPOT.to_owned(),
        bare().to_owned(),
        SPOT.replace("\"1 um\"", "\"20 um\""),
        SPOT.replace("\"1 um\"", "\"0.06 um\""),
        SPOT.replace("40 N", "1 N"),
        SPOT.replace("passes = 4\nsection", "passes = 100\nsection"),
        SPOT.replace("budget = \"8 um\"", "budget = \"0 um\""),
        SPOT.to_owned() + "[prior]\ncut_rate = \"1e-15 1/Pa\"\ncut_rate_factor = 1.001\n",
        SPOT.to_owned() + "[prior]\ncut_rate = \"1e-9 1/Pa\"\ncut_rate_factor = 1000\n",
    ];
    for text in edge {
        let Ok(result) = trial(&read(&text).expect("reads")) else {
            continue;
        };
        let json = serde_json::to_value(&result).expect("JSON");
        let rows = json["curve"].as_array().expect("rows");
        assert!(!rows.is_empty());
        for row in rows {
            for key in ["correction_pct", "removal_um", "passes", "minutes"] {
                assert!(row[key].is_number(), "{key} of {row}");
            }
        }
        assert!(json["cut_rate_per_pa"]["mean"].is_number());
    }
}

#[test]
fn the_wall_comes_from_the_clear_left_when_no_budget_is_given() {
    let result = done(&SPOT.replace("budget = \"8 um\"\n", ""));
    // 42 − 1.644854·4 − 25 = 10.42, less than 12.7.
    assert!((result.budget_um.expect("a budget") - 10.420_6).abs() < 1e-4);
    assert_eq!(result.binding_rule.as_deref(), Some("clear-left"));
}

#[test]
fn normal_data_and_a_normal_prior_have_their_closed_form() {
    // A removal known to a small share: ln k is seen with a normal error, and
    // precisions add. Pairs in plenty with a fine gauge, prior as sharp.
    let belief = Belief {
        cut_rate: LogNormal {
            median: 4e-12,
            ln_sd: 1e-3,
        },
        friction: prior::FRICTION,
        depths: prior::depths(crate::record::job::Defects::WashSwirls),
        floor: prior::PHOTO_FLOOR,
    };
    // Warmth is linear in the share: a normal likelihood, a normal prior where
    // the spread is small. σ = 1e-3·rise to match.
    let seen = 1.0015_f64;
    let warm = Belief {
        friction: LogNormal {
            median: 0.3,
            ln_sd: 1e-3,
        },
        ..belief
    };
    let evidence = Evidence {
        pass_um: 0.7,
        passes: 4.0,
        warmth: Some(Warmth {
            rise_k: 30.0 * seen,
            unit_rise_k: 100.0,
            sd_k: 0.03,
        }),
        ..Evidence::default()
    };
    let known = infer(&warm, &evidence).expect("known");
    // Equal precisions: half way, and 1/√2 of the spread; the logarithm bends
    // by (1e-3)², so to 2e-6 in ln and 2e-3 of the spread.
    assert!((known.ln_friction.mean() - (0.3_f64.ln() + 0.5 * seen.ln())).abs() < 2e-6);
    assert!((known.ln_friction.sd() / (1e-3 / 2_f64.sqrt()) - 1.0).abs() < 2e-3);
    // Pairs: n of them with 2σ² each see h = k·U·passes with variance 2σ²/n.
    let h = 4.0 * 0.7 * 4.0;
    let n = 100_usize;
    let gauge_um = h * 1e-3 * (n as f64 / 2.0).sqrt();
    let pairs = Evidence {
        pairs_um: vec![h * seen; n],
        gauge_um,
        ..evidence
    };
    let known = infer(&belief, &pairs).expect("known");
    assert!((known.ln_cut_rate.mean() - (4_f64.ln() + 0.5 * seen.ln())).abs() < 2e-6);
    assert!((known.ln_cut_rate.sd() / (1e-3 / 2_f64.sqrt()) - 1.0).abs() < 2e-3);
    assert!(normal(0.5).is_ok_and(|z| z.abs() < 1e-12));
}
