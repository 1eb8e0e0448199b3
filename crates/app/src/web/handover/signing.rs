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

/// What went on panels of which more went than may have, one sentence a panel.
pub(super) fn too_far(visitor: &Visitor, handed: &Handed) -> Vec<String> {
    let film = |um: f64| visitor.with_unit(Measure::Film, um);
    let far = |panel: &HandedPanel| {
        let far = panel.too_far.as_ref()?;
        let name = visitor.panel_named(&panel.name, &panel.spoken);
        let (went, had) = (film(far.went_um), film(far.had_um));
        Some(match far.limit_um.filter(|_| !far.is_through()) {
            Some(limit) => {
                let left = film(far.left_lower_um);
                visitor.fill(say::UNDER_LIMIT, &[&name, &went, &had, &left, &film(limit)])
            }
            None => visitor.fill(say::THROUGH, &[&name, &went, &had]),
        })
    };
    handed.panels.iter().filter_map(far).collect()
}

/// Whether the readings after say what nobody signs without a word.
fn is_doubtful(handed: &Handed) -> bool {
    let mut panels = handed.panels.iter();
    panels.any(|p| p.after_cannot_be || p.too_far.is_some())
}

/// Whether nobody noted work on any panel.
fn is_nothing_done(handed: &Handed) -> bool {
    handed.polished_and_begun() == (0, 0)
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
                @if is_doubtful(handed) { (tick("doubt", say::SIGN_DOUBT)) }
                @if is_nothing_done(handed) { (tick("nothing", say::SIGN_NOTHING)) }
                button.main-deed { (visitor.say(say::SIGN_NOW)) }
            }
            p.note { (visitor.say(say::FOR_GOOD)) }
        }
    }
}

/// Work, what is left, doubts.
fn lines(visitor: &Visitor, handed: &Handed) -> [String; 3] {
    let film = |um: f64| visitor.with_unit(Measure::Film, um);
    let all = handed.panels.len().to_string();
    let (polished, begun) = handed.polished_and_begun();
    let taken = handed.spent.film_um.map_or_else(|| "–".to_owned(), film);
    let (whole, part) = (polished.to_string(), begun.to_string());
    let work = match (polished, begun) {
        (0, 0) => visitor.fill(say::NOTHING_LINE, &[&all]),
        (_, 0) => visitor.fill(say::WORKED_LINE, &[&whole, &all, &taken]),
        _ => visitor.fill(say::BEGUN_LINE, &[&whole, &all, &part, &taken]),
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
    if is_nothing_done(handed) {
        if fields.text("nothing").is_none() {
            return Err(Refusal::input(visitor.say(say::HELD_NOTHING)));
        }
        note(handed, "Signed though nothing is noted as done.".to_owned());
    }
    if is_doubtful(handed) {
        if fields.text("doubt").is_none() {
            let has_grown = handed.panels.iter().any(|p| p.after_cannot_be);
            let grown = has_grown.then(|| visitor.say(say::HELD_BACK).to_owned());
            let far = too_far(visitor, handed);
            let gone = (!far.is_empty()).then(|| visitor.fill(say::HELD_FAR, &[&far.join(" ")]));
            let said: Vec<String> = grown.into_iter().chain(gone).collect();
            return Err(Refusal::input(said.join(" ")));
        }
        note_doubt(handed);
    }
    Ok(())
}
