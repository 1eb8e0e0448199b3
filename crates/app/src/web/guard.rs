//! What stands between the network and every page: headers, limits, origins.
//!
//! Source: W3C Content Security Policy level 3 (no inline script or style);
//! OWASP HTTP Headers Cheat Sheet.
//! Holds: for every answer, also of routes that do not exist and of panics.
//! Left out: who may do what; the gate of each line of the table knows.
//! Checked by: `tests/web_guard.rs`, `tests/web_network.rs`.

use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use axum::extract::{DefaultBodyLimit, Request, State};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode, header};
use axum::middleware::{self, Next};
use axum::response::{IntoResponse, Redirect, Response};
use tower_http::CompressionLevel;
use tower_http::catch_panic::CatchPanicLayer;
use tower_http::compression::CompressionLayer;
use tower_http::limit::RequestBodyLimitLayer;

use super::house::House;
use super::log::{self, Lines, Template};
use super::network::Way;
use super::network::approach::Approach;
use super::page;
use super::rates::Knock;
use super::refusal::{InPlace, Refusal};
use super::visitor::{Seat, Visitor};
use super::words::{frame, network};

/// Largest body of any request, bytes: a table of readings and a job.
const MOST_BODY: usize = 24 << 20;
/// Longest time for one request, body and answer.
const MOST_TIME: Duration = Duration::from_secs(60);

/// The same for a photo from a phone at the far end of the yard.
const PHOTO_TIME: Duration = Duration::from_secs(600);

const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; font-src 'self'; connect-src 'self'; manifest-src 'self'; worker-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'";

const HEADERS: [(HeaderName, &str); 6] = [
    (header::CONTENT_SECURITY_POLICY, POLICY),
    (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
    (header::X_FRAME_OPTIONS, "DENY"),
    (header::REFERRER_POLICY, "same-origin"),
    (
        HeaderName::from_static("cross-origin-opener-policy"),
        "same-origin",
    ),
    (
        HeaderName::from_static("cross-origin-resource-policy"),
        "same-origin",
    ),
];

/// Puts the guard around the pages.
pub(crate) fn around(pages: Router, house: &Arc<House>, lines: Lines) -> Router {
    pages
        .layer(DefaultBodyLimit::max(MOST_BODY))
        .layer(RequestBodyLimitLayer::new(MOST_BODY))
        .layer(middleware::from_fn(in_time))
        .layer(middleware::from_fn_with_state(
            Arc::clone(house),
            approached,
        ))
        .layer(CatchPanicLayer::new())
        .layer(middleware::from_fn_with_state(Arc::clone(house), spoken))
        .layer(CompressionLayer::new().quality(CompressionLevel::Fastest))
        .layer(middleware::from_fn(headed))
        .layer(middleware::from_fn_with_state(lines, log::written))
}

/// Sets the headers every answer carries.
async fn headed(request: Request, next: Next) -> Response {
    let mut response = next.run(request).await;
    let headers = response.headers_mut();
    for (name, value) in HEADERS {
        headers.insert(name, HeaderValue::from_static(value));
    }
    if !headers.contains_key(header::CACHE_CONTROL) {
        headers.insert(header::CACHE_CONTROL, HeaderValue::from_static("no-store"));
    }
    response
}

/// Ends a request that takes too long.
async fn in_time(request: Request, next: Next) -> Result<Response, StatusCode> {
    let most = if request.uri().path().ends_with("/photos") {
        PHOTO_TIME
    } else {
        MOST_TIME
    };
    let answer = tokio::time::timeout(most, next.run(request)).await;
    answer.map_err(|_| StatusCode::REQUEST_TIMEOUT)
}

/// Gives every refusal its sentence, as JSON or as a page.
async fn spoken(State(house): State<Arc<House>>, request: Request, next: Next) -> Response {
    let mut visitor = Visitor::of(request.headers());
    let wants_json = wants_json(request.uri().path(), request.headers());
    let response = next.run(request).await;
    let status = response.status();
    if !(status.is_client_error() || status.is_server_error()) {
        return response;
    }
    if !wants_json && response.extensions().get::<InPlace>().is_some() {
        return response;
    }
    match response.extensions().get::<Visitor>() {
        Some(seated) => visitor = *seated,
        // A page that is not there has no gate that would have looked.
        None if !house.has_people().await.unwrap_or(true) && !house.reach.is_network() => {
            visitor.seat = Seat::Alone;
        }
        None => {}
    }
    let sentence = match response.extensions().get::<Refusal>() {
        Some(refusal) => visitor.retold_or(&refusal.sentence),
        None => visitor.say(plain(status)).to_owned(),
    };
    let kept: Vec<_> = [header::ALLOW, header::RETRY_AFTER, header::SET_COOKIE]
        .into_iter()
        .filter_map(|name| Some((name.clone(), response.headers().get(name)?.clone())))
        .collect();
    let template = response.extensions().get::<Template>().copied();
    let mut spoken = if wants_json {
        let document = serde_json::json!({ "error": sentence });
        (
            status,
            [(header::CONTENT_TYPE, "application/json")],
            document.to_string(),
        )
            .into_response()
    } else {
        let is_signed_out = status == StatusCode::UNAUTHORIZED;
        (status, page::refused(&visitor, &sentence, is_signed_out)).into_response()
    };
    spoken.headers_mut().extend(kept);
    if let Some(template) = template {
        spoken.extensions_mut().insert(template);
    }
    spoken
}

fn wants_json(path: &str, headers: &HeaderMap) -> bool {
    path.starts_with("/api/")
        || headers
            .get(header::ACCEPT)
            .and_then(|v| v.to_str().ok())
            .is_some_and(|v| v.starts_with("application/json"))
}

fn plain(status: StatusCode) -> super::words::Message {
    match status {
        StatusCode::NOT_FOUND => frame::NO_SUCH_PAGE,
        StatusCode::METHOD_NOT_ALLOWED => frame::WRONG_METHOD,
        StatusCode::PAYLOAD_TOO_LARGE => frame::TOO_LARGE,
        StatusCode::REQUEST_TIMEOUT => frame::TOO_SLOW,
        status if status.is_client_error() => frame::NOT_UNDERSTOOD,
        _ => frame::OUR_FAULT,
    }
}

/// Turns down who knocks too often and what another page sends through the
/// visitor's browser: a foreign host name, and a change that another site
/// asks for. Plain HTTP at a door that speaks TLS is shown the way.
async fn approached(
    State(house): State<Arc<House>>,
    mut request: Request,
    next: Next,
) -> Result<Response, Refusal> {
    let approach = Approach::new(&request, &house.reach);
    if !house.reach.answers_to(&approach.host) {
        return Err(wrong_host(&house, &approach));
    }
    if house.reach.is_network() {
        let knock = house.rates.from(Knock::Any, approach.from);
        knock.map_err(|wait| Refusal::too_often(&Visitor::of(request.headers()), wait))?;
    }
    if approach.is_past_proxy {
        return Err(Refusal {
            wait_s: None,
            status: StatusCode::FORBIDDEN,
            sentence: Visitor::of(request.headers())
                .say(network::PAST_PROXY)
                .to_owned(),
        });
    }
    if approach.is_stray && !super::trust::is_for_strays(request.uri().path()) {
        return shown_the_way(&request, &approach);
    }
    if is_foreign(&request, &approach, house.reach.way == Way::BehindProxy) {
        return Err(Refusal {
            wait_s: None,
            status: StatusCode::FORBIDDEN,
            sentence:
                "This change was asked for by another site. Open the page here and try again."
                    .to_owned(),
        });
    }
    request.extensions_mut().insert(approach);
    Ok(next.run(request).await)
}

fn wrong_host(house: &House, approach: &Approach) -> Refusal {
    let host = approach.host.chars().take(80).collect::<String>();
    let allowed = if house.reach.is_network() {
        "allowed are the machine's addresses and the names given with --name."
    } else {
        "without accounts only this machine is answered, as 127.0.0.1 or localhost."
    };
    Refusal {
        wait_s: None,
        status: StatusCode::MISDIRECTED_REQUEST,
        sentence: format!("The address names the host \"{host}\"; {allowed}"),
    }
}

/// Nothing is taken in the clear where TLS is spoken: pages lead to their
/// secure address, anything else is refused.
fn shown_the_way(request: &Request, approach: &Approach) -> Result<Response, Refusal> {
    if !matches!(*request.method(), Method::GET | Method::HEAD) {
        return Err(Refusal {
            wait_s: None,
            status: StatusCode::FORBIDDEN,
            sentence:
                "Nothing is taken without encryption here. Use the address that begins with https."
                    .to_owned(),
        });
    }
    let path = request.uri().path_and_query().map_or("/", |p| p.as_str());
    let secure = format!("https://{}{path}", approach.host);
    Ok(Redirect::permanent(&secure).into_response())
}

/// Whether a change is asked for by another site's page.
fn is_foreign(request: &Request, approach: &Approach, is_behind_proxy: bool) -> bool {
    if matches!(*request.method(), Method::GET | Method::HEAD) {
        return false;
    }
    match text(request.headers(), &header::ORIGIN) {
        // A proxy may not tell which scheme it was called with.
        Some(origin) if is_behind_proxy => {
            origin.split_once("://").map(|(_, from)| from) != Some(&approach.host)
        }
        Some(origin) => origin != approach.base(),
        None => text(
            request.headers(),
            &HeaderName::from_static("sec-fetch-site"),
        )
        .is_some_and(|site| site != "same-origin" && site != "none"),
    }
}

fn text<'a>(headers: &'a HeaderMap, name: &HeaderName) -> Option<&'a str> {
    headers.get(name).and_then(|v| v.to_str().ok())
}
