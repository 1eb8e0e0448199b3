//! The gate in front of every page: who asks, and whether they may.
//!
//! Law: a line of the table names the least role; a person of a lower role is
//! refused, and someone not signed in is sent to sign in. While nobody has an
//! account, whoever sits at this machine is the owner; on a network the first
//! owner must be made first.
//! Holds: before any of the body is read.
//! Checked by: `tests/web_rules.rs`.

use std::sync::Arc;

use axum::extract::{FromRequestParts, Request, State};
use axum::http::request::Parts;
use axum::http::{HeaderMap, HeaderName, Method, StatusCode, Uri, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Redirect, Response};
use lapwing_store::{Role, Session, Shop};

use super::accounts::{self, percent};
use super::house::{Bay, House};
use super::log::Template;
use super::network::approach::Approach;
use super::refusal::Refusal;
use super::routes::{Door, May};
use super::visitor::{Seat, Visitor};
use super::words::accounts as say;

/// For whom a device kept a deed: the id of the person who was signed in.
const KEPT_FOR: HeaderName = HeaderName::from_static("x-lapwing-kept-for");
/// Where a client without a browser sends the form token of its session.
const FORM_TOKEN: HeaderName = HeaderName::from_static("x-lapwing-form-token");

/// Who asks, and in which shop.
#[derive(Clone)]
pub(crate) struct Caller {
    /// All a request can reach.
    pub(crate) shop: Shop,
    /// The id in the history.
    pub(crate) who: String,
    /// What others see.
    pub(crate) name: String,
    /// What they may do.
    pub(crate) role: Role,
    /// The device's session; none while there are no accounts.
    pub(crate) session: Option<Session>,
}

impl Caller {
    /// Whoever sits at this machine, while there are no accounts.
    fn at_this_machine(shop: Shop) -> Self {
        Self {
            shop,
            who: "bay".to_owned(),
            name: String::new(),
            role: Role::Owner,
            session: None,
        }
    }

    fn signed_in(session: Session) -> Self {
        Self {
            shop: session.shop.clone(),
            who: session.person.id.clone(),
            name: session.person.name.clone(),
            role: session.person.role,
            session: Some(session),
        }
    }

    fn may(&self, may: May) -> bool {
        let least = match may {
            May::Anyone | May::Viewer => Role::Viewer,
            May::Technician => Role::Technician,
            May::Owner => Role::Owner,
        };
        self.role >= least
    }
}

/// Lets a request through to its page, or not.
pub(crate) async fn admit(
    State((house, door)): State<(Arc<House>, Door)>,
    mut request: Request,
    next: Next,
) -> Response {
    let approach = request.extensions().get::<Approach>().cloned();
    let approach = approach.unwrap_or_else(|| Approach::new(&request, &house.reach));
    let is_secure = approach.is_secure;
    let visitor = Visitor::of(request.headers());
    let caller = if door.is_for_all() {
        None
    } else {
        match caller(&house, request.headers(), is_secure).await {
            Ok(caller) => caller,
            Err(refusal) => return marked(refusal.into_response(), door),
        }
    };
    let turn = caller
        .as_ref()
        .and_then(|c| c.session.as_ref()?.new_token.clone());
    let told = caller
        .as_ref()
        .and_then(|c| accounts::told_who(request.headers(), c));
    let asked = Asked {
        method: request.method(),
        headers: request.headers(),
        uri: request.uri(),
        visitor,
    };
    let may = check(&house, door, caller.as_ref(), asked).await;
    let mut response = match may {
        Ok(None) => {
            let visitor = visitor.seated(caller.as_ref());
            request.extensions_mut().insert(visitor);
            if let Some(caller) = caller {
                request.extensions_mut().insert(caller);
            }
            let mut response = next.run(request).await;
            response.extensions_mut().insert(visitor);
            response
        }
        Ok(Some(elsewhere)) => elsewhere,
        Err(refusal) => refusal.into_response(),
    };
    // A page that signs in or out has set the cookies itself.
    if !accounts::sets_session(response.headers()) {
        let turned = turn.map(|token| accounts::session_cookie(token.reveal(), is_secure));
        for cookie in turned.into_iter().chain(told) {
            response.headers_mut().append(header::SET_COOKIE, cookie);
        }
    }
    marked(response, door)
}

fn marked(mut response: Response, door: Door) -> Response {
    response.extensions_mut().insert(Template(door.path));
    response
}

/// Who asks, if it is known.
async fn caller(
    house: &House,
    headers: &HeaderMap,
    is_secure: bool,
) -> Result<Option<Caller>, Refusal> {
    if !house.has_people().await? {
        let is_alone = !house.reach.is_network();
        return Ok(is_alone.then(|| Caller::at_this_machine(house.first_shop.clone())));
    }
    let Some(token) = accounts::token(headers, is_secure) else {
        return Ok(None);
    };
    Ok(house.store.resume(token).await?.map(Caller::signed_in))
}

/// What is asked, without its body.
struct Asked<'a> {
    method: &'a Method,
    headers: &'a HeaderMap,
    uri: &'a Uri,
    visitor: Visitor,
}

/// Nothing when the request may go on; where to go instead, for a page.
async fn check(
    house: &House,
    door: Door,
    caller: Option<&Caller>,
    asked: Asked<'_>,
) -> Result<Option<Response>, Refusal> {
    let refuse = |status, message| Refusal {
        wait_s: None,
        status,
        sentence: asked.visitor.say(message).to_owned(),
    };
    let is_change = !matches!(*asked.method, Method::GET | Method::HEAD);
    if let Some(session) = caller.and_then(|c| c.session.as_ref())
        && is_change
        && !is_from_a_page(asked.headers)
        && !has_form_token(asked.headers, session)
    {
        return Err(refuse(StatusCode::FORBIDDEN, say::NO_FORM_TOKEN));
    }
    match caller {
        _ if door.may == May::Anyone => Ok(None),
        Some(caller) if is_change && is_anothers(asked.headers, caller) => {
            Err(refuse(StatusCode::FORBIDDEN, say::KEPT_FOR_ANOTHER))
        }
        Some(caller) if caller.may(door.may) => Ok(None),
        Some(_) => Err(refuse(StatusCode::FORBIDDEN, say::NOT_ALLOWED)),
        None if is_change || !wants_page(asked.headers) => {
            Err(refuse(StatusCode::UNAUTHORIZED, say::SIGN_IN_FIRST))
        }
        None if house.has_people().await? => {
            let page = asked.uri.path_and_query().map_or("/", |p| p.as_str());
            let to = if page == "/" {
                "/sign-in".to_owned()
            } else {
                format!("/sign-in?to={}", percent(page))
            };
            Ok(Some(Redirect::to(&to).into_response()))
        }
        None => Ok(Some(Redirect::to("/first").into_response())),
    }
}

/// Whether a device sends what it kept for someone else.
fn is_anothers(headers: &HeaderMap, caller: &Caller) -> bool {
    let kept_for = headers.get(KEPT_FOR).map(axum::http::HeaderValue::as_bytes);
    caller.session.is_some() && kept_for.is_some_and(|id| id != caller.who.as_bytes())
}

/// Whether a browser vouches for the page that asks; the guard has looked at
/// what it says.
fn is_from_a_page(headers: &HeaderMap) -> bool {
    headers.contains_key(header::ORIGIN) || headers.contains_key("sec-fetch-site")
}

fn has_form_token(headers: &HeaderMap, session: &Session) -> bool {
    let came = headers
        .get(FORM_TOKEN)
        .map(axum::http::HeaderValue::as_bytes);
    came.is_some_and(|came| same(came, session.form_token.as_bytes()))
}

/// Compares in a time that does not tell where the difference is.
pub(crate) fn same(a: &[u8], b: &[u8]) -> bool {
    a.len() == b.len() && a.iter().zip(b).fold(0, |all, (x, y)| all | (x ^ y)) == 0
}

fn wants_page(headers: &HeaderMap) -> bool {
    let accept = headers.get(header::ACCEPT).and_then(|v| v.to_str().ok());
    accept.is_some_and(|a| a.contains("text/html"))
}

impl Visitor {
    /// The visitor with their seat, and what they chose on other devices.
    fn seated(mut self, caller: Option<&Caller>) -> Self {
        self.seat = match caller {
            None => Seat::Outside,
            Some(caller) if caller.session.is_none() => Seat::Alone,
            Some(caller) => Seat::At(caller.role),
        };
        if let Some(session) = caller.and_then(|c| c.session.as_ref()) {
            self.take_settings(&session.person.settings);
        }
        self
    }
}

impl FromRequestParts<Arc<House>> for Caller {
    type Rejection = Refusal;

    async fn from_request_parts(parts: &mut Parts, _: &Arc<House>) -> Result<Self, Refusal> {
        parts.extensions.get::<Self>().cloned().ok_or_else(|| {
            let visitor = Visitor::of(&parts.headers);
            Refusal {
                wait_s: None,
                status: StatusCode::UNAUTHORIZED,
                sentence: visitor.say(say::SIGN_IN_FIRST).to_owned(),
            }
        })
    }
}

impl FromRequestParts<Arc<House>> for Bay {
    type Rejection = Refusal;

    async fn from_request_parts(parts: &mut Parts, house: &Arc<House>) -> Result<Self, Refusal> {
        let caller = Caller::from_request_parts(parts, house).await?;
        Ok(house.bay_of(caller))
    }
}

impl FromRequestParts<Arc<House>> for Approach {
    type Rejection = Refusal;

    async fn from_request_parts(parts: &mut Parts, _: &Arc<House>) -> Result<Self, Refusal> {
        let approach = parts.extensions.get::<Self>().cloned();
        approach.ok_or_else(|| Refusal::missing("It is not known how this request came."))
    }
}
