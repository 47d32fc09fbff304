//! Harvest on pages: Today, a block, the readiness sheet. It joins what the other rooms hold.
//! Not here: the rules of the state word (`science::harvest`).

mod advice;
pub mod block;
mod sentences;
pub mod sheet;
pub mod sheets;
pub mod today;
mod vineyard;

use super::site::Site;
use crate::science::access::Rule;
pub use vineyard::{BlockToday, Memo, Vineyard};

/// The addresses of this room.
pub fn routes(site: Site) -> Site {
    site.get("/", Rule::Look, today::get)
        .get("/blocks/{id}", Rule::Shared, block::get)
        .get("/sheets", Rule::Look, sheets::get)
        .get("/harvest/sheet", Rule::Shared, sheet::get)
}
