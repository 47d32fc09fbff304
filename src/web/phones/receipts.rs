//! `POST /api/receipts`: a phone asks what became of entries it sent, and tells how many it holds.
//! Not here: the list of phones.

use std::collections::BTreeMap;

use axum::body::Body;
use axum::http::{HeaderMap, StatusCode};
use axum::response::Response;
use serde::{Deserialize, Serialize};
use uuid::Uuid;

use super::answer::{ApiError, json};
use super::envelope::{Unreadable, read_json};
use crate::store::Told;
use crate::web::App;
use crate::web::access::{is_anothers, used_by};

/// The most that is asked about at once.
const MOST_IDS: usize = 200;

#[derive(Deserialize)]
struct Question {
    device: Uuid,
    /// The highest number the phone has given.
    seq: i64,
    /// How many entries wait on it.
    waiting: i64,
    ids: Vec<Uuid>,
}

#[derive(Serialize)]
struct Receipts {
    receipts: BTreeMap<Uuid, &'static str>,
    server_id: Uuid,
    db_epoch: Uuid,
}

pub async fn post(app: App, headers: HeaderMap, body: Body) -> Result<Response, ApiError> {
    let question: Question = read_json(&headers, body).await?;
    if question.ids.len() > MOST_IDS {
        let why = format!("more than {MOST_IDS} ids at once");
        return Err(Unreadable::Malformed(why).into());
    }
    used_by(&app, question.device).await;
    let told = Told {
        device: question.device,
        seq: question.seq,
        waiting: question.waiting,
        at: app.clock.now(),
    };
    // What one phone tells is about itself alone.
    if !is_anothers(&app, question.device) {
        app.store.note(told).await?;
    }
    let mut read = app.store.read().await?;
    let mut receipts = BTreeMap::new();
    for id in question.ids {
        let state = read.state_of(id).await?;
        receipts.insert(id, state.map_or("unknown", |state| state.word()));
    }
    let house = app.store.house();
    let answer = Receipts {
        receipts,
        server_id: house.server_id,
        db_epoch: house.db_epoch,
    };
    Ok(json(StatusCode::OK, &answer))
}
