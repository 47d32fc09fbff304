//! Places: first run, the farm, blocks, rows, vines, and reading an address back.
//! Not here: what grows there (`ripeness`, `harvest`).

pub mod address;
mod block_form;
pub mod blocks;
mod farm_form;
pub mod house;
mod rows_form;
pub mod start;
mod vine_form;
pub mod vines;

use super::site::Site;
use crate::science::access::Rule;
pub use block_form::BlockForm;
pub use farm_form::{FarmForm, common_zone};
pub use rows_form::{RowsForm, block as block_named};
pub use vine_form::{VineForm, since_day, vine_at};

/// The addresses of this room.
pub fn routes(site: Site) -> Site {
    site.get("/start", Rule::House, start::get)
        .post("/start", Rule::House, start::post)
        .get("/blocks", Rule::Look, blocks::get)
        .form(&BlockForm)
        .form(&RowsForm)
        .get("/vines", Rule::Look, vines::get)
        .form(&VineForm)
        .get("/address", Rule::Look, address::get)
        .get("/house", Rule::Look, house::get)
        .get("/house/card", Rule::Keeper, house::card)
        .takes(&FarmForm)
}
