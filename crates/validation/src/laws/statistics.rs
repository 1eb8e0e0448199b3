//! Sample sizes, t tests and tolerance factors, as the cases ask for them.
//!
//! Law: `lapwing_measure::statistics`.
//! Source: named in each case.
//! Holds: for the ranges those functions allow.
//! Left out: nothing is computed here.
//! Checked by: the cases.

use lapwing_measure::statistics::sample_size::{self, Plan};
use lapwing_measure::statistics::t_test::{self, Group, TTest};
use lapwing_measure::statistics::tolerance::{self, Limits};
use lapwing_measure::statistics::{Sides, noncentral_t, quantile};

use super::{Inputs, Law, told, unknown};

/// The laws of this room.
pub(crate) const LAWS: &[(&str, Law)] = &[
    ("pairs_needed", |i| {
        Ok(told(sample_size::pairs_needed(&plan(i)?))?.pairs as f64)
    }),
    ("pairs_power", |i| {
        told(sample_size::power(&plan(i)?, i.count("pairs")?))
    }),
    ("pairs_normal_formula", |i| {
        told(sample_size::normal_formula(&plan(i)?))
    }),
    ("half_width_in_deviations", |i| {
        told(sample_size::half_width_in_deviations(
            i.count("pairs")?,
            i.number("confidence_frac")?,
        ))
    }),
    ("t_quantile", |i| {
        told(quantile::student_t(
            i.number("probability_frac")?,
            i.number("freedom")?,
        ))
    }),
    ("noncentral_t_cdf", noncentral_t_cdf),
    ("paired_t", |i| {
        output(
            i,
            &told(t_test::paired(&i.list("before")?, &i.list("after")?, 0.95))?,
        )
    }),
    ("welch_t", |i| {
        output(
            i,
            &told(t_test::welch(group(i, "first")?, group(i, "second")?, 0.95))?,
        )
    }),
    ("pooled_t", |i| {
        output(
            i,
            &told(t_test::pooled(
                group(i, "first")?,
                group(i, "second")?,
                0.95,
            ))?,
        )
    }),
    ("pooled_sd", |i| {
        told(t_test::pooled_sd(group(i, "first")?, group(i, "second")?))
    }),
    ("tolerance_factor", tolerance_factor),
];

/// How many sides a test looks at.
pub(crate) fn sides(i: &Inputs<'_>) -> Result<Sides, String> {
    match i.count("sides")? {
        1 => Ok(Sides::One),
        2 => Ok(Sides::Two),
        other => unknown("number of sides", &other.to_string()),
    }
}

fn plan(i: &Inputs<'_>) -> Result<Plan, String> {
    let plan = Plan::for_gauge(i.number("repeatability")?, i.number("difference")?);
    Ok(Plan {
        power_frac: i.number("power_frac")?,
        alpha_frac: i.number("alpha_frac")?,
        sides: sides(i)?,
        ..plan
    })
}

fn noncentral_t_cdf(i: &Inputs<'_>) -> Result<f64, String> {
    told(noncentral_t::cdf(
        i.number("t")?,
        i.number("freedom")?,
        i.number("noncentrality")?,
    ))
}

/// A group given as its readings, or as `[count, mean, sd]` under `..._summary`.
fn group(i: &Inputs<'_>, name: &str) -> Result<Group, String> {
    let Ok(summary) = i.list(&format!("{name}_summary")) else {
        return told(Group::of(&i.list(name)?));
    };
    match summary[..] {
        [count, mean, sd] => Ok(Group {
            count: count as usize,
            mean,
            sd,
        }),
        _ => Err(format!(
            "`{name}_summary` is not count, mean and deviation."
        )),
    }
}

fn output(i: &Inputs<'_>, test: &TTest) -> Result<f64, String> {
    match i.word("output")? {
        "difference" => Ok(test.difference),
        "statistic" => Ok(test.statistic),
        "freedom" => Ok(test.freedom),
        "p_two_sided" => Ok(test.p_two_sided),
        "p_greater" => Ok(test.p_greater),
        "lower" => Ok(test.lower),
        "upper" => Ok(test.upper),
        other => unknown("output", other),
    }
}

fn tolerance_factor(i: &Inputs<'_>) -> Result<f64, String> {
    let limits = Limits {
        count: i.count("count")?,
        coverage_frac: i.number("coverage_frac")?,
        confidence_frac: i.number("confidence_frac")?,
    };
    told(match i.word("method")? {
        "howe_two_sided" => tolerance::howe_two_sided(&limits),
        "exact_two_sided" => tolerance::exact_two_sided(&limits),
        "exact_one_sided" => tolerance::exact_one_sided(&limits),
        "approximate_one_sided" => tolerance::approximate_one_sided(&limits),
        other => return unknown("method", other),
    })
}
