//! `/people`: who works in the shop, and what they may do. For owners.
//!
//! Left out: deleting; a name in a job's history stays, the account ends.
//! Checked by: `tests/web_accounts.rs`.

use axum::extract::Path;
use axum::response::{IntoResponse, Redirect, Response};
use lapwing_store::{NewPerson, Person, Role};
use maud::{Markup, html};

use super::super::fields::Fields;
use super::super::gate::Caller;
use super::super::refusal::{Refusal, at_form};
use super::super::visitor::{Visitor, one_of};
use super::super::words::accounts as say;
use super::own::role_name;
use super::{framed, is_of_form, new_password, text_field};

const ROLES: [(&str, Role); 3] = [
    ("viewer", Role::Viewer),
    ("technician", Role::Technician),
    ("owner", Role::Owner),
];

/// The page.
pub(crate) async fn show(visitor: Visitor, caller: Caller) -> Result<Response, Refusal> {
    if caller.session.is_none() {
        return Ok(Redirect::to("/first").into_response());
    }
    Ok(page(&visitor, &caller, None).await?.into_response())
}

async fn page(
    visitor: &Visitor,
    caller: &Caller,
    again: Option<(&Fields, &str)>,
) -> Result<Markup, Refusal> {
    let people = caller.shop.people().await?;
    let body = html! {
        div.column {
            ul.people { @for person in &people { (line(visitor, caller, person)) } }
            (adding(visitor, again))
        }
    };
    Ok(framed(visitor, (say::PEOPLE, "/people"), &body))
}

fn line(visitor: &Visitor, caller: &Caller, person: &Person) -> Markup {
    html! {
        li { details { summary {
            span { b { (person.name) } " " small { (person.login) } }
            @if person.is_active { span.plate.open { (visitor.say(role_name(person.role))) } }
            @else { span.plate.open { (visitor.say(say::AWAY)) } }
        }
            div.deeds-of {
                form.card method="post" action=(format!("/people/{}/role", person.id)) {
                    (roles(visitor, person.role))
                    label.check { input type="checkbox" name="active" value="yes" checked[person.is_active]; span { (visitor.say(say::ACTIVE)) } }
                    button.quiet { (visitor.say(say::KEEP)) }
                }
                @if person.id != caller.who {
                    form.card method="post" action=(format!("/people/{}/password", person.id)) {
                        (new_password(visitor))
                        button.quiet { (visitor.say(say::SET_PASSWORD)) }
                    }
                }
                @if person.is_active {
                    form method="post" action="/pair" {
                        input type="hidden" name="person" value=(person.id);
                        button.quiet { (visitor.say(say::PAIR_THEIRS)) }
                    }
                }
            }
        } }
    }
}

fn roles(visitor: &Visitor, chosen: Role) -> Markup {
    html! {
        label { span { (visitor.say(say::ROLE)) }
            select name="role" {
                @for (word, role) in ROLES {
                    option value=(word) selected[role == chosen] { (visitor.say(role_name(role))) }
                }
            }
        }
    }
}

fn adding(visitor: &Visitor, again: Option<(&Fields, &str)>) -> Markup {
    let (came, fault) = again.unzip();
    let chosen = came.and_then(|fields| one_of(&ROLES, fields.text("role")?));
    html! {
        form.card method="post" action="/people" {
            h2 { (visitor.say(say::ADD)) }
            @if let Some(fault) = fault { (at_form(&visitor.retold_or(fault))) }
            div.pair {
                (text_field(visitor, ("name", say::NAME), "off", came))
                (text_field(visitor, ("login", say::LOGIN), "off", came))
            }
            (roles(visitor, chosen.unwrap_or(Role::Technician)))
            label { span { (visitor.say(say::NEW_PASSWORD)) }
                input type="password" name="password" minlength="10" maxlength="200" autocomplete="new-password"; }
            p.note { (visitor.say(say::NO_PASSWORD_NOTE)) }
            button.main-deed { (visitor.say(say::ADD)) }
            p.note { (visitor.say(say::ROLES_NOTE)) }
        }
    }
}

/// Adds a person.
pub(crate) async fn add(
    visitor: Visitor,
    caller: Caller,
    fields: Fields,
) -> Result<Response, Refusal> {
    // The first account is an owner's, or nobody could get in any more.
    if caller.session.is_none() {
        return Err(Refusal::input(visitor.say(say::OWNER_FIRST)));
    }
    let role = fields.word(("role", say::ROLE), &ROLES, Role::Technician, &visitor)?;
    let person = NewPerson {
        login: fields.text("login").unwrap_or_default(),
        name: fields.text("name").unwrap_or_default(),
        role,
        password: fields.text("password"),
    };
    let refusal = match caller.shop.add_person(&person).await {
        Ok(_) => return Ok(Redirect::to("/people").into_response()),
        Err(error) => Refusal::from(error),
    };
    if !is_of_form(&refusal) {
        return Err(refusal);
    }
    let page = page(&visitor, &caller, Some((&fields, &refusal.sentence))).await?;
    Ok(refusal.at_the_form(page))
}

/// Changes what a person may do, or lets them go.
pub(crate) async fn set_role(
    visitor: Visitor,
    caller: Caller,
    Path(person): Path<String>,
    fields: Fields,
) -> Result<Response, Refusal> {
    let was = caller.shop.person(&person).await?;
    let role = fields.word(("role", say::ROLE), &ROLES, was.role, &visitor)?;
    let is_active = fields.text("active") == Some("yes");
    caller.shop.set_role(&person, role, is_active).await?;
    Ok(Redirect::to("/people").into_response())
}

/// Gives a person a new password and signs all their devices out.
pub(crate) async fn set_password(
    caller: Caller,
    Path(person): Path<String>,
    fields: Fields,
) -> Result<Response, Refusal> {
    let password = fields.text("password").unwrap_or_default();
    caller.shop.set_password(&person, password).await?;
    Ok(Redirect::to("/people").into_response())
}
