//! What the keeper wants of a block, from a day on.
//! Not here: whether it is reached (`forecast`, `harvest::readiness`).

use chrono::{Datelike, NaiveDate};
use serde::{Deserialize, Serialize};
use uuid::Uuid;

use super::{Attribute, Window};

/// A day of the year, for "by 31 October".
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct DayOfYear {
    pub month: u32,
    pub day: u32,
}

impl DayOfYear {
    /// The end of the season where none is set: 31 October.
    pub const SEASON_END: Self = Self { month: 10, day: 31 };

    /// That day in a year; 29 February falls back to the 28th.
    pub fn in_year(self, year: i32) -> NaiveDate {
        NaiveDate::from_ymd_opt(year, self.month, self.day)
            .or_else(|| NaiveDate::from_ymd_opt(year, self.month, 28))
            .unwrap_or(NaiveDate::MAX)
    }
}

/// The target box of a block: an open edge is none.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Target {
    pub block: Uuid,
    pub from: NaiveDate,
    pub brix: Window,
    pub ph: Window,
    pub ta: Window,
    pub season_end: DayOfYear,
}

impl Target {
    pub fn window(&self, attribute: Attribute) -> Window {
        match attribute {
            Attribute::Brix => self.brix,
            Attribute::Ph => self.ph,
            Attribute::Ta => self.ta,
        }
    }

    /// The season end of the year in which `day` lies.
    pub fn season_end_for(&self, day: NaiveDate) -> NaiveDate {
        self.season_end.in_year(day.year())
    }
}
