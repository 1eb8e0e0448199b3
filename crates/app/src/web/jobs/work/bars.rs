//! Budgets of the section in hand as bars: film, heat, vibration, noise.
//!
//! Law: none of its own; film and heat are the plan's upper ends, the dose of
//! the last 12 hours is added up by the function of `lapwing exposure` from
//! measured minutes. Used is solid, planned hatched, a limit a wall.
//! Source: action values as in `lapwing_job::exposure`: 2.5 m/s² and 85 dB(A).
//! Holds: for the machines of this job; other work of the day is not known.
//! Checked by: `tests/web_work.rs`, and by looking.

use lapwing_job::exposure::{Day, DayExposure, Use, exposure};
use lapwing_measure::quantity::{Acceleration, Time};
use maud::{Markup, html};
use uom::si::acceleration::meter_per_second_squared;
use uom::si::time::minute;

use super::super::super::numbers::Measure;
use super::super::super::refusal::Refusal;
use super::super::super::visitor::Visitor;
use super::super::super::words::{Message, jobs as say, stations};
use super::super::sections::{Section, WorkPlan, WorkStep};
use super::super::{Kept, now_ms};
use super::done_of;
use crate::failure::Failure;

/// What counts as this working day, ms.
const A_DAY_MS: i64 = 12 * 3_600_000;
/// Action values of a day.
const HANDS_M_S2: f64 = 2.5;
const EARS_DBA: f64 = 85.0;
/// Where the noise bar begins, dB(A).
const QUIET_DBA: f64 = 50.0;

/// One bar: used, used and planned, wall; in the unit of its words.
struct Bar {
    name: Message,
    measure: Measure,
    from: f64,
    used: f64,
    planned: f64,
    wall: f64,
}

pub(super) fn budgets(
    visitor: &Visitor,
    kept: &Kept,
    (plan, next): (&WorkPlan, &Section<'_>),
) -> Result<Markup, Refusal> {
    let step = next.step;
    let bar = |name, measure, values: (f64, f64, f64)| Bar {
        name,
        measure,
        from: 0.0,
        used: values.0,
        planned: values.1,
        wall: values.2,
    };
    let film_after = step.before_upper_um + step.takes_upper_um;
    let mut done = uses(kept, plan);
    let before = day(&done)?;
    done.push(use_of(step, step.minutes * step.trigger_frac));
    let after = day(&done)?;
    let hands = (before.a8_m_s2, after.a8_m_s2, HANDS_M_S2);
    let ears = |d: &DayExposure| d.noise_lex8h_db.unwrap_or(QUIET_DBA).max(QUIET_DBA);
    Ok(html! {
        div.budgets {
            @if let Some(budget_um) = step.budget_um {
                (bar(say::FILM, Measure::Film, (step.before_upper_um, film_after, budget_um)).draw(visitor))
            }
            (bar(say::SURFACE, Measure::Temperature, (0.0, step.peak_upper_c, plan.stop_c)).draw(visitor))
            (bar(say::HANDS, Measure::Vibration, hands).draw(visitor))
            (Bar { from: QUIET_DBA, ..bar(stations::EARS, Measure::Noise, (ears(&before), ears(&after), EARS_DBA)) }.draw(visitor))
            p.note { (visitor.say(stations::BARS_NOTE)) }
        }
    })
}

/// What ran in the last 12 hours, from measured minutes.
fn uses(kept: &Kept, plan: &WorkPlan) -> Vec<Use> {
    let earliest = now_ms() - A_DAY_MS;
    let today = |section: &Section<'_>| {
        let done = done_of(kept, &section.key())?;
        let minutes = done["minutes"].as_f64()?;
        let is_today = done["at_ms"].as_i64()? >= earliest;
        is_today.then(|| use_of(section.step, minutes * section.step.trigger_frac))
    };
    plan.sections().iter().filter_map(today).collect()
}

fn use_of(step: &WorkStep, minutes: f64) -> Use {
    Use {
        what: step.machine.clone(),
        vibration: Acceleration::new::<meter_per_second_squared>(step.vibration_m_s2),
        vibration_uncertainty: Acceleration::new::<meter_per_second_squared>(
            step.vibration_sd_m_s2,
        ),
        is_uncertainty_assumed: false,
        noise_dba: step.noise_dba,
        time: Time::new::<minute>(minutes),
    }
}

fn day(uses: &[Use]) -> Result<DayExposure, Refusal> {
    let day = Day {
        uses: uses
            .iter()
            .filter(|u| u.time.value > 0.0)
            .cloned()
            .collect(),
        is_cautious: true,
    };
    exposure(&day).map_err(|e| Failure::from(e).into())
}

impl Bar {
    fn draw(&self, visitor: &Visitor) -> Markup {
        let top = self.from + 1.15 * (self.planned.max(self.wall) - self.from).max(1e-9);
        let along = |value: f64| 358.0 * ((value - self.from) / (top - self.from)).clamp(0.0, 1.0);
        let said = |value: f64| visitor.with_unit(self.measure, value);
        let words = if self.used > self.from {
            let parts = [self.used, self.planned, self.wall].map(said);
            visitor.fill(
                stations::USED_PLANNED_LIMIT,
                &parts.each_ref().map(String::as_str),
            )
        } else {
            visitor.fill(say::PLANNED_LIMIT, &[&said(self.planned), &said(self.wall)])
        };
        let (used, planned) = (along(self.used), along(self.planned));
        html! {
            div.budget {
                p { b { (visitor.say(self.name)) } " " small { (words) }
                    @if self.planned > self.wall { " " span.plate.next { (visitor.say(stations::OVER)) } } }
                svg viewBox="0 0 358 26" preserveAspectRatio="none" role="img" aria-label=(format!("{}: {words}", visitor.say(self.name))) {
                    rect x="0" y="4" width="358" height="18" fill="#e4eae7" {}
                    rect x="0" y="4" width=(format!("{used:.1}")) height="18" fill="#3e5257" {}
                    @for stripe in 0..60 {
                        @let x = f64::from(stripe) * 6.0;
                        @if x >= used && x < planned {
                            path d=(format!("M{x:.0} 22l5 -18")) stroke="#3e5257" stroke-width="2" fill="none" {}
                        }
                    }
                    path d=(format!("M{:.1} 0V26", along(self.wall))) stroke="#922022" stroke-width="5" fill="none" {}
                }
            }
        }
    }
}
