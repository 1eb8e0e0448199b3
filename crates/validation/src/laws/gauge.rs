//! What a gauge can see, who was painted again, what is left inside its bounds.
//!
//! Law: `lapwing_measure::statistics` and `lapwing_job::budget`.
//! Source: named in each case.
//! Holds: for the ranges those functions allow.
//! Left out: nothing is computed here.
//! Checked by: the cases.

use lapwing_job::budget::clear::clear_left;
use lapwing_job::budget::{Evidence, LayerPrior, Removed};
use lapwing_measure::statistics::mixture::{
    Beliefs, Bell, Observation, Point, SpreadBelief, mixture,
};
use lapwing_measure::statistics::operators::operators;
use lapwing_measure::statistics::sample_size::Plan;
use lapwing_measure::statistics::step::{StepBeliefs, log_evidence};
use lapwing_measure::statistics::{change_seen, density, quantile};

use super::{Inputs, Law, told, unknown};

/// The laws of this room.
pub(crate) const LAWS: &[(&str, Law)] = &[
    ("cut_normal", cut_normal),
    ("clear_left_evidence", clear_left_evidence),
    ("two_populations", two_populations),
    ("step_evidence", step_evidence),
    ("operators", operator_share),
    ("change_seen", |i| {
        let plan = Plan {
            alpha_frac: i.number("alpha_frac")?,
            power_frac: i.number("power_frac")?,
            ..Plan::for_gauge(i.number("repeatability")?, 1.0)
        };
        told(change_seen::change_seen(&plan, i.count("pairs")?))
    }),
    ("chi_squared_cdf", |i| {
        told(quantile::chi_squared_cdf(
            i.number("value")?,
            i.number("freedom")?,
        ))
    }),
];

fn cut_normal(i: &Inputs<'_>) -> Result<f64, String> {
    let found = told(density::cut_normal(
        (i.number("mean")?, i.number("sd")?),
        (i.number("low")?, i.number("high")?),
        &[i.number("share_frac")?],
    ))?;
    match i.word("output")? {
        "mean" => Ok(found.mean),
        "sd" => Ok(found.sd),
        "quantile" => Ok(found.quantiles[0]),
        other => unknown("output", other),
    }
}

/// A layer reading with a deviation of 0 is none.
fn clear_left_evidence(i: &Inputs<'_>) -> Result<f64, String> {
    let prior = LayerPrior {
        clear_um: i.number("clear_um")?,
        clear_sd_um: i.number("clear_sd_um")?,
        rest_um: i.number("rest_um")?,
        rest_sd_um: i.number("rest_sd_um")?,
    };
    let layer = (i.number("layer_um")?, i.number("layer_sd_um")?);
    let left = clear_left(
        &prior,
        &Evidence {
            total_um: Some(i.number("total_um")?),
            gauge_um: i.number("gauge_um")?,
            removed: Removed::recorded(i.number("removed_um")?, i.number("removed_sd_um")?),
            top_layer_um: Some(layer).filter(|(_, sd)| *sd > 0.0),
            confidence: i.number("confidence_frac")?,
        },
    );
    match i.word("output")? {
        "mean" => Ok(left.mean),
        "sd" => Ok(left.sd),
        "lower" => Ok(left.lower_95),
        other => unknown("output", other),
    }
}

/// Without any belief: the plain mixture of two normals.
fn two_populations(i: &Inputs<'_>) -> Result<f64, String> {
    let rows = i.lists("covariates")?;
    let (values, variances) = (i.list("values")?, i.list("variances")?);
    let observations: Vec<Observation> = rows
        .iter()
        .zip(values.iter().zip(&variances))
        .map(|(row, (value, variance))| Observation {
            value: *value,
            variance: *variance,
            covariates: row.clone(),
            is_first: false,
        })
        .collect();
    let start = Point {
        coefficients: i.list("start_coefficients")?,
        shift: i.number("start_shift")?,
        spreads: [i.number("start_first_sd")?, i.number("start_second_sd")?],
        share_frac: i.number("start_share_frac")?,
    };
    let found = told(mixture(
        &observations,
        &no_beliefs(start.coefficients.len()),
        &start,
    ))?;
    match i.word("output")? {
        "first_middle" => Ok(found.point.coefficients[0]),
        "slope" => Ok(found.point.coefficients[1]),
        "second_middle" => Ok(found.point.coefficients[0] + found.point.shift),
        "first_sd" => Ok(found.point.spreads[0]),
        "second_sd" => Ok(found.point.spreads[1]),
        "share_frac" => Ok(found.point.share_frac),
        "log_likelihood" => Ok(found.log_likelihood),
        other => unknown("output", other),
    }
}

fn no_beliefs(coefficients: usize) -> Beliefs {
    let open = Bell {
        mean: 0.0,
        sd: f64::INFINITY,
    };
    let spread = SpreadBelief {
        sd: 1.0,
        worth: 0.0,
    };
    Beliefs {
        coefficients: vec![open; coefficients],
        shift: open,
        least_shift: f64::NEG_INFINITY,
        spreads: [spread; 2],
        counts: [0.0; 2],
        stray: None,
    }
}

/// `after` is the place before the step, from 1; 0 asks for no step.
fn step_evidence(i: &Inputs<'_>) -> Result<f64, String> {
    let row: Vec<(f64, f64)> = i
        .list("places")?
        .into_iter()
        .zip(i.list("values")?)
        .collect();
    let beliefs = StepBeliefs {
        level_sd: i.number("level_sd")?,
        slope_sd: i.number("slope_sd")?,
        step_sd: i.number("step_sd")?,
        noises: Vec::new(),
        chance_frac: 0.5,
        least_side: 1,
    };
    log_evidence(
        &row,
        i.count("after")?.checked_sub(1),
        i.number("noise")?,
        &beliefs,
    )
    .ok_or_else(|| "the row has no evidence.".to_owned())
}

/// Readings one by one, with the number of their spot and of their operator.
fn operator_share(i: &Inputs<'_>) -> Result<f64, String> {
    let mut spots: Vec<Vec<Vec<f64>>> = Vec::new();
    let numbered = i.list("spots")?.into_iter().zip(i.list("operators")?);
    for ((spot, operator), value) in numbered.zip(i.list("values")?) {
        let (spot, operator) = (spot as usize, operator as usize);
        spots.resize(spots.len().max(spot + 1), Vec::new());
        let hands = &mut spots[spot];
        hands.resize(hands.len().max(operator + 1), Vec::new());
        hands[operator].push(value);
    }
    let found = told(operators(&spots))?;
    match i.word("output")? {
        "mean_square_operators" => Ok(found.mean_square_operators),
        "mean_square_within" => Ok(found.mean_square_within),
        "operator_freedom" => Ok(found.operator_freedom),
        "repeatability_sd" => Ok(found.repeatability_sd),
        "operator_sd" => Ok(found.operator_sd),
        other => unknown("output", other),
    }
}
