//! `/trust`: how a phone learns to trust the shop's own authority.
//!
//! The page and the certificate also come in plain HTTP, because a phone that
//! does not trust yet cannot ask otherwise; what protects it is the
//! fingerprint, which the person compares with the one on the server's screen
//! or on a device that is signed in.
//! Checked by: `tests/web_network.rs`.

use std::sync::Arc;

use axum::extract::State;
use axum::http::header;
use axum::response::{IntoResponse, Response};
use maud::{Markup, html};

use super::house::House;
use super::network::approach::Approach;
use super::page::Page;
use super::refusal::Refusal;
use super::visitor::Visitor;
use super::words::{Message, network as say};

/// What is answered in plain HTTP at a door that speaks TLS.
pub(crate) fn is_for_strays(path: &str) -> bool {
    path == "/trust" || path == "/trust/authority.crt" || path.starts_with("/assets/")
}

/// The page.
pub(crate) async fn show(
    State(house): State<Arc<House>>,
    visitor: Visitor,
    approach: Approach,
) -> Result<Markup, Refusal> {
    let authority = house
        .authority
        .as_ref()
        .ok_or_else(|| Refusal::missing(visitor.say(say::NO_AUTHORITY)))?;
    let next = format!("https://{}/", approach.host);
    let body = html! {
        div.wide {
            p.lead { (visitor.say(say::LEAD)) }
            ol.steps {
                li { h2 { (visitor.say(say::FETCH)) }
                    (picture_file())
                    p { (visitor.say(say::FETCH_HOW)) }
                    a.button.main-deed href="/trust/authority.crt" { (visitor.say(say::FETCH)) }
                }
                li { h2 { (visitor.say(say::INSTALL)) }
                    (picture_settings())
                    (kind(&visitor, say::KIND_PROFILE, &[say::PROFILE_1, say::PROFILE_2, say::PROFILE_3]))
                    (kind(&visitor, say::KIND_CERTIFICATE, &[say::CERTIFICATE_1, say::CERTIFICATE_2, say::CERTIFICATE_3]))
                }
                li { h2 { (visitor.say(say::COMPARE_TITLE)) }
                    p { (visitor.say(say::COMPARE)) }
                    p.code { (authority.fingerprint()) }
                }
                li { h2 { (visitor.say(say::OPEN)) }
                    (picture_lock())
                    p { (visitor.say(say::OPEN_HOW)) }
                    a.button href=(next) { (visitor.say(say::OPEN)) }
                }
            }
            p.note { (visitor.say(say::SAFE)) }
        }
    };
    let page = Page {
        title: visitor.say(say::TRUST),
        beside: "",
        path: "/trust",
        line: None,
        modules: &[],
        styles: &["accounts.css"],
    };
    Ok(page.alone(&visitor, &body))
}

fn kind(visitor: &Visitor, name: Message, steps: &[Message]) -> Markup {
    html! {
        details { summary { (visitor.say(name)) }
            ol { @for step in steps { li { (visitor.say(*step)) } } }
        }
    }
}

/// `GET /trust/authority.crt`.
pub(crate) async fn certificate(
    State(house): State<Arc<House>>,
    visitor: Visitor,
) -> Result<Response, Refusal> {
    let authority = house
        .authority
        .as_ref()
        .ok_or_else(|| Refusal::missing(visitor.say(say::NO_AUTHORITY)))?;
    let head = [
        (header::CONTENT_TYPE, "application/x-x509-ca-cert"),
        (
            header::CONTENT_DISPOSITION,
            "attachment; filename=\"lapwing-authority.crt\"",
        ),
    ];
    Ok((head, authority.certificate().to_vec()).into_response())
}

fn drawn(inner: &Markup) -> Markup {
    html! {
        svg.drawing viewBox="0 0 240 96" aria-hidden="true" fill="none" stroke="currentColor" stroke-width="2.6" stroke-linecap="round" stroke-linejoin="round" { (inner) }
    }
}

/// A phone and the bay's machine on one network.
pub(crate) fn picture_network() -> Markup {
    drawn(&html! {
        rect x="20" y="12" width="44" height="72" rx="6" {}
        path d="M38 76h8" {}
        rect x="160" y="22" width="64" height="44" rx="3" {}
        path d="M176 80h32M192 66v14" {}
        path.bright d="M84 58c16-14 40-14 56 0M94 68c10-9 26-9 36 0" {}
        circle.bright.full cx="112" cy="78" r="2.4" {}
    })
}

/// A phone with a tick.
pub(crate) fn picture_phone() -> Markup {
    drawn(&html! {
        rect x="98" y="8" width="48" height="80" rx="7" {}
        path d="M117 79h10" {}
        path.bright d="M110 42l9 9 16-18" {}
    })
}

fn picture_file() -> Markup {
    drawn(&html! {
        path d="M40 14h34l14 14v54H40zM74 14v14h14" {}
        circle.bright cx="64" cy="50" r="9" {}
        path.bright d="M59 57l-3 14 8-5 8 5-3-14" {}
        path d="M108 48h38M134 36l12 12-12 12" {}
        rect x="164" y="8" width="48" height="80" rx="7" {}
        path d="M183 79h10" {}
    })
}

fn picture_settings() -> Markup {
    drawn(&html! {
        rect x="80" y="6" width="80" height="84" rx="7" {}
        path d="M92 24h34M92 48h34M92 72h34" {}
        rect x="134" y="18" width="16" height="10" rx="5" {}
        rect.bright x="134" y="42" width="16" height="10" rx="5" {}
        circle.bright.full cx="145" cy="47" r="3" {}
        rect x="134" y="66" width="16" height="10" rx="5" {}
    })
}

fn picture_lock() -> Markup {
    drawn(&html! {
        rect x="20" y="30" width="200" height="36" rx="18" {}
        rect.bright x="36" y="45" width="16" height="12" rx="2" {}
        path.bright d="M39 45v-4a5 5 0 0 1 10 0v4" {}
        path d="M66 48h96" {}
    })
}
