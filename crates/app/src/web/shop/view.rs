//! The shop's page: pace first, then rates, machines, pads, abrasives.
//!
//! Checked by: `tests/web_shop.rs` and by looking.

use lapwing_measure::Provenance;
use maud::{Markup, html};
use serde_json::Value;

use super::super::entry::{choice, entry_again, origin, units_field};
use super::super::fields::{Fields, NumberField};
use super::super::jobs::given::GAUGE;
use super::super::jobs::{Kept, past};
use super::super::numbers::Measure;
use super::super::page::{Page, edit_fields};
use super::super::refusal::at_form;
use super::super::visitor::Visitor;
use super::super::words::{Message, frame, given, shop as say};
use super::kit::{ABRASIVE, ABRASIVE_CLASSES, GRAINS, KINDS, MACHINE, PAD, PAD_CLASSES};
use super::{LOOKED_AT, RATES, rate_field};

/// What is wrong with a form that was sent, and all that stood in it.
pub(super) struct Fault<'a> {
    /// Which form.
    pub(super) what: &'a str,
    pub(super) sentence: &'a str,
    pub(super) fields: &'a Fields,
}

impl Fault<'_> {
    fn of<'f>(fault: Option<&'f Fault<'f>>, what: &str) -> Option<&'f Fault<'f>> {
        fault.filter(|f| f.what == what)
    }
}

fn told(fault: Option<&Fault<'_>>) -> Markup {
    html! { @if let Some(fault) = fault { (at_form(fault.sentence)) } }
}

/// The whole page.
pub(super) fn page(visitor: &Visitor, kept: &Kept, fault: Option<&Fault<'_>>) -> Markup {
    let page = Page {
        title: visitor.say(frame::SHOP),
        beside: visitor.say(say::BESIDE),
        path: "/shop",
        line: None,
        modules: &[],
        styles: &["tools.css", "jobs.css", "rooms.css"],
    };
    let body = html! {
        div.column {
            @if kept.version == 0 { (first(visitor)) }
            @if ["remove", "starter"].contains(&fault.map_or("", |f| f.what)) { (told(fault)) }
            (pace(visitor, kept, Fault::of(fault, "learn")))
            (rates(visitor, kept, Fault::of(fault, "rates")))
            (gauge(visitor, kept, Fault::of(fault, "gauge")))
            (list(visitor, kept, ("machines", say::MACHINES), &KINDS, &[]))
            (form(visitor, kept, ("machine", say::ADD_MACHINE, fault), &machine_fields(visitor, fault)))
            (list(visitor, kept, ("pads", say::PADS), &PAD_CLASSES, &[("fits", "/machines")]))
            (form(visitor, kept, ("pad", say::ADD_PAD, fault), &pad_fields(visitor, kept, fault)))
            (list(visitor, kept, ("abrasives", say::ABRASIVES), &ABRASIVE_CLASSES, &[("with", "/pads")]))
            (form(visitor, kept, ("abrasive", say::ADD_ABRASIVE, fault), &abrasive_fields(visitor, kept, fault)))
            p.note { (visitor.say(say::USED_BY)) }
            @if kept.version > 0 { (past(visitor, kept, "/shop")) }
        }
    };
    page.around(visitor, &body)
}

fn hidden(kept: &Kept, what: &str) -> Markup {
    html! { (edit_fields(kept.version)) input type="hidden" name="what" value=(what); }
}

fn first(visitor: &Visitor) -> Markup {
    html! {
        form.readings method="post" action="/shop" {
            (edit_fields(0)) input type="hidden" name="what" value="starter";
            button.main-deed { (visitor.say(say::FIRST_KIT)) }
            p.note { (visitor.say(say::FIRST_KIT_NOTE)) }
        }
    }
}

fn pace(visitor: &Visitor, kept: &Kept, fault: Option<&Fault<'_>>) -> Markup {
    let pace = &kept.document["pace"];
    let number = |key: &str| visitor.number(pace[key].as_f64().unwrap_or_default(), 2);
    let count = |key: &str| usize::try_from(pace[key].as_u64().unwrap_or(0)).unwrap_or(0);
    let (sections, cars) = (count("sections"), count("cars"));
    html! {
        section.readings {
            h2 { (visitor.say(say::PACE)) }
            @if pace.is_object() {
                p.lead { b { (visitor.fill(say::PACE_IS, &[&number("factor")])) } " " (origin(visitor, Provenance::Calibrated)) }
                p { (visitor.fill(say::PACE_FROM, &[&number("lower_95"), &number("upper_95")])) ". "
                    (visitor.fill(say::PACE_OF, &[
                        &visitor.fill(say::SECTIONS.of(sections), &[&visitor.number(sections as f64, 0)]),
                        &visitor.fill(say::CARS.of(cars), &[&visitor.number(cars as f64, 0)]),
                    ])) "."
                    @if count("left_out") > 0 { " " (visitor.fill(say::LEFT_OUT, &[&count("left_out").to_string()])) } }
                @if cars < 3 { p.caution { b { (visitor.say(frame::CAUTION)) ". " } (visitor.say(say::ONE_CAR)) } }
            } @else { p { (visitor.say(say::NO_PACE)) } }
            (told(fault))
            form method="post" action="/shop" {
                (hidden(kept, "learn"))
                button.quiet { (visitor.say(say::LEARN)) }
            }
            p.note { (visitor.fill(say::LEARNS_FROM, &[&LOOKED_AT.to_string()])) }
        }
    }
}

fn rates(visitor: &Visitor, kept: &Kept, fault: Option<&Fault<'_>>) -> Markup {
    let rates = &kept.document["rates"];
    let units = rates["units"].as_str().unwrap_or("metric");
    let came = fault.map(|f| f.fields);
    let typed = |key: &str| {
        came.map_or_else(
            || rates[key].as_str().unwrap_or_default(),
            |f| f.text(key).unwrap_or_default(),
        )
    };
    let units = came.and_then(|f| f.text("on_paper")).unwrap_or(units);
    let names = [("metric", frame::METRIC), ("us", frame::US)];
    html! {
        form.readings method="post" action="/shop" {
            (hidden(kept, "rates")) (units_field(visitor))
            h2 { (visitor.say(say::RATES)) }
            (told(fault))
            div.pair {
                label { span { (visitor.say(say::CURRENCY)) }
                    input type="text" name="currency" maxlength="3" value=(typed("currency")) autocomplete="off"; }
                (choice(visitor, ("on_paper", say::UNITS), &names, units))
                @for (key, label, most) in RATES {
                    (entry_again(visitor, &rate_field(key, label, most), rates[key].as_f64(), came))
                }
            }
            button { (visitor.say(say::KEEP_RATES)) }
        }
    }
}

fn gauge(visitor: &Visitor, kept: &Kept, fault: Option<&Fault<'_>>) -> Markup {
    let now_um = kept.document["gauge"]["gauge_um"].as_f64();
    html! {
        form.readings #gauge method="post" action="/shop" {
            (hidden(kept, "gauge")) (units_field(visitor))
            h2 { (visitor.say(given::GAUGE)) }
            p.note { (visitor.say(given::GAUGE_LEAD)) " " (visitor.say(given::SHOP_GAUGE_LEAD)) }
            (told(fault))
            (entry_again(visitor, &GAUGE, now_um, fault.map(|f| f.fields)))
            button.quiet { (visitor.say(given::KEEP_GAUGE)) }
        }
    }
}

fn list(
    visitor: &Visitor,
    kept: &Kept,
    (list, title): (&str, Message),
    classes: &[(&str, Message)],
    leans: &[(&str, &str)],
) -> Markup {
    let entries = kept.entries(&format!("/{list}"));
    let class = |entry: &Value| {
        let word = entry["class"].as_str().or(entry["kind"].as_str());
        let found = classes.iter().find(|(w, _)| Some(*w) == word);
        found.map_or("", |(_, name)| visitor.say(*name))
    };
    html! {
        section.readings {
            h2 { (visitor.say(title)) }
            @if entries.is_empty() { p { (visitor.say(say::NONE_YET)) } }
            ul.marks {
                @for (id, entry) in &entries {
                    li { span { b { (entry["name"].as_str().unwrap_or_default()) } ", " (class(entry))
                            br; span.note { (facts(visitor, entry)) @for (key, of) in leans { (leaning(kept, entry, key, of)) } } }
                        form method="post" action="/shop" {
                            (hidden(kept, "remove"))
                            input type="hidden" name="list" value=(list);
                            input type="hidden" name="entry" value=(id);
                            button.quiet.small { (visitor.say(say::REMOVE)) }
                        } }
                }
            }
        }
    }
}

/// The numbers of an entry, in the visitor's units.
fn facts(visitor: &Visitor, entry: &Value) -> String {
    let told = |key: &str, measure: Measure| {
        let value = entry[key].as_f64();
        value.map(|v| visitor.with_unit(measure, v))
    };
    let is_rotary = entry["kind"] == "rotary";
    let speeds: Vec<String> = entry["speeds"]
        .as_array()
        .into_iter()
        .flatten()
        .filter_map(Value::as_f64)
        .map(|s| visitor.number(s, 0))
        .collect();
    let speeds = (!speeds.is_empty()).then(|| format!("{}\u{a0}1/min", speeds.join(" · ")));
    let parts = [
        told("orbit_mm", Measure::Length).filter(|_| !is_rotary),
        told("diameter_mm", Measure::Length),
        speeds,
        told("force_n", Measure::Force),
        told("vibration", Measure::Vibration),
        told("noise", Measure::Noise),
    ];
    parts.into_iter().flatten().collect::<Vec<_>>().join(", ")
}

fn leaning(kept: &Kept, entry: &Value, key: &str, of: &str) -> String {
    let ids = entry[key].as_array().into_iter().flatten();
    let names: Vec<&str> = ids
        .filter_map(|id| {
            kept.document
                .pointer(&format!("{of}/{}/name", id.as_str()?))?
                .as_str()
        })
        .collect();
    if names.is_empty() {
        return String::new();
    }
    let gap = if key == "fits" { ": " } else { "" };
    format!("{gap}{}", names.join(", "))
}

fn form(
    visitor: &Visitor,
    kept: &Kept,
    (what, title, fault): (&str, Message, Option<&Fault<'_>>),
    inside: &Markup,
) -> Markup {
    let fault = Fault::of(fault, what);
    let name = fault
        .and_then(|f| f.fields.text("name"))
        .unwrap_or_default();
    html! {
        details open[fault.is_some()] {
            summary { (visitor.say(title)) }
            form.mark-form method="post" action="/shop" {
                (hidden(kept, what)) (units_field(visitor))
                (told(fault))
                label { span { (visitor.say(say::NAME)) } input type="text" name="name" maxlength="60" required autocomplete="off" value=(name); }
                (inside)
                button { (visitor.say(say::ADD)) }
            }
        }
    }
}

fn numbers(visitor: &Visitor, list: &[(NumberField, f64)], came: Option<&Fields>) -> Markup {
    html! { div.pair { @for (field, usual) in list { (entry_again(visitor, field, Some(*usual), came)) } } }
}

fn machine_fields(visitor: &Visitor, fault: Option<&Fault<'_>>) -> Markup {
    let came = Fault::of(fault, "machine").map(|f| f.fields);
    let chosen =
        |key: &str, usual: &'static str| came.and_then(|f| f.text(key)).unwrap_or(usual).to_owned();
    html! {
        (choice(visitor, ("kind", say::KIND), &KINDS, &chosen("kind", KINDS[0].0)))
        label { span { (visitor.say(say::SPEEDS)) } input type="text" name="speeds" value=(chosen("speeds", "3000 4500")) maxlength="60" autocomplete="off"; }
        (numbers(visitor, &MACHINE, came))
    }
}

fn pad_fields(visitor: &Visitor, kept: &Kept, fault: Option<&Fault<'_>>) -> Markup {
    let came = Fault::of(fault, "pad").map(|f| f.fields);
    let chosen =
        |key: &str, usual: &'static str| came.and_then(|f| f.text(key)).unwrap_or(usual).to_owned();
    html! {
        (choice(visitor, ("class", say::CLASS), &PAD_CLASSES, &chosen("class", "foam-polishing")))
        (numbers(visitor, &PAD, came))
        (ticks(visitor, kept, ("fits", say::FITS), ("/machines", came)))
    }
}

fn abrasive_fields(visitor: &Visitor, kept: &Kept, fault: Option<&Fault<'_>>) -> Markup {
    let came = Fault::of(fault, "abrasive").map(|f| f.fields);
    let chosen =
        |key: &str, usual: &'static str| came.and_then(|f| f.text(key)).unwrap_or(usual).to_owned();
    html! {
        (choice(visitor, ("class", say::CLASS), &ABRASIVE_CLASSES, &chosen("class", "medium")))
        (choice(visitor, ("grain", say::GRAIN), &GRAINS, &chosen("grain", GRAINS[0].0)))
        (numbers(visitor, &ABRASIVE, came))
        (ticks(visitor, kept, ("with", say::WITH), ("/pads", came)))
    }
}

fn ticks(
    visitor: &Visitor,
    kept: &Kept,
    (key, title): (&str, Message),
    (list, came): (&str, Option<&Fields>),
) -> Markup {
    let is_ticked = |id: &str| came.is_some_and(|f| f.all(key).any(|t| t == id));
    html! {
        fieldset.taps { legend { (visitor.say(title)) }
            div { @for (id, entry) in kept.entries(list) {
                label { input type="checkbox" name=(key) value=(id) checked[is_ticked(id)]; span { (entry["name"].as_str().unwrap_or_default()) } }
            } } }
    }
}
