//! A phone comes in by a code: typed, or from the square that the keeper shows it.
//! Not here: making codes (`let_in`).

use axum::http::StatusCode;
use axum::response::Response;

use super::door::{Typed, knock};
use super::doorkeeper::Place;
use super::way_in::{Peer, let_in, too_early};
use crate::science::access::PhoneCode;
use crate::web::App;
use crate::web::error::PageError;
use crate::web::form::Problem;
use crate::web::typed::{Named, Posted};
use crate::web::visitor::Visitor;

/// The same for a code that never was, that was used, that is over, and that is one sign off.
const NOT_GOOD: &str =
    "This code is not good, or not any more: it works once, for ten minutes. Ask for a new one.";

pub async fn get(app: App) -> Response {
    knock(&app, &Typed::nothing(), "", &[], StatusCode::OK)
}

/// From the square. A page that is only looked at uses nothing up: the phone's owner taps.
pub async fn with_code(app: App, Named(code): Named) -> Response {
    let code = code
        .parse()
        .map_or(code, |code: PhoneCode| code.to_string());
    knock(&app, &Typed::nothing(), &code, &[], StatusCode::OK)
}

pub async fn post(
    app: App,
    visitor: Visitor,
    Peer(peer): Peer,
    Posted(fields): Posted,
) -> Result<Response, PageError> {
    let typed = Typed::carried(&fields);
    let written = fields.first("code").trim();
    let status = StatusCode::UNPROCESSABLE_ENTITY;
    let code: PhoneCode = match written.parse() {
        Ok(code) => code,
        Err(slip) => {
            let problem = Problem::new("code", slip.to_string());
            return Ok(knock(&app, &typed, written, &[problem], status));
        }
    };
    let places = [Place::of(peer)];
    if let Some(answer) = too_early(&app, &places, &typed) {
        return Ok(answer);
    }
    let now = app.clock.now();
    let Some(good) = app.doorkeeper.use_up(code, now) else {
        tracing::info!(%peer, "a wrong code");
        app.doorkeeper.wrong(&places, now);
        let problem = Problem::new("code", NOT_GOOD.to_owned());
        return Ok(knock(&app, &typed, written, &[problem], status));
    };
    app.doorkeeper.right(&places);
    let answer = typed.onward(&app, good.role);
    let_in(&app, &visitor, good.role, good.person, answer).await
}
