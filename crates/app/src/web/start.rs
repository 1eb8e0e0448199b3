//! The start: which pages there are, and whether the server is well.
//!
//! Checked by: `tests/web_pages.rs`.

use axum::http::header;
use axum::response::IntoResponse;
use maud::{Markup, html};

use super::page::Page;
use super::visitor::Visitor;
use super::words::common;

/// `GET /`.
pub(crate) async fn show(visitor: Visitor) -> Markup {
    let page = Page {
        title: "Lapwing",
        beside: "",
        path: "/",
        line: None,
        modules: &[],
        styles: &[],
    };
    let body = html! {
        div.column {
            p.lead { (visitor.say(common::START_LEAD)) }
            ul.rooms {
                li { a href="/bench" { b { (visitor.say(common::BENCH)) } span { (visitor.say(common::START_BENCH)) } } }
            }
        }
    };
    page.around(&visitor, &body)
}

/// `GET /healthz`: "ok" while requests are answered.
pub(crate) async fn health() -> impl IntoResponse {
    (
        [(header::CONTENT_TYPE, "text/plain; charset=utf-8")],
        "ok\n",
    )
}
