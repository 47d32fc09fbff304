//! A phone's entry, kept beside the damaged database: it is answered as held, so that the phone
//! shows it as something that needs a look and forgets nothing.
//! Not here: the envelope itself (`phones`).

use axum::extract::Request;
use axum::http::StatusCode;
use axum::response::Response;
use chrono::SecondsFormat;
use serde_json::Value;
use uuid::Uuid;

use super::WHY;
use crate::store::beside::{Came, Line};
use crate::store::ledger::fingerprint;
use crate::web::App;
use crate::web::phones::{ApiError, Envelope, Kept, NotKept, Unreadable, json, read_json};

pub async fn keep(app: &App, request: Request) -> Result<Response, ApiError> {
    let (parts, body) = request.into_parts();
    let sent: Value = read_json(&parts.headers, body).await?;
    let envelope = Envelope::read(sent.to_string().as_bytes())?;
    let named = parts.uri.path().rsplit('/').next().map(Uuid::parse_str);
    if named.and_then(Result::ok) != Some(envelope.id) {
        return Err(Unreadable::OtherAddress.into());
    }
    let house = app.store.house();
    if envelope.server_id.is_some_and(|id| id != house.server_id) {
        let other = NotKept {
            state: "other_server",
            why: None,
        };
        return Ok(json(StatusCode::CONFLICT, &other));
    }
    let fields = envelope.kept_fields();
    let (kind, version) = (envelope.kind(), envelope.form_version);
    let replayed = app.store.is_kept_beside(envelope.id);
    let received_at = app.clock.now();
    let line = Line {
        id: envelope.id,
        fingerprint: fingerprint(kind, version, envelope.subject, &fields),
        received_at,
        house: house.server_id,
        by: app.who.sender(),
        came: Came::Envelope(sent),
    };
    app.store.keep_beside(line).await?;
    let answer = Kept {
        state: "held",
        id: envelope.id,
        record: envelope.subject.unwrap_or(envelope.id),
        id2: None,
        replayed,
        fields: &fields,
        read_as: Vec::new(),
        problems: &[WHY.to_owned()],
        received_at: received_at.to_rfc3339_opts(SecondsFormat::Millis, true),
        skew_s: None,
        server_id: house.server_id,
        db_epoch: house.db_epoch,
    };
    Ok(json(StatusCode::ACCEPTED, &answer))
}
