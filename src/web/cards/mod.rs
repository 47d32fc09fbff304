//! Paper cards on pages: one entry for each card that was drawn up, so that its code is known.
//! Not here: walks (`ripeness`), and what is typed from a card (each room's form).

mod card_form;
pub mod draw_up;
pub mod enter;
pub mod list;
pub mod tally;

use super::site::Site;
use crate::science::access::Rule;
pub use card_form::CardForm;

/// The addresses of this room.
pub fn routes(site: Site) -> Site {
    site.get("/cards", Rule::Look, list::get)
        .takes(&CardForm)
        .get("/cards/new", Rule::Enter, draw_up::get)
        .post("/cards/new", Rule::Enter, draw_up::post)
        .get("/cards/enter", Rule::Enter, enter::get)
        .get("/cards/print", Rule::Look, tally::get)
}
