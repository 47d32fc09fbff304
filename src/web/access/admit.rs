//! The door of every address: who comes is looked at before anything else of the request is read.
//! Whoever is not let in keeps what they typed, and is told how to come in.
//! Not here: the rules (`science::access`), and the page at the door (`door`).

use axum::extract::Request;
use axum::extract::State;
use axum::http::StatusCode;
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use chrono::TimeDelta;
use serde_json::json;

use super::door::{self, Typed};
use super::who::Who;
use crate::science::access::{Role, Rule, Standing};
use crate::web::App;
use crate::web::error::PageError;
use crate::web::phones::json as answer;

/// A session's last use is written down no more often than this.
const SEEN_EVERY: TimeDelta = TimeDelta::minutes(10);

/// The door of one address.
#[derive(Clone)]
pub struct Door {
    app: App,
    rule: Rule,
}

impl Door {
    pub fn new(app: App, rule: Rule) -> Self {
        Self { app, rule }
    }
}

/// Why somebody who was let in may not do this.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NotYours {
    /// Let in to look.
    Look,
    /// The keeper's.
    Keeper,
    /// The keeper's, at the farm computer.
    House,
    /// Who the keeper is can't be read.
    Unreadable,
    /// Entered by somebody else, or too long ago.
    Change,
}

impl NotYours {
    pub fn words(self) -> &'static str {
        match self {
            Self::Look => {
                "This phone was let in to look, and not to enter. Ask the keeper, who can let it in \
                 anew."
            }
            Self::Change => "Only the keeper does this, or for a day whoever entered it.",
            Self::Unreadable => {
                "Only the keeper does this, and who that is can't be read from the damaged database. \
                 First put a good copy back."
            }
            Self::Keeper => "Only the keeper does this. Ask the keeper.",
            Self::House => {
                "This is done at the farm computer itself. Over plain http anybody on the Wi-Fi \
                 can listen in, and then do the same in the keeper's name."
            }
        }
    }

    /// Why a rule does not let somebody in who is in for something else.
    pub(super) fn of(rule: Rule, app: &App) -> Self {
        match (rule, app.who.standing) {
            _ if app.store.keys().unreadable => Self::Unreadable,
            (Rule::House, Standing::In(Role::Keeper)) => Self::House,
            (Rule::Keeper | Rule::House, _) => Self::Keeper,
            _ => Self::Look,
        }
    }
}

/// Lets a request in with who sent it, or answers it.
pub async fn admit(State(door): State<Door>, mut request: Request, next: Next) -> Response {
    let app = App {
        who: Who::sent(&request, &door.app),
        ..door.app
    };
    if app.who.may(door.rule) {
        request.extensions_mut().insert(app.who);
        note_seen(&app).await;
        return next.run(request).await;
    }
    let for_a_script = request.uri().path().starts_with("/api/");
    match (app.who.is_in(), for_a_script) {
        (true, true) => refused(NotYours::of(door.rule, &app)),
        (true, false) => {
            let typed = Typed::of(request, &app).await;
            PageError::NotYours(NotYours::of(door.rule, &app), typed.lines()).into_response()
        }
        (false, true) => {
            let why = door::why(&app).to_owned();
            let body = json!({ "state": "not_let_in", "why": why });
            answer(StatusCode::UNAUTHORIZED, &body)
        }
        (false, false) => door::at_the_door(&app, Typed::of(request, &app).await),
    }
}

fn refused(why: NotYours) -> Response {
    let body = json!({ "state": "refused", "why": why.words() });
    answer(StatusCode::FORBIDDEN, &body)
}

/// Notes now and then that a session is in use. Nobody waits at the door because that failed.
async fn note_seen(app: &App) {
    let (Some(id), Some(device)) = (app.who.session, app.who.device) else {
        return;
    };
    if app.store.damage().is_some() {
        return;
    }
    let now = app.clock.now();
    let keys = app.store.keys();
    let seen = keys.session_of_id(id);
    if seen.is_some_and(|one| now - one.last_seen < SEEN_EVERY) {
        return;
    }
    if let Err(error) = app.store.session_seen(id, device, now).await {
        tracing::warn!(error = ?error, "the last use of a session was not noted");
    }
}
