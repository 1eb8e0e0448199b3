//! `/pair`: signs a phone in with a square that another device shows.
//!
//! Law: a code lives five minutes and works once. Opening its address only
//! asks; the button on that page uses it, so that a program that looks ahead
//! at addresses uses up nothing.
//! Checked by: `tests/web_accounts.rs`, where a square is read back.

use std::sync::Arc;

use axum::extract::{Path, State};
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Redirect, Response};
use lapwing_store::{Person, Role};
use maud::{Markup, html};

use super::super::fields::Fields;
use super::super::gate::Caller;
use super::super::house::House;
use super::super::links::SERVE_NETWORK;
use super::super::network::approach::Approach;
use super::super::rates::Knock;
use super::super::refusal::Refusal;
use super::super::trust;
use super::super::visitor::Visitor;
use super::super::words::{accounts as say, frame};
use super::super::{qr, words};
use super::{device, framed, welcomed};

/// How a phone gets in, step by step.
pub(crate) async fn show(
    State(house): State<Arc<House>>,
    (visitor, caller, approach): (Visitor, Caller, Approach),
) -> Result<Response, Refusal> {
    if caller.session.is_none() {
        return Ok(Redirect::to("/first").into_response());
    }
    let button = html! {
        p { (visitor.say(say::CODE_STEP)) }
        form method="post" action="/pair" { button.main-deed { (visitor.say(say::SHOW_CODE)) } }
    };
    Ok(page(&visitor, &house, &approach, &button).into_response())
}

/// Makes a code and shows it as a square.
pub(crate) async fn make(
    State(house): State<Arc<House>>,
    (visitor, caller, approach): (Visitor, Caller, Approach),
    fields: Fields,
) -> Result<Response, Refusal> {
    if caller.session.is_none() {
        return Ok(Redirect::to("/first").into_response());
    }
    let person = whose(&caller, fields.text("person"), &visitor).await?;
    let code = caller.shop.make_pairing(&person.id).await?;
    let address = format!(
        "{}/pair/{}",
        house.base_for_others(&approach),
        code.reveal()
    );
    let square = html! {
        p { (visitor.fill(say::SCAN, &[&person.name])) }
        @if house.reach.is_network() { (qr::square(&address, visitor.say(say::SQUARE))) }
        p.note { (visitor.say(say::CODE_LASTS)) }
        form method="post" action="/pair" {
            input type="hidden" name="person" value=(person.id);
            button.quiet { (visitor.say(say::SHOW_ANOTHER)) }
        }
    };
    Ok(page(&visitor, &house, &approach, &square).into_response())
}

/// Everyone pairs their own phone; an owner also the others'.
async fn whose(
    caller: &Caller,
    person: Option<&str>,
    visitor: &Visitor,
) -> Result<Person, Refusal> {
    match person {
        Some(id) if id != caller.who => {
            if caller.role < Role::Owner {
                return Err(Refusal {
                    wait_s: None,
                    status: StatusCode::FORBIDDEN,
                    sentence: visitor.say(say::NOT_ALLOWED).to_owned(),
                });
            }
            Ok(caller.shop.person(id).await?)
        }
        _ => Ok(caller.shop.person(&caller.who).await?),
    }
}

fn page(visitor: &Visitor, house: &House, approach: &Approach, last: &Markup) -> Markup {
    let host = house.base_for_others(approach);
    let host = host.split_once("://").map_or("", |(_, host)| host);
    let body = html! {
        div.wide {
            p.lead { (visitor.say(say::PAIR_LEAD)) }
            @if !house.reach.is_network() {
                p.caution role="alert" { b { (visitor.say(frame::CAUTION)) ". " } (visitor.say(say::NO_PHONE_REACHES)) " " code { (SERVE_NETWORK) } }
            }
            ol.steps {
                li { h2 { (visitor.say(say::STEP_NETWORK)) }
                    (trust::picture_network())
                    p { (visitor.say(say::NETWORK)) } }
                @if let Some(authority) = &house.authority {
                    li { h2 { (visitor.say(say::STEP_TRUST)) }
                        p { (visitor.say(say::TRUST_ONCE)) }
                        (qr::square(&format!("http://{host}/trust"), visitor.say(say::TRUST_SQUARE)))
                        p.code { (format!("http://{host}/trust")) }
                        p { (visitor.say(words::network::COMPARE)) }
                        p.code { (authority.fingerprint()) }
                    }
                }
                li { h2 { (visitor.say(say::STEP_CODE)) } (last) }
            }
        }
    };
    framed(visitor, (say::PAIR, "/pair"), &body)
}

/// What the phone shows first.
pub(crate) async fn ask(visitor: Visitor, Path(code): Path<String>) -> Result<Markup, Refusal> {
    let is_code = code.len() == 64 && code.bytes().all(|b| b.is_ascii_hexdigit());
    if !is_code {
        return Err(Refusal::missing(visitor.say(say::CODE_IS_OVER)));
    }
    let body = html! {
        div.column.narrow {
            (trust::picture_phone())
            p.lead { (visitor.say(say::THIS_PHONE)) }
            form method="post" action=(format!("/pair/{code}")) {
                button.main-deed { (visitor.say(say::SIGN_PHONE_IN)) }
            }
        }
    };
    Ok(framed(&visitor, (say::PAIR, "/"), &body))
}

/// Uses the code.
pub(crate) async fn enter(
    State(house): State<Arc<House>>,
    (visitor, approach): (Visitor, Approach),
    Path(code): Path<String>,
    headers: HeaderMap,
) -> Result<Response, Refusal> {
    let knock = house.rates.from(Knock::Code, approach.from);
    knock.map_err(|wait| Refusal::too_often(&visitor, wait))?;
    let entered = house.store.pair(&code, device(&headers)).await?;
    match entered {
        Some(signed_in) => Ok(welcomed(visitor, &approach, &signed_in, "/")),
        None => Err(Refusal::missing(visitor.say(say::CODE_IS_OVER))),
    }
}
