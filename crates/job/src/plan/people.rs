//! Who works on which day, so that hands stay under the action value.
//!
//! Law: trigger minutes are handed out in the order of the job, to each person
//! in turn, until the day is full or its 100 points are used; then the next
//! person, then the next day.
//! Source: limits in `exposure`; machine values are what the shop declared.
//! Holds: vibration from polishing machines only; noise likewise.
//! Left out: other tools of the day (vacuum, blow-drying), which are louder:
//! add them with `lapwing exposure`.
//! Checked by: no person's day over 100 points, and every minute handed out.

use lapwing_measure::Provenance;
use lapwing_measure::quantity::Time;
use serde::Serialize;
use uom::si::acceleration::meter_per_second_squared;
use uom::si::time::{hour, minute};

use super::{Hours, PanelPlan};
use crate::exposure::{Day, Use, exposure};
use crate::record::job::Job;
use crate::record::{Caution, InputError, Part, Said, Sentence};

/// Dose of one person on one day.
#[derive(Clone, Debug, Serialize)]
pub struct PersonDay {
    /// Who.
    pub name: String,
    /// Day of the job, from 1.
    pub day: u32,
    /// Minutes with a machine running.
    pub trigger_minutes: f64,
    /// Daily vibration exposure.
    pub a8_m_s2: f64,
    /// Exposure points of the day.
    pub points: f64,
    /// Daily noise exposure level, machines only.
    pub noise_lex8h_db: Option<f64>,
    /// Trigger time comes from common practice; machine values are declared.
    pub provenance: Provenance,
}

/// Most days a job is spread over.
const MOST_DAYS: u32 = 60;

/// Points of a day that are not exceeded: the action value.
const DAY_POINTS: f64 = 100.0;

/// A machine and the minutes still to be worked with it.
struct Left {
    machine: usize,
    minutes: f64,
}

/// Hands out the work.
pub(super) fn days(
    job: &Job,
    panels: &[PanelPlan],
    hours: &Hours,
) -> Result<(Vec<PersonDay>, Vec<Caution>), InputError> {
    let mut queue = queue(panels);
    let trigger_min: f64 = queue.iter().map(|l| l.minutes).sum();
    let share_running = (trigger_min / (hours.mean * 60.0).max(1.0)).clamp(0.05, 1.0);
    let mut result = Vec::new();
    for day in 1..=MOST_DAYS {
        for person in &job.people {
            let uses = fill_day(
                job,
                &mut queue,
                person.day.get::<hour>() * 60.0 * share_running,
            );
            if !uses.is_empty() {
                result.push(person_day(person.name.clone(), day, uses)?);
            }
        }
        if queue.is_empty() {
            break;
        }
    }
    let cautions = cautions(&result, !queue.is_empty());
    Ok((result, cautions))
}

fn queue(panels: &[PanelPlan]) -> Vec<Left> {
    let mut queue: Vec<Left> = Vec::new();
    for step in panels.iter().flat_map(|p| &p.recipe) {
        match queue.iter_mut().find(|l| l.machine == step.kit.0) {
            Some(left) => left.minutes += step.trigger_minutes,
            None => queue.push(Left {
                machine: step.kit.0,
                minutes: step.trigger_minutes,
            }),
        }
    }
    queue
}

fn fill_day(job: &Job, queue: &mut Vec<Left>, mut minutes_free: f64) -> Vec<Use> {
    let mut points_free = DAY_POINTS;
    let mut uses = Vec::new();
    while let Some(first) = queue.first_mut() {
        let machine = &job.kit.machines[first.machine];
        let a = (machine.vibration + machine.vibration_uncertainty)
            .get::<meter_per_second_squared>()
            .max(2.5);
        let by_points = points_free / (2.0 * a * a) * 60.0;
        let minutes = first.minutes.min(minutes_free).min(by_points);
        if minutes < 1e-9 {
            break;
        }
        uses.push(Use {
            what: machine.name.clone(),
            vibration: machine.vibration,
            vibration_uncertainty: machine.vibration_uncertainty,
            is_uncertainty_assumed: false,
            noise_dba: machine.noise_dba,
            time: Time::new::<minute>(minutes),
        });
        points_free -= 2.0 * a * a * minutes / 60.0;
        minutes_free -= minutes;
        first.minutes -= minutes;
        if first.minutes < 1e-9 {
            queue.remove(0);
        }
    }
    uses
}

fn person_day(name: String, day: u32, uses: Vec<Use>) -> Result<PersonDay, InputError> {
    let trigger_minutes = uses.iter().map(|u| u.time.get::<minute>()).sum();
    let dose = exposure(&Day {
        uses,
        is_cautious: true,
    })?;
    Ok(PersonDay {
        name,
        day,
        trigger_minutes,
        a8_m_s2: dose.a8_m_s2,
        points: dose.points,
        noise_lex8h_db: dose.noise_lex8h_db,
        provenance: Provenance::CommonPractice,
    })
}

fn cautions(days: &[PersonDay], is_unfinished: bool) -> Vec<Caution> {
    let mut list = Vec::new();
    let last = days.iter().map(|d| d.day).max().unwrap_or(0);
    if is_unfinished {
        list.push(Caution::of("people", Sentence::NotInSixtyDays));
    } else if days.iter().any(|d| d.points > DAY_POINTS - 0.5) {
        let sentence = if last == 1 {
            Sentence::OverOneDay
        } else {
            Sentence::OverDays
        };
        let days = Part::Number(f64::from(last), 0);
        list.push(Caution::of("people", Said::new(sentence, [days])));
    }
    if days
        .iter()
        .any(|d| d.noise_lex8h_db.is_some_and(|db| db >= 80.0))
    {
        list.push(Caution::of("people", Sentence::NoisyDays));
    }
    list
}
