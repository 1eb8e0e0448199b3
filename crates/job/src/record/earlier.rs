//! The visit before, as its hand-over record tells it: what was ever taken off
//! each panel, what film was left, what trials on this paint taught.
//!
//! Law: removed before = removed ever by the record + visits named since;
//! their deviations add as squares.
//! Source: own; errors that do not depend on each other add as squares.
//! Holds: for records of schema 1 whose signature the caller has checked. A
//! panel that a later visit painted again starts anew and takes no debit.
//! Left out: which part of a panel was worked; the whole panel is debited.
//! Checked by: the tests below (worked by hand), and there and back with the
//! hand-over station.

use serde::Deserialize;
use serde_json::Value;
use uom::si::length::micrometer;

use lapwing_measure::quantity::Length;

use super::calibration::{KnownDepths, KnownTrial, LogNormal};
use super::job::{AbrasiveClass, Behaviour, Defects, Job, PadClass};
use super::panel_names::spoken;
use super::seen::Seen;
use super::{Caution, InputError};

/// What every record calls itself.
pub const KIND: &str = "paint-record";

/// The layout of records that is understood.
pub const SCHEMA: u32 = 1;

/// Where the job names the record of the visit before.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NamedRecord {
    /// The file beside the job.
    pub file: String,
    /// The public key it must be signed with, when the job says so.
    pub key: Option<String>,
    /// Panels that a visit of the job painted again since.
    pub painted_since: Vec<String>,
}

/// A mean and its standard deviation.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
pub struct Amount {
    /// Mean, µm.
    pub mean: f64,
    /// Standard deviation, µm.
    pub sd: f64,
}

/// The visit before.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct Earlier {
    kind: String,
    schema: u32,
    /// When, as written.
    pub date: Option<String>,
    car: EarlierCar,
    /// Its panels.
    pub panels: Vec<EarlierPanel>,
    #[serde(default)]
    trials: Vec<EarlierTrial>,
}

#[derive(Clone, Debug, PartialEq, Deserialize)]
struct EarlierCar {
    description: String,
    class: String,
}

/// One panel at the visit before.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct EarlierPanel {
    /// Our name.
    pub name: String,
    /// Whether it was known to be painted again.
    pub is_repainted: bool,
    /// All that visits ever took off, µm.
    pub removed_ever_um: Amount,
    /// Whole film when the car left, µm, where it was read.
    pub film_after_um: Option<FilmLeft>,
}

/// Whole film when the car left.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
pub struct FilmLeft {
    /// Mean, µm.
    pub mean: f64,
    /// Standard deviation over the panel, µm.
    pub sd: f64,
    /// Spots behind it.
    pub count: usize,
}

#[derive(Clone, Debug, PartialEq, Deserialize)]
struct EarlierTrial {
    pad: String,
    abrasive: String,
    behaviour: String,
    cut_rate_per_pa: f64,
    cut_rate_factor: f64,
    friction_share: Option<f64>,
    friction_factor: Option<f64>,
    #[serde(default)]
    seen: Option<EarlierSeen>,
    depths: Option<EarlierDepths>,
}

#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
struct EarlierSeen {
    cut_rate_per_pa: Option<f64>,
    cut_rate_factor: Option<f64>,
    friction_share: Option<f64>,
    friction_factor: Option<f64>,
}

#[derive(Clone, Debug, PartialEq, Deserialize)]
struct EarlierDepths {
    defects: String,
    median_um: f64,
    ln_spread: f64,
    deep_frac: f64,
}

impl Earlier {
    /// Understands a record whose signature was found good; `file` is its name
    /// for messages.
    ///
    /// # Errors
    /// A sentence when it is of another kind or layout, or a number in it
    /// cannot be.
    pub fn read(file: &str, record: &Value) -> Result<Self, InputError> {
        let refused = |sentence: String| InputError::in_file(file, sentence);
        let earlier = Self::deserialize(record).map_err(|why| {
            refused(format!("its signature is good, but it is no record of a visit ({why}). Name the record.json that a hand-over wrote."))
        })?;
        if earlier.kind != KIND || earlier.schema != SCHEMA {
            return Err(refused(format!(
                "it is a \"{}\" of schema {}; only a \"{KIND}\" of schema {SCHEMA} is understood. Use the program that wrote it, or a newer one.",
                earlier.kind, earlier.schema
            )));
        }
        for panel in &earlier.panels {
            panel.check().map_err(|what| {
                refused(format!("{}: {what}. The record cannot be used; ask for a right one, or write what was removed as [[visit]].", panel.name))
            })?;
        }
        Ok(earlier)
    }

    /// Debits what earlier visits took from the panels of a job, and hands on
    /// what trials on this paint taught.
    ///
    /// # Errors
    /// A sentence when a word of a trial is not known.
    pub fn debit(&self, job: &mut Job, file: &str) -> Result<Vec<Caution>, InputError> {
        let painted = job
            .record
            .as_ref()
            .map(|r| r.painted_since.clone())
            .unwrap_or_default();
        for trial in self.trials.iter().rev() {
            job.calibration.on_car.insert(0, trial.known(self, file)?);
        }
        let mut cautions = self.doubts(job);
        for panel in &mut job.panels {
            if painted.contains(&panel.name) {
                continue;
            }
            let Some(then) = self.panel(&panel.name) else {
                cautions.push(Caution::new(
                    spoken(&panel.name),
                    "Not in the record of the visit before; counted as never polished there.",
                ));
                continue;
            };
            let um = |value: f64| Length::new::<micrometer>(value);
            let sd_um = panel.removed_before_sd.get::<micrometer>();
            panel.removed_before += um(then.removed_ever_um.mean);
            panel.removed_before_sd = um(sd_um.hypot(then.removed_ever_um.sd));
            panel.is_repainted |= then.is_repainted;
        }
        Ok(cautions)
    }

    /// The panel of this name.
    #[must_use]
    pub fn panel(&self, name: &str) -> Option<&EarlierPanel> {
        self.panels.iter().find(|p| p.name == name)
    }

    fn doubts(&self, job: &Job) -> Vec<Caution> {
        let mut found = Vec::new();
        if self.car.class != job.car.class.word() {
            found.push(Caution::new(
                "record",
                format!(
                    "The record of the visit before is of a {} (\"{}\"), this job of a {}. Is it the same car?",
                    self.car.class,
                    self.car.description,
                    job.car.class.word()
                ),
            ));
        }
        for then in &self.panels {
            let is_known = job.panels.iter().any(|p| p.name == then.name);
            if !is_known && then.removed_ever_um.mean > 0.0 {
                found.push(Caution::new(
                    spoken(&then.name),
                    "The record of the visit before took film off this panel, but the job does not have it.",
                ));
            }
        }
        found
    }
}

impl EarlierPanel {
    fn check(&self) -> Result<(), String> {
        let is_in = |value: f64, most: f64| (0.0..=most).contains(&value);
        let removed = self.removed_ever_um;
        if !is_in(removed.mean, 300.0) || !is_in(removed.sd, 100.0) {
            return Err(format!(
                "removed_ever_um is {} ± {}; allowed is 0 to 300 µm, give or take at most 100",
                removed.mean, removed.sd
            ));
        }
        if let Some(film) = self.film_after_um
            && !(is_in(film.mean, 3000.0) && is_in(film.sd, 3000.0))
        {
            return Err(format!(
                "film_after_um is {} ± {}; allowed is 0 to 3000 µm",
                film.mean, film.sd
            ));
        }
        Ok(())
    }
}

impl EarlierTrial {
    fn known(&self, of: &Earlier, file: &str) -> Result<KnownTrial, InputError> {
        let is_factor = |f: f64| (1.0..=100.0).contains(&f);
        if !(1e-14..=1e-9).contains(&self.cut_rate_per_pa) || !is_factor(self.cut_rate_factor) {
            return Err(InputError::in_file(
                file,
                format!(
                    "a trial's cut rate is {} 1/Pa within a factor of {}; allowed is 1e-14 to 1e-9, within 1 to 100.",
                    self.cut_rate_per_pa, self.cut_rate_factor
                ),
            ));
        }
        let friction = |share: Option<f64>, factor: Option<f64>| {
            share
                .zip(factor)
                .filter(|(share, factor)| (0.01..=1.0).contains(share) && is_factor(*factor))
                .map(|(share, factor)| LogNormal::within_factor(share, factor))
        };
        let cut_rate_seen = self.seen.map_or(Seen::Unsaid, |seen| {
            let said = seen.cut_rate_per_pa.zip(seen.cut_rate_factor);
            said.filter(|(rate, factor)| (1e-14..=1e-9).contains(rate) && is_factor(*factor))
                .map_or(Seen::Nothing, |(rate, factor)| {
                    Seen::Said(LogNormal::within_factor(rate, factor))
                })
        });
        let friction_seen = self
            .seen
            .and_then(|seen| friction(seen.friction_share, seen.friction_factor));
        Ok(KnownTrial {
            car: of.car.description.clone(),
            pad: word(file, "pad", &self.pad, PadClass::WORDS)?,
            abrasive: word(file, "abrasive", &self.abrasive, AbrasiveClass::WORDS)?,
            behaviour: word(file, "behaviour", &self.behaviour, Behaviour::WORDS)?,
            cut_rate: LogNormal::within_factor(self.cut_rate_per_pa, self.cut_rate_factor),
            cut_rate_seen,
            friction: friction(self.friction_share, self.friction_factor),
            friction_seen: friction_seen.map_or(Seen::Unsaid, Seen::Said),
            depths: self
                .depths
                .as_ref()
                .map(|d| {
                    Ok::<_, InputError>(KnownDepths {
                        defects: word(file, "defects", &d.defects, Defects::WORDS)?,
                        median_um: d.median_um.clamp(0.01, 50.0),
                        ln_spread: d.ln_spread.clamp(0.05, 3.0),
                        deep_frac: d.deep_frac.clamp(0.0, 0.9),
                    })
                })
                .transpose()?,
        })
    }
}

fn word<T: Copy>(file: &str, key: &str, came: &str, words: &[(&str, T)]) -> Result<T, InputError> {
    let found = words.iter().find(|(w, _)| *w == came).map(|(_, v)| *v);
    found.ok_or_else(|| {
        InputError::in_file(
            file,
            format!("a trial's {key} is \"{came}\", which is not known here."),
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::read::read_job;
    use serde_json::json;

    const JOB: &str = "schema = 1\nname = \"x\"\n[car]\nclass = \"estate\"\n[history]\nrecord = \"record.json\"\n[[visit]]\npanels = [\"bonnet\"]\nremoved = \"1 um\"\nuncertainty = \"0.8 um\"\n[[visit]]\npanels = [\"tailgate\"]\nrefinished = true\n[[panel]]\nname = \"bonnet\"\n[[panel]]\nname = \"roof\"\n[[panel]]\nname = \"tailgate\"\n";

    fn record() -> Value {
        let panel = |name: &str, mean: f64| {
            json!({"name": name, "is_repainted": false,
                "removed_ever_um": {"mean": mean, "sd": 0.6}, "film_after_um": null})
        };
        json!({"kind": KIND, "schema": 1, "date": "May 2024",
            "car": {"description": "blue", "class": "estate"},
            "panels": [panel("bonnet", 2.1), panel("tailgate", 5.0), panel("left-spare", 1.0)]})
    }

    fn debited(record: &Value) -> (Job, Vec<Caution>) {
        let (mut job, _) = read_job("job.toml", JOB).expect("a job");
        let earlier = Earlier::read("record.json", record).expect("a record");
        let cautions = earlier.debit(&mut job, "record.json").expect("debited");
        (job, cautions)
    }

    // 2.1 + 1 = 3.1; hypot(0.6, 0.8) = 1.
    #[test]
    fn the_record_and_later_visits_add_up() {
        let (job, _) = debited(&record());
        let um = |l: Length| l.get::<micrometer>();
        let bonnet = &job.panels[0];
        assert!((um(bonnet.removed_before) - 3.1).abs() < 1e-9);
        assert!((um(bonnet.removed_before_sd) - 1.0).abs() < 1e-9);
    }

    #[test]
    fn a_panel_painted_since_takes_no_debit() {
        let (job, _) = debited(&record());
        assert_eq!(job.panels[2].removed_before.value, 0.0);
    }

    #[test]
    fn panels_that_do_not_meet_and_another_body_are_said() {
        let (_, cautions) = debited(&record());
        let said: Vec<&str> = cautions.iter().map(|c| c.text.as_str()).collect();
        assert!(said.iter().any(|t| t.contains("counted as never polished")));
        assert!(said.iter().any(|t| t.contains("the job does not have it")));
        let mut other = record();
        other["car"]["class"] = json!("saloon");
        let (_, cautions) = debited(&other);
        assert!(cautions[0].text.contains("Is it the same car?"));
    }

    #[test]
    fn numbers_that_cannot_be_and_other_kinds_are_refused() {
        for (place, value, says) in [
            ("/panels/0/removed_ever_um/mean", json!(-1), "0 to 300"),
            ("/panels/0/removed_ever_um/sd", json!(1e9), "at most 100"),
            (
                "/panels/0/removed_ever_um",
                json!(null),
                "no record of a visit",
            ),
            ("/schema", json!(2), "schema 2"),
            ("/kind", json!("invoice"), "a \"invoice\""),
        ] {
            let mut record = record();
            *record.pointer_mut(place).expect("there") = value;
            let error = Earlier::read("r.json", &record).expect_err(place);
            assert!(error.to_string().contains(says), "{error}");
        }
    }

    #[test]
    fn what_trials_taught_goes_on_in_front() {
        let mut with = record();
        with["trials"] = json!([{"pad": "wool", "abrasive": "heavy", "behaviour": "soft",
            "cut_rate_per_pa": 4e-12, "cut_rate_factor": 1.5}]);
        let (job, _) = debited(&with);
        assert_eq!(job.calibration.on_car.len(), 1);
        assert!((job.calibration.on_car[0].cut_rate.factor() - 1.5).abs() < 1e-12);
        assert_eq!(job.calibration.on_car[0].cut_rate_seen, Seen::Unsaid);
        with["trials"][0]["seen"] = json!({"cut_rate_per_pa": null, "cut_rate_factor": null,
            "friction_share": null, "friction_factor": null});
        let (job, _) = debited(&with);
        assert_eq!(job.calibration.on_car[0].cut_rate_seen, Seen::Nothing);
        with["trials"][0]["pad"] = json!("brush");
        let (mut job, _) = read_job("job.toml", JOB).expect("a job");
        let earlier = Earlier::read("r.json", &with).expect("a record");
        assert!(earlier.debit(&mut job, "r.json").is_err());
    }
}
