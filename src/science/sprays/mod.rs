//! Sprays: what was sprayed, and when a block opens again by the hours typed from the labels.
//!
//! No product is known here beforehand: every interval comes from the label in the keeper's hand.

pub mod hold;
pub mod plan;
pub mod record;

pub use hold::{Blank, Hold, HoldError, Limit, Limits, Until, check, holds_on, limits};
pub use plan::{LatestFinish, first_pick, latest_finish};
pub use record::{Product, Spray};
