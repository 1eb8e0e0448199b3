//! Panels that somebody marked as repainted at the walk round, said again
//! wherever film, price and work of those panels are decided.
//!
//! Law: none; what the mark means for the film is the engine's to say.
//! Holds: for marks of the intake; a mark that was removed is not said.
//! Checked by: `tests/web_marked.rs`.

use maud::{Markup, html};

use super::super::visitor::Visitor;
use super::super::words::{Counted, checks, frame};
use super::Kept;

/// The mark's word in the document.
const REPAINT: &str = "repaint";

const PANELS: Counted = Counted {
    one: checks::MARKED_ONE,
    several: checks::MARKED_MANY,
};

/// What is doubtful about the panels marked so; nothing where there is none.
pub(super) fn on_car(visitor: &Visitor, kept: &Kept) -> Markup {
    told(visitor, kept, &panels(kept))
}

/// The same for one panel.
pub(super) fn on_panel(visitor: &Visitor, kept: &Kept, panel: &str) -> Markup {
    let mut marked = panels(kept);
    marked.retain(|one| one == panel);
    told(visitor, kept, &marked)
}

fn panels(kept: &Kept) -> Vec<String> {
    let mut all: Vec<String> = kept
        .entries("/defects")
        .into_iter()
        .filter(|(_, defect)| defect["kind"] == REPAINT)
        .filter_map(|(_, defect)| defect["panel"].as_str().map(str::to_owned))
        .collect();
    all.sort();
    all.dedup();
    all
}

fn told(visitor: &Visitor, kept: &Kept, panels: &[String]) -> Markup {
    let names: Vec<String> = panels.iter().map(|id| visitor.panel(id)).collect();
    html! {
        @if !names.is_empty() {
            p.caution.marked role="note" { b { (visitor.say(frame::CAUTION)) ". " }
                (visitor.fill(PANELS.of(names.len()), &[&names.join(", ")])) " "
                a href=(format!("/jobs/{}#marks", kept.id)) { (visitor.say(checks::TO_MARKS)) } }
        }
    }
}
