//! Who may come in: the people by their initials, the keeper's passphrase, phones let in by a code,
//! pages shared by a link, and the door that every address is behind.
//! Not here: the rules (`science::access`), which rule an address has (each room's `routes`).

mod admit;
mod door;
mod doorkeeper;
pub mod hashing;
mod login;
mod opened;
mod pair;
mod passphrase;
mod people;
mod person_form;
mod phone_acts;
mod phone_codes;
mod rights;
mod shares;
mod way_in;
mod who;

use super::site::Site;
use crate::science::access::Rule;
pub use admit::{Door, NotYours, admit};
pub use doorkeeper::{Doorkeeper, Place, Waiting};
pub use person_form::PersonForm;
pub use phone_codes::role_words;
pub use rights::{held_back, may_change, not_to_change, rule_of};
pub use way_in::{is_anothers, used_by};
pub use who::Who;

/// The addresses of this room.
pub fn routes(site: Site) -> Site {
    site.get("/people", Rule::Keeper, people::get)
        .form(&PersonForm)
        .get("/passphrase", Rule::House, passphrase::get)
        .post("/passphrase", Rule::House, passphrase::post)
        .post("/login", Rule::Anyone, login::post)
        .post("/leave", Rule::Anyone, phone_acts::leave)
        .get("/pair", Rule::Anyone, pair::get)
        .post("/pair", Rule::Anyone, pair::post)
        .get("/P/{code}", Rule::Anyone, pair::with_code)
        .get("/phones/new", Rule::Keeper, phone_codes::new)
        .post("/phones/new", Rule::Keeper, phone_codes::post)
        .get("/phones/codes/{id}", Rule::Keeper, phone_codes::show)
        .post("/phones/sessions/{id}/end", Rule::Keeper, phone_acts::end)
        .post("/phones/{id}/call", Rule::Keeper, phone_acts::call)
        .post("/phones/{id}/same", Rule::Keeper, phone_acts::same)
        .get("/shares", Rule::Keeper, shares::list)
        .post("/shares", Rule::Keeper, shares::post)
        .get("/shares/new", Rule::Keeper, shares::new)
        .get("/shares/{id}", Rule::Keeper, shares::show)
        .post("/shares/{id}/end", Rule::Keeper, shares::end)
        .get("/v/{secret}", Rule::Anyone, opened::get)
}
