//! Hand-over of a job: the draft of its record, the signed record, and what
//! there is to take along.
//!
//! The draft is worked out from the job as it stands; signing keeps the record
//! as one event, and from then on page, papers and link show that record.
//! Checked by: `tests/web_handover.rs`, and by looking.

mod draft;
mod paper;
mod signing;
pub(crate) mod travel;

use axum::extract::Path;
use axum::http::{HeaderMap, header};
use axum::response::{IntoResponse, Redirect, Response};
use futures_util::StreamExt as _;
use lapwing_job::handover::record::Handed;
use lapwing_job::record::job::Units;
use lapwing_sheet::MOST_PHOTOS;
use lapwing_store::{Change, sha256_hex};
use maud::{Markup, html};
use serde_json::{Value, json};

use super::fields::Fields;
use super::jobs::{Deed, Kept, now_ms, past, perform};
use super::page::Page;
use super::record_page::{SIGNED, details, overview, seal};
use super::refusal::Refusal;
use super::shop;
use super::shop::practice::{NewJob, job_file};
use super::the_line::Station;
use super::visitor::Visitor;
use super::words::{Language, checks, handover as say, paper as paper_say};
use super::{Bay, apart};
use crate::commands::sealed::{Look, Sealed, file_of};
use crate::failure::Failure;
use crate::views::Views;

/// `GET /jobs/{job}/handover`.
pub(crate) async fn show(
    bay: Bay,
    visitor: Visitor,
    Path(job): Path<String>,
) -> Result<Markup, Refusal> {
    let kept = Kept::load(&bay, &job).await?;
    whole(&bay, &visitor, &kept, None).await
}

/// The page; with a fault where something was not signed.
async fn whole(
    bay: &Bay,
    visitor: &Visitor,
    kept: &Kept,
    fault: Option<&str>,
) -> Result<Markup, Refusal> {
    let path = format!("/jobs/{}/handover", kept.id);
    let body = match kept.document.pointer(SIGNED) {
        Some(signed) => signed_body(visitor, kept, &Sealed::of(signed)?, fault).await,
        None if draft::lacks_kit(kept) => no_kit(visitor, kept, &shop::load(bay).await?),
        None => draft_body(visitor, kept, fault).await,
    };
    let page = Page {
        title: kept.text("/glance/name"),
        beside: visitor.say(say::BESIDE),
        path: &path,
        line: Some(kept.line(visitor, Station::HandOver)),
        modules: &[],
        styles: &["tools.css", "jobs.css", "handover.css"],
    };
    let whole = html! {
        div.wide { (body) (past(visitor, kept, &path)) }
    };
    Ok(page.around(visitor, &whole))
}

/// What is missing before there can be a record, and where it is given.
fn no_kit(visitor: &Visitor, kept: &Kept, shop: &Kept) -> Markup {
    let is_ready = job_file(shop, &NewJob::of_kept(kept)).is_some();
    html! {
        p.lead { (visitor.say(say::NO_DRAFT)) }
        p { (visitor.say(if is_ready { say::KIT_MISSING } else { say::SHOP_KIT_MISSING })) }
        div.deeds {
            @if is_ready {
                a.button.main-deed href=(format!("/jobs/{}/plan", kept.id)) { (visitor.say(say::TO_KIT)) }
            } @else {
                a.button.main-deed href="/shop" { (visitor.say(say::TO_SHOP_KIT)) }
            }
            (zip_link(visitor, kept))
        }
    }
}

async fn draft_body(visitor: &Visitor, kept: &Kept, fault: Option<&str>) -> Markup {
    match draft::of(kept).await {
        Ok(handed) => html! {
            (doubt(visitor, kept, &handed))
            p.note { (visitor.say(say::DRAFT)) }
            (overview(visitor, &handed))
            (signing::form(visitor, kept, &handed, (say::SIGN, fault)))
            (details(visitor, &handed))
            div.deeds { (zip_link(visitor, kept)) }
        },
        Err(refusal) => html! {
            p.lead { (visitor.say(say::NO_DRAFT)) }
            p.fault { (visitor.text_told(&refusal.sentence)) }
            div.deeds {
                a.button href=(format!("/jobs/{}/readings", kept.id)) { (visitor.say(checks::MEND_READINGS)) }
                (zip_link(visitor, kept))
            }
        },
    }
}

/// What holds the signing back, on top.
fn doubt(visitor: &Visitor, kept: &Kept, handed: &Handed) -> Markup {
    let names = signing::impossible(visitor, handed);
    let far = signing::too_far(visitor, handed);
    html! {
        @if !names.is_empty() { p.fault role="alert" { (visitor.fill(checks::GROWN, &[&names])) } }
        @if !far.is_empty() { p.fault role="alert" { (visitor.fill(checks::TOO_FAR, &[&far.join(" ")])) } }
        @if !names.is_empty() || !far.is_empty() {
            div.deeds { a.button.quiet href=(format!("/jobs/{}/prove", kept.id)) { (visitor.say(checks::READ_AGAIN)) } }
        }
    }
}

async fn signed_body(
    visitor: &Visitor,
    kept: &Kept,
    sealed: &Sealed,
    fault: Option<&str>,
) -> Markup {
    let is_old = kept
        .document
        .pointer("/handover/version")
        .and_then(Value::as_i64)
        .is_some_and(|version| version < kept.version);
    let fresh = if is_old {
        draft::of(kept).await.ok()
    } else {
        None
    };
    html! {
        p.note { (visitor.say(if is_old { say::CHANGED } else { say::SIGNED })) }
        (overview(visitor, &sealed.handed))
        (take_along(visitor, kept))
        (details(visitor, &sealed.handed))
        (seal(visitor, sealed))
        @if let Some(fresh) = &fresh {
            (doubt(visitor, kept, fresh))
            (signing::form(visitor, kept, fresh, (say::SIGN_AGAIN, fault)))
        }
    }
}

fn take_along(visitor: &Visitor, kept: &Kept) -> Markup {
    let base = format!("/jobs/{}/handover", kept.id);
    let quiet = [
        ("care.ics", say::CALENDAR),
        ("record.json", say::FILE),
        ("label.pdf", say::LABEL_PDF),
        ("label.svg", say::LABEL_SVG),
    ];
    html! {
        section.take-along aria-label=(visitor.say(say::TAKE_ALONG)) {
            h2 { (visitor.say(say::TAKE_ALONG)) }
            div.deeds {
                a.button.main-deed href=(format!("{base}/record.pdf")) { (visitor.say(say::PAPER)) }
                a.button.quiet href=(format!("{base}/record.pdf?language={}", visitor.language.other().code())) { (visitor.say(paper_say::IN_OTHER)) }
                @for (file, name) in quiet { a.button.quiet href=(format!("{base}/{file}")) { (visitor.say(name)) } }
                a.button.quiet href=(format!("/jobs/{}/links", kept.id)) { (visitor.say(say::LINK)) }
                (zip_link(visitor, kept))
            }
        }
    }
}

fn zip_link(visitor: &Visitor, kept: &Kept) -> Markup {
    html! { a.button.quiet href=(format!("/jobs/{}/job.zip", kept.id)) { (visitor.say(say::ZIP)) } }
}

/// `POST /jobs/{job}/handover`: signs the record of the job as it stands.
pub(crate) async fn sign(
    bay: Bay,
    visitor: Visitor,
    Path(job): Path<String>,
    headers: HeaderMap,
    fields: Fields,
) -> Result<Response, Refusal> {
    let back = format!("/jobs/{job}/handover");
    if is_signed_already(&bay, &job, &fields).await {
        return Ok(Redirect::to(&back).into_response());
    }
    let kept = Kept::load(&bay, &job).await?;
    if signing::is_signed(&kept) {
        return Ok(Redirect::to(&back).into_response());
    }
    if draft::lacks_kit(&kept) {
        return Err(Refusal::input(visitor.say(say::KIT_MISSING)));
    }
    let mut handed = Handed::clone(&*draft::of(&kept).await?);
    if let Err(refusal) = signing::confirmed(&mut handed, &fields, &visitor) {
        let page = whole(&bay, &visitor, &kept, Some(&refusal.sentence)).await?;
        return Ok(refusal.at_the_form(page));
    }
    let record = serde_json::to_value(&handed).map_err(|e| Failure::Ours(e.to_string()))?;
    let signed = bay.shop.sign_record(&record).await?;
    let deed = Deed {
        job: &job,
        kind: "record-signed",
        changes: vec![
            // The signing is itself one version.
            Change::put(
                "/handover",
                json!({"signed": signed, "at_ms": now_ms(), "version": kept.version + 1}),
            ),
        ],
        back,
    };
    perform(&bay, &headers, &fields, deed).await
}

/// A double tap: the record holds the moment it was signed, so the second one
/// would be another event under the same id.
async fn is_signed_already(bay: &Bay, job: &str, fields: &Fields) -> bool {
    let Some(edit) = fields.text("edit") else {
        return false;
    };
    let known = bay.shop.event(edit).await;
    known.is_ok_and(|event| event.job == job && event.kind == "record-signed")
}

/// `GET /jobs/{job}/handover/{file}`.
pub(crate) async fn file(
    bay: Bay,
    visitor: Visitor,
    Path((job, file)): Path<(String, String)>,
    fields: Fields,
) -> Result<Response, Refusal> {
    // The owner's language may be another than the technician's.
    let language = fields.text("language").and_then(Language::from_code);
    let visitor = Visitor {
        language: language.unwrap_or(visitor.language),
        ..visitor
    };
    let state = bay.shop.state(&job).await?;
    let signed = state.document.pointer(SIGNED).cloned();
    let signed = signed.ok_or_else(|| Refusal::missing(visitor.say(say::NOT_SIGNED)))?;
    let sealed = Sealed::of(&signed)?;
    let photos = if file == "record.pdf" {
        printed(&bay, &state.document, &sealed).await
    } else {
        Vec::new()
    };
    taken_along(&visitor, (signed, sealed, photos), file).await
}

/// The photographs of the record, as small as they are kept; those that cannot
/// be had just now are listed on the paper all the same.
async fn printed(bay: &Bay, document: &Value, sealed: &Sealed) -> Vec<(String, Vec<u8>)> {
    let mut photos = Vec::new();
    for picture in sealed.handed.pictures.iter().take(MOST_PHOTOS) {
        let entry = &document["photos"][picture.file.as_str()];
        let view = entry["view"].as_str();
        let smaller = view.filter(|_| entry["picture"] == picture.sha256.as_str());
        if let Some(bytes) = kept_photo(bay, smaller.unwrap_or(&picture.sha256)).await {
            photos.push((picture.file.clone(), bytes));
        }
    }
    photos
}

async fn kept_photo(bay: &Bay, hash: &str) -> Option<Vec<u8>> {
    let (_, mut stream) = bay.shop.read_picture(hash).await.ok()?;
    let mut bytes = Vec::new();
    while let Some(piece) = stream.next().await {
        bytes.extend_from_slice(&piece.ok()?);
    }
    Some(bytes)
}

/// One of the record's files.
async fn taken_along(
    visitor: &Visitor,
    (signed, sealed, photos): (Value, Sealed, Vec<(String, Vec<u8>)>),
    file: String,
) -> Result<Response, Refusal> {
    let kind = match file.as_str() {
        "record.json" => "application/json",
        "record.pdf" | "label.pdf" => "application/pdf",
        "label.svg" => "image/svg+xml",
        "care.ics" => "text/calendar; charset=utf-8",
        _ => return Err(Refusal::missing(visitor.say(say::NO_FILE))),
    };
    let look = Look {
        units: visitor.units,
        is_letter: visitor.units == Units::Us,
        link: None,
    };
    let name = file.clone();
    let visitor = *visitor;
    let bytes = apart(move || match file.as_str() {
        "record.json" => file_of(&signed),
        "record.pdf" => {
            let car = paper::printed_car(&visitor, &sealed.handed);
            let tell = |sheet: &mut Value| paper::told(&visitor, &sealed.handed, sheet);
            sealed.paper_told(&look, &views(&photos), (&car, &tell))
        }
        "label.pdf" => sealed.label_pdf(&look),
        "label.svg" => Ok(sealed.label_svg(&look)?.into_bytes()),
        _ => Ok(sealed.calendar().into_bytes()),
    })
    .await?;
    let head = [
        (header::CONTENT_TYPE, kind.to_owned()),
        (
            header::CONTENT_DISPOSITION,
            format!("inline; filename=\"{name}\""),
        ),
    ];
    Ok((head, bytes).into_response())
}

fn views(photos: &[(String, Vec<u8>)]) -> Views {
    let mut views = Views::default();
    for (name, photo) in photos {
        views.add(name, photo);
    }
    views
}

/// The form on the list of jobs that takes a record or a zip in.
pub(crate) fn bring_in(visitor: &Visitor) -> Markup {
    html! {
        form.readings method="post" action="/jobs/bring" enctype="multipart/form-data" {
            h2 { (visitor.say(say::BRING_IN)) }
            p.note { (visitor.say(say::BRING_LEAD)) }
            label { span { (visitor.say(say::BRING_FILE)) } input type="file" name="file" accept=".json,.zip,application/json,application/zip" required; }
            button { (visitor.say(say::BRING)) }
        }
    }
}

/// A mark of what a draft is made from.
fn mark_of(parts: &[&[u8]]) -> String {
    let mut all = Vec::new();
    for part in parts {
        all.extend_from_slice(&(part.len() as u64).to_le_bytes());
        all.extend_from_slice(part);
    }
    sha256_hex(&all)
}
