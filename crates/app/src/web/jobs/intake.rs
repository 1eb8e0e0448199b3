//! Intake and the walk-round: tap the car drawn flat, mark what is wrong, its
//! kind and its extent.
//!
//! Checked by: `tests/web_jobs.rs`, and by looking.

use std::sync::Arc;

use axum::extract::Path;
use axum::http::HeaderMap;
use axum::response::Response;
use lapwing_report::figure::{CarOptions, Fill, PanelPaint, panel_ids};
use lapwing_store::Change;
use maud::{Markup, PreEscaped, html};
use serde_json::json;

use super::super::fields::Fields;
use super::super::page::{Page, edit_fields, queue_line};
use super::super::refusal::Refusal;
use super::super::the_line::Station;
use super::super::visitor::Visitor;
use super::super::words::{Message, frame, given, jobs as say, links, stations};
use super::super::{Bay, drawn};
use super::{Deed, Kept, already, edit_id, past, perform, photos, stage};

/// A kind of mark, for people.
pub(super) fn kind_name(visitor: &Visitor, word: &str) -> Option<String> {
    let found = KINDS.iter().find(|(w, _)| *w == word);
    found.map(|(_, name)| visitor.say(*name).to_owned())
}

pub(super) const KINDS: [(&str, Message); 9] = [
    ("swirls", say::SWIRLS),
    ("scratch", say::SCRATCH),
    ("chip", say::CHIP),
    ("etching", say::ETCHING),
    ("stain", say::STAIN),
    ("dent", say::DENT),
    ("overspray", say::OVERSPRAY),
    ("repaint", say::REPAINT),
    ("other", say::OTHER),
];
const EXTENTS: [(&str, Message); 4] = [
    ("spot", say::SPOT),
    ("hand", say::HAND),
    ("half", say::HALF),
    ("whole", say::WHOLE),
];

/// `GET /jobs/{job}`.
pub(crate) async fn show(
    bay: Bay,
    visitor: Visitor,
    Path(job): Path<String>,
) -> Result<Markup, Refusal> {
    let kept = Kept::load(&bay, &job).await?;
    let path = format!("/jobs/{job}");
    let page = Page {
        title: kept.text("/glance/name"),
        beside: kept.text("/glance/car"),
        path: &path,
        line: Some(kept.line(&visitor, Station::Intake)),
        modules: &["queue.js", "walk.js", "photos.js"],
        styles: &["tools.css", "jobs.css", "rooms.css"],
    };
    let body = html! {
        div.wide data-job=(job) {
            (queue_line(&visitor))
            section.two {
                div.car #car data-live {
                    div.lying { (car(&visitor, &kept, CarOptions::landscape(None))) }
                    div.upright { (car(&visitor, &kept, CarOptions::portrait(None))) }
                }
                div {
                    p.note { (visitor.say(say::TAP)) }
                    (form(&visitor, &kept))
                    (marks(&visitor, &kept))
                }
            }
            (photos::section(&visitor, &kept, "intake", "before"))
            (rooms(&visitor, &kept))
            p { a href=(format!("{path}/links")) { (visitor.say(links::TO_LINKS)) } }
            (past(&visitor, &kept, &path))
        }
    };
    Ok(page.around(&visitor, &body))
}

/// Every room of the job; the one that comes next stands out.
fn rooms(visitor: &Visitor, kept: &Kept) -> Markup {
    let rooms = [
        ("/wash", say::TO_WASH),
        ("/panels", given::TITLE),
        ("/readings", say::TO_READINGS),
        ("/film", stations::TO_FILM),
        ("/trial", stations::TO_TRIAL),
        ("/plan", say::TO_PLAN),
        ("/work", say::TO_WORK),
        ("/coat", frame::COAT),
        ("/prove", frame::PROVE),
        ("/handover", frame::HANDOVER),
    ];
    let stage = stage::find(kept.text("/glance/stage"));
    let next = stage.map_or("/handover", |stage| stage.page);
    let next = if next.is_empty() { "/wash" } else { next };
    html! {
        nav.deeds aria-label=(visitor.say(say::NEXT)) {
            @for (page, name) in rooms {
                a.button.quiet[page != next] href=(format!("/jobs/{}{page}", kept.id)) { (visitor.say(name)) }
            }
        }
    }
}

fn car(visitor: &Visitor, kept: &Kept, mut options: CarOptions) -> PreEscaped<Arc<str>> {
    let defects = kept.entries("/defects");
    let panels: Vec<PanelPaint> = panel_ids(kept.class())
        .into_iter()
        .map(|id| {
            let here = defects.iter().filter(|(_, d)| d["panel"] == id.as_str());
            let count = here.count();
            PanelPaint {
                figure: (count > 0).then(|| count.to_string()),
                fill: Fill::Blank,
                id,
                ..PanelPaint::default()
            }
        })
        .collect();
    visitor.say(say::WALK).clone_into(&mut options.title);
    options.labels = visitor.labels();
    drawn::car(kept.class(), &panels, &options)
}

fn form(visitor: &Visitor, kept: &Kept) -> Markup {
    html! {
        form.mark-form method="post" action=(format!("/jobs/{}/defects", kept.id)) data-queue {
            (edit_fields(kept.version))
            (panel_choice(visitor, kept))
            div.pair {
                (choice(visitor, ("kind", say::KIND), &KINDS))
                (choice(visitor, ("extent", say::EXTENT), &EXTENTS))
            }
            label { span { (visitor.say(say::NOTE)) } input type="text" name="note" maxlength="120" autocomplete="off"; }
            button.main-deed { (visitor.say(say::MARK)) }
        }
    }
}

/// The panel, as a list; a tap on the car chooses in it.
pub(super) fn panel_choice(visitor: &Visitor, kept: &Kept) -> Markup {
    html! {
        label { span { (visitor.say(say::PANEL)) }
            select name="panel" {
                @for id in kept.panels() { option value=(id) { (visitor.panel(&id)) } }
            }
        }
    }
}

fn choice(visitor: &Visitor, (key, label): (&str, Message), words: &[(&str, Message)]) -> Markup {
    html! {
        label { span { (visitor.say(label)) }
            select name=(key) { @for (word, name) in words { option value=(word) { (visitor.say(*name)) } } } }
    }
}

fn marks(visitor: &Visitor, kept: &Kept) -> Markup {
    let named = |words: &[(&str, Message)], word: &serde_json::Value| {
        let found = words.iter().find(|(w, _)| word == w);
        found.map_or("", |(_, name)| visitor.say(*name))
    };
    html! {
        ul.marks #marks data-live {
            @for (id, defect) in kept.entries("/defects") {
                li { span { b { (visitor.panel(defect["panel"].as_str().unwrap_or_default())) } ", "
                        (named(&KINDS, &defect["kind"])) ", " (named(&EXTENTS, &defect["extent"]))
                        @if let Some(note) = defect["note"].as_str().filter(|n| !n.is_empty()) { ": " (note) } }
                    form method="post" action=(format!("/jobs/{}/defects", kept.id)) {
                        (edit_fields(kept.version))
                        input type="hidden" name="remove" value=(id);
                        button.quiet.small { (visitor.say(say::REMOVE)) }
                    } }
            }
        }
    }
}

/// `POST /jobs/{job}/defects`: marks one, or takes one away.
pub(crate) async fn mark(
    bay: Bay,
    visitor: Visitor,
    Path(job): Path<String>,
    headers: HeaderMap,
    fields: Fields,
) -> Result<Response, Refusal> {
    let back = format!("/jobs/{job}");
    if let Some(id) = fields.text("remove") {
        let deed = (&*job, "mark-removed", &*back);
        if let Some(again) = already(&bay, &headers, &fields, deed).await {
            return Ok(again);
        }
        let place = format!("/defects/{}", pointer(id));
        let state = bay.shop.state(&job).await?;
        if state.at(&place).is_none() {
            return Err(Refusal::missing(visitor.say(say::NO_MARK)));
        }
        let deed = Deed {
            job: &job,
            kind: "mark-removed",
            changes: vec![Change::remove(place)],
            back,
        };
        return perform(&bay, &headers, &fields, deed).await;
    }
    let panel = panel(&bay, &job, &fields, &visitor).await?;
    let word = |key, label, words: &[(&'static str, Message)]| {
        let plain: Vec<(&str, &'static str)> = words.iter().map(|(w, _)| (*w, *w)).collect();
        fields.word((key, label), &plain, words[0].0, &visitor)
    };
    let note: String = fields
        .text("note")
        .unwrap_or_default()
        .chars()
        .filter(|c| !c.is_control())
        .take(120)
        .collect();
    let defect = json!({ "panel": panel, "kind": word("kind", say::KIND, &KINDS)?, "extent": word("extent", say::EXTENT, &EXTENTS)?, "note": note });
    let deed = Deed {
        job: &job,
        kind: "mark-made",
        changes: vec![Change::put(
            format!("/defects/{}", pointer(&edit_id(&fields))),
            defect,
        )],
        back,
    };
    perform(&bay, &headers, &fields, deed).await
}

/// The panel that the form names, if the car has it.
pub(super) async fn panel(
    bay: &Bay,
    job: &str,
    fields: &Fields,
    visitor: &Visitor,
) -> Result<String, Refusal> {
    let state = bay.shop.state(job).await?;
    known_panel(&Kept::of_state(job, state), fields, visitor)
}

/// The same, of a job that is at hand.
pub(super) fn known_panel(
    kept: &Kept,
    fields: &Fields,
    visitor: &Visitor,
) -> Result<String, Refusal> {
    let came = fields.text("panel").unwrap_or_default();
    let known = kept.panels();
    known.iter().find(|id| *id == came).cloned().ok_or_else(|| {
        let short = super::super::fields::short(came);
        Refusal::input(visitor.fill(say::NO_PANEL, &[&short]))
    })
}

/// An id as a piece of a JSON pointer (RFC 6901, section 3).
pub(super) fn pointer(id: &str) -> String {
    id.replace('~', "~0").replace('/', "~1")
}
