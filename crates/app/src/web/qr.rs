//! An address as a square that a phone's camera reads.
//!
//! Source: ISO/IEC 18004, by a library; level M, with the quiet zone of four
//! modules that section 9.1 asks for. It is always dark on white, also in the
//! dark bay, because many readers need that.
//! Checked by: `tests/web_accounts.rs`, where another program reads it.

use std::fmt::Write as _;

use fast_qr::{ECL, QRBuilder};
use maud::{Markup, html};

const QUIET: usize = 4;

/// The square, or nothing for a text that does not fit.
pub(crate) fn square(text: &str, title: &str) -> Markup {
    let Ok(code) = QRBuilder::new(text).ecl(ECL::M).build() else {
        return html! {};
    };
    let mut path = String::new();
    for y in 0..code.size {
        for x in 0..code.size {
            if code[y][x].value() {
                let _ = write!(path, "M{} {}h1v1h-1z", x + QUIET, y + QUIET);
            }
        }
    }
    let side = code.size + 2 * QUIET;
    html! {
        svg.qr viewBox=(format!("0 0 {side} {side}")) role="img" aria-label=(title) shape-rendering="crispEdges" {
            rect width=(side) height=(side) fill="#ffffff" {}
            path d=(path) fill="#000000" {}
        }
    }
}
