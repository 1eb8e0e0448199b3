//! What the heat computation refuses, in sentences for a person wearing gloves.
//!
//! Law: none. Every sentence names what came, what is allowed and what to do.
//! Holds: for the whole folder.
//! Left out: the place in the user's file; whoever read the file adds it.
//! Checked by: the unit tests beside each refusal.

/// Why no temperature can be given.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum HeatError {
    /// No layers, or far too many.
    #[error(
        "layers: {came} came in, allowed is 1 to 64. List the layers from the outside inwards."
    )]
    LayerCount {
        /// How many came.
        came: usize,
    },
    /// A property of a layer is impossible.
    #[error(
        "layer \"{layer}\", {what}: {came} came in, allowed is {allowed}. Correct the layer or leave it out."
    )]
    Layer {
        /// The layer's name.
        layer: String,
        /// Which property.
        what: &'static str,
        /// What came, with its unit.
        came: String,
        /// The range, with its unit.
        allowed: String,
    },
    /// A number outside its range.
    #[error("{what}: {came} came in, allowed is {allowed}. {remedy}")]
    OutOfRange {
        /// Which quantity.
        what: &'static str,
        /// What came, with its unit.
        came: String,
        /// The range, with its unit.
        allowed: String,
        /// What to do.
        remedy: &'static str,
    },
    /// The flux table is not a table.
    #[error(
        "heat footprint: {came}. Give columns times rows values, each a finite number of W/m², none negative."
    )]
    Footprint {
        /// What is wrong with it.
        came: String,
    },
    /// The grid would not fit.
    #[error(
        "grid: {columns} by {rows} by {depths} cells would take about {megabytes:.0} MB, allowed is {allowed_megabytes:.0} MB. \
         Ask for {fits_columns} by {fits_rows} by {fits_depths} cells or fewer, or leave the grid to the program."
    )]
    TooManyCells {
        /// Cells along x.
        columns: usize,
        /// Cells along y.
        rows: usize,
        /// Cells through the depth.
        depths: usize,
        /// Memory it would take.
        megabytes: f64,
        /// Memory that is allowed.
        allowed_megabytes: f64,
        /// A grid that fits, along x.
        fits_columns: usize,
        /// A grid that fits, along y.
        fits_rows: usize,
        /// A grid that fits, through the depth.
        fits_depths: usize,
    },
    /// The run would take far too many steps.
    #[error(
        "time: {steps:.0} steps of {step_s} s would be needed, allowed are {allowed:.0}. Use a longer step or a shorter job."
    )]
    TooManySteps {
        /// How many steps.
        steps: f64,
        /// Their length.
        step_s: f64,
        /// How many are allowed.
        allowed: f64,
    },
    /// The run would take hours.
    #[error(
        "grid and time: {cells} cells for {steps:.0} steps are {cell_steps:.1e} cell steps, allowed are {allowed:.0e}, about half an hour. \
         Use steps of {} s or longer, fewer cells, or leave both to the program.",
        two_digits_up(*fits_step_s)
    )]
    TooMuchWork {
        /// Cells times steps.
        cell_steps: f64,
        /// How many cells.
        cells: usize,
        /// How many steps.
        steps: f64,
        /// How many cells times steps are allowed.
        allowed: f64,
        /// A step with which it fits.
        fits_step_s: f64,
    },
    /// The step asked for is unstable sideways.
    #[error(
        "time step: {step} s came in, but in this metal and on this grid heat runs over a cell so fast that more than \
         {longest_s:.3} s cannot be stepped. Use {longest_s:.3} s or less, or fewer cells.",
        step = four_decimals(*step_s)
    )]
    UnstableStep {
        /// The step asked for.
        step_s: f64,
        /// The longest that can be stepped.
        longest_s: f64,
    },
    /// The pad would jump over cells.
    #[error(
        "time step: {step_s} s came in, in which the pad runs {moves_mm:.0} mm and skips over what it heats. \
         Use {longest_s:.3} s or less."
    )]
    PadSkips {
        /// The step asked for.
        step_s: f64,
        /// How far the pad runs in it.
        moves_mm: f64,
        /// The longest allowed.
        longest_s: f64,
    },
    /// The path gave a place that is no number.
    #[error(
        "path: at {t_s} s the pad is at ({x_m}, {y_m}) m, which is no place. Correct the path."
    )]
    NoPlace {
        /// When.
        t_s: f64,
        /// Where along x.
        x_m: f64,
        /// Where along y.
        y_m: f64,
    },
    /// A result that cannot be scaled was asked to be.
    #[error(
        "scaling: only the heat of a panel that starts at the temperature of the air grows in step with the flux, and only \
         by a factor of zero or more. Compute this case anew."
    )]
    NotProportional,
    /// The caller asked to stop.
    #[error("heat: stopped before the end, as asked.")]
    Cancelled,
}

/// A number with at most four decimals: "0.1998" for 0.199839, "2" for 2.
fn four_decimals(value: f64) -> String {
    let written = format!("{value:.4}");
    written
        .trim_end_matches('0')
        .trim_end_matches('.')
        .to_owned()
}

/// A number in two digits, rounded up: "0.0018" for 0.00179.
fn two_digits_up(value: f64) -> String {
    let decimals = (1.0 - value.abs().log10().floor()).clamp(0.0, 9.0);
    let scale = 10_f64.powf(decimals);
    let digits = decimals as usize;
    format!("{:.digits$}", (value * scale).ceil() / scale)
}

/// The range of a number.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Allowed {
    what: &'static str,
    unit: &'static str,
    lowest: f64,
    highest: f64,
    remedy: &'static str,
}

/// A range from the quantity's name, its unit, lowest and highest value, and
/// what to do with anything else.
pub(crate) const fn allowed(
    what: &'static str,
    unit: &'static str,
    lowest: f64,
    highest: f64,
    remedy: &'static str,
) -> Allowed {
    Allowed {
        what,
        unit,
        lowest,
        highest,
        remedy,
    }
}

impl Allowed {
    /// The value, when it lies in the range.
    pub(crate) fn hold(self, value: f64) -> Result<f64, HeatError> {
        if value >= self.lowest && value <= self.highest {
            return Ok(value);
        }
        let unit = self.unit;
        Err(HeatError::OutOfRange {
            what: self.what,
            came: format!("{value} {unit}"),
            allowed: format!("{} to {} {unit}", self.lowest, self.highest),
            remedy: self.remedy,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_refusal_says_what_came_what_is_allowed_and_what_to_do() {
        let range = allowed(
            "arm speed",
            "m/s",
            0.0,
            10.0,
            "One inch a second is 0.0254 m/s.",
        );
        let sentence = range.hold(25.4).expect_err("too fast").to_string();
        assert_eq!(
            sentence,
            "arm speed: 25.4 m/s came in, allowed is 0 to 10 m/s. One inch a second is 0.0254 m/s."
        );
        assert!(range.hold(f64::NAN).is_err());
        assert_eq!(range.hold(0.0254), Ok(0.0254));
    }
}
