//! Taking an entry back. It stays readable, struck through. Not here: what the tables do then.

use axum::response::Response;

use super::act::{self, About};
use super::named;
use crate::store::ledger::{Kind, VoidEntry};
use crate::web::App;
use crate::web::error::PageError;
use crate::web::form::protocol::REASON;
use crate::web::typed::{Named, Posted};
use crate::web::visitor::Visitor;

pub async fn post(
    app: App,
    Named(id): Named,
    visitor: Visitor,
    Posted(fields): Posted,
) -> Result<Response, PageError> {
    let subject = named(&mut app.store.read().await?, &id).await?;
    let reason = fields.first(REASON).trim();
    let void = VoidEntry {
        reason: (!reason.is_empty()).then(|| reason.to_owned()),
    };
    let about = About {
        // A correction taken back leads to its record, where what stood before counts again.
        then: subject.record,
        subject,
        kind: Kind::Void,
        values: void.into(),
    };
    act::enter(&app, &visitor, fields, about).await
}
