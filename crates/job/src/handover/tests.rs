//! The record, worked by hand on a car of three panels, and there and back.

use super::record::Handed;
use super::{Visit, handover, log::read_log};
use crate::inspect::{CarFilm, Known, inspect_knowing};
use crate::plan::{Planned, plan};
use crate::prove::PanelBeforeAfter;
use crate::record::earlier::Earlier;
use crate::record::job::Job;
use crate::record::read::read_job;
use crate::record::readings::{self, Readings};

const JOB: &str = include_str!("../../../../examples/one-panel/job.toml");

struct Bay {
    job: Job,
    before: Readings,
    film: CarFilm,
    planned: Planned,
}

fn read(csv: &str) -> Readings {
    readings::read("r.csv", csv.as_bytes(), None).expect("readings")
}

fn table(means: &[f64]) -> String {
    let rows: Vec<String> = means
        .iter()
        .enumerate()
        .map(|(at, um)| format!("bonnet,{um},{},250", 200 * (at + 1)))
        .collect();
    format!("panel,thickness_um,u_mm,v_mm\n{}\n", rows.join("\n"))
}

const BEFORE: [f64; 5] = [118.0, 119.0, 117.0, 120.0, 118.0];

fn bay() -> Bay {
    let (job, _) = read_job("job.toml", JOB).expect("a job");
    let before = read(&table(&BEFORE));
    let film = inspect_knowing(&before, &Known::of(&job));
    let planned = plan(&job, &film, &|_| {}).expect("a plan");
    Bay {
        job,
        before,
        film,
        planned,
    }
}

impl Bay {
    fn handed(&self, after: Option<&[f64]>, log: Option<&str>) -> Handed {
        let names: Vec<String> = self.job.panels.iter().map(|p| p.name.clone()).collect();
        let log = log.map(|text| read_log("work.toml", text, &names).expect("a log"));
        let after = after.map(|um| {
            let read = read(&table(um));
            let film = inspect_knowing(&read, &Known::of(&self.job));
            (read, film)
        });
        handover(&Visit {
            job: &self.job,
            before: (&self.before, &self.film),
            after: after.as_ref().map(|(r, f)| (r, f)),
            plan: &self.planned.plan,
            log: log.as_ref(),
            same_places: &[],
            pictures: Vec::new(),
            earlier: None,
        })
    }
}

const DONE: &str = "schema = 1\n[[done]]\npanel = \"bonnet\"\nminutes = 50\n";

// Differences 2.5, 2, 3, 2.5, 2.5: mean 2.5, s 0.353553, t(0.975, 4) 2.776445,
// half width 2.776445·0.353553/√5 = 0.438994.
#[test]
fn what_went_is_the_paired_difference() {
    let bay = bay();
    let handed = bay.handed(Some(&[115.5, 117.0, 114.0, 117.5, 115.5]), Some(DONE));
    let panel = &handed.panels[0];
    let removed = panel.removed_um.as_ref().expect("removed");
    assert_eq!(removed.mean, 2.5);
    assert!((removed.lower_95 - 2.061).abs() < 1.1e-3, "{removed:?}");
    assert!((removed.upper_95 - 2.939).abs() < 1.1e-3, "{removed:?}");
    assert_eq!(removed.provenance, "measured");
    assert_eq!(panel.removed_ever_um.mean, 2.5);
    assert_eq!(panel.verdict, "polished");
    assert_eq!(handed.spent.minutes, Some(50.0));
    assert_eq!(handed.spent.film_um, Some(2.5));
    let left = panel.clear_left_um.as_ref().expect("clear");
    assert_eq!(left.origin, "readings after");
}

#[test]
fn without_readings_after_the_plan_is_debited_in_the_share_done() {
    let bay = bay();
    let planned = &bay.planned.plan.panels[0];
    let whole = planned.removal_um.expect("a recipe");
    let all = bay.handed(None, Some(DONE));
    let came = all.panels[0].removed_um.as_ref().expect("removed");
    assert!((came.mean - whole.mean).abs() < 6e-4);
    assert_ne!(came.provenance, "measured");
    let half = planned.sections / 2;
    let log = format!("schema = 1\n[[done]]\npanel = \"bonnet\"\nsections = {half}\n");
    let part = bay.handed(None, Some(&log));
    let share_frac = f64::from(half) / f64::from(planned.sections);
    let came = part.panels[0].removed_um.as_ref().expect("removed");
    assert!((came.mean - whole.mean * share_frac).abs() < 6e-4);
    assert_eq!(part.panels[0].verdict, "part");
    // Less went, so more is left: what went and what is left add up.
    let before = planned.clear_left_um.expect("clear");
    for handed in [&all, &part] {
        let left = handed.panels[0].clear_left_um.as_ref().expect("clear");
        let went = handed.panels[0].removed_um.as_ref().expect("removed");
        assert!((left.mean + went.mean - before.mean).abs() < 2e-3);
        assert!((left.lower_95 + went.upper_95 - before.lower_95).abs() < 2e-3);
    }
    assert!(part.remains[0].what.starts_with("Not finished"));
}

#[test]
fn what_nobody_noted_is_not_debited_and_said() {
    let handed = bay().handed(None, None);
    assert_eq!(handed.panels[0].verdict, "not noted");
    assert_eq!(handed.panels[0].removed_um, None);
    assert_eq!(handed.panels[0].removed_ever_um.mean, 0.0);
    assert!(handed.cautions.iter().any(|c| c.text.contains("not noted")));
}

#[test]
fn film_that_grew_or_went_unnoted_is_said() {
    let bay = bay();
    let thicker = bay.handed(Some(&[128.0, 129.0, 127.0, 130.0, 128.0]), Some(DONE));
    assert!(
        thicker
            .cautions
            .iter()
            .any(|c| c.text.contains("does not grow"))
    );
    // Readings that cannot be count for nothing: as if nobody had read again.
    let unread = bay.handed(None, Some(DONE));
    let (came, wanted) = (&thicker.panels[0], &unread.panels[0]);
    assert!(came.after_cannot_be && !wanted.after_cannot_be);
    assert_eq!(came.removed_um, wanted.removed_um);
    assert_eq!(came.clear_left_um, wanted.clear_left_um);
    assert_eq!(came.may_go_um, wanted.may_go_um);
    let nothing = "schema = 1\n";
    let thinner = bay.handed(Some(&[112.0, 113.0, 111.0, 114.0, 112.0]), Some(nothing));
    assert!(
        thinner
            .cautions
            .iter()
            .any(|c| c.text.contains("yet 6.0 µm less"))
    );
    assert_eq!(thinner.panels[0].verdict, "not noted");
    // Table and text agree: film went, and nobody noted work.
    let said = &thinner.remains[0];
    assert_eq!(said.what, "Planned, and nobody noted work.");
    assert!(said.why.contains("6.0 µm went"), "{}", said.why);
    assert_eq!(thinner.panels[0].removed_ever_um.mean, 6.0);
}

// 60 of about 40 µm: through. A usual pass holds nothing back.
#[test]
fn readings_after_that_mean_through_the_clear_are_doubted() {
    let bay = bay();
    for log in [DONE, "schema = 1\n"] {
        let handed = bay.handed(Some(&BEFORE.map(|um| um - 60.0)), Some(log));
        let far = handed.panels[0].too_far.as_ref().expect("too far");
        assert!(far.is_through() && far.went_um == 60.0, "{far:?}");
        assert!(
            handed
                .cautions
                .iter()
                .any(|c| c.text.contains("may be through")),
            "{:?}",
            handed.cautions
        );
    }
    let usual = bay.handed(Some(&[115.5, 117.0, 114.0, 117.5, 115.5]), Some(DONE));
    assert_eq!(usual.panels[0].too_far, None);
    // Without readings after nothing is known to be gone.
    assert_eq!(bay.handed(None, Some(DONE)).panels[0].too_far, None);
}

#[test]
fn a_section_that_was_not_worked_counts_once_however_many_steps_it_wants() {
    use super::{record::DoneStep, unfinished};
    let step = |sections_done: u32, sections: u32| DoneStep {
        step: "cut".to_owned(),
        machine: String::new(),
        speed_rpm: 0.0,
        pad: String::new(),
        abrasive: String::new(),
        passes: 4,
        sections_done,
        sections,
    };
    for (steps, said) in [
        (
            vec![step(3, 5), step(3, 5)],
            "2 of 5 sections were not worked.",
        ),
        (
            vec![step(1, 11), step(0, 11)],
            "10 of 11 sections were not worked; 1 section lacks a step.",
        ),
        (vec![step(4, 5)], "1 of 5 sections was not worked."),
        (vec![step(2, 2), step(0, 2)], "2 sections lack a step."),
    ] {
        assert_eq!(unfinished(&steps), format!("Not finished: {said}"));
    }
}

/// Scatter of the gauge is no growth, but credits no film either.
#[test]
fn readings_after_never_leave_more_than_there_was() {
    let bay = bay();
    let before = &bay.planned.plan.panels[0];
    let clear = before.clear_left_um.expect("clear");
    let may_go_um = before.budget_um.expect("a budget");
    for rise_um in [0.0, 0.2, 0.4, 1.0, 30.0] {
        let after = BEFORE.map(|um| um + rise_um);
        for log in [DONE, "schema = 1\n"] {
            let handed = bay.handed(Some(&after), Some(log));
            let left = handed.panels[0].clear_left_um.as_ref().expect("clear");
            assert!(left.mean <= clear.mean + 1e-3, "{rise_um}: {left:?}");
            assert!(
                left.lower_95 <= clear.lower_95 + 1e-3,
                "{rise_um}: {left:?}"
            );
            assert!(
                handed.panels[0]
                    .may_go_um
                    .is_some_and(|um| um <= may_go_um + 1e-3)
            );
            // Whatever is not taken from the readings after is said.
            let is_held = left.origin != "readings after";
            let is_said = handed.cautions.iter().any(|c| c.text.contains("not grow"));
            assert_eq!(is_held, is_said, "{rise_um}: {left:?}");
            assert!(is_held || rise_um < 1.0, "{rise_um}: {left:?}");
        }
    }
}

/// One place read twice on a page, without a position: the pair still counts.
#[test]
fn places_known_to_be_the_same_are_paired_without_positions() {
    let bay = bay();
    let pairs = [PanelBeforeAfter {
        panel: "bonnet".to_owned(),
        before_um: vec![122.0, 117.0],
        after_um: vec![150.0, 150.0],
        ..PanelBeforeAfter::default()
    }];
    let after = read("panel,thickness_um\nbonnet,150\nbonnet,150\n");
    let film = inspect_knowing(&after, &Known::of(&bay.job));
    let handed = handover(&Visit {
        job: &bay.job,
        before: (&bay.before, &bay.film),
        after: Some((&after, &film)),
        plan: &bay.planned.plan,
        log: None,
        same_places: &pairs,
        pictures: Vec::new(),
        earlier: None,
    });
    assert!(handed.panels[0].after_cannot_be);
    let difference = handed.panels[0].difference_um.as_ref().expect("pairs");
    assert_eq!(difference.mean, -30.5);
}

#[test]
fn a_record_goes_there_and_back_and_the_next_visit_debits_it() {
    let bay = bay();
    let handed = bay.handed(Some(&[115.5, 117.0, 114.0, 117.5, 115.5]), Some(DONE));
    let value = serde_json::to_value(&handed).expect("JSON");
    let back: Handed = serde_json::from_value(value.clone()).expect("a record");
    assert_eq!(back, handed);
    let earlier = Earlier::read("record.json", &value).expect("understood");
    let (mut job, _) = read_job("job.toml", JOB).expect("a job");
    let cautions = earlier.debit(&mut job, "record.json").expect("debited");
    assert_eq!(cautions, []);
    assert!((job.panels[0].removed_before.value - 2.5e-6).abs() < 1e-12);
}

/// A normal prior seen through a total, debited by hand: clear 45 ± 5, under
/// it 70 ± √61 of other layers and gauge; see the numbers of the budget.
#[test]
fn the_debit_lowers_the_clear_left_by_what_bayes_says() {
    use crate::budget::budget;
    use lapwing_measure::quantity::Length;
    use uom::si::length::micrometer;
    let bay = bay();
    let film = &bay.film.panels[0];
    let gauge_um = bay.film.gauge.reading_sd_um;
    let clear = |um: f64| {
        let mut panel = bay.job.panels[0].clone();
        panel.removed_before = Length::new::<micrometer>(um);
        let seen = budget(&panel, Some(film), gauge_um, &bay.job.rules);
        (seen.clear_left.expect("clear").mean, seen.rules)
    };
    let layers = bay.job.rules.layers.metal;
    let rest =
        layers.base.sd_um.powi(2) + layers.primer.sd_um.powi(2) + layers.e_coat.sd_um.powi(2);
    let gain = layers.top.sd_um.powi(2) / (layers.top.sd_um.powi(2) + rest + gauge_um.powi(2));
    // Less was there to begin with, so the same total speaks for more of the rest.
    let (fresh, _) = clear(0.0);
    let (debited, rules) = clear(4.0);
    assert!(
        (fresh - debited - 4.0 * (1.0 - gain)).abs() < 1e-6,
        "{fresh} {debited} {gain}"
    );
    let ever = rules
        .iter()
        .find(|r| r.name == "removed-ever")
        .expect("a rule");
    // 12.7 − 4.
    assert!((ever.allows_um.expect("a number") - 8.7).abs() < 1e-9);
}
