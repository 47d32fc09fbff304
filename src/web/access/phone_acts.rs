//! What the keeper does about a phone: ends its way in, gives it a name, says that it is the same
//! as another. Not here: the list of phones (`phones`).

use axum::response::Response;
use uuid::Uuid;

use super::who::SESSION;
use crate::store::PhoneSeen;
use crate::web::cookies::forget;
use crate::web::error::PageError;
use crate::web::typed::{Named, Posted};
use crate::web::{App, see_other};

/// The longest name that a line of the list holds.
const LONGEST_NAME: usize = 40;

fn id_of(text: &str, what: &str) -> Result<Uuid, PageError> {
    Uuid::parse_str(text.trim()).map_err(|_| PageError::missing(what))
}

/// From now on whatever it asks for stops at the door; what waits on it stays there.
pub async fn end(app: App, Named(id): Named, _: Posted) -> Result<Response, PageError> {
    let id = id_of(&id, "session")?;
    app.store.end_session(id, app.clock.now()).await?;
    Ok(see_other("/phones"))
}

pub async fn call(
    app: App,
    Named(id): Named,
    Posted(fields): Posted,
) -> Result<Response, PageError> {
    let device = id_of(&id, "phone")?;
    let called: String = fields
        .first("called")
        .trim()
        .chars()
        .take(LONGEST_NAME)
        .collect();
    let called = (!called.is_empty()).then_some(called);
    app.store.call_phone(device, called).await?;
    Ok(see_other("/phones"))
}

/// A phone whose browser forgot its id comes back under another.
pub async fn same(
    app: App,
    Named(id): Named,
    Posted(fields): Posted,
) -> Result<Response, PageError> {
    let device = id_of(&id, "phone")?;
    let other = Uuid::parse_str(fields.first("as").trim()).ok();
    if let Some(other) = other {
        let phones = app.store.read().await?.phones().await?;
        let is_itself =
            |one: Uuid| one == device || phones.iter().any(|seen| seen.same_as == Some(device));
        let stands_alone = |seen: &PhoneSeen| seen.device == other && seen.same_as.is_none();
        // None goes in a circle, and none by way of a third.
        if is_itself(other) || !phones.iter().any(stands_alone) {
            return Err(PageError::missing("phone that it can be the same as"));
        }
    }
    app.store.same_phone(device, other).await?;
    Ok(see_other("/phones"))
}

/// Whoever leaves a borrowed computer takes their way in with them.
pub async fn leave(app: App, _: Posted) -> Result<Response, PageError> {
    if let Some(session) = app.who.session {
        app.store.end_session(session, app.clock.now()).await?;
    }
    let mut answer = see_other("/pair");
    forget(&mut answer, SESSION);
    Ok(answer)
}
