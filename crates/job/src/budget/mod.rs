//! How much film may go: the smallest of the rules in force, at the thinnest
//! plausible place, with the rule that binds named.
//!
//! Law: clear left is a distribution, the layer prior of the paint system
//! conditioned on the total, on a reading of the layer, on what earlier visits
//! took and on hidden places (see [`mod@clear`]); a rule "at least f must stay" gives budget = lower bound(clear left) − f; a
//! rule "at most r ever" gives r − removed before; the budget is the smallest,
//! never below 0.
//! Source: rules in [`rules`]; conditioning in [`layers`] and [`mod@clear`].
//! Holds: for layered paint over metal or plastic. Single-stage paint has no
//! clear coat; matt, wrap and film are not polished.
//! Where a film map was drawn its lower bound is the thinnest plausible place.
//! Left out: edges nobody has read; those that were enter by their reading.
//! Checked by: budgets B1 to B5 of the two manufacturer bulletins, the closed
//! form of a conditional normal, ten million samples where bounds bite, and any
//! car at all in the tests.

pub mod clear;
pub mod etch;
pub mod layers;
pub mod rules;

use lapwing_measure::Provenance;
use lapwing_measure::quantity::Length;
use serde::Serialize;
use uom::si::length::micrometer;

use crate::inspect::PanelFilm;
use crate::record::job::{Paint, Panel, Rules, Substrate};
use crate::record::layers::Build;
use crate::record::readings::{LEAST_FILM_UM, MOST_FILM_UM};
use crate::record::{Caution, Part, Said, Sentence};

pub use self::clear::{Evidence, Removed};
pub use self::layers::{ClearLeft, LayerPrior};
pub use self::rules::{RuleFinding, film_rules};

/// What may be done to a panel as far as its film goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum FilmVerdict {
    /// May be polished within the budget.
    Polish,
    /// Only a finishing polish.
    FinishOnly,
    /// Leave alone.
    Leave,
}

/// The budget of a panel.
#[derive(Clone, Debug, Serialize)]
pub struct Budget {
    /// What may go, in µm; `None` where no budget can be stated.
    pub budget_um: Option<f64>,
    /// The rule that binds.
    pub binding_rule: Option<String>,
    /// Every rule, in force or not, with what it would allow.
    pub rules: Vec<RuleFinding>,
    /// Clear coat left at the thinnest plausible place.
    pub clear_left: Option<ClearLeft>,
    /// Film total the clear was worked out from.
    pub total_um: Option<f64>,
    /// Verdict on film alone.
    pub verdict: FilmVerdict,
    /// Why.
    pub reason: String,
    /// The same with its parts apart.
    #[serde(skip)]
    pub said: Said,
    /// Where the budget comes from.
    pub provenance: Provenance,
    /// Doubts.
    pub cautions: Vec<Caution>,
}

/// Budget below which only finishing makes sense, µm (common practice).
const FINISH_ONLY_UM: f64 = 2.0;

/// States the budget of one panel. `film` is `None` for a panel without
/// readings; `gauge_um` is the standard deviation of one reading.
#[must_use]
pub fn budget(panel: &Panel, film: Option<&PanelFilm>, gauge_um: f64, rules: &Rules) -> Budget {
    match panel.paint {
        Paint::Matt => never(Sentence::Matt),
        Paint::Wrap => never(Sentence::Wrap),
        Paint::Film => never(Sentence::FilmOnPaint),
        Paint::SingleStage => single_stage(panel, film, gauge_um, rules),
        Paint::BaseClear => base_clear(panel, film, gauge_um, rules),
    }
}

fn never(reason: Sentence) -> Budget {
    let said = Said::from(reason);
    Budget {
        budget_um: None,
        binding_rule: None,
        rules: Vec::new(),
        clear_left: None,
        total_um: None,
        verdict: FilmVerdict::Leave,
        reason: said.english(),
        said,
        provenance: Provenance::CommonPractice,
        cautions: Vec::new(),
    }
}

/// Pigmented top coat: no clear to keep. The removed-ever rule stands, and half
/// of the usual top coat must stay at the lower bound of what is left.
fn single_stage(panel: &Panel, film: Option<&PanelFilm>, gauge_um: f64, rules: &Rules) -> Budget {
    let spoken = panel.spoken();
    let seen = Seen::of(panel, film, gauge_um, rules);
    if let Some(budget) = seen.painted_before(panel, film) {
        return budget;
    }
    let half_um = seen.build.top.mean_um / 2.0;
    let mut findings = vec![rules::removed_ever(rules, seen.removed_upper_um(rules))];
    let said = Said::new(Sentence::HalfOfTopCoat, [Part::Film(half_um, 0)]);
    findings.push(RuleFinding {
        name: "half-of-top-coat".to_owned(),
        words: said.english(),
        said,
        allows_um: Some((seen.left.lower_95 - half_um).max(0.0)),
        is_in_force: true,
        provenance: seen.left.provenance,
    });
    let mut budget = bind(findings, None, film.and_then(|f| f.median_um));
    budget.cautions.extend(seen.cautions(&spoken));
    if seen.evidence.total_um.is_none() && seen.evidence.top_layer_um.is_none() {
        budget.at_most_finishing(Sentence::SingleStageUnread);
    }
    budget
        .cautions
        .push(Caution::of(spoken, Sentence::SingleStage));
    budget
}

fn base_clear(panel: &Panel, film: Option<&PanelFilm>, gauge_um: f64, rules: &Rules) -> Budget {
    let spoken = panel.spoken();
    let seen = Seen::of(panel, film, gauge_um, rules);
    let total_um = seen.evidence.total_um;
    let is_layer_read = seen.evidence.top_layer_um.is_some();
    if let Some(budget) = seen.painted_before(panel, film) {
        return budget;
    }
    if total_um.is_none() && !is_layer_read && panel.substrate != Substrate::Plastic {
        return never(Sentence::NotMeasured);
    }
    let findings = film_rules(rules, &seen.left, total_um, seen.removed_upper_um(rules));
    let mut budget = bind(findings, Some(seen.left), total_um);
    budget.cautions.extend(seen.cautions(&spoken));
    if total_um.is_none() && !is_layer_read {
        budget.at_most_finishing(Sentence::PlasticUnread);
        budget
            .cautions
            .push(Caution::of(spoken, Sentence::PlasticClear));
    } else if let Some(thin) = total_um.filter(|t| *t < 80.0) {
        let said = Said::new(Sentence::ThinInAll, [Part::Film(thin, 0)]);
        budget.cautions.push(Caution::of(spoken, said));
    }
    budget
}

/// What bears on the top layer of a panel, and what is left of it.
struct Seen<'a> {
    build: &'a Build,
    prior: LayerPrior,
    evidence: Evidence,
    recorded: Removed,
    /// Hidden places and the open face, µm, and how well their difference is
    /// known.
    hidden: Option<(f64, f64, f64)>,
    usual_um: Option<f64>,
    left: ClearLeft,
}

/// A total this many deviations from the table is not of its paint.
const SURPRISE: f64 = 4.0;

impl<'a> Seen<'a> {
    fn of(panel: &Panel, film: Option<&PanelFilm>, gauge_um: f64, rules: &'a Rules) -> Self {
        let build = rules
            .layers
            .of(panel.paint, panel.substrate, panel.is_repainted);
        let um = |length: Length| length.get::<micrometer>();
        let recorded = Removed::recorded(um(panel.removed_before), um(panel.removed_before_sd));
        let hidden = film.and_then(hidden_and_face);
        let removed = hidden.map_or_else(
            || recorded.clone(),
            |(hidden_um, face_um, sd_um)| recorded.with_hidden(hidden_um - face_um, sd_um),
        );
        let evidence = Evidence {
            total_um: film.and_then(thinnest_um),
            gauge_um,
            removed,
            top_layer_um: film.and_then(|f| f.top_layer).map(|l| (l.mean_um, l.sd_um)),
            confidence: rules.confidence,
        };
        let prior = LayerPrior::of(build);
        let mut left = clear::clear_left(&prior, &evidence);
        left.provenance = left.provenance.min(build.provenance);
        Self {
            build,
            left,
            prior,
            evidence,
            recorded,
            hidden,
            usual_um: film.and_then(|f| f.median_um),
        }
    }

    /// What is left alone because it was painted before, or seems so; nothing
    /// where the layer itself was read.
    fn painted_before(&self, panel: &Panel, film: Option<&PanelFilm>) -> Option<Budget> {
        let is_suspected = film.is_some_and(|f| f.is_suspected_repaint);
        let reason = match (panel.is_repainted || is_suspected, panel.looks_repainted) {
            (true, _) => Sentence::PaintedBefore,
            (false, true) => Sentence::MarkedRepainted,
            (false, false) => return None,
        };
        if self.evidence.top_layer_um.is_some() {
            return None;
        }
        let mut budget = never(reason);
        budget.total_um = film.and_then(|f| f.median_um);
        let is_read = self.evidence.total_um.is_some();
        budget.clear_left =
            (panel.paint == Paint::BaseClear && panel.is_repainted && is_read).then_some(self.left);
        Some(budget)
    }

    /// Most that polishing has taken, at the shop's confidence, µm.
    fn removed_upper_um(&self, rules: &Rules) -> f64 {
        let unrecorded_um = self.evidence.removed.mean_um() - self.recorded.mean_um();
        self.recorded.upper_um(rules.confidence) + unrecorded_um.max(0.0)
    }

    fn cautions(&self, spoken: &str) -> Vec<Caution> {
        let mut found = Vec::new();
        let total = self.prior.clear_um + self.prior.rest_um;
        let usual_um = self.usual_um.map(|um| um + self.evidence.removed.mean_um());
        let off = usual_um.map(|um| self.prior.surprise(um, self.evidence.gauge_um));
        if let Some((um, off)) = usual_um.zip(off).filter(|(_, off)| off.abs() > SURPRISE) {
            let parts = [
                Part::Film(um, 0),
                Part::Number(off.abs(), 0),
                Part::Film(total, 0),
            ];
            found.push(Caution::of(
                spoken,
                Said::new(Sentence::TableDoesNotFit, parts),
            ));
        }
        let more_um = self.evidence.removed.mean_um() - self.recorded.mean_um();
        let beyond = self.hidden.filter(|(hidden_um, face_um, sd_um)| {
            let believed_um = self.evidence.removed.mean_um();
            clear::is_beyond_polishing(hidden_um - face_um - believed_um, *sd_um)
        });
        if let Some((hidden_um, face_um, _)) = beyond {
            let parts = [hidden_um, face_um, hidden_um - face_um].map(|um| Part::Film(um, 0));
            let said = Said::new(Sentence::HiddenBeyond, parts);
            found.push(Caution::of(spoken, said));
        } else if more_um > 1.0 {
            let said = Said::new(Sentence::HiddenThicker, [Part::Film(more_um, 0)]);
            found.push(Caution::of(spoken, said));
        }
        found
    }
}

/// What hidden places and the open face read, and how well their difference is
/// known.
fn hidden_and_face(film: &PanelFilm) -> Option<(f64, f64, f64)> {
    let (hidden_um, mean_um) = film.hidden_um.zip(film.mean_um)?;
    let sd_um = if film.one_place > 1 {
        4.0
    } else {
        film.sd_um.unwrap_or(4.0) / (film.spots.max(1) as f64).sqrt()
    };
    Some((hidden_um, mean_um, sd_um))
}

/// The thinnest plausible place: the lower bound of the film map, else the
/// lower tolerance bound of the field, or the thinnest edge or crease reading
/// if that is lower.
fn thinnest_um(film: &PanelFilm) -> Option<f64> {
    let field_um = film.map_lower_um.or(film.thin_um).or(film.median_um);
    [field_um, film.edge_um]
        .into_iter()
        .flatten()
        .min_by(f64::total_cmp)
}

/// The least total film at the thinnest place of the field that lets
/// `removal_um` go; `None` where no reading of the field decides that.
#[must_use]
pub fn total_needed_um(
    panel: &Panel,
    film: &PanelFilm,
    gauge_um: f64,
    rules: &Rules,
    removal_um: f64,
) -> Option<f64> {
    let may_go = |total_um: f64| {
        let trial = PanelFilm {
            map_lower_um: Some(total_um),
            ..film.clone()
        };
        budget(panel, Some(&trial), gauge_um, rules)
            .budget_um
            .is_some_and(|um| um >= removal_um)
    };
    let (mut low, mut high) = (LEAST_FILM_UM, MOST_FILM_UM);
    if may_go(low) || !may_go(high) {
        return None;
    }
    while high - low > 0.01 {
        let middle = f64::midpoint(low, high);
        if may_go(middle) {
            high = middle;
        } else {
            low = middle;
        }
    }
    Some(high)
}

fn bind(rules: Vec<RuleFinding>, clear: Option<ClearLeft>, total_um: Option<f64>) -> Budget {
    let binding = rules
        .iter()
        .filter(|r| r.is_in_force)
        .filter_map(|r| r.allows_um.map(|um| (um, r)))
        .min_by(|a, b| a.0.total_cmp(&b.0));
    let budget_um = binding.map(|(um, _)| um.max(0.0));
    let rule_of = |rule: &RuleFinding| Part::Said(rule.said.clone());
    let (verdict, said) = match (budget_um, binding) {
        (Some(um), Some((_, rule))) if um <= 0.0 => (
            FilmVerdict::Leave,
            Said::new(Sentence::NothingMayGo, [rule_of(rule)]),
        ),
        (Some(um), Some((_, rule))) if um < FINISH_ONLY_UM => (
            FilmVerdict::FinishOnly,
            Said::new(Sentence::OnlyMayGo, [Part::Film(um, 1), rule_of(rule)]),
        ),
        (Some(um), Some((_, rule))) => (
            FilmVerdict::Polish,
            Said::new(Sentence::UpToMayGo, [Part::Film(um, 1), rule_of(rule)]),
        ),
        _ => (FilmVerdict::Leave, Sentence::NoRule.into()),
    };
    let provenance = binding.map_or(Provenance::Assumed, |(_, r)| r.provenance);
    Budget {
        budget_um,
        binding_rule: binding.map(|(_, r)| r.name.clone()),
        clear_left: clear,
        total_um,
        verdict,
        reason: said.english(),
        said,
        provenance,
        cautions: Vec::new(),
        rules,
    }
}

impl Budget {
    fn at_most_finishing(&mut self, reason: Sentence) {
        if self.verdict == FilmVerdict::Polish {
            self.verdict = FilmVerdict::FinishOnly;
            self.said = reason.into();
            self.reason = self.said.english();
        }
    }

    /// The budget as a length.
    #[must_use]
    pub fn length(&self) -> Option<Length> {
        self.budget_um.map(Length::new::<micrometer>)
    }
}

#[cfg(test)]
mod extremes;
#[cfg(test)]
mod tests;
