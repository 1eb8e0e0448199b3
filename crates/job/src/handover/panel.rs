//! One panel of the record: film before and after, what went, what is left.
//!
//! Law: see the station's page; a panel of which only some sections were done
//! is expected to have lost that share of each step's removal.
//! Source: own. Holds: as the station.
//! Left out: where on the panel the sections lie.
//! Checked by: the tests of the station.

use lapwing_measure::estimate::NORMAL_975;
use lapwing_measure::quantity::Length;
use uom::si::length::micrometer;

use super::record::{Amount, DoneStep, Film, HandedPanel, Left, Said, Told, thousandth};
use super::removed::{CutNormal, Difference, difference};
use super::too_far::TooFar;
use super::{Visit, limits, log::Log, said};
use crate::budget::{Budget, ClearLeft, budget};
use crate::inspect::PanelFilm;
use crate::plan::{Interval, PanelPlan};
use crate::record::job::Panel;
use crate::trial::pairs::Removed;

/// Where clear left comes from when the readings after would leave too much.
const LESS_WENT: &str = "readings before less what went";

/// Every panel of the plan, and what is doubtful about them.
pub(super) fn panels(visit: &Visit<'_>) -> (Vec<HandedPanel>, Vec<Said>) {
    let mut doubts = Vec::new();
    let panels = visit
        .plan
        .panels
        .iter()
        .zip(&visit.job.panels)
        .map(|(planned, panel)| {
            let seen = Seen::of(visit, planned, panel);
            doubts.extend(seen.doubts());
            seen.handed()
        })
        .collect();
    (panels, doubts)
}

/// What is known of one panel when the car leaves.
struct Seen<'a> {
    visit: &'a Visit<'a>,
    planned: &'a PanelPlan,
    panel: &'a Panel,
    before: Option<&'a PanelFilm>,
    after: Option<&'a PanelFilm>,
    done: Vec<DoneStep>,
    difference: Option<Difference>,
    expected: Option<Interval>,
}

impl<'a> Seen<'a> {
    fn of(visit: &'a Visit<'a>, planned: &'a PanelPlan, panel: &'a Panel) -> Self {
        let named = |film: &'a crate::inspect::CarFilm| {
            film.panels
                .iter()
                .find(|f| f.name == panel.name && f.mean_um.is_some())
        };
        let done = visit.log.map(|l| done(l, planned)).unwrap_or_default();
        Self {
            before: named(visit.before.1),
            after: visit.after.and_then(|(_, film)| named(film)),
            difference: visit.after.and_then(|(after, film)| {
                let gauge_um = film
                    .gauge
                    .reading_sd_um
                    .max(visit.before.1.gauge.reading_sd_um);
                let paired = visit.same_places.iter().find(|p| p.panel == panel.name);
                let paired = paired.and_then(|p| Removed::of(&p.before_um, &p.after_um, gauge_um));
                paired
                    .map(Difference::from)
                    .or_else(|| difference(&panel.name, visit.before.0, after, gauge_um))
            }),
            expected: expected(planned, &done),
            visit,
            planned,
            panel,
            done,
        }
    }

    fn verdict(&self) -> &'static str {
        let all: u32 = self.done.iter().map(|s| s.sections).sum();
        let worked: u32 = self.done.iter().map(|s| s.sections_done).sum();
        match self.visit.log {
            // Paint that went was worked, whatever the log says.
            _ if self.went_unnoted().is_some() => "not noted",
            None if self.planned.recipe.is_empty() => "left",
            None => "not noted",
            Some(_) if worked == 0 => "left",
            Some(_) if worked < all => "part",
            Some(_) => "polished",
        }
    }

    /// Film that the gauge clearly shows gone, where no work is noted.
    fn went_unnoted(&self) -> Option<Difference> {
        let is_noted = self.done.iter().any(|s| s.sections_done > 0);
        self.difference
            .filter(|d| !is_noted && !d.is_growth && d.lower_95_um > 0.0)
    }

    /// What went, for the debit.
    fn removed(&self) -> Option<(CutNormal, &'static str, &'static str)> {
        let is_left = self.verdict() == "left";
        // Where nobody worked, only what the gauge clearly shows is believed;
        // film that grew is never.
        let seen = self
            .difference
            .filter(|d| !d.is_growth && (!is_left || d.lower_95_um > 0.0));
        if let Some(difference) = seen {
            return Some((
                difference.cut_at_nothing(),
                "measured",
                if difference.pairs > 0 {
                    "the gauge, same spots before and after"
                } else {
                    "the gauge, means before and after"
                },
            ));
        }
        if let Some(expected) = &self.expected {
            let sd_um = (expected.upper_95 - expected.lower_95) / (2.0 * NORMAL_975);
            let cut = CutNormal {
                mean_um: expected.mean,
                sd_um,
                lower_95_um: expected.lower_95,
                upper_95_um: expected.upper_95,
            };
            return Some((cut, expected.provenance.word(), "the plan, not read again"));
        }
        is_left.then_some((
            CutNormal {
                mean_um: 0.0,
                sd_um: 0.0,
                lower_95_um: 0.0,
                upper_95_um: 0.0,
            },
            "calibrated",
            "not worked, by the shop's log",
        ))
    }

    /// Taken off by all visits, as typed lengths.
    fn ever(&self) -> (Length, Length) {
        let um = |length: Length| length.get::<micrometer>();
        let (now_um, sd_um) = self
            .removed()
            .map_or((0.0, 0.0), |(r, _, _)| (r.mean_um, r.sd_um));
        (
            self.panel.removed_before + Length::new::<micrometer>(now_um),
            Length::new::<micrometer>(um(self.panel.removed_before_sd).hypot(sd_um)),
        )
    }

    /// Whether the readings after cannot be right.
    fn after_cannot_be(&self) -> bool {
        self.difference.is_some_and(|d| d.is_growth)
    }

    /// The budget of a later visit, where the film was read again.
    fn later(&self) -> Option<Budget> {
        let after = self.after.filter(|_| !self.after_cannot_be())?;
        let (removed_before, removed_before_sd) = self.ever();
        let panel = Panel {
            removed_before,
            removed_before_sd,
            ..self.panel.clone()
        };
        let gauge_um = self.visit.after?.1.gauge.reading_sd_um;
        Some(budget(&panel, Some(after), gauge_um, &self.visit.job.rules))
    }

    fn left(&self, later: Option<&Budget>) -> Option<Left> {
        let planned = || {
            let before = self.planned.clear_left_um;
            let clear = match (self.verdict(), self.removed()) {
                ("left", _) => before,
                // Nobody knows what was done: as if all of the plan.
                (_, None) => self.planned.clear_after_um,
                (_, Some((went, ..))) => before.map(|clear| less(clear, went)),
            };
            clear.map(|c| (c, "readings before and the plan"))
        };
        let (clear, origin) = match later {
            Some(later) if self.is_more_than_before(later) => {
                (self.before_less_what_went()?, LESS_WENT)
            }
            Some(later) => later.clear_left.map(|c| (c, "readings after"))?,
            None => planned()?,
        };
        left(&clear, origin)
    }

    /// Whether the readings after, by themselves, would leave more than there
    /// was before; only where the film was read both times.
    fn is_more_than_before(&self, later: &Budget) -> bool {
        let more = |now: Option<f64>, then: Option<f64>| {
            now.zip(then).is_some_and(|(now, then)| now > then + 1e-9)
        };
        let clear = |c: Option<ClearLeft>| c.map(|c| c.mean);
        self.before.is_some()
            && (more(clear(later.clear_left), clear(self.planned.clear_left_um))
                || more(later.budget_um, self.planned.budget_um))
    }

    /// Clear left before, less what went; deviations as squares, the lower
    /// bound as many of them below as before.
    fn before_less_what_went(&self) -> Option<ClearLeft> {
        let before = self.planned.clear_left_um?;
        let (went_um, sd_um) = self
            .removed()
            .map_or((0.0, 0.0), |(r, _, _)| (r.mean_um, r.sd_um));
        let mean = (before.mean - went_um).max(0.0);
        let sd = before.sd.hypot(sd_um);
        let widened = if before.sd > 0.0 { sd / before.sd } else { 1.0 };
        let lower_95 = (mean - (before.mean - before.lower_95) * widened).max(0.0);
        Some(ClearLeft {
            mean,
            sd,
            lower_95,
            ..before
        })
    }

    fn may_go(&self, later: Option<&Budget>) -> Option<f64> {
        let um = match later {
            Some(later) if !self.is_more_than_before(later) => later.budget_um,
            _ => self.planned.budget_um.map(|um| {
                let most = self.removed().map_or(0.0, |(r, _, _)| r.upper_95_um);
                (um - most).max(0.0)
            }),
        };
        um.and_then(thousandth)
    }

    /// Whether more went than may have.
    fn too_far(&self, went: Option<&Told>, left: Option<&Left>) -> Option<TooFar> {
        let had_um = self.planned.clear_left_um.map(|c| c.mean);
        TooFar::of(went, had_um, left, &limits(self.visit.job))
    }

    /// What went, as it is told.
    fn told_removed(&self) -> Option<Told> {
        let (r, mark, origin) = self.removed()?;
        let numbers = [r.mean_um, r.sd_um, r.lower_95_um, r.upper_95_um];
        told(numbers, (mark, origin))
    }

    fn doubts(&self) -> Vec<Said> {
        let mut found = Vec::new();
        let spoken = &self.planned.spoken;
        let later = self.later();
        let left = self.left(later.as_ref());
        let far = self.too_far(self.told_removed().as_ref(), left.as_ref());
        if let Some(far) = &far {
            found.push(said(
                spoken,
                &format!(
                    "{}. Read it again; where it is so, nothing more may be polished here.",
                    far.words()
                ),
            ));
        }
        if later.is_some_and(|l| self.is_more_than_before(&l)) {
            found.push(said(spoken, "By the readings after alone more would be left than there was before, and film does not grow: what is left is that of before less what went."));
        }
        if self.verdict() == "not noted" && self.difference.is_none() {
            found.push(said(spoken, "What was done here was not noted and the film was not read again: nothing is debited for this visit."));
        }
        if let Some(difference) = &self.difference {
            if difference.is_growth {
                found.push(said(spoken, &format!("The readings after cannot be right: the film reads {:.1} µm thicker after than before, and paint does not grow. Another place, dirt or wax, a warm panel, another zero? Read it again. Until then they count for nothing, and what went is taken from the plan.", -difference.mean_um)));
            } else if self.went_unnoted().is_some()
                && (self.visit.log.is_some() || self.planned.recipe.is_empty())
            {
                found.push(said(spoken, &format!("No work is noted here, yet {:.1} µm less film reads than before; it is debited.", difference.mean_um)));
            }
            if let Some(expected) = self
                .expected
                .filter(|e| far.is_none() && difference.lower_95_um > e.upper_95)
            {
                found.push(said(spoken, &format!("{:.1} µm went, more than the {:.1} µm that the plan expected at most. Do a test spot before the next visit.", difference.mean_um, expected.upper_95)));
            }
        }
        found
    }

    fn handed(&self) -> HandedPanel {
        let later = self.later();
        let (ever, ever_sd) = self.ever();
        let um = |length: Length| thousandth(length.get::<micrometer>()).unwrap_or(0.0);
        let planned = self.planned;
        let (removed_um, clear_left_um) = (self.told_removed(), self.left(later.as_ref()));
        HandedPanel {
            name: planned.name.clone(),
            spoken: planned.spoken.clone(),
            substrate: planned.substrate.word().to_owned(),
            paint: self.panel.paint.word().to_owned(),
            zone: planned.zone.to_owned(),
            is_repainted: self.panel.is_repainted,
            area_m2: thousandth(planned.area_m2).unwrap_or(0.0),
            verdict: self.verdict().to_owned(),
            film_before_um: self.before.and_then(film),
            film_after_um: self.after.and_then(film),
            after_cannot_be: self.after_cannot_be(),
            too_far: self.too_far(removed_um.as_ref(), clear_left_um.as_ref()),
            removed_um,
            difference_um: self.difference.and_then(|d| {
                told(
                    [d.mean_um, d.sd_um(), d.lower_95_um, d.upper_95_um],
                    ("measured", "before less after"),
                )
            }),
            expected_um: self.expected.and_then(|e| interval(&e, "the plan")),
            removed_ever_um: Amount {
                mean: um(ever),
                sd: um(ever_sd),
            },
            clear_left_um,
            may_go_um: self.may_go(later.as_ref()),
            binding_rule: later
                .filter(|b| !self.is_more_than_before(b))
                .map_or_else(|| planned.binding_rule.clone(), |b| b.binding_rule),
            share_gone: planned
                .share_gone
                .filter(|_| self.verdict() == "polished")
                .and_then(|g| interval(&g, "the plan")),
            findings: planned.findings.clone(),
            done: self.done.clone(),
            minutes: self.visit.log.and_then(|l| minutes(l, &planned.name)),
        }
    }
}

/// Clear coat less what went: deviations as squares, the lower bound less the
/// most that may have gone, as the plan has it.
fn less(clear: ClearLeft, went: CutNormal) -> ClearLeft {
    ClearLeft {
        mean: (clear.mean - went.mean_um).max(0.0),
        sd: clear.sd.hypot(went.sd_um),
        lower_95: (clear.lower_95 - went.upper_95_um).max(0.0),
        ..clear
    }
}

/// The steps of a panel's recipe with the sections that the log says.
fn done(log: &Log, planned: &PanelPlan) -> Vec<DoneStep> {
    let sections_of = |at: usize| {
        let noted = log
            .done
            .iter()
            .filter(|d| d.panel == planned.name && d.step.is_none_or(|s| s == at + 1));
        let sum: u32 = noted
            .map(|d| d.sections.unwrap_or(planned.sections))
            .fold(0, u32::saturating_add);
        sum.min(planned.sections)
    };
    planned
        .recipe
        .iter()
        .enumerate()
        .map(|(at, step)| DoneStep {
            step: step.step.clone(),
            machine: step.machine.clone(),
            speed_rpm: thousandth(step.speed_rpm).unwrap_or(0.0),
            pad: step.pad.clone(),
            abrasive: step.abrasive.clone(),
            passes: step.passes,
            sections_done: sections_of(at),
            sections: planned.sections,
        })
        .collect()
}

/// What the plan expected of the sections that were done: each step in its
/// share; the ends keep their distance in the share of the mean.
fn expected(planned: &PanelPlan, done: &[DoneStep]) -> Option<Interval> {
    let whole = planned.removal_um.filter(|w| w.mean > 0.0)?;
    let mean: f64 = planned
        .recipe
        .iter()
        .zip(done)
        .map(|(step, done)| {
            step.removal_um.mean * f64::from(done.sections_done) / f64::from(done.sections.max(1))
        })
        .sum();
    let all: f64 = planned.recipe.iter().map(|s| s.removal_um.mean).sum();
    if mean <= 0.0 || all <= 0.0 {
        return None;
    }
    let share_frac = mean / all;
    Some(Interval {
        mean: whole.mean * share_frac,
        lower_95: whole.lower_95 * share_frac,
        upper_95: whole.upper_95 * share_frac,
        provenance: whole.provenance,
    })
}

fn minutes(log: &Log, panel: &str) -> Option<f64> {
    let noted: Vec<f64> = log
        .done
        .iter()
        .filter(|d| d.panel == panel)
        .filter_map(|d| d.minutes)
        .collect();
    (!noted.is_empty())
        .then(|| noted.iter().sum())
        .and_then(thousandth)
}

fn film(film: &PanelFilm) -> Option<Film> {
    Some(Film {
        mean: thousandth(film.mean_um?)?,
        sd: thousandth(film.sd_um.unwrap_or(0.0))?,
        count: film.spots,
    })
}

fn told(numbers: [f64; 4], (provenance, origin): (&str, &str)) -> Option<Told> {
    let [mean, sd, lower_95, upper_95] = numbers.map(thousandth);
    Some(Told {
        mean: mean?,
        sd: sd?,
        lower_95: lower_95?,
        upper_95: upper_95?,
        provenance: provenance.to_owned(),
        origin: origin.to_owned(),
    })
}

fn interval(interval: &Interval, origin: &str) -> Option<Told> {
    let sd = (interval.upper_95 - interval.lower_95) / (2.0 * NORMAL_975);
    told(
        [interval.mean, sd, interval.lower_95, interval.upper_95],
        (interval.provenance.word(), origin),
    )
}

fn left(clear: &ClearLeft, origin: &str) -> Option<Left> {
    Some(Left {
        mean: thousandth(clear.mean)?,
        sd: thousandth(clear.sd)?,
        lower_95: thousandth(clear.lower_95)?,
        provenance: clear.provenance.word().to_owned(),
        origin: origin.to_owned(),
    })
}
