//! What a job brings to the bench: the panel with what lies under it and the
//! clear coat left there, and machine, pad and abrasive of the job's kit.
//!
//! Law: none. What the page does not choose is taken from the work plan's step
//! on that panel, else from the test spot, else from the kit itself.
//! Holds: for a job of the shop; clear coat is stated where readings say it,
//! the other coats stay the usual ones.
//! Left out: readings so far apart that a map would matter; the mean counts.
//! Checked by: `tests/web_bench_job.rs`.

use std::sync::Arc;

use lapwing_job::record::job::{Job, Machine};
use lapwing_job::record::read::read_job;
use serde_json::Value;
use uom::si::angular_velocity::revolution_per_minute;
use uom::si::force::newton;
use uom::si::length::millimeter;
use uom::si::thermodynamic_temperature::degree_celsius;

use super::super::fields::Fields;
use super::super::jobs::Kept;
use super::super::jobs::sections::{WorkPlan, WorkStep};
use super::super::refusal::Refusal;
use super::super::the_line::{Line, Station};
use super::super::visitor::Visitor;
use super::super::{Bay, apart};
use super::pass::{Base, Said};
use crate::commands::job_film::clear_left;

/// So many jobs with their choices are remembered.
const KEPT: usize = 32;
/// What is chosen of a job, in the order of the page.
pub(super) const CHOICES: [&str; 4] = ["panel", "tool", "pad_name", "polish"];

/// A job at the bench.
pub(crate) struct OfJob {
    pub(super) id: String,
    pub(super) name: String,
    pub(super) line: Line,
    /// Word and name of everything that can be chosen, list by list.
    pub(super) lists: [Vec<(String, String)>; 4],
    /// What is chosen, list by list; empty where there is nothing to choose.
    pub(super) chosen: [String; 4],
    pub(super) base: Base,
    /// Where the job warns and where it stops, °C.
    pub(super) walls_c: [f64; 2],
}

impl OfJob {
    /// The address of the bench with these choices.
    pub(super) fn address(&self) -> String {
        let mut query = form_urlencoded::Serializer::new(String::new());
        query.append_pair("job", &self.id);
        for (key, word) in CHOICES.iter().zip(&self.chosen) {
            if !word.is_empty() {
                query.append_pair(key, word);
            }
        }
        format!("/bench?{}", query.finish())
    }
}

/// The job that the fields name, if they name one of this shop.
pub(super) async fn of(
    bay: &Bay,
    visitor: &Visitor,
    fields: &Fields,
) -> Result<Option<Arc<OfJob>>, Refusal> {
    let Some(id) = fields.text("job") else {
        return Ok(None);
    };
    let Ok(kept) = Kept::bare(bay, id).await else {
        return Ok(None);
    };
    let wanted = CHOICES.map(|key| fields.text(key).unwrap_or_default());
    let mark = format!(
        "{} {id} {} {} {wanted:?}",
        bay.shop.id(),
        kept.version,
        visitor.language.code()
    );
    if let Some(found) = bay.bench.job(&mark) {
        return Ok(Some(found));
    }
    let made = Arc::new(made(bay, visitor, &kept, wanted).await?);
    bay.bench.keep_job(mark, &made);
    Ok(Some(made))
}

impl super::Bench {
    fn job(&self, mark: &str) -> Option<Arc<OfJob>> {
        let jobs = self.jobs.lock().ok()?;
        let found = jobs.iter().find(|(known, _)| known == mark);
        found.map(|(_, job)| Arc::clone(job))
    }

    fn keep_job(&self, mark: String, job: &Arc<OfJob>) {
        if let Ok(mut jobs) = self.jobs.lock() {
            jobs.push_front((mark, Arc::clone(job)));
            jobs.truncate(KEPT);
        }
    }
}

async fn made(
    bay: &Bay,
    visitor: &Visitor,
    kept: &Kept,
    wanted: [&str; 4],
) -> Result<OfJob, Refusal> {
    let job = read_job("job.toml", &kept.car_text());
    let job = job
        .map(|(job, _)| job)
        .map_err(|e| Refusal::input(e.sentence))?;
    let spot = &kept.document["trial"]["setup"];
    let plan = match WorkPlan::of_document(&kept.document) {
        Some(plan) => Some(plan),
        None => bay
            .plans
            .plan_at_hand(kept, visitor)
            .map(|shelved| WorkPlan::of(&shelved.planned.plan, &shelved.job)),
    };
    let lists = lists(visitor, &job);
    let panel = first_of(
        &lists[0],
        [wanted[0], spot["panel"].as_str().unwrap_or_default()],
    );
    let steps = plan.as_ref().map_or(&[][..], |plan| &plan.steps);
    let step = steps.iter().find(|s| s.panel == panel);
    let usual = |key: &str| {
        let of_step = step.map(|s| match key {
            "machine" => s.machine.as_str(),
            "pad" => s.pad.as_str(),
            _ => s.abrasive.as_str(),
        });
        of_step.or(spot[key].as_str()).unwrap_or_default()
    };
    let tool = first_of(&lists[1], [wanted[1], usual("machine")]);
    let pad = first_of(&lists[2], [wanted[2], usual("pad")]);
    let polish = first_of(&lists[3], [wanted[3], usual("abrasive")]);
    let mut said = of_kit(&job, (&panel, &tool), (&pad, &polish));
    of_habit(&mut said, (&tool, step, spot));
    said.clear_um = clear_of(kept, &panel).await;
    Ok(OfJob {
        id: kept.id.clone(),
        name: kept.text("/glance/name").to_owned(),
        line: kept.line(visitor, Station::Forecast),
        lists,
        chosen: [panel, tool, pad, polish],
        base: Base::of(&said),
        walls_c: [job.rules.heat_warn, job.rules.heat_stop].map(|t| t.get::<degree_celsius>()),
    })
}

fn lists(visitor: &Visitor, job: &Job) -> [Vec<(String, String)>; 4] {
    let panel = |p: &lapwing_job::record::job::Panel| {
        (p.name.clone(), visitor.panel_named(&p.name, &p.spoken()))
    };
    let twice = |name: &String| (name.clone(), name.clone());
    let kit = &job.kit;
    [
        job.panels.iter().map(panel).collect(),
        kit.machines.iter().map(|m| twice(&m.name)).collect(),
        kit.pads.iter().map(|p| twice(&p.name)).collect(),
        kit.abrasives.iter().map(|a| twice(&a.name)).collect(),
    ]
}

/// The first wish that the list has, else its first entry.
fn first_of(list: &[(String, String)], wishes: [&str; 2]) -> String {
    let has = |wish: &&str| list.iter().any(|(word, _)| word == wish);
    let wish = wishes.into_iter().find(has);
    let first = list.first().map(|(word, _)| word.as_str());
    wish.or(first).unwrap_or_default().to_owned()
}

/// What the job file says.
fn of_kit(job: &Job, (panel, tool): (&str, &str), (pad, polish): (&str, &str)) -> Said {
    let mut said = Said::default();
    let panel = job.panels.iter().find(|p| p.name == panel);
    said.substrate = panel.map(|p| p.substrate.word().to_owned());
    said.values = vec![
        ("section_mm", job.wish.section.get::<millimeter>()),
        ("overlap_pct", 100.0 * job.wish.overlap_frac),
        (
            "start_c",
            job.rules.start_temperature.get::<degree_celsius>(),
        ),
    ];
    if let Some(machine) = job.kit.machines.iter().find(|m| m.name == tool) {
        said.kind = Some(machine.kind.word().to_owned());
        said.values.extend(of_machine(machine));
    }
    if let Some(pad) = job.kit.pads.iter().find(|p| p.name == pad) {
        said.values
            .push(("pad_mm", pad.diameter.get::<millimeter>()));
    }
    let polish = job.kit.abrasives.iter().find(|a| a.name == polish);
    said.abrasive = polish.map(|a| a.class.word().to_owned());
    said
}

fn of_machine(machine: &Machine) -> Vec<(&'static str, f64)> {
    let speed = machine
        .speeds
        .last()
        .map(|s| s.get::<revolution_per_minute>());
    let mut values = vec![("force_n", machine.force.get::<newton>())];
    values.extend(speed.map(|rpm| ("speed_rpm", rpm)));
    if machine.orbit.get::<millimeter>() > 0.0 {
        values.push(("orbit_mm", machine.orbit.get::<millimeter>()));
        values.push(("spin_rpm", machine.spin.get::<revolution_per_minute>()));
    }
    values
}

/// Speed, passes and arm as the plan's step or the test spot has them, where it
/// is the chosen machine's.
fn of_habit(said: &mut Said, (tool, step, spot): (&str, Option<&WorkStep>, &Value)) {
    if let Some(step) = step.filter(|s| s.machine == tool) {
        said.values.extend([
            ("speed_rpm", step.speed_rpm),
            ("passes", f64::from(step.passes)),
            ("arm_speed_mm_s", step.arm_mm_s),
        ]);
        return;
    }
    // Without a kit in the job the spot's own machine is all there is.
    if spot["machine"] == tool || tool.is_empty() {
        if tool.is_empty() {
            said.kind = spot["kind"].as_str().map(str::to_owned);
            said.abrasive = spot["abrasive_class"].as_str().map(str::to_owned);
        }
        for (key, from) in [
            ("speed_rpm", "speed_rpm"),
            ("passes", "passes"),
            ("arm_speed_mm_s", "arm_mm_s"),
            ("force_n", "force_n"),
        ] {
            said.values
                .extend(spot[from].as_f64().map(|value| (key, value)));
        }
    }
}

async fn clear_of(kept: &Kept, panel: &str) -> Option<f64> {
    if kept.count_readings() == 0 {
        return None;
    }
    let text = kept.with_repaints(kept.car_text());
    let (tables, panel) = (kept.tables(), panel.to_owned());
    let worked = apart(move || {
        let job = read_job("job.toml", &text).ok().map(|(job, _)| job);
        clear_left(&tables, job.as_ref(), &panel)
    });
    worked.await.ok().flatten()
}
