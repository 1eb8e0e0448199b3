//! Reads a working day from `DAY.toml`.
//!
//! Keys as in the contract: `[[use]]` with what, vibration,
//! vibration_uncertainty, noise, time; at the top `rule = "cautious"` (default)
//! or `"as-it-stands"`.
//! Checked by: the station's tests and the sentences below.

use lapwing_measure::quantity::{Acceleration, QuantityError, Written, sound_level_db};
use schemars::JsonSchema;
use serde::Deserialize;
use uom::si::acceleration::meter_per_second_squared;
use uom::si::time::hour;

use super::{Day, Use};
use crate::record::InputError;
use crate::record::file_kind::FileKind;
use crate::record::toml_fault::toml_fault;
use crate::record::written::Text;

/// Uncertainty of a declared vibration where nobody gave it, m/s²; assumed from
/// the habit of declarations.
const USUAL_UNCERTAINTY_M_S2: f64 = 1.5;

const HINT: &str =
    "Each machine is a [[use]] with what, vibration, vibration_uncertainty, noise and time.";

/// A working day: `DAY.toml`.
#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct WrittenDay {
    /// "cautious" (default: the declared uncertainty is added) or "as-it-stands".
    rule: Option<Text>,
    /// One for each machine.
    #[serde(default, rename = "use")]
    uses: Vec<WrittenUse>,
}

/// One machine and what it is used for.
#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct WrittenUse {
    /// What it is, for people.
    what: Option<Text>,
    /// Declared vibration, such as "4 m/s2".
    vibration: Text,
    /// Declared uncertainty, else "1.5 m/s2" is assumed; "0 m/s2" when the value already includes it.
    vibration_uncertainty: Option<Text>,
    /// Sound pressure level at the ear, such as "86 dB".
    noise: Text,
    /// Time on the trigger, such as "2.5 h".
    time: Text,
}

/// JSON Schema of a working day.
#[must_use]
pub fn schema() -> serde_json::Value {
    schemars::schema_for!(WrittenDay).to_value()
}

/// Reads a day.
///
/// # Errors
/// One sentence with line and column.
pub fn read_day(file: &str, text: &str) -> Result<Day, InputError> {
    let written: WrittenDay =
        toml::from_str(text).map_err(|e| toml_fault((file, text), &e, FileKind::Day, HINT))?;
    if written.uses.is_empty() {
        return Err(InputError::in_file(
            file,
            "the day has no [[use]]; add one for each machine, with vibration, noise and time.",
        ));
    }
    let is_cautious = match written.rule.as_ref() {
        None => true,
        Some(rule) => match rule.0.get_ref().as_str() {
            "cautious" => true,
            "as-it-stands" => false,
            other => {
                return Err(InputError::at_offset(
                    file,
                    text,
                    rule.0.span().start,
                    format!("rule \"{other}\" is not known. Allowed: cautious, as-it-stands."),
                ));
            }
        },
    };
    let uses = written
        .uses
        .iter()
        .map(|u| one_use(file, text, u))
        .collect::<Result<_, _>>()?;
    Ok(Day { uses, is_cautious })
}

fn one_use(file: &str, text: &str, written: &WrittenUse) -> Result<Use, InputError> {
    let fault = |at: &Text, sentence: String| {
        InputError::at_offset(file, text, at.0.span().start, sentence)
    };
    let within = |at: &Text, key: &str, value: f64, (most, unit, what): (f64, &str, &str)| {
        if (0.0..=most).contains(&value) {
            Ok(())
        } else {
            Err(fault(
                at,
                format!(
                    "{key} is \"{}\"; allowed is 0 to {most} {unit}, because {what}. Check the number and its unit.",
                    at.0.get_ref()
                ),
            ))
        }
    };
    let vibration: Acceleration = quantity(&written.vibration, "vibration", &fault)?;
    within(
        &written.vibration,
        "vibration",
        vibration.get::<meter_per_second_squared>(),
        (60.0, "m/s²", "no hand machine shakes harder"),
    )?;
    let vibration_uncertainty = match &written.vibration_uncertainty {
        Some(at) => {
            let spread: Acceleration = quantity(at, "vibration_uncertainty", &fault)?;
            within(
                at,
                "vibration_uncertainty",
                spread.get::<meter_per_second_squared>(),
                (30.0, "m/s²", "no declared uncertainty is larger"),
            )?;
            spread
        }
        None => Acceleration::new::<meter_per_second_squared>(USUAL_UNCERTAINTY_M_S2),
    };
    let noise_dba = sound_level_db(written.noise.0.get_ref())
        .map_err(|e| fault(&written.noise, format!("noise: {e}")))?;
    let loudest = (140.0, "dB(A)", "louder hurts at once");
    within(&written.noise, "noise", noise_dba, loudest)?;
    let time: lapwing_measure::quantity::Time = quantity(&written.time, "time", &fault)?;
    let longest = (24.0, "h", "a day has no more");
    within(&written.time, "time", time.get::<hour>(), longest)?;
    Ok(Use {
        what: written
            .what
            .as_ref()
            .map_or_else(|| "machine".to_owned(), |w| w.0.get_ref().clone()),
        vibration,
        vibration_uncertainty,
        is_uncertainty_assumed: written.vibration_uncertainty.is_none(),
        noise_dba,
        time,
    })
}

fn quantity<Q: Written>(
    at: &Text,
    key: &str,
    fault: &dyn Fn(&Text, String) -> InputError,
) -> Result<Q, InputError> {
    Q::read(at.0.get_ref()).map_err(|e: QuantityError| fault(at, format!("{key}: {e}")))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn refused(text: &str, expected: &str) {
        let error = read_day("day.toml", text).expect_err("refused").to_string();
        assert!(error.contains(expected), "{error}");
    }

    #[test]
    fn an_empty_day_a_missing_unit_and_a_long_day_are_refused() {
        refused("", "no [[use]]");
        refused(
            "[[use]]\nvibration = \"4\"\nnoise = \"86 dB\"\ntime = \"1 h\"\n",
            "line 2",
        );
        refused(
            "[[use]]\nvibration = \"4 m/s2\"\nnoise = \"86 dB\"\ntime = \"25 h\"\n",
            "allowed is 0 to 24 h",
        );
        refused(
            "[[use]]\nvibration = \"-4 m/s2\"\nnoise = \"86 dB\"\ntime = \"1 h\"\n",
            "allowed is 0 to 60",
        );
    }
}
