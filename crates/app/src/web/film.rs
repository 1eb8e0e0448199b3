//! Film: a table of readings in, per panel what is there, what may go and the
//! rule that binds, on the car drawn flat.
//!
//! Checked by: `tests/web_film.rs`.

use axum::body::Bytes;
use axum::extract::rejection::BytesRejection;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use lapwing_report::figure::{BodyClass, CarOptions, Scale};
use lapwing_report::film_page_pictures::{FilmPanel, film_car};
use maud::{Markup, html};
use serde_json::Value;

use super::fields::Fields;
use super::numbers::Measure;
use super::page::{Page, picture};
use super::refusal::{Refusal, at_form};
use super::the_line::{Line, Station};
use super::upload::Upload;
use super::visitor::Visitor;
use super::words::{Message, film as say, frame};
use super::{api, example};
use crate::commands;
use crate::commands::film::{Over, Spoken};

/// What was worked out, if anything was asked.
type Answered<'a> = Option<(&'a Value, &'a Spoken)>;

const SYSTEMS: [(&str, Message); 2] = [
    ("base-clear", say::BASE_CLEAR),
    ("single-stage", say::SINGLE_STAGE),
];
const SUBSTRATES: [(&str, Message); 4] = [
    ("steel", say::STEEL),
    ("aluminium", say::ALUMINIUM),
    ("plastic", say::PLASTIC),
    ("laminate", say::LAMINATE),
];

/// What the form holds beside the readings.
#[derive(Clone, Copy)]
struct Sheet {
    system: &'static str,
    substrate: &'static str,
    class: BodyClass,
}

impl Sheet {
    fn read(fields: &Fields, visitor: &Visitor) -> Result<Self, Refusal> {
        let words = |list: &[(&'static str, Message)]| -> Vec<(&str, &'static str)> {
            list.iter().map(|(w, _)| (*w, *w)).collect()
        };
        let classes = BodyClass::ALL.map(|class| (class.name(), class));
        Ok(Self {
            system: fields.word(
                ("system", say::SYSTEM),
                &words(&SYSTEMS),
                "base-clear",
                visitor,
            )?,
            substrate: fields.word(
                ("substrate", say::UNDER),
                &words(&SUBSTRATES),
                "steel",
                visitor,
            )?,
            class: fields.word(("class", say::CLASS), &classes, BodyClass::Estate, visitor)?,
        })
    }
}

/// `GET /film`: the form; with `example=harbour-estate` filled and answered.
pub(crate) async fn show(visitor: Visitor, fields: Fields) -> Result<Markup, Refusal> {
    let over = Sheet::read(&fields, &visitor)?;
    let is_example = fields.word(
        ("example", say::READINGS),
        &[(example::NAME, true)],
        false,
        &visitor,
    )?;
    if !is_example {
        return Ok(page(&visitor, over, Ok(None)));
    }
    worked(
        &visitor,
        over,
        ("readings.csv", example::READINGS.as_bytes()),
    )
    .await
}

/// `POST /film`: readings pasted or as a file.
pub(crate) async fn work_out(visitor: Visitor, upload: Upload) -> Result<Response, Refusal> {
    let over = Sheet::read(&upload.fields, &visitor)?;
    let pasted = upload.fields.text("readings");
    let answered = match (upload.file("file"), pasted) {
        (Some(file), _) => worked(&visitor, over, (&file.name, &file.bytes)).await,
        (None, Some(text)) => {
            worked(&visitor, over, (visitor.say(say::PASTED), text.as_bytes())).await
        }
        (None, None) => Err(Refusal::input(visitor.say(say::NO_READINGS))),
    };
    match answered {
        Ok(page) => Ok(page.into_response()),
        Err(refusal) if refusal.status == StatusCode::UNPROCESSABLE_ENTITY => {
            let again = (pasted.unwrap_or_default(), &*refusal.sentence);
            let page = page(&visitor, over, Err(again));
            Ok(refusal.at_the_form(page))
        }
        Err(refusal) => Err(refusal),
    }
}

async fn worked(
    visitor: &Visitor,
    over: Sheet,
    (name, bytes): (&str, &[u8]),
) -> Result<Markup, Refusal> {
    let words = Over::read(over.system, over.substrate)?;
    let (name, bytes) = (name.to_owned(), bytes.to_vec());
    let (document, spoken) =
        super::apart(move || commands::film::answer(&name, &bytes, words)).await?;
    Ok(page(visitor, over, Ok(Some((&document, &spoken)))))
}

/// `POST /api/film?system=&substrate=`: a table in, the document of the
/// command line out.
pub(crate) async fn by_api(
    visitor: Visitor,
    uri: axum::http::Uri,
    body: Result<Bytes, BytesRejection>,
) -> Result<Response, Refusal> {
    let fields = Fields::parse(uri.query().unwrap_or("").as_bytes(), &visitor)?;
    let over = Sheet::read(&fields, &visitor)?;
    let bytes = body.map_err(|rejected| Refusal {
        wait_s: None,
        status: rejected.status(),
        sentence: format!("The table cannot be read ({rejected})."),
    })?;
    let words = Over::read(over.system, over.substrate)?;
    let (document, _) =
        super::apart(move || commands::film::answer("readings.csv", &bytes, words)).await?;
    api::answer(&document)
}

/// The form with its answer; or with what was pasted and what is wrong with it.
fn page(visitor: &Visitor, over: Sheet, answered: Result<Answered<'_>, (&str, &str)>) -> Markup {
    let page = Page {
        title: visitor.say(frame::FILM),
        beside: visitor.say(say::BESIDE),
        path: "/film",
        line: Some(Line::of_pages(Station::Inspect)),
        modules: &[],
        styles: &["tools.css"],
    };
    let body = html! {
        div.wide {
            @if let Ok(Some(document)) = answered { (answer(visitor, over, document)) }
            (form(visitor, over, answered))
        }
    };
    page.around(visitor, &body)
}

fn form(visitor: &Visitor, over: Sheet, answered: Result<Answered<'_>, (&str, &str)>) -> Markup {
    let is_answered = matches!(answered, Ok(Some(_)));
    let (pasted, fault) = answered.err().unzip();
    html! {
        form.readings.no-print method="post" action="/film" enctype="multipart/form-data" {
            @if is_answered { h2 { (visitor.say(say::OTHERS)) } }
            @if let Some(fault) = fault { (at_form(&visitor.retold_or(fault))) }
            label { span { (visitor.say(say::READINGS)) }
                textarea name="readings" rows="7" spellcheck="false" placeholder="panel,thickness_um\nbonnet,112\nbonnet,108" { (pasted.unwrap_or_default()) } }
            label { span { (visitor.say(say::FILE)) } input type="file" name="file" accept=".csv,.txt,.tsv,text/csv,text/plain"; }
            p.note { (visitor.say(say::COLUMNS)) }
            div.pair {
                (select(visitor, ("system", say::SYSTEM), &SYSTEMS, over.system))
                (select(visitor, ("substrate", say::UNDER), &SUBSTRATES, over.substrate))
                label { span { (visitor.say(say::CLASS)) }
                    select name="class" {
                        @for class in BodyClass::ALL {
                            option value=(class.name()) selected[class == over.class] { (visitor.say(class_name(class))) }
                        }
                    }
                }
            }
            div.deeds {
                button { (visitor.say(say::WORK_OUT)) }
                a.button.quiet href="/film?example=harbour-estate" { (visitor.say(say::EXAMPLE)) }
            }
        }
    }
}

fn select(
    visitor: &Visitor,
    (key, label): (&str, Message),
    words: &[(&str, Message)],
    chosen: &str,
) -> Markup {
    html! {
        label { span { (visitor.say(label)) }
            select name=(key) {
                @for (word, name) in words {
                    option value=(word) selected[*word == chosen] { (visitor.say(*name)) }
                }
            }
        }
    }
}

/// What a body class is called.
pub(crate) fn class_name(class: BodyClass) -> Message {
    match class {
        BodyClass::Estate => say::ESTATE,
        BodyClass::Hatchback => say::HATCHBACK,
        BodyClass::Saloon => say::SALOON,
        BodyClass::LargeSuv => say::LARGE_SUV,
        BodyClass::PanelVan => say::PANEL_VAN,
        BodyClass::PickUp => say::PICK_UP,
    }
}

fn answer(visitor: &Visitor, over: Sheet, (document, spoken): (&Value, &Spoken)) -> Markup {
    let panels = document["panels"].as_array().cloned().unwrap_or_default();
    html! {
        section.two aria-label=(visitor.say(say::ANSWER)) {
            div.car {
                div.lying { (picture(&car(visitor, over.class, &panels, CarOptions::landscape(Some(Scale::film()))))) }
                div.upright { (picture(&car(visitor, over.class, &panels, CarOptions::portrait(Some(Scale::film()))))) }
            }
            div.findings {
                h2 { (visitor.say(say::SAY)) }
                @for panel in &panels { (finding(visitor, panel, spoken)) }
                @for caution in &spoken.cautions {
                    p.caution { span.unseen { (visitor.say(frame::CAUTION)) ". " } (visitor.caution(caution)) }
                }
            }
        }
        div.scroll tabindex="0" role="region" aria-label=(visitor.say(say::TABLE)) { (table(visitor, &panels)) }
    }
}

/// The car by whole film, from the panels of the film document.
pub(crate) fn car(
    visitor: &Visitor,
    class: BodyClass,
    panels: &[Value],
    mut options: CarOptions,
) -> String {
    let names: Vec<String> = panels.iter().map(|p| text(p, "name")).collect();
    let painted: Vec<FilmPanel<'_>> = panels
        .iter()
        .zip(&names)
        .map(|(panel, name)| FilmPanel {
            name,
            film_um: panel["mean_um"].as_f64(),
            has_finding: speaks_of_repaint(panel),
            is_left: panel["verdict"].is_null() || panel["verdict"] == "leave",
        })
        .collect();
    options.units = visitor.figure_units();
    visitor.say(say::CAR).clone_into(&mut options.title);
    options.labels = visitor.labels();
    film_car(class, &painted, &options)
}

/// Do the findings point to an earlier repaint?
fn speaks_of_repaint(panel: &Value) -> bool {
    let findings = panel["findings"].as_array().into_iter().flatten();
    let mut words = findings.filter_map(Value::as_str);
    words.any(|finding| finding.contains("repaint"))
}

fn finding(visitor: &Visitor, panel: &Value, spoken: &Spoken) -> Markup {
    let name = text(panel, "name");
    let Some(said) = spoken.panel(&name) else {
        return html! {};
    };
    let (plate, class) = match panel["verdict"].as_str() {
        Some("leave") => (say::LEAVE, "plate"),
        Some("finish-only") => (say::FINISH_ONLY, "plate open"),
        _ => (say::POLISH, "plate open"),
    };
    html! {
        @if class == "plate" || !said.findings.is_empty() {
            p.leave { span class=(class) { (visitor.say(plate)) } " " b { (visitor.panel(&name)) } ". " (visitor.said(&said.reason)) }
            @if !said.findings.is_empty() {
                ul { @for finding in &said.findings { li { (visitor.said(finding)) } } }
            }
        }
    }
}

fn table(visitor: &Visitor, panels: &[Value]) -> Markup {
    let film = |panel: &Value, key: &str| {
        panel[key]
            .as_f64()
            .map_or_else(|| "–".to_owned(), |um| visitor.bare(Measure::Film, um))
    };
    let unit = Measure::Film.shown(visitor.units).unit;
    html! {
        table.numbers {
            caption.unseen { (visitor.say(say::TABLE)) }
            thead { tr {
                th scope="col" { (visitor.say(say::PANEL)) }
                th scope="col" { (visitor.say(say::COUNT)) }
                th scope="col" { (visitor.say(say::MEAN)) ", " (unit) }
                th scope="col" { "± " (unit) }
                th scope="col" { (visitor.say(say::CLEAR)) ", " (unit) }
                th scope="col" { (visitor.say(say::MAY_GO)) ", " (unit) }
                th scope="col" { (visitor.say(say::RULE)) }
            } }
            tbody {
                @for panel in panels {
                    tr {
                        th scope="row" { (visitor.panel(&text(panel, "name"))) }
                        td { (panel["count"].as_u64().unwrap_or(0)) }
                        td { (film(panel, "mean_um")) }
                        td { (film(panel, "sd_um")) }
                        td { (film(&panel["clear_left_um"], "mean")) }
                        td { b { (film(panel, "budget_um")) } }
                        td { (visitor.rule(&text(panel, "binding_rule"))) }
                    }
                }
            }
        }
        p.note { (visitor.say(say::SURE)) }
    }
}

fn text(value: &Value, key: &str) -> String {
    value[key].as_str().unwrap_or_default().to_owned()
}
