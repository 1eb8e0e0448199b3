//! The start: which pages there are, and whether the server is well.
//!
//! Checked by: `tests/web_pages.rs`.

use std::sync::Arc;

use axum::extract::State;
use axum::http::header;
use axum::response::IntoResponse;
use maud::{Markup, html};

use super::house::House;
use super::page::Page;
use super::refusal::Refusal;
use super::visitor::Visitor;
use super::words::{Message, frame};

/// The pages, in the trade's order.
const ROOMS: [(&str, Message, Message); 8] = [
    ("/jobs", frame::JOBS, frame::START_JOBS),
    ("/enquiry", frame::ENQUIRY, frame::START_ENQUIRY),
    (
        "/plan/harbour-estate",
        frame::EXAMPLE_CAR,
        frame::START_EXAMPLE,
    ),
    ("/film", frame::FILM, frame::START_FILM),
    ("/bench", frame::BENCH, frame::START_BENCH),
    ("/plan", frame::PLAN, frame::START_PLAN),
    ("/exposure", frame::EXPOSURE, frame::START_EXPOSURE),
    ("/shop", frame::SHOP, frame::START_SHOP),
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
            p.lead { (visitor.say(frame::START_LEAD)) }
            ul.rooms {
                @for (link, name, words) in ROOMS {
                    li { a href=(link) { b { (visitor.say(name)) } span { (visitor.say(words)) } } }
                }
            }
        }
    };
    page.around(&visitor, &body)
}

/// `GET /healthz`: "ok" while requests and the database are answered.
pub(crate) async fn health(State(house): State<Arc<House>>) -> Result<impl IntoResponse, Refusal> {
    house.store.ping().await?;
    let kind = [(header::CONTENT_TYPE, "text/plain; charset=utf-8")];
    Ok((kind, "ok\n"))
}
