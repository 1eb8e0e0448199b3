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
use super::super::refusal::{Refusal, at_form};
use super::super::visitor::Visitor;
use super::super::words::accounts as say;
use super::{device, framed, is_of_form, new_password, text_field, welcomed};

static ONE_AT_A_TIME: Mutex<()> = Mutex::const_new(());

/// The page.
pub(crate) async fn show(
    State(house): State<Arc<House>>,
    visitor: Visitor,
) -> Result<Response, Refusal> {
    if house.has_people().await? {
        return Ok(Redirect::to("/sign-in").into_response());
    }
    Ok(page(&visitor, &house, None).into_response())
}

fn page(visitor: &Visitor, house: &House, again: Option<(&Fields, &str)>) -> Markup {
    let needs_code = house.setup_code().is_some();
    let (came, fault) = again.unzip();
    let body = html! {
        div.column.narrow {
            p.lead { (visitor.say(say::FIRST_LEAD)) }
            form.card method="post" action="/first" {
                @if let Some(fault) = fault { (at_form(&visitor.retold_or(fault))) }
                @if needs_code {
                    (text_field(visitor, ("code", say::CODE), "one-time-code", came))
                    p.note { (visitor.say(say::CODE_NOTE)) }
                }
                (text_field(visitor, ("shop", say::SHOP), "organization", came))
                (text_field(visitor, ("name", say::YOUR_NAME), "name", came))
                (text_field(visitor, ("login", say::LOGIN), "username", came))
                (new_password(visitor))
                button.main-deed { (visitor.say(say::BE_OWNER)) }
            }
        }
    };
    framed(visitor, (say::FIRST, "/first"), &body)
}

/// Makes the first owner and signs this device in, or shows the form again.
pub(crate) async fn make(
    State(house): State<Arc<House>>,
    visitor: Visitor,
    approach: Approach,
    headers: HeaderMap,
    fields: Fields,
) -> Result<Response, Refusal> {
    match made(&house, visitor, &approach, (&headers, &fields)).await {
        Err(refusal) if is_of_form(&refusal) => {
            let page = page(&visitor, &house, Some((&fields, &refusal.sentence)));
            Ok(refusal.at_the_form(page))
        }
        other => other,
    }
}

async fn made(
    house: &House,
    visitor: Visitor,
    approach: &Approach,
    (headers, fields): (&HeaderMap, &Fields),
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
        .sign_in(&person.login, password, device(headers))
        .await?;
    let to = if renamed.is_ok() { "/pair" } else { "/people" };
    Ok(match entered {
        Some(signed_in) => welcomed(visitor, approach, &signed_in, to),
        None => Redirect::to("/sign-in").into_response(),
    })
}
