//! Parts of a page that take seconds to work out: the page comes at once, the
//! part follows.
//!
//! Without script a link fetches the page with the part in it.
//! Checked by: `tests/web_gauge.rs`.

use maud::{Markup, html};

use super::visitor::Visitor;
use super::words::stations as say;

/// A part that is ready, or the place it will fill.
pub(crate) fn later(
    visitor: &Visitor,
    (id, address): (&str, &str),
    ready: Option<&Markup>,
    whole_page: &str,
) -> Markup {
    html! {
        section id=(id) data-later=(address) data-is-ready=[ready.map(|_| "yes")] {
            @if let Some(part) = ready { (part) } @else {
                p.working role="status" { (visitor.say(say::WORKING_IT_OUT)) }
                noscript { p { a.button href=(format!("{whole_page}?now=yes")) { (visitor.say(say::SHOW_WHOLE)) } } }
            }
        }
    }
}
