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

use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use lapwing_store::{Person, SignedIn};
use maud::{Markup, html};

use super::choice;
use super::fields::Fields;
use super::gate::Caller;
use super::network::approach::Approach;
use super::page::Page;
use super::refusal::Refusal;
use super::visitor::{self, Visitor};
use super::words::{Message, accounts as say};

const COOKIE: &str = "lapwing_session";
const SECURE_COOKIE: &str = "__Host-lapwing_session";
/// Who is signed in on this device, for the pages' script.
const WHO: &str = "lapwing_who";
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

/// The cookie that tells the pages' script whose session this is, where the
/// device does not know it yet. It proves nothing: the session does.
pub(crate) fn told_who(headers: &HeaderMap, caller: &Caller) -> Option<HeaderValue> {
    let known = visitor::cookie(headers, WHO);
    let Some(session) = &caller.session else {
        // Left by a shop with accounts at the same address: nobody signs in here.
        return known.map(|_| who_cookie("", 0));
    };
    let told = who_of(&session.person);
    (known != Some(&*told)).then(|| who_cookie(&told, LASTS_S))
}

/// A person's id and name as one word.
fn who_of(person: &Person) -> String {
    let name = percent(&person.name).replace('+', "%20");
    format!("{}.{name}", person.id)
}

fn who_cookie(told: &str, lasts_s: u32) -> HeaderValue {
    let text = format!("{WHO}={told}; Path=/; Max-Age={lasts_s}; SameSite=Lax");
    HeaderValue::from_str(&text).unwrap_or(HeaderValue::from_static(""))
}

/// Whether an answer says itself who is signed in from here on.
pub(crate) fn sets_session(headers: &HeaderMap) -> bool {
    let set = headers.get_all(header::SET_COOKIE).iter();
    set.filter_map(|v| v.to_str().ok())
        .any(|v| v.starts_with(COOKIE) || v.starts_with(SECURE_COOKIE))
}

/// Hands a new token to the device, with the person's own choices.
fn welcomed(visitor: Visitor, approach: &Approach, signed_in: &SignedIn, to: &str) -> Response {
    let mut chosen = visitor;
    chosen.take_settings(&signed_in.session.person.settings);
    let mut headers = choice::cookies(&chosen);
    let cookie = session_cookie(signed_in.token.reveal(), approach.is_secure);
    headers.append(header::SET_COOKIE, cookie);
    let told = who_of(&signed_in.session.person);
    headers.append(header::SET_COOKIE, who_cookie(&told, LASTS_S));
    (headers, Redirect::to(to)).into_response()
}

/// Takes the token back and goes to a page.
fn farewell(approach: &Approach, to: &str) -> Response {
    let mut headers = HeaderMap::new();
    headers.append(header::SET_COOKIE, cookie("", 0, approach.is_secure));
    headers.append(header::SET_COOKIE, who_cookie("", 0));
    (headers, Redirect::to(to)).into_response()
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

/// A field for a short text, with what was typed where the form comes back.
fn text_field(
    visitor: &Visitor,
    (key, label): (&str, Message),
    complete: &str,
    came: Option<&Fields>,
) -> Markup {
    let typed = came.and_then(|fields| fields.text(key));
    html! {
        label { span { (visitor.say(label)) }
            input type="text" name=(key) maxlength="120" required autocomplete=(complete) autocapitalize="off" spellcheck="false" value=[typed]; }
    }
}

/// Whether a form is shown again with the refusal; knocking too often and a
/// store that is away get a page of their own.
fn is_of_form(refusal: &Refusal) -> bool {
    [StatusCode::UNPROCESSABLE_ENTITY, StatusCode::FORBIDDEN].contains(&refusal.status)
}
