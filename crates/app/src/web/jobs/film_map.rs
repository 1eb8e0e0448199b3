//! Film and budget of a job: what may go, panel by panel, with the rule that
//! binds and the map of the film.
//!
//! Holds: maps take seconds, so they follow the page.
//! Checked by: `tests/web_gauge.rs`.

use std::sync::Arc;

use axum::extract::Path;
use lapwing_job::record::Sentence;
use lapwing_report::figure::{CarOptions, Doubt, Fill, PanelPaint, Scale, Telling};
use maud::{Markup, PreEscaped, html};
use serde_json::Value;

use super::super::fields::Fields;
use super::super::later::later;
use super::super::numbers::Measure;
use super::super::page::{Page, picture, queue_line};
use super::super::refusal::Refusal;
use super::super::the_line::Station;
use super::super::visitor::Visitor;
use super::super::words::{bench, film as film_say, frame, jobs as jobs_say, stations as say};
use super::super::{Bay, apart, drawn};
use super::{Kept, marked};
use crate::commands::job_film::JobFilm;

/// `GET /jobs/{job}/film`.
pub(crate) async fn show(
    bay: Bay,
    visitor: Visitor,
    Path(job): Path<String>,
    fields: Fields,
) -> Result<Markup, Refusal> {
    let kept = Kept::load(&bay, &job).await?;
    let path = format!("/jobs/{job}/film");
    let page = Page {
        title: kept.text("/glance/name"),
        beside: visitor.say(say::FILM_BESIDE),
        path: &path,
        line: Some(kept.line(&visitor, Station::Budget)),
        modules: &["queue.js", "later.js"],
        styles: &["tools.css", "jobs.css", "stations.css"],
    };
    let is_empty = kept.count_readings() == 0;
    let film = if is_empty {
        None
    } else if fields.text("now").is_some() {
        Some(bay.plans.film_of(&kept).await?)
    } else {
        bay.plans.film_at_hand(&kept)
    };
    let ready = film.map(|film| content(&visitor, &kept, &film));
    let body = html! {
        div.wide data-job=(job) {
            (queue_line(&visitor))
            @if is_empty {
                p.lead { (visitor.say(say::FIRST_READINGS)) }
                p { a.button.main-deed href=(format!("/jobs/{job}/readings")) { (visitor.say(jobs_say::TO_READINGS)) } }
            } @else {
                (later(&visitor, ("film", &format!("{path}/answer")), ready.as_ref(), &path))
                nav.deeds aria-label=(visitor.say(jobs_say::NEXT)) {
                    a.button href=(format!("/jobs/{job}/trial")) { (visitor.say(say::TO_TRIAL)) }
                }
            }
        }
    };
    Ok(page.around(&visitor, &body))
}

/// `GET /jobs/{job}/film/answer`: the part that takes seconds.
pub(crate) async fn answer(
    bay: Bay,
    visitor: Visitor,
    Path(job): Path<String>,
) -> Result<Markup, Refusal> {
    let kept = Kept::load(&bay, &job).await?;
    let film = bay.plans.film_of(&kept).await?;
    Ok(content(&visitor, &kept, &film))
}

/// `GET /jobs/{job}/film/{panel}`: the map of one panel; with `part=yes` as a
/// part of the list, else as a page of its own.
pub(crate) async fn panel(
    bay: Bay,
    visitor: Visitor,
    Path((job, panel)): Path<(String, String)>,
    fields: Fields,
) -> Result<Markup, Refusal> {
    let kept = Kept::load(&bay, &job).await?;
    let part = panel_part(&bay, &visitor, &kept, &panel).await?;
    if fields.text("part").is_some() {
        return Ok(part);
    }
    let name = visitor.panel(&panel);
    let page = Page {
        title: kept.text("/glance/name"),
        beside: &name,
        path: &format!("/jobs/{job}/film/{panel}"),
        line: Some(kept.line(&visitor, Station::Budget)),
        modules: &[],
        styles: &["tools.css", "jobs.css", "stations.css"],
    };
    let body = html! {
        div.wide {
            h2 { (name) }
            (part)
            p { a href=(format!("/jobs/{job}/film")) { (visitor.say(say::TO_FILM)) } }
        }
    };
    Ok(page.around(&visitor, &body))
}

async fn panel_part(
    bay: &Bay,
    visitor: &Visitor,
    kept: &Kept,
    panel: &str,
) -> Result<Markup, Refusal> {
    let film = bay.plans.film_of(kept).await?;
    let Some(document) = film.panel(panel).cloned() else {
        return Err(Refusal::missing(visitor.say(say::NO_FILM)));
    };
    let drawn = apart({
        let (film, panel, visitor) = (Arc::clone(&film), panel.to_owned(), *visitor);
        let title = visitor.panel(&panel);
        move || {
            let telling = |english: &str| visitor.retold_or(english);
            let spoken = (visitor.units, visitor.labels(), Telling(&telling));
            film.picture(&panel, &title, spoken)
        }
    })
    .await?;
    Ok(html! {
        (marked::on_panel(visitor, kept, panel))
        @match drawn {
            Some(svg) => div.film-map.scroll tabindex="0" role="region" aria-label=(visitor.panel(panel)) { (picture(&visitor.picture_told(&svg))) },
            None => @if let Some(why) = film.no_map(panel) { p.note { (visitor.said(why)) } },
        }
        (rules(visitor, &document))
        @if let Some(said) = film.next_said(panel) {
            p { @if said.sentence != Sentence::Enough { span.plate.next { (visitor.say(say::READ_NEXT)) } " " } (visitor.said(said)) }
        }
    })
}

fn content(visitor: &Visitor, kept: &Kept, film: &JobFilm) -> Markup {
    let list = |key: &str| film.document[key].as_array().cloned().unwrap_or_default();
    let panels = list("panels");
    html! {
        (marked::on_car(visitor, kept))
        section.two aria-label=(visitor.say(say::MAY_GO_CAR)) {
            div.car {
                div.lying { (car(visitor, kept, &panels, CarOptions::landscape(Some(Scale::budget())))) }
                div.upright { (car(visitor, kept, &panels, CarOptions::portrait(Some(Scale::budget())))) }
                p.note { (visitor.say(film_say::SURE)) }
            }
            div.findings {
                h2 { (visitor.say(film_say::SAY)) }
                @for panel in panels.iter().filter(|p| p["verdict"] == "leave") { (left(visitor, film, panel)) }
                @for caution in film.cautions() { p.caution { span.unseen { (visitor.say(frame::CAUTION)) ". " } (visitor.caution(caution)) } }
            }
        }
        h2 { (visitor.say(say::PANEL_BY_PANEL)) }
        div.panel-list { @for panel in &panels { (one(visitor, kept, panel)) } }
    }
}

fn car(
    visitor: &Visitor,
    kept: &Kept,
    panels: &[Value],
    mut options: CarOptions,
) -> PreEscaped<Arc<str>> {
    let drawn = kept.panels();
    let painted: Vec<PanelPaint> = panels.iter().map(|panel| paint(visitor, panel)).collect();
    let painted: Vec<PanelPaint> = painted
        .into_iter()
        .filter(|p| drawn.contains(&p.id))
        .collect();
    options.units = visitor.figure_units();
    visitor.say(say::MAY_GO_CAR).clone_into(&mut options.title);
    options.labels = visitor.labels();
    drawn::car(kept.class(), &painted, &options)
}

fn paint(visitor: &Visitor, panel: &Value) -> PanelPaint {
    let budget_um = panel["budget_um"].as_f64();
    let (fill, figure) = match (panel["verdict"].as_str(), budget_um) {
        (Some("leave"), _) => (Fill::Leave, Some(visitor.say(film_say::LEAVE).to_owned())),
        (_, Some(um)) => (
            Fill::Value(um, Doubt::Plain),
            Some(visitor.bare(Measure::Film, um)),
        ),
        _ => (Fill::NotMeasured, None),
    };
    PanelPaint {
        id: panel["name"].as_str().unwrap_or_default().to_owned(),
        figure,
        fill,
        ..PanelPaint::default()
    }
}

fn left(visitor: &Visitor, film: &JobFilm, panel: &Value) -> Markup {
    let name = panel["name"].as_str().unwrap_or_default();
    html! {
        p.leave { span.plate { (visitor.say(film_say::LEAVE)) } " " b { (visitor.panel(name)) } ". "
            @if let Some(why) = film.reason(name) { (visitor.said(why)) } }
    }
}

/// A panel in a line; its map opens below.
fn one(visitor: &Visitor, kept: &Kept, panel: &Value) -> Markup {
    let name = panel["name"].as_str().unwrap_or_default();
    let film = |key: &str| {
        let um = panel.pointer(key).and_then(Value::as_f64);
        um.map_or_else(|| "–".to_owned(), |um| visitor.with_unit(Measure::Film, um))
    };
    let count = panel["count"].as_u64().unwrap_or(0);
    let count = usize::try_from(count).unwrap_or(usize::MAX);
    html! {
        details.panel-film data-later=(format!("/jobs/{}/film/{name}?part=yes", kept.id)) {
            summary {
                b { (visitor.panel(name)) }
                span.may-go { (visitor.say(film_say::MAY_GO)) " " b { (film("/budget_um")) } }
                small { (visitor.fill(jobs_say::READINGS.of(count), &[&count.to_string()]))
                    @if panel.pointer("/clear_left_um/mean").is_some_and(Value::is_number) { " · " (visitor.say(film_say::CLEAR)) " " (film("/clear_left_um/mean")) }
                    @if let Some(rule) = panel["binding_rule"].as_str() { " · " (visitor.fill(say::BOUND_BY, &[&visitor.rule(rule)])) } }
            }
            div data-part { (rules(visitor, panel)) }
            p { a href=(format!("/bench?job={}&panel={name}", kept.id)) { (visitor.say(bench::FORECAST_HERE)) } }
        }
    }
}

/// Every rule with what it would allow; the one that binds stands out.
fn rules(visitor: &Visitor, panel: &Value) -> Markup {
    let rules = panel["rules"].as_array().cloned().unwrap_or_default();
    let binds = panel["binding_rule"].as_str().unwrap_or_default();
    html! {
        @if !rules.is_empty() {
            div.scroll tabindex="0" role="region" aria-label=(visitor.say(say::RULES)) {
                table.plain {
                    thead { tr { th scope="col" { (visitor.say(film_say::RULE)) } th scope="col" { (visitor.say(say::ALLOWS)) } th scope="col" { (visitor.say(say::STANDING)) } } }
                    tbody { @for rule in &rules {
                        @let name = rule["name"].as_str().unwrap_or_default();
                        @let is_in_force = rule["is_in_force"] == true;
                        tr { th scope="row" { (visitor.rule(name)) }
                            td { (rule["allows_um"].as_f64().map_or_else(|| "–".to_owned(), |um| visitor.with_unit(Measure::Film, um))) }
                            td { @if name == binds { b { (visitor.say(say::BINDS)) } } @else { (visitor.say(if is_in_force { say::IN_FORCE } else { say::NOT_IN_FORCE })) } } }
                    } }
                }
            }
        }
    }
}
