//! How much film may go: the smallest of the rules in force, at the thinnest
//! plausible place, with the rule that binds named.
//!
//! Law: clear left is a bell-shaped distribution, the layer prior of the paint
//! system conditioned on the total reading (closed form, see [`layers`]); a
//! rule "at least f must stay" gives budget = lower bound(clear left) − f; a
//! rule "at most r ever" gives r − removed before; the budget is the smallest,
//! never below 0.
//! Source: rules in [`rules`]; conditioning of a normal vector, closed form.
//! Holds: for layered paint over metal or plastic. Single-stage paint has no
//! clear coat; matt, wrap and film are not polished.
//! Where a film map was drawn its lower bound is the thinnest plausible place.
//! Left out: edges nobody has read; those that were enter by their reading.
//! Checked by: budgets B1 to B5 of the two manufacturer bulletins and the
//! closed form of a conditional normal.

pub mod etch;
pub mod layers;
pub mod rules;

use lapwing_measure::Provenance;
use lapwing_measure::quantity::Length;
use serde::Serialize;
use uom::si::length::micrometer;

use crate::inspect::PanelFilm;
use crate::record::job::{Paint, Panel, Rules, Substrate};
use crate::record::readings::{LEAST_FILM_UM, MOST_FILM_UM};
use crate::record::{Caution, panel_names};

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
        Paint::Matt => {
            never("Matt or satin clear: a machine polish would make it shine in patches.")
        }
        Paint::Wrap => never("Vinyl wrap: not paint, not polished by machine."),
        Paint::Film => never("Paint protection film: a different process with little heat."),
        Paint::SingleStage => single_stage(panel, film, rules),
        Paint::BaseClear => base_clear(panel, film, gauge_um, rules),
    }
}

fn never(reason: &str) -> Budget {
    Budget {
        budget_um: None,
        binding_rule: None,
        rules: Vec::new(),
        clear_left: None,
        total_um: None,
        verdict: FilmVerdict::Leave,
        reason: reason.to_owned(),
        provenance: Provenance::CommonPractice,
        cautions: Vec::new(),
    }
}

/// Pigmented top coat: no clear to keep, so only the removed-ever rule stands,
/// and at least half of a 50 µm top coat must remain (assumed).
fn single_stage(panel: &Panel, film: Option<&PanelFilm>, rules: &Rules) -> Budget {
    let before_um = panel.removed_before.get::<micrometer>();
    let mut findings = vec![rules::removed_ever(rules, before_um)];
    findings.push(RuleFinding {
        name: "half-of-top-coat".to_owned(),
        words: "at least 25 µm of an assumed 50 µm top coat must stay".to_owned(),
        allows_um: Some((25.0 - before_um).max(0.0)),
        is_in_force: true,
        provenance: Provenance::Assumed,
    });
    let mut budget = bind(findings, None, film.and_then(|f| f.median_um));
    budget.cautions.push(Caution::new(
        panel_names::spoken(&panel.name),
        "Single-stage paint: colour on the pad is normal and says nothing about depth. No clear coat is stated.",
    ));
    budget
}

fn base_clear(panel: &Panel, film: Option<&PanelFilm>, gauge_um: f64, rules: &Rules) -> Budget {
    let spoken = panel_names::spoken(&panel.name);
    let is_repaint = panel.is_repainted || film.is_some_and(|f| f.is_suspected_repaint);
    let total_um = film.and_then(thinnest_um);
    if is_repaint {
        let mut budget = never(
            "Painted before, or filler: its layers are not known. Test it by itself, or leave it.",
        );
        budget.total_um = film.and_then(|f| f.median_um);
        return budget;
    }
    if total_um.is_none() && panel.substrate != Substrate::Plastic {
        return never("Not measured: no film reading on this panel. Take five readings first.");
    }
    let prior = LayerPrior::factory(panel.substrate);
    let before_um = panel.removed_before.get::<micrometer>();
    let clear = prior.clear_left(total_um, gauge_um, before_um, rules.confidence);
    let findings = film_rules(rules, &clear, total_um, before_um);
    let mut budget = bind(findings, Some(clear), total_um);
    if total_um.is_none() {
        budget.verdict = budget.verdict_at_most(FilmVerdict::FinishOnly);
        budget.reason = "Plastic without a reading: counted as thin, finishing only.".to_owned();
        budget.cautions.push(Caution::new(
            spoken,
            "No gauge for metal reads plastic; the clear here is an assumed layer build.",
        ));
    } else if let Some(thin) = total_um.filter(|t| *t < 80.0) {
        budget.cautions.push(Caution::new(
            spoken,
            format!("The thinnest plausible place is {thin:.0} µm in all: thin. Tape edges, check twice."),
        ));
    }
    budget
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
    let (verdict, reason) = match (budget_um, binding) {
        (Some(um), Some((_, rule))) if um <= 0.0 => (
            FilmVerdict::Leave,
            format!("Nothing may go: {}.", rule.words),
        ),
        (Some(um), Some((_, rule))) if um < FINISH_ONLY_UM => (
            FilmVerdict::FinishOnly,
            format!("Only {um:.1} µm may go: {}.", rule.words),
        ),
        (Some(um), Some((_, rule))) => (
            FilmVerdict::Polish,
            format!("Up to {um:.1} µm may go: {}.", rule.words),
        ),
        _ => (
            FilmVerdict::Leave,
            "No film rule is in force, so no budget can be stated.".to_owned(),
        ),
    };
    let provenance = binding.map_or(Provenance::Assumed, |(_, r)| r.provenance);
    Budget {
        budget_um,
        binding_rule: binding.map(|(_, r)| r.name.clone()),
        clear_left: clear,
        total_um,
        verdict,
        reason,
        provenance,
        cautions: Vec::new(),
        rules,
    }
}

impl Budget {
    fn verdict_at_most(&self, ceiling: FilmVerdict) -> FilmVerdict {
        if self.verdict == FilmVerdict::Polish {
            ceiling
        } else {
            self.verdict
        }
    }

    /// The budget as a length.
    #[must_use]
    pub fn length(&self) -> Option<Length> {
        self.budget_um.map(Length::new::<micrometer>)
    }
}

#[cfg(test)]
mod tests;
