//! Pure reckoning: numbers in, numbers and reasons out.
//! No files, no network, no database and no "now": dates come in as arguments.

pub mod normal;
pub mod ripeness;
pub mod sources;
