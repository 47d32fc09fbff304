//! Pure reckoning: numbers and words in, numbers and reasons out.
//! No files, no network, no SQL and no "now": dates are arguments.

pub mod access;
pub mod cards;
pub mod copies;
pub mod crop;
pub mod daybook;
pub mod harvest;
pub mod helpers;
pub mod normal;
pub mod number;
pub mod places;
pub mod ripeness;
pub mod signs;
pub mod sources;
pub mod sprays;
pub mod units;
pub mod weather;
pub mod zone;
