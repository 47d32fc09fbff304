//! Phones that keep entries out of range: envelopes they send, what they ask and tell, what the
//! keeper brings from them by hand, and the list of them.
//! Not here: what a phone does by itself (`static/`), the ledger's door.

mod answer;
mod arriving;
mod envelope;
mod list;
mod numbers;
mod outbox;
mod paste;
mod pasted;
mod ping;
mod put;
mod receipts;

use super::site::Site;
use crate::science::access::Rule;
pub use answer::{ApiError, Kept, NotKept, json};
pub(in crate::web) use arriving::{Arrived, arrive};
use axum::extract::DefaultBodyLimit;
use axum::handler::Handler;
pub use envelope::{Envelope, Unreadable, read_json};

/// The addresses of this room.
pub fn routes(site: Site) -> Site {
    site.get("/outbox", Rule::Anyone, outbox::get)
        .get("/api/ping", Rule::Anyone, ping::get)
        .post("/api/receipts", Rule::Look, receipts::post)
        .put("/api/entries/{id}", Rule::Enter, put::put)
        .get("/phones", Rule::Keeper, list::get)
        .get("/phones/{id}", Rule::Keeper, list::one)
        .get("/paste", Rule::Keeper, paste::get)
        .post(
            "/paste",
            Rule::Keeper,
            paste::post.layer(DefaultBodyLimit::max(paste::MOST_BYTES)),
        )
}
