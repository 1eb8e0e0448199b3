//! `GET /jobs/{job}/events`: tells every open page of a change within a second.
//!
//! Source: WHATWG HTML, section 9.2, server-sent events; the id of an event
//! is the job's version, so a page that comes back goes on where it was.
//! Left out: what changed; the page asks for itself anew.
//! Checked by: `tests/web_jobs.rs` and two browsers in `tests/web_queue.rs`.

use std::convert::Infallible;
use std::sync::Arc;
use std::time::Duration;

use axum::extract::{Path, State};
use axum::http::HeaderMap;
use axum::response::Sse;
use axum::response::sse::{Event as Told, KeepAlive};
use futures_util::Stream;
use futures_util::stream::unfold;

use super::super::Bay;
use super::super::fields::Fields;
use super::super::refusal::Refusal;

/// Follows a job from the version the page has: the last it heard, or the one
/// it was made from (`?after=`).
pub(crate) async fn follow(
    State(bay): State<Arc<Bay>>,
    Path(job): Path<String>,
    headers: HeaderMap,
    fields: Fields,
) -> Result<Sse<impl Stream<Item = Result<Told, Infallible>>>, Refusal> {
    let now = bay.shop.state(&job).await?.version;
    let heard = headers.get("last-event-id").and_then(|v| v.to_str().ok());
    let last = heard
        .or_else(|| fields.text("after"))
        .and_then(|v| v.parse().ok());
    let watch = bay.shop.watch(&job, last.unwrap_or(now));
    let stopping = bay.stopping.clone();
    let stream = unfold((watch, stopping), |(mut watch, mut stopping)| async move {
        let events = tokio::select! {
            events = watch.next() => events.ok()?,
            _ = stopping.changed() => return None,
        };
        let version = events.last()?.version.to_string();
        let told = Told::default()
            .event("changed")
            .id(version.clone())
            .data(version);
        Some((Ok(told), (watch, stopping)))
    });
    let alive = KeepAlive::new().interval(Duration::from_secs(15));
    Ok(Sse::new(stream).keep_alive(alive))
}
