//! The one place that asks for the time. Everything else is handed a moment or a date.
//! Not here: farm zones and calendar rules (`science::zone`), wording of dates (`web::words`).

use chrono::{DateTime, TimeDelta, Utc};

/// A clock that runs with the machine's, shifted by one constant offset.
/// The demo and the tests shift it; a farm's own clock has offset zero.
#[derive(Clone, Copy, Debug, Default)]
pub struct Clock {
    offset: TimeDelta,
}

impl Clock {
    /// The machine's own time.
    pub fn of_this_machine() -> Self {
        Self::default()
    }

    /// A clock that shows `start` now and runs on from there.
    pub fn starting_at(start: DateTime<Utc>) -> Self {
        Self {
            offset: start - Utc::now(),
        }
    }

    /// The present moment.
    pub fn now(&self) -> DateTime<Utc> {
        Utc::now() + self.offset
    }
}
