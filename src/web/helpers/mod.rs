//! Helpers on pages: the first screen of somebody who is here for the first time, the map of the
//! rows, the sheet, and what there is to do on a day.
//! Not here: who may see what (`access`), what closes a block (`sprays`).

mod day_form;
pub mod dial;
mod first;
mod map;
pub mod rows_drawn;
mod sheet;
mod told;

use super::site::Site;
use crate::science::access::Rule;
pub use day_form::DayForm;

/// The addresses of this room.
pub fn routes(site: Site) -> Site {
    site.get("/helpers", Rule::Shared, first::get)
        .get("/helpers/map", Rule::Shared, map::get)
        .get("/helpers/sheet", Rule::Shared, sheet::get)
        .form(&DayForm)
}
