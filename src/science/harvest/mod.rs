//! Harvest: joins ripeness, weather and sprays into what can be said of a block today.
//! Not here: sentences (`web::harvest`), the plan of a picking day.

mod next;
mod outlook;
mod readiness;
mod together;

pub use next::{Before, Next, Step, next};
pub use outlook::{Outlook, outlooks};
pub use readiness::{Because, BlockFacts, Decide, Flag, Missing, Readiness, State, readiness};
pub use together::{Together, best, together};
