//! The gate in front of every page: who asks, and whether they may.
//!
//! Law: a line of the table names the least role; a person of a lower role is
//! refused, and someone not signed in is sent to sign in.
//! Holds: before any of the body is read.
//! Checked by: `tests/web_rules.rs`.

use std::sync::Arc;

use axum::extract::{FromRequestParts, Request, State};
use axum::http::StatusCode;
use axum::http::request::Parts;
use axum::middleware::Next;
use axum::response::Response;
use lapwing_store::{Role, Shop};

use super::refusal::Refusal;
use super::routes::{Door, May};
use super::visitor::Visitor;
use super::words::accounts as say;
use super::{Bay, House};

/// Who asks, and in which shop.
#[derive(Clone)]
pub(crate) struct Caller {
    /// All a request can reach.
    pub(crate) shop: Shop,
    /// The id in the history.
    pub(crate) who: String,
    /// What they may do.
    pub(crate) role: Role,
}

impl Caller {
    /// Whoever sits at this machine, while there are no accounts.
    fn at_this_machine(shop: Shop) -> Self {
        Self {
            shop,
            who: "bay".to_owned(),
            role: Role::Owner,
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
) -> Result<Response, Refusal> {
    let caller = Caller::at_this_machine(house.first_shop.clone());
    if !caller.may(door.may) {
        let visitor = Visitor::of(request.headers());
        return Err(Refusal {
            status: StatusCode::FORBIDDEN,
            sentence: visitor.say(say::NOT_ALLOWED).to_owned(),
        });
    }
    request.extensions_mut().insert(caller);
    Ok(next.run(request).await)
}

impl FromRequestParts<Arc<House>> for Caller {
    type Rejection = Refusal;

    async fn from_request_parts(parts: &mut Parts, _: &Arc<House>) -> Result<Self, Refusal> {
        parts.extensions.get::<Self>().cloned().ok_or_else(|| {
            let visitor = Visitor::of(&parts.headers);
            Refusal {
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
