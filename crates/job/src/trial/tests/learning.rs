//! When a number counts as learnt, what a trial hands on, and what in its
//! readings goes against the belief.

use super::*;

/// The cautions whose text holds these words.
fn saying(result: &TrialResult, words: &str) -> Vec<String> {
    let told = result.cautions.iter().filter(|c| c.text.contains(words));
    told.map(|c| c.place.clone()).collect()
}

#[test]
fn a_thermometer_outside_the_belief_is_said_both_ways() {
    let at = |c: &str| {
        done(&format!(
            "{SPOT}[measured]\nsurface_temperature = \"{c}\"\nthermometer = \"2 K\"\n"
        ))
    };
    for far in ["110 °C", "25.2 °C"] {
        let places = saying(&at(far), "all but excludes the thermometer");
        assert_eq!(places, ["measured.surface_temperature"], "{far}");
    }
    assert!(saying(&at("53 °C"), "all but excludes").is_empty());
}

#[test]
fn a_photo_outside_the_belief_is_said() {
    // 3 µm went, and the class believes a median depth of 1 µm: half the
    // scratches cannot stay on light swirls.
    let none_went = SPOT.replace("density_after = 0.5", "density_after = 1.75")
        + "[paint]\ndefects = \"light-swirls\"\n";
    assert_eq!(saying(&done(&none_went), "excludes the photo"), ["photo"]);
    assert!(saying(&done(SPOT), "excludes the photo").is_empty());
}

#[test]
fn two_doubts_do_not_contradict_each_other() {
    let text = bare().to_owned()
        + "[[reading]]\nbefore = \"112.4 um\"\nafter = \"100 um\"\n[prior]\ncut_rate = \"1e-12 1/Pa\"\ncut_rate_factor = 1.1\n";
    let result = done(&text);
    assert_eq!(saying(&result, "all but excludes the data"), ["prior"]);
    assert!(saying(&result, "next to nothing about the cut rate").is_empty());
}

#[test]
fn the_good_example_raises_no_alarm_about_guesses() {
    let text = include_str!("../../../../../examples/trial.toml");
    let result = done(text);
    assert!(!result.cautions.iter().any(|c| c.place == "posterior"));
    assert!(result.posterior.effective_sample_size > 100.0);
    let fine = done(&text.replace("\"0.5 um\"", "\"0.2 um\""));
    assert!(
        !fine.cautions.iter().any(|c| c.place == "posterior"),
        "{:?}",
        fine.cautions
    );
    // Sharp and far off the belief: said, with the side.
    let far = text.replace("[wish]", "[prior]\ncut_rate = \"2.2e-12 1/Pa\"\n[wish]");
    let said = done(&far);
    let told = said
        .cautions
        .iter()
        .find(|c| c.place == "posterior" || c.place == "prior");
    assert!(told.is_some(), "{:?}", said.cautions);
}

#[test]
fn a_trial_that_read_nothing_hands_nothing_on() {
    let nothing = done(bare());
    assert!(!nothing.calibration.is_learnt);
    assert!(
        nothing
            .calibration
            .toml
            .contains("cut_rate_seen = \"nothing\"")
    );
    assert!(
        !nothing.calibration.toml.contains("friction")
            && !nothing.calibration.toml.contains("scratch")
    );
    let history = vec![nothing.calibration.trial.clone(); 20];
    let class = nothing.calibration.trial;
    let class = prior::CutClass {
        pad: class.pad,
        abrasive: class.abrasive,
        behaviour: class.behaviour,
    };
    assert_eq!(
        prior::cut_rate(class, &history),
        prior::cut_rate(class, &[])
    );
    assert_eq!(
        prior::friction(Some(class), &history),
        prior::friction(Some(class), &[])
    );
}

#[test]
fn a_spread_that_stays_as_believed_stays_assumed() {
    let weak = bare().replace("\"1 um\"", "\"15 um\"")
        + "[[reading]]\nbefore = \"118 um\"\nafter = \"115 um\"\n";
    let result = done(&weak);
    let rate = result.cut_rate_per_pa;
    assert!(rate.learnt_frac < 0.2, "{}", rate.learnt_frac);
    assert_eq!(
        (rate.origin, rate.provenance),
        (prior::ASSUMED, Provenance::Assumed)
    );
    assert_eq!(result.pass_um.provenance, Provenance::Assumed);
    assert!(!result.calibration.is_learnt);
    let good = done(SPOT);
    assert!(good.cut_rate_per_pa.learnt_frac > 0.2 && good.calibration.is_learnt);
}

#[test]
fn what_was_seen_put_on_the_same_belief_gives_the_trials_answer() {
    use crate::record::seen::Seen;
    let result = done(SPOT);
    let taught = result.calibration.trial;
    let Seen::Said(seen) = taught.cut_rate_seen else {
        panic!("pairs say something")
    };
    let before = result.cut_rate_per_pa.prior_median;
    let prior_sd = 2_f64.ln() / 1.959_964;
    let (mean, variance) = pooling::weighed(
        Some((before.ln(), prior_sd * prior_sd)),
        std::iter::once((seen.median.ln(), seen.ln_sd * seen.ln_sd)),
    );
    assert!((variance.sqrt() / taught.cut_rate.ln_sd - 1.0).abs() < 1e-6);
    // The middle is the mean of the logarithm there and the median here; they
    // lie apart by what the answer is lopsided.
    let apart = (mean - taught.cut_rate.median.ln()) / taught.cut_rate.ln_sd;
    assert!(apart.abs() < 0.2, "{apart}");
}

#[test]
fn tilt_and_moment_are_named_as_the_trial_writes_them() {
    let said = refusal(&SPOT.replace(
        "overlap = 0.5",
        "overlap = 0.5\ntilt = \"1 deg\"\nmoment = \"0.5 N m\"",
    ));
    assert!(
        said.contains("setup.tilt") && said.contains("setup.moment"),
        "{said}"
    );
    assert!(!said.contains("touch."), "{said}");
}

#[test]
fn a_day_that_is_in_no_calendar_is_refused() {
    let dated = |day: &str| format!("date = \"{day}\"\n{SPOT}");
    assert!(refusal(&dated("2025-13-45")).contains("in no calendar"));
    assert_eq!(done(&dated("12 May")).about.date, "12 May");
}
