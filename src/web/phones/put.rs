//! `PUT /api/entries/{id}`: a phone sends one entry, as often as it must; it is entered once.
//! Not here: what becomes of it (`arriving`).

use axum::body::Body;
use axum::http::{HeaderMap, StatusCode};
use axum::response::Response;
use chrono::SecondsFormat;
use uuid::Uuid;

use super::answer::{ApiError, Kept, NotKept, arrived_word, json};
use super::arriving::{Arrived, arrive};
use super::envelope::{Envelope, Unreadable, read_json};
use crate::store::House;
use crate::store::ledger::{Outcome, Receipt, State as Became};
use crate::web::App;
use crate::web::access::used_by;
use crate::web::typed::Named;
use crate::web::visitor::Visitor;
use crate::web::words::ReadBack;

pub async fn put(
    app: App,
    visitor: Visitor,
    Named(id): Named,
    headers: HeaderMap,
    body: Body,
) -> Result<Response, ApiError> {
    let envelope: Envelope = read_json(&headers, body).await?;
    let envelope = envelope.of_this_version()?;
    if Uuid::parse_str(&id).ok() != Some(envelope.id) {
        return Err(Unreadable::OtherAddress.into());
    }
    let visitor = visitor.called(envelope.device);
    used_by(&app, envelope.device).await;
    let nothing = |status, state| json(status, &NotKept { state, why: None });
    Ok(match arrive(&app, &envelope).await? {
        Arrived::Taken { receipt, read_back } => {
            let answer = kept(envelope.id, &receipt, read_back, app.store.house());
            // Whoever saves is taken for the next page's writer; what comes later says nothing.
            match envelope.may_ask {
                true => visitor.remembered(answer, envelope.person.as_deref()),
                false => visitor.remembered(answer, None),
            }
        }
        Arrived::Asks => {
            visitor.remembered(nothing(StatusCode::UNPROCESSABLE_ENTITY, "asks"), None)
        }
        Arrived::OtherServer => nothing(StatusCode::CONFLICT, "other_server"),
    })
}

fn kept(id: Uuid, receipt: &Receipt, read_back: Option<ReadBack>, house: House) -> Response {
    let two = receipt.outcome == Outcome::KeptBoth;
    let status = match (receipt.outcome, receipt.state) {
        (Outcome::New, Became::Stored) => StatusCode::CREATED,
        (Outcome::New, Became::Held) => StatusCode::ACCEPTED,
        _ => StatusCode::OK,
    };
    let answer = Kept {
        state: match two {
            true => "kept_both",
            false => arrived_word(receipt.state),
        },
        id,
        record: receipt.record,
        id2: two.then_some(receipt.id),
        replayed: receipt.outcome == Outcome::Replayed,
        fields: &receipt.fields,
        read_as: read_back.map_or_else(Vec::new, in_lines),
        problems: &receipt.problems,
        received_at: receipt
            .received_at
            .to_rfc3339_opts(SecondsFormat::Millis, true),
        skew_s: receipt.skew_s,
        server_id: house.server_id,
        db_epoch: house.db_epoch,
    };
    json(status, &answer)
}

fn in_lines(read_back: ReadBack) -> Vec<String> {
    let lines = read_back.lines.into_iter();
    let lines = lines.map(|line| format!("{}: {}", line.label, line.text));
    [read_back.headline].into_iter().chain(lines).collect()
}
