//! The step before signing: what will be signed in three lines, and a tick for
//! what is doubtful.
//!
//! Law: none; one state of a job is signed once, whichever tab asks.
//! Checked by: `tests/web_handover.rs`.

use lapwing_job::handover::record::{Handed, HandedPanel};
use maud::{Markup, html};
use serde_json::Value;

use super::super::fields::Fields;
use super::super::jobs::Kept;
use super::super::numbers::Measure;
use super::super::page::edit_fields;
use super::super::refusal::Refusal;
use super::super::visitor::Visitor;
use super::super::words::{Message, checks as say};
use crate::commands::handover::{note, note_doubt};

/// Names of the panels whose readings after cannot be right.
pub(super) fn impossible(visitor: &Visitor, handed: &Handed) -> String {
    let grown = handed.panels.iter().filter(|p| p.after_cannot_be);
    let names: Vec<String> = grown
        .map(|p| visitor.panel_named(&p.name, &p.spoken))
        .collect();
    names.join(", ")
}

fn worked(handed: &Handed) -> usize {
    let is_worked = |p: &&HandedPanel| matches!(p.verdict.as_str(), "polished" | "part");
    handed.panels.iter().filter(is_worked).count()
}

/// Whether nothing has changed since the record was signed.
pub(super) fn is_signed(kept: &Kept) -> bool {
    let version = kept.document.pointer("/handover/version");
    version.and_then(Value::as_i64) == Some(kept.version)
}

/// What will be signed, and the button.
pub(super) fn form(
    visitor: &Visitor,
    kept: &Kept,
    handed: &Handed,
    (name, fault): (Message, Option<&str>),
) -> Markup {
    let tick = |key: &str, words: Message| {
        html! { label.tick { input type="checkbox" name=(key) value="yes" required; span { (visitor.say(words)) } } }
    };
    html! {
        details.sign open[fault.is_some()] {
            summary { (visitor.say(name)) " …" }
            @if let Some(fault) = fault { p.fault role="alert" { (fault) } }
            p { b { (visitor.say(say::WILL_SIGN)) } }
            ul.will-sign { @for line in lines(visitor, handed) { li { (line) } } }
            form method="post" action=(format!("/jobs/{}/handover", kept.id)) {
                (edit_fields(kept.version))
                @if handed.panels.iter().any(|p| p.after_cannot_be) { (tick("doubt", say::SIGN_DOUBT)) }
                @if worked(handed) == 0 { (tick("nothing", say::SIGN_NOTHING)) }
                button.main-deed { (visitor.say(say::SIGN_NOW)) }
            }
            p.note { (visitor.say(say::FOR_GOOD)) }
        }
    }
}

/// Work, what is left, doubts.
fn lines(visitor: &Visitor, handed: &Handed) -> [String; 3] {
    let film = |um: f64| visitor.with_unit(Measure::Film, um);
    let (worked, all) = (worked(handed), handed.panels.len().to_string());
    let taken = handed.spent.film_um.map_or_else(|| "–".to_owned(), film);
    let work = if worked == 0 {
        visitor.fill(say::NOTHING_LINE, &[&all])
    } else {
        visitor.fill(say::WORKED_LINE, &[&worked.to_string(), &all, &taken])
    };
    let read = handed.panels.iter().filter(|p| p.film_before_um.is_some());
    let thinnest = read
        .filter_map(|p| p.clear_left_um.as_ref().map(|c| (c.lower_95, p)))
        .min_by(|a, b| a.0.total_cmp(&b.0));
    let left = match thinnest {
        Some((um, panel)) => {
            let name = visitor.panel_named(&panel.name, &panel.spoken);
            visitor.fill(say::LEFT_LINE, &[&film(um), &name])
        }
        None => visitor.say(say::NO_LEFT_LINE).to_owned(),
    };
    let names = impossible(visitor, handed);
    let doubts = if names.is_empty() {
        let count = handed.cautions.len();
        visitor.fill(say::DOUBTS.of(count), &[&visitor.number(count as f64, 0)])
    } else {
        visitor.fill(say::GROWN_LINE, &[&names])
    };
    [work, left, doubts]
}

/// Holds the signing back where something is doubtful and not ticked; what is
/// ticked goes into the record.
pub(super) fn confirmed(
    handed: &mut Handed,
    fields: &Fields,
    visitor: &Visitor,
) -> Result<(), Refusal> {
    if worked(handed) == 0 {
        if fields.text("nothing").is_none() {
            return Err(Refusal::input(visitor.say(say::HELD_NOTHING)));
        }
        note(handed, "Signed though nothing is noted as done.".to_owned());
    }
    if handed.panels.iter().any(|p| p.after_cannot_be) {
        if fields.text("doubt").is_none() {
            return Err(Refusal::input(visitor.say(say::HELD_BACK)));
        }
        note_doubt(handed);
    }
    Ok(())
}
