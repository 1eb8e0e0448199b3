//! Photographs of a job: taken in from the phone piece by piece, shown, taken
//! out again.
//!
//! The store checks every byte as it comes, strips place and camera, and names
//! a photo by its content. A smaller view is made by the phone itself and sent
//! along, so that the server decodes nothing. Taking a photo out removes it
//! from the document; its history keeps it for an undo.
//! Left out: rotating, drawing on photos.
//! Checked by: `tests/web_photos.rs`, in the browser and with bad uploads.

use std::time::Duration;

use axum::body::Body;
use axum::extract::Path;
use axum::extract::multipart::{Field, Multipart};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Response};
use lapwing_report::figure::panel_ids;
use lapwing_store::{Change, Limits, Picture, StoreError};
use maud::{Markup, html};
use serde_json::{Value, json};

use super::super::Bay;
use super::super::fields::Fields;
use super::super::page::edit_fields;
use super::super::refusal::Refusal;
use super::super::upload::of_sender;
use super::super::visitor::Visitor;
use super::super::words::{Message, frame, jobs, proof as say, queue};
use super::intake::{KINDS, panel_choice, pointer};
use super::{Deed, Kept, already, edit_id, perform};

/// Both sides of a job.
pub(crate) const SIDES: [(&str, Message); 2] = [("before", say::BEFORE), ("after", say::AFTER)];

/// A photo as a camera makes it.
const PHOTO: Limits = Limits {
    most_bytes: 20 << 20,
    most_side_px: 12_000,
    most_pixels: 64_000_000,
};
/// The smaller view.
const VIEW: Limits = Limits {
    most_bytes: 1 << 20,
    most_side_px: 1600,
    most_pixels: 2_000_000,
};
/// A phone that is silent for so long has gone.
const SILENCE: Duration = Duration::from_secs(30);
/// Longest text field.
const MOST_TEXT: usize = 2000;

/// `POST /jobs/{job}/photos`: takes one in, or takes one out.
pub(crate) async fn post(
    bay: Bay,
    visitor: Visitor,
    Path(job): Path<String>,
    headers: HeaderMap,
    mut parts: Multipart,
) -> Result<Response, Refusal> {
    let kept = Kept::load(&bay, &job).await?;
    let mut came = Came::default();
    while let Some(part) = came.next(&mut parts, &visitor).await? {
        match part.name().unwrap_or_default() {
            "photo" => came.photo = taken_in(&bay, part, PHOTO, &visitor).await?,
            "view" => came.view = taken_in(&bay, part, VIEW, &visitor).await?,
            _ => came.text(part, &visitor).await?,
        }
    }
    let fields = &came.fields;
    let page = fields.word(
        ("page", jobs::NEXT),
        &[("prove", "/prove"), ("intake", "")],
        "",
        &visitor,
    )?;
    let back = format!("/jobs/{job}{page}");
    let (kind, is_same) = match fields.text("remove") {
        Some(_) => ("photo-removed", true),
        None => ("photo-kept", is_same_photo(&bay, &came).await),
    };
    if is_same && let Some(again) = already(&bay, &headers, fields, (&job, kind, &back)).await {
        return Ok(again);
    }
    let changes = match fields.text("remove") {
        Some(name) => removal(&kept, name, &visitor)?,
        None => vec![addition(&kept, &came, &visitor)?],
    };
    let deed = Deed {
        job: &job,
        kind,
        changes,
        back,
    };
    perform(&bay, &headers, fields, deed).await
}

/// Whether the very photo that came was kept under the form's id before; the
/// id alone may come from a form that the back button brought up again.
async fn is_same_photo(bay: &Bay, came: &Came) -> bool {
    let Some(edit) = came.fields.text("edit") else {
        return false;
    };
    let Ok(event) = bay.shop.event(edit).await else {
        return false;
    };
    let hash = came.photo.as_ref().map(|p| p.hash.as_str());
    let is_it = |change: &Change| match change {
        Change::Put { value, .. } => value["picture"].as_str() == hash,
        Change::Remove { .. } => false,
    };
    hash.is_some() && event.changes.iter().any(is_it)
}

/// What a body brought.
#[derive(Default)]
struct Came {
    fields: Fields,
    photo: Option<Picture>,
    view: Option<Picture>,
}

impl Came {
    async fn next<'a>(
        &self,
        parts: &'a mut Multipart,
        visitor: &Visitor,
    ) -> Result<Option<Field<'a>>, Refusal> {
        let part = tokio::time::timeout(SILENCE, parts.next_field()).await;
        part.map_err(|_| stalled(visitor))?
            .map_err(|e| broken(visitor, e.status()))
    }

    async fn text(&mut self, mut part: Field<'_>, visitor: &Visitor) -> Result<(), Refusal> {
        let key = part.name().unwrap_or_default().chars().take(40).collect();
        let mut bytes = Vec::new();
        while let Some(piece) = piece_of(&mut part, visitor).await? {
            bytes.extend_from_slice(&piece);
            if bytes.len() > MOST_TEXT {
                return Err(broken(visitor, StatusCode::UNPROCESSABLE_ENTITY));
            }
        }
        let text = String::from_utf8(bytes)
            .map_err(|_| broken(visitor, StatusCode::UNPROCESSABLE_ENTITY))?;
        self.fields.push(key, text);
        Ok(())
    }
}

async fn piece_of(
    part: &mut Field<'_>,
    visitor: &Visitor,
) -> Result<Option<axum::body::Bytes>, Refusal> {
    let piece = tokio::time::timeout(SILENCE, part.chunk()).await;
    piece
        .map_err(|_| stalled(visitor))?
        .map_err(|e| broken(visitor, e.status()))
}

fn stalled(visitor: &Visitor) -> Refusal {
    Refusal {
        wait_s: None,
        status: StatusCode::REQUEST_TIMEOUT,
        sentence: visitor.say(say::STALLED).to_owned(),
    }
}

fn broken(visitor: &Visitor, status: StatusCode) -> Refusal {
    let sentence = match status {
        StatusCode::PAYLOAD_TOO_LARGE => too_big(visitor),
        _ => visitor.say(frame::NOT_UNDERSTOOD).to_owned(),
    };
    Refusal {
        wait_s: None,
        status: of_sender(status),
        sentence,
    }
}

fn too_big(visitor: &Visitor) -> String {
    visitor.fill(say::TOO_BIG, &[&(PHOTO.most_bytes >> 20).to_string()])
}

/// Hands a file to the store piece by piece; an empty field is no file.
async fn taken_in(
    bay: &Bay,
    mut part: Field<'_>,
    limits: Limits,
    visitor: &Visitor,
) -> Result<Option<Picture>, Refusal> {
    let mut upload = bay.shop.start_picture(limits)?;
    let mut is_first = true;
    while let Some(piece) = piece_of(&mut part, visitor).await? {
        if piece.is_empty() {
            continue;
        }
        if is_first && is_heic(&piece) {
            return Err(Refusal::input(visitor.say(say::HEIC)));
        }
        is_first = false;
        upload.write(&piece).await.map_err(|e| worded(visitor, e))?;
    }
    if is_first {
        return Ok(None);
    }
    let picture = upload.finish().await.map_err(|e| worded(visitor, e))?;
    Ok(Some(picture))
}

/// The box that opens a HEIF file; ISO/IEC 23008-12 names its brands.
fn is_heic(head: &[u8]) -> bool {
    head.get(4..8) == Some(b"ftyp".as_slice())
        && head.get(8..12).is_some_and(|brand| {
            [b"heic", b"heix", b"hevc", b"mif1", b"msf1", b"heim"]
                .contains(&<&[u8; 4]>::try_from(brand).unwrap_or(b"    "))
        })
}

fn worded(visitor: &Visitor, error: StoreError) -> Refusal {
    match error {
        StoreError::Refused(why) => Refusal::input(visitor.fill(say::REFUSED, &[&why])),
        other => other.into(),
    }
}

fn addition(kept: &Kept, came: &Came, visitor: &Visitor) -> Result<Change, Refusal> {
    let fields = &came.fields;
    let photo = came
        .photo
        .as_ref()
        .ok_or_else(|| Refusal::input(visitor.say(say::NO_FILE)))?;
    let mark = fields.text("mark").filter(|m| {
        kept.document
            .pointer(&format!("/defects/{}", pointer(m)))
            .is_some()
    });
    let of_mark = mark.and_then(|m| kept.document["defects"][m]["panel"].as_str());
    let chosen = of_mark.or(fields.text("panel")).unwrap_or_default();
    let known = panel_ids(kept.class());
    let panel = known.iter().find(|id| *id == chosen).ok_or_else(|| {
        let short = super::super::fields::short(chosen);
        Refusal::input(visitor.fill(jobs::NO_PANEL, &[&short]))
    })?;
    let sides = SIDES.map(|(w, _)| (w, w));
    let side = fields.word(("side", say::SIDE), &sides, "before", visitor)?;
    let ending = photo
        .media
        .rsplit('/')
        .next()
        .unwrap_or("jpeg")
        .replace("jpeg", "jpg");
    let mark_of_edit: String = edit_id(fields)
        .chars()
        .filter(char::is_ascii_alphanumeric)
        .take(12)
        .collect();
    let name = format!("{panel}-{side}-{mark_of_edit}.{ending}");
    let entry = json!({
        "picture": photo.hash, "panel": panel, "side": side, "mark": mark,
        "view": came.view.as_ref().map(|v| v.hash.clone()),
        "width_px": photo.width_px, "height_px": photo.height_px, "taken": photo.taken,
    });
    Ok(Change::put(format!("/photos/{}", pointer(&name)), entry))
}

fn removal(kept: &Kept, name: &str, visitor: &Visitor) -> Result<Vec<Change>, Refusal> {
    let place = format!("/photos/{}", pointer(name));
    if kept.document.pointer(&place).is_none() {
        return Err(Refusal::missing(visitor.say(say::GONE)));
    }
    Ok(vec![Change::remove(place)])
}

/// `GET /photos/{hash}`: a photo, piece by piece.
pub(crate) async fn show(bay: Bay, Path(hash): Path<String>) -> Result<Response, Refusal> {
    let (picture, stream) = bay.shop.read_picture(&hash).await?;
    let head = [
        (header::CONTENT_TYPE, picture.media),
        (header::CONTENT_LENGTH, picture.size_bytes.to_string()),
        (
            header::CACHE_CONTROL,
            "private, max-age=31536000, immutable".to_owned(),
        ),
    ];
    Ok((head, Body::from_stream(stream)).into_response())
}

/// Where a photo's smaller view is; the photo itself where there is none.
pub(crate) fn address(entry: &Value) -> String {
    let hash = entry["view"].as_str().or(entry["picture"].as_str());
    format!("/photos/{}", hash.unwrap_or_default())
}

/// What is on a photo, in words.
pub(crate) fn caption(visitor: &Visitor, entry: &Value) -> String {
    let side = SIDES.iter().find(|(w, _)| entry["side"] == *w);
    let panel = visitor.panel(entry["panel"].as_str().unwrap_or_default());
    visitor.fill(
        say::SHOWS,
        &[&panel, side.map_or("", |(_, name)| visitor.say(*name))],
    )
}

/// The photos of a job and the form for one more.
pub(crate) fn section(visitor: &Visitor, kept: &Kept, page: &str, side: &str) -> Markup {
    let action = format!("/jobs/{}/photos", kept.id);
    html! {
        section.photos aria-label=(visitor.say(say::PHOTOS)) {
            h2 { (visitor.say(say::PHOTOS)) }
            ul #photos data-live {
                @for (name, entry) in kept.entries("/photos") {
                    li { figure {
                        a href=(format!("/photos/{}", entry["picture"].as_str().unwrap_or_default())) aria-label=(caption(visitor, entry)) {
                            img src=(address(entry)) alt=(caption(visitor, entry)) loading="lazy" width="320" height="240"; }
                        figcaption { (caption(visitor, entry))
                            @if let Some(taken) = entry["taken"].as_str() { small { " " (visitor.fill(say::TAKEN, &[taken])) } } } }
                        form method="post" action=(action) enctype="multipart/form-data" {
                            (edit_fields(kept.version))
                            input type="hidden" name="page" value=(page);
                            input type="hidden" name="remove" value=(name);
                            button.quiet.small { (visitor.say(say::REMOVE)) }
                        } }
                }
            }
            ul.unsent aria-label=(visitor.say(queue::UNSENT)) data-words=(visitor.say(queue::UNSENT)) {}
            (form(visitor, kept, (page, side), &action))
        }
    }
}

/// The marks that a photo may show.
fn marks(visitor: &Visitor, kept: &Kept) -> Markup {
    let kind = |mark: &Value| {
        let found = KINDS.iter().find(|(word, _)| mark["kind"] == *word);
        found.map_or("", |(_, name)| visitor.say(*name))
    };
    html! {
        select name="mark" { option value="" { (visitor.say(say::NO_MARK)) }
            @for (id, mark) in kept.entries("/defects") {
                option value=(id) { (visitor.panel(mark["panel"].as_str().unwrap_or_default())) ", " (kind(mark)) }
            }
        }
    }
}

fn form(visitor: &Visitor, kept: &Kept, (page, side): (&str, &str), action: &str) -> Markup {
    let most = (PHOTO.most_bytes >> 20).to_string();
    html! {
        form.mark-form.photo-form method="post" action=(action) enctype="multipart/form-data"
            data-most=(PHOTO.most_bytes) data-too-big=(visitor.fill(say::TOO_BIG, &[&most]))
            data-not-sent=(visitor.say(say::NOT_SENT)) data-no-room=(visitor.say(queue::NO_ROOM)) data-room=(visitor.say(queue::ROOM)) {
            (edit_fields(kept.version))
            input type="hidden" name="page" value=(page);
            (panel_choice(visitor, kept))
            div.pair {
                @if page == "intake" { label #photo-mark data-live { span { (visitor.say(say::OF_MARK)) } (marks(visitor, kept)) } }
                (super::super::entry::choice(visitor, ("side", say::SIDE), &SIDES, side))
            }
            label { span { (visitor.say(say::CHOOSE)) }
                input type="file" name="photo" accept="image/jpeg,image/png,image/webp" required; }
            p.note { (visitor.say(say::STRIPPED)) }
            p.fault.said role="alert" hidden {}
            button { (visitor.say(say::SEND)) }
        }
    }
}
