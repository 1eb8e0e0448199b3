//! Prove: before and after under one slider, and what the readings say.
//!
//! Left out: photographs measured; the photo room will answer that here.
//! Checked by: `tests/web_photos.rs` and by looking.

use std::collections::BTreeMap;

use axum::extract::Path;
use axum::http::HeaderMap;
use axum::response::Response;
use lapwing_job::prove::{GlossChange, PanelBeforeAfter, PanelProof};
use lapwing_job::trial::pairs::Removed;
use lapwing_measure::Provenance;
use lapwing_store::Change;
use maud::{Markup, html};
use serde_json::{Value, json};

use super::super::Bay;
use super::super::entry::{choice, entered, entry, origin, units_field};
use super::super::fields::{Fields, NumberField, short};
use super::super::numbers::{Measure, typed};
use super::super::page::{Page, edit_fields, queue_line};
use super::super::refusal::Refusal;
use super::super::the_line::Station;
use super::super::visitor::Visitor;
use super::super::words::{Counted, checks, frame, jobs, proof as say};
use super::intake::{panel, panel_choice, pointer};
use super::photos::{self, SIDES};
use super::readings::unit_of;
use super::{Deed, Kept, edit_id, onward, panel_places, past, perform};
use crate::commands;
use crate::commands::prove::{Place, Spot, places_of, spots};

const GLOSS: NumberField = NumberField {
    key: "gloss",
    label: say::GLOSS_GU,
    measure: Measure::Count,
    range: (0.0, 200.0),
};

/// Places shown without asking for more.
const AT_ONCE: usize = 30;

/// `GET /jobs/{job}/prove`.
pub(crate) async fn show(
    bay: Bay,
    visitor: Visitor,
    Path(job): Path<String>,
    fields: Fields,
) -> Result<Markup, Refusal> {
    let kept = Kept::load(&bay, &job).await?;
    let before = places(&kept)?;
    let (proofs, gauge_um) = commands::prove::answer(&panels(&kept, &before), &kept.tables())?;
    let read: Vec<&str> = unique(before.iter().map(|p| p.panel.as_str()));
    let asked = fields.text("panel").filter(|p| read.contains(p));
    let shown = asked.or(read.first().copied()).unwrap_or_default();
    let path = format!("/jobs/{job}/prove");
    let page = Page {
        title: kept.text("/glance/name"),
        beside: visitor.say(say::PROVE_BESIDE),
        path: &path,
        line: Some(kept.line(&visitor, Station::Prove)),
        modules: &["queue.js", "photos.js", "prove.js"],
        styles: &["tools.css", "jobs.css", "rooms.css"],
    };
    let body = html! {
        div.wide data-job=(job) {
            (queue_line(&visitor))
            div #grown data-live { (grown(&visitor, &kept, &proofs)) }
            (sliders(&visitor, &kept))
            section #changed data-live { (changed(&visitor, &proofs, gauge_um)) }
            (after_form(&visitor, &kept, (&read, shown), &before))
            (gloss_form(&visitor, &kept))
            (photos::section(&visitor, &kept, "prove", "after"))
            (onward(&visitor, &job, &[("/handover", frame::HANDOVER)]))
            (past(&visitor, &kept, &path))
        }
    };
    Ok(page.around(&visitor, &body))
}

/// Every reading before the work: of the folder, of imported tables, and those
/// taken here.
pub(crate) fn places(kept: &Kept) -> Result<Vec<Place>, Refusal> {
    let mut all = places_of("csv", "readings.csv", kept.text("/folder/readings.csv"))?;
    for (id, table) in kept.entries("/tables") {
        let text = |key: &str| table[key].as_str().unwrap_or_default();
        all.extend(places_of(id, text("file"), text("text"))?);
    }
    let taken = kept.entries("/readings").into_iter();
    all.extend(
        taken
            .filter(|(_, r)| r["place"] != "zero")
            .filter_map(|(key, reading)| {
                Some(Place {
                    key: key.clone(),
                    panel: reading["panel"].as_str()?.to_owned(),
                    um: reading["um"].as_f64()?,
                    spot: None,
                    at_mm: reading["u_mm"].as_f64().zip(reading["v_mm"].as_f64()),
                })
            }),
    );
    Ok(all)
}

fn unique<'a>(names: impl Iterator<Item = &'a str>) -> Vec<&'a str> {
    let mut seen = Vec::new();
    for name in names {
        if !seen.contains(&name) {
            seen.push(name);
        }
    }
    seen
}

/// Pairs and gloss of every panel that has any.
pub(crate) fn panels(kept: &Kept, before: &[Place]) -> Vec<PanelBeforeAfter> {
    let mut all: BTreeMap<String, PanelBeforeAfter> = BTreeMap::new();
    let after = &kept.document["after"];
    for spot in spots(before) {
        let read = spot.keys.iter();
        let read: Vec<f64> = read
            .filter_map(|key| after[key.as_str()]["um"].as_f64())
            .collect();
        if !read.is_empty() {
            let one = all.entry(spot.panel).or_default();
            one.before_um.push(spot.um);
            one.after_um
                .push(read.iter().sum::<f64>() / read.len() as f64);
        }
    }
    for (_, reading) in kept.entries("/gloss") {
        let name = reading["panel"].as_str().unwrap_or_default();
        let one = all.entry(name.to_owned()).or_default();
        let Some(gu) = reading["gu"].as_f64() else {
            continue;
        };
        if reading["side"] == "after" {
            one.gloss_after.push(gu);
        } else {
            one.gloss_before.push(gu);
        }
    }
    all.into_iter()
        .map(|(panel, found)| PanelBeforeAfter { panel, ..found })
        .collect()
}

/// One slider for each panel with photos of both sides: the last of each.
fn sliders(visitor: &Visitor, kept: &Kept) -> Markup {
    let photos = kept.entries("/photos");
    let named = photos.iter().filter_map(|(_, p)| p["panel"].as_str());
    let last = |panel: &str, side: &str| {
        let found = photos.iter().rev();
        let mut found = found.filter(|(_, p)| p["panel"] == panel && p["side"] == side);
        found.next().map(|(_, p)| *p)
    };
    let both: Vec<(&str, &Value, &Value)> = unique(named)
        .into_iter()
        .filter_map(|panel| Some((panel, last(panel, "before")?, last(panel, "after")?)))
        .collect();
    html! {
        @if both.is_empty() { p.lead { (visitor.say(say::NO_PHOTOS)) } }
        div.sliders {
            @for (panel, before, after) in both {
                figure.compare {
                    figcaption { b { (visitor.panel(panel)) } }
                    div.pictures {
                        img src=(photos::address(before)) alt=(photos::caption(visitor, before));
                        img.after src=(photos::address(after)) alt=(photos::caption(visitor, after));
                        i aria-hidden="true" {}
                    }
                    div.ends { span { (visitor.say(say::BEFORE)) } span { (visitor.say(say::AFTER)) } }
                    input type="range" name="at" min="0" max="100" value="50" step="2" aria-label=(visitor.fill(say::SLIDE, &[&visitor.panel(panel)]));
                }
            }
        }
    }
}

/// Readings after that cannot be: said first, and each may be taken out.
fn grown(visitor: &Visitor, kept: &Kept, proofs: &[PanelProof]) -> Markup {
    let grown: Vec<&PanelProof> = proofs.iter().filter(|p| p.is_growth).collect();
    let names: Vec<String> = grown.iter().map(|p| visitor.panel(&p.panel)).collect();
    html! {
        @if !grown.is_empty() {
            p.fault role="alert" { (visitor.fill(checks::GROWN, &[&names.join(", ")])) }
            div.deeds { @for (proof, name) in grown.iter().zip(&names) {
                form method="post" action=(format!("/jobs/{}/prove", kept.id)) data-queue {
                    (edit_fields(kept.version))
                    input type="hidden" name="deed" value="forget";
                    input type="hidden" name="panel" value=(proof.panel);
                    button.quiet { (visitor.fill(checks::TAKE_OUT, &[name])) }
                } } }
        }
    }
}

fn changed(visitor: &Visitor, proofs: &[PanelProof], gauge_um: f64) -> Markup {
    if proofs.is_empty() {
        return html! {};
    }
    let pairs = proofs.iter().find_map(|p| p.pairs_for_1um);
    let pairs = pairs.map_or("–".to_owned(), |n| n.to_string());
    html! {
        h2 { (visitor.say(say::CHANGED)) " " (origin(visitor, Provenance::Measured)) }
        div.scroll tabindex="0" role="region" aria-label=(visitor.say(say::CHANGED)) {
            table.numbers.changes {
                thead { tr { th scope="col" { (visitor.say(say::PANEL)) } th scope="col" { (visitor.say(say::FILM_GONE)) }
                    th scope="col" { (visitor.say(say::PAIRS)) } th scope="col" { (visitor.say(say::GLOSS)) } } }
                tbody { @for proof in proofs { tr {
                    th scope="row" { (visitor.panel(&proof.panel)) }
                    td { (gone(visitor, proof)) }
                    td { (proof.removed_um.map_or("–".to_owned(), |r| r.pairs.to_string())) }
                    td { @if let Some(gloss) = &proof.gloss { (won(visitor, gloss)) } @else { "–" } }
                } } }
            }
        }
        p.note { (visitor.fill(say::NINETEEN, &[&visitor.with_unit(Measure::Film, gauge_um), &pairs, &visitor.with_unit(Measure::Film, 1.0)])) }
    }
}

fn gone(visitor: &Visitor, proof: &PanelProof) -> Markup {
    let told = |r: &Removed| {
        let ends = [r.lower_95, r.upper_95].map(|um| visitor.bare(Measure::Film, um));
        visitor.fill(
            say::PLUS_MINUS,
            &[
                &visitor.with_unit(Measure::Film, r.mean),
                &ends[0],
                &ends[1],
            ],
        )
    };
    html! {
        @match &proof.removed_um {
            Some(removed) => { (told(removed)) @if proof.is_growth { br; small { b { (visitor.say(checks::CANNOT_BE)) } } }
                @else if !proof.is_detectable { br; small { (visitor.say(say::NOT_TOLD)) } } }
            None => "–",
        }
    }
}

fn won(visitor: &Visitor, gloss: &GlossChange) -> String {
    let n = |value: f64| visitor.number(value, 1);
    let gain = match gloss.interval_gu {
        Some((low, high)) => {
            visitor.fill(say::PLUS_MINUS, &[&n(gloss.gained_gu), &n(low), &n(high)])
        }
        None => n(gloss.gained_gu),
    };
    visitor.fill(
        say::GLOSS_GAIN,
        &[&gain, &n(gloss.before_gu), &n(gloss.after_gu)],
    )
}

fn after_form(
    visitor: &Visitor,
    kept: &Kept,
    (read, shown): (&[&str], &str),
    before: &[Place],
) -> Markup {
    let here: Vec<Spot> = spots(before)
        .into_iter()
        .filter(|spot| spot.panel == shown)
        .collect();
    let names: Vec<String> = here.iter().enumerate().map(called).collect();
    let lying = here.iter().zip(&names);
    let lying: Vec<(f64, f64, &str)> = lying
        .filter_map(|(spot, name)| spot.at_mm.map(|(u, v)| (u, v, name.as_str())))
        .collect();
    let fields: Vec<(&Spot, &str)> = here.iter().zip(names.iter().map(String::as_str)).collect();
    let (first, rest) = fields.split_at(fields.len().min(AT_ONCE));
    html! {
        section.readings {
            h2 { (visitor.say(say::AFTER_FORM)) }
            @if read.is_empty() { p { (visitor.say(say::NO_BEFORE)) } } @else {
                form.search method="get" action=(format!("/jobs/{}/prove", kept.id)) {
                    label { span { (visitor.say(say::PANEL)) }
                        select name="panel" { @for id in read { option value=(id) selected[*id == shown] { (visitor.panel(id)) } } } }
                    button.quiet { (visitor.say(say::SHOW_PANEL)) }
                }
                form.mark-form method="post" action=(format!("/jobs/{}/prove", kept.id)) data-queue {
                    (edit_fields(kept.version)) (units_field(visitor))
                    input type="hidden" name="deed" value="after";
                    input type="hidden" name="panel" value=(shown);
                    p.note { (visitor.say(say::AFTER_NOTE)) }
                    @if !lying.is_empty() { (panel_places::spots(visitor, kept, shown, &lying)) }
                    (place_fields(visitor, kept, first))
                    @if !rest.is_empty() { details { summary { (visitor.fill(say::MORE_PLACES, &[&rest.len().to_string()])) }
                        (place_fields(visitor, kept, rest)) } }
                    button { (visitor.say(say::KEEP_READINGS)) }
                }
            }
        }
    }
}

/// A spot's name, or its number on the panel.
fn called((at, spot): (usize, &Spot)) -> String {
    spot.name.clone().unwrap_or_else(|| (at + 1).to_string())
}

fn place_fields(visitor: &Visitor, kept: &Kept, spots: &[(&Spot, &str)]) -> Markup {
    let after = &kept.document["after"];
    let read = |spot: &Spot| {
        let mut keys = spot.keys.iter();
        let um = keys.find_map(|key| after[key.as_str()]["um"].as_f64());
        um.map_or_else(String::new, |um| visitor.bare(Measure::Film, um))
    };
    html! {
        div.pair.places { @for (spot, name) in spots {
            label { span { (visitor.fill(say::PLACE_NO, &[name, &visitor.with_unit(Measure::Film, spot.um)]))
                    @if spot.keys.len() > 1 { " " small { (visitor.fill(say::MEAN_OF, &[&spot.keys.len().to_string()])) } } }
                input type="hidden" name="place" value=(spot.key);
                input type="text" inputmode="decimal" name="um" autocomplete="off" value=(read(spot)); }
        } }
    }
}

fn gloss_form(visitor: &Visitor, kept: &Kept) -> Markup {
    html! {
        details { summary { (visitor.say(say::GLOSS_FORM)) }
            form.mark-form method="post" action=(format!("/jobs/{}/prove", kept.id)) data-queue {
                (edit_fields(kept.version)) (units_field(visitor))
                input type="hidden" name="deed" value="gloss";
                (panel_choice(visitor, kept))
                div.pair { (choice(visitor, ("side", say::SIDE), &SIDES, "before")) (entry(visitor, &GLOSS, None)) }
                button { (visitor.say(say::ADD_GLOSS)) }
            }
        }
    }
}

/// `POST /jobs/{job}/prove`: readings after the work, or a gloss reading.
pub(crate) async fn take(
    bay: Bay,
    visitor: Visitor,
    Path(job): Path<String>,
    headers: HeaderMap,
    fields: Fields,
) -> Result<Response, Refusal> {
    let deeds = [
        ("after", "after-read"),
        ("gloss", "gloss-read"),
        ("forget", "after-dropped"),
    ];
    let kind = fields.word(("deed", say::CHANGED), &deeds, "after-read", &visitor)?;
    let kept = Kept::load(&bay, &job).await?;
    let (changes, shown) = if kind == "after-read" {
        let shown = fields.text("panel").unwrap_or_default().to_owned();
        (after_changes(&kept, &fields, &visitor)?, shown)
    } else if kind == "after-dropped" {
        let shown = fields.text("panel").unwrap_or_default().to_owned();
        (without_after(&kept, &shown, &visitor)?, shown)
    } else {
        let panel = panel(&bay, &job, &fields, &visitor).await?;
        let sides = SIDES.map(|(w, _)| (w, w));
        let side = fields.word(("side", say::SIDE), &sides, "before", &visitor)?;
        if fields.text("gloss").is_none() {
            return Err(Refusal::input(visitor.fill(
                super::super::words::frame::NOT_A_NUMBER,
                &[visitor.say(say::GLOSS_GU), "", "0", "200", "GU"],
            )));
        }
        let gu = entered(&fields, &GLOSS, 0.0, &visitor)?;
        let reading = json!({ "panel": panel, "side": side, "gu": gu });
        let place = format!("/gloss/{}", pointer(&edit_id(&fields)));
        (vec![Change::put(place, reading)], String::new())
    };
    let is_name = shown
        .bytes()
        .all(|b| b.is_ascii_alphanumeric() || b == b'-')
        && !shown.is_empty();
    let query = if is_name {
        format!("?panel={shown}")
    } else {
        String::new()
    };
    let deed = Deed {
        job: &job,
        kind,
        changes,
        back: format!("/jobs/{job}/prove{query}"),
    };
    perform(&bay, &headers, &fields, deed).await
}

/// Takes the readings after on a panel out.
fn without_after(kept: &Kept, panel: &str, visitor: &Visitor) -> Result<Vec<Change>, Refusal> {
    let of_panel = kept.entries("/after").into_iter();
    let changes: Vec<Change> = of_panel
        .filter(|(_, a)| a["panel"] == panel)
        .map(|(key, _)| Change::remove(format!("/after/{}", pointer(key))))
        .collect();
    if changes.is_empty() {
        return Err(Refusal::missing(visitor.say(checks::NONE_AFTER)));
    }
    Ok(changes)
}

fn after_changes(kept: &Kept, fields: &Fields, visitor: &Visitor) -> Result<Vec<Change>, Refusal> {
    let before = places(kept)?;
    let units = fields.text("units").unwrap_or("metric");
    let um_per = if units == "us" { 25.4 } else { 1.0 };
    let mut changes = Vec::new();
    for (key, came) in fields.all("place").zip(fields.all("um")) {
        if came.is_empty() {
            continue;
        }
        let place = before
            .iter()
            .find(|p| p.key == key)
            .ok_or_else(|| Refusal::input(visitor.fill(say::NO_PLACE, &[&short(key)])))?;
        let (bare, um_per) = unit_of(came).unwrap_or((came, um_per));
        let um = typed(bare).map(|v| v * um_per);
        let um = um
            .filter(|um| (20.0..=3000.0).contains(um))
            .ok_or_else(|| {
                let ends = [20.0, 3000.0].map(|um| visitor.with_unit(Measure::Film, um));
                Refusal::input(visitor.fill(jobs::NO_READING, &[&short(came), &ends[0], &ends[1]]))
            })?;
        let entry = json!({ "panel": place.panel, "um": um });
        changes.push(Change::put(format!("/after/{}", pointer(key)), entry));
    }
    if changes.is_empty() {
        let ends = [20.0, 3000.0].map(|um| visitor.with_unit(Measure::Film, um));
        let sentence = visitor.fill(jobs::NO_READING, &["", &ends[0], &ends[1]]);
        return Err(Refusal::input(sentence));
    }
    Ok(changes)
}

/// Panels with a reading after, in words for the line.
pub(crate) fn figure(visitor: &Visitor, kept: &Kept) -> Option<String> {
    let after = kept.entries("/after");
    let count = unique(after.iter().filter_map(|(_, a)| a["panel"].as_str())).len();
    let words: Counted = say::PROVED;
    (count > 0).then(|| visitor.fill(words.of(count), &[&visitor.number(count as f64, 0)]))
}
