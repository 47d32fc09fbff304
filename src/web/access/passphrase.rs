//! Setting the keeper's passphrase: the first lets phones in, a later one asks for the one before.
//! Not here: coming in by it (`login`).

use askama::Template;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};

use super::doorkeeper::Place;
use super::hashing::{Turn, fits};
use super::way_in::{Peer, let_in, seconds_to_wait, too_early_words};
use crate::science::access::Role;
use crate::store::ledger::Fields;
use crate::web::error::PageError;
use crate::web::form::{Draft, Field, Problem, Summary};
use crate::web::frame::Frame;
use crate::web::known::Known;
use crate::web::typed::Posted;
use crate::web::visitor::Visitor;
use crate::web::{App, page, see_other};

#[derive(Template)]
#[template(path = "access/passphrase.html")]
struct PassphrasePage<'a> {
    frame: Frame,
    is_set: bool,
    problems: Summary<'a>,
    before: Field,
    new: Vec<Field>,
}

pub async fn get(app: App) -> Result<Response, PageError> {
    draw(&app, &[], StatusCode::OK).await
}

pub async fn post(
    app: App,
    visitor: Visitor,
    Peer(peer): Peer,
    Posted(fields): Posted,
) -> Result<Response, PageError> {
    let mut problems = Vec::new();
    let mut wrong = |field: &str, text: String| problems.push(Problem::new(field, text));
    let turn = Turn::wait_for(&app).await?;
    let is_set = app.store.keys().passphrase.is_some();
    let places = [Place::of(peer), Place::Passphrase];
    if is_set {
        if let Some(seconds) = seconds_to_wait(&app, &places) {
            wrong("passphrase", too_early_words(seconds));
            return draw(&app, &problems, StatusCode::TOO_MANY_REQUESTS).await;
        }
        if !turn.is_the_keepers(fields.first("passphrase")).await? {
            app.doorkeeper.wrong(&places, app.clock.now());
            wrong(
                "passphrase",
                "This is not the passphrase so far.".to_owned(),
            );
        }
    }
    let new = fields.first("new");
    if let Err(slip) = fits(new) {
        wrong("new", slip);
    } else if new != fields.first("again") {
        wrong("again", "This is not the same as above.".to_owned());
    }
    if !problems.is_empty() {
        return draw(&app, &problems, StatusCode::UNPROCESSABLE_ENTITY).await;
    }
    turn.set(new).await?;
    app.doorkeeper.right(&places);
    let answer = see_other("/phones");
    let_in(&app, &visitor, Role::Keeper, None, answer).await
}

async fn draw(app: &App, problems: &[Problem], status: StatusCode) -> Result<Response, PageError> {
    let known = Known::load(app).await?;
    let fields = Fields::default();
    let draft = Draft {
        fields: &fields,
        problems,
        answers: &[],
    };
    let before = Field::secret(&draft, "passphrase", "The passphrase so far");
    let new = vec![
        Field::secret(&draft, "new", "New passphrase")
            .hint("At least eight letters; four words that come to nobody else are good."),
        Field::secret(&draft, "again", "The same again"),
    ];
    let drawn = PassphrasePage {
        frame: Frame::new(&known, app, "The keeper's passphrase").at("/house"),
        is_set: app.store.keys().passphrase.is_some(),
        problems: Summary::beside(problems, new.iter().chain([&before])),
        before,
        new,
    };
    Ok((status, page(&drawn)).into_response())
}
