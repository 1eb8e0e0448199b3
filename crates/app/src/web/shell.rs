//! The app's shell on the device: the worker that keeps pages for a bay
//! without a network, its list of files, the manifest.
//!
//! Source: W3C Service Workers and Web Application Manifest.
//! Holds: on pages the browser calls secure, and on the machine itself; over
//! plain http the pages work and queue without it.
//! Left out: sending from the worker; the open page sends, so that a person
//! sees it.
//! Checked by: `tests/web_offline.rs`.

use axum::http::header;
use axum::response::IntoResponse;
use maud::{Markup, html};

use super::assets;
use super::page::Page;
use super::visitor::Visitor;
use super::words::stations as say;

/// `GET /sw.js`: the worker with the files of this very build.
pub(crate) async fn worker() -> impl IntoResponse {
    let files = serde_json::json!(assets::every_address());
    let text = format!(
        "const MARK = \"{}\";\nconst FILES = {files};\n{}",
        assets::mark(),
        include_str!("../../assets/sw.js")
    );
    let head = [
        (header::CONTENT_TYPE, "text/javascript; charset=utf-8"),
        (header::CACHE_CONTROL, "no-cache"),
    ];
    (head, text)
}

/// `GET /manifest.webmanifest`: so that the pages can stand on the home screen.
pub(crate) async fn manifest() -> impl IntoResponse {
    let icon = assets::address("icon.svg");
    let text = serde_json::json!({
        "name": "Lapwing", "short_name": "Lapwing", "start_url": "/jobs", "scope": "/",
        "display": "standalone", "background_color": "#f1f5f2", "theme_color": "#035868",
        "icons": [{ "src": icon, "sizes": "any", "type": "image/svg+xml" }],
    });
    let kind = [(header::CONTENT_TYPE, "application/manifest+json")];
    (kind, text.to_string())
}

/// `GET /offline`: what stands where a page was never opened on this device.
pub(crate) async fn offline(visitor: Visitor) -> Markup {
    let page = Page {
        title: visitor.say(say::OFFLINE),
        beside: "",
        path: "/",
        line: None,
        modules: &[],
        styles: &[],
    };
    let body = html! { div.column { p.lead { (visitor.say(say::OFFLINE_WORDS)) } } };
    page.around(&visitor, &body)
}
