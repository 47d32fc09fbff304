//! Pages of single entries: what was stored, its history, what needs a look, taking back, choosing.
//! Not here: the door itself (`store::ledger`).

mod act;
mod clocks;
mod conflict;
pub mod entry;
pub mod held;
mod past;
pub mod settle;
pub mod void;

use super::site::Site;
use crate::science::access::Rule;
pub use clocks::typed_at;
use uuid::Uuid;

use super::error::PageError;
use crate::store::Read;
use crate::store::ledger::Entry;

/// The entry an address names.
async fn named(read: &mut Read, id: &str) -> Result<Entry, PageError> {
    let missing = || PageError::missing("entry with this address");
    let id = Uuid::parse_str(id).map_err(|_| missing())?;
    read.entry(id).await?.ok_or_else(missing)
}

/// The addresses of this room.
pub fn routes(site: Site) -> Site {
    site.get("/held", Rule::Look, held::get)
        .get("/entries/{id}", Rule::Look, entry::get)
        .get("/entries/{id}/correct", Rule::Enter, entry::correct)
        .post("/entries/{id}/void", Rule::Enter, void::post)
        .post("/entries/{id}/settle", Rule::Enter, settle::post)
}
