//! A record as a page shows it, to the shop and to the customer: read-only,
//! nothing of other jobs, no address but those it is given.
//!
//! Holds: for the signed record that a job keeps under `/handover/signed`.
//! Sentences of the record are told again in the visitor's language where they
//! are known; the others are English and marked so.
//! Checked by: `tests/web_handover.rs`, and by looking.

use lapwing_job::handover::record::{Care, Handed, HandedPanel};
use lapwing_report::calendar::Day;
use lapwing_report::figure::{CarOptions, Scale};
use lapwing_report::record_sheet::{
    car, cautions as cautions_of, done, found, remains as remains_of,
};
use lapwing_report::record_words::grouped;
use maud::{Markup, html};
use serde_json::Value;

use super::days;
use super::numbers::{Measure, NBSP};
use super::page::picture;
use super::visitor::Visitor;
use super::words::{Message, handover as say};
use crate::commands::sealed::Sealed;

/// Where a job keeps its signed record.
pub(crate) const SIGNED: &str = "/handover/signed";

/// The page's body of a job's signed record, for a customer's link; none while there is none.
pub(crate) fn body(visitor: &Visitor, document: &Value) -> Option<Markup> {
    let sealed = Sealed::of(document.pointer(SIGNED)?).ok()?;
    Some(html! {
        div.wide {
            (overview(visitor, &sealed.handed))
            (details(visitor, &sealed.handed))
            (seal(visitor, &sealed))
        }
    })
}

/// What matters at a glance: figures, the car, what remains.
pub(crate) fn overview(visitor: &Visitor, handed: &Handed) -> Markup {
    html! {
        p.lead { (described(visitor, handed)) }
        (figures(visitor, handed))
        section.two {
            div.car { (cars(visitor, handed)) }
            div.findings { (remains(visitor, handed)) }
        }
    }
}

/// "Silver estate · 26 November 2026", as far as it is known.
fn described(visitor: &Visitor, handed: &Handed) -> String {
    let mut known = vec![handed.car.description.trim().to_owned()];
    known.extend(handed.date.as_deref().map(|date| dated(visitor, date)));
    known.retain(|part| !part.is_empty());
    known.join(" · ")
}

/// Everything else the record says.
pub(crate) fn details(visitor: &Visitor, handed: &Handed) -> Markup {
    html! {
        (keep(visitor, handed))
        h2 { (visitor.say(say::PANELS)) }
        div.scroll tabindex="0" role="region" aria-label=(visitor.say(say::PANELS)) { (panels(visitor, handed)) }
        p.note { (visitor.say(say::SURE)) }
        div.halves {
            (places(visitor, say::FOUND, &found(handed, visitor.units)))
            (places(visitor, say::DONE, &done(handed)))
        }
        (cautions(visitor, handed))
        (pictures(visitor, handed))
    }
}

fn film(visitor: &Visitor, um: f64) -> String {
    visitor.with_unit(Measure::Film, um)
}

fn figures(visitor: &Visitor, handed: &Handed) -> Markup {
    let (polished, begun) = handed.polished_and_begun();
    let mut of = visitor.fill(say::OF, &[&handed.panels.len().to_string()]);
    if begun > 0 {
        of = format!("{of}, {}", visitor.fill(say::BEGUN, &[&begun.to_string()]));
    }
    let thinnest = handed
        .panels
        .iter()
        .filter(|p| p.film_before_um.is_some())
        .filter_map(|p| p.clear_left_um.as_ref().map(|c| (c.lower_95, p)))
        .min_by(|a, b| a.0.total_cmp(&b.0));
    let hours = |h: f64| format!("{}{NBSP}h", visitor.number(h, 1));
    let (time, how) = handed.spent.minutes.map_or_else(
        || (hours(handed.spent.planned_hours), say::PLANNED),
        |minutes| (hours(minutes / 60.0), say::NOTED),
    );
    html! {
        dl.figures {
            div { dt { (visitor.say(say::POLISHED)) } dd { (polished) small { (of) } } }
            div { dt { (visitor.say(say::AVERAGE)) } dd { (handed.spent.film_um.map_or_else(|| "–".to_owned(), |um| film(visitor, um)))
                small { (visitor.say(say::WHERE_WORKED)) } } }
            div { dt { (visitor.say(say::THINNEST)) } dd { (thinnest.map_or_else(|| "–".to_owned(), |(um, _)| film(visitor, um)))
                small { (thinnest.map_or(String::new(), |(_, p)| visitor.panel_named(&p.name, &p.spoken))) } } }
            div { dt { (visitor.say(say::TIME)) } dd { (time) small { (visitor.say(how)) } } }
        }
    }
}

fn cars(visitor: &Visitor, handed: &Handed) -> Markup {
    let is_read = handed.panels.iter().any(|p| p.film_after_um.is_some());
    let draw = |options: CarOptions| {
        let options = CarOptions {
            units: visitor.figure_units(),
            title: visitor
                .say(if is_read { say::CAR } else { say::CAR_BEFORE })
                .to_owned(),
            labels: visitor.labels(),
            ..options
        };
        car(handed, &options, visitor.units)
    };
    let scale = Some(Scale::film());
    html! {
        div.lying { (picture(&draw(CarOptions::landscape(scale)))) }
        div.upright { (picture(&draw(CarOptions::portrait(scale)))) }
        p.note { (visitor.say(if is_read { say::CAR } else { say::CAR_BEFORE })) }
    }
}

fn remains(visitor: &Visitor, handed: &Handed) -> Markup {
    html! {
        h2 { (visitor.say(say::REMAINS)) }
        @for one in remains_of(handed, visitor.units) {
            p.leave { b { (visitor.places_called(text(&one, "place"))) } " " (visitor.text_told(text(&one, "what"))) " " (visitor.text_told(text(&one, "why"))) }
        }
    }
}

fn panels(visitor: &Visitor, handed: &Handed) -> Markup {
    let unit = Measure::Film.shown(visitor.units).unit;
    let bare =
        |um: Option<f64>| um.map_or_else(|| "–".to_owned(), |um| visitor.bare(Measure::Film, um));
    let columns = [
        say::BEFORE,
        say::AFTER,
        say::TAKEN_OFF,
        say::EVER,
        say::CLEAR,
    ];
    html! {
        table.work.record {
            thead { tr { th scope="col" { (visitor.say(say::PANEL)) }
                @for column in columns { th scope="col" { (visitor.say(column)) ", " (unit) } } } }
            tbody {
                @for panel in &handed.panels {
                    tr {
                        th scope="row" { b { (visitor.panel_named(&panel.name, &panel.spoken)) } }
                        td data-name=(visitor.say(say::BEFORE)) { (bare(panel.film_before_um.map(|f| f.mean))) }
                        td data-name=(visitor.say(say::AFTER)) { (bare(panel.film_after_um.map(|f| f.mean))) }
                        td data-name=(visitor.say(say::TAKEN_OFF)) { b { (taken_off(visitor, panel)) } }
                        td data-name=(visitor.say(say::EVER)) { (bare(Some(panel.removed_ever_um.mean))) }
                        td data-name=(visitor.say(say::CLEAR)) { (clear(visitor, panel)) }
                    }
                }
            }
        }
    }
}

/// As [`lapwing_report::record_words::taken_off`], in the visitor's language.
fn taken_off(visitor: &Visitor, panel: &HandedPanel) -> String {
    let Some(told) = panel
        .removed_um
        .as_ref()
        .filter(|t| panel.verdict != "left" || t.upper_95 > 0.0)
    else {
        let is_left = panel.verdict == "left";
        return visitor
            .say(if is_left {
                say::NOT_POLISHED
            } else {
                say::NOT_NOTED
            })
            .to_owned();
    };
    let number = |um: f64| visitor.bare(Measure::Film, um);
    let is_under = panel
        .difference_um
        .as_ref()
        .is_some_and(|d| d.lower_95 <= 0.0);
    if is_under {
        return visitor.fill(say::UNDER, &[&number(told.upper_95)]);
    }
    let (below, above) = (told.mean - told.lower_95, told.upper_95 - told.mean);
    if (below - above).abs() <= 0.1 * (below + above) + 0.05 {
        return format!("{} ± {}", number(told.mean), number((below + above) / 2.0));
    }
    let ends = [told.mean, told.lower_95, told.upper_95].map(number);
    visitor.fill(say::BETWEEN, &[&ends[0], &ends[1], &ends[2]])
}

fn clear(visitor: &Visitor, panel: &HandedPanel) -> String {
    let number = |um: f64| visitor.bare(Measure::Film, um);
    panel.clear_left_um.as_ref().map_or_else(
        || "–".to_owned(),
        |left| visitor.fill(say::AT_LEAST, &[&number(left.mean), &number(left.lower_95)]),
    )
}

fn keep(visitor: &Visitor, handed: &Handed) -> Markup {
    let from = handed.date.as_deref().and_then(Day::read);
    let nots = [say::NOT_BRUSH, say::NOT_DRY, say::NOT_WAIT, say::NOT_POLISH];
    html! {
        section.two aria-label=(visitor.say(say::KEEP)) {
            div { h2 { (visitor.say(say::KEEP)) }
                table.plain {
                    @for care in &handed.care {
                        tr { th scope="row" { (when(visitor, care, from)) } td.words { (care_words(visitor, care)) } }
                    }
                }
            }
            div { h2 { (visitor.say(say::DO_NOTS)) }
                ul.nots { @for not in nots { li { (visitor.say(not)) } } } }
        }
    }
}

pub(crate) fn when(visitor: &Visitor, care: &Care, from: Option<Day>) -> String {
    let first = from.and_then(|day| day.later(i64::from(care.after_days)));
    let day = first.map_or_else(
        || visitor.fill(say::AFTER_DAYS, &[&care.after_days.to_string()]),
        |day| days::of_day(visitor, day),
    );
    match care.every_days {
        Some(every) => visitor.fill(say::FROM_THEN, &[&day, &every.to_string()]),
        None => day,
    }
}

/// A day of the record as the visitor's language writes it.
fn dated(visitor: &Visitor, date: &str) -> String {
    Day::read(date).map_or_else(|| date.to_owned(), |day| days::of_day(visitor, day))
}

/// The care we know by name comes in the visitor's language.
pub(crate) fn care_words(visitor: &Visitor, care: &Care) -> String {
    let known = match care.name.as_str() {
        "keep-dry" => say::CARE_DRY,
        "wash" => say::CARE_WASH,
        "first-look" => say::CARE_LOOK,
        "decontaminate" => say::CARE_DECON,
        "inspection" => say::CARE_INSPECT,
        _ => return format!("{}. {}", care.what, care.why),
    };
    visitor.say(known).to_owned()
}

fn text<'a>(item: &'a Value, key: &str) -> &'a str {
    item[key].as_str().unwrap_or_default()
}

fn places(visitor: &Visitor, heading: Message, items: &[Value]) -> Markup {
    html! {
        @if !items.is_empty() {
            section aria-label=(visitor.say(heading)) {
                h2 { (visitor.say(heading)) }
                ul.said {
                    @for item in items { li { span { b { (visitor.places_called(text(item, "place"))) } " " (visitor.text_told(text(item, "text"))) } } }
                }
            }
        }
    }
}

fn cautions(visitor: &Visitor, handed: &Handed) -> Markup {
    let list = cautions_of(handed, visitor.units);
    html! {
        details {
            summary { (visitor.say(say::CAUTIONS)) " (" (list.len()) ")" }
            @for caution in &list {
                p.caution { b { (visitor.places_called(text(caution, "place"))) } ": " (visitor.text_told(text(caution, "text"))) }
            }
        }
    }
}

fn pictures(visitor: &Visitor, handed: &Handed) -> Markup {
    html! {
        @if !handed.pictures.is_empty() {
            details {
                summary { (visitor.say(say::PICTURES)) " (" (handed.pictures.len()) ")" }
                ul.said { @for one in &handed.pictures { li { span { b { (one.file) } " " (one.says) } code { (grouped(&one.sha256, 16)) } } } }
            }
        }
    }
}

/// Hash and key, to be read out.
pub(crate) fn seal(visitor: &Visitor, sealed: &Sealed) -> Markup {
    html! {
        section aria-label=(visitor.say(say::SEAL)) {
            h2 { (visitor.say(say::SEAL)) }
            p { code { (grouped(&sealed.sha256, 64)) } }
            p.note { (visitor.say(say::SEAL_WORDS)) }
            p { (visitor.say(say::KEY)) br; code { (grouped(&sealed.key, 64)) } }
            @if let Some(earlier) = &sealed.handed.earlier {
                p { (visitor.say(say::EARLIER)) @if let Some(date) = &earlier.date { ", " (dated(visitor, date)) } br; code { (grouped(&earlier.sha256, 64)) } }
            }
        }
    }
}
