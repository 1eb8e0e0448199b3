//! Centre, spread, odd readings and gauge against panel, as the cases ask.
//!
//! Law: `lapwing_measure::statistics`.
//! Source: named in each case.
//! Holds: for the ranges those functions allow.
//! Left out: nothing is computed here.
//! Checked by: the cases.

use lapwing_measure::statistics::grubbs::{self, End};
use lapwing_measure::statistics::{anova, esd, summary};

use super::statistics::sides;
use super::{Inputs, Law, told, truth, unknown};

/// The laws of this room.
pub(crate) const LAWS: &[(&str, Law)] = &[
    ("summary", centre_and_spread),
    ("modified_z", modified_z),
    ("grubbs", grubbs_test),
    ("grubbs_critical", |i| {
        told(grubbs::critical(
            i.count("count")?,
            i.number("alpha_frac")?,
            sides(i)?,
        ))
    }),
    ("generalised_esd", generalised_esd),
    ("nested_anova", nested_anova),
];

fn centre_and_spread(i: &Inputs<'_>) -> Result<f64, String> {
    let found = told(summary::summary(&i.list("values")?))?;
    match i.word("output")? {
        "mean" => Ok(found.mean),
        "sd" => found
            .sd
            .ok_or_else(|| "one reading has no spread.".to_owned()),
        "median" => Ok(found.median),
        "mad" => Ok(found.mad),
        "robust_sd" => Ok(found.robust_sd),
        other => unknown("output", other),
    }
}

fn modified_z(i: &Inputs<'_>) -> Result<f64, String> {
    let scores = told(summary::modified_z(&i.list("values")?))?;
    let place = i.count("place")?;
    scores
        .get(place.wrapping_sub(1))
        .copied()
        .ok_or_else(|| format!("there is no reading {place}."))
}

fn grubbs_test(i: &Inputs<'_>) -> Result<f64, String> {
    let end = match i.word("end")? {
        "high" => End::High,
        "low" => End::Low,
        "either" => End::Either,
        other => return unknown("end", other),
    };
    let found = told(grubbs::test(
        &i.list("values")?,
        i.number("alpha_frac")?,
        end,
    ))?;
    match i.word("output")? {
        "value" => Ok(found.value),
        "statistic" => Ok(found.statistic),
        "critical" => Ok(found.critical),
        "is_outlier" => Ok(truth(found.is_outlier)),
        other => unknown("output", other),
    }
}

fn generalised_esd(i: &Inputs<'_>) -> Result<f64, String> {
    let found = told(esd::generalised_esd(
        &i.list("values")?,
        i.count("most_outliers")?,
        i.number("alpha_frac")?,
    ))?;
    let output = i.word("output")?;
    if output == "outliers" {
        return Ok(found.outliers().len() as f64);
    }
    let place = i.count("step")?;
    let step = found
        .steps
        .get(place.wrapping_sub(1))
        .ok_or_else(|| format!("there is no step {place}."))?;
    match output {
        "removed" => Ok(step.value),
        "statistic" => Ok(step.statistic),
        "critical" => Ok(step.critical),
        other => unknown("output", other),
    }
}

fn nested_anova(i: &Inputs<'_>) -> Result<f64, String> {
    let found = told(anova::nested(&i.lists("spots")?))?;
    let known = |value: Option<f64>| value.ok_or_else(|| "repeats never differ.".to_owned());
    match i.word("output")? {
        "grand_mean" => Ok(found.grand_mean),
        "repeatability_sd" => Ok(found.repeatability_sd),
        "between_spot_sd" => Ok(found.between_spot_sd),
        "mean_square_between" => Ok(found.mean_square_between),
        "mean_square_within" => Ok(found.mean_square_within),
        "f_ratio" => known(found.f_ratio),
        "p_value" => known(found.p_value),
        other => unknown("output", other),
    }
}
