//! Entries about another entry, as its page's buttons send them.
//! Not here: what they do to the other one (the door).

use axum::response::Response;
use uuid::Uuid;

use super::entry::refused;
use crate::store::StoreError;
use crate::store::ledger::{
    Entry, Fields, Happened, Kind, NewEntry, Settled, Source, Values, new_id,
};
use crate::web::access::{NotYours, not_to_change};
use crate::web::error::PageError;
use crate::web::known::Known;
use crate::web::visitor::Visitor;
use crate::web::{App, see_other};

/// What is said about which entry, and whose page shows what became of it.
pub(super) struct About {
    pub subject: Entry,
    pub kind: Kind,
    pub values: Values,
    pub then: Uuid,
}

/// Why somebody may not say this; none if they may. To make an entry a correction of another is to
/// change that one too.
async fn not_to_say(app: &App, about: &About) -> Result<Option<NotYours>, StoreError> {
    let mut read = app.store.read().await?;
    let why = not_to_change(app, &mut read, &about.subject).await?;
    let corrected = match (&about.values, about.subject.twin_of) {
        (Values::Choice(choice), Some(twin)) if choice.settled == Settled::Correction => {
            read.first_of_record(twin).await?
        }
        _ => None,
    };
    match (why, corrected) {
        (None, Some(corrected)) => not_to_change(app, &mut read, &corrected).await,
        (why, _) => Ok(why),
    }
}

/// Enters it and leads on; what the rules refuse leads back to the entry, with the reason.
pub(super) async fn enter(
    app: &App,
    visitor: &Visitor,
    mut fields: Fields,
    about: About,
) -> Result<Response, PageError> {
    if let Some(why) = not_to_say(app, &about).await? {
        return refused(app, about.subject, why.words()).await;
    }
    let known = Known::load(app).await?;
    let now = app.clock.now();
    let id = Uuid::parse_str(fields.first("entry_id").trim()).ok();
    fields.remove("entry_id");
    let entry = NewEntry {
        id: id.unwrap_or_else(|| new_id(now)),
        kind: about.kind,
        form_version: 1,
        subject: Some(about.subject.id),
        base: None,
        fields,
        values: Some(about.values),
        problems: Vec::new(),
        person: known.person(visitor.person.as_deref()),
        device_id: Some(visitor.device),
        seq: None,
        came_by: app.who.session,
        no_client_id: false,
        source: Source::Phone,
        card_code: None,
        happened: Happened::default(),
        typed_at: None,
        sent_at: None,
        received_at: now,
    };
    match app.store.enter(entry).await {
        Ok(_) => Ok(see_other(&format!("/entries/{}?now=done", about.then))),
        Err(StoreError::Refused(why)) => refused(app, about.subject, why).await,
        Err(error) => Err(error.into()),
    }
}
