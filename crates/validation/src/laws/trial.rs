//! What a test spot taught, and what the shop's history believes, as the cases
//! and the general libraries ask for them.
//!
//! Law: `lapwing_job::trial`.
//! Source: named in each case.
//! Holds: for the ranges those functions allow.
//! Left out: nothing is computed here.
//! Checked by: the cases and `compare.py`.

use lapwing_job::record::calibration::{KnownTrial, LogNormal};
use lapwing_job::record::job::{AbrasiveClass, Behaviour, Defects, PadClass};
use lapwing_job::record::seen::Seen;
use lapwing_job::trial::curve::{GoneCurve, Line};
use lapwing_job::trial::evidence::{Evidence, PhotoPair, Warmth};
use lapwing_job::trial::pairs::{Removed, needed};
use lapwing_job::trial::posterior::infer;
use lapwing_job::trial::prior::{self, Belief, CutClass, UNIT_CUT_RATE};

use super::{Inputs, Law, told, truth, unknown};

/// The laws of this room.
pub(crate) const LAWS: &[(&str, Law)] = &[
    ("trial_posterior", posterior),
    ("shop_history", history),
    ("trial_removed", removed),
    ("trial_pairs_needed", |i| {
        let pairs = needed(i.number("gauge_um")?, i.number("removal_um")?);
        pairs
            .map(|n| n as f64)
            .ok_or_else(|| "no number of pairs shows it.".to_owned())
    }),
];

fn word<T: Copy>(i: &Inputs<'_>, name: &str, words: &[(&str, T)]) -> Result<T, String> {
    let came = i.word(name)?;
    words
        .iter()
        .find(|(w, _)| *w == came)
        .map_or_else(|| unknown(name, came), |(_, value)| Ok(*value))
}

/// Median and spread of the logarithm.
fn log_normal(i: &Inputs<'_>, name: &str) -> Result<LogNormal, String> {
    match i.list(name)?[..] {
        [median, ln_sd] => Ok(LogNormal { median, ln_sd }),
        _ => Err(format!("`{name}` is not a median and a spread.")),
    }
}

fn posterior(i: &Inputs<'_>) -> Result<f64, String> {
    let belief = Belief {
        cut_rate: log_normal(i, "cut_rate")?,
        friction: log_normal(i, "friction")?,
        depths: prior::depths(word(i, "defects", Defects::WORDS)?),
        floor: prior::PHOTO_FLOOR,
    };
    let known = told(infer(&belief, &evidence(i)?))?;
    let film = |share: f64, line: Line| {
        GoneCurve::of(&known.draws)
            .film_for(share, line)
            .ok_or_else(|| "the curve does not reach it.".to_owned())
    };
    match i.word("output")? {
        "cut_rate_mean" => Ok(known.ln_cut_rate.mean_of(f64::exp) * UNIT_CUT_RATE),
        "cut_rate_lower_95" => Ok(known.ln_cut_rate.quantile(0.025).exp() * UNIT_CUT_RATE),
        "cut_rate_upper_95" => Ok(known.ln_cut_rate.quantile(0.975).exp() * UNIT_CUT_RATE),
        "ln_cut_rate_mean" => Ok((known.ln_cut_rate.mean().exp() * UNIT_CUT_RATE).ln()),
        "ln_cut_rate_sd" => Ok(known.ln_cut_rate.sd()),
        "friction_mean" => Ok(known.ln_friction.mean_of(f64::exp)),
        "friction_lower_95" => Ok(known.ln_friction.quantile(0.025).exp()),
        "friction_upper_95" => Ok(known.ln_friction.quantile(0.975).exp()),
        "scratch_p50_um" => film(0.5, Line::Mean),
        "scratch_p80_um" => film(0.8, Line::Mean),
        other => unknown("output", other),
    }
}

fn evidence(i: &Inputs<'_>) -> Result<Evidence, String> {
    let photo = |row: &Vec<f64>| match row[..] {
        [passes_before, passes, before, after, noise_frac] => Ok(PhotoPair {
            passes_before,
            passes,
            before,
            after,
            noise_frac,
        }),
        _ => Err("a photo is passes before, passes, before, after, noise.".to_owned()),
    };
    let warmth = match i.list("warmth")?[..] {
        [] => None,
        [rise_k, unit_rise_k, sd_k] => Some(Warmth {
            rise_k,
            unit_rise_k,
            sd_k,
        }),
        _ => return Err("`warmth` is rise, rise on paper, deviation.".to_owned()),
    };
    Ok(Evidence {
        pass_um: i.number("pass_um")?,
        passes: i.number("passes")?,
        uneven_frac: i.number("uneven_frac")?,
        pairs_um: i.list("pairs_um")?,
        gauge_um: i.number("gauge_um")?,
        gauge_freedom: Some(i.number("gauge_freedom")?).filter(|freedom| *freedom > 0.0),
        photos: i
            .lists("photos")?
            .iter()
            .map(photo)
            .collect::<Result<_, _>>()?,
        warmth,
    })
}

/// The shop's trials as lists of one length: pad, abrasive and behaviour by
/// word, cut rate and its spread.
fn history(i: &Inputs<'_>) -> Result<f64, String> {
    fn of<T: Copy>(words: &[(&str, T)], came: &str) -> Result<T, String> {
        words
            .iter()
            .find(|(w, _)| *w == came)
            .map_or_else(|| unknown("word", came), |(_, value)| Ok(*value))
    }
    let (rates, spreads) = (i.list("cut_rates")?, i.list("ln_sds")?);
    let (pads, abrasives) = (i.words("pads")?, i.words("abrasives")?);
    let mut trials = Vec::new();
    for (at, rate) in rates.iter().enumerate() {
        let missing = || "the lists differ in length.".to_owned();
        // The library pools what the readings of each trial say by themselves.
        let seen = LogNormal {
            median: *rate,
            ln_sd: *spreads.get(at).ok_or_else(missing)?,
        };
        trials.push(KnownTrial {
            car: String::new(),
            pad: of(PadClass::WORDS, pads.get(at).ok_or_else(missing)?)?,
            abrasive: of(AbrasiveClass::WORDS, abrasives.get(at).ok_or_else(missing)?)?,
            behaviour: Behaviour::Medium,
            cut_rate: seen,
            cut_rate_seen: Seen::Said(seen),
            friction: None,
            friction_seen: Seen::Unsaid,
            depths: None,
        });
    }
    let class = CutClass {
        pad: word(i, "pad", PadClass::WORDS)?,
        abrasive: word(i, "abrasive", AbrasiveClass::WORDS)?,
        behaviour: Behaviour::Medium,
    };
    let number = prior::cut_rate(class, &trials).number;
    match i.word("output")? {
        "ln_median" => Ok(number.median.ln()),
        "ln_sd" => Ok(number.ln_sd),
        other => unknown("output", other),
    }
}

fn removed(i: &Inputs<'_>) -> Result<f64, String> {
    let removed = Removed::of(
        &i.list("before_um")?,
        &i.list("after_um")?,
        i.number("gauge_um")?,
    )
    .ok_or_else(|| "there are no pairs.".to_owned())?;
    match i.word("output")? {
        "mean" => Ok(removed.mean),
        "sd" => Ok(removed.sd),
        "lower_95" => Ok(removed.lower_95),
        "upper_95" => Ok(removed.upper_95),
        "detectable" => Ok(truth(removed.is_detectable())),
        other => unknown("output", other),
    }
}
