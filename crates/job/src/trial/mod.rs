//! What one spot taught: how much went, how fast this paint cuts, how deep its
//! scratches are, and so what a correction will cost.
//!
//! Law: Bayes' rule over the model of [`evidence`]; see [`posterior`]. What a
//! pass does on paper comes from the bench's laws.
//! Source: see each file.
//! Holds: one setup, one spot, all passes alike.
//! Left out: marks left by the pad; healing of scratches by warmth.
//! Checked by: closed forms, simulation-based calibration, coverage, a plain
//! grid in numpy, and the anchor of 2.5 to 3 µm in four passes, in the tests.

mod advice;
pub mod curve;
pub mod density;
mod doubts;
pub mod evidence;
mod learnt;
pub mod pairs;
pub mod pooling;
pub mod posterior;
pub mod prior;
mod read;
pub mod result;
mod scratches;
mod written;

use lapwing_measure::Provenance;
use lapwing_measure::estimate::NORMAL_95;

pub use self::read::{KnownFilm, Trial, read_trial};
pub use self::result::TrialResult;
pub use self::written::trial_schema;

use self::curve::{Costs, GoneCurve, Line};
use self::evidence::{Evidence, Warmth};
use self::learnt::{cut_rate_of, floor_of, friction_of, scratch_depth, sd_over_mean, teaching};
use self::pairs::Removed;
use self::posterior::{DRAWS, Posterior, infer};
use self::prior::{Belief, Believed, UNIT_CUT_RATE};
use self::result::{Learnt, Range, Told};
use crate::bench::setup::Origin;
use crate::bench::{Repeated, repeated};
use crate::budget::{ClearLeft, film_rules};
use crate::record::calibration::LogNormal;
use crate::record::job::Rules;
use crate::record::{InputError, Said};

/// Most passes the curve shows, and the heat is worked out for.
const MOST_PASSES: u32 = 24;

/// Corrections whose cost is told, beside the wish.
const TOLD_FRACS: [f64; 5] = [0.70, 0.80, 0.85, 0.90, 0.95];

/// Works out a trial.
///
/// # Errors
/// A sentence when a law refuses the setup, or the readings cannot be true.
pub fn trial(trial: &Trial) -> Result<TrialResult, InputError> {
    let refuse = |sentence: String| InputError::in_file(trial.file.as_str(), sentence);
    let paper = repeated(&trial.setup.clone().quickened(), MOST_PASSES)?;
    let removed = removed(trial);
    doubts::time_is_possible(trial, paper.pass_s * f64::from(paper.passes)).map_err(refuse)?;
    doubts::paint_does_not_grow(removed.as_ref()).map_err(refuse)?;
    let gauge_um = removed
        .and_then(|r| r.larger_gauge_um())
        .unwrap_or(trial.gauge_um);
    let (cut, friction) = believed(trial);
    let belief = Belief {
        cut_rate: cut.number,
        friction: friction.number,
        depths: prior::depths(trial.defects),
        floor: prior::PHOTO_FLOOR,
    };
    let evidence = evidence(trial, &paper, gauge_um);
    let known = infer(&belief, &evidence).map_err(refuse)?;
    let mut cautions = trial.cautions.clone();
    cautions.extend(doubts::pauses(
        trial,
        paper.pass_s * f64::from(paper.passes),
    ));
    cautions.extend(doubts::doubts(
        trial,
        removed.as_ref(),
        &known,
        (&belief, &evidence),
    ));
    let mut result = told(
        trial,
        &paper,
        (removed, gauge_um),
        (&known, &belief, &evidence),
    );
    result.cut_rate_per_pa.told_before(cut);
    result.friction_share.told_before(friction);
    result.cautions = cautions;
    result.advised = advice::advice(&result, trial);
    result.advice = result.advised.iter().map(Said::english).collect();
    Ok(result)
}

fn removed(trial: &Trial) -> Option<Removed> {
    let (before, after): (Vec<f64>, Vec<f64>) = trial.readings_um.iter().copied().unzip();
    Removed::of(&before, &after, trial.gauge_um)
}

/// What is believed of cut rate and friction: given, the shop's, or the class's.
fn believed(trial: &Trial) -> (Believed, Believed) {
    let given = |number: LogNormal| Believed {
        number,
        provenance: Provenance::Assumed,
        origin: "given as prior",
    };
    (
        trial
            .cut_rate
            .map_or_else(|| prior::cut_rate(trial.class, &trial.history), given),
        trial
            .friction
            .map_or_else(|| prior::friction(Some(trial.class), &trial.history), given),
    )
}

fn evidence(trial: &Trial, paper: &Repeated, gauge_um: f64) -> Evidence {
    let done = paper.passes as usize;
    let warmth = trial.surface.and_then(|(surface_c, sd_k)| {
        let unit_rise_k = *paper.unit_rise_k.get(done - 1)?;
        Some(Warmth {
            rise_k: surface_c - paper.start_c,
            unit_rise_k,
            sd_k,
        })
    });
    Evidence {
        pass_um: paper.pass_um,
        passes: f64::from(paper.passes),
        uneven_frac: paper.uneven_frac,
        pairs_um: trial.readings_um.iter().map(|(b, a)| b - a).collect(),
        gauge_um,
        gauge_freedom: Some(prior::GAUGE_FREEDOM),
        photos: trial.photos.clone(),
        warmth,
    }
}

fn told(
    trial: &Trial,
    paper: &Repeated,
    (removed, gauge_um): (Option<Removed>, f64),
    (known, belief, evidence): (&Posterior, &Belief, &Evidence),
) -> TrialResult {
    let cut_rate = cut_rate_of(known, belief, evidence);
    let pass_um = paper.pass_um * cut_rate.mean / UNIT_CUT_RATE;
    let scaled = |times: f64| Range {
        mean: pass_um * times,
        lower_95: pass_um * times * cut_rate.lower_95 / cut_rate.mean,
        upper_95: pass_um * times * cut_rate.upper_95 / cut_rate.mean,
        provenance: cut_rate.provenance,
    };
    let (budget_um, binding_rule) = budget_of(&trial.film);
    let friction = friction_of(known, belief, evidence);
    let costs = Costs {
        pass_um,
        lower_over_mean: cut_rate.lower_95 / cut_rate.mean,
        upper_over_mean: cut_rate.upper_95 / cut_rate.mean,
        sd_over_mean: sd_over_mean(known),
        pass_min: pace(trial, paper) * paper.pass_s / 60.0,
        clear_um: trial.film.clear_um,
        budget_um,
        peaks_c: peaks_c(paper, &friction),
    };
    let smooth = GoneCurve::of(&known.draws);
    let depth = scratch_depth(&smooth, known, (belief, evidence));
    let wishes = wishes(trial);
    TrialResult {
        name: trial.name.clone(),
        about: trial.about.clone(),
        removed_um: removed,
        removed_inferred_um: scaled(f64::from(paper.passes)),
        detectable: removed.is_some_and(|r| r.is_detectable()),
        pairs_needed_for_1um: pairs::needed(gauge_um, 1.0),
        pairs_needed_for_this: removed
            .filter(|r| r.mean > 0.0)
            .and_then(|r| pairs::needed(gauge_um, r.mean)),
        gauge_um,
        friction_share: friction,
        photo_floor_mm_per_mm2: (!trial.photos.is_empty()).then(|| floor_of(known, belief)),
        pass_um: scaled(1.0),
        pass_s: costs.pass_min * 60.0,
        curve: points(&costs, known, &smooth),
        targets: wishes.iter().map(|w| costs.target(&smooth, *w)).collect(),
        knee: smooth.knee(),
        safe_um: costs.safe_um(),
        posterior: Told {
            draws: DRAWS,
            effective_sample_size: known.standing_frac * DRAWS as f64,
            cut_rate_bits: known.bits.cut_rate,
            friction_bits: known.bits.friction,
        },
        advice: Vec::new(),
        advised: Vec::new(),
        cautions: Vec::new(),
        provenance: still_given(&trial.origins),
        calibration: teaching(trial, known, (belief, evidence)),
        smooth: smooth.places,
        scratch_depth_um: depth,
        cut_rate_per_pa: cut_rate,
        budget_um,
        binding_rule,
    }
}

/// The usual corrections and the wish.
fn wishes(trial: &Trial) -> Vec<f64> {
    let mut wishes = TOLD_FRACS.to_vec();
    if !wishes.iter().any(|w| (w - trial.wish_frac).abs() < 1e-9) {
        wishes.push(trial.wish_frac);
        wishes.sort_by(f64::total_cmp);
    }
    wishes
}

/// Minutes on the clock over minutes on paper.
fn pace(trial: &Trial, paper: &Repeated) -> f64 {
    trial
        .time_s
        .map_or(1.0, |s| s / (paper.pass_s * f64::from(paper.passes)))
}

/// Best guess and upper end of the surface after pass 1, 2, ...
fn peaks_c(paper: &Repeated, friction: &Learnt) -> Vec<(f64, f64)> {
    paper
        .unit_rise_k
        .iter()
        .map(|k| {
            (
                paper.start_c + k * friction.mean,
                paper.start_c + k * friction.upper_95,
            )
        })
        .collect()
}

/// Rows up to 97 % or a little beyond the wall, at most 24, whole passes.
fn points(costs: &Costs, known: &Posterior, smooth: &GoneCurve) -> Vec<curve::CurvePoint> {
    let most = smooth.film_for(0.97, Line::Mean).unwrap_or(60.0);
    let wall = costs.budget_um.map_or(0.0, |um| 1.15 * um.min(60.0));
    let passes = (most.max(wall) / costs.pass_um).ceil();
    let passes = if passes.is_finite() {
        passes.clamp(4.0, 400.0)
    } else {
        4.0
    };
    let stride = (passes / f64::from(MOST_PASSES)).ceil();
    let rows = (passes / stride).ceil() as u32;
    (1..=rows)
        .map(|row| costs.point(&known.draws, stride * f64::from(row)))
        .collect()
}

/// What may go: given, or from the clear left by the usual rules.
fn budget_of(film: &KnownFilm) -> (Option<f64>, Option<String>) {
    if let Some(um) = film.budget_um {
        return (Some(um), Some("given".to_owned()));
    }
    let Some((mean, sd)) = film.clear_um else {
        return (None, None);
    };
    let clear = ClearLeft {
        mean,
        sd,
        lower_95: mean - NORMAL_95 * sd,
        provenance: Provenance::Assumed,
    };
    let rules = film_rules(&Rules::default(), &clear, None, film.removed_before_um);
    rules
        .into_iter()
        .filter(|r| r.is_in_force)
        .filter_map(|r| r.allows_um.map(|um| (um, r.name)))
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .map_or((None, None), |(um, name)| (Some(um), Some(name)))
}

/// Where the numbers come from, without those the trial itself found.
fn still_given(origins: &[Origin]) -> Vec<Origin> {
    let is_found = |key: &str| {
        ["cut_rate", "friction_share"]
            .iter()
            .any(|k| key.ends_with(k))
    };
    origins
        .iter()
        .filter(|o| !is_found(&o.key))
        .cloned()
        .collect()
}

#[cfg(test)]
mod tests;
