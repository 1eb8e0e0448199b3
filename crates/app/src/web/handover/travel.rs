//! A job on its way: out as a zip, in from a zip or from the record of an
//! earlier visit.
//!
//! Holds: uploads go to a file without a name, piece by piece; what the store
//! thinks of a zip with tricks is said in its own sentence.
//! Left out: uploads over the pages' limit; `lapwing import` takes those.
//! Checked by: `tests/web_handover.rs`.

use std::fs::File;
use std::io::{Read as _, Seek as _, SeekFrom, Write as _};

use axum::body::Body;
use axum::extract::{Multipart, Path};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use lapwing_job::handover::record::Handed;
use lapwing_report::pictures::outline;
use lapwing_store::{ArchiveLimits, Author, Change, MOST_RECORD_BYTES, new_id};
use serde_json::json;

use super::super::fields::Fields;
use super::super::jobs::{Deed, perform};
use super::super::refusal::Refusal;
use super::super::upload::of_sender;
use super::super::visitor::Visitor;
use super::super::words::{frame, handover as say};
use super::super::{Bay, apart};
use crate::commands::next_visit::{introduce, job_of_record};
use crate::commands::record_file::judge;
use crate::failure::Failure;

/// How much of a zip is read at a time.
const PIECE: usize = 64 << 10;

/// `GET /jobs/{job}/job.zip`.
pub(crate) async fn export(bay: Bay, Path(job): Path<String>) -> Result<Response, Refusal> {
    let zip = bay.shop.export_job(&job).await?;
    let length = zip.size_bytes;
    let pieces = futures_util::stream::unfold(Some(zip.file), |file| async move {
        let mut file = file?;
        let read = tokio::task::spawn_blocking(move || {
            let mut piece = vec![0; PIECE];
            let came = file.read(&mut piece).map(|count| {
                piece.truncate(count);
                piece
            });
            (came, file)
        })
        .await;
        match read {
            Ok((Ok(piece), _)) if piece.is_empty() => None,
            Ok((came, file)) => Some((came, Some(file))),
            Err(why) => Some((Err(std::io::Error::other(why)), None)),
        }
    });
    let head = [
        (header::CONTENT_TYPE, "application/zip".to_owned()),
        (header::CONTENT_LENGTH, length.to_string()),
        (
            header::CONTENT_DISPOSITION,
            "attachment; filename=\"job.zip\"".to_owned(),
        ),
    ];
    Ok((head, Body::from_stream(pieces)).into_response())
}

/// `POST /jobs/bring`: a record or a zip becomes a job.
pub(crate) async fn bring(
    bay: Bay,
    visitor: Visitor,
    headers: HeaderMap,
    upload: Multipart,
) -> Result<Response, Refusal> {
    let (mut file, length) = received(&visitor, upload).await?;
    let mut first = [0; 4];
    let is_zip = file.read(&mut first).is_ok_and(|n| n == 4) && first.starts_with(b"PK");
    rewind(&mut file)?;
    if is_zip {
        let author = Author {
            who: bay.caller.who.clone(),
            device: "upload".to_owned(),
        };
        let taken = bay
            .shop
            .import_job(file, &author, ArchiveLimits::default())
            .await?;
        introduce(&bay.shop, &taken.job, &author).await?;
        return Ok(Redirect::to(&format!("/jobs/{}", taken.job)).into_response());
    }
    if length > MOST_RECORD_BYTES as u64 {
        return Err(too_large(&visitor));
    }
    let (text, handed, key) = apart(move || understood(file)).await?;
    opened(&bay, &headers, (text, &handed, &key)).await
}

/// The upload's file, in a place without a name.
async fn received(visitor: &Visitor, mut upload: Multipart) -> Result<(File, u64), Refusal> {
    let broken = |status: StatusCode| match status {
        StatusCode::PAYLOAD_TOO_LARGE => too_large(visitor),
        _ => Refusal {
            wait_s: None,
            status: of_sender(status),
            sentence: visitor.say(frame::NOT_UNDERSTOOD).to_owned(),
        },
    };
    while let Some(mut part) = upload.next_field().await.map_err(|e| broken(e.status()))? {
        if part.name() != Some("file") {
            continue;
        }
        let mut file = tempfile::tempfile().map_err(ours)?;
        let mut length = 0;
        while let Some(piece) = part.chunk().await.map_err(|e| broken(e.status()))? {
            file.write_all(&piece).map_err(ours)?;
            length += piece.len() as u64;
        }
        rewind(&mut file)?;
        if length > 0 {
            return Ok((file, length));
        }
    }
    Err(Refusal::input(visitor.say(say::NO_UPLOAD)))
}

fn too_large(visitor: &Visitor) -> Refusal {
    Refusal {
        wait_s: None,
        status: StatusCode::PAYLOAD_TOO_LARGE,
        sentence: visitor.say(frame::TOO_LARGE).to_owned(),
    }
}

fn rewind(file: &mut File) -> Result<(), Refusal> {
    file.seek(SeekFrom::Start(0)).map(|_| ()).map_err(ours)
}

fn ours(why: std::io::Error) -> Refusal {
    if why.kind() == std::io::ErrorKind::StorageFull {
        return lapwing_store::StoreError::Full { place: "disk" }.into();
    }
    Failure::Ours(why.to_string()).into()
}

/// A record that is genuine, as its text, its content and its key.
fn understood(mut file: File) -> Result<(String, Handed, String), Failure> {
    let mut bytes = Vec::new();
    file.read_to_end(&mut bytes)
        .map_err(|e| Failure::Ours(e.to_string()))?;
    let genuine = judge(&bytes, None).map_err(Failure::Input)?;
    let handed: Handed = serde_json::from_value(genuine.record).map_err(|e| {
        Failure::Input(format!(
            "The signature is good, but it is no record of a visit ({e})."
        ))
    })?;
    let text = String::from_utf8(bytes).map_err(|e| Failure::Input(e.to_string()))?;
    Ok((text, handed, genuine.key))
}

/// Opens the next visit.
async fn opened(
    bay: &Bay,
    headers: &HeaderMap,
    (text, handed, key): (String, &Handed, &str),
) -> Result<Response, Refusal> {
    let class = lapwing_job::record::job::BodyClass::WORDS
        .iter()
        .find(|(word, _)| *word == handed.car.class)
        .map(|(_, class)| outline(*class).name());
    let job = format!("j-{}", new_id());
    let glance = json!({ "name": handed.job, "car": handed.car.description, "stage": "intake" });
    let changes = vec![
        Change::put("/glance", glance),
        Change::put("/class", class.unwrap_or("estate")),
        Change::put("/folder/job.toml", job_of_record(handed, key)),
        Change::put("/folder/record.json", text),
    ];
    let deed = Deed {
        job: &job,
        kind: "job-opened",
        changes,
        back: format!("/jobs/{job}"),
    };
    let mut fields = Fields::default();
    fields.push("saw".to_owned(), "0".to_owned());
    perform(bay, headers, &fields, deed).await
}
