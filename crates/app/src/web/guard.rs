//! What stands between the network and every page: headers, limits, origins.
//!
//! Source: W3C Content Security Policy level 3 (no inline script or style);
//! OWASP HTTP Headers Cheat Sheet.
//! Holds: for every answer, also of routes that do not exist and of panics.
//! Left out: accounts and rate limits, which come with the network.
//! Checked by: `tests/web_guard.rs`.

use std::time::Duration;

use axum::Router;
use axum::extract::{DefaultBodyLimit, Request};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode, header};
use axum::middleware::{self, Next};
use axum::response::{IntoResponse, Response};
use tower_http::CompressionLevel;
use tower_http::catch_panic::CatchPanicLayer;
use tower_http::compression::CompressionLayer;
use tower_http::limit::RequestBodyLimitLayer;

use super::page;
use super::refusal::Refusal;
use super::visitor::Visitor;
use super::words::frame;

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
pub(crate) fn around(pages: Router) -> Router {
    pages
        .layer(DefaultBodyLimit::max(MOST_BODY))
        .layer(RequestBodyLimitLayer::new(MOST_BODY))
        .layer(middleware::from_fn(in_time))
        .layer(middleware::from_fn(own_origin))
        .layer(CatchPanicLayer::new())
        .layer(middleware::from_fn(spoken))
        .layer(CompressionLayer::new().quality(CompressionLevel::Fastest))
        .layer(middleware::from_fn(headed))
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
async fn spoken(request: Request, next: Next) -> Response {
    let visitor = Visitor::of(request.headers());
    let wants_json = wants_json(request.uri().path(), request.headers());
    let response = next.run(request).await;
    let status = response.status();
    if !(status.is_client_error() || status.is_server_error()) {
        return response;
    }
    let sentence = match response.extensions().get::<Refusal>() {
        Some(refusal) => refusal.sentence.clone(),
        None => visitor.say(plain(status)).to_owned(),
    };
    let kept = response.headers().get(header::ALLOW).cloned();
    let mut spoken = if wants_json {
        let document = serde_json::json!({ "error": sentence });
        (
            status,
            [(header::CONTENT_TYPE, "application/json")],
            document.to_string(),
        )
            .into_response()
    } else {
        (status, page::refused(&visitor, &sentence)).into_response()
    };
    if let Some(allow) = kept {
        spoken.headers_mut().insert(header::ALLOW, allow);
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

/// Turns down what another page sends through the visitor's browser: a
/// foreign host name, and a change that another site asks for.
async fn own_origin(request: Request, next: Next) -> Result<Response, Refusal> {
    let headers = request.headers();
    let host = text(headers, &header::HOST).unwrap_or_default();
    if !is_this_machine(host) {
        return Err(Refusal {
            status: StatusCode::MISDIRECTED_REQUEST,
            sentence: format!(
                "The address names the host \"{}\"; without accounts only this machine is answered, as 127.0.0.1 or localhost.",
                host.chars().take(80).collect::<String>()
            ),
        });
    }
    let changes = !matches!(*request.method(), Method::GET | Method::HEAD);
    let is_foreign = match text(headers, &header::ORIGIN) {
        Some(origin) => origin.split_once("://").map(|(_, from)| from) != Some(host),
        None => text(headers, &HeaderName::from_static("sec-fetch-site"))
            .is_some_and(|site| site != "same-origin" && site != "none"),
    };
    if changes && is_foreign {
        return Err(Refusal {
            status: StatusCode::FORBIDDEN,
            sentence:
                "This change was asked for by another site. Open the page here and try again."
                    .to_owned(),
        });
    }
    Ok(next.run(request).await)
}

fn text<'a>(headers: &'a HeaderMap, name: &HeaderName) -> Option<&'a str> {
    headers.get(name).and_then(|v| v.to_str().ok())
}

fn is_this_machine(host: &str) -> bool {
    let name = match host.strip_prefix('[') {
        Some(rest) => rest.split(']').next().unwrap_or_default(),
        None => host.split(':').next().unwrap_or_default(),
    };
    name == "localhost"
        || name
            .parse::<std::net::IpAddr>()
            .is_ok_and(|address| address.is_loopback())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_names_of_this_machine_are_answered() {
        for host in ["localhost:8017", "127.0.0.1", "127.0.0.1:1", "[::1]:8017"] {
            assert!(is_this_machine(host), "{host}");
        }
        for host in [
            "",
            "example.org",
            "localhost.example.org",
            "10.0.0.2:8017",
            "[::2]",
        ] {
            assert!(!is_this_machine(host), "{host}");
        }
    }
}
