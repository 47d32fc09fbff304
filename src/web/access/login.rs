//! The keeper comes in by the passphrase, at the farm computer alone.
//! Not here: setting it (`passphrase`).

use axum::http::StatusCode;
use axum::response::Response;

use super::door::{Typed, knock};
use super::doorkeeper::Place;
use super::hashing::Turn;
use super::way_in::{Peer, let_in, too_early};
use crate::science::access::Role;
use crate::web::App;
use crate::web::error::PageError;
use crate::web::form::Problem;
use crate::web::typed::Posted;
use crate::web::visitor::Visitor;

/// What is typed here must cross no network that others listen in on.
const NOT_HERE: &str = "The passphrase is taken only at the farm computer itself. For a phone the keeper makes a code.";
const WRONG: &str = "This is not the passphrase.";

pub async fn post(
    app: App,
    visitor: Visitor,
    Peer(peer): Peer,
    Posted(fields): Posted,
) -> Result<Response, PageError> {
    let typed = Typed::carried(&fields);
    let again = |text: &str, status| {
        let name = match app.who.at_the_house {
            true => "passphrase",
            false => "code",
        };
        let problem = Problem::new(name, text.to_owned());
        knock(&app, &typed, "", &[problem], status)
    };
    if !app.who.at_the_house {
        return Ok(again(NOT_HERE, StatusCode::FORBIDDEN));
    }
    let turn = Turn::wait_for(&app).await?;
    let places = [Place::of(peer), Place::Passphrase];
    if let Some(answer) = too_early(&app, &places, &typed) {
        return Ok(answer);
    }
    if !turn.is_the_keepers(fields.first("passphrase")).await? {
        tracing::info!(%peer, "a wrong passphrase");
        app.doorkeeper.wrong(&places, app.clock.now());
        return Ok(again(WRONG, StatusCode::UNPROCESSABLE_ENTITY));
    }
    app.doorkeeper.right(&places);
    let answer = typed.onward(&app, Role::Keeper);
    let_in(&app, &visitor, Role::Keeper, None, answer).await
}
