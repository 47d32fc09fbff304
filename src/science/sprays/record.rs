//! What is written down about a spray, as the board by the shed door shows it.
//!
//! What follows from it for entry and picking is in `hold`.

use chrono::{DateTime, FixedOffset, NaiveDate};
use serde::{Deserialize, Serialize};
use uuid::Uuid;

use crate::science::places::RowLayout;

/// One product in the tank, as typed from its label.
///
/// A blank interval is `None`: it was not typed, and is never taken as zero.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Product {
    pub name: String,
    /// The registration number.
    pub registration: String,
    /// The active ingredients.
    pub active: String,
    /// The rate, in the label's own words.
    pub rate: String,
    /// Hours after the end of spraying before anyone may go in.
    pub entry_hours: Option<f64>,
    /// Days of 24 hours after the end of spraying before picking.
    pub harvest_days: Option<f64>,
}

/// One spraying: where, when, with what, by whom, in which weather.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Spray {
    /// The blocks covered, in whole or in part.
    #[serde(default)]
    pub blocks: Vec<Uuid>,
    /// Labels of all rows covered; whole blocks are spelled out, so that a hold stays with the
    /// ground when a row moves to another block.
    #[serde(default)]
    pub rows: Vec<String>,
    /// The local date of spraying.
    pub date: NaiveDate,
    pub start: Option<DateTime<FixedOffset>>,
    /// The end of spraying, from which every interval counts.
    pub end: Option<DateTime<FixedOffset>>,
    /// The volume sprayed, in litres.
    #[serde(default)]
    pub volume_l: Option<f64>,
    #[serde(default)]
    pub applicator: String,
    /// Strength and direction, in words.
    #[serde(default)]
    pub wind: String,
    #[serde(default)]
    pub temperature_c: Option<f64>,
    /// Whether the applicator ticked that the label was read.
    #[serde(default)]
    pub label_read: bool,
    #[serde(default)]
    pub products: Vec<Product>,
    #[serde(default)]
    pub note: String,
}

impl Spray {
    /// Whether the spray touched a block, or one of the rows the block has now.
    pub fn covers(&self, block: Uuid, rows: &[RowLayout]) -> bool {
        self.blocks.contains(&block)
            || self
                .rows
                .iter()
                .any(|label| rows.iter().any(|row| row.label.eq_ignore_ascii_case(label)))
    }

    /// Whether spraying had begun by `now`. Without a start, its date decides.
    pub fn begun(&self, now: DateTime<FixedOffset>) -> bool {
        match (self.start, self.end) {
            (Some(start), Some(end)) => start.min(end) <= now,
            (Some(start), None) => start <= now,
            (None, end) => self.date <= now.date_naive() || end.is_some_and(|end| end <= now),
        }
    }
}
