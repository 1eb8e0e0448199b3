//! What earlier trials have taught, on this car and in this shop, as a file a
//! person can read.
//!
//! Law: a number known up to a factor is lognormal; the factor f holds 19 times
//! in 20, so the spread of its logarithm is ln f / 1.959964.
//! Source: `lapwing_measure::estimate::NORMAL_975`.
//! Holds: for schema 1 of `history.toml`. Outside: refused with what came.
//! Left out: who did the trial, and when the pad was new.
//! Checked by: there and back, and refusals below.

use lapwing_measure::estimate::NORMAL_975;
use lapwing_measure::quantity::Length;
use schemars::JsonSchema;
use serde::Deserialize;
use uom::si::length::micrometer;

use super::InputError;
use super::file_kind::FileKind;
use super::job::{AbrasiveClass, Behaviour, Defects, PadClass};
use super::read::field::Reader;
use super::seen::{MOST_FACTOR, Seen};
use super::toml_fault::toml_fault;
use super::written::{Number, Text};

/// Written where the readings say nothing.
const NOTHING: &str = "nothing";

/// Friction shares that can be.
const FRICTION_RANGE: (f64, f64) = (0.01, 1.0);

/// A positive number known up to a factor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LogNormal {
    /// As likely above as below.
    pub median: f64,
    /// Standard deviation of its natural logarithm.
    pub ln_sd: f64,
}

impl LogNormal {
    /// From the factor that holds 19 times in 20 to either side.
    #[must_use]
    pub fn within_factor(median: f64, factor: f64) -> Self {
        Self {
            median,
            ln_sd: factor.ln() / NORMAL_975,
        }
    }

    /// The factor that holds 19 times in 20 to either side.
    #[must_use]
    pub fn factor(&self) -> f64 {
        (NORMAL_975 * self.ln_sd).exp()
    }

    /// Lower end, 95 %.
    #[must_use]
    pub fn lower_95(&self) -> f64 {
        self.median / self.factor()
    }

    /// Upper end, 95 %.
    #[must_use]
    pub fn upper_95(&self) -> f64 {
        self.median * self.factor()
    }
}

/// How deep a car's scratches are.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KnownDepths {
    /// The class of defects they are the depths of.
    pub defects: Defects,
    /// Half of the scratch length is shallower, µm (deep tail left out).
    pub median_um: f64,
    /// Spread of the logarithm of the depth.
    pub ln_spread: f64,
    /// Share of the scratch length in the deep tail, 0 to 1.
    pub deep_frac: f64,
}

/// One finished trial.
#[derive(Clone, Debug, PartialEq)]
pub struct KnownTrial {
    /// What the shop calls the car; may be empty.
    pub car: String,
    /// Class of the pad.
    pub pad: PadClass,
    /// Class of the abrasive.
    pub abrasive: AbrasiveClass,
    /// How the paint behaved.
    pub behaviour: Behaviour,
    /// Cut rate, 1/Pa, as it is known after the trial.
    pub cut_rate: LogNormal,
    /// What the readings alone say of the cut rate, 1/Pa.
    pub cut_rate_seen: Seen,
    /// Friction coefficient times the share of heat into the panel, as known.
    pub friction: Option<LogNormal>,
    /// What the readings alone say of it.
    pub friction_seen: Seen,
    /// Scratch depths.
    pub depths: Option<KnownDepths>,
}

/// What is known beyond the classes.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Calibration {
    /// Trials on this car.
    pub on_car: Vec<KnownTrial>,
    /// The shop's trials on other cars.
    pub history: Vec<KnownTrial>,
    /// The file of the shop's trials, as the job names it.
    pub history_file: Option<String>,
}

/// One trial as written in `job.toml` or `history.toml`.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WrittenTrial {
    /// What the shop calls the car.
    pub car: Option<Text>,
    /// Pad class: "wool", "microfibre", "foam-cutting", "foam-polishing" or
    /// "foam-finishing".
    pub pad: Text,
    /// Abrasive class: "heavy", "medium", "fine" or "finishing".
    pub abrasive: Text,
    /// How the paint behaved: "soft", "medium", "hard" or "sticky".
    pub behaviour: Option<Text>,
    /// Median cut rate: "4.1e-12 1/Pa".
    pub cut_rate: Text,
    /// The truth lies within times or divided by this, 19 times in 20.
    pub cut_rate_factor: Number,
    /// What the readings alone say, without what was believed before:
    /// "4.2e-12 1/Pa", or "nothing". Left out: the cut rate as it stands.
    pub cut_rate_seen: Option<Text>,
    /// Its factor, 19 times in 20.
    pub cut_rate_seen_factor: Option<Number>,
    /// Friction coefficient times the share of heat into the panel.
    pub friction_share: Option<Number>,
    /// Its factor, 19 times in 20.
    pub friction_factor: Option<Number>,
    /// What the thermometer alone says of it.
    pub friction_seen: Option<Number>,
    /// Its factor, 19 times in 20.
    pub friction_seen_factor: Option<Number>,
    /// What was mostly wrong where the depths were found: "light-swirls",
    /// "wash-swirls" or "deep-scratches".
    pub defects: Option<Text>,
    /// Half of the scratch length is shallower than this.
    pub scratch_median: Option<Text>,
    /// Spread of the logarithm of the scratch depth.
    pub scratch_spread: Option<Number>,
    /// Share of scratch length in the deep tail, 0 to 0.9.
    pub deep_share: Option<Number>,
}

/// Where a job finds the shop's trials.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WrittenCalibration {
    /// A `history.toml` beside the job.
    pub history: Option<Text>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenHistory {
    schema: Number,
    #[serde(default)]
    trial: Vec<WrittenTrial>,
}

/// Reads `history.toml`.
///
/// # Errors
/// One sentence with line and column.
pub fn read_history(file: &str, text: &str) -> Result<Vec<KnownTrial>, InputError> {
    let hint = "A history has \"schema = 1\" and any number of [[trial]].";
    let written: WrittenHistory =
        toml::from_str(text).map_err(|e| toml_fault((file, text), &e, FileKind::History, hint))?;
    let reader = Reader { file, text };
    if *written.schema.0.get_ref() != 1.0 {
        return Err(reader.fault(
            &written.schema.0,
            "this history names a schema other than 1, the only one understood; write \"schema = 1\".",
        ));
    }
    known_trials(&reader, &written.trial, Behaviour::Medium)
}

/// Understands written trials; a paint that is not named behaves like `usual`.
pub(crate) fn known_trials(
    reader: &Reader<'_>,
    written: &[WrittenTrial],
    usual: Behaviour,
) -> Result<Vec<KnownTrial>, InputError> {
    written.iter().map(|t| known(reader, t, usual)).collect()
}

fn known(
    reader: &Reader<'_>,
    written: &WrittenTrial,
    usual: Behaviour,
) -> Result<KnownTrial, InputError> {
    let rate = rate(reader, &written.cut_rate, "cut_rate")?;
    Ok(KnownTrial {
        car: written
            .car
            .as_ref()
            .map_or_else(String::new, |t| t.0.get_ref().clone()),
        pad: reader.word(&written.pad, "pad class", PadClass::WORDS)?,
        abrasive: reader.word(&written.abrasive, "abrasive class", AbrasiveClass::WORDS)?,
        behaviour: reader.word_or(
            written.behaviour.as_ref(),
            "behaviour",
            Behaviour::WORDS,
            usual,
        )?,
        cut_rate: LogNormal::within_factor(
            rate,
            factor(reader, &written.cut_rate_factor, "cut_rate_factor")?,
        ),
        cut_rate_seen: cut_rate_seen(reader, written)?,
        friction: friction(
            reader,
            (&written.friction_share, "friction_share"),
            (&written.friction_factor, "friction_factor"),
        )?,
        friction_seen: friction(
            reader,
            (&written.friction_seen, "friction_seen"),
            (&written.friction_seen_factor, "friction_seen_factor"),
        )?
        .map_or(Seen::Unsaid, Seen::Said),
        depths: depths(reader, written)?,
    })
}

fn rate(reader: &Reader<'_>, text: &Text, key: &str) -> Result<f64, InputError> {
    let rate = lapwing_measure::quantity::cut_rate(text.0.get_ref())
        .map_err(|e| reader.fault(&text.0, format!("{key}: {e}")))?;
    reader.within(text, key, (rate, "1/Pa"), (1e-14, 1e-9))?;
    Ok(rate)
}

fn factor(reader: &Reader<'_>, number: &Number, key: &str) -> Result<f64, InputError> {
    let what = format!("{key} (the truth lies within times or divided by this, 19 times in 20)");
    reader.number_within(number, &what, (1.001, MOST_FACTOR))
}

fn cut_rate_seen(reader: &Reader<'_>, written: &WrittenTrial) -> Result<Seen, InputError> {
    match (&written.cut_rate_seen, &written.cut_rate_seen_factor) {
        (None, None) => Ok(Seen::Unsaid),
        (Some(text), None) if text.0.get_ref().trim() == NOTHING => Ok(Seen::Nothing),
        (Some(text), Some(number)) if text.0.get_ref().trim() != NOTHING => {
            Ok(Seen::Said(LogNormal::within_factor(
                rate(reader, text, "cut_rate_seen")?,
                factor(reader, number, "cut_rate_seen_factor")?,
            )))
        }
        (Some(text), _) => Err(reader.fault(
            &text.0,
            "cut_rate_seen is either \"nothing\", alone, or a rate with its cut_rate_seen_factor.",
        )),
        (None, Some(number)) => Err(reader.fault(
            &number.0,
            "cut_rate_seen_factor came without cut_rate_seen; give both or neither.",
        )),
    }
}

fn friction(
    reader: &Reader<'_>,
    (share, share_key): (&Option<Number>, &str),
    (number, factor_key): (&Option<Number>, &str),
) -> Result<Option<LogNormal>, InputError> {
    match (share, number) {
        (Some(share), Some(number)) => Ok(Some(LogNormal::within_factor(
            reader.number_within(share, share_key, FRICTION_RANGE)?,
            factor(reader, number, factor_key)?,
        ))),
        (None, None) => Ok(None),
        (Some(one), None) | (None, Some(one)) => Err(reader.fault(
            &one.0,
            format!("{share_key} and {factor_key} belong together; give both or neither."),
        )),
    }
}

fn depths(reader: &Reader<'_>, written: &WrittenTrial) -> Result<Option<KnownDepths>, InputError> {
    let (Some(median), Some(spread)) = (&written.scratch_median, &written.scratch_spread) else {
        return match (&written.scratch_median, &written.scratch_spread) {
            (Some(one), None) => Err(reader.fault(
                &one.0,
                "scratch_median came without scratch_spread; give both or neither.",
            )),
            (None, Some(one)) => Err(reader.fault(
                &one.0,
                "scratch_spread came without scratch_median; give both or neither.",
            )),
            _ => Ok(None),
        };
    };
    let depth: Length = reader.quantity(median, "scratch_median")?;
    let median_um = depth.get::<micrometer>();
    reader.within(median, "scratch_median", (median_um, "µm"), (0.01, 50.0))?;
    Ok(Some(KnownDepths {
        defects: reader.word_or(
            written.defects.as_ref(),
            "defects",
            Defects::WORDS,
            Defects::WashSwirls,
        )?,
        median_um,
        ln_spread: reader.number_within(spread, "scratch_spread", (0.05, 3.0))?,
        deep_frac: reader.number_or(written.deep_share.as_ref(), "deep_share", (0.0, 0.9), 0.0)?,
    }))
}

/// Writes `history.toml`, so that it can be read back and by a person.
#[must_use]
pub fn written_history(trials: &[KnownTrial]) -> String {
    let mut text = String::from(
        "# What this shop's finished trials taught. Cut rates are medians; the truth\n# lies within times or divided by the factor, 19 times in 20. \"seen\" is what\n# the readings say without what was believed before: the shop learns from that.\nschema = 1\n",
    );
    for trial in trials {
        text.push('\n');
        text.push_str(&written_trial(trial));
    }
    text
}

/// One `[[trial]]`, for `history.toml` or `job.toml`.
#[must_use]
pub fn written_trial(trial: &KnownTrial) -> String {
    let mut lines = vec!["[[trial]]".to_owned()];
    if !trial.car.is_empty() {
        lines.push(format!("car = {}", toml::Value::from(trial.car.as_str())));
    }
    lines.push(format!("pad = \"{}\"", trial.pad.word()));
    lines.push(format!("abrasive = \"{}\"", trial.abrasive.word()));
    lines.push(format!("behaviour = \"{}\"", trial.behaviour.word()));
    lines.push(format!("cut_rate = \"{:.3e} 1/Pa\"", trial.cut_rate.median));
    lines.push(format!("cut_rate_factor = {:.3}", told(&trial.cut_rate)));
    match &trial.cut_rate_seen {
        Seen::Unsaid => {}
        Seen::Nothing => lines.push(format!("cut_rate_seen = \"{NOTHING}\"")),
        Seen::Said(seen) => {
            let median = seen.median.clamp(1e-14, 1e-9);
            lines.push(format!("cut_rate_seen = \"{median:.3e} 1/Pa\""));
            lines.push(format!("cut_rate_seen_factor = {:.3}", told(seen)));
        }
    }
    if let Some(friction) = &trial.friction {
        lines.push(format!("friction_share = {:.3}", friction.median));
        lines.push(format!("friction_factor = {:.3}", told(friction)));
        if let Seen::Said(seen) = &trial.friction_seen {
            let share = seen.median.clamp(FRICTION_RANGE.0, FRICTION_RANGE.1);
            lines.push(format!("friction_seen = {share:.3}"));
            lines.push(format!("friction_seen_factor = {:.3}", told(seen)));
        }
    }
    if let Some(depths) = &trial.depths {
        lines.push(format!("defects = \"{}\"", depths.defects.word()));
        lines.push(format!("scratch_median = \"{:.3} um\"", depths.median_um));
        lines.push(format!("scratch_spread = {:.3}", depths.ln_spread));
        lines.push(format!("deep_share = {:.3}", depths.deep_frac));
    }
    lines.join("\n") + "\n"
}

/// The factor inside what the reader takes.
fn told(number: &LogNormal) -> f64 {
    number.factor().clamp(1.001, MOST_FACTOR)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn trial() -> KnownTrial {
        KnownTrial {
            car: "grey \"estate\"".to_owned(),
            pad: PadClass::FoamCutting,
            abrasive: AbrasiveClass::Medium,
            behaviour: Behaviour::Hard,
            cut_rate: LogNormal::within_factor(4.125e-12, 1.25),
            cut_rate_seen: Seen::Said(LogNormal::within_factor(4.25e-12, 1.3)),
            friction: Some(LogNormal::within_factor(0.31, 1.4)),
            friction_seen: Seen::Said(LogNormal::within_factor(0.33, 1.5)),
            depths: Some(KnownDepths {
                defects: Defects::DeepScratches,
                median_um: 1.125,
                ln_spread: 0.625,
                deep_frac: 0.0625,
            }),
        }
    }

    #[test]
    fn a_history_goes_there_and_back() {
        let plain = KnownTrial {
            car: String::new(),
            cut_rate_seen: Seen::Nothing,
            friction: None,
            friction_seen: Seen::Unsaid,
            depths: None,
            ..trial()
        };
        let text = written_history(&[trial(), plain.clone()]);
        let back = read_history("history.toml", &text).expect("reads what it wrote");
        assert_eq!(written_history(&back), text, "the same file again");
        assert_eq!(back.len(), 2);
        assert!((back[0].cut_rate.median / 4.125e-12 - 1.0).abs() < 5e-4);
        assert!((back[0].cut_rate.ln_sd - trial().cut_rate.ln_sd).abs() < 5e-4);
        assert_eq!(back[1].friction, None);
        assert_eq!(back[1].cut_rate_seen, Seen::Nothing);
        assert!(matches!(back[0].cut_rate_seen, Seen::Said(s) if (s.factor() - 1.3).abs() < 1e-9));
        assert!(matches!(back[0].friction_seen, Seen::Said(s) if (s.median - 0.33).abs() < 1e-12));
        assert_eq!(back[0].car, trial().car);
    }

    #[test]
    fn a_factor_of_two_is_a_spread_of_0_3537() {
        let known = LogNormal::within_factor(4.0, 2.0);
        // ln 2 / 1.959964
        assert!((known.ln_sd - 0.353_653).abs() < 1e-6);
        assert!((known.upper_95() - 8.0).abs() < 1e-12 && (known.lower_95() - 2.0).abs() < 1e-12);
    }

    #[test]
    fn an_empty_history_is_an_empty_list() {
        assert_eq!(read_history("h.toml", "schema = 1\n"), Ok(Vec::new()));
    }

    #[test]
    fn refuses_what_it_does_not_understand_with_its_place() {
        let good = written_history(&[trial()]);
        for (came, instead, says) in [
            ("schema = 1", "schema = 2", "schema other than 1"),
            ("1/Pa", "Pa", "cut_rate"),
            (
                "cut_rate_factor = 1.250",
                "cut_rate_factor = 0.5",
                "19 times in 20",
            ),
            ("friction_factor = 1.400\n", "", "belong together"),
            ("cut_rate_seen_factor = 1.300\n", "", "\"nothing\", alone"),
            (
                "cut_rate_seen = \"4.250e-12 1/Pa\"\n",
                "",
                "without cut_rate_seen",
            ),
            ("scratch_spread = 0.625\n", "", "without scratch_spread"),
            (
                "foam-cutting",
                "foam-cuting",
                "did you mean \"foam-cutting\"?",
            ),
            ("car =", "carr =", "carr"),
        ] {
            let text = good.replace(came, instead);
            let error = read_history("h.toml", &text).expect_err(came);
            assert!(error.line.is_some(), "{error}");
            assert!(error.to_string().contains(says), "{error}");
        }
    }
}
