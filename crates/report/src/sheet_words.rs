//! What the paper sheet of a plan says, as strings ready to print.
//!
//! The keys are those the sheet's template reads (`crates/sheet/tests`).
//! Law: none; figures are rounded to what their uncertainty justifies.
//! Checked by: the app's test that sets the example's sheet without a remark.

use lapwing_job::plan::{PanelPlan, Plan, PlanStep};
use lapwing_job::record::job::{Job, Units};
use serde_json::{Value, json};

use crate::briefing::SAFETY;
use crate::words::{self, film_number, heat_number, money};

/// The object under the key `sheet`.
#[must_use]
pub fn sheet(job: &Job, plan: &Plan, map_of: Option<(&PanelPlan, &PlanStep)>) -> Value {
    let removal_caption = map_of.map_or_else(String::new, |(panel, step)| {
        format!(
            "What the {} step takes off one section of the {}, {}.",
            step.step,
            panel.spoken.to_lowercase(),
            words::film_unit(job.units)
        )
    });
    json!({
        "title": "Paint plan",
        "subtitle": plan.car,
        "job": plan.job,
        "date": job.date,
        "right": [standing(plan)],
        "lead": lead(job, plan),
        "marks": {"film": "measured", "may_go": "assumed", "takes_off": takes_off(plan), "peak": plan.friction_share.provenance.word(), "minutes": "common practice"},
        "units": {"film": words::film_unit(job.units), "heat": words::heat_unit(job.units)},
        "captions": {
            "car": format!("What may go, {}, 19 times in 20. Dark is much. Clear coat is worked out from the reading.", words::film_unit(job.units)),
            "removal": removal_caption,
            "heat": format!("Highest surface temperature in the same step, {}, from {} at the start.", words::heat_unit(job.units),
                heat_number(job.rules.start_temperature.value - 273.15, job.units)),
        },
        "panels": plan.panels.iter().map(|p| panel_row(p, job.units)).collect::<Vec<_>>(),
        "steps": steps(plan, job.units),
        "materials": plan.materials.iter().map(|m| json!({
            "what": m.what, "amount": words::amount(m.amount, m.unit, job.units), "cost": words::cost(m.cost, &plan.price)})).collect::<Vec<_>>(),
        "people": people(plan),
        "price": price(plan),
        "show_floor": false,
        "stays": stays(plan, job.units),
        "gauge_says": [
            gauge_reads(plan),
            format!("Budgets hold 19 times in 20, hours 8 times in 10. {}", plan.still_assumed),
            next_reading(plan, job.units),
        ],
        "cautions": plan.cautions.iter().map(|c| json!({"place": c.place, "text": words::in_units(&c.text, job.units)})).collect::<Vec<_>>(),
        "safety": SAFETY,
        "provenance_note": words::clear_from(plan),
    })
}

/// What the clear coat stated rests on.
fn gauge_reads(plan: &Plan) -> String {
    if plan.panels.iter().any(words::is_clear_read) {
        return words::clear_from(plan).to_owned();
    }
    "A gauge reads all paint layers together. Clear coat left is worked out from that and an assumed layer build; it is not measured.".to_owned()
}

/// Where the gauge goes next, in one line.
fn next_reading(plan: &Plan, units: Units) -> String {
    let said: Vec<String> = plan
        .next_words
        .iter()
        .map(|w| format!("{}: {}", w.panel, w.text))
        .collect();
    if said.is_empty() {
        return "Next readings: none was worked out.".to_owned();
    }
    words::in_units(&format!("Next readings. {}", said.join(" ")), units)
}

/// Whether the price waits for a test spot.
fn standing(plan: &Plan) -> &'static str {
    if takes_off(plan) == "assumed" {
        "Provisional, before the test spot"
    } else {
        "Calibrated by a test spot or the shop's history"
    }
}

/// The weakest mark of what the steps take off.
fn takes_off(plan: &Plan) -> &'static str {
    plan.panels
        .iter()
        .flat_map(|p| &p.recipe)
        .map(|s| s.removal_um.provenance)
        .max()
        .map_or("assumed", lapwing_measure::Provenance::word)
}

fn lead(job: &Job, plan: &Plan) -> Value {
    let worked: Vec<&PanelPlan> = plan
        .panels
        .iter()
        .filter(|p| p.removal_um.is_some())
        .collect();
    let area: f64 = worked.iter().map(|p| p.area_m2).sum();
    let average = |pick: fn(&lapwing_job::plan::Interval) -> f64| {
        worked
            .iter()
            .filter_map(|p| p.removal_um.as_ref().map(|r| pick(r) * p.area_m2))
            .sum::<f64>()
            / area.max(1e-9)
    };
    let least = plan
        .panels
        .iter()
        .filter(|p| p.readings > 0)
        .filter_map(|p| p.clear_after_um.map(|c| (c.lower_95, p)))
        .min_by(|a, b| a.0.total_cmp(&b.0));
    let unit = words::film_unit(job.units);
    json!([
        {"figure": format!("{:.1}", plan.hours.mean), "unit": "h", "mark": "common practice",
         "text": format!("in the bay{} ({:.1} to {:.1}, 8 times in 10)", words::for_some_panels(&plan.price, " "), plan.hours.lower_80, plan.hours.upper_80)},
        {"figure": film_number(average(|r| r.mean), job.units), "unit": unit, "mark": "assumed",
         "text": format!("taken off on average where worked ({} to {})", film_number(average(|r| r.lower_95), job.units), film_number(average(|r| r.upper_95), job.units))},
        {"figure": least.map_or_else(|| "-".to_owned(), |(um, _)| film_number(um, job.units)), "unit": unit, "mark": "assumed",
         "text": least.map_or_else(|| "no panel was read".to_owned(), |(_, p)| format!("clear left at its lower bound, worked out: {}", p.spoken.to_lowercase()))},
        to_pay(plan),
    ])
}

fn to_pay(plan: &Plan) -> Value {
    plan.price.gross.map_or_else(
        || json!({"figure": "-", "unit": "", "text": "no price: the job gives none"}),
        |gross| {
            let standing = if plan.price.is_provisional {
                "; provisional"
            } else {
                ""
            };
            let whole = words::for_some_panels(&plan.price, " ");
            json!({"figure": money(gross, &plan.price.currency), "unit": "",
                   "text": format!("to pay{whole}, tax included{standing}")})
        },
    )
}

fn panel_row(panel: &PanelPlan, units: Units) -> Value {
    let number = |um: Option<f64>| um.map_or_else(String::new, |v| film_number(v, units));
    let film = if panel.readings == 0 {
        "not read".to_owned()
    } else {
        number(panel.film_um.and_then(|f| f.mean))
    };
    let takes_off = panel.removal_um.map_or_else(String::new, |r| {
        format!(
            "{} ({} to {})",
            film_number(r.mean, units),
            film_number(r.lower_95, units),
            film_number(r.upper_95, units)
        )
    });
    json!({
        "name": panel.spoken,
        "zone": panel.zone,
        "film": film,
        "may_go": number(panel.budget_um),
        "rule": rule_words(panel.binding_rule.as_deref()),
        "recipe": panel.recipe.iter().map(short_step).collect::<Vec<_>>().join("; then "),
        "takes_off": takes_off,
        "peak": panel.hottest_c().map_or_else(String::new, |c| heat_number(c, units)),
        "minutes": if panel.minutes > 0.0 { format!("{:.0}", panel.minutes) } else { String::new() },
        "verdict": panel.verdict,
        "reason": if panel.verdict == "leave" { words::in_units(&panel.reason, units) } else { String::new() },
    })
}

fn rule_words(name: Option<&str>) -> &'static str {
    match name {
        Some("removed-ever") => "most ever",
        Some("clear-left" | "clear-left-1986") => "clear to stay",
        Some("quarter-of-clear") => "clear quarter",
        Some("total-bands") => "thin in all",
        Some("half-of-top-coat") => "half must stay",
        _ => "",
    }
}

fn short_step(step: &PlanStep) -> String {
    format!(
        "{}, {}, {}, {} passes",
        step.machine, step.pad, step.abrasive, step.passes
    )
}

/// What to do in order: sentences, and recipes with the panels they are for.
fn steps(plan: &Plan, units: Units) -> Vec<Value> {
    let mut said = vec![json!(
        "Wash, decontaminate, clay, dry. Mask edges, trim and textured plastic."
    )];
    said.extend(sections(plan, units).map(Value::from));
    said.extend(
        recipes(plan, units)
            .into_iter()
            .map(|(steps, panels)| json!({"on": panels.join(", "), "steps": steps})),
    );
    said.push(json!(
        "Wipe each section, look in two lights, read the film again at the same places."
    ));
    said
}

/// Each recipe once, with the panels it is for, in the order of the plan.
fn recipes(plan: &Plan, units: Units) -> Vec<(Vec<String>, Vec<&str>)> {
    let worked = plan.panels.iter().filter(|p| !p.recipe.is_empty());
    together(worked.map(|panel| {
        let steps = panel.recipe.iter().map(|s| full_step(s, units));
        (panel.spoken.as_str(), steps.collect())
    }))
}

fn together<'a>(
    panels: impl Iterator<Item = (&'a str, Vec<String>)>,
) -> Vec<(Vec<String>, Vec<&'a str>)> {
    let mut list: Vec<(Vec<String>, Vec<&str>)> = Vec::new();
    for (name, steps) in panels {
        match list.iter_mut().find(|(known, _)| *known == steps) {
            Some((_, names)) => names.push(name),
            None => list.push((steps, vec![name])),
        }
    }
    list
}

fn full_step(step: &PlanStep, units: Units) -> String {
    format!(
        "{}: {}, {:.0} a minute, {}, {}; {} cross-hatched {}, half overlap, {}.",
        capital(&step.step),
        step.machine,
        step.speed_rpm,
        step.pad,
        step.abrasive,
        step.passes,
        if step.passes == 1 { "pass" } else { "passes" },
        words::arm_speed(step.arm_speed_mm_s, units),
    )
}

/// How large the sections are, from the smallest to the largest.
fn sections(plan: &Plan, units: Units) -> Option<String> {
    let edges = || plan.panels.iter().filter_map(|p| p.section_m);
    let smallest = edges().min_by(f64::total_cmp)?;
    let largest = edges().max_by(f64::total_cmp)?;
    let (from, to) = (
        words::section_edge(smallest, units),
        words::section_edge(largest, units),
    );
    let (number, _) = from.split_once(' ').unwrap_or((&from, ""));
    let edge = if from == to {
        to
    } else {
        format!("{number} to {to}")
    };
    Some(format!(
        "Divide each panel into its sections, {edge} along an edge: passes, removal and heat are reckoned for that size."
    ))
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |c| {
        c.to_uppercase().collect::<String>() + letters.as_str()
    })
}

fn people(plan: &Plan) -> Vec<Value> {
    plan.people
        .iter()
        .map(|d| {
            json!({
                "name": d.name,
                "day": format!("day {}", d.day),
                "a8": format!("{:.1} m/s²", d.a8_m_s2),
                "points": format!("{:.0}", d.points),
                "noise": d.noise_lex8h_db.map_or_else(String::new, |db| format!("{db:.0} dB(A)")),
                "note": format!("{:.0} min on the trigger", d.trigger_minutes),
            })
        })
        .collect()
}

fn price(plan: &Plan) -> Vec<Value> {
    let currency = &plan.price.currency;
    let mut rows: Vec<Value> = plan
        .price
        .lines
        .iter()
        .map(|l| json!({"what": capital(&l.what), "amount": money(l.amount, currency)}))
        .collect();
    let mut total = |what: &str, amount: Option<f64>, kind: &str| {
        if let Some(amount) = amount {
            rows.push(json!({"what": what, "amount": money(amount, currency),
                "strong": kind == "strong", "internal": kind == "internal"}));
        }
    };
    total("Net", plan.price.net, "");
    total("Tax", plan.price.tax, "");
    total("To pay", plan.price.gross, "strong");
    total("Floor", plan.price.floor, "internal");
    rows
}

/// Panels with the same reason share a line; findings follow their panel.
fn stays(plan: &Plan, units: Units) -> Vec<String> {
    let mut list: Vec<(String, Vec<&str>)> = Vec::new();
    for panel in &plan.panels {
        let falls_short = panel.share_gone.is_some_and(|s| s.mean < panel.wish_frac);
        let mut parts = Vec::new();
        if panel.verdict == "leave" || falls_short {
            parts.push(panel.reason.clone());
        }
        if !panel.findings.is_empty() {
            parts.push(format!(
                "Found: {}.",
                panel.findings.join("; ").trim_end_matches('.')
            ));
        }
        let text = parts.join(" ");
        match list.iter_mut().find(|(said, _)| *said == text) {
            _ if text.is_empty() => {}
            Some((_, names)) => names.push(&panel.spoken),
            None => list.push((text, vec![&panel.spoken])),
        }
    }
    let mut lines: Vec<String> = list
        .into_iter()
        .map(|(text, names)| format!("{}: {}", names.join(", "), words::in_units(&text, units)))
        .collect();
    lines.push(
        "Scratches deeper than the film that may go stay, rounded and less visible.".to_owned(),
    );
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_recipe_stands_once_with_all_its_panels_and_never_runs_into_the_next() {
        let steps = |said: &[&str]| said.iter().map(|s| (*s).to_owned()).collect::<Vec<_>>();
        let (full, light) = (steps(&["Cut", "Finish"]), steps(&["Finish"]));
        let panels = [
            ("Bonnet", full.clone()),
            ("Roof", light.clone()),
            ("Bootlid", full.clone()),
        ];
        assert_eq!(
            together(panels.into_iter()),
            [(full, vec!["Bonnet", "Bootlid"]), (light, vec!["Roof"])]
        );
    }
}
