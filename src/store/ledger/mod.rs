//! The ledger: every entry as it arrived, and the one door all of them come through.
//! `entry` says what an entry is, `values` what it can say, `door` what happens when one arrives,
//! `writer` who does it, `history` how it is read again, `replay` how it is checked.
//! Not here: what a kind of entry does to its record tables (each room's file in `store`).

mod door;
mod entry;
mod fields;
mod history;
pub mod replay;
mod values;
pub(crate) mod writer;

pub(crate) use entry::Arrival;
pub use entry::{Happened, NewEntry, Outcome, RULE_VERSION, Receipt, Source, State, new_id};
pub use fields::{Fields, fingerprint};
pub use history::Entry;
pub use values::{Choice, Kind, Settled, Values, VoidEntry};
