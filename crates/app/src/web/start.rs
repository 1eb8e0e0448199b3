//! The start: which pages there are, and whether the server is well.
//!
//! Checked by: `tests/web_pages.rs`.

use axum::http::header;
use axum::response::IntoResponse;
use maud::{Markup, html};

use super::page::Page;
use super::visitor::Visitor;
use super::words::{Message, common};

/// The pages, in the trade's order.
const ROOMS: [(&str, Message, Message); 5] = [
    (
        "/plan/harbour-estate",
        common::EXAMPLE_CAR,
        common::START_EXAMPLE,
    ),
    ("/film", common::FILM, common::START_FILM),
    ("/bench", common::BENCH, common::START_BENCH),
    ("/plan", common::PLAN, common::START_PLAN),
    ("/exposure", common::EXPOSURE, common::START_EXPOSURE),
];

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
                @for (link, name, words) in ROOMS {
                    li { a href=(link) { b { (visitor.say(name)) } span { (visitor.say(words)) } } }
                }
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
