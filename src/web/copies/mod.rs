//! Copies of the farm's data: the list of them, what is wrong with them, and the sheet that says how
//! to bring them back on another machine.
//! Not here: making copies and putting one back (`program::copies`).

mod keeping;
mod list;
mod sheet;
mod tried;

pub use keeping::{Copy, Keeping, Kept, LeftBeside, Second, as_typed};

use super::site::Site;
use crate::science::access::Rule;

/// The addresses of this room.
pub fn routes(site: Site) -> Site {
    site.get("/copies", Rule::Keeper, list::get)
        .get("/copies/sheet", Rule::Keeper, sheet::get)
        .post("/copies/tried", Rule::Keeper, tried::post)
}
