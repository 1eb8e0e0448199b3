//! Fields from scattered readings, as the cases ask for them.
//!
//! Law: `lapwing_measure::statistics::field`.
//! Source: named in each case.
//! Holds: for one kernel and one noise variance for all readings; the level of
//! the field is zero or unknown.
//! Left out: nothing is computed here.
//! Checked by: the cases.

use lapwing_measure::statistics::field::{
    Choice, Draws, Joint, Kernel, Lattice, Level, Observations, Process, Repeated, Shape, Site,
    log_likelihood, reading_gains,
};

use super::{Inputs, Law, told, unknown};

/// The laws of this room.
pub(crate) const LAWS: &[(&str, Law)] = &[
    ("gaussian_field", gaussian_field),
    ("field_on_lattice", field_on_lattice),
    ("field_slope", field_slope),
    ("field_left_out", field_left_out),
    ("reading_gain", reading_gain),
];

/// Places, values and kernel of a question.
struct Asked {
    sites: Vec<Site>,
    values: Vec<f64>,
    kernel: Kernel,
    level: Level,
    noise_variance: f64,
}

impl Asked {
    fn of(i: &Inputs<'_>) -> Result<Self, String> {
        let shape = match i.word("shape")? {
            "matern-3/2" => Shape::Matern32,
            "matern-5/2" => Shape::Matern52,
            "squared-exponential" => Shape::SquaredExponential,
            "spherical" => Shape::Spherical,
            other => return unknown("shape", other),
        };
        let level = match i.word("level")? {
            "zero" => Level::Known(0.0),
            "unknown" => Level::Unknown,
            other => return unknown("level", other),
        };
        let pairs = i.list("u")?.into_iter().zip(i.list("v")?);
        Ok(Self {
            sites: pairs.map(|(u, v)| [u, v]).collect(),
            values: i.list("values")?,
            kernel: Kernel {
                shape,
                sd: i.number("sd")?,
                range_u: i.number("range_u")?,
                range_v: i.number("range_v")?,
            },
            level,
            noise_variance: i.number("noise_variance")?,
        })
    }

    fn field(&self) -> Result<Process, String> {
        let noises = vec![self.noise_variance; self.values.len()];
        told(Process::condition(
            self.kernel,
            self.level,
            Observations {
                sites: &self.sites,
                values: &self.values,
                noise_variances: &noises,
            },
        ))
    }
}

fn gaussian_field(i: &Inputs<'_>) -> Result<f64, String> {
    let asked = Asked::of(i)?;
    let field = asked.field()?;
    let output = i.word("output")?;
    if output == "log_likelihood" {
        return Ok(field.log_likelihood());
    }
    let there = field.predict([i.number("at_u")?, i.number("at_v")?]);
    match output {
        "mean" => Ok(there.mean),
        "sd" => Ok(there.sd),
        "variance" => Ok(there.sd * there.sd),
        "variance_of_reading" => Ok(there.sd * there.sd + asked.noise_variance),
        other => unknown("output", other),
    }
}

/// One cell of a lattice that is filled in between every fourth place.
fn field_on_lattice(i: &Inputs<'_>) -> Result<f64, String> {
    let field = Asked::of(i)?.field()?;
    let (row, column) = (i.count("row")?, i.count("column")?);
    let lattice = Lattice {
        first: [i.number("first_u")?, i.number("first_v")?],
        step: i.number("step")?,
        columns: i.count("columns")?,
        rows: i.count("rows")?,
    };
    if row >= lattice.rows || column >= lattice.columns {
        return Err(format!("there is no place {row}, {column}."));
    }
    let films = lattice.fill(i.number("tolerance")?, |sites| field.predict_all(sites));
    let there = films[row * lattice.columns + column];
    match i.word("output")? {
        "mean" => Ok(there.mean),
        "sd" => Ok(there.sd),
        other => unknown("output", other),
    }
}

fn field_slope(i: &Inputs<'_>) -> Result<f64, String> {
    let asked = Asked::of(i)?;
    let repeats = vec![1.0; asked.values.len()];
    let seen = Repeated {
        sites: &asked.sites,
        values: &asked.values,
        repeats: &repeats,
        level: asked.level,
    };
    let (value, slopes) = told(log_likelihood(
        &seen,
        asked.kernel,
        asked.noise_variance.sqrt(),
    ))?;
    match i.word("by")? {
        "nothing" => Ok(value),
        "ln_sd" => Ok(slopes[0]),
        "ln_range_u" => Ok(slopes[1]),
        "ln_range_v" => Ok(slopes[2]),
        "ln_noise_sd" => Ok(slopes[3]),
        other => unknown("slope by", other),
    }
}

fn field_left_out(i: &Inputs<'_>) -> Result<f64, String> {
    let all = Asked::of(i)?.field()?.leave_one_out();
    let place = i.count("place")?;
    let one = all
        .get(place.wrapping_sub(1))
        .ok_or_else(|| format!("there is no reading {place}."))?;
    match i.word("output")? {
        "mean" => Ok(one.mean),
        "sd" => Ok(one.sd),
        other => unknown("output", other),
    }
}

/// One place, read once more.
fn reading_gain(i: &Inputs<'_>) -> Result<f64, String> {
    let (mean, sd) = (i.number("mean")?, i.number("sd")?);
    let joint = told(Joint::new(&[mean, mean], &[sd * sd; 4]))?;
    let choice = Choice {
        threshold: i.number("threshold")?,
        weight: i.number("weight")?,
        noise_sd: i.number("noise_sd")?,
    };
    let draws = Draws::new(1, i.count("draw_pairs")?, 3);
    let (_, gains) = told(reading_gains(&joint, 1, &choice, &draws))?;
    Ok(gains[0])
}
