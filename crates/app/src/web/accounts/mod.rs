//! Accounts: signing in and out, the first owner, people, phones.
//!
//! The session's token travels in a cookie that scripts cannot read and other
//! sites cannot send along with a change; over TLS its name begins with
//! `__Host-`, which binds it to this host and to TLS.
//! Source: RFC 6265 and its revision (SameSite, cookie name prefixes); OWASP
//! Session Management Cheat Sheet.
//! Checked by: `tests/web_accounts.rs`.

pub(crate) mod first;
pub(crate) mod own;
pub(crate) mod pairing;
pub(crate) mod people;
pub(crate) mod sign_in;

use axum::http::{HeaderMap, HeaderValue, header};
use axum::response::{IntoResponse, Redirect, Response};
use lapwing_store::SignedIn;
use maud::{Markup, html};

use super::choice;
use super::network::approach::Approach;
use super::page::Page;
use super::visitor::{self, Visitor};
use super::words::{Message, accounts as say};

const COOKIE: &str = "lapwing_session";
const SECURE_COOKIE: &str = "__Host-lapwing_session";
/// As long as the store keeps a session.
const LASTS_S: u32 = 30 * 24 * 3600;

/// The token of a request.
pub(crate) fn token(headers: &HeaderMap, is_secure: bool) -> Option<&str> {
    let name = if is_secure { SECURE_COOKIE } else { COOKIE };
    visitor::cookie(headers, name).filter(|token| token.len() == 64)
}

/// The cookie that carries a token.
pub(crate) fn session_cookie(token: &str, is_secure: bool) -> HeaderValue {
    cookie(token, LASTS_S, is_secure)
}

fn cookie(token: &str, lasts_s: u32, is_secure: bool) -> HeaderValue {
    let (name, secure) = if is_secure {
        (SECURE_COOKIE, "; Secure")
    } else {
        (COOKIE, "")
    };
    let text = format!("{name}={token}; Path=/; Max-Age={lasts_s}; HttpOnly; SameSite=Lax{secure}");
    HeaderValue::from_str(&text).unwrap_or(HeaderValue::from_static(""))
}

/// Hands a new token to the device, with the person's own choices.
fn welcomed(visitor: Visitor, approach: &Approach, signed_in: &SignedIn, to: &str) -> Response {
    let mut chosen = visitor;
    chosen.take_settings(&signed_in.session.person.settings);
    let mut headers = choice::cookies(&chosen);
    let cookie = session_cookie(signed_in.token.reveal(), approach.is_secure);
    headers.append(header::SET_COOKIE, cookie);
    (headers, Redirect::to(to)).into_response()
}

/// Takes the token back and goes to a page.
fn farewell(approach: &Approach, to: &str) -> Response {
    let gone = cookie("", 0, approach.is_secure);
    ([(header::SET_COOKIE, gone)], Redirect::to(to)).into_response()
}

/// What the device is called in the list of sessions.
fn device(headers: &HeaderMap) -> &'static str {
    let agent = headers
        .get(header::USER_AGENT)
        .and_then(|v| v.to_str().ok());
    match agent {
        Some(agent) if agent.contains("Mobile") => "phone",
        Some(agent) if agent.contains("Android") || agent.contains("Tablet") => "tablet",
        _ => "computer",
    }
}

/// A text as part of an address.
pub(crate) fn percent(text: &str) -> String {
    form_urlencoded::byte_serialize(text.as_bytes()).collect()
}

/// The frame of a page of this folder.
fn framed(visitor: &Visitor, (title, path): (Message, &str), body: &Markup) -> Markup {
    let page = Page {
        title: visitor.say(title),
        beside: "",
        path,
        line: None,
        modules: &[],
        styles: &["tools.css", "accounts.css"],
    };
    page.around(visitor, body)
}

/// Two fields for a password that is made now.
fn new_password(visitor: &Visitor) -> Markup {
    html! {
        label { span { (visitor.say(say::NEW_PASSWORD)) }
            input type="password" name="password" minlength="10" maxlength="200" required autocomplete="new-password"; }
        p.note { (visitor.say(say::PASSWORD_NOTE)) }
    }
}

/// A field for a short text.
fn text_field(visitor: &Visitor, (key, label): (&str, Message), complete: &str) -> Markup {
    html! {
        label { span { (visitor.say(label)) }
            input type="text" name=(key) maxlength="120" required autocomplete=(complete) autocapitalize="off" spellcheck="false"; }
    }
}
