//! Pure sums and readings: numbers and words in, numbers and reasons out.
//!
//! No files, no network, no SQL and no clock: dates are arguments.

pub mod number;
pub mod places;
pub mod ripeness;
pub mod sprays;
pub mod units;
pub mod weather;
pub mod zone;
