//! What phones ask while the database is damaged: which house this is, and what became of entries.
//! Not here: their entries (`envelope`).

use std::collections::BTreeMap;

use axum::extract::Request;
use axum::http::StatusCode;
use axum::response::Response;
use serde::{Deserialize, Serialize};
use uuid::Uuid;

use crate::store::StoreError;
use crate::web::App;
use crate::web::phones::{ApiError, json, read_json};

#[derive(Serialize)]
struct Pong {
    server_id: Uuid,
    db_epoch: Uuid,
    app: &'static str,
    damaged: bool,
}

#[derive(Deserialize)]
struct Question {
    ids: Vec<Uuid>,
}

#[derive(Serialize)]
struct Receipts {
    receipts: BTreeMap<Uuid, &'static str>,
    server_id: Uuid,
    db_epoch: Uuid,
}

/// It is the same house as ever: phones send on.
pub fn ping(app: &App) -> Response {
    let house = app.store.house();
    let answer = Pong {
        server_id: house.server_id,
        db_epoch: house.db_epoch,
        app: env!("CARGO_PKG_VERSION"),
        damaged: true,
    };
    json(StatusCode::OK, &answer)
}

/// What lies in the side log is held. Of what can't be read nothing is said, so that a phone leaves
/// it as it stands.
pub async fn receipts(app: &App, request: Request) -> Result<Response, ApiError> {
    let (parts, body) = request.into_parts();
    let question: Question = read_json(&parts.headers, body).await?;
    let mut receipts = BTreeMap::new();
    for id in question.ids {
        let state = match app.store.is_kept_beside(id) {
            true => Ok("held"),
            false => in_database(app, id).await,
        };
        if let Ok(state) = state {
            receipts.insert(id, state);
        }
    }
    let house = app.store.house();
    let answer = Receipts {
        receipts,
        server_id: house.server_id,
        db_epoch: house.db_epoch,
    };
    Ok(json(StatusCode::OK, &answer))
}

async fn in_database(app: &App, id: Uuid) -> Result<&'static str, StoreError> {
    let state = app.store.read().await?.state_of(id).await?;
    Ok(state.map_or("unknown", |state| state.word()))
}
