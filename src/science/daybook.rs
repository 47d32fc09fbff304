//! The year as it happened: a season that was closed. Not here: the things themselves.

use serde::{Deserialize, Serialize};

/// The keeper says that a season is written down: what comes later is marked.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct SeasonClosed {
    pub year: i32,
    pub note: Option<String>,
}
