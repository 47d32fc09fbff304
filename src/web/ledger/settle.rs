//! Saying what an entry is that came under a used id. Not here: what follows from it (the door).

use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;

use super::entry::refused;
use super::named;
use super::void::about;
use crate::store::StoreError;
use crate::store::ledger::{Choice, Kind, Settled};
use crate::web::error::PageError;
use crate::web::known::Known;
use crate::web::typed::{Named, Posted};
use crate::web::visitor::Visitor;
use crate::web::{App, see_other};

pub async fn post(
    State(app): State<App>,
    Named(id): Named,
    visitor: Visitor,
    Posted(fields): Posted,
) -> Result<Response, PageError> {
    let mut read = app.store.read().await?;
    let entry = named(&mut read, &id).await?;
    let known = Known::from(&mut read, &app).await?;
    drop(read);
    let settled = match fields.first("settled") {
        "correction" => Settled::Correction,
        "second" => Settled::Second,
        "mistake" => Settled::Mistake,
        _ => {
            return Err(PageError::Unreadable(
                StatusCode::UNPROCESSABLE_ENTITY,
                "Tap one of the three answers.".to_owned(),
            ));
        }
    };
    let choice = Choice {
        of: entry.id,
        settled,
    };
    let now = app.clock.now();
    let about = about(
        Kind::Choice,
        entry.id,
        choice.into(),
        fields,
        &known,
        &visitor,
        now,
    );
    match app.store.enter(about).await {
        Ok(_) => Ok(see_other(&format!("/entries/{}", entry.id))),
        Err(StoreError::Refused(why)) => refused(&app, entry, why).await,
        Err(error) => Err(error.into()),
    }
}
