//! Taking an entry back. It stays readable, struck through. Not here: what the tables do then.

use axum::extract::State;
use axum::response::Response;
use chrono::{DateTime, Utc};
use uuid::Uuid;

use super::entry::refused;
use super::named;
use crate::store::StoreError;
use crate::store::ledger::{Fields, Happened, Kind, NewEntry, Source, Values, VoidEntry, new_id};
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
    let reason = fields.first("reason").trim();
    let void = VoidEntry {
        reason: (!reason.is_empty()).then(|| reason.to_owned()),
    };
    let now = app.clock.now();
    let about = about(
        Kind::Void,
        entry.id,
        void.into(),
        fields,
        &known,
        &visitor,
        now,
    );
    match app.store.enter(about).await {
        // A correction taken back leads to its record, where what stood before counts again.
        Ok(_) => Ok(see_other(&format!("/entries/{}", entry.record))),
        Err(StoreError::Refused(why)) => refused(&app, entry, why).await,
        Err(error) => Err(error.into()),
    }
}

/// An entry about another entry.
pub(super) fn about(
    kind: Kind,
    subject: Uuid,
    values: Values,
    mut fields: Fields,
    known: &Known,
    visitor: &Visitor,
    now: DateTime<Utc>,
) -> NewEntry {
    let id = Uuid::parse_str(fields.first("entry_id").trim()).ok();
    fields.remove("entry_id");
    NewEntry {
        id: id.unwrap_or_else(|| new_id(now)),
        kind,
        form_version: 1,
        subject: Some(subject),
        fields,
        values: Some(values),
        problems: Vec::new(),
        person: known.person(visitor.person.as_deref()),
        device_id: Some(visitor.device),
        seq: None,
        source: Source::Phone,
        card_code: None,
        happened: Happened::default(),
        typed_at: None,
        sent_at: None,
        received_at: now,
    }
}
