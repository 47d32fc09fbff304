//! Harvest: joins ripeness, weather and sprays into what can be said of a block today.
//! Not here: sentences (`web::harvest`), the plan of a picking day.

mod outlook;
mod readiness;

pub use outlook::{Outlook, outlooks};
pub use readiness::{Because, BlockFacts, Decide, Flag, Missing, Readiness, State, readiness};
