//! What the terminal says of a plan: read top to bottom like a briefing.
//!
//! No line is wider than 100 columns. Colour is only an addition and is left
//! out when the text does not go to a terminal.
//! Checked by: the width test in the app, on the example.

use lapwing_job::plan::{PanelPlan, Plan, PlanStep};
use lapwing_job::record::job::Units;

use crate::words::{self, film_number, film_unit, heat_number, heat_unit, wrapped};

/// Widest line.
pub const WIDTH: usize = 100;

/// How the text is set.
#[derive(Clone, Copy, Debug)]
pub struct Style {
    /// Metric or US customary.
    pub units: Units,
    /// Whether to use terminal colours.
    pub is_coloured: bool,
}

impl Style {
    fn strong(self, text: &str) -> String {
        if self.is_coloured {
            format!("\u{1b}[1m{text}\u{1b}[0m")
        } else {
            text.to_owned()
        }
    }
}

/// The whole briefing.
#[must_use]
pub fn briefing(plan: &Plan, style: Style) -> String {
    let mut out = Vec::new();
    head(&mut out, plan, style);
    panels(&mut out, plan, style);
    recipes(&mut out, plan, style);
    left_alone(&mut out, plan, style);
    hours(&mut out, plan, style);
    materials(&mut out, plan, style);
    people(&mut out, plan, style);
    price(&mut out, plan, style);
    gauge(&mut out, plan, style);
    next_readings(&mut out, plan, style);
    cautions(&mut out, plan, style);
    out.join("\n") + "\n"
}

fn head(out: &mut Vec<String>, plan: &Plan, style: Style) {
    out.push(style.strong(&format!("Paint plan: {}", plan.job)));
    out.push(plan.car.clone());
    let worked = plan.panels.iter().filter(|p| !p.recipe.is_empty()).count();
    let price = plan.price.gross.map_or_else(
        || "No price: the job gives none".to_owned(),
        |gross| {
            format!(
                "{} with tax{}{}",
                words::money(gross, &plan.price.currency),
                if plan.price.is_provisional {
                    ", provisional"
                } else {
                    ""
                },
                words::for_some_panels(&plan.price, ", ")
            )
        },
    );
    let told = format!(
        "{}: {worked} to work, {} to leave. {:.1} h ({:.1} to {:.1}, 8 times in 10). {price}.",
        plural(plan.panels.len(), "panel"),
        plan.panels.len() - worked,
        plan.hours.mean,
        plan.hours.lower_80,
        plan.hours.upper_80,
    );
    out.extend(wrapped(&told, WIDTH));
    out.push(String::new());
}

fn panels(out: &mut Vec<String>, plan: &Plan, style: Style) {
    let unit = film_unit(style.units);
    out.push(style.strong("What may go, and what is planned"));
    out.push(format!(
        "{:<28}{:<5}{:>5}{:>8}{:>17}  {:<16}{:>6}{:>6}{:>7}",
        "", "zone", "film", "may go", "takes off", "bound by", "peak", "gone", "min"
    ));
    out.push(format!(
        "{:<28}{:<5}{:>5}{:>8}{:>17}  {:<16}{:>6}{:>6}",
        "",
        "",
        unit,
        unit,
        unit,
        "",
        heat_unit(style.units),
        "%"
    ));
    for panel in &plan.panels {
        out.push(panel_line(panel, style));
    }
    let learnt = if plan.price.is_provisional {
        "assumed until a test spot"
    } else {
        "calibrated where a test spot was done, else assumed"
    };
    let said = format!(
        "film: measured (mean, findings left out). may go: worked out, 19 times in 20. takes off, peak, gone: {learnt}. min: common practice. {}",
        words::clear_from(plan)
    );
    for line in wrapped(&said, WIDTH) {
        out.push(line);
    }
    out.push(String::new());
}

fn panel_line(panel: &PanelPlan, style: Style) -> String {
    let number =
        |um: Option<f64>| um.map_or_else(|| "-".to_owned(), |v| film_number(v, style.units));
    let takes_off = panel.removal_um.map_or_else(
        || {
            if panel.verdict == "leave" {
                "leave".to_owned()
            } else {
                "-".to_owned()
            }
        },
        |r| {
            format!(
                "{} ({}-{})",
                film_number(r.mean, style.units),
                film_number(r.lower_95, style.units),
                film_number(r.upper_95, style.units)
            )
        },
    );
    let peak = panel
        .hottest_c()
        .map_or_else(|| "-".to_owned(), |c| heat_number(c, style.units));
    let gone = panel
        .share_gone
        .map_or_else(|| "-".to_owned(), |s| format!("{:.0}", 100.0 * s.mean));
    let minutes = if panel.minutes > 0.0 {
        format!("{:.0}", panel.minutes)
    } else {
        "-".to_owned()
    };
    format!(
        "{:<28}{:<5}{:>5}{:>8}{:>17}  {:<16}{:>6}{:>6}{:>7}",
        panel.spoken,
        panel.zone,
        number(panel.film_um.and_then(|f| f.mean)),
        number(panel.budget_um),
        takes_off,
        panel.binding_rule.as_deref().unwrap_or("-"),
        peak,
        gone,
        minutes,
    )
}

/// The same recipe on several panels is said once.
fn recipes(out: &mut Vec<String>, plan: &Plan, style: Style) {
    let mut said: Vec<(String, Vec<String>)> = Vec::new();
    for panel in plan.panels.iter().filter(|p| !p.recipe.is_empty()) {
        let text = recipe_words(&panel.recipe, style.units);
        match said.iter_mut().find(|(t, _)| *t == text) {
            Some((_, names)) => names.push(worked_name(panel, style.units)),
            None => said.push((text, vec![worked_name(panel, style.units)])),
        }
    }
    if said.is_empty() {
        return;
    }
    out.push(style.strong("What to do"));
    for (text, names) in said {
        indented(out, &names.join(", "), "");
        for step in text.split('\n') {
            indented(out, step, "    ");
        }
    }
    out.push(String::new());
}

/// A panel's name with its sections, and what its film allows where that is
/// less than a polish.
fn worked_name(panel: &PanelPlan, units: Units) -> String {
    let mut aside = Vec::new();
    if let Some(edge_m) = panel.section_m {
        let many = if panel.sections == 1 {
            "section"
        } else {
            "sections"
        };
        let edge = words::section_edge(edge_m, units).replace(' ', "\u{a0}");
        aside.push(format!("{}\u{a0}{many} of {edge}", panel.sections));
    }
    if panel.verdict == "finish-only" {
        aside.push("finish only".to_owned());
    }
    if aside.is_empty() {
        panel.spoken.clone()
    } else {
        format!("{} ({})", panel.spoken, aside.join(", "))
    }
}

/// A recipe in words, one step a line.
#[must_use]
pub fn recipe_words(recipe: &[PlanStep], units: Units) -> String {
    recipe
        .iter()
        .map(|s| step_words(s, units))
        .collect::<Vec<_>>()
        .join("\n")
}

fn step_words(step: &PlanStep, units: Units) -> String {
    format!(
        "{}: {} at {:.0} a minute, {}, {}; {} passes at {}",
        step.step,
        step.machine,
        step.speed_rpm,
        step.pad,
        step.abrasive,
        step.passes,
        words::arm_speed(step.arm_speed_mm_s, units),
    )
}

fn left_alone(out: &mut Vec<String>, plan: &Plan, style: Style) {
    let quiet: Vec<&PanelPlan> = plan
        .panels
        .iter()
        .filter(|p| {
            p.verdict == "leave"
                || !p.findings.is_empty()
                || p.share_gone.is_some_and(|s| s.mean < p.wish_frac)
        })
        .collect();
    if quiet.is_empty() {
        return;
    }
    out.push(style.strong("What stays, and why"));
    for panel in quiet {
        let findings = if panel.findings.is_empty() {
            String::new()
        } else {
            format!(
                "Found: {}.",
                panel.findings.join("; ").trim_end_matches('.')
            )
        };
        let stays =
            panel.verdict == "leave" || panel.share_gone.is_some_and(|s| s.mean < panel.wish_frac);
        let reason = if stays { panel.reason.as_str() } else { "" };
        let parts = [reason, &findings];
        let told: Vec<&str> = parts.into_iter().filter(|p| !p.is_empty()).collect();
        let said = format!("{}: {}", panel.spoken, told.join(" "));
        indented(out, &words::in_units(&said, style.units), "");
    }
    out.push(String::new());
}

fn hours(out: &mut Vec<String>, plan: &Plan, style: Style) {
    out.push(style.strong("Hours (common practice until the shop's own log says better)"));
    for stage in &plan.hours.stages {
        out.push(format!(
            "  {:<46}{:>8}",
            stage.what,
            words::hours(stage.hours)
        ));
    }
    out.push(String::new());
}

fn materials(out: &mut Vec<String>, plan: &Plan, style: Style) {
    out.push(style.strong("Materials (common practice)"));
    for one in &plan.materials {
        out.push(format!(
            "  {:<36}{:>14}{:>14}",
            one.what,
            words::amount(one.amount, one.unit, style.units),
            words::cost(one.cost, &plan.price)
        ));
    }
    out.push(String::new());
}

fn people(out: &mut Vec<String>, plan: &Plan, style: Style) {
    if plan.people.is_empty() {
        return;
    }
    out.push(style.strong(
        "Hands and ears (declared values plus their uncertainty; 100 points is the action value)",
    ));
    for day in &plan.people {
        out.push(format!(
            "  day {:<3}{:<20}{:>5.0} min on the trigger  A(8) {:.1} m/s²  {:>4.0} points  noise {}",
            day.day,
            day.name,
            day.trigger_minutes,
            day.a8_m_s2,
            day.points,
            day.noise_lex8h_db.map_or_else(|| "-".to_owned(), |db| format!("{db:.0} dB(A)")),
        ));
    }
    out.push(String::new());
}

fn price(out: &mut Vec<String>, plan: &Plan, style: Style) {
    if plan.price.lines.is_empty() {
        return;
    }
    out.push(style.strong(if plan.price.is_provisional {
        "Price (provisional until a test spot has been done)"
    } else {
        "Price (firm: a test spot has been done)"
    }));
    let currency = &plan.price.currency;
    for line in &plan.price.lines {
        out.push(format!(
            "  {:<46}{:>14}",
            line.what,
            words::money(line.amount, currency)
        ));
    }
    for (what, amount) in [
        ("net", plan.price.net),
        ("tax", plan.price.tax),
        ("to pay", plan.price.gross),
        ("floor, for the shop only", plan.price.floor),
    ] {
        let amount = amount.map_or_else(|| "-".to_owned(), |a| words::money(a, currency));
        out.push(format!("  {what:<46}{amount:>14}"));
    }
    out.push(String::new());
}

fn gauge(out: &mut Vec<String>, plan: &Plan, style: Style) {
    out.push(style.strong(&format!(
        "What the gauge can see ({})",
        plan.gauge.provenance.word()
    )));
    for words in [&plan.gauge.words, &plan.repaint.words] {
        indented(out, &words::in_units(words, style.units), "");
    }
    out.push(String::new());
}

/// Where the gauge goes next, while a decision is open.
fn next_readings(out: &mut Vec<String>, plan: &Plan, style: Style) {
    if plan.next_words.is_empty() {
        return;
    }
    out.push(style.strong("Where to put the gauge next (whether the planned removal may go)"));
    for words in &plan.next_words {
        let text = words::in_units(&format!("{}: {}", words.panel, words.text), style.units);
        for (at, line) in wrapped(&text, WIDTH - 4).iter().enumerate() {
            out.push(format!("  {}{line}", if at == 0 { "" } else { "  " }));
        }
    }
    out.push(String::new());
}

fn cautions(out: &mut Vec<String>, plan: &Plan, style: Style) {
    out.push(style.strong("Measure next"));
    indented(out, &plan.measure_next, "");
    if !plan.still_assumed.is_empty() {
        indented(out, &plan.still_assumed, "");
    }
    out.push(String::new());
    out.push(style.strong("Cautions"));
    for caution in &plan.cautions {
        let text = words::in_units(&caution.text, style.units);
        indented(out, &format!("{}: {text}", caution.place), "");
    }
    for line in SAFETY {
        indented(out, line, "");
    }
}

/// The usual cautions of the work.
pub const SAFETY: [&str; 5] = [
    "Wear eye and ear protection. Keep sleeves, cords and hair away from the pad.",
    "Old or repainted paint may hold lead or chromium: treat its dust as such, work wet, no blowing off.",
    "Put solvent cloths in a covered metal can at once; ventilate while wiping and coating.",
    "Wash water of a business is trade effluent: contain it, ask the water company.",
    "Data sheets of the products, local rules and licensed practice come before this plan.",
];

fn plural(count: usize, one: &str) -> String {
    format!("{count} {one}{}", if count == 1 { "" } else { "s" })
}

fn indented(out: &mut Vec<String>, text: &str, indent: &str) {
    for (at, line) in wrapped(text, WIDTH - 4 - indent.len())
        .into_iter()
        .enumerate()
    {
        let lead = if at == 0 { "  " } else { "    " };
        out.push(format!("{lead}{indent}{line}"));
    }
}
