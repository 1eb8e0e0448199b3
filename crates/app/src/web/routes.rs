//! The table of every address: its method, who may use it, who answers.
//!
//! A line without a rule does not compile, and every rule is kept by a gate in
//! front of the page, before any of the body is read.
//! Holds: for every address the program answers; what is not in the table is
//! not there.
//! Left out: rules finer than a role; a page that has some asks for itself.
//! Checked by: `tests/web_rules.rs`, which tries each line as each role.

use std::sync::Arc;

use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::handler::Handler;
use axum::middleware;
use axum::routing::{MethodRouter, get, post};

use super::gate;
use super::house::House;
use super::open_api::Question;

/// Largest body on a page for anyone, bytes.
const MOST_FROM_ANYONE: usize = 64 << 10;

/// Who may use an address. Each may also do what those before may do.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum May {
    /// Also someone who is not signed in.
    Anyone,
    /// Whoever is signed in.
    Viewer,
    /// Who works on jobs.
    Technician,
    /// Who keeps the shop and the machine.
    Owner,
}

impl May {
    /// The word in the printed table.
    pub(crate) fn word(self) -> &'static str {
        match self {
            Self::Anyone => "anyone",
            Self::Viewer => "viewer",
            Self::Technician => "technician",
            Self::Owner => "owner",
        }
    }
}

/// One line of the table.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Door {
    /// The method.
    pub(crate) method: &'static str,
    /// The address, with its places in braces.
    pub(crate) path: &'static str,
    /// Who may.
    pub(crate) may: May,
    /// What it takes and answers, where programs ask too.
    pub(crate) question: Option<Question>,
}

impl Door {
    /// Files of the program and its sign of life: nobody needs to be looked up.
    pub(crate) fn is_for_all(&self) -> bool {
        self.path == "/healthz" || self.path.starts_with("/assets/")
    }
}

/// The table while it is written.
pub(crate) struct Routes {
    lines: Vec<(Door, MethodRouter<Arc<House>>)>,
}

impl Routes {
    pub(crate) fn new() -> Self {
        Self { lines: Vec::new() }
    }

    /// A page or a file to look at.
    pub(crate) fn get<H, T>(self, path: &'static str, may: May, handler: H) -> Self
    where
        H: Handler<T, Arc<House>>,
        T: 'static,
    {
        self.line("GET", path, may, get(handler))
    }

    /// A deed or a question with a body.
    pub(crate) fn post<H, T>(self, path: &'static str, may: May, handler: H) -> Self
    where
        H: Handler<T, Arc<House>>,
        T: 'static,
    {
        self.line("POST", path, may, post(handler))
    }

    /// Says what the last line takes and answers, for programs that ask.
    pub(crate) fn taking(mut self, question: Question) -> Self {
        if let Some((door, _)) = self.lines.last_mut() {
            door.question = Some(question);
        }
        self
    }

    fn line(
        mut self,
        method: &'static str,
        path: &'static str,
        may: May,
        answers: MethodRouter<Arc<House>>,
    ) -> Self {
        let door = Door {
            method,
            path,
            may,
            question: None,
        };
        // Whoever is not signed in has nothing large to say.
        let answers = match may {
            May::Anyone => answers.layer(DefaultBodyLimit::max(MOST_FROM_ANYONE)),
            _ => answers,
        };
        self.lines.push((door, answers));
        self
    }

    /// The table without those who answer.
    pub(crate) fn doors(&self) -> Vec<Door> {
        self.lines.iter().map(|(door, _)| *door).collect()
    }

    /// The addresses, each behind its gate.
    pub(crate) fn into_router(self, house: &Arc<House>) -> Router {
        let mut router = Router::new();
        for (door, answers) in self.lines {
            let gate = middleware::from_fn_with_state((Arc::clone(house), door), gate::admit);
            router = router.route(door.path, answers.route_layer(gate));
        }
        router.with_state(Arc::clone(house))
    }
}
