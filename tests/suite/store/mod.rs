//! The laws of the ledger, and what the database file itself is like.
//! Not here: pages and typed text (`web`).

mod conflict;
mod door;
pub mod file;
mod history;
mod laws;
mod look;
mod mended;
pub mod migrated;
mod recent;
mod taken_back;
mod trouble;
