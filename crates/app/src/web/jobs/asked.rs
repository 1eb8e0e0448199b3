//! A doubtful deed is asked about once more, also where no script runs.
//!
//! Law: a deed that the job makes doubtful is taken only when its sender says
//! that it was asked about. The pages' own script asks at the button before it
//! queues a deed, and a program states what it means; a plain form is answered
//! with the question, and everything it carried goes along in the answer.
//! Holds: for work done far too early, and coating laid against the climate.
//! Checked by: `tests/web_asked.rs`.

use axum::http::{HeaderMap, header};
use axum::response::{IntoResponse, Response};
use maud::html;

use super::super::fields::Fields;
use super::super::page::Page;
use super::super::visitor::Visitor;
use super::super::words::{Message, checks};
use super::Kept;

/// What is doubtful about a deed.
pub(super) struct Doubt<'a> {
    /// The question, in the visitor's words.
    pub(super) question: String,
    /// What doing it all the same is called.
    pub(super) anyway: Message,
    /// The page it came from, which also takes it.
    pub(super) back: &'a str,
}

/// Whether nobody has asked the person yet: a plain form without the answer.
pub(super) fn is_unasked(headers: &HeaderMap, fields: &Fields) -> bool {
    let accept = headers.get(header::ACCEPT).and_then(|v| v.to_str().ok());
    let is_of_program = accept.is_some_and(|a| a.starts_with("application/json"));
    // Only the pages' script, which asks by itself, says when it was pressed.
    let is_of_script = is_of_program || fields.text("said_ms").is_some();
    !is_of_script && fields.text("asked") != Some("yes")
}

/// The question, with the form once more behind it.
pub(super) fn page(visitor: &Visitor, kept: &Kept, doubt: &Doubt<'_>, fields: &Fields) -> Response {
    let page = Page {
        title: visitor.say(checks::ONCE_MORE),
        beside: kept.text("/glance/name"),
        path: doubt.back,
        line: None,
        modules: &[],
        styles: &["tools.css", "jobs.css"],
    };
    let body = html! {
        div.column {
            p.caution role="alert" { (doubt.question) }
            form method="post" action=(doubt.back) {
                @for (key, value) in fields.pairs() {
                    @if key != "asked" { input type="hidden" name=(key) value=(value); }
                }
                input type="hidden" name="asked" value="yes";
                div.deeds {
                    a.button href=(doubt.back) { (visitor.say(checks::NOT_DONE)) }
                    button.quiet { (visitor.say(doubt.anyway)) }
                }
            }
        }
    };
    page.around(visitor, &body).into_response()
}
