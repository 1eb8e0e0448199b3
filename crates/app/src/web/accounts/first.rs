//! `GET` and `POST /first`: the first owner, once.
//!
//! Law: on a network it takes the setup code that the server printed at its
//! start, so that only who can read the server's screen becomes the owner.
//! Holds: of several who ask at once one gets in; afterwards the page is gone.
//! Checked by: `tests/web_accounts.rs`.

use std::sync::Arc;

use axum::extract::State;
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Redirect, Response};
use lapwing_store::{NewPerson, Role};
use maud::{Markup, html};
use tokio::sync::Mutex;

use super::super::fields::Fields;
use super::super::gate::same;
use super::super::house::House;
use super::super::network::approach::Approach;
use super::super::rates::Knock;
use super::super::refusal::Refusal;
use super::super::visitor::Visitor;
use super::super::words::accounts as say;
use super::{device, framed, new_password, text_field, welcomed};

static ONE_AT_A_TIME: Mutex<()> = Mutex::const_new(());

/// The page.
pub(crate) async fn show(
    State(house): State<Arc<House>>,
    visitor: Visitor,
) -> Result<Response, Refusal> {
    if house.has_people().await? {
        return Ok(Redirect::to("/sign-in").into_response());
    }
    Ok(page(&visitor, house.setup_code().is_some()).into_response())
}

fn page(visitor: &Visitor, needs_code: bool) -> Markup {
    let body = html! {
        div.column.narrow {
            p.lead { (visitor.say(say::FIRST_LEAD)) }
            form.card method="post" action="/first" {
                @if needs_code {
                    (text_field(visitor, ("code", say::CODE), "one-time-code"))
                    p.note { (visitor.say(say::CODE_NOTE)) }
                }
                (text_field(visitor, ("shop", say::SHOP), "organization"))
                (text_field(visitor, ("name", say::YOUR_NAME), "name"))
                (text_field(visitor, ("login", say::LOGIN), "username"))
                (new_password(visitor))
                button.main-deed { (visitor.say(say::BE_OWNER)) }
            }
        }
    };
    framed(visitor, (say::FIRST, "/first"), &body)
}

/// Makes the first owner and signs this device in.
pub(crate) async fn make(
    State(house): State<Arc<House>>,
    visitor: Visitor,
    approach: Approach,
    headers: HeaderMap,
    fields: Fields,
) -> Result<Response, Refusal> {
    let knock = house.rates.from(Knock::Code, approach.from);
    knock.map_err(|wait| Refusal::too_often(&visitor, wait))?;
    let turn = ONE_AT_A_TIME.lock().await;
    let refuse = |status, message| Refusal {
        wait_s: None,
        status,
        sentence: visitor.say(message).to_owned(),
    };
    if house.look_for_people().await? {
        return Err(refuse(StatusCode::CONFLICT, say::NOT_FIRST));
    }
    if let Some(code) = house.setup_code() {
        let came = fields.text("code").unwrap_or_default().to_uppercase();
        let came: String = came.chars().filter(|c| c.is_ascii_alphanumeric()).collect();
        if !same(came.as_bytes(), code.replace('-', "").as_bytes()) {
            return Err(refuse(StatusCode::FORBIDDEN, say::WRONG_CODE));
        }
    }
    let text = |key: &str| fields.text(key).unwrap_or_default();
    let password = text("password");
    let owner = NewPerson {
        login: text("login"),
        name: text("name"),
        role: Role::Owner,
        password: Some(password),
    };
    let person = house.first_shop.add_person(&owner).await?;
    // The shop keeps its old name when the new one cannot be taken.
    let renamed = house.first_shop.rename(text("shop")).await;
    house.look_for_people().await?;
    drop(turn);
    let entered = house
        .store
        .sign_in(&person.login, password, device(&headers))
        .await?;
    let to = if renamed.is_ok() { "/pair" } else { "/people" };
    Ok(match entered {
        Some(signed_in) => welcomed(visitor, &approach, &signed_in, to),
        None => Redirect::to("/sign-in").into_response(),
    })
}
