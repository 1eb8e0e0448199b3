//! A request that is turned down: a status and one sentence.
//!
//! The guard shows it as a page or as JSON, in the visitor's language where
//! the sentence is the page's own; sentences of the stations come in English.
//! Checked by: `tests/web_pages.rs`.

use std::time::Duration;

use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use lapwing_store::StoreError;
use maud::{Markup, html};

use super::visitor::Visitor;
use super::words::accounts as say;
use crate::failure::Failure;

/// Why a request is turned down.
#[derive(Clone, Debug)]
pub(crate) struct Refusal {
    /// What the protocol calls it.
    pub(crate) status: StatusCode,
    /// What a person reads.
    pub(crate) sentence: String,
    /// When trying again may help, in seconds.
    pub(crate) wait_s: Option<u64>,
}

/// A database that is away is asked for again after so many seconds.
const AWAY_S: u64 = 5;

impl Refusal {
    /// A field or a file cannot be used.
    pub(crate) fn input(sentence: impl Into<String>) -> Self {
        Self {
            status: StatusCode::UNPROCESSABLE_ENTITY,
            sentence: sentence.into(),
            wait_s: None,
        }
    }

    /// Someone knocks too often.
    pub(crate) fn too_often(visitor: &Visitor, wait: Duration) -> Self {
        let seconds = (wait.as_secs_f64().ceil() as u64).max(1);
        Self {
            status: StatusCode::TOO_MANY_REQUESTS,
            sentence: visitor.fill(say::TOO_OFTEN, &[&seconds.to_string()]),
            wait_s: Some(seconds),
        }
    }

    /// Nothing is there.
    pub(crate) fn missing(sentence: impl Into<String>) -> Self {
        Self {
            status: StatusCode::NOT_FOUND,
            sentence: sentence.into(),
            wait_s: None,
        }
    }
}

impl From<Failure> for Refusal {
    fn from(failure: Failure) -> Self {
        let status = match &failure {
            Failure::Input(_) => StatusCode::UNPROCESSABLE_ENTITY,
            Failure::Ours(_) | Failure::Stopped => StatusCode::INTERNAL_SERVER_ERROR,
        };
        Self {
            status,
            sentence: failure.to_string(),
            wait_s: None,
        }
    }
}

/// Marks an answer that says itself what is wrong, at the form that was sent.
#[derive(Clone, Copy, Debug)]
pub(crate) struct InPlace;

impl Refusal {
    /// The refusal on the page that the form came from, with all that was typed.
    pub(crate) fn at_the_form(self, page: Markup) -> Response {
        let mut response = (self.status, page).into_response();
        response.extensions_mut().insert(InPlace);
        response.extensions_mut().insert(self);
        response
    }
}

/// What is wrong with a form, in front of its fields: the page opens there.
pub(crate) fn at_form(sentence: &str) -> Markup {
    html! { p.fault role="alert" tabindex="-1" autofocus { (sentence) } }
}

impl IntoResponse for Refusal {
    fn into_response(self) -> Response {
        let mut response = self.status.into_response();
        if let Some(seconds) = self.wait_s {
            let headers = response.headers_mut();
            headers.insert(header::RETRY_AFTER, HeaderValue::from(seconds));
        }
        response.extensions_mut().insert(self);
        response
    }
}

impl From<StoreError> for Refusal {
    fn from(error: StoreError) -> Self {
        let status = match &error {
            StoreError::Away { .. } => StatusCode::SERVICE_UNAVAILABLE,
            StoreError::Full { .. } => StatusCode::INSUFFICIENT_STORAGE,
            StoreError::NotThere { .. } => StatusCode::NOT_FOUND,
            StoreError::Refused(_) => StatusCode::UNPROCESSABLE_ENTITY,
            StoreError::Damaged { .. } | StoreError::Fault(_) => StatusCode::INTERNAL_SERVER_ERROR,
        };
        Self {
            status,
            sentence: error.to_string(),
            wait_s: error.may_pass().then_some(AWAY_S),
        }
    }
}
