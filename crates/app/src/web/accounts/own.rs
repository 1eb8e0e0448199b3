//! `GET /account`: who is signed in here; `POST /account/password`;
//! `GET /api/session` for programs.
//!
//! Checked by: `tests/web_accounts.rs`.

use std::sync::Arc;

use axum::extract::State;
use axum::http::HeaderMap;
use axum::response::{IntoResponse, Redirect, Response};
use lapwing_store::Role;
use maud::html;
use serde_json::json;

use super::super::api;
use super::super::fields::Fields;
use super::super::gate::Caller;
use super::super::house::House;
use super::super::network::approach::Approach;
use super::super::rates::Knock;
use super::super::refusal::Refusal;
use super::super::visitor::Visitor;
use super::super::words::{Message, accounts as say};
use super::{device, framed, new_password, welcomed};

/// The page.
pub(crate) async fn show(visitor: Visitor, caller: Caller) -> Result<Response, Refusal> {
    let Some(session) = &caller.session else {
        return Ok(Redirect::to("/first").into_response());
    };
    let shop = caller.shop.name().await?;
    let body = html! {
        div.column.narrow {
            dl.who {
                dt { (visitor.say(say::SHOP)) } dd { (shop) }
                dt { (visitor.say(say::NAME)) } dd { (caller.name) }
                dt { (visitor.say(say::LOGIN)) } dd { (session.person.login) }
                dt { (visitor.say(say::ROLE)) } dd { (visitor.say(role_name(caller.role))) }
            }
            a.button href="/pair" { (visitor.say(say::PAIR)) }
            details.card { summary { (visitor.say(say::CHANGE_PASSWORD)) }
                form method="post" action="/account/password" {
                    label { span { (visitor.say(say::PASSWORD)) }
                        input type="password" name="old" maxlength="200" required autocomplete="current-password"; }
                    (new_password(&visitor))
                    button { (visitor.say(say::CHANGE_PASSWORD)) }
                    p.note { (visitor.say(say::ALL_OUT)) }
                }
            }
            form method="post" action="/sign-out" { button.quiet { (visitor.say(say::SIGN_OUT)) } }
        }
    };
    Ok(framed(&visitor, (say::ACCOUNT, "/account"), &body).into_response())
}

/// The name of a role.
pub(crate) fn role_name(role: Role) -> Message {
    match role {
        Role::Viewer => say::VIEWER,
        Role::Technician => say::TECHNICIAN,
        Role::Owner => say::OWNER,
    }
}

/// Takes a new password from who knows the old one.
pub(crate) async fn change_password(
    State(house): State<Arc<House>>,
    (visitor, caller, approach): (Visitor, Caller, Approach),
    headers: HeaderMap,
    fields: Fields,
) -> Result<Response, Refusal> {
    let Some(session) = &caller.session else {
        return Ok(Redirect::to("/first").into_response());
    };
    let login = &session.person.login;
    let knock = house.rates.with_name(Knock::PasswordFor, login);
    knock.map_err(|wait| Refusal::too_often(&visitor, wait))?;
    let (old, new) = (fields.text("old"), fields.text("password"));
    let (old, new) = (old.unwrap_or_default(), new.unwrap_or_default());
    let place = house.passwords.acquire().await;
    let known = house.store.sign_in(login, old, device(&headers)).await?;
    let Some(known) = known else {
        return Err(Refusal::input(visitor.say(say::WRONG)));
    };
    house.store.sign_out(&known.session).await?;
    caller.shop.set_password(&caller.who, new).await?;
    let entered = house.store.sign_in(login, new, device(&headers)).await?;
    drop(place);
    Ok(match entered {
        Some(signed_in) => welcomed(visitor, &approach, &signed_in, "/account"),
        None => Redirect::to("/sign-in").into_response(),
    })
}

/// `GET /api/session`.
pub(crate) async fn told(caller: Caller) -> Result<Response, Refusal> {
    let form_token = caller.session.as_ref().map(|s| s.form_token.clone());
    api::answer(&json!({
        "person": caller.who,
        "name": caller.name,
        "role": caller.role.word(),
        "form_token": form_token,
    }))
}
