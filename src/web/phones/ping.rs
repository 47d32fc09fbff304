//! `GET /api/ping`: which house this is, which database, and the pages it knows.
//! Not here: entries.

use std::collections::BTreeMap;

use axum::http::StatusCode;
use axum::response::Response;
use chrono::SecondsFormat;
use serde::Serialize;
use uuid::Uuid;

use super::answer::{ApiError, json};
use crate::store::ledger::Kind;
use crate::web::{App, form};

#[derive(Serialize)]
struct Pong {
    server_id: Uuid,
    db_epoch: Uuid,
    app: &'static str,
    /// Every form by its word, with the newest version of it that is read here.
    forms: BTreeMap<&'static str, u16>,
    now: String,
    need_a_look: i64,
    /// Whether this phone is let in.
    signed_in: bool,
    /// The database is damaged: it is the same house as ever, and phones send on.
    damaged: bool,
}

pub async fn get(app: App) -> Result<Response, ApiError> {
    let house = app.store.house();
    let damaged = app.store.damage().is_some();
    let need_a_look = match app.who.is_in() && !damaged {
        true => app.store.read().await?.how_many_need_a_look().await?,
        false => 0,
    };
    let forms = Kind::ALL
        .iter()
        .filter_map(|kind| Some((kind.word(), form::of(*kind)?.version())));
    let answer = Pong {
        server_id: house.server_id,
        db_epoch: house.db_epoch,
        app: env!("CARGO_PKG_VERSION"),
        forms: forms.collect(),
        now: app.clock.now().to_rfc3339_opts(SecondsFormat::Millis, true),
        need_a_look,
        signed_in: app.who.is_in(),
        damaged,
    };
    Ok(json(StatusCode::OK, &answer))
}
