//! Sample days and the questions a typed value raises. Not here: forecasts (`published`).

mod day;
mod doubt;

pub use day::{bag, date, sample};
