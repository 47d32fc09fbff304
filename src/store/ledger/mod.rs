//! The ledger: every entry as it arrived, and the one door all of them come through.
//! `entry` says what an entry is, `values` what it can say, `door` what happens when one arrives,
//! `writer` who does it, `history` how it is read again, `replay` how it is checked.
//! Not here: what a kind of entry does to its record tables (each room's file in `store`).
//!
//! What became of an entry follows from facts kept beside it: the `record` it belongs to, its
//! `own_state`, by what it `took_effect`, and what it is `voided_by`. The newest of a record to
//! take effect that nobody took back is in force, on pages as in the tables. A held entry is
//! settled as long as a later entry of its record counts; take that back and it is held again.
//!
//! Data of the farm is never refused: what the tables do not allow is held, with a sentence. An
//! act of the house (`Kind::is_act`: taking back, settling) that the rules do not allow is refused
//! with the reason and leaves no trace, since nothing typed is lost by it and a held act could
//! never be mended.

mod came;
mod door;
mod entry;
mod fields;
mod history;
mod laws;
mod refusals;
pub mod replay;
mod values;
pub(crate) mod writer;

pub use came::Came;
pub(crate) use came::came;
pub(crate) use entry::Arrival;
pub use entry::{
    CLOCKS_AGREE, Happened, NewEntry, Outcome, RULE_VERSION, Receipt, Source, State, new_id,
};
pub use fields::{Fields, fingerprint};
pub use history::Entry;
pub(crate) use history::{moment, newest as newest_arrival_no, read as read_entry};
pub use values::{Choice, Kind, Settled, Values, VoidEntry};
