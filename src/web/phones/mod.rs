//! Phones that keep entries out of range: envelopes they send, what they ask and tell, what the
//! keeper brings from them by hand, and the list of them.
//! Not here: what a phone does by itself (`static/`), the ledger's door.

mod answer;
mod arriving;
mod envelope;
mod list;
mod outbox;
mod paste;
mod pasted;
mod ping;
mod put;
mod receipts;

pub use answer::json;
use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::routing::{get, post, put};

use super::App;

/// The addresses of this room.
pub fn routes() -> Router<App> {
    Router::new()
        .route("/outbox", get(outbox::get))
        .route("/api/ping", get(ping::get))
        .route("/api/receipts", post(receipts::post))
        .route("/api/entries/{id}", put(put::put))
        .route("/phones", get(list::get))
        .route(
            "/paste",
            get(paste::get)
                .post(paste::post)
                .layer(DefaultBodyLimit::max(paste::MOST_BYTES)),
        )
}
