//! The laws of the ledger, and what the database file itself is like.
//! Not here: pages and typed text (`web`).

mod conflict;
mod door;
mod file;
mod history;
mod laws;
mod look;
mod mended;
mod migrated;
mod recent;
mod taken_back;
mod trouble;
