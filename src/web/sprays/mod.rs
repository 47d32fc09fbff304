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

use super::site::Site;
use crate::science::access::Rule;
pub use hold_words::{
    THE_LABEL, blank_words, closed_words, from_words, moment, nobody_has_written, nothing_written,
    until_words,
};
pub use holds::{BlockHold, Holds, SameSaid, all_sprays, covering, entry_hold_at, last_written};
pub use spray_form::SprayForm;

/// The addresses of this room.
pub fn routes(site: Site) -> Site {
    site.get("/sprays", Rule::Look, list::get)
        .form(&SprayForm)
        .get("/sprays/board", Rule::Shared, board::get)
        .get("/sprays/season/{year}", Rule::Keeper, season::get)
        .get("/sprays/finish", Rule::Look, finish::get)
}
