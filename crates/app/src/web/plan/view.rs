//! What the plan page shows, top to bottom: four figures, the car, panels,
//! what stays and why, materials, people, price.
//!
//! Checked by: `tests/web_plan.rs`, and by looking.

use lapwing_job::plan::{Material, PanelPlan, Plan, PlanStep};
use lapwing_job::record::{Caution, Sentence};
use lapwing_report::figure::{CarOptions, Scale};
use lapwing_report::pictures::budget_car_on;
use lapwing_report::words::{amount, section_edge};
use maud::{Markup, html};

use super::super::numbers::{Measure, NBSP};
use super::super::page::{Page, picture};
use super::super::the_line::{Line, Station};
use super::super::visitor::Visitor;
use super::super::words::{Language, checks, frame, panels, plan as say};
use super::Shelved;

/// After a number of minutes.
const MINUTES: &str = "\u{a0}min";

/// The form: two files, or the example.
pub(super) fn form(visitor: &Visitor) -> Markup {
    let body = html! {
        div.column {
            p.lead { (visitor.say(say::LEAD)) }
            p { a.button.main-deed href="/plan/harbour-estate" { (visitor.say(say::EXAMPLE)) } }
            form.readings method="post" action="/plan" enctype="multipart/form-data" {
                h2 { (visitor.say(say::OWN)) }
                label { span { (visitor.say(say::JOB_FILE)) } input type="file" name="job" accept=".toml,text/plain" required; }
                label { span { (visitor.say(say::READINGS_FILE)) } input type="file" name="readings" accept=".csv,.txt,.tsv,text/csv" required; }
                button { (visitor.say(say::WORK_OUT)) }
            }
        }
    };
    frame(visitor.say(frame::PLAN), "").around(visitor, &body)
}

fn frame<'a>(title: &'a str, beside: &'a str) -> Page<'a> {
    Page {
        title,
        beside,
        path: "/plan",
        line: Some(Line::of_pages(Station::Plan)),
        modules: &[],
        styles: &["tools.css"],
    }
}

/// The plan's page.
pub(super) fn page(visitor: &Visitor, shelved: &Shelved) -> Markup {
    let plan = &shelved.planned.plan;
    let body = html! { div.wide { (content(visitor, shelved)) } };
    frame(&plan.job, &plan.car).around(visitor, &body)
}

/// The sheet and the document of a plan.
fn sheet_links(visitor: &Visitor, shelved: &Shelved) -> Markup {
    let base = format!("/plan/{}", shelved.name);
    html! {
        div.deeds {
            a.button href=(format!("{base}/plan.pdf")) { (visitor.say(say::PDF)) }
            a.button.quiet href=(format!("{base}/plan.json")) download="plan.json" { (visitor.say(say::JSON)) }
        }
    }
}

/// What a plan says, top to bottom.
pub(crate) fn content(visitor: &Visitor, shelved: &Shelved) -> Markup {
    let plan = &shelved.planned.plan;
    let worked: Vec<&PanelPlan> = plan
        .panels
        .iter()
        .filter(|p| p.verdict != "leave")
        .collect();
    html! {
        (figures(visitor, plan, worked.len()))
        section.two aria-label=(visitor.say(say::CAR)) {
            div.car { (cars(visitor, shelved)) }
            div.findings {
                h2 { (visitor.say(say::STAYS)) }
                @for panel in &plan.panels { (left(visitor, panel)) }
                (keep_off(visitor, plan))
                p { span.plate.next { (visitor.say(say::MEASURE_NEXT)) } " "
                    (visitor.told(plan.measure_next_said.as_ref(), &plan.measure_next)) }
                (sheet_links(visitor, shelved))
            }
        }
        h2 { (visitor.say(say::WORK)) }
        div.scroll tabindex="0" role="region" aria-label=(visitor.say(say::WORK)) { (work(visitor, &worked)) }
        div.two {
            section aria-label=(visitor.say(say::MATERIALS)) { h2 { (visitor.say(say::MATERIALS)) } (materials(visitor, plan)) }
            section aria-label=(visitor.say(say::PRICE)) { h2 { (visitor.say(say::PRICE)) } (price(visitor, plan)) }
        }
        h2 { (visitor.say(say::PEOPLE)) }
        (people(visitor, plan))
        (cautions(visitor, plan))
    }
}

fn figures(visitor: &Visitor, plan: &Plan, worked: usize) -> Markup {
    let hours = &plan.hours;
    let hour = |h: f64| format!("{}{NBSP}h", visitor.number(h, 1));
    let gross = plan.price.gross.map_or_else(
        || visitor.say(say::NO_PRICE).to_owned(),
        |amount| visitor.money(amount, &plan.price.currency),
    );
    let most = plan.people.iter().map(|p| p.a8_m_s2).fold(0.0, f64::max);
    let stay = plan.panels.len() - worked;
    let so_many = for_so_many(visitor, plan);
    html! {
        dl.figures {
            div { dt { (visitor.say(say::HOURS)) } dd { (hour(hours.mean))
                small { (visitor.fill(say::EIGHT_IN_TEN, &[&visitor.number(hours.lower_80, 1), &hour(hours.upper_80)])) }
                @if let Some(words) = &so_many { small { b { (words) } } } } }
            div { dt { (visitor.say(say::PRICE)) } dd { (gross)
                small { @if plan.price.is_provisional { (visitor.say(say::PROVISIONAL)) } }
                @if let Some(words) = &so_many { small { b { (words) } } } } }
            div { dt { (visitor.say(say::PANELS)) } dd { (worked)
                small { (visitor.fill(say::STAY.of(stay), &[&stay.to_string()])) } } }
            div { dt { (visitor.say(say::DOSE)) } dd { (visitor.with_unit(Measure::Vibration, most))
                small { (visitor.say(say::WORST_DAY)) } } }
        }
    }
}

/// Panels that hours and price are for, and all.
pub(crate) fn counted_of(plan: &Plan) -> (usize, usize) {
    let all = plan.panels.len();
    let so_many = plan.price.panels_counted;
    so_many.map_or((all, all), |so_many| (so_many.counted, so_many.all))
}

/// What the figures leave out, where panels are not read.
fn for_so_many(visitor: &Visitor, plan: &Plan) -> Option<String> {
    let (read, all) = counted_of(plan);
    let parts = [read.to_string(), all.to_string()];
    (read < all).then(|| visitor.fill(checks::FOR_SO_MANY, &[&parts[0], &parts[1]]))
}

fn cars(visitor: &Visitor, shelved: &Shelved) -> Markup {
    let draw = |options: CarOptions| {
        let options = CarOptions {
            units: visitor.figure_units(),
            title: visitor.say(say::CAR).to_owned(),
            labels: visitor.labels(),
            ..options
        };
        budget_car_on(&shelved.job, &shelved.planned.plan, &options)
    };
    let scale = Some(Scale::budget());
    html! {
        div.lying { (picture(&draw(CarOptions::landscape(scale)))) }
        div.upright { (picture(&draw(CarOptions::portrait(scale)))) }
    }
}

/// As on the command line: a panel that is left, that falls short of the wish,
/// or of which something was found.
fn left(visitor: &Visitor, panel: &PanelPlan) -> Markup {
    let is_left = panel.verdict == "leave";
    let is_short = panel.share_gone.is_some_and(|s| s.mean < panel.wish_frac);
    let findings: Vec<String> = panel
        .found
        .iter()
        .map(|one| visitor.said(&one.said).trim_end_matches('.').to_owned())
        .collect();
    html! {
        @if is_left || is_short || !findings.is_empty() {
            p.leave { @if is_left { span.plate { (visitor.say(say::LEAVE)) } " " }
                b { (visitor.panel_named(&panel.name, &panel.spoken)) } ". "
                @if is_left || is_short { (visitor.said(&panel.said)) " " }
                @if !findings.is_empty() { (visitor.fill(checks::FOUND, &[&findings.join("; ")])) } }
        }
    }
}

/// Places that no pad may touch, in sight.
fn keep_off(visitor: &Visitor, plan: &Plan) -> Markup {
    let is_place = |c: &&Caution| {
        c.said
            .as_ref()
            .is_some_and(|s| s.sentence == Sentence::KeepOff)
    };
    html! {
        @for caution in plan.cautions.iter().filter(is_place) {
            p.leave { span.plate.next { (visitor.say(checks::KEEP_OFF)) } " " (visitor.caution(caution)) }
        }
    }
}

fn work(visitor: &Visitor, panels: &[&PanelPlan]) -> Markup {
    let film =
        |um: Option<f64>| um.map_or_else(|| "–".to_owned(), |um| visitor.bare(Measure::Film, um));
    let unit = Measure::Film.shown(visitor.units).unit;
    let percent =
        |share: Option<f64>| share.map_or_else(|| "–".to_owned(), |s| visitor.number(100.0 * s, 0));
    html! {
        table.work {
            thead { tr {
                th scope="col" { (visitor.say(say::PANEL)) }
                th scope="col" { (visitor.say(say::RECIPE)) }
                th scope="col" { (visitor.say(say::MAY_GO)) ", " (unit) }
                th scope="col" { (visitor.say(say::TAKES)) ", " (unit) }
                th scope="col" { (visitor.say(checks::GONE)) ", %" }
                th scope="col" { (visitor.say(say::HOTTEST)) }
                th scope="col" { (visitor.say(say::SECTIONS)) }
                th scope="col" { (visitor.say(say::TIME)) }
            } }
            tbody {
                @for panel in panels {
                    tr {
                        th scope="row" { b { (visitor.panel_named(&panel.name, &panel.spoken)) } }
                        td { @for step in &panel.recipe { (recipe(visitor, step)) } }
                        td data-name=(visitor.say(say::MAY_GO)) { b { (film(panel.budget_um)) } br; small { (panel.binding_rule.as_deref().map_or(String::new(), |rule| visitor.rule(rule))) } }
                        td data-name=(visitor.say(say::TAKES)) { (film(panel.removal_um.map(|r| r.mean))) br;
                            small { (film(panel.removal_um.map(|r| r.lower_95))) "–" (film(panel.removal_um.map(|r| r.upper_95))) } }
                        td data-name=(visitor.say(checks::GONE)) { (percent(panel.share_gone.map(|s| s.mean))) br;
                            small { (visitor.fill(checks::WISHED, &[&percent(Some(panel.wish_frac))])) } }
                        td data-name=(visitor.say(say::HOTTEST)) { (panel.hottest_c().map_or_else(|| "–".to_owned(), |c| visitor.with_unit(Measure::Temperature, c))) }
                        td data-name=(visitor.say(say::SECTIONS)) { (panel.sections)
                            @if let Some(edge_m) = panel.section_m { br; small { (section_edge(edge_m, visitor.units)) } } }
                        td data-name=(visitor.say(say::TIME)) { (visitor.number(panel.minutes, 0)) (MINUTES) }
                    }
                }
            }
        }
    }
}

/// A step of a recipe on a line of its own.
fn recipe(visitor: &Visitor, step: &PlanStep) -> Markup {
    let parts = [
        visitor.thing(&step.step),
        step.machine.clone(),
        visitor.with_unit(Measure::Turns, step.speed_rpm),
        step.pad.clone(),
        step.abrasive.clone(),
        step.passes.to_string(),
        visitor.with_unit(Measure::ArmSpeed, step.arm_speed_mm_s),
    ];
    let parts = parts.each_ref().map(String::as_str);
    html! { p { (visitor.fill(panels::STEP, &parts)) } }
}

/// How much of a material is used up.
fn used(visitor: &Visitor, one: &Material) -> String {
    if one.unit == "pieces" {
        let count = visitor.number(one.amount, 0);
        return format!(
            "{count}{NBSP}{}",
            visitor.say(if count == "1" {
                panels::PIECE
            } else {
                panels::PIECES
            })
        );
    }
    let words = amount(one.amount, one.unit, visitor.units);
    match visitor.language {
        Language::English => words,
        Language::German => words.replace('.', ","),
    }
}

fn materials(visitor: &Visitor, plan: &Plan) -> Markup {
    html! {
        table.plain {
            @for one in &plan.materials {
                tr { th scope="row" { (visitor.thing(&one.what)) } td { (used(visitor, one)) }
                    td { (visitor.money(one.cost, &plan.price.currency)) } }
            }
        }
    }
}

fn price(visitor: &Visitor, plan: &Plan) -> Markup {
    let price = &plan.price;
    let money = |amount: f64| visitor.money(amount, &price.currency);
    html! {
        @if price.gross.is_none() { p { (visitor.say(say::NO_PRICE)) } }
        table.plain {
            @for line in &price.lines { tr { th scope="row" { (visitor.thing(&line.what)) } td { (money(line.amount)) } } }
            @for (name, amount) in [(say::NET, price.net), (say::TAX, price.tax), (say::GROSS, price.gross), (say::FLOOR, price.floor)] {
                @if let Some(amount) = amount { tr { th scope="row" { (visitor.say(name)) } td { b { (money(amount)) } } } }
            }
        }
    }
}

fn people(visitor: &Visitor, plan: &Plan) -> Markup {
    html! {
        div.scroll tabindex="0" role="region" aria-label=(visitor.say(say::PEOPLE)) {
            table.numbers {
                thead { tr { th scope="col" { (visitor.say(say::PERSON)) } th scope="col" { (visitor.say(say::DAY)) }
                    th scope="col" { (visitor.say(say::TRIGGER)) } th scope="col" { (visitor.say(say::DOSE)) } th scope="col" { (visitor.say(say::EARS)) } } }
                tbody {
                    @for day in &plan.people {
                        tr { th scope="row" { (day.name) } td { (day.day) }
                            td { (visitor.number(day.trigger_minutes, 0)) (MINUTES) }
                            td { (visitor.with_unit(Measure::Vibration, day.a8_m_s2)) }
                            td { (day.noise_lex8h_db.map_or_else(|| "–".to_owned(), |db| visitor.with_unit(Measure::Noise, db))) } }
                    }
                }
            }
        }
    }
}

fn cautions(visitor: &Visitor, plan: &Plan) -> Markup {
    let count = plan.cautions.len();
    html! {
        details {
            summary { (visitor.fill(say::CAUTIONS.of(count), &[&count.to_string()])) }
            @for caution in &plan.cautions {
                p.caution { (visitor.caution(caution)) }
            }
        }
    }
}
