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
use crate::store::ledger::State;
use crate::store::{StoreError, Told};
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

/// What became of entries, in a word each.
type States = BTreeMap<Uuid, &'static str>;

#[derive(Serialize)]
struct Receipts {
    receipts: States,
    server_id: Uuid,
    db_epoch: Uuid,
}

pub async fn post(app: App, headers: HeaderMap, body: Body) -> Result<Response, ApiError> {
    let question: Question = read_json(&headers, body).await?;
    if question.ids.len() > MOST_IDS {
        let why = format!("more than {MOST_IDS} ids at once");
        return Err(Unreadable::Malformed(why).into());
    }
    let receipts = match app.store.damage() {
        Some(_) => left_of(&app, question.ids).await,
        None => {
            note(&app, &question).await?;
            stored(&app, question.ids).await?
        }
    };
    let house = app.store.house();
    let answer = Receipts {
        receipts,
        server_id: house.server_id,
        db_epoch: house.db_epoch,
    };
    Ok(json(StatusCode::OK, &answer))
}

async fn note(app: &App, question: &Question) -> Result<(), StoreError> {
    used_by(app, question.device).await;
    // What one phone tells is about itself alone.
    if is_anothers(app, question.device) {
        return Ok(());
    }
    let told = Told {
        device: question.device,
        seq: question.seq,
        waiting: question.waiting,
        at: app.clock.now(),
    };
    app.store.note(told).await
}

async fn stored(app: &App, ids: Vec<Uuid>) -> Result<States, StoreError> {
    let mut read = app.store.read().await?;
    let mut states = States::new();
    for id in ids {
        states.insert(id, word(read.state_of(id).await?));
    }
    Ok(states)
}

/// What lies beside a damaged database is held. Of what can't be read nothing is said, so that a
/// phone leaves it as it stands.
async fn left_of(app: &App, ids: Vec<Uuid>) -> States {
    let mut states = States::new();
    for id in ids {
        let state = match app.store.is_kept_beside(id) {
            true => Ok("held"),
            false => in_database(app, id).await,
        };
        if let Ok(state) = state {
            states.insert(id, state);
        }
    }
    states
}

async fn in_database(app: &App, id: Uuid) -> Result<&'static str, StoreError> {
    Ok(word(app.store.read().await?.state_of(id).await?))
}

fn word(state: Option<State>) -> &'static str {
    state.map_or("unknown", State::word)
}
