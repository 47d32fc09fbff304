//! Saying what an entry is that came under a used id. Not here: what follows from it (the door).

use axum::http::StatusCode;
use axum::response::Response;

use super::act::{self, About};
use super::named;
use crate::store::ledger::{Choice, Kind, Settled};
use crate::web::App;
use crate::web::error::PageError;
use crate::web::typed::{Named, Posted};
use crate::web::visitor::Visitor;

pub async fn post(
    app: App,
    Named(id): Named,
    visitor: Visitor,
    Posted(fields): Posted,
) -> Result<Response, PageError> {
    let subject = named(&mut app.store.read().await?, &id).await?;
    let settled = Settled::of_word(fields.first("settled")).ok_or_else(|| {
        PageError::Unreadable(
            StatusCode::UNPROCESSABLE_ENTITY,
            "Tap one of the answers.".to_owned(),
        )
    })?;
    let choice = Choice {
        of: subject.id,
        settled,
    };
    let about = About {
        then: subject.id,
        subject,
        kind: Kind::Choice,
        values: choice.into(),
    };
    act::enter(&app, &visitor, fields, about).await
}
