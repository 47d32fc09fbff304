//! Sample days: what makes a value, and what belongs to a line. Not here: forecasts (`published`).

mod day;

pub use day::{bag, date, sample};
