//! What to do, how long, with what, at what dose and what price.
//!
//! For each panel the gentlest recipe of the kit that reaches the wish and
//! stays inside the film and heat limits, or a refusal with its reason; then
//! sections, minutes, product, people and price.
//! Law: none of its own; it weighs what the earlier stations say. Safe limits
//! use the pessimistic end: removal at its 95 % upper end in the place that
//! gets most, heat at the upper end of the friction share.
//! Source: hours, product and handling are common practice (see each file).
//! Holds: for the kit given. Left out: choosing over the whole car for a given
//! number of hours.
//! Checked by: the tests of each file and of the whole in `tests.rs`.

mod candidates;
mod choice;
mod materials;
mod next;
mod people;
mod price;
pub mod provisional;
mod sharpen;
mod time;

#[cfg(test)]
mod tests;

use lapwing_measure::Provenance;
use rayon::prelude::*;
use serde::Serialize;
use uom::si::thermodynamic_temperature::degree_celsius;

use crate::bench::result::BenchMaps;
use crate::budget::{Budget, ClearLeft, RuleFinding, budget};
use crate::forecast::law::step_maps;
use crate::forecast::{Forecast, LawKey, forecast, friction_share};
use crate::inspect::next_reading::{NextReading, PanelWords};
use crate::inspect::{CarFilm, Finding, GaugeStudy, PanelFilm, RepaintStudy};
use crate::intake::{Intake, intake_seen, square_edge};
use crate::record::job::{Job, Panel, Substrate};
use crate::record::{Caution, InputError, Part, Said, Sentence, panel_names};
use crate::trial::prior::Believed;

pub use self::materials::Material;
pub use self::people::PersonDay;
pub use self::price::{PanelsCounted, Price, PriceLine};
pub use self::sharpen::Unknown;
pub use self::time::{Hours, StageTime};

/// A number with its 95 % ends.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Interval {
    /// Best guess.
    pub mean: f64,
    /// Lower end, 95 %.
    pub lower_95: f64,
    /// Upper end, 95 %.
    pub upper_95: f64,
    /// Where it comes from.
    pub provenance: Provenance,
}

/// A cut rate and where it comes from.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct CutRateTold {
    /// Median, 1/Pa.
    pub per_pa: f64,
    /// Lower end, 95 %.
    pub lower_95: f64,
    /// Upper end, 95 %.
    pub upper_95: f64,
    /// Its mark.
    pub provenance: Provenance,
    /// "calibrated on this car", "shop history", "given in the kit" or "assumed".
    pub origin: &'static str,
}

impl CutRateTold {
    fn of(rate: &Believed) -> Self {
        Self {
            per_pa: rate.number.median,
            lower_95: rate.number.lower_95(),
            upper_95: rate.number.upper_95(),
            provenance: rate.provenance,
            origin: rate.origin,
        }
    }
}

/// One step of a recipe.
#[derive(Clone, Debug, Serialize)]
pub struct PlanStep {
    /// "cut", "polish" or "finish".
    pub step: String,
    /// Machine by name.
    pub machine: String,
    /// Machine speed, turns or orbits a minute.
    pub speed_rpm: f64,
    /// Pad by name.
    pub pad: String,
    /// Abrasive by name.
    pub abrasive: String,
    /// Passes, cross-hatched.
    pub passes: u32,
    /// Arm speed.
    pub arm_speed_mm_s: f64,
    /// Mean removal in the middle of a section.
    pub removal_um: Interval,
    /// The cut rate behind it.
    pub cut_rate: CutRateTold,
    /// Highest surface temperature, best guess.
    pub peak_c: f64,
    /// The same at the upper end of the friction share.
    pub peak_upper_c: f64,
    /// Minutes on this panel, pad on paint and handling.
    pub minutes: f64,
    /// Minutes with the machine running.
    pub trigger_minutes: f64,
    #[serde(skip)]
    pub(crate) kit: (usize, usize, usize),
    #[serde(skip)]
    pub(crate) law: (LawKey, f64, f64),
}

/// One panel of the plan.
#[derive(Clone, Debug, Serialize)]
pub struct PanelPlan {
    /// Our name.
    pub name: String,
    /// Name for people.
    pub spoken: String,
    /// Under the paint.
    pub substrate: Substrate,
    /// Area.
    pub area_m2: f64,
    /// Standard deviation of the area.
    pub area_sd_m2: f64,
    /// Visibility zone.
    pub zone: &'static str,
    /// Number of readings.
    pub readings: usize,
    /// Film statistics, where read.
    pub film_um: Option<FilmNumbers>,
    /// What the readings say.
    pub findings: Vec<String>,
    /// The same with kind and probability.
    pub found: Vec<Finding>,
    /// Chance that the panel was painted again, 0 to 1.
    pub repaint_probability: Option<f64>,
    /// What may go.
    pub budget_um: Option<f64>,
    /// The rule that binds.
    pub binding_rule: Option<String>,
    /// Every rule beside it.
    pub rules: Vec<RuleFinding>,
    /// Clear left before work, worked out.
    pub clear_left_um: Option<ClearLeft>,
    /// Clear left after work, worked out.
    pub clear_after_um: Option<ClearLeft>,
    /// "polish", "finish-only" or "leave".
    pub verdict: &'static str,
    /// Why.
    pub reason: String,
    /// The same with its parts apart.
    #[serde(skip)]
    pub said: Said,
    /// The steps, in order; empty when left alone.
    pub recipe: Vec<PlanStep>,
    /// All steps together.
    pub removal_um: Option<Interval>,
    /// Share of scratch length gone, 0 to 1.
    pub share_gone: Option<Interval>,
    /// What was wished for.
    pub wish_frac: f64,
    /// Number of sections.
    pub sections: u32,
    /// Edge of a section as it was reckoned with: lines are spread evenly over
    /// it, so removal and heat belong to it. Nothing when left alone.
    pub section_m: Option<f64>,
    /// Minutes for all steps.
    pub minutes: f64,
    /// Where the numbers come from, by key.
    pub provenance: PanelProvenance,
}

impl PanelPlan {
    /// Highest surface temperature of all steps, best guess.
    #[must_use]
    pub fn hottest_c(&self) -> Option<f64> {
        self.recipe.iter().map(|s| s.peak_c).reduce(f64::max)
    }
}

/// Film statistics of a panel.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct FilmNumbers {
    /// Mean, findings left out.
    pub mean: Option<f64>,
    /// Standard deviation.
    pub sd: Option<f64>,
    /// Median.
    pub median: Option<f64>,
    /// Thinnest plausible place.
    pub thin: Option<f64>,
    /// Thinnest edge or crease reading.
    pub edge: Option<f64>,
}

/// Provenance of the numbers of a panel.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct PanelProvenance {
    /// Of the area.
    pub area_m2: Provenance,
    /// Of the film readings.
    pub film_um: Provenance,
    /// Of the budget.
    pub budget_um: Provenance,
    /// Of minutes.
    pub minutes: Provenance,
    /// Of peak temperatures.
    pub peak_c: Provenance,
}

/// The whole plan.
#[derive(Clone, Debug, Serialize)]
pub struct Plan {
    /// Version of this output.
    pub schema: u32,
    /// Name of the job.
    pub job: String,
    /// The car in the shop's words.
    pub car: String,
    /// Panels in the job's order.
    pub panels: Vec<PanelPlan>,
    /// Hours in the bay.
    pub hours: Hours,
    /// Product and consumables.
    pub materials: Vec<Material>,
    /// Dose per person and day.
    pub people: Vec<PersonDay>,
    /// Price.
    pub price: Price,
    /// What the gauge and the hands can see.
    pub gauge: GaugeStudy,
    /// What the panels say together about repaint.
    pub repaint: RepaintStudy,
    /// Friction coefficient times the share of heat into the panel.
    pub friction_share: CutRateTold,
    /// What the plan does not know, and how much of each answer's spread is due
    /// to it.
    pub unknowns: Vec<Unknown>,
    /// What stays assumed, in a sentence; empty when nothing does.
    pub still_assumed: String,
    /// What one measurement would sharpen the plan most.
    pub measure_next: String,
    /// The same with its parts apart, where it is one of our sentences.
    #[serde(skip)]
    pub measure_next_said: Option<Said>,
    /// Places worth reading while a decision is open, the best first.
    pub next_readings: Vec<NextReading>,
    /// The same in sentences, panel by panel.
    pub next_words: Vec<PanelWords>,
    /// Doubts.
    pub cautions: Vec<Caution>,
}

/// What the plan was made from and with, for figures.
#[derive(Clone, Debug)]
pub struct Planned {
    /// The plan.
    pub plan: Plan,
    /// The laws behind it.
    pub forecast: Forecast,
}

impl Planned {
    /// The panel and step whose maps tell most: the first cutting step of the
    /// panel that is worked longest.
    #[must_use]
    pub fn telling_step(&self) -> Option<(&PanelPlan, &PlanStep)> {
        self.plan
            .panels
            .iter()
            .filter(|p| !p.recipe.is_empty())
            .max_by(|a, b| a.minutes.total_cmp(&b.minutes))
            .map(|p| (p, &p.recipe[0]))
    }

    /// Removal and temperature maps of a step.
    ///
    /// # Errors
    /// What the laws refuse.
    pub fn maps(&self, job: &Job, step: &PlanStep) -> Result<BenchMaps, InputError> {
        let (key, speed_frac, cut_rate_per_pa) = step.law;
        let section = self.forecast.edge(key.section);
        step_maps(
            job,
            (&key, section),
            (step.passes, speed_frac),
            (cut_rate_per_pa, friction_share(job).number.median),
        )
    }
}

/// Plans a job. `film` is what the inspection found; `progress` is called with
/// the share done.
///
/// # Errors
/// A sentence when the kit and the laws do not go together.
pub fn plan(
    job: &Job,
    film: &CarFilm,
    progress: &(dyn Fn(f64) + Sync),
) -> Result<Planned, InputError> {
    let taken_in = intake_seen(job, &|name| {
        let read = film.panels.iter().find(|f| f.name == name);
        read.and_then(|f| f.reach_mm)
    });
    let edges: Vec<_> = taken_in
        .areas
        .iter()
        .map(|a| square_edge(a.value))
        .collect();
    let laws = forecast(job, &edges, progress)?;
    let mut found: Vec<(PanelPlan, Vec<Caution>)> = (0..job.panels.len())
        .into_par_iter()
        .map(|at| panel_plan(job, film, &taken_in, &laws, at))
        .collect();
    let mut cautions = taken_in.cautions.clone();
    cautions.extend(film.cautions.iter().cloned());
    for (_, list) in &mut found {
        cautions.append(list);
    }
    let panels: Vec<PanelPlan> = found.into_iter().map(|(p, _)| p).collect();
    let hours = time::hours(job, &panels);
    let materials = materials::materials(job, &panels);
    let (people, notes) = people::days(job, &panels, &hours)?;
    cautions.extend(notes);
    cautions.extend(heat_caution(job, &panels));
    cautions.extend(price::why_provisional(job));
    cautions.extend(price::not_for_all(&panels));
    let price = price::price(job, &panels, &hours, &materials);
    let sharpening = sharpen::sharpening(job, &panels, &hours, film.gauge_repeatability_um);
    in_the_users_words(job, &mut cautions);
    cautions.sort();
    cautions.dedup();
    let (measure_next, measure_next_said) = sharpen::measure_next(&panels, &sharpening);
    let plan = Plan {
        schema: 1,
        job: job.name.clone(),
        car: job.car.description.clone(),
        friction_share: CutRateTold::of(&friction_share(job)),
        still_assumed: sharpen::still_assumed(job, &panels),
        measure_next,
        measure_next_said,
        unknowns: sharpening.unknowns,
        panels,
        hours,
        materials,
        people,
        price,
        gauge: film.gauge.clone(),
        repaint: film.repaint.clone(),
        next_readings: Vec::new(),
        next_words: Vec::new(),
        cautions,
    };
    Ok(Planned {
        plan,
        forecast: laws,
    })
}

fn panel_plan(
    job: &Job,
    film: &CarFilm,
    taken_in: &Intake,
    laws: &Forecast,
    at: usize,
) -> (PanelPlan, Vec<Caution>) {
    let panel = &job.panels[at];
    let readings = film.panels.iter().find(|f| f.name == panel.name);
    let may_go = budget(panel, readings, film.gauge.reading_sd_um, &job.rules);
    let area = taken_in.areas[at];
    let section = laws.section_for(square_edge(area.value));
    let chosen = choice::choose(job, panel, &may_go, laws, section);
    let mut cautions = may_go.cautions.clone();
    cautions.extend(keep_off(panel, readings, &chosen.steps));
    let sections = time::sections(area.value, laws, section);
    let recipe = time::with_minutes(chosen.steps, area.value, sections);
    let plan = PanelPlan {
        name: panel.name.clone(),
        spoken: panel.spoken(),
        substrate: panel.substrate,
        area_m2: area.value.value,
        area_sd_m2: match area.uncertainty {
            lapwing_measure::estimate::Uncertainty::Deviation(sd) => sd.value,
            _ => 0.0,
        },
        zone: panel.zone.letter(),
        readings: readings.map_or(0, |f| f.count),
        film_um: readings.map(film_numbers),
        findings: readings.map(|f| f.findings.clone()).unwrap_or_default(),
        found: readings.map(|f| f.found.clone()).unwrap_or_default(),
        repaint_probability: readings.and_then(|f| f.repaint_probability),
        budget_um: may_go.budget_um,
        binding_rule: may_go.binding_rule.clone(),
        clear_after_um: after(&may_go, chosen.removal.as_ref()),
        clear_left_um: may_go.clear_left,
        verdict: chosen.verdict,
        reason: chosen.reason.english(),
        said: chosen.reason,
        removal_um: chosen.removal,
        share_gone: chosen.share_gone,
        wish_frac: job.wish.in_zone(panel.zone),
        sections: if recipe.is_empty() { 0 } else { sections },
        section_m: (!recipe.is_empty()).then(|| laws.edge(section).value),
        minutes: recipe.iter().fold(0.0, |sum, s| sum + s.minutes),
        provenance: PanelProvenance {
            area_m2: area.provenance,
            film_um: Provenance::Measured,
            budget_um: may_go.provenance,
            minutes: Provenance::CommonPractice,
            peak_c: friction_share(job).provenance,
        },
        recipe,
        rules: may_go.rules,
    };
    (plan, cautions)
}

fn film_numbers(film: &PanelFilm) -> FilmNumbers {
    FilmNumbers {
        mean: film.mean_um,
        sd: film.sd_um,
        median: film.median_um,
        thin: film.thin_um,
        edge: film.edge_um,
    }
}

/// Clear after the recipe: mean and spread of both, lower end with the upper
/// end of the removal (cautious).
fn after(budget: &Budget, removal: Option<&Interval>) -> Option<ClearLeft> {
    let clear = budget.clear_left?;
    let Some(removal) = removal else {
        return Some(clear);
    };
    let removal_sd = (removal.upper_95 - removal.lower_95) / (2.0 * 1.96);
    Some(ClearLeft {
        mean: (clear.mean - removal.mean).max(0.0),
        sd: clear.sd.hypot(removal_sd),
        lower_95: (clear.lower_95 - removal.upper_95).max(0.0),
        provenance: Provenance::Assumed,
    })
}

/// Cautions of stations that know only our names get the user's.
fn in_the_users_words(job: &Job, cautions: &mut [Caution]) {
    for panel in job.panels.iter().filter(|p| p.said.is_some()) {
        let ours = panel_names::spoken(&panel.name);
        for caution in cautions.iter_mut() {
            if caution.place == ours {
                caution.place = panel.spoken();
            }
            if let Some(rest) = caution.text.strip_prefix(&format!("{ours}:")) {
                caution.text = format!("{}:{rest}", panel.spoken());
            }
        }
    }
}

/// An odd reading on a panel that is polished: keep off that place.
fn keep_off(panel: &Panel, readings: Option<&PanelFilm>, steps: &[PlanStep]) -> Option<Caution> {
    let odd = readings.filter(|f| !f.outliers_um.is_empty() && !steps.is_empty())?;
    let list = odd.outliers_um.iter().map(|um| Part::Film(*um, 0));
    let said = Said::new(Sentence::KeepOff, [Part::List(list.collect())]);
    Some(Caution::of(panel.spoken(), said))
}

/// One caution for every panel that may get warmer than the warning.
fn heat_caution(job: &Job, panels: &[PanelPlan]) -> Option<Caution> {
    let warn_c = job.rules.heat_warn.get::<degree_celsius>();
    let hottest = |p: &PanelPlan| {
        p.recipe
            .iter()
            .map(|s| s.peak_upper_c)
            .fold(f64::NEG_INFINITY, f64::max)
    };
    let warm: Vec<&PanelPlan> = panels.iter().filter(|p| hottest(p) >= warn_c).collect();
    let most_c = warm
        .iter()
        .map(|p| hottest(p))
        .fold(f64::NEG_INFINITY, f64::max);
    if warm.is_empty() {
        return None;
    }
    let who = if warm.len() > 4 {
        let count = Part::Number(warm.len() as f64, 0);
        Part::Said(Said::new(Sentence::SoManyPanels, [count]))
    } else {
        Part::List(warm.iter().map(|p| Part::Panel(p.spoken.clone())).collect())
    };
    let parts = [who, Part::Heat(warn_c), Part::Heat(most_c)];
    Some(Caution::of("heat", Said::new(Sentence::MayGetWarm, parts)))
}
