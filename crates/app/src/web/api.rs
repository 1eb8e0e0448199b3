//! What the JSON doors share: text in, one document out.
//!
//! Checked by: the tests of the pages that compare both doors.

use axum::extract::rejection::StringRejection;
use axum::http::header;
use axum::response::{IntoResponse, Response};
use serde_json::Value;

use super::refusal::Refusal;
use crate::failure::Failure;

/// The text of a body, or a sentence.
pub(crate) fn text(body: Result<String, StringRejection>) -> Result<String, Refusal> {
    body.map_err(|rejected| Refusal {
        wait_s: None,
        status: rejected.status(),
        sentence: format!("The text is not UTF-8, or too long ({rejected})."),
    })
}

/// One document, set out as the command line prints it.
pub(crate) fn answer(document: &Value) -> Result<Response, Refusal> {
    let text = serde_json::to_string_pretty(document).map_err(|e| Failure::Ours(e.to_string()))?;
    Ok(as_json(text + "\n"))
}

/// Text that is JSON already.
pub(crate) fn as_json(text: String) -> Response {
    ([(header::CONTENT_TYPE, "application/json")], text).into_response()
}
