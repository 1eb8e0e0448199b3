//! `GET` and `POST /sign-in`, `POST /sign-out`.
//!
//! Law: 20 passwords at once from one address and 8 for one login, then one
//! every 6 and every 30 seconds; two are checked at a time.
//! Left out: telling whether login or password was wrong.
//! Checked by: `tests/web_accounts.rs`.

use std::sync::Arc;

use axum::Extension;
use axum::extract::State;
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, html};

use super::super::choice::is_ours;
use super::super::fields::Fields;
use super::super::gate::Caller;
use super::super::house::House;
use super::super::network::approach::Approach;
use super::super::rates::Knock;
use super::super::refusal::Refusal;
use super::super::visitor::Visitor;
use super::super::words::accounts as say;
use super::{device, farewell, framed, text_field, welcomed};

/// The page.
pub(crate) async fn show(
    State(house): State<Arc<House>>,
    visitor: Visitor,
    fields: Fields,
) -> Result<Response, Refusal> {
    if !house.has_people().await? {
        let to = if house.reach.is_network() {
            "/first"
        } else {
            "/"
        };
        return Ok(Redirect::to(to).into_response());
    }
    let to = fields.text("to").filter(|to| is_ours(to)).unwrap_or("/");
    Ok(page(&visitor, to, None).into_response())
}

fn page(visitor: &Visitor, to: &str, wrong: Option<&str>) -> Markup {
    let body = html! {
        div.column.narrow {
            @if let Some(wrong) = wrong { p.fault role="alert" { (wrong) } }
            form.card method="post" action="/sign-in" {
                input type="hidden" name="to" value=(to);
                (text_field(visitor, ("login", say::LOGIN), "username", None))
                label { span { (visitor.say(say::PASSWORD)) }
                    input type="password" name="password" maxlength="200" required autocomplete="current-password"; }
                button.main-deed { (visitor.say(say::SIGN_IN)) }
            }
            p.note { (visitor.say(say::NO_ACCOUNT)) }
        }
    };
    framed(visitor, (say::SIGN_IN, "/sign-in"), &body)
}

/// Tries a login and a password.
pub(crate) async fn enter(
    State(house): State<Arc<House>>,
    visitor: Visitor,
    approach: Approach,
    headers: HeaderMap,
    fields: Fields,
) -> Result<Response, Refusal> {
    let login = fields.text("login").unwrap_or_default().to_lowercase();
    let password = fields.text("password").unwrap_or_default();
    let to = fields.text("to").filter(|to| is_ours(to)).unwrap_or("/");
    let from = house.rates.from(Knock::PasswordFrom, approach.from);
    let knocks = from.and_then(|()| house.rates.with_name(Knock::PasswordFor, &login));
    knocks.map_err(|wait| Refusal::too_often(&visitor, wait))?;
    let place = house.passwords.acquire().await;
    let entered = house
        .store
        .sign_in(&login, password, device(&headers))
        .await?;
    drop(place);
    Ok(match entered {
        Some(signed_in) => welcomed(visitor, &approach, &signed_in, to),
        None => {
            let wrong = visitor.say(say::WRONG);
            let wants_page = headers
                .get("accept")
                .and_then(|v| v.to_str().ok())
                .is_some_and(|a| a.contains("text/html"));
            if !wants_page {
                return Err(Refusal {
                    wait_s: None,
                    status: StatusCode::UNAUTHORIZED,
                    sentence: wrong.to_owned(),
                });
            }
            page(&visitor, to, Some(wrong)).into_response()
        }
    })
}

/// Ends the session of this device.
pub(crate) async fn leave(
    State(house): State<Arc<House>>,
    caller: Option<Extension<Caller>>,
    approach: Approach,
) -> Result<Response, Refusal> {
    if let Some(session) = caller.as_ref().and_then(|c| c.session.as_ref()) {
        house.store.sign_out(session).await?;
    }
    Ok(farewell(&approach, "/sign-in"))
}
