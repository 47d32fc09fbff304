//! Sprays on pages: the record, the board, the season's print, counting back.
//! Not here: the holds themselves (`science::sprays`).

mod board;
mod finish;
mod hold_words;
mod holds;
mod list;
mod season;
mod shown;
mod spray_check;
mod spray_form;
mod spray_times;
mod spray_words;

use axum::Router;
use axum::routing::get;

use super::{App, routes};
pub use hold_words::{blank_words, closed_words, from_words, moment, nothing_written, until_words};
pub use holds::{all_sprays, covering, entry_hold_at, last_written};
pub use spray_form::SprayForm;

/// The addresses of this room.
pub fn routes() -> Router<App> {
    Router::new()
        .route("/sprays", get(list::get).post(routes::take(&SprayForm)))
        .route("/sprays/new", routes::blank(&SprayForm))
        .route("/sprays/board", get(board::get))
        .route("/sprays/season/{year}", get(season::get))
        .route("/sprays/finish", get(finish::get))
}
