//! A form with files: fields and files of a multipart body, within limits.
//!
//! Holds: also for a body without files, as `application/x-www-form-urlencoded`.
//! File names from outside are used as words in sentences, never as paths.
//! Left out: streaming; what is read here is text of a few megabytes.
//! Checked by: `tests/web_film.rs`.

use axum::extract::{FromRequest, Multipart, Request};
use axum::http::{StatusCode, header};

use super::fields::{Fields, short};
use super::refusal::Refusal;
use super::visitor::Visitor;
use super::words::frame;

/// Most parts of a body.
const MOST_PARTS: usize = 64;

/// One file.
#[derive(Clone, Debug, Default)]
pub(crate) struct UploadedFile {
    /// Its field.
    pub(crate) key: String,
    /// What the visitor calls it.
    pub(crate) name: String,
    /// What is in it.
    pub(crate) bytes: Vec<u8>,
}

/// Fields and files.
#[derive(Clone, Debug, Default)]
pub(crate) struct Upload {
    /// The fields.
    pub(crate) fields: Fields,
    files: Vec<UploadedFile>,
}

impl Upload {
    /// A file that is not empty.
    pub(crate) fn file(&self, key: &str) -> Option<&UploadedFile> {
        self.files
            .iter()
            .find(|file| file.key == key && !file.bytes.is_empty())
    }
}

/// What a body that broke off on its way is called: the fault of the line or of
/// the sender, never ours.
pub(crate) fn of_sender(status: StatusCode) -> StatusCode {
    if status.is_server_error() {
        StatusCode::BAD_REQUEST
    } else {
        status
    }
}

impl<S: Send + Sync> FromRequest<S> for Upload {
    type Rejection = Refusal;

    async fn from_request(request: Request, state: &S) -> Result<Self, Refusal> {
        let visitor = Visitor::of_request(request.headers(), request.extensions());
        let kind = request.headers().get(header::CONTENT_TYPE);
        let is_multipart = kind
            .and_then(|k| k.to_str().ok())
            .is_some_and(|k| k.starts_with("multipart/"));
        if !is_multipart {
            let fields = Fields::from_request(request, state).await?;
            return Ok(Self {
                fields,
                files: Vec::new(),
            });
        }
        let broken = |status: StatusCode| Refusal {
            wait_s: None,
            status: of_sender(status),
            sentence: visitor
                .say(if status == StatusCode::PAYLOAD_TOO_LARGE {
                    frame::TOO_LARGE
                } else {
                    frame::NOT_UNDERSTOOD
                })
                .to_owned(),
        };
        let mut parts = Multipart::from_request(request, state)
            .await
            .map_err(|e| broken(e.status()))?;
        let mut upload = Self::default();
        for _ in 0..MOST_PARTS {
            let Some(part) = parts.next_field().await.map_err(|e| broken(e.status()))? else {
                return Ok(upload);
            };
            let key = part.name().unwrap_or_default().to_owned();
            let name = part.file_name().map(short);
            let bytes = part.bytes().await.map_err(|e| broken(e.status()))?.to_vec();
            match name {
                Some(name) => upload.files.push(UploadedFile { key, name, bytes }),
                None => {
                    let text = String::from_utf8(bytes)
                        .map_err(|_| broken(StatusCode::UNPROCESSABLE_ENTITY))?;
                    upload.fields.push(key, text);
                }
            }
        }
        Err(broken(StatusCode::UNPROCESSABLE_ENTITY))
    }
}
